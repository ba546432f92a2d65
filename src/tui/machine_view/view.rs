//! The machine screen in words.

use crate::work::Remedy;

/// The machine screen in words: title, the one number, what to do now, what to
/// type. It knows no cells and no colours.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MachineView {
    /// `op 50  sand  wide-belt sander, 80 belt`.
    pub title: String,
    /// `legs: 21 done, 1 aside, 30 to go`.
    pub count: String,
    /// What the number is: `set the fence to`.
    pub label: String,
    /// The one number, as its scale shows it.
    pub big: String,
    /// Whether the scale is at the number already: then it is one line among
    /// others, for nothing is done to it.
    pub is_set: bool,
    /// What it makes, and with which tool.
    pub under: String,
    /// What to do now, the first line for the glance.
    pub now: Vec<String>,
    /// Whether the work must stop for it.
    pub stop: bool,
    /// Whether the verdict on the last reading belongs here.
    pub shows_last: bool,
    /// What stays true meanwhile: limits, steps.
    pub details: Vec<String>,
    /// The caution that stays in sight.
    pub caution: String,
    /// What is to be typed.
    pub prompt: String,
    /// The unit of a bare number; empty where none is typed.
    pub unit: &'static str,
    /// What can be done with a piece, one letter each.
    pub choices: Vec<Remedy>,
}

impl MachineView {
    /// Takes the number off the screen, where nothing is set to it.
    pub(super) fn clear_number(&mut self) {
        self.big.clear();
        self.label.clear();
        self.under.clear();
    }
}
