//! Plane: bring pieces to one thickness, or to one square section.
//!
//! `m = ceil((thickest - target - last) / most)` equal roughing steps, then
//! the light last pass, an even number in all so that each face loses the
//! same (common practice). Each height goes to a mark of the scale, and where
//! a bite would then be over the limit there are more of them: see `bites`.
//!
//! A square section whose face side and face edge are jointed keeps both on the
//! table: only the faces opposite go up (common practice, no source).

use super::advice::RowFault;
use super::bites::{Bites, Grid};
use super::blank::Surface;
use super::faces::{FourFaces, even, steps};
use super::feature::{LENGTH, THICKNESS};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::ladder::{Ladder, Rung, TABLE};
use super::order::{PartSequence, WorkStage};
use super::outcome::{Finding, NamedSetting, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::trace::{Skin, Trace};
use super::work::Work;
use crate::measure::{Dial, Length, Readout, Rounds, ScaleOffset};
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
        out.traces.push(Trace::closed_in(self.square, Skin::Planed));
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
        let made = table.setting.predicted;
        let rests = self.rests_on_jointed(work);
        let section = if rests { section.far_side_alone() } else { section.far_side_first() };
        self.passes(work, &mut out, section, target, &table);
        out.settings.push(table);
        ladder.end(work, target, made, &mut out);
        if work.blank.size(LENGTH).is_some() {
            out.steps
                .push("Start from the thickest piece; every piece through each height.".to_owned());
        }
        out.steps.push("Turn end for end when turning over: knives with the grain.".to_owned());
        out.steps.push(format!("Measure mid-length, {} from the ends.", work.clear_of_ends()));
        // What stays on the table keeps its pencil marks.
        out.steps.splice(0..0, work.mark_again().filter(|_| !rests));
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        let light = lightest(work);
        let count = self.again(light, over);
        format!(
            "Another pass for all of them: {} of {} or less.",
            if count == 1 { "one".to_owned() } else { format!("{count} heights") },
            work.words(light)
        )
    }

    fn closer(&self, work: &Work<'_>, over: Over) -> Option<Length> {
        Some(over.target / self.again(lightest(work), over))
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

    /// Whether the jointed face side and face edge stay on the table.
    fn rests_on_jointed(&self, work: &Work<'_>) -> bool {
        let trued = &work.blank.trued;
        self.square && trued.contains(&Surface::Face) && trued.contains(&Surface::Edge)
    }

    fn passes(
        &self,
        work: &Work<'_>,
        out: &mut Outcome,
        mut section: FourFaces,
        target: Length,
        table: &NamedSetting,
    ) {
        let (most, light) = limits(work);
        let scale = Marks { readout: table.readout, offset: work.offset(TABLE, true) };
        let end = scale.readout.count(table.setting.dial.0, Rounds::Nearest);
        let thickest = section.biggest();
        if thickest <= target {
            return;
        }
        // A section far from square is first brought to square on its bigger
        // side alone, so that afterwards all four faces lose the same.
        let square_at = section.width.map(|width| width.min(section.thickness).max(target));
        let first = square_at.filter(|square_at| thickest - *square_at > most);
        let first = first.map(|square_at| (square_at, scale.above(square_at)));
        let first = first.filter(|(_, mark)| *mark > end);
        let mut marks = Vec::new();
        let mut from = thickest;
        for (to, mark, light) in first
            .map(|(square_at, mark)| (square_at, mark, Length::ZERO))
            .into_iter()
            .chain([(target, end, light)])
        {
            match scale.heights(from, to, mark, (most, light)) {
                Some(heights) => marks.extend(heights),
                None => {
                    out.findings.push(work.too_coarse(TABLE, &scale.readout, most));
                    return;
                }
            }
            from = marks.last().map_or(from, |mark| scale.made(*mark));
        }
        out.findings.extend(work.coarse_for_light(TABLE, &scale.readout, light));
        // Too little for the scale to show still goes through at the size.
        if marks.is_empty() {
            marks.push(end);
        }
        for (n, mark) in marks.iter().enumerate() {
            let rung = Rung {
                dial: Dial(scale.readout.mark(*mark)),
                wanted: (n + 1 == marks.len()).then_some(target),
                tool: work.tool_name,
                offset: scale.offset,
            };
            let ladder = self.ladder();
            out.passes.push(ladder.pass(work, n + 1, scale.readout, &mut section, &rung));
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

/// The light pass, or one step of the scale where that is more.
fn lightest(work: &Work<'_>) -> Length {
    let (_, light) = limits(work);
    light.max(work.readout(TABLE).step)
}

/// The marks of the table's scale, and what they make.
#[derive(Clone, Copy)]
struct Marks {
    readout: Readout,
    offset: ScaleOffset,
}

impl Marks {
    /// The lowest mark that leaves a height or more.
    fn above(&self, height: Length) -> i64 {
        self.readout.count(height - self.offset.0, Rounds::Up)
    }

    fn made(&self, mark: i64) -> Length {
        self.readout.mark(mark) + self.offset.0
    }

    /// The marks on the way from `from` down to `end`, which is the one for
    /// `target`: bites of at most `most`, the last of them `light` when given,
    /// an even number of them where that can be. None where there is no wood to
    /// take; `None` where one step of the scale is over the limit.
    fn heights(
        &self,
        from: Length,
        target: Length,
        end: i64,
        (most, light): (Length, Length),
    ) -> Option<Vec<i64>> {
        let wood = from - self.made(end);
        let last = if light.is_zero() { most } else { light };
        let bites = Bites::of(&Grid::of(self.readout), wood, most, last)?;
        if wood <= Length::ZERO {
            return Some(Vec::new());
        }
        let wanted = equal_heights(from, target, most, light);
        let count = bites.count(wanted.len() as i64, true);
        let ideal = match count == wanted.len() as i64 {
            true => wanted,
            false => heights_of(from, target, light, count),
        };
        let ideal: Vec<i64> = ideal.iter().map(|height| self.above(*height) - end).collect();
        Some(bites.left(count, &ideal).into_iter().map(|steps| end + steps).collect())
    }
}

/// Equal steps of at most `most` down to `target`, the last of them `light`
/// when given; an even number in all.
fn equal_heights(from: Length, target: Length, most: Length, light: Length) -> Vec<Length> {
    let light = light_of(from, target, light);
    let lasts = i64::from(!light.is_zero());
    let count = even(steps(from - target - light, most) + lasts);
    heights_of(from, target, light, count)
}

/// So many equal steps down to `target`, the last of them `light` when given.
fn heights_of(from: Length, target: Length, light: Length, count: i64) -> Vec<Length> {
    let light = light_of(from, target, light);
    let roughing = (count - i64::from(!light.is_zero())).max(1);
    let rough = from - target - light;
    let mut heights: Vec<Length> =
        (1..=roughing).map(|step| from - rough * step / roughing).collect();
    if !light.is_zero() {
        heights.push(target);
    }
    heights
}

/// The light last pass; none where so little is left that two equal passes are
/// both light.
fn light_of(from: Length, target: Length, light: Length) -> Length {
    if from - target > light * 2 { light } else { Length::ZERO }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Shows, Unit};

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

    /// By hand, on steps of 1/32 with a limit of 3/64 (0.0469) and a light pass
    /// of 1/64: 1.47 stands 0.0013 over 1 15/32, so the first pass takes that and
    /// 1/32, and the six others 1/32 each; two steps would be 1/16. Seven can't
    /// be made even: a pass of 0.0013 alone makes the eighth.
    #[test]
    fn printed_marks_take_one_step_a_pass() {
        let step = Length::inch_fraction(1, 32);
        let readout = Readout { unit: Unit::Inch, step, shows: Shows::Fraction };
        let scale = Marks { readout, offset: ScaleOffset(Length::ZERO) };
        let limits = (Length::inch_fraction(3, 64), Length::inch_fraction(1, 64));
        let target = Length::inch_fraction(5, 4);
        let heights = scale.heights(Length::thousandths(1470), target, 40, limits).unwrap();
        assert_eq!(heights, [47, 46, 45, 44, 43, 42, 41, 40]);
        // From 1 15/32 itself there are seven steps and no other way.
        let from = Length::inch_fraction(47, 32);
        let heights = scale.heights(from, target, 40, limits).unwrap();
        assert_eq!(heights, [46, 45, 44, 43, 42, 41, 40]);
    }
}
