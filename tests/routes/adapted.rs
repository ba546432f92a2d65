//! A lead adapts a project: another height, another rail. Every size of a bundled route
//! that stands by itself moves a tenth up and a tenth down, and the rest follows.
//!
//! A size that a tool cuts, a machine takes or a sheet measures moves only with the tool,
//! the machine or the sheet. A dimension says so in its `about`, by the words of [`TIED`].
//!
//! A scale can't be set between its marks. Where limits are narrow such a size is refused,
//! and the next mark passes.

use benchway::document::{Document, Problem};
use benchway::formula::DimensionKind;
use benchway::measure::{Length, Unit};
use benchway::route::{self, BUNDLED, Bundled, Route};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

use crate::bundled::{bundled_shop, drawn, errors, said};

/// What the `about` says of a dimension that isn't free: a tool or what was bought has it.
const TIED: [&str; 6] = [
    "chisel cuts",
    "bit cuts",
    "band saw takes",
    "jointer takes",
    "as it measures",
    "dowels measure",
];

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Up,
    Down,
}

/// Sizes a tenth off that no shop makes by that route, and what is said of each.
///
/// A class of lumber gives what is left once both faces are clean. Rough 8/4 is 2 in: the
/// jointer takes 1/16 off a rough face and 1/32 after the rest, and 1 29/32 is less than
/// 1.925. Likewise 65 - 1.59 = 63.41 mm for legs of 66; and of 4/4, at 29/32 for the night,
/// 7/8 is left and 0.825 + 0.060 = 0.885 is glued up.
///
/// Two long rails of 99 mm lie in a blank of 2 x 99 + 10 = 208 mm, and 8 in is 203.2.
///
/// Levels of 11.475 leave 11.475 - 2 x 1/4 = 10.975 inside and 10.975 - 2 x 1/32 = 10.913
/// for the drawer's front, which the saw grooves: it takes nothing under 12.
const REFUSED: [(&str, &str, Way, &str); 7] = [
    ("boot-bench", "leg_drawn", Way::Up, "its 8/4 stock is 2 in thick: buy the next thicker"),
    ("hall-bench", "leg_drawn", Way::Up, "its 8/4 stock is 2 in thick: buy the next thicker"),
    ("garden-bench", "leg_square", Way::Up, "its 65 mm stock is 65.00 mm thick: buy the next"),
    ("till-chest", "case_drawn", Way::Up, "its 4/4 stock is 1 in thick: buy the next thicker"),
    ("wall-cupboard", "side_drawn", Way::Up, "its 4/4 stock is 1 in thick: buy the next thicker"),
    ("garden-bench", "long_width", Way::Up, "piece too wide for the jointer: 208.00 mm, but at"),
    ("wall-cupboard", "level_length", Way::Down, "piece too short for the cabinet saw: 10.913"),
];

/// A dimension that is a length of its own and no formula of others.
struct Own {
    name: String,
    size: Length,
}

/// The dimensions of a route that a lead is free to draw otherwise.
fn free(bundled: &Bundled) -> (Unit, Vec<Own>) {
    let document = Document::read(bundled.stem, bundled.text).expect("JSON");
    let (route, _) = route::read(&document).expect("a route");
    let is_free = |name: &&str| {
        let own = route.dims.definition(name).expect("defined");
        let about = route.dims_about.get(*name).map_or("", String::as_str);
        own.kind == DimensionKind::Length
            && own.formula.names().next().is_none()
            && !TIED.iter().any(|tied| about.contains(tied))
    };
    let sized = |name: &str| Own { name: name.to_owned(), size: planned(&route, name) };
    (route.unit, route.dims.names().filter(is_free).map(sized).collect())
}

fn planned(route: &Route, name: &str) -> Length {
    let value = route.dims.value(name, &|_| None).ok().and_then(|value| value.length());
    value.unwrap_or_else(|| panic!("{name} is no length"))
}

/// A size as it is written in a route.
fn written(size: Length, unit: Unit) -> String {
    format!("{:.7}{unit}", size.in_unit(unit))
}

/// The coarsest marks of the shop's scales: 1/32 in, and half a millimetre.
fn mark(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::INCH / 32,
        Unit::Millimetre => Length::MILLIMETRE / 2,
    }
}

fn at_a_mark(size: Length, unit: Unit) -> Length {
    mark(unit) * size.ratio(mark(unit)).round() as i64
}

/// A size between two marks of a scale, and nothing else wrong: the scale can't be set to
/// it closely enough for the limits.
fn between_marks(problems: &[Problem]) -> bool {
    problems.iter().all(|problem| {
        problem.what.ends_with("is wanted, which is outside these limits")
            && problem.help.as_deref().is_some_and(|help| help.starts_with("its marks make "))
    })
}

/// A tenth of 15 in was 1 1/2, and a stool of that base had a fixed 11 between its legs.
///
/// Always: Any one length of a bundled route moves by a tenth, and the route still checks.
#[test]
fn any_one_size_moves_by_a_tenth() {
    let shop = bundled_shop();
    let mut refused: Vec<String> = Vec::new();
    let mut unused: Vec<_> = REFUSED.iter().collect();
    for bundled in BUNDLED {
        let (unit, free) = free(bundled);
        assert!(free.len() > 10, "{}: {}", bundled.stem, free.len());
        for Own { name, size } in &free {
            for (way, by) in [(Way::Up, *size / 10), (Way::Down, -(*size / 10))] {
                let wanted = *size + by;
                let problems = errors(&drawn(bundled, &[(name, written(wanted, unit))]), &shop);
                let at = unused.iter().position(|(stem, dim, moved, _)| {
                    (*stem, *dim, *moved) == (bundled.stem, name.as_str(), way)
                });
                let text = said(&problems);
                if let Some(at) = at {
                    let (.., words) = unused.remove(at);
                    assert!(text.contains(words), "{} {name} {way:?}\n{text}", bundled.stem);
                    continue;
                }
                if problems.is_empty() {
                    continue;
                }
                let near = [(name.as_str(), written(at_a_mark(wanted, unit), unit))];
                let at_mark = errors(&drawn(bundled, &near), &shop);
                if !between_marks(&problems) || !at_mark.is_empty() {
                    let at_mark = said(&at_mark);
                    let what = format!("{} {name} {way:?}\n{text}", bundled.stem);
                    refused.push(format!("{what} and at the next mark\n{at_mark}"));
                }
            }
        }
    }
    assert!(refused.is_empty(), "{}", refused.join("\n"));
    assert!(unused.is_empty(), "no longer refused: {unused:?}");
}

/// Where a size a tenth off is refused, or one between there and the drawing may be.
fn may_go(stem: &str, name: &str, way: Way) -> bool {
    !REFUSED.iter().any(|(of, dim, refused, _)| (*of, *dim, *refused) == (stem, name, way))
}

/// Draws a size within a tenth, to a mark where the drawing has it on one.
fn near(rng: &mut ChaCha8Rng, stem: &str, own: &Own, unit: Unit) -> Length {
    let tenths = i64::from(rng.next_u32() % 2001) - 1000;
    let way = if tenths > 0 { Way::Up } else { Way::Down };
    if !may_go(stem, &own.name, way) {
        return own.size;
    }
    let wanted = own.size + own.size * tenths / 10_000;
    if at_a_mark(own.size, unit) != own.size {
        return wanted;
    }
    let marked = at_a_mark(wanted, unit);
    if (marked - own.size).abs() * 10 <= own.size { marked } else { own.size }
}

/// Always: Several lengths of a bundled route move at once within a tenth, and the route
/// still checks.
#[test]
fn several_sizes_move_at_once() {
    let shop = bundled_shop();
    let mut refused: Vec<String> = Vec::new();
    for seed in 0..200 {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let bundled = &BUNDLED[seed as usize % BUNDLED.len()];
        let (unit, free) = free(bundled);
        let several = 2 + rng.next_u32() as usize % 4;
        let mut sizes: Vec<(&str, String)> = Vec::new();
        while sizes.len() < several {
            let own = &free[rng.next_u32() as usize % free.len()];
            if !sizes.iter().any(|(name, _)| *name == own.name) {
                let size = near(&mut rng, bundled.stem, own, unit);
                sizes.push((&own.name, written(size, unit)));
            }
        }
        let problems = errors(&drawn(bundled, &sizes), &shop);
        if !problems.is_empty() {
            refused.push(format!("{seed} {}: {sizes:?}\n{}", bundled.stem, said(&problems)));
        }
    }
    assert!(refused.is_empty(), "{} of 200\n{}", refused.len(), refused.join("\n"));
}
