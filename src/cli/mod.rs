//! The commands: their arguments, what they print, and how they end.
//!
//! A new command is one file here, one variant of `Subcommands` and one line in its
//! `run`. A command knows nothing of how a setting, a layout or a diagnosis is worked
//! out: it asks the rooms above, and prints their answer for people (`text`) or for
//! programs (`json`).
//!
//! Decisions that hold for every command:
//!
//! - What a command found decides its exit code: 0 for nothing to look at, 1 for
//!   findings, 2 when it failed. Scripts need no parsing of text.
//! - Keys of JSON output never change their meaning; lengths are numbers in the
//!   unit the answer names. The long help of each command lists its keys.
//! - Every page fits 80 columns and is the same in a pipe as on a terminal.
//! - `--articles` was called `--sets`; the old name stays as a hidden alias because
//!   scripts and notes in shops use it.

mod adopt;
mod articles;
mod batches;
mod boards;
mod bundled;
mod chart;
mod check;
mod completions;
mod csv;
#[cfg(feature = "meet")]
mod exchange;
#[cfg(not(feature = "meet"))]
mod exchange_absent;
mod export;
mod failure;
mod fits;
mod kinds;
mod learn;
mod makers;
#[cfg(feature = "meet")]
mod meet;
#[cfg(feature = "meet")]
mod meet_file;
mod mend;
mod named_batch;
mod notes;
mod owners;
mod page;
mod pin;
mod planned;
mod print;
mod review;
mod schema;
mod seal;
mod settings;
mod shop;
mod shop_source;
mod simulate;
mod source;
mod stock;
mod today;
mod waiting;
mod walk;
mod wood;

use std::ffi::OsString;
use std::io::Write;
use std::path::{Path, PathBuf};

use clap::builder::{OsStringValueParser, TypedValueParser};
use clap::{CommandFactory, Parser, Subcommand, ValueEnum};

#[cfg(not(feature = "meet"))]
use exchange_absent::NoExchange as ExchangeChoice;
#[cfg(feature = "meet")]
use {
    crate::meet::ArchivedBatches,
    exchange::{BatchUse, ExchangeChoice},
};

pub use failure::Failure;

/// A shop traveler for the terminal
///
/// Reads how a piece of furniture is made (the route) and how the machines really
/// behave (the shop file), works out every setting from the sizes measured so far,
/// and leads people through the operations at each machine. Without a command it
/// shows the batches under way and the routes to begin.
#[derive(Debug, Parser)]
#[command(
    name = "benchway",
    version,
    max_term_width = 80,
    after_help = "Start with:  benchway settings reading-stool\n\n\
        Exit codes: 0 no findings, 1 findings to look at, 2 the command failed."
)]
pub struct Arguments {
    /// Folder that holds the batches
    #[arg(
        long,
        global = true,
        value_name = "DIR",
        env = "BENCHWAY_HOME",
        hide_env_values = true,
        value_parser = OsStringValueParser::new().try_map(home_named),
        help_heading = "Global options"
    )]
    pub home: Option<PathBuf>,

    /// PostgreSQL server to exchange batches with: postgres://LOGIN@SERVER/DATABASE
    #[cfg_attr(not(feature = "meet"), arg(hide = true))]
    #[arg(
        long,
        global = true,
        value_name = "ADDRESS",
        env = "BENCHWAY_MEET",
        hide_env_values = true,
        help_heading = "Global options"
    )]
    meet: Option<String>,

    #[command(flatten)]
    at: walk::TerminalArguments,

    #[command(subcommand)]
    command: Option<Subcommands>,
}

/// A folder for the batches. An empty name comes from a variable that was meant to hold
/// one, so the usual folder isn't taken in its place.
fn home_named(given: OsString) -> Result<PathBuf, String> {
    match given.is_empty() {
        true => Err("no folder is named; name one, or unset BENCHWAY_HOME".to_owned()),
        false => Ok(given.into()),
    }
}

#[derive(Debug, Subcommand)]
enum Subcommands {
    Check(check::CheckArguments),
    Kinds(kinds::KindsArguments),
    Settings(settings::SettingsArguments),
    Fits(fits::FitsArguments),
    Stock(stock::StockArguments),
    Boards(boards::BoardsArguments),
    Walk(walk::WalkArguments),
    Batches(batches::BatchesArguments),
    Today(today::TodayArguments),
    Adopt(adopt::AdoptArguments),
    Shop(shop::ShopArguments),
    Pin(pin::PinArguments),
    Seal(seal::SealArguments),
    #[cfg(feature = "meet")]
    Meet(meet::MeetArguments),
    Mend(mend::MendArguments),
    Review(review::ReviewArguments),
    Makers(owners::OwnersArguments),
    Learn(learn::LearnArguments),
    Export(export::ExportArguments),
    Chart(chart::ChartArguments),
    Print(print::PrintArguments),
    Wood(wood::WoodArguments),
    Simulate(simulate::SimulateArguments),
    Bundled(bundled::BundledArguments),
    Schema(schema::SchemaArguments),
    Completions(completions::CompletionsArguments),
}

impl Subcommands {
    fn run(
        &self,
        home: Option<&Path>,
        exchange: &ExchangeChoice,
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        match self {
            Subcommands::Check(check) => check.run(home, out),
            Subcommands::Kinds(kinds) => kinds.run(out),
            Subcommands::Settings(settings) => settings.run(home, out),
            Subcommands::Fits(fits) => fits.run(home, out),
            Subcommands::Stock(stock) => stock.run(home, out),
            Subcommands::Boards(boards) => boards.run(home, out),
            Subcommands::Walk(walk) => walk.run(home, exchange, out),
            Subcommands::Batches(batches) => batches.run(home, out),
            Subcommands::Today(today) => today.run(home, exchange, out),
            Subcommands::Review(review) => review.run(home, out),
            Subcommands::Makers(makers) => makers.run(home, out),
            Subcommands::Adopt(adopt) => adopt.run(home, out),
            Subcommands::Shop(shop) => shop.run(home, out),
            Subcommands::Pin(pin) => pin.run(home, out),
            Subcommands::Seal(seal) => seal.run(home, out),
            #[cfg(feature = "meet")]
            Subcommands::Meet(meet) => meet.run(exchange, out),
            Subcommands::Mend(mend) => mend.run(home, out),
            Subcommands::Learn(learn) => learn.run(home, out),
            Subcommands::Export(export) => export.run(home, out),
            Subcommands::Chart(chart) => chart.run(home, out),
            Subcommands::Print(print) => print.run(home, out),
            Subcommands::Wood(wood) => wood.run(out),
            Subcommands::Simulate(simulate) => simulate.run(home, out),
            Subcommands::Bundled(bundled) => bundled.run(out),
            Subcommands::Schema(schema) => schema.run(out),
            Subcommands::Completions(completions) => completions.run(out),
        }
    }
}

impl Subcommands {
    /// Runs it between two exchanges with the server, where there is one.
    fn run_exchanged(
        &self,
        home: Option<&Path>,
        address: Option<&str>,
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let exchange = ExchangeChoice::of(home, address)?;
        #[cfg(feature = "meet")]
        let uses = self.uses(&exchange);
        #[cfg(feature = "meet")]
        exchange.before(&uses)?;
        let ending = self.run(home, &exchange, out)?;
        #[cfg(feature = "meet")]
        exchange.after(&uses)?;
        Ok(ending)
    }

    /// What it does with the batches of the folder.
    #[cfg(feature = "meet")]
    fn uses(&self, exchange: &ExchangeChoice) -> BatchUse {
        let reads = BatchUse::Reads(ArchivedBatches::None);
        let named = |batch: &str| BatchUse::Reads(ArchivedBatches::Named(batch.to_owned()));
        match self {
            Subcommands::Batches(batches) if batches.is_archived() => {
                BatchUse::Reads(ArchivedBatches::All)
            }
            Subcommands::Today(today) if !today.watches() => reads,
            Subcommands::Batches(_) => reads,
            Subcommands::Fits(fits) => {
                fits.named().map_or(BatchUse::None, |named| exchange.named(named))
            }
            Subcommands::Stock(stock) => exchange.named(stock.named()),
            Subcommands::Chart(chart) => chart.batch().map_or(BatchUse::None, named),
            Subcommands::Makers(makers) => named(makers.batch()),
            Subcommands::Print(print) => print.uses(exchange),
            Subcommands::Review(review) => named(review.batch()),
            Subcommands::Export(export) => named(export.batch()),
            Subcommands::Learn(_) => BatchUse::Reads(ArchivedBatches::All),
            Subcommands::Adopt(_) | Subcommands::Seal(_) | Subcommands::Mend(_) => BatchUse::Writes,
            _ => BatchUse::None,
        }
    }
}

/// Who the output is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    Text,
    Json,
}

/// How a command that did its work ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// Nothing to look at.
    Fine,
    /// Something to look at.
    Findings,
}

impl Ending {
    /// The exit code: 0 or 1.
    pub fn code(self) -> u8 {
        match self {
            Ending::Fine => 0,
            Ending::Findings => 1,
        }
    }

    fn found(errors: bool) -> Ending {
        if errors { Ending::Findings } else { Ending::Fine }
    }

    /// The ending of two things together: something to look at where either has something.
    fn and(self, other: Ending) -> Ending {
        Ending::found(self == Ending::Findings || other == Ending::Findings)
    }
}

/// Runs the command that the arguments name and prints to `out`; opens the traveler
/// when they name none and there is a terminal.
///
/// # Errors
///
/// The [`Failure`] says why the command could not do its work; exit with 2.
pub fn run(arguments: Arguments, out: &mut dyn Write) -> Result<Ending, Failure> {
    let (home, address) = (arguments.home.as_deref(), arguments.meet.as_deref());
    match &arguments.command {
        Some(command) => {
            arguments.at.refuse_before_a_command()?;
            command.run_exchanged(home, address, out)
        }
        None if arguments.at.can_open() => {
            let exchange = ExchangeChoice::of(home, address)?;
            walk::opening(home, &arguments.at, &exchange, out)
        }
        None => {
            write!(out, "{}", Arguments::command().render_help())?;
            Ok(Ending::Fine)
        }
    }
}
