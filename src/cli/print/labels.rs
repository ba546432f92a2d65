//! `print labels`: a label for each piece, on sheets of labels.

use std::io::Write;
use std::path::Path;

use clap::{Args, ValueEnum};

use super::{PrintTo, RowsFormat};
use crate::cli::csv;
use crate::cli::planned::{PlannedArguments, PlannedBatch};
use crate::cli::{Ending, Failure};
use crate::journal::Piece;
use crate::measure::Unit;
use crate::paper::{LabelGrid, PieceTag, labels_page};
use crate::prose::Message;
use crate::route::{PieceLabel, Role};
use crate::work::PaperCode;

/// Print a label for each piece
///
/// Each says which article the piece is for and whose that is, the piece with its hand,
/// and the batch. In a batch it has a code: a scanner at the traveler leads to the piece.
/// Setup pieces have no label. The labels of an
/// article come together; spares come last. Print at 100 %, without fitting to the page.
///
/// As CSV it has the columns batch, article, owner, piece, hand and code.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway print labels \"spring stools\"
  benchway print labels reading-stool --articles 2 --grid a4-3x8 --first 5")]
pub(super) struct LabelsArguments {
    #[command(flatten)]
    pub(super) planned: PlannedArguments,

    /// Labels of a sheet; for a route in inches letter-3x10 if omitted, else a4-3x7
    #[arg(long, value_enum)]
    grid: Option<GridChoice>,

    /// First label to print on, counted row by row: those before it are used
    #[arg(long, value_name = "N", default_value_t = 1)]
    first: usize,

    /// A page (html) or rows for a spreadsheet (csv)
    #[arg(long, value_enum, default_value_t = RowsFormat::Html)]
    format: RowsFormat,

    #[command(flatten)]
    to: PrintTo,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum GridChoice {
    /// A4, 3 by 8 labels of 70 by 37 mm
    #[value(name = "a4-3x8")]
    A4Three8,
    /// A4, 3 by 7 labels of 63.5 by 38.1 mm
    #[value(name = "a4-3x7")]
    A4Three7,
    /// Letter, 3 by 10 labels of 2 5/8 by 1 in
    #[value(name = "letter-3x10")]
    Letter3By10,
    /// Letter, 2 by 5 labels of 4 by 2 in
    #[value(name = "letter-2x5")]
    Letter2By5,
}

impl GridChoice {
    fn grid(self) -> LabelGrid {
        match self {
            GridChoice::A4Three8 => LabelGrid::A4_3X8,
            GridChoice::A4Three7 => LabelGrid::A4_3X7,
            GridChoice::Letter3By10 => LabelGrid::LETTER_3X10,
            GridChoice::Letter2By5 => LabelGrid::LETTER_2X5,
        }
    }
}

impl LabelsArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let planned = self.planned.open(home)?;
        let grid = self.grid.map_or_else(|| usual(planned.route.unit), GridChoice::grid);
        if self.to.paper.is_some() && self.to.sheet(planned.route.unit) != grid.paper {
            let why = Message::error("these labels are on another sheet");
            let why = why.help("leave --paper out: --grid says which sheet");
            return Err(Failure::Option { option: "--paper", given: String::new(), why });
        }
        if !(1..=grid.per_sheet()).contains(&self.first) {
            let why = format!("a sheet has labels 1 to {}", grid.per_sheet());
            let (given, why) = (self.first.to_string(), Message::error(why));
            return Err(Failure::Option { option: "--first", given, why });
        }
        let (about, tags) = (planned.about(), tags(&planned));
        match self.format {
            RowsFormat::Html => {
                let page = labels_page(&about, &tags, &grid, self.first - 1);
                self.to.write_on(&page, grid.paper, out)?;
            }
            RowsFormat::Csv => {
                self.to.write_rows(&format!("{about} labels"), &rows(&tags), out)?;
            }
        }
        Ok(planned.ending)
    }
}

fn usual(unit: Unit) -> LabelGrid {
    match unit {
        Unit::Inch => LabelGrid::LETTER_3X10,
        Unit::Millimetre => LabelGrid::A4_3X7,
    }
}

/// What each label says, article by article.
fn tags(planned: &PlannedBatch) -> Vec<PieceTag> {
    let PlannedBatch { route, state, makers, .. } = planned;
    let mut labels: Vec<(PieceLabel, Option<PaperCode>)> = match state {
        Some(state) => {
            let at_hand = state.pieces.iter().filter(|piece| piece.whole && piece.aside.is_none());
            let coded = |piece: &Piece| {
                (piece.label.clone(), Some(PaperCode::of(state, None, Some(&piece.id))))
            };
            at_hand.map(coded).collect()
        }
        None => {
            let planned = route.parts.iter().flat_map(|part| route.pieces(part));
            planned.map(|label| (label, None)).collect()
        }
    };
    labels.retain(|(label, _)| label.role != Role::Setup);
    labels.sort_by_key(|(label, _)| (label.set.is_none(), label.set));
    let batch = state.as_ref().map_or(&route.name, |state| &state.batch);
    let owner = |set: u32| makers.get((set as usize).checked_sub(1)?)?.owner.clone();
    let tag = |(label, code): (PieceLabel, Option<PaperCode>)| PieceTag {
        piece: label.to_string(),
        article: label.set.map(|set| format!("{} {set}", route.article.one)),
        owner: label.set.and_then(owner),
        hand: label.hand,
        batch: batch.clone(),
        code,
    };
    labels.into_iter().map(tag).collect()
}

fn rows(tags: &[PieceTag]) -> String {
    let row = |tag: &PieceTag| {
        let fields = [
            tag.batch.clone(),
            tag.article.clone().unwrap_or_default(),
            tag.owner.clone().unwrap_or_default(),
            tag.piece.clone(),
            tag.hand.clone().unwrap_or_default(),
            tag.code.as_ref().map(PaperCode::to_string).unwrap_or_default(),
        ];
        format!("{}\n", csv::row(&fields))
    };
    let rows: String = tags.iter().map(row).collect();
    format!("batch,article,owner,piece,hand,code\n{rows}")
}
