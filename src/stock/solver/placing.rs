//! Where the sections and blanks of a cutting are on their board, and what is
//! left of the board.

use super::blank_kind::{BlankKind, FlawBox, overlap};
use super::cutting::{Cutting, PlacedStrip, SectionCut};
use super::prepared::{PreparedBoard, blocked_across, steps_up};
use crate::measure::Length;
use crate::stock::board::{Footprint, RackBoard, Stretch};

impl PreparedBoard {
    /// Whether a section with these strips meets no flaw it may not contain
    /// when it begins at this mark.
    fn is_clear(&self, blanks: &[BlankKind], section: &SectionCut, at: i64) -> bool {
        section.strips.iter().all(|strip| {
            let blank = &blanks[strip.blank];
            blocked_across(&self.blocking(blank, at * self.step), i64::from(strip.count))
                .iter()
                .all(|&blocked| !overlap(blocked, (strip.near, strip.near + blank.width)))
        })
    }

    /// How long a section with these strips must be, in marks.
    pub(crate) fn marks_needed(&self, blanks: &[BlankKind], strips: &[PlacedStrip]) -> i64 {
        let length = |strip: &PlacedStrip| self.strip_length(&blanks[strip.blank], strip.count);
        steps_up(strips.iter().map(length).max().unwrap_or(0), self.step)
    }

    fn strip_length(&self, blank: &BlankKind, count: u32) -> i64 {
        i64::from(count) * (blank.length + self.crosscut) - self.crosscut
    }

    /// The same sections in this order, each as near to the marked end as
    /// possible; `None` where there is no room for them in this order.
    pub(crate) fn in_order(
        &self,
        blanks: &[BlankKind],
        sections: Vec<SectionCut>,
    ) -> Option<Cutting> {
        let mut next = self.first;
        let mut placed = Vec::with_capacity(sections.len());
        for mut section in sections {
            section.at = (next..=self.last - section.length)
                .find(|&at| self.is_clear(blanks, &section, at))?;
            next = section.at + section.length + self.kerf_marks;
            placed.push(section);
        }
        Some(Cutting { sections: placed })
    }

    /// Every blank of a section: its kind, and where it is on the board.
    pub(crate) fn places(
        &self,
        blanks: &[BlankKind],
        section: &SectionCut,
    ) -> Vec<(usize, Footprint)> {
        let from = section.at * self.step;
        let blanks_of = |strip: &PlacedStrip| {
            let (kind, near, blank) = (strip.blank, strip.near, &blanks[strip.blank]);
            let each = blank.length + self.crosscut;
            let (length, width) = (blank.length, blank.width);
            (0..i64::from(strip.count)).map(move |index| {
                let at = from + index * each;
                let (along, across) = (stretch(at, at + length), stretch(near, near + width));
                (kind, Footprint { along, across })
            })
        };
        section.strips.iter().flat_map(blanks_of).collect()
    }

    /// Stretches that nothing is cut from and that have no flaw, over the full
    /// width and at least `shortest` long.
    pub(crate) fn offcuts(
        &self,
        board: &RackBoard,
        cutting: &Cutting,
        shortest: i64,
    ) -> Vec<(i64, i64)> {
        let mut offcuts = Vec::new();
        let mut from = self.start;
        for section in &cutting.sections {
            offcuts.push((from, section.at * self.step - self.crosscut));
            from = (section.at + section.length) * self.step + self.crosscut;
        }
        offcuts.push((from, self.end));
        for flaw in board.flaws.iter().map(FlawBox::of) {
            offcuts = offcuts
                .into_iter()
                .flat_map(|(from, to)| {
                    let (near, far) = flaw.along;
                    match overlap(flaw.along, (from, to)) {
                        true => vec![(from, near.min(to)), (far.max(from), to)],
                        false => vec![(from, to)],
                    }
                })
                .collect();
        }
        offcuts.retain(|(from, to)| to > from && to - from >= shortest);
        offcuts
    }
}

fn stretch(from: i64, to: i64) -> Stretch {
    Stretch { from: Length::from_nanometres(from), to: Length::from_nanometres(to) }
}
