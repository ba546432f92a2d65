//! `export`: the readings or the boards of a batch, for a spreadsheet or a program.

mod boards;

use std::io::Write;
use std::path::Path;

use clap::{Args, ValueEnum};
use serde::Serialize;

use super::csv;
use super::named_batch::{NamedBatch, home_to_read};
use super::notes::{self, NoteRow};
use super::page::json;
use super::{Ending, Failure};
use crate::journal::{ReadingRecord, State};
use crate::measure::{Length, Unit};
use crate::route::Route;

/// Export the readings, the boards or the notes of a batch
///
/// CSV is for spreadsheets. Voided readings are included and marked in the column
/// `struck_out`. Lengths are numbers in the route's unit.
#[derive(Debug, Args)]
#[command(after_help = "Example:  benchway export \"reading-stool 2026-11-25\" > readings.csv")]
pub(super) struct ExportArguments {
    /// Name of the batch
    batch: String,

    /// Export the boards instead, and where each piece is on them
    #[arg(long)]
    boards: bool,

    /// Export the notes instead: what people wrote, when, at which operation
    #[arg(long, conflicts_with = "boards")]
    notes: bool,

    /// Format of the output
    #[arg(long, value_enum, default_value = "csv")]
    format: ExportFormat,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum ExportFormat {
    Csv,
    Json,
}

/// One reading; lengths are numbers in the route's unit.
#[derive(Serialize)]
struct ReadingRow {
    station: String,
    n: u64,
    at: String,
    who: String,
    op: u32,
    part: String,
    piece: String,
    id: String,
    feature: String,
    reading: Option<f64>,
    typed: String,
    unit: &'static str,
    gauge: String,
    uncertainty: f64,
    target: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    verdict: &'static str,
    struck_out: bool,
    /// The board the piece was cut from, if known.
    board: Option<String>,
    /// Whether `simulate` invented the batch.
    invented: bool,
}

impl ExportArguments {
    /// The batch it reads.
    #[cfg(feature = "meet")]
    pub(super) fn batch(&self) -> &str {
        &self.batch
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = home_to_read(home)?;
        let NamedBatch { route, state, ending, .. } = NamedBatch::open(&home, &self.batch)?;
        if self.boards {
            let rows = boards::rows(&state, route.unit);
            match self.format {
                ExportFormat::Json => boards::as_json(&rows, out)?,
                ExportFormat::Csv => boards::as_csv(&rows, out)?,
            }
            return Ok(ending);
        }
        if self.notes {
            let rows: Vec<NoteRow> =
                state.remarks.iter().map(|note| NoteRow::of(&state, note)).collect();
            match self.format {
                ExportFormat::Json => json(&rows, out)?,
                ExportFormat::Csv => notes::as_csv(&rows, out)?,
            }
            return Ok(ending);
        }
        let rows: Vec<ReadingRow> =
            state.readings.iter().map(|reading| row(&route, &state, reading)).collect();
        match self.format {
            ExportFormat::Json => json(&rows, out)?,
            ExportFormat::Csv => csv(&rows, out)?,
        }
        Ok(ending)
    }
}

fn row(route: &Route, state: &State, reading: &ReadingRecord) -> ReadingRow {
    let taken = &reading.taken;
    let unit = route.unit;
    let number = |length: Length| round(length, unit);
    ReadingRow {
        station: reading.reference.station.clone(),
        n: reading.reference.n,
        at: reading.at.to_rfc3339(),
        who: reading.who.clone().unwrap_or_default(),
        op: taken.op,
        part: state.piece(&taken.piece).map(|piece| piece.label.part.clone()).unwrap_or_default(),
        piece: state.name(&taken.piece),
        id: taken.piece.0.to_string(),
        feature: taken.feature.to_string(),
        reading: taken.size().map(number),
        typed: taken.typed.clone(),
        unit: unit.sign(),
        gauge: taken.gauge.clone(),
        uncertainty: number(taken.uncertainty),
        target: taken.target.map(number),
        low: taken.low.map(number),
        high: taken.high.map(number),
        verdict: taken.verdict().plain(),
        struck_out: reading.voided,
        board: state.board_of(&taken.piece).map(|from| from.board.is.name.clone()),
        invented: state.invented,
    }
}

/// A length as a number of the unit, to the seventh decimal.
fn round(length: Length, unit: Unit) -> f64 {
    (length.in_unit(unit) * 1e7).round() / 1e7
}

fn csv(rows: &[ReadingRow], out: &mut dyn Write) -> std::io::Result<()> {
    writeln!(
        out,
        "station,n,at,who,op,part,piece,id,feature,reading,typed,unit,gauge,uncertainty,target,low,high,verdict,struck_out,board,invented"
    )?;
    let number = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
    for row in rows {
        let fields = [
            row.station.clone(),
            row.n.to_string(),
            row.at.clone(),
            row.who.clone(),
            row.op.to_string(),
            row.part.clone(),
            row.piece.clone(),
            row.id.clone(),
            row.feature.clone(),
            number(row.reading),
            row.typed.clone(),
            row.unit.to_owned(),
            row.gauge.clone(),
            row.uncertainty.to_string(),
            number(row.target),
            number(row.low),
            number(row.high),
            row.verdict.to_owned(),
            row.struck_out.to_string(),
            row.board.clone().unwrap_or_default(),
            row.invented.to_string(),
        ];
        writeln!(out, "{}", csv::row(&fields))?;
    }
    Ok(())
}
