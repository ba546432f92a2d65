//! The state of a batch, and what can be asked of it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::NaiveDate;
use rustc_hash::FxHashMap;

use super::adopted::Adopted;
use super::batch_id::BatchId;
use super::boards::BatchBoards;
use super::detail::Decision;
use super::identity::PieceId;
use super::line::Reference;
use super::part_places::{PartPlaces, PlacesInto};
use super::record::{
    AcceptedMade, ArticleRecord, BatchSeal, BeforeReading, BlockCheck, Piece, PieceTally,
    PiecesThrough, ReadPlaces, ReadingPlace, ReadingRecord, Remark, RunningWait, SetupState,
    Zeroing,
};
use super::shared_list::SharedList;
use super::times::Times;
use super::undo::DoneAnswer;
use crate::operation::FeatureName;
use crate::route::{Chosen, OwnedArticle, Role};

/// Everything a batch is, folded from its journal.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct State {
    /// Whether it is invented: nobody cut or measured anything.
    pub invented: bool,
    /// The name of the batch.
    pub batch: String,
    /// Its identity, where its first line holds one.
    pub id: Option<BatchId>,
    /// The name of the route.
    pub route: String,
    /// How many articles the batch began with.
    pub sets: u32,
    /// Each article, where anybody said whose it is or what was chosen; those who joined
    /// late come last.
    pub articles: Vec<ArticleRecord>,
    /// What was chosen for each of them.
    pub(super) chosen: Arc<[Chosen]>,
    /// The text of the route that the lead adopted last, where one was.
    pub adopted_route: Option<Arc<str>>,
    /// The shop that the lead adopted, and who was signed off since.
    pub adopted: Adopted,
    /// In the order they were created, which is the cut order.
    pub pieces: Vec<Piece>,
    /// How far each operation has come, by its number; copies of a state share what no
    /// event changed since.
    pub setups: BTreeMap<u32, Arc<SetupState>>,
    /// Every reading in journal order, the voided ones too.
    pub readings: SharedList<ReadingRecord>,
    /// Every dimension made, in the order they were accepted.
    pub made: Vec<AcceptedMade>,
    /// Which dimension of a chain the lead keeps.
    pub keep: Option<String>,
    /// Operations whose made values are accepted.
    pub accepted: BTreeSet<u32>,
    /// Those of them whose readings changed afterwards.
    pub read_again: BTreeSet<u32>,
    /// Who is at each station.
    pub people: BTreeMap<String, Vec<String>>,
    /// Cautions read: by whom, of which machine and tool, on which day.
    pub cautions_read: BTreeSet<(String, String, Option<String>, NaiveDate)>,
    /// When each gauge was last zeroed, by station and gauge.
    pub zeroed: BTreeMap<(String, String), Zeroing>,
    /// Every reading of a check block, oldest first.
    pub block_checks: Vec<BlockCheck>,
    /// The tool last put into each machine.
    pub tools: BTreeMap<String, String>,
    /// Every seal that was put over the batch, oldest first.
    pub seals: Vec<BatchSeal>,
    /// What people wrote, oldest first.
    pub remarks: Vec<Remark>,
    /// Everything that was ever waited for, oldest first.
    pub waits: Vec<RunningWait>,
    /// The boards the pieces come from, where anybody entered them.
    pub boards: BatchBoards,
    /// The operation each station last worked at.
    pub working_at: BTreeMap<String, u32>,
    /// What each station did that can be undone, the latest last; copies of a state share
    /// each of them.
    pub last_done: BTreeMap<String, Vec<Arc<DoneAnswer>>>,
    /// What each station undid since, the latest last.
    pub last_undone: BTreeMap<String, Vec<Reference>>,
    /// When stations wrote, and how long pieces took.
    pub times: Times,
    pub(super) piece_numbers: BTreeMap<String, u64>,
    /// Pieces that came late: made again, or used as another part.
    pub(super) late: Vec<PieceId>,
    /// The place of each piece in `pieces`; copies of a state share it.
    pub(super) places: Arc<FxHashMap<PieceId, usize>>,
    /// The places in `pieces` of each part's pieces.
    pub(super) of_part: BTreeMap<String, PartPlaces>,
    /// The places in `readings` of each piece's readings, the voided ones too; by the
    /// place of the piece.
    pub(super) places_of_readings: Vec<Vec<ReadingPlace>>,
    /// Which pieces each size of each operation was read of.
    pub(super) read: BTreeMap<u32, BTreeMap<FeatureName, ReadPlaces>>,
    /// What stood before the last line, where that is a reading.
    pub(super) before_reading: Option<Box<BeforeReading>>,
    /// Whether the last thing each station did that can be voided was voided.
    pub(super) undone: BTreeMap<String, bool>,
}

impl State {
    /// How many articles are made, those of people who joined late too.
    pub fn article_count(&self) -> u32 {
        self.sets.max(self.articles.len() as u32)
    }

    /// Whose an article is; nobody's where nobody said.
    pub fn owner(&self, article: u32) -> Option<&str> {
        self.articles.get((article as usize).checked_sub(1)?)?.owner.as_deref()
    }

    /// Every article with its owner and choices; none where nobody said anything.
    pub fn makers(&self) -> Vec<OwnedArticle> {
        let article = |record: &ArticleRecord| OwnedArticle {
            owner: record.owner.clone(),
            chosen: record.chosen.clone(),
        };
        self.articles.iter().map(article).collect()
    }

    /// What the maker of an article chose.
    pub fn chosen(&self, article: u32) -> Chosen {
        let record = self.articles.get((article as usize).wrapping_sub(1));
        record.map(|record| record.chosen.clone()).unwrap_or_default()
    }

    /// The number of the next piece created at a station.
    pub fn next_piece_number(&self, station: &str) -> u64 {
        self.piece_numbers.get(station).copied().unwrap_or(0) + 1
    }

    /// The piece with this identity.
    pub fn piece(&self, id: &PieceId) -> Option<&Piece> {
        self.pieces.get(*self.places.get(id)?)
    }

    /// What a piece is called, for screens.
    pub fn name(&self, id: &PieceId) -> String {
        self.piece(id).map_or_else(|| id.0.to_string(), |piece| piece.label.to_string())
    }

    /// `25 Nov 10:41  MB  op 30  leg 4: stop had dust on it`
    pub fn remark_line(&self, remark: &Remark) -> String {
        let op = remark.op.map_or_else(String::new, |op| format!("op {op}  "));
        let piece = remark.piece.as_ref().map(|piece| format!("{}: ", self.name(piece)));
        let piece = piece.unwrap_or_default();
        let who = remark.who.as_deref().unwrap_or("?");
        let asked = if remark.is_unasked { "typed unasked: " } else { "" };
        let at = remark.at.format("%e %b %H:%M").to_string();
        format!("{}  {who}  {op}{piece}{asked}{}", at.trim_start(), remark.text)
    }

    /// What was written about a piece, the oldest first.
    pub fn remarks_on<'a>(
        &'a self,
        piece: &'a PieceId,
    ) -> impl DoubleEndedIterator<Item = &'a Remark> {
        self.remarks.iter().filter(move |remark| remark.piece.as_ref() == Some(piece))
    }

    /// The pieces of a part that go into an operation, in cut order: whole,
    /// and not set aside before it.
    pub fn pieces_into<'a>(
        &'a self,
        part: &str,
        op: u32,
    ) -> impl DoubleEndedIterator<Item = &'a Piece> {
        let places = self.of_part.get(part).map_or(&[][..], |own| own.all.as_slice());
        let pieces = places.iter().map(|place| &self.pieces[*place]);
        pieces.filter(move |piece| self.goes_into(piece, op))
    }

    /// The same pieces as sets of places, for whoever looks for the few that are open.
    pub fn places_into(&self, part: &str, op: u32) -> PlacesInto<'_> {
        let Some(own) = self.of_part.get(part) else { return PlacesInto::default() };
        own.into(&self.pieces, |piece| self.goes_into(piece, op))
    }

    /// Whether a piece goes into an operation of its part.
    pub(super) fn goes_into(&self, piece: &Piece, op: u32) -> bool {
        piece.whole
            && piece.aside.as_ref().is_none_or(|(at, _)| *at >= op)
            && self.has_come(piece, op)
    }

    /// Whether a piece has come as far as this operation. A late piece first goes
    /// through the operations that the others have finished.
    fn has_come(&self, piece: &Piece, op: u32) -> bool {
        let Some(joins) = piece.joins else { return true };
        joins <= op
            && self.setups.range(joins..op).all(|(before, setup)| {
                !setup.closed
                    || self.part_of(setup) != Some(&piece.label.part)
                    || self.is_through(*before, piece)
            })
    }

    /// The part an operation is done on, by a piece that is through it.
    fn part_of(&self, setup: &SetupState) -> Option<&str> {
        let mut through = setup.done.iter().filter_map(|id| self.piece(id));
        through.find(|piece| piece.joins.is_none()).map(|piece| piece.label.part.as_str())
    }

    /// How far an operation has come: every piece that went into it, once.
    pub fn tally(&self, part: &str, op: u32) -> PieceTally {
        let mut tally = PieceTally::default();
        let through = self.through(op);
        for piece in self.pieces_into(part, op) {
            // A piece set aside later still went through here.
            match (through.has(piece), &piece.aside) {
                (true, Some((at, _))) if *at == op => tally.aside += 1,
                (true, _) => tally.done += 1,
                (false, Some(_)) => tally.aside += 1,
                (false, None) => tally.to_go += 1,
            }
        }
        tally
    }

    /// Whether a piece, or the blank it came from, is through an operation.
    pub fn is_done(&self, op: u32, piece: &PieceId) -> bool {
        self.piece(piece).is_some_and(|piece| self.is_through(op, piece))
    }

    /// The same of a piece that was looked up already.
    pub fn is_through(&self, op: u32, piece: &Piece) -> bool {
        self.through(op).has(piece)
    }

    /// The pieces through an operation, for whoever asks about many.
    pub fn through(&self, op: u32) -> PiecesThrough<'_> {
        PiecesThrough(self.setups.get(&op).map(|setup| &setup.through))
    }

    /// Whether no more than so many pieces of a part still go through an operation.
    pub fn has_at_most_to_go(&self, part: &str, op: u32, count: usize) -> bool {
        let through = self.through(op);
        // Those that still go through come last most of the time.
        let last_first = self.pieces_into(part, op).rev();
        let mut to_go = last_first.filter(|piece| piece.aside.is_none() && !through.has(piece));
        to_go.nth(count).is_none()
    }

    /// Whether every piece that came so far is through, and people said so.
    pub fn is_closed(&self, op: u32) -> bool {
        let Some(setup) = self.setups.get(&op).filter(|setup| setup.closed) else { return false };
        let waiting = |id: &PieceId| {
            self.piece(id).is_some_and(|piece| {
                piece.aside.is_none()
                    && piece.whole
                    && self.part_of(setup) == Some(&piece.label.part)
                    && self.has_come(piece, op)
                    && !self.is_done(op, id)
            })
        };
        !self.late.iter().any(waiting)
    }

    /// Whether its first line was read: without it nothing is known of its pieces.
    pub fn is_started(&self) -> bool {
        self.sets > 0
    }

    /// The reading in force for a piece and feature: the latest not voided.
    pub fn reading_in_force(
        &self,
        op: u32,
        piece: &PieceId,
        feature: &str,
    ) -> Option<&ReadingRecord> {
        self.in_force_at(*self.places.get(piece)?, op, feature)
    }

    /// The same of the piece at a place in `pieces`.
    pub(super) fn in_force_at(
        &self,
        place: usize,
        op: u32,
        feature: &str,
    ) -> Option<&ReadingRecord> {
        let own = self.places_of_readings.get(place)?.iter().map(|held| &self.readings[held.at]);
        let mut own = own.filter(|held| held.taken.op == op && held.taken.feature == feature).rev();
        own.find(|held| !held.voided)
    }

    /// Every reading of a piece in the order they were taken, the voided ones too.
    pub fn readings_on(&self, piece: &PieceId) -> impl DoubleEndedIterator<Item = &ReadingRecord> {
        self.places_of_readings(piece).iter().map(|held| &self.readings[held.at])
    }

    fn places_of_readings(&self, piece: &PieceId) -> &[ReadingPlace] {
        let place = self.places.get(piece);
        let own = place.and_then(|place| self.places_of_readings.get(*place));
        own.map_or(&[], Vec::as_slice)
    }

    /// Which pieces a size was read of at an operation; none before its first reading.
    pub fn read(&self, op: u32, feature: &str) -> Option<&ReadPlaces> {
        self.read.get(&op)?.get(feature)
    }

    /// Those of them that stand before this place of the merged journal.
    pub fn readings_before(
        &self,
        piece: &PieceId,
        order: usize,
    ) -> impl DoubleEndedIterator<Item = &ReadingRecord> {
        let places = self.places_of_readings(piece);
        let earlier = places.partition_point(|held| held.order < order);
        places[..earlier].iter().map(|held| &self.readings[held.at])
    }

    /// Every reading of a piece and feature in the order they were taken, the voided ones
    /// too.
    pub fn readings_of(
        &self,
        op: u32,
        piece: &PieceId,
        feature: &str,
    ) -> impl DoubleEndedIterator<Item = &ReadingRecord> {
        self.readings_on(piece)
            .filter(move |held| held.taken.op == op && held.taken.feature == feature)
    }

    /// What was read at an operation of each piece, by its place, in the order it was
    /// taken; the voided ones too. For whoever wants those of all pieces at once.
    pub fn readings_by_place(&self, op: u32) -> Vec<Vec<&ReadingRecord>> {
        let mut by_place = vec![Vec::new(); self.pieces.len()];
        for reading in self.readings.iter().filter(|reading| reading.taken.op == op) {
            if let Some(place) = self.places.get(&reading.taken.piece) {
                by_place[*place].push(reading);
            }
        }
        by_place
    }

    /// How many whole spares are through an operation and can still step in.
    pub fn spares_through(&self, part: &str, op: u32) -> usize {
        let through = self.through(op);
        self.pieces_into(part, op)
            .filter(|piece| piece.label.role == Role::Spare && piece.aside.is_none())
            .filter(|piece| through.has(piece))
            .count()
    }

    /// What was decided about a piece at an operation after this reading of it.
    pub fn decision_on(&self, reading: &ReadingRecord) -> Option<Decision> {
        let piece = self.piece(&reading.taken.piece)?;
        let mut rulings = piece.decisions.iter().rev().take_while(|r| r.order > reading.order);
        rulings.find(|ruling| ruling.op == reading.taken.op).map(|ruling| ruling.decision)
    }
}
