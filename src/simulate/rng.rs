//! Random numbers that are the same on every machine, for one seed and one
//! subject.
//!
//! Each subject draws from a stream of its own, so that what happens to one piece
//! doesn't change the next.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rand_distr::{Distribution, StandardNormal};

/// The subject of a draw: the operation, the piece, the feature, and a count.
pub(super) type About<'a> = (u32, &'a str, &'a str, u32);

/// A random seed, from which every subject's stream is made.
#[derive(Clone, Copy, Debug)]
pub(super) struct SeededRng(pub u32);

impl SeededRng {
    /// A draw from the standard normal distribution.
    pub(super) fn normal(self, what: &str, about: About<'_>) -> f64 {
        StandardNormal.sample(&mut self.stream(what, about))
    }

    /// Whether an event of this probability happens, and to which side: 1 or -1.
    pub(super) fn happens(self, probability: f64, what: &str, about: About<'_>) -> Option<i64> {
        let draw = self.stream(what, about).next_u64();
        // The upper 53 bits as a number below one, the lowest as a side.
        let below_one = (draw >> 11) as f64 / (1_u64 << 53) as f64;
        (below_one < probability).then_some(if draw & 1 == 0 { 1 } else { -1 })
    }

    fn stream(self, what: &str, (op, piece, feature, count): About<'_>) -> ChaCha8Rng {
        let mut seed = [0; 32];
        seed[..4].copy_from_slice(&self.0.to_le_bytes());
        let mut generator = ChaCha8Rng::from_seed(seed);
        let parts: [&[u8]; 5] = [
            what.as_bytes(),
            piece.as_bytes(),
            feature.as_bytes(),
            &op.to_le_bytes(),
            &count.to_le_bytes(),
        ];
        generator.set_stream(named(&parts));
        generator
    }
}

/// A number for a name: FNV-1a of 64 bits, a zero byte between the parts.
fn named(parts: &[&[u8]]) -> u64 {
    let bytes = parts.iter().flat_map(|part| part.iter().chain(&[0]));
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FNV-1a, 64 bits, of no bytes is its offset; of `a` af63dc4c8601ec8c
    /// (published test vectors by its authors, from memory). Our part adds a zero byte: that
    /// multiplies once more by the prime.
    #[test]
    fn names_are_numbered_as_published() {
        assert_eq!(named(&[]), 0xcbf2_9ce4_8422_2325);
        let a = 0xaf63_dc4c_8601_ec8c_u64.wrapping_mul(0x0000_0100_0000_01b3);
        assert_eq!(named(&[b"a"]), a);
    }

    /// 4000 draws: the mean of a standard normal lies within 4 / sqrt(4000) =
    /// 0.063 of zero, the spread within 4 / sqrt(8000) = 0.045 of one, but
    /// once in ten thousand seeds; this seed is not one of them.
    #[test]
    fn draws_are_normal_and_each_thing_has_its_own() {
        let draws: Vec<f64> =
            (0..4000).map(|n| SeededRng(7).normal("wood", (50, "leg", "thickness", n))).collect();
        let mean = draws.iter().sum::<f64>() / 4000.0;
        let spread = (draws.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / 3999.0).sqrt();
        assert!(mean.abs() < 0.063 && (spread - 1.0).abs() < 0.045, "{mean} {spread}");
        let about = (50, "leg", "thickness", 0);
        assert_eq!(SeededRng(7).normal("wood", about), draws[0]);
        assert_ne!(SeededRng(8).normal("wood", about), draws[0]);
        assert_ne!(SeededRng(7).normal("gauge", about), draws[0]);
    }

    #[test]
    fn what_is_certain_happens_and_what_is_impossible_does_not() {
        let about = (50, "leg", "thickness", 0);
        assert!(SeededRng(7).happens(1.0, "miss", about).is_some());
        assert_eq!(SeededRng(7).happens(0.0, "miss", about), None);
    }
}
