//! Where the wood of a board goes: blanks, trim, edging, kerf and offcuts, to the
//! last kerf.
//!
//! Wood in none of the blanks counts first as the kerf of the cut beside it: one
//! kerf where one cut serves both sides, two where there is room for two. What
//! is left of it is trim along the board and edging across it. Everything sums
//! to the board.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

use super::cut_plan::{CutPlan, CutSection};
use crate::measure::Length;
use crate::stock::board::{Footprint, Stretch};
use crate::stock::need::BlankNeed;
use crate::stock::saw::Saw;

/// An area to the square nanometre.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Area(i128);

impl Area {
    /// No area.
    pub const ZERO: Area = Area(0);

    /// The area of a rectangle.
    pub fn of(length: Length, width: Length) -> Area {
        Area(i128::from(length.nanometres()) * i128::from(width.nanometres()))
    }

    /// In square feet.
    pub fn square_feet(self) -> f64 {
        let foot = Area::of(Length::INCH * 12, Length::INCH * 12);
        self.0 as f64 / foot.0 as f64
    }

    /// An equal share of it, rounded down to a whole square nanometre, so that the
    /// remainder is known exactly.
    pub fn shared(self, among: u32) -> Area {
        Area(self.0 / i128::from(among.max(1)))
    }
}

impl Add for Area {
    type Output = Area;
    fn add(self, other: Area) -> Area {
        Area(self.0 + other.0)
    }
}

impl Sub for Area {
    type Output = Area;
    fn sub(self, other: Area) -> Area {
        Area(self.0 - other.0)
    }
}

impl Mul<u32> for Area {
    type Output = Area;
    fn mul(self, times: u32) -> Area {
        Area(self.0 * i128::from(times))
    }
}

impl AddAssign for Area {
    fn add_assign(&mut self, other: Area) {
        *self = *self + other;
    }
}

impl Sum for Area {
    fn sum<I: Iterator<Item = Area>>(areas: I) -> Area {
        areas.fold(Area::ZERO, Area::add)
    }
}

impl Footprint {
    fn area(&self) -> Area {
        Area::of(self.along.length(), self.across.length())
    }
}

/// What becomes waste when a board is cut.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Waste {
    /// Cut off along the board: ends, flaws, and lengths too short to keep.
    pub trim: Area,
    /// Cut off across it.
    pub edging: Area,
    /// Sawdust.
    pub kerf: Area,
}

impl Waste {
    /// All waste together.
    pub fn sum(self) -> Area {
        self.trim + self.edging + self.kerf
    }
}

impl AddAssign for Waste {
    fn add_assign(&mut self, other: Waste) {
        self.trim += other.trim;
        self.edging += other.edging;
        self.kerf += other.kerf;
    }
}

/// Where a board went.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardAccount {
    /// Each blank, section after section.
    pub blanks: Vec<Area>,
    /// What becomes waste.
    pub waste: Waste,
    /// The offcuts.
    pub kept: Area,
}

impl BoardAccount {
    /// All of it together, which is the area of the board.
    pub fn sum(&self) -> Area {
        self.blanks.iter().copied().sum::<Area>() + self.waste.sum() + self.kept
    }
}

/// Where the wood of a board goes when it is cut by a plan. `None` where the cuts
/// overlap or leave the board, which those of a layout never do.
pub fn board_account(
    length: Length,
    width: Length,
    plan: &CutPlan,
    saw: &Saw,
) -> Option<BoardAccount> {
    let mut waste = Waste::default();
    let whole = Stretch { from: Length::ZERO, to: length };
    let mut used: Vec<Stretch> =
        plan.sections.iter().map(|section| section.along).chain(plan.offcuts.clone()).collect();
    used.sort_unstable_by_key(|stretch| stretch.from);
    for gap in gaps(whole, &used)? {
        let kerf = gap.kerf(saw.crosscut);
        waste.kerf += Area::of(kerf, width);
        waste.trim += Area::of(gap.long - kerf, width);
    }
    let mut blanks = Vec::new();
    for section in &plan.sections {
        waste += section_waste(section, width, saw)?;
        blanks.extend(section.blanks.iter().map(Footprint::area));
    }
    let kept = plan.offcuts.iter().map(|left| Area::of(left.length(), width)).sum();
    Some(BoardAccount { blanks, waste, kept })
}

fn section_waste(section: &CutSection, width: Length, saw: &Saw) -> Option<Waste> {
    let mut waste = Waste::default();
    let mut strips: Vec<Stretch> = Vec::new();
    for blank in &section.blanks {
        if !strips.contains(&blank.across) {
            strips.push(blank.across);
        }
    }
    strips.sort_unstable_by_key(|strip| strip.from);
    let length = section.along.length();
    for gap in gaps(Stretch { from: Length::ZERO, to: width }, &strips)? {
        // The first edge is planed straight, not cut.
        let planed = if gap.after { Length::ZERO } else { gap.long.min(saw.edge) };
        let kerf = Gap { long: gap.long - planed, ..gap }.kerf(saw.rip);
        waste.kerf += Area::of(kerf, length);
        waste.edging += Area::of(gap.long - kerf, length);
    }
    for strip in strips {
        let mut own: Vec<Stretch> =
            section.blanks.iter().filter(|b| b.across == strip).map(|b| b.along).collect();
        own.sort_unstable_by_key(|stretch| stretch.from);
        for gap in gaps(section.along, &own)? {
            let kerf = gap.kerf(saw.crosscut);
            waste.kerf += Area::of(kerf, strip.length());
            waste.trim += Area::of(gap.long - kerf, strip.length());
        }
    }
    Some(waste)
}

/// Wood between two things that are kept, or between one of them and the end of
/// the board.
#[derive(Clone, Copy, Debug)]
struct Gap {
    long: Length,
    /// Whether something is kept on its near side, and on its far side.
    after: bool,
    before: bool,
}

impl Gap {
    /// How much of it becomes kerf: one cut on each side where something is kept,
    /// but only one for both sides where there is no room for two.
    fn kerf(&self, kerf: Length) -> Length {
        let cuts = i64::from(self.after) + i64::from(self.before);
        let cuts = if self.long < kerf * 2 { cuts.min(1) } else { cuts };
        self.long.min(kerf * cuts)
    }
}

/// The gaps between stretches that are in order; `None` where they overlap or
/// reach beyond `whole`.
fn gaps(whole: Stretch, used: &[Stretch]) -> Option<Vec<Gap>> {
    let mut gaps = Vec::new();
    let (mut from, mut after) = (whole.from, false);
    for stretch in used {
        if stretch.from < from || stretch.to < stretch.from {
            return None;
        }
        gaps.push(Gap { long: stretch.from - from, after, before: true });
        (from, after) = (stretch.to, true);
    }
    gaps.push(Gap { long: whole.to - from, after, before: false });
    gaps.retain(|gap| !gap.long.is_zero());
    (from <= whole.to).then_some(gaps)
}

/// What becomes of one blank once its pieces are at their finished sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BlankAccount {
    /// The finished face of each of its pieces. Pieces resawn from one another
    /// share one face.
    pub piece: Area,
    /// Cut off along it.
    pub trim: Area,
    /// Cut off across it.
    pub edging: Area,
}

/// What becomes of a blank of a need that is cut at this place.
pub fn blank_account(need: &BlankNeed, place: &Footprint) -> BlankAccount {
    let (length, width) = (place.along.length(), place.across.length());
    let used = (need.finished_length * i64::from(need.along)).min(length);
    let wide = (need.finished_width * i64::from(need.across)).min(width);
    let trim = Area::of(length - used, width);
    let piece = Area::of(used, wide).shared(need.holds());
    BlankAccount { piece, trim, edging: place.area() - trim - piece * need.holds() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::samples::{self, th};
    use proptest::prelude::*;

    fn stretch(from: i64, to: i64) -> Stretch {
        Stretch { from: th(from), to: th(to) }
    }

    fn saw() -> Saw {
        Saw {
            crosscut: th(125),
            rip: th(125),
            trim: th(1000),
            edge: th(250),
            mark: Length::inch_fraction(1, 16),
            shortest_offcut: th(24_000),
            clean_up: Length::ZERO,
        }
    }

    fn square_inches(area: Area) -> f64 {
        area.square_feet() * 144.0
    }

    /// A gap of two kerfs has room for two cuts; with less, one cut takes a kerf of it, or all
    /// there is. Where nothing is kept on a side, nothing is cut there.
    #[test]
    fn a_gap_has_as_many_cuts_as_fit() {
        let kerf =
            |long, [after, before]: [bool; 2]| Gap { long: th(long), after, before }.kerf(th(125));
        let both = [300, 250, 249, 125, 90].map(|long| kerf(long, [true, true]));
        assert_eq!(both, [250, 250, 125, 125, 90].map(th));
        assert_eq!(kerf(300, [true, false]), th(125));
        assert_eq!(kerf(300, [false, true]), th(125));
        assert_eq!(kerf(300, [false, false]), th(0));
    }

    /// By hand, a board 8 x 60: 1 in of trim of which the cut takes 1/8 at the
    /// section; 20 in with two strips of 3 1/2 side by side; one cut; 30 in
    /// kept; 1/8 of kerf and the rest of the far end.
    /// Kerf: 3 crosscuts of 1/8 x 8 = 3, and in the section 20 x 1/8 between
    /// the strips and 20 x 1/8 beyond the second = 5; 8 in all.
    /// Edging: 20 x (1/4 + 8 - 1/4 - 7 - 1/4) = 20 x 3/4 = 15.
    /// Trim: (1 - 1/8) x 8 = 7 at the marked end, (60 - 51 1/8 - 1/8) x 8 = 70
    /// at the far one. 140 of blanks, 240 kept: 8 + 15 + 77 + 140 + 240 = 480.
    #[test]
    fn a_board_by_hand() {
        let strip =
            |from, to| Footprint { along: stretch(1000, 21_000), across: stretch(from, to) };
        let blanks = vec![strip(250, 3750), strip(3875, 7375)];
        let sections = vec![CutSection { along: stretch(1000, 21_000), blanks }];
        let sawn = CutPlan { sections, offcuts: vec![stretch(21_125, 51_125)] };
        let found = board_account(th(60_000), th(8000), &sawn, &saw()).unwrap();
        let of = |area| (square_inches(area) * 1000.0).round() / 1000.0;
        assert_eq!(found.blanks.iter().map(|b| of(*b)).collect::<Vec<_>>(), [70.0, 70.0]);
        assert_eq!((of(found.kept), of(found.waste.kerf)), (240.0, 8.0));
        assert_eq!((of(found.waste.edging), of(found.waste.trim)), (15.0, 77.0));
        assert_eq!(found.sum(), Area::of(th(60_000), th(8000)));
    }

    /// By hand: a blank of 2 1/8 x 18 1/4 for a leg of 1 3/4 x 17 1/4 leaves
    /// 30.1875; 1 x 2 1/8 is trim, 3/8 x 17 1/4 = 6.46875 edging.
    #[test]
    fn a_blank_by_hand() {
        let found = blank_account(
            &need([1, 1, 1]),
            &Footprint { along: stretch(0, 18_250), across: stretch(0, 2125) },
        );
        let of = |area| (square_inches(area) * 1e6).round() / 1e6;
        assert_eq!((of(found.piece), of(found.trim), of(found.edging)), (30.1875, 2.125, 6.46875));
        // Two legs end to end in 36: 34 1/2 is used, each leg 17 1/4 x 1 3/4; 1 1/2 x 2 1/8
        // is trim, and of 76.5 that leaves 76.5 - 3.1875 - 60.375 for edging.
        let place = Footprint { along: stretch(0, 36_000), across: stretch(0, 2125) };
        let found = blank_account(&need([2, 1, 1]), &place);
        assert_eq!((of(found.piece), of(found.trim), of(found.edging)), (30.1875, 3.1875, 12.9375));
    }

    /// A blank of 2 1/8 x 18 1/4 for pieces of 1 3/4 x 17 1/4.
    fn need([along, across, through]: [u32; 3]) -> BlankNeed {
        let finished_width = th(1_750);
        let plain = samples::need(th(2_000), th(2_125), th(18_250));
        BlankNeed { finished_width, along, across, through, ..plain }
    }

    #[test]
    fn cuts_that_overlap_or_leave_the_board_have_no_account() {
        let section = |from, to| CutSection { along: stretch(from, to), blanks: Vec::new() };
        let account = |sections: Vec<CutSection>| {
            board_account(th(10_000), th(4000), &CutPlan { sections, offcuts: Vec::new() }, &saw())
        };
        assert!(account(vec![section(0, 4000), section(3000, 5000)]).is_none());
        assert!(account(vec![section(8000, 11_000)]).is_none());
        assert!(account(vec![section(8000, 10_000), section(0, 4000)]).is_some(), "in any order");
        let wide = Footprint { along: stretch(0, 4000), across: stretch(2000, 5000) };
        assert!(
            account(vec![CutSection { along: stretch(0, 4000), blanks: vec![wide] }]).is_none()
        );
    }

    /// Sections one after the other and strips side by side, with gaps of any
    /// size between them, in thousandths.
    fn sawn() -> impl Strategy<Value = (i64, i64, CutPlan)> {
        let gap = prop_oneof![Just(0i64), 1..400i64, 400..5000i64];
        let strip =
            (gap.clone(), 500..4000i64, prop::collection::vec((gap.clone(), 500..9000i64), 0..4));
        let section = (gap.clone(), prop::collection::vec(strip, 0..4));
        (prop::collection::vec(section, 0..5), gap.clone(), gap).prop_map(
            |(sections, end, side)| {
                let (mut at, mut widest, mut sawn) = (0, 0, CutPlan::default());
                for (before, strips) in sections {
                    let from = at + before;
                    let (mut across, mut longest, mut blanks) = (0, 0, Vec::new());
                    for (aside, wide, lengths) in strips {
                        let strip = stretch(across + aside, across + aside + wide);
                        let mut along = from;
                        for (before, long) in lengths {
                            let own = stretch(along + before, along + before + long);
                            blanks.push(Footprint { along: own, across: strip });
                            along += before + long;
                        }
                        (across, longest) = (across + aside + wide, longest.max(along - from));
                    }
                    (at, widest) = (from + longest, widest.max(across));
                    sawn.sections.push(CutSection { along: stretch(from, at), blanks });
                }
                (at + end, widest + side, sawn)
            },
        )
    }

    proptest! {
        /// Always: Every part of a board is accounted for, down to the last kerf.
        ///
        /// Wood is conserved to the last kerf, and no part of it is negative.
        #[test]
        fn the_wood_of_a_board_sums_to_the_board((long, wide, sawn) in sawn()) {
            let found = board_account(th(long), th(wide), &sawn, &saw()).unwrap();
            prop_assert_eq!(found.sum(), Area::of(th(long), th(wide)));
            let Waste { trim, edging, kerf } = found.waste;
            prop_assert!([trim, edging, kerf].iter().all(|area| *area >= Area::ZERO));
        }

        #[test]
        fn the_wood_of_a_blank_sums_to_the_blank(
            long in 1..90_000i64, wide in 1..9000i64, holds in [1..4u32, 1..5u32, 1..4u32],
        ) {
            let need = need(holds);
            let place = Footprint { along: stretch(0, long), across: stretch(0, wide) };
            let found = blank_account(&need, &place);
            prop_assert_eq!(found.piece * need.holds() + found.trim + found.edging, place.area());
            prop_assert!(found.piece >= Area::ZERO && found.edging >= Area::ZERO);
        }
    }
}
