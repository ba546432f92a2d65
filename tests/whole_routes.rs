//! Every route that comes with the program, walked from its first operation to
//! its last: nothing may stay shut, and every piece comes through.

mod walker;

use benchway::batch::{Due, GaugeSays, is_finished};
use benchway::measure::Unit;
use benchway::route::BUNDLED;
use walker::{MANY, SHOP, Walker, read_route, read_shop};

/// Walks one operation as people who make no mistakes do.
fn walk_through(walker: &mut Walker, op: u32) {
    walker.op = op;
    for _ in 0..MANY {
        match walker.on() {
            Due::Read { piece, check, .. } => {
                let unit = walker.route.unit;
                let held = walker.stand().limits(&piece, check).expect("limits");
                // Between the limits where the size isn't the operation's own.
                let middle =
                    held.limits.low.zip(held.limits.high).map(|(low, high)| (low + high) / 2);
                let number = middle.or(held.target).unwrap_or_default();
                let of = &walker.stand().planned().expect("planned").checks[check];
                let gauge = walker.stand().gauge(of).expect("a gauge");
                let text = match gauge.entry() {
                    None => "in".to_owned(),
                    // The gauge's own unit, said so that it can't be mistaken.
                    Some(_) => {
                        format!(
                            "{}{unit}",
                            number.decimal(unit, if unit == Unit::Inch { 4 } else { 2 })
                        )
                    }
                };
                walker.enter(&text);
            }
            Due::Close { .. } => {
                walker.enter("");
            }
            Due::Accept(proposal) => {
                walker.enter(if proposal.keeps.len() > 1 { "1 mb" } else { "mb" });
            }
            Due::Shut { .. } => {
                // Glue and finish take their time.
                let until = walker.state.waits.iter().map(|wait| wait.until).max();
                let until = until.filter(|until| *until > walker.now);
                walker.now = until.unwrap_or_else(|| panic!("op {op} is shut: {:?}", walker.due()));
            }
            Due::Decide { check, verdict, .. } => {
                let planned = walker.stand().planned().expect("planned");
                panic!("op {op}: {} {verdict:?}", planned.checks[check].of);
            }
            Due::Finished => return,
            other => panic!("op {op}: {other:?}"),
        }
    }
    panic!("op {op} has no end");
}

#[test]
fn every_bundled_route_walks_to_its_end() {
    for bundled in BUNDLED {
        let mut walker = Walker::new(read_route(bundled.text), read_shop(SHOP), 1);
        let ops: Vec<u32> = walker.route.steps.iter().map(|step| step.op).collect();
        for op in ops {
            walk_through(&mut walker, op);
            assert!(is_finished(&walker.route, &walker.state, op), "{} op {op}", bundled.stem);
        }
        for step in &walker.route.steps {
            let tally = walker.state.tally(&step.part, step.op);
            assert_eq!((tally.aside, tally.to_go), (0, 0), "{} op {}", bundled.stem, step.op);
            assert!(tally.done > 0);
        }
        let gone = walker.state.readings.iter().any(|r| r.taken.says == GaugeSays::TooSmall);
        assert!(!gone);
    }
}
