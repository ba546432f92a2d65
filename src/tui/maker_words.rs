//! The words about makers: whose each article is, what was chosen, what follows, and
//! until which cut it can change.

use super::app::Session;
use crate::operation::words;
use crate::plan::PlannedOperation;
use crate::prose::visible;
use crate::route::{Part, Route};
use crate::stock::{ListOptions, list};
use crate::work::{finished, first_cut, first_cut_of_wood, sizes_words};

/// `stool 3: AB, height 19 7/8 in, white oak`.
pub(super) fn maker_words(session: &Session, article: u32) -> String {
    let state = &session.snapshot.state;
    let noun = &session.snapshot.route.article.one;
    let record = state.articles.get(article as usize - 1);
    let owner = match state.owner(article) {
        Some(owner) => visible(owner),
        None => "nobody's yet".to_owned(),
    };
    let left = record.is_some_and(|record| record.has_left);
    let said = if left { format!("{owner}, who left") } else { owner };
    let all: Vec<String> = std::iter::once(said).chain(choices(session, article)).collect();
    format!("{noun} {article}: {}", all.join(", "))
}

/// Each choice of the route as it stands for an article.
fn choices(session: &Session, article: u32) -> Vec<String> {
    let route = &session.snapshot.route;
    let chosen = session.snapshot.state.chosen(article);
    let sizes = route.choices.iter().filter_map(|choice| {
        let own = || route.dims.value(&choice.dim, &|_| None).ok()?.length();
        let size = chosen.sizes.get(&choice.dim).copied().or_else(own)?;
        Some(format!("{} {}", choice.dim.replace('_', " "), words(size, route.unit)))
    });
    let wood = route.woods.as_ref().map(|woods| {
        let first = woods.of.first().cloned().unwrap_or_default();
        visible(&chosen.wood.clone().unwrap_or(first))
    });
    sizes.chain(wood).collect()
}

/// Until which cut each choice can change.
pub(super) fn changes_until(session: &Session) -> Vec<String> {
    let route = &session.snapshot.route;
    let until = |what: String, cut: Option<&crate::route::Step>| match cut {
        Some(step) => {
            format!("{what} can change until op {} ({} {})", step.op, step.kind, step.part)
        }
        None => format!("{what} can change at any time"),
    };
    let sizes = route
        .choices
        .iter()
        .map(|choice| until(choice.dim.replace('_', " "), first_cut(route, &choice.dim)));
    let wood = route.woods.as_ref().map(|_| until("wood".to_owned(), first_cut_of_wood(route)));
    sizes.chain(wood).collect()
}

/// What follows for one article: the parts that differ from the route's own, each with
/// its sizes, and the price of its wood.
pub(super) fn what_follows(session: &Session, article: u32) -> Vec<String> {
    let snapshot = &session.snapshot;
    let mut said = Vec::new();
    for part in &snapshot.route.parts {
        if let Some(sizes) = differing_sizes(&snapshot.route, part, session, article) {
            said.push(format!("{} {sizes}", part.name));
        }
    }
    let stock = list(&snapshot.route, &snapshot.shop, &snapshot.plan, &ListOptions::default());
    let prices = stock.by_article(&snapshot.route, snapshot.state.article_count());
    if let Some(price) = prices.get(article as usize - 1) {
        let cost = price.cost.written(&snapshot.shop.lumber.currency);
        said.push(format!("wood {cost}, with its share of spares and waste"));
    }
    said
}

/// The finished sizes of a part in an article, where a choice changes them.
fn differing_sizes(route: &Route, part: &Part, session: &Session, article: u32) -> Option<String> {
    let chosen = session.snapshot.state.chosen(article);
    let own = route.web(session.snapshot.state.keep.as_deref());
    let web = chosen.web(own);
    let (now, before) = (finished(part, &web, route.unit), finished(part, own, route.unit));
    (now != before).then(|| sizes_words(&now, route.unit))
}

/// How far the pieces of an article have come.
pub(super) fn pieces_words(session: &Session, article: u32) -> String {
    let state = &session.snapshot.state;
    let own: Vec<_> = state.pieces.iter().filter(|p| p.label.set == Some(article)).collect();
    let aside = own.iter().filter(|piece| piece.aside.is_some()).count();
    let last = |op: &&std::sync::Arc<PlannedOperation>| {
        own.iter().any(|piece| state.is_done(op.op, &piece.id))
    };
    let at = session.snapshot.plan.operations.iter().rev().find(last);
    let at = at.map_or_else(
        || "nothing cut yet".to_owned(),
        |op| format!("has come to op {} ({} {})", op.op, op.kind, op.part),
    );
    match aside {
        0 => at,
        n => format!("{at}, {n} of its pieces set aside"),
    }
}
