//! Every bundled route from its first operation to its last, as operators would
//! walk it when nothing goes wrong, whatever the route makes.

use std::collections::HashMap;

use crate::walker::{SHOP, Walker, crew, in_thousandths, read_route, read_shop};
use benchway::document::Document;
use benchway::measure::{Length, SafeSide};
use benchway::operation::Outcome;
use benchway::operation::drawing::DrawnShape;
use benchway::plan::{Known, problems, walk};
use benchway::prose::Level;
use benchway::route::{BUNDLED, PieceLabel, Role, bundled};
use benchway::tui::MachineView;
use benchway::work::{Task, WorkContext, next_wake};

/// Far more answers than one article of any route takes.
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

/// The same, with a look at each task before it is answered.
fn seen(
    walker: &mut Walker,
    until: u32,
    reads: &dyn Fn(u32, &str) -> Option<Length>,
    accepts: &str,
    look: &mut dyn FnMut(&WorkContext<'_>, &Task),
) {
    for _ in 0..ANSWERS {
        let Some(op) = walker.next_op().filter(|op| *op < until) else { return };
        walker.op = op;
        let task = walker.task();
        look(&walker.context(), &task);
        match task {
            Task::Blocked { reasons, openable } => {
                assert!(openable, "op {op}: {reasons:?}");
                let wake = next_wake(&walker.context());
                walker.now =
                    wake.unwrap_or_else(|| panic!("op {op} is shut for good: {reasons:?}"));
            }
            task => {
                let text = answer_to(walker, &task, reads, accepts);
                walker.enter(&text);
            }
        }
    }
    panic!("op {}: no end of it: {:?}", walker.op, walker.task());
}

fn answer_to(
    walker: &Walker,
    task: &Task,
    reads: &dyn Fn(u32, &str) -> Option<Length>,
    accepts: &str,
) -> String {
    let context = walker.context();
    match task {
        Task::Read { check, .. } => {
            let of = &context.planned().expect("the operation due").checks[*check].of;
            reads(context.op, of).map(|size| crew::typed(&context, *check, size))
        }
        Task::Accept(proposal) if proposal.keeps.len() > 1 => Some(accepts.to_owned()),
        _ => None,
    }
    .or_else(|| crew::well(&context, task))
    .unwrap_or_else(|| panic!("op {}: {task:?}", context.op))
}

/// Always: The machine screen shows everything that the setup sheet says.
///
/// The machine screens of an operation together show everything that is printed
/// about it: at the machine nobody has the sheet.
#[test]
fn every_bundled_route_can_be_walked_to_its_end() {
    for route in BUNDLED {
        let mut walker = begun(route.stem);
        let mut said: HashMap<u32, String> = HashMap::new();
        seen(&mut walker, u32::MAX, &|_, _| None, "1 MB", &mut |context, task| {
            let card = MachineView::of(context, task);
            let said = said.entry(context.op).or_default();
            said.extend([card.order.line(), card.now.join(" "), card.details.join(" ")]);
            if matches!(task, Task::Close { .. }) {
                is_all_said(context, &said.to_lowercase());
            }
        });
        crew::is_all_through(&walker.route, &walker.state);
    }
}

fn is_all_said(context: &WorkContext<'_>, said: &str) {
    let planned = context.planned().expect("the operation due");
    for Outcome { steps, facts, .. } in planned.groups.iter().map(|group| &group.outcome) {
        let numbers =
            facts.iter().flat_map(|fact| [fact.what.clone(), fact.words(context.route.unit)]);
        for words in steps.iter().chain(&planned.note).cloned().chain(numbers) {
            let is_said = said.contains(&words.to_lowercase());
            assert!(is_said, "{} {}: {words}\n{said}", context.route.name, context.op);
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

#[test]
fn only_what_is_measured_is_marked_to_be_measured() {
    let shop = read_shop(SHOP);
    for bundled in BUNDLED {
        let plan = walk(&read_route(bundled.text), &shop, &Known::default());
        for operation in plan.operations.iter().filter(|operation| operation.checks.is_empty()) {
            let drawings = operation.groups.iter().flat_map(|group| {
                let of_passes = group.outcome.passes.iter().filter_map(|p| p.drawing.as_ref());
                of_passes.chain([&group.outcome.drawing])
            });
            let mut shapes = drawings.flat_map(|drawing| &drawing.shapes);
            let marked = shapes.any(|shape| matches!(shape, DrawnShape::MeasureHere { .. }));
            assert!(!marked, "{} op {}", bundled.stem, operation.op);
        }
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
/// leave 1250 - 119.70 = 1130.30 between the shoulders of a long rail, 1190.30
/// overall with two tenons of 30, and 520 - 119.70 + 60 = 460.30 overall for a
/// side rail. With the rails kept they stay 1190 and 460.
#[test]
fn the_rails_of_the_garden_bench_follow_its_legs() {
    for (accepts, long, side) in [("1 MB", 119_030, 46_030), ("2 MB", 119_000, 46_000)] {
        let mut walker = begun("garden-bench");
        let legs = |op, of: &str| match (op, of) {
            (70, "thickness") => Some(hundredths(5_990)),
            (170, "thickness") => Some(hundredths(5_980)),
            _ => None,
        };
        on(&mut walker, 210, &legs, accepts);
        assert_eq!(target(&walker, 270, "stop"), hundredths(long), "{accepts}");
        assert_eq!(target(&walker, 370, "stop"), hundredths(side), "{accepts}");
    }
}

/// Common practice, no source; by hand. A mortise of 10.14 at 13.08 from the
/// leg's face, 0.08 of air, 4 of setback, and 0.30 left on for the plane, half
/// of it on each cheek: the face cheek is 13.08 - 0.15 - 4 + 0.04 = 8.97, the
/// tenon 10.14 + 0.30 - 0.08 = 10.36. The scale, in steps of 0.05, cuts 0.1
/// deeper: 8.87, down to 8.85, cuts 8.95, so that a rail of 27.94 leaves 27.94 -
/// 10.36 - 8.95 = 8.63 for the back cheek.
#[test]
fn the_tenons_of_the_garden_bench_follow_its_mortises() {
    let mut walker = begun("garden-bench");
    let made = |op, of: &str| match (op, of) {
        (260, "thickness") => Some(hundredths(2_794)),
        (520, "long mortise width") => Some(hundredths(1_014)),
        (520, "long mortise wall thickness") => Some(hundredths(1_308)),
        _ => None,
    };
    on(&mut walker, 710, &made, "1 MB");
    assert_eq!(target(&walker, 710, "blade height, face down"), hundredths(897));
    assert_eq!(target(&walker, 710, "blade height, back down"), hundredths(863));
}

/// A plane still takes a shaving off a tenon that is too thick.
#[test]
fn a_tenon_planed_by_hand_can_still_come_down() {
    let walker = begun("garden-bench");
    let planned = walker.plan.operation(740).expect("the tenons are fitted");
    let check = planned.checks.iter().find(|check| check.of == "fitted tenon thickness");
    assert_eq!(check.expect("it is measured").safe, SafeSide::Big);
}

/// Common practice, no source; by hand. A mortise of 0.381 and 0.004 of air
/// make a tenon of 0.377, and the blade's kerf of 0.125 a spacer of 0.502: no
/// scale shows either. From mortises of 0.382 they are 0.378 and 0.503.
#[test]
fn the_lead_is_told_of_a_spacer_that_is_on_no_scale() {
    let mut walker = begun("boot-bench");
    let wide =
        |op, of: &str| (op == 155 && of == "apron mortise width").then(|| Length::thousandths(382));
    let mut told = Vec::new();
    seen(&mut walker, 157, &wide, "1 MB", &mut |context, task| {
        if let (155, Task::Accept(proposal)) = (context.op, task) {
            let changes = &proposal.keeps[0].changes;
            told.extend(changes.iter().filter(|change| change.op == 260).cloned());
        }
    });
    let told: Vec<_> =
        told.iter().map(|c| (c.what.as_str(), c.was_text.as_str(), c.now_text.as_str())).collect();
    assert!(told.contains(&("tenon", "0.377 in", "0.378 in")), "{told:?}");
    assert!(told.contains(&("spacer for tenon and kerf", "0.502 in", "0.503 in")), "{told:?}");
}

/// Common practice, no source; by hand. An opening of 12.100, 1/16 clear on
/// each side: sides of 11.975. Measured 11.978, with ends of 0.380 between them
/// and a groove of 5/32 in each: a bottom of 11.978 - 0.760 + 0.3125 - 1/16 =
/// 11.468. From the runners to the rim 3.800, less the cleat of 5/8 and 1/8 of
/// room: 3.050, and 1/32 for the jointer: 3.08125.
#[test]
fn the_till_of_the_chest_follows_the_opening_it_slides_in() {
    let mut walker = begun("till-chest");
    let made = |op, of: &str| match (op, of) {
        (230, "opening") => Some(Length::thousandths(12_100)),
        (230, "height") => Some(Length::thousandths(3_800)),
        (540, "thickness") => Some(Length::thousandths(380)),
        (600, "length") => Some(Length::thousandths(11_978)),
        _ => None,
    };
    on(&mut walker, 600, &made, "MB");
    assert_eq!(target(&walker, 510, "fence"), Length::thousandths(3_050) + Length::INCH / 32);
    assert_eq!(target(&walker, 600, "stop"), Length::thousandths(11_975));
    on(&mut walker, 620, &made, "MB");
    assert_eq!(target(&walker, 610, "fence"), Length::thousandths(380));
    assert_eq!(in_thousandths(target(&walker, 630, "fence")), 11_468);
}

/// Two chests up to operation 300, with openings of 12.110 and 12.140.
fn two_chests() -> Walker {
    let text = bundled("till-chest").expect("it comes with the program").text;
    let mut walker = Walker::new(read_route(text), read_shop(SHOP), 2);
    let read = std::cell::Cell::new(0);
    let made = |op, of: &str| {
        (op == 230 && of == "opening").then(|| {
            read.set(read.get() + 1);
            Length::thousandths(if read.get() == 1 { 12_110 } else { 12_140 })
        })
    };
    on(&mut walker, 300, &made, "MB");
    walker
}

/// Common practice, no source; by hand. Openings of 12.110 and 12.140 want
/// sides of 11.985 and 12.015.
#[test]
fn each_till_is_cut_to_its_own_chest() {
    let walker = two_chests();
    let planned = walker.plan.operation(600).expect("the till sides");
    let stop = |piece: usize| {
        let group = planned.groups.iter().find(|group| group.pieces.contains(&piece));
        group.expect("a group for every piece").outcome.settings[0].setting.target.0
    };
    for (n, piece) in planned.pieces.iter().enumerate() {
        let side = if piece.set == Some(1) { 11_985 } else { 12_015 };
        assert_eq!(stop(n), Length::thousandths(side), "{piece:?}");
    }
}

/// By hand, as above: a spare can step into either chest, so it is cut to the
/// longer 12.015, not to the 12.000 that was planned.
#[test]
fn a_spare_till_side_is_long_enough_for_every_chest() {
    let walker = two_chests();
    let mut known = walker.state.known();
    let sides = known.pieces.get_mut("till side").expect("sides");
    let spare = PieceLabel { number: 5, role: Role::Spare, set: None, ..sides[0].clone() };
    *sides = sides.iter().cloned().chain([spare]).collect();
    let plan = walk(&walker.route, &walker.shop, &known);
    let planned = plan.operation(600).expect("the till sides");
    let group = planned.group_of(4).expect("a group for the spare");
    assert_eq!(group.outcome.settings[0].setting.target.0, Length::thousandths(12_015));
    assert!(group.outcome.steps.iter().any(|step| step.contains("as for chest 2")), "{group:?}");
    // Nothing is said where no spare goes through, nor of the shorter sides.
    let short = planned.group_of(0).expect("a group for the first side");
    assert!(!short.outcome.steps.iter().any(|step| step.contains("Spares")), "{short:?}");
}

/// Common practice, no source; by hand. Eight strips of 1.371 make 10.968, so
/// rows of 1.371. Its edges cleaned, the panel is 10.952: rows of 1.369, five
/// of them 6.845, and till ends 1/16 clear at either side of the lid and 3/16
/// into each side: 6.845 + 1/8 + 3/8 = 7.345.
#[test]
fn the_rows_of_the_till_lid_are_cut_at_the_square_its_strips_have() {
    let mut walker = begun("till-chest");
    let made = |op, of: &str| match (op, of) {
        (330, "width") => Some(Length::thousandths(1_371)),
        (410, "width") => Some(Length::thousandths(10_952)),
        _ => None,
    };
    on(&mut walker, 400, &made, "MB");
    assert_eq!(target(&walker, 420, "stop"), Length::thousandths(1_371));
    on(&mut walker, 420, &made, "MB");
    assert_eq!(target(&walker, 420, "stop"), Length::thousandths(1_369));
    on(&mut walker, 620, &made, "MB");
    assert_eq!(target(&walker, 620, "stop"), Length::thousandths(7_345));
}

/// Common practice, no source; by hand. Plywood of 0.472 and 0.008 clear: with
/// a blade of 1/8 the last cut is 0.355 on from the first, in three moves.
/// Both panels of the chest go through a cut before the fence moves on.
#[test]
fn every_panel_goes_through_one_cut_of_a_groove_before_the_next() {
    let mut walker = begun("till-chest");
    on(&mut walker, 130, &|_, _| None, "MB");
    walker.op = 130;
    let mut fed = Vec::new();
    for _ in 0..ANSWERS {
        match walker.task() {
            Task::Set(set) if set.setting == "fence" => fed.push((set.pass, 0)),
            Task::Feed { pieces, .. } => {
                if let Some(last) = fed.last_mut() {
                    last.1 += pieces.len();
                }
            }
            task @ Task::Read { .. } => {
                let text = crew::well(&walker.context(), &task).expect("a good size");
                walker.enter(&text);
                continue;
            }
            _ => {}
        }
        if !walker.plainly() {
            break;
        }
    }
    assert_eq!(fed, [1, 2, 3, 4].map(|cut| (Some(cut), 2)));
}
