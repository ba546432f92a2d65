//! The cutting of one board that is worth most at given prices.

use std::collections::BTreeMap;

use super::cutting::{Cutting, PlacedStrip, SectionCut};
use super::prepared::{Beside, PreparedBoard, Strip, sorts};

/// The cutting of a board that is worth most, and the effort it took.
#[derive(Clone, Debug)]
pub(super) struct BestCutting {
    /// At the prices that were asked about.
    pub worth: i64,
    pub cutting: Cutting,
    /// How many ways were tried.
    pub work: usize,
}

/// The strips that are worth something at these prices, each with its worth,
/// without those that another strip can always replace.
fn worthwhile<'s>(strips: &'s [Strip], price: &[i64]) -> Vec<(&'s Strip, i64)> {
    let worth = |strip: &'s Strip| (strip, price[strip.blank] * i64::from(strip.count));
    let mut some: Vec<_> = strips.iter().map(worth).filter(|(_, worth)| *worth > 0).collect();
    some.sort_by_key(|(strip, worth)| (strip.width, -worth));
    let mut kept: Vec<(&Strip, i64)> = Vec::new();
    for (strip, worth) in some {
        let replaces = |(other, more): &(&Strip, i64)| {
            *more >= worth && (other.blocked.is_empty() || other.blocked == strip.blocked)
        };
        if !kept.iter().any(replaces) {
            kept.push((strip, worth));
        }
    }
    kept
}

impl PreparedBoard {
    /// The strips side by side that are worth most: their worth, the strips,
    /// and how many ways were tried.
    fn best_strips(&self, strips: &[Strip], price: &[i64]) -> (i64, Vec<PlacedStrip>, usize) {
        let mut best = (0, Vec::new());
        let mut tried = 0;
        for sort in sorts(strips) {
            let of_sort: Vec<Strip> =
                strips.iter().filter(|strip| strip.beside == sort).cloned().collect();
            let (worth, found, ways) = self.best_of_a_sort(sort, &of_sort, price);
            tried += ways;
            if worth > best.0 {
                best = (worth, found);
            }
        }
        (best.0, best.1, tried)
    }

    /// The same of strips that may all lie side by side, as many as may. Searched
    /// from the marked edge on: a place is of no use where one nearer to it, with
    /// no more strips, is worth as much.
    fn best_of_a_sort(
        &self,
        sort: Beside,
        strips: &[Strip],
        price: &[i64],
    ) -> (i64, Vec<PlacedStrip>, usize) {
        struct PartialSection {
            worth: i64,
            from: usize,
            strip: Option<PlacedStrip>,
        }
        let strips = worthwhile(strips, price);
        // Where any number may lie there, the number counts for nothing.
        let counted = matches!(sort, Beside::Own { .. });
        let mut done: Vec<PartialSection> = Vec::new();
        let start = PartialSection { worth: 0, from: 0, strip: None };
        let mut reached = BTreeMap::from([((self.near, 0), start)]);
        // The most that so many strips are worth, from what is done.
        let mut most: Vec<i64> = Vec::new();
        let mut best = (0, 0);
        while let Some(((at, count), step)) = reached.pop_first() {
            if most.iter().take(count + 1).any(|known| step.worth <= *known) {
                continue;
            }
            most.resize(most.len().max(count + 1), -1);
            most[count] = step.worth;
            let from = done.len();
            if step.worth > best.0 {
                best = (step.worth, from);
            }
            for &(strip, worth) in strips.iter().filter(|_| sort.has_room(count)) {
                let Some(near) = strip.place(at, self.far) else { continue };
                let worth = step.worth + worth;
                let next = (near + strip.width + self.rip, count + usize::from(counted));
                if reached.get(&next).is_none_or(|known| known.worth < worth) {
                    let placed = PlacedStrip { blank: strip.blank, count: strip.count, near };
                    reached.insert(next, PartialSection { worth, from, strip: Some(placed) });
                }
            }
            done.push(step);
        }
        let mut found = Vec::new();
        let mut at = best.1;
        while let Some(step) = done.get(at) {
            let Some(strip) = step.strip else { break };
            found.push(strip);
            at = step.from;
        }
        found.reverse();
        (best.0, found, done.len() * strips.len())
    }

    /// The most that is cut from each mark on at these prices, and the length the
    /// first section from there has; and how many ways were tried.
    fn worth_from_marks(&self, price: &[i64]) -> (Vec<i64>, Vec<Option<usize>>, usize) {
        let marks = self.marks();
        let mut work = marks * self.lengths.len();
        let mut worth: Vec<Option<i64>> = vec![None; self.strips.len()];
        // The most from each mark on, and the length its first section has.
        let mut best = vec![0_i64; marks + 2];
        let mut with: Vec<Option<usize>> = vec![None; marks + 1];
        for mark in (0..marks).rev() {
            best[mark] = best[mark + 1];
            for (row, &length) in self.lengths.iter().enumerate() {
                let end = mark + length as usize;
                if end > marks {
                    continue;
                }
                let rest = best[(end + self.kerf_marks as usize).min(marks + 1)];
                let mut of = |strips: usize| {
                    *worth[strips].get_or_insert_with(|| {
                        let (worth, _, tried) = self.best_strips(&self.strips[strips], price);
                        work += tried;
                        worth
                    })
                };
                let clear = of(row);
                let strips = self.table[row * (marks + 1) + mark] as usize;
                // Flaws never add worth, so a section that is not worth enough
                // without them needs no closer look.
                if clear > 0 && clear + rest >= best[mark] {
                    let whole = of(strips) + rest;
                    if whole > best[mark] || (whole == best[mark] && with[mark].is_none()) {
                        (best[mark], with[mark]) = (whole, Some(row));
                    }
                }
            }
        }
        (best, with, work)
    }

    /// The most that is cut from each mark on at these prices.
    pub(super) fn most_from_marks(&self, price: &[i64]) -> Vec<i64> {
        self.worth_from_marks(price).0
    }

    /// The cutting that is worth most where each kind of blank has a price and
    /// any number of it may be cut. It is exact: no cutting that crosscuts
    /// first and rips then is worth more.
    pub(super) fn best_cutting(&self, price: &[i64]) -> BestCutting {
        let marks = self.marks();
        let (best, with, work) = self.worth_from_marks(price);
        let mut sections = Vec::new();
        let mut mark = 0;
        while mark < marks {
            let Some(row) = with[mark].filter(|_| best[mark] > 0) else {
                mark += 1;
                continue;
            };
            let strips = self.table[row * (marks + 1) + mark] as usize;
            let (_, strips, _) = self.best_strips(&self.strips[strips], price);
            if !strips.is_empty() {
                let at = self.first + mark as i64;
                sections.push(SectionCut { at, length: self.lengths[row], strips });
            }
            mark += (self.lengths[row] + self.kerf_marks) as usize;
        }
        BestCutting { worth: best[0], cutting: Cutting { sections }, work }
    }
}
