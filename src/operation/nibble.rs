//! Nibbling: a cheek or a lap wider than the blade, cut beside cut.
//!
//! `cuts = ceil((length - kerf) / (kerf - overlap)) + 1`: the first cut is a
//! kerf wide, and each other one adds what the blade moves. The move is a little
//! less than the kerf, so that no rib stands between two cuts (common practice,
//! no source).

use super::faces::steps;
use super::work::Work;
use crate::measure::{Length, Unit};

/// How far one cut overlaps the one before (common practice, no source).
const OVERLAP_INCH: Length = Length::inch_fraction(1, 32);
/// The same on a route in millimetres.
const OVERLAP_MILLIMETRE: Length =
    Length::from_nanometres(Length::MILLIMETRE.nanometres() / 10 * 8);
/// A thin blade's cuts overlap by one part in this many of its kerf.
const SHARE_OF_KERF: i64 = 4;

/// Cuts side by side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Nibbling {
    /// How many, the first among them.
    pub cuts: i64,
    /// The most the piece moves from one cut to the next.
    pub step: Length,
}

impl Work<'_> {
    /// The cuts over a length with a blade of that kerf.
    pub(super) fn nibbling(&self, length: Length, kerf: Length) -> Nibbling {
        let overlap = match self.unit {
            Unit::Inch => OVERLAP_INCH,
            Unit::Millimetre => OVERLAP_MILLIMETRE,
        };
        let step = kerf - overlap.min(kerf / SHARE_OF_KERF);
        let cuts = if length > kerf { steps(length - kerf, step) + 1 } else { 1 };
        Nibbling { cuts, step }
    }
}
