//! `print`: pages for paper and browser, and where they are written. Each page is one
//! file in `print`.

mod card;
mod cuts;
mod labels;
mod marks;
mod review;
mod safety;
mod shopping;
mod today;
mod traveler;

use std::fs::OpenOptions;
use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand, ValueEnum};

#[cfg(feature = "meet")]
use super::exchange::{BatchUse, ExchangeChoice};
use super::{Ending, Failure};
use crate::measure::Unit;
#[cfg(feature = "meet")]
use crate::meet::ArchivedBatches;
use crate::paper::{Page, Paper};
use crate::prose::{Message, visible};

pub(super) use traveler::PagesOfHome;

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
    Card(card::CardArguments),
    Marks(marks::MarksArguments),
    Cuts(cuts::CutsArguments),
    Shopping(shopping::ShoppingArguments),
    Labels(labels::LabelsArguments),
    Safety(safety::SafetyArguments),
    Today(today::TodayPageArguments),
    Review(review::ReviewSheetArguments),
}

/// What all pages are told: on which sheet, and to which file.
#[derive(Debug, Default, Args)]
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

    /// Where a page goes for which no file is named, under a name of its own.
    #[arg(skip)]
    folder: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum SheetChoice {
    A4,
    Letter,
}

impl PrintArguments {
    /// What it does with the batches of the folder.
    #[cfg(feature = "meet")]
    pub(super) fn uses(&self, exchange: &ExchangeChoice) -> BatchUse {
        let planned = match &self.page {
            Pages::Card(card) => &card.planned,
            Pages::Marks(marks) => &marks.planned,
            Pages::Cuts(cuts) => &cuts.planned,
            Pages::Shopping(shopping) => &shopping.planned,
            Pages::Labels(labels) => &labels.planned,
            Pages::Safety(safety) => {
                return safety.named().map_or(BatchUse::None, |named| exchange.named(named));
            }
            Pages::Review(review) => {
                return BatchUse::Reads(ArchivedBatches::Named(review.batch().to_owned()));
            }
            Pages::Today(_) => return BatchUse::Reads(ArchivedBatches::None),
        };
        exchange.named(planned.named())
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        match &self.page {
            Pages::Card(card) => card.run(home, out),
            Pages::Marks(marks) => marks.run(home, out),
            Pages::Cuts(cuts) => cuts.run(home, out),
            Pages::Shopping(shopping) => shopping.run(home, out),
            Pages::Labels(labels) => labels.run(home, out),
            Pages::Safety(safety) => safety.run(home, out),
            Pages::Today(today) => today.run(home, out),
            Pages::Review(review) => review.run(home, out),
        }
    }
}

/// What a list is written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum RowsFormat {
    Html,
    Csv,
}

impl PrintTo {
    /// The sheet that was named, or the usual one.
    fn sheet(&self, unit: Unit) -> Paper {
        match self.paper {
            Some(SheetChoice::A4) => Paper::A4,
            Some(SheetChoice::Letter) => Paper::Letter,
            None => Paper::usual(unit),
        }
    }

    /// Whether it goes to standard output and to no file.
    fn is_to_standard_output(&self) -> bool {
        self.output.as_ref().is_some_and(|path| path.as_os_str() == "-")
    }

    /// Writes the page for a route in this unit.
    fn write(&self, page: &Page, unit: Unit, out: &mut dyn Write) -> Result<(), Failure> {
        self.write_on(page, self.sheet(unit), out)?;
        Ok(())
    }

    /// Writes the page, and says where it is and how to print it. The path of the file,
    /// where it isn't standard output.
    fn write_on(
        &self,
        page: &Page,
        paper: Paper,
        out: &mut dyn Write,
    ) -> Result<Option<PathBuf>, Failure> {
        let (text, name) = (page.html(paper), file_name(&page.title, "html"));
        self.put(&text, &name, "open it in a browser, which also prints it", out)
    }

    /// Writes the rows of a list, and says where they are.
    fn write_rows(&self, title: &str, rows: &str, out: &mut dyn Write) -> Result<(), Failure> {
        self.put(rows, &file_name(title, "csv"), "open it in a spreadsheet", out)?;
        Ok(())
    }

    fn put(
        &self,
        text: &str,
        name: &str,
        then: &str,
        out: &mut dyn Write,
    ) -> Result<Option<PathBuf>, Failure> {
        if self.is_to_standard_output() {
            out.write_all(text.as_bytes())?;
            return Ok(None);
        }
        let path = match (&self.output, &self.folder) {
            (Some(path), _) => path.clone(),
            (None, Some(folder)) => free_name(folder, name)?,
            (None, None) => PathBuf::from(name),
        };
        self.write_file(&path, text)?;
        let shown = visible(&path.display().to_string());
        writeln!(out, "{shown} is written; {then}")?;
        Ok(Some(path))
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

/// A name in the folder that no file has yet; the folder is made where it isn't there.
fn free_name(folder: &Path, name: &str) -> Result<PathBuf, Failure> {
    let refused = |why: std::io::Error| {
        Failure::NotWritten(Message::error(format!("{}: {why}", folder.display())))
    };
    std::fs::create_dir_all(folder).map_err(refused)?;
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, "html"));
    let numbered = (2_u32..).map(|n| folder.join(format!("{stem}-{n}.{ending}")));
    let mut names = std::iter::once(folder.join(name)).chain(numbered);
    let free = names.find(|path| path.symlink_metadata().is_err());
    Ok(free.unwrap_or_else(|| folder.join(name)))
}

/// A file name from a title: nothing in it names another folder or an option.
fn file_name(title: &str, ending: &str) -> String {
    let kept = |c: char| if c.is_alphanumeric() || matches!(c, ' ' | '-' | '_') { c } else { ' ' };
    let words: String = title.chars().map(kept).collect();
    let words: Vec<&str> = words.split_whitespace().collect();
    let name: String = words.join("-").trim_start_matches('-').chars().take(80).collect();
    format!("{}.{ending}", if name.is_empty() { "page" } else { &name })
}
