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
use crate::operation::words;
use crate::prose::counted;
use crate::route::Role;
use crate::shop::Per;
use crate::stock::{
    BlankNeed, BoardLayout, CutBoard, CutSection, Offer, PlacedBlank, RackBoard, Ruling, Segment,
    Stretch, WoodQuantity, drawing, numbers, piece_list,
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
        self.page.line(
            0,
            "Marks are measured from the marked end. Saw on the far side of a mark; where waste or \
             an offcut ends at the mark, saw on the near side.",
        )
    }

    fn board(&mut self, at: usize, laid: &CutBoard) -> io::Result<()> {
        let report = self.report;
        let board = &report.boards[laid.board];
        self.page.blank()?;
        self.page.line(0, &heading(board, self.unit))?;
        for flaw in &board.flaws {
            self.mark("flaw", &flaw.written(self.unit))?;
        }
        for row in picture(report, at, laid, self.ascii) {
            self.page.row(row)?;
        }
        let plan = &laid.plan;
        for mark in plan.marks(board.length, &report.saw) {
            let before = match mark.segment {
                Segment::Waste => "cut off".to_owned(),
                Segment::Offcut => "offcut: keep".to_owned(),
                Segment::Section(index) => self.section(at, index, &laid.plan.sections[index]),
            };
            self.mark(&mark.at.written(self.unit), &before)?;
        }
        match plan.last(board.length) {
            Some((rest, Segment::Offcut)) => {
                let size = format!(
                    "{} x {}",
                    rest.length().written(self.unit),
                    board.width.written(self.unit)
                );
                self.mark("then", &format!("offcut {size}: keep"))
            }
            Some((waste, _)) => {
                self.mark("then", &format!("{} left over", words(waste.length(), self.unit)))
            }
            None => Ok(()),
        }
    }

    /// A mark (or a word in its place) and what lies before it.
    fn mark(&mut self, mark: &str, text: &str) -> io::Result<()> {
        self.page.entry(TableRow::new(2, mark), WORDS, text)
    }

    /// The pieces of a section, and the widths its strips are ripped to.
    fn section(&self, at: usize, index: usize, section: &CutSection<PlacedBlank>) -> String {
        let report = self.report;
        let mut groups: Vec<(usize, Vec<usize>)> = Vec::new();
        for (place, blank) in section.blanks.iter().enumerate() {
            match groups.last_mut() {
                Some((need, of)) if *need == blank.need => of.push(place),
                _ => groups.push((blank.need, vec![place])),
            }
        }
        let written = |length: Length| length.written(self.unit);
        let mut parts: Vec<String> = groups
            .iter()
            .map(|(need, places)| {
                let pieces: Vec<_> = places
                    .iter()
                    .flat_map(|place| report.pieces.get(at, index, *place))
                    .cloned()
                    .collect();
                let mut strips: Vec<Stretch> =
                    places.iter().map(|place| section.blanks[*place].across).collect();
                strips.dedup();
                let name = match pieces.is_empty() {
                    true => format!("{} (surplus)", report.needs[*need].part),
                    false => piece_list(&pieces, &report.route.article),
                };
                let wide = written(strips.first().map_or(Length::ZERO, Stretch::length));
                let end_to_end = places.len() > strips.len();
                match (strips.len(), end_to_end) {
                    (1, false) => format!("{name}: rip {wide}"),
                    (1, true) => format!("{name}, end to end: rip {wide}"),
                    (_, false) => format!("{name}, side by side: rip {wide}"),
                    (_, true) => format!("{name}, side by side and end to end: rip {wide}"),
                }
            })
            .collect();
        let far = section.blanks.iter().map(|blank| blank.across.to).max().unwrap_or_default();
        let laid = &report.layout.boards[at];
        let beside = report.boards[laid.board].width - far - report.saw.rip;
        if beside > report.saw.trim {
            parts.push(format!("{} left beside", written(beside)));
        }
        parts.join("; ")
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

/// For example `B3: white oak 5/4, 1 1/4 x 8 1/2 x 120, 8.9 board feet`.
fn heading(board: &RackBoard, unit: Unit) -> String {
    let written = |length: Length| length.written(unit);
    let class = board.class.as_deref().map_or_else(String::new, |class| format!(" {class}"));
    format!(
        "{}: {}{class}, {} x {} x {}, {:.1} board feet",
        board.name,
        board.species,
        written(board.thinnest()),
        written(board.width),
        written(board.length),
        board.board_feet()
    )
}

/// A board drawn to scale; the longest board takes the whole width of the page.
fn picture(report: &BoardsReport<'_>, at: usize, laid: &CutBoard, ascii: bool) -> Vec<String> {
    let board = &report.boards[laid.board];
    let cut = report.layout.boards.iter().map(|laid| report.boards[laid.board].length);
    let longest = cut.max().unwrap_or(board.length).max(Length::from_nanometres(1));
    let columns = (board.length.ratio(longest) * WIDE as f64).round() as u16;
    let columns = columns.max(LEAST_COLUMNS);
    let strips = laid.plan.sections.iter().flat_map(|section| &section.blanks);
    let narrowest = strips.map(|blank| blank.across.length()).min().unwrap_or(board.width);
    let strips = board.width.ratio(narrowest.max(Length::from_nanometres(1)));
    let rows = strips * if strips < FEW_STRIPS { ROWS_OF_FEW } else { STRIP_ROWS };
    let rows = (rows.round() as u16).clamp(LEAST_ROWS, MOST_ROWS);
    let drawn = drawing(board, &laid.plan.map(PlacedBlank::footprint), |section, blank| {
        let placed = &laid.plan.sections[section].blanks[blank];
        // Less an outline and a blank cell on either side.
        let room = placed.along.length().ratio(board.length) * f64::from(columns) - 3.0;
        let part = &report.needs[placed.need].part;
        let pieces = report.pieces.get(at, section, blank);
        let numbers = numbers(pieces.iter().map(|piece| piece.number));
        let texts = match placed.role {
            Role::Setup => [
                piece_list(pieces, &report.route.article),
                format!("setup {numbers}"),
                "setup".to_owned(),
            ],
            _ => [piece_list(pieces, &report.route.article), format!("{part} {numbers}"), numbers],
        };
        let fits = |text: &&String| (text.width() as f64) <= room;
        texts.iter().find(fits).cloned().unwrap_or_default()
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
