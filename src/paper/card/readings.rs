//! What is measured, and where people write: a ruled box for each reading, boxes for
//! strokes, and blanks for date, initials and what was dialled.

use maud::{Markup, html};

use super::CardInput;
use super::shown::ShownGroup;
use crate::operation::scale_name;
use crate::plan::{Group, PlannedCheck, PlannedOperation};
use crate::route::{PieceLabel, Role};
use crate::work::limits_words;

/// Rows of readings in a box of their own, so that none is larger than a sheet.
const ROWS_OF_ANOTHER_BOX: usize = 15;
/// Boxes for readings in a row, and where their names are longer than one line takes.
const IN_A_ROW: usize = 8;
const IN_A_ROW_IF_LONG: usize = 4;
/// More letters than these don't go on one line of a box.
const LONG_NAME: usize = 14;
/// As many tally boxes as stand in a row.
const TALLY_BOXES: usize = 12;

/// How many rows of boxes for readings an operation's own box has room for, so that it fits a
/// sheet: from what its other lines take in millimetres, roughly.
fn room_left(planned: &PlannedOperation, group: &Group) -> usize {
    const SHEET: usize = 245;
    let outcome = &group.outcome;
    let lines = |texts: &[String], letters: usize| -> usize {
        texts.iter().map(|text| 1 + text.len() / letters).sum()
    };
    let pictures = outcome.passes.iter().filter(|pass| pass.drawing.is_some()).count();
    let how = [outcome.steps.as_slice(), &outcome.places].concat();
    let note = planned.note.as_ref().map_or(0, |note| 1 + note.len() / 50);
    let numbers = outcome.passes.len() * 9 + 12 * outcome.settings.len();
    let taken = 62
        + numbers.max(48)
        + pictures.div_ceil(3) * 42
        + (lines(&how, 50) + note + outcome.facts.len()) * 22 / 10
        + lines(&planned.cautions, 100) * 3
        + planned.checks.len() * 12;
    SHEET.saturating_sub(taken) / 10
}

/// What is measured of a check, and whether the operation's own box has room for it.
struct ReadingBoxes<'a> {
    check: usize,
    pieces: Vec<&'a PieceLabel>,
    across: usize,
    fits: bool,
}

/// The checks of a group. One whose readings have no room left in the operation's box gets
/// a box of its own.
fn rows<'a>(
    card: &CardInput,
    planned: &'a PlannedOperation,
    shown: &ShownGroup,
) -> Vec<ReadingBoxes<'a>> {
    let mut left = room_left(planned, shown.group);
    let row = |(check, of): (usize, &PlannedCheck)| {
        let pieces = measured(card, planned, of, shown);
        let across = boxes_in_a_row(card, &pieces);
        let rows = pieces.len().div_ceil(across);
        let fits = rows <= left;
        left -= if fits { rows } else { 0 };
        ReadingBoxes { check, pieces, across, fits }
    };
    planned.checks.iter().enumerate().map(row).collect()
}

/// Every check of a group with its limits, and boxes for its readings where there is room.
pub(super) fn checks(card: &CardInput, planned: &PlannedOperation, shown: &ShownGroup) -> Markup {
    html! {
        @for row in rows(card, planned, shown) {
            div.check {
                (check_words(card, planned, shown.group, row.check))
                @if row.fits { (boxes(card, &row.pieces, row.across)) }
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
        @for row in rows(card, planned, shown).iter().filter(|row| !row.fits) {
            @for pieces in row.pieces.chunks(row.across * ROWS_OF_ANOTHER_BOX) {
                article.operation.of-some {
                    h3 { "Op " (planned.op) " " (planned.kind.name()) ", readings" }
                    (check_words(card, planned, shown.group, row.check))
                    (boxes(card, pieces, row.across))
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

/// The pieces of a group that a check wants, in cut order: the setup piece, and the first
/// of all that are set alike, whatever it wants.
fn measured<'a>(
    card: &CardInput,
    planned: &'a PlannedOperation,
    check: &PlannedCheck,
    shown: &ShownGroup,
) -> Vec<&'a PieceLabel> {
    let is_setup = |place: &usize| planned.pieces[*place].role == Role::Setup;
    let order = cut_order(card, planned);
    let (setup, counted): (Vec<usize>, Vec<usize>) = order.into_iter().partition(is_setup);
    let own = |place: &&usize| shown.places.binary_search(place).is_ok();
    let first = counted.iter().find(own);
    let wanted = counted.iter().enumerate().filter(|(n, place)| {
        own(place) && (first == Some(*place) || check.pieces.wants(n + 1, counted.len()))
    });
    let all = setup.iter().filter(own).chain(wanted.map(|(_, place)| place));
    all.map(|place| &planned.pieces[*place]).collect()
}

/// The places of an operation's pieces as they are cut: where left and right differ, all
/// of one hand before the next.
fn cut_order(card: &CardInput, planned: &PlannedOperation) -> Vec<usize> {
    let step = card.route.step(planned.op).filter(|step| step.what.is_handed());
    let part = step.and_then(|step| card.route.part(&step.part));
    let hands = part.map_or(&[][..], |part| part.hands.as_slice());
    let rank = |place: &usize| {
        let hand = planned.pieces[*place].hand.as_ref();
        hand.and_then(|hand| hands.iter().position(|held| held == hand)).unwrap_or(hands.len())
    };
    let mut places: Vec<usize> = (0..planned.pieces.len()).collect();
    places.sort_by_key(rank);
    places
}

/// Fewer where names are long, so that there is room below them to write.
fn boxes_in_a_row(card: &CardInput, pieces: &[&PieceLabel]) -> usize {
    let is_long = pieces.iter().any(|piece| box_name(card, piece).chars().count() > LONG_NAME);
    if is_long { IN_A_ROW_IF_LONG } else { IN_A_ROW }
}

fn boxes(card: &CardInput, pieces: &[&PieceLabel], across: usize) -> Markup {
    html! {
        div.boxes.long-names[across < IN_A_ROW] {
            @for piece in pieces { div.box { span { (box_name(card, piece)) } } }
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
        div.blanks {
            div.tally {
                span.tally-name { "Tally, " (each) " to a box" }
                @for n in 1..=boxes { span.stroke { (count.min(n * each)) } }
            }
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
