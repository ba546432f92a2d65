//! How long each rule stays silent while nothing is wrong, and how soon it
//! signals a change: simulated with a fixed seed, against published average run
//! lengths.

use std::f64::consts::TAU;

use benchway::series::{Baseline, Cusum, Rule, mean, standard_deviation};

/// Normal numbers: SplitMix64 (G. L. Steele and others, OOPSLA 2014) and the transform of
/// G. E. P. Box and M. E. Muller, Annals of Mathematical Statistics 29 (1958), 610-611.
struct Normal {
    state: u64,
}

impl Normal {
    /// Over 0 and up to 1.
    fn uniform(&mut self) -> f64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut bits = self.state;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((bits ^ (bits >> 31)) >> 11) as f64 / 2_f64.powi(53) + 2_f64.powi(-54)
    }

    fn next(&mut self) -> f64 {
        let radius = (-2.0 * self.uniform().ln()).sqrt();
        radius * (TAU * self.uniform()).cos()
    }
}

/// Runs until a signal, `runs` times; the mean must lie within four of its standard errors
/// of the published average, and within half the last digit printed besides.
fn average(
    name: &str,
    runs: usize,
    published: f64,
    rounding: f64,
    mut run: impl FnMut(&mut Normal) -> usize,
) {
    let mut normal = Normal { state: 2026 };
    let lengths: Vec<f64> = (0..runs).map(|_| run(&mut normal) as f64).collect();
    let found = mean(&lengths).unwrap();
    let error = standard_deviation(&lengths).unwrap() / (runs as f64).sqrt();
    println!("{name}: {found:.2} +- {error:.2}, published {published}");
    assert!(
        (found - published).abs() <= 4.0 * error + rounding,
        "{name}: {found} +- {error}, published {published}"
    );
    // A bound too wide to fail would be no check.
    assert!(error < 0.025 * published, "{name}: {error} of {published}");
}

const WESTERN_ELECTRIC: [Rule; 4] = [
    Rule::WesternElectric1,
    Rule::WesternElectric2,
    Rule::WesternElectric3,
    Rule::WesternElectric4,
];

const STANDARD: Baseline = Baseline { centre: 0.0, sigma: 1.0 };

/// How many numbers until one of the rules speaks. Numbers on the centre go before, which
/// count for neither side: so windows are complete from the first, as in the published chains.
fn until(rules: &[Rule], shift: f64, normal: &mut Normal) -> usize {
    const BEFORE: usize = 8;
    let mut values = vec![0.0; BEFORE];
    loop {
        values.push(shift + normal.next());
        if rules.iter().any(|rule| rule.completes(&values, &STANDARD)) {
            return values.len() - BEFORE;
        }
    }
}

/// D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, 3rd
/// ed., table 16-6: one number beyond three sigma.
#[test]
fn beyond_the_limits() {
    for (shift, published) in
        [(0.0, 370.4), (0.5, 155.2), (1.0, 43.9), (1.5, 15.0), (2.0, 6.3), (3.0, 2.0)]
    {
        for rule in [Rule::WesternElectric1, Rule::Nelson1] {
            average(&format!("{rule:?}, {shift}"), 2000, published, 0.05, |normal| {
                until(&[rule], shift, normal)
            });
        }
    }
}

/// Always: The rules on runs raise false alarms as seldom as published.
///
/// C. W. Champ and W. H. Woodall, Technometrics 29 (1987), 393-399, table 1, nothing wrong
/// (from memory, recomputed by a Markov chain); two decimals.
#[test]
fn western_electric_rules_together() {
    for (rules, published) in [
        (&[1, 2][..], 225.44),
        (&[1, 3], 166.05),
        (&[1, 4], 152.73),
        (&[1, 2, 3], 132.89),
        (&[1, 2, 4], 122.05),
        (&[1, 3, 4], 105.78),
        (&[1, 2, 3, 4], 91.75),
    ] {
        let rules: Vec<Rule> = rules.iter().map(|n| WESTERN_ELECTRIC[n - 1]).collect();
        average(&format!("{rules:?}"), 2500, published, 0.005, |normal| until(&rules, 0.0, normal));
    }
    // A shift of one sigma, recomputed in the same way.
    average("all four, 1 sigma", 4000, 9.22, 0.005, |normal| until(&WESTERN_ELECTRIC, 1.0, normal));
}

/// The same, with nine in a row for eight (recomputed by the same chain): Nelson's form.
#[test]
fn nine_in_a_row_instead_of_eight() {
    let rules = [Rule::Nelson1, Rule::Nelson2];
    average("Nelson 1 and 2", 2500, 216.70, 0.005, |normal| until(&rules, 0.0, normal));
    average("Nelson 1 and 2, 1 sigma", 2500, 17.05, 0.005, |normal| until(&rules, 1.0, normal));
}

/// Montgomery and Runger, table 16-9: both sums, slack half a sigma, decision 4 and 5.
#[test]
fn cumulative_sums() {
    let table = [
        (4.0, 0.0, 168.0, 0.5),
        (4.0, 0.5, 26.6, 0.05),
        (4.0, 1.0, 8.38, 0.005),
        (4.0, 2.0, 3.34, 0.005),
        (4.0, 4.0, 1.71, 0.005),
        (5.0, 0.0, 465.0, 0.5),
        (5.0, 0.25, 139.0, 0.5),
        (5.0, 0.75, 17.0, 0.05),
        (5.0, 1.0, 10.4, 0.05),
        (5.0, 1.5, 5.75, 0.005),
        (5.0, 3.0, 2.57, 0.005),
    ];
    for (decide, shift, published, rounding) in table {
        let chart = Cusum { target: 0.0, slack: 0.5, decide, head_start: 0.0 };
        average(&format!("h {decide}, {shift}"), 2000, published, rounding, |normal| {
            let mut numbers = 0;
            // A run goes on from its last sums, which is a head start of each.
            let (mut high, mut low) = (0.0, 0.0);
            loop {
                numbers += 1;
                let value = [shift + normal.next()];
                let of = |head_start| Cusum { head_start, ..chart }.sums(&value);
                (high, low) = (of(high).high[0], of(low).low[0]);
                if high > decide || low > decide {
                    return numbers;
                }
            }
        });
    }
}
