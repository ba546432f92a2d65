//! Who did what, for programs: the lead's word, voided readings, and pieces that two
//! stations read at once.

use serde::Serialize;

use crate::cli::page::number;
use crate::journal::{ReadingRecord, State, short_form};
use crate::review::{CheckedSeal, LeadWord, ReadTwice, VoidedReading, Writer};
use crate::route::Route;

/// What a lead answered for.
#[derive(Serialize)]
pub(super) struct LeadRow<'a> {
    op: Option<u32>,
    what: &'a str,
    word: &'a str,
    #[serde(flatten)]
    by: WriterRow<'a>,
    voided: bool,
}

/// Who wrote it, where and when.
#[derive(Serialize)]
struct WriterRow<'a> {
    who: Option<&'a str>,
    station: &'a str,
    at: String,
}

impl<'a> WriterRow<'a> {
    fn of(writer: &Writer<'a>) -> WriterRow<'a> {
        let Writer { who, station, at } = *writer;
        WriterRow { who, station, at: at.to_rfc3339() }
    }
}

impl<'a> LeadRow<'a> {
    pub(super) fn of(said: &'a LeadWord<'a>) -> LeadRow<'a> {
        let LeadWord { op, what, word, by, is_voided } = said;
        LeadRow { op: *op, what, word, by: WriterRow::of(by), voided: *is_voided }
    }
}

/// Two stations read the same piece within a minute.
#[derive(Serialize)]
pub(super) struct ReadTwiceRow<'a> {
    op: u32,
    piece: String,
    feature: &'a str,
    readings: [PlacedReading<'a>; 2],
}

/// A seal, and the stations whose sealed lines aren't as they were.
#[derive(Serialize)]
pub(super) struct SealRow<'a> {
    by: &'a str,
    at: String,
    short: String,
    changed: &'a [String],
}

impl<'a> SealRow<'a> {
    pub(super) fn of(checked: &'a CheckedSeal<'a>) -> SealRow<'a> {
        let CheckedSeal { seal, changed } = checked;
        let short = short_form(&seal.stations);
        SealRow { by: &seal.by, at: seal.at.to_rfc3339(), short, changed }
    }
}

/// What was typed at which station.
#[derive(Serialize)]
struct PlacedReading<'a> {
    station: &'a str,
    n: u64,
    typed: &'a str,
}

impl<'a> ReadTwiceRow<'a> {
    pub(super) fn of(twice: &ReadTwice<'a>, state: &State) -> ReadTwiceRow<'a> {
        let placed = |reading: &'a ReadingRecord| PlacedReading {
            station: &reading.reference.station,
            n: reading.reference.n,
            typed: &reading.taken.typed,
        };
        ReadTwiceRow {
            op: twice.one.taken.op,
            piece: state.name(&twice.one.taken.piece),
            feature: &twice.one.taken.feature,
            readings: [placed(twice.one), placed(twice.other)],
        }
    }
}

/// A reading that was out of limits and counts no more.
#[derive(Serialize)]
pub(super) struct VoidedRow<'a> {
    op: u32,
    piece: String,
    feature: &'a str,
    value: Option<f64>,
    typed: &'a str,
    low: Option<f64>,
    high: Option<f64>,
    verdict: &'static str,
    #[serde(flatten)]
    by: WriterRow<'a>,
    voided_by: Option<WriterRow<'a>>,
}

impl<'a> VoidedRow<'a> {
    pub(super) fn of(voided: &'a VoidedReading<'a>, route: &Route, state: &State) -> VoidedRow<'a> {
        let taken = &voided.reading.taken;
        let sized = |size| number(size, route.unit);
        VoidedRow {
            op: taken.op,
            piece: state.name(&taken.piece),
            feature: &taken.feature,
            value: taken.size().map(sized),
            typed: &taken.typed,
            low: taken.low.map(sized),
            high: taken.high.map(sized),
            verdict: taken.verdict().plain(),
            by: WriterRow::of(&voided.by),
            voided_by: voided.voided_by.as_ref().map(WriterRow::of),
        }
    }
}
