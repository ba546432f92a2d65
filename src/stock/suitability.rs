//! Whether a board suits a part: its wood, its class, and whether it still cleans
//! up to the thickness the part needs.
//!
//! `best = thinnest - max(cup, wind / 2, bow) - both clean-ups`, where cup, wind
//! and bow are those of the stretch that is flattened (common practice). An arc
//! is off its chord by the square of the chord, so cup goes with the square of
//! the width, bow with the square of the length, and an even twist with length
//! times width (geometry).
//!
//! Both the class and the thickness it may be sold at are looked at, with cup,
//! bow and wind taken off beside the clean-up. The hollow must be cut away
//! before its bottom can be cleaned, so the greater of the two would promise too
//! much.

use super::board::{RackBoard, same};
use super::need::BlankNeed;
use super::saw::Saw;
use crate::measure::Length;

/// How a board suits the thickness of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Suits {
    /// Once it is cut to length, it cleans up over its whole width, with this
    /// much to spare.
    CleansUp { margin: Length },
    /// It cleans up only once it is also ripped to the part's width.
    OnceRipped { margin: Length },
    /// It doesn't clean up even then; it is this much too thin.
    TooThin { short: Length },
}

/// How a board suits the thickness of a part. Its wood, its width and its length
/// are not looked at.
pub(super) fn suits(board: &RackBoard, need: &BlankNeed, clean_up: Length) -> Suits {
    if !need.is_cleaned_up() {
        let margin = board.thinnest() - need.clean_at;
        return match margin.is_negative() {
            true => Suits::TooThin { short: -margin },
            false => Suits::CleansUp { margin },
        };
    }
    let margin = |width| best(board, need.length, width, clean_up) - need.clean_at;
    let (whole, ripped) = (margin(board.width), margin(need.width));
    if !whole.is_negative() {
        Suits::CleansUp { margin: whole }
    } else if !ripped.is_negative() {
        Suits::OnceRipped { margin: ripped }
    } else {
        Suits::TooThin { short: -ripped }
    }
}

/// Whether blanks of a need may come from a board: it is the right wood and
/// class, and flat and thick enough to come clean, ripped first if necessary.
pub(super) fn may(board: &RackBoard, need: &BlankNeed, saw: &Saw) -> bool {
    is_of_wood(board, need) && is_of_class(board, need) && comes_clean(board, need, saw)
}

pub(super) fn is_of_wood(board: &RackBoard, need: &BlankNeed) -> bool {
    need.species.as_deref().is_none_or(|species| same(species, &board.species))
}

pub(super) fn is_of_class(board: &RackBoard, need: &BlankNeed) -> bool {
    need.class.as_deref().zip(board.class.as_deref()).is_none_or(|(n, b)| same(n, b))
}

pub(super) fn comes_clean(board: &RackBoard, need: &BlankNeed, saw: &Saw) -> bool {
    !matches!(suits(board, need, saw.clean_up), Suits::TooThin { .. })
}

/// What flat wood of a thickness has to spare for a part that needs both faces
/// clean; negative where it doesn't clean up.
pub(super) fn margin(rough: Length, need: &BlankNeed, clean_up: Length) -> Length {
    let taken = if need.is_cleaned_up() { clean_up } else { Length::ZERO };
    rough - taken - need.clean_at
}

/// How thick a stretch of a board is once both its faces are clean.
fn best(board: &RackBoard, length: Length, width: Length, clean_up: Length) -> Length {
    board.thinnest() - hollow(board, length, width) - clean_up
}

/// What flattening a stretch of a board takes before its faces are cleaned.
fn hollow(board: &RackBoard, length: Length, width: Length) -> Length {
    let (length, width) = (length.min(board.length), width.min(board.width));
    let cup = share(board.cup, (width, board.width), (width, board.width));
    let bow = share(board.bow, (length, board.length), (length, board.length));
    let wind = share(board.wind, (width, board.width), (length, board.length));
    cup.max(bow).max(wind / 2)
}

/// A length times two shares, rounded up to a whole nanometre: taking more is
/// the safe side.
fn share(of: Length, one: (Length, Length), other: (Length, Length)) -> Length {
    // No length is over a kilometre, so the product of three fits.
    let amount = |length: Length| i128::from(length.nanometres().max(0));
    let under = amount(one.1) * amount(other.1);
    if under == 0 {
        return of;
    }
    let over = amount(of) * amount(one.0) * amount(other.0);
    i64::try_from((over + under - 1) / under).map_or(of, Length::from_nanometres)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::samples::{self, th};
    use proptest::prelude::*;

    /// 9 x 26, wanted at 3/4 with 0.030 for the sander.
    fn side() -> BlankNeed {
        BlankNeed { clean_at: th(780), ..samples::need(th(1_000), th(9_000), th(27_000)) }
    }

    /// As wide and as long as the part, so that no bend gets smaller.
    fn board(thick: Length) -> RackBoard {
        samples::board(thick, th(9_000), th(27_000))
    }

    /// Sixteenths off the face and off the other one.
    fn lumber(face: i64, other: i64) -> Length {
        Length::inch_fraction(face + other, 16)
    }

    /// Common practice, by hand: 0.9375 - 0.0625 - 0.0625 - 0.030 = 0.7825,
    /// and 0.750 is wanted: 0.0325 in hand.
    #[test]
    fn four_quarter_a_sixteenth_scant_makes_three_quarters() {
        let thick = Length::inch_fraction(15, 16);
        let found = suits(&board(thick), &side(), lumber(1, 1));
        let margin = Length::inch_fraction(325, 10_000);
        assert_eq!(found, Suits::CleansUp { margin });
        assert_eq!(super::margin(thick, &side(), lumber(1, 1)), margin);
    }

    /// The same where flattening cleans the face as it takes the cup: a cup of
    /// 1/16 leaves 0.0325 in hand, so one of 0.0625 + 0.0325 = 0.095 is the
    /// most. 3/32 = 0.09375 is under it, 7/64 = 0.109375 is not.
    #[test]
    fn a_board_cupped_more_than_three_32nds_must_be_ripped_first() {
        let cupped = |cup| RackBoard { cup, ..board(Length::inch_fraction(15, 16)) };
        let found = |cup| suits(&cupped(cup), &side(), lumber(0, 1));
        let margin = Length::inch_fraction(325, 10_000);
        assert_eq!(found(Length::inch_fraction(1, 16)), Suits::CleansUp { margin });
        let margin = Length::inch_fraction(125, 100_000);
        assert_eq!(found(Length::inch_fraction(3, 32)), Suits::CleansUp { margin });
        // A part half as wide has a quarter of the cup: 0.02734375, and
        // 0.9375 - 0.02734375 - 0.0625 - 0.780 = 0.06765625 in hand, which is
        // 1 718 468.75 nanometres, rounded to the safe side.
        let half = BlankNeed { width: th(4_500), ..side() };
        let found = suits(&cupped(Length::inch_fraction(7, 64)), &half, lumber(0, 1));
        let margin = Length::from_nanometres(1_718_468);
        assert_eq!(found, Suits::OnceRipped { margin });
    }

    /// By hand: 7/64 less the 0.095 that can be taken.
    #[test]
    fn a_board_that_is_too_thin_says_by_how_much() {
        let board =
            RackBoard { cup: Length::inch_fraction(7, 64), ..board(Length::inch_fraction(15, 16)) };
        let short = Length::inch_fraction(14_375, 1_000_000);
        assert_eq!(suits(&board, &side(), lumber(0, 1)), Suits::TooThin { short });
    }

    /// By hand: over a third of the length a bow is a ninth, a wind over a
    /// third of the length and half the width a sixth, half of which counts.
    #[test]
    fn bow_goes_with_the_square_of_the_length_and_wind_with_both_sizes() {
        let thick = Length::INCH;
        let long = RackBoard { length: th(81_000), width: th(18_000), ..board(thick) };
        let bowed = RackBoard { bow: th(900), ..long.clone() };
        assert_eq!(best(&bowed, th(27_000), th(9_000), lumber(0, 0)), thick - th(100));
        let wound = RackBoard { wind: th(600), ..long };
        assert_eq!(best(&wound, th(27_000), th(9_000), lumber(0, 0)), thick - th(50));
    }

    /// Half-inch plywood that measures 0.472 is used as it comes.
    #[test]
    fn a_part_that_stays_as_thick_is_not_cleaned_up() {
        let panel = BlankNeed { thickness: th(472), clean_at: th(472), ..side() };
        let found = suits(&board(th(480)), &panel, lumber(1, 1));
        assert_eq!(found, Suits::CleansUp { margin: th(8) });
        assert_eq!(suits(&board(th(470)), &panel, lumber(1, 1)), Suits::TooThin { short: th(2) });
    }

    proptest! {
        /// Always: A shorter or narrower board never loses more to its bends.
        ///
        /// A shorter and narrower stretch of the same board is never thinner,
        /// and never thicker than the board without its bends.
        #[test]
        fn less_of_a_board_never_loses_more(
            cup in 0..500_i64, bow in 0..2000_i64, wind in 0..1000_i64,
            length in 1..81_000_i64, width in 1..18_000_i64,
        ) {
            let board = RackBoard {
                length: th(81_000), width: th(18_000), cup: th(cup), bow: th(bow), wind: th(wind),
                ..board(Length::INCH)
            };
            let whole = best(&board, board.length, board.width, lumber(1, 1));
            let part = best(&board, th(length), th(width), lumber(1, 1));
            prop_assert!(whole <= part && part <= Length::INCH - Length::inch_fraction(2, 16));
        }
    }
}
