//! What the lead sees before accepting a dimension: the choices, and the readings it
//! is made from, the smallest first.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::talk::rows_for_fixed;
use crate::measure::Length;
use crate::operation::decimal;
use crate::prose::{visible, wrap};
use crate::tui::machine_view::MachineView;
use crate::tui::theme::Theme;
use crate::tui::widgets::{whole_or_dots, width};
use crate::work::{Proposal, WorkContext};

/// Every choice: in whole sentences where there is room for all, else a row each.
pub(super) fn options(view: &MachineView, proposal: &Proposal, area: Rect) -> Vec<String> {
    let wrapped = |text: &String| wrap(&visible(text), area.width).len();
    let rows = view.now.iter().map(wrapped).sum::<usize>();
    if proposal.keeps.len() < 2 || rows <= rows_for_fixed(area) {
        return view.now.clone();
    }
    let brief = |changed: &str| -> Vec<String> {
        let kept = proposal.keeps.iter().zip(1..).map(|(kept, n)| {
            let keep = visible(kept.keep.as_deref().unwrap_or_default());
            format!("{n} keep {keep}: {} {changed}", kept.changes.len())
        });
        kept.collect()
    };
    let fits = |lines: &Vec<String>| lines.iter().all(|line| width(line) <= area.width);
    let lines = Some(brief("settings change")).filter(fits).unwrap_or_else(|| brief("change"));
    lines.iter().map(|line| whole_or_dots(line, area.width)).collect()
}

pub(super) fn draw(
    context: &WorkContext<'_>,
    proposal: &Proposal,
    frame: &mut Frame<'_>,
    area: Rect,
    theme: Theme,
) {
    if area.is_empty() {
        return;
    }
    let planned = context.plan.operation(proposal.op);
    let checks = planned.map_or(&[][..], |planned| planned.checks.as_slice());
    let makes = |of: &str| {
        let step = context.route.step(proposal.op);
        let check = step.and_then(|step| step.checks.iter().find(|check| check.of == *of));
        check.is_some_and(|check| check.becomes.is_some())
    };
    let Some(check) = checks.iter().find(|check| makes(&check.of)) else { return };
    let mut sizes: Vec<(Length, Vec<String>)> = Vec::new();
    for reading in context.state.counting_readings() {
        let taken = &reading.taken;
        if taken.op != proposal.op || taken.feature != check.of {
            continue;
        }
        let Some(size) = taken.size() else { continue };
        let label = context.state.piece(&taken.piece).map(|piece| piece.label.number.to_string());
        let label = label.unwrap_or_default();
        match sizes.iter_mut().find(|(held, _)| *held == size) {
            Some((_, labels)) => labels.push(label),
            None => sizes.push((size, vec![label])),
        }
    }
    sizes.sort_by_key(|(size, _)| *size);
    let unit = context.route.unit;
    let most = sizes.iter().map(|(_, labels)| labels.len()).max().unwrap_or(0).min(12);
    let mut lines = vec!["readings, smallest first".to_owned()];
    lines.extend(sizes.iter().map(|(size, labels)| {
        let marks = "o".repeat(labels.len().min(12));
        format!("{} {marks:<most$}  {}", decimal(*size, unit), labels.join(" "))
    }));
    let last = lines.len();
    let rows = usize::from(area.height);
    if last > rows {
        lines.truncate(rows.saturating_sub(1));
        lines.push(format!("{} more sizes, larger", last + 1 - rows));
    }
    let lines = lines.into_iter().map(|line| whole_or_dots(&line, area.width));
    let lines: Vec<Line<'static>> = lines.map(|line| Line::styled(line, theme.plain())).collect();
    frame.render_widget(Paragraph::new(lines), area);
}
