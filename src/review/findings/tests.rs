//! Gauges whose zero moved, and what is worth a look, from series made up by hand.

use super::*;
use crate::journal::Reference;
use crate::operation::kind;
use crate::review::next_action;
use crate::review::wording::how_sure;
use crate::series::{RunnerUp, WEAK_EVIDENCE};

fn th(n: i64) -> Length {
    Length::thousandths(n)
}

fn point(order: usize, gauge: &str) -> SeriesPoint {
    SeriesPoint {
        piece: PieceId(format!("a-{order}").into()),
        name: format!("leg {order}"),
        value: th(1_000),
        wanted: th(1_000),
        limits: Limits { low: None, high: None },
        uncertainty: th(2),
        verdict: Verdict::In,
        gauge: gauge.to_owned(),
        who: None,
        hand: None,
        at: "2026-11-25T08:00:00+01:00".parse().expect("a time with its zone"),
        is_confirmed: false,
        reference: Reference { station: "a".to_owned(), n: order as u64 },
        order,
    }
}

/// A check at a machine, read at these places of the journal.
fn check(op: u32, at: &str, cause: Cause, strength: f64, orders: &[usize]) -> CheckDiagnosis {
    let points = orders.iter().map(|order| point(*order, "calipers")).collect();
    let series = Series {
        op,
        part: "leg".to_owned(),
        kind: kind("plane").expect("a kind"),
        at: Some(at.to_owned()),
        tool: None,
        feature: FeatureName::new("thickness"),
        words: Feature::Thickness,
        band: None,
        pieces: orders.len(),
        points,
    };
    let diagnosis =
        Diagnosis::Found { cause, lone: Vec::new(), strength, threshold: 6.0, runner_up: None };
    CheckDiagnosis { series, subsets: Vec::new(), diagnosis, out: 0, close: 0, by_gauge: false }
}

fn gauges(checks: &[CheckDiagnosis]) -> Vec<GaugeShift> {
    let rows: Vec<(&Series, Option<&Cause>)> =
        checks.iter().map(|check| (&check.series, check.diagnosis.cause())).collect();
    gauge_shifts(&rows, &State::default())
}

fn shift(check: &CheckDiagnosis) -> Option<crate::review::gauge_shifts::Shift<'_>> {
    let row = (&check.series, check.diagnosis.cause());
    // Nobody moved a setting.
    static UNTOUCHED: std::sync::LazyLock<State> = std::sync::LazyLock::new(State::default);
    crate::review::gauge_shifts::shift(row, &UNTOUCHED)
}

fn wrong(thousandths: i64) -> Cause {
    Cause::SetWrong { by: th(thousandths).inches() }
}

const STEADY: Cause = Cause::Steady { level: 0.0 };

fn good(orders: &[usize]) -> CheckDiagnosis {
    check(10, "jointer", STEADY, 0.0, orders)
}

/// By hand: after a good reading at 3, two machines are 0.010 and 0.012 over, each reading by
/// 0.002: both lie within 0.002 of the middle one, 0.012. The gauge moved by 0.011.
#[test]
fn two_machines_that_are_off_alike_show_a_gauge() {
    let planer = check(40, "planer", wrong(10), 9.0, &[4, 5, 6, 7]);
    let sander = check(50, "sander", wrong(12), 9.0, &[8, 9, 10, 11]);
    let found = gauges(&[good(&[0, 1, 2, 3]), planer.clone(), sander.clone()]);
    let [moved] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(
        (moved.gauge.as_str(), moved.by, &moved.ops[..]),
        ("calipers", th(11), &[40, 50][..])
    );
    let (before, after) = &moved.between;
    assert_eq!((before.as_ref().map(|point| point.order), after.order), (Some(3), 4));

    // Without an earlier reading it takes three machines.
    assert_eq!(gauges(&[planer.clone(), sander.clone()]), []);
    let saw = check(60, "saw", wrong(11), 9.0, &[12, 13, 14, 15]);
    assert_eq!(gauges(&[planer.clone(), sander.clone(), saw]).len(), 1);
    // Two checks at one machine are one machine.
    let again = check(45, "planer", wrong(12), 9.0, &[8, 9, 10, 11]);
    assert_eq!(gauges(&[good(&[0, 1, 2, 3]), planer.clone(), again]), []);
    // A check read wholly afterwards that shows nothing clears the gauge, and so it does
    // from the very first reading that is off; one begun before does not.
    let cleared = |orders: &[usize]| {
        gauges(&[good(&[0, 1, 2, 3]), planer.clone(), sander.clone(), good(orders)]).is_empty()
    };
    assert!(cleared(&[12, 13, 14, 15]) && cleared(&[4, 13, 14, 15]));
    assert!(!cleared(&[3, 13, 14, 15]));
}

/// By hand: 0.010 and 0.013 differ by more than the 0.002 of one reading, not more than twice
/// that, so a third machine must show the same; 0.010 and 0.015 never agree.
#[test]
fn shifts_that_differ_more_need_another_machine() {
    let at = |n: u32, by: i64| {
        let orders: Vec<usize> = (0..4).map(|k| (4 * n) as usize + k).collect();
        check(10 * n, &format!("machine {n}"), wrong(by), 9.0, &orders)
    };
    let good = good(&[0, 1, 2, 3]);
    assert_eq!(gauges(&[good.clone(), at(1, 10), at(2, 13)]), []);
    let found = gauges(&[good.clone(), at(1, 10), at(2, 13), at(3, 13)]);
    assert_eq!(found.iter().map(|moved| moved.by).collect::<Vec<_>>(), [th(12)]);
    assert_eq!(gauges(&[good, at(1, 10), at(2, 15), at(3, 15)]), []);
}

/// A row of four that moved after the second begins to be off at its third reading.
#[test]
fn a_row_that_moved_is_off_from_there_on() {
    let cause = Cause::Moved { after: 2, before_level: 0.001, after_level: 0.011 };
    let moved = check(40, "planer", cause, 9.0, &[4, 5, 6, 7]);
    let found = shift(&moved).expect("a shift");
    assert_eq!((found.by, found.first_after.order), (th(10), 6));
    assert_eq!(found.last_before.map(|point| point.order), Some(5));
    let late = check(40, "planer", wrong(3), 9.0, &[7, 5, 6]);
    assert_eq!(shift(&late).map(|shift| shift.first_after.order), Some(5));
    assert!(shift(&good(&[1])).is_none());
}

/// The strongest evidence comes first; a check that is steady counts once a piece is out.
#[test]
fn what_is_worth_a_look() {
    let steady = good(&[0, 1, 2, 3]);
    let out = CheckDiagnosis { out: 1, ..good(&[0, 1, 2, 3]) };
    let weak = check(40, "planer", wrong(10), 7.0, &[4, 5, 6, 7]);
    let strong = check(50, "sander", wrong(10), 9.0, &[8, 9, 10, 11]);
    let findings = |checks| Findings { checks, ..Findings::default() };
    let all = findings(vec![steady.clone(), out.clone(), weak, strong]);
    let ops: Vec<u32> = all.notable().iter().map(|check| check.series.op).collect();
    assert_eq!(ops, [50, 40, 10]);
    assert!(!all.is_quiet());
    assert!(findings(vec![steady.clone()]).is_quiet());
    assert_eq!(steady.certainty(), Certainty::Clear);
    assert_eq!(out.certainty(), Certainty::CannotTell);
}

/// Twelve are listed one by one; of thirteen those of one check and side come together.
#[test]
fn many_pieces_are_listed_by_check() {
    let piece = |n: usize, op: u32, verdict: Verdict| Out {
        op,
        piece: PieceId(format!("a-{n}").into()),
        name: format!("leg {n}"),
        feature: FeatureName::new("thickness"),
        words: Feature::Thickness,
        value: th(1_000),
        wanted: th(990),
        limits: Limits { low: None, high: None },
        verdict,
        decision: None,
        afterwards: None,
        attribution: None,
    };
    let over = Verdict::TooBig { by: th(5), again: true };
    let under = Verdict::TooSmall { by: th(5), again: false };
    let mut found = Findings::default();
    found.out.extend((0..12).map(|n| piece(n, 40, over)));
    assert_eq!(found.grouped_out().len(), 12);
    found.out[3].op = 50;
    found.out.push(piece(12, 40, under));
    let sizes: Vec<usize> = found.grouped_out().iter().map(Vec::len).collect();
    assert_eq!(sizes, [11, 1, 1]);
    let mut again = piece(0, 40, over);
    assert!(again.is_still_out());
    again.afterwards = Some((th(990), Verdict::In));
    assert!(!again.is_still_out());
}

/// A level comes close to every other cause, for each would come on top of it. Evidence that
/// lies 9 points behind is far off, 1 point behind it is near.
#[test]
fn a_wrong_setting_names_what_comes_near_it() {
    let behind = |behind| {
        let mut check = check(40, "planer", STEADY, 0.0, &[0, 1, 2, 3]);
        let runner_up = Some(RunnerUp { cause: Cause::Crept { by: 0.01, start: 0.0 }, behind });
        check.diagnosis = Diagnosis::Found {
            cause: wrong(10),
            lone: Vec::new(),
            strength: 20.0,
            threshold: 6.0,
            runner_up,
        };
        how_sure(&check).expect("enough readings")
    };
    assert!(behind(9.0).ends_with("; the next best is `crept`"), "{}", behind(9.0));
    assert!(behind(1.0).ends_with("; it may also have crept"), "{}", behind(1.0));
}

/// What comes near is named by how near it comes. Where nothing is found it is never more than
/// the nearest, and where nothing else was tried no more is said.
#[test]
fn how_sure_a_cause_is() {
    let crept = Cause::Crept { by: 0.01, start: 0.0 };
    let moved = Cause::Moved { after: 2, before_level: 0.001, after_level: 0.011 };
    let said = |cause: Cause, other: Option<Cause>, behind: f64| {
        let mut check = check(40, "planer", STEADY, 0.0, &[0, 1, 2, 3]);
        let runner_up = other.map(|cause| RunnerUp { cause, behind });
        check.diagnosis =
            Diagnosis::Found { cause, lone: Vec::new(), strength: 20.0, threshold: 6.0, runner_up };
        let certainty = check.certainty().name();
        let sure = how_sure(&check).expect("enough readings");
        sure.strip_prefix(certainty).expect("it begins with the certainty").to_owned()
    };
    let near = "; `moved` fits about as well";
    assert_eq!(said(crept, Some(moved), WEAK_EVIDENCE - 0.01), near);
    let far = "; the next best is `moved`";
    assert_eq!(said(crept, Some(moved), WEAK_EVIDENCE), far);
    assert_eq!(said(wrong(10), Some(moved), WEAK_EVIDENCE), far);
    assert_eq!(said(wrong(10), Some(moved), 0.0), "; it may also have moved");
    let weak = "; the nearest is `moved`, but the evidence is too weak";
    assert_eq!(said(STEADY, Some(moved), 0.0), weak);
    assert_eq!(said(STEADY, Some(moved), 99.0), weak);
    assert_eq!(said(crept, None, 0.0), "");
}

/// Four readings: KT read the third with a rule, MB the others with calipers. The first and the
/// last are of the left hand, the second of the right, the third of neither.
#[test]
fn a_subset_has_the_readings_it_names() {
    let mut series = good(&[0, 1, 2, 3]).series;
    let of = [("MB", Some("left")), ("MB", Some("right")), ("KT", None), ("MB", Some("left"))];
    for (point, (who, hand)) in series.points.iter_mut().zip(of) {
        point.who = Some(who.to_owned());
        point.hand = hand.map(str::to_owned);
    }
    series.points[2].gauge = "rule".to_owned();
    let found: Vec<(Subset, String)> = series
        .subsets()
        .into_iter()
        .map(|subset| {
            let members = series.members(&subset);
            (subset, members.iter().map(|is_of| if *is_of { 'x' } else { '.' }).collect())
        })
        .collect();
    let expected = [
        (Subset::Person("MB".to_owned()), "xx.x"),
        (Subset::Gauge("calipers".to_owned()), "xx.x"),
        (Subset::Hand("left".to_owned()), "x..x"),
        (Subset::Hand("right".to_owned()), ".x.."),
        (Subset::Person("KT".to_owned()), "..x."),
        (Subset::Gauge("rule".to_owned()), "..x."),
    ];
    assert_eq!(found, expected.map(|(subset, members)| (subset, members.to_owned())));
}

/// Calipers good to 0.002 can't judge a band under four times that, 0.008.
#[test]
fn a_gauge_is_too_coarse_for_a_band_under_four_times_its_uncertainty() {
    let next = |band: Option<Length>, out: usize| {
        let mut check = CheckDiagnosis { out, ..good(&[0, 1, 2, 3]) };
        check.series.band = band;
        next_action(&check)
    };
    let coarse =
        |band| next(band, 1).expect("something to do").starts_with("The gauge is too coarse");
    let just_under = th(8) - Length::from_nanometres(1);
    assert!(coarse(Some(th(1))) && coarse(Some(th(7))) && coarse(Some(just_under)));
    assert!(!coarse(Some(th(8))) && !coarse(Some(th(9))) && !coarse(None));
    assert_eq!(next(Some(th(7)), 0), None);
}
