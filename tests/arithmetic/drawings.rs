//! Laws of the drawings of every bundled operation: a dimension line is as long
//! as it says, the gauge goes on wood, the cutter touches what it cuts. One
//! drawing of each sort is kept as a text, checked by eye.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use benchway::measure::{Length, Unit, parse_written};
use benchway::operation::Drawing;
use benchway::operation::drawing::{DrawnShape, Material, Point};
use benchway::plan::{Known, Plan, walk};
use benchway::route::{BUNDLED, Route};

use crate::plans::{shop, try_route};

/// Every drawing of a plan, with the operation it stands at.
fn drawings(plan: &Plan) -> Vec<(String, &Drawing)> {
    let mut all = Vec::new();
    for operation in &plan.operations {
        for outcome in operation.groups.iter().map(|group| &group.outcome) {
            let place = format!("op {} {}", operation.op, operation.kind.name());
            all.push((place.clone(), &outcome.drawing));
            for pass in &outcome.passes {
                let of_pass = pass.drawing.iter();
                all.extend(of_pass.map(|drawn| (format!("{place} pass {}", pass.number), drawn)));
            }
        }
    }
    all
}

/// Calls a check with every bundled route and each of its drawings, and lists
/// what the check finds.
fn each_drawing(mut check: impl FnMut(&Route, &str, &Drawing) -> Vec<String>) -> Vec<String> {
    let mut found = Vec::new();
    for bundled in BUNDLED {
        let route = try_route(bundled.text).unwrap_or_else(|problems| panic!("{problems}"));
        let plan = walk(&route, &shop(&[]), &Known::default());
        for (place, drawing) in drawings(&plan) {
            let wrong = check(&route, &place, drawing);
            found.extend(wrong.iter().map(|what| format!("{} {place}: {what}", bundled.stem)));
        }
    }
    found
}

/// The length that a text begins with; `None` for a text that names none.
fn length_in(text: &str, unit: Unit) -> Option<Length> {
    let words: Vec<&str> = text.split(' ').collect();
    (1..=words.len()).rev().find_map(|count| parse_written(&words[..count].join(" "), unit).ok())
}

fn distance(a: Point, b: Point, unit: Unit) -> f64 {
    (a.x - b.x).in_unit(unit).hypot((a.y - b.y).in_unit(unit))
}

/// The box round some corners: left, right, bottom, top.
fn bounds(points: &[Point]) -> (Length, Length, Length, Length) {
    let xs = points.iter().map(|point| point.x);
    let ys = points.iter().map(|point| point.y);
    let corner = "a polygon has corners";
    (
        xs.clone().min().expect(corner),
        xs.max().expect(corner),
        ys.clone().min().expect(corner),
        ys.max().expect(corner),
    )
}

fn polygons<'d>(
    drawing: &'d Drawing,
    of: &'d [Material],
) -> impl Iterator<Item = &'d [Point]> + 'd {
    drawing.shapes.iter().filter_map(move |shape| match shape {
        DrawnShape::Polygon { of: material, points } if of.contains(material) => Some(&points[..]),
        _ => None,
    })
}

/// Words round a length to 1/64 in or 0.1 mm, so a line may differ by half of
/// that.
#[test]
fn a_dimension_line_is_as_long_as_it_says() {
    let mut measured = 0;
    let wrong = each_drawing(|route, _, drawing| {
        let unit = route.unit;
        let room = if unit == Unit::Inch { 1.0 / 128.0 + 0.0006 } else { 0.055 };
        let mut wrong = Vec::new();
        for shape in &drawing.shapes {
            let DrawnShape::Dimension { from, to, text } = shape else { continue };
            if text.is_empty() || text.contains(':') || text.contains("joint") {
                continue; // a diagonal that another line names, or a time
            }
            let Some(said) = length_in(text, unit) else { continue };
            let drawn = distance(*from, *to, unit);
            if (drawn - said.in_unit(unit)).abs() > room {
                wrong.push(format!("{}: {text:?} is drawn {drawn:.4} long", drawing.seen));
            }
            measured += 1;
        }
        wrong
    });
    assert!(measured > 300, "{measured} lines name a length");
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn the_gauge_goes_on_the_piece() {
    let mut gauges = 0;
    let wrong = each_drawing(|_, _, drawing| {
        let mut wrong = Vec::new();
        for shape in &drawing.shapes {
            let DrawnShape::MeasureHere { at } = shape else { continue };
            gauges += 1;
            let on_wood = polygons(drawing, &[Material::Wood, Material::Waste]).any(|points| {
                let (left, right, bottom, top) = bounds(points);
                (left..=right).contains(&at.x) && (bottom..=top).contains(&at.y)
            });
            if !on_wood {
                wrong.push(format!("{}: the gauge stands beside the piece", drawing.seen));
            }
        }
        wrong
    });
    assert!(gauges > 100, "{gauges} drawings show where to measure");
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn a_cutter_touches_what_it_cuts() {
    let mut cutters = 0;
    let wrong = each_drawing(|_, _, drawing| {
        let mut wrong = Vec::new();
        for cutter in polygons(drawing, &[Material::Cutter]) {
            cutters += 1;
            let (left, right, bottom, top) = bounds(cutter);
            let touches = polygons(drawing, &[Material::Wood, Material::Waste]).any(|points| {
                let (l, r, b, t) = bounds(points);
                left <= r && l <= right && bottom <= t && b <= top
            });
            if !touches {
                wrong.push(format!("{}: the cutter stands off the wood", drawing.seen));
            }
        }
        wrong
    });
    assert!(cutters > 100, "{cutters} cutters are drawn");
    assert_eq!(wrong, Vec::<String>::new());
}

/// A drawing is scaled to what it holds, so a text far from the wood would make
/// the wood small: texts stay within half of the drawing's size beside it, and
/// within three times its height above and below. The lines of a layout stack.
#[test]
fn texts_stay_beside_the_piece() {
    let wrong = each_drawing(|_, place, drawing| {
        let solid = [Material::Wood, Material::Waste, Material::Cutter, Material::Fence];
        let corners: Vec<Point> = polygons(drawing, &solid).flatten().copied().collect();
        if corners.is_empty() || place.ends_with("layout") {
            return Vec::new();
        }
        let (left, right, bottom, top) = bounds(&corners);
        let (aside, above) = ((right - left) / 2, (top - bottom) * 3);
        let mut wrong = Vec::new();
        for shape in &drawing.shapes {
            let (at, text) = match shape {
                DrawnShape::Label { at, text } => (*at, text),
                DrawnShape::Dimension { from, text, .. } => (*from, text),
                _ => continue,
            };
            let beside = (left - aside..=right + aside).contains(&at.x)
                && (bottom - above..=top + above).contains(&at.y);
            if !beside {
                wrong.push(format!("{}: {text:?} stands far from the piece", drawing.seen));
            }
        }
        wrong
    });
    assert_eq!(wrong, Vec::<String>::new());
}

/// Each shape of a drawing in a line: corners and ends in the unit, to a thousandth.
pub fn shapes_of(drawing: &Drawing, unit: Unit) -> Vec<String> {
    let point = |at: Point| format!("{:.3},{:.3}", at.x.in_unit(unit), at.y.in_unit(unit));
    let words = |shape: &DrawnShape| match shape {
        DrawnShape::Polygon { of, points } => {
            let corners: Vec<String> = points.iter().map(|at| point(*at)).collect();
            format!("{of:?} {}", corners.join("  "))
        }
        DrawnShape::Dimension { from, to, text } => {
            format!("line {} to {}: {text}", point(*from), point(*to))
        }
        DrawnShape::Label { at, text } => format!("text {}: {text}", point(*at)),
        DrawnShape::Mark { from, to } => format!("mark {} to {}", point(*from), point(*to)),
        DrawnShape::MeasureHere { at } => format!("gauge {}", point(*at)),
    };
    drawing.shapes.iter().map(words).collect()
}

fn text_of(drawing: &Drawing, unit: Unit) -> String {
    let mut text = format!("  {}, {:?}\n", drawing.seen, drawing.scale);
    for line in shapes_of(drawing, unit) {
        let _ = writeln!(text, "    {line}");
    }
    text
}

/// The first drawing of each kind of operation and each view in the bundled
/// routes. A person looks at the difference before it is accepted.
#[test]
fn one_drawing_of_each_sort() {
    let mut sorts: BTreeMap<(String, String), String> = BTreeMap::new();
    each_drawing(|route, place, drawing| {
        let kind = place.split(' ').nth(2).unwrap_or_default().to_owned();
        let kept = sorts.entry((kind, drawing.seen.clone()));
        kept.or_insert_with(|| format!("{} {place}\n{}", route.name, text_of(drawing, route.unit)));
        Vec::new()
    });
    let all: Vec<String> = sorts.into_values().collect();
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(concat!(env!("CARGO_MANIFEST_DIR"), "/snapshots"));
    settings.set_prepend_module_to_snapshot(false);
    settings.bind(|| insta::assert_snapshot!("drawings", all.join("\n")));
}
