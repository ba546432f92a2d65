//! Readings in cut order as a drawing in SVG: limits and other lines with their numbers, a
//! shape for each verdict, and the same in words for whoever can't see it. Judges nothing:
//! verdicts and words are handed in.
//!
//! Nothing is told by colour, so that it can be printed and copied in black.

mod marks;

use maud::{Markup, html};

use super::axis::{PaperAxis, text_width, text_within, written};
use marks::{LabelBoxes, legend, mark};

/// The size of the drawing, its upper edge, and the height of the field that readings are in.
const WIDE: f64 = 480.0;
const TOP: f64 = 16.0;
const FIELD: f64 = 78.0;

/// The height of the letters. At the width of a sheet it is 4 1/2 mm, which can be read at
/// arm's length.
const LETTERS: f64 = 12.0;

/// The height of a row of words.
const ROW: f64 = 15.0;

/// A place is at most so wide, so that few pieces stand together.
const WIDEST_PLACE: f64 = 60.0;

/// At most about so many round numbers stand at the side.
const TICKS: usize = 5;

/// So many readings of one shape are listed in words.
const MOST_LISTED: usize = 24;

/// Words about moments stand in so many rows at most; a moment without room for them is a
/// line, and in the description.
const MOMENT_ROWS: usize = 2;

/// Up to so many readings that are out have their numbers beside them.
const MOST_NUMBERED: usize = 12;

/// What a reading is drawn as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RowShape {
    /// Within limits: a dot.
    Within,
    /// Out of limits: a hollow diamond with its number.
    Out,
    /// Too close to a limit for the gauge: a ring.
    TooClose,
    /// It completes a pattern, within limits or without any: a square.
    Pattern,
    /// Struck out, whatever it was: crossed.
    Struck,
}

/// One reading in a row.
#[derive(Clone, Debug, PartialEq)]
pub struct RowReading {
    /// Where it is on the axis.
    pub value: f64,
    /// The same in figures, as people read it.
    pub text: String,
    /// What it is drawn as.
    pub shape: RowShape,
}

/// One place of a row: a piece, or a reading of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct RowPlace {
    /// Its name: `leg 3`.
    pub name: String,
    /// What was read there.
    pub readings: Vec<RowReading>,
}

/// What a line across a row is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowLineKind {
    /// A limit of the size: drawn through.
    Limit,
    /// The size wanted: dashes and dots.
    Target,
    /// Three sigma: dashes.
    Sigma,
    /// The mean: dots.
    Centre,
}

/// A line across a row.
#[derive(Clone, Debug, PartialEq)]
pub struct RowLine {
    /// Where it is on the axis.
    pub at: f64,
    /// Its name and number: `most 20.031`.
    pub words: String,
    /// What it is.
    pub kind: RowLineKind,
}

/// Something that happened between two places.
#[derive(Clone, Debug, PartialEq)]
pub struct RowMoment {
    /// After so many places.
    pub after: usize,
    /// What: `it moved`.
    pub words: String,
}

/// Readings in cut order.
#[derive(Clone, Debug, PartialEq)]
pub struct RowChart {
    /// What they are of.
    pub title: String,
    /// What the numbers at the side are: `in`, `mm`, or nothing.
    pub unit: String,
    /// Whether they are deviations, so that numbers over zero have a plus.
    pub is_signed: bool,
    /// The least that the axis shows above and below what is drawn.
    pub least_margin: f64,
    /// What the names of places count: `reading`, or nothing where they say it themselves.
    pub each: String,
    /// Every place, in cut order.
    pub places: Vec<RowPlace>,
    /// The lines across.
    pub lines: Vec<RowLine>,
    /// How far from a limit a reading is too close to call; zero where that is not known.
    pub uncertainty: f64,
    /// What happened between two places.
    pub moments: Vec<RowMoment>,
    /// Places, from zero, that are named before others.
    pub named: Vec<usize>,
}

/// Where everything is.
struct RowField {
    sizes: PaperAxis,
    left: f64,
    right: f64,
    per_place: f64,
    top: f64,
}

impl RowField {
    fn of(chart: &RowChart, top: f64) -> RowField {
        let numbers = chart.lines.iter().map(|line| line.at);
        let numbers = numbers.chain(chart.readings().map(|(_, reading)| reading.value));
        let sizes = PaperAxis::over(numbers, (1.0 / 5.0, chart.least_margin), (top + FIELD, top));
        let widest = |texts: &mut dyn Iterator<Item = &str>| {
            texts.map(|text| text_width(text, LETTERS)).fold(0.0, f64::max)
        };
        let ticks = sizes.ticks(TICKS, chart.is_signed);
        let numbers = widest(&mut ticks.iter().map(|tick| tick.text.as_str()));
        let labels = widest(&mut chart.lines.iter().map(|line| line.words.as_str()));
        let left = (numbers + 10.0).clamp(24.0, 110.0);
        let right = WIDE - (labels + 18.0).min(170.0);
        let per_place = ((right - left) / chart.places.len().max(1) as f64).min(WIDEST_PLACE);
        RowField { sizes, left, right, per_place, top }
    }

    fn x(&self, place: usize) -> f64 {
        self.left + (place as f64 + 0.5) * self.per_place
    }

    /// The size of a mark, so that neighbours stay apart.
    fn mark_size(&self) -> f64 {
        (self.per_place * 0.4).clamp(1.8, 3.4)
    }
}

/// A moment, and where its words begin, in which row.
struct PlacedMoment<'a> {
    moment: &'a RowMoment,
    told: Option<(f64, usize, String)>,
}

impl RowChart {
    fn readings(&self) -> impl Iterator<Item = (usize, &RowReading)> {
        let numbered = self.places.iter().enumerate();
        numbered.flat_map(|(n, place)| place.readings.iter().map(move |reading| (n, reading)))
    }

    /// The readings of one shape in words: `leg 7 20.052, leg 9 20.049`.
    fn listed(&self, shape: RowShape) -> String {
        let own = self.readings().filter(|(_, reading)| reading.shape == shape);
        let told = own.map(|(n, reading)| format!("{} {}", self.places[n].name, reading.text));
        let mut told: Vec<String> = told.collect();
        // Every one that is out is told.
        if let (true, Some(more @ 2..)) =
            (shape != RowShape::Out, told.len().checked_sub(MOST_LISTED))
        {
            told.truncate(MOST_LISTED);
            told.push(format!("and {more} more"));
        }
        told.join(", ")
    }

    /// All of it in words.
    pub fn description(&self) -> String {
        let counted = self.readings().filter(|(_, reading)| reading.shape != RowShape::Struck);
        let mut said = vec![format!("Readings in cut order: {}.", counted.count())];
        if !self.lines.is_empty() {
            let lines: Vec<&str> = self.lines.iter().map(|line| line.words.as_str()).collect();
            said.push(format!("Lines: {}.", lines.join(", ")));
        }
        for (shape, words) in marks::SHAPES.iter().skip(1) {
            let listed = self.listed(*shape);
            if !listed.is_empty() {
                said.push(format!("{}: {listed}.", marks::sentence_case(words)));
            }
        }
        for moment in &self.moments {
            if let Some(next) = self.places.get(moment.after) {
                said.push(format!("Before {}: {}.", next.name, moment.words));
            }
        }
        said.join(" ")
    }

    /// The drawing, which shows on its own or inside a page.
    pub fn svg(&self) -> Markup {
        let mut told = LabelBoxes::default();
        let (moments, rows) = self.moment_rows();
        let field = RowField::of(self, TOP + rows as f64 * ROW);
        let below = field.top + FIELD;
        let legend = legend(self, below + 2.0 * ROW + 6.0);
        let high = below + if legend.is_some() { 2.0 * ROW + 14.0 } else { ROW + 8.0 };
        let marks = self.marks(&field, &mut told);
        html! {
            svg xmlns="http://www.w3.org/2000/svg" role="img"
                viewBox=(format!("0 0 {WIDE} {}", written(high)))
                width=(WIDE) height=(written(high))
                font-family="Liberation Sans, Arial, Helvetica, sans-serif" font-size=(LETTERS)
            {
                title { (self.title) }
                desc { (self.description()) }
                rect width=(WIDE) height=(written(high)) fill="#fff" {}
                (self.doubtful(&field))
                (self.axis(&field))
                (self.across(&field))
                @for placed in &moments { (self.moment(placed, &field)) }
                (marks)
                (self.names(&field))
                @if let Some(legend) = legend { (legend) }
            }
        }
    }

    /// The band about each limit in which the gauge can't decide, in grey.
    fn doubtful(&self, field: &RowField) -> Markup {
        let limits = self.lines.iter().filter(|line| line.kind == RowLineKind::Limit);
        html! {
            @if self.uncertainty > 0.0 {
                @for line in limits {
                    @let top = field.sizes.at(line.at + self.uncertainty);
                    @let bottom = field.sizes.at(line.at - self.uncertainty);
                    rect x=(written(field.left)) y=(written(top))
                        width=(written(field.right - field.left))
                        height=(written(bottom - top)) fill="#e4e4e4" {}
                }
            }
        }
    }

    fn axis(&self, field: &RowField) -> Markup {
        let (left, top) = (field.left, field.top);
        html! {
            path fill="none" stroke="#000" stroke-width="1"
                d=(format!("M{0} {1}V{2}H{3}", written(left), written(top),
                    written(top + FIELD), written(field.right))) {}
            @for tick in field.sizes.ticks(TICKS, self.is_signed) {
                path stroke="#000" d=(format!("M{} {}h-4", written(left), written(tick.at))) {}
                text class="tick" x=(written(left - 6.0)) y=(written(tick.at + 4.0))
                    text-anchor="end" data-y=(written(tick.at)) { (tick.text) }
            }
            @if !self.unit.is_empty() {
                text x="0" y=(written(top - 6.0)) font-size="11" { (self.unit) }
            }
        }
    }

    /// Lines across, each with its name and number at the right, moved apart where two would
    /// stand on one another.
    fn across(&self, field: &RowField) -> Markup {
        let mut lines: Vec<&RowLine> = self.lines.iter().collect();
        lines.sort_by(|one, other| other.at.total_cmp(&one.at));
        let places: Vec<f64> = lines.iter().map(|line| field.sizes.at(line.at)).collect();
        let labels = moved_apart(&places, LETTERS + 1.0, (field.top, field.top + FIELD));
        let room = WIDE - field.right - 16.0;
        html! {
            @for (line, (at, label)) in lines.iter().zip(places.iter().zip(&labels)) {
                @let (wide, dashes) = line.kind.stroke();
                path class="line" data-y=(written(*at)) stroke="#000" stroke-width=(wide)
                    stroke-dasharray=[dashes]
                    d=(format!("M{} {}H{}", written(field.left), written(*at),
                        written(field.right))) {}
                path fill="none" stroke="#000" stroke-width="0.7"
                    d=(format!("M{} {}L{} {}", written(field.right), written(*at),
                        written(field.right + 11.0), written(*label))) {}
                text x=(written(field.right + 14.0)) y=(written(label + 4.0)) {
                    (text_within(&line.words, LETTERS, room))
                }
            }
        }
    }

    /// Each moment with its words, where there is room for them, and their row; and how many
    /// rows there are.
    fn moment_rows(&self) -> (Vec<PlacedMoment<'_>>, usize) {
        let field = RowField::of(self, TOP);
        let mut ends: Vec<f64> = Vec::new();
        let mut placed = Vec::new();
        for moment in &self.moments {
            let words = text_within(&moment.words, LETTERS, WIDE - field.left);
            let wide = text_width(&words, LETTERS);
            let x = field.left + moment.after as f64 * field.per_place;
            let from = (x - wide / 2.0).clamp(field.left, (WIDE - wide).max(field.left));
            let row = ends.iter().position(|end| *end + 6.0 <= from).unwrap_or(ends.len());
            match ends.get_mut(row) {
                Some(end) => *end = from + wide,
                None if row < MOMENT_ROWS => ends.push(from + wide),
                None => {}
            }
            let told = (row < MOMENT_ROWS).then_some((from, row, words));
            placed.push(PlacedMoment { moment, told });
        }
        (placed, ends.len())
    }

    fn moment(&self, placed: &PlacedMoment<'_>, field: &RowField) -> Markup {
        let x = field.left + placed.moment.after as f64 * field.per_place;
        let line = |row: usize| TOP + row as f64 * ROW;
        let top = placed.told.as_ref().map_or(field.top, |(_, row, _)| line(*row) + 3.0);
        html! {
            path stroke="#000" stroke-width="1.3" stroke-dasharray="2 2"
                d=(format!("M{} {}V{}", written(x), written(top), written(field.top + FIELD)))
            {
                title { (placed.moment.words) }
            }
            @if let Some((from, row, words)) = &placed.told {
                text x=(written(*from)) y=(written(line(*row))) font-weight="bold" { (words) }
            }
        }
    }

    /// Every reading, those that matter last, so that nothing covers them.
    fn marks(&self, field: &RowField, told: &mut LabelBoxes) -> Markup {
        let mut all: Vec<(usize, &RowReading)> = self.readings().collect();
        all.sort_by_key(|(_, reading)| match reading.shape {
            RowShape::Struck => 0,
            RowShape::Within => 1,
            RowShape::Pattern => 2,
            RowShape::TooClose => 3,
            RowShape::Out => 4,
        });
        // A number stands on the far side of what was wanted, where it hides least.
        let target = self.lines.iter().find(|line| line.kind == RowLineKind::Target);
        let middle = target.map_or(field.top + FIELD / 2.0, |line| field.sizes.at(line.at));
        let size = field.mark_size();
        html! {
            @for (n, reading) in &all {
                @let (x, y) = (field.x(*n), field.sizes.at(reading.value));
                @let name = format!("{} {}", self.places[*n].name, reading.text);
                (mark(reading.shape, (x, y), size, Some(&name)))
            }
            @for (n, reading) in self.numbered() {
                @let (x, y) = (field.x(n), field.sizes.at(reading.value));
                @let room = (field.left + 2.0, field.right);
                @let text = &reading.text;
                @let heights = (field.top, field.top + FIELD + ROW - LETTERS);
                @if let Some((x, y)) = told.free((x, y), text, y < middle, room, heights) {
                    text x=(written(x)) y=(written(y)) font-weight="bold" stroke="#fff"
                        stroke-width="3" paint-order="stroke" stroke-linejoin="round" { (text) }
                }
            }
        }
    }

    /// The readings that are out and have their numbers beside them: all of a few; of many the
    /// first, the last and those furthest off.
    fn numbered(&self) -> Vec<(usize, &RowReading)> {
        let out = self.readings().filter(|(_, reading)| reading.shape == RowShape::Out);
        let out: Vec<(usize, &RowReading)> = out.collect();
        if out.len() <= MOST_NUMBERED {
            return out;
        }
        let by_size = |one: &&(usize, &RowReading), other: &&(usize, &RowReading)| {
            one.1.value.total_cmp(&other.1.value)
        };
        let told = [out.iter().max_by(by_size), out.iter().min_by(by_size)];
        let mut told: Vec<(usize, &RowReading)> =
            told.into_iter().chain([out.first(), out.last()]).flatten().copied().collect();
        told.dedup_by_key(|(n, _)| *n);
        told
    }

    /// Names under their places, as many as stand apart.
    fn names(&self, field: &RowField) -> Markup {
        let count = self.places.len();
        // A word for what the numbers count stands before them.
        let begin = match self.each.as_str() {
            "" => 0.0,
            each => text_width(each, LETTERS) + 8.0,
        };
        let mut taken: Vec<(f64, f64)> = Vec::new();
        let mut shown: Vec<(f64, String)> = Vec::new();
        let out = self.readings().filter(|(_, reading)| reading.shape == RowShape::Out);
        let ends = [0, count.saturating_sub(1)];
        let order = self.named.iter().copied().chain(ends).chain(out.map(|(n, _)| n));
        for n in order.chain(0..count) {
            let Some(place) = self.places.get(n) else { continue };
            let name = text_within(&place.name, LETTERS, WIDE / 3.0);
            let wide = text_width(&name, LETTERS);
            let from = (field.x(n) - wide / 2.0).clamp(begin, (WIDE - wide).max(begin));
            if taken.iter().all(|(start, end)| from + wide + 8.0 < *start || *end + 8.0 < from) {
                taken.push((from, from + wide));
                shown.push((from, name));
            }
        }
        let y = written(field.top + FIELD + ROW);
        html! {
            text x="0" y=(y) { (self.each) }
            @for (from, name) in shown { text x=(written(from)) y=(y) { (name) } }
        }
    }
}

impl RowLineKind {
    /// How wide it is drawn, and its dashes.
    fn stroke(self) -> (&'static str, Option<&'static str>) {
        match self {
            RowLineKind::Limit => ("1.8", None),
            RowLineKind::Target => ("1", Some("9 3 2 3")),
            RowLineKind::Sigma => ("1.1", Some("5 4")),
            RowLineKind::Centre => ("1.1", Some("1.5 3")),
        }
    }
}

/// Places from top to bottom, each at least so far from the next, as near to where they were
/// as the ends allow.
fn moved_apart(places: &[f64], apart: f64, (top, bottom): (f64, f64)) -> Vec<f64> {
    let mut moved: Vec<f64> = places.to_vec();
    let mut least = top;
    for place in &mut moved {
        *place = place.max(least);
        least = *place + apart;
    }
    let mut most = bottom;
    for place in moved.iter_mut().rev() {
        *place = place.min(most);
        most = *place - apart;
    }
    moved
}

#[cfg(test)]
mod tests;
