//! Chart results against published worked examples and certified values. Each
//! check names its source; "recomputed" means the source prints fewer digits or none.

use std::fs;
use std::path::Path;

use benchway::series::{
    Action, Aimed, Band, BandZone, Baseline, Cusum, D2_OF_TWO, Ewma, Individuals, LARGEST_SUBGROUP,
    NoIndex, PairAction, Qualification, Rule, Side, Subgroups, TooFew, Within, capability,
    constants, cp_interval, cpk_interval, deviations, indices, lag_one, level, mean, median,
    median_absolute_deviation, moving_ranges, pair, quantile, ramp, setup, signals, slip,
    small_batch, spread_factors, standard_deviation, standardized, standardized_groups, step,
    theil_sen, zone,
};
use proptest::prelude::*;
use statrs::distribution::{Continuous, ContinuousCDF, Normal};

/// Within half a unit of the last digit printed, or within the given tolerance.
fn near(found: f64, expected: f64, within: f64, what: &str) {
    assert!((found - expected).abs() <= within, "{what}: {found}, expected {expected}");
}

fn all_near(found: &[f64], expected: &[f64], within: f64, what: &str) {
    assert_eq!(found.len(), expected.len(), "{what}");
    for (i, (found, expected)) in found.iter().zip(expected).enumerate() {
        near(*found, *expected, within, &format!("{what} {}", i + 1));
    }
}

fn published(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published").join(name);
    fs::read_to_string(path).unwrap()
}

// NIST Statistical Reference Datasets, univariate summary statistics.

/// How many digits agree with the certified value, as the StRD pages count them.
fn digits(found: f64, certified: f64) -> f64 {
    if found == certified {
        return 16.0;
    }
    -((found - certified).abs() / certified.abs()).log10()
}

struct Certified {
    n: usize,
    mean: f64,
    sd: f64,
    lag_one: f64,
}

/// Certified values have 15 digits; `least` is how many digits of mean, sd and lag one must agree.
fn certified(name: &str, values: &[f64], expected: &Certified, least: [f64; 3]) {
    assert_eq!(values.len(), expected.n, "{name}");
    let found = [
        (mean(values).unwrap(), expected.mean),
        (standard_deviation(values).unwrap(), expected.sd),
        (lag_one(values).unwrap().unwrap(), expected.lag_one),
    ];
    for ((found, expected), least) in found.into_iter().zip(least) {
        let agree = digits(found, expected);
        println!("{name}: {found} has {agree:.1} digits of {expected}");
        assert!(agree >= least, "{name}: {found} has {agree:.1} digits of {expected}");
    }
}

#[test]
fn strd_lottery() {
    let values: Vec<f64> = published("lottery.csv").lines().map(|l| l.parse().unwrap()).collect();
    let expected = Certified {
        n: 218,
        mean: 518.958715596330,
        sd: 291.699727470969,
        lag_one: -0.120948622967393,
    };
    certified("Lottery", &values, &expected, [14.5, 14.5, 14.0]);
}

#[test]
fn strd_pi_digits() {
    let digits = published("pi-digits.txt");
    let values: Vec<f64> = digits.chars().filter_map(|c| c.to_digit(10)).map(f64::from).collect();
    let expected = Certified {
        n: 5000,
        mean: 4.53480000000000,
        sd: 2.86733906028871,
        lag_one: -0.00355099287237972,
    };
    certified("PiDigits", &values, &expected, [15.0, 14.5, 14.0]);
}

/// The data have no exact binary form; with what a `f64` holds of them no sd can be nearer
/// than 0.000429123454003085 and no lag one nearer than 0.937989183438259 (worked out with
/// 60 digits): 13.1 and 13.9 digits.
#[test]
fn strd_mavro() {
    let values = [
        2.00180, 2.00170, 2.00180, 2.00190, 2.00180, 2.00170, 2.00150, 2.00140, 2.00150, 2.00150,
        2.00170, 2.00180, 2.00180, 2.00190, 2.00190, 2.00210, 2.00200, 2.00160, 2.00140, 2.00130,
        2.00130, 2.00150, 2.00150, 2.00160, 2.00150, 2.00140, 2.00130, 2.00140, 2.00150, 2.00140,
        2.00150, 2.00160, 2.00150, 2.00160, 2.00190, 2.00200, 2.00200, 2.00210, 2.00220, 2.00230,
        2.00240, 2.00250, 2.00270, 2.00260, 2.00260, 2.00260, 2.00270, 2.00260, 2.00250, 2.00240,
    ];
    let expected = Certified {
        n: 50,
        mean: 2.00185600000000,
        sd: 0.000429123454003053,
        lag_one: 0.937989183438248,
    };
    certified("Mavro", &values, &expected, [15.0, 13.0, 13.0]);
}

#[test]
fn strd_num_acc_1() {
    let values = [10_000_001.0, 10_000_003.0, 10_000_002.0];
    let expected = Certified { n: 3, mean: 10_000_002.0, sd: 1.0, lag_one: -0.5 };
    certified("NumAcc1", &values, &expected, [16.0, 16.0, 16.0]);
}

/// First the middle number, then the two beside it by turns, 500 times.
fn num_acc(middle: f64, below: f64, above: f64) -> Vec<f64> {
    let pairs = std::iter::repeat_n([below, above], 500).flatten();
    std::iter::once(middle).chain(pairs).collect()
}

#[test]
fn strd_num_acc_2() {
    let expected = Certified { n: 1001, mean: 1.2, sd: 0.1, lag_one: -0.999 };
    certified("NumAcc2", &num_acc(1.2, 1.1, 1.3), &expected, [15.0, 15.0, 14.5]);
}

/// Always: Means and deviations agree with the certified values.
///
/// What a `f64` holds of the data has the sd 0.1000000000349246 (9.5 digits) and the lag one
/// -0.998999999999418 (12.2 digits); no arithmetic can do better.
#[test]
fn strd_num_acc_3() {
    let values = num_acc(1_000_000.2, 1_000_000.1, 1_000_000.3);
    let expected = Certified { n: 1001, mean: 1_000_000.2, sd: 0.1, lag_one: -0.999 };
    certified("NumAcc3", &values, &expected, [15.0, 9.4, 11.5]);
    near(standard_deviation(&values).unwrap(), 0.100_000_000_034_924_6, 1e-15, "sd as held");
}

/// By hand: of 1 2 3 4 10 the middle is 3, the distances 2 1 0 1 7 have the middle 1.
#[test]
fn middles() {
    assert_eq!(median(&[10.0, 1.0, 4.0, 2.0, 3.0]), Ok(3.0));
    assert_eq!(median_absolute_deviation(&[10.0, 1.0, 4.0, 2.0, 3.0]), Ok(1.0));
    assert_eq!(median(&[4.0, 1.0]), Ok(2.5));
    // Definition 7: place 0.25 x 3 = 0.75 between 1 and 2.
    assert_eq!(quantile(&[1.0, 2.0, 3.0, 4.0], 0.25), Ok(1.75));
    assert_eq!(quantile(&[1.0, 2.0, 3.0, 4.0], 1.0), Ok(4.0));
    assert_eq!(lag_one(&[2.0, 2.0, 2.0]), Ok(None));
}

#[test]
fn too_few_are_told_so() {
    assert_eq!(mean(&[]), Err(TooFew { have: 0, need: 1 }));
    assert_eq!(standard_deviation(&[1.0]), Err(TooFew { have: 1, need: 2 }));
    assert_eq!(Individuals::of(&[1.0]), Err(TooFew { have: 1, need: 2 }));
    assert_eq!(ramp(&[1.0]).unwrap_err(), TooFew { have: 1, need: 2 });
    assert_eq!(slip(&[1.0, 2.0]).unwrap_err(), TooFew { have: 2, need: 3 });
    assert_eq!(theil_sen(&[1.0]), Err(TooFew { have: 1, need: 2 }));
}

// Shewhart constants.

/// NIST/SEMATECH e-Handbook 6.3.2.1 for n = 2 to 10 as other books print the same table:
/// A2, A3, B3, B4, D3, D4. Three decimals.
#[test]
fn factors_as_printed() {
    let table = [
        [1.88, 2.659, 0.0, 3.267, 0.0, 3.267],
        [1.023, 1.954, 0.0, 2.568, 0.0, 2.574],
        [0.729, 1.628, 0.0, 2.266, 0.0, 2.282],
        [0.577, 1.427, 0.0, 2.089, 0.0, 2.114],
        [0.483, 1.287, 0.03, 1.97, 0.0, 2.004],
        [0.419, 1.182, 0.118, 1.882, 0.076, 1.924],
        [0.373, 1.099, 0.185, 1.815, 0.136, 1.864],
        [0.337, 1.032, 0.239, 1.761, 0.184, 1.816],
        [0.308, 0.975, 0.284, 1.716, 0.223, 1.777],
    ];
    for (i, [a2, a3, b3, b4, d3, d4]) in table.into_iter().enumerate() {
        let n = i + 2;
        let found = constants(n).unwrap();
        // D4 of 3 is 2.57459 and of 5 is 2.1145: printed 2.574 or 2.575, 2.114 or 2.115.
        let all = [(found.a2, a2), (found.a3, a3), (found.b3, b3), (found.b4, b4)];
        for (found, printed) in all.into_iter().chain([(found.big_d3, d3), (found.big_d4, d4)]) {
            near(found, printed, 0.0006, &format!("n = {n}"));
        }
    }
}

/// T. Pyzdek, The Handbook for Quality Management, appendix: c4 for n = 2 to 25.
#[test]
fn c4_as_printed() {
    let printed = [
        0.7979, 0.8862, 0.9213, 0.94, 0.9515, 0.9594, 0.965, 0.9693, 0.9727, 0.9754, 0.9776,
        0.9794, 0.981, 0.9823, 0.9835, 0.9845, 0.9854, 0.9862, 0.9869, 0.9876, 0.9882, 0.9887,
        0.9892, 0.9896,
    ];
    for (i, printed) in printed.into_iter().enumerate() {
        near(constants(i + 2).unwrap().c4, printed, 0.00005, &format!("n = {}", i + 2));
    }
    assert_eq!(constants(1), None);
    assert_eq!(constants(LARGEST_SUBGROUP + 1), None);
}

/// d2 and d3 integrated anew from the distribution of the range W of n normal numbers:
/// P(W < w) = n times the integral of f(x) (F(x + w) - F(x))^(n - 1), and then
/// E W = integral of P(W > w), E W^2 = 2 times the integral of w P(W > w).
#[test]
fn d2_and_d3_are_those_of_the_range_of_normal_numbers() {
    const PER_SIGMA: usize = 20;
    let normal = Normal::standard();
    let at = |i: usize| i as f64 / PER_SIGMA as f64;
    // From -8 on, so that the rectangle rule over x has nothing left at its ends.
    let below: Vec<f64> = (0..=30 * PER_SIGMA).map(|i| normal.cdf(at(i) - 8.0)).collect();
    let density: Vec<f64> = (0..=16 * PER_SIGMA).map(|i| normal.pdf(at(i) - 8.0)).collect();
    for n in 2..=LARGEST_SUBGROUP {
        let over = |w: usize| {
            let inside = density.iter().enumerate().map(|(x, density)| {
                density * (below[x + w] - below[x]).powi(n as i32 - 1) / PER_SIGMA as f64
            });
            1.0 - n as f64 * inside.sum::<f64>()
        };
        // Simpson's rule over w from 0 to 14.
        let (mut first, mut second) = (0.0, 0.0);
        let last = 14 * PER_SIGMA;
        for w in 0..=last {
            let share = if w == 0 || w == last { 1.0 } else { 2.0 + 2.0 * (w % 2) as f64 };
            let part = share / 3.0 / PER_SIGMA as f64 * over(w);
            first += part;
            second += 2.0 * at(w) * part;
        }
        let found = constants(n).unwrap();
        near(found.d2, first, 1e-7, &format!("d2 of {n}"));
        near(found.d3, (second - first * first).sqrt(), 1e-7, &format!("d3 of {n}"));
    }
}

// Charts.

const FLOW: [f64; 10] = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];

/// NIST/SEMATECH e-Handbook 6.3.2.2, batch flow rates; limits to four decimals.
#[test]
fn individuals_and_moving_ranges() {
    let found = Individuals::of(&FLOW).unwrap();
    near(found.mean, 50.81, 1e-12, "mean");
    let ranges = [2.0, 2.3, 1.4, 3.5, 3.4, 1.4, 0.2, 1.2, 1.5];
    all_near(&moving_ranges(&FLOW), &ranges, 1e-12, "moving range");
    near(found.moving_range_mean, 1.8778, 0.00005, "mean moving range");
    let limits = found.limits();
    near(limits.high, 55.8041, 0.00005, "high");
    near(limits.low, 45.8159, 0.00005, "low");
    assert!(FLOW.iter().all(|x| limits.holds(*x)), "in control");
    // The page doesn't print it; D4 x MR-bar = 3.267 x 1.87778.
    near(found.moving_range_high(), 6.1347, 0.00005, "most moving range");
    near(D2_OF_TWO, constants(2).unwrap().d2, 0.0005, "d2 as printed");
}

/// D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, 3rd
/// ed., section 16-5, pp. 610-612: vane openings, 20 groups of 5. Limits to two decimals,
/// there worked out with rounded means and factors.
#[test]
fn means_and_ranges_of_vane_openings() {
    let all: Vec<Vec<f64>> = [
        [33.0, 29.0, 31.0, 32.0, 33.0],
        [33.0, 31.0, 35.0, 37.0, 31.0],
        [35.0, 37.0, 33.0, 34.0, 36.0],
        [30.0, 31.0, 33.0, 34.0, 33.0],
        [33.0, 34.0, 35.0, 33.0, 34.0],
        [38.0, 37.0, 39.0, 40.0, 38.0],
        [30.0, 31.0, 32.0, 34.0, 31.0],
        [29.0, 39.0, 38.0, 39.0, 39.0],
        [28.0, 33.0, 35.0, 36.0, 43.0],
        [38.0, 33.0, 32.0, 35.0, 32.0],
        [28.0, 30.0, 28.0, 32.0, 31.0],
        [31.0, 35.0, 35.0, 35.0, 34.0],
        [27.0, 32.0, 34.0, 35.0, 37.0],
        [33.0, 33.0, 35.0, 37.0, 36.0],
        [35.0, 37.0, 32.0, 35.0, 39.0],
        [33.0, 33.0, 27.0, 31.0, 30.0],
        [35.0, 34.0, 34.0, 30.0, 32.0],
        [32.0, 33.0, 30.0, 30.0, 33.0],
        [25.0, 27.0, 34.0, 27.0, 28.0],
        [35.0, 35.0, 36.0, 33.0, 30.0],
    ]
    .map(Vec::from)
    .to_vec();
    let found = Subgroups::of(&all, Within::Range).unwrap();
    near(found.mean_limits.centre, 33.32, 1e-9, "grand mean");
    near(found.spread_limits.centre, 5.8, 1e-9, "mean range");
    near(found.mean_limits.high, 36.67, 0.01, "high");
    near(found.mean_limits.low, 29.97, 0.01, "low");
    near(found.spread_limits.high, 12.27, 0.01, "most range");
    assert_eq!(found.spread_limits.low, 0.0);
    let out = |values: &[f64], band: &Band| -> Vec<usize> {
        let all = values.iter().enumerate().filter(|(_, x)| !band.holds(**x));
        all.map(|(i, _)| i + 1).collect()
    };
    assert_eq!(out(&found.means, &found.mean_limits), [6, 8, 11, 19]);
    assert_eq!(out(&found.spreads, &found.spread_limits), [9]);
    // The book leaves five groups out and charts the rest.
    let kept = all.iter().enumerate().filter(|(i, _)| ![6, 8, 9, 11, 19].contains(&(i + 1)));
    let kept: Vec<Vec<f64>> = kept.map(|(_, group)| group.clone()).collect();
    let found = Subgroups::of(&kept, Within::Range).unwrap();
    near(found.mean_limits.centre, 33.21, 0.005, "grand mean of the rest");
    near(found.spread_limits.centre, 5.0, 1e-9, "mean range of the rest");
    near(found.mean_limits.high, 36.10, 0.01, "high of the rest");
    near(found.mean_limits.low, 30.33, 0.01, "low of the rest");
    near(found.spread_limits.high, 10.57, 0.01, "most range of the rest");
    // The book's mean standard deviation and its limits, 2.345 and 4.899.
    let sds: Vec<f64> = all.iter().map(|group| standard_deviation(group).unwrap()).collect();
    near(mean(&sds).unwrap(), 2.345, 0.0005, "mean sd");
    near(constants(5).unwrap().b4 * mean(&sds).unwrap(), 4.899, 0.0006, "most sd");
    // Means by A3: recomputed, 36.666406 and 29.973594.
    let found = Subgroups::of(&all, Within::StandardDeviation).unwrap();
    near(found.spread_limits.centre, 2.345_063_708_409, 1e-9, "mean sd");
    near(found.spread_limits.high, 4.899, 0.0006, "most sd, of the chart");
    assert_eq!(found.spread_limits.low, 0.0);
    near(found.mean_limits.high, 36.666_4, 0.001, "high by sd");
    near(found.mean_limits.low, 29.973_6, 0.001, "low by sd");
    assert_eq!(Subgroups::of(&[], Within::Range).unwrap_err(), TooFew { have: 0, need: 1 });
    let uneven = [vec![1.0, 2.0], vec![1.0]];
    assert_eq!(Subgroups::of(&uneven, Within::Range).unwrap_err(), TooFew { have: 1, need: 2 });
}

const EWMA: [f64; 20] = [
    52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2,
    52.6, 52.4, 53.6, 52.1,
];

/// NIST/SEMATECH e-Handbook 6.3.2.4; averages to two decimals, limits to four. The page
/// starts its list with the target, 50.00, which is no reading.
#[test]
fn moving_averages_and_their_limits() {
    let chart = Ewma { centre: 50.0, sigma: 2.0539, weight: 0.3, width: 3.0 };
    let printed = [
        50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52,
        50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99,
    ];
    let found = chart.averages(&EWMA);
    all_near(&found, &printed, 0.005, "average");
    let limits = chart.steady();
    near(limits.high, 52.5884, 0.00005, "high");
    // The page cuts 47.41157 off instead of rounding it.
    near(limits.low, 47.4115, 0.0001, "low");
    assert!(found.iter().all(|average| limits.holds(*average)), "in control");
    // Limits that grow, recomputed with the page's numbers.
    near(chart.at(1).high, 51.848_51, 1e-9, "high at 1");
    near(chart.at(2).low, 47.743_605_987_876, 1e-9, "low at 2");
    near(chart.at(20).high, 52.588_430_914_124_4, 1e-9, "high at 20");
}

/// NIST/SEMATECH e-Handbook 6.3.2.3, sums to two decimals; the table is from memory and was
/// recomputed. Exact halves are printed up and down.
#[test]
fn cumulative_sums_of_the_handbook() {
    let x = [
        324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600,
        324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350,
    ];
    let found = Cusum { target: 325.0, slack: 0.3175, decide: 4.1959, head_start: 0.0 }.sums(&x);
    let high = [
        0.0, 0.0, 0.0, 0.0, 0.03, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 3.01, 4.94, 7.45, 10.63,
        11.99, 14.44, 16.0, 19.04,
    ];
    let low = [
        0.0, 0.01, 0.0, 0.33, 0.0, 0.0, 0.56, 0.72, 0.17, 0.25, 0.31, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
        0.0, 0.0, 0.0,
    ];
    all_near(&found.high, &high, 0.006, "high sum");
    all_near(&found.low, &low, 0.006, "low sum");
    assert_eq!(found.at(), [14, 15, 16, 17, 18, 19, 20]);
    assert!(found.signals.iter().all(|(side, _)| *side == Side::High));
}

/// D. C. Montgomery, Introduction to Statistical Quality Control, table 9.1: C+ of 5.28 at
/// 29, seven in a row over zero, first signal there. From memory, recomputed.
#[test]
fn cumulative_sums_of_a_textbook() {
    let x = [
        9.45, 7.99, 9.29, 11.66, 12.16, 10.18, 8.04, 11.46, 9.2, 10.34, 9.03, 11.47, 10.51, 9.4,
        10.08, 9.37, 10.62, 10.31, 8.52, 10.84, 10.9, 9.33, 12.29, 11.5, 10.6, 11.08, 10.38, 11.62,
        11.31, 10.52,
    ];
    let chart = Cusum { target: 10.0, slack: 0.5, decide: 5.0, head_start: 0.0 };
    let found = chart.sums(&x);
    let high = [
        0.0, 0.0, 0.0, 1.16, 2.82, 2.5, 0.04, 1.0, 0.0, 0.0, 0.0, 0.97, 0.98, 0.0, 0.0, 0.0, 0.12,
        0.0, 0.0, 0.34, 0.74, 0.0, 1.79, 2.79, 2.89, 3.47, 3.35, 4.47, 5.28, 5.3,
    ];
    let low = [
        0.05, 1.56, 1.77, 0.0, 0.0, 0.0, 1.46, 0.0, 0.3, 0.0, 0.47, 0.0, 0.0, 0.1, 0.0, 0.13, 0.0,
        0.0, 0.98, 0.0, 0.0, 0.17, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
    ];
    all_near(&found.high, &high, 1e-9, "C+");
    all_near(&found.low, &low, 1e-9, "C-");
    assert_eq!(found.signals, [(Side::High, 29), (Side::High, 30)]);
    assert_eq!(found.high_for[28], 7);
    // The new mean, 10 + 0.5 + 5.28/7 = 11.25.
    let moved = chart.moved_to(Side::High, &found, 29).unwrap();
    near(moved, 11.25, 0.005, "new mean");
    assert_eq!(chart.moved_to(Side::Low, &chart.sums(&[12.0]), 1), None);
}

/// J. M. Lucas and R. B. Crosier, Technometrics 24 (1982), 199-205: the paper's two series
/// as far as they were found (19 and 7 numbers); sums recomputed.
#[test]
fn a_head_start_finds_a_bad_beginning_sooner() {
    let off_from_the_start = [0.8, 1.9, 1.4, 2.0, 1.1, 0.7, 2.6];
    let shifts_later = [
        1.0, -0.5, 0.0, -0.8, -0.8, -1.2, 1.5, -0.6, 1.0, -0.9, 1.2, 0.5, 2.6, 0.7, 1.1, 2.0, 1.4,
        1.9, 0.8,
    ];
    let plain = Cusum { target: 0.0, slack: 0.5, decide: 5.0, head_start: 0.0 };
    let ahead = Cusum { head_start: 2.5, ..plain };
    let sums = plain.sums(&off_from_the_start);
    all_near(&sums.high, &[0.3, 1.7, 2.6, 4.1, 4.7, 4.9, 7.0], 1e-9, "plain");
    assert_eq!(sums.at().first(), Some(&7));
    let sums = ahead.sums(&off_from_the_start);
    all_near(&sums.high, &[2.8, 4.2, 5.1, 6.6, 7.2, 7.4, 9.5], 1e-9, "ahead");
    all_near(&sums.low, &[1.2, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0], 1e-9, "ahead, low");
    assert_eq!(sums.at().first(), Some(&3));
    let sums = ahead.sums(&shifts_later);
    let high = [
        3.0, 2.0, 1.5, 0.2, 0.0, 0.0, 1.0, 0.0, 0.5, 0.0, 0.7, 0.7, 2.8, 3.0, 3.6, 5.1, 6.0, 7.4,
        7.7,
    ];
    let low = [
        1.0, 1.0, 0.5, 0.8, 1.1, 1.8, 0.0, 0.1, 0.0, 0.4, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
        0.0,
    ];
    all_near(&sums.high, &high, 1e-9, "later, high");
    all_near(&sums.low, &low, 1e-9, "later, low");
    assert_eq!(sums.at().first(), Some(&16));
    assert_eq!(plain.sums(&shifts_later).at().first(), Some(&16));
}

/// By hand, of the definitions: groups of 5 with sigma 2 known lie within 6 / sqrt 5 = 2.683
/// of the target; ranges about d2 x 2 = 4.652, at most (2.326 + 3 x 0.864) x 2 = 9.836; their
/// standard deviations about c4 x 2 = 1.880, at most (0.940 + 3 x 0.3412) x 2 = 3.927
/// (factors D2 4.918 and B6 1.964 of the printed tables).
#[test]
fn limits_of_groups_from_a_known_sigma() {
    let groups = [vec![9.0, 10.0, 11.0, 12.0, 13.0]];
    let found = Subgroups::of(&groups, Within::Range).unwrap().with_standard(10.0, 2.0);
    near(found.mean_limits.high, 12.683, 0.0005, "high");
    near(found.spread_limits.centre, 4.652, 0.0005, "mean range");
    near(found.spread_limits.high, 9.836, 0.001, "most range");
    let found = Subgroups::of(&groups, Within::StandardDeviation).unwrap().with_standard(10.0, 2.0);
    near(found.spread_limits.centre, 1.880, 0.0005, "mean sd");
    near(found.spread_limits.high, 3.928, 0.001, "most sd");
    assert_eq!((found.spread_limits.low, found.mean_limits.centre), (0.0, 10.0));
}

/// By hand: from a start of 2.5, with 0.5 ignored, 3 makes 5 and 3 makes 7.5. Only the 5 of
/// the two readings were measured: the mean moved by 0.5 + 5/2 = 3.
#[test]
fn a_head_start_is_no_shift() {
    let chart = Cusum { target: 0.0, slack: 0.5, decide: 5.0, head_start: 2.5 };
    let sums = chart.sums(&[3.0, 3.0]);
    assert_eq!(chart.moved_to(Side::High, &sums, 2), Some(3.0));
}

/// D. C. Montgomery, Introduction to Statistical Quality Control, table "Deviation from
/// Nominal Data": part A of 50, part B of 25, groups of 3. From memory, recomputed.
#[test]
fn deviations_from_the_nominal_size() {
    let groups: [(f64, [f64; 3]); 10] = [
        (50.0, [50.0, 51.0, 52.0]),
        (50.0, [49.0, 50.0, 51.0]),
        (50.0, [48.0, 49.0, 52.0]),
        (50.0, [49.0, 53.0, 51.0]),
        (25.0, [24.0, 27.0, 26.0]),
        (25.0, [25.0, 27.0, 24.0]),
        (25.0, [27.0, 26.0, 23.0]),
        (25.0, [25.0, 24.0, 23.0]),
        (25.0, [24.0, 25.0, 25.0]),
        (25.0, [26.0, 24.0, 25.0]),
    ];
    let off: Vec<Vec<f64>> = groups
        .map(|(target, values)| deviations(&values.map(|value| Aimed { value, target })))
        .to_vec();
    let found = Subgroups::of(&off, Within::Range).unwrap();
    let means = [1.0, 0.0, -0.33, 1.0, 0.67, 0.33, 0.33, -1.0, -0.33, 0.0];
    all_near(&found.means, &means, 0.005, "mean deviation");
    assert_eq!(found.spreads, [2.0, 2.0, 4.0, 4.0, 3.0, 3.0, 4.0, 2.0, 1.0, 2.0]);
    near(found.mean_limits.centre, 0.17, 0.005, "grand mean");
    near(found.spread_limits.centre, 2.7, 1e-9, "mean range");
    // With A2 1.023 and D4 2.574 as the book has them: 2.929, -2.595 and 6.950.
    near(found.mean_limits.high, 2.929, 0.002, "high");
    near(found.mean_limits.low, -2.595, 0.002, "low");
    near(found.spread_limits.high, 6.950, 0.002, "most range");
}

/// University lecture notes on control charts for short production runs, exercise 9.1: three
/// parts of 9.5, 15.5 and 2, groups of 4; mean deviations and ranges as printed.
#[test]
fn deviations_of_three_parts_on_one_chart() {
    let groups: [(f64, [f64; 4]); 12] = [
        (9.5, [7.0, 9.0, 10.0, 11.0]),
        (9.5, [9.0, 9.0, 9.0, 11.0]),
        (9.5, [7.0, 10.0, 11.0, 8.0]),
        (15.5, [14.0, 15.0, 17.0, 17.0]),
        (15.5, [14.0, 16.0, 16.0, 16.0]),
        (15.5, [15.0, 17.0, 15.0, 17.0]),
        (15.5, [17.0, 17.0, 16.0, 16.0]),
        (15.5, [16.0, 17.0, 15.0, 16.0]),
        (2.0, [1.0, 2.0, 2.0, 3.0]),
        (2.0, [3.0, 2.0, 2.0, 3.0]),
        (2.0, [3.0, 3.0, 2.0, 1.0]),
        (2.0, [2.0, 2.0, 1.0, 3.0]),
    ];
    let off: Vec<Vec<f64>> = groups
        .map(|(target, values)| deviations(&values.map(|value| Aimed { value, target })))
        .to_vec();
    let found = Subgroups::of(&off, Within::Range).unwrap();
    let means = [-0.25, 0.0, -0.5, 0.25, 0.0, 0.5, 1.0, 0.5, 0.0, 0.5, 0.25, 0.0];
    assert_eq!(found.means, means);
    assert_eq!(found.spreads, [4.0, 2.0, 4.0, 3.0, 2.0, 2.0, 1.0, 2.0, 2.0, 1.0, 2.0, 2.0]);
}

/// By hand: part 0 is off by 0 2 1, moving ranges 2 1, mean 1.5; part 1 by -1 0, mean 1.
#[test]
fn deviations_in_the_scatter_of_their_own_part() {
    let read = |part, value, target| (part, Aimed { value, target });
    let mixed = [
        read(0, 10.0, 10.0),
        read(1, 4.0, 5.0),
        read(0, 12.0, 10.0),
        read(1, 5.0, 5.0),
        read(0, 11.0, 10.0),
    ];
    let found = standardized(&mixed).unwrap();
    all_near(&found, &[0.0, -1.0, 2.0 / 1.5, 0.0, 1.0 / 1.5], 1e-12, "standardized");
    let alone = [read(0, 1.0, 1.0), read(0, 2.0, 1.0), read(1, 3.0, 1.0)];
    assert_eq!(standardized(&alone), Err(TooFew { have: 1, need: 2 }));
}

/// By hand: part 0 has groups of ranges 2 and 4, mean 3; part 1 one of range 1.
#[test]
fn groups_in_the_range_of_their_own_part() {
    let groups = [(0, vec![0.0, 2.0]), (1, vec![1.0, 2.0]), (0, vec![-1.0, 3.0])];
    let found = standardized_groups(&groups).unwrap();
    let expected = [vec![0.0, 2.0 / 3.0], vec![1.0, 2.0], vec![-1.0 / 3.0, 1.0]];
    assert_eq!(found, expected);
    let still = [(0, vec![1.0, 1.0])];
    assert_eq!(standardized_groups(&still), Err(TooFew { have: 2, need: 2 }));
}

// Rules on runs.

const SIGMA: Baseline = Baseline { centre: 0.0, sigma: 1.0 };

/// Where a rule spoke, and its number.
type Spoke = Vec<(usize, u8)>;

/// Western Electric's rules, and Nelson's.
fn found_by(values: &[f64]) -> (Spoke, Spoke) {
    let (mut western_electric, mut nelson) = (Vec::new(), Vec::new());
    for signal in signals(values, &SIGMA) {
        let (set, number) = signal.rule.name().rsplit_once(' ').unwrap();
        let into = if set == "nelson" { &mut nelson } else { &mut western_electric };
        into.push((signal.at, number.parse().unwrap()));
    }
    (western_electric, nelson)
}

/// The statements of Western Electric (1956) and Nelson (1984) on sequences made for them,
/// looked over by hand.
#[test]
fn rules_on_runs() {
    let check = |values: &[f64], western_electric: &[(usize, u8)], nelson: &[(usize, u8)]| {
        let found = found_by(values);
        assert_eq!(found.0, western_electric, "{values:?}");
        assert_eq!(found.1, nelson, "{values:?}");
    };
    check(&[0.1, -0.4, 3.2, 0.2], &[(3, 1)], &[(3, 1)]);
    check(&[0.1, 3.0, -3.0], &[], &[]);
    check(&[-0.3, 0.2, 0.5, 0.1, 0.9, 0.4, 0.3, 0.8, 0.6, 0.7], &[(9, 4), (10, 4)], &[(10, 2)]);
    check(&[-0.3, 0.2, 0.5, 0.1, 0.9, 0.4, 0.3, 0.8, 0.6, -0.2], &[(9, 4)], &[]);
    check(&[0.5, -1.5, -1.0, -0.4, 0.1, 0.6, 1.2], &[], &[(7, 3)]);
    check(&[0.5, -1.5, -1.0, -0.4, 0.1, 0.6, 0.6], &[], &[]);
    check(&[0.2, 2.3, 0.4, 2.6], &[(4, 2)], &[(4, 5)]);
    check(&[0.2, 2.3, 0.4, 2.1], &[(4, 2)], &[(4, 5)]);
    check(&[0.2, 2.3, -2.4, 0.3], &[], &[]);
    check(&[1.2, 0.3, 1.4, 1.6, 1.1], &[(5, 3)], &[(5, 6)]);
    check(&[1.2, -1.3, 1.4, 1.6, 0.2], &[], &[]);
    // Fourteen up and down; thirteen are not enough, and an equal pair breaks it.
    let zigzag: Vec<f64> = (0..14).map(|i| if i % 2 == 0 { 1.5 } else { -0.5 }).collect();
    check(&zigzag, &[], &[(14, 4)]);
    check(&zigzag[..13], &[], &[]);
    let broken = [&zigzag[..7], &zigzag[6..13]].concat();
    check(&broken, &[], &[]);
    // Fifteen within one sigma; one on the boundary is not within it.
    let quiet: Vec<f64> = [0.3, 0.5, -0.4, -0.2, 0.6].repeat(3);
    check(&quiet, &[], &[(15, 7)]);
    let edge = [&quiet[..14], &[1.0]].concat();
    check(&edge, &[], &[]);
    // Eight beyond one sigma on both sides; on one side the rule doesn't apply.
    let apart = [1.5, 1.2, -1.4, -1.3, 1.6, 1.1, -1.2, 1.3];
    check(&apart, &[], &[(8, 8)]);
    let (_, one_side) = found_by(&apart.map(f64::abs));
    assert!(!one_side.iter().any(|(_, rule)| *rule == 8));
}

/// 10.3 - 10 is a little over 3 x 0.1 in binary; in the shop it is on the limit.
#[test]
fn a_decimal_on_a_boundary_is_on_it() {
    let level = Baseline { centre: 10.0, sigma: 0.1 };
    assert_eq!(signals(&[10.1, 10.3, 9.7], &level), []);
    // And 0.3 above 10 doesn't rise over 0.3 above 0.
    let steps = [10.1 - 10.0, 0.1, 20.1 - 20.0, 0.1, 5.1 - 5.0, 0.1, 7.1 - 7.0];
    assert!(!signals(&steps, &SIGMA).iter().any(|signal| signal.rule == Rule::Nelson3));
}

// Judging a setup by zones.

/// D. and P. Shainin (1989) and S. H. Steiner (1997) for the rules; probabilities of a
/// centred or shifted normal process recomputed: (Cp, shift in sigmas, P middle, P outer
/// high, P five in a row, P stop at a pair).
#[test]
fn zones_and_their_chances() {
    let normal = Normal::standard();
    let table = [
        (0.5, 0.0, 0.546745295246263, 0.15982015110801, 0.0488568286548336, 0.278492873346034),
        (0.67, 1.0, 0.479513179572581, 0.341757651888005, 0.0253514463635588, 0.346455693855363),
        (1.0, 0.0, 0.866385597462284, 0.065457303237228, 0.488153177380922, 0.0201918729908049),
        (1.0, 0.5, 0.818594614120364, 0.152445588605681, 0.367573686986255, 0.0381815415284964),
        (1.0, 2.0, 0.308304909646951, 0.532807207342556, 0.00278549384941055, 0.527356380122951),
        (1.33, 0.0, 0.953957120135703, 0.0229884032845189, 0.790031247935692, 0.00218297787666105),
        (1.33, 1.5, 0.689462908867861, 0.303912905489545, 0.155795366318317, 0.100837005128358),
        (1.5, 0.0, 0.975551054689911, 0.0122210749819199, 0.883588416715226, 0.000604380133976368),
        (2.0, 0.0, 0.99730020393674, 0.0013498970450424, 0.986573712151625, 7.29086663138e-06),
        (2.0, 2.0, 0.841344459416971, 0.158623582689624, 0.421569512299576, 0.0251982269815329),
    ];
    for (cp, shift, middle, outer_high, five, stop) in table {
        let half = 3.0 * cp;
        // Where the zones end, found by asking for the zone.
        let edge = |from: f64, to: f64| {
            let (mut from, mut to) = (from, to);
            let zone_from = zone(from, -half, half);
            for _ in 0..60 {
                let between = (from + to) / 2.0;
                if zone(between, -half, half) == zone_from { from = between } else { to = between }
            }
            normal.cdf(from - shift)
        };
        let up = [edge(0.0, half), edge(0.75 * half, 2.0 * half)];
        let down = [edge(0.0, -half), edge(-0.75 * half, -2.0 * half)];
        let chances = [
            (BandZone::Outside(Side::Low), down[1]),
            (BandZone::Outer(Side::Low), down[0] - down[1]),
            (BandZone::Middle, up[0] - down[0]),
            (BandZone::Outer(Side::High), up[1] - up[0]),
            (BandZone::Outside(Side::High), 1.0 - up[1]),
        ];
        near(chances[2].1, middle, 1e-9, "middle");
        near(chances[3].1, outer_high, 1e-9, "outer, high");
        near(chances[2].1.powi(5), five, 1e-9, "five in a row");
        let stops: f64 = chances
            .iter()
            .flat_map(|one| chances.iter().map(move |other| (one, other)))
            .filter(|(one, other)| pair(one.0, other.0) != PairAction::GoOn)
            .map(|(one, other)| one.1 * other.1)
            .sum();
        near(stops, stop, 1e-9, "stop");
    }
}

const MIDDLE: BandZone = BandZone::Middle;
const HIGH: BandZone = BandZone::Outer(Side::High);
const LOW: BandZone = BandZone::Outer(Side::Low);
const OUT: BandZone = BandZone::Outside(Side::High);

/// Same sources: quarter marks belong to the middle, limits to the outer quarters.
#[test]
fn zones_and_what_a_setup_needs() {
    let zones = [13.017, 13.016, 13.008, 13.0, 12.992, 12.984, 12.98];
    let expected = [OUT, HIGH, MIDDLE, MIDDLE, MIDDLE, LOW, BandZone::Outside(Side::Low)];
    // 13.000 +- 0.016 in thousandths, so that the marks are exact.
    let found = zones.map(|x: f64| zone((x * 1000.0).round(), 12984.0, 13016.0));
    assert_eq!(found, expected);
    assert_eq!(setup(&[MIDDLE; 4]), Qualification::Open);
    assert_eq!(setup(&[MIDDLE; 5]), Qualification::Runs);
    assert_eq!(setup(&[MIDDLE, MIDDLE, HIGH, MIDDLE, MIDDLE, MIDDLE, MIDDLE]), Qualification::Open);
    assert_eq!(setup(&[MIDDLE, HIGH, LOW]), Qualification::SetAgain);
    assert_eq!(setup(&[MIDDLE, OUT]), Qualification::SetAgain);
    assert_eq!(pair(MIDDLE, OUT), PairAction::GoOn);
    assert_eq!(pair(HIGH, MIDDLE), PairAction::GoOn);
    assert_eq!(pair(HIGH, HIGH), PairAction::SetAgain);
    assert_eq!(pair(HIGH, LOW), PairAction::ScattersTooMuch);
    assert_eq!(pair(HIGH, OUT), PairAction::Stop);
    assert_eq!(pair(OUT, MIDDLE), PairAction::Stop);
}

/// The lighter rule for small batches, where long can be cut again: common practice, no
/// source; each line by hand.
#[test]
fn a_small_batch_is_judged_from_its_first_piece() {
    use Action::{GoOn, MeasureNext, Note, Stop};
    let judge = |zones: &[BandZone]| small_batch(zones, Side::High);
    assert_eq!(judge(&[HIGH]), [Stop { good_to: 0 }]);
    assert_eq!(judge(&[MIDDLE, HIGH, MIDDLE]), [GoOn, Note, GoOn]);
    assert_eq!(judge(&[MIDDLE, LOW]), [GoOn, Stop { good_to: 1 }]);
    assert_eq!(judge(&[MIDDLE, MIDDLE, LOW, MIDDLE]), [GoOn, GoOn, MeasureNext, GoOn]);
    assert_eq!(judge(&[MIDDLE, MIDDLE, LOW, LOW])[3], Stop { good_to: 2 });
    assert_eq!(judge(&[MIDDLE, MIDDLE, MIDDLE, OUT])[3], Stop { good_to: 3 });
}

// Capability.

/// NIST/SEMATECH e-Handbook 6.1.6: limits 8 and 20, mean 16, s 2; four decimals.
#[test]
fn capability_of_the_handbook() {
    let found = indices(16.0, 2.0, Some(8.0), Some(20.0));
    assert_eq!(found.cp, Some(1.0));
    near(found.upper.unwrap(), 0.6667, 0.00005, "upper");
    near(found.lower.unwrap(), 1.3333, 0.00005, "lower");
    near(found.cpk().unwrap(), 0.6667, 0.00005, "Cpk");
    assert_eq!(indices(16.0, 2.0, None, Some(20.0)).cp, None);
    assert_eq!(indices(16.0, 2.0, None, None).cpk(), None);
}

/// Montgomery and Runger, 3rd ed., p. 623: vane opening, limits 20 and 40; two decimals.
#[test]
fn capability_of_vane_openings() {
    let found = indices(33.19, 2.15, Some(20.0), Some(40.0));
    near(found.cp.unwrap(), 1.55, 0.005, "PCR");
    near(found.cpk().unwrap(), 1.06, 0.005, "PCRk");
    // The book cuts 2.04496 off; it is nearer to 2.04 all the same.
    near(found.lower.unwrap(), 2.04, 0.005, "lower");
}

/// Montgomery, Introduction to Statistical Quality Control, example on the interval of Cp:
/// limits 38 and 62, n 20, s 1.75 give 2.29, 1.57 to 3.01 (from memory, recomputed).
#[test]
fn the_interval_of_cp() {
    let found = indices(50.0, 1.75, Some(38.0), Some(62.0));
    let interval = cp_interval(found.cp.unwrap(), 20, 0.95).unwrap();
    near(interval.value, 2.29, 0.005, "Cp");
    near(interval.low, 1.57, 0.006, "low");
    near(interval.high, 3.01, 0.006, "high");
    near(interval.low, 1.564_945_004_537_74, 1e-9, "low, recomputed");
    near(interval.high, 3.005_579_429_742_04, 1e-9, "high, recomputed");
    // e-Handbook 6.1.6 for Cpk: 1.96 x sqrt(1/180 + 2.285714^2/38) = 0.74128.
    let interval = cpk_interval(found.cpk().unwrap(), 20, 0.95).unwrap();
    near(interval.high - interval.value, 0.741_28, 0.000_05, "half the interval of Cpk");
    assert_eq!(cp_interval(1.0, 1, 0.95), None);
    assert_eq!(cpk_interval(1.0, 20, 1.5), None);
}

/// What n readings say of sigma: sqrt((n - 1) / chi squared). NIST/SEMATECH e-Handbook
/// 1.3.6.7.4 has for 4, 9 and 24 degrees of freedom 0.484 and 11.143, 2.700 and 19.023, 12.401
/// and 39.364: sqrt(4 / 11.143) = 0.60 and sqrt(4 / 0.484) = 2.87, and so on.
#[test]
fn how_little_a_few_say_of_the_spread() {
    for (n, low, high) in [(5, 0.60, 2.87), (10, 0.69, 1.83), (25, 0.78, 1.39)] {
        let found = spread_factors(n, 0.95).unwrap();
        near(found.0, low, 0.005, &format!("low of {n}"));
        near(found.1, high, 0.0051, &format!("high of {n}"));
    }
    assert_eq!(spread_factors(1, 0.95), None);
}

fn gear() -> Vec<f64> {
    let text = published("gear.csv");
    text.lines().skip(1).map(|l| l.split(',').next().unwrap().parse().unwrap()).collect()
}

/// NIST data set GEAR.DAT (100 diameters, limits 0.99 and 1.01); results recomputed.
#[test]
fn capability_of_gears() {
    let gear = gear();
    near(mean(&gear).unwrap(), 0.99764, 1e-12, "mean");
    near(standard_deviation(&gear).unwrap(), 0.006_278_904_877_814_79, 1e-15, "sd");
    let found = capability(&gear, Some(0.99), Some(1.01)).unwrap();
    near(found.cp.unwrap(), 0.530_878_138_496_886, 1e-9, "over all readings");
    near(found.cpk.value, 0.405_590_897_811_625, 1e-9, "over all readings, nearer side");
    let batches: Vec<Vec<f64>> = gear.chunks(10).map(<[f64]>::to_vec).collect();
    let charted = Subgroups::of(&batches, Within::Range).unwrap();
    near(charted.spread_limits.centre, 0.0181, 1e-12, "mean range");
    near(charted.mean_limits.high, 1.003_219_573_422_5, 1e-9, "high");
    near(charted.mean_limits.low, 0.992_060_426_577_5, 1e-9, "low");
    // Within batches: sigma is the mean range over d2 of ten.
    let within = charted.spread_limits.centre / constants(10).unwrap().d2;
    let cp = indices(0.99764, within, Some(0.99), Some(1.01)).cp.unwrap();
    near(cp, 0.566_759_753_591_16, 1e-9, "within batches");
}

#[test]
fn an_index_needs_readings_spread_and_a_limit() {
    let few = capability(&FLOW, Some(40.0), Some(60.0));
    assert_eq!(few, Err(NoIndex::TooFew(TooFew { have: 10, need: 25 })));
    assert_eq!(capability(&[1.0; 30], Some(0.0), Some(2.0)), Err(NoIndex::NoSpread));
    assert_eq!(capability(&gear(), None, None), Err(NoIndex::NoLimit));
}

// Shapes; all by hand.

#[test]
fn a_level_leaves_the_squares_about_the_mean() {
    // 1 2 3 6: mean 3, squares 4 + 1 + 0 + 9.
    let (at, fit) = level(&[1.0, 2.0, 3.0, 6.0]).unwrap();
    assert_eq!((at, fit.residual, fit.parameters), (3.0, 14.0, 1));
}

#[test]
fn a_ramp_is_the_line_of_least_squares() {
    // 1 2 3 6 at -1.5 -0.5 0.5 1.5: slope (-1.5 - 1 + 1.5 + 9) / 5 = 1.6, start 3 - 2.4;
    // off the line by 0.4 -0.2 -0.8 0.6, squares 0.16 + 0.04 + 0.64 + 0.36.
    let found = ramp(&[1.0, 2.0, 3.0, 6.0]).unwrap();
    near(found.slope, 1.6, 1e-12, "slope");
    near(found.start, 0.6, 1e-12, "start");
    near(found.fit.residual, 1.2, 1e-12, "residual");
    assert_eq!(found.fit.parameters, 2);
}

#[test]
fn a_step_lies_where_it_leaves_least() {
    // 1 1 2 | 7 9: levels 4/3 and 8, squares 2/3 and 2.
    let found = step(&[1.0, 1.0, 2.0, 7.0, 9.0]).unwrap();
    assert_eq!((found.after, found.after_level, found.fit.parameters), (3, 8.0, 3));
    near(found.before_level, 4.0 / 3.0, 1e-12, "before");
    near(found.fit.residual, 8.0 / 3.0, 1e-12, "residual");
}

#[test]
fn a_slip_is_one_number_apart_from_the_rest() {
    // 5 5 9 6 4: without the 9, mean 5, squares 0 + 0 + 1 + 1.
    let found = slip(&[5.0, 5.0, 9.0, 6.0, 4.0]).unwrap();
    assert_eq!((found.at, found.level, found.by), (3, 5.0, 4.0));
    assert_eq!((found.fit.residual, found.fit.parameters), (2.0, 3));
}

#[test]
fn one_wild_number_does_not_move_the_median_slope() {
    // Ten slopes: six of 1 between the first four, four far over it to the last.
    assert_eq!(theil_sen(&[0.0, 1.0, 2.0, 3.0, 40.0]), Ok(1.0));
    assert_eq!(theil_sen(&[2.0, 5.0]), Ok(3.0));
}

fn readings() -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec((-5000_i32..5000).prop_map(|n| f64::from(n) / 64.0), 3..40)
}

proptest! {
    /// Moving the zero of the gauge moves the mean and nothing else; 64ths are exact.
    #[test]
    fn another_zero_changes_no_spread(values in readings(), by in -500_i32..500) {
        let by = f64::from(by) / 64.0;
        let moved: Vec<f64> = values.iter().map(|value| value + by).collect();
        let same = |one: f64, other: f64| (one - other).abs() <= 1e-9;
        prop_assert!(same(mean(&moved).unwrap(), mean(&values).unwrap() + by));
        let sd = |values: &[f64]| standard_deviation(values).unwrap();
        prop_assert!(same(sd(&moved), sd(&values)));
        prop_assert!(same(
            median_absolute_deviation(&moved).unwrap(),
            median_absolute_deviation(&values).unwrap()
        ));
        prop_assert!(same(theil_sen(&moved).unwrap(), theil_sen(&values).unwrap()));
        let level = |centre| Baseline { centre, sigma: 10.0 };
        prop_assert_eq!(signals(&moved, &level(by)), signals(&values, &level(0.0)));
    }

    /// With all signs changed, the same patterns appear on the other side.
    #[test]
    fn rules_take_both_sides_alike(values in readings()) {
        let turned: Vec<f64> = values.iter().map(|value| -value).collect();
        let level = Baseline { centre: 0.0, sigma: 10.0 };
        prop_assert_eq!(signals(&turned, &level), signals(&values, &level));
        let chart = Cusum { target: 0.0, slack: 1.0, decide: 5.0, head_start: 0.0 };
        prop_assert_eq!(chart.sums(&turned).low, chart.sums(&values).high);
    }

    /// A shape with more parameters never leaves a larger residual.
    #[test]
    fn no_shape_leaves_more_than_a_level(values in readings()) {
        let flat = level(&values).unwrap().1.residual;
        let others = [
            ramp(&values).unwrap().fit,
            step(&values).unwrap().fit,
            slip(&values).unwrap().fit,
        ];
        for fit in others {
            prop_assert!(fit.residual <= flat + 1e-9, "{fit:?}, level {flat}");
        }
    }

    /// A slip at any other place leaves at least as large a residual.
    #[test]
    fn the_slip_is_the_best_there_is(values in readings()) {
        let best = slip(&values).unwrap().fit.residual;
        for at in 0..values.len() {
            let others = [&values[..at], &values[at + 1..]].concat();
            prop_assert!(best <= level(&others).unwrap().1.residual + 1e-9);
        }
    }
}
