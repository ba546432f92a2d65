//! Settings for people: one block for each operation, on eighty columns.

use std::collections::BTreeSet;
use std::io::{self, Write};

use super::SettingsReport;
use crate::cli::page::{TableRow, TextPage};
use crate::measure::{Length, Unit};
use crate::operation::{NamedSetting, Pass, words};
use crate::plan::{Group, PlanFinding, PlannedOperation, shared_setups};
use crate::prose::{Level, counted};
use crate::shop::DEFER;

/// Indent of what belongs to an operation.
const INDENT: usize = 2;
/// Column where numbers begin.
const NUMBERS: usize = 20;
/// Column where the words beside the numbers begin.
const WORDS: usize = 36;

pub(super) fn print(report: &SettingsReport<'_>, out: &mut dyn Write) -> io::Result<()> {
    let page = TextPage::new(out, INDENT);
    let mut page = SettingsPage { page, unit: report.route.unit, printed: BTreeSet::new() };
    page.page.line(
        0,
        &format!(
            "{}: {}, in {}",
            report.route.name,
            report.route.article.counted(report.route.sets),
            report.shop.name
        ),
    )?;
    for made in &report.known.made {
        let size = words(made.value, report.route.unit);
        let from = match made.op {
            Some(op) => format!("applies after op {op}"),
            None => "from the start".to_owned(),
        };
        page.page.line(0, &format!("{} {size}: {}, {from}", made.dim, made.words))?;
    }
    for planned in &report.plan.operations {
        page.operation(planned)?;
    }
    let shared = shared_setups(report.plan);
    if !shared.is_empty() {
        let saved: usize = shared.iter().map(|setup| setup.operations.len() - 1).sum();
        page.page.blank()?;
        page.page.line(0, &format!("setups saved by doing these operations together: {saved}"))?;
        for setup in &shared {
            let ops: Vec<String> = setup.operations.iter().map(|op| format!("op {op}")).collect();
            let dials: Vec<String> =
                setup.settings.iter().map(|(name, dial)| format!("{name} {dial}")).collect();
            page.page
                .line(INDENT, &format!("{}, {}: {}", setup.at, dials.join(", "), ops.join(", ")))?;
        }
    }
    page.page.blank()?;
    page.page.line(0, DEFER)?;
    if !report.plan.findings.is_empty() {
        page.page.blank()?;
        page.findings(&report.plan.findings)?;
    }
    let count = |level| report.plan.all_findings().filter(|f| f.level == level).count();
    let (errors, warnings) = (count(Level::Error), count(Level::Warning));
    if errors + warnings > 0 {
        page.page.blank()?;
        page.page.line(0, &format!("errors: {errors}, warnings: {warnings}"))?;
    }
    Ok(())
}

struct SettingsPage<'o> {
    page: TextPage<'o>,
    unit: Unit,
    /// Cautions and steps already printed: each is printed once, where it first applies.
    printed: BTreeSet<String>,
}

impl SettingsPage<'_> {
    fn operation(&mut self, planned: &PlannedOperation) -> io::Result<()> {
        self.page.blank()?;
        let mut head = format!("op {}  {}: {}", planned.op, planned.part, planned.kind);
        for (word, name) in [("at", &planned.at), ("with", &planned.tool)] {
            if let Some(name) = name {
                head = format!("{head} {word} {name}");
            }
        }
        let pieces = planned.pieces.len();
        self.page.line(0, &format!("{head}, {}", counted(pieces, "piece")))?;
        for group in &planned.groups {
            self.group(planned, group)?;
        }
        // An operation without settings consists of its steps, so they are printed even
        // when an earlier operation had the same ones.
        let words_alone = planned.groups.iter().all(|group| group.outcome.settings.is_empty());
        let outcomes = planned.groups.iter().take(1).map(|group| &group.outcome);
        let said = outcomes.flat_map(|outcome| outcome.steps.iter().chain(&outcome.places));
        for step in said {
            if self.printed.insert(step.clone()) || words_alone {
                self.page.line(INDENT, step)?;
            }
        }
        for caution in &planned.cautions {
            if self.printed.insert(caution.clone()) {
                self.columns("caution", "", caution)?;
            }
        }
        if let Some(note) = &planned.note {
            self.columns("note", "", note)?;
        }
        self.findings(&planned.findings)
    }

    fn group(&mut self, planned: &PlannedOperation, group: &Group) -> io::Result<()> {
        if planned.groups.len() > 1 {
            self.page.line(INDENT, &format!("for {}", planned.named(&group.pieces)))?;
        }
        for setting in &group.outcome.settings {
            self.setting(setting)?;
        }
        for pass in &group.outcome.passes {
            self.pass(pass)?;
        }
        for fact in &group.outcome.facts {
            self.columns(&fact.what, &fact.words(self.unit), "")?;
        }
        for (check, limits) in planned.checks.iter().zip(&group.limits) {
            let limits = limits.limits;
            let bounds: Vec<String> =
                [limits.low, limits.high].into_iter().flatten().map(|l| self.decimal(l)).collect();
            let mut beside = format!("{}: {}", check.gauge, check.pieces.words());
            if let Some(place) = &check.place {
                beside = format!("{beside}; {place}");
            }
            if let Some(becomes) = &check.becomes {
                beside = format!("{beside}; becomes {}", becomes.dim);
            }
            self.columns(&format!("check {}", check.of), &bounds.join("-"), &beside)?;
        }
        Ok(())
    }

    fn setting(&mut self, setting: &NamedSetting) -> io::Result<()> {
        let why = match setting.makes(self.unit) {
            Some(makes) => format!("{makes}; {}", setting.why),
            None => setting.why.clone(),
        };
        let dial = self.dial(setting.dial_text(), setting.readout.unit);
        self.columns(&setting.name, &dial, &why)
    }

    fn pass(&mut self, pass: &Pass) -> io::Result<()> {
        let dial = self.dial(pass.dial_text(), pass.readout.unit);
        self.columns(&format!("pass {}", pass.number), &dial, &pass.words())
    }

    fn findings(&mut self, findings: &[PlanFinding]) -> io::Result<()> {
        for finding in findings {
            // What the shop file leaves out is asked for once.
            if finding.place.of_the_shop && !self.printed.insert(finding.what.clone()) {
                continue;
            }
            let fix = finding.help.iter().map(|fix| format!(" ({fix})")).collect::<String>();
            self.page.line(INDENT, &format!("{}: {}{fix}", finding.level, finding.what))?;
        }
        Ok(())
    }

    /// A scale value, with its unit if that isn't the route's.
    fn dial(&self, shown: String, unit: Unit) -> String {
        if unit == self.unit { shown } else { format!("{shown} {unit}") }
    }

    fn decimal(&self, length: Length) -> String {
        crate::operation::decimal(length, self.unit)
    }

    /// A name, a number beside it, and words beside that, wrapped.
    fn columns(&mut self, name: &str, number: &str, beside: &str) -> io::Result<()> {
        let name = TableRow::new(INDENT, name);
        if number.is_empty() {
            return self.page.entry(name, NUMBERS, beside);
        }
        self.page.entry(name.cell(NUMBERS, number), WORDS, beside)
    }
}
