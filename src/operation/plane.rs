//! Plane: bring pieces to one thickness, or to one square section.
//!
//! `m = ceil((thickest - target - last) / most)` equal roughing steps, then
//! the light last pass, an even number in all so that each face loses the
//! same (common practice).

use super::advice::RowFault;
use super::blank::Surface;
use super::faces::{even, steps};
use super::feature::{LENGTH, THICKNESS};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::ladder::{Ladder, Rung, TABLE};
use super::order::{PartSequence, WorkStage};
use super::outcome::{Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::work::Work;
use crate::measure::Length;
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind = OperationKind::of::<Plane>(
    "plane",
    "Bring pieces to one thickness, or to one square section.",
    keys::read::<Plane>,
    EXAMPLES,
)
.advising(RowFault::in_passes);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "plane", "at": "planer", "to": "leg_square + 1/16", "square": true, "thickest": "1 7/8" }"#,
];

/// The most a roughing pass takes where the shop file says nothing (common
/// practice, no source).
const ROUGHING: Length = Length::inch_fraction(1, 32);
/// The light last pass where the shop file says nothing (common practice, no source).
const LIGHT: Length = Length::inch_fraction(1, 64);

keys! {
    Plane: "plane" {
        /// The size to leave, with whatever later operations still take.
        to: F,
        /// A square section: two faces at each height, a quarter turn between.
        #[serde(default)]
        square: bool,
        /// The thickest point of the thickest piece, when it was measured.
        thickest: Option<F>,
    }
}

impl Operation for Plane {
    fn sizes(&self) -> Vec<SizedFeature> {
        Ladder::sizes(self.square)
    }

    fn stage(&self) -> WorkStage {
        WorkStage::Planing
    }

    fn order(&self, sequence: &PartSequence) -> Vec<Finding> {
        let mut findings = Vec::new();
        if sequence.before.contains(&WorkStage::FinishedLength) {
            findings.push(
                Finding::warning(
                    "planing after the finished length is cut leaves the planer's snipe in the piece",
                )
                .help("plane first, cut to length afterwards"),
            );
        } else if sequence.before.contains(&WorkStage::Sanding) {
            findings.push(
                Finding::warning("planing after sanding: grit left in the wood blunts the knives")
                    .help("plane first, sand afterwards"),
            );
        }
        findings.extend(sequence.thickness_changes());
        findings
    }

    fn comes_down_in_passes(&self) -> bool {
        true
    }

    fn one_size(&self) -> bool {
        self.square
    }

    // The other face is rough until here, and comes clean by what flattening it
    // takes; after that a light pass cleans what moved.
    fn wants(
        &self,
        feature: &str,
        after: Option<Length>,
        work: &Work<'_>,
    ) -> Result<Option<Length>, Trouble> {
        if !self.sizes().iter().any(|sized| sized.feature == feature) {
            return Ok(after);
        }
        let rough = work.rough.other_face.filter(|_| feature == THICKNESS);
        Ok(Some(work.size(&self.to)? + rough.unwrap_or(limits(work).1)))
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::Planer]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let ladder = self.ladder();
        let (target, mut out) = ladder.begin(work)?;
        if !work.blank.trued.contains(&Surface::Face) {
            out.findings.push(
                Finding::warning("no flat face to run on the table: the planer copies the bend")
                    .help("joint a face first")
                    .key("do"),
            );
        }
        let table = ladder.table(work, target);
        let Some(section) = ladder.section(work)? else {
            out.settings.push(table);
            return Ok(out);
        };
        let mut section = section.far_side_first();
        let (most, light) = limits(work);
        // A section far from square is first brought to square on its bigger
        // side alone, so that afterwards all four faces lose the same.
        let square_at = section.width.map_or(target, |width| width.min(section.thickness));
        let mut heights = Vec::new();
        if section.width.is_some() && section.biggest() - square_at > most {
            heights.extend(equal_heights(section.biggest(), square_at, most, Length::ZERO));
        }
        let from = heights.last().copied().unwrap_or(section.biggest());
        if from > target {
            heights.extend(equal_heights(from, target, most, light));
        }
        let offset = work.offset(TABLE, true);
        for height in heights {
            let rung = Rung { height, tool: work.tool_name, offset };
            let number = out.passes.len() + 1;
            let pass = ladder.pass(work, number, table.readout, &mut section, target, &rung);
            out.passes.push(pass);
        }
        out.settings.push(table);
        ladder.end(work, target, &mut out);
        if work.blank.size(LENGTH).is_some() {
            out.steps
                .push("Start from the thickest piece; every piece through each height.".to_owned());
        }
        out.steps.push("Turn end for end when turning over: knives with the grain.".to_owned());
        out.steps.push(format!("Measure mid-length, {} from the ends.", work.clear_of_ends()));
        out.steps.extend(work.mark_again());
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        let (_, light) = limits(work);
        let count = self.again(light, over);
        format!(
            "Another pass for all of them: {} of {} or less.",
            if count == 1 { "one".to_owned() } else { format!("{count} heights") },
            work.words(light)
        )
    }

    fn closer(&self, work: &Work<'_>, over: Over) -> Option<Length> {
        let (_, light) = limits(work);
        Some(over.target / self.again(light, over))
    }
}

impl Plane {
    fn ladder(&self) -> Ladder<'_> {
        Ladder {
            to: &self.to,
            square: self.square,
            thickest: self.thickest.as_ref(),
            cutter: "knives",
        }
    }

    /// How many more light passes bring a piece to size.
    fn again(&self, light: Length, over: Over) -> i64 {
        let count = steps(over.target, light).max(1);
        if self.square { even(count) } else { count }
    }
}

/// The most a roughing pass and the last pass may take.
fn limits(work: &Work<'_>) -> (Length, Length) {
    let most = work.machine.and_then(|machine| machine.most_cut.as_ref());
    let rough = most.map_or(ROUGHING, |m| m.roughing(work.hardness));
    let last = most.and_then(|m| m.last).unwrap_or(LIGHT);
    (rough, last.min(rough))
}

/// Equal steps of at most `most` down to `target`, the last of them `light`
/// when given; an even number in all.
fn equal_heights(from: Length, target: Length, most: Length, light: Length) -> Vec<Length> {
    // So little is left that two equal passes are both light.
    let light = if from - target > light * 2 { light } else { Length::ZERO };
    let lasts = i64::from(!light.is_zero());
    let rough = from - target - light;
    let roughing = even(steps(rough, most) + lasts) - lasts;
    let mut heights: Vec<Length> =
        (1..=roughing).map(|step| from - rough * step / roughing).collect();
    if lasts == 1 {
        heights.push(target);
    }
    heights
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source; by hand: 1.094 - 0.905 - 0.025 = 0.164,
    /// over 1/16 is 2.6, so 3 steps of 0.05467 and the light one make 4 (even).
    #[test]
    fn three_equal_steps_and_a_light_one() {
        let heights = equal_heights(
            Length::thousandths(1094),
            Length::thousandths(905),
            Length::inch_fraction(1, 16),
            Length::thousandths(25),
        );
        let shown: Vec<i64> = heights.iter().map(|h| h.nanometres() / 25_400).collect();
        assert_eq!(shown, [1039, 984, 930, 905]);
    }

    /// By hand: 0.030 is two passes of 0.015, not one of 0.005 and one of 0.025.
    #[test]
    fn little_is_taken_in_two_equal_passes() {
        let [from, target, light] = [1030, 1000, 25].map(Length::thousandths);
        let heights = equal_heights(from, target, Length::inch_fraction(1, 16), light);
        assert_eq!(heights, [Length::thousandths(1015), target]);
    }

    /// By hand: 0.100 - 0.025 = 0.075, over 0.0625 is 2 steps; with the light
    /// one that is 3, odd, so one more step is put in.
    #[test]
    fn an_odd_number_of_passes_gets_one_more() {
        let heights = equal_heights(
            Length::thousandths(1100),
            Length::thousandths(1000),
            Length::inch_fraction(1, 16),
            Length::thousandths(25),
        );
        assert_eq!(heights.len(), 4);
        assert_eq!(heights[3], Length::thousandths(1000));
        assert_eq!(heights[2], Length::thousandths(1025));
    }
}
