//! What went out of limits, in the order it was found; then the checks worth a
//! look, with their likely causes; then the other checks.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::listed;
use crate::prose::{visible, wrap};
use crate::review::wording;
use crate::route::Route;
use crate::tui::app::{App, Session};
use crate::tui::review_state::{ReviewRow, ReviewState};

pub(super) fn draw(
    app: &App,
    session: &Session,
    state: &ReviewState,
    frame: &mut Frame<'_>,
    area: Rect,
) {
    let body = framed(app, frame, area, "What went out of limits, and why", "open");
    let found = &state.findings;
    let mut lines: Vec<Line<'static>> = Vec::new();
    let mut selected = 0..0;
    let notable = found.notable().len();
    let mut before = None;
    let mut checks = 0;
    for (n, row) in state.rows.iter().enumerate() {
        let part = match row {
            ReviewRow::Out(_) | ReviewRow::Together(_) => {
                format!("Out of limits: {}, in the order found", found.out.len())
            }
            ReviewRow::Gauge(_) => "Gauges".to_owned(),
            ReviewRow::Day(_) => "Measured again on another day".to_owned(),
            ReviewRow::Check(_) if checks < notable => "Checks worth a look".to_owned(),
            ReviewRow::Check(_) => "Checks with nothing to report".to_owned(),
            ReviewRow::Wood(_) => "Where the wood went".to_owned(),
        };
        checks += usize::from(matches!(row, ReviewRow::Check(_)));
        if before.as_ref() != Some(&part) {
            if before.is_some() {
                lines.push(Line::default());
            }
            lines.push(Line::styled(part.clone(), app.theme.strong()));
            before = Some(part);
        }
        let is_selected = n == state.row;
        let start = lines.len();
        let style = if is_selected { app.theme.selected() } else { app.theme.plain() };
        let text = visible(&row_words(state, *row, &session.snapshot.route));
        for (at, line) in wrap(&text, body.width.saturating_sub(4)).into_iter().enumerate() {
            let mark = match (at, is_selected) {
                (0, true) => "> ",
                (0, false) => "  ",
                _ => "    ",
            };
            lines.push(Line::styled(format!("{mark}{line}"), style));
        }
        if is_selected {
            // The heading stays in sight with the first of its list.
            let heading = usize::from(n == 0);
            selected = start - heading..lines.len();
        }
    }
    if found.is_quiet() {
        let quiet = "Nothing went out of limits, and the readings show no shift.";
        let quiet = wrap(quiet, body.width).into_iter();
        let quiet: Vec<Line> = quiet.map(|line| Line::styled(line, app.theme.plain())).collect();
        selected = selected.start + quiet.len()..selected.end + quiet.len();
        lines.splice(0..0, quiet);
    }
    let shown = listed(lines, selected, body.height, app.theme);
    frame.render_widget(Paragraph::new(shown), body);
}

fn row_words(state: &ReviewState, row: ReviewRow, route: &Route) -> String {
    let (found, unit) = (&state.findings, route.unit);
    match row {
        ReviewRow::Out(n) => found.out.get(n).map_or_else(String::new, |out| {
            format!(
                "op {} {}: {}, {}",
                out.op,
                out.name,
                wording::read_and_wanted(out, unit),
                wording::limits_and_outcome(out, unit)
            )
        }),
        ReviewRow::Together(n) => {
            let first = found.out.get(n);
            let told = found.grouped_out().into_iter().find(|told| {
                told.first().zip(first).is_some_and(|(held, first)| std::ptr::eq(*held, first))
            });
            let (Some(told), Some(first)) = (told, first) else { return String::new() };
            let (head, _, became) = wording::grouped(&told, unit);
            format!("op {} {}: {head}, {} first; {became}", first.op, first.feature, first.name)
        }
        ReviewRow::Gauge(n) => found
            .gauges
            .get(n)
            .map_or_else(String::new, |moved| wording::gauge_shift_sentence(moved, unit)),
        ReviewRow::Wood(n) => state.wood.get(n).map_or_else(String::new, |used| {
            let follows = used.sentences().join(" ");
            format!("{} {follows}", used.sentence(unit)).trim_end().to_owned()
        }),
        ReviewRow::Day(n) => found
            .moved_repeats()
            .nth(n)
            .map_or_else(String::new, |again| wording::repeat_sentence(again, route)),
        ReviewRow::Check(n) => found.checks.get(n).map_or_else(String::new, |check| {
            format!("{}. {}", wording::check_name(&check.series), wording::sentence(check, unit))
        }),
    }
}
