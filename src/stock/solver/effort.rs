//! How much effort a search may take. The limits count steps and never time, so
//! that the same boards and needs give the same layout on every machine.

/// Comparisons of ways to cut, shared among the lots of boards; where one needs
/// more than its share, its ways are not all listed.
pub(super) const MOST_COMPARISONS: usize = 3_000_000;

/// How often the search goes on from what it found.
pub(super) const MOST_SEARCHES: usize = 4;

/// Ways tried in looking for best cuttings. The first choice may use a fourth.
pub(super) const MOST_TRIED: usize = 150_000_000;

/// Sums of boards that are listed to raise a bound to the next of them.
pub(super) const MOST_SUMS: usize = 20_000;

/// How often prices are tried.
pub(super) const MOST_ROUNDS: usize = 120;

/// Branches times candidates times the root of the candidates.
pub(super) const MOST_BRANCHES: usize = 8_000_000;

/// How often a choice is started over.
pub(super) const STARTS: u64 = 150;

/// How many of these start without any board.
pub(super) const STARTS_FROM_NOTHING: u64 = 20;

/// How often cuttings are looked for that a good choice lacks.
pub(super) const REPAIRS: u64 = 30;

/// Blanks looked at in improving a choice.
pub(super) const MOST_LOOKED: usize = 1_000_000_000;
