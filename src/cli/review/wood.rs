//! Where the wood of a batch went, as a table for each wood and as JSON.

use std::io;

use serde::Serialize;

use crate::cli::page::{TableRow, TextPage, fine};
use crate::measure::Unit;
use crate::review::{WoodAccount, WoodAmount, WoodUsed};

/// One wood as a table that adds up to what was bought.
pub(super) fn table(page: &mut TextPage<'_>, used: &WoodUsed, unit: Unit) -> io::Result<()> {
    let bought = WoodAmount::of(used.all.bought(), used, unit);
    page.line(2, &used.bought_words(unit))?;
    for (name, area) in used.all.entries() {
        let amount = WoodAmount::of(area, used, unit);
        let share = if bought.figure > 0.0 { amount.figure / bought.figure } else { 0.0 };
        if share == 0.0 && name != "parts" {
            continue;
        }
        let bar = "#".repeat((share * 30.0).round() as usize);
        let row = TableRow::new(4, name)
            .right(36, &format!("{:.2}", amount.figure))
            .right(45, &format!("{:.1} %", share * 100.0));
        page.row(row.cell(47, &bar))?;
    }
    used.sentences().iter().try_for_each(|sentence| page.line(4, sentence))
}

#[derive(Serialize)]
pub(super) struct WoodRow {
    species: String,
    class: Option<String>,
    boards: usize,
    unit: &'static str,
    bought: f64,
    parts: f64,
    in_work: f64,
    over: f64,
    rejected: f64,
    trim: f64,
    edging: f64,
    kerf: f64,
    kept: f64,
    #[serde(rename = "yield")]
    yields: Option<f64>,
    made_again: usize,
}

impl WoodRow {
    pub(super) fn of(used: &WoodUsed, unit: Unit) -> WoodRow {
        let amount = |area| fine(WoodAmount::of(area, used, unit).figure);
        let WoodAccount { parts, in_work, over, rejected, trim, edging, kerf, kept } = used.all;
        WoodRow {
            species: used.species.clone(),
            class: used.class.clone(),
            boards: used.boards.len(),
            unit: WoodAmount::of(parts, used, unit).word,
            bought: amount(used.all.bought()),
            parts: amount(parts),
            in_work: amount(in_work),
            over: amount(over),
            rejected: amount(rejected),
            trim: amount(trim),
            edging: amount(edging),
            kerf: amount(kerf),
            kept: amount(kept),
            yields: used.all.yields().map(fine),
            made_again: used.made_again,
        }
    }
}
