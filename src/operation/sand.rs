//! Sand: bring pieces to size through the grits on a belt or drum.
//!
//! Worked backwards: a grit ends where the finer ones still have what they
//! need from each face to clear its scratches. Square sections lose one step
//! of both sizes at each height but on two faces only, so the number of
//! heights at each grit is even. Needs and limits by grit: wide-belt set-up
//! article by an abrasives technician, Woodworking Network, 7 Aug 2014; the
//! even rule is common practice.

mod heights;

use super::advice::RowFault;
use super::bites::Grid;
use super::faces::{FourFaces, even, steps};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::ladder::{Ladder, Rung, TABLE};
use super::order::{PartSequence, WorkStage};
use super::outcome::{Finding, NamedSetting, Outcome, Pass, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::trace::{Skin, Trace};
use super::words;
use super::work::Work;
use crate::measure::{Dial, Length, Readout, Rounds, ScaleOffset, Target};
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
        out.traces.push(Trace::closed_in(self.square, Skin::Sanded));
        let (belts, findings) = self.belts(work);
        out.findings.extend(findings);
        let mut table = ladder.table(work, target);
        // The last belt makes the size, whichever tool the route names.
        if let Some(belt) = belts.last() {
            let target = Target(target);
            table.setting = table.readout.dial(target, work.aim, belt.offset, Rounds::Up);
        }
        if let Some(section) = ladder.section(work)?
            && !belts.is_empty()
        {
            self.passes(work, &mut out, section, &table, &belts);
        }
        let used = out.passes.last().and_then(|pass| Some((pass.dial, pass.tool.as_deref()?)));
        if let Some((dial, tool)) = used
            && let Some(belt) = belts.iter().find(|belt| belt.name == tool)
        {
            table.setting.dial = dial;
            table.setting.predicted = dial.0 + belt.offset.0;
        }
        let made = table.setting.predicted;
        out.settings.push(table);
        ladder.end(work, target, made, &mut out);
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
        table: &NamedSetting,
        belts: &[Belt<'_>],
    ) {
        let readout = table.readout;
        let jog = work.machine.and_then(|machine| machine.jog);
        let (thickest, target) = (section.biggest(), table.setting.target.0);
        out.settings.push(to_start(work, readout, thickest, belts));
        if thickest <= target {
            return;
        }
        let grid = heights::grid(readout, jog);
        out.findings.extend(off_the_marks(work, readout, jog));
        let end = readout.count(table.setting.dial.0, Rounds::Nearest);
        let mut from = thickest;
        let mut previous = None;
        for (n, (belt, end)) in belts.iter().zip(heights::ends(&grid, end, belts)).enumerate() {
            let is_last = n + 1 == belts.len();
            let wood = from - readout.mark(end) - belt.offset.0;
            // On one face alone a belt would leave the other to the next.
            if grid.needed(wood) <= i64::from(!is_last) {
                if !is_last || !out.passes.is_empty() {
                    out.findings.push(nothing_to_do(work, thickest, belt));
                }
                continue;
            }
            let left = heights::of_belt(&grid, wood, belt.most);
            let Some(left) = left else {
                out.passes.clear();
                out.findings.push(step_over_limit(work, &grid, belt));
                return;
            };
            for steps in left {
                let dial = Dial(readout.mark(end + steps * grid.marks));
                let wanted = (is_last && steps == 0).then_some(target);
                let rung = Rung { dial, wanted, tool: Some(belt.name), offset: belt.offset };
                let number = out.passes.len() + 1;
                let mut pass = self.ladder().pass(work, number, readout, &mut section, &rung);
                pass.presses = presses(previous, pass.dial.0, jog);
                previous = Some(pass.dial.0);
                out.passes.push(pass);
            }
            // Another belt is another backing: its first height is found anew.
            previous = previous.filter(|_| belts.iter().all(|other| other.offset == belt.offset));
            from = readout.mark(end) + belt.offset.0;
        }
        self.too_little_to_show(work, out, &mut section, table, belts);
        if work.machine.is_some_and(|machine| machine.kiss)
            && let Some(last) = out.passes.last().cloned()
        {
            let number = last.number + 1;
            out.passes.push(Pass { number, kiss: true, presses: None, ..last });
        }
    }

    /// Wood over the size but under one step of the scale: it goes through at
    /// the size.
    fn too_little_to_show(
        &self,
        work: &Work<'_>,
        out: &mut Outcome,
        section: &mut FourFaces,
        table: &NamedSetting,
        belts: &[Belt<'_>],
    ) {
        let Some(belt) = belts.last().filter(|_| out.passes.is_empty()) else { return };
        let rung = Rung {
            dial: table.setting.dial,
            wanted: Some(table.setting.target.0),
            tool: Some(belt.name),
            offset: belt.offset,
        };
        out.passes.push(self.ladder().pass(work, 1, table.readout, section, &rung));
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
        out.steps.splice(0..0, work.mark_again());
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
        is_confirmed: false,
        sizes: None,
        shrinks: None,
        beyond: Length::ZERO,
    }
}

/// A belt that takes nothing, or wood from one face alone.
fn nothing_to_do(work: &Work<'_>, thickest: Length, belt: &Belt<'_>) -> Finding {
    Finding::warning(format!(
        "{} leaves the {} nothing to do: the finer belts need it all",
        work.words(thickest),
        belt.name
    ))
    .help("leave more on, or start with a finer belt")
    .key("to")
}

/// A jog button that stops between the marks of the scale.
fn off_the_marks(work: &Work<'_>, readout: Readout, jog: Option<Length>) -> Option<Finding> {
    let jog = jog.filter(|jog| !heights::follows(readout, *jog))?;
    Some(
        Finding::warning(format!(
            "one press of the jog button moves {}, no whole number of the scale's steps of {}",
            work.words(jog),
            work.words(readout.step)
        ))
        .help("close with the handwheel and read the scale, or correct `jog` or `step`")
        .key("at")
        .of_the_shop(),
    )
}

/// Refuses a jog button, or a scale, that moves further than a belt may take.
fn step_over_limit(work: &Work<'_>, grid: &Grid, belt: &Belt<'_>) -> Finding {
    if Grid::of(grid.readout).within(belt.most) < 1 {
        return work.too_coarse(TABLE, &grid.readout, belt.most);
    }
    Finding::error(format!(
        "one press of the jog button moves more than the {} may take",
        belt.name
    ))
    .help("close with the handwheel, or use a finer jog")
    .key("at")
}

/// Rounded up to a whole number of jog presses.
fn on_grid(amount: Length, jog: Option<Length>) -> Length {
    match jog {
        Some(jog) => jog * steps(amount, jog),
        None => amount,
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

    #[test]
    fn presses_are_counted_where_they_are_whole() {
        let [from, to, jog] = [1278, 1266, 4].map(Length::thousandths);
        assert_eq!(presses(Some(from), to, Some(jog)), Some(3));
        assert_eq!(presses(Some(from), to, Some(Length::thousandths(5))), None);
        assert_eq!(presses(Some(from), to, None), None);
        // The button only closes, and where nothing is to do it isn't pressed.
        assert_eq!(presses(Some(to), from, Some(jog)), None);
        assert_eq!(presses(Some(from), from, Some(jog)), None);
        assert_eq!(presses(None, to, Some(jog)), None);
    }
}
