//! Bore: one hole, or several in a row, by a bit turned in a press.
//!
//! The fence is set to the hole's centre, half a bit further than the bit's
//! edge; the depth counts from where the bit's lips touch the work, and a hole a
//! little shallow can be bored deeper (common practice, no source).

use schemars::JsonSchema;
use serde::Deserialize;

use super::feature::{DEPTH, FeatureName, LENGTH, SIZE, WALL};
use super::hole::{self, Hole, Into};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::trace::{CutAlong, CutShape, Trace};
use super::work::Work;
use crate::measure::{Length, Rounds, SafeSide};
use crate::shop::MachineKind;
use crate::wood::Hardness;

pub(super) const KIND: OperationKind =
    OperationKind::of::<Bore>("bore", "Bore a hole, through or to a depth.", read, EXAMPLES);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "bore", "at": "drill press", "makes": "hole", "size": "3/8", "from_face": "3/4", "along": "2", "draw": "1/32", "depth": "1", "into": "face", "stage": "counterbore", "count": 2 }"#,
];

/// The fastest a twist bit up to a diameter, in 64ths of an inch, turns in a
/// minute. Hardwood to 3/16, 3/8 and 1/2: WOOD magazine, `drilling and boring
/// tools`; softwood, and hardwood to 5/8: the chart of woodiswood.com.
const HARD: [(i64, i64); 3] = [(12, 3000), (24, 1500), (40, 750)];
const SOFT: [(i64, i64); 2] = [(24, 3000), (40, 1500)];

/// Holes in a piece where a route says nothing.
const ONE_HOLE: i64 = 1;
/// A piece with more holes than this is bored by a jig, not from a list.
const MOST_HOLES: i64 = 200;

/// How much nearer the shoulder the hole in a drawn tenon is (common practice, no source).
const DRAW: [Length; 2] = [Length::inch_fraction(1, 32), Length::inch_fraction(3, 32)];

keys! {
    Bore: "bore", makes {
        /// Diameter of the hole.
        size: F,
        /// From the reference face, or the edge where it goes into the face, to the centre.
        from_face: F,
        /// Along the piece from the end to the centre; from the shoulder in a tenon.
        along: Option<F>,
        /// In the tenon of a drawbored joint: how much nearer the shoulder this
        /// hole is than the hole through the cheeks.
        draw: Option<F>,
        /// Depth; through the piece when left out.
        depth: Option<F>,
        /// Into the face, the edge or the end.
        into: Option<Into> = "face",
        /// Which hole for a screw this is.
        stage: Option<ScrewHole>,
        /// How many holes a piece gets.
        count: Option<i64> as holes = ONE_HOLE,
    }
}

/// The three holes for a screw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum ScrewHole {
    /// For the thread to bite.
    Pilot,
    /// For the shank to pass.
    Clearance,
    /// For the head or a plug.
    Counterbore,
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Bore>(reader, |keys, reader| {
        let deep_only = keys.stage == Some(ScrewHole::Counterbore) || keys.into == Some(Into::End);
        let (key, what, help) = if !(1..=MOST_HOLES).contains(&keys.count.unwrap_or(ONE_HOLE)) {
            ("count", "a piece gets 1 to 200 holes", None)
        } else if keys.draw.is_some() && keys.along.is_none() {
            let help = "say with `along` how far from the shoulder the other hole is";
            ("draw", "`draw` needs the place of the hole through the cheeks", Some(help.to_owned()))
        } else if deep_only && keys.depth.is_none() {
            ("do", "this hole doesn't go through: it needs a `depth`", None)
        } else {
            return true;
        };
        reader.problem(key, what, help);
        false
    })
}

impl Operation for Bore {
    fn sizes(&self) -> Vec<SizedFeature> {
        let mut sized = vec![
            SizedFeature::new(self.feature(SIZE), SafeSide::Small),
            SizedFeature::new(self.feature(WALL), SafeSide::Neither),
        ];
        if self.depth.is_some() {
            sized.push(SizedFeature::new(self.feature(DEPTH), SafeSide::Small));
        }
        sized
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::DrillPress]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let asked = work.size(&self.size)?;
        let centre = work.length(&self.from_face)?;
        let blind = self.depth.as_ref().map(|depth| work.size(depth)).transpose()?;
        let (bit, unfit) = hole::cuts(work, "bit", asked, SIZE);
        let thick = work.blank.most(self.into().deep());
        let deep = blind.or(thick).unwrap_or(asked);
        let near = centre - bit / 2;
        let hole = Hole { into: self.into(), near, wide: bit, deep };

        let mut out = Outcome::untouched(work.blank, hole.draw(work, "", "bit"));
        out.findings = work.machine_limits();
        out.findings.extend(unfit);
        let chain = work.chain(&self.from_face);
        // Off to either side is as bad: the nearest mark is the least off.
        let fence = work.aimed("fence", centre, Length::ZERO, chain, Rounds::Nearest);
        let depth = self.depth.as_ref().map(|depth| {
            let (feature, chain) = (self.feature(DEPTH), work.chain(depth));
            work.sizing_rounded(DEPTH, deep, &feature, chain, Rounds::Down)
        });
        // What is left around it is what the scales make.
        let made = Hole {
            near: fence.setting.predicted - bit / 2,
            deep: depth.as_ref().map_or(deep, |depth| depth.setting.predicted),
            ..hole
        };
        out.findings.extend(made.sides(work, "from_face"));
        out.settings.push(fence);
        out.facts.push(Fact::size("fence to the bit's edge", near));
        match depth {
            Some(depth) => {
                out.settings.push(depth);
                let fix = "make the hole shallower, or leave `depth` out for a through hole";
                out.findings.extend(made.bottom(work, hole::point(bit), "depth", fix));
                out.steps.push(hole::zero_step(work, bit));
            }
            None => out.steps.push("Through, into a fresh place on a backing board.".to_owned()),
        }
        if let Some(turns) = turns(bit, work.hardness) {
            out.facts.push(Fact::number("turns a minute at most, twist bit", turns));
        }
        self.along(work, &mut out)?;
        out.steps.push("Reference face to the fence, work clamped.".to_owned());
        if self.count() > 1 {
            out.facts.push(Fact::number("holes in each piece", self.count()));
        }
        out.steps.extend(self.stage.map(|stage| {
            match stage {
                ScrewHole::Pilot => "Pilot: try the screw in an offcut of the same wood.",
                ScrewHole::Clearance => "Clearance: the screw falls through without turning.",
                ScrewHole::Counterbore => {
                    "Counterbore first, then the smaller holes on its centre."
                }
            }
            .to_owned()
        }));
        out.traces.extend(self.trace(work, bit)?);
        out.after.make(&self.feature(SIZE), bit);
        out.after.make(&self.feature(WALL), near);
        if self.depth.is_some() {
            out.after.make(&self.feature(DEPTH), deep);
        }
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!(
            "Same fence, clamped again: {} more can still be bored out.",
            work.words(over.target)
        )
    }
}

impl Bore {
    fn into(&self) -> Into {
        self.into.unwrap_or(Into::Face)
    }

    fn count(&self) -> i64 {
        self.count.unwrap_or(ONE_HOLE)
    }

    fn feature(&self, feature: &str) -> FeatureName {
        FeatureName::of(self.makes.or("hole"), feature)
    }

    /// Where its centre is along the piece.
    /// One hole has its place. Of several only the first has, and the shoulder
    /// that a drawn one is counted from isn't the end.
    fn trace(&self, work: &Work<'_>, bit: Length) -> Result<Option<Trace>, Trouble> {
        let along = work.optional(&self.along)?;
        let along = along.filter(|_| self.count() == 1 && self.draw.is_none());
        let along = along.map_or(CutAlong::Unknown, |centre| {
            CutAlong::Between(centre - bit / 2, centre + bit / 2)
        });
        let among = self.into().faces();
        Ok(among.map(|among| Trace::cut(CutShape::Hole, among, along)))
    }

    fn along(&self, work: &Work<'_>, out: &mut Outcome) -> Result<(), Trouble> {
        let Some(along) = work.optional(&self.along)? else {
            if self.into() != Into::End {
                out.places.push("Bore at the marks: the route gives no place along it.".to_owned());
            }
            return Ok(());
        };
        let at = match work.optional(&self.draw)? {
            None => {
                out.facts.push(Fact::size("centre from the end", along));
                along
            }
            Some(draw) => {
                let [least, most] = DRAW;
                if !(least..=most).contains(&draw) {
                    let what = format!(
                        "drawn by {}; {}",
                        work.words(draw),
                        work.either(
                            "1/32 in is for fine hardwood, 3/32 in the most",
                            "0.8 mm is for fine hardwood, 2.4 mm the most"
                        )
                    );
                    let fix = "more splits the tenon; less doesn't draw the joint tight";
                    out.findings.push(Finding::warning(what).help(fix).key("draw"));
                }
                out.facts.push(Fact::size("centre from the shoulder", along - draw));
                out.steps
                    .push("The tenon's hole is nearer the shoulder, never further.".to_owned());
                along - draw
            }
        };
        let past = work.blank.least_of(LENGTH).is_some_and(|length| at > length);
        if at <= Length::ZERO || past {
            out.findings.push(Finding::error("the hole isn't on the piece").key("along"));
        }
        Ok(())
    }
}

/// The fastest such a bit turns, where that is published.
fn turns(bit: Length, hardness: Hardness) -> Option<i64> {
    let speeds: &[(i64, i64)] = match hardness {
        Hardness::Hard => &HARD,
        Hardness::Soft => &SOFT,
    };
    let fits = |(most, _): &&(i64, i64)| bit <= Length::inch_fraction(*most, 64);
    speeds.iter().find(fits).map(|(_, turns)| *turns)
}
