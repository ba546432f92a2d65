//! Fits as a page, each with the distribution of its simulated articles.

use std::io::{self, Write};

use super::FitsReport;
use crate::fits::{FitAttribution, JudgedFit};
use crate::measure::Unit;
use crate::paper::{FitsPageInput, Paper, fits_page};

pub(super) fn print(report: &FitsReport<'_>, out: &mut dyn Write) -> io::Result<()> {
    let way = |judged: &JudgedFit| (judged.clone(), report.way(judged));
    let judged: Vec<(JudgedFit, Option<FitAttribution>)> = report.judged.iter().map(way).collect();
    let made = report.made();
    let page = fits_page(&FitsPageInput {
        route: report.route,
        shop: &report.shop.name,
        made: &made,
        judged: &judged,
        troubles: report.troubles,
    });
    let paper = match report.route.unit {
        Unit::Inch => Paper::Letter,
        Unit::Millimetre => Paper::A4,
    };
    out.write_all(page.html(paper).as_bytes())
}
