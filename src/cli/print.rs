//! `print`: pages for paper and browser, and where they are written.

mod review;

use std::fs::OpenOptions;
use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand, ValueEnum};

use super::{Ending, Failure};
use crate::measure::Unit;
use crate::paper::{Page, Paper};
use crate::prose::{Message, visible};

/// Print a page for the machine, the rack or the wall
///
/// A page is one HTML file. A browser shows and prints it; it needs no network.
#[derive(Debug, Args)]
pub(super) struct PrintArguments {
    #[command(subcommand)]
    page: Pages,
}

#[derive(Debug, Subcommand)]
enum Pages {
    Review(review::ReviewSheetArguments),
}

/// What all pages are told: on which sheet, and to which file.
#[derive(Debug, Args)]
struct PrintTo {
    /// Sheet to print on; if omitted, Letter for a route in inches, else A4
    #[arg(long, value_enum)]
    paper: Option<SheetChoice>,

    /// File to write, `-` for standard output; if omitted, named after the page
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,

    /// Replace the file if it exists
    #[arg(long)]
    replace: bool,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum SheetChoice {
    A4,
    Letter,
}

impl PrintArguments {
    /// The batch whose archived copy it may read.
    #[cfg(feature = "meet")]
    pub(super) fn batch(&self) -> Option<&str> {
        match &self.page {
            Pages::Review(review) => Some(review.batch()),
        }
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        match &self.page {
            Pages::Review(review) => review.run(home, out),
        }
    }
}

impl PrintTo {
    /// Writes the page, and says where it is and how to print it.
    fn write(&self, page: &Page, unit: Unit, out: &mut dyn Write) -> Result<(), Failure> {
        let paper = match self.paper {
            Some(SheetChoice::A4) => Paper::A4,
            Some(SheetChoice::Letter) => Paper::Letter,
            None => Paper::usual(unit),
        };
        let text = page.html(paper);
        let path = match &self.output {
            Some(path) if path.as_os_str() == "-" => return Ok(out.write_all(text.as_bytes())?),
            Some(path) => path.clone(),
            None => PathBuf::from(file_name(&page.title)),
        };
        self.write_file(&path, &text)?;
        let shown = visible(&path.display().to_string());
        writeln!(out, "{shown} is written; open it in a browser, which also prints it")?;
        Ok(())
    }

    fn write_file(&self, path: &Path, text: &str) -> Result<(), Failure> {
        let refused = |why: std::io::Error| {
            let shown = path.display();
            let exists = why.kind() == std::io::ErrorKind::AlreadyExists;
            let message = if exists {
                Message::error(format!("{shown} exists"))
                    .help("add --replace, or name another file with --output")
            } else {
                Message::error(format!("{shown}: {why}"))
            };
            Failure::NotWritten(message)
        };
        let mut options = OpenOptions::new();
        options.write(true);
        if self.replace {
            options.create(true).truncate(true)
        } else {
            options.create_new(true)
        };
        let mut file = options.open(path).map_err(refused)?;
        file.write_all(text.as_bytes()).map_err(refused)
    }
}

/// A file name from a title: nothing in it names another folder or an option.
fn file_name(title: &str) -> String {
    let kept = |c: char| if c.is_alphanumeric() || matches!(c, ' ' | '-' | '_') { c } else { ' ' };
    let words: String = title.chars().map(kept).collect();
    let words: Vec<&str> = words.split_whitespace().collect();
    let name: String = words.join("-").trim_start_matches('-').chars().take(80).collect();
    format!("{}.html", if name.is_empty() { "page" } else { &name })
}
