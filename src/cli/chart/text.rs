//! A chart for people at a terminal: a picture on eighty columns, then what it shows.

use std::io::{self, Write};

use super::ChartReport;
use super::plot::{Plot, PlotLine};
use super::words::ChartWords;
use crate::cli::page::{TextPage, WIDE};
use crate::paper::{RowLineKind, SaidLine};

pub(super) fn print(report: &ChartReport, out: &mut dyn Write) -> io::Result<()> {
    let words = ChartWords::of(report);
    let mut page = TextPage::new(out, 2);
    say(&mut page, &words.clone().what())?;
    page.blank()?;
    picture(&mut page, report, &words)?;
    page.blank()?;
    say(&mut page, &words.clone().how_much())?;
    page.blank()?;
    say(&mut page, &words.judgement())
}

fn say(page: &mut TextPage<'_>, lines: &[SaidLine]) -> io::Result<()> {
    lines.iter().try_for_each(|line| page.line(line.indent, &line.text))
}

fn picture(
    page: &mut TextPage<'_>,
    report: &ChartReport,
    words: &ChartWords<'_>,
) -> io::Result<()> {
    let sign = |kind| match kind {
        RowLineKind::Limit => '=',
        RowLineKind::Target | RowLineKind::Centre => '.',
        RowLineKind::Sigma => '-',
    };
    let lines = words.lines().into_iter();
    let lines = lines.map(|line| PlotLine { at: line.at, sign: sign(line.kind), name: line.words });
    let mut marked: Vec<usize> = report.signals.iter().map(|signal| signal.at).collect();
    if report.groups.is_none() {
        marked.extend(&report.outside);
    }
    marked.sort_unstable();
    let plot = Plot {
        values: &report.charted,
        each: words.each(),
        marked: &marked,
        lines: lines.collect(),
        wide: WIDE,
    };
    for line in plot.draw() {
        page.row(line)?;
    }
    if !marked.is_empty() {
        let outside = if report.outside.is_empty() || report.groups.is_some() {
            ""
        } else {
            ", or is outside the tolerance"
        };
        page.line(0, &format!("# completes a pattern named below{outside}"))?;
    }
    Ok(())
}
