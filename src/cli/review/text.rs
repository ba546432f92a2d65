//! A batch in review, for people: what went out of tolerance, the likely cause for
//! each check, and what each operation added to a deviation.

use std::io::{self, Write};

use super::wood;
use crate::cli::page::{TableRow, TextPage};
use crate::measure::Length;
use crate::operation::decimal;
use crate::review::{Attribution, BatchReview, CheckDiagnosis, Out, check_lines, wording};
use crate::route::Route;

pub(super) fn print(report: &BatchReview<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut page = PrintedReview { page: TextPage::new(out, 0), route: report.route };
    page.heading(report)?;
    if !report.found.is_quiet() {
        page.everything_out(report)?;
        page.everything_moved(report)?;
        page.checks(report)?;
        page.operations_added(report)?;
    }
    page.wood(report)?;
    page.lead(report)?;
    page.voided(report)?;
    page.read_twice(report)?;
    page.seals(report)?;
    page.notes(report)
}

/// What each operation added to every size measured on one piece.
pub(super) fn print_piece(
    route: &Route,
    name: &str,
    ways: &[Attribution],
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut page = PrintedReview { page: TextPage::new(out, 0), route };
    ways.iter().try_for_each(|way| page.way(name, way))
}

struct PrintedReview<'a, 'o> {
    page: TextPage<'o>,
    route: &'a Route,
}

impl PrintedReview<'_, '_> {
    fn heading(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        self.page.line(0, &format!("{}: {}", report.batch, report.amount_words()))?;
        if report.found.is_quiet() {
            self.page.blank()?;
            self.page.line(0, &report.quiet_words())?;
        }
        Ok(())
    }

    fn everything_out(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        if report.found.out.is_empty() {
            return Ok(());
        }
        self.page.blank()?;
        self.page.line(0, "Out of tolerance, in the order found")?;
        for group in report.found.grouped_out() {
            match group.as_slice() {
                [out] => self.went_out(out)?,
                several => self.went_out_together(several)?,
            }
        }
        Ok(())
    }

    fn everything_moved(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        for moved in &report.found.gauges {
            self.page.blank()?;
            self.page.line(0, &wording::gauge_shift_sentence(moved, self.route.unit))?;
        }
        for again in report.found.moved_repeats() {
            self.page.blank()?;
            self.page.line(0, &wording::repeat_sentence(again, self.route))?;
        }
        Ok(())
    }

    fn checks(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        let notable = report.found.notable();
        notable.into_iter().try_for_each(|check| self.account(check, report.asked_of(check)))
    }

    fn operations_added(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        let still = report.found.still_out();
        if !still.is_empty() {
            self.page.blank()?;
            self.page.line(0, "What each operation added to the pieces still out")?;
        }
        for (out, others) in still {
            if let Some(way) = &out.attribution {
                self.way(&out.name, way)?;
            }
            if others > 0 {
                let alike = wording::alike(others);
                self.page.line(4, &format!("{alike}: --piece NAME shows each."))?;
            }
        }
        Ok(())
    }

    fn wood(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        if report.wood.is_empty() {
            return Ok(());
        }
        self.page.blank()?;
        self.page.line(0, "Where the wood went")?;
        report.wood.iter().try_for_each(|used| wood::table(&mut self.page, used, self.route.unit))
    }

    /// What leads answered for: their initials, and who typed them where.
    fn lead(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        if report.words.is_empty() {
            return Ok(());
        }
        self.page.blank()?;
        self.page.line(0, "On the lead's word")?;
        for said in &report.words {
            match said.op {
                Some(op) => self.operation(op, &said.words())?,
                None => self.page.line(2, &said.words())?,
            }
        }
        Ok(())
    }

    /// Whether the files are as they were when a lead sealed them.
    fn seals(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        if report.seals.is_empty() {
            return Ok(());
        }
        self.page.blank()?;
        self.page.line(0, "Seals")?;
        report.seals.iter().try_for_each(|seal| self.page.line(2, &seal.words()))
    }

    /// Readings of one piece that two stations took within a minute.
    fn read_twice(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        if report.twice.is_empty() {
            return Ok(());
        }
        self.page.blank()?;
        self.page.line(0, "Read at two stations within a minute")?;
        for twice in &report.twice {
            self.operation(twice.one.taken.op, &twice.words(report.state))?;
        }
        Ok(())
    }

    fn voided(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        if report.voided.is_empty() {
            return Ok(());
        }
        self.page.blank()?;
        self.page.line(0, "Out of limits, and voided")?;
        for voided in &report.voided {
            let text = voided.words(report.state, self.route.unit);
            self.operation(voided.reading.taken.op, &text)?;
        }
        Ok(())
    }

    /// What people wrote, oldest first, and numbers that nothing had asked for.
    fn notes(&mut self, report: &BatchReview<'_>) -> io::Result<()> {
        if report.state.remarks.is_empty() {
            return Ok(());
        }
        self.page.blank()?;
        self.page.line(0, "Notes")?;
        let state = report.state;
        state.remarks.iter().try_for_each(|note| self.page.line(2, &state.remark_line(note)))
    }

    fn went_out(&mut self, out: &Out) -> io::Result<()> {
        let unit = self.route.unit;
        let read = wording::read_and_wanted(out, unit);
        self.operation(out.op, &format!("{}: {read}", out.name))?;
        self.page.line(10, &wording::limits_and_outcome(out, unit))
    }

    fn operation(&mut self, op: u32, text: &str) -> io::Result<()> {
        let op = TableRow::new(2, &format!("op {op}"));
        let column = op.width() + 2;
        self.page.entry(op, column, text)
    }

    fn went_out_together(&mut self, outs: &[&Out]) -> io::Result<()> {
        let Some(first) = outs.first() else { return Ok(()) };
        let (head, names, became) = wording::grouped(outs, self.route.unit);
        self.operation(first.op, &format!("{}: {head}", first.feature))?;
        self.page.line(10, &names)?;
        self.page.line(10, &became)
    }

    fn account(&mut self, account: &CheckDiagnosis, asked: &[String]) -> io::Result<()> {
        let unit = self.route.unit;
        self.page.blank()?;
        self.page.line(0, &wording::check_name(&account.series))?;
        self.page.line(2, &wording::sentence(account, unit))?;
        for line in check_lines(account, asked, &[], (unit, "+-")) {
            self.page.line(2, &line)?;
        }
        Ok(())
    }

    fn way(&mut self, name: &str, way: &Attribution) -> io::Result<()> {
        let unit = self.route.unit;
        let miss = wording::miss_text(way.miss, wording::feature_of(self.route, way), unit);
        self.page.blank()?;
        self.page.line(2, &format!("{name}, {}: {miss}", way.feature))?;
        let most = way.longest_bar();
        for added in &way.added {
            let amount = format!(
                "{} +-{}",
                wording::signed(added.amount, unit),
                decimal(added.uncertainty, unit)
            );
            let row = TableRow::new(4, &wording::op_label(self.route, &added.ops))
                .cell(24, &bar(added.amount, most))
                .cell(38, &amount)
                .cell(54, &wording::added_label(way, added));
            self.page.row(row)?;
        }
        if let Some(left) = wording::where_it_left(way) {
            self.page.line(4, &left)?;
        }
        if let Some(shared) = wording::shared_ops(way) {
            self.page.line(4, &shared)?;
        }
        Ok(())
    }
}

/// A bar to the left of the middle for undersize, to the right for oversize.
fn bar(amount: Length, most: Length) -> String {
    const HALF: i64 = 5;
    if most.is_zero() {
        return String::new();
    }
    let cells = (amount.abs().ratio(most) * HALF as f64).round() as usize;
    let half = HALF as usize;
    if amount.is_negative() {
        format!("{}{}|", " ".repeat(half - cells), "#".repeat(cells))
    } else {
        format!("{}|{}", " ".repeat(half), "#".repeat(cells))
    }
}
