//! Settings for programs: stable keys, lengths as numbers in the route's unit.

use std::collections::BTreeMap;
use std::io::{self, Write};

use serde::{Serialize, Serializer};

use super::SettingsReport;
use crate::cli::page::json;
use crate::measure::{Length, Unit};
use crate::operation::{self, Blank};
use crate::plan::{Group, PlanFinding, PlannedOperation, shared_setups};
use crate::prose::Level;

pub(super) fn print(report: &SettingsReport<'_>, out: &mut dyn Write) -> io::Result<()> {
    let unit = report.route.unit;
    let answer = SettingsAnswer {
        route: &report.route.name,
        unit,
        sets: report.route.sets,
        shop: &report.shop.name,
        operations: report.plan.operations.iter().map(|op| of(op, unit)).collect(),
        shared_setups: shared_setups(report.plan)
            .into_iter()
            .map(|setup| SharedSetupAnswer {
                at: setup.at,
                tool: setup.tool,
                operations: setup.operations,
            })
            .collect(),
        findings: findings(&report.plan.findings),
    };
    json(&answer, out)
}

#[derive(Serialize)]
struct SettingsAnswer<'a> {
    route: &'a str,
    unit: Unit,
    sets: u32,
    shop: &'a str,
    operations: Vec<OperationAnswer<'a>>,
    /// Setups that several operations share.
    shared_setups: Vec<SharedSetupAnswer>,
    findings: Vec<PlanFindingAnswer<'a>>,
}

#[derive(Serialize)]
struct SharedSetupAnswer {
    at: String,
    tool: Option<String>,
    operations: Vec<u32>,
}

#[derive(Serialize)]
struct OperationAnswer<'a> {
    op: u32,
    part: &'a str,
    r#do: &'a str,
    at: Option<&'a str>,
    tool: Option<&'a str>,
    pieces: usize,
    settings: Vec<ForPieces<SettingAnswer<'a>>>,
    passes: Vec<ForPieces<PassAnswer<'a>>>,
    before: BTreeMap<&'a str, AmountAnswer>,
    after: BTreeMap<&'a str, AmountAnswer>,
    checks: Vec<ForPieces<CheckAnswer<'a>>>,
    facts: Vec<ForPieces<FactAnswer<'a>>>,
    steps: Vec<&'a str>,
    cautions: &'a [String],
    note: Option<&'a str>,
    findings: Vec<PlanFindingAnswer<'a>>,
}

#[derive(PartialEq, Serialize)]
struct SettingAnswer<'a> {
    setting: &'a str,
    /// What the scale should count; `dial` is the mark it is set to, and
    /// `predicted` is what it then counts to. All three are counted from where
    /// the scale begins.
    target: AmountAnswer,
    dial: AmountAnswer,
    dial_text: String,
    predicted: AmountAnswer,
    /// How much of the three isn't the size: the base of a sled, a kerf, what
    /// is before the first cut.
    beyond: AmountAnswer,
    why: &'a str,
    by_passes: bool,
}

#[derive(PartialEq, Serialize)]
struct PassAnswer<'a> {
    pass: u32,
    tool: Option<&'a str>,
    /// Counted from where the scale begins, as the dial is.
    target: AmountAnswer,
    dial: AmountAnswer,
    dial_text: String,
    /// How much of the target isn't the size.
    beyond: AmountAnswer,
    faces: &'a [&'static str],
    feeds: u32,
    presses: Option<u32>,
    kiss: bool,
}

#[derive(PartialEq, Serialize)]
struct CheckAnswer<'a> {
    check: &'a str,
    target: Option<AmountAnswer>,
    limits: LimitsAnswer,
    with: &'a str,
    pieces: String,
    r#where: Option<&'a str>,
    becomes: Option<&'a str>,
}

#[derive(PartialEq, Serialize)]
struct LimitsAnswer {
    low: Option<AmountAnswer>,
    high: Option<AmountAnswer>,
}

#[derive(PartialEq, Serialize)]
struct FactAnswer<'a> {
    fact: &'a str,
    /// None where it isn't known.
    is: Option<f64>,
    /// `in` or `mm` for a length, `degrees` for an angle, none for a count.
    unit: Option<&'static str>,
}

#[derive(Serialize)]
struct PlanFindingAnswer<'a> {
    level: Level,
    what: &'a str,
    fix: Option<&'a str>,
}

/// An answer and the pieces it is for; empty when it is for all.
#[derive(Serialize)]
struct ForPieces<T> {
    #[serde(flatten)]
    answer: T,
    r#for: Vec<String>,
}

/// A length in the route's unit, to a millionth; finer digits are rounding noise.
#[derive(Clone, Copy, PartialEq)]
struct AmountAnswer(f64);

impl AmountAnswer {
    fn of(length: Length, unit: Unit) -> AmountAnswer {
        AmountAnswer((length.in_unit(unit) * 1e6).round() / 1e6)
    }
}

impl Serialize for AmountAnswer {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(self.0)
    }
}

fn of(planned: &PlannedOperation, unit: Unit) -> OperationAnswer<'_> {
    let amount = |length: Length| AmountAnswer::of(length, unit);
    let settings = shared(planned, |group| {
        let each = group.outcome.settings.iter().map(|named| SettingAnswer {
            setting: &named.name,
            target: amount(named.setting.target.0 + named.beyond),
            dial: amount(named.setting.dial.0),
            dial_text: named.dial_text(),
            predicted: amount(named.setting.predicted + named.beyond),
            beyond: amount(named.beyond),
            why: &named.why,
            by_passes: named.by_passes,
        });
        each.collect()
    });
    let mut passes = shared(planned, |group| {
        let each = group.outcome.passes.iter().map(|pass| PassAnswer {
            pass: pass.number,
            tool: pass.tool.as_deref(),
            target: amount(pass.target.0 + pass.beyond),
            dial: amount(pass.dial.0),
            dial_text: pass.dial_text(),
            beyond: amount(pass.beyond),
            faces: &pass.faces,
            feeds: pass.feeds,
            presses: pass.presses,
            kiss: pass.kiss,
        });
        each.collect()
    });
    passes.sort_by_key(|pass| pass.answer.pass);
    let checks = shared(planned, |group| {
        let each = planned.checks.iter().zip(&group.limits).map(|(check, limits)| CheckAnswer {
            check: &check.of,
            target: limits.target.map(amount),
            limits: LimitsAnswer {
                low: limits.limits.low.map(amount),
                high: limits.limits.high.map(amount),
            },
            with: &check.gauge,
            pieces: check.pieces.words(),
            r#where: check.place.as_deref(),
            becomes: check.becomes.as_ref().map(|becomes| becomes.dim.as_str()),
        });
        each.collect()
    });
    let facts = shared(planned, |group| {
        group.outcome.facts.iter().map(|fact| fact_answer(fact, unit)).collect()
    });
    let mut steps: Vec<&str> = Vec::new();
    let outcomes = planned.groups.iter().map(|group| &group.outcome);
    for step in outcomes.flat_map(|outcome| outcome.steps.iter().chain(&outcome.places)) {
        if !steps.contains(&step.as_str()) {
            steps.push(step);
        }
    }
    OperationAnswer {
        op: planned.op,
        part: &planned.part,
        r#do: planned.kind.name(),
        at: planned.at.as_deref(),
        tool: planned.tool.as_deref(),
        pieces: planned.pieces.len(),
        settings,
        passes,
        before: sizes(planned.groups.iter().map(|group| &group.before), unit),
        after: sizes(planned.groups.iter().map(|group| &group.outcome.after), unit),
        checks,
        facts,
        steps,
        cautions: &planned.cautions,
        note: planned.note.as_deref(),
        findings: findings(&planned.findings),
    }
}

fn fact_answer(fact: &operation::Fact, unit: Unit) -> FactAnswer<'_> {
    let (is, unit) = match fact.is {
        operation::FactAmount::Number(number) => (Some(number as f64), None),
        operation::FactAmount::Minutes(minutes) => (Some(minutes.into()), Some("minutes")),
        operation::FactAmount::Size(length) => {
            (Some(AmountAnswer::of(length, unit).0), Some(unit.sign()))
        }
        operation::FactAmount::Degrees(degrees) => {
            (Some((degrees * 1e4).round() / 1e4), Some("degrees"))
        }
        operation::FactAmount::Unknown => (None, None),
    };
    FactAnswer { fact: &fact.what, is, unit }
}

/// The answers of all groups, each once, with the pieces that share it.
fn shared<'a, T: PartialEq>(
    planned: &'a PlannedOperation,
    answers: impl Fn(&'a Group) -> Vec<T>,
) -> Vec<ForPieces<T>> {
    let mut all: Vec<(T, Vec<usize>)> = Vec::new();
    for group in &planned.groups {
        for answer in answers(group) {
            match all.iter_mut().find(|(other, _)| *other == answer) {
                Some((_, pieces)) => pieces.extend(&group.pieces),
                None => all.push((answer, group.pieces.clone())),
            }
        }
    }
    let label = |piece: usize| planned.pieces[piece].to_string();
    all.into_iter()
        .map(|(answer, mut pieces)| {
            pieces.sort_unstable();
            let everyone = pieces.len() == planned.pieces.len();
            let r#for = if everyone { Vec::new() } else { pieces.into_iter().map(label).collect() };
            ForPieces { answer, r#for }
        })
        .collect()
}

/// The largest size of each feature on any of the pieces.
fn sizes<'a>(
    blanks: impl Iterator<Item = &'a Blank>,
    unit: Unit,
) -> BTreeMap<&'a str, AmountAnswer> {
    let mut most: BTreeMap<&str, Length> = BTreeMap::new();
    for (feature, extent) in blanks.flat_map(|blank| &blank.sizes) {
        let held = most.entry(feature).or_insert(extent.most);
        *held = extent.most.max(*held);
    }
    most.into_iter().map(|(feature, size)| (feature, AmountAnswer::of(size, unit))).collect()
}

fn findings(all: &[PlanFinding]) -> Vec<PlanFindingAnswer<'_>> {
    let each = all.iter().map(|finding| PlanFindingAnswer {
        level: finding.level,
        what: &finding.what,
        fix: finding.help.as_deref(),
    });
    each.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;
    use crate::plan::{Known, MadeOver, MadeValue, walk};
    use crate::{route, shop};

    /// The legs of article 2 came out 1/32 undersize, so its four rails have a setting of
    /// their own and are named in every list of pieces.
    #[test]
    fn pieces_that_need_their_own_setting_are_named() {
        let read = |name: &str, text: &str| Document::read(name, text).unwrap();
        let bundled = route::bundled("reading-stool").unwrap();
        let (mut route, _) = route::read(&read("route.json", bundled.text)).unwrap();
        route.make_sets(2).unwrap();
        let shop = shop::read(&read("shop.json", shop::BUNDLED)).unwrap();
        let value = Length::inch_fraction(39, 32);
        let (dim, words) = ("leg_square".to_owned(), "measured".to_owned());
        let made = MadeValue { dim, over: MadeOver::Set(2), value, op: Some(50), words };
        let known = Known { made: vec![made], ..Known::default() };
        let plan = walk(&route, &shop, &known);
        let report = SettingsReport { route: &route, shop: &shop, known: &known, plan: &plan };
        let mut out = Vec::new();
        print(&report, &mut out).unwrap();

        let answer: serde_json::Value = serde_json::from_slice(&out).unwrap();
        let operations = answer["operations"].as_array().unwrap();
        let cut = operations.iter().find(|operation| operation["op"] == 160).unwrap();
        let own = serde_json::json!(["rail 5", "rail 6", "rail 7", "rail 8"]);
        // 13 1/2 - 2 x 1 7/32 + 1 1/4 = 12 5/16 against 12 1/4.
        let settings = cut["settings"].as_array().unwrap();
        assert_eq!(settings.len(), 2);
        let second = settings.iter().find(|setting| setting["for"] == own).unwrap();
        assert_eq!(second["target"], 12.3125);
        let first = settings.iter().find(|setting| setting["for"] != own).unwrap();
        assert_eq!(first["target"], 12.25);
        // 4 of article 1, 3 spares and 1 setup piece.
        assert_eq!(first["for"].as_array().unwrap().len(), 8);
        assert_eq!(cut["checks"].as_array().unwrap().len(), 2);
        let ripped = operations.iter().find(|operation| operation["op"] == 130).unwrap();
        assert_eq!(ripped["settings"][0]["for"], serde_json::json!([]));
    }
}
