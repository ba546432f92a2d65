//! `wood`: moisture, movement, board feet, and the tables behind them.

mod board_feet;
mod given;
mod moisture;
mod movement;
mod sizes;
mod species;

use std::io::{self, Write};

use clap::{Args, Subcommand};

use super::page::{TableRow, TextPage, fine, json};
use super::{Ending, Failure, Format};

/// Calculate moisture, movement and board feet
///
/// The moisture content wood reaches in a room, how far a width moves between two
/// moisture contents, and the board feet in boards. Every result names its source
/// and how well its numbers are known: published (read in the table), quoted by
/// others, or from memory.
///
///   benchway wood moisture --temp 70F --rh 45%
///   benchway wood movement --species "white oak" --size "9 1/4" --from 8 --to 11
///   benchway wood board-feet 2 x "6 1/4" x 8ft
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct WoodArguments {
    #[command(subcommand)]
    what: WoodSubcommand,
}

#[derive(Debug, Subcommand)]
enum WoodSubcommand {
    Moisture(moisture::MoistureArguments),
    Movement(movement::MovementArguments),
    BoardFeet(board_feet::BoardFeetArguments),
    Species(species::SpeciesArguments),
    Sizes(sizes::SizesArguments),
}

impl WoodArguments {
    pub(super) fn run(&self, out: &mut dyn Write) -> Result<Ending, Failure> {
        match &self.what {
            WoodSubcommand::Moisture(moisture) => moisture.run(out)?,
            WoodSubcommand::Movement(movement) => movement.run(out)?,
            WoodSubcommand::BoardFeet(board_feet) => board_feet.run(out)?,
            WoodSubcommand::Species(species) => species.run(out)?,
            WoodSubcommand::Sizes(sizes) => sizes.run(out)?,
        }
        Ok(Ending::Fine)
    }
}

/// Column where the numbers of an answer begin.
const NUMBERS: usize = 20;

/// A name and its number, the number wrapped to the right of the name.
fn number(page: &mut TextPage<'_>, name: &str, is: &str) -> io::Result<()> {
    page.entry(TableRow::new(2, name), NUMBERS, is)
}
