//! One operation on a card: a box that no sheet divides. Pieces that are set otherwise
//! than others get boxes of their own below it.

use maud::{Markup, html};

use super::CardInput;
use super::readings::{blanks, checks, more_boxes};
use super::setting::{dials, passes};
use super::shown::ShownGroup;
use crate::paper::code::code;
use crate::paper::drawing::{SheetRoom, figure};
use crate::plan::{Group, PlannedOperation};
use crate::prose::{Level, counted, long};
use crate::shop::DEFER;
use crate::work::{PaperCode, is_finished, while_cutting};

/// The picture of a cut beside its numbers, and of one pass, in millimetres.
const CUT: SheetRoom = SheetRoom { wide: 88.0, high: 50.0 };
const PASS: SheetRoom = SheetRoom { wide: 58.0, high: 29.0 };
/// More lines of instructions than these stand in two columns.
const MANY_LINES: usize = 7;
/// The code, with the white around it.
const CODE: u32 = 20;

/// The boxes of an operation: one, or one more for each group where pieces differ.
pub(super) fn operation_boxes(card: &CardInput, planned: &PlannedOperation) -> Markup {
    let groups = ShownGroup::of(card, planned);
    let Some(first) = groups.first() else { return html! {} };
    let count = groups.iter().map(|shown| shown.places.len()).sum();
    let (own, others) = match groups.as_slice() {
        [only] if planned.groups.len() == 1 => (Some(only), &[][..]),
        all => (None, all),
    };
    html! {
        article.operation {
            (head(card, planned, count))
            (main_caution(planned))
            (planned_note(card, planned))
            @if let Some(only) = own { (numbers(card, planned, only)) }
            (instructions(card, planned, first.group))
            @if let Some(only) = own { (checks(card, planned, only)) }
            (more_cautions(planned))
            (blanks(first.group, count))
        }
        @if let Some(only) = own { (more_boxes(card, planned, only)) }
        @for shown in others {
            article.operation.of-some {
                h3 { "Op " (planned.op) ", for " (planned.named(&shown.places)) (owners(card, planned, shown)) }
                (numbers(card, planned, shown))
                (checks(card, planned, shown))
            }
            (more_boxes(card, planned, shown))
        }
    }
}

/// `: AB, CD`, whose pieces they are.
fn owners(card: &CardInput, planned: &PlannedOperation, shown: &ShownGroup) -> String {
    let mut owners: Vec<&str> = Vec::new();
    for owner in shown.places.iter().filter_map(|place| card.owner_of(&planned.pieces[*place])) {
        if !owners.contains(&owner) {
            owners.push(owner);
        }
    }
    if owners.is_empty() { String::new() } else { format!(" ({})", owners.join(", ")) }
}

fn head(card: &CardInput, planned: &PlannedOperation, count: usize) -> Markup {
    let at: Vec<&str> = planned.at.iter().chain(&planned.tool).map(String::as_str).collect();
    let is_done = card.batch.is_some_and(|batch| is_finished(card.route, batch, planned.op));
    html! {
        header.operation-head {
            p.operation-number { (planned.op) }
            div {
                h2 { (planned.kind.name()) " " span.of-part { (planned.part) } }
                p.machine { (at.join(", ")) }
                p.count { (counted(count, "piece")) @if is_done { ", " strong { "finished" } } }
            }
            (operation_code(card, planned))
        }
    }
}

/// The code that names batch, operation and, where there is only one, the piece.
fn operation_code(card: &CardInput, planned: &PlannedOperation) -> Markup {
    let Some(batch) = card.batch else { return html! {} };
    let mut own = batch.pieces_into(&planned.part, planned.op);
    let only = own.next().filter(|_| own.next().is_none());
    let named = PaperCode {
        batch: batch.id.map_or_else(|| batch.batch.clone(), |id| id.to_string()),
        op: Some(planned.op),
        piece: only.map(|piece| piece.id.0.to_string()),
    };
    let said = format!("Code of operation {}", planned.op);
    html! { @if let Some(code) = code(&named.to_string(), CODE, &said) { (code) } }
}

/// That the numbers are planned, as long as sizes they follow aren't measured.
fn planned_note(card: &CardInput, planned: &PlannedOperation) -> Markup {
    let made = &card.plan.known().made;
    let open = planned.needs.iter().filter(|need| !made.iter().any(|made| made.dim == need.dim));
    let open: Vec<_> = open.collect();
    let Some(last) = open.iter().map(|need| need.op).max() else { return html! {} };
    let named = open.iter().map(|need| format!("{} (measured at op {})", need.dim, need.op));
    let named: Vec<String> = named.collect();
    html! {
        p.planned {
            strong { "Planned." } " These numbers follow " (named.join(", ")) ". After op " (last)
            " dial again from the screen, and write here what it says."
        }
    }
}

/// What is set, and the picture of the cut.
fn numbers(card: &CardInput, planned: &PlannedOperation, shown: &ShownGroup) -> Markup {
    let outcome = &shown.group.outcome;
    let unit = card.route.unit;
    let of_passes = outcome.passes.iter().filter_map(|pass| {
        let drawing = pass.drawing.as_ref().filter(|drawing| **drawing != outcome.drawing)?;
        Some((pass.number, figure(drawing, PASS)?))
    });
    let of_passes: Vec<_> = of_passes.collect();
    html! {
        @if let Some(cut) = figure(&outcome.drawing, CUT) { (cut) }
        div.numbers {
            div.dials { (dials(&outcome.settings, unit)) }
            (passes(planned, &outcome.passes, unit))
        }
        @if !of_passes.is_empty() {
            div.pass-drawings {
                @for (number, drawing) in &of_passes { div { p { "pass " (number) } (drawing) } }
            }
        }
    }
}

/// How it is done: what the traveler says while pieces are cut.
fn instructions(card: &CardInput, planned: &PlannedOperation, group: &Group) -> Markup {
    let said = while_cutting(planned, group, card.route.unit);
    let wait = group.outcome.wait.as_ref();
    // With nothing to set they stand beside the drawing.
    let is_set = !(group.outcome.settings.is_empty() && group.outcome.passes.is_empty());
    let is_long = is_set && said.len() > MANY_LINES;
    html! {
        @if !(said.is_empty() && group.outcome.places.is_empty() && wait.is_none()) {
            ul.how.many[is_long] {
                @for place in &group.outcome.places { li.place { (place) } }
                @for line in &said { li { (line) } }
                @if let Some(wait) = wait {
                    li { "Then wait " (long(wait.minutes.into())) " for " (wait.what) "." }
                }
            }
        }
        @for finding in planned.findings.iter().filter(|finding| finding.level != Level::Note) {
            p.finding {
                strong { (finding.level) ": " } (finding.what)
                @if let Some(help) = &finding.help { " (" (help) ")" }
            }
        }
    }
}

/// The caution that matters most, before anything is set.
fn main_caution(planned: &PlannedOperation) -> Markup {
    let Some(main) = planned.cautions.first() else { return html! {} };
    html! { p.caution { strong { "Caution" } (main) } }
}

/// The others, and whose word comes first.
fn more_cautions(planned: &PlannedOperation) -> Markup {
    let Some((_, others)) = planned.cautions.split_first() else { return html! {} };
    html! { p.more-cautions { @for other in others { (other) " " } (DEFER) } }
}
