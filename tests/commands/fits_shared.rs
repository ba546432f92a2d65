//! Fits of dimensions that one gauge reads, or that one scale sets: their error is one.
//!
//! The shares are those of the documented model, worked out apart from the program:
//! in a shop that knows no spread, pieces anywhere within what readings may be, by the volume of a cube cut by two planes,
//! summed over a normal error of the gauge.

use crate::fits_spread::without_spreads;
use crate::walker::{read_route, read_shop, th};
use benchway::fits::wording::advice;
use benchway::fits::{FitsInput, JudgedFit, fits};
use benchway::measure::{Length, Unit};
use benchway::plan::{Known, MadeOver, MadeValue, walk};

/// Three rails, `a` 10 long, `b` 6 and `c` 3, cut on one saw with the same stop; what
/// checks each of them, and one fit within so much of what is planned.
pub(crate) fn rails(check: &str, is: &str, planned: &str, within: &str) -> String {
    let part = |name: &str| {
        format!(
            r#""rail {name}": {{ "per_set": 1, "species": "ash", "length": "{name}",
                 "stock": {{ "thickness": "1", "width": "3", "length": "14" }} }}"#
        )
    };
    let cut = |op: u32, name: &str| {
        format!(
            r#"{{ "op": {op}, "part": "rail {name}", "do": "crosscut", "at": "stop saw",
                 "to": "{name}", "checks": [ {check} ] }}"#
        )
    };
    format!(
        r#"{{ "route": "Rails", "unit": "in", "sets": 1,
          "dims": {{ "a": "10", "b": "6", "c": "3" }},
          "parts": {{ {}, {}, {} }}, "operations": [ {}, {}, {} ],
          "fits": {{ "gap": {{ "is": "{is}",
            "limits": ["{planned} - {within}", "{planned} + {within}"] }} }} }}"#,
        part("a"),
        part("b"),
        part("c"),
        cut(10, "a"),
        cut(20, "b"),
        cut(30, "c")
    )
}

/// Calipers are off by 0.003, so of ±0.008 readings have ±0.005.
pub(crate) const BY_CALIPERS: &str =
    r#"{ "check": "length", "limits": "±0.008", "with": "calipers", "pieces": "all" }"#;

pub(crate) const TRIALS: u32 = 20_000;

fn judged(text: &str, made: &[(&str, i64)]) -> JudgedFit {
    let (route, shop) = (read_route(text), read_shop(&without_spreads()));
    let made = made.iter().map(|(dim, size)| MadeValue {
        dim: (*dim).to_owned(),
        over: MadeOver::Batch,
        value: th(*size),
        op: None,
        words: "read".to_owned(),
    });
    let known = Known { made: made.collect(), ..Known::default() };
    let plan = walk(&route, &shop, &known);
    let question =
        FitsInput { route: &route, shop: &shop, plan: &plan, known: &known, readings: None };
    let (mut judged, troubles) = fits(&question, TRIALS, 1);
    assert!(troubles.is_empty() && judged.len() == 1, "{troubles:?}");
    judged.remove(0)
}

/// Within four standard errors of so many trials, 0.014 at most.
pub(crate) fn fits_in(judged: &JudgedFit, wanted: f64) {
    let found = judged.share.expect("it was tried").found();
    let allowed = 4.0 * (wanted * (1.0 - wanted) / f64::from(TRIALS)).sqrt();
    assert!((found - wanted).abs() <= allowed + 1e-9, "{}: {found} is not {wanted}", judged.is);
}

fn close(found: Length, wanted: f64) {
    let found = found.in_unit(Unit::Inch);
    assert!((found - wanted).abs() < 5e-5, "{found} is not {wanted}");
}

/// Told with an error for each dimension, these shares were 0.9704, 0.9043 and 0.9775. A
/// difference of two readings with one gauge can't be off by more than 0.010.
#[test]
fn one_gauge_is_off_by_the_same_in_every_dimension() {
    for (is, planned, within, wanted) in [
        ("a + b + c", "19", "0.012", 0.926_04),
        ("2 * a + b", "26", "0.012", 0.871_12),
        ("a - b", "4", "0.010", 1.0),
        ("a - b", "4", "0.008", 0.96),
    ] {
        fits_in(&judged(&rails(BY_CALIPERS, is, planned, within), &[]), wanted);
    }
}

/// By hand: 3 x 0.003 + the root of 3 x 0.005^2 = 0.009 + 0.00866 = 0.01766; of a - b the
/// root of 2 x 0.005^2 = 0.00707 alone. At the worst each is at its own limit.
#[test]
fn the_likely_range_adds_what_one_gauge_is_off_by() {
    let sum = judged(&rails(BY_CALIPERS, "a + b + c", "19", "0.012"), &[]);
    close(sum.likely.high, 19.0 + 0.01766);
    close(sum.worst.high, 19.0 + 0.024);
    let difference = judged(&rails(BY_CALIPERS, "a - b", "4", "0.010"), &[]);
    close(difference.likely.high, 4.0 + 0.00707);
    close(difference.worst.high, 4.0 + 0.016);
    let said = advice(&sum, Unit::Inch).join("\n");
    let shared =
        "a, b and c are read with one gauge, the calipers, and share its error: together ±0.009";
    assert!(said.contains(shared), "{said}");
    let said = advice(&difference, Unit::Inch).join("\n");
    assert!(said.contains("a and b are read with one gauge") && said.contains("it cancels here"));
}

/// By hand: of two lengths made and read with calipers only the error of these is left. In
/// their sum it has a standard deviation of 2 x 0.0015, so 68.27 % lie within ±0.003, where
/// two calipers would leave 84.27 %. In their difference nothing is left.
#[test]
fn what_was_cut_keeps_the_error_of_its_gauge() {
    let made = [("a", 10_001), ("b", 5_999)];
    let sum = judged(&rails(BY_CALIPERS, "a + b", "16", "0.003"), &made);
    fits_in(&sum, 0.682_69);
    close(sum.likely.high, 16.006);
    fits_in(&judged(&rails(BY_CALIPERS, "a - b", "4.002", "0.0001"), &made), 1.0);
}

/// By hand: the stop shows thousandths, so the sum of two lengths it sets is off by up to
/// 0.001, evenly, and half of that lies within ±0.0005. Two stops would make a triangle, of
/// which three quarters lie there. In a difference the error of the stop cancels.
#[test]
fn one_scale_is_off_by_the_same_at_every_size_it_sets() {
    let sum = judged(&rails("", "a + b", "16", "0.0005"), &[]);
    fits_in(&sum, 0.5);
    close(sum.likely.high, 16.001);
    fits_in(&judged(&rails("", "a - b", "4", "0.00001"), &[]), 1.0);
    let said = advice(&sum, Unit::Inch).join("\n");
    assert!(said.contains("a and b are set by one scale, the stop of the stop saw"), "{said}");
}
