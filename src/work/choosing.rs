//! Whose each article is and what its maker chooses: until when it can change, and what
//! an entry about it leads to.

use std::collections::BTreeSet;

use super::context::WorkContext;
use super::refusal::{initials_and_why, refusal};
use crate::journal::{Event, NewPiece, Piece, PieceId, SetupState, missing_blanks};
use crate::measure::Unit;
use crate::operation::FeatureName;
use crate::plan::{Group, Known, Plan, compare, walk};
use crate::prose::{Message, quoted, visible};
use crate::route::{Chosen, OwnedArticle, Route, Step};
use crate::shop::Shop;

/// A wood that the shop doesn't stock can't be chosen: nobody knows its price or when it
/// comes. A shop that lists no woods stocks what it is asked for.
pub fn objection(route: &Route, shop: &Shop, chosen: &Chosen) -> Option<Message> {
    if let Some(why) = chosen.objection(route) {
        return Some(why);
    }
    let wood = chosen.wood.as_ref()?;
    let stocked = &shop.lumber.woods;
    (!stocked.is_empty() && !stocked.contains_key(wood)).then(|| {
        let names: Vec<&str> = stocked.keys().map(String::as_str).collect();
        let help = format!("it stocks {}", names.join(", "));
        Message::error(format!("this shop doesn't stock {}", visible(wood))).help(help)
    })
}

/// Why articles can't be made as they are chosen on these machines: what is wrong with
/// the plan of all of them and not with the route's own. None where all can.
pub fn cannot_be_made(route: &Route, shop: &Shop, articles: &[OwnedArticle]) -> Option<Message> {
    let own = walk(route, shop, &Known::default());
    let known = Known { articles: chosen_of(articles), ..Known::default() };
    first_collision(&own, &walk(route, shop, &known), route.unit)
}

/// The first thing that is wrong with a plan and not with the one before it, with its
/// operation.
pub(super) fn first_collision(before: &Plan, after: &Plan, unit: Unit) -> Option<Message> {
    let (collisions, ..) = compare(before, after, unit);
    let first = collisions.into_iter().next()?;
    let what = format!("op {}: {}", first.place, first.what);
    Some(Message::error(what).maybe_help(first.help))
}

fn chosen_of(articles: &[OwnedArticle]) -> std::sync::Arc<[Chosen]> {
    articles.iter().map(|article| article.chosen.clone()).collect()
}

/// The first cut that depends on a dimension, by its operation: until then it can be
/// chosen anew. None where nothing is cut to it.
pub fn first_cut<'r>(route: &'r Route, dim: &str) -> Option<&'r Step> {
    let uses = |name: &str| name == dim || route.dims.depends_on(name, dim);
    let cuts = |step: &&Step| !step.what.takes_wood_off().is_empty();
    let mut steps = route.steps.iter().filter(cuts);
    steps.find(|step| step.names().any(uses))
}

/// The first cut into the wood that is chosen.
pub fn first_cut_of_wood(route: &Route) -> Option<&Step> {
    let of_wood = |step: &&Step| {
        route.part(&step.part).is_some_and(|part| route.is_in_chosen_wood(part))
            && !step.what.takes_wood_off().is_empty()
    };
    route.steps.iter().find(of_wood)
}

/// Takes in whose an article is and what was chosen, or says why it is too late.
pub fn choose(
    context: &WorkContext<'_>,
    article: u32,
    now: OwnedArticle,
) -> Result<Vec<Event>, Message> {
    let state = context.state;
    let noun = &context.route.article.one;
    if !(1..=state.article_count()).contains(&article) {
        let what = format!("there is no {noun} {article} in this batch");
        return Err(Message::error(what));
    }
    owned_by_another(context, article, now.owner.as_deref())?;
    if let Some(why) = objection(context.route, context.shop, &now.chosen) {
        return Err(why);
    }
    let chosen = state.chosen(article);
    let pieces = match chosen == now.chosen {
        true => Vec::new(),
        false => comes_in_time(context, article, &now.chosen)?,
    };
    if chosen == now.chosen && state.owner(article) == now.owner.as_deref() {
        return Ok(Vec::new());
    }
    Ok(vec![Event::Chosen { article, owner: now.owner, chosen: now.chosen, pieces }])
}

fn owned_by_another(
    context: &WorkContext<'_>,
    article: u32,
    owner: Option<&str>,
) -> Result<(), Message> {
    let Some(owner) = owner else { return Ok(()) };
    let same = |other: &u32| {
        let held = context.state.owner(*other);
        *other != article && held.is_some_and(|held| held.to_lowercase() == owner.to_lowercase())
    };
    match (1..=context.state.article_count()).find(same) {
        None => Ok(()),
        Some(other) => {
            let noun = &context.route.article.one;
            Err(refusal(
                format!("{} owns {noun} {other} already", quoted(owner)),
                "add a number or a surname where two people have one name",
            ))
        }
    }
}

/// The lengths that come in with a choice. Refuses what would change a piece that is cut, a
/// scale that is set for it, or a length that holds pieces of others; and what these
/// machines can't make.
fn comes_in_time(
    context: &WorkContext<'_>,
    article: u32,
    chosen: &Chosen,
) -> Result<Vec<NewPiece>, Message> {
    let before = context.state.known();
    let mut articles: Vec<Chosen> = before.articles.to_vec();
    articles.resize(context.state.article_count() as usize, Chosen::default());
    articles[article as usize - 1] = chosen.clone();
    let after = Known { articles: articles.into(), ..before.clone() };
    let plan = walk(context.route, context.shop, &after);
    let noun = &context.route.article.one;
    for (op, setup) in &context.state.setups {
        let begun: Vec<&Piece> = begun_pieces(context, *op, setup).collect();
        let differs = |piece: &&&Piece| {
            let label = &piece.label;
            let part = context.route.part(&label.part);
            let wood = |known: &Known| {
                part.and_then(|part| context.route.wood_of_piece(part, label, known))
                    .map(str::to_owned)
            };
            is_cut_otherwise(context.plan, &plan, *op, piece) || wood(&before) != wood(&after)
        };
        if let Some(piece) = begun.iter().find(differs) {
            let (kind, whose) = match context.route.step(*op) {
                Some(step) => (step.kind.to_string(), piece.label.set),
                None => (String::new(), None),
            };
            let done = if context.state.is_done(*op, &piece.id) { "is cut" } else { "is set up" };
            let of = whose
                .filter(|set| *set != article)
                .map_or_else(String::new, |set| format!(" of {noun} {set}"));
            let what = format!(
                "too late: {}{of} {done} at op {op} ({kind}), and this would change it",
                piece.label
            );
            return Err(refusal(what, "keep what was chosen, or remake the pieces"));
        }
    }
    let born = blanks_born(context, &before, &after)?;
    match first_collision(context.plan, &plan, context.route.unit) {
        None => Ok(born),
        Some(why) => Err(why),
    }
}

/// The pieces that went through any of an operation, or that a scale is set for.
fn begun_pieces<'a>(
    context: &WorkContext<'a>,
    op: u32,
    setup: &'a SetupState,
) -> impl Iterator<Item = &'a Piece> {
    let named: BTreeSet<&PieceId> = setup.shown.iter().flat_map(|shown| &shown.pieces).collect();
    let part = context.route.step(op).map(|step| &step.part);
    let is_for_all = setup.shown.iter().any(|shown| shown.pieces.is_empty());
    let is_begun = move |piece: &&Piece| {
        context.state.is_done(op, &piece.id)
            || setup.passes.values().any(|pass| pass.contains(piece.place))
            || named.contains(&piece.id)
            || (is_for_all && part == Some(&piece.label.part))
    };
    context.state.pieces.iter().filter(is_begun)
}

fn is_cut_otherwise(before: &Plan, after: &Plan, op: u32, piece: &Piece) -> bool {
    let of = |plan: &Plan| -> Option<(Group, usize)> {
        let planned = plan.operation(op)?;
        let group = planned.group_index(&piece.label)?;
        let place = planned.pieces.iter().position(|label| *label == piece.label);
        let group = planned.groups[group].clone();
        let place = place.unwrap_or(group.pieces[0]);
        Some((group, place))
    };
    let numbers = |(group, place): (Group, usize)| {
        let settings: Vec<_> = group
            .outcome
            .settings
            .iter()
            .map(|named| (named.name.clone(), named.setting.target))
            .collect();
        let passes: Vec<_> = group.outcome.passes.iter().map(|pass| pass.target).collect();
        let sizes: Vec<(FeatureName, _)> =
            group.after_of(place).sizes.clone().into_iter().collect();
        (settings, passes, sizes)
    };
    of(before).map(numbers) != of(after).map(numbers)
}

/// Lengths that hold several pieces were counted when the batch began: a wood that had no
/// spare yet brings its own.
fn blanks_born(
    context: &WorkContext<'_>,
    before: &Known,
    after: &Known,
) -> Result<Vec<NewPiece>, Message> {
    let mut born = Vec::new();
    let mut number = context.state.next_piece_number(context.station);
    for part in &context.route.parts {
        let labels = context.route.pieces(part);
        let woods = |known| -> Vec<Option<String>> {
            let wood = |label| context.route.wood_of_piece(part, label, known).map(str::to_owned);
            labels.iter().map(wood).collect()
        };
        if woods(before) == woods(after) {
            continue;
        }
        let Some(missing) = missing_blanks(context.route, context.state, part, after) else {
            let what = format!(
                "too late: the lengths of `{}` hold pieces of several {}",
                visible(&part.name),
                context.route.article.many
            );
            return Err(refusal(what, "wood is chosen before a batch with such lengths begins"));
        };
        for (label, gang) in missing {
            born.push(NewPiece { id: PieceId::new(context.station, number), label, gang });
            number += 1;
        }
    }
    Ok(born)
}

/// One more article, for somebody who joins late.
pub fn join(context: &WorkContext<'_>, now: OwnedArticle) -> Result<Vec<Event>, Message> {
    owned_by_another(context, 0, now.owner.as_deref())?;
    if let Some(why) = objection(context.route, context.shop, &now.chosen) {
        return Err(why);
    }
    let article = context.state.article_count() + 1;
    let mut number = context.state.next_piece_number(context.station);
    let mut pieces = Vec::new();
    for part in &context.route.parts {
        for label in context.route.late_pieces(part, article) {
            pieces.push(NewPiece { id: PieceId::new(context.station, number), label, gang: 1 });
            number += 1;
        }
    }
    let mut articles = context.state.known().articles.to_vec();
    articles.resize(article as usize - 1, Chosen::default());
    articles.push(now.chosen.clone());
    let known = Known { articles: articles.into(), ..context.state.known() };
    let after = walk(context.route, context.shop, &known);
    if let Some(why) = first_collision(context.plan, &after, context.route.unit) {
        return Err(why);
    }
    Ok(vec![Event::Joined { article, owner: now.owner, chosen: now.chosen, pieces }])
}

/// Somebody leaves: on the lead's word, `MB moved away`, what was theirs becomes spares
/// or is set aside.
pub fn owner_leaves(
    context: &WorkContext<'_>,
    article: u32,
    spares: bool,
    word: &str,
) -> Result<Vec<Event>, Message> {
    let noun = &context.route.article.one;
    let record = context.state.articles.get((article as usize).wrapping_sub(1));
    if !(1..=context.state.article_count()).contains(&article) {
        return Err(Message::error(format!("there is no {noun} {article} in this batch")));
    }
    if record.is_some_and(|record| record.has_left) {
        return Err(Message::error(format!("the owner of {noun} {article} left already")));
    }
    let (by, why) = initials_and_why(context, word)?;
    Ok(vec![Event::OwnerLeft { article, by, why, spares }])
}

/// Whose pieces these are: each article with its owner and how many of them it has.
pub fn owners_of<'a>(
    context: &WorkContext<'a>,
    pieces: impl Iterator<Item = &'a Piece>,
) -> Vec<(u32, Option<&'a str>, usize)> {
    let mut owners: Vec<(u32, Option<&str>, usize)> = Vec::new();
    for set in pieces.filter_map(|piece| piece.label.set) {
        match owners.iter_mut().find(|(held, ..)| *held == set) {
            Some((.., count)) => *count += 1,
            None => owners.push((set, context.state.owner(set), 1)),
        }
    }
    owners.sort_unstable();
    owners
}
