//! Which shop a command works in: the file that `--shop` names, else the shop's own file
//! beside the batches, else the invented shop that comes with the program.

use std::path::Path;

use super::Failure;
use super::source::{SourceText, file};
use crate::journal::Home;
use crate::shop::{self, Shop};

/// What names the invented shop where a shop file is expected.
pub(super) const BUNDLED: &str = "bundled";

/// Reads the shop that is named, or else the one of the home folder.
pub(super) fn shop(named: Option<&Path>, home: Option<&Path>) -> Result<Shop, Failure> {
    shop_source(named, home)?.shop()
}

/// The text of that shop, after checking that it is valid.
pub(super) fn shop_text(named: Option<&Path>, home: Option<&Path>) -> Result<String, Failure> {
    let source = shop_source(named, home)?;
    source.shop()?;
    Ok(source.text)
}

fn shop_source(named: Option<&Path>, home: Option<&Path>) -> Result<SourceText, Failure> {
    if let Some(path) = named {
        let is_bundled = path.as_os_str() == BUNDLED && !path.is_file();
        return if is_bundled { Ok(bundled()) } else { file(path) };
    }
    // Where this system names no home there is no shop in it either.
    let home = Home::locate(home.map(Path::to_owned)).ok();
    let own = home.map(|home| own(&home)).transpose()?.flatten();
    Ok(own.unwrap_or_else(bundled))
}

/// The shop's own file, where there is one.
pub(super) fn own(home: &Home) -> Result<Option<SourceText>, Failure> {
    home.own_shop().map(|_| file(&home.shop_path())).transpose()
}

/// The invented shop.
fn bundled() -> SourceText {
    SourceText { name: "shop.json".to_owned(), text: shop::BUNDLED.to_owned() }
}
