//! The route card: for each part its operations in order, a box each, to be hung at the
//! machine and written on. It says what the traveler and `settings` say, from the same
//! plan and in the same words.

mod operation;
mod readings;
mod setting;
mod shown;

use maud::{Markup, html};

use self::operation::operation_boxes;
use super::page::Page;
use super::part::part_figure;
use crate::journal::State;
use crate::measure::Unit;
use crate::plan::{Plan, PlannedOperation, part_so_far};
use crate::prose::{capital, counted};
use crate::route::{Part, PieceLabel, Role, Route};
use crate::shop::{DEFER, Shop};

/// Across a sheet of either size, within its margins, in millimetres.
const ACROSS: f64 = 184.0;

/// What the pictures of a card mean; each says it in grey too.
const LEGEND: &str = "Drawings: wood white, waste hatched, cutter black, fence or table grey, \
a flaw crossed; two black points show where to measure.";

/// What a card is printed from.
#[derive(Clone, Debug)]
pub struct CardInput<'a> {
    /// The route, as large as its batch.
    pub route: &'a Route,
    /// The shop.
    pub shop: &'a Shop,
    /// The plan with everything known so far.
    pub plan: &'a Plan,
    /// How far the batch has come, where one is under way.
    pub batch: Option<&'a State>,
    /// Whose each article is, from the first on; empty where nobody said.
    pub owners: &'a [Option<String>],
    /// The one part that is wanted.
    pub part: Option<&'a str>,
    /// The one owner whose articles are wanted.
    pub owner: Option<&'a str>,
}

impl CardInput<'_> {
    /// Whose a piece is.
    fn owner_of(&self, piece: &PieceLabel) -> Option<&str> {
        let article = piece.set?.checked_sub(1)? as usize;
        self.owners.get(article)?.as_deref()
    }

    /// Whether a piece is on the card.
    fn shows(&self, piece: &PieceLabel) -> bool {
        self.owner.is_none_or(|owner| self.owner_of(piece) == Some(owner))
    }
}

/// The card of a route or batch, part after part.
pub fn route_card(card: &CardInput) -> Page {
    let of = card.batch.map_or(card.route.name.as_str(), |batch| batch.batch.as_str());
    let limited = [card.part, card.owner].into_iter().flatten().map(|only| format!(", {only}"));
    let title = format!("Route card {of}{}", limited.collect::<String>());
    let wanted = |part: &&Part| card.part.is_none_or(|only| only == part.name);
    let body = html! {
        @for part in card.route.parts.iter().filter(wanted) { (part_section(card, part)) }
    };
    Page { title, style: include_str!("card.css"), body, refresh: None }
}

fn part_section(card: &CardInput, part: &Part) -> Markup {
    let own = card.plan.operations.iter().filter(|planned| planned.part == part.name);
    let own: Vec<&PlannedOperation> = own.map(AsRef::as_ref).collect();
    let pieces: Vec<PieceLabel> = match own.first() {
        Some(planned) => planned.pieces.iter().filter(|piece| card.shows(piece)).cloned().collect(),
        None => Vec::new(),
    };
    let drawn = pieces.first().and_then(|piece| {
        let name = match card.owner_of(piece) {
            Some(owner) => format!("{piece} ({owner})"),
            None => piece.to_string(),
        };
        Some((name, part_so_far(card.route, card.plan, piece, |_| true)?))
    });
    html! {
        section.card-part {
            (part_head(card, part, &pieces))
            @if let Some((name, so_far)) = drawn {
                (part_figure(&so_far, &name, card.route.unit, ACROSS))
            }
            @for planned in own { (operation_boxes(card, planned)) }
        }
    }
}

fn part_head(card: &CardInput, part: &Part, pieces: &[PieceLabel]) -> Markup {
    let row = |name: &str, what: Option<String>| {
        html! {
            @if let Some(what) = what { div { dt { (name) } dd { (what) } } }
        }
    };
    let assembled = (!part.assembled_from.is_empty()).then(|| part.assembled_from.join(", "));
    html! {
        header.card-head {
            div {
                p.card-kind { "Route card" }
                h1 { (capital(&part.name)) }
                @if let Some(about) = &part.about { p.card-about { (about) } }
            }
            dl {
                (row("Route", Some(card.route.name.clone())))
                (row("Batch", card.batch.map(|batch| batch.batch.clone())))
                (row("Owner", card.owner.map(str::to_owned)))
                (row("Pieces", Some(pieces_words(card, pieces))))
                (row("Wood", wood_words(card, part)))
                (row("From", assembled))
                (row("Sizes", Some(unit_words(card.route.unit).to_owned())))
                (row("Shop", Some(card.shop.name.clone())))
            }
        }
        @if card.batch.is_some_and(|batch| batch.invented) {
            p.card-defer { "Invented for practice: nobody cut or measured anything." }
        }
        p.card-defer { (DEFER) }
        p.card-legend { (LEGEND) }
    }
}

const fn unit_words(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "in inches",
        Unit::Millimetre => "in millimetres",
    }
}

/// `53: 48 for 12 stools, 4 spares, 1 setup piece`.
fn pieces_words(card: &CardInput, pieces: &[PieceLabel]) -> String {
    let count = |role: Role| pieces.iter().filter(|piece| piece.role == role).count();
    let mut articles: Vec<u32> = pieces.iter().filter_map(|piece| piece.set).collect();
    articles.dedup();
    let articles = u32::try_from(articles.len()).unwrap_or(u32::MAX);
    let made = format!("{} for {}", count(Role::Set), card.route.article.counted(articles));
    let other = [(Role::Spare, "spare"), (Role::Setup, "setup piece")];
    let other = other.into_iter().map(|(role, noun)| (count(role), noun));
    let other = other.filter(|(count, _)| *count > 0).map(|(n, noun)| counted(n, noun));
    let all: Vec<String> = std::iter::once(made).chain(other).collect();
    format!("{}: {}", pieces.len(), all.join(", "))
}

/// `ash, from 8/4`; that each maker chose one, where the route leaves it to them.
fn wood_words(card: &CardInput, part: &Part) -> Option<String> {
    let wood = match (&part.species, &card.route.woods) {
        (Some(species), _) => species.clone(),
        (None, Some(_)) if part.stock_class.is_some() => "as each maker chose".to_owned(),
        (None, _) => return part.stock_class.clone(),
    };
    Some(match &part.stock_class {
        Some(class) => format!("{wood}, from {class}"),
        None => wood,
    })
}

#[cfg(test)]
mod tests;
