//! One order out of several stations' lines, the same on every terminal.
//! Pure: it must not know the disk, the clock, or what the events mean.

use super::line::JournalEntry;

/// Merges the stations' lines by (`after`, station, number), whatever order they arrive in.
///
/// A line always comes after every line its station had seen when it was written.
pub fn merge<E>(stations: Vec<Vec<JournalEntry<E>>>) -> Vec<JournalEntry<E>> {
    let mut all: Vec<JournalEntry<E>> = stations.into_iter().flatten().collect();
    all.sort_by(|a, b| (a.after, &a.station, a.n).cmp(&(b.after, &b.station, b.n)));
    all
}

/// Returns the `after` of a line written by someone who has seen all of these.
pub fn next_after<E>(all: &[JournalEntry<E>]) -> u64 {
    all.iter().map(|entry| entry.after).max().unwrap_or(0).saturating_add(1)
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
                after: next_after(&known),
                at: "2026-11-25T07:41:05+01:00".parse().expect("a time with its zone"),
                station: STATIONS[*writer].to_owned(),
                who: None,
                answer: None,
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
        assert_eq!(next_after::<()>(&[]), 1);
    }

    /// The planer has seen lines 1 and 4 of others, so its line is the fifth.
    #[test]
    fn a_line_comes_one_after_the_last_that_was_seen() {
        let mut seen: Vec<_> =
            day(&[(0, [false; 3]), (0, [false; 3])]).into_iter().flatten().collect();
        seen[0].after = 4;
        seen[1].after = 1;
        assert_eq!(next_after(&seen), 5);
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
