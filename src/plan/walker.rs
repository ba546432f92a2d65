//! Who walks a part through its route, and what is carried along.

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use super::articles::ArticleWebs;
use super::known::{Known, MadeValue};
use super::values::PieceValues;
use crate::formula::Web;
use crate::operation::Blank;
use crate::route::{Part, PieceLabel, Route};
use crate::shop::Shop;

/// Walks the pieces of one part.
pub(super) struct Walker<'a> {
    pub route: &'a Route,
    pub shop: &'a Shop,
    pub known: &'a Known,
    pub part: &'a Part,
    pub webs: &'a ArticleWebs<'a>,
    pub pieces: Arc<[PieceLabel]>,
    /// Each piece as it is now, by its place in `pieces`; alike ones share.
    pub blanks: BTreeMap<usize, Rc<Blank>>,
}

impl<'a> Walker<'a> {
    pub(super) fn new(
        route: &'a Route,
        shop: &'a Shop,
        known: &'a Known,
        part: &'a Part,
        webs: &'a ArticleWebs<'a>,
    ) -> Walker<'a> {
        let pieces = known.pieces.get(&part.name).map(Arc::clone);
        let pieces = pieces.unwrap_or_else(|| route.pieces(part).into());
        Walker { route, shop, known, part, webs, pieces, blanks: BTreeMap::new() }
    }

    /// The dimensions of the route, with the end of the chain that is kept. Those of an
    /// article depend on each other in the same way.
    pub(super) fn web(&self) -> &'a Web {
        self.webs.web(None)
    }

    /// The dimensions as one of the pieces sees them; a spare as if it were of the first
    /// article it can step in for.
    pub(super) fn view(&self, made: &[&'a MadeValue], piece: &PieceLabel) -> PieceValues<'a> {
        let view = PieceValues::new(self.webs, made.iter().copied(), Some(piece));
        if piece.set.is_some() || self.known.articles.is_empty() {
            return view;
        }
        let first = self.route.articles_for(self.part, piece, self.known).first().copied();
        first.into_iter().fold(view, PieceValues::of_set)
    }
}
