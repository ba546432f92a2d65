//! How trials draw the pieces of a dimension, and why so.
//!
//! Where the shop file gives the spread of the machine whose setting makes a size,
//! planned pieces scatter by that about what the setting makes. Where it gives none,
//! all that is known of a piece is that it is within limits, and every size within
//! them is as likely (JCGM 101:2008, 6.4.2): the cautious draw. The spread that is
//! usual for a kind of machine is trade judgement and doesn't count as known. Nor
//! does a spread tell of a size that no setting makes: the width of a mortise is
//! that of its chisel, and the thickness of a tenon is what two settings leave.
//!
//! Where every piece is measured, what comes out of limits is set aside or cut again.
//! Where only some are, nothing holds the others back.
//!
//! The setting is taken to be right, so that an offset of the whole lot isn't drawn.
//! It shows at the first piece measured; once a dimension is made, its readings count.

use super::chain::Link;
use super::input::FitsInput;
use super::origin::{Sizing, Source};
use super::piece_sizes::PieceSizes;
use super::stack::Range;
use super::verdict::{amount, length};
use crate::measure::{Length, Unit};
use crate::operation::decimal;
use crate::route::PieceChoice;

/// How trials draw the pieces of a dimension.
#[derive(Clone, Debug, PartialEq)]
pub enum PieceDraw {
    /// All as they were made: no reading says how they differ.
    AsMade,
    /// One of the readings made, each as likely.
    Readings,
    /// Set by a scale that nobody measures after: evenly within half a step.
    Scale,
    /// Normal, by the known spread of the machine.
    Normal {
        /// The size that the setting makes; a setting outside the limits of readings
        /// is moved to the nearer one.
        about: Length,
        /// The spread of the machine.
        sd: Length,
        /// The machine, as the shop file calls it.
        machine: String,
        /// Whether every piece is measured, so that none is out of limits.
        held: bool,
    },
    /// Every size within the limits as likely, since no spread is known.
    Uniform(NoSpread),
}

/// Why the spread of a dimension isn't known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoSpread {
    /// The shop file gives none for this machine.
    Machine(String),
    /// No setting makes it at the operation that measures it.
    NoSetting,
}

impl PieceDraw {
    /// The draw of one dimension.
    pub(super) fn of(input: &FitsInput<'_>, link: &Link<'_>) -> PieceDraw {
        match (&link.made, &link.source) {
            (Some(made), _) if made.readings.is_empty() => PieceDraw::AsMade,
            (Some(_), _) => PieceDraw::Readings,
            (None, None) => PieceDraw::AsMade,
            (None, Some(source)) => match source.size {
                Sizing::Scale { .. } => PieceDraw::Scale,
                Sizing::Limits { makes, .. } => planned(input, link, source, makes),
            },
        }
    }

    /// The sizes of planned pieces, and what their readings may be; none where they
    /// aren't planned.
    pub(super) fn sizes(&self, link: &Link<'_>) -> Option<(PieceSizes, PieceSizes)> {
        let range = link.range()?;
        let range = Range { low: range.low, high: range.high };
        match self {
            PieceDraw::Normal { about, sd, held, .. } => {
                let (about, sd) = (amount(*about) - link.nominal, amount(*sd));
                let within = PieceSizes::normal_within(about, sd, range);
                // A reading out of limits is no reading that later cuts are made to.
                Some((if *held { within } else { PieceSizes::normal(about, sd) }, within))
            }
            _ => Some((PieceSizes::uniform(range), PieceSizes::uniform(range))),
        }
    }

    /// What it is: `normal`, `uniform`.
    pub fn kind(&self) -> &'static str {
        match self {
            PieceDraw::AsMade => "as made",
            PieceDraw::Readings => "readings",
            PieceDraw::Scale => "scale",
            PieceDraw::Normal { .. } => "normal",
            PieceDraw::Uniform(_) => "uniform",
        }
    }

    /// What it is and why, of one dimension or several: `normal, sd 0.003 (stop saw);
    /// within limits, all are measured`.
    pub fn words(&self, unit: Unit) -> String {
        let uniform = "uniform within limits";
        match self {
            PieceDraw::AsMade => "as made".to_owned(),
            PieceDraw::Readings => "as read, each reading as likely".to_owned(),
            PieceDraw::Scale => "uniform within half a step of the scale; not measured".to_owned(),
            PieceDraw::Normal { sd, machine, held, .. } => {
                let held = if *held {
                    "within limits, all are measured"
                } else {
                    "not held to limits, only some are measured"
                };
                format!("normal, sd {} ({machine}); {held}", decimal(*sd, unit))
            }
            PieceDraw::Uniform(NoSpread::Machine(machine)) => {
                format!("{uniform}; no spread known of the {machine}")
            }
            PieceDraw::Uniform(NoSpread::NoSetting) => {
                format!("{uniform}; no setting makes the size where it is measured")
            }
        }
    }
}

/// The draw of a planned dimension whose setting makes pieces so far from the size
/// planned; without one where no setting makes it.
fn planned(
    input: &FitsInput<'_>,
    link: &Link<'_>,
    source: &Source<'_>,
    makes: Option<f64>,
) -> PieceDraw {
    let at = source.step.at.as_ref();
    let machine = at.and_then(|at| input.shop.machines.get(at));
    let (Some(makes), Some(at), Some(machine)) = (makes, at, machine) else {
        return PieceDraw::Uniform(NoSpread::NoSetting);
    };
    let Some(sd) = machine.spread else {
        return PieceDraw::Uniform(NoSpread::Machine(at.clone()));
    };
    let makes = link.range().map_or(makes, |range| makes.clamp(range.low, range.high));
    let choice = source.check.map_or(PieceChoice::All, |check| check.pieces);
    PieceDraw::Normal {
        about: length(link.nominal + makes),
        sd,
        machine: at.clone(),
        held: choice == PieceChoice::All,
    }
}
