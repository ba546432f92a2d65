//! The ways to cut one board that are worth enough at given prices.
//!
//! A board is cut from the marked end on. What is cut so far is dropped where even the
//! best rest of the board makes it worth too little.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use rustc_hash::FxHashSet;

use super::cutting::{Cutting, SectionCut};
use super::every::{KindLimits, StripSet};
use super::prepared::PreparedBoard;
use super::shortage::{Amounts, Quantities};

/// What a way must be worth to be of use.
pub(super) struct Worth<'a> {
    pub quantities: &'a Quantities,
    /// Of each quantity, in millionths.
    pub price: &'a [i64],
    pub least: i64,
}

/// Strips side by side, what they make and what that is worth.
struct ValuedSet {
    value: i64,
    made: Amounts,
    set: StripSet,
}

/// The last section of what is cut so far, and what was cut before it.
#[derive(Clone, Copy)]
struct LastSection {
    before: usize,
    from: usize,
    row: usize,
    /// Which strips may lie in it, and which set of them does.
    strips: usize,
    set: usize,
}

struct WayList<'a> {
    board: &'a PreparedBoard,
    limits: &'a KindLimits,
    worth: &'a Worth<'a>,
    /// The most that is cut from each mark on.
    rest: Vec<i64>,
    /// Where on the board other strips fit, length by length.
    changes: Vec<Vec<usize>>,
    sets: BTreeMap<usize, Vec<ValuedSet>>,
    done: Vec<Option<LastSection>>,
    /// What is cut up to each mark.
    open: BTreeMap<usize, Vec<(Amounts, usize)>>,
    seen: FxHashSet<(usize, Amounts)>,
}

impl WayList<'_> {
    /// Adds one section to what is cut up to a mark, in every way that is of use.
    fn extend(
        &mut self,
        mark: usize,
        (made, at): (Amounts, usize),
        work: &mut usize,
    ) -> Option<()> {
        let marks = self.board.marks();
        for row in 0..self.board.lengths.len() {
            let length = self.board.lengths[row] as usize;
            let further = self.changes[row].partition_point(|at| *at <= mark);
            let starts: Vec<usize> =
                std::iter::once(mark).chain(self.changes[row][further..].iter().copied()).collect();
            for from in starts.into_iter().filter(|from| from + length <= marks) {
                let strips = self.board.table[row * (marks + 1) + from] as usize;
                self.list_sets(strips, work)?;
                self.add_section((made, at), from, row, strips, work)?;
            }
        }
        Some(())
    }

    /// Lists the sets of strips that may lie in a section, those that are worth most
    /// first.
    fn list_sets(&mut self, strips: usize, work: &mut usize) -> Option<()> {
        if self.sets.contains_key(&strips) {
            return Some(());
        }
        let every = self.board.every_strip_set(&self.board.strips[strips], self.limits, work)?;
        let valued = |set: StripSet| {
            let made = self.worth.quantities.of_blanks(&set.counts);
            ValuedSet { value: self.worth.quantities.value(&made, self.worth.price), made, set }
        };
        let mut every: Vec<ValuedSet> = every.into_iter().map(valued).collect();
        every.sort_by_key(|valued| Reverse(valued.value));
        self.sets.insert(strips, every);
        Some(())
    }

    fn add_section(
        &mut self,
        (made, before): (Amounts, usize),
        from: usize,
        row: usize,
        strips: usize,
        work: &mut usize,
    ) -> Option<()> {
        let Worth { quantities, price, least } = *self.worth;
        let next = from + (self.board.lengths[row] + self.board.kerf_marks) as usize;
        let rest = self.rest[next.min(self.board.marks())];
        let short = least - quantities.value(&made, price) - rest;
        for (set, valued) in self.sets[&strips].iter().enumerate() {
            *work = work.checked_sub(1)?;
            if valued.value < short {
                break;
            }
            let sum = quantities.together(&made, &valued.made);
            // More than is wanted is worth nothing.
            let enough = quantities.value(&sum, price) + rest >= least;
            if sum != made && enough && self.seen.insert((next, sum)) {
                *work = work.checked_sub(8)?;
                self.done.push(Some(LastSection { before, from, row, strips, set }));
                self.open.entry(next).or_default().push((sum, self.done.len() - 1));
            }
        }
        Some(())
    }

    /// What was cut when this section was the last.
    fn cutting(&self, mut at: usize) -> Cutting {
        let mut sections = Vec::new();
        while let Some(LastSection { before, from, row, strips, set }) = self.done[at] {
            let strips = self.sets[&strips][set].set.strips.clone();
            let length = self.board.lengths[row];
            sections.push(SectionCut { at: self.board.first + from as i64, length, strips });
            at = before;
        }
        sections.reverse();
        Cutting { sections }
    }
}

impl PreparedBoard {
    /// Ways to cut the board that are worth enough: for each such way one that makes
    /// as much of everything. `None` where that takes more than `work` comparisons.
    pub(super) fn worthwhile(
        &self,
        limits: &KindLimits,
        worth: &Worth,
        work: &mut usize,
    ) -> Option<Vec<Cutting>> {
        let of_kinds = worth.quantities.prices_of_kinds(worth.price, limits.0.len());
        let marks = self.marks();
        let changes = |row: &[u32]| (1..=marks).filter(|&at| row[at] != row[at - 1]).collect();
        let mut list = WayList {
            board: self,
            limits,
            worth,
            rest: self.most_from_marks(&of_kinds),
            changes: self.table.chunks(marks + 1).map(changes).collect(),
            sets: BTreeMap::new(),
            done: vec![None],
            open: BTreeMap::from([(0, vec![(Amounts::default(), 0)])]),
            seen: FxHashSet::default(),
        };
        let mut ends: BTreeMap<Amounts, usize> = BTreeMap::new();
        while let Some((mark, begun)) = list.open.pop_first() {
            for (made, at) in begun {
                if worth.quantities.value(&made, worth.price) >= worth.least {
                    ends.entry(made).or_insert(at);
                }
                list.extend(mark, (made, at), work)?;
            }
        }
        // What makes more comes first, so that what it beats is left out.
        let mut ends: Vec<(Amounts, usize)> = ends.into_iter().collect();
        ends.sort_by_key(|(made, at)| (Reverse(made.sum()), *at));
        let mut best: Vec<(Amounts, usize)> = Vec::new();
        for (made, at) in ends {
            *work = work.checked_sub(best.len() / 8 + 1)?;
            if !best.iter().any(|(known, _)| made.is_within(known)) {
                best.push((made, at));
            }
        }
        let cuttings = best.into_iter().map(|(_, at)| list.cutting(at));
        Some(cuttings.filter(|cutting| !cutting.sections.is_empty()).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::super::pool::Want;
    use super::super::tests::{kinds, need, search};
    use super::*;

    /// The board holds two strips in four sections, eight blanks at 10. Five are wanted, so no way
    /// is worth more than 50, and one that is worth 50 has three sections.
    #[test]
    fn no_way_is_worth_more_than_what_is_wanted() {
        let blanks = kinds(&need(400, 200));
        let want = Want { good: 5, for_sets: 5, ..Want::default() };
        let quantities = Quantities::new(&[want], true).unwrap();
        let search = search(&blanks, &[want], &[1], &[]);
        let found = |least, mut work| {
            let worth = Worth { quantities: &quantities, price: &[10], least };
            let board = &search.pool.lots[0].prepared;
            board.worthwhile(&quantities.limits(2), &worth, &mut work)
        };
        assert_eq!(found(51, 1_000_000), Some(Vec::new()));
        for least in [50, 20, 1] {
            let ways = found(least, 1_000_000).unwrap();
            assert_eq!(ways.len(), 1, "all others make less");
            assert_eq!((ways[0].sections.len(), ways[0].counts(2)), (3, vec![6, 0]));
        }
        assert_eq!(found(50, 3), None, "three comparisons are too few");
    }
}
