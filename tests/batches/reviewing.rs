//! Where a piece went out, what each operation added, and which cause is likely.
//! Readings are put into the journal as the walk would write them.

use crate::walker::{self, Walker, by_calipers, named, th};
use benchway::journal::{Event, PieceId, State};
use benchway::measure::Length;
use benchway::review::{
    CheckDiagnosis, attribution, findings, follow_up_questions, series, wording,
};
use benchway::series::{Cause, Diagnosis, MachineSpread, RowLimits, diagnose, expected_spread};
use benchway::simulate::{Fault, Settings, invent};
use proptest::prelude::*;

/// A reading of calipers that are off by up to 0.003.
fn reads(
    op: u32,
    piece: &PieceId,
    feature: &str,
    size: Length,
    wanted: Length,
    band: Length,
) -> Event {
    by_calipers(op, piece, feature, size, (wanted, band))
}

/// A piece goes out once at an operation for each of its sizes, at its first reading.
#[test]
fn each_size_of_a_piece_is_out_once() {
    let mut walker = Walker::stool(1);
    let [one, other] = ["rail 1", "rail 2"].map(|name| named(&walker, name));
    let shoulder =
        |piece, by: i64| reads(170, piece, "shoulder length", th(13_000 + by), th(13_000), th(16));
    let length = |piece, by: i64| reads(160, piece, "length", th(14_500 + by), th(14_500), th(31));
    walker.push(vec![
        shoulder(&one, 40),
        reads(170, &one, "rail tenon thickness", th(300), th(250), th(3)),
        shoulder(&one, 30),
        shoulder(&other, 60),
        length(&one, 70),
        length(&other, 3),
    ]);
    let found = findings(&walker.route, &walker.shop, &walker.state);
    let out = found.out.iter().map(|out| {
        let by = (out.value - out.wanted).ratio(th(1)).round() as i64;
        (out.op, out.name.as_str(), out.feature.as_str(), by)
    });
    assert_eq!(
        out.collect::<Vec<_>>(),
        [
            (170, "rail 1", "shoulder length", 40),
            (170, "rail 1", "rail tenon thickness", 50),
            (170, "rail 2", "shoulder length", 60),
            (160, "rail 1", "length", 70),
        ]
    );
}

/// By hand: rail cut to 14.502 where 14.500 was wanted; 12.970 between the
/// shoulders where 13.000 was; tenons 0.766 where 0.750 was. 0.002 - 2 x 0.016 =
/// -0.030, so the crosscut is innocent and the tenon stop took 0.016 at each end.
/// The uncertainty of two tenons is twice the 0.003 of one.
#[test]
fn the_tenon_stop_took_what_rail_3_is_short() {
    let mut walker = Walker::stool(1);
    let rail = named(&walker, "rail 3");
    walker.push(vec![
        reads(160, &rail, "length", th(14_502), th(14_500), th(31)),
        reads(170, &rail, "shoulder length", th(12_970), th(13_000), th(16)),
        reads(170, &rail, "rail tenon length", th(766), th(750), th(16)),
    ]);
    let way = attribution(&walker.route, &walker.state, &rail, 170, "shoulder length").unwrap();
    assert_eq!(way.miss, th(-30));
    let added: Vec<(u32, &str, i64, Length)> =
        way.added.iter().map(|a| (a.ops[0], a.feature.as_str(), a.times, a.amount)).collect();
    // Nothing sizes a rail's length before the stop saw but the rough cut,
    // which was not measured.
    assert_eq!(
        added,
        [
            (110, "length", 1, th(2)),
            (170, "rail tenon length", -2, th(-32)),
            (170, "shoulder length", 1, th(0)),
        ]
    );
    assert_eq!(way.added[0].ops, [110, 160]);
    assert_eq!(way.added[1].uncertainty, th(6));
    assert_eq!(way.largest().unwrap().feature, "rail tenon length");
    let (good, out) = way.left_limits().unwrap();
    assert_eq!((good, out.op), (None, 170));

    // Without the tenon's reading all of it is the operation's: -0.030 - 0.002.
    let mut walker = Walker::stool(1);
    walker.push(vec![
        reads(160, &rail, "length", th(14_502), th(14_500), th(31)),
        reads(170, &rail, "shoulder length", th(12_970), th(13_000), th(16)),
    ]);
    let way = attribution(&walker.route, &walker.state, &rail, 170, "shoulder length").unwrap();
    let added: Vec<Length> = way.added.iter().map(|a| a.amount).collect();
    assert_eq!(added, [th(2), th(-32)]);
    assert!(way.added[1].remainder);
}

/// By hand: 0.004 over at the planer, 0.010 under after the sander: the sander
/// took 0.014 too much. The two readings are off by up to 0.003 each, together
/// by 0.003 x sqrt 2 = 0.0042.
#[test]
fn what_an_operation_added_is_the_difference_of_two_misses() {
    let mut walker = Walker::stool(1);
    let leg = named(&walker, "leg 2");
    walker.push(vec![
        reads(40, &leg, "thickness", th(1_294), th(1_290), th(15)),
        reads(50, &leg, "thickness", th(1_240), th(1_250), th(5)),
    ]);
    let way = attribution(&walker.route, &walker.state, &leg, 50, "thickness").unwrap();
    let added: Vec<(Vec<u32>, Length)> =
        way.added.iter().map(|a| (a.ops.clone(), a.amount)).collect();
    // The jointer takes what it takes: nothing was measured before the planer.
    assert_eq!(added, [(vec![20, 40], th(4)), (vec![50], th(-14))]);
    assert!((way.added[1].uncertainty - th(4)).abs() < th(1) / 2);
    let (good, out) = way.left_limits().unwrap();
    assert_eq!((good.map(|stop| stop.op), out.op), (Some(40), 50));
    assert_eq!(
        wording::where_it_left(&way).unwrap(),
        "Within limits at op 40, out at op 50: it happened in between."
    );
}

proptest! {
    #![proptest_config(crate::laws::of_256(60))]

    /// Always: What each operation added sums to the total deviation.
    ///
    /// Whatever was measured, in whatever order, what was added sums to the miss.
    #[test]
    fn what_was_added_sums_to_the_miss(
        which in 0..benchway::route::BUNDLED.len(),
        taken in prop::collection::vec((0..4000usize, 0..4usize, -200..200i64), 1..60),
    ) {
        added_sums_to_the_miss(benchway::route::BUNDLED[which].text, &taken)?;
    }

    /// The same on routes nobody would write: cuts in any order, tenons in the
    /// middle, one size made again and again.
    #[test]
    fn what_was_added_sums_to_the_miss_on_any_route(
        kinds in prop::collection::vec(0..CUTS.len(), 1..12),
        taken in prop::collection::vec((0..4000usize, 0..4usize, -200..200i64), 1..60),
    ) {
        let operations: Vec<String> = kinds
            .iter()
            .zip(1..)
            .map(|(kind, n)| {
                format!(r#"{{ "op": {}, "part": "piece", {} }}"#, n * 10, CUTS[*kind])
            })
            .collect();
        let text = format!(
            r#"{{ "route": "Any", "unit": "in", "sets": 1,
            "parts": {{ "piece": {{ "per_set": 4, "species": "ash",
                "stock": {{ "thickness": "2", "width": "3", "length": "20" }} }} }},
            "operations": [{}] }}"#,
            operations.join(",")
        );
        added_sums_to_the_miss(&text, &taken)?;
    }
}

/// Operations that size lengths, widths, thicknesses and tenons.
const CUTS: [&str; 6] = [
    r#""do": "crosscut", "at": "stop saw", "to": "19""#,
    r#""do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "2""#,
    r#""do": "plane", "at": "planer", "to": "1 1/2""#,
    r#""do": "sand", "at": "wide-belt sander", "to": "1 1/4""#,
    r#""do": "tenon", "at": "tenon saw", "mortise_width": "1/4", "mortise_from_face": "1/2",
        "setback": "0", "length": "3/4""#,
    r#""do": "measure""#,
];

fn added_sums_to_the_miss(
    route: &str,
    taken: &[(usize, usize, i64)],
) -> Result<(), proptest::test_runner::TestCaseError> {
    let route = walker::read_route(route);
    let mut walker = Walker::new(route, walker::read_shop(walker::SHOP), 1);
    let mut sized = Vec::new();
    for step in &walker.route.steps {
        for feature in step.what.sizes() {
            sized.push((step.op, step.part.clone(), feature.feature));
        }
    }
    let mut events = Vec::new();
    let mut asked = Vec::new();
    for (at, piece, off) in taken {
        let (op, part, feature) = &sized[at % sized.len()];
        let mut pieces = walker.state.pieces.iter().filter(|held| held.label.part == *part);
        let Some(piece) = pieces.nth(*piece) else { continue };
        let wanted = th(1_000 + (at % 7) as i64 * 100);
        events.push(reads(*op, &piece.id, feature, wanted + th(*off), wanted, th(16)));
        asked.push((piece.id.clone(), *op, feature.clone()));
    }
    walker.push(events);
    for (piece, op, feature) in asked {
        let way = attribution(&walker.route, &walker.state, &piece, op, &feature).unwrap();
        let sum = way.added.iter().fold(Length::ZERO, |sum, added| sum + added.amount);
        prop_assert_eq!(sum, way.miss);
        prop_assert!(way.added.iter().all(|added| !added.ops.is_empty()));
    }
    Ok(())
}

const LIMITS: RowLimits = RowLimits { uncertainty: 0.003, band: Some(0.032), settings: 0.0 };

fn diagnosed(row: &[f64]) -> Diagnosis {
    diagnose(row, expected_spread(MachineSpread::Known(0.003), LIMITS, &[]), LIMITS, &[])
}

/// A row of 16 that goes 0.002 up and down by turns of three, with something
/// added to each place.
fn row(more: impl Fn(usize) -> f64) -> Vec<f64> {
    (0..16).map(|at| [0.002, -0.002, 0.0][at % 3] + more(at)).collect()
}

/// The faults are put in by hand, so the true cause is known.
#[test]
fn each_cause_is_found_in_the_row_it_made() {
    assert!(matches!(diagnosed(&row(|_| 0.0)).cause(), Some(Cause::Steady { .. })));
    // No shop can set nearer than an eighth of the band, 0.004.
    assert!(matches!(diagnosed(&row(|_| 0.002)).cause(), Some(Cause::Steady { .. })));

    let Some(Cause::SetWrong { by }) = diagnosed(&row(|_| 0.020)).cause().copied() else {
        panic!()
    };
    assert!((by - 0.020).abs() < 0.001, "{by}");

    // The fence moved by 0.031 after piece 7.
    let moved = diagnosed(&row(|at| if at >= 7 { 0.031 } else { 0.0 }));
    let Some(Cause::Moved { after: 7, before_level, after_level }) = moved.cause().copied() else {
        panic!("{moved:?}")
    };
    assert!((after_level - before_level - 0.031).abs() < 0.002);

    // 0.002 more from piece to piece: 0.030 from the first to the sixteenth.
    let crept = diagnosed(&row(|at| at as f64 * 0.002));
    let Some(Cause::Crept { by, .. }) = crept.cause().copied() else { panic!("{crept:?}") };
    assert!((by - 0.030).abs() < 0.003, "{by}");

    let slip = diagnosed(&row(|at| if at == 9 { -0.040 } else { 0.0 }));
    let Some(Cause::Slip { at: 10, by, .. }) = slip.cause().copied() else { panic!("{slip:?}") };
    assert!((by + 0.040).abs() < 0.003, "{by}");

    // Dust at the stop: four here and there are short.
    let dust = diagnosed(&row(|at| if [2, 6, 11, 14].contains(&at) { -0.030 } else { 0.0 }));
    let Some(Cause::Apart { count: 4, by, .. }) = dust.cause().copied() else { panic!("{dust:?}") };
    assert!((by + 0.030).abs() < 0.003, "{by}");
}

#[test]
fn too_few_readings_say_so_and_a_last_piece_is_a_slip() {
    assert_eq!(diagnosed(&[0.1, 0.1, 0.1]), Diagnosis::TooFew { have: 3, need: 4 });
    let mut last = row(|_| 0.0);
    last[15] = 0.040;
    assert!(matches!(diagnosed(&last).cause(), Some(Cause::Slip { at: 16, .. })));
}

proptest! {
    /// Always: No diagnosis reports less than the gauge can see.
    ///
    /// No cause is smaller than the gauge can show, and a row of zeros is
    /// steady.
    #[test]
    fn no_cause_is_smaller_than_the_gauge_can_show(
        row in prop::collection::vec(-0.0014..0.0014f64, 4..40),
    ) {
        prop_assert!(!diagnosed(&row).happened());
    }

    /// With signs changed, up becomes down and nothing else changes.
    #[test]
    fn a_row_the_other_way_up_tells_the_same(
        row in prop::collection::vec(-0.05..0.05f64, 4..24),
    ) {
        let turned: Vec<f64> = row.iter().map(|miss| -miss).collect();
        let (one, other) = (diagnosed(&row), diagnosed(&turned));
        prop_assert_eq!(one.happened(), other.happened());
        let like = one.cause().zip(other.cause()).is_some_and(|(one, other)| one.is_like(other));
        prop_assert!(like, "{one:?} {other:?}");
    }
}

/// A trade note's own case: the last of a stack of 12 rails is 0.031 wide and
/// it moved after the seventh. As the walk has it: every piece measured.
#[test]
fn a_fence_that_moved_is_found_in_the_journal() {
    let mut walker = Walker::stool(3);
    let events = (1..=12).map(|n| {
        let rail = named(&walker, &format!("rail {n}"));
        let off = [1, -1, 0][n % 3] + if n > 7 { 31 } else { 0 };
        reads(130, &rail, "width", th(2_500 + off), th(2_500), th(16))
    });
    let events: Vec<Event> = events.collect();
    walker.push(events);
    assert_eq!(series(&walker.route, &walker.state)[0].points.len(), 12);
    let found = findings(&walker.route, &walker.shop, &walker.state);
    assert_eq!(found.out.len(), 5);
    assert_eq!(found.out[0].name, "rail 8");
    let notable: Vec<&CheckDiagnosis> = found.notable();
    assert_eq!(notable.len(), 1);
    assert_eq!(
        wording::sentence(notable[0], benchway::measure::Unit::Inch),
        "It moved between rail 7 and rail 8: 0.031 wider from there on."
    );
    assert!(found.gauges.is_empty(), "one machine alone can't tell the gauge from itself");
}

/// By hand: rail 5 was ripped on the wrong side of its line, so it is the 0.125 of the kerf
/// narrower than 2.500: 2.375, which is 0.109 below 2.484. The question is about rail 5
/// and not about the one after it.
#[test]
fn one_rail_a_kerf_too_narrow_raises_the_question_of_the_kerf() {
    let mut walker = Walker::stool(3);
    walker.op = 130;
    let events = (1..=12).map(|n| {
        let rail = named(&walker, &format!("rail {n}"));
        let off = [1, -1, 0][n % 3] - if n == 5 { 125 } else { 0 };
        reads(130, &rail, "width", th(2_500 + off), th(2_500), th(16))
    });
    let events: Vec<Event> = events.collect();
    walker.push(events);
    let found = findings(&walker.route, &walker.shop, &walker.state);
    let [slip] = found.notable()[..] else { panic!("{found:#?}") };
    assert!(matches!(slip.diagnosis.cause(), Some(Cause::Slip { at: 5, .. })), "{slip:?}");
    let asked = follow_up_questions(slip, &walker.context());
    assert!(asked.iter().any(|question| question.contains("kerf")), "{asked:?}");
    let [out] = found.out.as_slice() else { panic!("{:?}", found.out) };
    let said = wording::limits_and_outcome(out, benchway::measure::Unit::Inch);
    assert!(said.starts_with("limits 2.484 to 2.516 in: too narrow by 0.109: "), "{said}");
}

/// Dust in the jaws: from one reading on everything measures 0.012 less, at
/// the cabinet saw and at the stop saw.
#[test]
fn a_gauge_whose_zero_moved_is_distinguished_from_a_machine() {
    let mut walker = Walker::stool(3);
    let mut events = Vec::new();
    for n in 1..=12 {
        let rail = named(&walker, &format!("rail {n}"));
        let off = [1, -1, 0][n % 3] - if n > 6 { 12 } else { 0 };
        events.push(reads(130, &rail, "width", th(2_500 + off), th(2_500), th(8)));
    }
    for n in 1..=12 {
        let rail = named(&walker, &format!("rail {n}"));
        let off = [0, 1, -1][n % 3] - 12;
        events.push(reads(160, &rail, "length", th(12_500 + off), th(12_500), th(8)));
    }
    walker.push(events);
    let found = findings(&walker.route, &walker.shop, &walker.state);
    assert_eq!(found.gauges.len(), 1, "{:?}", found.checks);
    let moved = &found.gauges[0];
    assert_eq!((moved.gauge.as_str(), moved.ops.as_slice()), ("calipers", &[130, 160][..]));
    assert!((moved.by + th(12)).abs() <= th(1));
    assert_eq!(moved.between.1.name, "rail 7");
    assert!(found.checks.iter().all(|account| account.by_gauge));
}

/// The same where people act on it: at the stop saw and the tenon saw they moved the setting
/// by what the first rail read. Every later reading is as wanted, and every rail is wrong.
#[test]
fn a_gauge_whose_zero_moved_is_named_where_people_acted_on_it() {
    let mut walker = Walker::stool(3);
    let mut events = Vec::new();
    let rails: Vec<PieceId> = (1..=12).map(|n| named(&walker, &format!("rail {n}"))).collect();
    let small = |n: usize| [1, -1, 0][n % 3];
    for (n, rail) in rails.iter().enumerate() {
        events.push(reads(130, rail, "width", th(2_500 + small(n)), th(2_500), th(8)));
    }
    for (op, feature, wanted, off) in
        [(160, "length", 14_500, 21), (170, "shoulder length", 13_000, 19)]
    {
        let read =
            |rail: &PieceId, off| reads(op, rail, feature, th(wanted + off), th(wanted), th(16));
        events.push(read(&rails[0], off));
        let (setting, why) = ("stop".to_owned(), String::new());
        events.push(Event::Moved { op, setting, by: th(-off), why });
        events.extend(rails.iter().enumerate().map(|(n, rail)| read(rail, small(n))));
    }
    walker.push(events);
    let found = findings(&walker.route, &walker.shop, &walker.state);
    let [moved] = found.gauges.as_slice() else { panic!("{:?}", found.gauges) };
    assert_eq!((moved.gauge.as_str(), moved.ops.as_slice()), ("calipers", &[160, 170][..]));
    assert_eq!(moved.by, th(20));
    assert_eq!(moved.between.0.as_ref().map(|point| point.name.as_str()), Some("rail 12"));
}

/// Two people take turns; one presses harder and reads 0.010 less. The finding
/// names nobody and doesn't blame the machine.
#[test]
fn two_people_who_measure_differently_are_distinguished_from_the_machine() {
    let mut walker = Walker::stool(4);
    for n in 1..=16 {
        let rail = named(&walker, &format!("rail {n}"));
        walker.who = Some(if n % 2 == 0 { "KT" } else { "MB" }.to_owned());
        let off = [1, -1, 0, 1, 0, -1][n % 6] - if n % 2 == 0 { 12 } else { 0 };
        walker.push(vec![reads(130, &rail, "width", th(2_500 + off), th(2_500), th(16))]);
    }
    let found = findings(&walker.route, &walker.shop, &walker.state);
    let notable = found.notable();
    let Some(Cause::Subset { subset, by, .. }) = notable[0].diagnosis.cause().copied() else {
        panic!("{notable:?}")
    };
    // Whichever of the two is meant, they are 0.012 apart.
    assert!((by.abs() - 0.012).abs() < 0.002, "{by}");
    assert!(matches!(notable[0].subsets[subset], benchway::review::Subset::Person(_)));
    let said = wording::sentence(notable[0], benchway::measure::Unit::Inch);
    assert!(said.starts_with("The pieces that one person measured are 0.012"), "{said}");
    assert!(!said.contains("KT") && !said.contains("MB"));
}

/// Machines set again after every first piece shift by slightly different
/// amounts: the gauge is still found, and only for a gauge fault.
#[test]
fn the_gauge_is_found_in_a_whole_batch_and_at_no_other_fault() {
    let mut route = walker::read_route(walker::STOOL_BY_CALIPERS);
    route.make_sets(4).unwrap();
    let shop = walker::read_shop(walker::SHOP);
    let gauges = |fault: &str| {
        let fault = Fault::parse(fault, route.unit).unwrap();
        let settings = Settings { faults: vec![fault], until: Some(170), ..Settings::default() };
        let state = State::fold(&invent(&route, &shop, &settings).unwrap());
        findings(&route, &shop, &state).gauges
    };
    let notable = gauges("op 50 gauge zero 0.012");
    assert_eq!(notable.len(), 1);
    assert_eq!(notable[0].gauge, "calipers");
    // Within what one reading can be off by.
    assert!((notable[0].by - th(12)).abs() <= th(3), "{:?}", notable[0].by);
    for other in [
        "op 60 offset 1/32",
        "op 60 creep 1/16",
        "op 50 double jog",
        "op 50 belt change -0.012 after piece 9",
        "op 50 movement overnight 2",
        "op 60 stop dust 1/8",
    ] {
        assert!(gauges(other).is_empty(), "{other}");
    }
}
