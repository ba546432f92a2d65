//! The boards of a batch: what was entered about each, the layout the lead
//! accepted, which marks are drawn, which boards are set aside.

use std::collections::{BTreeMap, BTreeSet};

use super::event::{Event, JournalLine};
use super::identity::{BoardId, PieceId};
use super::laid_out::{BoardEntry, KnotOffer, LaidBlank, LaidBoard, LaidOut};
use super::line::Reference;
use crate::measure::Length;
use crate::stock::{CutMark, CutPlan, CutSection, Footprint, RackBoard, Saw};

/// What is asked of a board, in this order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BoardQuestion {
    /// What is chalked on its end.
    Name,
    /// Its wood.
    Species,
    /// Thickness at the marked end.
    ThicknessNear,
    /// Thickness in the middle.
    ThicknessMiddle,
    /// Thickness at the far end.
    ThicknessFar,
    /// Its least width.
    Width,
    /// Its length.
    Length,
    /// Cup: the hollow across the width.
    Cup,
    /// Bow: the hollow along the length.
    Bow,
    /// Wind: how far one corner lifts.
    Wind,
    /// Moisture content.
    Moisture,
    /// Flaws, one after the other, until there are no more.
    Flaws,
}

impl BoardQuestion {
    /// Every question, in the order they are asked.
    pub const ALL: [BoardQuestion; 12] = [
        BoardQuestion::Name,
        BoardQuestion::Species,
        BoardQuestion::ThicknessNear,
        BoardQuestion::ThicknessMiddle,
        BoardQuestion::ThicknessFar,
        BoardQuestion::Width,
        BoardQuestion::Length,
        BoardQuestion::Cup,
        BoardQuestion::Bow,
        BoardQuestion::Wind,
        BoardQuestion::Moisture,
        BoardQuestion::Flaws,
    ];
}

impl BoardEntry {
    /// The question this answers.
    pub fn question(&self) -> BoardQuestion {
        match self {
            BoardEntry::Name(_) => BoardQuestion::Name,
            BoardEntry::Species(_) => BoardQuestion::Species,
            BoardEntry::ThicknessNear(_) => BoardQuestion::ThicknessNear,
            BoardEntry::ThicknessMiddle(_) => BoardQuestion::ThicknessMiddle,
            BoardEntry::ThicknessFar(_) => BoardQuestion::ThicknessFar,
            BoardEntry::Width(_) => BoardQuestion::Width,
            BoardEntry::Length(_) => BoardQuestion::Length,
            BoardEntry::Cup(_) => BoardQuestion::Cup,
            BoardEntry::Bow(_) => BoardQuestion::Bow,
            BoardEntry::Wind(_) => BoardQuestion::Wind,
            BoardEntry::Moisture(_) => BoardQuestion::Moisture,
            BoardEntry::NoMoreFlaws => BoardQuestion::Flaws,
        }
    }
}

/// A board as it was bought, as far as it is entered.
#[derive(Clone, Debug, PartialEq)]
pub struct BatchBoard {
    /// Its identity.
    pub id: BoardId,
    /// The station it is entered at.
    pub station: String,
    /// The board; what nobody has entered yet is zero or empty.
    pub is: RackBoard,
    answered: BTreeSet<BoardQuestion>,
    /// Whether nothing more is cut from it: the lead's initials, and why.
    pub aside: Option<(String, String)>,
    /// Marks drawn across it, from its marked end.
    pub drawn: BTreeSet<Length>,
}

impl BatchBoard {
    fn new(id: &BoardId, station: &str) -> BatchBoard {
        BatchBoard {
            id: id.clone(),
            station: station.to_owned(),
            is: RackBoard {
                name: String::new(),
                species: String::new(),
                class: None,
                thickness: [Length::ZERO; 3],
                width: Length::ZERO,
                length: Length::ZERO,
                cup: Length::ZERO,
                bow: Length::ZERO,
                wind: Length::ZERO,
                moisture: None,
                flaws: Vec::new(),
            },
            answered: BTreeSet::new(),
            aside: None,
            drawn: BTreeSet::new(),
        }
    }

    /// The next question. None once there are no more flaws, so that a board stays
    /// complete when a later version asks more.
    pub fn next_question(&self) -> Option<BoardQuestion> {
        let answered = |question| self.answered.contains(&question);
        let mut open = BoardQuestion::ALL.into_iter().filter(|question| !answered(*question));
        open.next().filter(|_| !answered(BoardQuestion::Flaws))
    }

    /// Whether every question about it is answered.
    pub fn is_complete(&self) -> bool {
        self.next_question().is_none()
    }

    /// Whether pieces may come from it.
    pub fn is_usable(&self) -> bool {
        self.is_complete() && self.aside.is_none()
    }

    /// The board with likely sizes for what is not entered yet, so that the answers
    /// can be checked against each other.
    pub(crate) fn with_likely_sizes(&self) -> RackBoard {
        let mut board = self.is.clone();
        let thicknesses = [
            BoardQuestion::ThicknessNear,
            BoardQuestion::ThicknessMiddle,
            BoardQuestion::ThicknessFar,
        ];
        let is_entered = |question| self.answered.contains(&question);
        let last = thicknesses.iter().rposition(|question| is_entered(*question));
        let likely = last.map_or(Length::INCH, |last| board.thickness[last]);
        let sizes = board.thickness.iter_mut().chain([&mut board.width, &mut board.length]);
        let questions =
            thicknesses.into_iter().chain([BoardQuestion::Width, BoardQuestion::Length]);
        for (size, question) in sizes.zip(questions) {
            if !is_entered(question) {
                *size = likely;
            }
        }
        board
    }

    fn say(&mut self, says: &BoardEntry) {
        self.answered.insert(says.question());
        let is = &mut self.is;
        match says {
            BoardEntry::Name(name) => is.name.clone_from(name),
            BoardEntry::Species(species) => is.species.clone_from(species),
            BoardEntry::ThicknessNear(size) => is.thickness[0] = *size,
            BoardEntry::ThicknessMiddle(size) => is.thickness[1] = *size,
            BoardEntry::ThicknessFar(size) => is.thickness[2] = *size,
            BoardEntry::Width(size) => is.width = *size,
            BoardEntry::Length(size) => is.length = *size,
            BoardEntry::Cup(size) => is.cup = *size,
            BoardEntry::Bow(size) => is.bow = *size,
            BoardEntry::Wind(size) => is.wind = *size,
            BoardEntry::Moisture(percent) => is.moisture = *percent,
            BoardEntry::NoMoreFlaws => {}
        }
    }
}

/// The events by which a batch begins with boards of a list.
pub fn listed(station: &str, boards: &[RackBoard]) -> Vec<Event> {
    let each = (1..).zip(boards);
    each.map(|(n, is)| Event::BoardListed { board: BoardId::new(station, n), is: is.clone() })
        .collect()
}

/// A layout put to the lead.
#[derive(Clone, Debug, PartialEq)]
pub struct ProposedLayout {
    /// The layout, whole.
    pub layout: LaidOut,
    /// Other rulings on knots, and what each would bring.
    pub offers: Vec<KnotOffer>,
    /// How many other rulings on knots were not tried.
    pub untried: usize,
}

/// A layout the lead accepted.
#[derive(Clone, Debug, PartialEq)]
pub struct AcceptedLayout {
    pub layout: LaidOut,
    pub by: String,
}

/// The boards of a batch.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BatchBoards {
    /// In the order they were entered.
    pub all: Vec<BatchBoard>,
    /// The layout that waits for the lead.
    pub proposed: Option<ProposedLayout>,
    /// The layout in force.
    pub accepted: Option<AcceptedLayout>,
    /// Whether something was entered since, so that the rest must be laid out anew.
    pub is_stale: bool,
    /// What was entered since the lead last accepted: only this can be voided.
    open: BTreeSet<Reference>,
    begun: BTreeMap<String, u64>,
}

impl BatchBoards {
    /// Takes in one line. Lines that are not about boards change nothing.
    pub(super) fn apply(&mut self, line: &JournalLine) {
        self.apply_event(&line.event, &line.station);
        if line.event.can_be_voided() {
            self.open.insert(line.answer());
        }
    }

    /// Applies an event entered at a station.
    pub(crate) fn apply_event(&mut self, event: &Event, station: &str) {
        match event {
            Event::BoardListed { board, is } => {
                let bought = self.board_or_new(board, station);
                bought.is = is.clone();
                bought.answered = BoardQuestion::ALL.into();
            }
            Event::BoardSaid { board, says, .. } => {
                self.board_or_new(board, station).say(says);
            }
            Event::FlawFound { board, flaw, .. } => {
                self.board_or_new(board, station).is.flaws.push(flaw.clone());
            }
            Event::FlawRuled { board, flaw, ruling, .. } => {
                let flaws = self.board_mut(board).map(|bought| &mut bought.is.flaws);
                let mut same = flaws.into_iter().flatten().filter(|held| *held == flaw);
                if let Some(held) = same.next() {
                    held.ruling = *ruling;
                }
            }
            Event::BoardAside { board, by, why } => {
                if let Some(bought) = self.board_mut(board) {
                    bought.aside = Some((by.clone(), why.clone()));
                }
            }
            Event::LaidOut { layout, offers, untried } => {
                let (layout, offers) = (layout.clone(), offers.clone());
                self.proposed = Some(ProposedLayout { layout, offers, untried: *untried });
            }
            Event::LayoutAccepted { layout, by } => {
                let (layout, by) = (layout.clone(), by.clone());
                (self.accepted, self.proposed) = (Some(AcceptedLayout { layout, by }), None);
                self.is_stale = false;
            }
            Event::MarkDrawn { board, at } => {
                if let Some(bought) = self.board_mut(board) {
                    bought.drawn.insert(*at);
                }
            }
            _ => return,
        }
        let is_complete = |board: &BoardId| self.board(board).is_some_and(BatchBoard::is_complete);
        // An incomplete board changes nothing for the others.
        let changes = match event {
            Event::BoardListed { board, .. }
            | Event::BoardSaid { board, .. }
            | Event::FlawFound { board, .. }
            | Event::FlawRuled { board, .. }
            | Event::BoardAside { board, .. } => is_complete(board),
            _ => false,
        };
        if changes {
            (self.proposed, self.is_stale) = (None, true);
        }
    }

    /// What can no longer be voided once the lead has accepted.
    pub(super) fn take_open(&mut self) -> BTreeSet<Reference> {
        std::mem::take(&mut self.open)
    }

    fn board_or_new(&mut self, id: &BoardId, station: &str) -> &mut BatchBoard {
        let place = self.all.iter().position(|bought| bought.id == *id);
        let place = place.unwrap_or_else(|| {
            self.all.push(BatchBoard::new(id, station));
            self.all.len() - 1
        });
        &mut self.all[place]
    }

    fn board_mut(&mut self, id: &BoardId) -> Option<&mut BatchBoard> {
        self.all.iter_mut().find(|bought| bought.id == *id)
    }

    /// Uses up numbers even for what is voided, so that no name ever means two
    /// boards.
    pub(super) fn count(&mut self, line: &JournalLine) {
        let begins = match &line.event {
            Event::BoardListed { .. } => true,
            Event::BoardSaid { says, .. } => matches!(says, BoardEntry::Name(_)),
            _ => false,
        };
        if begins {
            *self.begun.entry(line.station.clone()).or_default() += 1;
        }
    }

    /// The identity of the next board entered at a station.
    pub fn next_board(&self, station: &str) -> BoardId {
        BoardId::new(station, self.begun.get(station).copied().unwrap_or(0) + 1)
    }

    /// The board with this identity.
    pub fn board(&self, id: &BoardId) -> Option<&BatchBoard> {
        self.all.iter().find(|bought| bought.id == *id)
    }

    /// Whether anybody has entered a board.
    pub fn is_begun(&self) -> bool {
        !self.all.is_empty()
    }

    /// Whether a layout is accepted and up to date, and every mark of it is drawn.
    pub fn is_finished(&self) -> bool {
        let accepted = self.accepted.is_some() && !self.is_stale && self.proposed.is_none();
        accepted && self.next_mark().is_none()
    }

    /// How far the boards have come, in a few words.
    pub fn progress(&self) -> String {
        if self.is_finished() {
            return "finished".to_owned();
        }
        let (drawn, all) = self.laid().fold((0, 0), |(drawn, all), (bought, _)| {
            let marks = self.marks(&bought.id);
            let own = marks.iter().filter(|mark| bought.drawn.contains(&mark.at)).count();
            (drawn + own, all + marks.len())
        });
        match (self.all.len(), self.proposed.is_some()) {
            (0, _) => "none entered".to_owned(),
            (_, true) => "lead must accept".to_owned(),
            _ if self.accepted.is_some() && !self.is_stale => {
                format!("{drawn} of {all} marks drawn")
            }
            (1, _) => "1 board, not laid out".to_owned(),
            (n, _) => format!("{n} boards, not laid out"),
        }
    }

    /// What each cut was assumed to take in the layout in force.
    pub fn saw(&self) -> Option<Saw> {
        self.accepted.as_ref().map(|accepted| accepted.layout.saw)
    }

    /// The boards of the layout in force, without those set aside since.
    pub fn laid(&self) -> impl Iterator<Item = (&BatchBoard, &LaidBoard)> {
        let laid = self.accepted.iter().flat_map(|accepted| &accepted.layout.boards);
        laid.filter_map(|laid| Some((self.board(&laid.board)?, laid)))
            .filter(|(bought, _)| bought.aside.is_none())
    }

    /// The marks of a board in the layout in force, from its marked end on.
    pub fn marks(&self, id: &BoardId) -> Vec<CutMark> {
        let Some((bought, laid)) = self.laid().find(|(bought, _)| bought.id == *id) else {
            return Vec::new();
        };
        self.saw().map_or_else(Vec::new, |saw| laid.cut_plan().marks(bought.is.length, &saw))
    }

    /// The first mark nobody has drawn, board after board; a board that is begun
    /// comes first. Its board, the board's marks, and which of them it is.
    pub fn next_mark(&self) -> Option<(&BatchBoard, Vec<CutMark>, usize)> {
        let begun = self.laid().filter(|(bought, _)| !bought.drawn.is_empty());
        let others = self.laid().filter(|(bought, _)| bought.drawn.is_empty());
        begun.chain(others).find_map(|(bought, _)| {
            let marks = self.marks(&bought.id);
            let next = marks.iter().position(|mark| !bought.drawn.contains(&mark.at))?;
            Some((bought, marks, next))
        })
    }

    /// The layout's blanks that hold a piece, with their boards.
    pub(super) fn blank_of(&self, piece: &PieceId) -> Option<(&BatchBoard, &LaidBlank)> {
        self.laid().find_map(|(bought, laid)| {
            let mut blanks = laid.sections.iter().flat_map(|section| &section.blanks);
            Some((bought, blanks.find(|blank| blank.pieces.contains(piece))?))
        })
    }
}

impl LaidBoard {
    /// The cut plan: the same without the pieces that blanks become.
    pub fn cut_plan(&self) -> CutPlan {
        let sections = self.sections.iter().map(|section| {
            let blanks = section.blanks.iter().map(LaidBlank::place);
            CutSection { along: section.along, blanks: blanks.collect() }
        });
        CutPlan { sections: sections.collect(), offcuts: self.left.clone() }
    }
}

impl LaidBlank {
    /// Where the blank is on its board.
    pub fn place(&self) -> Footprint {
        Footprint { along: self.along, across: self.across }
    }
}
