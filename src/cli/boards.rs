//! `boards`: the blanks of a batch laid out on the boards at hand.
//!
//! A board list is CSV with our own headings, because any spreadsheet writes it; a
//! flaw is a few words, `knot 31 to 33 at 0 to 2`, because `to` can't be taken for
//! part of a mixed number as a hyphen can. A list in JSON was rejected.
//!
//! Every row is read before anything is laid out, and each problem is shown at its
//! field, so that somebody walks back to the rack once. Skipping rows that can't be
//! read was rejected: a board left out unnoticed costs more than mending the list.

mod json;
mod rack;
mod text;

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::articles::ArticlesArgument;
use super::makers::MakersArgument;
use super::shop_source;
use super::source;
use super::waiting::waiting;
use super::{Ending, Failure, Format};
use crate::measure::Unit;
use crate::plan::{Known, walk};
use crate::route::Route;
use crate::shop::Shop;
use crate::stock::{
    self, BlankNeed, BlankPieces, BoardLayout, MarkedBoard, Offers, RackBoard, Saw, Terms,
};

pub(super) use rack::RackArguments;

/// Lay out the blanks of a batch on boards
///
/// Reads a list of boards and lays out every blank on them: as many blanks as can
/// be made, from as few board feet as possible. For each board it prints where to
/// mark it, what each length becomes and which offcuts remain; then what is
/// missing, or only not found where not every layout could be tried, and how much
/// wood any other layout could save. It assumes that boards
/// are crosscut first, each length as long as one of its blanks, and then ripped.
/// Ripping a board first can occasionally yield more.
///
/// The list is CSV with a heading row, columns in any order: thickness (or
/// thickness_1, thickness_2, thickness_3: marked end, middle, far end), width,
/// length; optionally board, species, class, flaws, cup, bow, wind, moisture.
/// Columns are separated by commas, semicolons or tabs. Sizes are typed as usual:
/// 1 1/4, 10ft, 38 mm; a bare number is in the route's unit. Cup, bow and wind are
/// distances out of flat: across the board, along its face, at one corner.
///
/// A flaw is a knot, a split or other, with its position from the marked end and,
/// after `at`, from the marked edge: knot 31 to 33; knot 40 1/2 to 42 at 0 to 2;
/// split 0 to 6. Put your ruling last: around (the default: every cut goes around
/// it), hidden (allowed where the route says nobody sees it) or fill (allowed in
/// parts that may be filled).
///
/// In JSON, lengths are in the route's unit. Keys: route, unit, sets, boards (those
/// cut into: board, species, class, thickness, width, length, board_feet, flaws,
/// marks, sections, left), untouched and left_out (names), missing (part, species,
/// class, role, blanks, proved: whether no layout makes them, width, length),
/// apart (part, sets), board_feet, bound, least_missing (board feet of blanks that no
/// layout makes, by a bound), could_be_saved (percent), list (board_feet and by_surface_measure of all
/// boards), findings (board or null, what), offers (board, flaw, ruling, parts,
/// blanks_more, board_feet_saved, sets_together) and untried (knots without an
/// offer). A mark has at and before (waste, rest, or section and its number); a
/// section has from, to and blanks (part, role, set, pieces, from, to, near, far);
/// left has from and to.
///
/// Exits with 1 when blanks are missing or not found.
///
///   benchway boards reading-stool stool-boards
///   benchway boards reading-stool rack.csv --articles 4 --without B3,B7
///   benchway boards reading-stool rack.csv --hide B2:61 --fill B4:17
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct BoardsArguments {
    /// Route file, or name of a bundled route
    #[arg(value_name = "ROUTE")]
    route: PathBuf,

    /// Board list (CSV), - for standard input, or name of a bundled list
    #[arg(value_name = "BOARDS")]
    boards: PathBuf,

    /// Shop file, or `bundled` for the invented shop; your own shop if omitted
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    #[command(flatten)]
    articles: ArticlesArgument,

    #[command(flatten)]
    makers: MakersArgument,

    #[command(flatten)]
    rack: RackArguments,

    /// Draw with plain ASCII characters only
    #[arg(long)]
    ascii: bool,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// What both formats print.
struct BoardsReport<'a> {
    route: &'a Route,
    shop: &'a Shop,
    unit: Unit,
    boards: &'a [RackBoard],
    left_out: &'a [String],
    needs: &'a [BlankNeed],
    saw: Saw,
    layout: &'a BoardLayout,
    pieces: &'a BlankPieces,
    findings: &'a [ReportedFinding],
    offers: &'a Offers,
}

/// A finding, and the board it is about, if it is about one.
struct ReportedFinding {
    board: Option<usize>,
    what: String,
}

/// Lays the blanks out, where that doesn't take too long.
pub(super) fn laid_out(
    boards: &[RackBoard],
    needs: &[BlankNeed],
    saw: &Saw,
) -> Result<BoardLayout, Failure> {
    if stock::layouts_in_time(boards, needs, saw, 1) == 0 {
        return Err(Failure::TooMuch { parts: needs.len(), boards: boards.len() });
    }
    Ok(waiting("laying out the boards", || stock::lay_out(boards, needs, saw)))
}

impl<'a> BoardsReport<'a> {
    /// A board of the layout, with its marks in words.
    fn marked(&self, at: usize) -> MarkedBoard<'a> {
        let laid = &self.layout.boards[at];
        MarkedBoard {
            board: &self.boards[laid.board],
            plan: self.pieces.named(at, &laid.plan, self.needs),
            saw: self.saw,
            article: &self.route.article,
            unit: self.unit,
        }
    }

    /// The most that any other layout could save, in percent of this one.
    fn could_be_saved(&self) -> f64 {
        let BoardLayout { board_feet, bound, .. } = *self.layout;
        if board_feet > 0.0 { ((board_feet - bound) / board_feet * 100.0).max(0.0) } else { 0.0 }
    }

    /// Boards that are not cut into.
    fn untouched(&self) -> impl Iterator<Item = &RackBoard> {
        let cut = |index: usize| self.layout.boards.iter().any(|laid| laid.board == index);
        self.boards
            .iter()
            .enumerate()
            .filter(move |(index, _)| !cut(*index))
            .map(|(_, board)| board)
    }
}

impl BoardsArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let mut route = source::route(&self.route)?;
        self.makers.beside(self.articles)?;
        self.articles.apply(&mut route)?;
        let shop = shop_source::shop(self.shop.as_deref(), home)?;
        let makers = self.makers.read(&mut route, &shop)?;
        let articles: Vec<_> = makers.into_iter().map(|maker| maker.chosen).collect();
        let list = source::board_list(&self.boards)?;
        let terms = Terms::of(&route, &shop).among(&articles);
        let boards = self.rack.read(&list, &terms)?;
        let unit = route.unit;
        let (boards, left_out) = self.rack.kept(boards)?;
        let plan = walk(&route, &shop, &Known { articles: articles.into(), ..Known::default() });
        let needs = stock::needs(&route, &shop, &plan);
        let saw = Saw::of(&shop);
        let layout = laid_out(&boards, &needs, &saw)?;
        let pieces = BlankPieces::of(&route, &needs, &layout.boards);
        let offers = stock::offers(&boards, &needs, &saw, &layout);
        let unknown = stock::unknown_sizes(&route, &shop, &plan).into_iter();
        let of_rack = stock::findings(&boards, &needs, &saw, unit).into_iter();
        let laid_for = |board: usize, need: &BlankNeed| {
            let laid = layout.boards.iter().filter(|laid| laid.board == board);
            let mut blanks =
                laid.flat_map(|laid| &laid.plan.sections).flat_map(|section| &section.blanks);
            blanks.any(|blank| needs.get(blank.need) == Some(need))
        };
        let is_missing =
            |need: &BlankNeed| layout.missing.iter().any(|m| needs.get(m.need) == Some(need));
        let of_layout = stock::too_thin(&boards, &needs, &saw, unit, laid_for, is_missing);
        let findings: Vec<ReportedFinding> = unknown
            .map(|finding| ReportedFinding { board: None, what: finding.what })
            .chain(of_rack.chain(of_layout).map(|finding| ReportedFinding {
                board: Some(finding.place),
                what: finding.to_string(),
            }))
            .collect();
        let report = BoardsReport {
            route: &route,
            shop: &shop,
            unit,
            boards: &boards,
            left_out: &left_out,
            needs: &needs,
            saw,
            layout: &layout,
            pieces: &pieces,
            findings: &findings,
            offers: &offers,
        };
        match self.format {
            Format::Text => text::print(&report, self.ascii, out)?,
            Format::Json => json::print(&report, out)?,
        }
        Ok(Ending::found(!layout.missing.is_empty()))
    }
}
