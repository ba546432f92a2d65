//! How many spares a batch needs, from the loss rate.
//!
//! The chance of enough good pieces is the negative binomial sum `sum over k to
//! spares of C(needed - 1 + k, k) x p^k x (1 - p)^needed`: the chance that at
//! most `spares` of `needed + spares` pieces are lost.

/// More spares than any shop would cut.
const MOST: u32 = 10_000;

/// The chance that enough pieces come out good, when each is lost independently
/// with probability `loss` (0 to 1).
pub fn chance(needed: u32, spares: u32, loss: f64) -> f64 {
    chances(needed, loss).nth(spares as usize).unwrap_or(0.0)
}

/// The fewest spares with which the chance of enough good pieces is at least
/// `wanted`; `None` when no sensible number is enough.
pub fn spares_for(needed: u32, loss: f64, wanted: f64) -> Option<u32> {
    let reached = chances(needed, loss).take(MOST as usize).position(|chance| chance >= wanted)?;
    u32::try_from(reached).ok()
}

/// The loss rate to plan with after this many pieces: `(lost + 1) / (made + 2)`,
/// the rule of succession. `made` counts the lost ones too. With nothing made
/// yet it is one in two, so that a shop without records cuts plenty of spares.
pub fn planning_loss(made: u32, lost: u32) -> f64 {
    (f64::from(lost.min(made)) + 1.0) / (f64::from(made) + 2.0)
}

/// The chance with zero spares, one, two and so on.
fn chances(needed: u32, loss: f64) -> impl Iterator<Item = f64> {
    let needed = f64::from(needed);
    let loss = if loss.is_nan() { 1.0 } else { loss.clamp(0.0, 1.0) };
    // Logarithms, because the first term of a big batch underflows.
    let none_lost = if needed == 0.0 { 0.0 } else { needed * (1.0 - loss).ln() };
    let mut lost = 0.0;
    let mut term = none_lost;
    let mut sum = term.exp();
    std::iter::once(sum).chain(std::iter::from_fn(move || {
        lost += 1.0;
        // With nothing needed or nothing lost the later terms are zero: ln 0.
        term += ((needed - 1.0 + lost).max(0.0) / lost).ln() + loss.ln();
        sum = (sum + term.exp()).min(1.0);
        Some(sum)
    }))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Common practice; each worked out again as a binomial tail of
    /// `needed + spares` pieces: 32 at 3 % with one spare is
    /// 0.97^33 + 33 x 0.03 x 0.97^32 = 0.3660 + 0.3735 = 0.7395.
    #[test]
    fn the_table_of_spares() {
        for (needed, loss, per_mille) in [
            (32, 0.03, &[740, 919, 980, 996][..]),
            (32, 0.05, &[504, 759, 904, 968]),
            (24, 0.04, &[736, 916, 978, 995]),
            (16, 0.06, &[728, 910, 976, 994]),
            (48, 0.04, &[412, 677, 854, 944, 981]),
        ] {
            let found: Vec<i64> = (1..=per_mille.len() as u32)
                .map(|spares| (chance(needed, spares, loss) * 1000.0).round() as i64)
                .collect();
            assert_eq!(found, per_mille, "{needed} at {loss}");
        }
    }

    /// Read off the same table: the first column at or over 95 %.
    #[test]
    fn spares_for_nineteen_batches_in_twenty() {
        assert_eq!(spares_for(32, 0.03, 0.95), Some(3));
        assert_eq!(spares_for(32, 0.05, 0.95), Some(4));
        assert_eq!(spares_for(24, 0.04, 0.95), Some(3));
        assert_eq!(spares_for(16, 0.06, 0.95), Some(3));
        assert_eq!(spares_for(48, 0.04, 0.95), Some(5));
    }

    #[test]
    fn nothing_lost_nothing_needed_and_all_lost() {
        assert_eq!(spares_for(32, 0.0, 0.95), Some(0));
        assert_eq!(spares_for(0, 0.5, 0.95), Some(0));
        assert_eq!(spares_for(1, 1.0, 0.95), None);
        assert_eq!(chance(4, 3, f64::NAN), 0.0);
        assert_eq!(chance(0, 3, 1.0), 1.0);
        assert_eq!(spares_for(1, 0.5, 1.5), None);
    }

    /// 1 lost of 30: 2/32.
    #[test]
    fn a_rate_to_plan_with() {
        assert_eq!(planning_loss(30, 1), 0.0625);
        assert_eq!(planning_loss(0, 0), 0.5);
        assert_eq!(planning_loss(2, 9), 0.75);
    }

    /// The plain binomial sum, by Pascal's triangle.
    fn by_the_book(needed: u32, spares: u32, loss: f64) -> f64 {
        let pieces = needed + spares;
        (0..=spares)
            .map(|lost| {
                let ways =
                    (0..lost).fold(1.0, |ways, k| ways * f64::from(pieces - k) / f64::from(k + 1));
                ways * loss.powi(lost as i32) * (1.0 - loss).powi((pieces - lost) as i32)
            })
            .sum()
    }

    proptest! {
        #[test]
        fn it_is_the_binomial_tail(needed in 0u32..80, spares in 0u32..12, loss in 0.0..1.0f64) {
            let difference = chance(needed, spares, loss) - by_the_book(needed, spares, loss);
            prop_assert!(difference.abs() < 1e-9, "{difference}");
        }

        #[test]
        fn another_spare_never_hurts(needed in 0u32..5000, spares in 0u32..50, loss in 0.0..1.0f64) {
            let (fewer, more) = (chance(needed, spares, loss), chance(needed, spares + 1, loss));
            prop_assert!((0.0..=1.0).contains(&fewer) && fewer <= more);
        }

        #[test]
        fn the_fewest_that_will_do(needed in 1u32..200, loss in 0.0..0.3f64) {
            let spares = spares_for(needed, loss, 0.95).unwrap();
            prop_assert!(by_the_book(needed, spares, loss) >= 0.95 - 1e-9);
            prop_assert!(spares == 0 || by_the_book(needed, spares - 1, loss) < 0.95 + 1e-9);
        }
    }
}
