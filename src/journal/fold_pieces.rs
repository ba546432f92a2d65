//! The fold of what happens to pieces: how they come to be, what they are called, what
//! was decided about them, and what their makers chose.

use std::sync::Arc;

use super::detail::{Decision, NewPiece};
use super::event::{Event, JournalLine};
use super::identity::PieceId;
use super::record::{ArticleRecord, DecisionRecord, Piece};
use super::state::State;
use crate::route::{Chosen, Role};

impl State {
    pub(super) fn fold_piece(&mut self, line: &JournalLine, order: usize) {
        match &line.event {
            Event::Started { batch, route, sets, pieces, id } => {
                self.use_piece_numbers(&line.station, pieces.len());
                // Two stations may both begin the batch; only the first one counts.
                if self.pieces.is_empty() {
                    self.batch.clone_from(batch);
                    self.id = *id;
                    self.route.clone_from(route);
                    self.sets = *sets;
                    pieces.iter().for_each(|piece| self.create_piece(piece, None));
                }
            }
            Event::Split { from, into, .. } => {
                self.use_piece_numbers(&line.station, into.len());
                // Two stations may both split a blank; only the first one counts.
                if let Some(blank) = self.piece_mut(from)
                    && blank.whole
                {
                    blank.whole = false;
                    let place = blank.place;
                    self.sort_piece(place);
                    into.iter().for_each(|piece| self.create_piece(piece, Some(from.clone())));
                }
            }
            Event::Decided { op, piece, decision, why } => {
                let (op, decision) = (*op, *decision);
                if let Some(piece) = self.piece_mut(piece) {
                    piece.decisions.push(DecisionRecord { op, decision, why: why.clone(), order });
                    piece.aside = match decision {
                        Decision::Accept | Decision::Rework => None,
                        // Whatever else happens to it, it leaves this sequence.
                        Decision::SetAside | Decision::UseElsewhere | Decision::Remake => {
                            Some((op, why.clone()))
                        }
                    };
                    let place = piece.place;
                    self.sort_piece(place);
                    if decision == Decision::SetAside
                        && let Some(setup) = self.setups.get_mut(&op)
                    {
                        Arc::make_mut(setup).lost = Some(order);
                    }
                }
            }
            Event::Labelled { piece, label, joins } => {
                self.place_in_part(piece, &label.part);
                if let Some(piece) = self.piece_mut(piece) {
                    piece.label = label.clone();
                    piece.joins = Some(*joins);
                    piece.aside = None;
                    let (id, place) = (piece.id.clone(), piece.place);
                    self.late.push(id);
                    self.sort_piece(place);
                }
            }
            Event::Remade { of, piece: new } => {
                self.use_piece_numbers(&line.station, 1);
                self.create_piece(new, None);
                if let Some(piece) = self.pieces.last_mut() {
                    piece.instead_of = Some(of.clone());
                    piece.joins = Some(0);
                    let place = piece.place;
                    self.late.push(new.id.clone());
                    self.sort_piece(place);
                }
            }
            _ => {}
        }
    }

    pub(super) fn fold_article(&mut self, line: &JournalLine) {
        match &line.event {
            Event::Chosen { article, owner, chosen, pieces } => {
                self.use_piece_numbers(&line.station, pieces.len());
                for piece in pieces {
                    self.create_piece(piece, None);
                    self.late.push(piece.id.clone());
                }
                if let Some(record) = self.article_mut(*article) {
                    record.owner.clone_from(owner);
                    record.chosen = chosen.clone();
                }
            }
            Event::Joined { article, owner, chosen, pieces } => {
                self.use_piece_numbers(&line.station, pieces.len());
                // Two stations may both take somebody in as the same article; only the
                // first one counts.
                if *article == self.article_count() + 1 {
                    self.all_articles();
                    let (owner, chosen) = (owner.clone(), chosen.clone());
                    self.articles.push(ArticleRecord { owner, chosen, has_left: false });
                    for piece in pieces {
                        self.create_piece(piece, None);
                        self.late.push(piece.id.clone());
                    }
                }
            }
            Event::OwnerLeft { article, why, spares, .. } => {
                if let Some(record) = self.article_mut(*article) {
                    record.has_left = true;
                }
                self.let_go(*article, why, *spares);
            }
            _ => {}
        }
        self.chosen = self.articles.iter().map(|record| record.chosen.clone()).collect();
    }

    /// What was made for an article whose owner left: spares, or set aside where it is.
    fn let_go(&mut self, article: u32, why: &str, spares: bool) {
        let own = self.pieces.iter().filter(|piece| piece.label.set == Some(article));
        let places: Vec<usize> = own.map(|piece| piece.place).collect();
        for place in places {
            let through = self.setups.iter().filter(|(_, setup)| setup.through.contains(place));
            let last = through.map(|(op, _)| *op).max().unwrap_or(0);
            let piece = &mut self.pieces[place];
            if spares && piece.label.role == Role::Set {
                piece.label.role = Role::Spare;
                piece.label.set = None;
            } else if piece.aside.is_none() {
                piece.aside = Some((last, why.to_owned()));
            }
            self.sort_piece(place);
        }
    }

    fn article_mut(&mut self, article: u32) -> Option<&mut ArticleRecord> {
        if !(1..=self.article_count()).contains(&article) {
            return None;
        }
        self.all_articles();
        self.articles.get_mut(article as usize - 1)
    }

    /// Gives every article a record.
    fn all_articles(&mut self) {
        let nobody = ArticleRecord { owner: None, chosen: Chosen::default(), has_left: false };
        self.articles.resize(self.article_count() as usize, nobody);
    }

    /// Uses up numbers even where the new pieces don't count, so that no name
    /// ever means two pieces.
    pub(super) fn use_piece_numbers(&mut self, station: &str, count: usize) {
        *self.piece_numbers.entry(station.to_owned()).or_default() += count as u64;
    }

    pub(super) fn create_piece(&mut self, new: &NewPiece, from: Option<PieceId>) {
        let place = self.pieces.len();
        Arc::make_mut(&mut self.places).entry(new.id.clone()).or_insert(place);
        self.of_part.entry(new.label.part.clone()).or_default().all.push(place);
        self.places_of_readings.push(Vec::new());
        let from_place = from.as_ref().and_then(|blank| self.places.get(blank).copied());
        self.pieces.push(Piece {
            id: new.id.clone(),
            place,
            label: new.label.clone(),
            gang: new.gang,
            from,
            from_place,
            instead_of: None,
            joins: None,
            whole: true,
            aside: None,
            decisions: Vec::new(),
        });
        self.sort_piece(place);
    }

    /// Notes anew what sets a piece apart, once something about it changed.
    fn sort_piece(&mut self, place: usize) {
        let Some(piece) = self.pieces.get(place) else { return };
        if let Some(own) = self.of_part.get_mut(&piece.label.part) {
            own.put(piece);
        }
    }

    /// Takes a piece from its part into another one, by its place in cut order.
    fn place_in_part(&mut self, piece: &PieceId, part: &str) {
        let Some(place) = self.places.get(piece).copied() else { return };
        if let Some(own) = self.of_part.get_mut(&self.pieces[place].label.part) {
            own.all.retain(|held| *held != place);
            own.forget(place);
        }
        let other = &mut self.of_part.entry(part.to_owned()).or_default().all;
        other.insert(other.partition_point(|held| *held < place), place);
    }

    pub(super) fn piece_mut(&mut self, id: &PieceId) -> Option<&mut Piece> {
        let place = *self.places.get(id)?;
        self.pieces.get_mut(place)
    }
}
