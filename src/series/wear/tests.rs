//! What wear leaves, by hand.

use proptest::prelude::*;

use super::*;

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-5, "{found}, not {expected}");
}

fn kept(row: &[f64]) -> Kept {
    Kept { readings: row.iter().copied().enumerate().collect() }
}

/// 1 + 2 (1 - exp(-place / 4)) over 16 places: from 1 to 1 + 2 (1 - exp(-15/4)) = 2.952965.
#[test]
fn wear_that_settles_is_found_with_its_size() {
    let row: Vec<f64> =
        (0..16).map(|at| 1.0 + 2.0 * (1.0 - (-f64::from(at) / 4.0).exp())).collect();
    let found = wore(&kept(&row), 16).unwrap();
    let Cause::WoreIn { by, start } = found.cause else { panic!("{:?}", found.cause) };
    near(start, 1.0);
    near(by, 1.952_965);
    assert!(found.expected.iter().zip(&row).all(|(one, other)| (one - other).abs() < 1e-9));
    assert_eq!(found.parameters, 3);
}

/// 0, 1, 2, 3, 4 again and again, begun at 2: every five pieces, 4 from one to the next.
#[test]
fn a_saw_tooth_is_found_with_its_period() {
    let row: Vec<f64> = (0..16).map(|at| f64::from((at + 2) % 5)).collect();
    let found = saw_tooth(&kept(&row), 16).unwrap();
    let Cause::SawTooth { by, every } = found.cause else { panic!("{:?}", found.cause) };
    near(by, 4.0);
    assert_eq!((every, found.parameters), (5, 4));
    // Once up is no period: there is no second cleaning in seven readings.
    assert!(saw_tooth(&kept(&row[..7]), 7).is_none());
}

/// Eight readings 1 from the middle, then eight 4 from it: four times as much, after the
/// eighth. What that costs is 8 ln 4 = 11.090355. Twice as much is seen, less isn't.
#[test]
fn a_scatter_that_grew_is_found_with_its_place() {
    let row = |times: f64| -> Vec<f64> {
        let side = |at: usize| if at.is_multiple_of(2) { 1.0 } else { -1.0 };
        (0..16).map(|at| side(at) * if at < 8 { 1.0 } else { times }).collect()
    };
    let found = looser(&kept(&row(4.0)), 16, 1.0).unwrap();
    assert_eq!(found.cause, Cause::Loosened { after: 8, times: 4.0 });
    assert_eq!(found.looser, Some((8, 4.0)));
    near(found.choices, 11.090_355);
    assert!(looser(&kept(&row(1.9)), 16, 1.0).is_none());
    // The machine is known to scatter as much.
    assert!(looser(&kept(&row(4.0)), 16, 3.0).is_none());
}

/// Every period and every place, each fitted by itself.
fn tooth_of_all(kept: &Kept, n: usize) -> Option<(usize, f64)> {
    let periods = FEWEST_BETWEEN..=(n / 2).min(MOST_BETWEEN);
    let all = periods.flat_map(|period| (0..period).map(move |first| (period, first)));
    let fitted = all.filter_map(|(period, first)| {
        let since = |at: usize| ((at + period - first) % period) as f64 / (period - 1) as f64;
        Some((Line::through(kept, since)?, period))
    });
    best(fitted).map(|(line, period)| (period, line.by))
}

proptest! {
    /// Always: The saw tooth that is found for a row is the one that trying each period and
    /// place finds.
    #[test]
    fn the_saw_tooth_is_the_best_of_all(
        row in proptest::collection::vec((-9..9i32, prop::bool::weighted(0.9)), 8..100),
    ) {
        let n = row.len();
        let readings = row.iter().enumerate().filter(|(_, (_, is_kept))| *is_kept);
        let readings = readings.map(|(at, (miss, _))| (at, f64::from(*miss) / 1000.0));
        let kept = Kept { readings: readings.collect() };
        // No fit leaves out more than a quarter.
        prop_assume!(kept.readings.len() * 4 >= n * 3);
        let found = saw_tooth(&kept, n).map(|found| found.cause);
        let sought = tooth_of_all(&kept, n).map(|(every, by)| Cause::SawTooth { by, every });
        prop_assert_eq!(found, sought);
    }
}
