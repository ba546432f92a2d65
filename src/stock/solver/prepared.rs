//! A board ready to be cut, with everything worked out that depends on the
//! board alone.
//!
//! Places are measured from the marked end, which is zero. Something is trimmed
//! off either end, and something off the width for one straight edge. The board is
//! crosscut into sections whose ends fall on marks; a section is as long as one
//! of the blanks wanted from this board, rounded up to a mark. In a section
//! strips are ripped side by side; a strip holds blanks of one kind end to end
//! from the near end of the section on, as many as fit, or fewer where a flaw is
//! in the way. Grain runs along the board, so a blank never lies across it.
//! Side by side lies only what an operation rips apart: strips of one need, and
//! as many of them as come from one width there.
//!
//! Sections end on marks because a tape has marks, and cutting to the longest
//! blank before ripping is what shops do. It also makes the best cutting of one
//! board an exact calculation. Sections of any length were rejected: there are
//! more ways than can be proved, and they save less than a mark a cut.

use std::collections::{BTreeMap, BTreeSet};

use super::blank_kind::{BlankKind, FlawBox, overlap};
use crate::measure::Length;
use crate::stock::board::RackBoard;
use crate::stock::saw::Saw;

/// Marks on one board. Where a tape has more, only every second (third, ...)
/// mark is used, so that a board of any length takes bounded time. A board of
/// 21 ft has this many sixteenths. Chosen, not measured.
const MOST_MARKS: i64 = 4096;

/// A sixteenth of an inch in nanometres: the mark where the shop gives none.
const USUAL_MARK: i64 = 1_587_500;

/// What may lie side by side in one section.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Beside {
    /// Anything of the same sort.
    #[default]
    Anything,
    /// Strips of one need, and no more than this.
    Own {
        /// The need.
        need: usize,
        /// How many.
        most: u32,
    },
}

impl Beside {
    /// Whether another strip may come to those that lie there.
    pub(super) fn has_room(self, strips: usize) -> bool {
        match self {
            Beside::Anything => true,
            Beside::Own { most, .. } => strips < most as usize,
        }
    }
}

/// What may lie side by side of these strips, each sort once.
pub(super) fn sorts(strips: &[Strip]) -> Vec<Beside> {
    let mut sorts: Vec<Beside> = strips.iter().map(|strip| strip.beside).collect();
    sorts.sort_unstable();
    sorts.dedup();
    sorts
}

/// Blanks of one kind end to end, with the places across the section where a
/// flaw is in their way.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Strip {
    /// Which kind of blank.
    pub blank: usize,
    /// How many of them.
    pub count: u32,
    /// In nanometres.
    pub width: i64,
    /// What may lie beside it.
    pub beside: Beside,
    /// What it may not touch, from the marked edge on, no two overlapping.
    pub blocked: Vec<(i64, i64)>,
}

impl Strip {
    /// Its nearest place from `from` on where it touches nothing it may not.
    pub(super) fn place(&self, from: i64, far: i64) -> Option<i64> {
        let mut at = from;
        for &blocked in &self.blocked {
            if overlap(blocked, (at, at.saturating_add(self.width))) {
                at = blocked.1;
            }
        }
        (at.checked_add(self.width)? <= far).then_some(at)
    }
}

/// A board ready to be cut. Sizes are in nanometres unless they are in marks.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::stock) struct PreparedBoard {
    /// First and last mark of what may be used.
    pub(super) first: i64,
    pub(super) last: i64,
    /// The same, not rounded to a mark.
    pub(super) start: i64,
    pub(super) end: i64,
    /// From one mark to the next.
    pub step: i64,
    /// The crosscut kerf, in marks.
    pub(super) kerf_marks: i64,
    /// The kerfs.
    pub(super) crosscut: i64,
    pub(super) rip: i64,
    /// What may be used of the width.
    pub(super) near: i64,
    pub(super) far: i64,
    flaws: Vec<FlawBox>,
    /// The lengths a section may have, in marks, the longest first.
    pub(super) lengths: Vec<i64>,
    /// For each length and each mark the strips there are, as an index into
    /// `strips`. The first of those, one for each length, are without flaws.
    pub(super) table: Vec<u32>,
    pub(super) strips: Vec<Vec<Strip>>,
}

/// What `count` blanks end to end may not touch, no two overlapping. `blocking`
/// has for each flaw the first blank that may not contain it, and where across
/// the board the flaw is.
pub(super) fn blocked_across(blocking: &[(i64, (i64, i64))], count: i64) -> Vec<(i64, i64)> {
    let in_the_way = blocking.iter().filter(|(first, _)| *first < count);
    let mut blocked: Vec<(i64, i64)> = in_the_way.map(|(_, across)| *across).collect();
    blocked.sort_unstable();
    let mut merged: Vec<(i64, i64)> = Vec::new();
    for next in blocked {
        match merged.last_mut() {
            Some(last) if next.0 < last.1 => last.1 = last.1.max(next.1),
            _ => merged.push(next),
        }
    }
    merged
}

/// `size` in whole steps, rounded up; `step` is greater than zero.
pub(super) fn steps_up(size: i64, step: i64) -> i64 {
    size.div_euclid(step) + i64::from(size.rem_euclid(step) > 0)
}

impl PreparedBoard {
    /// `None` where the board has room for no blank. Up to `cut_to` it is cut
    /// already; the kerf of that last cut comes on top. `may` says which kinds
    /// of blank may come from it.
    pub(crate) fn new(
        board: &RackBoard,
        cut_to: Option<i64>,
        saw: &Saw,
        blanks: &[BlankKind],
        may: impl Fn(&BlankKind) -> bool,
    ) -> Option<PreparedBoard> {
        let at_least_zero = |length: Length| length.nanometres().max(0);
        let (crosscut, rip) = (at_least_zero(saw.crosscut), at_least_zero(saw.rip));
        let (trim, near) = (at_least_zero(saw.trim), at_least_zero(saw.edge));
        let from = cut_to.map_or(trim, |cut_to| trim.max(cut_to.saturating_add(crosscut)));
        let (to, far) = (board.length.nanometres() - trim, board.width.nanometres());
        if from >= to || near >= far {
            return None;
        }
        let mark = match saw.mark.nanometres() {
            mark if mark > 0 => mark,
            _ => USUAL_MARK,
        };
        let step = mark.saturating_mul(steps_up(to.div_euclid(mark), MOST_MARKS).max(1));
        let (first, last) = (steps_up(from, step), to.div_euclid(step));
        let fits = |blank: &BlankKind| {
            blank.length > 0
                && blank.width > 0
                && blank.width <= far - near
                && steps_up(blank.length, step) <= last - first
        };
        let kinds: Vec<usize> =
            (0..blanks.len()).filter(|&kind| fits(&blanks[kind]) && may(&blanks[kind])).collect();
        let mut lengths: Vec<i64> =
            kinds.iter().map(|&kind| steps_up(blanks[kind].length, step)).collect();
        lengths.sort_unstable_by(|one, other| other.cmp(one));
        lengths.dedup();
        if lengths.is_empty() {
            return None;
        }
        let mut flaws: Vec<FlawBox> = board.flaws.iter().map(FlawBox::of).collect();
        flaws.retain(|flaw| {
            overlap(flaw.along, (first * step, last * step)) && overlap(flaw.across, (near, far))
        });
        let mut prepared = PreparedBoard {
            first,
            last,
            start: from,
            end: to,
            step,
            kerf_marks: steps_up(crosscut, step),
            crosscut,
            rip,
            near,
            far,
            flaws,
            lengths,
            table: Vec::new(),
            strips: Vec::new(),
        };
        prepared.tabulate(blanks, &kinds);
        Some(prepared)
    }

    /// The last mark of what may be used, counted from the first.
    pub(super) fn marks(&self) -> usize {
        usize::try_from(self.last - self.first).unwrap_or(0)
    }

    /// Fills `strips` and `table`.
    fn tabulate(&mut self, blanks: &[BlankKind], kinds: &[usize]) {
        let mut known: BTreeMap<Vec<Strip>, u32> = BTreeMap::new();
        let (marks, step) = (self.marks(), self.step);
        self.table = vec![0; self.lengths.len() * (marks + 1)];
        for &length in &self.lengths {
            self.strips.push(self.strips_at(blanks, kinds, length, None));
        }
        for (row, &length) in self.lengths.iter().enumerate() {
            for mark in 0..=marks {
                let at = (self.first + mark as i64) * step;
                let touched = self.flaws.iter().any(|f| overlap(f.along, (at, at + length * step)));
                self.table[row * (marks + 1) + mark] = if touched {
                    let strips = self.strips_at(blanks, kinds, length, Some(at));
                    *known.entry(strips).or_insert_with_key(|strips| {
                        self.strips.push(strips.clone());
                        (self.strips.len() - 1) as u32
                    })
                } else {
                    row as u32
                };
            }
        }
    }

    /// What a section of `length` marks can be ripped into when it begins at
    /// `at`, or on a board without flaws where that is `None`.
    fn strips_at(
        &self,
        blanks: &[BlankKind],
        kinds: &[usize],
        length: i64,
        at: Option<i64>,
    ) -> Vec<Strip> {
        let mut strips: Vec<Strip> = Vec::new();
        for &kind in kinds {
            let blank = &blanks[kind];
            let each = blank.length + self.crosscut;
            let most = (length * self.step + self.crosscut).div_euclid(each);
            // A strip with fewer blanks is listed only where it keeps clear of a
            // flaw that a longer one meets, and one for proving settings only
            // where a good one would meet a flaw.
            let blocking = at.map_or(Vec::new(), |at| self.blocking(blank, at));
            let mut counts: Vec<i64> = blocking.iter().map(|(first, _)| *first).collect();
            counts.retain(|count| (1..most).contains(count));
            counts.push(most);
            counts.sort_unstable_by(|one, other| other.cmp(one));
            counts.dedup();
            let from = strips.len();
            for count in counts.into_iter().filter(|count| *count > 0) {
                let blocked = blocked_across(&blocking, count);
                let beside = blank
                    .abreast
                    .map_or(Beside::Anything, |most| Beside::Own { need: blank.need, most });
                let (width, count) = (blank.width, count as u32);
                let strip = Strip { blank: kind, count, width, beside, blocked };
                let no_better = |other: &Strip| {
                    other.blocked == strip.blocked
                        && other.count >= strip.count
                        && blanks[other.blank].need == blank.need
                };
                if strip.place(self.near, self.far).is_some()
                    && !strips[from..].iter().any(no_better)
                    && !(blank.proving && strips[..from].iter().any(no_better))
                {
                    strips.push(strip);
                }
            }
        }
        strips
    }

    /// The flaws in the way of blanks end to end from `at` on: for each the
    /// first blank that may not contain it, and where across the board it is. A
    /// flaw that reaches into several blanks is hidden in none of them; the
    /// other rulings do not depend on which blank contains it.
    pub(super) fn blocking(&self, blank: &BlankKind, at: i64) -> Vec<(i64, (i64, i64))> {
        let each = blank.length + self.crosscut;
        let blocking = |flaw: &FlawBox| {
            let first = (flaw.along.0 - at - blank.length).div_euclid(each) + 1;
            let from = at + first.max(0) * each;
            let meets = overlap(flaw.along, (from, from + blank.length));
            (meets && !blank.may_contain(flaw, from)).then_some((first.max(0), flaw.across))
        };
        self.flaws.iter().filter_map(blocking).collect()
    }

    /// Which kinds of blank may come from it.
    pub(crate) fn kinds(&self) -> BTreeSet<usize> {
        self.strips.iter().flatten().map(|strip| strip.blank).collect()
    }
}
