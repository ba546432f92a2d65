//! What leads answered for with their initials, and readings that were voided though
//! they were out of limits: who, when, at which station.

use chrono::{DateTime, FixedOffset};

use crate::journal::{
    BoardId, Decision, Event, JournalLine, ReadingRecord, SignOff, State, VoidedLines,
};
use crate::measure::{Unit, Verdict};
use crate::operation::decimal;
use crate::work::limits_words;

/// Who wrote a line, where and when.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Writer<'a> {
    /// Whose initials the line has, where somebody had said.
    pub who: Option<&'a str>,
    /// The station.
    pub station: &'a str,
    /// When.
    pub at: DateTime<FixedOffset>,
}

impl<'a> Writer<'a> {
    fn of(line: &'a JournalLine) -> Writer<'a> {
        Writer { who: line.who.as_deref(), station: &line.station, at: line.at }
    }

    /// `MB at cart, 25 Nov 10:41`
    pub fn words(&self) -> String {
        let at = self.at.format("%e %b %H:%M").to_string();
        format!("{} at {}, {}", self.who.unwrap_or("?"), self.station, at.trim_start())
    }
}

/// What a lead answered for.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadWord<'a> {
    /// The operation, where it is about one.
    pub op: Option<u32>,
    /// What it lets happen: `leg 3 accepted`.
    pub what: String,
    /// The initials and, where one was typed, the reason: `MB: looks fine`.
    pub word: String,
    /// Who typed it: the initials may be somebody else's.
    pub by: Writer<'a>,
    /// Whether it was undone later.
    pub is_voided: bool,
}

/// Everything leads answered for, oldest first.
pub fn lead_words<'a>(lines: &'a [JournalLine], state: &State) -> Vec<LeadWord<'a>> {
    let voided = VoidedLines::of(lines);
    let word = |line: &'a JournalLine| {
        let (op, what, word) = said(&line.event, state)?;
        let is_voided = voided.contains(line);
        Some(LeadWord { op, what, word, by: Writer::of(line), is_voided })
    };
    lines.iter().filter_map(word).collect()
}

/// The operation, what an event lets happen, and the lead's initials and reason; none for
/// an event that needs no lead.
fn said(event: &Event, state: &State) -> Option<(Option<u32>, String, String)> {
    let with_reason = |by: &str, why: &str| match by {
        "" => why.to_owned(),
        by => format!("{by}: {why}"),
    };
    let board = |id: &BoardId| {
        let held = state.boards.all.iter().find(|held| held.id == *id);
        held.map_or_else(|| id.0.clone(), |held| held.is.name.clone())
    };
    Some(match event {
        Event::BegunWithErrors { by, why, .. } => {
            (None, "begun with errors in its route".to_owned(), with_reason(by, why))
        }
        Event::RouteAdopted { by, why, .. } => {
            (None, "a corrected route adopted".to_owned(), with_reason(by, why))
        }
        Event::ShopAdopted { by, why, .. } => {
            (None, "the present shop adopted".to_owned(), with_reason(by, why))
        }
        Event::SignedOff(SignOff { who, machine, by, .. }) => {
            (None, format!("{who} signed off on the {machine}"), by.clone())
        }
        Event::StandsIn { who, on, by } => (None, format!("{who} leads on {on}"), by.clone()),
        Event::CautionRead { machine, beside: Some(by), .. } => {
            (None, format!("beside somebody not signed off on the {machine}"), by.clone())
        }
        Event::Decided { op, piece, decision, why } if asks_for_a_lead(*decision) => {
            let what = format!("{} {}", state.name(piece), decision.outcome());
            (Some(*op), what, why.clone())
        }
        Event::Accepted { op, by: Some(by), .. } => {
            (Some(*op), "settings by the sizes made accepted".to_owned(), by.clone())
        }
        Event::GateOpened { op, by, why } => {
            (Some(*op), "opened early".to_owned(), with_reason(by, why))
        }
        Event::FlawRuled { board: id, flaw, by, why, .. } => {
            let what = format!("{} of board {} ruled", flaw.kind.word(), board(id));
            (event.op(), what, with_reason(by, why))
        }
        Event::BoardAside { board: id, by, why } => {
            (event.op(), format!("board {} set aside", board(id)), with_reason(by, why))
        }
        Event::LayoutAccepted { by, .. } => (event.op(), "layout accepted".to_owned(), by.clone()),
        _ => return None,
    })
}

/// Setting aside and cutting again need no lead at the machine.
fn asks_for_a_lead(decision: Decision) -> bool {
    matches!(decision, Decision::Accept | Decision::UseElsewhere | Decision::Remake)
}

/// A reading that was out of limits and counts no more.
#[derive(Clone, Debug, PartialEq)]
pub struct VoidedReading<'a> {
    /// The reading.
    pub reading: &'a ReadingRecord,
    /// Who took it.
    pub by: Writer<'a>,
    /// Who voided it; none where no line says so.
    pub voided_by: Option<Writer<'a>>,
}

/// The voided readings that were out of limits, oldest first.
pub fn voided_out<'a>(lines: &'a [JournalLine], state: &'a State) -> Vec<VoidedReading<'a>> {
    let is_out = |reading: &&ReadingRecord| {
        let verdict = reading.taken.verdict();
        reading.voided && matches!(verdict, Verdict::TooBig { .. } | Verdict::TooSmall { .. })
    };
    let told = |reading: &'a ReadingRecord| {
        let own = lines.iter().find(|line| line.reference() == reading.reference);
        let first = own.map_or(reading.reference.n, |line| line.answer().n);
        // Voiding a line voids what its answer wrote after it too.
        let voids = |line: &&JournalLine| match &line.event {
            Event::Voided { what, .. } => {
                what.station == reading.reference.station
                    && (first..=reading.reference.n).contains(&what.n)
            }
            _ => false,
        };
        VoidedReading {
            reading,
            by: Writer {
                who: reading.who.as_deref(),
                station: &reading.reference.station,
                at: reading.at,
            },
            voided_by: lines.iter().rev().find(voids).map(Writer::of),
        }
    };
    state.readings.iter().filter(is_out).map(told).collect()
}

impl LeadWord<'_> {
    /// `leg 3 accepted, MB: looks fine (MB at cart, 25 Nov 10:41)`.
    pub fn words(&self) -> String {
        let LeadWord { what, word, by, is_voided, .. } = self;
        let undone = if *is_voided { "; undone later" } else { "" };
        format!("{what}, {word} ({}{undone})", by.words())
    }
}

impl VoidedReading<'_> {
    /// `leg 3: length 20.052, limits 19.969 to 20.031 in (MB at cart, 25 Nov 10:41)`.
    pub fn words(&self, state: &State, unit: Unit) -> String {
        let taken = &self.reading.taken;
        let read = taken.size().map_or_else(|| taken.typed.clone(), |size| decimal(size, unit));
        let name = state.name(&taken.piece);
        let limits = limits_words(&taken.limits(), None, unit);
        let by = self.voided_by.map(|by| format!("; voided by {}", by.words()));
        let by = format!("{}{}", self.by.words(), by.unwrap_or_default());
        format!("{name}: {} {read}, limits {limits} ({by})", taken.feature)
    }
}
