//! A layout for programs: stable keys, lengths as numbers in the route's unit.

use std::io::{self, Write};

use serde::Serialize;

use super::BoardsReport;
use crate::cli::page::{fine, json, number};
use crate::measure::{Length, Unit};
use crate::route::Role;
use crate::stock::{CutBoard, RackBoard, Ruling, Segment, Stretch};
use crate::wood::tally;

#[derive(Serialize)]
struct BoardsAnswer<'a> {
    route: &'a str,
    unit: Unit,
    sets: u32,
    boards: Vec<CutBoardAnswer<'a>>,
    untouched: Vec<&'a str>,
    left_out: &'a [String],
    missing: Vec<MissingAnswer<'a>>,
    apart: Vec<ApartAnswer<'a>>,
    board_feet: f64,
    bound: f64,
    /// Board feet of blanks that no layout makes, by the bound.
    least_missing: f64,
    could_be_saved: f64,
    list: ListAnswer,
    findings: Vec<FindingAnswer<'a>>,
    offers: Vec<OfferAnswer<'a>>,
    untried: usize,
}

/// The volume of all boards of the list, counted in both ways.
#[derive(Serialize)]
struct ListAnswer {
    board_feet: f64,
    by_surface_measure: f64,
}

#[derive(Serialize)]
struct CutBoardAnswer<'a> {
    board: &'a str,
    species: &'a str,
    class: Option<&'a str>,
    thickness: [f64; 3],
    width: f64,
    length: f64,
    board_feet: f64,
    flaws: Vec<String>,
    marks: Vec<MarkAnswer>,
    sections: Vec<SectionAnswer<'a>>,
    left: Vec<StretchAnswer>,
}

#[derive(Serialize)]
struct MarkAnswer {
    at: f64,
    before: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    section: Option<usize>,
}

#[derive(Serialize)]
struct SectionAnswer<'a> {
    from: f64,
    to: f64,
    blanks: Vec<BlankAnswer<'a>>,
}

#[derive(Serialize)]
struct BlankAnswer<'a> {
    part: &'a str,
    role: Role,
    set: Option<u32>,
    pieces: Vec<String>,
    from: f64,
    to: f64,
    near: f64,
    far: f64,
}

#[derive(Serialize)]
struct StretchAnswer {
    from: f64,
    to: f64,
}

#[derive(Serialize)]
struct MissingAnswer<'a> {
    part: &'a str,
    species: Option<&'a str>,
    class: Option<&'a str>,
    role: Role,
    blanks: u32,
    /// Whether no layout of these boards makes more; otherwise only not found.
    proved: bool,
    width: f64,
    length: f64,
}

#[derive(Serialize)]
struct ApartAnswer<'a> {
    part: &'a str,
    sets: u32,
}

#[derive(Serialize)]
struct FindingAnswer<'a> {
    board: Option<&'a str>,
    what: &'a str,
}

#[derive(Serialize)]
struct OfferAnswer<'a> {
    board: &'a str,
    flaw: String,
    ruling: Ruling,
    parts: &'a [String],
    blanks_more: u32,
    board_feet_saved: f64,
    sets_together: u32,
}

pub(super) fn print(report: &BoardsReport<'_>, out: &mut dyn Write) -> io::Result<()> {
    let sold = tally(report.boards.iter().filter_map(RackBoard::as_sold));
    let name = |board: usize| report.boards[board].name.as_str();
    let size = |length: Length| number(length, report.unit);
    let part = |need: usize| report.needs[need].part.as_str();
    let layout = report.layout;
    let answer = BoardsAnswer {
        route: &report.route.name,
        unit: report.unit,
        sets: report.route.sets,
        boards: layout
            .boards
            .iter()
            .enumerate()
            .map(|(at, laid)| board(report, at, laid))
            .collect(),
        untouched: report.untouched().map(|board| board.name.as_str()).collect(),
        left_out: report.left_out,
        missing: layout
            .missing
            .iter()
            .map(|missing| {
                let need = &report.needs[missing.need];
                MissingAnswer {
                    part: &need.part,
                    species: need.species.as_deref(),
                    class: need.class.as_deref(),
                    role: missing.role,
                    blanks: missing.blanks,
                    proved: missing.proved,
                    width: size(need.width),
                    length: size(need.length),
                }
            })
            .collect(),
        apart: layout
            .apart
            .iter()
            .map(|(need, sets)| ApartAnswer { part: part(*need), sets: *sets })
            .collect(),
        board_feet: fine(layout.board_feet),
        bound: fine(layout.bound),
        least_missing: fine(layout.least_missing),
        could_be_saved: fine(report.could_be_saved()),
        list: ListAnswer {
            board_feet: fine(sold.board_feet),
            by_surface_measure: fine(sold.by_surface_measure),
        },
        findings: report
            .findings
            .iter()
            .map(|said| FindingAnswer { board: said.board.map(name), what: &said.what })
            .collect(),
        offers: report
            .offers
            .offers
            .iter()
            .map(|offer| OfferAnswer {
                board: name(offer.board),
                flaw: report.boards[offer.board].flaws[offer.flaw].written(report.unit),
                ruling: offer.ruling,
                parts: &offer.parts,
                blanks_more: offer.more,
                board_feet_saved: fine(offer.saved),
                sets_together: offer.together,
            })
            .collect(),
        untried: report.offers.untried,
    };
    json(&answer, out)
}

fn board<'a>(report: &'a BoardsReport<'_>, at: usize, laid: &'a CutBoard) -> CutBoardAnswer<'a> {
    let board = &report.boards[laid.board];
    let size = |length: Length| number(length, report.unit);
    let ends = |stretch: &Stretch| StretchAnswer { from: size(stretch.from), to: size(stretch.to) };
    let marks = laid.plan.marks(board.length, &report.saw).into_iter().map(|mark| {
        let (before, section) = match mark.segment {
            Segment::Waste => ("waste", None),
            Segment::Offcut => ("rest", None),
            Segment::Section(section) => ("section", Some(section + 1)),
        };
        MarkAnswer { at: size(mark.at), before, section }
    });
    let sections = laid.plan.sections.iter().enumerate().map(|(index, section)| {
        let blanks = section.blanks.iter().enumerate().map(|(place, blank)| BlankAnswer {
            part: &report.needs[blank.need].part,
            role: blank.role,
            set: blank.set,
            pieces: report.pieces.get(at, index, place).iter().map(ToString::to_string).collect(),
            from: size(blank.along.from),
            to: size(blank.along.to),
            near: size(blank.across.from),
            far: size(blank.across.to),
        });
        let StretchAnswer { from, to } = ends(&section.along);
        SectionAnswer { from, to, blanks: blanks.collect() }
    });
    CutBoardAnswer {
        board: &board.name,
        species: &board.species,
        class: board.class.as_deref(),
        thickness: board.thickness.map(size),
        width: size(board.width),
        length: size(board.length),
        board_feet: fine(board.board_feet()),
        flaws: board.flaws.iter().map(|flaw| flaw.written(report.unit)).collect(),
        marks: marks.collect(),
        sections: sections.collect(),
        left: laid.plan.offcuts.iter().map(ends).collect(),
    }
}
