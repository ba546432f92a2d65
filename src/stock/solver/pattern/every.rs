//! Every way to cut one board that no other way beats, where they can be listed.
//! Knows nothing of what any blank is worth.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::{Cutting, PlacedStrip, PreparedBoard, SectionCut, Strip};

/// How many of each kind are wanted at most; of every need the good blanks
/// first and then those for settings, for which good ones do as well.
#[derive(Clone, Debug)]
pub(in crate::stock) struct KindLimits(pub Vec<u32>);

impl KindLimits {
    /// Whether one count is as good as the other for every need.
    fn no_worse(&self, one: &[u32], other: &[u32]) -> bool {
        one.chunks(2).zip(other.chunks(2)).zip(self.0.chunks(2)).all(|((one, other), most)| {
            let all = |counts: &[u32]| counts.iter().sum::<u32>().min(most[0]);
            one[0] >= other[0] && all(one) >= all(other)
        })
    }

    fn together(&self, one: &[u32], other: &[u32]) -> Vec<u32> {
        let sums = one.iter().zip(other).map(|(one, other)| one + other);
        sums.zip(&self.0).map(|(sum, most)| sum.min(*most)).collect()
    }
}

/// Strips side by side, and how many blanks of each kind they hold.
#[derive(Clone, Debug)]
struct StripSet {
    counts: Vec<u32>,
    strips: Vec<PlacedStrip>,
}

impl PreparedBoard {
    /// Every way to rip these strips side by side that no other way beats, no
    /// kind of blank more often than wanted; `None` where that is too much work.
    fn every_ripped(
        &self,
        strips: &[Strip],
        wants: &KindLimits,
        work: &mut usize,
    ) -> Option<Vec<StripSet>> {
        let nothing = StripSet { counts: vec![0; wants.0.len()], strips: Vec::new() };
        let mut open = BTreeMap::from([(self.near, vec![nothing])]);
        let mut found: Vec<StripSet> = Vec::new();
        while let Some((at, sides)) = open.pop_first() {
            for side in sides {
                *work = work.checked_sub(found.len() + 1)?;
                if found.iter().any(|known| wants.no_worse(&known.counts, &side.counts)) {
                    continue;
                }
                for strip in strips {
                    let most = wants.0[strip.blank];
                    if side.counts[strip.blank] >= most {
                        continue;
                    }
                    let Some(near) = strip.place(at, self.far) else { continue };
                    let mut next = side.clone();
                    next.counts[strip.blank] = (side.counts[strip.blank] + strip.count).min(most);
                    next.strips.push(PlacedStrip { blank: strip.blank, count: strip.count, near });
                    let there = open.entry(near + strip.width + self.rip).or_default();
                    *work = work.checked_sub(there.len() + 1)?;
                    if !there.iter().any(|known| wants.no_worse(&known.counts, &next.counts)) {
                        there.push(next);
                    }
                }
                found.push(side);
            }
        }
        let all = std::mem::take(&mut found);
        // What lies further on the board was found later and may be more.
        for side in all.into_iter().rev() {
            if !found.iter().any(|known| wants.no_worse(&known.counts, &side.counts)) {
                found.push(side);
            }
        }
        found.retain(|side| !side.strips.is_empty());
        Some(found)
    }

    /// Every way to cut the board that no other way beats, no kind of blank
    /// more often than wanted; `None` where finding them takes more than so many
    /// comparisons.
    pub fn every(&self, wants: &KindLimits, mut work: usize) -> Option<Vec<Cutting>> {
        struct Partial {
            counts: Vec<u32>,
            before: usize,
            section: Option<SectionCut>,
        }
        let marks = self.marks();
        // A section can be moved nearer unless other strips fit from there on.
        let news: Vec<Vec<usize>> = self
            .table
            .chunks(marks + 1)
            .map(|row| (1..=marks).filter(|&at| row[at] != row[at - 1]).collect())
            .collect();
        let mut sides: BTreeMap<usize, Vec<StripSet>> = BTreeMap::new();
        let start = Partial { counts: vec![0; wants.0.len()], before: 0, section: None };
        let mut open = BTreeMap::from([(0, vec![start])]);
        let mut done: Vec<Partial> = Vec::new();
        while let Some((mark, steps)) = open.pop_first() {
            for step in steps {
                work = work.checked_sub(done.len() + 1)?;
                if done.iter().any(|known| wants.no_worse(&known.counts, &step.counts)) {
                    continue;
                }
                let before = done.len();
                for (row, &long) in self.long.iter().enumerate() {
                    let of = &self.table[row * (marks + 1)..(row + 1) * (marks + 1)];
                    let further = news[row].iter().copied().filter(|&at| at > mark);
                    let starts = std::iter::once(mark).chain(further);
                    let starts = starts.filter(|&at| at + long as usize <= marks);
                    for at in starts {
                        let strips = of[at] as usize;
                        if let Entry::Vacant(new) = sides.entry(strips) {
                            new.insert(self.every_ripped(
                                &self.strips[strips],
                                wants,
                                &mut work,
                            )?);
                        }
                        for side in &sides[&strips] {
                            let counts = wants.together(&step.counts, &side.counts);
                            let next = at + (long + self.kerf_marks) as usize;
                            let there = open.entry(next).or_default();
                            work = work.checked_sub(there.len() + 1)?;
                            if counts == step.counts
                                || there.iter().any(|known| wants.no_worse(&known.counts, &counts))
                            {
                                continue;
                            }
                            let (at, strips) = (self.first + at as i64, side.strips.clone());
                            let section = Some(SectionCut { at, long, strips });
                            there.push(Partial { counts, before, section });
                        }
                    }
                }
                done.push(step);
            }
        }
        let mut best: Vec<usize> = Vec::new();
        for at in (0..done.len()).rev() {
            if !best.iter().any(|&known| wants.no_worse(&done[known].counts, &done[at].counts)) {
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
