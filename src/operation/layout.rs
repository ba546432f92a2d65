//! Layout: marks drawn from one end and the reference faces, off a story stick.
//! Knows nothing of what is cut at the marks.
//!
//! Every distance runs from the same end or face, so that no error adds up
//! (common practice).

use std::collections::BTreeSet;

use schemars::{JsonSchema, SchemaGenerator};
use serde::Deserialize;

use super::blank::{LENGTH, Surface, THICKNESS, WIDTH};
use super::drawing::{Drawing, Material, Point, Scale};
use super::reader::{FormulaText, Keyed, Reader};
use super::{Fact, Finding, Kind, Operation, Outcome, Over, Sized, Trouble, Work};
use crate::measure::{Feature, Length, SafeSide};

pub const KIND: Kind = Kind {
    name: "layout",
    about: "Mark out from one end and the reference faces.",
    read,
    schema: SchemaGenerator::subschema_for::<Keys>,
};

/// More than this is no layout a person can carry over.
const MOST_MARKS: usize = 100;

#[derive(Deserialize, JsonSchema)]
#[schemars(rename = "layout")]
struct Keys {
    /// The marks, each from an end or a reference face.
    marks: Vec<MarkKeys>,
}

/// One mark.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Mark")]
struct MarkKeys {
    /// What is marked: `front mortise, top`. Checks speak of it by this name.
    name: String,
    /// How far from where it is measured.
    at: FormulaText,
    /// Where it is measured from; the marked end where left out.
    #[serde(default)]
    from: Origin,
    /// The face it is drawn on: A the face side, B the face edge, C and D opposite.
    face: Face,
}

/// What a mark is measured from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[schemars(rename = "MarkedFrom")]
enum Origin {
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
#[schemars(rename = "MarkedFace")]
enum Face {
    A,
    B,
    C,
    D,
    /// Squared round all four.
    #[serde(rename = "all")]
    All,
}

#[derive(Debug)]
struct Mark {
    name: String,
    at: Keyed,
    from: Origin,
    face: Face,
}

#[derive(Debug)]
struct Layout {
    marks: Vec<Mark>,
}

/// A mark with its distance worked out.
struct Placed<'a> {
    mark: &'a Mark,
    /// From where `from` says.
    from: Origin,
    at: Length,
}

fn read(reader: &mut Reader<'_, '_>) -> Option<Box<dyn Operation>> {
    let keys: Keys = reader.keys()?;
    if keys.marks.is_empty() || keys.marks.len() > MOST_MARKS {
        reader.problem("marks", format!("1 to {MOST_MARKS} marks"), None);
        return None;
    }
    let mut marks = Vec::new();
    let mut names = BTreeSet::new();
    let mut bad = false;
    for (index, keys) in keys.marks.into_iter().enumerate() {
        let name = keys.name.trim().to_owned();
        let taken = if name.is_empty() {
            Some("a mark needs a name")
        } else if [LENGTH, WIDTH, THICKNESS].contains(&name.as_str()) {
            Some("this is a size of the piece: call the mark something else")
        } else if !names.insert(name.clone()) {
            Some("two marks have this name")
        } else {
            None
        };
        if let Some(what) = taken {
            reader.problem("marks", format!("`{name}`: {what}"), None);
            bad = true;
        }
        match reader.formula_in_list("marks", index, Some("at"), &keys.at) {
            Some(at) => marks.push(Mark { name, at, from: keys.from, face: keys.face }),
            None => bad = true,
        }
    }
    (!bad).then(|| Box::new(Layout { marks }) as Box<dyn Operation>)
}

impl Origin {
    fn along(self) -> &'static str {
        match self {
            Origin::End | Origin::OtherEnd => LENGTH,
            Origin::FaceSide => THICKNESS,
            Origin::FaceEdge => WIDTH,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Origin::End => "from the end",
            Origin::OtherEnd => "from the other end",
            Origin::FaceSide => "from the face side",
            Origin::FaceEdge => "from the face edge",
        }
    }
}

impl Face {
    fn words(self) -> &'static str {
        match self {
            Face::A => "on A",
            Face::B => "on B",
            Face::C => "on C",
            Face::D => "on D",
            Face::All => "all round",
        }
    }
}

impl Operation for Layout {
    fn formulas(&self) -> Vec<&Keyed> {
        self.marks.iter().map(|mark| &mark.at).collect()
    }

    /// A wrong mark is rubbed out: neither side of it is safer.
    fn sizes(&self) -> Vec<Sized> {
        let marks = self.marks.iter();
        marks
            .map(|mark| Sized {
                feature: mark.name.clone(),
                kind: Feature::Length,
                safe: SafeSide::Neither,
            })
            .collect()
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let placed = self.place(work)?;
        let mut out = Outcome::untouched(work.blank, draw(work, &placed));
        out.findings = findings(work, &placed);
        for Placed { mark, from, at } in &placed {
            let what = format!("{} {}, {}", mark.name, mark.face.words(), from.words());
            out.facts.push(Fact::size(what, *at));
            out.after.make(&mark.name, *at);
        }
        out.steps = vec![
            "Marked faces only: A the face side, B the face edge.".to_owned(),
            "All on one stick, from one end, never one mark from the next.".to_owned(),
            "Stick to the same end of every piece; knife, then square over.".to_owned(),
            "Pieces of a set side by side: their marks run on in one line.".to_owned(),
        ];
        if placed.iter().any(|placed| placed.from.along() != LENGTH) {
            out.steps.push("Gauge lines with the gauge head on the face named.".to_owned());
        }
        Ok(out)
    }

    fn does(&self) -> Option<&'static str> {
        Some("Mark")
    }

    fn cut_again(&self, _: &Work<'_>, _: Over) -> String {
        "Rub it out and mark it again off the stick.".to_owned()
    }
}

impl Layout {
    /// The marks with their distances: along the length first, in the order
    /// they come from the end, then those from the faces.
    fn place(&self, work: &Work<'_>) -> Result<Vec<Placed<'_>>, Trouble> {
        let mut placed = Vec::new();
        for mark in &self.marks {
            let at = work.length(&mark.at)?;
            let (from, at) = match (mark.from, work.blank.most(LENGTH)) {
                (Origin::OtherEnd, Some(length)) => (Origin::End, length - at),
                (from, _) => (from, at),
            };
            placed.push(Placed { mark, from, at });
        }
        placed.sort_by_key(|placed| (placed.from.along() != LENGTH, placed.from as u8, placed.at));
        Ok(placed)
    }
}

fn findings(work: &Work<'_>, placed: &[Placed<'_>]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for Placed { mark, from, at } in placed {
        // The smallest piece has to hold them all.
        let size = work.blank.least_of(from.along());
        if at.is_negative() || size.is_some_and(|size| *at > size) {
            let piece = size.map_or_else(String::new, |size| {
                format!(": the piece is {} there", work.words(size))
            });
            findings.push(
                Finding::error(format!(
                    "the mark {} lies outside the piece, {} {}{piece}",
                    mark.name,
                    work.words(*at),
                    from.words()
                ))
                .key("marks"),
            );
        }
        // From the other end, a length that differs moves the mark.
        if mark.from == Origin::OtherEnd
            && work.blank.size(LENGTH).is_some_and(|length| length.least != length.most)
        {
            findings.push(
                Finding::warning(format!(
                    "{} is measured from the other end, and the pieces differ in length",
                    mark.name
                ))
                .help("mark it from that end, not off the stick, or cut the pieces alike first")
                .key("marks"),
            );
        }
    }
    for (from, surface, face) in [
        (Origin::FaceSide, Surface::Face, "face side"),
        (Origin::FaceEdge, Surface::Edge, "face edge"),
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
fn draw(work: &Work<'_>, placed: &[Placed<'_>]) -> Drawing {
    let from = |origin: Origin| -> Vec<&Placed<'_>> {
        placed.iter().filter(|held| held.from == origin && !held.at.is_negative()).collect()
    };
    let (along, edge, side) = (from(Origin::End), from(Origin::FaceEdge), from(Origin::FaceSide));
    let size = |feature, marks: &[&Placed<'_>], otherwise: Length| {
        let farthest = marks.last().map_or(otherwise, |placed| placed.at);
        let size = work.blank.most(feature).unwrap_or(farthest).max(farthest);
        size.max(Length::MILLIMETRE)
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
    let long = size(lengthwise, &level, Length::INCH * 12);
    let wide = size(across, &upright, long / 6);
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
