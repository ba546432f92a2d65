//! Joint: make a face flat and an edge straight and square to it.
//!
//! `passes = ceil(defect / depth)`; stop at the first pass that cleans it all,
//! and before the next operation lacks wood: `floor((before - wanted) / depth)`
//! (common practice, no source).

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::Deserialize;

use super::blank::Surface;
use super::drawing::{Drawing, Material, Point, Scale};
use super::faces::steps;
use super::feature::{THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::order::{PartSequence, WorkStage};
use super::outcome::{Fact, Finding, NamedSetting, Outcome, Pass, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::trace::{LongFace, Skin, Trace};
use super::work::Work;
use crate::measure::{Length, Rounds};
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind = OperationKind::of::<Jointing>(
    "joint",
    "Joint a face flat, an edge straight and square to it.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] =
    &[r#"{ "do": "joint", "at": "jointer", "sides": ["face", "edge"], "defect": "3/32" }"#];

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum JointedSide {
    Face,
    Edge,
}

/// The most one pass takes where the shop file says nothing (common practice, no source).
const ONE_PASS: Length = Length::inch_fraction(1, 32);
/// A side that so many passes don't clean is looked at, however much wood there
/// is (common practice, no source).
const MOST_PASSES: i64 = 8;

keys! {
    Jointing: "joint" {
        /// Which surfaces, in order.
        sides: Vec<JointedSide>,
        /// The worst cup, bow or wind to be taken out of each side. When left out, what
        /// the shop file's `clean_up` takes off a rough face, and one pass elsewhere.
        defect: Option<F>,
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Jointing>(reader, |keys, reader| {
        if keys.sides.is_empty() {
            reader.problem("sides", "name at least one side: \"face\" or \"edge\"", None);
        }
        !keys.sides.is_empty()
    })
}

/// The most one pass may take, as the scale shows it.
fn depth(work: &Work<'_>) -> NamedSetting {
    let most = work.machine.and_then(|machine| machine.most_cut.as_ref());
    let most = most.map_or(ONE_PASS, |most| most.roughing(work.hardness));
    let why = format!("the most one pass may take here is {}", work.words(most));
    let depth = work.plain_setting("depth", most, Rounds::Down, why);
    NamedSetting { is_confirmed: false, ..depth }
}

impl Jointing {
    /// How many passes clean a side: enough for the defect, for what flattening
    /// a rough face takes, or one.
    fn passes(&self, side: JointedSide, taken: Length, work: &Work<'_>) -> Result<i64, Trouble> {
        let rough = work.rough.face.filter(|_| side == JointedSide::Face);
        let off = match &self.defect {
            Some(defect) => work.length(defect)?,
            None => rough.unwrap_or(taken),
        };
        Ok(steps(off, taken).max(1))
    }
}

impl JointedSide {
    fn surface(self) -> Surface {
        match self {
            JointedSide::Face => Surface::Face,
            JointedSide::Edge => Surface::Edge,
        }
    }

    /// The first face or edge made true is marked; another one is opposite it.
    fn traces(self, trued: &BTreeSet<Surface>) -> Vec<Trace> {
        let (marked, opposite) = match self {
            JointedSide::Face => (LongFace::A, LongFace::C),
            JointedSide::Edge => (LongFace::B, LongFace::D),
        };
        if trued.contains(&self.surface()) {
            return vec![Trace::skin([opposite], Skin::Planed)];
        }
        vec![Trace::skin([marked], Skin::Planed), Trace::Marked(marked)]
    }

    /// When to stop, and what is wrong where the wood doesn't reach.
    fn stop(
        self,
        work: &Work<'_>,
        before: Option<Length>,
        taken: Length,
        passes: i64,
        out: &mut Outcome,
    ) {
        let (side, expected) = (self.word(), times(passes));
        let later = work.left_for_later.get(self.feature());
        let Some((before, later)) = before.zip(later) else {
            out.steps.push(format!("Joint the {side}: expect {expected}."));
            return;
        };
        let left = (before - later.least).nanometres().div_euclid(taken.nanometres());
        if let Some(op) = later.op {
            let what = format!("{} to leave for op {op}", self.feature());
            out.facts.push(Fact::size(what, later.least));
        }
        if left >= passes {
            let last = left.min(passes.max(MOST_PASSES));
            out.steps.push(format!(
                "Scribble on the {side}. Stop when the pencil is gone: expect {expected}. Still there after {last}: see the lead."
            ));
            return;
        }
        out.steps
            .push(format!("Not enough wood on the {side} for {expected}: see the lead first."));
        let end = before - taken * passes;
        let all = format!("jointing the {side} takes {}", work.words(taken * passes));
        let lacks = |finish| {
            let (end, finish) = (work.words(end), work.words(finish));
            Finding::error(format!("{all} and leaves {end}, less than the finished {finish}"))
        };
        let finding = match (work.finish.get(self.feature()), later.op) {
            (Some(finish), _) if end < *finish => lacks(*finish),
            (_, Some(op)) => Finding::warning(format!(
                "{all} and leaves {}, less than the {} that op {op} needs",
                work.words(end),
                work.words(later.least)
            )),
            (_, None) => lacks(later.least),
        };
        out.findings.push(
            finding
                .help("use thicker or wider stock, or cut it smaller first: cup grows with width, bow with length")
                .key("sides"),
        );
    }

    fn feature(self) -> &'static str {
        match self {
            JointedSide::Face => THICKNESS,
            JointedSide::Edge => WIDTH,
        }
    }

    fn word(self) -> &'static str {
        match self {
            JointedSide::Face => "face",
            JointedSide::Edge => "edge",
        }
    }
}

impl Operation for Jointing {
    fn sizes(&self) -> Vec<SizedFeature> {
        self.sides.iter().map(|side| SizedFeature::wood_left_on(side.feature())).collect()
    }

    fn stage(&self) -> WorkStage {
        WorkStage::Jointing
    }

    // Milled rough, rested and jointed again is right as long as the planer follows.
    fn order(&self, sequence: &PartSequence) -> Vec<Finding> {
        let thicknessed = |stages: &[WorkStage]| stages.iter().any(|stage| stage.thicknesses());
        let mut findings = Vec::new();
        if thicknessed(&sequence.before) && !thicknessed(&sequence.after) {
            findings.push(
                Finding::warning("jointing after thicknessing makes the pieces differ again")
                    .help("joint first, then plane to one thickness"),
            );
        }
        findings.extend(sequence.thickness_changes());
        findings
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::Jointer]
    }

    fn stops_when_clean(&self) -> bool {
        true
    }

    fn wants(
        &self,
        feature: &str,
        after: Option<Length>,
        work: &Work<'_>,
    ) -> Result<Option<Length>, Trouble> {
        let taken = depth(work).setting.dial.0;
        let side = self.sides.iter().find(|side| side.feature() == feature);
        let (Some(side), Some(after)) = (side.filter(|_| taken > Length::ZERO), after) else {
            return Ok(after);
        };
        Ok(Some(after + taken * self.passes(*side, taken, work)?))
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let mut out = Outcome::untouched(work.blank, draw(work, self.sides[0]));
        // An edge alone is jointed with the piece on its edge.
        let stands = !self.sides.contains(&JointedSide::Face);
        out.findings = work.limits_across(if stands { THICKNESS } else { WIDTH });
        let mut depth = depth(work);
        let taken = depth.setting.dial.0;
        if taken <= Length::ZERO {
            out.findings
                .push(Finding::error("the depth scale can't show a cut that light").key("at"));
            return Ok(out);
        }
        for (index, side) in self.sides.iter().enumerate() {
            let passes = self.passes(*side, taken, work)?;
            let before = out.after.most(side.feature());
            if let Some(before) = before {
                let biggest = out.after.biggest(side.feature());
                out.after.make(side.feature(), before - taken * passes);
                if let Some(biggest) = biggest {
                    out.after.may_be(side.feature(), biggest - taken * passes);
                }
            }
            out.passes.push(Pass {
                target: depth.setting.target,
                faces: vec![side.word()],
                feeds: passes as u32,
                drawing: Some(draw(work, *side)),
                ..Pass::at(index as u32 + 1, work.tool_name, depth.readout, depth.setting)
            });
            side.stop(work, before, taken, passes, &mut out);
            out.traces.extend(side.traces(&out.after.trued));
            out.after.trued.insert(side.surface());
        }
        depth.by_passes = true;
        out.settings.push(depth);
        out.steps.insert(0, "Mark the face side and the face edge.".to_owned());
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, _: Over) -> String {
        format!("One more pass at {}.", work.at.unwrap_or("the jointer"))
    }
}

fn times(passes: i64) -> String {
    if passes == 1 { "1 pass".to_owned() } else { format!("{passes} passes") }
}

/// The piece on the side that is jointed: the face down with an edge against the fence,
/// or the edge down with the jointed face against it.
fn draw(work: &Work<'_>, side: JointedSide) -> Drawing {
    let thick = work.blank.most(THICKNESS).unwrap_or(Length::INCH * 2);
    let wide = work.blank.most(WIDTH).unwrap_or(thick);
    let (view, hollow, across, high) = match side {
        JointedSide::Face => ("end view, edge against the fence", "hollow side down", wide, thick),
        JointedSide::Edge => {
            ("end view, jointed face against the fence", "hollow edge down", thick, wide)
        }
    };
    let p = Point::new;
    Drawing::new(view, Scale::Even)
        .block(Material::Fence, p(-across / 3, Length::ZERO), p(Length::ZERO, high + high / 3))
        .block(Material::Fence, p(-across / 3, -high / 4), p(across + across / 3, Length::ZERO))
        .block(Material::Wood, p(Length::ZERO, Length::ZERO), p(across, high))
        .label(p(across / 2, high / 2), hollow)
        .label(p(across / 2, -high / 8), "cutter")
}
