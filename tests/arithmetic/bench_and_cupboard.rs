//! Settings of the bundled benches, stool and wall cupboard against numbers worked
//! out by hand. Where no source stands beside one, it is common practice, no
//! source.

use benchway::measure::Length;
use benchway::operation::FactAmount;
use benchway::plan::{Known, MadeOver, MadeValue, Plan, walk};
use benchway::route::{Route, bundled};

use crate::plans::{fact, inches, number, setting, shop, size, try_route};

fn route(stem: &str) -> Route {
    let text = bundled(stem).expect("it comes with the program").text;
    try_route(text).unwrap_or_else(|problems| panic!("{problems}"))
}

fn plan(stem: &str) -> Plan {
    walk(&route(stem), &shop(&[]), &Known::default())
}

fn dial(plan: &Plan, op: u32, name: &str) -> Length {
    setting(plan, op, name).setting.dial.0
}

/// Two strips of 1 3/4 + 5/32 = 1.90625 from a blank of 4 1/4: the saw makes
/// 0.012 more than its scale shows, 1.89425, so the next 0.005 up is 1.895.
/// Jointed, the blank is 4.21875: (4.21875 + 0.125 + 0.03125) / (1.90625 + 0.125 +
/// 0.03125) = 2.12 strips, as many as the rough crosscut leaves side by side.
#[test]
fn two_legs_are_ripped_from_a_blank() {
    let plan = plan("hall-bench");
    assert_eq!(dial(&plan, 20, "fence"), inches("1.895"));
    assert_eq!(number(&plan, 20, "strips from a blank"), 2);
}

/// 1 3/4 at the top, 1 1/8 and 1/64 for sanding at the foot: 39/64 off. The run is
/// 17 - 5 = 12, the angle atan(0.625 / 12) = 2.98 degrees. 1/2 of sled, 1 3/4 of
/// leg, 1/8 above it: 2 3/8.
#[test]
fn the_legs_are_tapered_on_two_inside_faces() {
    let plan = plan("hall-bench");
    assert_eq!(dial(&plan, 320, "sled foot offset"), inches("39/64"));
    assert_eq!(dial(&plan, 320, "sled start mark"), inches("5"));
    assert_eq!(dial(&plan, 320, "blade height"), inches("2 3/8"));
    let FactAmount::Degrees(angle) = fact(&plan, 320, "angle of the taper") else {
        panic!("an angle")
    };
    assert!((angle - 2.98).abs() < 0.005, "{angle}");
}

/// The mortise is 2 3/4 + 1/32 long, the chisel 0.381 wide and moved on by three
/// quarters of that: (2.78125 - 0.381) / 0.28575 = 8.4, so 9 steps and 10 plunges.
/// A hole 3/8 from the shoulder, drawn 1/32: 11/32.
#[test]
fn the_legs_are_mortised_and_their_tenons_drawn() {
    let plan = plan("hall-bench");
    assert_eq!(number(&plan, 300, "plunges in each"), 10);
    assert_eq!(size(&plan, 420, "centre from the shoulder"), inches("11/32"));
    assert_eq!(size(&plan, 720, "centre from the shoulder"), inches("23/32"));
}

/// Four boards of 3 9/16 are 14 1/4. Cherry, flat-sawn, 0.00248 for each 1 % (Wood
/// Handbook, table 13-5): 13.5 x 0.00248 x 4 = 0.134.
///
/// The ends' groove is 3/8 in 15/16: 9/32 from the face. Tongue 0.375 - 0.006, cut
/// 0.012 fat: 0.381. Face down 0.28125 + 0.003 - 0.006 = 0.27825; the saw makes
/// 0.005 more than it shows, so 0.270 makes 0.275. Back down 0.9375 - 0.275 - 0.381
/// = 0.2815, so 0.275 makes 0.280. The tongue is then 0.3825.
#[test]
fn the_top_moves_in_its_breadboard_ends() {
    let plan = plan("hall-bench");
    assert_eq!(size(&plan, 540, "width out of the clamps"), inches("14 1/4"));
    let moves = size(&plan, 540, "moves across the grain");
    assert!((moves - inches("0.13392")).abs() < inches("0.0001"), "{moves:?}");
    assert_eq!(dial(&plan, 700, "blade height, face down"), inches("0.270"));
    assert_eq!(dial(&plan, 700, "blade height, back down"), inches("0.275"));
    assert_eq!(size(&plan, 700, "tenon as the scale makes it"), inches("0.3825"));
}

/// The bottom dado starts 3/4 from the end, is 3/4 wide, and the drawer's opening is
/// 4: the shelf dado starts at 5 1/2.
///
/// Front: 4 less what ash takes, 4 x 0.00274 x 4 = 0.0438 (Wood Handbook, table
/// 13-5), less 1/64: 3.9405; the saw makes 0.012 more, 3.9285, so 3.930. Length: levels of
/// 12 3/4 less two dados of 1/4 are 12 1/4, less 1/32 on each side 12.1875; the stop
/// makes 0.004 more, 12.1835, so 12.184.
///
/// Side: the levels are 9 - 7/32 = 8.78125 deep; less 1/4 of the front and 3/8
/// behind, for the stops, 8.15625; 8.15225, so 8.153. Back: 12.1875 - 2 x 1/2 + 2 x 7/32 = 11.625, so 11.621. Bottom:
/// 12.1875 - 2 x 1/2 + 2 x 3/16 - 1/16 = 11.5; the plywood blade makes 0.0195 more,
/// 11.4805, so 11.485.
#[test]
fn a_drawer_as_drawn() {
    let plan = plan("wall-cupboard");
    for (op, name, shown) in [
        (150, "stop", "5 1/2"),
        (420, "fence", "3.930"),
        (430, "stop", "12.184"),
        (520, "stop", "8.153"),
        (530, "stop", "11.621"),
        (540, "fence", "11.485"),
    ] {
        assert_eq!(dial(&plan, op, name), inches(shown), "op {op}");
    }
}

/// The drawing's 12 1/4 came out 12.262 in this cupboard: 12.262 - 1/16 - 0.004 =
/// 12.1955, so 12.196; the back 12.1995 - 1 + 0.4375 - 0.004 = 11.633.
#[test]
fn a_drawer_follows_its_own_opening() {
    let route = route("wall-cupboard");
    let made = MadeValue {
        dim: "drawer_opening".to_owned(),
        over: MadeOver::Set(1),
        value: inches("12.262"),
        op: Some(315),
        words: "measured".to_owned(),
    };
    let plan = walk(&route, &shop(&[]), &Known { made: vec![made], ..Known::default() });
    assert_eq!(dial(&plan, 430, "stop"), inches("12.196"));
    assert_eq!(dial(&plan, 530, "stop"), inches("11.633"));
    let others = &plan.operation(430).unwrap().groups[1].outcome.settings[0];
    assert_eq!(others.setting.dial.0, inches("12.184"));
}

/// Long apron, 7/8: mortise at 3/8, 1/8 back and half of 0.004: a face cheek of 0.252,
/// a tenon of 0.377, a back cheek of 0.246. The saw makes 0.005 more than it shows:
/// 0.247 and 0.241, down to 0.245 and 0.240. On end 3/4 less 1/64 is 0.734: 0.725
/// makes 0.730. The jig leaves 0.252 + 0.377 = 0.629 before the first cheek, and a
/// spacer of 0.377 + 1/8 = 0.502 the other. Two ends each, and on end two cheeks.
///
/// Stool rail, 3/4: 3/16 - 1/16 + 0.002 = 0.127, a tenon of 0.250, behind it 0.373:
/// 0.120 and 0.365 shown; on end 5/8 less 1/64 is 0.609: 0.600 makes 0.605; 0.377
/// before the first cheek and a spacer of 3/8.
#[test]
fn tenons_on_end_are_cut_in_two_setups() {
    for (stem, op, dials, cheek, spacer) in [
        ("boot-bench", 160, ["0.245", "0.240", "0.725"], "0.629", "0.502"),
        ("reading-stool", 170, ["0.120", "0.365", "0.600"], "0.377", "3/8"),
    ] {
        let plan = plan(stem);
        let passes = &plan.operation(op).unwrap().groups[0].outcome.passes;
        let shown: Vec<Length> = passes.iter().map(|pass| pass.dial.0).collect();
        assert_eq!(shown, dials.map(inches), "{stem}");
        let feeds: Vec<u32> = passes.iter().map(|pass| pass.feeds).collect();
        assert_eq!(feeds, [2, 2, 4], "{stem}");
        assert_eq!(size(&plan, op, "first cheek, from the jig to the blade"), inches(cheek));
        assert_eq!(size(&plan, op, "spacer for tenon and kerf"), inches(spacer));
    }
}

/// The drawer's sides end 1/4 + 8.15625 = 8.40625 behind the front, and the bottom of
/// the case ends at 8.78125: 3/8 for stops 7/16 thick, which are pared until the front
/// is level. The drawer's back, 1/2 before the sides' ends, never meets them.
#[test]
fn the_stops_of_the_drawer_stand_behind_its_sides() {
    let plan = plan("wall-cupboard");
    let side = setting(&plan, 520, "stop").setting.target.0;
    let levels = inches("9") - inches("7/32");
    assert_eq!(levels - inches("1/4") - side, inches("3/8"));
    let hand = plan.operation(810).unwrap().groups[0].outcome.steps.join(" ");
    assert!(hand.contains("behind the drawer's sides"), "{hand}");
}
