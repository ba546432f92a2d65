//! Sizes measured again on another day with nothing cut in between: wood or gauge?

use crate::walker::{self, Walker, th};
use benchway::measure::Unit;
use benchway::review::{findings, repeats};
use benchway::work::{RepeatCause, advice, repeat_reading};

/// A rail that is only measured, rests and is measured again, then cut.
const RAILS: &str = r#"{
  "route": "Ferry bench rails", "unit": "in", "sets": 1,
  "parts": { "rail": {
    "per_set": 3, "species": "white oak",
    "stock": { "thickness": "0.752", "width": "2 1/2", "length": "14" },
    "length": "14", "width": "2 1/4", "thickness": "0.752" } },
  "operations": [
    { "op": 10, "part": "rail", "do": "rest", "hours": 14, "sentinels": 2, "checks": [
      { "check": "thickness", "limits": "±1/16", "with": "calipers", "pieces": "first, last" },
      { "check": "length", "limits": "±1/16", "with": "calipers", "pieces": "first, last" } ] },
    { "op": 20, "part": "rail", "do": "measure", "checks": [
      { "check": "thickness", "limits": "±1/16", "with": "calipers", "pieces": "first, last" },
      { "check": "length", "limits": "±1/16", "with": "calipers", "pieces": "first, last" } ] },
    { "op": 30, "part": "rail", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "2 1/4" }
  ]
}"#;

/// Both ends of the stack before the night and after it: what the block reads
/// and what each of the two rails does, thickness and length, in thousandths.
fn measured(evening: [i64; 3], morning: [i64; 3]) -> Walker {
    let mut walker = Walker::of(RAILS);
    for (op, [block, thickness, length]) in [(10, evening), (20, morning)] {
        walker.op = op;
        if op == 20 {
            walker.pass_time(14 * 60);
        }
        for _ in 0..40 {
            use benchway::work::Task;
            let text = |thousandths: i64| format!("{:.3}", thousandths as f64 / 1000.0);
            match walker.task() {
                Task::Zero { .. } => walker.enter(&text(block)),
                Task::Read { check: 0, .. } => walker.enter(&text(thickness)),
                Task::Read { .. } => walker.enter(&text(length)),
                Task::Feed { .. } | Task::Cut { .. } | Task::Close { .. } => walker.enter(""),
                Task::Finished => break,
                other => panic!("{other:?}"),
            };
        }
    }
    walker
}

fn why(walker: &Walker, feature: &str) -> RepeatCause {
    let days = repeats(&walker.route, &walker.state);
    days.iter().find(|again| again.feature == feature).expect("read again").why
}

/// By hand: 0.752 to 0.757 is 0.005; two readings that can each be off by
/// 0.003 differ by up to 0.003 x sqrt 2 = 0.0042. Of white oak 0.005/0.752 is
/// 0.665 %: 1.82 points flat-sawn (0.00365 a point) and 3.69 quartersawn
/// (0.00180), as Wood Handbook table 13-5 has it.
#[test]
fn wood_that_moved_while_the_block_did_not() {
    let walker = measured([1000, 752, 14_000], [1000, 757, 14_000]);
    assert_eq!(why(&walker, "thickness"), RepeatCause::Wood);
    assert_eq!(why(&walker, "length"), RepeatCause::Same);
    let days = repeats(&walker.route, &walker.state);
    let found = days.iter().find(|again| again.feature == "thickness").unwrap();
    assert_eq!((found.by, found.wood(), found.pieces.len()), (th(5), th(5), 2));
    assert!((found.uncertainty.ratio(th(1)) - 4.2426).abs() < 1e-3, "{found:?}");
    let (least, most) = found.points(Some("white oak")).unwrap();
    assert!((least - 1.82).abs() < 0.005 && (most - 3.69).abs() < 0.006, "{least} {most}");
    assert!(found.words(Some("white oak"), Unit::Inch).contains("1.8 to 3.7 points damper"));
    let said = benchway::review::wording::repeat_sentence(found, &walker.route);
    assert!(said.starts_with("Op 20, rail thickness of 2: "), "{said}");
    assert!(said.ends_with(&found.words(Some("white oak"), Unit::Inch)), "{said}");
    assert!(!findings(&walker.route, &walker.shop, &walker.state).is_quiet());
}

/// The block reads 0.003 more in the morning: 0.005 less 0.003 is 0.002, which
/// is within what two readings differ by.
#[test]
fn a_gauge_that_reads_its_block_otherwise() {
    let walker = measured([1000, 752, 14_000], [1003, 757, 14_000]);
    assert_eq!(why(&walker, "thickness"), RepeatCause::Gauge);
    // 0.010, of which the block has 0.003: 0.007 is left for the wood.
    let walker = measured([1000, 752, 14_000], [1003, 762, 14_000]);
    let days = repeats(&walker.route, &walker.state);
    let found = days.iter().find(|again| again.feature == "thickness").unwrap();
    assert_eq!((found.why, found.wood()), (RepeatCause::Wood, th(7)));
}

/// Along its grain wood moves by a tenth or two of a percent from green to dry
/// (Wood Handbook, from memory): 0.010 in 14 in overnight is nobody's wood.
#[test]
fn along_the_grain_it_is_the_hand() {
    let walker = measured([1000, 752, 14_000], [1000, 752, 14_010]);
    assert_eq!(why(&walker, "length"), RepeatCause::Hand);
    assert_eq!(why(&walker, "thickness"), RepeatCause::Same);
}

/// 0.050 on 0.752 is 6.6 %: 18 points, which no stack takes up in a night.
#[test]
fn more_than_wood_can_do_is_said() {
    let walker = measured([1000, 752, 14_000], [1000, 802, 14_000]);
    let days = repeats(&walker.route, &walker.state);
    let found = days.iter().find(|again| again.feature == "thickness").unwrap();
    let words = found.words(Some("white oak"), Unit::Inch);
    assert!(words.contains("18 points of moisture: check for cup"), "{words}");
}

#[test]
fn the_machine_says_so_at_once() {
    let walker = measured([1000, 752, 14_000], [1000, 757, 14_000]);
    let of = |reading: &&benchway::journal::ReadingRecord| reading.taken.feature == "thickness";
    let last = walker.state.readings.iter().rfind(of).unwrap();
    let said = advice(&walker.context(), last).unwrap();
    assert!(said.next.iter().any(|line| line.contains("the wood moved")), "{said:?}");
}

/// A quiet night says nothing, and neither does a reading an hour later.
#[test]
fn what_reads_the_same_is_quiet() {
    let walker = measured([1000, 752, 14_000], [1000, 754, 14_001]);
    let found = findings(&walker.route, &walker.shop, &walker.state);
    assert!(found.is_quiet() && found.repeats.len() == 2, "{:?}", found.repeats);
    let mut soon = walker;
    soon.pass_time(-14 * 60);
    let mut last = soon.state.readings.last().unwrap().clone();
    assert!(repeat_reading(&soon.route, &soon.state, &last).is_some());
    last.at = soon.state.readings[0].at;
    assert!(repeat_reading(&soon.route, &soon.state, &last).is_none());
}

/// After a cut the two sizes have nothing to do with each other: width is
/// ripped at op 30, thickness is not.
#[test]
fn nothing_is_said_across_a_cut() {
    let walker = measured([1000, 752, 14_000], [1000, 757, 14_000]);
    let of = |reading: &&benchway::journal::ReadingRecord| reading.taken.feature == "thickness";
    let mut later = walker.state.readings.iter().rfind(of).unwrap().clone();
    later.at += chrono::Duration::hours(20);
    (later.order, later.taken.op) = (later.order + 1000, 30);
    assert!(repeat_reading(&walker.route, &walker.state, &later).is_some());
    later.taken.feature = "width".into();
    assert!(repeat_reading(&walker.route, &walker.state, &later).is_none());
}

/// A night in an invented batch: 2 points of moisture after the legs were
/// measured, and nothing else. White oak flat-sawn moves 0.00365 a point, so
/// 1.875 x 0.00365 x 2 = 0.0137; a reading of each can be off by 0.003.
#[test]
fn an_invented_night_is_told_as_wood() {
    use benchway::simulate::{Fault, Settings, invent};
    let route = include_str!("../../routes/boot-bench.json");
    let shop = include_str!("../../routes/shop.json");
    let of = |fault: &str| {
        let faults = vec![Fault::parse(fault, Unit::Inch).expect("a fault")];
        let settings = Settings { until: Some(27), faults, ..Settings::default() };
        let (route, shop) = (walker::read_route(route), walker::read_shop(shop));
        let lines = invent(&route, &shop, &settings).expect("a batch");
        let state = benchway::journal::State::fold(&lines);
        repeats(&route, &state)
    };
    let found = of("op 27 movement overnight 2");
    let moved: Vec<_> = found.iter().filter(|again| again.why != RepeatCause::Same).collect();
    // The piece they left off at, measured again in the morning, and the one
    // that was still to be measured.
    assert_eq!(moved.len(), 2, "{found:#?}");
    for moved in moved {
        assert_eq!(moved.why, RepeatCause::Wood);
        assert!((moved.by - th(14)).abs() <= moved.uncertainty, "{moved:?}");
    }
}
