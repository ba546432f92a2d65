//! Mitres sawn in plane geometry: what comes of a piece that is turned between
//! its two cuts as the steps say. Nothing here is taken from the program but
//! the number of the stop and the words.

use benchway::measure::{Length, Unit};
use benchway::operation::Over;
use benchway::operation::drawing::{DrawnShape, Material};
use benchway::plan::{Known, Plan, cut_again, walk};

use crate::plans::{outcome, route_of, setting, shop, size, stock};

/// A corner: along the piece, and across it from fence or sled.
type Corner = (f64, f64);

/// The piece as the blade sees it: from above under an upright blade, from the
/// front under a tilted one.
#[derive(Clone, Debug)]
struct Outline {
    corners: Vec<Corner>,
    across: f64,
}

impl Outline {
    fn board(long: f64, across: f64) -> Outline {
        let corners = vec![(0.0, 0.0), (long, 0.0), (long, across), (0.0, across)];
        Outline { corners, across }
    }

    /// Sawn, and the side of the stop kept: the blade is at `stop` where the
    /// piece lies against fence or sled, and leans toward the stop by `lean`.
    fn sawn(&self, stop: f64, lean: f64) -> Outline {
        let beyond = |(x, v): Corner| x - (stop - v * lean);
        let mut corners = Vec::new();
        for (n, one) in self.corners.iter().enumerate() {
            let other = &self.corners[(n + 1) % self.corners.len()];
            let (here, there) = (beyond(*one), beyond(*other));
            if here <= 0.0 {
                corners.push(*one);
            }
            if (here < 0.0 && there > 0.0) || (here > 0.0 && there < 0.0) {
                let share = here / (here - there);
                let between = |a: f64, b: f64| a + (b - a) * share;
                corners.push((between(one.0, other.0), between(one.1, other.1)));
            }
        }
        Outline { corners, ..*self }
    }

    /// Turned so that its other end is sawn next, and pushed to the stop, which
    /// is as wide and as high as the piece. `over` brings the other side to
    /// fence or sled.
    fn turned(&self, over: bool) -> Outline {
        let turned = |(x, v): &Corner| (-x, if over { self.across - v } else { *v });
        let corners: Vec<Corner> = self.corners.iter().map(turned).collect();
        let first = corners.iter().map(|corner| corner.0).fold(f64::MAX, f64::min);
        let corners = corners.into_iter().map(|(x, v)| (x - first, v)).collect();
        Outline { corners, ..*self }
    }

    /// From where to where it reaches against fence or sled, and opposite.
    fn edges(&self) -> [(f64, f64); 2] {
        [0.0, self.across].map(|at| {
            let on = self.corners.iter().filter(|corner| (corner.1 - at).abs() < 1e-9);
            let xs: Vec<f64> = on.map(|corner| corner.0).collect();
            (
                xs.iter().copied().fold(f64::MAX, f64::min),
                xs.iter().copied().fold(f64::MIN, f64::max),
            )
        })
    }

    fn lengths(&self) -> [f64; 2] {
        self.edges().map(|(from, to)| to - from)
    }

    /// Whether its point at the stop is the one against the fence.
    fn point_is_at_the_fence(&self) -> bool {
        let [at, opposite] = self.edges();
        at.0 < opposite.0
    }
}

/// Off square. The piece is 2 wide and 3/4 thick.
const ANGLE: f64 = 30.0;

fn plan(ends: &str, by: &str) -> Plan {
    let shop = shop(&[
        ("/machines/saw and sled/readouts/stop/step", "0.0001".into()),
        ("/machines/saw and sled/readouts/stop/shows", "decimal".into()),
    ]);
    let operation = format!(
        r#"{{ "op": 10, "part": "piece", "do": "mitre", "at": "saw and sled", "to": "12",
        "angle": "{ANGLE}", "ends": "{ends}", "by": "{by}" }}"#
    );
    walk(&route_of("", &stock("3/4", "2", "20"), &operation), &shop, &Known::default())
}

/// Whether the words bring the other side to what the blade leans from. End for
/// end with the same face up is a turn about an upright axis: the other edge is
/// at the fence, and down stays down. Turned over with the same edge to the
/// fence it is a turn about the way the piece is fed: the edge stays at the
/// fence, and up comes down.
fn turns_over(plan: &Plan, by: &str) -> bool {
    let steps = &outcome(plan, 10).steps;
    let says = |words: &str| steps.iter().any(|step| step.contains(words));
    let end_for_end = says("same face up, end for end, the other edge to the fence");
    let over = says("turn over, the same edge to the fence")
        || says("turn over, end for end, the same edge to the fence");
    assert!(end_for_end != over, "one way and not both: {steps:?}");
    if by == "turned" { end_for_end } else { over }
}

/// Both ends sawn, the piece turned as the steps say or the other way.
fn sawn(plan: &Plan, by: &str, as_said: bool) -> Outline {
    let across = if by == "turned" { 2.0 } else { 0.75 };
    let over = turns_over(plan, by);
    let first = |lean: f64| Outline::board(24.0, across).sawn(19.0, lean);
    // A tilted blade leans over the kept piece, for the offcut lies free above
    // it. A fence or sled is turned either way: so that the end at the stop has
    // its point at the fence.
    let lean = ANGLE.to_radians().tan();
    let leans_back = by == "tilted" || first(lean).turned(over).point_is_at_the_fence();
    let lean = if leans_back { lean } else { -lean };
    let stop = setting(plan, 10, "stop");
    let at = (stop.setting.predicted + stop.beyond).in_unit(Unit::Inch);
    first(lean).turned(over == as_said).sawn(at, lean)
}

fn near(one: f64, other: f64, of: &str) {
    assert!((one - other).abs() < 0.0002, "{of}: {one} and {other}");
}

/// By hand: an end at 30 degrees runs on by 2 x tan 30 = 1.1547 over the width
/// and 0.75 x tan 30 = 0.4330 over the thickness. A frame's short side is two
/// runs shorter than 12: 9.6906, or 11.1340. Parallel ends leave both sides 12.
#[test]
fn a_piece_turned_as_the_steps_say_comes_out_as_it_should() {
    for (ends, by, short) in [
        ("mirrored", "turned", 9.6906),
        ("mirrored", "tilted", 11.1340),
        ("parallel", "turned", 12.0),
        ("parallel", "tilted", 12.0),
    ] {
        let plan = plan(ends, by);
        let of = format!("{ends} {by}");
        let [at, opposite] = sawn(&plan, by, true).lengths();
        near(at, 12.0, &of);
        near(opposite, short, &of);
        near(size(&plan, 10, "along the longest edge").in_unit(Unit::Inch), 12.0, &of);
        // The other way round a frame's piece comes out as a parallelogram, and
        // a splayed one as a frame's.
        let [wrong_at, wrong_opposite] = sawn(&plan, by, false).lengths();
        let is_parallel = (wrong_at - wrong_opposite).abs() < 0.0002;
        assert_eq!(is_parallel, ends == "mirrored", "{of}");
    }
}

/// The drawing shows the piece as it lies for its second cut, its point at the
/// stop, and the blade along the end that is cut.
#[test]
fn the_drawing_shows_what_is_sawn() {
    for ends in ["mirrored", "parallel"] {
        for by in ["turned", "tilted"] {
            let plan = plan(ends, by);
            let [at, opposite] = sawn(&plan, by, true).edges();
            let corners = |of: Material| -> Vec<(f64, f64)> {
                let shapes = outcome(&plan, 10).drawing.shapes.iter();
                let mut found = shapes.filter_map(|shape| match shape {
                    DrawnShape::Polygon { of: made, points } if *made == of => Some(points),
                    _ => None,
                });
                let inch = |length: Length| length.in_unit(Unit::Inch);
                found.next().unwrap().iter().map(|p| (inch(p.x), inch(p.y))).collect()
            };
            let wood = corners(Material::Wood);
            let blade = corners(Material::Cutter);
            let of = format!("{ends} {by}");
            for (drawn, expected) in wood.iter().zip([at.0, at.1, opposite.1, opposite.0]) {
                near(drawn.0, expected, &of);
            }
            near(blade[0].0, at.1, &of);
            near(blade[3].0, opposite.1, &of);
            // Where the blade is tilted, the kept piece is below it.
            assert!(by == "turned" || blade[3].0 < blade[0].0, "{of}");
        }
    }
}

/// A piece 0.020 too long between its points is too long by that along the stop.
#[test]
fn a_mitred_piece_too_long_is_cut_again_at_the_same_angle() {
    let operation = r#"{ "op": 10, "part": "piece", "do": "mitre", "at": "saw and sled",
        "to": "12", "angle": "30", "ends": "mirrored", "by": "turned" }"#;
    let route = route_of("", &stock("3/4", "2", "20"), operation);
    let over = Over { target: Length::thousandths(20), limit: Length::thousandths(5) };
    let said = cut_again(&route, &shop(&[]), &Known::default(), 10, over);
    assert_eq!(said.as_deref(), Some("Same angle, stop 0.020 in closer, cut one end again."));
}
