//! The lines to draw across a board, from its marked end on.
//! Knows nothing of pieces and their names.

use super::cut_plan::CutPlan;
use crate::measure::Length;
use crate::stock::board::Stretch;
use crate::stock::saw::Saw;

/// What lies between one mark and the one before it, or the marked end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Segment {
    /// It is cut off: an end, or a flaw.
    Waste,
    /// Which of the sections.
    Section(usize),
    /// Long enough to keep.
    Offcut,
}

/// One line across a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutMark {
    /// From the marked end.
    pub at: Length,
    pub segment: Segment,
}

impl<B> CutPlan<B> {
    /// Every line of a board so long. One cut serves both sides of a gap no
    /// longer than the kerf, which ends on the next mark of the tape.
    pub fn marks(&self, length: Length, saw: &Saw) -> Vec<CutMark> {
        let mut marks = Vec::new();
        let mut end = Length::ZERO;
        for (index, section) in self.sections.iter().enumerate() {
            let Stretch { from, to } = section.along;
            let one_cut = if index == 0 { Length::ZERO } else { saw.crosscut + saw.mark };
            if from - end > one_cut {
                marks.push(CutMark { at: from, segment: self.lies(end, from) });
            }
            if to < length {
                marks.push(CutMark { at: to, segment: Segment::Section(index) });
            }
            end = to;
        }
        marks
    }

    /// What is left behind the last mark: worth keeping, or not.
    pub fn last(&self, length: Length) -> Option<(Stretch, Segment)> {
        let from = self.sections.last()?.along.to;
        let rest = self.offcuts.iter().find(|left| left.from >= from).copied();
        match rest {
            Some(rest) => Some((rest, Segment::Offcut)),
            None if from < length => Some((Stretch { from, to: length }, Segment::Waste)),
            None => None,
        }
    }

    fn lies(&self, from: Length, to: Length) -> Segment {
        let within = |left: &Stretch| from <= left.from && left.to <= to;
        if self.offcuts.iter().any(within) { Segment::Offcut } else { Segment::Waste }
    }
}
