//! The commands: what each is told, what it prints and how it ends.
//! Knows nothing of how a setting comes about; it asks the rooms above.
//!
//! A new command is one file here, one line in `Command` and one in its `run`.

mod batches;
mod boards;
mod bundled;
mod chart;
mod check;
mod completions;
mod export;
mod failure;
mod fits;
mod learn;
mod page;
mod review;
mod schema;
mod settings;
mod simulate;
mod source;
mod stock;
mod walk;
mod wood;

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{CommandFactory, Parser, Subcommand, ValueEnum};

pub use failure::Failure;

/// A shop traveler for the terminal.
///
/// Reads how a piece of furniture is made (the route) and what the machines
/// are really like (the shop file), works out every setting from what was
/// really measured so far, and walks people through the operations at the
/// machine. Without a command it opens on batches under way and routes.
#[derive(Debug, Parser)]
#[command(
    name = "benchway",
    version,
    max_term_width = 80,
    after_help = "Start with:  benchway settings reading-stool\n\n\
        Exit codes: 0 fine, 1 findings that must be looked at, 2 could not do it."
)]
pub struct Arguments {
    /// Where batches are kept
    #[arg(
        long,
        global = true,
        value_name = "DIR",
        env = "BENCHWAY_HOME",
        hide_env_values = true,
        help_heading = "Everywhere"
    )]
    pub home: Option<PathBuf>,

    #[command(flatten)]
    at: walk::TerminalArguments,

    #[command(subcommand)]
    command: Option<Subcommands>,
}

#[derive(Debug, Subcommand)]
enum Subcommands {
    Check(check::CheckArguments),
    Settings(settings::SettingsArguments),
    Fits(fits::FitsArguments),
    Stock(stock::StockArguments),
    Boards(boards::BoardsArguments),
    Walk(walk::WalkArguments),
    Batches(batches::BatchesArguments),
    Review(review::ReviewArguments),
    Learn(learn::LearnArguments),
    Export(export::ExportArguments),
    Chart(chart::ChartArguments),
    Wood(wood::WoodArguments),
    Simulate(simulate::SimulateArguments),
    Bundled(bundled::BundledArguments),
    Schema(schema::SchemaArguments),
    Completions(completions::CompletionsArguments),
}

impl Subcommands {
    fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        match self {
            Subcommands::Check(check) => check.run(out),
            Subcommands::Settings(settings) => settings.run(out),
            Subcommands::Fits(fits) => fits.run(home, out),
            Subcommands::Stock(stock) => stock.run(home, out),
            Subcommands::Boards(boards) => boards.run(out),
            Subcommands::Walk(walk) => walk.run(home),
            Subcommands::Batches(batches) => batches.run(home, out),
            Subcommands::Review(review) => review.run(home, out),
            Subcommands::Learn(learn) => learn.run(home, out),
            Subcommands::Export(export) => export.run(home, out),
            Subcommands::Chart(chart) => chart.run(home, out),
            Subcommands::Wood(wood) => wood.run(out),
            Subcommands::Simulate(simulate) => simulate.run(home, out),
            Subcommands::Bundled(bundled) => bundled.run(out),
            Subcommands::Schema(schema) => schema.run(out),
            Subcommands::Completions(completions) => completions.run(out),
        }
    }
}

/// For people, or for machines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    Text,
    Json,
}

/// How a command that could do its work ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    Fine,
    /// Something must be looked at.
    Findings,
}

impl Ending {
    /// What the shell is told.
    pub fn code(self) -> u8 {
        match self {
            Ending::Fine => 0,
            Ending::Findings => 1,
        }
    }

    fn found(errors: bool) -> Ending {
        if errors { Ending::Findings } else { Ending::Fine }
    }
}

/// Does what the arguments ask and prints to `out`.
pub fn run(arguments: Arguments, out: &mut dyn Write) -> Result<Ending, Failure> {
    match &arguments.command {
        Some(command) => command.run(arguments.home.as_deref(), out),
        None if walk::at_a_terminal() => walk::opening(arguments.home.as_deref(), &arguments.at),
        None => {
            write!(out, "{}", Arguments::command().render_help())?;
            Ok(Ending::Fine)
        }
    }
}
