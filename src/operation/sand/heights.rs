//! The heights of each belt, in steps of the sander's scale or of its jog
//! button, counted from where the belt ends.
//!
//! Faces A and C, or A, B and C, D, come up in turn, so what a belt takes from
//! one pair is the sum of every other bite. Each pair loses half of the wood, in
//! whole steps; a belt that follows another takes from each what that one's
//! scratches need, rounded up to whole steps. (Common practice, no source.)

use super::super::bites::Grid;
use super::Belt;
use crate::measure::{Length, Readout, Rounds};

/// What the table moves by: the jog button where it moves whole marks of the
/// scale, else the marks themselves.
pub(super) fn grid(readout: Readout, jog: Option<Length>) -> Grid {
    match jog {
        Some(jog) if follows(readout, jog) => {
            Grid { readout, marks: readout.count(jog, Rounds::Nearest).max(1) }
        }
        _ => Grid::of(readout),
    }
}

/// Whether presses of a jog button go to marks of the scale.
pub(super) fn follows(readout: Readout, jog: Length) -> bool {
    let is_whole = |readout: Readout, length: Length| {
        let up = readout.count(length, Rounds::Up);
        up > 0 && up == readout.count(length, Rounds::Down)
    };
    is_whole(readout, jog) || is_whole(Readout { step: jog, ..readout }, readout.step)
}

/// The mark each belt ends on, worked backwards from the last one's `end`.
pub(super) fn ends(grid: &Grid, end: i64, belts: &[Belt<'_>]) -> Vec<i64> {
    let mut ends = vec![end; belts.len()];
    for index in (0..belts.len().saturating_sub(1)).rev() {
        let (belt, next) = (&belts[index], &belts[index + 1]);
        let reached = grid.readout.mark(ends[index + 1]) + next.offset.0;
        let left = grid.length(grid.needed(belt.need) * 2);
        ends[index] = grid.readout.count(reached + left - belt.offset.0, Rounds::Up);
    }
    ends
}

/// The steps left after each pass of a belt: equal shares of half the wood from
/// each pair of faces in turn. The first bite also takes what is over a whole
/// number of steps, or nothing but that. `None` where one step is over the limit.
pub(super) fn of_belt(grid: &Grid, wood: Length, most: Length) -> Option<Vec<i64>> {
    let in_most = grid.within(most);
    if in_most < 1 {
        return None;
    }
    let whole = grid.within(wood);
    let has_more = grid.needed(wood) > whole;
    let over = if has_more { wood - grid.length(whole) } else { Length::ZERO };
    let in_first = grid.within(most - over).max(0);
    // The pair that comes up first gets what is over, the other the odd step.
    let one = if has_more { whole / 2 } else { (whole + 1) / 2 };
    let other = whole - one;
    let rounds_of_one = 1 + in_shares_of((one - in_first).max(0), in_most);
    let rounds = rounds_of_one.max(in_shares_of(other, in_most));
    let ideal = if has_more { one / rounds } else { in_shares_of(one, rounds) };
    // Each later bite is one step at least, and none is over the limit.
    let later = rounds - 1;
    let first = ideal.max(one - later * in_most).min(in_first).min(one - later);
    let ones = std::iter::once(first).chain(shares(one - first, later));
    let others = shares(other, rounds.min(other));
    let mut left = whole;
    let mut all = Vec::new();
    for (n, bite) in ones.enumerate() {
        let pair = std::iter::once(bite).chain(others.get(n).copied());
        all.extend(pair.map(|bite| {
            left -= bite;
            left
        }));
    }
    Some(all)
}

/// How many shares of at most `most` a number of steps makes.
fn in_shares_of(steps: i64, most: i64) -> i64 {
    (steps + most - 1) / most
}

/// A number of steps in so many shares, the bigger ones first.
fn shares(steps: i64, count: i64) -> Vec<i64> {
    let upto = |n: i64| in_shares_of(steps * n, count);
    (0..count).map(|n| upto(n + 1) - upto(n)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{ScaleOffset, Shows, Unit};

    fn thousandths(jog: i64) -> Grid {
        let step = Length::thousandths(1);
        let readout = Readout { unit: Unit::Inch, step, shows: Shows::Decimal };
        grid(readout, Some(Length::thousandths(jog)))
    }

    fn belt(most: i64, need: i64) -> Belt<'static> {
        Belt {
            name: "belt",
            most: Length::thousandths(most),
            need: Length::thousandths(need),
            offset: ScaleOffset(Length::ZERO),
        }
    }

    fn heights(grid: &Grid, end: i64, left: Option<Vec<i64>>) -> Vec<i64> {
        left.unwrap().into_iter().map(|steps| end + steps * grid.marks).collect()
    }

    /// Common practice, no source; by hand: 80 grit ends at
    /// 1.250 + 2 x 0.008 = 1.266; 0.024 in two steps of 0.012; 0.016 in two of 0.008.
    #[test]
    fn stool_legs_on_the_wide_belt() {
        let (grid, belts) = (thousandths(4), [belt(15, 8), belt(10, 4)]);
        assert_eq!(ends(&grid, 1250, &belts), [1266, 1250]);
        let [coarse, fine] = [24, 16].map(Length::thousandths);
        let left = of_belt(&grid, coarse, belts[0].most);
        assert_eq!(heights(&grid, 1266, left), [1278, 1266]);
        let left = of_belt(&grid, fine, belts[1].most);
        assert_eq!(heights(&grid, 1250, left), [1258, 1250]);
    }

    /// The same legs on a drum that takes 0.006, then 0.004 (common practice).
    #[test]
    fn stool_legs_on_the_drum() {
        let (grid, belts) = (thousandths(1), [belt(6, 8), belt(4, 4)]);
        assert_eq!(ends(&grid, 1250, &belts), [1266, 1250]);
        let [coarse, fine] = [24, 16].map(Length::thousandths);
        let left = of_belt(&grid, coarse, belts[0].most);
        assert_eq!(heights(&grid, 1266, left), [1284, 1278, 1272, 1266]);
        let left = of_belt(&grid, fine, belts[1].most);
        assert_eq!(heights(&grid, 1250, left), [1262, 1258, 1254, 1250]);
    }

    /// By hand: 0.006 on presses of 0.002 with 0.003 at most is three bites of
    /// one press each; four would leave one that takes nothing.
    #[test]
    fn no_height_takes_nothing() {
        let grid = thousandths(2);
        let left = of_belt(&grid, Length::thousandths(6), Length::thousandths(3));
        assert_eq!(heights(&grid, 1000, left), [1004, 1002, 1000]);
    }

    /// By hand: scratches of 0.006 on presses of 0.004 need two presses a face,
    /// 0.008, for one is 0.004. Each face takes 0.008 of a belt's 0.010 at once.
    #[test]
    fn a_need_between_two_presses_takes_the_next_press() {
        let (grid, belts) = (thousandths(4), [belt(10, 6), belt(10, 4)]);
        assert_eq!(ends(&grid, 980, &belts), [996, 980]);
        let left = of_belt(&grid, Length::thousandths(16), belts[1].most);
        assert_eq!(heights(&grid, 980, left), [988, 980]);
    }

    /// By hand: three steps a face, two at most in a bite, and the belts' scales
    /// 0.0005 apart: with it a first bite of two steps would be over the limit,
    /// so the first face gets one step and two, the other two and one. With one
    /// step at most, the 0.0005 is a bite of its own.
    #[test]
    fn what_lies_between_two_scales_goes_into_the_first_bite() {
        let grid = thousandths(1);
        let [need, most, half] =
            [Length::thousandths(3), Length::thousandths(2), Length::thousandths(1) / 2];
        let left = of_belt(&grid, need * 2 + half, most).unwrap();
        assert_eq!(left, [5, 3, 1, 0]);
        let left = of_belt(&grid, need * 2 + half, most / 2).unwrap();
        assert_eq!(left, [6, 5, 4, 3, 2, 1, 0]);
    }

    /// By hand: 0.013 is thirteen steps: seven from the one pair, six from the
    /// other, in bites of four at most.
    #[test]
    fn each_pair_of_faces_loses_half() {
        let grid = thousandths(1);
        let left = of_belt(&grid, Length::thousandths(13), Length::thousandths(4)).unwrap();
        assert_eq!(left, [9, 6, 3, 0]);
    }

    #[test]
    fn a_jog_bigger_than_the_belt_may_take_is_refused() {
        let grid = thousandths(20);
        assert_eq!(of_belt(&grid, Length::INCH, Length::thousandths(10)), None);
    }

    /// A jog button of 0.0025 stops between marks of 0.001; of 0.0005 it gets to
    /// each with two presses.
    #[test]
    fn a_jog_button_goes_to_marks_or_it_does_not() {
        let readout = thousandths(1).readout;
        let says = |tenths: i64| follows(readout, Length::thousandths(1) * tenths / 10);
        assert_eq!([40, 25, 5].map(says), [true, false, true]);
    }
}
