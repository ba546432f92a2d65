//! A layout for people: each board drawn, its marks, and the findings.
//!
//! A board is drawn by the same [`Drawing`] as on the screens, so there is one way to
//! scale shapes to cells; a picture of its own for the command was rejected.

use std::io::{self, Write};

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;
use unicode_width::UnicodeWidthStr;

use super::BoardsReport;
use crate::cli::page::{TableRow, TextPage, WIDE};
use crate::measure::{Length, Unit};
use crate::operation::Drawing;
use crate::prose::counted;
use crate::route::Role;
use crate::shop::Per;
use crate::stock::{
    BlankNeed, BoardLayout, CutBoard, HOW_TO_SAW, MarkedBoard, Offer, RackBoard, Ruling,
    WoodQuantity,
};
use crate::tui::theme::Theme;
use crate::tui::widgets::{DrawingView, Emphasis};
use crate::wood::tally;

/// Column where the words beside a mark begin.
const WORDS: usize = 14;
/// The least width of a drawing that shows anything.
const LEAST_COLUMNS: u16 = 16;
/// Rows of the drawing: for a strip, for one of a few strips, and for a whole board.
const STRIP_ROWS: f64 = 2.0;
const FEW_STRIPS: f64 = 4.0;
const ROWS_OF_FEW: f64 = 3.0;
const LEAST_ROWS: u16 = 3;
const MOST_ROWS: u16 = 12;

pub(super) fn print(report: &BoardsReport<'_>, ascii: bool, out: &mut dyn Write) -> io::Result<()> {
    let mut page = BoardsPage { page: TextPage::new(out, 0), report, unit: report.unit, ascii };
    page.title()?;
    for (at, laid) in report.layout.boards.iter().enumerate() {
        page.board(at, laid)?;
    }
    page.summary()?;
    page.offers()?;
    page.findings()
}

struct BoardsPage<'a, 'o> {
    page: TextPage<'o>,
    report: &'a BoardsReport<'a>,
    unit: Unit,
    ascii: bool,
}

impl BoardsPage<'_, '_> {
    fn title(&mut self) -> io::Result<()> {
        let report = self.report;
        let blanks: u32 = report.needs.iter().map(BlankNeed::blanks).sum();
        let title = format!(
            "{}, {}: {} to lay out on {}, with the saws of {}",
            report.route.name,
            report.route.article.counted(report.route.sets),
            counted(blanks as usize, "blank"),
            counted(report.boards.len(), "board"),
            report.shop.name,
        );
        self.page.line(0, &title)?;
        if report.layout.boards.is_empty() {
            return Ok(());
        }
        self.page.line(0, HOW_TO_SAW)
    }

    fn board(&mut self, at: usize, laid: &CutBoard) -> io::Result<()> {
        let board = &self.report.boards[laid.board];
        let marked = self.report.marked(at);
        self.page.blank()?;
        self.page.line(0, &marked.heading())?;
        for flaw in &board.flaws {
            self.mark("flaw", &flaw.written(self.unit))?;
        }
        for row in picture(self.report, &marked, self.ascii) {
            self.page.row(row)?;
        }
        for line in marked.lines() {
            let at = line.at.map_or_else(|| "then".to_owned(), |at| at.written(self.unit));
            self.mark(&at, &line.what)?;
        }
        Ok(())
    }

    /// A mark (or a word in its place) and what lies before it.
    fn mark(&mut self, mark: &str, text: &str) -> io::Result<()> {
        self.page.entry(TableRow::new(2, mark), WORDS, text)
    }

    fn summary(&mut self) -> io::Result<()> {
        let report = self.report;
        self.page.blank()?;
        let BoardLayout { missing, apart, board_feet, .. } = report.layout;
        let opened = report.layout.boards.len();
        self.page
            .line(0, &format!("{board_feet:.1} board feet in {}", counted(opened, "board")))?;
        if opened > 0 {
            self.page.line(0, &self.how_good())?;
        }
        if self.unit == Unit::Inch {
            let sold = tally(report.boards.iter().filter_map(RackBoard::as_sold));
            let boards = counted(report.boards.len(), "board");
            self.page.line(
                0,
                &format!(
                    "{boards} in the list: {:.1} board feet, not rounded; {:.1} by surface \
                     measure, as a yard counts hardwood: the surface of each board to the whole \
                     square foot, halves alternately up and down, times its thickness",
                    sold.board_feet, sold.by_surface_measure
                ),
            )?;
        }
        let untouched: Vec<&str> = report.untouched().map(|board| board.name.as_str()).collect();
        if !untouched.is_empty() {
            self.page.line(0, &format!("not cut into: {}", untouched.join(", ")))?;
        }
        if !report.left_out.is_empty() {
            self.page.line(0, &format!("left out as requested: {}", report.left_out.join(", ")))?;
        }
        for (need, sets) in apart {
            let part = &report.needs[*need].part;
            let come = if *sets == 1 { "comes" } else { "come" };
            let sets = report.route.article.counted(*sets);
            self.page.line(0, &format!("{part}: {sets} {come} from more than one board"))?;
        }
        if missing.is_empty() {
            return self.page.line(0, "nothing is missing");
        }
        for (index, need) in report.needs.iter().enumerate() {
            let of = |role| {
                let own = missing.iter().filter(move |m| m.need == index && m.role == role);
                own.map(|missing| missing.blanks).sum::<u32>()
            };
            let proved = missing.iter().filter(|m| m.need == index).all(|m| m.proved);
            self.missing(need, [of(Role::Set), of(Role::Spare), of(Role::Setup)], proved)?;
        }
        if missing.iter().all(|missing| missing.proved) {
            return Ok(());
        }
        let least = self.least_missing();
        self.page.line(0, &least)
    }

    /// What the bound says of blanks that are missing or not found.
    fn least_missing(&self) -> String {
        // Rounded down, so that never more is said to be missing than is.
        let least = (self.report.layout.least_missing * 10.0).floor() / 10.0;
        if least <= 0.0 {
            return "no bound shows that any of the blanks not found is missing: another layout \
                    may hold them all"
                .to_owned();
        }
        format!(
            "whatever the layout, {least:.1} board feet of these blanks or more are not in these \
             boards"
        )
    }

    /// How close the layout is to the best one, among all layouts that crosscut first (each
    /// length as long as one of its blanks) and rip afterwards.
    fn how_good(&self) -> String {
        let BoardLayout { board_feet, bound, .. } = *self.report.layout;
        if bound >= board_feet {
            return "proved: no other layout that crosscuts these boards first and rips the lengths \
                    afterwards makes as much from less wood"
                .to_owned();
        }
        // Rounded up, so that a possible saving is never shown as zero.
        let saved = (self.report.could_be_saved() * 10.0).ceil() / 10.0;
        format!(
            "no layout that crosscuts these boards first and rips the lengths afterwards makes as \
             much from less than {:.1}; this one takes {board_feet:.1}, so at most {saved:.1} % \
             could be saved",
            (bound * 10.0).floor() / 10.0,
        )
    }

    /// Blanks of a part that are missing (for articles, spares and setup pieces), and the wood
    /// to buy for them. Where no search proved that the boards don't hold them, they are only
    /// not found.
    fn missing(&mut self, need: &BlankNeed, short: [u32; 3], proved: bool) -> io::Result<()> {
        let all: u32 = short.iter().sum();
        if all == 0 {
            return Ok(());
        }
        let articles = format!("for {}", &self.report.route.article.many);
        let roles = [articles.as_str(), "for spares", "for setup pieces"];
        let short = short.iter().zip(roles).filter(|(blanks, _)| **blanks > 0);
        let short: Vec<String> = short.map(|(blanks, role)| format!("{blanks} {role}")).collect();
        let wood: Vec<&str> =
            [need.species.as_deref(), need.class.as_deref()].into_iter().flatten().collect();
        let wood = if wood.is_empty() { "boards".to_owned() } else { wood.join(" ") };
        let yields = match need.species.as_deref() {
            Some(wood) => self.report.shop.lumber.yield_of(wood),
            None => self.report.shop.lumber.yields,
        };
        let net = self.net(need, all);
        let (word, buy) = if proved {
            ("missing", "buy")
        } else {
            ("not found", "another layout may hold them; look the boards over before you buy")
        };
        let sentence = format!(
            "{word}: {}, {} x {} ({}): {buy} about {:.1} board feet of {wood} ({net:.1} in the \
             blanks, at a yield of {:.0} %)",
            counted(all as usize, &format!("{} blank", need.part)),
            need.width.written(self.unit),
            need.length.written(self.unit),
            short.join(", "),
            yields.gross(net),
            yields.share() * 100.0,
        );
        self.page.line(0, &sentence)
    }

    /// Board feet in a number of blanks, at the thickness their wood is sold by.
    fn net(&self, need: &BlankNeed, blanks: u32) -> f64 {
        let thick = need.counted_thickness(self.unit);
        WoodQuantity::of(thick, need.width, need.length, f64::from(blanks)).counted(Per::BoardFoot)
    }

    fn offers(&mut self) -> io::Result<()> {
        let report = self.report;
        if report.offers.offers.is_empty() && report.offers.untried == 0 {
            return Ok(());
        }
        self.page.blank()?;
        self.page.line(0, "Knots you could rule on; without a ruling, the cuts go around them:")?;
        for offer in &report.offers.offers {
            let text = offer_words(
                offer,
                &report.boards[offer.board],
                self.unit,
                &report.route.article.one,
            );
            self.page.line(2, &text)?;
        }
        if report.offers.untried > 0 {
            let untried = match report.offers.untried {
                1 => "1 more try".to_owned(),
                more => format!("{more} more tries"),
            };
            self.page.line(
                2,
                &format!("{untried} not calculated: put rulings on knots in the list to see them"),
            )?;
        }
        Ok(())
    }

    fn findings(&mut self) -> io::Result<()> {
        if self.report.findings.is_empty() {
            return Ok(());
        }
        self.page.blank()?;
        let mut grouped: Vec<(&str, Vec<&str>)> = Vec::new();
        for said in self.report.findings {
            let board = said.board.map(|board| self.report.boards[board].name.as_str());
            match grouped.iter_mut().find(|(what, of)| *what == said.what && !of.is_empty()) {
                Some((_, of)) => of.extend(board),
                None => grouped.push((&said.what, board.into_iter().collect())),
            }
        }
        for (what, of) in grouped {
            let of = if of.is_empty() { String::new() } else { format!("{}: ", of.join(", ")) };
            self.page.line(0, &format!("{of}{what}"))?;
        }
        Ok(())
    }
}

/// What a ruling on a knot would gain, and the option that makes it.
fn offer_words(offer: &Offer, board: &RackBoard, unit: Unit, article: &str) -> String {
    let flaw = &board.flaws[offer.flaw];
    let parts = offer.parts.join(" or ");
    let (done, option) = match offer.ruling {
        Ruling::Fill => ("filled in", "--fill"),
        _ => ("hidden in", "--hide"),
    };
    let mut brings = Vec::new();
    if offer.more > 0 {
        brings.push(format!("makes {} more", counted(offer.more as usize, "blank")));
    }
    if offer.saved > 0.0 {
        brings.push(format!("saves {:.1} board feet", offer.saved));
    } else if offer.saved < 0.0 {
        brings.push(format!("takes {:.1} board feet more", -offer.saved));
    }
    if offer.together > 0 {
        let kept = counted(offer.together as usize, &format!("more {article}"));
        brings.push(format!("keeps {kept} on one board"));
    }
    format!(
        "{}, {}: {done} a {parts} it {} ({option} \"{}:{}\")",
        board.name,
        flaw.named(unit),
        brings.join(" and "),
        board.name,
        flaw.along.from.written(unit),
    )
}

/// A board drawn to scale; the longest board takes the whole width of the page.
fn picture(report: &BoardsReport<'_>, marked: &MarkedBoard<'_>, ascii: bool) -> Vec<String> {
    let board = marked.board;
    let cut = report.layout.boards.iter().map(|laid| report.boards[laid.board].length);
    let longest = cut.max().unwrap_or(board.length).max(Length::from_nanometres(1));
    let columns = (board.length.ratio(longest) * WIDE as f64).round() as u16;
    let columns = columns.max(LEAST_COLUMNS);
    let strips = marked.plan.sections.iter().flat_map(|section| &section.blanks);
    let narrowest = strips.map(|blank| blank.place.across.length()).min().unwrap_or(board.width);
    let strips = board.width.ratio(narrowest.max(Length::from_nanometres(1)));
    let rows = strips * if strips < FEW_STRIPS { ROWS_OF_FEW } else { STRIP_ROWS };
    let rows = (rows.round() as u16).clamp(LEAST_ROWS, MOST_ROWS);
    let drawn = marked.drawing(|blank, name| {
        // Less an outline and a blank cell on either side.
        let room = blank.place.along.length().ratio(board.length) * f64::from(columns) - 3.0;
        (name.width() as f64) <= room
    });
    rendered(&drawn, columns, rows, ascii)
}

/// A drawing as lines of text, without its caption.
fn rendered(drawing: &Drawing, columns: u16, rows: u16, ascii: bool) -> Vec<String> {
    let area = Rect::new(0, 0, columns, rows + 1);
    let mut buffer = Buffer::empty(area);
    DrawingView { drawing, emphasis: Emphasis::None, theme: Theme::new(false, ascii) }
        .render(area, &mut buffer);
    (0..rows)
        .map(|row| (0..columns).map(|column| buffer[(column, row)].symbol()).collect())
        .collect()
}
