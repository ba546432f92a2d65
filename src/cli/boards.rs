//! `boards`: a batch's blanks laid out on the boards there are.
//! Knows nothing of how a layout is found.

mod json;
mod text;

use std::io::Write;
use std::path::PathBuf;

use clap::Args;

use super::source::{self, SourceText};
use super::{Ending, Failure, Format};
use crate::measure::Unit;
use crate::operation::words;
use crate::plan::{Known, walk};
use crate::prose::{Message, nearest, visible};
use crate::route::Route;
use crate::shop::Shop;
use crate::stock::{
    self, BlankNeed, BlankPieces, BoardLayout, FlawKind, Offers, RackBoard, Ruling, Saw, Terms,
};

/// Which piece comes from which board
///
/// Reads a list of the boards there are and lays out every blank of a batch on
/// them: as much as can be made, from as few board feet as can be. Says for
/// each board where to mark it, what each length becomes and what is left; what
/// is missing; and how much better any other layout could be. Boards are taken
/// to be crosscut first, each length as long as one of its blanks, and ripped
/// then: ripping a board first may now and then get more from it.
///
/// The list is CSV with a line of headings, in any order: thickness (or
/// thickness_1, thickness_2, thickness_3: marked end, middle, far end), width,
/// length; and if you like board, species, class, flaws, cup, bow, wind,
/// moisture. Sizes as you type them: 1 1/4, 10ft, 38 mm; a bare number is in
/// the route's unit. Commas, semicolons or tabs between the columns.
///
/// Flaws: knot 31 to 33; knot 40 1/2 to 42 at 0 to 2; split 0 to 6. From the
/// marked end and, after `at`, from the marked edge. A flaw is a knot, a split
/// or other; what is ruled on it stands last: around (every cut goes around it,
/// the rule), hidden (it may lie where the route says nobody sees it) or fill
/// (it may be filled, in parts that may).
///
/// The keys of --format json, lengths in the route's unit: route, unit, sets,
/// boards (those cut into: board, species, class, thickness, width, length,
/// board_feet, flaws, marks, sections, left), untouched and left_out (names),
/// missing (part, species, class, role, blanks, width, length), apart (part,
/// sets), board_feet, bound, could_be_saved (percent), list (board_feet and
/// by_surface_measure of every board), findings (board or null, what), offers
/// (board, flaw, ruling, parts, blanks_more, board_feet_saved, sets_together)
/// and untried (knots no offer was looked for). A mark has at and before
/// (waste, rest, or section and its number); a section from, to and blanks
/// (part, role, set, pieces, from, to, near, far); what is left from and to.
///
/// Ends with 1 when blanks are missing.
///
///   benchway boards reading-stool stool-boards
///   benchway boards reading-stool rack.csv --sets 4 --without B3,B7
///   benchway boards reading-stool rack.csv --hide B2:61 --fill B4:17
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub struct BoardsArguments {
    /// A route file, or the name of a bundled route
    #[arg(value_name = "ROUTE")]
    route: PathBuf,

    /// A board list (CSV), - for what is piped in, or a bundled one
    #[arg(value_name = "BOARDS")]
    boards: PathBuf,

    /// The shop it is made in; the bundled one if left out
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    /// How many sets; the route's own number if left out
    #[arg(long, value_name = "N")]
    sets: Option<u32>,

    /// Boards to leave out, by name
    #[arg(long, value_name = "BOARD,...", value_delimiter = ',')]
    without: Vec<String>,

    /// A knot that may lie where the route says nobody sees it
    #[arg(long, value_name = "BOARD:PLACE")]
    hide: Vec<String>,

    /// A knot that may be filled, in parts that may
    #[arg(long, value_name = "BOARD:PLACE")]
    fill: Vec<String>,

    /// Draw with plain ASCII signs only
    #[arg(long)]
    ascii: bool,

    /// For people, or for machines
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// What either format prints.
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
    /// About one board, or about the whole.
    findings: &'a [ReportedFinding],
    offers: &'a Offers,
}

/// One sentence, and the board it is about.
struct ReportedFinding {
    board: Option<usize>,
    what: String,
}

impl BoardsReport<'_> {
    /// How much less than this no layout takes, in percent.
    fn could_be_saved(&self) -> f64 {
        let BoardLayout { board_feet, bound, .. } = *self.layout;
        if board_feet > 0.0 { ((board_feet - bound) / board_feet * 100.0).max(0.0) } else { 0.0 }
    }

    /// Boards nothing is cut from.
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
    pub fn run(&self, out: &mut dyn Write) -> Result<Ending, Failure> {
        let mut route = source::route(&self.route)?;
        if let Some(sets) = self.sets {
            route.make_sets(sets).map_err(|what| Failure::Sets { sets, what })?;
        }
        let shop = source::shop(self.shop.as_deref())?;
        let list = source::board_list(&self.boards)?;
        let boards = self.read(&list, &route, &shop)?;
        let unit = route.unit;
        let (boards, left_out) = self.kept(boards)?;
        let plan = walk(&route, &shop, &Known::default());
        let needs = stock::needs(&route, &shop, &plan);
        let saw = Saw::of(&shop);
        if stock::layouts_in_time(&boards, &needs, &saw, 1) == 0 {
            return Err(Failure::TooMuch { parts: needs.len(), boards: boards.len() });
        }
        let layout = stock::lay_out(&boards, &needs, &saw);
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

    /// The boards of the list, with what the command line rules on their flaws.
    fn read(
        &self,
        list: &SourceText,
        route: &Route,
        shop: &Shop,
    ) -> Result<Vec<RackBoard>, Failure> {
        let terms = Terms::of(route, shop);
        let mut boards = stock::read_board_list(&list.text, &terms)
            .map_err(|problems| list.refused(&problems))?;
        let options =
            [("--hide", &self.hide, Ruling::Hidden), ("--fill", &self.fill, Ruling::Fill)];
        for (option, given, ruling) in options {
            for given in given {
                let (board, flaw) = ruled(&boards, given, terms.unit).map_err(|why| {
                    Failure::Given { option, given: given.clone(), what: why.what, help: why.help }
                })?;
                boards[board].flaws[flaw].ruling = ruling;
            }
        }
        Ok(boards)
    }

    /// The boards that may be cut, and the names of the others.
    fn kept(&self, boards: Vec<RackBoard>) -> Result<(Vec<RackBoard>, Vec<String>), Failure> {
        let mut out = vec![false; boards.len()];
        for name in &self.without {
            let index = stock::find_board(&boards, name).map_err(|what| Failure::Given {
                option: "--without",
                given: name.clone(),
                what,
                help: Some(its_name(&boards, name)),
            })?;
            out[index] = true;
        }
        let names = boards.iter().zip(&out).filter(|(_, out)| **out);
        let names = names.map(|(board, _)| board.name.clone()).collect();
        let kept = boards.into_iter().zip(out).filter(|(_, out)| !out);
        Ok((kept.map(|(board, _)| board).collect(), names))
    }
}

fn its_name(boards: &[RackBoard], name: &str) -> String {
    match nearest(name.trim(), boards.iter().map(|board| board.name.as_str())) {
        Some(near) => format!("did you mean `{}`?", visible(near)),
        None => {
            let names: Vec<&str> =
                boards.iter().take(12).map(|board| board.name.as_str()).collect();
            let more = if boards.len() > names.len() { ", ..." } else { "" };
            format!("there are {}{more}", visible(&names.join(", ")))
        }
    }
}

/// The flaw that `B3:31` means, or why it means none.
fn ruled(boards: &[RackBoard], given: &str, unit: Unit) -> Result<(usize, usize), Message> {
    let Some((name, place)) = given.split_once(':') else {
        let help = "write the board and a place on the knot: B3:31";
        return Err(Message::error("which board, and where on it?").help(help));
    };
    let index = stock::find_board(boards, name)
        .map_err(|what| Message::<()>::error(what).help(its_name(boards, name)))?;
    let place = stock::parse_size(place, unit)?;
    let board = &boards[index];
    let on = |along: &stock::Stretch| along.from <= place && place <= along.to;
    let there: Vec<usize> =
        (0..board.flaws.len()).filter(|flaw| on(&board.flaws[*flaw].along)).collect();
    match there.as_slice() {
        [flaw] if board.flaws[*flaw].kind == FlawKind::Split => {
            let help = "a split runs on: every cut goes around it";
            let what = format!("the {} can't be ruled on", board.flaws[*flaw].named(unit));
            Err(Message::error(what).help(help))
        }
        [flaw] => Ok((index, *flaw)),
        [] => {
            let what = format!("{} has no flaw at {}", visible(&board.name), words(place, unit));
            let all: Vec<String> = board.flaws.iter().map(|flaw| flaw.named(unit)).collect();
            let help = match all.is_empty() {
                true => "its list has none on it".to_owned(),
                false => format!("it has {}", all.join("; ")),
            };
            Err(Message::error(what).help(help))
        }
        several => {
            let what = format!("{} flaws lie there side by side", several.len());
            let help = "rule on them in the list: `knot 31 to 33 at 0 to 2 hidden`";
            Err(Message::error(what).help(help))
        }
    }
}
