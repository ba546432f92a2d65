//! Joint: make a face flat and an edge straight and square to it.
//!
//! `passes = ceil(defect / depth)`; stop at the first pass that cleans it all
//! (common practice).

use schemars::JsonSchema;
use serde::Deserialize;

use super::blank::Surface;
use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::order::{PartSequence, WorkStage};
use super::outcome::{Finding, Outcome, Pass, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::work::Work;
use crate::measure::{Length, Rounds, Target};
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

keys! {
    Jointing: "joint" {
        /// Which surfaces, in order.
        sides: Vec<JointedSide>,
        /// The worst cup, bow or wind to be taken out of each side; one pass when left out.
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

impl JointedSide {
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

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let mut out = Outcome::untouched(work.blank, draw(work));
        // An edge alone is jointed with the piece on its edge.
        let stands = !self.sides.contains(&JointedSide::Face);
        out.findings = work.limits_across(if stands { THICKNESS } else { WIDTH });
        let most = work
            .machine
            .and_then(|machine| machine.most_cut.as_ref())
            .map_or(ONE_PASS, |most| most.roughing(work.hardness));
        let depth = work.plain_setting(
            "depth",
            most,
            Rounds::Down,
            format!("the most one pass may take here is {}", work.words(most)),
        );
        let taken = depth.setting.dial.0;
        if taken <= Length::ZERO {
            out.findings
                .push(Finding::error("the depth scale can't show a cut that light").key("at"));
            return Ok(out);
        }
        let defect = self.defect.as_ref().map_or(Ok(taken), |defect| work.length(defect))?;
        let passes = (defect.nanometres().max(0) + taken.nanometres() - 1) / taken.nanometres();
        let passes = passes.max(1);
        for (index, side) in self.sides.iter().enumerate() {
            let before = out.after.most(side.feature());
            if let Some(before) = before {
                let biggest = out.after.biggest(side.feature());
                out.after.make(side.feature(), before - taken * passes);
                if let Some(biggest) = biggest {
                    out.after.may_be(side.feature(), biggest - taken * passes);
                }
            }
            out.passes.push(Pass {
                target: Target(most),
                faces: vec![side.word()],
                feeds: passes as u32,
                ..Pass::at(index as u32 + 1, work.tool_name, depth.readout, depth.setting)
            });
            let left = before
                .zip(work.finish.get(side.feature()))
                .map(|(before, finish)| (before - *finish).nanometres() / taken.nanometres());
            out.steps.push(match left {
                Some(left) if left >= passes => format!(
                    "Scribble on the {}. Stop when the pencil is gone: expect {}; after {} see the lead.",
                    side.word(),
                    times(passes),
                    times(left)
                ),
                Some(_) => format!(
                    "Not enough wood on the {} for {}: see the lead first.",
                    side.word(),
                    times(passes)
                ),
                None => format!("Joint the {}: expect {}.", side.word(), times(passes)),
            });
            if left.is_some_and(|left| left < passes) {
                out.findings.push(
                    Finding::error(format!(
                        "jointing the {} takes {} and leaves less than the finished size",
                        side.word(),
                        work.words(taken * passes)
                    ))
                    .help("use thicker or wider stock, or cut it smaller first: cup grows with width, bow with length")
                    .key("sides"),
                );
            }
            out.after.trued.insert(match side {
                JointedSide::Face => Surface::Face,
                JointedSide::Edge => Surface::Edge,
            });
        }
        let mut depth = depth;
        depth.by_passes = true;
        out.settings.push(depth);
        out.steps.push("Mark the face side and the face edge.".to_owned());
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, _: Over) -> String {
        format!("One more pass at {}.", work.at.unwrap_or("the jointer"))
    }
}

fn times(passes: i64) -> String {
    if passes == 1 { "1 pass".to_owned() } else { format!("{passes} passes") }
}

fn draw(work: &Work<'_>) -> Drawing {
    let thick = work.blank.most(THICKNESS).unwrap_or(Length::INCH * 2);
    let wide = work.blank.most(WIDTH).unwrap_or(thick);
    let p = Point::new;
    Drawing::new("end view, edge against the fence", Scale::Even)
        .block(Material::Fence, p(-wide / 3, Length::ZERO), p(Length::ZERO, thick + thick / 3))
        .block(Material::Fence, p(-wide / 3, -thick / 4), p(wide + wide / 3, Length::ZERO))
        .block(Material::Wood, p(Length::ZERO, Length::ZERO), p(wide, thick))
        .label(p(wide / 2, thick / 2), "hollow side down")
        .label(p(wide / 2, -thick / 8), "cutter")
}
