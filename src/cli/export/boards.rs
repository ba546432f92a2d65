//! The boards of a batch for export, and where each piece is on them.

use std::io::Write;

use serde::Serialize;

use crate::cli::csv;
use crate::cli::page::{json, number};
use crate::journal::{BatchBoard, State};
use crate::measure::Unit;
use crate::stock::format_flaws;

/// One board; lengths are numbers in the route's unit, from the marked end and
/// the marked edge.
#[derive(Serialize)]
pub(super) struct BoardRow {
    board: String,
    id: String,
    unit: &'static str,
    species: String,
    class: Option<String>,
    /// At the marked end, in the middle, and at the far end.
    thickness: [f64; 3],
    width: f64,
    length: f64,
    cup: f64,
    bow: f64,
    wind: f64,
    moisture: Option<f64>,
    flaws: String,
    /// Who set the board aside, and why.
    aside: Option<String>,
    /// Lines across the board in the layout the lead accepted.
    marks: Vec<MarkRow>,
    pieces: Vec<LaidBlankRow>,
}

#[derive(Serialize)]
struct MarkRow {
    at: f64,
    drawn: bool,
}

/// A blank, where it lies, and the pieces it becomes.
#[derive(Serialize)]
struct LaidBlankRow {
    part: String,
    pieces: Vec<String>,
    ids: Vec<String>,
    from: f64,
    to: f64,
    near: f64,
    far: f64,
}

/// Every board that was entered, cut into or not.
pub(super) fn rows(state: &State, unit: Unit) -> Vec<BoardRow> {
    let entered = state.boards.all.iter().filter(|bought| bought.is_complete());
    entered.map(|bought| row(state, bought, unit)).collect()
}

fn row(state: &State, bought: &BatchBoard, unit: Unit) -> BoardRow {
    let is = &bought.is;
    let marks = state.boards.marks(&bought.id);
    let laid = state.boards.laid().find(|(held, _)| held.id == bought.id);
    let sections = laid.into_iter().flat_map(|(_, laid)| &laid.sections);
    let pieces = sections.flat_map(|section| &section.blanks).map(|blank| LaidBlankRow {
        part: blank.part.clone(),
        pieces: blank.pieces.iter().map(|piece| state.name(piece)).collect(),
        ids: blank.pieces.iter().map(|piece| piece.0.to_string()).collect(),
        from: number(blank.along.from, unit),
        to: number(blank.along.to, unit),
        near: number(blank.across.from, unit),
        far: number(blank.across.to, unit),
    });
    BoardRow {
        board: is.name.clone(),
        id: bought.id.0.clone(),
        unit: unit.sign(),
        species: is.species.clone(),
        class: is.class.clone(),
        thickness: is.thickness.map(|size| number(size, unit)),
        width: number(is.width, unit),
        length: number(is.length, unit),
        cup: number(is.cup, unit),
        bow: number(is.bow, unit),
        wind: number(is.wind, unit),
        moisture: is.moisture,
        flaws: format_flaws(&is.flaws, unit),
        aside: bought.aside.as_ref().map(|(by, why)| format!("{by}: {why}")),
        marks: marks
            .iter()
            .map(|mark| MarkRow {
                at: number(mark.at, unit),
                drawn: bought.drawn.contains(&mark.at),
            })
            .collect(),
        pieces: pieces.collect(),
    }
}

pub(super) fn as_json(rows: &[BoardRow], out: &mut dyn Write) -> std::io::Result<()> {
    json(&rows, out)
}

/// One line per blank with its board in front; one line for a board without blanks.
pub(super) fn as_csv(rows: &[BoardRow], out: &mut dyn Write) -> std::io::Result<()> {
    writeln!(
        out,
        "board,id,unit,species,class,thickness_1,thickness_2,thickness_3,width,length,cup,bow,wind,moisture,flaws,aside,part,pieces,from,to,near,far"
    )?;
    let number = |value: f64| value.to_string();
    for row in rows {
        let [near, middle, far] = row.thickness;
        let board = [
            row.board.clone(),
            row.id.clone(),
            row.unit.to_owned(),
            row.species.clone(),
            row.class.clone().unwrap_or_default(),
            number(near),
            number(middle),
            number(far),
            number(row.width),
            number(row.length),
            number(row.cup),
            number(row.bow),
            number(row.wind),
            row.moisture.map_or_else(String::new, number),
            row.flaws.clone(),
            row.aside.clone().unwrap_or_default(),
        ];
        let mut lines: Vec<[String; 6]> = row
            .pieces
            .iter()
            .map(|piece| {
                let places = [piece.from, piece.to, piece.near, piece.far];
                let [from, to, near, far] = places.map(number);
                [piece.part.clone(), piece.pieces.join("; "), from, to, near, far]
            })
            .collect();
        if lines.is_empty() {
            lines.push(Default::default());
        }
        for line in lines {
            writeln!(out, "{}", csv::row(board.iter().chain(&line)))?;
        }
    }
    Ok(())
}
