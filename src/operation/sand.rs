//! Sand: bring pieces to size through the grits on a belt or drum.
//!
//! Worked backwards: a grit ends where the finer ones still have what they
//! need from each face to clear its scratches. Square sections lose one step
//! of both sizes at each height but on two faces only, so the number of
//! heights at each grit is even. Needs and limits by grit: wide-belt set-up
//! article by an abrasives technician, Woodworking Network, 7 Aug 2014; the
//! even rule is common practice.

use super::advice::RowFault;
use super::faces::{FourFaces, even, steps};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::ladder::{Ladder, Rung, TABLE};
use super::order::{PartSequence, WorkStage};
use super::outcome::{Finding, NamedSetting, Outcome, Pass, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::words;
use super::work::Work;
use crate::measure::{Length, Readout, Rounds, ScaleOffset, Target};
use crate::shop::{MachineKind, Tool};

pub(super) const KIND: OperationKind = OperationKind::of::<Sand>(
    "sand",
    "Bring pieces to size through the grits on a belt or drum.",
    read,
    EXAMPLES,
)
.advising(RowFault::with_a_belt);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "sand", "at": "wide-belt sander", "to": "leg_square", "square": true, "belts": ["80 grit", "120 grit"], "thickest": "1.290" }"#,
];

/// The most a belt takes where the shop file says nothing (common practice, no source).
const MOST: Length = Length::inch_fraction(1, 64);

keys! {
    Sand: "sand" {
        /// The finished size.
        to: F,
        /// A square section: two faces at each height, a quarter turn between.
        #[serde(default)]
        square: bool,
        /// The belts or rolls, coarse to fine; all the machine has when left out.
        belts: Option<Vec<String>>,
        /// The thickest point of the thickest piece, when it was measured.
        thickest: Option<F>,
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Sand>(reader, |keys, reader| {
        let none = keys.belts.as_ref().is_some_and(Vec::is_empty);
        if none {
            reader.problem("belts", "name at least one belt, or leave the key out", None);
        }
        !none
    })
}

/// A belt with what it may take and what the next must take after it.
struct Belt<'a> {
    name: &'a str,
    most: Length,
    need: Length,
    offset: ScaleOffset,
}

impl Operation for Sand {
    fn sizes(&self) -> Vec<SizedFeature> {
        Ladder::sizes(self.square)
    }

    fn stage(&self) -> WorkStage {
        WorkStage::Sanding
    }

    fn order(&self, sequence: &PartSequence) -> Vec<Finding> {
        sequence.thickness_changes()
    }

    fn comes_down_in_passes(&self) -> bool {
        true
    }

    fn one_size(&self) -> bool {
        self.square
    }

    // Each grit clears the scratches before it off both faces.
    fn wants(
        &self,
        feature: &str,
        after: Option<Length>,
        work: &Work<'_>,
    ) -> Result<Option<Length>, Trouble> {
        if !self.sizes().iter().any(|sized| sized.feature == feature) {
            return Ok(after);
        }
        let (belts, _) = self.belts(work);
        let target = work.size(&self.to)?;
        Ok(Some(belts.iter().fold(target, |size, belt| size + belt.need * 2)))
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::ThicknessSander]
    }

    fn chooses_tools(&self) -> bool {
        true
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let ladder = self.ladder();
        let (target, mut out) = ladder.begin(work)?;
        let (belts, findings) = self.belts(work);
        out.findings.extend(findings);
        if let Some(section) = ladder.section(work)?
            && !belts.is_empty()
        {
            self.passes(work, &mut out, section, target, &belts);
        }
        let mut table = ladder.table(work, target);
        // The last belt makes the size, whichever tool the route names.
        if let Some(belt) = belts.last() {
            let target = Target(target);
            table.setting = table.readout.dial(target, work.aim, belt.offset, Rounds::Up);
            if let Some(pass) = out.passes.last() {
                table.setting.dial = pass.dial;
                table.setting.predicted = pass.dial.0 + belt.offset.0;
            }
        }
        out.settings.push(table);
        ladder.end(work, target, &mut out);
        self.instruct(work, &mut out);
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        let Some((count, step)) = self.again(work, over) else {
            return "Feed it again at the last height.".to_owned();
        };
        let turns = if self.square {
            let round = ["A, B", "C, D"];
            let turns: Vec<&str> = (0..count).map(|n| round[(n % 2) as usize]).collect();
            turns.join(" then ")
        } else {
            let turns: Vec<&str> = (0..count).map(|n| ["A", "C"][(n % 2) as usize]).collect();
            turns.join(" then ")
        };
        format!(
            "{count} more settings, {} closer each: faces {turns}.",
            words::decimal(step, work.unit)
        )
    }

    fn closer(&self, work: &Work<'_>, over: Over) -> Option<Length> {
        self.again(work, over).map(|(_, step)| step)
    }
}

impl Sand {
    fn ladder(&self) -> Ladder<'_> {
        Ladder {
            to: &self.to,
            square: self.square,
            thickest: self.thickest.as_ref(),
            cutter: "belt",
        }
    }

    /// How many more settings, and how much closer each: enough to come inside
    /// the limit, as near the size as the belt and the jog button let it.
    fn again(&self, work: &Work<'_>, over: Over) -> Option<(i64, Length)> {
        let most = self.belts(work).0.last()?.most;
        let jog = work.machine.and_then(|machine| machine.jog).filter(|jog| *jog <= most);
        let grid = jog.unwrap_or(Length::from_nanometres(1)).nanometres();
        let whole = |length: Length| Length::from_nanometres(length.nanometres() / grid * grid);
        let most = whole(most);
        let count = even(steps(over.limit, most));
        let least = on_grid(over.limit / count, jog);
        Some((count, whole(over.target / count).max(least).min(most)))
    }

    /// The belts in order, as far as the shop file knows them.
    fn belts<'a>(&self, work: &Work<'a>) -> (Vec<Belt<'a>>, Vec<Finding>) {
        let mut findings = Vec::new();
        let Some(machine) = work.machine else { return (Vec::new(), findings) };
        let mut chosen: Vec<(&'a str, &'a Tool)> = Vec::new();
        match (&self.belts, work.tool_name.zip(work.tool)) {
            (Some(names), _) => {
                for name in names {
                    match machine.tools.get_key_value(name) {
                        Some((name, tool)) => chosen.push((name, tool)),
                        None => {
                            let near = crate::prose::nearest(
                                name,
                                machine.tools.keys().map(String::as_str),
                            );
                            let mut finding = Finding::error(format!(
                                "no belt here is called `{}`",
                                crate::prose::visible(name)
                            ))
                            .key("belts");
                            if let Some(near) = near {
                                finding = finding.help(format!("did you mean `{near}`?"));
                            }
                            findings.push(finding);
                        }
                    }
                }
            }
            (None, Some((name, tool))) => chosen.push((name, tool)),
            (None, None) => {
                chosen.extend(machine.tools.iter().map(|(name, tool)| (name.as_str(), tool)));
                chosen.sort_by_key(|(_, tool)| tool.grit);
            }
        }
        let limit = machine.most_cut.as_ref().map(|most| most.roughing(work.hardness));
        let belts: Vec<Belt<'a>> = chosen
            .into_iter()
            .map(|(name, tool)| {
                let most = [tool.most, limit].into_iter().flatten().min();
                Belt {
                    name,
                    most: most.unwrap_or(MOST),
                    need: tool.need.unwrap_or(Length::ZERO),
                    offset: tool.scale_offset(TABLE, true),
                }
            })
            .collect();
        if belts.is_empty() && findings.is_empty() {
            findings.push(Finding::error("the shop file gives this sander no belts").key("at"));
        }
        (belts, findings)
    }

    fn passes(
        &self,
        work: &Work<'_>,
        out: &mut Outcome,
        mut section: FourFaces,
        target: Length,
        belts: &[Belt<'_>],
    ) {
        let ladder = self.ladder();
        let readout = work.readout(TABLE);
        let jog = work.machine.and_then(|machine| machine.jog);
        let thickest = section.biggest();
        out.settings.push(to_start(work, readout, thickest, belts));
        if thickest <= target {
            return;
        }
        let ends = ends(target, belts, jog);
        let mut from = thickest;
        let mut previous = None;
        for (belt, end) in belts.iter().zip(ends) {
            if from <= end {
                out.findings.push(
                    Finding::warning(format!(
                        "{} leaves the {} nothing to do: the finer belts need it all",
                        work.words(thickest),
                        belt.name
                    ))
                    .help("leave more on, or start with a finer belt")
                    .key("to"),
                );
                continue;
            }
            let Some(heights) = heights(from, end, belt.most, jog) else {
                out.findings.push(
                    Finding::error(format!(
                        "one press of the jog button moves more than the {} may take",
                        belt.name
                    ))
                    .help("close with the handwheel, or use a finer jog")
                    .key("at"),
                );
                return;
            };
            for height in heights {
                let rung = Rung { height, tool: Some(belt.name), offset: belt.offset };
                let number = out.passes.len() + 1;
                let mut pass = ladder.pass(work, number, readout, &mut section, target, &rung);
                pass.presses = presses(previous, pass.dial.0, jog);
                previous = Some(pass.dial.0);
                out.passes.push(pass);
            }
            // Another belt is another backing: its first height is found anew.
            previous = previous.filter(|_| belts.iter().all(|other| other.offset == belt.offset));
            from = end;
        }
        if work.machine.is_some_and(|machine| machine.kiss)
            && let Some(last) = out.passes.last().cloned()
        {
            let number = last.number + 1;
            out.passes.push(Pass { number, kiss: true, presses: None, ..last });
        }
    }

    fn instruct(&self, work: &Work<'_>, out: &mut Outcome) {
        let jog = work.machine.and_then(|machine| machine.jog);
        out.steps.push("Scribble on every face; stand to the side of the infeed.".to_owned());
        out.steps.push(if self.square {
            "Sand both named faces of every piece, a quarter turn apart, before you close further."
                .to_owned()
        } else {
            "Every piece through at each height, then turn them over.".to_owned()
        });
        if jog.is_some() {
            out.steps.push("One person jogs and calls the scale, another watches it.".to_owned());
        }
        out.steps
            .push("Come down to the number. Overshot? Open up and come down again.".to_owned());
        out.steps.extend(work.mark_again());
    }
}

/// The height to begin at, which takes nothing yet.
fn to_start(
    work: &Work<'_>,
    readout: Readout,
    thickest: Length,
    belts: &[Belt<'_>],
) -> NamedSetting {
    let first = belts.first().map_or(ScaleOffset(Length::ZERO), |belt| belt.offset);
    NamedSetting {
        name: "table, to start".to_owned(),
        readout,
        setting: readout.dial(Target(thickest), Length::ZERO, first, Rounds::Up),
        rounds: Rounds::Up,
        why: format!("just clears the thickest piece, {}", work.words(thickest)),
        by_passes: false,
        sizes: None,
        shrinks: None,
        beyond: Length::ZERO,
    }
}

/// Where each belt ends, worked backwards from the finished size.
fn ends(target: Length, belts: &[Belt<'_>], jog: Option<Length>) -> Vec<Length> {
    let mut ends = Vec::new();
    let mut end = target;
    for index in (0..belts.len()).rev() {
        if index + 1 < belts.len() {
            // Two faces, each of which the next belt must clean by this need.
            end = target + on_grid(end + belts[index].need * 2 - target, jog);
        }
        ends.push(end);
    }
    ends.reverse();
    ends
}

/// Rounded up to a whole number of jog presses.
fn on_grid(amount: Length, jog: Option<Length>) -> Length {
    match jog {
        Some(jog) => jog * steps(amount, jog),
        None => amount,
    }
}

/// Equal heights from `from` to `end`, an even number, none taking more than
/// `most`; `None` when a press of the jog button alone takes more.
fn heights(from: Length, end: Length, most: Length, jog: Option<Length>) -> Option<Vec<Length>> {
    if jog.is_some_and(|jog| jog > most) {
        return None;
    }
    let removal = from - end;
    let mut count = even(steps(removal, most));
    loop {
        let heights: Vec<Length> =
            (1..=count).map(|n| end + on_grid(removal * (count - n) / count, jog)).collect();
        let mut above = from;
        let fits = heights.iter().all(|height| {
            let step = above - *height;
            above = *height;
            step <= most
        });
        if fits {
            return Some(heights);
        }
        count += 2;
    }
}

/// How often the jog button is pressed, when that is a whole number.
fn presses(from: Option<Length>, to: Length, jog: Option<Length>) -> Option<u32> {
    let (from, jog) = (from?, jog?);
    let moved = (from - to).nanometres();
    (moved > 0 && moved % jog.nanometres() == 0).then(|| (moved / jog.nanometres()) as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thousandths(lengths: &[Length]) -> Vec<i64> {
        lengths.iter().map(|l| l.nanometres() / 25_400).collect()
    }

    fn belt(most: i64, need: i64) -> Belt<'static> {
        Belt {
            name: "belt",
            most: Length::thousandths(most),
            need: Length::thousandths(need),
            offset: ScaleOffset(Length::ZERO),
        }
    }

    /// Common practice, no source; by hand: 80 grit ends at
    /// 1.250 + 2 x 0.008 = 1.266; 0.024 in two steps of 0.012; 0.016 in two of 0.008.
    #[test]
    fn stool_legs_on_the_wide_belt() {
        let belts = [belt(15, 8), belt(10, 4)];
        let jog = Some(Length::thousandths(4));
        let ends = ends(Length::thousandths(1250), &belts, jog);
        assert_eq!(thousandths(&ends), [1266, 1250]);
        let coarse = heights(Length::thousandths(1290), ends[0], belts[0].most, jog).unwrap();
        assert_eq!(thousandths(&coarse), [1278, 1266]);
        let fine = heights(ends[0], ends[1], belts[1].most, jog).unwrap();
        assert_eq!(thousandths(&fine), [1258, 1250]);
        assert_eq!(presses(Some(coarse[0]), coarse[1], jog), Some(3));
    }

    /// The same legs on a drum that takes 0.006, then 0.004 (common practice).
    #[test]
    fn stool_legs_on_the_drum() {
        let belts = [belt(6, 8), belt(4, 4)];
        let ends = ends(Length::thousandths(1250), &belts, None);
        let coarse = heights(Length::thousandths(1290), ends[0], belts[0].most, None).unwrap();
        assert_eq!(thousandths(&coarse), [1284, 1278, 1272, 1266]);
        let fine = heights(ends[0], ends[1], belts[1].most, None).unwrap();
        assert_eq!(thousandths(&fine), [1262, 1258, 1254, 1250]);
    }

    /// By hand: 0.006 by 0.003 at most are two heights, but on presses of 0.002
    /// the second of them takes 0.004. Three heights would fit, and leave two
    /// faces with one more cut than the others: four.
    #[test]
    fn heights_stay_even_where_presses_force_more() {
        let (from, end) = (Length::thousandths(1006), Length::thousandths(1000));
        let (most, jog) = (Length::thousandths(3), Some(Length::thousandths(2)));
        let heights = heights(from, end, most, jog).unwrap();
        assert_eq!(thousandths(&heights), [1006, 1004, 1002, 1000]);
    }

    #[test]
    fn a_jog_bigger_than_the_belt_may_take_is_refused() {
        let jog = Some(Length::thousandths(20));
        assert_eq!(heights(Length::INCH, Length::ZERO, Length::thousandths(10), jog), None);
    }
}
