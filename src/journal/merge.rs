//! One order out of several stations' lines, the same on every terminal.
//! Pure: it must not know the disk, the clock, or what the events mean.

use std::collections::BTreeMap;

use super::line::{FARTHEST, JournalEntry};

/// Merges the stations' lines by (`after`, station, number), whatever order they arrive in.
///
/// A line always comes after every line its station had seen when it was written.
pub fn merge<E>(stations: Vec<Vec<JournalEntry<E>>>) -> Vec<JournalEntry<E>> {
    let mut all: Vec<JournalEntry<E>> = stations.into_iter().flatten().collect();
    all.sort_by(|one, other| place(one).cmp(&place(other)));
    all
}

/// The place of a line in the one order.
pub(super) fn place<E>(entry: &JournalEntry<E>) -> (u64, &str, u64) {
    (entry.after, &entry.station, entry.n)
}

/// How far each station had come when a writer last looked.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LinesSeen {
    /// The highest `after` of all lines.
    after: u64,
    /// The number of the last line of each station.
    last: BTreeMap<String, u64>,
}

impl LinesSeen {
    /// Of somebody who has seen all of these lines.
    pub fn of<E>(entries: &[JournalEntry<E>]) -> LinesSeen {
        let mut seen = LinesSeen::default();
        entries.iter().for_each(|entry| seen.take(entry));
        seen
    }

    /// Takes one more line in.
    pub fn take<E>(&mut self, entry: &JournalEntry<E>) {
        self.after = self.after.max(entry.after);
        match self.last.get_mut(&entry.station) {
            Some(last) => *last = entry.n.max(*last),
            None => {
                self.last.insert(entry.station.clone(), entry.n);
            }
        }
    }

    /// The `after` of the next line: behind everything seen.
    pub fn next_place(&self) -> u64 {
        (self.after + 1).min(FARTHEST)
    }

    /// The number of the last line of every station but this one.
    pub(super) fn others(&self, station: &str) -> BTreeMap<String, u64> {
        let others = self.last.iter().filter(|(other, _)| *other != station);
        others.map(|(other, last)| (other.clone(), *last)).collect()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const STATIONS: [&str; 3] = ["cabinet-saw", "planer", "stop-saw"];

    /// Invents a day: each step is a station reading what some others wrote, then writing a line.
    /// The event of each line is how many lines of each station its writer had seen.
    fn day(steps: &[(usize, [bool; 3])]) -> Vec<Vec<JournalEntry<[usize; 3]>>> {
        let mut files: Vec<Vec<JournalEntry<[usize; 3]>>> = vec![Vec::new(); 3];
        let mut seen = [[0; 3]; 3];
        for (writer, looks) in steps {
            for other in 0..3 {
                if looks[other] || other == *writer {
                    seen[*writer][other] = files[other].len();
                }
            }
            let known: Vec<_> = (0..3)
                .flat_map(|other| files[other][..seen[*writer][other]].iter().cloned())
                .collect();
            let entry = JournalEntry {
                n: files[*writer].len() as u64 + 1,
                after: LinesSeen::of(&known).next_place(),
                at: "2026-11-25T07:41:05+01:00".parse().expect("a time with its zone"),
                station: STATIONS[*writer].to_owned(),
                who: None,
                answer: None,
                seen: BTreeMap::new(),
                begun: None,
                event: seen[*writer],
            };
            files[*writer].push(entry);
        }
        files
    }

    fn steps() -> impl Strategy<Value = Vec<(usize, [bool; 3])>> {
        prop::collection::vec((0..3_usize, any::<[bool; 3]>()), 0..40)
    }

    /// Whether a line comes before another in the documented order, said out: the
    /// smaller `after`, then the station earlier in the alphabet, then the smaller number.
    fn comes_before<E>(one: &JournalEntry<E>, other: &JournalEntry<E>) -> bool {
        if one.after != other.after {
            return one.after < other.after;
        }
        let place = |entry: &JournalEntry<E>| STATIONS.iter().position(|s| *s == entry.station);
        if one.station != other.station {
            return place(one) < place(other);
        }
        one.n < other.n
    }

    #[test]
    fn the_first_line_of_a_batch_comes_after_nothing() {
        assert_eq!(LinesSeen::of::<()>(&[]).next_place(), 1);
    }

    /// The planer has seen lines 1 and 4 of others, so its line is the fifth.
    #[test]
    fn a_line_comes_one_after_the_last_that_was_seen() {
        let mut seen: Vec<_> =
            day(&[(0, [false; 3]), (0, [false; 3])]).into_iter().flatten().collect();
        seen[0].after = 4;
        seen[1].after = 1;
        assert_eq!(LinesSeen::of(&seen).next_place(), 5);
    }

    #[test]
    fn ties_go_by_station_then_number() {
        // Nobody looks at anybody: both write `after` 1, then 2; the saw's name comes first.
        let merged =
            merge(day(&[(1, [false; 3]), (0, [false; 3]), (1, [false; 3]), (0, [false; 3])]));
        let order: Vec<_> = merged.iter().map(|entry| (entry.station.as_str(), entry.n)).collect();
        assert_eq!(order, [("cabinet-saw", 1), ("planer", 1), ("cabinet-saw", 2), ("planer", 2)]);
    }

    proptest! {
        /// Always: The merged order of lines does not depend on the order in which they arrive.
        #[test]
        fn arrival_does_not_matter(steps in steps(), by in prop::sample::select(vec![
            [0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0],
        ]), backwards in any::<bool>()) {
            let files = day(&steps);
            let expected = merge(files.clone());
            let mut arrived: Vec<_> = by.iter().map(|at| files[*at].clone()).collect();
            if backwards {
                arrived.iter_mut().for_each(|file| file.reverse());
            }
            prop_assert_eq!(merge(arrived), expected);
        }

        /// Beside a plain insertion sort by the documented order.
        #[test]
        fn lines_merge_in_the_documented_order(steps in steps()) {
            let mut expected: Vec<JournalEntry<[usize; 3]>> = Vec::new();
            for entry in day(&steps).into_iter().flatten() {
                let at = expected.iter().position(|held| comes_before(&entry, held));
                expected.insert(at.unwrap_or(expected.len()), entry);
            }
            prop_assert_eq!(merge(day(&steps)), expected);
        }

        /// Always: A line comes after every line that its writer had seen.
        #[test]
        fn a_line_follows_all_its_writer_had_seen(steps in steps()) {
            let mut met = [0; 3];
            for entry in merge(day(&steps)) {
                prop_assert!(met.iter().zip(entry.event).all(|(met, seen)| *met >= seen));
                let writer = STATIONS.iter().position(|name| *name == entry.station).expect("one of ours");
                met[writer] += 1;
                prop_assert_eq!(met[writer] as u64, entry.n);
            }
        }
    }
}
