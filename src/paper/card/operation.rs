//! One operation on a card: a box that no sheet divides. Pieces that are set otherwise
//! than others get boxes of their own below it.

use maud::{Markup, html};

use super::CardInput;
use super::readings::{blanks, checks, more_boxes};
use super::setting::{dials, passes};
use super::shown::ShownGroup;
use crate::paper::code::code;
use crate::paper::drawing::{SheetRoom, figure};
use crate::plan::PlannedOperation;
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

/// The boxes of an operation: one, or one more for each group where pieces differ. What
/// holds for all groups stands in the first, and the rest in their own.
pub(super) fn operation_boxes(card: &CardInput, planned: &PlannedOperation) -> Markup {
    let groups = ShownGroup::of(card, planned);
    let Some(first) = groups.first() else { return html! {} };
    let count = groups.iter().map(|shown| shown.places.len()).sum();
    let said: Vec<Vec<HowLine>> = groups.iter().map(|shown| said(card, planned, shown)).collect();
    let is_common = |line: &&HowLine| said.iter().all(|lines| lines.contains(line));
    let common: Vec<HowLine> = said[0].iter().filter(is_common).cloned().collect();
    let is_alone = planned.groups.len() == 1;
    let own = |lines: &[HowLine]| -> Vec<HowLine> {
        lines.iter().filter(|line| !common.contains(line)).cloned().collect()
    };
    html! {
        article.operation {
            (head(card, planned, count))
            (main_caution(planned))
            (planned_note(card, planned))
            @if is_alone { (numbers(card, planned, first)) }
            (instructions(&common, is_alone && is_set(first)))
            (findings(planned))
            @if is_alone { (checks(card, planned, first)) }
            (more_cautions(planned))
            @if is_alone { (blanks(first.group, count)) }
        }
        @if is_alone { (more_boxes(card, planned, first)) } @else {
            @for (shown, lines) in groups.iter().zip(&said) {
                article.operation.of-some {
                    h3 {
                        "Op " (planned.op) ", for " (planned.named(&shown.places))
                        (owners(card, planned, shown))
                    }
                    (numbers(card, planned, shown))
                    (instructions(&own(lines), is_set(shown)))
                    (checks(card, planned, shown))
                    (blanks(shown.group, shown.places.len()))
                }
                (more_boxes(card, planned, shown))
            }
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
    let named = PaperCode::of(batch, Some(planned.op), only.map(|piece| &piece.id));
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

/// One line of how it is done.
#[derive(Clone, PartialEq)]
struct HowLine {
    text: String,
    /// Whether it says where along the piece.
    is_place: bool,
}

/// How it is done: what the traveler says while pieces are cut, and what is waited for.
fn said(card: &CardInput, planned: &PlannedOperation, shown: &ShownGroup) -> Vec<HowLine> {
    let outcome = &shown.group.outcome;
    let places = outcome.places.iter().map(|text| (text.clone(), true));
    let lines = while_cutting(planned, shown.group, card.route.unit).into_iter();
    let wait = outcome.wait.iter();
    let wait =
        wait.map(|wait| format!("Then wait {} for {}.", long(wait.minutes.into()), wait.what));
    let lines = lines.chain(wait).map(|text| (text, false));
    places.chain(lines).map(|(text, is_place)| HowLine { text, is_place }).collect()
}

/// Whether anything is set for these pieces.
fn is_set(shown: &ShownGroup) -> bool {
    let outcome = &shown.group.outcome;
    !(outcome.settings.is_empty() && outcome.passes.is_empty())
}

/// Many lines stand in two columns; with nothing to set they stand beside the drawing.
fn instructions(lines: &[HowLine], is_set: bool) -> Markup {
    let is_long = is_set && lines.len() > MANY_LINES;
    html! {
        @if !lines.is_empty() {
            ul.how.many[is_long] {
                @for line in lines { li.place[line.is_place] { (line.text) } }
            }
        }
    }
}

/// What an inspector would say of it.
fn findings(planned: &PlannedOperation) -> Markup {
    html! {
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
