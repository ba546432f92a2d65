//! Mitre: cut the ends to length at an angle, the piece turned or the blade
//! tilted.
//!
//! Over a width w an end at `angle` runs on by `w x tan(angle)`. Between
//! parallel ends a height h measures `h / cos(angle)` along the edge; between
//! mirrored ends the short edge is two such runs shorter (common practice, no
//! source).
//!
//! How the piece is turned for its second end decides what comes of it (by
//! geometry). The piece is on the kept side of the blade for both cuts.
//! End for end with the same face up, the other edge comes to the fence: both
//! ends keep what is up or down and swap what is at the fence. Turned over with
//! the same edge to the fence it is the other way round. An upright blade runs
//! across the width, so turning over makes a frame's mirrored ends; a tilted
//! blade runs across the thickness, so turning over makes parallel ones.

use schemars::JsonSchema;
use serde::Deserialize;

use super::crosscut;
use super::drawing::{Drawing, DrawnShape, Material, Point, Scale};
use super::feature::{LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::trace::{EndCut, Trace};
use super::words::scaled;
use super::work::{SHORT_PIECE, Work};
use crate::measure::Length;
use crate::shop::{Act, MachineKind};

pub(super) const KIND: OperationKind =
    OperationKind::of::<Mitre>("mitre", "Cut the ends to length at an angle.", read, EXAMPLES);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "mitre", "at": "saw and sled", "to": "18", "angle": "45", "ends": "mirrored", "measured": "long", "by": "tilted" }"#,
];

/// Saws tilt and turn no further for such a cut.
const STEEPEST: f64 = 45.0;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum MitreEnds {
    /// Both ends lean the same way: a splayed leg.
    Parallel,
    /// The ends lean toward each other: a frame.
    Mirrored,
    /// One end at the angle, the other square.
    One,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum MitreLength {
    /// Along the longest edge.
    #[default]
    Edge,
    /// From the one long point to the other, along the piece: between parallel
    /// ends that is less than a tape from point to point reads.
    Long,
    /// From the one short point to the other.
    Short,
    /// Square from end to end: the height of a splayed leg.
    Square,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum MitreBy {
    /// The piece is turned to the angle, the blade upright.
    #[default]
    Turned,
    /// The blade is tilted.
    Tilted,
}

keys! {
    Mitre: "mitre" {
        /// The length, measured as `measured` says.
        to: F,
        /// How far off square.
        angle: F as degrees,
        /// Which way the two ends lean.
        ends: MitreEnds,
        /// Where the length is measured.
        #[serde(default)]
        measured: MitreLength = "edge",
        /// What is set to the angle.
        #[serde(default)]
        by: MitreBy = "turned",
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Mitre>(reader, |keys, reader| {
        let sound = keys.measured != MitreLength::Square || keys.ends == MitreEnds::Parallel;
        if !sound {
            reader.problem(
                "measured",
                "only parallel ends are square to one another",
                Some("measure to the long points or to the short ones".to_owned()),
            );
        }
        sound
    })
}

/// The lengths of one piece.
#[derive(Clone, Copy, Debug)]
struct MitreLengths {
    /// Along the longest edge, which is against fence and stop.
    edge: Length,
    /// Along the edge opposite.
    opposite: Length,
    /// From long point to long point, along the piece.
    overall: Length,
    /// What an end runs on by over the width.
    run: Length,
    /// What the angle runs across: the width, or the thickness.
    across: Length,
}

impl MitreLengths {
    /// From the one long point to the other, straight across the piece.
    fn diagonal(&self) -> Length {
        let [along, across] = [self.overall, self.across].map(|size| size.nanometres() as f64);
        Length::from_nanometres_f64(along.hypot(across)).unwrap_or(self.overall)
    }
}

impl Operation for Mitre {
    fn sizes(&self) -> Vec<SizedFeature> {
        vec![SizedFeature::wood_left_on(LENGTH)]
    }

    fn cant_be_undone(&self) -> bool {
        true
    }

    fn parts_a_gang(&self) -> bool {
        true
    }

    fn act(&self) -> Act {
        Act::OnSled
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::TableSaw, MachineKind::CrosscutSaw, MachineKind::StopSaw]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let to = work.size(&self.to)?;
        let angle = work.degrees(&self.angle)?;
        let mut out = Outcome::untouched(work.blank, Drawing::new("from above", Scale::Stretched));
        out.findings = work.machine_limits();
        out.findings.extend(crosscut::stop_findings(work));
        if !(0.0 < angle && angle <= STEEPEST) {
            out.findings.push(
                Finding::error(format!(
                    "{angle:.2} degrees off square: a mitre is more than 0 and up to {STEEPEST:.0}"
                ))
                .help("count from square: a crosscut is 0 degrees")
                .key("angle"),
            );
            return Ok(out);
        }
        let Some(lengths) = self.lengths(work, to, angle) else {
            out.findings.push(
                Finding::error(format!("the {} of the piece is unknown", self.across()))
                    .help("give the part's stock a width and a thickness")
                    .key("do"),
            );
            return Ok(out);
        };
        out.drawing = self.draw(work, lengths);
        self.wood(work, &mut out, lengths);
        out.traces.push(Trace::Ends(EndCut::Mitred));
        self.set(work, &mut out, lengths, angle);
        out.facts.push(Fact::degrees("off square", angle));
        out.facts.push(Fact::size("along the longest edge", lengths.edge));
        if self.ends == MitreEnds::Parallel {
            let square = scaled(lengths.edge, angle.to_radians().cos());
            out.facts.push(Fact::size("long point to long point, along it", lengths.overall));
            out.facts.push(Fact::size("tape from long point to long point", lengths.diagonal()));
            out.facts.push(Fact::size("square from end to end", square));
        } else {
            out.facts.push(Fact::size("along the short edge", lengths.opposite));
        }
        self.instruct(work, &mut out, lengths, angle);
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("Same angle, stop {} closer, cut one end again.", work.words(over.target))
    }
}

impl Mitre {
    /// The feature the angle runs across.
    fn across(&self) -> &'static str {
        match self.by {
            MitreBy::Turned => WIDTH,
            MitreBy::Tilted => THICKNESS,
        }
    }

    fn lengths(&self, work: &Work<'_>, to: Length, angle: f64) -> Option<MitreLengths> {
        let across = work.blank.size(self.across())?;
        let (sine, cosine) = angle.to_radians().sin_cos();
        let run = |size| scaled(size, sine / cosine);
        // Either way the piece that differs comes out long.
        let (least, most) = (run(across.least), run(across.most));
        let edge = match (self.measured, self.ends) {
            (MitreLength::Edge, _) | (MitreLength::Long, MitreEnds::Mirrored | MitreEnds::One) => {
                to
            }
            (MitreLength::Long, MitreEnds::Parallel) => to - least,
            (MitreLength::Short, MitreEnds::Parallel | MitreEnds::One) => to + most,
            (MitreLength::Short, MitreEnds::Mirrored) => to + most * 2,
            (MitreLength::Square, _) => scaled(to, 1.0 / cosine),
        };
        let (opposite, overall) = match self.ends {
            MitreEnds::Parallel => (edge, edge + most),
            MitreEnds::Mirrored => (edge - most * 2, edge),
            MitreEnds::One => (edge - most, edge),
        };
        Some(MitreLengths { edge, opposite, overall, run: most, across: across.most })
    }

    /// Whether there is wood enough, and what is left of it.
    fn wood(&self, work: &Work<'_>, out: &mut Outcome, lengths: MitreLengths) {
        let MitreLengths { edge, opposite, overall, .. } = lengths;
        if opposite <= Length::ZERO || edge <= Length::ZERO {
            out.findings.push(
                Finding::error("the two ends meet before the short edge: nothing is left there")
                    .help("use a longer piece, a narrower one, or a smaller angle")
                    .key("to"),
            );
            return;
        }
        let gang = work.blank.gang.max(1);
        match work.blank.size(LENGTH) {
            Some(before) if overall > before.least => out.findings.push(
                Finding::error(format!(
                    "needs {} from long point to long point, and the piece is {}: wood can't be added",
                    work.words(overall),
                    work.words(before.least)
                ))
                .help("make it shorter, or leave more at the rough crosscut")
                .key("to"),
            ),
            _ => out.after.make(LENGTH, edge),
        }
        if gang > 1 {
            out.steps.push(format!("Each blank holds {gang}: cut one, turn, cut the next."));
        }
        out.after.gang = 1;
    }

    fn set(&self, work: &Work<'_>, out: &mut Outcome, lengths: MitreLengths, angle: f64) {
        let from = match self.measured {
            MitreLength::Edge => work.chain(&self.to),
            MitreLength::Long => format!("{}, long point to long point", work.chain(&self.to)),
            MitreLength::Short => format!("{}, short point to short point", work.chain(&self.to)),
            MitreLength::Square => format!("{}, square from end to end", work.chain(&self.to)),
        };
        let tilt = if self.by == MitreBy::Tilted { angle } else { 0.0 };
        let cosine = angle.to_radians().cos();
        // A kerf at an angle takes more of the edge.
        let kerf = work.kerf().map(|kerf| scaled(kerf, 1.0 / cosine));
        // The stop is as high as the piece: the point that is up meets it first.
        let (from, further) = if self.meets_the_stop_above() {
            let run = work.words(lengths.run);
            (format!("{from}; plus {run}, for the upper point meets the stop"), lengths.run)
        } else {
            (from, Length::ZERO)
        };
        crosscut::set_stop_beyond(work, out, lengths.edge, LENGTH, from, kerf, further);
        let base = work.sled();
        if let Some(stock) = work.blank.most(THICKNESS) {
            let (height, findings) = work.blade_through(base, stock, tilt);
            out.settings.extend(height);
            out.findings.extend(findings);
        }
    }

    /// Under a tilted blade the kept piece is below it, so of parallel ends the
    /// one at the stop leans over the sled.
    fn meets_the_stop_above(&self) -> bool {
        self.by == MitreBy::Tilted && self.ends == MitreEnds::Parallel
    }

    /// How the piece is turned between its two ends.
    fn second_end(&self) -> &'static str {
        match (self.ends, self.by) {
            (MitreEnds::One, _) => "Square the other end first.",
            (MitreEnds::Mirrored, MitreBy::Turned) => {
                "Second end: turn over, the same edge to the fence."
            }
            (MitreEnds::Mirrored, MitreBy::Tilted) | (MitreEnds::Parallel, MitreBy::Turned) => {
                "Second end: same face up, end for end, the other edge to the fence."
            }
            (MitreEnds::Parallel, MitreBy::Tilted) => {
                "Second end: turn over, end for end, the same edge to the fence: the other face \
                 comes up."
            }
        }
    }

    fn instruct(&self, work: &Work<'_>, out: &mut Outcome, lengths: MitreLengths, angle: f64) {
        let set = match self.by {
            MitreBy::Turned => "Set fence or sled",
            MitreBy::Tilted => "Tilt the blade",
        };
        out.steps.push(format!("{set} {angle:.2} degrees off square; prove it on scrap."));
        let place: &[&str] = match (self.ends, self.by) {
            (MitreEnds::Parallel, MitreBy::Turned) => {
                &["Turn it so that the end at the stop has its point at the fence."]
            }
            (_, MitreBy::Turned) => &["Longest edge to the fence, its end to the stop."],
            (MitreEnds::Parallel, MitreBy::Tilted) => &[
                "The upper point to the stop, which is as high as the piece.",
                "A tilted blade meets the wood elsewhere than an upright one: the first piece proves the stop.",
            ],
            (_, MitreBy::Tilted) => &[
                "Longest face down, its end to the stop; the stop reaches down to the sled, so \
                 that no point slips under it.",
                "A tilted blade meets the wood elsewhere than an upright one: the first piece proves the stop.",
            ],
        };
        out.steps.extend(place.iter().map(|text| (*text).to_owned()));
        out.steps.push(self.second_end().to_owned());
        out.steps.push(match self.ends {
            MitreEnds::Parallel => format!(
                "Measure along the piece: its long points are {} apart so. A tape from point to \
                 point reads {}.",
                work.words(lengths.overall),
                work.words(lengths.diagonal())
            ),
            _ => "Measure along the longest edge, from point to point.".to_owned(),
        });
        out.cautions.push("Hold it hard: at an angle the blade drags the piece along.".to_owned());
        if self.by == MitreBy::Tilted {
            out.cautions.push(
                "Leave the offcut free, above the tilted blade, never under or against it."
                    .to_owned(),
            );
        }
        if work.blank.least_of(LENGTH).is_some_and(|length| length < SHORT_PIECE) {
            out.cautions.push(work.short_piece_caution());
        }
    }

    fn draw(&self, work: &Work<'_>, lengths: MitreLengths) -> Drawing {
        let MitreLengths { edge, run, across, .. } = lengths;
        let p = Point::new;
        let zero = Length::ZERO;
        // Where each end is below and above: at the fence and away from it, or
        // on the sled and above it. The stop is at zero.
        let above = self.meets_the_stop_above();
        let (start, near) = match self.ends {
            _ if above => (run, zero),
            MitreEnds::One => (zero, zero),
            _ => (zero, run),
        };
        let end = start + edge;
        let far = if self.ends == MitreEnds::Parallel { near + edge } else { end - run };
        let kerf = work.drawn_kerf().max(edge / 60);
        let gap = across / 3;
        let (seen, below) = match self.by {
            MitreBy::Turned => ("from above", "longest edge"),
            MitreBy::Tilted => ("from the front", "longest face down"),
        };
        let mut drawing = Drawing::new(seen, Scale::Stretched)
            .block(Material::Fence, p(-kerf * 2, -gap), p(end.max(far) + kerf * 2, zero))
            .block(Material::Fence, p(-kerf * 2, zero), p(zero, across));
        drawing.shapes.push(DrawnShape::Polygon {
            of: Material::Wood,
            points: vec![p(start, zero), p(end, zero), p(far, across), p(near, across)],
        });
        let blade = vec![p(end, zero), p(end + kerf, zero), p(far + kerf, across), p(far, across)];
        drawing.shapes.push(DrawnShape::Polygon { of: Material::Cutter, points: blade });
        drawing
            .label(p(edge / 2, across / 6), below)
            .label(p(-kerf, across + gap), "stop")
            .dimension(p(start, -gap * 2), p(end, -gap * 2), work.words(edge))
            .measure_here(p(edge / 4, gap / 2))
    }
}
