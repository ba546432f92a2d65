//! The readings of one check in cut order, as words and marks, and what the last one
//! said.

use std::cell::OnceCell;

use super::echo;
use crate::journal::{Decision, ReadingRecord};
use crate::measure::{Length, Verdict};
use crate::operation::decimal;
use crate::prose::visible;
use crate::route::Role;
use crate::work::{Task, WorkContext};

/// The verdict on a reading, as far as a mark can say it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::tui) enum MarkKind {
    /// Within limits.
    In,
    /// Over the upper limit.
    TooBig,
    /// Under the lower limit.
    TooSmall,
    /// Nearer to a limit than the gauge can tell.
    TooClose,
}

/// One reading: the piece it was taken on, the value, and how it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::tui) struct ReadingMark {
    /// The piece's name or number.
    pub(in crate::tui) label: String,
    /// The size that was read.
    pub(in crate::tui) value: Length,
    /// The value as the gauge shows it: `1.754`.
    pub(in crate::tui) text: String,
    /// The verdict on it.
    pub(in crate::tui) kind: MarkKind,
    /// Voided: it stays in sight, and counts for nothing.
    pub(in crate::tui) voided: bool,
}

/// A line across the chart, and how its size is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::tui) struct LimitLine {
    /// The size it stands for.
    pub(in crate::tui) at: Length,
    /// The size as it is written.
    pub(in crate::tui) text: String,
}

/// The lines readings are drawn against.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::tui) struct LimitLines {
    /// The lower limit.
    pub(in crate::tui) low: Option<LimitLine>,
    /// The size wanted.
    pub(in crate::tui) target: Option<LimitLine>,
    /// The upper limit.
    pub(in crate::tui) high: Option<LimitLine>,
}

/// A place in cut order: a piece, measured or not.
#[derive(Clone, Debug)]
pub(in crate::tui) struct CutPlace {
    /// The piece's name or number.
    pub(in crate::tui) label: String,
    /// Its readings, the voided ones too.
    pub(in crate::tui) readings: Vec<ReadingMark>,
}

/// The readings of one check at an operation, against their limits.
#[derive(Clone, Debug)]
pub(in crate::tui) struct CheckReadings {
    /// Limits and target.
    pub(in crate::tui) lines: LimitLines,
    /// Every piece, in cut order.
    pieces: Vec<(Role, u32)>,
    /// Every reading, in cut order.
    pub(in crate::tui) marks: Vec<ReadingMark>,
    /// Which piece each of them was taken on.
    taken_on: Vec<usize>,
    /// A place for each piece, once a chart wants them.
    places: OnceCell<Vec<CutPlace>>,
    /// The newest of them, and the name of its piece.
    pub(in crate::tui) newest: Option<(usize, String)>,
    /// What one reading can be off by; zero where that is not known.
    pub(in crate::tui) uncertainty: Length,
    /// The same as it is written, or nothing.
    pub(in crate::tui) uncertainty_text: String,
}

impl CheckReadings {
    /// None where nothing is measured, or readings would only distract.
    pub(super) fn of(context: &WorkContext<'_>, task: &Task) -> Option<CheckReadings> {
        let n = match task {
            Task::Caution { .. } | Task::Accept(_) | Task::Tool { .. } | Task::Who => return None,
            Task::Read { check, .. } | Task::Decide { check, .. } => *check,
            _ => 0,
        };
        CheckReadings::at(context, n)
    }

    /// The readings of one check, whatever is asked.
    pub(in crate::tui) fn at(context: &WorkContext<'_>, n: usize) -> Option<CheckReadings> {
        let planned = context.planned()?;
        let check = planned.checks.get(n)?;
        let limits = planned.groups.first().and_then(|group| group.limits.get(n))?;
        let unit = context.route.unit;
        let line = |at: Length| LimitLine { at, text: decimal(at, unit) };
        let uncertainty = context.gauge(check).and_then(|gauge| gauge.uncertainty());
        let uncertainty = uncertainty.unwrap_or_default();
        let mut row = CheckReadings {
            lines: LimitLines {
                low: limits.limits.low.map(line),
                target: limits.target.map(line),
                high: limits.limits.high.map(line),
            },
            pieces: Vec::new(),
            marks: Vec::new(),
            taken_on: Vec::new(),
            places: OnceCell::new(),
            newest: None,
            uncertainty,
            uncertainty_text: match uncertainty {
                none if none.is_zero() => String::new(),
                known => decimal(known, unit),
            },
        };
        row.read(context, &check.of);
        Some(row)
    }

    /// Takes in the readings of a feature, the voided ones too.
    fn read(&mut self, context: &WorkContext<'_>, feature: &str) {
        let state = context.state;
        let readings = state.readings_by_place(context.op);
        let mut newest = 0;
        for (at, piece) in context.pieces().into_iter().enumerate() {
            let (role, number) = (piece.label.role, piece.label.number);
            self.pieces.push((role, number));
            let own = readings[piece.place].iter();
            for reading in own.filter(|reading| reading.taken.feature == feature) {
                let Some(value) = reading.taken.size() else { continue };
                let mark = ReadingMark {
                    label: number_of(role, number),
                    value,
                    text: decimal(value, context.route.unit),
                    kind: kind_of(&reading.taken.verdict()),
                    voided: reading.voided,
                };
                if !reading.voided && reading.order >= newest {
                    newest = reading.order;
                    self.newest = Some((self.marks.len(), state.name(&piece.id)));
                }
                self.marks.push(mark);
                self.taken_on.push(at);
            }
        }
    }

    /// A place for each piece in cut order, with its readings.
    pub(in crate::tui) fn places(&self) -> &[CutPlace] {
        self.places.get_or_init(|| {
            let empty = |(role, number): &(Role, u32)| CutPlace {
                label: number_of(*role, *number),
                readings: Vec::new(),
            };
            let mut places: Vec<CutPlace> = self.pieces.iter().map(empty).collect();
            for (mark, at) in self.marks.iter().zip(&self.taken_on) {
                places[*at].readings.push(mark.clone());
            }
            places
        })
    }
}

/// What a piece is called in a chart: its number.
fn number_of(role: Role, number: u32) -> String {
    match role {
        Role::Setup => "s".to_owned(),
        _ => number.to_string(),
    }
}

/// How a verdict is marked.
pub(in crate::tui) fn kind_of(verdict: &Verdict) -> MarkKind {
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

/// What was made of the last reading, and what to do after it.
#[derive(Clone, Debug, Default)]
pub(super) struct LastReading {
    /// `leg 7 1.254: within limits; one point two five four`. What is to be decided begins
    /// with the verdict, so that it isn't said twice.
    pub(super) said: String,
    /// Its verdict is in what is said. A decision about the piece settles it.
    pub(super) after: Vec<String>,
}

impl LastReading {
    pub(super) fn of(context: &WorkContext<'_>, task: &Task) -> LastReading {
        let Some(reading) = last_reading(context) else { return LastReading::default() };
        let (name, typed) = (context.state.name(&reading.taken.piece), reading.taken.typed.trim());
        let named = format!("{name} {}", visible(typed));
        if let Some(decision) = settled_by(context, reading) {
            let said = format!("{named}: {}", decision.outcome());
            return LastReading { said, after: Vec::new() };
        }
        let (spoken, advice) = echo(context, reading);
        let headline = advice.as_ref().filter(|_| !matches!(task, Task::Decide { .. }));
        let verdict = headline.map_or_else(String::new, |advice| format!("{}; ", advice.headline));
        let said = format!("{named}: {verdict}{spoken}");
        LastReading { said, after: advice.map_or_else(Vec::new, |advice| advice.next) }
    }
}
