//! Everything that can happen to the app, and everything it can ask for.
//! Both lists are closed: this page is all there is.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveTime};
use crossterm::event::KeyEvent;

use super::exchanging::ExchangeWords;
use super::keys::Command;
use super::shop_choice::ListedShop;
use super::theme::Ground;
use crate::journal::{Event, FreeStations, ShopRecord, Snapshot, UnreadBatch};
use crate::route::{Article, OwnedArticle};
use crate::shop::Shop;
use crate::work::{AdaptedRoute, BatchRow, ShopChange};

/// How much of a text is in the window, and how much of one that must be read is below.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Unread {
    /// The lines below the window; none where all of it is in view.
    pub below: usize,
    /// The lines of it that are in view.
    pub in_view: usize,
    /// The first line in view, of a text that is scrolled and has an end.
    pub first: Option<usize>,
}

/// Something that happened.
#[derive(Debug)]
pub enum AppMessage {
    /// A key was pressed, and when.
    Key(KeyEvent, DateTime<FixedOffset>),
    /// Text pasted, or sent in one go by a gauge.
    Pasted(String, DateTime<FixedOffset>),
    /// A whole line was typed where lines are read in place of keys, and when.
    Line(String, DateTime<FixedOffset>),
    /// A command was named in words, with what followed it, and when.
    Named(Command, String, DateTime<FixedOffset>),
    /// A line of the list in sight was named, counted from 0.
    Chosen(usize),
    /// The time to wake has come: a wait or a bell.
    Woke(DateTime<FixedOffset>),
    /// The terminal has another size; it only has to be drawn again.
    Resized,
    /// The terminal said what it draws on.
    Ground(Ground),
    /// The window was drawn, and this of what must be read had no room in it.
    Drawn(Unread),
    /// Whether the window, as it was drawn, shows what time it is.
    Clock(bool),
    /// The lists of the opening screen, with what is known of each batch at once.
    Listed(Box<OpeningLists>),
    /// Some of what is listed was read.
    Read(Box<ReadRows>),
    /// The batches under way were read, for what there is to do today.
    TodayRead(Box<TodayRead>),
    /// Something was done that people should know.
    Told(String),
    /// A batch is open.
    Opened(Box<Snapshot>, DateTime<FixedOffset>),
    /// Events are on the disk, and this is the state with them.
    Recorded(Box<Snapshot>, DateTime<FixedOffset>),
    /// A route file was read: the lists with its route, the first of all.
    RouteRead(Box<OpeningLists>),
    /// The sizes of a route that was listed were read.
    SizesRead(usize, Box<AdaptedRoute>),
    /// A batch was read to look back on it, and when.
    LookedAt(Box<Snapshot>, DateTime<FixedOffset>),
    /// Other stations wrote something.
    Refreshed(Box<Snapshot>),
    /// Batches of the list changed with no key pressed here.
    Elsewhere {
        /// Those of them that were read again.
        rows: Box<ReadRows>,
        /// Whether a batch came or went, so that all is listed anew.
        is_list: bool,
    },
    /// How it is found out that something changed outside.
    Watched {
        /// Whether the folder gives no word of changes and is looked at once a second.
        is_looking: bool,
    },
    /// What the exchange with other terminals says; nothing while all is well.
    Exchanged(Option<ExchangeWords>),
    /// The plan of a new batch has errors that a lead may answer for.
    Faulty {
        /// The errors, in words.
        what: String,
        /// The batch that would begin.
        batch: NewBatch,
    },
    /// Another terminal has the name of this station in a batch.
    Busy {
        /// The batch.
        batch: String,
        /// Who has it, and since when.
        what: String,
        /// A name that is free there.
        free: String,
    },
    /// The shop's own file and its journal were read.
    ShopOpened(Box<ShopListing>),
    /// A change of the shop is on the disk.
    ShopChanged {
        /// The shop with it.
        listing: Box<ShopListing>,
        /// What was changed.
        change: Box<ShopChange>,
        /// The same in words.
        said: String,
    },
    /// Nothing was done yet: the lead has a PIN.
    PinAsked {
        /// The lead's initials.
        lead: String,
        /// What was asked for.
        then: Box<Effect>,
    },
    /// An effect failed; nothing was recorded beyond what a snapshot shows.
    Failed(String),
}

/// Something the loop is to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Put events on the disk.
    Append {
        /// Who answered, by initials; none where nobody has said.
        who: Option<String>,
        /// What happened, in order.
        events: Vec<Event>,
    },
    /// Do what needs the lead's word, once this is the lead's PIN.
    Prove {
        /// The lead's initials.
        lead: String,
        /// The PIN as it was typed.
        pin: String,
        /// What is done then.
        then: Box<Effect>,
    },
    /// Look for batches and routes.
    List {
        /// Whether each archived batch is read too.
        archive: bool,
    },
    /// Read the batches under way, for what there is to do today.
    Today,
    /// Read a route file that somebody named.
    ReadRoute {
        /// Where it is.
        path: PathBuf,
    },
    /// Read a route that was listed, to adapt its sizes.
    ReadSizes {
        /// Which of the routes that were listed.
        route: usize,
    },
    /// Say something once a batch is open.
    Tell(String),
    /// Open a batch under way.
    Open {
        /// The name of the batch.
        name: String,
        /// Another name for this station, from now on.
        station: Option<String>,
    },
    /// Write a page for paper.
    Print(PrintWish),
    /// Open the batch that a code on paper names.
    OpenScanned {
        /// Its identity or, of a batch of an older program, its name.
        batch: String,
    },
    /// Read a batch to look back on it, without taking this station's name in it.
    LookAt {
        /// The name of the batch.
        name: String,
    },
    /// Move a batch into the archive.
    Archive {
        /// The name of the batch.
        name: String,
    },
    /// Move a batch out of the archive.
    BringBack {
        /// The name of the batch.
        name: String,
    },
    /// Begin a batch from a route.
    Start {
        /// The batch.
        batch: NewBatch,
        /// The lead's initials and reason, where the plan has errors.
        word: Option<String>,
    },
    /// Begin the shop's own file, in which no machine is known yet.
    BeginShop {
        /// What the shop is called.
        name: String,
    },
    /// Read the shop's own file and its journal.
    OpenShop,
    /// Change the shop's own file on a lead's word, and note it in the shop journal.
    ChangeShop {
        /// The lead's initials.
        by: String,
        /// What is changed.
        change: ShopChange,
    },
    /// Draw everything anew.
    Repaint,
    /// Stop until the shell wakes us.
    Suspend,
    /// Note that people leave this station.
    LeaveStation,
    /// End the program.
    Quit,
}

/// A batch that is to begin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewBatch {
    /// Which of the routes that were listed.
    pub route: usize,
    /// The name of the new batch.
    pub name: String,
    /// How many articles it makes.
    pub sets: u32,
    /// Whose each is and what was chosen; empty where nobody chose.
    pub makers: Vec<OwnedArticle>,
    /// Dimensions of the route with other formulas, for the whole batch.
    pub adapted: Vec<(String, String)>,
}

/// What today is worked out from.
#[derive(Clone, Debug, Default)]
pub struct TodayRead {
    /// When it was read.
    pub now: DateTime<FixedOffset>,
    /// The batches under way.
    pub batches: Vec<Snapshot>,
    /// The stations where people should be and which nobody has open.
    pub free: FreeStations,
    /// Those that can't be read.
    pub unread: Vec<UnreadBatch>,
    /// When the bell of the shop rings.
    pub bells: Vec<NaiveTime>,
}

/// What the opening screen lists.
#[derive(Clone, Debug, Default)]
pub struct OpeningLists {
    /// When it was listed.
    pub now: DateTime<FixedOffset>,
    /// The shop that a new batch is made in.
    pub shop: ListedShop,
    /// The name this terminal writes under.
    pub station: String,
    /// The batches that can be gone on with, the invented ones among them.
    pub batches: Vec<BatchRow>,
    /// The routes a batch can be begun from.
    pub routes: Vec<RouteRow>,
    /// The batches that were moved out of the way.
    pub archive: ArchiveList,
    /// Where other batches are looked for.
    pub looks: LooksFor,
}

/// Where there may be batches that aren't listed yet: they are still looked for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LooksFor {
    /// Among those under way.
    pub under_way: bool,
    /// In the archive.
    pub archived: bool,
}

/// The shop as its file and its journal have it.
#[derive(Clone, Debug)]
pub struct ShopListing {
    /// When it was read.
    pub now: DateTime<FixedOffset>,
    /// The name this terminal writes under.
    pub station: String,
    /// The shop.
    pub shop: Arc<Shop>,
    /// What its journal says.
    pub record: ShopRecord,
}

/// What is listed already, as it was read since, and what was found since.
#[derive(Clone, Debug, Default)]
pub struct ReadRows {
    /// All routes, in their order, once they were checked; the names that are suggested
    /// for their batches stay as they were listed.
    pub routes: Option<Vec<RouteRow>>,
    /// Those under way.
    pub batches: Vec<BatchRow>,
    /// Those in the archive.
    pub archived: Vec<BatchRow>,
    /// The batches that were found since, by their names alone.
    pub found: FoundRows,
}

/// Batches that no list has yet, and where others are looked for.
#[derive(Clone, Debug, Default)]
pub struct FoundRows {
    /// Those under way.
    pub batches: Vec<BatchRow>,
    /// Those in the archive.
    pub archived: Vec<BatchRow>,
    /// Where others are looked for.
    pub looks: LooksFor,
}

/// The archived batches: reading them takes time, so at first they are counted.
#[derive(Clone, Debug)]
pub enum ArchiveList {
    /// How many there are.
    Counted(usize),
    /// Each of them.
    Read(Vec<BatchRow>),
}

impl Default for ArchiveList {
    fn default() -> ArchiveList {
        ArchiveList::Counted(0)
    }
}

impl ArchiveList {
    /// How many there are.
    pub fn count(&self) -> usize {
        match self {
            ArchiveList::Counted(count) => *count,
            ArchiveList::Read(rows) => rows.len(),
        }
    }

    /// Adds those that were found since.
    pub(super) fn add(&mut self, found: Vec<BatchRow>) {
        match self {
            ArchiveList::Counted(count) => *count += found.len(),
            ArchiveList::Read(rows) => rows.extend(found),
        }
    }

    /// Each of them, where they were read.
    pub fn rows(&self) -> &[BatchRow] {
        match self {
            ArchiveList::Counted(_) => &[],
            ArchiveList::Read(rows) => rows,
        }
    }
}

/// A route that can be begun.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RouteRow {
    /// What the route is called.
    pub name: String,
    /// What it makes, in a sentence; empty where it doesn't say.
    pub about: String,
    /// How many articles it makes by default.
    pub sets: u32,
    /// What a finished article is called.
    pub article: Article,
    /// The default name of a new batch.
    pub suggested: String,
    /// Why no batch can be begun from it.
    pub fault: Option<String>,
    /// What to do about that.
    pub advice: String,
}

/// Which page is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PrintWish {
    /// The card of a batch, or of one part of it.
    Card {
        /// The name of the batch.
        batch: String,
        /// The part.
        part: Option<String>,
    },
    /// The review of a batch.
    Review {
        /// The name of the batch.
        batch: String,
    },
    /// The card of a route of the list.
    RouteCard {
        /// Which.
        route: usize,
    },
    /// What there is to do today.
    Today,
    /// The safety sheets of the shop's machines.
    Safety,
}
