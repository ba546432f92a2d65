//! Random draws for trials with simulated pieces, and the share that fits.
//!
//! The numbers come from the ChaCha cipher with eight rounds, whose stream is
//! fixed by its definition, so a seed gives the same pieces in every version.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// A seeded source of random values.
#[derive(Clone, Debug)]
pub(super) struct Draws(ChaCha8Rng);

/// The number of different draws between zero and one: 2^53.
pub(super) const FINE: f64 = 9_007_199_254_740_992.0;

impl Draws {
    /// A source that starts from `seed`.
    pub(super) fn new(seed: u64) -> Draws {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        Draws(ChaCha8Rng::from_seed(key))
    }

    /// Uniform from zero, below one.
    pub(super) fn part(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / FINE
    }

    /// Uniform between two values: the distribution for a quantity of which only
    /// the limits are known (JCGM 101:2008, 6.4.2).
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part()
    }

    /// Normal with mean zero and standard deviation one, by G. E. P. Box and
    /// M. E. Muller, A Note on the Generation of Random Normal Deviates, 1958
    /// (JCGM 101:2008, C.4).
    pub(super) fn normal(&mut self) -> f64 {
        let (first, second) = (1.0 - self.part(), self.part());
        (-2.0 * first.ln()).sqrt() * (std::f64::consts::TAU * second).cos()
    }

    /// An index below `count`, uniform; zero where `count` is zero.
    pub(super) fn one_of(&mut self, count: usize) -> usize {
        ((self.part() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// The smallest of `count` uniform draws: it is over x with probability
    /// (1 - x)^count.
    pub(super) fn smallest_part_of(&mut self, count: u32) -> f64 {
        if count == 0 { 1.0 } else { 1.0 - self.part().powf(1.0 / f64::from(count)) }
    }
}

/// How many trials fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    /// How many fitted.
    pub fitted: u32,
    /// How many were tried.
    pub trials: u32,
}

/// The two-sided 95 % quantile of the normal distribution.
const ONE_IN_TWENTY: f64 = 1.959_963_984_540_054;

impl Share {
    /// The share that fitted, 0 to 1.
    pub fn found(&self) -> f64 {
        f64::from(self.fitted) / f64::from(self.trials.max(1))
    }

    /// The 95 % interval of the true share: E. B. Wilson, Probable Inference,
    /// the Law of Succession, and Statistical Inference, 1927.
    pub fn between(&self) -> (f64, f64) {
        if self.trials == 0 {
            return (0.0, 1.0);
        }
        let (n, found, z) = (f64::from(self.trials), self.found(), ONE_IN_TWENTY);
        let whole = 1.0 + z * z / n;
        let middle = (found + z * z / (2.0 * n)) / whole;
        let half = z * (found * (1.0 - found) / n + z * z / (4.0 * n * n)).sqrt() / whole;
        ((middle - half).max(0.0), (middle + half).min(1.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TRIALS: usize = 200_000;

    fn tried(seed: u64, mut one: impl FnMut(&mut Draws) -> f64) -> Vec<f64> {
        let mut draws = Draws::new(seed);
        let mut found: Vec<f64> = (0..TRIALS).map(|_| one(&mut draws)).collect();
        found.sort_by(f64::total_cmp);
        found
    }

    fn mean(found: &[f64]) -> f64 {
        found.iter().sum::<f64>() / found.len() as f64
    }

    fn deviation(found: &[f64]) -> f64 {
        let mean = mean(found);
        let squares: f64 = found.iter().map(|value| (value - mean).powi(2)).sum();
        (squares / (found.len() - 1) as f64).sqrt()
    }

    fn middle_95(found: &[f64]) -> (f64, f64) {
        (found[found.len() / 40], found[found.len() - found.len() / 40])
    }

    fn close(found: f64, wanted: f64, by: f64) {
        assert!((found - wanted).abs() <= by, "{found} is not {wanted} ± {by}");
    }

    /// JCGM 101:2008, 9.2.2, table 2: the sum of four normal quantities has
    /// 0, 2.0 and a 95 % interval of ±3.92. Allowed: four standard errors of
    /// 200 000 trials, 0.018 for the mean and 0.05 for an end of the interval.
    #[test]
    fn four_normal_quantities() {
        let found = tried(1, |draws| (0..4).map(|_| draws.normal()).sum());
        close(mean(&found), 0.0, 0.018);
        close(deviation(&found), 2.0, 0.013);
        let (low, high) = middle_95(&found);
        close(low, -3.92, 0.05);
        close(high, 3.92, 0.05);
    }

    /// JCGM 101:2008, 9.2.3, table 3: the sum of four rectangular quantities of
    /// standard deviation one has a 95 % interval of ±3.88.
    #[test]
    fn four_rectangular_quantities() {
        let side = 3f64.sqrt();
        let found = tried(2, |draws| (0..4).map(|_| draws.between(-side, side)).sum());
        close(mean(&found), 0.0, 0.018);
        close(deviation(&found), 2.0, 0.013);
        let (low, high) = middle_95(&found);
        close(low, -3.88, 0.05);
        close(high, 3.88, 0.05);
    }

    /// M. G. Cox and P. M. Harris, NPL report DEM-ES-011, table 9.2: the
    /// logarithm of what lies anywhere between 0.1 and 1.1 has mean -0.665 and
    /// standard deviation 0.606, where the first derivative gives -0.511 and
    /// 0.481: trials follow the formula where a slope does not.
    #[test]
    fn a_logarithm_that_no_slope_follows() {
        let found = tried(3, |draws| draws.between(0.1, 1.1).ln());
        close(mean(&found), -0.665, 0.006);
        close(deviation(&found), 0.606, 0.006);
        // The shortest interval, -1.895 to 0.095, ends at ln 1.1 and leaves out
        // the lowest one in twenty.
        close(found[found.len() / 20], -1.895, 0.015);
        close(found[found.len() - 1], 0.095, 0.001);
    }

    /// Always: A seed gives the same simulated pieces in every version.
    ///
    /// D. J. Bernstein, ChaCha, a variant of Salsa20; eight rounds and a key of
    /// zeros begin with the bytes 3e 00 ef 2f 89 5f 40 d6 (test vectors for
    /// the stream cipher ChaCha, J. Strombergson 2013, TC1).
    #[test]
    fn the_stream_is_that_of_the_cipher() {
        let first = u64::from_le_bytes([0x3e, 0x00, 0xef, 0x2f, 0x89, 0x5f, 0x40, 0xd6]);
        assert_eq!(Draws::new(0).part(), (first >> 11) as f64 / FINE);
        let mut again = Draws::new(7);
        assert_eq!(Draws::new(7).part(), again.part());
        assert_ne!(Draws::new(8).part(), again.part());
    }

    /// By hand: the mean of the smallest of n parts is 1 / (n + 1).
    #[test]
    fn the_smallest_of_several() {
        for count in [1, 3, 9] {
            let found = tried(4, |draws| draws.smallest_part_of(count));
            close(mean(&found), 1.0 / f64::from(count + 1), 0.004);
        }
        assert_eq!(Draws::new(1).smallest_part_of(0), 1.0);
    }

    /// By hand: 0, 1 and 2 have the mean 1 and a standard deviation of 0.816; four standard
    /// errors of that mean are 0.0073.
    #[test]
    fn one_of_three_is_each_as_often() {
        let found = tried(5, |draws| draws.one_of(3) as f64);
        close(mean(&found), 1.0, 0.0073);
        assert_eq!((found[0], found[found.len() - 1]), (0.0, 2.0));
        assert_eq!(Draws::new(1).one_of(0), 0);
    }

    /// R. G. Newcombe, Two-sided confidence intervals for the single
    /// proportion, Statistics in Medicine 17, 1998, table I, method 3 (from
    /// memory): 81 of 263, 15 of 148, 0 of 20, 1 of 29.
    #[test]
    fn between_what_a_share_lies() {
        for (fitted, trials, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            let found = Share { fitted, trials }.between();
            close(found.0, low, 5e-5);
            close(found.1, high, 5e-5);
        }
        assert_eq!(Share { fitted: 0, trials: 0 }.between(), (0.0, 1.0));
    }
}
