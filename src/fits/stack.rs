//! How the variations of dimensions add up in one clearance.
//!
//! Different sources partly even out, so they add as the root of the sum of
//! squares (JCGM 100:2008, 5.1.2). Within one source there are two kinds of
//! error. What differs *from piece to piece* partly evens out where several
//! pieces count. What is *shared*, because the pieces came from one setup or were
//! measured with one gauge, doesn't even out over any number of pieces, and is
//! added as it is (common practice, no source). A source counts once, by its net
//! derivative, however often a formula names it.
//!
//! An error may be shared by several dimensions, too: one gauge reads them, or one
//! scale sets them. It is one quantity, so its coefficients are added, with their
//! signs, before anything is squared (JCGM 100:2008, 5.2.2, for inputs that are
//! wholly correlated). What differs from piece to piece in those dimensions adds
//! as the root of the sum of squares as anywhere else. The worst case stays that
//! every dimension is at the end of its limits, each on its own.
//!
//! ```text
//! differs = (high - low) / 2 / sqrt(pieces)              for each dimension
//! worst   = nominal + sum(low - |shared|)  ..  nominal + sum(high + |shared|)
//! likely  = nominal + sum((low + high) / 2)
//!           ± sqrt(sum over errors of (|sum(shared)| + sqrt(sum(differs^2)))^2)
//! ```

use std::collections::BTreeMap;

/// How far one dimension may move a clearance, its derivative included; all in
/// the clearance's own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Variation {
    /// The least it moves the clearance, from piece to piece.
    pub low: f64,
    /// The most it moves the clearance, from piece to piece.
    pub high: f64,
    /// How far an error that all pieces share moves the clearance, when the error
    /// is upwards; it may as well be downwards.
    pub shared: f64,
    /// Which error that is: variations with one number have it in common.
    pub error: usize,
    /// How many pieces the dimension stands for; their mean counts.
    pub pieces: u32,
}

impl Variation {
    fn middle(&self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// How far either side of the middle its pieces are likely to be.
    fn differs(&self) -> f64 {
        (self.high - self.low) / 2.0 / f64::from(self.pieces.max(1)).sqrt()
    }
}

/// A range of plain numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Range {
    /// The least.
    pub low: f64,
    /// The most.
    pub high: f64,
}

/// Rounding in a sum of lengths is no miss: a hundredth of a micrometre.
const SAME: f64 = 10.0;

impl Range {
    /// Whether it lies inside or on the other, both in nanometres.
    pub(super) fn within(&self, other: &Range) -> bool {
        self.low >= other.low - SAME && self.high <= other.high + SAME
    }
}

/// A clearance at its worst, and where it will likely lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stack {
    /// With every variation at its end.
    pub worst: Range,
    /// Where it will likely lie.
    pub likely: Range,
}

/// The variations that have one error in common, added up.
#[derive(Clone, Copy, Debug, Default)]
struct OfOneError {
    /// The error with the coefficients of all of them added.
    shared: f64,
    /// The same without their signs.
    gross: f64,
    /// The squares of what differs from piece to piece.
    squares: f64,
}

impl OfOneError {
    /// Each error among the variations, by its number.
    fn each(parts: &[Variation]) -> BTreeMap<usize, OfOneError> {
        let mut each: BTreeMap<usize, OfOneError> = BTreeMap::new();
        for part in parts {
            let sum = each.entry(part.error).or_default();
            sum.shared += part.shared;
            sum.gross += part.shared.abs();
            sum.squares += part.differs().powi(2);
        }
        each
    }

    /// How far either side of the middle they are likely to be together.
    fn either_side(&self) -> f64 {
        self.shared.abs() + self.squares.sqrt()
    }

    /// The share of one of them in the square of that.
    fn square_of(&self, part: &Variation) -> f64 {
        let of = |part: f64, whole: f64| if whole > 0.0 { part / whole } else { 0.0 };
        let by_error = self.shared.abs() * of(part.shared.abs(), self.gross);
        let by_pieces = self.squares.sqrt() * of(part.differs().powi(2), self.squares);
        self.either_side() * (by_error + by_pieces)
    }
}

/// Adds up variations about a nominal clearance, by the formulas above.
pub(super) fn stack(nominal: f64, parts: &[Variation]) -> Stack {
    let shared: f64 = parts.iter().map(|part| part.shared.abs()).sum();
    let low: f64 = parts.iter().map(|part| part.low).sum();
    let high: f64 = parts.iter().map(|part| part.high).sum();
    let middle: f64 = parts.iter().map(Variation::middle).sum();
    let errors = OfOneError::each(parts);
    let squares: f64 = errors.values().map(|one| one.either_side().powi(2)).sum();
    let either_way = squares.sqrt();
    Stack {
        worst: Range { low: nominal + low - shared, high: nominal + high + shared },
        likely: Range { low: nominal + middle - either_way, high: nominal + middle + either_way },
    }
}

/// Each variation's share of the whole, by squares. They sum to one, or are all
/// zero where nothing varies.
pub(super) fn shares(parts: &[Variation]) -> Vec<f64> {
    let errors = OfOneError::each(parts);
    let squares: Vec<f64> = parts.iter().map(|part| errors[&part.error].square_of(part)).collect();
    let whole: f64 = squares.iter().sum();
    squares.iter().map(|square| if whole > 0.0 { square / whole } else { 0.0 }).collect()
}

/// How the variations are added up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum StackMethod {
    /// At the worst: every variation at its end.
    Worst,
    /// In all likelihood: the root of the sum of squares.
    Likely,
}

/// A range is narrowed in hundredths, finer than anyone sets a machine.
const STEPS: u32 = 100;

/// The largest share of its piece-to-piece range, 0 to 1, that one variation may
/// keep for the clearance to stay inside `limits`; `None` when even none of it is
/// too much. `narrowed` gives the variation with that share of its range.
pub(super) fn may_keep(
    nominal: f64,
    parts: &[Variation],
    which: usize,
    narrowed: impl Fn(f64) -> Variation,
    limits: &Range,
    method: StackMethod,
) -> Option<f64> {
    let mut parts = parts.to_vec();
    (0..=STEPS).rev().map(|step| f64::from(step) / f64::from(STEPS)).find(|keep| {
        parts[which] = narrowed(*keep);
        holds(nominal, &parts, limits, method)
    })
}

/// Whether the clearance stays inside `limits`.
pub(super) fn holds(
    nominal: f64,
    parts: &[Variation],
    limits: &Range,
    method: StackMethod,
) -> bool {
    let stacked = stack(nominal, parts);
    match method {
        StackMethod::Worst => stacked.worst.within(limits),
        StackMethod::Likely => stacked.likely.within(limits),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    impl Variation {
        /// `by` either way, from piece to piece.
        fn either_way(by: f64) -> Variation {
            Variation { low: -by.abs(), high: by.abs(), shared: 0.0, error: 0, pieces: 1 }
        }
    }

    fn close(found: f64, wanted: f64, by: f64) {
        assert!((found - wanted).abs() <= by, "{found} is not {wanted}");
    }

    fn plain(terms: &[(f64, f64, f64)]) -> (f64, Stack) {
        let nominal = terms.iter().map(|(sign, size, _)| sign * size).sum();
        let parts: Vec<Variation> = terms
            .iter()
            .map(|(sign, _, tolerance)| Variation::either_way(sign * tolerance))
            .collect();
        (nominal, stack(nominal, &parts))
    }

    /// K. W. Chase, Basic Tools for Tolerance Analysis of Mechanical
    /// Assemblies, in Manufacturing Engineering Handbook, McGraw-Hill 2004,
    /// example 1 (shaft and bearing, seven parts; inches): nominal 0.020,
    /// worst ±0.0245, likely ±0.01108 (from memory, and by hand:
    /// 0.0015 + 0.008 + 2 x 0.0025 + 2 x 0.002 + 0.006 = 0.0245).
    #[test]
    fn a_shaft_in_its_housing() {
        let (nominal, stacked) = plain(&[
            (-1.0, 0.0505, 0.0015),
            (1.0, 8.0, 0.008),
            (-1.0, 0.5093, 0.0025),
            (1.0, 0.4, 0.002),
            (-1.0, 7.711, 0.006),
            (1.0, 0.4, 0.002),
            (-1.0, 0.5093, 0.0025),
        ]);
        close(nominal, 0.0199, 1e-9);
        close(stacked.worst.high - nominal, 0.0245, 1e-12);
        close(nominal - stacked.worst.low, 0.0245, 1e-12);
        close(stacked.likely.high - nominal, 0.01108, 5e-6);
    }

    /// "Tolerance stack-up: a worked example using worst-case and RSS",
    /// metricmech.com: bore 40 ± 0.1, spacer 25 ± 0.05, ring 2 ± 0.03,
    /// shoulder 10 ± 0.05; nominal gap 3.00. By hand: worst ±0.23, likely
    /// the root of 0.01 + 0.0025 + 0.0009 + 0.0025 = 0.0159, ±0.1261.
    #[test]
    fn a_spacer_and_its_ring_in_a_bore() {
        let (nominal, stacked) =
            plain(&[(1.0, 40.0, 0.1), (-1.0, 25.0, 0.05), (-1.0, 2.0, 0.03), (-1.0, 10.0, 0.05)]);
        close(nominal, 3.0, 1e-12);
        close(stacked.worst.low, 2.77, 1e-12);
        close(stacked.worst.high, 3.23, 1e-12);
        close(stacked.likely.low, 2.873_904_797_87, 1e-9);
        close(stacked.likely.high, 3.126_095_202_13, 1e-9);
    }

    /// n equal tolerances: worst n t, likely t times the root of n (textbook
    /// identity; 5 and 10 of 0.1: 0.5 and 0.224, 1.0 and 0.316, as F. Scholz,
    /// Tolerance Stack Analysis Methods, Boeing 1995, has the method).
    #[test]
    fn equal_tolerances() {
        for (n, worst, likely) in [(5, 0.5, 0.224), (10, 1.0, 0.316)] {
            let stacked = stack(0.0, &vec![Variation::either_way(0.1); n]);
            close(stacked.worst.high, worst, 1e-12);
            close(stacked.likely.high, likely, 5e-4);
        }
    }

    /// D. C. Montgomery and G. C. Runger, Applied Statistics and Probability
    /// for Engineers, 5th ed., problem 5-66: A - B - C with standard
    /// deviations 0.1, 0.05, 0.05 has 6.0 and 0.1225 (0.015, its root).
    #[test]
    fn a_u_shaped_component() {
        let (nominal, stacked) = plain(&[(1.0, 10.0, 0.1), (-1.0, 2.0, 0.05), (-1.0, 2.0, 0.05)]);
        close(nominal, 6.0, 1e-12);
        close(stacked.likely.high - 6.0, 0.122_474_487, 1e-9);
    }

    /// JCGM 100:2008, H.1: u(d) 9.7 nm from 5.8, 3.9 and 6.7; u_c 32 nm from
    /// 25, 9.7, 2.9 and 16.6 (the squares there come to 1002, here 1003).
    #[test]
    fn an_end_gauge() {
        let root = |all: &[f64]| {
            stack(0.0, &all.iter().map(|u| Variation::either_way(*u)).collect::<Vec<_>>())
                .likely
                .high
        };
        close(root(&[5.8, 3.9, 6.7]), 9.7, 0.05);
        close(root(&[25.0, 9.7, 2.9, 16.6]), 32.0, 0.5);
    }

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 2.5.5.2 (Ku 1966), a
    /// sum of two: the root of 0.01^2 + 0.02^2 is 0.02236.
    #[test]
    fn a_sum_of_two() {
        let both = [Variation::either_way(0.01), Variation::either_way(0.02)];
        close(stack(8.0, &both).likely.high - 8.0, 0.022_360_68, 1e-8);
    }

    /// Common practice, no source; by hand. Leg, rail and leg at ±0.008,
    /// ±0.016, ±0.008: worst ±0.032, likely the root of 64 + 256 + 64 = 384
    /// millionths, ±0.0196. The two legs as one dimension that counts twice and
    /// stands for two pieces come to the same; as one piece they don't even
    /// out: the root of 256 + 256, ±0.0226. Six strips at ±0.003: ±0.018 and
    /// ±0.0073.
    #[test]
    fn a_base_of_two_legs_and_a_rail() {
        let [leg, rail] = [0.008, 0.016].map(Variation::either_way);
        let apart = stack(0.0, &[leg, rail, leg]);
        close(apart.worst.high, 0.032, 1e-12);
        close(apart.likely.high, 0.0196, 5e-5);
        let twice = Variation { pieces: 2, ..Variation::either_way(2.0 * 0.008) };
        let two = stack(0.0, &[twice, rail]);
        close(two.likely.high, apart.likely.high, 1e-12);
        close(two.worst.high, apart.worst.high, 1e-12);
        let one = stack(0.0, &[Variation { pieces: 1, ..twice }, rail]);
        close(one.likely.high, 0.0226, 5e-5);
        let strips = stack(0.0, &[Variation { pieces: 6, ..Variation::either_way(0.018) }]);
        close(strips.worst.high, 0.018, 1e-12);
        close(strips.likely.high, 0.0073, 5e-5);
    }

    /// By hand: an offset of 0.003 on six strips alike is 0.018 however many
    /// they are, and stands beside the 0.018 they differ by as it is: 0.018 and
    /// 0.018 over the root of 6 are 0.02535.
    #[test]
    fn an_offset_is_never_squared_away() {
        let strips = Variation { low: 0.0, high: 0.0, shared: 6.0 * 0.003, error: 0, pieces: 6 };
        let stacked = stack(0.0, &[strips]);
        close(stacked.likely.high, 0.018, 1e-12);
        let differing = Variation { low: -0.018, high: 0.018, ..strips };
        close(stack(0.0, &[differing]).likely.high, 0.02535, 5e-6);
    }

    /// By hand. Three lengths read with one gauge that is off by 3 either way, each with
    /// pieces 4 apart either way: 3 x 3 + the root of 3 x 16 = 9 + 6.928 = 15.928. With a
    /// gauge each, the root of 3 x 49 = 12.124. In a difference the errors cancel, and the
    /// root of 2 x 16 = 5.657 is left; in 2a + b they are 2 x 3 + 3 = 9, and with pieces of
    /// 8 and 4, 9 + the root of 80 = 17.944. At the worst each is at its own end: 21, 14, 21.
    #[test]
    fn coefficients_of_one_error_are_added_before_they_are_squared() {
        let of = |times: f64, error| Variation {
            shared: 3.0 * times,
            error,
            ..Variation::either_way(4.0 * times)
        };
        for (parts, likely, worst) in [
            (vec![of(1.0, 0), of(1.0, 0), of(1.0, 0)], 15.928, 21.0),
            (vec![of(1.0, 0), of(1.0, 1), of(1.0, 2)], 12.124, 21.0),
            (vec![of(1.0, 0), of(-1.0, 0)], 5.657, 14.0),
            (vec![of(2.0, 0), of(1.0, 0)], 17.944, 21.0),
        ] {
            let stacked = stack(0.0, &parts);
            close(stacked.likely.high, likely, 5e-4);
            close(stacked.likely.low, -likely, 5e-4);
            close(stacked.worst.high, worst, 1e-12);
        }
    }

    /// By hand, of 2a + b above: 17.944 either way, of which 9 is the gauge's, 6 to 3, and
    /// 8.944 the pieces', 64 to 16: (9 x 2/3 + 8.944 x 4/5) / 17.944 = 0.7331.
    #[test]
    fn one_error_is_shared_out_by_its_coefficients() {
        let a = Variation { shared: 6.0, ..Variation::either_way(8.0) };
        let b = Variation { shared: 3.0, ..Variation::either_way(4.0) };
        let found = shares(&[a, b]);
        close(found[0], 0.7331, 5e-5);
        close(found[1], 0.2669, 5e-5);
    }

    /// By hand: ±4 and ±3 make a likely ±5 inside ±5. Inside ±3.2 the first
    /// may keep the root of 3.2^2 - 3^2 = 1.114 of its 4, 27 hundredths;
    /// inside ±2 not even none of it is enough.
    #[test]
    fn how_much_of_its_room_one_may_keep() {
        let parts = [Variation::either_way(4e6), Variation::either_way(3e6)];
        let keep = |by: f64, asked| {
            let limits = Range { low: -by * 1e6, high: by * 1e6 };
            may_keep(0.0, &parts, 0, |keep| Variation::either_way(keep * 4e6), &limits, asked)
        };
        assert_eq!(keep(5.0, StackMethod::Likely), Some(1.0));
        assert_eq!(keep(5.0, StackMethod::Worst), Some(0.5));
        assert_eq!(keep(3.2, StackMethod::Likely), Some(0.27));
        assert_eq!(keep(2.0, StackMethod::Likely), None);
    }

    fn any_parts() -> impl Strategy<Value = Vec<Variation>> {
        let part = (0.0..1e6, 0.0..1e6, -1e5..1e5, 0_usize..4, 1_u32..9).prop_map(
            |(down, up, shared, error, pieces): (f64, f64, f64, usize, u32)| Variation {
                low: -down,
                high: up,
                shared,
                error,
                pieces,
            },
        );
        proptest::collection::vec(part, 0..8)
    }

    proptest! {
        /// Always: The worst case of a fit contains its likely range, which contains its middle.
        #[test]
        fn the_worst_contains_the_likely_and_that_its_middle(
            parts in any_parts(), nominal in -1e6..1e6,
        ) {
            let stacked = stack(nominal, &parts);
            prop_assert!(stacked.likely.within(&stacked.worst));
            let middle: f64 = nominal + parts.iter().map(Variation::middle).sum::<f64>();
            let middle = Range { low: middle, high: middle };
            prop_assert!(middle.within(&stacked.likely));
            let even: Vec<Variation> = parts
                .iter()
                .map(|part| Variation { low: -part.high, ..*part })
                .collect();
            let planned = Range { low: nominal, high: nominal };
            prop_assert!(planned.within(&stack(nominal, &even).likely));
        }

        #[test]
        fn shares_come_to_one(parts in any_parts()) {
            let shares = shares(&parts);
            let sum: f64 = shares.iter().sum();
            let moves = parts.iter().any(|part| part.high > part.low || part.shared != 0.0);
            prop_assert!((sum - f64::from(u8::from(moves))).abs() < 1e-9);
            prop_assert!(shares.iter().all(|share| *share >= 0.0));
        }

        #[test]
        fn less_room_never_reaches_further(parts in any_parts(), keep in 0.0..1.0) {
            let narrower: Vec<Variation> = parts
                .iter()
                .map(|part| Variation { low: part.low * keep, high: part.high * keep, ..*part })
                .collect();
            prop_assert!(stack(0.0, &narrower).worst.within(&stack(0.0, &parts).worst));
        }
    }
}
