//! `print marks`: the boards of a layout with their marks, for the rack.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::PrintTo;
use crate::cli::boards::{RackArguments, laid_out};
use crate::cli::planned::{PlannedArguments, PlannedBatch};
use crate::cli::source;
use crate::cli::{Ending, Failure};
use crate::journal::{BatchBoard, LaidBlank, LaidBoard, State};
use crate::paper::{MarkedRack, marks_page};
use crate::prose::{Message, counted, visible};
use crate::route::{PieceLabel, Role};
use crate::stock::{
    self, BlankPieces, CutPlan, CutSection, MarkedBoard, NamedBlank, RackBoard, Saw, Terms,
};

/// Print each board with its marks, to take to the rack
///
/// A sheet for each board: the board to scale from above, its flaws crossed out, its
/// blanks named, and every mark from its marked end, once more in a list to tick off.
/// For a batch it prints the layout the lead accepted. For a route it lays out the
/// boards of a list, as `benchway boards` does.
///
/// Exits with 1 when blanks are missing or not found.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway print marks \"spring stools\"
  benchway print marks reading-stool --boards stool-boards --paper a4")]
pub(super) struct MarksArguments {
    #[command(flatten)]
    pub(super) planned: PlannedArguments,

    /// Board list of a route: CSV, - for standard input, or name of a bundled list
    #[arg(long, value_name = "FILE")]
    boards: Option<PathBuf>,

    #[command(flatten)]
    rack: RackArguments,

    #[command(flatten)]
    to: PrintTo,
}

impl MarksArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let planned = self.planned.open(home)?;
        match (&planned.state, &self.boards) {
            (Some(_), Some(list)) => {
                let why = Message::error("a batch under way has its own boards");
                let given = list.display().to_string();
                Err(Failure::Option { option: "--boards", given, why })
            }
            (Some(state), None) => self.of_batch(&planned, state, out),
            (None, Some(list)) => self.of_list(&planned, list, out),
            (None, None) => {
                let why = Message::error("a route has no boards of its own")
                    .help("name a board list: --boards FILE, or --boards stool-boards");
                Err(Failure::Option { option: "--boards", given: String::new(), why })
            }
        }
    }

    /// The layout that the lead of a batch accepted.
    fn of_batch(
        &self,
        planned: &PlannedBatch,
        state: &State,
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let refused = |what: &str, help: &str| {
            let (given, why) = (state.batch.clone(), Message::error(what).help(help));
            Err(Failure::Option { option: "batch", given, why })
        };
        if self.rack.is_given() {
            let help = "the lead rules on knots and sets boards aside at operation 0";
            return refused("its layout was accepted as it is", help);
        }
        let Some(accepted) = &state.boards.accepted else {
            return refused("no layout of its boards is accepted", "lay them out at operation 0");
        };
        if state.boards.is_stale {
            let help = "accept the new layout at operation 0, then print its marks";
            return refused("its boards changed since the layout was accepted", help);
        }
        let laid = state.boards.laid();
        let marked =
            |(bought, laid): (&BatchBoard, &LaidBoard)| (bought.is.clone(), named(state, laid));
        let boards: Vec<(RackBoard, CutPlan<NamedBlank>)> = laid.map(marked).collect();
        let missing = accepted.layout.missing.iter();
        let missing: Vec<String> = missing
            .map(|missing| {
                missing_words(&missing.part, missing.role, missing.blanks, missing.proved)
            })
            .collect();
        self.write(planned, &boards, accepted.layout.saw, &missing, out)
    }

    /// A layout for a list of boards.
    fn of_list(
        &self,
        planned: &PlannedBatch,
        list: &Path,
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let PlannedBatch { route, shop, makers, plan, .. } = planned;
        let list = source::board_list(list)?;
        let chosen: Vec<_> = makers.iter().map(|maker| maker.chosen.clone()).collect();
        let terms = Terms::of(route, shop).among(&chosen);
        let (boards, _) = self.rack.kept(self.rack.read(&list, &terms)?)?;
        let (needs, saw) = (stock::needs(route, shop, plan), Saw::of(shop));
        let layout = laid_out(&boards, &needs, &saw)?;
        let pieces = BlankPieces::of(route, &needs, &layout.boards);
        let cut = layout.boards.iter().enumerate();
        let cut = cut
            .map(|(at, laid)| (boards[laid.board].clone(), pieces.named(at, &laid.plan, &needs)));
        let cut: Vec<(RackBoard, CutPlan<NamedBlank>)> = cut.collect();
        let missing: Vec<String> = layout
            .missing
            .iter()
            .map(|missing| {
                let part = &needs[missing.need].part;
                missing_words(part, missing.role, missing.blanks, missing.proved)
            })
            .collect();
        self.write(planned, &cut, saw, &missing, out)
    }

    fn write(
        &self,
        planned: &PlannedBatch,
        boards: &[(RackBoard, CutPlan<NamedBlank>)],
        saw: Saw,
        missing: &[String],
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let (unit, article) = (planned.route.unit, &planned.route.article);
        let marked = boards.iter().map(|(board, plan)| MarkedBoard {
            board,
            plan: plan.clone(),
            saw,
            article,
            unit,
        });
        let marked: Vec<MarkedBoard<'_>> = marked.collect();
        let about = planned.about();
        let rack = MarkedRack { about: &about, boards: &marked, missing };
        let paper = self.to.sheet(unit);
        self.to.write_on(&marks_page(&rack, paper), paper, out)?;
        Ok(Ending::found(!missing.is_empty()).and(planned.ending))
    }
}

/// The cut plan of a board of a batch, with what its blanks are called.
fn named(state: &State, laid: &LaidBoard) -> CutPlan<NamedBlank> {
    let blank = |blank: &LaidBlank| {
        let labels = blank.pieces.iter().filter_map(|id| Some(state.piece(id)?.label.clone()));
        let pieces: Vec<PieceLabel> = labels.collect();
        NamedBlank {
            part: blank.part.clone(),
            role: pieces.first().map_or(Role::Set, |piece| piece.role),
            pieces,
            place: blank.place(),
        }
    };
    let sections = laid.sections.iter().map(|section| CutSection {
        along: section.along,
        blanks: section.blanks.iter().map(blank).collect(),
    });
    CutPlan { sections: sections.collect(), offcuts: laid.left.clone() }
}

fn missing_words(part: &str, role: Role, blanks: u32, proved: bool) -> String {
    let role = match role {
        Role::Spare => " for spares",
        Role::Setup => " for setup pieces",
        Role::Set | Role::Blank => "",
    };
    let word = if proved { "missing" } else { "not found" };
    let blanks = counted(blanks as usize, &format!("{} blank", visible(part)));
    format!("{word}: {blanks}{role}")
}
