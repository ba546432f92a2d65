//! What can be cut from one board: sections along it, strips side by side in
//! each. Knows nothing of the other boards, of prices in money, or of sets.
//!
//! A board lies with its marked end at nothing. So much is trimmed off either
//! end and so much off its width for one straight edge. It is crosscut into
//! sections whose ends fall on marks; a section is as long as one of the blanks
//! wanted from this board, up to the next mark. In a section strips are ripped
//! side by side; a strip holds blanks of one kind end to end from the section's
//! near end on, as many as go or fewer where a flaw is in the way. Grain runs
//! along the board, so a blank never lies across it.

mod every;

use std::collections::{BTreeMap, BTreeSet};

use crate::measure::Length;
use crate::stock::board::{Flaw, FlawKind, Footprint, RackBoard, Ruling, Stretch};
use crate::stock::need::BlankNeed;
use crate::stock::saw::Saw;
pub(in crate::stock) use every::KindLimits;

/// Marks on one board: where there are more, only every second (third, ...)
/// mark is used.
const MOST_MARKS: i64 = 4096;

/// A sixteenth of an inch, where the saw says no mark.
const USUAL_MARK: i64 = 1_587_500;

/// A blank as it is asked for: for a set or a spare, or one on which settings
/// are proved and which may look as it likes.
#[derive(Clone, Debug)]
pub(in crate::stock) struct BlankKind {
    pub need: usize,
    pub proving: bool,
    pub length: i64,
    pub width: i64,
    hidden: Vec<(i64, i64)>,
    fill: Option<i64>,
}

impl BlankKind {
    pub fn of(index: usize, need: &BlankNeed, proving: bool) -> BlankKind {
        BlankKind {
            need: index,
            proving,
            length: need.length.nanometres(),
            width: need.width.nanometres(),
            hidden: need.hidden.iter().map(|stretch| ends(*stretch)).collect(),
            fill: need.fill.map(|most| most.nanometres()),
        }
    }

    /// Whether it may hold this flaw when it begins here. A flaw that sticks
    /// out of the blank is not hidden in it.
    fn may_hold(&self, flaw: &FlawBox, at: i64) -> bool {
        if flaw.kind == FlawKind::Split {
            return false;
        }
        if self.proving {
            return true;
        }
        let (from, to) = (flaw.along.0 - at, flaw.along.1 - at);
        match flaw.ruling {
            Ruling::Around => false,
            Ruling::Fill => self.fill.is_some_and(|most| to - from <= most),
            Ruling::Hidden => self.hidden.iter().any(|&(near, far)| {
                let inside = |from: i64, to: i64| near.max(0) <= from && to <= far.min(self.length);
                inside(from, to) || inside(self.length - to, self.length - from)
            }),
        }
    }
}

fn ends(stretch: Stretch) -> (i64, i64) {
    let (one, other) = (stretch.from.nanometres(), stretch.to.nanometres());
    (one.min(other), one.max(other))
}

fn stretch(from: i64, to: i64) -> Stretch {
    Stretch { from: Length::from_nanometres(from), to: Length::from_nanometres(to) }
}

/// A flaw in nanometres, its nearer ends first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::stock) struct FlawBox {
    kind: FlawKind,
    ruling: Ruling,
    along: (i64, i64),
    across: (i64, i64),
}

impl FlawBox {
    pub fn of(flaw: &Flaw) -> FlawBox {
        FlawBox {
            kind: flaw.kind,
            ruling: flaw.ruling,
            along: ends(flaw.along),
            across: flaw.across.map_or((i64::MIN, i64::MAX), ends),
        }
    }
}

/// Whether two stretches share more than an end.
pub(in crate::stock) fn overlap(one: (i64, i64), other: (i64, i64)) -> bool {
    one.0 < other.1 && other.0 < one.1
}

/// Blanks of one kind end to end, wherever across the section nothing is in
/// their way.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Strip {
    blank: usize,
    count: u32,
    width: i64,
    /// What they may not touch, from the marked edge on, no two overlapping.
    shut: Vec<(i64, i64)>,
}

impl Strip {
    /// The nearest place from here on where it lies clear.
    fn place(&self, from: i64, far: i64) -> Option<i64> {
        let mut at = from;
        for &shut in &self.shut {
            if overlap(shut, (at, at.saturating_add(self.width))) {
                at = shut.1;
            }
        }
        (at.checked_add(self.width)? <= far).then_some(at)
    }
}

/// The strips that are worth something by these prices, with what they come
/// to, without those in whose place another always does as well.
fn worthwhile<'s>(strips: &'s [Strip], price: &[i64]) -> Vec<(&'s Strip, i64)> {
    let worth = |strip: &'s Strip| (strip, price[strip.blank] * i64::from(strip.count));
    let mut some: Vec<_> = strips.iter().map(worth).filter(|(_, worth)| *worth > 0).collect();
    some.sort_by_key(|(strip, worth)| (strip.width, -worth));
    let mut kept: Vec<(&Strip, i64)> = Vec::new();
    for (strip, worth) in some {
        let as_well = |(other, more): &(&Strip, i64)| {
            *more >= worth && (other.shut.is_empty() || other.shut == strip.shut)
        };
        if !kept.iter().any(as_well) {
            kept.push((strip, worth));
        }
    }
    kept
}

/// A strip where it lies across its section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::stock) struct PlacedStrip {
    pub blank: usize,
    pub count: u32,
    pub near: i64,
}

/// A section, in marks from the marked end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::stock) struct SectionCut {
    pub at: i64,
    pub long: i64,
    pub strips: Vec<PlacedStrip>,
}

/// One way to cut a board.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::stock) struct Cutting {
    pub sections: Vec<SectionCut>,
}

impl Cutting {
    /// How many of each kind of blank it gives.
    pub fn counts(&self, kinds: usize) -> Vec<u32> {
        let mut counts = vec![0; kinds];
        for strip in self.sections.iter().flat_map(|section| &section.strips) {
            counts[strip.blank] += strip.count;
        }
        counts
    }

    /// Leaves out what is more than was asked for, and sections with nothing in
    /// them.
    pub fn only(&mut self, mut wanted: impl FnMut(usize) -> bool) {
        for section in &mut self.sections {
            for strip in &mut section.strips {
                strip.count = (0..strip.count).take_while(|_| wanted(strip.blank)).count() as u32;
            }
            section.strips.retain(|strip| strip.count > 0);
        }
        self.sections.retain(|section| !section.strips.is_empty());
    }
}

/// The dearest way to cut a board, and how many ways were tried for it.
#[derive(Clone, Debug)]
pub(in crate::stock) struct BestCutting {
    pub worth: i64,
    pub cutting: Cutting,
    pub work: usize,
}

/// A board ready to be cut, with all that depends on it alone worked out.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::stock) struct PreparedBoard {
    /// First and last mark of what may be used.
    first: i64,
    last: i64,
    /// The same, not to a mark.
    start: i64,
    end: i64,
    pub step: i64,
    kerf_marks: i64,
    crosscut: i64,
    rip: i64,
    near: i64,
    far: i64,
    flaws: Vec<FlawBox>,
    /// The lengths a section may have, in marks, the longest first.
    long: Vec<i64>,
    /// For each length and each mark the strips there are, as an index into
    /// `strips`; the first so many of those are the lengths without flaws.
    table: Vec<u32>,
    strips: Vec<Vec<Strip>>,
}

/// What so many blanks end to end may not touch, no two overlapping.
fn shut(spoilt: &[(i64, (i64, i64))], count: i64) -> Vec<(i64, i64)> {
    let in_the_way = spoilt.iter().filter(|(first, _)| *first < count);
    let mut shut: Vec<(i64, i64)> = in_the_way.map(|(_, across)| *across).collect();
    shut.sort_unstable();
    let mut merged: Vec<(i64, i64)> = Vec::new();
    for next in shut {
        match merged.last_mut() {
            Some(last) if next.0 < last.1 => last.1 = last.1.max(next.1),
            _ => merged.push(next),
        }
    }
    merged
}

/// Up to the next whole multiple; `step` is more than nothing.
fn up(size: i64, step: i64) -> i64 {
    size.div_euclid(step) + i64::from(size.rem_euclid(step) > 0)
}

impl PreparedBoard {
    /// `None` where the board has room for nothing. Up to `taken` it is cut
    /// already; the kerf of that last cut comes on top. `may` says which kinds
    /// of blank may come from it.
    pub fn new(
        board: &RackBoard,
        taken: Option<i64>,
        saw: &Saw,
        blanks: &[BlankKind],
        may: impl Fn(&BlankKind) -> bool,
    ) -> Option<PreparedBoard> {
        let nothing_less = |length: Length| length.nanometres().max(0);
        let (crosscut, rip) = (nothing_less(saw.crosscut), nothing_less(saw.rip));
        let (trim, near) = (nothing_less(saw.trim), nothing_less(saw.edge));
        let from = taken.map_or(trim, |taken| trim.max(taken.saturating_add(crosscut)));
        let (to, far) = (board.length.nanometres() - trim, board.width.nanometres());
        if from >= to || near >= far {
            return None;
        }
        let mark = match saw.mark.nanometres() {
            mark if mark > 0 => mark,
            _ => USUAL_MARK,
        };
        let step = mark.saturating_mul(up(to.div_euclid(mark), MOST_MARKS).max(1));
        let (first, last) = (up(from, step), to.div_euclid(step));
        let fits = |blank: &BlankKind| {
            blank.length > 0
                && blank.width > 0
                && blank.width <= far - near
                && up(blank.length, step) <= last - first
        };
        let kinds: Vec<usize> =
            (0..blanks.len()).filter(|&kind| fits(&blanks[kind]) && may(&blanks[kind])).collect();
        let mut long: Vec<i64> = kinds.iter().map(|&kind| up(blanks[kind].length, step)).collect();
        long.sort_unstable_by(|one, other| other.cmp(one));
        long.dedup();
        if long.is_empty() {
            return None;
        }
        let mut flaws: Vec<FlawBox> = board.flaws.iter().map(FlawBox::of).collect();
        flaws.retain(|flaw| {
            overlap(flaw.along, (first * step, last * step)) && overlap(flaw.across, (near, far))
        });
        let mut bed = PreparedBoard {
            first,
            last,
            start: from,
            end: to,
            step,
            kerf_marks: up(crosscut, step),
            crosscut,
            rip,
            near,
            far,
            flaws,
            long,
            table: Vec::new(),
            strips: Vec::new(),
        };
        bed.work_out(blanks, &kinds);
        Some(bed)
    }

    /// The last mark of what may be used, counted from the first.
    fn marks(&self) -> usize {
        usize::try_from(self.last - self.first).unwrap_or(0)
    }

    fn work_out(&mut self, blanks: &[BlankKind], kinds: &[usize]) {
        let mut known: BTreeMap<Vec<Strip>, u32> = BTreeMap::new();
        let (marks, step) = (self.marks(), self.step);
        self.table = vec![0; self.long.len() * (marks + 1)];
        for &long in &self.long {
            self.strips.push(self.strips_at(blanks, kinds, long, None));
        }
        for (row, &long) in self.long.iter().enumerate() {
            for mark in 0..=marks {
                let at = (self.first + mark as i64) * step;
                let touched = self.flaws.iter().any(|f| overlap(f.along, (at, at + long * step)));
                self.table[row * (marks + 1) + mark] = if touched {
                    let strips = self.strips_at(blanks, kinds, long, Some(at));
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

    /// What a section of this length can be ripped into, begun here, or where
    /// there are no flaws.
    fn strips_at(
        &self,
        blanks: &[BlankKind],
        kinds: &[usize],
        long: i64,
        at: Option<i64>,
    ) -> Vec<Strip> {
        let mut strips: Vec<Strip> = Vec::new();
        for &kind in kinds {
            let blank = &blanks[kind];
            let each = blank.length + self.crosscut;
            let most = (long * self.step + self.crosscut).div_euclid(each);
            // Fewer blanks only where that keeps clear of more; one to prove
            // settings on only where a better one can't lie.
            let spoilt = at.map_or(Vec::new(), |at| self.spoilt(blank, at));
            let mut counts: Vec<i64> = spoilt.iter().map(|(first, _)| *first).collect();
            counts.retain(|count| (1..most).contains(count));
            counts.push(most);
            counts.sort_unstable_by(|one, other| other.cmp(one));
            counts.dedup();
            let from = strips.len();
            for count in counts.into_iter().filter(|count| *count > 0) {
                let shut = shut(&spoilt, count);
                let strip = Strip { blank: kind, count: count as u32, width: blank.width, shut };
                let no_better = |other: &Strip| {
                    other.shut == strip.shut
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

    /// The flaws in the way of blanks end to end from here on: which blank is
    /// the first that may not have it, and where across the board it lies. A
    /// flaw that lies in several is hidden in none; for the rest it makes no
    /// difference where it lies.
    fn spoilt(&self, blank: &BlankKind, at: i64) -> Vec<(i64, (i64, i64))> {
        let each = blank.length + self.crosscut;
        let spoilt = |flaw: &FlawBox| {
            let first = (flaw.along.0 - at - blank.length).div_euclid(each) + 1;
            let from = at + first.max(0) * each;
            let meets = overlap(flaw.along, (from, from + blank.length));
            (meets && !blank.may_hold(flaw, from)).then_some((first.max(0), flaw.across))
        };
        self.flaws.iter().filter_map(spoilt).collect()
    }

    /// The dearest strips side by side, what they come to, and how many were
    /// tried.
    fn ripped(&self, strips: &[Strip], price: &[i64]) -> (i64, Vec<PlacedStrip>, usize) {
        struct Partial {
            worth: i64,
            from: usize,
            strip: Option<PlacedStrip>,
        }
        let strips = worthwhile(strips, price);
        let mut done: Vec<Partial> = Vec::new();
        let mut open = BTreeMap::from([(self.near, Partial { worth: 0, from: 0, strip: None })]);
        let mut best = -1;
        while let Some((at, step)) = open.pop_first() {
            if step.worth <= best {
                continue;
            }
            best = step.worth;
            let from = done.len();
            for &(strip, worth) in &strips {
                let Some(near) = strip.place(at, self.far) else { continue };
                let worth = best + worth;
                let next = near + strip.width + self.rip;
                if open.get(&next).is_none_or(|known| known.worth < worth) {
                    let ripped = PlacedStrip { blank: strip.blank, count: strip.count, near };
                    open.insert(next, Partial { worth, from, strip: Some(ripped) });
                }
            }
            done.push(step);
        }
        let mut found = Vec::new();
        let mut at = done.len().saturating_sub(1);
        while let Some(step) = done.get(at) {
            let Some(strip) = step.strip else { break };
            found.push(strip);
            at = step.from;
        }
        found.reverse();
        (best.max(0), found, done.len() * strips.len())
    }

    /// The dearest way to cut the board where each kind of blank has its price
    /// and any number may be cut of it. Exact: no cutting of this class comes
    /// to more.
    pub fn dearest(&self, price: &[i64]) -> BestCutting {
        let marks = self.marks();
        let mut work = marks * self.long.len();
        let mut worth: Vec<Option<i64>> = vec![None; self.strips.len()];
        // The best from each mark on, and with which length it begins.
        let mut best = vec![0_i64; marks + 2];
        let mut with: Vec<Option<usize>> = vec![None; marks + 1];
        for mark in (0..marks).rev() {
            best[mark] = best[mark + 1];
            for (row, &long) in self.long.iter().enumerate() {
                let end = mark + long as usize;
                if end > marks {
                    continue;
                }
                let rest = best[(end + self.kerf_marks as usize).min(marks + 1)];
                let mut of = |strips: usize| {
                    *worth[strips].get_or_insert_with(|| {
                        let (worth, _, tried) = self.ripped(&self.strips[strips], price);
                        work += tried;
                        worth
                    })
                };
                let clear = of(row);
                let strips = self.table[row * (marks + 1) + mark] as usize;
                // Flaws never make a section dearer, so most need no closer look.
                if clear > 0 && clear + rest >= best[mark] {
                    let whole = of(strips) + rest;
                    if whole > best[mark] || (whole == best[mark] && with[mark].is_none()) {
                        (best[mark], with[mark]) = (whole, Some(row));
                    }
                }
            }
        }
        let mut sections = Vec::new();
        let mut mark = 0;
        while mark < marks {
            let Some(row) = with[mark].filter(|_| best[mark] > 0) else {
                mark += 1;
                continue;
            };
            let strips = self.table[row * (marks + 1) + mark] as usize;
            let (_, strips, _) = self.ripped(&self.strips[strips], price);
            if !strips.is_empty() {
                let at = self.first + mark as i64;
                sections.push(SectionCut { at, long: self.long[row], strips });
            }
            mark += (self.long[row] + self.kerf_marks) as usize;
        }
        BestCutting { worth: best[0], cutting: Cutting { sections }, work }
    }

    /// The kinds of blank that may come from it.
    pub fn kinds(&self) -> BTreeSet<usize> {
        self.strips.iter().flatten().map(|strip| strip.blank).collect()
    }

    /// Whether this section, with its strips where they are across, lies clear
    /// when it begins at this mark.
    fn clear(&self, blanks: &[BlankKind], section: &SectionCut, at: i64) -> bool {
        section.strips.iter().all(|strip| {
            let blank = &blanks[strip.blank];
            shut(&self.spoilt(blank, at * self.step), i64::from(strip.count))
                .iter()
                .all(|&shut| !overlap(shut, (strip.near, strip.near + blank.width)))
        })
    }

    /// How long strips are, in marks: a section need be no longer.
    pub fn longest(&self, blanks: &[BlankKind], strips: &[PlacedStrip]) -> i64 {
        let long = |strip: &PlacedStrip| self.strip_length(&blanks[strip.blank], strip.count);
        up(strips.iter().map(long).max().unwrap_or(0), self.step)
    }

    fn strip_length(&self, blank: &BlankKind, count: u32) -> i64 {
        i64::from(count) * (blank.length + self.crosscut) - self.crosscut
    }

    /// The same sections in this order, each as near to the marked end as it
    /// can lie; `None` where there is no room for them in this order.
    pub fn in_order(&self, blanks: &[BlankKind], sections: Vec<SectionCut>) -> Option<Cutting> {
        let mut next = self.first;
        let mut placed = Vec::with_capacity(sections.len());
        for mut section in sections {
            section.at =
                (next..=self.last - section.long).find(|&at| self.clear(blanks, &section, at))?;
            next = section.at + section.long + self.kerf_marks;
            placed.push(section);
        }
        Some(Cutting { sections: placed })
    }

    /// Every blank of a section: its kind, and where it is on the board.
    pub fn places(&self, blanks: &[BlankKind], section: &SectionCut) -> Vec<(usize, Footprint)> {
        let from = section.at * self.step;
        let blanks_of = |strip: &PlacedStrip| {
            let (kind, near, blank) = (strip.blank, strip.near, &blanks[strip.blank]);
            let each = blank.length + self.crosscut;
            let (length, width) = (blank.length, blank.width);
            (0..i64::from(strip.count)).map(move |index| {
                let at = from + index * each;
                let (along, across) = (stretch(at, at + length), stretch(near, near + width));
                (kind, Footprint { along, across })
            })
        };
        section.strips.iter().flat_map(blanks_of).collect()
    }

    /// Stretches nothing was cut from, whole in width and without a flaw, at
    /// least so long.
    pub fn left(&self, board: &RackBoard, cutting: &Cutting, keep: i64) -> Vec<(i64, i64)> {
        let mut left = Vec::new();
        let mut from = self.start;
        for section in &cutting.sections {
            left.push((from, section.at * self.step - self.crosscut));
            from = (section.at + section.long) * self.step + self.crosscut;
        }
        left.push((from, self.end));
        for flaw in board.flaws.iter().map(FlawBox::of) {
            left = left
                .into_iter()
                .flat_map(|(from, to)| {
                    let (near, far) = flaw.along;
                    match overlap(flaw.along, (from, to)) {
                        true => vec![(from, near.min(to)), (far.max(from), to)],
                        false => vec![(from, to)],
                    }
                })
                .collect();
        }
        left.retain(|(from, to)| to > from && to - from >= keep);
        left
    }
}
