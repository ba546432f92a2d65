//! A board with its marks in words, from its marked end on, whatever laid it out: a layout
//! for a list of boards, or the one a batch keeps.

use super::cut_plan::{CutPlan, CutSection};
use super::drawing::drawing;
use super::lay::PlacedBlank;
use super::marks::{CutMark, Segment};
use super::pieces::{BlankPieces, numbers, piece_list};
use crate::measure::{Length, Unit};
use crate::operation::Drawing;
use crate::operation::words;
use crate::route::{Article, PieceLabel, Role};
use crate::stock::board::{Footprint, RackBoard, Stretch};
use crate::stock::need::BlankNeed;
use crate::stock::saw::Saw;

/// Where the marks are measured from, and on which side of one the saw goes.
pub const HOW_TO_SAW: &str = "Marks are measured from the marked end. Saw on the far side of a \
mark; where waste or an offcut ends at the mark, saw on the near side.";

/// A blank at its place, with its part and the pieces it becomes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NamedBlank {
    /// The part, as the route names it.
    pub part: String,
    /// What it is for.
    pub role: Role,
    /// The pieces it becomes; none where it is surplus.
    pub pieces: Vec<PieceLabel>,
    /// Where it is on its board.
    pub place: Footprint,
}

/// A board that is cut into, with everything that is said of it.
#[derive(Clone, Debug)]
pub struct MarkedBoard<'a> {
    /// The board.
    pub board: &'a RackBoard,
    /// Its sections and offcuts.
    pub plan: CutPlan<NamedBlank>,
    /// What cutting takes.
    pub saw: Saw,
    /// What the finished thing is called.
    pub article: &'a Article,
    /// The unit it is marked in.
    pub unit: Unit,
}

/// A mark, or what comes after the last one, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MarkLine {
    /// From the marked end; none for what is left beyond the last mark.
    pub at: Option<Length>,
    /// What is between it and the mark before it, or the marked end.
    pub what: String,
}

impl BlankPieces {
    /// The cut plan of a board of the layout, with the names of its blanks.
    pub fn named(
        &self,
        board: usize,
        plan: &CutPlan<PlacedBlank>,
        needs: &[BlankNeed],
    ) -> CutPlan<NamedBlank> {
        let sections = plan.sections.iter().enumerate().map(|(at, section)| {
            let blanks = section.blanks.iter().enumerate().map(|(index, blank)| NamedBlank {
                part: needs.get(blank.need).map_or_else(String::new, |need| need.part.clone()),
                role: blank.role,
                pieces: self.get(board, at, index).to_vec(),
                place: blank.footprint(),
            });
            CutSection { along: section.along, blanks: blanks.collect() }
        });
        CutPlan { sections: sections.collect(), offcuts: plan.offcuts.clone() }
    }
}

impl MarkedBoard<'_> {
    /// For example `B3: white oak 5/4, 1 1/4 x 8 1/2 x 120, 8.9 board feet`.
    pub fn heading(&self) -> String {
        format!("{}: {}", self.board.name, self.description())
    }

    /// The same without the name of the board.
    pub fn description(&self) -> String {
        let (board, written) = (self.board, |length: Length| length.written(self.unit));
        let class = board.class.as_deref().map_or_else(String::new, |class| format!(" {class}"));
        format!(
            "{}{class}, {} x {} x {}, {:.1} board feet",
            board.species,
            written(board.thinnest()),
            written(board.width),
            written(board.length),
            board.board_feet()
        )
    }

    /// Every line across the board.
    pub fn marks(&self) -> Vec<CutMark> {
        self.plan.marks(self.board.length, &self.saw)
    }

    /// Every mark with what lies before it, then what is left beyond the last one.
    pub fn lines(&self) -> Vec<MarkLine> {
        let line = |mark: CutMark| {
            let what = match mark.segment {
                Segment::Waste => "cut off".to_owned(),
                Segment::Offcut => "offcut: keep".to_owned(),
                Segment::Section(index) => self.section(&self.plan.sections[index]),
            };
            MarkLine { at: Some(mark.at), what }
        };
        let last = self.plan.last(self.board.length).map(|(rest, segment)| {
            let what = match segment {
                Segment::Offcut => {
                    let written = |length: Length| length.written(self.unit);
                    let (long, wide) = (written(rest.length()), written(self.board.width));
                    format!("offcut {long} x {wide}: keep")
                }
                _ => format!("{} left over", words(rest.length(), self.unit)),
            };
            MarkLine { at: None, what }
        });
        self.marks().into_iter().map(line).chain(last).collect()
    }

    /// The pieces of a section, and the widths its strips are ripped to.
    fn section(&self, section: &CutSection<NamedBlank>) -> String {
        let size = |blank: &NamedBlank| (blank.place.along.length(), blank.place.across.length());
        let mut groups: Vec<Vec<&NamedBlank>> = Vec::new();
        for blank in &section.blanks {
            let is_like = |group: &&mut Vec<&NamedBlank>| {
                group[0].part == blank.part && size(group[0]) == size(blank)
            };
            match groups.last_mut().filter(is_like) {
                Some(group) => group.push(blank),
                None => groups.push(vec![blank]),
            }
        }
        let written = |length: Length| length.written(self.unit);
        let mut parts: Vec<String> = groups.iter().map(|group| self.group(group)).collect();
        let far = section.blanks.iter().map(|blank| blank.place.across.to).max();
        let beside = self.board.width - far.unwrap_or_default() - self.saw.rip;
        if beside > self.saw.trim {
            parts.push(format!("{} left beside", written(beside)));
        }
        parts.join("; ")
    }

    /// Blanks of one size that lie together.
    fn group(&self, group: &[&NamedBlank]) -> String {
        let pieces: Vec<PieceLabel> =
            group.iter().flat_map(|blank| &blank.pieces).cloned().collect();
        let mut strips: Vec<Stretch> = group.iter().map(|blank| blank.place.across).collect();
        strips.dedup();
        let name = match pieces.is_empty() {
            true => format!("{} (surplus)", group[0].part),
            false => piece_list(&pieces, self.article),
        };
        let wide = strips.first().map_or(Length::ZERO, Stretch::length).written(self.unit);
        match (strips.len(), group.len() > strips.len()) {
            (1, false) => format!("{name}: rip {wide}"),
            (1, true) => format!("{name}, end to end: rip {wide}"),
            (_, false) => format!("{name}, side by side: rip {wide}"),
            (_, true) => format!("{name}, side by side and end to end: rip {wide}"),
        }
    }

    /// What a blank may be called in a drawing, the fullest name first.
    pub fn names(&self, section: usize, blank: usize) -> Vec<String> {
        let section = self.plan.sections.get(section);
        let Some(blank) = section.and_then(|section| section.blanks.get(blank)) else {
            return Vec::new();
        };
        let full = piece_list(&blank.pieces, self.article);
        let numbers = numbers(blank.pieces.iter().map(|piece| piece.number));
        match blank.role {
            Role::Setup => vec![full, format!("setup {numbers}"), "setup".to_owned()],
            _ => vec![full, format!("{} {numbers}", blank.part), numbers],
        }
    }

    /// The board from above, with the first name of each blank that fits.
    pub fn drawing(&self, fits: impl Fn(&NamedBlank, &str) -> bool) -> Drawing {
        let named = |section: usize, blank: usize| {
            let held = &self.plan.sections[section].blanks[blank];
            let mut names = self.names(section, blank).into_iter();
            names.find(|name| fits(held, name)).unwrap_or_default()
        };
        drawing(self.board, &self.plan.map(|blank| blank.place), named)
    }
}
