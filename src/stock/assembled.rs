//! Parts that are put together from other parts: how many, and their finished sizes.

use super::need::NeedFinder;
use crate::measure::Length;
use crate::operation::{LENGTH, THICKNESS, WIDTH};
use crate::plan::Plan;
use crate::route::Route;
use crate::shop::Shop;

/// A part that comes from other parts and not from the rack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AssembledPart {
    /// The part, as the route names it.
    pub part: String,
    /// The parts it is put together from.
    pub from: Vec<String>,
    /// How many are for articles.
    pub for_sets: u32,
    /// How many are spare.
    pub spare: u32,
    /// Finished thickness, width and length; none where the route gives none.
    pub finished: [Option<Length>; 3],
}

/// The parts of a route that are put together from others.
pub fn assembled(route: &Route, shop: &Shop, plan: &Plan) -> Vec<AssembledPart> {
    let finder = NeedFinder { route, shop, plan };
    let parts = route.parts.iter().filter(|part| !part.assembled_from.is_empty());
    let assembled = parts.map(|part| AssembledPart {
        part: part.name.clone(),
        from: part.assembled_from.clone(),
        for_sets: part.per_set.saturating_mul(route.sets),
        spare: part.spares,
        finished: [THICKNESS, WIDTH, LENGTH].map(|feature| finder.finished(part, feature)),
    });
    assembled.collect()
}
