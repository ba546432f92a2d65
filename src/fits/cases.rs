//! For which articles a fit is judged by itself, and the wood that swells in each.

use std::collections::BTreeSet;

use super::input::FitsInput;
use crate::formula::Web;
use crate::plan::MadeOver;
use crate::plan::articles::ArticleWebs;
use crate::route::{Fit, Swells};
use crate::wood::Species;

/// The articles to judge one by one, where sizes were made for single articles
/// or pieces; otherwise all of them as one.
pub(super) fn cases(input: &FitsInput<'_>, webs: &ArticleWebs<'_>, fit: &Fit) -> Vec<Option<u32>> {
    let reached = reached(webs.web(None), fit);
    let is_chosen = reached.iter().any(|dim| webs.differ_in(dim))
        || (webs.differ_in_wood() && swells_as_chosen(input, fit));
    let apart = input.known.made.iter().any(|made| {
        reached.contains(made.dim.as_str())
            && match &made.over {
                MadeOver::Batch => false,
                MadeOver::Set(_) => true,
                MadeOver::Piece(label) => label.set.is_some(),
            }
    });
    let count = input.route.sets.max(input.known.articles.len() as u32);
    if apart || is_chosen { (1..=count).map(Some).collect() } else { vec![None] }
}

/// Whether what swells in a fit is of the wood that makers choose.
fn swells_as_chosen(input: &FitsInput<'_>, fit: &Fit) -> bool {
    let first = input.route.woods.as_ref().and_then(|woods| woods.of.first());
    let of_choice = first.and_then(|wood| Species::named(wood));
    let swells = fit.moves.as_ref().map(|moves| moves.swells.wood);
    of_choice.is_some_and(|wood| swells.map(Species::name) == Some(wood.name()))
}

/// How a fit moves in an article: its wood is the one its maker chose.
pub(super) fn swells(
    input: &FitsInput<'_>,
    webs: &ArticleWebs<'_>,
    fit: &Fit,
    article: Option<u32>,
) -> Option<Swells> {
    let swells = fit.moves.as_ref()?.swells;
    let chosen = webs.chosen(article).and_then(|chosen| Species::named(chosen.wood.as_deref()?));
    let wood = chosen.filter(|_| swells_as_chosen(input, fit)).unwrap_or(swells.wood);
    Some(Swells { wood, ..swells })
}

/// The names in a clearance, and in what swells in it.
pub(super) fn named(fit: &Fit) -> Vec<&str> {
    let across = fit.moves.iter().flat_map(|moves| moves.across.formula.names());
    fit.is.formula.names().chain(across).map(|(name, _)| name).collect()
}

/// Every name a clearance depends on, directly or through others.
fn reached<'w>(web: &'w Web, fit: &'w Fit) -> BTreeSet<&'w str> {
    let mut waiting: Vec<&str> = named(fit);
    let mut seen = BTreeSet::new();
    while let Some(name) = waiting.pop() {
        if seen.insert(name) {
            waiting.extend(web.uses(name).iter().map(String::as_str));
        }
    }
    seen
}
