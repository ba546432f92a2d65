//! The routes that a shop keeps beside its batches, in a folder of their own. The
//! folder need not exist, and nothing here makes it.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::home::{Home, ROUTES};
use crate::document::LARGEST;

/// A route file of the shop's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnRoute {
    /// The file.
    pub path: PathBuf,
    /// Its text, or why it can't be read.
    pub text: Result<String, String>,
}

impl Home {
    /// Returns every route file the shop keeps here, by name; none where it keeps
    /// none.
    pub fn own_routes(&self) -> Vec<OwnRoute> {
        let Ok(list) = std::fs::read_dir(self.path().join(ROUTES)) else { return Vec::new() };
        let files = list.flatten().map(|item| item.path());
        let mut paths: Vec<PathBuf> = files
            .filter(|path| path.extension().is_some_and(|ending| ending == "json"))
            .filter(|path| path.is_file())
            .collect();
        paths.sort();
        let read = |path: PathBuf| OwnRoute { text: text_of(&path), path };
        paths.into_iter().map(read).collect()
    }
}

/// The route file that somebody names.
pub fn named_route(path: &Path) -> OwnRoute {
    OwnRoute { text: text_of(path), path: path.to_owned() }
}

/// The text of a file. One byte more than the largest permitted is read, so that an
/// endless file ends too.
pub(super) fn text_of(path: &Path) -> Result<String, String> {
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(|why| why.to_string())?;
    file.take(LARGEST as u64 + 1).read_to_end(&mut bytes).map_err(|why| why.to_string())?;
    String::from_utf8(bytes).map_err(|_| "it is not text; save it as UTF-8".to_owned())
}
