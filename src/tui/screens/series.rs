//! One check: the likely cause, the readings in cut order, the confidence, and
//! what to do next.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{first_in_view, scrolled};
use crate::measure::{Length, Unit};
use crate::operation::decimal;
use crate::prose::{visible, wrap};
use crate::review::{ChartedSeries, CheckDiagnosis, point_words, told_places, wording};
use crate::tui::app::{App, Session};
use crate::tui::machine_view::{CutPlace, LimitLine, LimitLines, ReadingMark, kind_of};
use crate::tui::review_state::ReviewState;
use crate::tui::review_words::{check_title, check_words};
use crate::tui::widgets::CutOrderChart;

pub(super) fn draw(
    app: &App,
    session: &Session,
    state: &ReviewState,
    scrolled_past: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) -> Option<usize> {
    let check = state.check()?;
    let unit = session.snapshot.route.unit;
    let series = &check.series;
    let title = check_title(series);
    let title = visible(&title);
    let body = framed(app, frame, area, &title, "by operation");
    let cause = wrap(&visible(&wording::sentence(check, unit)), body.width);
    let below: Vec<Line<'static>> = below(app, state, check, unit, body.width);
    let cause_rows = (cause.len() as u16).min(3);
    let least = if body.height < 14 { 5 } else { 8 };
    let room = body.height.saturating_sub(cause_rows);
    // The chart takes what the words leave, and no less than it needs.
    let chart_rows = room.saturating_sub(below.len() as u16).clamp(least.min(room), 24);
    let [top, chart, rest] = body.layout(&Layout::vertical([
        Constraint::Length(cause_rows),
        Constraint::Length(chart_rows),
        Constraint::Fill(1),
    ]));
    let style = app.theme.strong();
    let cause: Vec<Line<'static>> =
        cause.into_iter().map(|line| Line::styled(line, style)).collect();
    frame.render_widget(Paragraph::new(cause), top);
    draw_chart(app, frame, chart, state, check, unit);
    let first = first_in_view(below.len(), scrolled_past, rest.height);
    let shown = scrolled(below, first, rest.height, app.theme);
    frame.render_widget(Paragraph::new(shown), rest);
    Some(first)
}

/// The chosen piece, what is asked, what to do next, how sure it is.
fn below(
    app: &App,
    state: &ReviewState,
    check: &CheckDiagnosis,
    unit: Unit,
    width: u16,
) -> Vec<Line<'static>> {
    let mut lines: Vec<Line<'static>> = Vec::new();
    let mut say = |text: &str, style| {
        let wrapped = wrap(&visible(text), width).into_iter();
        lines.extend(wrapped.map(|line| Line::styled(line, style)));
    };
    if let Some(point) = check.series.points.get(state.point) {
        say(&point_words(check, point, unit), app.theme.strong());
    }
    for text in check_words(state, check, unit) {
        say(&text, app.theme.plain());
    }
    lines
}

fn draw_chart(
    app: &App,
    frame: &mut Frame<'_>,
    area: Rect,
    state: &ReviewState,
    check: &CheckDiagnosis,
    unit: Unit,
) {
    let points = &check.series.points;
    let Some(charted) = ChartedSeries::of(&check.series, unit) else { return };
    let first = charted.first;
    let places: Vec<CutPlace> = points
        .iter()
        .map(|point| {
            let label = visible(&point.name);
            let reading = ReadingMark {
                label: label.clone(),
                value: charted.shown(point.value, point.wanted),
                text: charted.text(charted.shown(point.value, point.wanted)),
                kind: kind_of(&point.verdict),
                voided: false,
            };
            CutPlace { label, readings: vec![reading] }
        })
        .collect();
    let line = |at: Length| {
        let at = charted.shown(at, first.wanted);
        LimitLine { at, text: charted.text(at) }
    };
    let lines = LimitLines {
        low: first.limits.low.map(line),
        target: Some(line(first.wanted)),
        high: first.limits.high.map(line),
    };
    let (moved_after, named) = told_places(check);
    let uncertainty = check.series.uncertainty();
    let uncertainty_text = decimal(uncertainty, unit);
    let chart = CutOrderChart {
        lines: &lines,
        places: &places,
        uncertainty,
        uncertainty_text: &uncertainty_text,
        moved_after,
        named: &named,
        chosen: Some(state.point),
        shows_all: true,
        theme: app.theme,
    };
    frame.render_widget(chart, area);
}
