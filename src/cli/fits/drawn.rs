//! Fits as a page, each with the distribution of its simulated articles.

use std::io::{self, Write};

use super::FitsReport;
use crate::fits::FitAttribution;
use crate::paper::{FitsPageInput, Paper, fits_page};

pub(super) fn print(report: &FitsReport<'_>, out: &mut dyn Write) -> io::Result<()> {
    let ways: Vec<Option<FitAttribution>> =
        report.judged.iter().map(|judged| report.way(judged)).collect();
    let page = fits_page(&FitsPageInput {
        route: report.route,
        shop: &report.shop.name,
        made: &report.made(),
        judged: report.judged,
        ways: &ways,
        troubles: report.troubles,
    });
    out.write_all(page.html(Paper::usual(report.route.unit)).as_bytes())
}
