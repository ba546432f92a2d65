//! `bundled`: print a file that comes with the program.

use std::io::Write;

use clap::Args;

use super::{Ending, Failure};
use crate::prose::nearest;
use crate::{route, shop, stock};

/// Print a bundled file, to copy and edit
///
/// Without a name, lists the bundled files.
#[derive(Debug, Args)]
#[command(after_help = "Example:  benchway bundled shop > our-shop.json")]
pub(super) struct BundledArguments {
    /// Name of a bundled route, `shop`, or `stool-boards`
    name: Option<String>,
}

impl BundledArguments {
    pub(super) fn run(&self, out: &mut dyn Write) -> Result<Ending, Failure> {
        let Some(name) = &self.name else {
            writeln!(out, "shop")?;
            for route in route::BUNDLED {
                writeln!(out, "{}", route.stem)?;
            }
            writeln!(out, "{}", stock::BUNDLED.0)?;
            return Ok(Ending::Fine);
        };
        let text = match (name.as_str(), route::bundled(name)) {
            ("shop", _) => shop::BUNDLED,
            (name, None) if name == stock::BUNDLED.0 => stock::BUNDLED.1,
            (_, Some(route)) => route.text,
            (_, None) => {
                let stems =
                    route::BUNDLED.iter().map(|route| route.stem).chain(["shop", stock::BUNDLED.0]);
                let help = nearest(name, stems).map(|near| format!("did you mean `{near}`?"));
                return Err(Failure::NoSuchRoute { name: name.clone(), help });
            }
        };
        write!(out, "{text}")?;
        Ok(Ending::Fine)
    }
}
