//! Where a piece is on its board, and what blanks are called there.

use crate::journal::{LaidBlank, LaidSection, PieceId, State};
use crate::measure::{Length, Unit};
use crate::route::{PieceLabel, Role};
use crate::stock::{Stretch, piece_list};
use crate::work::WorkContext;

/// A size on a tape: without its unit, for that is the route's.
pub(super) fn figures(length: Length, unit: Unit) -> String {
    match unit {
        Unit::Inch => {
            let (text, rest) = length.fraction(64);
            if rest.is_zero() { text } else { length.decimal(unit, 3) }
        }
        Unit::Millimetre => {
            let text = length.decimal(unit, 1);
            text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
        }
    }
}

/// `board 2, from 20 1/4 to 39 3/8 in`: where a piece is, for whoever cuts it.
pub(in crate::tui) fn place_on_board(state: &State, unit: Unit, piece: &PieceId) -> Option<String> {
    let from = state.board_of(piece)?;
    let Stretch { from: near, to: far } = from.along;
    Some(format!(
        "board {}, from {} to {} {}",
        from.board.is.name,
        figures(near, unit),
        figures(far, unit),
        unit.sign()
    ))
}

/// What a blank is called on its board: `leg 3`.
pub(super) fn short_name(context: &WorkContext<'_>, blank: &LaidBlank) -> String {
    let first = blank.pieces.first().and_then(|piece| context.state.piece(piece));
    match first.map(|piece| &piece.label) {
        Some(label) if label.role == Role::Set => format!("{} {}", label.part, label.number),
        Some(label) => label.to_string(),
        None => blank.part.clone(),
    }
}

/// What several blanks are called together: `leg 1-3 of stool 1`.
pub(super) fn names(context: &WorkContext<'_>, blanks: &[&LaidBlank]) -> String {
    let pieces = blanks.iter().flat_map(|blank| &blank.pieces);
    let labels: Vec<PieceLabel> = pieces
        .filter_map(|piece| context.state.piece(piece))
        .map(|piece| piece.label.clone())
        .collect();
    // What the batch has no piece for goes by its part.
    let nameless = blanks.iter().filter(|blank| blank.pieces.is_empty());
    let named = (!labels.is_empty()).then(|| piece_list(&labels, &context.route.article));
    let all: Vec<String> =
        named.into_iter().chain(nameless.map(|blank| blank.part.clone())).collect();
    all.join(", ")
}

/// The strips of a section from the marked edge on, each from its near end on.
pub(super) fn strips(section: &LaidSection) -> Vec<Vec<&LaidBlank>> {
    let mut strips: Vec<Vec<&LaidBlank>> = Vec::new();
    let mut blanks: Vec<&LaidBlank> = section.blanks.iter().collect();
    blanks.sort_by_key(|blank| (blank.across.from, blank.along.from));
    for blank in blanks {
        match strips.last_mut() {
            Some(strip) if strip.iter().any(|held| held.across.from == blank.across.from) => {
                strip.push(blank);
            }
            _ => strips.push(vec![blank]),
        }
    }
    strips
}
