//! How many cases the slow laws run.

use proptest::prelude::ProptestConfig;

/// This many cases of every 256 asked for. A slow law runs fewer than 256 in
/// `cargo test`; `PROPTEST_CASES=10000` scales it like the others.
pub fn of_256(cases: u32) -> ProptestConfig {
    let asked = ProptestConfig::default();
    let cases = u64::from(asked.cases) * u64::from(cases) / 256;
    ProptestConfig { cases: u32::try_from(cases).unwrap_or(u32::MAX).max(1), ..asked }
}
