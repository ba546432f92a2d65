//! Every bundled route from its first operation to its last, as a crew with
//! nothing going wrong would walk it. Knows nothing of what any route makes.

mod walker;

use std::collections::HashMap;

use benchway::batch::{Due, Stand, wake_at};
use benchway::document::{Document, Level};
use benchway::measure::Length;
use benchway::operation::Outcome;
use benchway::plan::{Known, problems, walk};
use benchway::route::{BUNDLED, bundled};
use benchway::tui::Card;
use walker::{SHOP, Walker, crew, read_route, read_shop};

/// Far more answers than one set of anything takes.
const ANSWERS: usize = 20_000;

fn begun(stem: &str) -> Walker {
    let text = bundled(stem).expect("it comes with the program").text;
    Walker::new(read_route(text), read_shop(SHOP), 1)
}

/// Goes on until `until` says so or nothing is left; the sizes are what
/// `reads` gives, and good where it gives none.
fn on(walker: &mut Walker, until: u32, reads: &dyn Fn(u32, &str) -> Option<Length>, accepts: &str) {
    seen(walker, until, reads, accepts, &mut |_, _| {});
}

/// The same, with a look at each thing due before it is answered.
fn seen(
    walker: &mut Walker,
    until: u32,
    reads: &dyn Fn(u32, &str) -> Option<Length>,
    accepts: &str,
    look: &mut dyn FnMut(&Stand<'_>, &Due),
) {
    for _ in 0..ANSWERS {
        let Some(op) = walker.next_op().filter(|op| *op < until) else { return };
        walker.op = op;
        let due = walker.due();
        look(&walker.stand(), &due);
        match due {
            Due::Shut { reasons, openable } => {
                assert!(openable, "op {op}: {reasons:?}");
                let wake = wake_at(&walker.stand());
                walker.now =
                    wake.unwrap_or_else(|| panic!("op {op} is shut for good: {reasons:?}"));
            }
            due => {
                let text = answer_to(walker, &due, reads, accepts);
                walker.enter(&text);
            }
        }
    }
    panic!("op {}: no end of it: {:?}", walker.op, walker.due());
}

fn answer_to(
    walker: &Walker,
    due: &Due,
    reads: &dyn Fn(u32, &str) -> Option<Length>,
    accepts: &str,
) -> String {
    let stand = walker.stand();
    match due {
        Due::Read { check, .. } => {
            let of = &stand.planned().expect("the operation due").checks[*check].of;
            reads(stand.op, of).map(|size| crew::typed(&stand, *check, size))
        }
        Due::Accept(proposal) if proposal.keeps.len() > 1 => Some(accepts.to_owned()),
        _ => None,
    }
    .or_else(|| crew::well(&stand, due))
    .unwrap_or_else(|| panic!("op {}: {due:?}", stand.op))
}

/// And on the way every card together says all that is printed of the
/// operation: at the machine nobody has the sheet.
#[test]
fn every_bundled_route_can_be_walked_to_its_end() {
    for route in BUNDLED {
        let mut walker = begun(route.stem);
        let mut said: HashMap<u32, String> = HashMap::new();
        seen(&mut walker, u32::MAX, &|_, _| None, "1 MB", &mut |stand, due| {
            let card = Card::of(stand, due);
            let said = said.entry(stand.op).or_default();
            said.extend([card.now.join(" "), card.details.join(" ")]);
            if matches!(due, Due::Close { .. }) {
                is_all_said(stand, &said.to_lowercase());
            }
        });
        crew::is_all_through(&walker.route, &walker.state);
    }
}

fn is_all_said(stand: &Stand<'_>, said: &str) {
    let planned = stand.planned().expect("the operation due");
    for Outcome { steps, facts, .. } in planned.groups.iter().map(|group| &group.outcome) {
        let numbers =
            facts.iter().flat_map(|fact| [fact.what.clone(), fact.words(stand.route.unit)]);
        for words in steps.iter().chain(&planned.note).cloned().chain(numbers) {
            let is_said = said.contains(&words.to_lowercase());
            assert!(is_said, "{} {}: {words}\n{said}", stand.route.name, stand.op);
        }
    }
}

#[test]
fn every_bundled_route_passes_its_check() {
    let shop = read_shop(SHOP);
    for bundled in BUNDLED {
        let document = Document::read(bundled.stem, bundled.text).expect("JSON");
        let route = read_route(bundled.text);
        let plan = walk(&route, &shop, &Known::default());
        let found = problems(&plan, &route, &document);
        let found: Vec<_> = found.iter().filter(|found| found.level != Level::Note).collect();
        assert!(found.is_empty(), "{}: {found:#?}", bundled.stem);
    }
}

fn hundredths(mm: i64) -> Length {
    Length::MILLIMETRE * mm / 100
}

fn target(walker: &Walker, op: u32, setting: &str) -> Length {
    let outcome = &walker.plan.operation(op).expect("an operation").groups[0].outcome;
    let found = outcome.settings.iter().find(|held| held.name == setting);
    found.unwrap_or_else(|| panic!("{:?}", outcome.settings)).setting.target.0
}

/// Common practice, no source; by hand. Front legs 59.90 and back legs 59.80
/// leave 1250 - 119.70 = 1130.30 between the shoulders of a long rail, 1200.30
/// over all, and 520 - 119.70 + 70 = 470.30 over all of a side rail. With the
/// rails kept they stay 1200 and 470.
#[test]
fn the_rails_of_the_garden_bench_follow_its_legs() {
    for (accepts, long, side) in [("1 MB", 120_030, 47_030), ("2 MB", 120_000, 47_000)] {
        let mut walker = begun("garden-bench");
        let legs = |op, of: &str| match (op, of) {
            (50, "thickness") => Some(hundredths(5_990)),
            (150, "thickness") => Some(hundredths(5_980)),
            _ => None,
        };
        on(&mut walker, 210, &legs, accepts);
        assert_eq!(target(&walker, 260, "stop"), hundredths(long), "{accepts}");
        assert_eq!(target(&walker, 360, "stop"), hundredths(side), "{accepts}");
    }
}

/// Common practice, no source; by hand. A mortise of 10.14 at 12.06 from the
/// leg's face, 0.10 of air and 3 of setback: the face cheek is 12.06 - 3 +
/// 0.05 = 9.11, the tenon 10.04, the back cheek of a rail of 27.94 is
/// 27.94 - 10.04 - 9.11 = 8.79.
#[test]
fn the_tenons_of_the_garden_bench_follow_its_mortises() {
    let mut walker = begun("garden-bench");
    let made = |op, of: &str| match (op, of) {
        (250, "thickness") => Some(hundredths(2_794)),
        (520, "long mortise width") => Some(hundredths(1_014)),
        (520, "long mortise wall thickness") => Some(hundredths(1_206)),
        _ => None,
    };
    on(&mut walker, 710, &made, "1 MB");
    assert_eq!(target(&walker, 710, "blade height, face down"), hundredths(911));
    assert_eq!(target(&walker, 710, "blade height, back down"), hundredths(879));
}
