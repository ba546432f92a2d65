//! The readings of the check in hand: the strip, and what the last one said.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;

use crate::journal::ReadingRecord;
use crate::measure::{Length, Verdict, zone};
use crate::operation::decimal;
use crate::prose::visible;
use crate::route::Role;
use crate::tui::machine_view::echo;
use crate::tui::theme::Theme;
use crate::tui::widgets::{LimitLine, LimitLines, MarkKind, ReadingMark, ReadingStrip};
use crate::work::{Task, WorkContext};

/// The readings of one check at this operation, against their limits.
pub(super) struct ReadingsPanel {
    lines: LimitLines,
    /// In cut order, the voided ones too.
    marks: Vec<ReadingMark>,
    zones: bool,
    uncertainty: String,
    theme: Theme,
}

impl ReadingsPanel {
    /// None where nothing was read yet, or readings would only distract.
    pub(super) fn of(
        context: &WorkContext<'_>,
        task: &Task,
        theme: Theme,
    ) -> Option<ReadingsPanel> {
        let n = match task {
            Task::Caution { .. } | Task::Accept(_) | Task::Tool { .. } | Task::Who => return None,
            Task::Read { check, .. } | Task::Decide { check, .. } => *check,
            _ => 0,
        };
        let planned = context.planned()?;
        let check = planned.checks.get(n)?;
        let limits = planned.groups.first().and_then(|group| group.limits.get(n))?;
        let marks = marks(context, &check.of);
        if marks.is_empty() {
            return None;
        }
        let unit = context.route.unit;
        let line = |at: Length| LimitLine { at, text: decimal(at, unit) };
        let uncertainty = context.gauge(check).and_then(|gauge| gauge.uncertainty());
        let zones = limits
            .target
            .zip(uncertainty)
            .is_some_and(|(at, uncertainty)| zone(at, &limits.limits, uncertainty).is_some());
        Some(ReadingsPanel {
            lines: LimitLines {
                low: limits.limits.low.map(line),
                target: limits.target.map(line),
                high: limits.limits.high.map(line),
            },
            marks,
            zones,
            uncertainty: uncertainty.map_or_else(String::new, |u| decimal(u, unit)),
            theme,
        })
    }

    pub(super) fn draw(&self, frame: &mut Frame<'_>, area: Rect) {
        let strip = ReadingStrip {
            lines: &self.lines,
            readings: &self.marks,
            zones: self.zones,
            uncertainty: &self.uncertainty,
            theme: self.theme,
        };
        frame.render_widget(strip, area);
    }
}

/// The readings of a feature at this operation in cut order, the voided ones too.
fn marks(context: &WorkContext<'_>, feature: &str) -> Vec<ReadingMark> {
    let state = context.state;
    let order = |reading: &ReadingRecord| {
        state.pieces.iter().position(|piece| piece.id == reading.taken.piece)
    };
    let mut held: Vec<&ReadingRecord> = state
        .readings
        .iter()
        .filter(|r| r.taken.op == context.op && r.taken.feature == feature)
        .collect();
    held.sort_by_key(|reading| (order(reading), reading.order));
    held.into_iter()
        .filter_map(|reading| {
            let value = reading.taken.size()?;
            let piece = state.piece(&reading.taken.piece);
            let label = piece.map_or_else(String::new, |piece| match piece.label.role {
                Role::Setup => format!("s{}", piece.label.number),
                _ => piece.label.number.to_string(),
            });
            Some(ReadingMark {
                label,
                value,
                text: decimal(value, context.route.unit),
                kind: kind_of(&reading.taken.verdict()),
                voided: reading.voided,
            })
        })
        .collect()
}

/// How a verdict is marked.
pub(in crate::tui::screens) fn kind_of(verdict: &Verdict) -> MarkKind {
    match verdict {
        Verdict::In => MarkKind::In,
        Verdict::TooBig { .. } => MarkKind::TooBig,
        Verdict::TooSmall { .. } => MarkKind::TooSmall,
        Verdict::TooClose { .. } => MarkKind::TooClose,
    }
}

/// The last reading at this operation that is not voided.
fn last_reading<'a>(context: &WorkContext<'a>) -> Option<&'a ReadingRecord> {
    context.state.readings.iter().rev().find(|r| !r.voided && r.taken.op == context.op)
}

/// `leg 7 1.254: within limits; one point two five four`. What is to be decided
/// begins with the verdict, so that it isn't said twice.
pub(super) fn last_said(context: &WorkContext<'_>, task: &Task) -> String {
    let Some(reading) = last_reading(context) else { return String::new() };
    let (said, advice) = echo(context, reading);
    let advice = advice.filter(|_| !matches!(task, Task::Decide { .. }));
    let name = context.state.name(&reading.taken.piece);
    let verdict = advice.map_or_else(String::new, |advice| format!("{}; ", advice.headline));
    format!("{name} {}: {verdict}{said}", visible(reading.taken.typed.trim()))
}

/// What to do after the last reading; its verdict is at the entry line.
pub(super) fn after_last_reading(context: &WorkContext<'_>, theme: Theme) -> Vec<(String, Style)> {
    let Some(reading) = last_reading(context) else { return Vec::new() };
    let (_, Some(advice)) = echo(context, reading) else { return Vec::new() };
    let style = match advice.verdict {
        Verdict::In => theme.plain(),
        _ => theme.warn(),
    };
    advice.next.into_iter().map(|line| (line, style)).collect()
}
