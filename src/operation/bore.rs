//! Bore: one hole, or several in a row, by a bit turned in a press.
//! Knows nothing of the screw, peg or bolt that goes in.
//!
//! The fence stands at the hole's centre, half a bit further than the bit's
//! edge; the depth counts from where the bit touches the work (common
//! practice, no source).

use schemars::{JsonSchema, SchemaGenerator};
use serde::Deserialize;

use super::blank::{LENGTH, feature_of};
use super::hole::{self, Hole, Into};
use super::reader::{FormulaText, Keyed, Reader, held};
use super::{Fact, Finding, Kind, Operation, Outcome, Over, Sized, Trouble, Work};
use crate::measure::{Length, Rounds, SafeSide};
use crate::shop::MachineKind;
use crate::wood::Hardness;

pub const KIND: Kind = Kind {
    name: "bore",
    about: "Bore a hole, through or to a depth.",
    read,
    schema: SchemaGenerator::subschema_for::<Keys>,
};

/// The fastest a twist bit up to a diameter, in 64ths of an inch, turns in a
/// minute. Hardwood to 3/16, 3/8 and 1/2: WOOD magazine, `drilling and boring
/// tools`; softwood, and hardwood to 5/8: the chart of woodiswood.com.
const HARD: [(i64, i64); 3] = [(12, 3000), (24, 1500), (40, 750)];
const SOFT: [(i64, i64); 2] = [(24, 3000), (40, 1500)];

#[derive(Deserialize, JsonSchema)]
#[schemars(rename = "bore")]
struct Keys {
    /// Diameter of the hole.
    size: FormulaText,
    /// From the reference face, or the edge where it goes into the face, to the centre.
    from_face: FormulaText,
    /// Along the piece from the end to the centre; from the shoulder in a tenon.
    along: Option<FormulaText>,
    /// In a tenon that is drawn tight by its peg: how much nearer the shoulder
    /// this hole is than the one through the cheeks.
    draw: Option<FormulaText>,
    /// Depth; through the piece when left out.
    depth: Option<FormulaText>,
    /// Into the face, the edge or the end; the face when left out.
    into: Option<Into>,
    /// Which of the holes for a screw it is.
    stage: Option<Stage>,
    /// How many holes a piece gets.
    count: Option<i64>,
}

/// The three holes for a screw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum Stage {
    /// For the thread to bite.
    Pilot,
    /// For the shank to pass.
    Clearance,
    /// For the head or a plug.
    Counterbore,
}

#[derive(Debug)]
struct Bore {
    size: Keyed,
    from_face: Keyed,
    along: Option<Keyed>,
    draw: Option<Keyed>,
    depth: Option<Keyed>,
    into: Into,
    stage: Option<Stage>,
    count: i64,
    makes: String,
}

fn read(reader: &mut Reader<'_, '_>) -> Option<Box<dyn Operation>> {
    let keys: Keys = reader.keys()?;
    let size = reader.formula("size", &keys.size);
    let from_face = reader.formula("from_face", &keys.from_face);
    let along = reader.optional_formula("along", &keys.along);
    let draw = reader.optional_formula("draw", &keys.draw);
    let depth = reader.optional_formula("depth", &keys.depth);
    let into = keys.into.unwrap_or(Into::Face);
    let count = keys.count.unwrap_or(1);
    if !(1..=200).contains(&count) {
        reader.problem("count", "a piece gets 1 to 200 holes", None);
        return None;
    }
    if keys.draw.is_some() && keys.along.is_none() {
        let help = "say with `along` how far from the shoulder the other hole is";
        reader.problem("draw", "nearer the shoulder than what?", Some(help.to_owned()));
        return None;
    }
    let deep_only = keys.stage == Some(Stage::Counterbore) || into == Into::End;
    if deep_only && keys.depth.is_none() {
        reader.problem("do", "this hole doesn't go through: it needs a `depth`", None);
        return None;
    }
    let makes = reader.made_by("hole");
    Some(Box::new(Bore {
        size: size?,
        from_face: from_face?,
        along: along?,
        draw: draw?,
        depth: depth?,
        into,
        stage: keys.stage,
        count,
        makes,
    }))
}

impl Operation for Bore {
    fn formulas(&self) -> Vec<&Keyed> {
        held([
            Some(&self.size),
            Some(&self.from_face),
            self.along.as_ref(),
            self.draw.as_ref(),
            self.depth.as_ref(),
        ])
    }

    fn sizes(&self) -> Vec<Sized> {
        let mut sized = vec![
            Sized::named(&self.feature("size"), SafeSide::Small),
            Sized::named(&self.feature("wall thickness"), SafeSide::Neither),
        ];
        if self.depth.is_some() {
            sized.push(Sized::named(&self.feature("depth"), SafeSide::Small));
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
        let (bit, unfit) = hole::cuts(work, "bit", asked, "size");
        let thick = work.blank.most(self.into.deep());
        let deep = blind.or(thick).unwrap_or(asked);
        let near = centre - bit / 2;
        let hole = Hole { into: self.into, near, wide: bit, deep };

        let mut out = Outcome::untouched(work.blank, hole.draw(work, "", "bit"));
        out.findings = work.machine_limits();
        out.findings.extend(unfit);
        out.findings.extend(hole.sides(work, "from_face"));
        let chain = work.chain(&self.from_face);
        // Off to either side is as bad: the nearest mark is the least off.
        out.settings.push(work.aimed("fence", centre, Length::ZERO, chain, Rounds::Nearest));
        out.facts.push(Fact::size("fence to the bit's edge", near));
        match &self.depth {
            Some(depth) => {
                let chain = work.chain(depth);
                let feature = self.feature("depth");
                out.settings.push(work.depth_setting("depth", deep, &feature, chain));
                out.findings.extend(self.bottom(work, hole));
                out.steps.push("Depth is zero where the bit's point touches the work.".to_owned());
            }
            None => out.steps.push("Through, into a fresh place on a backing board.".to_owned()),
        }
        if let Some(turns) = turns(bit, work.hardness) {
            out.facts.push(Fact::number("turns a minute at most, twist bit", turns));
        }
        self.along(work, &mut out)?;
        out.steps.push("Reference face to the fence, work clamped.".to_owned());
        if self.count > 1 {
            out.facts.push(Fact::number("holes in each piece", self.count));
        }
        out.steps.extend(self.stage.map(|stage| {
            match stage {
                Stage::Pilot => "Pilot: try the screw in an offcut of the same wood.",
                Stage::Clearance => "Clearance: the screw falls through without turning.",
                Stage::Counterbore => "Counterbore first, then the smaller holes on its centre.",
            }
            .to_owned()
        }));
        out.after.make(&self.feature("size"), bit);
        out.after.make(&self.feature("wall thickness"), near);
        if self.depth.is_some() {
            out.after.make(&self.feature("depth"), deep);
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
    fn feature(&self, feature: &str) -> String {
        feature_of(&self.makes, feature)
    }

    /// What is left below a hole that must not come out.
    fn bottom(&self, work: &Work<'_>, hole: Hole) -> Option<Finding> {
        let below = hole.below(work)?;
        if below < Length::ZERO {
            let what = format!("{} deep goes through the piece", work.words(hole.deep));
            let fix = "a shallower hole, or leave `depth` out for one that goes through";
            return Some(Finding::error(what).help(fix).key("depth"));
        }
        (below < Length::inch_fraction(1, 8)).then(|| {
            Finding::warning(format!(
                "only {} below the hole: the point of the bit may come through",
                work.words(below)
            ))
            .help(format!("leave {} or more", work.either("1/8 in", "3 mm")))
            .key("depth")
        })
    }

    /// Where its centre is along the piece.
    fn along(&self, work: &Work<'_>, out: &mut Outcome) -> Result<(), Trouble> {
        let Some(along) = work.optional(&self.along)? else { return Ok(()) };
        let at = match work.optional(&self.draw)? {
            None => {
                out.facts.push(Fact::size("centre from the end", along));
                along
            }
            Some(draw) => {
                let [least, most] = [1, 3].map(|n| Length::inch_fraction(n, 32));
                if !(least..=most).contains(&draw) {
                    let what = format!(
                        "drawn by {}; {}",
                        work.words(draw),
                        work.either(
                            "1/32 in is for fine hardwood, 3/32 in the most",
                            "0.8 mm is for fine hardwood, 2.4 mm the most"
                        )
                    );
                    let fix = "more splits the tenon, less draws nothing";
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
