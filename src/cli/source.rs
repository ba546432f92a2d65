//! Where the routes and board lists of a command come from: a file, standard input, or
//! the files that come with the program.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use super::Failure;
use crate::document::{Document, LARGEST, Problem};
use crate::prose::{Level, nearest};
use crate::route::{self, Route};
use crate::shop::{self, Shop};
use crate::stock;

/// The most that is read of a table of readings: some three million of them, which takes
/// seconds.
pub(super) const LARGEST_TABLE: usize = 64 << 20;

/// A text, and the name its problems are reported under.
pub(super) struct SourceText {
    pub(super) name: String,
    pub(super) text: String,
}

impl SourceText {
    /// Opens a file or, if there is none, the bundled route of that name.
    pub(super) fn open(named: &Path) -> Result<SourceText, Failure> {
        if !named.is_file()
            && let Some(source) = named.to_str().and_then(bundled)
        {
            return Ok(source);
        }
        if named.is_dir() {
            let name = named.display().to_string();
            let help = "a route file, or the name of a bundled route, is meant here; \
                        `benchway walk` opens a batch";
            return Err(Failure::Folder { name, help: help.to_owned() });
        }
        match File::open(named) {
            Ok(file) => read(named, file, LARGEST),
            Err(why) if why.kind() == std::io::ErrorKind::NotFound => {
                let name = named.display().to_string();
                let stems = route::BUNDLED.iter().map(|bundled| bundled.stem);
                let help = match nearest(&name, stems.clone()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("bundled: {}", stems.collect::<Vec<_>>().join(", ")),
                };
                Err(Failure::NoSuchRoute { name, help: Some(help) })
            }
            Err(why) => Err(Failure::Unreadable { path: named.to_owned(), why }),
        }
    }

    pub(super) fn document(&self) -> Result<Document, Problem> {
        Document::read(&self.name, self.text.as_str())
    }

    /// Reads the text as a route.
    pub(super) fn route(&self) -> Result<Route, Failure> {
        let document = self.document().map_err(|problem| self.refused(&[problem]))?;
        let (route, _) = route::read(&document).map_err(|problems| self.refused(&problems))?;
        Ok(route)
    }

    pub(super) fn shop(&self) -> Result<Shop, Failure> {
        let document = self.document().map_err(|problem| self.refused(&[problem]))?;
        let shop = shop::read(&document).map_err(|problems| self.refused(&problems))?;
        let impossible = shop::impossible(&document, &shop);
        if impossible.is_empty() { Ok(shop) } else { Err(self.refused(&impossible)) }
    }

    /// A failure that writes out every problem of this text.
    pub(super) fn refused(&self, problems: &[Problem]) -> Failure {
        Failure::Refused {
            name: self.name.clone(),
            problems: problems.iter().map(|p| p.render(&self.name, &self.text) + "\n").collect(),
            count: problems.iter().filter(|problem| problem.level == Level::Error).count(),
        }
    }
}

/// Whether it names a route: a file, standard input, or one that comes with the program.
#[cfg(feature = "meet")]
pub(super) fn is_route(named: &Path) -> bool {
    let bundled = || named.to_str().is_some_and(|name| route::bundled(name).is_some());
    named.as_os_str() == "-" || named.is_file() || bundled()
}

fn bundled(name: &str) -> Option<SourceText> {
    let bundled = route::bundled(name)?;
    Some(SourceText { name: format!("{}.json", bundled.stem), text: bundled.text.to_owned() })
}

/// Reads one byte more than the largest permitted file, so that an endless file ends too.
fn read(path: &Path, file: impl Read, largest: usize) -> Result<SourceText, Failure> {
    let mut bytes = Vec::new();
    file.take(largest as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|why| Failure::Unreadable { path: path.to_owned(), why })?;
    let whole = bytes.len() <= largest;
    let text = String::from_utf8(bytes).or_else(|error| {
        let at = error.utf8_error().valid_up_to();
        // A text cut off within a character is too large, not malformed.
        if whole || error.utf8_error().error_len().is_some() {
            return Err(Failure::NotText { path: path.to_owned(), at: at + 1 });
        }
        let mut text = String::from_utf8_lossy(error.as_bytes()).into_owned();
        text.push(' ');
        Ok(text)
    })?;
    Ok(SourceText { name: path.display().to_string(), text })
}

/// Opens a board list: a file, `-` for standard input, or the bundled list of that name.
pub(super) fn board_list(named: &Path) -> Result<SourceText, Failure> {
    let (stem, list) = stock::BUNDLED;
    if named.to_str() == Some(stem) && !named.is_file() {
        return Ok(SourceText { name: format!("{stem}.csv"), text: list.to_owned() });
    }
    text(named)
}

/// Reads a text from a file, or with `-` from standard input.
pub(super) fn text(named: &Path) -> Result<SourceText, Failure> {
    text_up_to(named, LARGEST)
}

/// Reads a table of readings likewise, which may be far longer than what people write.
pub(super) fn table(named: &Path) -> Result<SourceText, Failure> {
    text_up_to(named, LARGEST_TABLE)
}

fn text_up_to(named: &Path, largest: usize) -> Result<SourceText, Failure> {
    if named.as_os_str() == "-" {
        let source = read(Path::new("-"), std::io::stdin().lock(), largest)?;
        return Ok(SourceText { name: "standard input".to_owned(), ..source });
    }
    file_up_to(named, largest)
}

/// Reads a text from a file.
pub(super) fn file(named: &Path) -> Result<SourceText, Failure> {
    file_up_to(named, LARGEST)
}

fn file_up_to(named: &Path, largest: usize) -> Result<SourceText, Failure> {
    let file = File::open(named);
    let file = file.map_err(|why| Failure::Unreadable { path: named.to_owned(), why })?;
    read(named, file, largest)
}

/// Reads the route of that name.
pub(super) fn route(named: &Path) -> Result<Route, Failure> {
    SourceText::open(named)?.route()
}
