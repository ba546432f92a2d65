//! Worked numbers of fits through the library, and what
//! `benchway fits` prints for people and programs.

use crate::bench::{self, Said, begin, benchway, snapshot};
use crate::fits_spread::without_spreads;
use crate::walker::{SHOP, STOOL, Walker, read_route, read_shop, th};
use benchway::fits::fit_attribution;
use benchway::fits::wording::{advice, wider_limits};
use benchway::fits::{FitVerdict, FitsInput, JudgedFit, Readings, fits};
use benchway::journal::Home;
use benchway::measure::Length;
use benchway::plan::{Known, MadeOver, MadeValue, walk};
use benchway::route::{BUNDLED, Bundled, Route};
use benchway::shop::Shop;
use serde_json::Value;

/// Two legs and a rail between them, as wide and as long as their dimensions
/// say; the check of each as given, and the fits.
pub(crate) fn bench_of(shoulder: &str, leg: &str, rail: &str, fits: &str) -> String {
    format!(
        r#"{{ "route": "Base", "unit": "in", "sets": 3,
          "dims": {{ "base": "16", "leg_square": "1 1/2", "shoulder": "{shoulder}" }},
          "parts": {{
            "leg": {{ "per_set": 2, "species": "ash",
              "stock": {{ "thickness": "2", "width": "2", "length": "20" }},
              "width": "leg_square" }},
            "rail": {{ "per_set": 1, "species": "ash",
              "stock": {{ "thickness": "1", "width": "3", "length": "base" }},
              "length": "shoulder" }} }},
          "operations": [
            {{ "op": 10, "part": "leg", "do": "joint", "at": "jointer",
              "sides": ["face", "edge"] }},
            {{ "op": 20, "part": "leg", "do": "rip", "at": "cabinet saw", "tool": "rip blade",
              "to": "leg_square", "checks": [ {{ "check": "width", "pieces": "all", {leg} }} ] }},
            {{ "op": 110, "part": "rail", "do": "crosscut", "at": "stop saw", "to": "shoulder",
              "checks": [ {{ "check": "length", "pieces": "all", {rail} }} ] }} ],
          "fits": {{ {fits} }} }}"#
    )
}

/// A gauge that has no number, and so no uncertainty.
pub(crate) const PLUG: &str = r#""with": "gauge tenon""#;

fn fit(is: &str, either_way: &str, pieces: &str) -> String {
    let limits = format!(r#"["16 - {either_way}", "16 + {either_way}"]"#);
    format!(r#""over all": {{ "is": "{is}", "limits": {limits}, "pieces": {{ {pieces} }} }}"#)
}

fn asked(route: &Route, known: &Known, trials: u32) -> Vec<JudgedFit> {
    asked_in(SHOP, route, known, trials)
}

pub(crate) fn asked_in(shop: &str, route: &Route, known: &Known, trials: u32) -> Vec<JudgedFit> {
    let shop: Shop = read_shop(shop);
    let plan = walk(route, &shop, known);
    let question = FitsInput { route, shop: &shop, plan: &plan, known, readings: None };
    let (judged, troubles) = fits(&question, trials, 1);
    assert!(troubles.is_empty(), "{troubles:?}");
    judged
}

fn only(text: &str, trials: u32) -> JudgedFit {
    let mut judged = asked(&read_route(text), &Known::default(), trials);
    assert_eq!(judged.len(), 1);
    judged.remove(0)
}

/// To half of a ten-thousandth of an inch.
fn close(found: Length, wanted: f64) {
    let found = found.in_unit(benchway::measure::Unit::Inch);
    assert!((found - wanted).abs() < 5e-5, "{found} is not {wanted}");
}

fn plain_base(pieces: &str) -> String {
    let [leg, rail] = ["0.008", "0.016"].map(|by| format!(r#""limits": "±{by}", {PLUG}"#));
    bench_of("13", &leg, &rail, &fit("2 * leg_square + shoulder", "0.024", pieces))
}

/// Common practice, no source; by hand. Two legs and a rail at ±0.008 and
/// ±0.016: worst ±0.032, likely the root of 64 + 64 + 256 = ±0.0196. As one leg
/// twice, the root of 256 + 256, ±0.0226.
#[test]
fn two_legs_and_a_rail() {
    let judged = only(&plain_base(r#""leg_square": 2"#), 0);
    close(judged.nominal, 16.0);
    close(judged.worst.low, 15.968);
    close(judged.worst.high, 16.032);
    close(judged.likely.low, 16.0 - 0.0196);
    close(judged.likely.high, 16.0 + 0.0196);
    assert_eq!(judged.holds(), FitVerdict::Likely);
    let most = judged.dominating().expect("something moves it");
    assert_eq!(
        (most.dim.as_str(), most.op, most.feature.as_deref()),
        ("shoulder", Some(110), Some("length"))
    );
    // 256 of 384.
    assert!((most.share - 2.0 / 3.0).abs() < 1e-6, "{}", most.share);
    close(only(&plain_base(""), 0).likely.high, 16.0 + 0.0226);
}

/// By hand. Worst 0.032 is 0.008 over 0.024: the rail may keep half of its
/// 0.016. Of the likely nothing must go.
#[test]
fn a_lead_sees_how_much_closer_to_hold_a_dimension() {
    let judged = only(&plain_base(r#""leg_square": 2"#), 0);
    let said = advice(&judged, benchway::measure::Unit::Inch);
    assert_eq!(
        said,
        [
            "67 % of the variation comes from op 110 rail, length: shoulder.",
            "With ±0.008 there instead of ±0.016 it fits even at the worst.",
        ]
    );
}

/// By hand. Calipers are off by 0.003: of ±0.008 readings have ±0.005. What
/// the pieces share is not evened out: 2 x 0.003 + 2 x 0.005 / root 2 =
/// 0.01307; with the rail's 0.016, the root of 171 + 256 = 427, ±0.02066.
#[test]
fn a_gauge_is_off_by_the_same_on_every_piece() {
    let leg = r#""limits": "±0.008", "with": "calipers""#;
    let rail = format!(r#""limits": "±0.016", {PLUG}"#);
    let fit = fit("2 * leg_square + shoulder", "0.024", r#""leg_square": 2"#);
    let judged = only(&bench_of("13", leg, &rail, &fit), 0);
    close(judged.worst.high, 16.032);
    close(judged.likely.high, 16.0 + 0.02066);
    let leg = &judged.contributions[0];
    close(leg.shared, 0.006);
    // 0.048 of room; 2 x 0.003, both ways, is 0.012.
    assert!((leg.sees.expect("calipers say a number") - 4.0).abs() < 1e-6);
}

const READ: &str = r#""limits": "±0.008", "with": "calipers",
    "becomes": { "dim": "leg_square", "take": "smallest", "of": "batch" }"#;

fn following() -> String {
    let rail = format!(r#""limits": "±0.016", {PLUG}"#);
    bench_of("base - 2 * leg_square", READ, &rail, &fit("2 * leg_square + shoulder", "1/32", ""))
}

/// Always: A deviation that later cuts follow cancels in a fit.
///
/// By hand. The rail follows the legs as they were read, so that what all legs
/// are off by is taken out again: 2 - 2. What remains is how far a leg is over
/// the smallest read, up to 0.010 where readings have ±0.005, twice; what the
/// gauge is off by, 2 x 0.003; and the rail's own ±0.016:
/// -0.022 to +0.042; at best ±0.016.
#[test]
fn what_is_followed_cancels() {
    let judged = only(&following(), 0);
    let leg = &judged.contributions[0];
    assert_eq!((leg.dim.as_str(), leg.slope, leg.followed), ("leg_square", 2.0, -2.0));
    close(leg.moves.low, 0.0);
    close(leg.moves.high, 0.020);
    close(judged.worst.low, 16.0 - 0.022);
    close(judged.worst.high, 16.0 + 0.042);
    close(judged.at_best.low, 16.0 - 0.016);
    close(judged.at_best.high, 16.0 + 0.016);
    // The middle is 0.010 up, and the root of 0.016^2 + 0.016^2 is 0.0226.
    close(judged.likely.low, 16.0 + 0.010 - 0.0226);
    close(judged.likely.high, 16.0 + 0.010 + 0.0226);
}

#[test]
fn a_dimension_that_comes_and_goes_moves_nothing() {
    let fit = fit("base + leg_square + shoulder - leg_square - shoulder", "0.001", "");
    let judged = only(&bench_of("13", READ, &format!(r#""limits": "±0.016", {PLUG}"#), &fit), 200);
    assert_eq!(judged.contributions, []);
    assert_eq!((judged.worst.low, judged.worst.high), (judged.nominal, judged.nominal));
    assert_eq!(judged.holds(), FitVerdict::Worst);
    assert_eq!(judged.share.map(|share| share.fitted), Some(200));
    assert_eq!(judged.as_drawn, ["base"]);
}

/// By hand: the square of 3 and 4 has a diagonal of 5, and it grows by 3/5 and
/// 4/5 of what they do: worst 0.014, likely the root of 36 + 64, 0.010.
#[test]
fn a_diagonal_moves_by_its_slopes() {
    let [leg, rail] = ["0.01", "0.01"].map(|by| format!(r#""limits": "±{by}", {PLUG}"#));
    let fit = r#""diagonal": { "is": "sqrt(4 * leg_square * leg_square + shoulder * shoulder) + 11",
                 "limits": ["15.98", "16.02"] }"#;
    // 2 x 1.5 is 3; the leg's own slope is twice 3/5, so it is given half.
    let leg = leg.replace("0.01", "0.005");
    let judged = only(&bench_of("4", &leg, &rail, fit), 0);
    close(judged.nominal, 16.0);
    close(judged.worst.high, 16.014);
    close(judged.likely.high, 16.010);
}

/// By hand, in a shop that knows no spread. Of a rail evenly distributed within ±0.016
/// half lie within ±0.008. Of two such added, the sum has a triangle from -0.032 to 0.032, of
/// which three quarters lie within ±0.016. Allowed: four standard errors of
/// 20 000 trials, 0.014.
#[test]
fn made_up_pieces_fit_as_often_as_they_should() {
    let still = format!(r#""limits": "±0", {PLUG}"#);
    let wide = format!(r#""limits": "±0.016", {PLUG}"#);
    for (leg, is, within, wanted) in [
        (&still, "2 * leg_square + shoulder", "0.008", 0.5),
        (&wide, "leg_square + shoulder + 1 1/2", "0.016", 0.75),
    ] {
        let route = read_route(&bench_of("13", leg, &wide, &fit(is, within, "")));
        let judged = asked_in(&without_spreads(), &route, &Known::default(), 20_000).remove(0);
        let share = judged.share.expect("it was tried");
        assert!((share.found() - wanted).abs() < 0.014, "{} is not {wanted}", share.found());
        let (low, high) = share.between();
        assert!(low < share.found() && share.found() < high && high - low < 0.02);
    }
}

/// Trials outside the worst case have a gauge error above its uncertainty, k =
/// 2: one in twenty at most.
#[test]
fn made_up_pieces_seldom_leave_the_worst() {
    for text in [following(), STOOL.to_owned()] {
        for mut judged in asked(&read_route(&text), &Known::default(), 0) {
            let name = judged.fit.clone();
            let wider = {
                let in_unit = |length: Length| length.in_unit(benchway::measure::Unit::Inch);
                let (low, high) = (in_unit(judged.worst.low), in_unit(judged.worst.high));
                let mut route: Value = serde_json::from_str(&text).expect("JSON");
                route["fits"][&name]["limits"] =
                    serde_json::json!([format!("{low:.6} in"), format!("{high:.6} in")]);
                asked(&read_route(&route.to_string()), &Known::default(), 5_000)
            };
            judged = wider.into_iter().find(|other| other.fit == name).expect("the same fit");
            let share = judged.share.expect("it was tried");
            assert!(share.found() > 0.95, "{name}: {}", share.found());
        }
    }
}

fn made(dim: &str, over: MadeOver, thousandths: i64, op: u32) -> MadeValue {
    let (dim, words) = (dim.to_owned(), "read".to_owned());
    MadeValue { dim, over, value: th(thousandths), op: Some(op), words }
}

/// By hand. Legs made 1.490: the rail follows to 13.020 and the base stays 16.
/// Nothing is left of the legs' limits but what the calipers are off by, 0.003
/// twice over.
#[test]
fn a_made_dimension_has_no_tolerance_left() {
    let known =
        Known { made: vec![made("leg_square", MadeOver::Batch, 1490, 20)], ..Known::default() };
    let judged = asked(&read_route(&following()), &known, 0).remove(0);
    close(judged.nominal, 16.0);
    close(judged.worst.low, 16.0 - 0.022);
    close(judged.worst.high, 16.0 + 0.022);
    let leg = &judged.contributions[0];
    assert!(leg.made && leg.off.is_none());
    close(leg.size, 1.490);
    // With the rails kept as planned, the base takes what the legs are shy.
    let kept = bench_of(
        "13",
        READ,
        &format!(r#""limits": "±0.016", {PLUG}"#),
        &fit("2 * leg_square + shoulder", "1/32", ""),
    );
    let judged = asked(&read_route(&kept), &known, 0).remove(0);
    close(judged.nominal, 15.980);
    close(judged.worst.low, 15.980 - 0.022);
}

/// By hand: article 2 alone came out 0.010 small; its rail is cut for the planned
/// 13 and its base is 15.980.
#[test]
fn sets_that_came_out_differently_are_looked_at_one_by_one() {
    let text = bench_of(
        "13",
        READ,
        &format!(r#""limits": "±0.016", {PLUG}"#),
        &fit("2 * leg_square + shoulder", "0.025", ""),
    );
    let known = Known {
        made: vec![
            made("leg_square", MadeOver::Batch, 1500, 20),
            made("leg_square", MadeOver::Set(2), 1490, 20),
        ],
        ..Known::default()
    };
    let judged = asked(&read_route(&text), &known, 0);
    let sets: Vec<&[u32]> = judged.iter().map(|judged| judged.sets.as_slice()).collect();
    assert_eq!(sets, [&[1, 3][..], &[2]]);
    close(judged[0].nominal, 16.0);
    close(judged[1].nominal, 15.980);
    assert_eq!((judged[0].holds(), judged[1].holds()), (FitVerdict::Worst, FitVerdict::Not));
}

/// By hand. Two openings of one article, 5.990 and 6.004, each with a front cut to
/// its own reading, 1/16 less: how far they differ cancels, the gap is 1/16,
/// and only the front's own ±0.008 and the calipers' 0.003 are left.
#[test]
fn what_is_cut_to_its_own_piece_cancels_piece_by_piece() {
    let text = r#"{ "route": "Fronts", "unit": "in", "sets": 1,
      "dims": { "opening": "6", "front": "opening - 1/16" },
      "parts": { "case": { "per_set": 2, "species": "ash",
        "stock": { "thickness": "1", "width": "3", "length": "8" } } },
      "operations": [
        { "op": 10, "part": "case", "do": "measure", "checks": [
          { "check": "opening", "kind": "size", "limits": "±1/16", "around": "opening",
            "with": "calipers", "pieces": "all",
            "becomes": { "dim": "opening", "take": "mean", "of": "piece" } } ] },
        { "op": 20, "part": "case", "do": "crosscut", "at": "stop saw", "to": "front",
          "checks": [ { "check": "length", "limits": "±0.008", "with": "gauge tenon",
                        "pieces": "all" } ] } ],
      "fits": { "gap": { "is": "opening - front", "limits": ["1/32", "3/32"] } } }"#;
    let route = read_route(text);
    let pieces = route.pieces(&route.parts[0]);
    let own =
        |piece: usize, size| made("opening", MadeOver::Piece(pieces[piece].clone()), size, 10);
    let known = Known { made: vec![own(0, 5990), own(1, 6004)], ..Known::default() };
    let judged = asked(&route, &known, 2_000).remove(0);
    close(judged.nominal, 0.0625);
    close(judged.worst.low, 0.0625 - 0.011);
    close(judged.worst.high, 0.0625 + 0.011);
    assert_eq!(judged.share.map(|share| share.fitted), Some(2_000));
    // Before anything is read it is the same, for a piece follows itself.
    let planned = asked(&route, &Known::default(), 0).remove(0);
    assert_eq!((planned.worst.low, planned.worst.high), (judged.worst.low, judged.worst.high));
}

/// By hand. Article 1 has openings of 5.990 and 6.004, mean 5.997; article 2 has 5.950 and
/// 5.960, mean 5.955. Neither says anything of the other.
#[test]
fn the_pieces_of_another_article_do_not_count() {
    let text = r#"{ "route": "Openings", "unit": "in", "sets": 2,
      "dims": { "opening": "6" },
      "parts": { "case": { "per_set": 2, "species": "ash",
        "stock": { "thickness": "1", "width": "3", "length": "8" } } },
      "operations": [
        { "op": 10, "part": "case", "do": "measure", "checks": [
          { "check": "opening", "kind": "size", "limits": "±1/16", "around": "opening",
            "with": "calipers", "pieces": "all",
            "becomes": { "dim": "opening", "take": "mean", "of": "piece" } } ] } ],
      "fits": { "room": { "is": "opening", "limits": ["5 7/8", "6 1/8"] } } }"#;
    let route = read_route(text);
    let pieces = route.pieces(&route.parts[0]);
    let sizes = pieces.iter().zip([5990, 6004, 5950, 5960]);
    let own = sizes.map(|(piece, size)| made("opening", MadeOver::Piece(piece.clone()), size, 10));
    let mut known = Known { made: own.collect(), ..Known::default() };
    let nominal = |known: &Known| -> Vec<(Vec<u32>, Length)> {
        let judged = asked(&route, known, 0);
        judged.into_iter().map(|judged| (judged.sets, judged.nominal)).collect()
    };
    let found = nominal(&known);
    assert_eq!((&found[0].0[..], &found[1].0[..], found.len()), (&[1][..], &[2][..], 2));
    close(found[0].1, 5.997);
    close(found[1].1, 5.955);
    // What is said of an article later counts in place of its pieces, and of no other's.
    known.made.push(made("opening", MadeOver::Set(2), 5970, 10));
    let found = nominal(&known);
    close(found[0].1, 5.997);
    close(found[1].1, 5.970);
    // A piece read after that counts alone; what is said of all articles counts for each.
    known.made.push(made("opening", MadeOver::Piece(pieces[3].clone()), 5964, 10));
    close(nominal(&known)[1].1, 5.964);
    known.made.push(made("opening", MadeOver::Batch, 5980, 10));
    let found = nominal(&known);
    assert_eq!(found.len(), 1, "{found:?}");
    close(found[0].1, 5.980);
}

/// By hand. Legs are ripped to ±1/16 and the rail follows the largest read, so no leg is
/// over it: legs and rail are 16 at most, but for the rail's 0.001 and the calipers,
/// 2 x 0.0015 as a standard deviation: 0.019 is over six of those. Left to chance, two of
/// six legs are often larger than the other four, by up to 0.125 each. Where it follows the
/// smallest, no leg is under it, and they are 16 at least.
#[test]
fn no_leg_is_beyond_the_largest_or_the_smallest_that_was_read() {
    for (take, limits) in [("largest", r#""15", "16.020""#), ("smallest", r#""15.980", "17""#)] {
        let read = format!(
            r#""limits": "±1/16", "with": "calipers",
            "becomes": {{ "dim": "leg_square", "take": "{take}", "of": "batch" }}"#
        );
        let rail = format!(r#""limits": "±0.001", {PLUG}"#);
        let fit = format!(
            r#""over all": {{ "is": "2 * leg_square + shoulder",
            "limits": [{limits}], "pieces": {{ "leg_square": 2 }} }}"#
        );
        let judged = only(&bench_of("base - 2 * leg_square", &read, &rail, &fit), 2_000);
        assert_eq!(judged.share.map(|share| share.fitted), Some(2_000), "{take}");
    }
}

/// By hand. Legs read 1.246, 1.248, 1.250 and so on: the smallest is 1.246,
/// 0.004 under the plan, so the shoulder grows to 11.008 and over the legs it
/// stays 13.5. The biggest leg is 0.006 over the smallest: up to 0.012 more.
#[test]
fn a_batch_keeps_the_spread_of_its_readings() {
    let mut walker = Walker::stool(1);
    for op in [10, 20, 30, 40] {
        walker.to_size(op);
    }
    let mut sizes = ["1.246", "1.248", "1.250", "1.252"].iter().cycle();
    walker.through(50, &mut |_, _| (*sizes.next().expect("it goes round")).to_owned());
    walker.enter("1 MB");
    let known = walker.state.known();
    let plan = walk(&walker.route, &walker.shop, &known);
    let question = FitsInput {
        route: &walker.route,
        shop: &walker.shop,
        plan: &plan,
        known: &known,
        readings: Some(&Readings::of(&walker.state)),
    };
    let (judged, _) = fits(&question, 2_000, 1);
    let over = judged.iter().find(|judged| judged.fit.starts_with("over the legs")).expect("there");
    let leg = over.contributions.iter().find(|one| one.dim == "leg_square").expect("in it");
    assert!(leg.made);
    close(leg.size, 1.246);
    close(leg.moves.low, 0.0);
    close(leg.moves.high, 0.012);
    close(leg.shared, 0.006);
    close(over.nominal, 13.5);
    // Legs are tried as they were read: two of them are 0.012 over at most, and the rail
    // another 1/64. That is 0.0276 of the 1/32 = 0.03125 allowed, so only gauges that err
    // with all three at their ends make one that doesn't fit.
    assert!(over.share.is_some_and(|share| share.fitted >= 1_990), "{:?}", over.share);
    let before = asked(&read_route(STOOL), &Known::default(), 0);
    let planned = before.iter().find(|judged| judged.fit == over.fit).expect("the same fit");
    assert!(over.worst.high < planned.worst.high, "measuring makes it surer");
}

/// By hand. Legs read 1.495 to 1.505: over the smallest by 0.010, twice that for two legs,
/// where the calipers leave 2 x 0.003 in doubt and the rail 0.001. So it is the legs, and
/// closer limits would come too late for them.
#[test]
fn pieces_that_were_read_apart_are_named() {
    let rail = format!(r#""limits": "±0.001", {PLUG}"#);
    let fit = fit("2 * leg_square + shoulder", "1/64", "");
    let mut walker = Walker::of(&bench_of("base - 2 * leg_square", READ, &rail, &fit));
    walker.to_size(10);
    let mut sizes = ["1.495", "1.500", "1.505"].iter().cycle();
    walker.through(20, &mut |_, _| (*sizes.next().expect("it goes round")).to_owned());
    walker.enter("MB");
    let known = walker.state.known();
    let (route, shop, plan) = (&walker.route, &walker.shop, &walker.plan);
    let readings = Readings::of(&walker.state);
    let question = FitsInput { route, shop, plan, known: &known, readings: Some(&readings) };
    let (judged, _) = fits(&question, 0, 1);
    let said = advice(&judged[0], benchway::measure::Unit::Inch).join("\n");
    assert!(said.contains("leg_square is made, and its pieces differ."), "{said}");
}

/// By hand. Nothing is cut by what the rails measure, 13.002, 13.004, 13.006;
/// yet once they are all read and the operation is closed, their own spread is
/// what counts: 13.004, 0.002 either way, and the calipers' 0.003. A dimension
/// that uses theirs goes on as planned.
#[test]
fn what_was_read_counts_even_where_nothing_follows_it() {
    let rail = r#""limits": "±0.016", "with": "calipers""#;
    let text = bench_of("13", READ, rail, &fit("2 * leg_square + shoulder", "1/32", ""));
    let mut walker = Walker::of(&text);
    walker.to_size(10);
    walker.to_size(20);
    let mut sizes = ["13.002", "13.004", "13.006"].iter().cycle();
    walker.through(110, &mut |_, _| (*sizes.next().expect("it goes round")).to_owned());
    let known = walker.state.known();
    let (route, shop, plan) = (&walker.route, &walker.shop, &walker.plan);
    let readings = Readings::of(&walker.state);
    let question = FitsInput { route, shop, plan, known: &known, readings: Some(&readings) };
    let (judged, _) = fits(&question, 0, 1);
    let rail = judged[0].contributions.iter().find(|one| one.dim == "shoulder").expect("in it");
    assert!(rail.made && rail.off.is_none());
    close(rail.size, 13.004);
    close(rail.moves.low, -0.002);
    close(rail.moves.high, 0.002);
    close(judged[0].nominal, 16.004);
    close(judged[0].worst.high, 16.004 + 0.002 + 0.003 + 0.006);
}

/// A check with little effect and tighter limits than needed may be relaxed; a
/// dominating one may not.
#[test]
fn a_dimension_with_little_effect_may_have_wider_limits() {
    let [leg, rail] = ["0.001", "0.016"].map(|by| format!(r#""limits": "±{by}", {PLUG}"#));
    let judged =
        only(&bench_of("13", &leg, &rail, &fit("2 * leg_square + shoulder", "1/32", "")), 0);
    let said = wider_limits(&[judged], benchway::measure::Unit::Inch);
    assert_eq!(
        said,
        ["op 20 leg, width: ±0.001 adds under 5 % to the variation of every fit. For the fits \
          alone, ±0.002 would do."]
    );
}

proptest::proptest! {
    #![proptest_config(crate::laws::of_256(32))]

    /// Always: A dimension counts once in a fit, by its net derivative.
    ///
    /// Only the net derivative counts, however often a name stands in a formula.
    #[test]
    fn a_dimension_counts_by_its_net_derivative(more in 0_i64..9, less in 0_i64..9) {
        let is = format!("{more} * leg_square + shoulder - {less} * leg_square");
        let [leg, rail] = ["0.008", "0.016"].map(|by| format!(r#""limits": "±{by}", {PLUG}"#));
        let judged = only(&bench_of("13", &leg, &rail, &fit(&is, "100", "")), 0);
        let net = (more - less).abs();
        let off = |range: benchway::fits::SizeRange| range.high - judged.nominal;
        proptest::prop_assert_eq!(off(judged.worst), th(8) * net + th(16));
        let (likely, net) = (off(judged.likely), net as f64);
        close(likely, (0.016f64.powi(2) + (0.008 * net).powi(2)).sqrt());
        let shares: f64 = judged.contributions.iter().map(|one| one.share).sum();
        proptest::prop_assert!((shares - 1.0).abs() < 1e-9);
    }
}

fn said(arguments: &[&str]) -> Said {
    benchway(&[&["fits"], arguments].concat())
}

fn json(arguments: &[&str]) -> (i32, Value) {
    bench::json(&said(&[arguments, &["--format", "json"]].concat()))
}

/// The counts depend on the last figure of a logarithm, so they are left out.
fn without_counts(text: &str) -> String {
    text.lines()
        .filter(|line| !line.starts_with("  fits "))
        .map(|line| format!("{line}\n"))
        .collect()
}

#[test]
fn a_lead_reads_it_on_eighty_columns() {
    for Bundled { stem: route, .. } in BUNDLED {
        let said = said(&[route]);
        assert!(said.code <= 1 && said.err.is_empty(), "{}", said.err);
        for line in said.out.lines() {
            assert!(line.chars().count() <= 78, "{line}");
        }
        snapshot(&format!("fits-{route}"), &without_counts(&said.out));
    }
}

/// Whoever builds a bundled route may count on it.
#[test]
fn the_parts_of_every_bundled_route_go_together() {
    for Bundled { stem, text } in BUNDLED {
        for fit in asked(&read_route(text), &Known::default(), 10_000) {
            let share = fit.share.expect("a share of those tried").found();
            assert!(share >= 0.95, "{stem}: {} fits in {share} of cases", fit.fit);
        }
    }
}

#[test]
fn the_keys_for_machines_are_those_of_the_help() {
    let help = said(&["--help"]).out;
    let (code, answer) = json(&["reading-stool"]);
    assert_eq!((code, &answer["unit"]), (0, &"in".into()));
    let fit = &answer["fits"][0];
    let one = &fit["contributions"][0];
    for of in [fit, &fit["limits"], &fit["tried"], one, &one["drawn"]] {
        for key in of.as_object().expect("an object").keys() {
            let mut words = help.split(|c: char| !c.is_alphanumeric() && c != '_');
            assert!(words.any(|word| word == key), "{key}");
        }
    }
    assert_eq!((&fit["limits"]["low"], &fit["limits"]["high"]), (&0.001.into(), &0.009.into()));
    assert_eq!(fit["nominal"], 0.004);
    assert_eq!(fit["holds"], "likely");
    assert_eq!(fit["tried"]["trials"], 10_000);
}

#[test]
fn the_same_seed_tries_the_same_pieces() {
    let tried = |seed: &str| json(&["reading-stool", "--trials", "500", "--seed", seed]).1;
    assert_eq!(tried("4"), tried("4"));
    assert_ne!(tried("4")["fits"][0]["tried"], tried("5")["fits"][0]["tried"]);
}

/// By hand: a mortise given as 0.253 makes the tenon 0.249 and their clearance
/// stays 0.004; what remains is 0.0005 of the plug gauges, and of the tenon 0.003
/// more or 0.002 less.
#[test]
fn a_dimension_may_be_given_as_made() {
    let (_, answer) = json(&["reading-stool", "--with", "mortise_width=0.253"]);
    let fit = &answer["fits"][0];
    assert_eq!(fit["contributions"][0]["made"], true);
    assert_eq!(
        (&fit["nominal"], &fit["worst"]),
        (&0.004.into(), &serde_json::json!({ "low": 0.0005, "high": 0.0065 }))
    );
}

#[test]
fn it_ends_as_every_command_does() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let write = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).expect("the folder can be written");
        path.display().to_string()
    };
    let good = write("good.json", &plain_base(r#""leg_square": 2"#));
    assert_eq!(said(&[&good]).code, 0);
    assert_eq!(said(&["reading-stool"]).code, 0);
    let bad = write("bad.json", &plain_base("").replace("16 - 0.024", "16 - degrees(3)"));
    let said_bad = said(&[&bad]);
    assert_eq!(said_bad.code, 1);
    assert!(said_bad.out.contains("can't be evaluated"), "{}", said_bad.out);
    assert_eq!(said(&["no-such-route"]).code, 2);
    assert_eq!(said(&["reading-stool", "--with", "leg_squar=1"]).code, 2);
    assert_eq!(said(&["reading-stool", "--trials", "0"]).code, 2);
}

/// A batch just begun stands where its route does, in its own frozen shop.
#[test]
fn a_batch_is_found_by_its_name() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let path = folder.path().display().to_string();
    let home = Home::locate(Some(folder.path().to_owned())).expect("a home was named");
    let now = "2026-11-25T08:00:00+01:00".parse().expect("a time with its zone");
    let texts = (STOOL, SHOP);
    begin(&home, "stools", texts, "cart", now, None).expect("a batch begins");
    let of_batch = said(&["stools", "--home", &path]);
    assert_eq!((of_batch.code, of_batch.err.as_str()), (0, ""));
    assert_eq!(of_batch.out, said(&["reading-stool"]).out);
}

/// By hand, 16 = 2 x 1 1/2 + 13 planned. The legs came out 1.470 for 1.500: the
/// rail follows, so they move nothing, 2 x -0.030 + 0.060. The rail came out
/// 13.052 for the 13.060 it then had to be: -0.008, all of it the rail's.
#[test]
fn what_was_made_moves_a_fit_by_what_it_missed() {
    let text = bench_of(
        "base - 2 * leg_square",
        r#""limits": "±1/32", "with": "calipers""#,
        r#""limits": "±1/32", "with": "calipers""#,
        r#""over all": { "is": "2 * leg_square + shoulder", "limits": ["15 7/8", "16 1/8"] }"#,
    );
    let route = read_route(&text);
    let made = |dim: &str, op, value| MadeValue {
        dim: dim.to_owned(),
        over: MadeOver::Batch,
        value: th(value),
        op: Some(op),
        words: String::new(),
    };
    let known = Known {
        made: vec![made("shoulder", 110, 13_052), made("leg_square", 20, 1_470)],
        ..Known::default()
    };
    let way = fit_attribution(&route, &known, "over all", None).unwrap();
    let shares: Vec<(&str, Length, Length)> =
        way.shares.iter().map(|share| (share.dim.as_str(), share.wanted, share.amount)).collect();
    assert_eq!(shares, [("leg_square", th(1_500), th(0)), ("shoulder", th(13_060), th(-8))]);
    assert_eq!((way.planned, way.made, way.rest), (th(16_000), th(15_992), th(0)));
}

proptest::proptest! {
    /// Straight or bent, what the made dimensions did and what is left of it
    /// come to what the clearance moved by.
    #[test]
    fn shares_and_rest_come_to_what_it_moved_by(
        leg in 1_000..2_000i64, shoulder in 12_000..14_000i64, bent in proptest::bool::ANY,
    ) {
        let is = if bent {
            "sqrt(leg_square * leg_square + shoulder * shoulder)"
        } else {
            "2 * leg_square + shoulder"
        };
        let text = bench_of(
            "base - 2 * leg_square",
            r#""limits": "±1/32", "with": "calipers""#,
            r#""limits": "±1/32", "with": "calipers""#,
            &format!(r#""over all": {{ "is": "{is}", "limits": ["1", "30"] }}"#),
        );
        let route = read_route(&text);
        let made = |dim: &str, op, value| MadeValue {
            dim: dim.to_owned(),
            over: MadeOver::Batch,
            value: th(value),
            op: Some(op),
            words: String::new(),
        };
        let known = Known {
            made: vec![made("leg_square", 20, leg), made("shoulder", 110, shoulder)],
            ..Known::default()
        };
        let way = fit_attribution(&route, &known, "over all", None).unwrap();
        let sum = way.shares.iter().fold(way.rest, |sum, share| sum + share.amount);
        proptest::prop_assert_eq!(sum, way.moved());
        if !bent {
            proptest::prop_assert_eq!(way.rest, Length::ZERO);
        }
    }
}

/// A gap of 1/4 with so much wood across its grain.
fn swelling(moves: &str) -> String {
    bench_of(
        "13",
        &format!(r#""limits": "±0.008", {PLUG}"#),
        &format!(r#""limits": "±0.016", {PLUG}"#),
        &format!(
            r#""gap": {{ "is": "shoulder - 12 3/4", "limits": ["1/8", "3/8"],
                 "moves": {{ {moves} }} }}"#
        ),
    )
}

/// White ash, Wood Handbook (2010), Table 13-5: 0.00274 tangential, 0.00169
/// radial. By hand, 8 in made at 8 %: to 6 % it shrinks 8 x 0.00274 x 2 =
/// 0.04384, to 12 % it swells 0.08768. What the shoulder moves it by, ±0.016,
/// it moves it by in either season.
#[test]
fn a_gap_in_winter_and_in_summer() {
    let across = r#""species": "ash", "across": "8", "from": 6, "to": 12, "made_at": 8"#;
    let judged = only(&swelling(across), 0);
    close(judged.nominal, 0.25);
    let seasons = judged.seasons.as_ref().expect("it swells");
    close(seasons.winter.clearance, 0.25 + 0.04384);
    close(seasons.winter.likely.high, 0.25 + 0.04384 + 0.016);
    close(seasons.summer.clearance, 0.25 - 0.08768);
    close(seasons.summer.likely.low, 0.25 - 0.08768 - 0.016);
    assert_eq!(seasons.summer.holds, FitVerdict::Worst);
    assert!(judged.can_be_counted_on());
    // Quartersawn: 8 x 0.00169 x 4 = 0.05408.
    let quarter = only(&swelling(&format!(r#"{across}, "grain": "quarter""#)), 0);
    let seasons = quarter.seasons.expect("it swells");
    close(seasons.summer.clearance, 0.25 - 0.05408);
}

/// By hand: 16 in from 7 % up to 12 % is 16 x 0.00274 x 5 = 0.2192, and 0.0308
/// is left where 1/8 is the least; as made it holds. Of an opening as wide the
/// clearance grows instead, to 0.4692, over 3/8.
#[test]
fn a_gap_that_closes_in_summer_is_not_counted_on() {
    for (across, summer) in [("16", 0.25 - 0.2192), ("-16", 0.25 + 0.2192)] {
        let moves = format!(r#""species": "ash", "across": "{across}", "from": 7, "to": 12"#);
        let judged = only(&swelling(&moves), 0);
        assert_eq!(judged.holds(), FitVerdict::Worst);
        let seasons = judged.seasons.as_ref().expect("it swells");
        close(seasons.winter.clearance, 0.25);
        close(seasons.summer.clearance, summer);
        assert_eq!(
            (seasons.winter.holds, seasons.summer.holds),
            (FitVerdict::Worst, FitVerdict::Nominal)
        );
        assert!(!judged.can_be_counted_on());
        let said = advice(&judged, benchway::measure::Unit::Inch);
        assert!(said.iter().any(|said| said.contains("dampest season")), "{said:?}");
    }
}

/// The width across the grain follows the made size: four legs of 1 3/4 instead
/// of 1 1/2. By hand, 4 x 1.75 x 0.00274 x 5 = 0.0959.
#[test]
fn what_was_made_swells_by_its_own_size() {
    let moves = r#""species": "ash", "across": "4 * leg_square", "from": 7, "to": 12"#;
    let route = read_route(&swelling(moves));
    let made = MadeValue {
        dim: "leg_square".to_owned(),
        over: MadeOver::Batch,
        value: Length::INCH * 7 / 4,
        op: Some(20),
        words: String::new(),
    };
    let known = Known { made: vec![made], ..Known::default() };
    let judged = asked(&route, &known, 0);
    close(judged[0].seasons.as_ref().expect("it swells").summer.clearance, 0.25 - 0.0959);
}

/// Mahogany's coefficient is 0.00238 and its shrinkage comes to 0.001405: from
/// 8 to 12 % on 10 in, 0.0952 or 0.0562. What is likely holds with either.
#[test]
fn numbers_that_disagree_widen_what_is_likely() {
    let moves = r#""species": "mahogany", "across": "10", "from": 8, "to": 12"#;
    let judged = only(&swelling(moves), 0);
    let summer = &judged.seasons.as_ref().expect("it swells").summer;
    close(summer.clearance, 0.25 - 0.0952);
    close(summer.likely.low, 0.25 - 0.0952 - 0.016);
    close(summer.likely.high, 0.25 - 0.0562 + 0.016);
}

/// Boot bench, by hand: 1/8 less 3 1/2 x 0.00365 x 5 = 0.063875.
#[test]
fn a_bundled_route_tells_both_seasons() {
    let said = benchway(&["fits", "boot-bench", "--format", "json"]);
    let answer: Value = serde_json::from_str(&said.out).expect("JSON");
    let fits = answer["fits"].as_array().expect("fits");
    let slats = fits.iter().find(|fit| fit["fit"] == "gap between seat slats").expect("it");
    assert_eq!(slats["winter"]["clearance"], 0.125);
    let summer = slats["summer"]["clearance"].as_f64().expect("a number");
    assert!((summer - 0.061_125).abs() < 1e-6, "{summer}");
    assert_eq!(slats["summer"]["holds"], "worst");
    assert_eq!(slats["moves"]["species"], "white oak");
}
