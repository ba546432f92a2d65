//! The lines to draw across a board before it is cut, from its marked end on.

use super::cut_plan::CutPlan;
use crate::measure::Length;
use crate::stock::board::Stretch;
use crate::stock::saw::Saw;

/// What is between one mark and the mark before it, or the marked end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Segment {
    /// Waste: an end, or a flaw.
    Waste,
    /// A section, by its index.
    Section(usize),
    /// An offcut that is kept.
    Offcut,
}

/// One line across a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutMark {
    /// From the marked end.
    pub at: Length,
    /// What is between it and the mark before it.
    pub segment: Segment,
}

impl<B> CutPlan<B> {
    /// Every line on a board of this length. A gap that is only the kerf, rounded
    /// up to the next mark of the tape, is one cut and has one line.
    pub fn marks(&self, length: Length, saw: &Saw) -> Vec<CutMark> {
        let mut marks = Vec::new();
        let mut end = Length::ZERO;
        for (index, section) in self.sections.iter().enumerate() {
            let Stretch { from, to } = section.along;
            let one_cut = if index == 0 { Length::ZERO } else { saw.crosscut + saw.mark };
            if from - end > one_cut {
                marks.push(CutMark { at: from, segment: self.between(end, from) });
            }
            if to < length {
                marks.push(CutMark { at: to, segment: Segment::Section(index) });
            }
            end = to;
        }
        marks
    }

    /// What is left beyond the last mark; `None` where the last section ends the
    /// board.
    pub fn last(&self, length: Length) -> Option<(Stretch, Segment)> {
        let from = self.sections.last()?.along.to;
        let offcut = self.offcuts.iter().find(|offcut| offcut.from >= from).copied();
        match offcut {
            Some(offcut) => Some((offcut, Segment::Offcut)),
            None if from < length => Some((Stretch { from, to: length }, Segment::Waste)),
            None => None,
        }
    }

    /// Whether the wood between two places is an offcut or waste.
    fn between(&self, from: Length, to: Length) -> Segment {
        let within = |left: &Stretch| from <= left.from && left.to <= to;
        if self.offcuts.iter().any(within) { Segment::Offcut } else { Segment::Waste }
    }
}
