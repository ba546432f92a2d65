//! What is measured, and where people write: a ruled box for each reading, boxes for
//! strokes, and blanks for date, initials and what was dialled.

use maud::{Markup, html};

use super::CardInput;
use super::operation::ShownGroup;
use crate::operation::scale_name;
use crate::plan::{Group, PlannedCheck, PlannedOperation};
use crate::route::{PieceLabel, Role};
use crate::work::limits_words;

/// Readings in the box of the operation itself; more get boxes of their own, so that
/// none is larger than a sheet.
const IN_THE_BOX: usize = 48;
const IN_ANOTHER_BOX: usize = 120;
/// As many tally boxes as stand in two rows.
const TALLY_BOXES: usize = 24;

/// Every check of a group with its limits, and boxes for its readings.
pub(super) fn checks(card: &CardInput, planned: &PlannedOperation, shown: &ShownGroup) -> Markup {
    html! {
        @for n in 0..planned.checks.len() {
            div.check {
                (check_words(card, planned, shown.group, n))
                (boxes(card, &measured(planned, &planned.checks[n], shown), 0..IN_THE_BOX))
            }
        }
    }
}

/// Boxes for the readings that the operation's own box has no room for.
pub(super) fn more_boxes(
    card: &CardInput,
    planned: &PlannedOperation,
    shown: &ShownGroup,
) -> Markup {
    html! {
        @for check in &planned.checks {
            @let pieces = measured(planned, check, shown);
            @for from in (IN_THE_BOX..pieces.len()).step_by(IN_ANOTHER_BOX) {
                article.operation.of-some {
                    h3 { "Op " (planned.op) ", " (check.of) ", continued" }
                    (boxes(card, &pieces, from..from + IN_ANOTHER_BOX))
                }
            }
        }
    }
}

fn check_words(card: &CardInput, planned: &PlannedOperation, group: &Group, n: usize) -> Markup {
    let check = &planned.checks[n];
    let gauge = card.shop.gauges.get(&check.gauge);
    let limits = group.limits.get(n);
    let words = limits.map(|limits| limits_words(&limits.limits, gauge, card.route.unit));
    html! {
        p.limits {
            (check.of) " " strong { (words.unwrap_or_default()) }
            span.gauge { (check.gauge) }
        }
        p.where {
            "Measure: " (check.pieces.words()) "."
            @if let Some(place) = &check.place { " Where: " (place) "." }
            @if let Some(becomes) = &check.becomes { " The readings become " (becomes.dim) "." }
        }
    }
}

/// The pieces of a group that a check wants, setup pieces too.
fn measured<'a>(
    planned: &'a PlannedOperation,
    check: &PlannedCheck,
    shown: &ShownGroup,
) -> Vec<&'a PieceLabel> {
    let is_setup = |place: usize| planned.pieces[place].role == Role::Setup;
    let count = (0..planned.pieces.len()).filter(|place| !is_setup(*place)).count();
    let mut at = 0;
    let position: Vec<usize> = (0..planned.pieces.len())
        .map(|place| {
            at += usize::from(!is_setup(place));
            at
        })
        .collect();
    let is_first = |place: usize| shown.places.first() == Some(&place);
    let wants = |place: &&usize| {
        is_setup(**place) || is_first(**place) || check.pieces.wants(position[**place], count)
    };
    shown.places.iter().filter(wants).map(|place| &planned.pieces[*place]).collect()
}

fn boxes(card: &CardInput, pieces: &[&PieceLabel], wanted: std::ops::Range<usize>) -> Markup {
    let shown = pieces.iter().skip(wanted.start).take(wanted.len());
    html! {
        div.boxes {
            @for piece in shown { div.box { span { (box_name(card, piece)) } } }
        }
    }
}

/// `12`, `49 spare`, `setup 1`, `12 AB`, and its hand where it has one.
fn box_name(card: &CardInput, piece: &PieceLabel) -> String {
    let mut name = match piece.role {
        Role::Set | Role::Blank => piece.number.to_string(),
        Role::Spare => format!("{} spare", piece.number),
        Role::Setup => format!("setup {}", piece.number),
    };
    for more in [card.owner_of(piece), piece.hand.as_deref()].into_iter().flatten() {
        name.push(' ');
        name.push_str(more);
    }
    name
}

/// Boxes for strokes, and blanks.
pub(super) fn blanks(group: &Group, count: usize) -> Markup {
    let (each, boxes) = tally(count);
    let set = group.outcome.settings.iter().filter(|set| set.is_confirmed && !set.by_passes);
    html! {
        div.tally {
            span.tally-name { "Tally, " (each) " to a box" }
            @for n in 1..=boxes { span.stroke { (count.min(n * each)) } }
        }
        div.blanks {
            @for setting in set { span { (scale_name(&setting.name)) " dialled" i {} } }
            span { "date" i {} }
            span { "initials" i {} }
            span { "done" i {} }
            span { "set aside" i {} }
        }
    }
}

/// How many strokes a box takes, and how many boxes there are.
fn tally(count: usize) -> (usize, usize) {
    let sizes = [5, 10, 25, 50, 100, 250, 500];
    let each = sizes.into_iter().find(|each| count.div_ceil(*each) <= TALLY_BOXES).unwrap_or(1000);
    (each, count.div_ceil(each))
}
