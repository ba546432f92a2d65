//! How much effort a search may take. The limits count steps and never time, so
//! that the same boards and needs give the same layout on every machine.
//!
//! The limits were chosen, not measured. What the racks of `benches/layout.md`
//! use of them was measured on three racks of each row, and is given below.

/// Comparisons of ways to cut, shared among the lots of boards. Where a lot needs
/// more than its share, its ways are not all listed and its bound is weaker.
/// Measured: it lists every board of the small racks, about two in three boards
/// of the racks with four parts to a class, and hardly any with eight.
pub(super) const MOST_COMPARISONS: usize = 3_000_000;

/// How often the search goes on from what it found. Measured: two at most.
pub(super) const MOST_SEARCHES: usize = 4;

/// Ways tried in looking for best cuttings; the first choice may use a fourth.
/// It only stops racks that nobody has. Measured: 20 million at most.
pub(super) const MOST_TRIED: usize = 150_000_000;

/// Sums of boards that are listed to raise a bound to the next of them. Beyond
/// this the bound stays as it is. Measured: six boards stay below it; thirty
/// different boards have more, and their sums are too close to raise a bound.
pub(super) const MOST_SUMS: usize = 20_000;

/// How often prices are tried. Measured: eleven rounds at most.
pub(super) const MOST_ROUNDS: usize = 120;

/// Branches of the search times candidates times the root of the candidates,
/// which is about how the time for a branch grows. Measured: a small rack is
/// proved within it; of the searches among thirty boards about one in five is.
pub(super) const MOST_BRANCHES: usize = 8_000_000;

/// How often a choice is started over. Not measured.
const STARTS: u64 = 150;

/// How many of these start without any board. Not measured.
pub(super) const STARTS_FROM_NOTHING: u64 = 20;

/// How often cuttings are looked for that a good choice lacks. Not measured.
pub(super) const REPAIRS: u64 = 30;

/// Blanks looked at in improving a choice; with more candidates it starts over
/// less often. Not measured.
const MOST_LOOKED: usize = 1_000_000_000;

/// How often a choice is started over where a start looks at so many blanks: once at
/// least.
pub(super) fn starts(looked_at: usize) -> u64 {
    STARTS.min((MOST_LOOKED / looked_at.max(1)) as u64).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A thousand million blanks are looked at: a hundred starts of ten million each.
    #[test]
    fn a_choice_of_many_candidates_starts_over_less_often() {
        let expected = [
            (0, 150),
            (1, 150),
            (6_600_000, 150),
            (10_000_000, 100),
            (300_000_000, 3),
            (1_000_000_000, 1),
            (9_000_000_000, 1),
        ];
        for (looked_at, times) in expected {
            assert_eq!(starts(looked_at), times, "{looked_at}");
        }
    }
}
