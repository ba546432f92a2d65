//! `wood`: what air makes of it, how far it moves, how much of it there is.
//! Knows nothing of how any of it is worked out.

mod board_feet;
mod given;
mod moisture;
mod movement;
mod sizes;
mod species;

use std::io::{self, Write};

use clap::{Args, Subcommand};

use super::page::{WIDE, fine, json};
use super::{Ending, Failure, Format};
use crate::prose::{visible, wrap_whole_words};

/// Moisture, movement and board feet
///
/// What moisture wood comes to in a room, how far a width moves from one
/// moisture to another, and how many board feet are in boards. Every answer
/// says where its numbers are from and how well they are known: published (read
/// in the table), quoted by others, or from memory.
///
///   benchway wood moisture --temp 70F --rh 45%
///   benchway wood movement --species "white oak" --size "9 1/4" --from 8 --to 11
///   benchway wood board-feet 2 x "6 1/4" x 8ft
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub struct Wood {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    Moisture(moisture::Moisture),
    Movement(movement::Movement),
    BoardFeet(board_feet::BoardFeet),
    Species(species::Species),
    Sizes(sizes::Sizes),
}

impl Wood {
    pub fn run(&self, out: &mut dyn Write) -> Result<Ending, Failure> {
        match &self.what {
            What::Moisture(moisture) => moisture.run(out)?,
            What::Movement(movement) => movement.run(out)?,
            What::BoardFeet(board_feet) => board_feet.run(out)?,
            What::Species(species) => species.run(out)?,
            What::Sizes(sizes) => sizes.run(out)?,
        }
        Ok(Ending::Fine)
    }
}

/// Where the numbers of an answer stand.
const NUMBERS: usize = 20;

/// A name and its number, wrapped to the right of the name.
fn number(out: &mut dyn Write, name: &str, is: &str) -> io::Result<()> {
    let text = visible(is);
    let mut lines = wrap_whole_words(&text, WIDE - NUMBERS).into_iter();
    let first = lines.next().unwrap_or_default();
    writeln!(out, "  {name:width$}{first}", width = NUMBERS - 2)?;
    lines.try_for_each(|line| writeln!(out, "{:NUMBERS$}{line}", ""))
}

/// A sentence or a title on lines of its own.
fn say(out: &mut dyn Write, text: &str) -> io::Result<()> {
    wrap_whole_words(&visible(text), WIDE).into_iter().try_for_each(|line| writeln!(out, "{line}"))
}
