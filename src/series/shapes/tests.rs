//! Shapes fitted by hand.

use super::*;

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-5, "{found}, not {expected}");
}

/// 1, 15, 20 and 6 ways: ln 15 = 2.708050, ln 20 = 2.995732, ln 6 = 1.791759.
#[test]
fn ways_to_choose() {
    near(ln_choices(6, 0), 0.0);
    near(ln_choices(6, 2), 2.708_050);
    near(ln_choices(6, 3), 2.995_732);
    near(ln_choices(6, 5), 1.791_759);
}

const LIMITS: RowLimits = RowLimits { uncertainty: 1.0, band: None, settings: 0.0 };
const WIDE: Spread = Spread { sd: 100.0, worth: 20.0, memory: 0.0 };

fn all(row: &[f64]) -> Kept {
    Kept { readings: row.iter().copied().enumerate().collect() }
}

/// In order 0, 0, 1, 2, 9, 10, 11. The first four lie about 0.75, the last three about 10:
/// three of seven, 35 ways, 9.25 above the others. Upside down they are 9.25 below.
#[test]
fn a_few_pieces_apart() {
    let row = [1.0, 9.0, 0.0, 10.0, 2.0, 0.0, 11.0];
    for (sign, row) in [(1.0, row), (-1.0, row.map(|miss| -miss))] {
        let found = apart(&all(&row), 7).unwrap();
        let level = 0.75 * sign;
        assert_eq!(found.cause, Cause::Apart { count: 3, by: 9.25 * sign, level });
        near(found.choices, 35_f64.ln());
        assert_eq!((found.parameters, found.expected[1]), (2, 10.0 * sign));
    }
    let two = [1.0, 0.0, 9.0, 10.0, 1.0];
    assert!(apart(&all(&two), 5).is_none(), "two are two slips");
}

/// 5, 6, 7 lie 4 above 1, 2, 3.
#[test]
fn a_subset_apart() {
    let row = [1.0, 5.0, 2.0, 6.0, 3.0, 7.0];
    let own = [false, true, false, true, false, true];
    let found = of_subset(&all(&row), 7, &own, 1.5).unwrap();
    assert_eq!(found.cause, Cause::Subset { subset: 7, by: 4.0, level: 2.0 });
    assert_eq!((found.parameters, found.choices), (2, 1.5));
    assert_eq!(found.expected, [2.0, 6.0, 2.0, 6.0, 2.0, 6.0]);
    assert!(of_subset(&all(&row), 0, &[true, false, false, false, false, false], 0.0).is_none());
    assert!(of_subset(&all(&row), 0, &[false, true, true, true, true, true], 0.0).is_none());
    assert!(of_subset(&all(&row[..4]), 0, &own[..4], 0.0).is_some(), "two and two will do");
}

/// On the line 1, 2, 3, 4, 5, 6 without its third reading the slope is one all the same:
/// from the first place to the last it rises by 5.
#[test]
fn a_creep_bridges_what_is_left_out() {
    let mut kept = all(&[1.0, 2.0, 30.0, 4.0, 5.0, 6.0]);
    kept.readings.remove(2);
    let Cause::Crept { by, start } = crept(&kept, 6).unwrap().cause else { panic!("a creep") };
    near(by, 5.0);
    near(start, 1.0);
}

/// By hand: eight readings at 0 but one at 20 and one at -12, spread 1: both lie over 3 from
/// the level of the rest. Of eight readings at most two are left out.
#[test]
fn readings_far_off_are_left_out_and_named() {
    let spread = Spread { sd: 1.0, ..WIDE };
    let row = [0.0, 20.0, 0.0, 0.0, 0.0, -12.0, 0.0, 0.0];
    let found = shapes(&row, spread, LIMITS, &[]).trimmed.unwrap();
    let [first, second] = found.lone.as_slice() else { panic!("{:?}", found.lone) };
    assert_eq!(
        (*first, *second),
        (LoneReading { at: 2, by: 20.0 }, LoneReading { at: 6, by: -12.0 })
    );
    near(found.residual, 0.0);
    let three = [0.0, 20.0, 0.0, 15.0, 0.0, -12.0, 0.0, 0.0];
    assert_eq!(shapes(&three, spread, LIMITS, &[]).trimmed.unwrap().lone.len(), 2);
    assert!(shapes(&row, WIDE, LIMITS, &[]).trimmed.is_none(), "within the scatter");
}

/// No bigger than the uncertainty is not seen.
#[test]
fn what_a_gauge_can_show() {
    let moved = |to: f64| Cause::Moved { after: 2, before_level: 2.0, after_level: to };
    assert!(!seen(&moved(3.0), 0.5, LIMITS) && !seen(&moved(1.0), 0.5, LIMITS));
    assert!(seen(&moved(3.1), 0.5, LIMITS) && seen(&moved(0.9), 0.5, LIMITS));
    assert!(!seen(&Cause::Slip { at: 1, by: -1.0, level: 0.0 }, 0.5, LIMITS));
    assert!(seen(&Cause::Slip { at: 1, by: -1.1, level: 0.0 }, 0.5, LIMITS));
    assert!(!seen(&Cause::SetWrong { by: 2.0 }, 2.0, LIMITS));
    assert!(seen(&Cause::SetWrong { by: -2.1 }, 2.0, LIMITS));
}
