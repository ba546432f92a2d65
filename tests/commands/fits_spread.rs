//! Fits of planned pieces whose machines have a known spread: what is drawn of each
//! dimension, and the shares that come of it.
//!
//! The shares of normal pieces held within limits are worked out apart from the program,
//! by Simpson's rule over their densities and that of the gauge's error.

use crate::bench::benchway;
use crate::fits::{PLUG, asked_in, bench_of};
use crate::fits_shared::{BY_CALIPERS, TRIALS, fits_in, rails};
use crate::walker::{SHOP, STOOL, read_route, th};
use benchway::fits::{JudgedFit, NoSpread, PieceDraw};
use benchway::plan::Known;

/// The bundled shop without the spreads of its machines.
pub(crate) fn without_spreads() -> String {
    let known = |line: &&str| line.trim_start().starts_with("\"spread\":");
    SHOP.lines().filter(|line| !known(line)).collect::<Vec<_>>().join("\n")
}

fn judged_in(shop: &str, text: &str) -> JudgedFit {
    asked_in(shop, &read_route(text), &Known::default(), TRIALS).remove(0)
}

fn draw<'a>(judged: &'a JudgedFit, dim: &str) -> &'a PieceDraw {
    let found = judged.contributions.iter().find(|one| one.dim == dim);
    &found.expect("it moves the fit").drawn
}

/// The saw has a spread of 0.003, and calipers, off by 0.003 with k = 2, leave readings
/// within ±0.005. Lengths about the middle of that, held within it, by Simpson's rule over
/// each length, and over an error of the calipers three times as large as 0.0015: 0.95094
/// and 0.91506, where evenly filled limits give 0.92604 and 0.87112. In the difference the
/// error cancels: 0.74878, where limits give 1 - 0.6^2 = 0.64.
#[test]
fn a_known_spread_is_held_within_limits_where_every_piece_is_measured() {
    for (is, planned, within, wanted) in [
        ("a + b + c", "19", "0.012", 0.950_94),
        ("2 * a + b", "26", "0.012", 0.915_06),
        ("a - b", "4", "0.004", 0.748_78),
    ] {
        let judged = judged_in(SHOP, &rails(BY_CALIPERS, is, planned, within));
        fits_in(&judged, wanted);
        let machine = "stop saw".to_owned();
        let normal = PieceDraw::Normal { about: th(10_000), sd: th(3), machine, held: true };
        assert_eq!(*draw(&judged, "a"), normal);
    }
    let unknown = judged_in(&without_spreads(), &rails(BY_CALIPERS, "a - b", "4", "0.004"));
    fits_in(&unknown, 0.64);
    let why = NoSpread::Machine("stop saw".to_owned());
    assert_eq!(*draw(&unknown, "a"), PieceDraw::Uniform(why));
}

/// By hand. Three lengths have a variance of 3 x 0.003^2 = 0.000027 and three times the
/// calipers' 0.0015 one of 0.00002025: together a standard deviation of 0.0068739. Within
/// ±0.012, 1.74573 of these, lie 91.914 %. In the difference the root of 2 x 0.003^2 is left,
/// and within ±0.004, 0.94281 of it, lie 65.422 %.
#[test]
fn nothing_holds_pieces_that_are_not_all_measured() {
    let some = BY_CALIPERS.replace("all", "first, last");
    for (is, planned, within, wanted) in
        [("a + b + c", "19", "0.012", 0.919_14), ("a - b", "4", "0.004", 0.654_22)]
    {
        let judged = judged_in(SHOP, &rails(&some, is, planned, within));
        fits_in(&judged, wanted);
        assert!(matches!(draw(&judged, "a"), PieceDraw::Normal { held: false, .. }));
    }
}

/// By hand. The fence shows steps of 0.005 and the blade leaves 0.012 more: for 1.500 it is
/// set to 1.490, not 1.488, and makes 1.502. Within 0.003 of that, the spread of the saw, lie
/// 68.269 %.
#[test]
fn pieces_scatter_about_what_the_setting_makes() {
    let leg = format!(r#""limits": "±1/16", {PLUG}"#);
    let fit = r#""leg": { "is": "leg_square", "limits": ["1.499", "1.505"] }"#;
    let judged = judged_in(SHOP, &bench_of("13", &leg, &leg, fit));
    fits_in(&judged, 0.682_69);
    let machine = "cabinet saw".to_owned();
    let normal = PieceDraw::Normal { about: th(1_502), sd: th(3), machine, held: true };
    assert_eq!(*draw(&judged, "leg_square"), normal);
    // Limits of ±0.001 end at 1.501, so the fence is moved until it makes no more.
    let close = bench_of("13", &leg.replace("1/16", "0.001"), &leg, fit);
    let judged = judged_in(SHOP, &close);
    assert!(
        matches!(draw(&judged, "leg_square"), PieceDraw::Normal { about, .. } if *about == th(1_501))
    );
}

/// By hand. Rails follow the one leg that is read, so that a leg and a rail differ from 16
/// as two legs do: by the root of 2 x 0.003^2, of which 65.422 % lie within ±0.004.
#[test]
fn what_is_cut_to_a_reading_scatters_by_both() {
    let read = format!(
        r#""limits": "±1/16", {PLUG},
        "becomes": {{ "dim": "leg_square", "take": "mean", "of": "batch" }}"#
    );
    let still = format!(r#""limits": "±0", {PLUG}"#);
    for take in ["mean", "smallest", "largest"] {
        let fit = r#""over": { "is": "leg_square + shoulder", "limits": ["15.996", "16.004"] }"#;
        let read = read.replace("mean", take);
        let text = bench_of("base - leg_square", &read, &still, fit);
        fits_in(&judged_in(SHOP, &text.replacen(r#""all""#, r#""first""#, 1)), 0.654_22);
    }
}

/// The width of a mortise is that of its chisel, and the thickness of a tenon what two
/// settings leave: the spread of the machine doesn't tell how far these scatter.
#[test]
fn a_spread_counts_only_where_a_setting_makes_the_size() {
    let fits = asked_in(SHOP, &read_route(STOOL), &Known::default(), 0);
    let of = |dim: &str| {
        let mut drawn = fits.iter().flat_map(|judged| &judged.contributions);
        drawn.find(|one| one.dim == dim).expect("in a fit").drawn.clone()
    };
    assert_eq!(of("mortise_width"), PieceDraw::Uniform(NoSpread::NoSetting));
    assert_eq!(of("tenon_thickness"), PieceDraw::Uniform(NoSpread::NoSetting));
    assert_eq!(of("tenon_length"), PieceDraw::Scale);
    assert!(matches!(of("mortise_depth"), PieceDraw::Normal { held: false, .. }));
    assert!(matches!(of("leg_square"), PieceDraw::Normal { held: true, .. }));
}

#[test]
fn people_read_which_draw_each_dimension_has() {
    let said = benchway(&["fits", "reading-stool"]).out;
    let words = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "drawn mortise_width, tenon_thickness: uniform within limits; no setting makes the size \
         where it is measured",
        "leg_square: normal, sd 0.001 (wide-belt sander); within limits, all are measured",
    ] {
        assert!(words.contains(wanted), "{wanted}: {words}");
    }
    let with = benchway(&["fits", "reading-stool", "--with", "mortise_width=0.253"]).out;
    assert!(with.contains("mortise_width: as made"), "{with}");
}
