//! A chart as a drawing, alone or on a page with what it shows.

use std::io::{self, Write};

use super::ChartReport;
use super::words::ChartWords;
use crate::measure::Unit;
use crate::paper::{
    Paper, RowChart, RowLine, RowLineKind, RowPlace, RowReading, RowShape, SaidLine, chart_page,
};
use crate::prose::visible_lines;

/// The drawing alone, as a file of SVG.
pub(super) fn print_svg(report: &ChartReport, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", visible_lines(&row(report).svg().into_string()))
}

/// A page with the drawing and its words.
pub(super) fn print_html(report: &ChartReport, out: &mut dyn Write) -> io::Result<()> {
    let words = ChartWords::of(report);
    let said = [words.clone().what(), words.clone().how_much(), words.judgement()];
    let paper = Paper::usual(report.unit.unwrap_or(Unit::Millimetre));
    out.write_all(chart_page(&row(report), &said).html(paper).as_bytes())
}

/// The readings, or the means of groups, with everything that is drawn in the terminal too.
fn row(report: &ChartReport) -> RowChart {
    let words = ChartWords::of(report);
    let what: Vec<SaidLine> = words.clone().what();
    let is_out = |at: usize| report.groups.is_none() && report.outside.contains(&at);
    let shape = |at: usize| {
        if is_out(at) {
            RowShape::Out
        } else if report.signals.iter().any(|signal| signal.at == at) {
            RowShape::Pattern
        } else {
            RowShape::Within
        }
    };
    let place = |(at, value): (usize, &f64)| {
        let reading = RowReading { value: *value, text: words.given(*value), shape: shape(at) };
        RowPlace { name: at.to_string(), readings: vec![reading] }
    };
    let mut lines = words.lines();
    lines.extend(report.target.map(|at| RowLine {
        at,
        words: format!("target {}", words.given(at)),
        kind: RowLineKind::Target,
    }));
    let is_signed = report.readings.from_targets;
    RowChart {
        title: what.first().map(|line| line.text.clone()).unwrap_or_default(),
        unit: match (is_signed, report.unit) {
            (true, _) => "off by".to_owned(),
            (false, unit) => unit.map_or("", Unit::sign).to_owned(),
        },
        is_signed,
        least_margin: match report.unit {
            Some(Unit::Inch) => 0.001,
            Some(Unit::Millimetre) => 0.02,
            None => report.summary.mean.abs() / 100.0 + 1e-9,
        },
        each: words.each().to_owned(),
        places: (1..).zip(&report.charted).map(place).collect(),
        lines,
        uncertainty: 0.0,
        moments: Vec::new(),
        named: Vec::new(),
    }
}
