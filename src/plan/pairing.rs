//! Pairs and groups pieces so that each group fits as well as it can.
//!
//! All answers are exact: the greatest misfit is as small as possible, and
//! among such answers the total misfit is too.

use pathfinding::kuhn_munkres::{kuhn_munkres, kuhn_munkres_min};
use pathfinding::matrix::Matrix;

use crate::measure::Length;
use crate::operation::rock;

/// Pairs whose greatest difference is as small as possible. Of an odd number,
/// the piece that fits worst is left over.
pub fn pairs<Id: Clone>(sizes: &[(Id, Length)]) -> Vec<(Id, Id)> {
    let alike = alike::<Id, 2>(sizes);
    alike.into_iter().map(|[one, other]| (one, other)).collect()
}

/// Groups of four whose greatest difference is as small as possible. Up to
/// three pieces that fit worst are left over.
pub fn sets_of_four<Id: Clone>(sizes: &[(Id, Length)]) -> Vec<[Id; 4]> {
    alike(sizes)
}

/// The two diagonals on which four legs rock least: the longest and the
/// shortest on one, the other two on the other.
pub fn diagonals<Id: Clone>(legs: &[(Id, Length); 4]) -> ((Id, Id), (Id, Id)) {
    let mut legs: [&(Id, Length); 4] = legs.each_ref();
    legs.sort_by_key(|(_, length)| *length);
    let [shortest, second, third, longest] = legs.map(|(id, _)| id.clone());
    ((longest, shortest), (second, third))
}

/// How far four legs rock on these diagonals, as [`diagonals`] gives them.
pub fn rock_on(one: (Length, Length), other: (Length, Length)) -> Length {
    rock([one.0, other.0, one.1, other.1])
}

/// Assigns tenons to openings so that clearances come nearest to those wanted:
/// first the worst misfit is minimised, then the sum of squares. Each has a
/// size in each of `N` directions, such as width and height of a drawer; its
/// misfit is the worst of them. The more numerous kind has some left over.
///
/// The work grows with the cube of the number; a few hundred take no noticeable time.
pub fn assign<T: Clone, O: Clone, const N: usize>(
    tenons: &[(T, [Length; N])],
    openings: &[(O, [Length; N])],
    wanted: [Length; N],
) -> Vec<(T, O)> {
    let misfit = |tenon: usize, opening: usize| {
        let (tenon, opening) = (tenons[tenon].1, openings[opening].1);
        let each = (0..N).map(|n| (opening[n] - tenon[n] - wanted[n]).abs());
        each.max().unwrap_or_default()
    };
    // The method needs at most as many rows as columns.
    let matched: Vec<(usize, usize)> = if tenons.len() <= openings.len() {
        let columns = match_up(tenons.len(), openings.len(), misfit);
        columns.into_iter().enumerate().collect()
    } else {
        let columns = match_up(openings.len(), tenons.len(), |row, column| misfit(column, row));
        columns.into_iter().enumerate().map(|(row, column)| (column, row)).collect()
    };
    matched
        .into_iter()
        .map(|(tenon, opening)| (tenons[tenon].0.clone(), openings[opening].0.clone()))
        .collect()
}

/// The column for each row. `rows` is not above `columns`.
fn match_up(rows: usize, columns: usize, misfit: impl Fn(usize, usize) -> Length) -> Vec<usize> {
    if rows == 0 {
        return Vec::new();
    }
    let misfits = Matrix::from_fn(rows, columns, |(row, column)| misfit(row, column));
    let mut steps: Vec<Length> = misfits.values().copied().collect();
    steps.sort_unstable();
    steps.dedup();
    let matches_within = |limit: Length| {
        let fits = misfits.clone().map(|misfit| i64::from(misfit <= limit));
        kuhn_munkres(&fits).0 == rows as i64
    };
    // Every pair is within the last limit, so a limit always exists.
    let worst = steps[steps.partition_point(|limit| !matches_within(*limit))];
    // The squares of a thousand lengths of a few kilometres, in nanometres, fit
    // an i128 easily, and so does a weight above any sum of squares.
    let square = |misfit: Length| i128::from(misfit.nanometres()).pow(2);
    let too_much = (square(worst) + 1) * (rows as i128 + 1);
    let costs = misfits.map(|misfit| if misfit <= worst { square(misfit) } else { too_much });
    kuhn_munkres_min(&costs).1
}

/// Groups of `N`: the greatest difference within a group is minimised first,
/// then the sum of differences.
///
/// Groups of neighbours in order of size are never worse than others. There are
/// `N j + 1` pieces up to the first of group `j`. One of them must share a
/// group with the last piece of group `j` or a bigger one; otherwise `j + 1`
/// groups would need all their pieces below that last one. Pieces left over lie
/// between groups: swapping one with the end of a group around it would only
/// narrow that group. So each group is a run of neighbours, and the search only
/// tries which pieces to leave over.
fn alike<Id: Clone, const N: usize>(sizes: &[(Id, Length)]) -> Vec<[Id; N]> {
    let mut sorted: Vec<&(Id, Length)> = sizes.iter().collect();
    sorted.sort_by_key(|(_, size)| *size);
    let range = |first: usize| sorted[first + N - 1].1 - sorted[first].1;
    let spare = sorted.len() % N;
    let groups = sorted.len() / N;
    // Group `g` begins at `N g` plus the number left over before it.
    let narrowest = best_starts::<N>(groups, spare, &range, |so_far, own| so_far.max(own));
    let worst = narrowest.iter().map(|first| range(*first)).max().unwrap_or_default();
    let too_wide = |first: usize| range(first) > worst;
    let starts = best_starts::<N>(
        groups,
        spare,
        &|first| if too_wide(first) { Length::LONGEST } else { range(first) },
        |so_far, own| so_far + own,
    );
    starts
        .into_iter()
        .map(|first| std::array::from_fn(|offset| sorted[first + offset].0.clone()))
        .collect()
}

/// Where each group of neighbours begins, so that the total cost by `add` is
/// least.
fn best_starts<const N: usize>(
    groups: usize,
    spare: usize,
    cost: &dyn Fn(usize) -> Length,
    add: impl Fn(Length, Length) -> Length,
) -> Vec<usize> {
    // For each number left over so far: the cost, and where the groups begin.
    let mut best: Vec<(Length, Vec<usize>)> = vec![(Length::ZERO, Vec::new()); spare + 1];
    for group in 0..groups {
        let mut next: Vec<(Length, Vec<usize>)> = Vec::with_capacity(spare + 1);
        for (left_over, (so_far, starts)) in best.iter().enumerate() {
            let first = group * N + left_over;
            let mut starts = starts.clone();
            starts.push(first);
            let here = (add(*so_far, cost(first)), starts);
            // Leaving a piece over after this group costs nothing.
            next.push(match next.last() {
                Some(before) if before.0 <= here.0 => before.clone(),
                _ => here,
            });
        }
        best = next;
    }
    best.pop().map(|(_, starts)| starts).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::measure::{Unit, parse_written};

    fn inches(text: &str) -> Length {
        parse_written(text, Unit::Inch).unwrap()
    }

    /// Sizes in thousandths of an inch, numbered from zero.
    fn numbered(thousandths: &[i64]) -> Vec<(usize, Length)> {
        thousandths.iter().map(|size| Length::thousandths(*size)).enumerate().collect()
    }

    fn ranges<const N: usize>(sizes: &[(usize, Length)], groups: &[[usize; N]]) -> Vec<Length> {
        let range = |group: &[usize; N]| {
            let sizes = group.map(|id| sizes[id].1);
            *sizes.iter().max().unwrap() - *sizes.iter().min().unwrap()
        };
        groups.iter().map(range).collect()
    }

    fn as_arrays(pairs: Vec<(usize, usize)>) -> Vec<[usize; 2]> {
        pairs.into_iter().map(|(one, other)| [one, other]).collect()
    }

    /// Eight rails; taken as they come the last two differ by 0.026. In order:
    /// 12.985 12.988, 12.991 12.996, 13.000 13.002, 13.009 13.011, which differ
    /// by 3, 5, 2 and 2 thousandths.
    #[test]
    fn eight_rails_in_pairs() {
        let rails = numbered(&[13_002, 12_988, 13_009, 12_991, 13_000, 12_996, 13_011, 12_985]);
        let as_they_come = ranges(&rails, &[[0, 1], [2, 3], [4, 5], [6, 7]]);
        assert_eq!(as_they_come.into_iter().max(), Some(inches("0.026")));
        let paired = as_arrays(pairs(&rails));
        assert_eq!(paired, [[7, 1], [3, 5], [4, 0], [2, 6]]);
        assert_eq!(ranges(&rails, &paired), [3, 5, 2, 2].map(Length::thousandths));
    }

    /// 29.262 + 29.238 = 58.500 against 29.250 + 29.246 = 58.496 rocks 0.004;
    /// 29.250 + 29.262 = 58.512 against 58.484 rocks 0.028.
    #[test]
    fn four_legs_on_two_diagonals() {
        let legs = ["29.250", "29.238", "29.262", "29.246"].map(|text| (text, inches(text)));
        let (one, other) = diagonals(&legs);
        assert_eq!((one, other), (("29.262", "29.238"), ("29.246", "29.250")));
        let lengths = |(one, other): (&str, &str)| (inches(one), inches(other));
        assert_eq!(rock_on(lengths(one), lengths(other)), inches("0.004"));
        let worst = rock_on(lengths(("29.250", "29.262")), lengths(("29.238", "29.246")));
        assert_eq!(worst, inches("0.028"));
    }

    /// Of 0, 1, 9, 10, 30 the 30 is left over; of 0, 9, 10, 20, 21 the 0.
    #[test]
    fn what_fits_worst_is_left_over() {
        assert_eq!(pairs(&numbered(&[0, 1, 9, 10, 30])), [(0, 1), (2, 3)]);
        assert_eq!(pairs(&numbered(&[0, 9, 10, 20, 21])), [(1, 2), (3, 4)]);
        assert_eq!(pairs(&numbered(&[5])), []);
        assert_eq!(pairs::<usize>(&[]), []);
        let legs = numbered(&[0, 40, 41, 42, 43, 90, 91, 92, 93, 200]);
        assert_eq!(sets_of_four(&legs), [[1, 2, 3, 4], [5, 6, 7, 8]]);
        assert_eq!(sets_of_four(&numbered(&[1, 2, 3])), Vec::<[usize; 4]>::new());
    }

    /// Wanted 0.004. Tenons 0.375, 0.372; mortises 0.377, 0.379, 0.500: in
    /// order the clearances are 0.005 and 0.004, crosswise 0.002 and 0.007.
    #[test]
    fn tenons_to_mortises() {
        let tenons = numbered(&[375, 372]).into_iter().map(|(id, size)| (id, [size]));
        let mortises = numbered(&[377, 379, 500]).into_iter().map(|(id, size)| (id, [size]));
        let (tenons, mortises): (Vec<_>, Vec<_>) = (tenons.collect(), mortises.collect());
        let wanted = [Length::thousandths(4)];
        assert_eq!(assign(&tenons, &mortises, wanted), [(0, 1), (1, 0)]);
        // One of three tenons is left over, on either side.
        let mut turned = assign(&mortises, &tenons, [-wanted[0]]);
        turned.sort_unstable();
        assert_eq!(turned, [(0, 1), (1, 0)]);
        assert_eq!(assign::<usize, usize, 1>(&[], &mortises, wanted), []);
    }

    /// Two drawers, 0.060 wanted both ways. Drawer 0 matches opening 0 exactly
    /// in width but is 0.040 off in height; crosswise nothing is off by more
    /// than 0.010.
    #[test]
    fn drawers_to_openings_by_width_and_height() {
        let sized = |sizes: &[[i64; 2]]| -> Vec<(usize, [Length; 2])> {
            sizes.iter().map(|size| size.map(Length::thousandths)).enumerate().collect()
        };
        let drawers = sized(&[[19_940, 3_940], [19_950, 3_900]]);
        let openings = sized(&[[20_000, 3_960], [20_010, 4_000]]);
        let wanted = [Length::thousandths(60); 2];
        assert_eq!(assign(&drawers, &openings, wanted), [(0, 1), (1, 0)]);
    }

    /// Every order of `0..count`.
    fn orders(count: usize) -> Vec<Vec<usize>> {
        if count == 0 {
            return vec![Vec::new()];
        }
        let mut all = Vec::new();
        for shorter in orders(count - 1) {
            for at in 0..count {
                let mut longer = shorter.clone();
                longer.insert(at, count - 1);
                all.push(longer);
            }
        }
        all
    }

    fn worst_and_sum(ranges: &[Length]) -> (Length, Length) {
        (ranges.iter().copied().max().unwrap_or_default(), ranges.iter().copied().sum())
    }

    type Misfits = (Length, i128);

    fn misfits(
        tenons: &[(usize, [Length; 2])],
        openings: &[(usize, [Length; 2])],
        wanted: Length,
        matched: impl Iterator<Item = (usize, usize)>,
    ) -> Misfits {
        let mut found = (Length::ZERO, 0);
        for (tenon, opening) in matched {
            let off = |n: usize| (openings[opening].1[n] - tenons[tenon].1[n] - wanted).abs();
            let misfit = off(0).max(off(1));
            found.0 = found.0.max(misfit);
            found.1 += i128::from(misfit.nanometres()).pow(2);
        }
        found
    }

    fn sizes(count: impl Into<proptest::collection::SizeRange>) -> impl Strategy<Value = Vec<i64>> {
        proptest::collection::vec(950i64..1050, count)
    }

    fn two_ways(count: std::ops::Range<usize>) -> impl Strategy<Value = Vec<(usize, [Length; 2])>> {
        proptest::collection::vec((950i64..1050, 950i64..1050), count).prop_map(|sizes| {
            sizes.into_iter().map(|(a, b)| [a, b].map(Length::thousandths)).enumerate().collect()
        })
    }

    proptest! {
        #[test]
        fn no_other_pairing_is_better(sizes in sizes(0..7)) {
            let sizes = numbered(&sizes);
            let found = worst_and_sum(&ranges(&sizes, &as_arrays(pairs(&sizes))));
            for order in orders(sizes.len()) {
                let (pairs, _) = order.as_chunks::<2>();
                prop_assert!(found <= worst_and_sum(&ranges(&sizes, pairs)));
            }
        }

        #[test]
        fn no_other_sets_are_better(sizes in sizes(8..10), order in Just((0..10).collect::<Vec<usize>>()).prop_shuffle()) {
            let sizes = numbered(&sizes);
            let found = sets_of_four(&sizes);
            prop_assert_eq!(found.len(), 2);
            let order: Vec<usize> = order.into_iter().filter(|id| *id < sizes.len()).collect();
            let (others, _) = order.as_chunks::<4>();
            prop_assert!(worst_and_sum(&ranges(&sizes, &found)) <= worst_and_sum(&ranges(&sizes, others)));
        }

        #[test]
        fn nobody_is_taken_twice(sizes in sizes(0..60)) {
            let sizes = numbered(&sizes);
            let mut taken: Vec<usize> = sets_of_four(&sizes).into_iter().flatten().collect();
            prop_assert_eq!(taken.len(), sizes.len() / 4 * 4);
            taken.sort_unstable();
            taken.dedup();
            prop_assert_eq!(taken.len(), sizes.len() / 4 * 4);
        }

        #[test]
        fn no_swap_betters_many_pairs(sizes in sizes(40), one in 0usize..20, other in 0usize..20) {
            prop_assume!(one != other);
            let sizes = numbered(&sizes);
            let found = as_arrays(pairs(&sizes));
            let mut swapped = found.clone();
            (swapped[one][1], swapped[other][1]) = (swapped[other][1], swapped[one][1]);
            prop_assert!(worst_and_sum(&ranges(&sizes, &found)) <= worst_and_sum(&ranges(&sizes, &swapped)));
        }

        #[test]
        fn no_other_diagonals_rock_less(sizes in sizes(4)) {
            let legs: [(usize, Length); 4] = numbered(&sizes).try_into().unwrap();
            let length = |(one, other): (usize, usize)| (legs[one].1, legs[other].1);
            let (one, other) = diagonals(&legs);
            let found = rock_on(length(one), length(other));
            for order in orders(4) {
                let other_way = rock_on(length((order[0], order[1])), length((order[2], order[3])));
                prop_assert!(found <= other_way);
            }
        }

        #[test]
        fn no_other_matching_is_better(tenons in two_ways(0..7), openings in two_ways(0..6), wanted in -20i64..20) {
            let wanted = Length::thousandths(wanted);
            let found = assign(&tenons, &openings, [wanted; 2]);
            prop_assert_eq!(found.len(), tenons.len().min(openings.len()));
            let found = misfits(&tenons, &openings, wanted, found.into_iter());
            for order in orders(tenons.len()) {
                for opening_order in if tenons.len() < openings.len() { orders(openings.len()) } else { vec![(0..openings.len()).collect()] } {
                    let matched = order.iter().copied().zip(opening_order);
                    prop_assert!(found <= misfits(&tenons, &openings, wanted, matched));
                }
            }
        }

        /// With one size each and equal numbers, matching in order of size is
        /// optimal: a known result that needs no search.
        #[test]
        fn one_size_goes_in_order(mut both in proptest::collection::vec((950i64..1050, 950i64..1050), 1..25)) {
            let one_way = |sizes: Vec<i64>| -> Vec<(usize, [Length; 2])> {
                sizes.into_iter().map(|size| [Length::thousandths(size); 2]).enumerate().collect()
            };
            let (mut tenons, mut openings): (Vec<i64>, Vec<i64>) = both.drain(..).unzip();
            let found = {
                let (tenons, openings) = (one_way(tenons.clone()), one_way(openings.clone()));
                let matched = assign(&tenons, &openings, [Length::thousandths(4); 2]);
                misfits(&tenons, &openings, Length::thousandths(4), matched.into_iter())
            };
            tenons.sort_unstable();
            openings.sort_unstable();
            let in_order = (0..tenons.len()).map(|n| (n, n));
            let (tenons, openings) = (one_way(tenons), one_way(openings));
            prop_assert_eq!(found, misfits(&tenons, &openings, Length::thousandths(4), in_order));
        }
    }
}
