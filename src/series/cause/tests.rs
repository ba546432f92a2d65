//! The evidence for each cause, by hand.

use super::*;

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-5, "{found}, not {expected}");
}

/// Five readings, 12 unexplained, two parameters; 3 x 2^2 = 12:
/// (3 + 5 - 3) ln(1 + 12/12) + 2 ln 5 = 5 x 0.693147 + 2 x 1.609438 = 6.684612.
/// Six readings, 8 unexplained, three parameters; 4 x 2^2 = 16:
/// (4 + 6 - 3) ln(1 + 8/16) + 3 ln 6 = 7 x 0.405465 + 3 x 1.791759 = 8.213535.
#[test]
fn the_criterion_by_hand() {
    near(evidence(5, 12.0, 2, Spread { sd: 2.0, worth: 3.0 }), 6.684_612);
    near(evidence(6, 8.0, 3, Spread { sd: 2.0, worth: 4.0 }), 8.213_535);
    // Without a spread only the parameters count: 2 x 1.609438.
    near(evidence(5, 12.0, 2, Spread { sd: 0.0, worth: 3.0 }), 3.218_876);
    // Choosing 2 of 5 pieces costs 2 ln 10 = 4.605170 more.
    let cause = Cause::Apart { count: 2, by: 1.0 };
    let shape = FittedCause { cause, residual: 12.0, parameters: 2, choices: ln_choices(5, 2) };
    near(shape.evidence(5, Spread { sd: 2.0, worth: 3.0 }), 11.289_782);
}

/// 1, 15, 20 and 6 ways: ln 15 = 2.708050, ln 20 = 2.995732, ln 6 = 1.791759.
#[test]
fn ways_to_choose() {
    near(ln_choices(6, 0), 0.0);
    near(ln_choices(6, 2), 2.708_050);
    near(ln_choices(6, 3), 2.995_732);
    near(ln_choices(6, 5), 1.791_759);
}

/// In order 0, 0, 1, 2, 9, 10. The first four lie about 0.75 and leave
/// 2 x 0.5625 + 0.0625 + 1.5625 = 2.75, the last two about 9.5 and leave 0.5: two of six,
/// 15 ways, 8.75 above the others. Upside down they are 8.75 below.
#[test]
fn a_few_pieces_apart() {
    let row = [1.0, 9.0, 0.0, 10.0, 2.0, 0.0];
    for (sign, row) in [(1.0, row), (-1.0, row.map(|miss| -miss))] {
        let found = apart(&row).unwrap();
        assert_eq!(found.cause, Cause::Apart { count: 2, by: 8.75 * sign });
        near(found.residual, 3.25);
        near(found.choices, 2.708_050);
        assert_eq!(found.parameters, 2);
    }
    assert!(apart(&[0.0, 0.0, 9.0]).is_none(), "one is no few");
}

/// 5, 6, 7 lie 4 above 1, 2, 3; each three leave 2.
#[test]
fn a_subset_apart() {
    let row = [1.0, 5.0, 2.0, 6.0, 3.0, 7.0];
    let own = [false, true, false, true, false, true];
    let found = of_subset(&row, 7, &own, 1.5).unwrap();
    assert_eq!(found.cause, Cause::Subset { subset: 7, by: 4.0 });
    assert_eq!((found.residual, found.parameters, found.choices), (4.0, 2, 1.5));
    assert!(of_subset(&row, 0, &[true, false, false, false, false, false], 0.0).is_none());
    assert!(of_subset(&row, 0, &[false, true, true, true, true, true], 0.0).is_none());
    assert!(of_subset(&row[..4], 0, &own[..4], 0.0).is_some(), "two and two will do");
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
    let limits = RowLimits { uncertainty: 8.0, band: None };
    let alone = expected_spread(MachineSpread::Known(3.0), limits, &[]);
    assert_eq!(alone, Spread { sd: 5.0, worth: 20.0 });
    let other: &[f64] = &[0.0, 2.0, 0.0, 2.0, 0.0];
    let known = expected_spread(MachineSpread::Known(3.0), limits, &[other]);
    near(known.sd, 4.902_623);
    near(known.worth, 22.4);
    let usual = expected_spread(MachineSpread::Usual(3.0), limits, &[other]);
    near(usual.sd, 4.650_269);
    near(usual.worth, 6.4);
    assert_eq!((known.threshold(), usual.threshold()), (6.0, 10.0));
    let just = Spread { sd: 1.0, worth: 12.0 };
    assert_eq!(just.threshold(), 6.0);
}

const LIMITS: RowLimits = RowLimits { uncertainty: 1.0, band: None };
const SPREAD: Spread = Spread { sd: 1.0, worth: 20.0 };

fn diagnosed(row: &[f64]) -> Diagnosis {
    diagnose(row, SPREAD, LIMITS, &[])
}

/// A step two from either end is one; a step one from the end is a slip, and no second
/// reading of it as a step makes that doubtful.
#[test]
fn a_step_takes_two_pieces_on_either_side() {
    let moved = |row: [f64; 8]| match diagnosed(&row).cause() {
        Some(Cause::Moved { after, .. }) => *after,
        other => panic!("{other:?}"),
    };
    assert_eq!(moved([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 20.0, 20.0]), 6);
    assert_eq!(moved([20.0, 20.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]), 2);
    for (row, place) in [
        ([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 20.0], 8),
        ([20.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0], 1),
    ] {
        let found = diagnosed(&row);
        let Diagnosis::Found { cause, runner_up: Some(next), .. } = found else {
            panic!("{found:?}")
        };
        assert!(matches!(cause, Cause::Slip { at, .. } if at == place), "{found:?}");
        assert!(!matches!(next.cause, Cause::Moved { .. }), "{found:?}");
        assert_eq!(found.certainty(), Certainty::Clear);
    }
}

/// All at 3, spread 1 worth 20. A setting within the uncertainty 1 is harmless, so
/// "nothing happened" leaves 4 x 2^2 = 16: (20 + 4 - 3) ln(1 + 16/20) = 21 x 0.587787 =
/// 12.343520. "Set wrong" leaves nothing; both have one parameter.
#[test]
fn the_strength_of_a_setting_that_was_wrong() {
    let found = diagnosed(&[3.0; 4]);
    let Diagnosis::Found { cause, strength, threshold, .. } = found else { panic!("{found:?}") };
    assert_eq!((cause, threshold), (Cause::SetWrong { by: 3.0 }, 6.0));
    near(strength, 12.343_520);
    // An eighth of a band of 16 is harmless: 4 x 1^2 = 4, 21 ln 1.2 = 3.828752, under 6.
    let wide = RowLimits { uncertainty: 1.0, band: Some(16.0) };
    let found = diagnose(&[3.0; 4], SPREAD, wide, &[]);
    let Diagnosis::Found { cause, runner_up: Some(next), .. } = found else { panic!("{found:?}") };
    assert_eq!(cause, Cause::Steady { level: 3.0 });
    assert_eq!(next.cause, Cause::SetWrong { by: 3.0 });
    near(next.behind, 6.0 - 3.828_752);
}

/// No bigger than the uncertainty is not seen.
#[test]
fn what_a_gauge_can_show() {
    let moved = |to: f64| Cause::Moved { after: 2, before_level: 2.0, after_level: to };
    assert!(!seen(&moved(3.0), 0.5, LIMITS) && !seen(&moved(1.0), 0.5, LIMITS));
    assert!(seen(&moved(3.1), 0.5, LIMITS) && seen(&moved(0.9), 0.5, LIMITS));
    assert!(!seen(&Cause::Slip { at: 1, by: -1.0 }, 0.5, LIMITS));
    assert!(seen(&Cause::Slip { at: 1, by: -1.1 }, 0.5, LIMITS));
    assert!(!seen(&Cause::SetWrong { by: 2.0 }, 2.0, LIMITS));
    assert!(seen(&Cause::SetWrong { by: -2.1 }, 2.0, LIMITS));
}

/// 0, 10, 0, 10 reach over 10; their squares about 5 are 100, so sd = sqrt(100/3) = 5.773503.
#[test]
fn a_row_wider_than_its_band_is_scattered() {
    let of = |band| scattered(&[0.0, 10.0, 0.0, 10.0], RowLimits { uncertainty: 1.0, band });
    let Some(Cause::Scattered { sd }) = of(Some(9.9)) else { panic!("wider than 9.9") };
    near(sd, 5.773_503);
    assert_eq!((of(Some(10.0)), of(None)), (None, None));
}

/// Weak evidence is up to 2.
#[test]
fn how_far_a_diagnosis_can_be_relied_on() {
    let of = |cause, runner_up: Option<f64>| {
        let runner_up =
            runner_up.map(|behind| RunnerUp { cause: Cause::SetWrong { by: 1.0 }, behind });
        Diagnosis::Found { cause, strength: 0.0, threshold: 6.0, runner_up }.certainty()
    };
    let steady = Cause::Steady { level: 0.0 };
    assert_eq!(of(steady, None), Certainty::Clear);
    assert_eq!(of(steady, Some(3.9)), Certainty::CannotTell);
    assert_eq!(of(steady, Some(4.0)), Certainty::Likely);
    let slip = Cause::Slip { at: 1, by: 9.0 };
    assert_eq!(of(slip, None), Certainty::Clear);
    assert_eq!(of(slip, Some(1.9)), Certainty::Likely);
    assert_eq!(of(slip, Some(2.0)), Certainty::Clear);
    let few = Diagnosis::TooFew { have: 3, need: 4 };
    assert_eq!(
        (few.certainty(), few.cause(), few.happened()),
        (Certainty::CannotTell, None, false)
    );
}
