//! Who walks a part through its route, and what is carried along.

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use super::known::Known;
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
    ) -> Walker<'a> {
        let pieces = known.pieces.get(&part.name).map(Arc::clone);
        let pieces = pieces.unwrap_or_else(|| route.pieces(part).into());
        Walker { route, shop, known, part, pieces, blanks: BTreeMap::new() }
    }

    /// The dimensions, with the end of the chain that is kept.
    pub(super) fn web(&self) -> &'a Web {
        self.route.web(self.known.keep.as_deref())
    }
}
