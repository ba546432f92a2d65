//! Layout: marks drawn from one end and the reference faces, off a story stick.
//!
//! Every distance runs from the same end or face, so that no error adds up
//! (common practice).

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::Deserialize;

use super::blank::Surface;
use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{FeatureName, LENGTH, THICKNESS, WIDTH};
use super::keys::{self, KeyValue, keys};
use super::kind::OperationKind;
use super::order::WorkStage;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::{FormulaText, KeyReader, Keyed};
use super::work::Work;
use crate::measure::{Feature, Length, SafeSide};

pub(super) const KIND: OperationKind = OperationKind::of::<MarkingOut>(
    "layout",
    "Mark out from one end and the reference faces.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "layout", "at": "bench", "marks": [ { "name": "front mortise, top", "at": "1 1/2", "from": "end", "face": "B" } ] }"#,
    r#"{ "do": "layout", "at": "bench", "marks": [ { "name": "groove", "at": "3/8", "from": "face edge", "face": "A" } ] }"#,
];

/// More than this is no layout a person can carry over.
const MOST_MARKS: usize = 100;

keys! {
    MarkingOut: "layout" {
        /// The marks, each from an end or a reference face.
        marks: Vec<LayoutMark<F>>,
    }
}

/// One mark.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Mark")]
struct LayoutMark<F = Keyed> {
    /// What is marked: `front mortise, top`. Checks use this name.
    name: String,
    /// How far from where it is measured.
    at: F,
    /// Where it is measured from; the marked end when left out.
    #[serde(default)]
    from: MarkedFrom,
    /// The face it is drawn on: A the face side, B the face edge, C and D opposite.
    face: MarkedFace,
}

/// What a mark is measured from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum MarkedFrom {
    /// The end all marks are taken from.
    #[default]
    End,
    /// The opposite end; turned into a distance from the one end where the length is known.
    #[serde(rename = "other end")]
    OtherEnd,
    /// The face side, A: across the thickness.
    #[serde(rename = "face side")]
    FaceSide,
    /// The face edge, B: across the width.
    #[serde(rename = "face edge")]
    FaceEdge,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
enum MarkedFace {
    A,
    B,
    C,
    D,
    /// Squared round all four.
    #[serde(rename = "all")]
    All,
}

/// A mark with its distance worked out.
struct PlacedMark<'a> {
    mark: &'a LayoutMark,
    /// From where `from` says.
    from: MarkedFrom,
    at: Length,
}

impl KeyValue<Vec<LayoutMark<FormulaText>>> for Vec<LayoutMark> {
    fn parse(
        written: Vec<LayoutMark<FormulaText>>,
        key: &'static str,
        reader: &mut KeyReader<'_, '_>,
    ) -> Option<Self> {
        let mut marks = Vec::new();
        let count = written.len();
        for (index, LayoutMark { name, at, from, face }) in written.into_iter().enumerate() {
            let at = reader.formula_in_list(key, index, Some("at"), &at);
            let name = name.trim().to_owned();
            marks.extend(at.map(|at| LayoutMark { name, at, from, face }));
        }
        (marks.len() == count).then_some(marks)
    }

    fn hold<'k>(&'k self, all: &mut Vec<&'k Keyed>) {
        all.extend(self.iter().map(|mark| &mark.at));
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<MarkingOut>(reader, |keys, reader| {
        if keys.marks.is_empty() || keys.marks.len() > MOST_MARKS {
            reader.problem("marks", format!("1 to {MOST_MARKS} marks"), None);
            return false;
        }
        let mut names = BTreeSet::new();
        let mut sound = true;
        for mark in &keys.marks {
            let name = mark.name.trim();
            let what = if name.is_empty() {
                "a mark needs a name"
            } else if [LENGTH, WIDTH, THICKNESS].contains(&name) {
                "this is a size of the piece: call the mark something else"
            } else if !names.insert(name) {
                "two marks have this name"
            } else {
                continue;
            };
            reader.problem("marks", format!("`{name}`: {what}"), None);
            sound = false;
        }
        sound
    })
}

impl MarkedFrom {
    fn along(self) -> &'static str {
        match self {
            MarkedFrom::End | MarkedFrom::OtherEnd => LENGTH,
            MarkedFrom::FaceSide => THICKNESS,
            MarkedFrom::FaceEdge => WIDTH,
        }
    }

    fn words(self) -> &'static str {
        match self {
            MarkedFrom::End => "from the end",
            MarkedFrom::OtherEnd => "from the other end",
            MarkedFrom::FaceSide => "from the face side",
            MarkedFrom::FaceEdge => "from the face edge",
        }
    }
}

impl MarkedFace {
    fn words(self) -> &'static str {
        match self {
            MarkedFace::A => "on A",
            MarkedFace::B => "on B",
            MarkedFace::C => "on C",
            MarkedFace::D => "on D",
            MarkedFace::All => "all round",
        }
    }
}

impl Operation for MarkingOut {
    /// A wrong mark is rubbed out: neither side of it is safer.
    fn sizes(&self) -> Vec<SizedFeature> {
        let marks = self.marks.iter();
        marks
            .map(|mark| SizedFeature {
                feature: FeatureName::new(mark.name.as_str()),
                kind: Feature::Length,
                safe: SafeSide::Neither,
            })
            .collect()
    }

    fn works_from_marks(&self) -> bool {
        true
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let placed = self.place(work)?;
        let mut out = Outcome::untouched(work.blank, draw(work, &placed));
        out.findings = findings(work, &placed);
        for PlacedMark { mark, from, at } in &placed {
            let what = format!("{} {}, {}", mark.name, mark.face.words(), from.words());
            out.facts.push(Fact::size(what, *at));
            out.after.make(&mark.name, *at);
        }
        out.steps = vec![
            "Marked faces only: A the face side, B the face edge.".to_owned(),
            "Mark one stick from one end, never from one mark to the next.".to_owned(),
            "Hold the stick to the same end of each piece; knife, square across.".to_owned(),
            "Lay the pieces of one article side by side: their marks must line up.".to_owned(),
        ];
        if placed.iter().any(|placed| placed.from.along() != LENGTH) {
            out.steps.push("Gauge lines with the gauge head on the face named.".to_owned());
        }
        Ok(out)
    }

    fn stage(&self) -> WorkStage {
        WorkStage::Marking
    }

    fn does(&self) -> Option<&'static str> {
        Some("Mark")
    }

    fn cut_again(&self, _: &Work<'_>, _: Over) -> String {
        "Rub the mark out and mark again from the stick.".to_owned()
    }
}

impl MarkingOut {
    /// The marks with their distances: along the length first, in the order
    /// they come from the end, then those from the faces.
    fn place(&self, work: &Work<'_>) -> Result<Vec<PlacedMark<'_>>, Trouble> {
        let mut placed = Vec::new();
        for mark in &self.marks {
            let at = work.length(&mark.at)?;
            let (from, at) = match (mark.from, work.blank.most(LENGTH)) {
                (MarkedFrom::OtherEnd, Some(length)) => (MarkedFrom::End, length - at),
                (from, _) => (from, at),
            };
            placed.push(PlacedMark { mark, from, at });
        }
        placed.sort_by_key(|placed| (placed.from.along() != LENGTH, placed.from as u8, placed.at));
        Ok(placed)
    }
}

fn findings(work: &Work<'_>, placed: &[PlacedMark<'_>]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for PlacedMark { mark, from, at } in placed {
        // The smallest piece has to hold them all.
        let size = work.blank.least_of(from.along());
        if at.is_negative() || size.is_some_and(|size| *at > size) {
            let piece = size.map_or_else(String::new, |size| {
                format!(": the piece is {} there", work.words(size))
            });
            findings.push(
                Finding::error(format!(
                    "the mark {} is outside the piece, {} {}{piece}",
                    mark.name,
                    work.words(*at),
                    from.words()
                ))
                .key("marks"),
            );
        }
        // From the other end, a length that differs moves the mark.
        if mark.from == MarkedFrom::OtherEnd
            && work.blank.size(LENGTH).is_some_and(|length| length.least != length.most)
        {
            findings.push(
                Finding::warning(format!(
                    "{} is measured from the other end, and the pieces differ in length",
                    mark.name
                ))
                .help("mark it from that end, not from the stick, or cut the pieces to one length first")
                .key("marks"),
            );
        }
    }
    for (from, surface, face) in [
        (MarkedFrom::FaceSide, Surface::Face, "face side"),
        (MarkedFrom::FaceEdge, Surface::Edge, "face edge"),
    ] {
        let wanted = placed.iter().any(|placed| placed.from == from);
        if wanted && !work.blank.trued.contains(&surface) {
            findings.push(
                Finding::warning(format!("no true {face} to mark from"))
                    .help("joint it first and mark it as the reference")
                    .key("marks"),
            );
        }
    }
    findings
}

/// The piece with its marks, and how far each is from where it is measured:
/// from above where there is anything along the length, or only one way across
/// it; from the end where only gauge lines both ways are drawn.
fn draw(work: &Work<'_>, placed: &[PlacedMark<'_>]) -> Drawing {
    let from = |origin: MarkedFrom| -> Vec<&PlacedMark<'_>> {
        placed.iter().filter(|held| held.from == origin && !held.at.is_negative()).collect()
    };
    let (along, edge, side) =
        (from(MarkedFrom::End), from(MarkedFrom::FaceEdge), from(MarkedFrom::FaceSide));
    // Each way is stretched to its room, so where no size is known any will do.
    let size = |feature, marks: &[&PlacedMark<'_>]| {
        let farthest = marks.last().map_or(Length::MILLIMETRE, |placed| placed.at);
        work.blank.most(feature).unwrap_or_default().max(farthest).max(Length::MILLIMETRE)
    };
    // A is the face side, B the face edge.
    let (seen, level, upright) = match (along.is_empty(), edge.is_empty(), side.is_empty()) {
        (true, false, false) => {
            ("end view, A down, B at the left", (edge, WIDTH), (side, THICKNESS))
        }
        (_, true, false) => ("B up, A down, end at the left", (along, LENGTH), (side, THICKNESS)),
        (_, true, true) => ("from above, end at the left", (along, LENGTH), (edge, WIDTH)),
        _ => ("A up, B down, end at the left", (along, LENGTH), (edge, WIDTH)),
    };
    let ((level, lengthwise), (upright, across)) = (level, upright);
    let long = size(lengthwise, &level);
    let wide = size(across, &upright);
    let p = Point::new;
    let zero = Length::ZERO;
    let mut drawing =
        Drawing::new(seen, Scale::Stretched).block(Material::Wood, p(zero, zero), p(long, wide));
    for held in &level {
        drawing = drawing.mark(p(held.at, zero), p(held.at, wide));
    }
    for held in &upright {
        drawing = drawing.mark(p(zero, held.at), p(long, held.at));
    }
    for (row, held) in (1..).zip(level.iter().take(MOST_DRAWN)) {
        let y = -wide / 4 * row;
        let text = format!("{} {}", work.words(held.at), held.mark.face.words());
        drawing = drawing.dimension(p(zero, y), p(held.at, y), text);
    }
    for (column, held) in (1..).zip(upright.iter().take(MOST_DRAWN)) {
        let x = long + long / 8 * column;
        drawing = drawing.dimension(p(x, zero), p(x, held.at), work.words(held.at));
    }
    drawing
}

/// More running sizes than this are read from the list beside the drawing.
const MOST_DRAWN: usize = 5;
