//! How setups went: closed unmeasured, opened early, a first piece unlike the rest;
//! and where the time went, as far as the journal shows.

use std::collections::{BTreeMap, BTreeSet};

use chrono::TimeDelta;

use super::{Evidence, FEWEST, Lesson, LessonSubject, ReviewedBatch, Topic, counted};
use crate::journal::{Event, JournalLine};
use crate::measure::Unit;
use crate::series::median;

/// A longer gap may be a break, so it is not counted.
const LONGEST_GAP: TimeDelta = TimeDelta::minutes(30);

pub(super) fn lessons(batches: &[ReviewedBatch<'_>]) -> Vec<Lesson> {
    let mut lessons = Vec::new();
    lessons.extend(unmeasured(batches));
    lessons.extend(opened_early(batches));
    lessons.extend(first_pieces(batches));
    lessons
}

fn plain(topic: Topic, about: impl Into<String>, says: String) -> Lesson {
    let unit = Unit::Inch;
    let evidence =
        Evidence { unit, count: 0, of: "", batches: 0, range: None, uncertainty: None, more: None };
    Lesson {
        topic,
        about: about.into(),
        subject: LessonSubject::Shop,
        says,
        evidence,
        change: None,
    }
}

/// Operations as a list, each once: `op 30, op 50`.
fn ops(found: &[u32]) -> String {
    let found: BTreeSet<u32> = found.iter().copied().collect();
    let words: Vec<String> = found.iter().map(|op| format!("op {op}")).collect();
    words.join(", ")
}

/// Closed operations with a check whose last piece was not measured.
fn unmeasured(batches: &[ReviewedBatch<'_>]) -> Option<Lesson> {
    let (mut found, mut of) = (Vec::new(), 0);
    for batch in batches {
        let state = batch.journal.state;
        for step in batch.journal.route.steps.iter().filter(|step| !step.checks.is_empty()) {
            let Some(setup) = state.setups.get(&step.op).filter(|setup| setup.closed) else {
                continue;
            };
            let Some(last) = setup.done.last() else { continue };
            of += 1;
            let read = |r: &crate::journal::ReadingRecord| {
                !r.voided && r.taken.op == step.op && r.taken.piece == *last
            };
            if !state.readings.iter().any(read) {
                found.push(step.op);
            }
        }
    }
    (!found.is_empty()).then(|| {
        let says = format!(
            "{} of {} closed with the last piece unmeasured ({}), so nobody knows whether the \
             setting still held.",
            found.len(),
            counted(of, "operation"),
            ops(&found)
        );
        plain(Topic::Setup, "last pieces", says)
    })
}

fn opened_early(batches: &[ReviewedBatch<'_>]) -> Option<Lesson> {
    let setups = batches.iter().flat_map(|batch| &batch.journal.state.setups);
    let early = setups.filter_map(|(op, setup)| Some((*op, setup.opened_early.as_ref()?)));
    let early: Vec<String> =
        early.map(|(op, opening)| format!("op {op} ({})", opening.words())).collect();
    (!early.is_empty()).then(|| {
        let says = format!(
            "{} opened before {} time: {}.",
            counted(early.len(), "operation"),
            if early.len() == 1 { "its" } else { "their" },
            early.join(", ")
        );
        plain(Topic::Setup, "opened early", says)
    })
}

/// Whether first pieces represent the rest. One doesn't when it is further from
/// their median than three times the spread of gauge and machine together.
fn first_pieces(batches: &[ReviewedBatch<'_>]) -> Option<Lesson> {
    let (mut found, mut of) = (Vec::new(), 0);
    for batch in batches {
        for account in &batch.findings.checks {
            let series = &account.series;
            let misses = series.misses();
            let Some((first, rest)) = misses.split_first().filter(|(_, rest)| rest.len() >= FEWEST)
            else {
                continue;
            };
            let Ok(middle) = median(rest) else { continue };
            let machine = series.at.as_ref().and_then(|at| batch.journal.shop.machines.get(at));
            let spread = machine.map(|held| held.spread.unwrap_or(held.kind.usual_spread()));
            let spread = spread.unwrap_or_default().inches();
            of += 1;
            if (first - middle).abs() > 3.0 * (series.uncertainty().inches() / 2.0).hypot(spread) {
                found.push(series.op);
            }
        }
    }
    (of > 0).then(|| {
        let says = match found.as_slice() {
            [] => format!("In all {of} checks the first piece was like the rest."),
            _ => format!(
                "In {} of {} the first piece was unlike the rest ({}): measure the second piece too.",
                found.len(),
                counted(of, "check"),
                ops(&found)
            ),
        };
        plain(Topic::Setup, "first pieces", says)
    })
}

/// The time an operation took, by activity.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Minutes {
    /// Cautions, gauges, tools, scales, first pieces.
    pub set_up: TimeDelta,
    /// Cutting, with the first measurement of each piece, which the journal can't
    /// tell apart.
    pub run: TimeDelta,
    /// Measuring again, or another size.
    pub measure: TimeDelta,
    /// Deciding and accepting.
    pub decide: TimeDelta,
    /// Glue and finish.
    pub wait: TimeDelta,
    /// Gaps too long to be work.
    pub breaks: usize,
}

impl Minutes {
    /// All of it together, breaks apart.
    pub fn all(&self) -> TimeDelta {
        self.set_up + self.run + self.measure + self.decide + self.wait
    }

    fn add(&mut self, more: &Minutes) {
        self.set_up += more.set_up;
        self.run += more.run;
        self.measure += more.measure;
        self.decide += more.decide;
        self.wait += more.wait;
        self.breaks += more.breaks;
    }
}

/// Where the time of a journal went, by operation: the gap before a line at its
/// station counts for that line. The lines are in merged order.
pub fn minutes(lines: &[JournalLine]) -> BTreeMap<u32, Minutes> {
    let mut found: BTreeMap<u32, Minutes> = BTreeMap::new();
    let mut stations: BTreeMap<&str, Vec<&JournalLine>> = BTreeMap::new();
    for line in lines {
        stations.entry(&line.station).or_default().push(line);
    }
    for lines in stations.values() {
        let mut read = BTreeSet::new();
        let mut waits = None;
        for (at, pair) in lines.windows(2).enumerate() {
            let (before, line) = (pair[0], pair[1]);
            if let Event::Timer { minutes, .. } = before.event {
                waits = Some(before.at + TimeDelta::minutes(i64::from(minutes)));
            }
            // A line of no operation counts for the next operation.
            let later = lines[at + 1..].iter().find_map(|line| line.event.op());
            let earlier = || lines[..=at].iter().rev().find_map(|line| line.event.op());
            let Some(op) = later.or_else(earlier) else { continue };
            let gap = (line.at - before.at).max(TimeDelta::zero());
            if gap > LONGEST_GAP {
                let waited = waits
                    .filter(|until| *until > before.at)
                    .map(|until| (until.min(line.at) - before.at).max(TimeDelta::zero()));
                let glued = lines[..=at].iter().rev().find_map(|line| line.event.op());
                match waited.zip(glued) {
                    Some((waited, op)) => found.entry(op).or_default().wait += waited,
                    None => found.entry(op).or_default().breaks += 1,
                }
                continue;
            }
            let own = found.entry(op).or_default();
            match &line.event {
                Event::Reading(taken) => {
                    if read.insert((taken.op, &taken.piece)) {
                        own.run += gap;
                    } else {
                        own.measure += gap;
                    }
                }
                Event::Done { .. } | Event::Split { .. } | Event::Closed { .. } => own.run += gap,
                Event::Decided { .. }
                | Event::Accepted { .. }
                | Event::Kept { .. }
                | Event::Made(_)
                | Event::Labelled { .. }
                | Event::Remade { .. }
                | Event::GateOpened { .. }
                | Event::Voided { .. }
                | Event::Restored { .. } => own.decide += gap,
                _ => own.set_up += gap,
            }
        }
    }
    found
}

/// Where the time went, the longest first.
pub(super) fn times(batches: &[ReviewedBatch<'_>]) -> Vec<Lesson> {
    let mut found: BTreeMap<(&str, u32), (String, Minutes)> = BTreeMap::new();
    for batch in batches {
        let route = batch.journal.route;
        for (op, minutes) in minutes(batch.journal.lines) {
            let Some(step) = route.step(op) else { continue };
            let words = format!("op {op} {} {}", step.kind, step.part);
            found.entry((&route.name, op)).or_insert((words, Minutes::default())).1.add(&minutes);
        }
    }
    let mut all: Vec<(String, Minutes)> = found.into_values().collect();
    all.sort_by_key(|(_, minutes)| std::cmp::Reverse(minutes.all()));
    let breaks: usize = all.iter().map(|(_, minutes)| minutes.breaks).sum();
    if all.iter().all(|(_, minutes)| minutes.all().is_zero()) {
        return Vec::new();
    }
    let floor = format!(
        "These are minimums: {} over {} minutes {} not counted. Cutting a piece and its first \
         reading count together.",
        counted(breaks, "gap"),
        LONGEST_GAP.num_minutes(),
        if breaks == 1 { "is" } else { "are" },
    );
    let mut lessons = vec![plain(Topic::Time, "all of it", floor)];
    lessons.extend(
        all.into_iter().filter(|(_, minutes)| minutes.all() >= TimeDelta::minutes(1)).map(
            |(words, minutes)| {
                let parts = [
                    ("setup", minutes.set_up),
                    ("run", minutes.run),
                    ("measuring", minutes.measure),
                    ("deciding", minutes.decide),
                    ("waiting", minutes.wait),
                ];
                let parts = parts.into_iter().filter(|(_, time)| *time >= TimeDelta::minutes(1));
                let parts: Vec<String> =
                    parts.map(|(what, time)| format!("{what} {}", time.num_minutes())).collect();
                let said = if parts.is_empty() {
                    format!(
                        "{} in all.",
                        counted(minutes.all().num_minutes().unsigned_abs() as usize, "minute")
                    )
                } else {
                    format!("{} min.", parts.join(", "))
                };
                plain(Topic::Time, words, said)
            },
        ),
    );
    lessons
}
