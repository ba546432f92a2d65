//! The end of the review sheet: who answered for what, readings that count no more, notes, and
//! the seals.

use maud::{Markup, html};

use crate::review::BatchReview;

/// Everything on record about people, in the order of the command.
pub(super) fn records(review: &BatchReview<'_>) -> Markup {
    let (state, unit) = (review.state, review.route.unit);
    let words = review.words.iter().map(|said| (said.op, said.words()));
    let voided = review
        .voided
        .iter()
        .map(|voided| (Some(voided.reading.taken.op), voided.words(state, unit)));
    let twice = review.twice.iter().map(|twice| (Some(twice.one.taken.op), twice.words(state)));
    let notes = state.remarks.iter().map(|note| (None, state.remark_line(note)));
    let seals = review.seals.iter().map(|seal| (None, seal.words()));
    html! {
        (listed("On the lead's word", words))
        (listed("Out of limits, and voided", voided))
        (listed("Read at two stations within a minute", twice))
        (listed("Notes", notes))
        (listed("Seals", seals))
    }
}

/// A heading and its lines; nothing where there are none.
fn listed(heading: &str, lines: impl Iterator<Item = (Option<u32>, String)>) -> Markup {
    let mut lines = lines.peekable();
    html! {
        @if lines.peek().is_some() {
            h2 { (heading) }
            ul.records {
                @for (op, text) in lines {
                    li { @if let Some(op) = op { b { "op " (op) } " " } (text) }
                }
            }
        }
    }
}
