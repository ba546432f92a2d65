//! Fits for people: one block for each, on eighty columns.

use std::io::{self, Write};

use unicode_width::UnicodeWidthStr;

use super::FitsReport;
use crate::cli::page::{TableRow, TextPage};
use crate::fits::FitAttribution;
use crate::fits::wording::{
    advice, between, deviations, percent, season_words, signed, verdict, wider_limits,
};
use crate::fits::{Contribution, JudgedFit, SizeRange};
use crate::measure::Unit;
use crate::operation::{decimal, words};
use crate::plan::MadeOver;
use crate::prose::visible;
use crate::route::Route;

/// Column where the numbers of a fit begin.
const NUMBERS: usize = 12;
/// Widths of the columns of a contribution.
const DIM: usize = 22;
const PLACE: usize = 20;
const MOVES: usize = 16;
const BAR: usize = 10;

pub(super) fn print(report: &FitsReport<'_>, out: &mut dyn Write) -> io::Result<()> {
    let unit = report.route.unit;
    let mut page = FitsPage { page: TextPage::new(out, 2), route: report.route, unit };
    let title = format!("{}: will it go together? Shop: {}", report.route.name, report.shop.name);
    page.page.line(0, &title)?;
    // Sizes of single articles and pieces are shown with their fits; here they would fill the page.
    for made in report.known.made.iter().filter(|made| made.over == MadeOver::Batch) {
        page.page.line(0, &format!("{} {}: {}", made.dim, words(made.value, unit), made.words))?;
    }
    if report.judged.is_empty() && report.troubles.is_empty() {
        page.page.line(0, "The route names no fits.")?;
    }
    for judged in report.judged {
        page.fit(judged, report.way(judged).as_ref())?;
    }
    for trouble in report.troubles {
        page.page.blank()?;
        page.page.line(0, &trouble.fit)?;
        page.page.line(2, &format!("can't be evaluated: {}", trouble.error))?;
    }
    let loose = wider_limits(report.judged, unit);
    if !loose.is_empty() {
        page.page.blank()?;
        page.page.line(0, "Limits that can be relaxed")?;
        for sentence in &loose {
            page.page.line(2, sentence)?;
        }
    }
    Ok(())
}

struct FitsPage<'a, 'o> {
    page: TextPage<'o>,
    route: &'a Route,
    unit: Unit,
}

impl FitsPage<'_, '_> {
    fn fit(&mut self, judged: &JudgedFit, way: Option<&FitAttribution>) -> io::Result<()> {
        let unit = self.unit;
        self.page.blank()?;
        let noun = &self.route.article.one;
        let which = match judged.sets.as_slice() {
            [] => String::new(),
            [one] => format!(", {noun} {one}"),
            several => {
                let several: Vec<String> = several.iter().map(ToString::to_string).collect();
                format!(", {} {}", self.route.article.many, several.join(", "))
            }
        };
        self.page.line(0, &format!("{}{which}", judged.fit))?;
        self.page.line(2, &format!("= {}", judged.is))?;
        let made = judged.contributions.iter().any(|one| one.made);
        let now = if made { "now" } else { "planned" };
        let limits = between(judged.limits, unit);
        self.number(now, &format!("{}, limits {limits}", decimal(judged.nominal, unit)))?;
        self.number("worst", &between(judged.worst, unit))?;
        self.number("likely", &between(judged.likely, unit))?;
        if let Some(seasons) = &judged.seasons {
            for (name, season) in [("winter", &seasons.winter), ("summer", &seasons.summer)] {
                self.number(name, &season_words(season, unit))?;
            }
        }
        if let Some(share) = judged.share {
            let (low, high) = share.between();
            // Near 0 and 100 % more digits are needed to tell results apart.
            let places = if (0.01..0.99).contains(&share.found()) { 1 } else { 2 };
            let fine = |share: f64| format!("{:.places$}", share * 100.0);
            let found = format!(
                "{} % of {} simulated ({} to {} %)",
                fine(share.found()),
                share.trials,
                fine(low),
                fine(high)
            );
            self.number("fits", &found)?;
            self.draws(judged)?;
        }
        for one in &judged.contributions {
            self.contribution(one)?;
        }
        if !judged.as_drawn.is_empty() {
            self.page.line(2, &format!("taken as drawn: {}", judged.as_drawn.join(", ")))?;
        }
        if let Some(way) = way {
            self.way(way)?;
        }
        self.page.line(2, &verdict(judged, unit))?;
        for sentence in advice(judged, unit) {
            self.page.line(2, &sentence)?;
        }
        Ok(())
    }

    /// How simulated pieces were drawn, dimensions drawn alike together.
    fn draws(&mut self, judged: &JudgedFit) -> io::Result<()> {
        let mut alike: Vec<(String, Vec<&str>)> = Vec::new();
        for one in &judged.contributions {
            let how = one.drawn.words(self.unit);
            match alike.iter_mut().find(|(held, _)| *held == how) {
                Some((_, dims)) => dims.push(&one.dim),
                None => alike.push((how, vec![&one.dim])),
            }
        }
        for (place, (how, dims)) in alike.iter().enumerate() {
            let name = if place == 0 { "drawn" } else { "" };
            self.number(name, &format!("{}: {how}", dims.join(", ")))?;
        }
        Ok(())
    }

    /// How each measured dimension moved the clearance, in the order they were made.
    fn way(&mut self, way: &FitAttribution) -> io::Result<()> {
        let unit = self.unit;
        let size = |length| decimal(length, unit);
        self.number("from plan", &format!("{} to {}:", size(way.planned), size(way.made)))?;
        for share in &way.shares {
            let op = share.op.map_or_else(String::new, |op| format!("op {op} "));
            let times = match share.times {
                none if none.abs() < 1e-9 => ", later cuts follow it".to_owned(),
                one if (one.abs() - 1.0).abs() < 1e-9 => String::new(),
                times => format!(", {:.2} times", times.abs()),
            };
            let (made, wanted) = (size(share.made), size(share.wanted));
            let dim = &share.dim;
            let amount = signed(share.amount, unit);
            self.page.line(4, &format!("{op}{dim} {made} for {wanted}{times}: {amount}"))?;
        }
        if !way.rest.is_zero() {
            self.page.line(
                4,
                &format!("not explained by a linear estimate: {}", signed(way.rest, unit)),
            )?;
        }
        Ok(())
    }

    fn number(&mut self, name: &str, number: &str) -> io::Result<()> {
        self.page.entry(TableRow::new(2, name), NUMBERS, number)
    }

    /// A dimension, where it is made, how far it can move the clearance, and a bar for
    /// its share of the total.
    fn contribution(&mut self, one: &Contribution) -> io::Result<()> {
        let place = match (one.op, &one.part) {
            (Some(op), Some(part)) => format!("op {op} {part}"),
            _ => "given".to_owned(),
        };
        let (low, high) = (one.moves.low - one.shared, one.moves.high + one.shared);
        let moves = deviations(SizeRange { low, high }, self.unit);
        let bar = "#".repeat((one.share * BAR as f64).round() as usize);
        let name = padded(&one.dim, DIM);
        let place = padded(&place, PLACE);
        let share = percent(one.share);
        let made = if one.made { "*" } else { " " };
        let row = format!("  {made} {name}{place}{moves:MOVES$}{bar:BAR$}{share:>6}");
        self.page.row(visible(&row))
    }
}

/// The text of a column followed by at least one space; cut off with `~` if too long.
fn padded(text: &str, wide: usize) -> String {
    let mut kept = String::new();
    for sign in text.chars() {
        if kept.width() + 2 > wide {
            kept.pop();
            kept.push('~');
            break;
        }
        kept.push(sign);
    }
    let missing = wide.saturating_sub(kept.width());
    kept + &" ".repeat(missing)
}
