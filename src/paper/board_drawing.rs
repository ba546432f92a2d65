//! A board from above for paper: to one scale along and across, its blanks named, its flaws
//! crossed out, its marks measured from the marked end.
//!
//! The numbers inside are millimetres on paper. What stands above the board is moved up row
//! by row until no two texts touch, because a trim cut is half an inch from the next.

use maud::{Markup, PreEscaped, html};

use super::breadth::breadth;
use crate::measure::{Length, Unit};
use crate::stock::{Footprint, MarkedBoard, RackBoard, Stretch};

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
const OF_STRIP: f64 = 0.8;
/// Nobody reads a board that is narrower than this.
const LEAST_ACROSS: f64 = 8.0;

/// The most rows a board is drawn in, and how much larger another row must make it.
const MOST_ROWS: usize = 3;
const WORTH_A_ROW: f64 = 1.2;

/// A board as it is drawn, before it is written as SVG.
pub(super) struct BoardDrawing<'a> {
    marked: &'a MarkedBoard<'a>,
    /// Millimetres on paper for one of the board.
    scale: f64,
    rows: Vec<BoardRun>,
}

/// A stretch of the board from one mark to another, or the whole of it.
struct BoardRun {
    along: Stretch,
    /// Where the board begins, below the words at its marks.
    top: f64,
    labels: Vec<MarkLabel>,
}

/// The words at one mark.
struct MarkLabel {
    text: String,
    /// Where the mark is.
    at: f64,
    /// Where the middle of the words is, and which line they are in, from the board upwards.
    middle: f64,
    line: usize,
}

impl<'a> BoardDrawing<'a> {
    /// As large as it can be on so much paper. Where marks divide a long board well, it goes
    /// on in a second row and a third; no blank is divided.
    pub(super) fn new(marked: &'a MarkedBoard<'a>, breadth: f64, height: f64) -> BoardDrawing<'a> {
        let mut best = BoardDrawing::in_rows(marked, 1, breadth, height);
        for rows in 2..=MOST_ROWS {
            let more = BoardDrawing::in_rows(marked, rows, breadth, height);
            if more.scale > best.scale * WORTH_A_ROW {
                best = more;
            }
        }
        best
    }

    fn in_rows(
        marked: &'a MarkedBoard<'a>,
        rows: usize,
        breadth: f64,
        height: f64,
    ) -> BoardDrawing<'a> {
        let stretches = divided(marked, rows);
        let longest = stretches.iter().map(Stretch::length).max().unwrap_or_default();
        let real = |length: Length| length.in_unit(Unit::Millimetre).max(1e-6);
        let mut scale = (breadth - 2.0 * BESIDE) / real(longest);
        loop {
            let row = |along: &Stretch| BoardRun::new(marked, *along, scale);
            let rows: Vec<BoardRun> = stretches.iter().map(row).collect();
            let drawing = BoardDrawing { marked, scale, rows };
            // A drawing with words alone has no room either: then it is as small as may be.
            if drawing.height() <= height || scale * real(marked.board.width) < LEAST_ACROSS {
                return drawing;
            }
            scale *= 0.98;
        }
    }

    fn height(&self) -> f64 {
        let across = self.on_paper(self.marked.board.width);
        self.rows.iter().map(|row| row.top + across + RULER).sum()
    }

    /// How many millimetres of the board one on paper stands for.
    pub(super) fn one_to(&self) -> f64 {
        1.0 / self.scale
    }

    fn on_paper(&self, length: Length) -> f64 {
        length.in_unit(Unit::Millimetre) * self.scale
    }

    /// The rows of the drawing; `number` keeps its pattern apart from those of other
    /// drawings.
    pub(super) fn svg(&self, number: usize, breadth: f64) -> Markup {
        let row = |row: usize| {
            let pattern = format!("waste-{number}-{row}");
            RowOnPaper { drawing: self, row: &self.rows[row], breadth, pattern }
        };
        html! { @for n in 0..self.rows.len() { (row(n).svg()) } }
    }
}

/// Divides a board at marks so that the longest stretch is as short as it can be.
fn divided(marked: &MarkedBoard<'_>, rows: usize) -> Vec<Stretch> {
    let (from, to) = (Length::ZERO, marked.board.length);
    let marks: Vec<Length> = marked.marks().iter().map(|mark| mark.at).collect();
    let mut best = vec![Stretch { from, to }];
    let mut consider = |ends: &[Length]| {
        let starts = std::iter::once(from).chain(ends.iter().copied());
        let ends = ends.iter().copied().chain([to]);
        let tried: Vec<Stretch> = starts.zip(ends).map(|(from, to)| Stretch { from, to }).collect();
        let longest = |of: &[Stretch]| of.iter().map(Stretch::length).max();
        if longest(&tried) < longest(&best) {
            best = tried;
        }
    };
    for (n, first) in marks.iter().enumerate() {
        match rows {
            2 => consider(&[*first]),
            3 => marks[n + 1..].iter().for_each(|second| consider(&[*first, *second])),
            _ => {}
        }
    }
    best
}

impl BoardRun {
    fn new(marked: &MarkedBoard<'_>, along: Stretch, scale: f64) -> BoardRun {
        let x = |at: Length| BESIDE + (at - along.from).in_unit(Unit::Millimetre) * scale;
        let own = marked.marks().into_iter();
        let own = own.filter(|mark| along.from < mark.at && mark.at <= along.to);
        let marks = own.map(|mark| (mark.at.written(marked.unit), x(mark.at)));
        let labels = labels(marks, x(along.to) + BESIDE);
        let lines = labels.iter().map(|label| label.line + 1).max().unwrap_or(0);
        BoardRun { along, top: lines as f64 * MARK_ROW + 1.6, labels }
    }
}

/// The words at marks, each in the lowest line that has room for it.
fn labels(marks: impl Iterator<Item = (String, f64)>, right: f64) -> Vec<MarkLabel> {
    let mut ends: Vec<f64> = Vec::new();
    let label = marks.map(|(text, at)| {
        let half = breadth(&text) * MARK_LETTERS / 2.0 + 0.8;
        let middle = at.clamp(half, (right - half).max(half));
        let has_room = |end: &f64| *end <= middle - half;
        let line = ends.iter().position(has_room).unwrap_or(ends.len());
        if line == ends.len() {
            ends.push(0.0);
        }
        ends[line] = middle + half;
        MarkLabel { text, at, middle, line }
    });
    label.collect()
}

/// A row with everything it takes to write it.
struct RowOnPaper<'a> {
    drawing: &'a BoardDrawing<'a>,
    row: &'a BoardRun,
    breadth: f64,
    pattern: String,
}

impl RowOnPaper<'_> {
    fn board(&self) -> &RackBoard {
        self.drawing.marked.board
    }

    fn on_paper(&self, length: Length) -> f64 {
        self.drawing.on_paper(length)
    }

    /// From the left of the drawing to a place along the board.
    fn x(&self, along: Length) -> f64 {
        BESIDE + self.on_paper(along - self.row.along.from)
    }

    /// From the top of the drawing to a place across the board; the marked edge is below.
    fn y(&self, across: Length) -> f64 {
        self.row.top + self.on_paper(self.board().width - across)
    }

    fn bottom(&self) -> f64 {
        self.y(Length::ZERO)
    }

    /// What of a place is in this row.
    fn within(&self, place: Footprint) -> Option<Footprint> {
        let Stretch { from, to } = self.row.along;
        let along = Stretch { from: place.along.from.max(from), to: place.along.to.min(to) };
        (along.from < along.to).then_some(Footprint { along, ..place })
    }

    fn svg(&self) -> Markup {
        let (board, marked) = (self.board(), self.drawing.marked);
        let height = self.bottom() + RULER;
        let across = Stretch { from: Length::ZERO, to: board.width };
        let whole = Footprint { along: self.row.along, across };
        let waste = format!("url(#{})", self.pattern);
        let is_first = self.row.along.from == Length::ZERO;
        let millimetres = |length: Length| length.in_unit(Unit::Millimetre);
        html! {
            svg class="board" viewBox={ "0 0 " (mm(self.breadth)) " " (mm(height)) }
                data-from=(millimetres(self.row.along.from))
                data-to=(millimetres(self.row.along.to)) role="img"
                aria-label={ "Board " (board.name) " from above, its marked end at the left" } {
                defs { (hatch(&self.pattern)) }
                (self.block("wood", &waste, whole))
                @for offcut in &marked.plan.offcuts {
                    @if let Some(place) = self.within(Footprint { along: *offcut, across }) {
                        (self.offcut(place))
                    }
                }
                @for (at, section) in marked.plan.sections.iter().enumerate() {
                    @for (index, blank) in section.blanks.iter().enumerate() {
                        @if let Some(place) = self.within(blank.place) {
                            (self.block("blank", "#fff", place))
                            (self.name(at, index, place))
                        }
                    }
                }
                @for flaw in &board.flaws {
                    @let place = Footprint {
                        along: flaw.along,
                        across: flaw.across.unwrap_or(across),
                    };
                    @if let Some(place) = self.within(place) { (self.flaw(place)) }
                }
                (self.block("outline", "none", whole))
                @for label in &self.row.labels { (self.mark(label)) }
                @if is_first {
                    line class="end" x1=(mm(BESIDE)) x2=(mm(BESIDE))
                        y1=(mm(self.row.top)) y2=(mm(self.bottom())) {}
                }
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

    fn offcut(&self, place: Footprint) -> Markup {
        let text = "offcut: keep";
        html! {
            (self.block("offcut", "#fff", place))
            @if let Some(size) = self.size_for(text, place) { (self.text(text, size, place)) }
        }
    }

    /// The fullest name of a blank that fits into it.
    fn name(&self, section: usize, index: usize, place: Footprint) -> Markup {
        let mut names = self.drawing.marked.names(section, index);
        names.retain(|name| !name.is_empty());
        let sized = names.iter().find_map(|name| Some((name, self.size_for(name, place)?)));
        html! {
            @if let Some((name, size)) = sized { (self.text(name, size, place)) }
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
        let foot = self.row.top - 1.2 - label.line as f64 * MARK_ROW;
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
        let unit = self.drawing.marked.unit;
        let (step, each, one) = match unit {
            Unit::Inch => (Length::INCH * 12, 1, 12),
            Unit::Millimetre => (Length::MILLIMETRE * 100, 5, 100),
        };
        let Stretch { from, to } = self.row.along;
        let steps = (to.ratio(step) + 1e-9).floor() as i64;
        let (line, words) = (self.bottom(), self.bottom() + 6.2);
        let first = match from {
            Length::ZERO => "marked end".to_owned(),
            from => format!("from {}", from.written(unit)),
        };
        let left = BESIDE + breadth(&first) * RULER_LETTERS + 3.0;
        let right = self.breadth - BESIDE - breadth("marked edge") * RULER_LETTERS - 3.0;
        html! {
            @for n in 1..=steps {
                @let x = self.x(step * n);
                @let is_named = n % each == 0;
                @if step * n > from {
                    line class="tick" x1=(mm(x)) x2=(mm(x))
                        y1=(mm(line)) y2=(mm(line + if is_named { 2.6 } else { 1.4 })) {}
                    @if is_named && left < x && x < right {
                        text class="tick" x=(mm(x)) y=(mm(words)) font-size=(mm(RULER_LETTERS)) {
                            (n * one)
                        }
                    }
                }
            }
            text class="from" x=(mm(BESIDE)) y=(mm(words)) font-size=(mm(RULER_LETTERS)) {
                (first)
            }
            text class="to" x=(mm(self.breadth - BESIDE)) y=(mm(words))
                font-size=(mm(RULER_LETTERS)) { "marked edge" }
        }
    }
}

/// Lines aslant, for wood that is no piece.
fn hatch(name: &str) -> PreEscaped<String> {
    PreEscaped(format!(
        "<pattern id=\"{name}\" width=\"2\" height=\"2\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><rect width=\"2\" height=\"2\" fill=\"#fff\"/>\
         <line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"2\" stroke=\"#000\" stroke-width=\"0.7\"/></pattern>"
    ))
}

/// A number of millimetres, fine enough that a place on a board is found again to less than
/// a hundredth of one.
fn mm(number: f64) -> String {
    format!("{number:.4}")
}
