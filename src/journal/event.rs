//! Everything that can happen to a batch, as it is written in its journal.
//! A new event, or a new key with a default, needs no new version of a line.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::batch_id::BatchId;
use super::detail::{
    AcceptedChange, Decision, MadeDimension, NewPiece, StoredSetting, TakenReading, UsedValue,
};
use super::identity::{BoardId, PieceId};
use super::laid_out::{BoardEntry, KnotOffer, LaidOut};
use super::line::{JournalEntry, Reference};
use super::seal::StationSeal;
use super::shop_event::SignOff;
use crate::measure::Length;
use crate::operation::FeatureName;
use crate::route::{Chosen, PieceLabel};
use crate::stock::{Flaw, RackBoard, Ruling};

/// A line of the journal.
pub type JournalLine = JournalEntry<Event>;

fn is_nothing(count: &usize) -> bool {
    *count == 0
}

/// What happened, one line of the journal each.
///
/// It is read through `text_decisions`, which knows what older programs wrote.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", remote = "Self")]
pub enum Event {
    /// The batch is invented, for practice: nobody cut or measured anything.
    /// It is the first line, so that no torn line can hide it.
    Invented {
        /// The random seed.
        seed: u32,
        /// What is made to go wrong, as people type it.
        faults: Vec<String>,
    },
    /// The batch begins.
    Started {
        /// The name of the batch.
        batch: String,
        /// The name of the route.
        route: String,
        /// How many articles are made.
        sets: u32,
        /// The pieces the batch begins with.
        #[serde(rename = "born")]
        pieces: Vec<NewPiece>,
        /// The identity of the batch; older programs gave none.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        id: Option<BatchId>,
    },
    /// Whose an article is and what its maker chose; it takes the place of what was said
    /// before.
    Chosen {
        /// The article, counted from one.
        article: u32,
        /// Whose it is, as the lead writes it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        owner: Option<String>,
        /// What was chosen, whole.
        #[serde(flatten)]
        chosen: Chosen,
        /// Lengths that come in with it: a wood that had no spare needs one of its own.
        #[serde(default, rename = "born", skip_serializing_if = "Vec::is_empty")]
        pieces: Vec<NewPiece>,
    },
    /// Somebody joined late: one more article.
    Joined {
        /// The article, the next one.
        article: u32,
        /// Whose it is, as the lead writes it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        owner: Option<String>,
        /// What was chosen, whole.
        #[serde(flatten)]
        chosen: Chosen,
        /// Its pieces.
        #[serde(rename = "born")]
        pieces: Vec<NewPiece>,
    },
    /// The owner of an article left.
    OwnerLeft {
        /// The article, counted from one.
        article: u32,
        /// The lead's initials.
        by: String,
        /// The reason, as it was typed.
        why: String,
        /// Whether its pieces are spares from now on; else they are set aside.
        spares: bool,
    },
    /// The lead began it though the plan has errors.
    BegunWithErrors {
        /// The lead's initials.
        by: String,
        /// The reason, as it was typed.
        why: String,
        /// The errors, in words.
        errors: Vec<String>,
    },
    /// The lead adopted a corrected route for what isn't cut yet. The one before stays
    /// in the folder or in the event before.
    RouteAdopted {
        /// The lead's initials.
        by: String,
        /// The reason, as it was typed.
        why: String,
        /// The whole route file.
        route: String,
    },
    /// The lead adopted the shop as it is now: its people, sign-offs and offsets. What is
    /// set stays set. The one before stays in the folder or in the event before.
    ShopAdopted {
        /// The lead's initials.
        by: String,
        /// The reason, as it was typed.
        why: String,
        /// The whole shop file.
        shop: String,
    },
    /// A lead signed somebody off on a machine while the batch was under way.
    SignedOff(SignOff),
    /// Somebody stands in for the lead on one day.
    StandsIn {
        /// Their initials.
        who: String,
        /// The day.
        on: NaiveDate,
        /// The lead's initials.
        by: String,
    },
    /// A lead sealed the batch: what every station had written until then.
    Sealed {
        /// The lead's initials.
        by: String,
        /// Each station that had written anything.
        stations: Vec<StationSeal>,
    },
    /// Who is at this station from now on.
    People {
        /// Their initials; the first one is at the keys.
        present: Vec<String>,
    },
    /// Somebody read the cautions of a machine and tool; it holds for the day.
    CautionRead {
        /// The machine, by its name in the shop file.
        machine: String,
        /// The tool, where the machine has one.
        tool: Option<String>,
        /// The lead who stays beside somebody not signed off on this machine.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        beside: Option<String>,
    },
    /// A gauge was zeroed, and what it then read on its check block.
    GaugeZeroed {
        /// The gauge, by its name in the shop file.
        gauge: String,
        /// As it was typed.
        typed: Option<String>,
        /// What the gauge read on its block.
        read: Option<Length>,
        /// The size of the block.
        block: Option<Length>,
    },
    /// A tool was fitted while the machine was isolated.
    Tool {
        /// The number of the operation.
        op: u32,
        /// The machine, by its name in the shop file.
        machine: String,
        /// The tool, by its name in the shop file.
        tool: String,
    },
    /// What a scale showed after it was set.
    Setting {
        /// The number of the operation.
        op: u32,
        /// The setting and what its scale had to show.
        stored: StoredSetting,
        /// The pieces it is for; none means all of them.
        pieces: Vec<PieceId>,
        /// The tool, where the machine has one.
        tool: Option<String>,
        /// What the scale showed.
        shown: Length,
        /// As it was typed.
        typed: String,
        /// Whether the scale showed the dial asked for.
        right: bool,
        /// The values it was computed from.
        used: Vec<UsedValue>,
    },
    /// A setting must be moved after a first piece.
    Moved {
        /// The number of the operation.
        op: u32,
        /// The setting, by its name.
        setting: String,
        /// How far, on its scale.
        by: Length,
        /// The reason, as it was typed.
        why: String,
    },
    /// The first piece of a setup is good.
    FirstPiece {
        /// The number of the operation.
        op: u32,
        /// The piece.
        piece: PieceId,
    },
    /// A piece was measured.
    Reading(TakenReading),
    /// Pieces have been through one pass of an operation, or through all of it.
    Done {
        /// The number of the operation.
        op: u32,
        /// The pieces that went through.
        pieces: Vec<PieceId>,
        /// The pass, where the operation has several.
        pass: Option<u32>,
        /// Whether this finishes the operation for them.
        through: bool,
        /// The tool, where the machine has one.
        tool: Option<String>,
        /// The settings in force.
        settings: Vec<StoredSetting>,
        /// Whether the reading or decision before it caused it: voiding that voids this.
        by_reading: bool,
    },
    /// A blank was cut into its pieces.
    Split {
        /// The number of the operation.
        op: u32,
        /// The blank.
        from: PieceId,
        /// The pieces it came apart into.
        into: Vec<NewPiece>,
    },
    /// An earlier line is voided; it stays on record.
    #[serde(rename = "taken-back")]
    Voided {
        /// The line that is voided.
        what: Reference,
        /// Whether its reading stays in question and the piece is measured again; not
        /// where what was typed by mistake is undone.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        to_measure_again: bool,
    },
    /// What was voided counts again.
    Restored {
        /// The line that was voided.
        what: Reference,
    },
    /// A decision about a piece that is not within limits, or about any piece by the lead.
    Decided {
        /// The number of the operation.
        op: u32,
        /// The piece.
        piece: PieceId,
        /// What was decided.
        decision: Decision,
        /// The reason, as it was typed.
        why: String,
    },
    /// A piece is used as another part: its label changes, its history stays.
    Labelled {
        /// The piece.
        piece: PieceId,
        /// What it is called from now on.
        label: PieceLabel,
        /// The operation at which it joins the other pieces of that part.
        joins: u32,
    },
    /// A piece is made in place of one that is lost.
    Remade {
        /// The piece that is lost.
        of: PieceId,
        /// The piece in its place.
        #[serde(rename = "born")]
        piece: NewPiece,
    },
    /// A dimension was made from readings, as the lead accepted it.
    Made(MadeDimension),
    /// The lead chose which dimension of a chain keeps its value.
    Kept {
        /// The dimension that keeps its value.
        keep: String,
    },
    /// The lead accepted what follows from made values.
    Accepted {
        /// The number of the operation.
        op: u32,
        /// The lead's initials; none where nothing changes, so that nobody was asked.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        by: Option<String>,
        /// The settings that follow.
        changes: Vec<AcceptedChange>,
    },
    /// The lead opened an operation before its time.
    GateOpened {
        /// The number of the operation.
        op: u32,
        /// The lead's initials.
        #[serde(default)]
        by: String,
        /// The reason, as it was typed.
        why: String,
    },
    /// People say every piece is through; the setup may be torn down.
    Closed {
        /// The number of the operation.
        op: u32,
        /// Pieces through the operation.
        done: usize,
        /// Pieces set aside.
        aside: usize,
        /// Whether the answer before it left nothing to do: voiding that voids this.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        by_answer: bool,
    },
    /// People left in the middle of an operation, and said how far they came.
    Left {
        /// The number of the operation.
        op: u32,
        /// Pieces through the operation.
        done: usize,
        /// Pieces still to go.
        to_go: usize,
        /// What they said about it.
        note: String,
    },
    /// The people at this station left the batch, as the program was left.
    StationLeft {},
    /// What people wrote.
    Note {
        /// The operation it is about, where it is about one.
        op: Option<u32>,
        /// The piece it is about, where it is about one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        piece: Option<PieceId>,
        /// The text.
        text: String,
    },
    /// Whoever goes on skips measuring the last piece again.
    RepeatSkipped {
        /// The number of the operation.
        op: u32,
    },
    /// First and last differ, and people leave it at that.
    DriftLeft {
        /// The number of the operation.
        op: u32,
        /// What is measured.
        feature: FeatureName,
    },
    /// Something typed, or sent by a gauge, while only Enter was asked for.
    TypedUnasked {
        /// The number of the operation.
        op: u32,
        /// As it was typed.
        typed: String,
    },
    /// Something is waited for, such as glue.
    Timer {
        /// The number of the operation.
        op: u32,
        /// How many minutes from the time of the line.
        minutes: u32,
        /// What is waited for, in words.
        what: String,
    },
    /// A board of a list that was read when the batch began.
    BoardListed {
        /// The board.
        board: BoardId,
        /// The board as the list has it.
        is: RackBoard,
    },
    /// An answer about a board.
    BoardSaid {
        /// The board.
        board: BoardId,
        /// The question and its answer.
        says: BoardEntry,
        /// As it was typed.
        typed: String,
    },
    /// A flaw somebody saw on a board, when it was entered or at the saw.
    FlawFound {
        /// The board.
        board: BoardId,
        /// The flaw and where it is.
        flaw: Flaw,
        /// As it was typed.
        typed: String,
    },
    /// The lead's ruling on a flaw.
    FlawRuled {
        /// The board.
        board: BoardId,
        /// The flaw, as it was ruled on until then.
        flaw: Flaw,
        /// What the lead ruled.
        ruling: Ruling,
        /// The lead's initials.
        by: String,
        /// The reason, as it was typed.
        why: String,
    },
    /// Nothing more is cut from a board.
    BoardAside {
        /// The board.
        board: BoardId,
        /// The lead's initials.
        by: String,
        /// The reason, as it was typed.
        why: String,
    },
    /// A layout, which says which piece comes from which board, is put to the lead.
    LaidOut {
        /// The layout, whole.
        layout: LaidOut,
        /// Other rulings on knots, and what each would bring.
        #[serde(default)]
        offers: Vec<KnotOffer>,
        /// How many other rulings on knots were not tried.
        #[serde(default, skip_serializing_if = "is_nothing")]
        untried: usize,
    },
    /// The lead accepted a layout: from now on its marks count.
    LayoutAccepted {
        /// The layout, whole.
        layout: LaidOut,
        /// The lead's initials.
        by: String,
    },
    /// A line was drawn across a board.
    MarkDrawn {
        /// The board.
        board: BoardId,
        /// How far from the marked end.
        at: Length,
    },
}
