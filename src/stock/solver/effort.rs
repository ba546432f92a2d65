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
/// which is about how the time for a branch grows. Measured: of the searches among
/// thirty boards about one in five is proved within it.
pub(super) const MOST_BRANCHES: usize = 8_000_000;

/// How often a choice is started over from the best so far. Not measured.
pub(super) const STARTS: u64 = 200;

/// How often cuttings are looked for that a good choice lacks. Not measured.
pub(super) const REPAIRS: u64 = 30;

/// How often a choice is started without any board. Not measured.
const STARTS_FROM_NOTHING: u64 = 20;

/// Blanks looked at in starting without any board; with more candidates that is
/// done less often. Not measured.
const MOST_LOOKED: usize = 150_000_000;

/// How often a choice is started without any board where that looks at so many
/// blanks: once at least.
pub(super) fn starts_from_nothing(looked_at: usize) -> u64 {
    STARTS_FROM_NOTHING.min((MOST_LOOKED / looked_at.max(1)) as u64).max(1)
}

/// Sets of boards that are put in the order of their cost. Chosen, not measured.
pub(super) const MOST_SETS: usize = 70_000;

/// Boards of which sets are looked at. Where more sets than the limit above cost less
/// than what is known, none are. Chosen, not measured.
pub(super) const FEW_BOARDS: usize = 24;

/// Blanks that are missing where more are looked for. A rack that lacks more is far
/// too small, and no other layout makes much more of it. Chosen, not measured.
pub(super) const MOST_MISSING: u32 = 12;

/// Opened and closed boards that are laid out again together, and how often each
/// opened board is. Measured on eight racks of thirty boards: four opened and five closed
/// boards save no more.
pub(super) const OPENED: usize = 3;
pub(super) const CLOSED: usize = 4;
pub(super) const EXCHANGES: usize = 4;

/// What searching sets of boards may still take, in comparisons, and what one of
/// its steps may.
#[derive(Clone, Copy, Debug)]
pub(super) struct Effort {
    left: usize,
    step: usize,
}

impl Effort {
    /// How often undecided sets are searched, each time with more effort.
    pub(super) const PASSES: u32 = 3;

    /// For the cheapest boards of a small rack.
    pub(super) fn of_few() -> Effort {
        Effort { left: 40_000_000, step: 0 }
    }

    /// For making more from all boards of a small rack.
    pub(super) fn of_making_more() -> Effort {
        Effort { left: 12_000_000, step: 0 }
    }

    /// For a few boards of a large rack.
    pub(super) fn of_exchange() -> Effort {
        Effort { left: 150_000, step: 0 }
    }

    /// Sets what one step may take in this pass.
    pub(super) fn begin(&mut self, pass: u32) {
        self.step = 100_000 * 8_usize.pow(pass);
    }

    pub(super) fn is_spent(self) -> bool {
        self.left == 0
    }

    /// Takes what was done outside of these steps.
    pub(super) fn spend(&mut self, work: usize) {
        self.left = self.left.saturating_sub(work);
    }

    /// Takes what listing the ways to cut a board takes.
    pub(super) fn of_list<T>(&mut self, list: impl FnOnce(&mut usize) -> Option<T>) -> Option<T> {
        self.take(list)
    }

    /// Takes what a search among listed ways takes.
    pub(super) fn of_holding<T>(
        &mut self,
        search: impl FnOnce(&mut usize) -> Option<T>,
    ) -> Option<T> {
        self.take(search)
    }

    fn take<T>(&mut self, step: impl FnOnce(&mut usize) -> Option<T>) -> Option<T> {
        let most = self.step.min(self.left);
        let mut work = most;
        let found = step(&mut work);
        // A step that ran out has spent all it had.
        self.left -= if found.is_some() { most - work } else { most };
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 150 million blanks are looked at: fifteen starts of ten million each.
    #[test]
    fn a_choice_of_many_candidates_starts_from_nothing_less_often() {
        let expected = [
            (0, 20),
            (1, 20),
            (7_500_000, 20),
            (10_000_000, 15),
            (75_000_000, 2),
            (150_000_000, 1),
            (9_000_000_000, 1),
        ];
        for (looked_at, times) in expected {
            assert_eq!(starts_from_nothing(looked_at), times, "{looked_at}");
        }
    }
}
