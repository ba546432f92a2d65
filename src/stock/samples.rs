//! A plain board and a plain need for tests of this room, which change what each
//! of them is about.

use super::board::RackBoard;
use super::need::BlankNeed;
use crate::measure::Length;

/// Thousandths of an inch.
pub(super) fn th(n: i64) -> Length {
    Length::thousandths(n)
}

/// A flat board without flaws and without a class.
pub(super) fn board(thickness: Length, width: Length, length: Length) -> RackBoard {
    RackBoard {
        name: "1".to_owned(),
        species: "ash".to_owned(),
        class: None,
        thickness: [thickness; 3],
        width,
        length,
        cup: Length::ZERO,
        bow: Length::ZERO,
        wind: Length::ZERO,
        moisture: None,
        flaws: Vec::new(),
    }
}

/// Two blanks of one piece each, which come from any wood of any class. The piece
/// is 1 in shorter, 1/4 in narrower and 1/4 in thinner than its blank.
pub(super) fn need(thickness: Length, width: Length, length: Length) -> BlankNeed {
    BlankNeed {
        part: "part".to_owned(),
        species: None,
        class: None,
        length,
        width,
        thickness,
        finished_length: length - th(1_000),
        finished_width: width - th(250),
        finished_thickness: thickness - th(250),
        along: 1,
        across: 1,
        through: 1,
        abreast: None,
        clean_at: thickness - th(250),
        for_sets: 2,
        spare: 0,
        setup: 0,
        a_set: 2,
        one_board: false,
        hidden: Vec::new(),
        fill: None,
        pieces: None,
    }
}
