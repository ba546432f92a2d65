//! Fits for people: one block for each, on eighty columns.

use std::io::{self, Write};

use unicode_width::UnicodeWidthStr;

use super::FitsReport;
use crate::cli::page::{TableRow, TextPage};
use crate::fits::FitAttribution;
use crate::fits::fit_words::{as_it_stands, draw_lines, fit_name, share_words, way_lines};
use crate::fits::wording::{advice, between, percent, season_words, verdict, wider_limits};
use crate::fits::{Contribution, JudgedFit};
use crate::measure::Unit;
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
    report.made().iter().try_for_each(|made| page.page.line(0, made))?;
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
        self.page.line(0, &fit_name(judged, &self.route.article))?;
        self.page.line(2, &format!("= {}", judged.is))?;
        let (now, _) = as_it_stands(judged, unit);
        self.number(now, &judged.stands_words(unit))?;
        self.number("worst", &between(judged.worst, unit))?;
        self.number("likely", &between(judged.likely, unit))?;
        if let Some(seasons) = &judged.seasons {
            for (name, season) in [("winter", &seasons.winter), ("summer", &seasons.summer)] {
                self.number(name, &season_words(season, unit))?;
            }
        }
        if let Some(share) = judged.share {
            self.number("fits", &share_words(&share))?;
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
        for (place, line) in draw_lines(judged, self.unit).iter().enumerate() {
            self.number(if place == 0 { "drawn" } else { "" }, line)?;
        }
        Ok(())
    }

    /// How each measured dimension moved the clearance, in the order they were made.
    fn way(&mut self, way: &FitAttribution) -> io::Result<()> {
        let (from, lines) = way_lines(way, self.unit);
        self.number("from plan", &from)?;
        lines.iter().try_for_each(|line| self.page.line(4, line))
    }

    fn number(&mut self, name: &str, number: &str) -> io::Result<()> {
        self.page.entry(TableRow::new(2, name), NUMBERS, number)
    }

    /// A dimension, where it is made, how far it can move the clearance, and a bar for
    /// its share of the total.
    fn contribution(&mut self, one: &Contribution) -> io::Result<()> {
        let place = one.made_at();
        let moves = one.moves_words(self.unit);
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
