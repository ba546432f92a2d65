//! Everything that can happen to a shop between its batches, as it is written in the shop
//! journal. A new event, or a new key with a default, needs no new version of a line.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::line::{JournalEntry, LineVersion};
use crate::measure::Length;

/// A line of the shop journal.
pub type ShopLine = JournalEntry<ShopEvent>;

/// What happened in a shop.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ShopEvent {
    /// Cuts at one setting showed how far off a scale is.
    Calibrated {
        /// The scale, with the tool that cut.
        scale: ToolScale,
        /// Made size less what the scale showed.
        offset: Length,
        /// How far apart the pieces came: one standard deviation.
        spread: Length,
        /// How many pieces were cut.
        cuts: u32,
        /// Expanded uncertainty of the offset, k = 2.
        uncertainty: Length,
        /// The lead's initials.
        by: String,
    },
    /// Another tool is in a machine under the same name: a new blade, or a sharpened one.
    ToolChanged {
        /// The machine, by its name in the shop file.
        machine: String,
        /// The tool, by its name in the shop file.
        tool: String,
        /// How many feet the one before had cut, where somebody knows.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        feet: Option<u32>,
        /// The lead's initials.
        by: String,
    },
    /// A lead signed somebody off on a machine.
    SignedOff(SignOff),
    /// Somebody stands in for the lead on one day.
    StandsIn {
        /// Their initials.
        who: String,
        /// The day.
        on: NaiveDate,
        /// The lead's initials.
        by: String,
    },
    /// The name behind these initials was erased from the list of names.
    NameErased {
        /// The initials, which stay wherever they were written.
        who: String,
    },
}

impl LineVersion for ShopEvent {}

/// That somebody may work at a machine without a lead beside them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SignOff {
    /// Their initials.
    pub who: String,
    /// The machine, by its name in the shop file.
    pub machine: String,
    /// The last day on which it holds; for good where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<NaiveDate>,
    /// Whether the lead saw them make a first piece.
    pub first_piece_seen: bool,
    /// The lead's initials.
    pub by: String,
}

/// A scale of a machine with a tool in it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct ToolScale {
    /// The machine, by its name in the shop file.
    pub machine: String,
    /// The tool, by its name in the shop file.
    pub tool: String,
    /// The scale, by its name in the shop file.
    pub scale: String,
}
