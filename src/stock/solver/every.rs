//! Every way to cut one board that no other way beats, where they can be listed.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::cutting::{Cutting, PlacedStrip, SectionCut};
use super::prepared::{Beside, PreparedBoard, Strip, sorts};

/// How many of each kind of blank are wanted at most. Good blanks also prove
/// settings, so the limit for good ones includes those.
#[derive(Clone, Debug)]
pub(super) struct KindLimits(pub Vec<u32>);

impl KindLimits {
    /// Whether one count is at least as good as the other for every need.
    fn no_worse(&self, one: &[u32], other: &[u32]) -> bool {
        one.chunks(2).zip(other.chunks(2)).zip(self.0.chunks(2)).all(|((one, other), most)| {
            let all = |counts: &[u32]| counts.iter().sum::<u32>().min(most[0]);
            one[0] >= other[0] && all(one) >= all(other)
        })
    }

    /// Both counts added, up to the limits.
    fn together(&self, one: &[u32], other: &[u32]) -> Vec<u32> {
        let sums = one.iter().zip(other).map(|(one, other)| one + other);
        sums.zip(&self.0).map(|(sum, most)| sum.min(*most)).collect()
    }
}

/// Strips side by side, and how many blanks of each kind they hold.
#[derive(Clone, Debug)]
pub(super) struct StripSet {
    pub counts: Vec<u32>,
    pub strips: Vec<PlacedStrip>,
}

impl PreparedBoard {
    /// Every way to rip these strips side by side that no other way beats, with
    /// no kind of blank more often than wanted; `None` where that takes more than
    /// `work` comparisons.
    pub(super) fn every_strip_set(
        &self,
        strips: &[Strip],
        limits: &KindLimits,
        work: &mut usize,
    ) -> Option<Vec<StripSet>> {
        let mut all: Vec<StripSet> = Vec::new();
        for sort in sorts(strips) {
            all.extend(self.every_set_of_a_sort(sort, strips, limits, work)?);
        }
        let mut found: Vec<StripSet> = Vec::new();
        // Sets that reach further across were found later and can be better.
        for side in all.into_iter().rev() {
            if !found.iter().any(|known| limits.no_worse(&known.counts, &side.counts)) {
                found.push(side);
            }
        }
        found.retain(|side| !side.strips.is_empty());
        Some(found)
    }

    /// The same of strips that may all lie side by side, with some that others
    /// beat.
    fn every_set_of_a_sort(
        &self,
        sort: Beside,
        strips: &[Strip],
        limits: &KindLimits,
        work: &mut usize,
    ) -> Option<Vec<StripSet>> {
        // Where the number of strips counts, fewer leave room for more.
        let beats = |known: &StripSet, side: &StripSet| {
            let as_few = sort == Beside::Anything || known.strips.len() <= side.strips.len();
            as_few && limits.no_worse(&known.counts, &side.counts)
        };
        let nothing = StripSet { counts: vec![0; limits.0.len()], strips: Vec::new() };
        let mut open = BTreeMap::from([(self.near, vec![nothing])]);
        let mut found: Vec<StripSet> = Vec::new();
        while let Some((at, sides)) = open.pop_first() {
            for side in sides {
                *work = work.checked_sub(found.len() + 1)?;
                if found.iter().any(|known| beats(known, &side)) {
                    continue;
                }
                let room = sort.has_room(side.strips.len());
                for strip in strips.iter().filter(|strip| room && strip.beside == sort) {
                    let most = limits.0[strip.blank];
                    if side.counts[strip.blank] >= most {
                        continue;
                    }
                    let Some(near) = strip.place(at, self.far) else { continue };
                    let mut next = side.clone();
                    next.counts[strip.blank] = (side.counts[strip.blank] + strip.count).min(most);
                    next.strips.push(PlacedStrip { blank: strip.blank, count: strip.count, near });
                    let there = open.entry(near + strip.width + self.rip).or_default();
                    *work = work.checked_sub(there.len() + 1)?;
                    if !there.iter().any(|known| beats(known, &next)) {
                        there.push(next);
                    }
                }
                found.push(side);
            }
        }
        Some(found)
    }

    /// Every way to cut the board that no other way beats, with no kind of blank
    /// more often than wanted; `None` where that takes more than `work`
    /// comparisons.
    pub(super) fn every_cutting(
        &self,
        limits: &KindLimits,
        mut work: usize,
    ) -> Option<Vec<Cutting>> {
        struct PartialCutting {
            counts: Vec<u32>,
            before: usize,
            section: Option<SectionCut>,
        }
        let marks = self.marks();
        // A section only begins further on than it must where other strips fit
        // from there.
        let changes: Vec<Vec<usize>> = self
            .table
            .chunks(marks + 1)
            .map(|row| (1..=marks).filter(|&at| row[at] != row[at - 1]).collect())
            .collect();
        let mut sides: BTreeMap<usize, Vec<StripSet>> = BTreeMap::new();
        let start = PartialCutting { counts: vec![0; limits.0.len()], before: 0, section: None };
        let mut open = BTreeMap::from([(0, vec![start])]);
        let mut done: Vec<PartialCutting> = Vec::new();
        while let Some((mark, steps)) = open.pop_first() {
            for step in steps {
                work = work.checked_sub(done.len() + 1)?;
                if done.iter().any(|known| limits.no_worse(&known.counts, &step.counts)) {
                    continue;
                }
                let before = done.len();
                for (row, &length) in self.lengths.iter().enumerate() {
                    let of = &self.table[row * (marks + 1)..(row + 1) * (marks + 1)];
                    let further = changes[row].iter().copied().filter(|&at| at > mark);
                    let starts = std::iter::once(mark).chain(further);
                    let starts = starts.filter(|&at| at + length as usize <= marks);
                    for at in starts {
                        let strips = of[at] as usize;
                        if let Entry::Vacant(new) = sides.entry(strips) {
                            new.insert(self.every_strip_set(
                                &self.strips[strips],
                                limits,
                                &mut work,
                            )?);
                        }
                        for side in &sides[&strips] {
                            let counts = limits.together(&step.counts, &side.counts);
                            let next = at + (length + self.kerf_marks) as usize;
                            let there = open.entry(next).or_default();
                            work = work.checked_sub(there.len() + 1)?;
                            if counts == step.counts
                                || there.iter().any(|known| limits.no_worse(&known.counts, &counts))
                            {
                                continue;
                            }
                            let (at, strips) = (self.first + at as i64, side.strips.clone());
                            let section = Some(SectionCut { at, length, strips });
                            there.push(PartialCutting { counts, before, section });
                        }
                    }
                }
                done.push(step);
            }
        }
        let mut best: Vec<usize> = Vec::new();
        for at in (0..done.len()).rev() {
            if !best.iter().any(|&known| limits.no_worse(&done[known].counts, &done[at].counts)) {
                best.push(at);
            }
        }
        let cutting = |mut at: usize| {
            let mut sections = Vec::new();
            while let Some(section) = &done[at].section {
                sections.push(section.clone());
                at = done[at].before;
            }
            sections.reverse();
            Cutting { sections }
        };
        Some(best.into_iter().map(cutting).filter(|found| !found.sections.is_empty()).collect())
    }
}
