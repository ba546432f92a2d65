//! A board from above for paper: to one scale along and across, its blanks named, its flaws
//! crossed out, its marks measured from the marked end.
//!
//! The numbers inside are millimetres on paper. What stands above the board is moved up row
//! by row until no two texts touch, because a trim cut is half an inch from the next.

use maud::{Markup, PreEscaped, html};

use super::breadth::breadth;
use crate::measure::{Length, Unit};
use crate::stock::{Footprint, MarkedBoard, NamedBlank, Stretch};

/// Room left of the board and right of it, for outlines and the last letters.
const BESIDE: f64 = 2.0;
/// The size of the letters at the marks, and how far apart their rows are.
const MARK_LETTERS: f64 = 5.2;
const MARK_ROW: f64 = 6.2;
/// The size of the letters at the ruler, and its height.
const RULER_LETTERS: f64 = 2.9;
const RULER: f64 = 8.5;
/// The sizes of the letters in a blank.
const LARGEST_NAME: f64 = 4.6;
const SMALLEST_NAME: f64 = 2.1;
/// How much of a strip's width its letters take.
const OF_STRIP: f64 = 0.74;

/// A board as it is drawn, before it is written as SVG.
pub(super) struct BoardDrawing<'a> {
    marked: &'a MarkedBoard<'a>,
    /// Millimetres on paper for one of the board.
    scale: f64,
    breadth: f64,
    /// Where the board begins, below the words at its marks.
    top: f64,
    labels: Vec<MarkLabel>,
}

/// The words at one mark.
struct MarkLabel {
    text: String,
    /// Where the mark is.
    at: f64,
    /// Where the middle of the words is, and which row they are in, from the board upwards.
    middle: f64,
    row: usize,
}

impl<'a> BoardDrawing<'a> {
    /// As large as it can be on so much paper.
    pub(super) fn new(marked: &'a MarkedBoard<'a>, breadth: f64, height: f64) -> BoardDrawing<'a> {
        let real = |length: Length| length.in_unit(Unit::Millimetre).max(1e-6);
        let along = (breadth - 2.0 * BESIDE) / real(marked.board.length);
        let scale = along.min(height / real(marked.board.width));
        let mut drawing = BoardDrawing { marked, scale, breadth, top: 0.0, labels: Vec::new() };
        drawing.labels = drawing.labels();
        let rows = drawing.labels.iter().map(|label| label.row + 1).max().unwrap_or(0);
        drawing.top = rows as f64 * MARK_ROW + 1.6;
        drawing
    }

    /// How many millimetres of the board one on paper stands for.
    pub(super) fn one_to(&self) -> f64 {
        1.0 / self.scale
    }

    fn on_paper(&self, length: Length) -> f64 {
        length.in_unit(Unit::Millimetre) * self.scale
    }

    /// From the left of the drawing to a place along the board.
    fn x(&self, along: Length) -> f64 {
        BESIDE + self.on_paper(along)
    }

    /// From the top of the drawing to a place across the board; the marked edge is below.
    fn y(&self, across: Length) -> f64 {
        self.top + self.on_paper(self.marked.board.width - across)
    }

    fn bottom(&self) -> f64 {
        self.y(Length::ZERO)
    }

    /// The words at the marks, each in the lowest row that has room for it.
    fn labels(&self) -> Vec<MarkLabel> {
        let mut ends: Vec<f64> = Vec::new();
        let marks = self.marked.marks().into_iter();
        let label = marks.map(|mark| {
            let text = mark.at.written(self.marked.unit);
            let at = self.x(mark.at);
            let half = breadth(&text) * MARK_LETTERS / 2.0 + 0.8;
            let middle = at.clamp(half, (self.breadth - half).max(half));
            let has_room = |end: &f64| *end <= middle - half;
            let row = ends.iter().position(has_room).unwrap_or(ends.len());
            if row == ends.len() {
                ends.push(0.0);
            }
            ends[row] = middle + half;
            MarkLabel { text, at, middle, row }
        });
        label.collect()
    }

    /// The drawing; `number` keeps its patterns apart from those of other drawings.
    pub(super) fn svg(&self, number: usize) -> Markup {
        let height = self.bottom() + RULER;
        let board = self.marked.board;
        let whole = Footprint {
            along: Stretch { from: Length::ZERO, to: board.length },
            across: Stretch { from: Length::ZERO, to: board.width },
        };
        let waste = format!("url(#waste-{number})");
        html! {
            svg class="board" viewBox={ "0 0 " (mm(self.breadth)) " " (mm(height)) }
                role="img" aria-label={ "Board " (board.name) " from above, its marked end at the left" } {
                defs { (hatch(number)) }
                (self.block("wood", &waste, whole))
                @for offcut in &self.marked.plan.offcuts {
                    (self.offcut(*offcut))
                }
                @for (at, section) in self.marked.plan.sections.iter().enumerate() {
                    @for (index, blank) in section.blanks.iter().enumerate() {
                        (self.block("blank", "#fff", blank.place))
                        (self.name(at, index, blank))
                    }
                }
                @for flaw in &board.flaws {
                    (self.flaw(Footprint {
                        along: flaw.along,
                        across: flaw.across.unwrap_or(whole.across),
                    }))
                }
                (self.block("outline", "none", whole))
                @for label in &self.labels { (self.mark(label)) }
                line class="end" x1=(mm(BESIDE)) x2=(mm(BESIDE))
                    y1=(mm(self.top)) y2=(mm(self.bottom())) {}
                (self.ruler())
            }
        }
    }

    fn block(&self, class: &str, fill: &str, at: Footprint) -> Markup {
        let (x, y) = (self.x(at.along.from), self.y(at.across.to));
        let (wide, high) = (self.on_paper(at.along.length()), self.on_paper(at.across.length()));
        html! {
            rect class=(class) fill=(fill)
                x=(mm(x)) y=(mm(y)) width=(mm(wide)) height=(mm(high)) {}
        }
    }

    fn offcut(&self, along: Stretch) -> Markup {
        let across = Stretch { from: Length::ZERO, to: self.marked.board.width };
        let place = Footprint { along, across };
        let text = "offcut: keep";
        html! {
            (self.block("offcut", "#fff", place))
            @if let Some(size) = self.size_for(text, place) { (self.text(text, size, place)) }
        }
    }

    /// The fullest name of a blank that fits into it.
    fn name(&self, section: usize, index: usize, blank: &NamedBlank) -> Markup {
        let mut names = self.marked.names(section, index);
        names.retain(|name| !name.is_empty());
        let sized = names.iter().find_map(|name| Some((name, self.size_for(name, blank.place)?)));
        html! {
            @if let Some((name, size)) = sized { (self.text(name, size, blank.place)) }
        }
    }

    /// The size of letters at which a text fits into a place; none where they would be too
    /// small to read.
    fn size_for(&self, text: &str, place: Footprint) -> Option<f64> {
        let high = self.on_paper(place.across.length()) * OF_STRIP;
        let room = self.on_paper(place.along.length()) - 1.0;
        let size = high.min(room / breadth(text).max(0.1)).min(LARGEST_NAME);
        (size >= SMALLEST_NAME).then_some(size)
    }

    fn text(&self, text: &str, size: f64, place: Footprint) -> Markup {
        let middle = |of: Stretch| (of.from + of.to) / 2;
        // Figures and most letters reach to 0.7 of the size above the line.
        let (x, y) = (self.x(middle(place.along)), self.y(middle(place.across)) + 0.35 * size);
        html! {
            text class="name" x=(mm(x)) y=(mm(y)) font-size=(mm(size)) { (text) }
        }
    }

    /// A flaw, crossed out.
    fn flaw(&self, place: Footprint) -> Markup {
        let (left, right) = (mm(self.x(place.along.from)), mm(self.x(place.along.to)));
        let (upper, lower) = (mm(self.y(place.across.to)), mm(self.y(place.across.from)));
        html! {
            (self.block("flaw", "#fff", place))
            path class="cross"
                d={ "M" (left) " " (upper) "L" (right) " " (lower)
                    "M" (left) " " (lower) "L" (right) " " (upper) } {}
        }
    }

    /// The line of a mark, from the marked edge up to its words.
    fn mark(&self, label: &MarkLabel) -> Markup {
        let foot = self.top - 1.2 - label.row as f64 * MARK_ROW;
        let words = foot - 0.9;
        html! {
            line class="mark" x1=(mm(label.at)) x2=(mm(label.at))
                y1=(mm(self.bottom())) y2=(mm(foot)) {}
            text class="at" x=(mm(label.middle)) y=(mm(words)) font-size=(mm(MARK_LETTERS)) {
                (label.text)
            }
        }
    }

    /// Where a tape lies: a line at each foot or each hundred millimetres.
    fn ruler(&self) -> Markup {
        let (step, each, one) = match self.marked.unit {
            Unit::Inch => (Length::INCH * 12, 1, 12),
            Unit::Millimetre => (Length::MILLIMETRE * 100, 5, 100),
        };
        let steps = (self.marked.board.length.ratio(step) + 1e-9).floor() as i64;
        let (from, words) = (self.bottom(), self.bottom() + 6.2);
        let last = self.breadth - breadth("marked edge") * RULER_LETTERS - 3.0;
        html! {
            @for n in 1..=steps {
                @let x = self.x(step * n);
                @let is_named = n % each == 0;
                line class="tick" x1=(mm(x)) x2=(mm(x))
                    y1=(mm(from)) y2=(mm(from + if is_named { 2.6 } else { 1.4 })) {}
                @if is_named && x < last && x > 24.0 {
                    text class="tick" x=(mm(x)) y=(mm(words)) font-size=(mm(RULER_LETTERS)) {
                        (n * one)
                    }
                }
            }
            text class="from" x=(mm(BESIDE)) y=(mm(words)) font-size=(mm(RULER_LETTERS)) {
                "marked end"
            }
            text class="to" x=(mm(self.breadth - BESIDE)) y=(mm(words))
                font-size=(mm(RULER_LETTERS)) { "marked edge" }
        }
    }
}

/// Lines aslant, for wood that is no piece.
fn hatch(number: usize) -> PreEscaped<String> {
    PreEscaped(format!(
        "<pattern id=\"waste-{number}\" width=\"2\" height=\"2\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><rect width=\"2\" height=\"2\" fill=\"#fff\"/>\
         <line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"2\" stroke=\"#000\" stroke-width=\"0.7\"/></pattern>"
    ))
}

/// A number of millimetres, fine enough that a place on a board is found again to less than
/// a hundredth of one.
fn mm(number: f64) -> String {
    format!("{number:.4}")
}
