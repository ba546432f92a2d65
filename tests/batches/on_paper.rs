//! Pages on paper: what a chart draws is where its axis says it is, and the sheet of a review
//! says everything that review says.

use benchway::fits::{FitsInput, JudgedFit, Readings, fits};
use benchway::journal::{Event, JournalLine, State, StationSeal, short_form};
use benchway::learn::{Files, Journal, learn};
use benchway::paper::{Paper, ReviewSheetInput, check_chart, distribution, review_sheet};
use benchway::plan::walk;
use benchway::review::{BatchReview, ChartedSeries, next_action, wording};
use benchway::route::Route;
use benchway::shop::Shop;
use benchway::simulate::{Fault, Settings, invent};
use proptest::prelude::*;

use crate::drawing::{attribute, axis_of, elements, hundredth, marks, text_of};
use crate::laws;
use crate::walker::boards::{LONG, at_boards, tell};
use crate::walker::{SHOP, Walker, read_route, read_shop};

/// A batch that was invented, with everything needed to review it.
struct InventedBatch {
    route: Route,
    shop: Shop,
    lines: Vec<JournalLine>,
    state: State,
}

impl InventedBatch {
    fn of(route: &str, seed: u32, faults: &[&str], misses: f64) -> InventedBatch {
        let bundled = benchway::route::bundled(route).expect("a bundled route");
        let route = read_route(bundled.text);
        let shop = read_shop(SHOP);
        let faults = faults.iter().map(|text| Fault::parse(text, route.unit).expect("a fault"));
        let settings = Settings { faults: faults.collect(), seed, misses, ..Settings::default() };
        let lines = invent(&route, &shop, &settings).expect("a batch");
        let state = State::fold(&lines);
        InventedBatch { route, shop, lines, state }
    }

    fn review(&self) -> BatchReview<'_> {
        let with = (&self.route, &self.shop);
        BatchReview::of("a batch", with, &self.state, &self.lines, |_| Vec::new())
    }

    fn fits(&self) -> Vec<JudgedFit> {
        let known = self.state.known();
        let readings = Readings::of(&self.state);
        let input = FitsInput {
            route: &self.route,
            shop: &self.shop,
            plan: &walk(&self.route, &self.shop, &known),
            known: &known,
            readings: Some(&readings),
        };
        fits(&input, 1000, 1).0
    }

    /// The sheet as a browser reads it.
    fn sheet(&self) -> String {
        let files = Files { shop: &self.shop, route: &self.route };
        let journal = Journal {
            route: &self.route,
            shop: &self.shop,
            lines: &self.lines,
            state: &self.state,
        };
        let input = ReviewSheetInput {
            review: &self.review(),
            fits: &self.fits(),
            troubles: &[],
            lessons: &learn(&[journal], files),
        };
        review_sheet(&input).html(Paper::A4)
    }
}

proptest! {
    #![proptest_config(laws::of_256(4))]

    /// Always: A reading is drawn where the axis of its chart says its size is, and so is a
    /// limit; the shape is that of its verdict.
    #[test]
    fn readings_are_drawn_where_the_axis_says(
        seed in any::<u32>(),
        route in prop::sample::select(vec!["reading-stool", "hall-bench", "wall-cupboard"]),
        misses in prop::sample::select(vec![0.0, 0.03]),
    ) {
        let batch = InventedBatch::of(route, seed, &[], misses);
        let unit = batch.route.unit;
        for check in &batch.review().found.checks {
            let chart = check_chart(check, &batch.state, unit).expect("a chart");
            let svg = chart.svg().into_string();
            let charted = ChartedSeries::of(&check.series, unit).expect("a reading");
            let size = axis_of(&svg, "data-y");
            let mut drawn = marks(&svg);
            drawn.retain(|(class, ..)| class != "struck");
            drawn.sort_by(|one, other| one.1.total_cmp(&other.1));
            prop_assert_eq!(drawn.len(), check.series.points.len());
            for ((class, _, y), point) in drawn.iter().zip(&check.series.points) {
                let shown = charted.shown(point.value, point.wanted).in_unit(unit);
                prop_assert!((size(*y) - shown).abs() <= hundredth(unit), "{} {}", size(*y), shown);
                let plain = match class.as_str() {
                    "within" => point.verdict.plain() == "in",
                    "close" => point.verdict.plain() == "too close to call",
                    _ => point.verdict.is_out(),
                };
                prop_assert!(plain, "{class} {:?}", point.verdict);
            }
            let first = charted.first;
            let lines = [first.limits.high, Some(first.wanted), first.limits.low];
            let mut wanted: Vec<f64> = lines.into_iter().flatten()
                .map(|at| charted.shown(at, first.wanted).in_unit(unit)).collect();
            wanted.sort_by(|one, other| other.total_cmp(one));
            let found: Vec<f64> =
                elements(&svg, "<path class=\"line\"").map(|l| size(attribute(l, "data-y"))).collect();
            prop_assert_eq!(found.len(), wanted.len());
            for (found, wanted) in found.iter().zip(wanted) {
                prop_assert!((found - wanted).abs() <= hundredth(unit), "{found} {wanted}");
            }
        }
    }

    /// Always: The bars of a fit hold every simulated article once, and those between the
    /// limits are as many as fit.
    #[test]
    fn bars_hold_every_simulated_article(seed in any::<u32>()) {
        let batch = InventedBatch::of("reading-stool", seed, &["op 60 offset 1/32"], 0.0);
        for judged in batch.fits() {
            let svg = distribution(&judged, batch.route.unit, "it").expect("trials").into_string();
            let count = |class: &str| -> u32 {
                let bars = format!("<rect class=\"{class}\"");
                elements(&svg, &bars).map(|bar| attribute(bar, "data-count") as u32).sum()
            };
            let share = judged.share.expect("a share");
            let tried = judged.tried.as_ref().expect("trials");
            prop_assert_eq!(count("within"), share.fitted);
            let beyond = tried.beyond.0 + tried.beyond.1;
            prop_assert_eq!(count("within") + count("out") + beyond, share.trials);
            let size = axis_of(&svg, "data-x");
            let limits: Vec<f64> = elements(&svg, "<path class=\"limit\"")
                .map(|limit| size(attribute(limit, "data-x"))).collect();
            for (found, wanted) in limits.iter().zip([judged.limits.low, judged.limits.high]) {
                let wanted = wanted.in_unit(batch.route.unit);
                prop_assert!((found - wanted).abs() <= hundredth(batch.route.unit));
            }
        }
    }
}

/// What goes wrong in a batch with something of everything.
const FAULTS: [&str; 4] = [
    "op 60 step 1/32 after piece 5",
    "op 80 offset 0.020 on rail mortise depth",
    "op 50 gauge zero 0.012",
    "op 170 slip 1/16 at piece 3",
];

/// Always: Everything that review finds stands on its sheet, in the same words.
#[test]
fn the_sheet_says_what_review_says() {
    for (seed, misses) in [(1, 0.0), (7, 0.02)] {
        let batch = InventedBatch::of("reading-stool", seed, &FAULTS, misses);
        let (review, page) = (batch.review(), batch.sheet());
        let (text, unit) = (text_of(&page), batch.route.unit);
        let mut said = vec![review.amount_words()];
        for group in review.found.grouped_out() {
            if let [out] = group.as_slice() {
                said.push(format!("{}: {}", out.name, wording::read_and_wanted(out, unit)));
                said.push(wording::limits_and_outcome(out, unit));
            } else {
                let (head, names, became) = wording::grouped(&group, unit);
                said.extend([head, names, became]);
            }
        }
        said.extend(review.found.gauges.iter().map(|g| wording::gauge_shift_sentence(g, unit)));
        said.extend(
            review.found.moved_repeats().map(|r| wording::repeat_sentence(r, &batch.route)),
        );
        for check in &review.found.checks {
            said.push(wording::check_name(&check.series));
            said.push(wording::sentence(check, unit));
        }
        for check in review.found.notable() {
            said.extend(next_action(check).map(str::to_owned));
            said.extend(wording::how_sure(check));
            said.extend(review.asked_of(check).iter().cloned());
            said.push(wording::basis(&check.series, unit, "±"));
            said.extend(wording::too_close(check));
        }
        for (out, _) in review.found.still_out() {
            let way = out.attribution.as_ref().expect("an attribution");
            said.extend(wording::where_it_left(way));
            said.extend(wording::shared_ops(way));
            said.extend(way.added.iter().map(|a| wording::signed(a.amount, unit)));
        }
        said.extend(review.words.iter().map(|word| word.words()));
        said.extend(review.voided.iter().map(|voided| voided.words(&batch.state, unit)));
        said.extend(batch.state.remarks.iter().map(|note| batch.state.remark_line(note)));
        assert!(said.len() > 60, "{}", said.len());
        for words in said {
            assert!(text.contains(words.trim()), "{words:?} is not on\n{text}");
        }
        assert!(!page.contains("<script") && !page.contains("href") && !page.contains("src="));
    }
}

#[test]
fn a_batch_without_readings_has_a_sheet_that_says_so() {
    let walker = Walker::stool(1);
    let batch = InventedBatch {
        route: walker.route,
        shop: walker.shop,
        lines: Vec::new(),
        state: walker.state,
    };
    let text = text_of(&batch.sheet());
    assert!(text.contains("Nothing has been measured yet."), "{text}");
    assert!(text.contains("No changes to the files are proposed."), "{text}");
    assert!(!text.contains("Out of tolerance"), "{text}");
}

/// By hand, as where the wood of a batch is summed: of a board of 72 x 5, 2.5 board feet, two
/// rails of 67.5 square inches are parts, 135 of 360 or 0.94 board feet.
#[test]
fn the_sheet_says_where_the_wood_went_and_its_seal() {
    let mut walker = at_boards();
    tell(&mut walker, "A", &LONG);
    walker.enter("");
    walker.enter("MB");
    for op in [10, 20] {
        walker.to_size(op);
    }
    let stations =
        vec![StationSeal { station: "cart".to_owned(), lines: 3, sha256: "0".repeat(64) }];
    walker.push(vec![Event::Sealed { by: "MB".to_owned(), stations: stations.clone() }]);
    let Walker { route, shop, lines, state, .. } = walker;
    let batch = InventedBatch { route, shop, lines, state };
    let text = text_of(&batch.sheet());
    let seal = format!("{}: nothing that was sealed has changed", short_form(&stations));
    let told = ["Where the wood went", "1 board, 2.5 board feet bought", "0.94", "37.5 %"];
    for words in told.into_iter().chain(["plan with that yield next time", &seal]) {
        assert!(text.contains(words), "{words}\n{text}");
    }
}
