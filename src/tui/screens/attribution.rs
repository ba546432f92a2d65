//! What each operation added to each deviation of a piece, and where the piece
//! left its limits.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{first_in_view, scrolled};
use crate::operation::decimal;
use crate::prose::{visible, wrap};
use crate::review::{Attribution, wording};
use crate::route::Route;
use crate::tui::app::{App, Session};
use crate::tui::review_state::{AttributedPiece, ReviewState};
use crate::tui::theme::Theme;
use crate::tui::widgets::{share_bar, whole_or_dots, width};

/// From this width on, a share takes one line.
const ONE_LINE: u16 = 64;

pub(super) fn draw(
    app: &App,
    session: &Session,
    review: &ReviewState,
    held: &AttributedPiece,
    frame: &mut Frame<'_>,
    area: Rect,
) -> usize {
    let (route, state) = (&session.snapshot.route, &session.snapshot.state);
    let title = format!("{}: what each operation added", state.name(&held.piece));
    let body = framed(app, frame, area, &visible(&title), "");
    let mut lines: Vec<Line<'static>> = Vec::new();
    let ops =
        || held.attributions.iter().flat_map(|attribution| &attribution.stages).map(|stop| stop.op);
    for moved in &review.findings.gauges {
        if ops().any(|op| moved.ops.contains(&op)) {
            let told = visible(&wording::gauge_shift_sentence(moved, route.unit));
            let told = wrap(&told, body.width).into_iter();
            lines.extend(told.map(|line| Line::styled(line, app.theme.plain())));
            lines.push(Line::default());
        }
    }
    for attribution in &held.attributions {
        lines.extend(attribution_lines(route, attribution, body.width, app.theme));
        lines.push(Line::default());
    }
    let piece = state.piece(&held.piece);
    for ruling in piece.into_iter().flat_map(|piece| &piece.decisions) {
        let text = format!("op {} {}: {}", ruling.op, ruling.decision.words(), ruling.why);
        lines.extend(wrap(&visible(&text), body.width).into_iter().map(Line::from));
    }
    for note in state.remarks_on(&held.piece) {
        let text = format!("note {}", state.remark_line(note));
        lines.extend(wrap(&visible(&text), body.width).into_iter().map(Line::from));
    }
    if held.attributions.is_empty() {
        lines.push(Line::from("Nothing has been measured on it yet."));
    }
    while lines.last().is_some_and(|line| line.width() == 0) {
        lines.pop();
    }
    let first = first_in_view(lines.len(), held.scrolled, body.height);
    let shown = scrolled(lines, first, body.height, app.theme);
    frame.render_widget(Paragraph::new(shown), body);
    first
}

fn attribution_lines(
    route: &Route,
    attribution: &Attribution,
    room: u16,
    theme: Theme,
) -> Vec<Line<'static>> {
    let unit = route.unit;
    let miss = wording::miss_text(attribution.miss, wording::feature_of(route, attribution), unit);
    let left = wording::where_it_left(attribution);
    let left = left.map_or_else(String::new, |left| format!(". {left}"));
    let head = visible(&format!("{}: {miss}{left}", attribution.feature));
    let style = theme.strong();
    let mut lines: Vec<Line<'static>> =
        wrap(&head, room).into_iter().map(|line| Line::styled(line, style)).collect();
    let most = attribution.longest_bar();
    let half = match room {
        ..ONE_LINE => 4,
        ONE_LINE..100 => 8,
        _ => 16,
    };
    let names = if room < ONE_LINE { 13 } else { 18 };
    for added in &attribution.added {
        let ops = whole_or_dots(&wording::op_label(route, &added.ops), names);
        let gap = " ".repeat(usize::from(names - width(&ops)));
        let bar = share_bar(added.amount, added.uncertainty, most, half, theme);
        let uncertainty = decimal(added.uncertainty, unit);
        let plus_minus = theme.glyphs().plus_minus;
        let amount = format!("{} {plus_minus} {uncertainty}", wording::signed(added.amount, unit));
        let what = visible(&wording::added_label(attribution, added));
        let line = format!("  {ops}{gap} {bar} {amount}");
        let beside = room.saturating_sub(width(&line) + 2);
        if width(&what) <= beside {
            lines.push(Line::from(format!("{line}  {what}").trim_end().to_owned()));
        } else {
            lines.push(Line::from(whole_or_dots(&line, room)));
            lines.push(Line::from(whole_or_dots(&format!("    {what}"), room)));
        }
    }
    if let Some(shared) = wording::shared_ops(attribution) {
        let shared = wrap(&shared, room.saturating_sub(2)).into_iter();
        lines.extend(shared.map(|line| Line::from(format!("  {line}"))));
    }
    lines
}
