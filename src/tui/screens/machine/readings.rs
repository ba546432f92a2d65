//! The readings of the check in hand, and what the last one said.

use ratatui::Frame;
use ratatui::layout::Rect;

use crate::journal::{Decision, ReadingRecord};
use crate::measure::{Length, Unit, Verdict};
use crate::operation::decimal;
use crate::prose::visible;
use crate::route::Role;
use crate::tui::machine_view::echo;
use crate::tui::theme::Theme;
use crate::tui::widgets::{
    CutOrderChart, CutPlace, LimitBand, LimitLine, LimitLines, MarkKind, ReadingMark,
};
use crate::work::{Task, WorkContext};

/// From so many rows on the readings are drawn in cut order.
const ROWS_FOR_A_CHART: u16 = 8;

/// The readings of one check at this operation, against their limits.
pub(in crate::tui::screens) struct ReadingsPanel {
    lines: LimitLines,
    /// A place for each piece, in cut order.
    places: Vec<CutPlace>,
    /// Every reading, in cut order.
    marks: Vec<ReadingMark>,
    /// The newest of them, and the name of its piece.
    newest: Option<(usize, String)>,
    uncertainty: Length,
    theme: Theme,
    unit: Unit,
}

impl ReadingsPanel {
    /// None where nothing is measured, or readings would only distract.
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
        ReadingsPanel::at(context, n, theme)
    }

    /// The readings of one check, whatever is asked.
    pub(in crate::tui::screens) fn at(
        context: &WorkContext<'_>,
        n: usize,
        theme: Theme,
    ) -> Option<ReadingsPanel> {
        let planned = context.planned()?;
        let check = planned.checks.get(n)?;
        let limits = planned.groups.first().and_then(|group| group.limits.get(n))?;
        let unit = context.route.unit;
        let line = |at: Length| LimitLine { at, text: decimal(at, unit) };
        let uncertainty = context.gauge(check).and_then(|gauge| gauge.uncertainty());
        let mut panel = ReadingsPanel {
            lines: LimitLines {
                low: limits.limits.low.map(line),
                target: limits.target.map(line),
                high: limits.limits.high.map(line),
            },
            places: Vec::new(),
            marks: Vec::new(),
            newest: None,
            uncertainty: uncertainty.unwrap_or_default(),
            theme,
            unit,
        };
        panel.read(context, &check.of);
        Some(panel)
    }

    /// Takes in the readings of a feature, the voided ones too.
    fn read(&mut self, context: &WorkContext<'_>, feature: &str) {
        let state = context.state;
        let mut newest = 0;
        for piece in context.pieces() {
            let label = match piece.label.role {
                Role::Setup => "s".to_owned(),
                _ => piece.label.number.to_string(),
            };
            let mut place = CutPlace { label: label.clone(), readings: Vec::new() };
            for reading in state.readings_of(context.op, &piece.id, feature) {
                let Some(value) = reading.taken.size() else { continue };
                let mark = ReadingMark {
                    label: label.clone(),
                    value,
                    text: decimal(value, context.route.unit),
                    kind: kind_of(&reading.taken.verdict()),
                    voided: reading.voided,
                };
                if !reading.voided && reading.order >= newest {
                    newest = reading.order;
                    self.newest = Some((self.marks.len(), state.name(&piece.id)));
                }
                self.marks.push(mark.clone());
                place.readings.push(mark);
            }
            self.places.push(place);
        }
    }

    /// Whether anything was measured yet.
    pub(in crate::tui::screens) fn has_readings(&self) -> bool {
        !self.marks.is_empty()
    }

    pub(in crate::tui::screens) fn draw(&self, frame: &mut Frame<'_>, area: Rect) {
        let text = match self.uncertainty {
            none if none.is_zero() => String::new(),
            known => decimal(known, self.unit),
        };
        if area.height < ROWS_FOR_A_CHART {
            let newest = self.newest.as_ref().map(|(at, name)| (*at, name.as_str()));
            let band = LimitBand {
                lines: &self.lines,
                readings: &self.marks,
                newest,
                uncertainty: self.uncertainty,
                uncertainty_text: &text,
                theme: self.theme,
            };
            return frame.render_widget(band, area);
        }
        let chart = CutOrderChart {
            lines: &self.lines,
            places: &self.places,
            uncertainty: self.uncertainty,
            uncertainty_text: &text,
            moved_after: None,
            named: &[],
            chosen: None,
            shows_all: false,
            theme: self.theme,
        };
        frame.render_widget(chart, area);
    }
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

/// The decision after which nothing is left to do about a reading. How a piece is cut
/// again must still be read while it is.
fn settled_by(context: &WorkContext<'_>, reading: &ReadingRecord) -> Option<Decision> {
    context.state.decision_on(reading).filter(|decision| *decision != Decision::Rework)
}

/// `leg 7 1.254: within limits; one point two five four`. What is to be decided
/// begins with the verdict, so that it isn't said twice.
pub(super) fn last_said(context: &WorkContext<'_>, task: &Task) -> String {
    let Some(reading) = last_reading(context) else { return String::new() };
    let (said, advice) = echo(context, reading);
    if let Some(decision) = settled_by(context, reading) {
        let (name, typed) = (context.state.name(&reading.taken.piece), reading.taken.typed.trim());
        return format!("{name} {}: {}", visible(typed), decision.outcome());
    }
    let advice = advice.filter(|_| !matches!(task, Task::Decide { .. }));
    let name = context.state.name(&reading.taken.piece);
    let verdict = advice.map_or_else(String::new, |advice| format!("{}; ", advice.headline));
    format!("{name} {}: {verdict}{said}", visible(reading.taken.typed.trim()))
}

/// What to do after the last reading; its verdict is at the entry line. A decision
/// about the piece settles what was said of it.
pub(super) fn after_last_reading(context: &WorkContext<'_>) -> Vec<String> {
    let Some(reading) = last_reading(context) else { return Vec::new() };
    if settled_by(context, reading).is_some() {
        return Vec::new();
    }
    let (_, advice) = echo(context, reading);
    advice.map_or_else(Vec::new, |advice| advice.next)
}
