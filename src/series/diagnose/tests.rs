//! The evidence for each cause, by hand.

use super::*;
use crate::series::Certainty;

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-5, "{found}, not {expected}");
}

/// Five readings, 12 unexplained; 3 x 2^2 = 12: (3 + 5 - 3) ln(1 + 12/12) = 5 x 0.693147 =
/// 3.465736. Six readings, 8 unexplained; 4 x 2^2 = 16: (4 + 6 - 3) ln(1 + 8/16) =
/// 7 x 0.405465 = 2.838256.
#[test]
fn how_badly_a_shape_fits() {
    let spread = |sd, worth| Spread { sd, worth, memory: 0.0 };
    near(misfit(5, 12.0, spread(2.0, 3.0)), 3.465_736);
    near(misfit(6, 8.0, spread(2.0, 4.0)), 2.838_256);
    assert_eq!(misfit(5, 12.0, spread(0.0, 3.0)), 0.0);
}

/// Where readings remember half of the one before, three tell as much as one: what a shape
/// explains counts a third. "Nothing happened" fits by 10 and the shape by 3.465736, so
/// 10 - 6.534264 / 3 = 7.821912, with two parameters, one reading left out (two more) and
/// ten choices: 4 ln 5 = 6.437752 and 2 ln 10 = 4.605170.
#[test]
fn the_criterion_by_hand() {
    let spread = Spread { sd: 2.0, worth: 3.0, memory: 0.5 };
    let scale = EvidenceScale { n: 5, spread, steady: 10.0, of_nothing: 0.0 };
    let shape = FittedCause {
        cause: Cause::Crept { by: 1.0, start: 0.0 },
        residual: 12.0,
        parameters: 2,
        choices: 10_f64.ln(),
        lone: vec![LoneReading { at: 1, by: 9.0 }],
    };
    near(scale.evidence(&shape), 7.821_912 + 6.437_752 + 4.605_170);
}

const LIMITS: RowLimits = RowLimits { uncertainty: 1.0, band: None, settings: 0.0 };
const SPREAD: Spread = Spread { sd: 1.0, worth: 20.0, memory: 0.0 };

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
        let Diagnosis::Found { cause, ref runner_up, .. } = found else { panic!("{found:?}") };
        assert!(matches!(cause, Cause::Slip { at, .. } if at == place), "{found:?}");
        let is_step = |next: &RunnerUp| matches!(next.cause, Cause::Moved { .. });
        assert!(!runner_up.as_ref().is_some_and(is_step), "{found:?}");
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
    let wide = RowLimits { band: Some(16.0), ..LIMITS };
    let found = diagnose(&[3.0; 4], SPREAD, wide, &[]);
    let Diagnosis::Found { cause, runner_up: Some(next), .. } = found else { panic!("{found:?}") };
    assert_eq!(cause, Cause::Steady { level: 3.0 });
    assert_eq!(next.cause, Cause::SetWrong { by: 3.0 });
    near(next.behind, 6.0 - 3.828_752);
}

/// One slip among readings that are all off: 16 at 3, one of them at 20. The rest are set
/// wrong by 3, and the slip is named beside it. Where the rest are off by no more than any
/// setting, 2.5 spreads, the slip is the cause and carries their level.
#[test]
fn a_slip_does_not_hide_what_all_the_others_are_off_by() {
    let row = |level: f64| {
        let mut row = [level; 16];
        row[6] = 20.0;
        row
    };
    let found = diagnosed(&row(3.0));
    let Diagnosis::Found { cause, ref lone, .. } = found else { panic!("{found:?}") };
    assert_eq!(cause, Cause::SetWrong { by: 3.0 });
    assert_eq!(lone.as_slice(), [LoneReading { at: 7, by: 17.0 }]);
    let found = diagnosed(&row(2.0));
    let Some(Cause::Slip { at: 7, level, .. }) = found.cause().copied() else {
        panic!("{found:?}")
    };
    near(level, 2.0);
}

/// Two slips are two, also one to each side.
#[test]
fn two_slips_are_two() {
    let mut row = [0.0; 16];
    (row[4], row[11]) = (20.0, -15.0);
    let found = diagnosed(&row);
    let Diagnosis::Found { cause, ref lone, .. } = found else { panic!("{found:?}") };
    assert!(matches!(cause, Cause::Slip { at: 5, .. }), "{found:?}");
    assert_eq!(lone.iter().map(|lone| lone.at).collect::<Vec<_>>(), [5, 12]);
}

/// Nobody sets a scale closer than 2.5 spreads from one batch to the next, and where the
/// other rows show a shop that sets less close, no closer than that.
#[test]
fn a_setting_as_close_as_the_shop_sets_is_no_fault() {
    let steady = |row: &[f64], limits| {
        matches!(diagnose(row, SPREAD, limits, &[]).cause(), Some(Cause::Steady { .. }))
    };
    assert!(steady(&[2.4; 16], LIMITS) && !steady(&[2.6; 16], LIMITS));
    assert!(steady(&[2.6; 16], RowLimits { settings: 3.0, ..LIMITS }));
    // Of a band of 6 a setting may use up 2.25.
    let narrow = RowLimits { band: Some(6.0), ..LIMITS };
    assert!(steady(&[2.2; 16], narrow) && !steady(&[2.3; 16], narrow));
}

/// Readings that each remember most of the one before wander: what looks like a step of
/// two spreads is none, though among free readings it would be one.
#[test]
fn a_wander_is_no_step() {
    let row: Vec<f64> = (0..16).map(|at| if at < 8 { -1.0 } else { 1.0 }).collect();
    let with = |memory| diagnose(&row, Spread { memory, ..SPREAD }, LIMITS, &[]).happened();
    assert!(with(0.0) && !with(0.8));
}

/// 0, 10, 0, 10 reach over 10; their squares about 5 are 100, so sd = sqrt(100/3) = 5.773503.
#[test]
fn a_row_wider_than_its_band_is_scattered() {
    let of = |band| scattered(&[0.0, 10.0, 0.0, 10.0], RowLimits { band, ..LIMITS });
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
        Diagnosis::Found { cause, lone: Vec::new(), strength: 0.0, threshold: 6.0, runner_up }
            .certainty()
    };
    let steady = Cause::Steady { level: 0.0 };
    assert_eq!(of(steady, None), Certainty::Clear);
    assert_eq!(of(steady, Some(3.9)), Certainty::CannotTell);
    assert_eq!(of(steady, Some(4.0)), Certainty::Likely);
    let slip = Cause::Slip { at: 1, by: 9.0, level: 0.0 };
    assert_eq!(of(slip, None), Certainty::Clear);
    assert_eq!(of(slip, Some(1.9)), Certainty::Likely);
    assert_eq!(of(slip, Some(2.0)), Certainty::Clear);
    let few = Diagnosis::TooFew { have: 3, need: 4 };
    assert_eq!(
        (few.certainty(), few.cause(), few.happened()),
        (Certainty::CannotTell, None, false)
    );
}
