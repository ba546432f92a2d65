//! What rows show, by hand.

use super::*;

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-5, "{found}, not {expected}");
}

/// Neighbours differ by 2, 4, 6, 0 and 3: the median 3 is 3.145073 sigma. From their
/// medians, 2 and 2, the numbers lie 1, 1, 5, 1, 0, 0, 3: the median 1 is 1.482603 sigma.
/// Five differences are worth 3. On a ramp the neighbours show less: 1.048358.
#[test]
fn the_spread_that_rows_show() {
    let (sd, worth) = seen_in(&[&[1.0, 3.0, 7.0, 1.0], &[2.0, 2.0, 5.0]]);
    near(sd, 1.482_603);
    near(worth, 3.0);
    let (sd, worth) = seen_in(&[&[0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]]);
    near(sd, 1.048_358);
    near(worth, 3.6);
    // 60 differences are worth 36, but no more than 30 count.
    let long: Vec<f64> = (0..61).map(f64::from).collect();
    near(seen_in(&[&long]).1, 30.0);
    assert_eq!(seen_in(&[]), (0.0, 0.0));
}

/// The gauge scatters by half of 8, so 3 becomes 5. The other row shows less than the
/// gauge, so 4, worth 0.6 x 4 = 2.4. Known: (20 x 25 + 2.4 x 16) / 22.4 = 24.035714, whose
/// root is 4.902623. Usual: (4 x 25 + 2.4 x 16) / 6.4 = 21.625, root 4.650269.
#[test]
fn the_spread_to_expect() {
    let limits = RowLimits { uncertainty: 8.0, band: None, settings: 0.0 };
    let alone = expected_spread(MachineSpread::Known(3.0), limits, &[]);
    assert_eq!(alone, Spread { sd: 5.0, worth: 20.0, memory: 0.0 });
    let other: &[f64] = &[0.0, 2.0, 0.0, 2.0, 0.0];
    let known = expected_spread(MachineSpread::Known(3.0), limits, &[other]);
    near(known.sd, 4.902_623);
    near(known.worth, 22.4);
    let usual = expected_spread(MachineSpread::Usual(3.0), limits, &[other]);
    near(usual.sd, 4.650_269);
    near(usual.worth, 6.4);
    assert_eq!((known.is_known(), usual.is_known()), (true, false));
    assert!(Spread { sd: 1.0, worth: 12.0, memory: 0.0 }.is_known());
}

const SPREAD: Spread = Spread { sd: 1.0, worth: 20.0, memory: 0.0 };

/// On 1 to 8 the squares about 4.5 sum to 42, and the products of neighbours to
/// 8.75 + 3.75 + 0.75 - 0.25 + 0.75 + 3.75 + 8.75 = 26.25: r = 0.625. Freed from what a row
/// of 8 hides it is (0.625 + 1/8) / (1 - 4/8) = 1.5. More than 0.8 is never believed, and
/// then nine readings tell as much of a level as one.
#[test]
fn how_much_readings_remember() {
    let rising: Vec<f64> = (1..=8).map(f64::from).collect();
    near(memory_of(&rising).unwrap(), 1.5);
    let rows = BatchRows::new(vec![(&rising, 1.0); 4]);
    near(rows.memory_beside(0), 0.8);
    near(Spread { memory: 0.8, ..SPREAD }.per_free_reading(), 9.0);
    near(SPREAD.per_free_reading(), 1.0);
    // Two others are too few to tell, and seven readings too short.
    assert_eq!(BatchRows::new(vec![(&rising, 1.0); 3]).memory_beside(0), 0.0);
    assert_eq!(BatchRows::new(vec![(&rising[..7], 1.0); 4]).memory_beside(0), 0.0);
    let up_and_down = [1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0, -1.0];
    assert_eq!(BatchRows::new(vec![(&up_and_down, 1.0); 4]).memory_beside(0), 0.0);
}

/// Readings 0 and 2 in turn differ from their median 1 by 1, which is 1.482603 sigma, the
/// smaller of the two estimates; a tenth more is 1.630863. Rows known to scatter by 1 are
/// expected to scatter by that, rows known to scatter by 2 by twice that.
#[test]
fn rows_that_scatter_more_than_the_shop_says_are_believed() {
    let row = [0.0, 2.0, 0.0, 2.0, 0.0, 2.0, 0.0, 2.0];
    let rows = BatchRows::new(vec![(&row, 1.0); 3]);
    near(rows.seen(1, SPREAD).sd, 1.630_863);
    assert_eq!(rows.seen(1, Spread { sd: 5.0, ..SPREAD }).sd, 5.0, "less is only luck");
    assert_eq!(BatchRows::new(vec![(&row, 1.0); 2]).seen(0, SPREAD).sd, 1.0, "too few rows");
}

/// The others are off by 3, 1 and 2 spreads: the median 2 is 2.965203 sigma of settings, and
/// twice that is unusual.
#[test]
fn how_close_a_shop_sets_its_scales() {
    let at = |level: f64| [level; 4];
    let (own, one, two, three) = (at(9.0), at(3.0), at(-1.0), at(2.0));
    let rows = BatchRows::new(vec![(&own, 1.0), (&one, 1.0), (&two, 1.0), (&three, 1.0)]);
    near(rows.settings_beside(0, SPREAD, &[true; 4]), 5.930_407);
    near(rows.settings_beside(0, Spread { sd: 2.0, ..SPREAD }, &[true; 4]), 11.860_813);
    let few = BatchRows::new(vec![(&own, 1.0), (&one, 1.0), (&two, 1.0)]);
    assert_eq!(few.settings_beside(0, SPREAD, &[true; 4]), 0.0);
    assert_eq!(rows.settings_beside(0, SPREAD, &[true, true, false, true]), 0.0);
}
