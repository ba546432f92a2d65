//! Everything a batch is: its events, the lines that hold them, the folder on
//! disk, and the state as the fold of the journal. Must not know what is asked of
//! people, nor screens, keys or commands.
//!
//! # The folder
//!
//! A batch is one folder: `route.json` and `shop.json` as they were when it began,
//! and one `STATION.jsonl` for each station. `STATION.lock` says who has the
//! station open. It is never deleted, because a deleted lock could be taken twice.
//!
//! The state is only the fold of the journal, so a restart, a crash and another
//! terminal all take the same path as ordinary work. A state file beside the
//! journal was rejected: it could disagree with the journal. So was a database: a
//! person can read the journal, a spreadsheet can, and a copy is a copy of the
//! folder.
//!
//! # A line
//!
//! ```json
//! {"v":1,"n":13,"after":13,"at":"2026-11-25T10:19:50.388270734Z","station":"chop-saw","who":"MB","event":{"closed":{"op":10,"done":8,"aside":0}},"crc":"a085246a"}
//! ```
//!
//! | key | is |
//! | --- | --- |
//! | `v` | version of the line |
//! | `n` | the number of the line at its station, from 1, never used again |
//! | `after` | 1 + the highest `after` this station had seen from any station |
//! | `at` | time with its zone, for people; the order never comes from it |
//! | `station` | spelled as its file is |
//! | `who` | initials, or null when nobody has said |
//! | `answer` | where one answer wrote several lines: the number of the first and how many. They count together or not at all |
//! | `seen` | the number of the last line that the writer had seen of every other station |
//! | `begun` | when the batch began, in the first line a station writes after it was opened |
//! | `event` | one thing that happened, by its name: see [`Event`] |
//! | `crc` | CRC-32 (the one of zip and PNG) of the raw bytes before `,"crc"`, as eight hexadecimal digits |
//!
//! Lengths are whole nanometres. The checksum covers bytes rather than values, so
//! that checking never depends on how a line would be printed again. Lines are not
//! chained: one edit by hand must not spoil the rest.
//!
//! # Order
//!
//! The lines of all stations are merged by (`after`, `station`, `n`). Every
//! terminal gets the same order from the same files, however late they arrive, and
//! a line always follows everything its writer had seen. One file with a lock was
//! rejected because two terminals would have to share it; order by time because
//! clocks disagree. One event refers to another by (`station`, `n`).
//!
//! # When writing goes wrong
//!
//! A torn tail is whatever follows the last newline. [`Station::open`] copies it to
//! `STATION.jsonl.torn-OFFSET`, cuts it off, reports it and goes on. A bad line with
//! its newline is reported by number, never changed and never used; its number is
//! not used again. When a write or a sync fails, the file is cut back to its last whole
//! line: then nothing was recorded, and the entry may be tried again. Where even that
//! fails, nobody can tell what is on the disk, so the station is opened again and read; a
//! failed sync is never simply repeated. Before the first line of a station the disk is tried with two handles,
//! because some disks lose appended bytes.
//!
//! # What is missing
//!
//! Every line says in `seen` what its writer had seen of the others, so a line that
//! somebody saw and that is not here is told by station and number: it is not here yet, or
//! lost. Lines that nobody else had seen can't be missed when the end of a file is lost.
//! Older lines say nothing, but each place in the order is taken by some line, so an empty
//! place is a missing line. A number that others had seen is never used again.
//!
//! A file whose lines another station wrote is a copy, as programs that share folders make
//! them. Lines that say another `begun` belong to another batch. Changed ends of lines
//! (CRLF) spoil nothing. The first line of a batch follows from its route and shop file, so
//! where it can't be read it is worked out again. A file that can't be read keeps nobody
//! from the others. A line of a newer version makes this one look only.
//!
//! # Leaving
//!
//! Whoever leaves the program leaves a `station-left` behind, where people had said that
//! they are there; the next line of the station ends it. It is no answer, and nothing but
//! who is there depends on it. A program that was killed, or the power, leaves none: then
//! the station's lock is free, and that tells who went without leaving. The lock of a
//! station whose lines come through a server is elsewhere: there its connection tells.
//!
//! # Voiding
//!
//! No line is ever changed. `taken-back` names a line by (`station`, `n`), and
//! [`State::fold`] reads the journal as if the whole answer that wrote it had not
//! happened. Naming a later line of an answer voids that line and those after it.
//! `restored` takes a voiding back. A voided reading stays in exports, marked. In batches begun before
//! answers were told apart, a `done` that a reading caused is voided with it. Nothing that was typed is corrected: a miss with a known shape is asked
//! about, and the entry stays until someone voids it.
//!
//! # Boards
//!
//! The boards are operation 0 of every route that has no operation 0 of its own. It
//! is no step of the route, it blocks no later operation, and no plan knows it.
//! Sections follow one another along a board, strips lie side by side across a
//! section, and blanks follow one another along a strip. A length worth keeping is
//! an offcut, everything else is waste.
//!
//! `board-listed` is a board of a list, `board-said` one answer about a board,
//! `flaw-found` and `flaw-ruled` a flaw and the lead's ruling on it, `board-aside` a
//! board that is given up. `laid-out` puts a layout to the lead, `layout-accepted`
//! holds it once more, whole and by whom, and `mark-drawn` is one line across a
//! board. Anything entered after a layout was accepted makes that layout stale. A
//! mark that was drawn stays drawn, and a length that was marked before a flaw was
//! found in it is lost, because the saw may have been there already.
//!
//! A layout is computed once, by the answer that asks for it, and kept as places and
//! pieces: a better solver changes no old batch and costs no key. It is written
//! twice because an accepted line must not depend on one that may be voided. When
//! the lead accepts, everything entered before can no longer be voided. A board
//! belongs to the station where it was begun until it is complete, so two people may
//! enter boards side by side. Boards recorded by older versions remain complete.
//!
//! # Seals
//!
//! `sealed` holds, for every station, how many lines its file had and a SHA-256 of them. A
//! review compares it and prints a short form to keep on paper, for whoever may write the
//! folder may write a new seal too: it keeps honest people honest.
//!
//! # The archive
//!
//! A batch out of the way is its folder renamed into `archive` beside the others. A
//! mark in the batch was rejected: listing what is under way would read it each time.
//! The name stays taken, and a batch that a station has open isn't moved.
//!
//! # Invented batches
//!
//! The first line of an invented batch is `invented`, with the seed and the faults.
//! Every batch begins whole: its first lines, an invented one's all lines, are in its
//! folder before the folder gets its name. A folder without them is no batch, and every
//! command says so.
//!
//! # The shop journal
//!
//! `shop-journal` beside the batches has the same lines with other events: what happens to
//! a shop between its batches. The shop file says how the machines are; the journal says
//! when that was found, how well, and on whose word. Names of people are in neither, so
//! that one can be erased.
//!
//! # Changing the format
//!
//! A new event, or a new key with a default, needs no new version: an older program
//! reports an event it does not know and goes on. Anything else raises `VERSION` in
//! `line.rs`, keeps the old reading, and adds a folder beside `tests/journal/v1`,
//! written by the program and checked by hand. Folders there never change. No line's
//! meaning depends on the text of another; `text_decisions.rs` reads the few old
//! texts that once decided something as the events they are now.

mod adopted;
mod archive;
mod batch_id;
mod beginning;
mod boards;
mod by_identity;
mod copies;
mod creating;
mod damage;
mod damage_words;
mod detail;
mod disk;
mod event;
mod event_nature;
mod facts;
mod fold;
mod fold_adopted;
mod fold_pieces;
mod folder;
mod free_stations;
mod frozen;
mod gathered;
mod home;
mod identity;
mod laid_out;
mod last_reading;
mod line;
mod merge;
mod mirror;
mod name;
mod names;
mod open;
mod open_error;
mod own_routes;
mod own_shop;
mod part_places;
mod pins;
mod record;
mod replaced;
mod scan;
mod seal;
mod search;
mod shared_folder;
mod shared_list;
mod shop_event;
mod shop_journal;
mod shop_record;
mod sibling_folders;
mod state;
mod station;
mod station_file;
mod store_error;
mod summaries;
mod text_decisions;
mod times;
mod under_way;
mod undo;

pub use adopted::Adopted;
pub use batch_id::BatchId;
pub use boards::{BatchBoard, BatchBoards, BoardQuestion, ProposedLayout, listed};
pub use by_identity::batch_of_code;
pub use copies::{CopyBrings, FoundCopy};
pub use damage::{Damage, FileDamage};
pub use damage_words::damage_words;
pub use detail::{
    AcceptedChange, Decision, GaugeSays, MadeDimension, NewPiece, StoredSetting, TakenOnPaper,
    TakenReading, UsedValue,
};
pub use disk::{Died, Disk, DiskCall, DiskFault, DiskFaults};
pub use event::{Event, JournalLine};
pub use facts::{PieceOrigin, in_blanks, initial_pieces, missing_blanks, split_blanks};
pub use folder::{BatchFolder, Everything, Fingerprint};
pub use free_stations::FreeStations;
pub use frozen::{read_route, read_shop};
pub use home::{Home, PAGES};
pub use identity::{BOARDS, BoardId, PieceId};
pub use laid_out::{
    BoardEntry, KnotOffer, LaidBlank, LaidBoard, LaidMissing, LaidOut, LaidSection,
};
pub use line::{AnswerLines, JournalEntry, Reference, encode};
pub use merge::{LinesSeen, merge};
pub use mirror::{Mirror, MirroredBatch, MirroredLine, is_sound};
pub use name::{objection, station_spelled, suitable};
pub use names::Names;
pub use open::{Beginning, OpenBatch, Snapshot, without_beginning};
pub use open_error::OpenError;
pub use own_routes::{OwnRoute, named_route};
pub use part_places::PlacesInto;
pub use pins::{PinError, Pins, SHORTEST_PIN};
pub use record::{
    AcceptedMade, ArticleRecord, BatchSeal, BlockCheck, DecisionRecord, GateOpening, Piece,
    PieceTally, PiecesThrough, ReadPlaces, ReadingRecord, Remark, RunningWait, ScaleCheck,
    SetupState, Zeroing,
};
pub use replaced::{replace_file, rewrite_file};
pub use scan::{Scan, scan};
pub use seal::{StationSeal, short_form};
pub use search::BatchSearch;
pub use shared_folder::gives_word_of_changes;
pub use shared_list::SharedList;
pub use shop_event::{ShopEvent, ShopLine, SignOff, ToolScale};
pub use shop_journal::ShopJournal;
pub use shop_record::{Calibration, ShopRecord, SignedOffAt, ToolFitted};
pub use state::State;
pub use station::{OpenReport, Station, holder};
pub use store_error::StoreError;
pub use summaries::{FolderLooks, Summaries};
pub use times::Times;
pub use under_way::{ReadBatches, UnderWay, UnreadBatch};
pub use undo::{DoneAnswer, Undoable, VoidedLines};
