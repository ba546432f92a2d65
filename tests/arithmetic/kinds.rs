//! What each kind of operation says of itself: where it is done, what it sizes and
//! which side is safe, what may follow, and what helps a piece that is out. Compared
//! as one text, and checked against the trade by reading it.

use std::fmt::Write as _;

use benchway::measure::{Feature, Length, Unit, Verdict};
use benchway::operation::{KINDS, Operation, Over, describe};
use benchway::plan::{Known, closer, cut_again};
use benchway::route::Route;

use crate::plans::{shop, try_route};

/// A route of one operation, with a dimension for each name its example uses, and the
/// machine the bundled shop has for it.
fn route_of(example: &str) -> Route {
    let example = example.replace("crosscut saw", "chop saw").replace(" grit", " belt");
    let keys = example.trim().trim_start_matches('{').trim_end_matches('}');
    try_route(&format!(
        r#"{{ "route": "A kind", "unit": "in", "sets": 1,
        "dims": {{ "leg_square": "1 1/4", "leg_length": "17 1/2", "rail_length": "12 1/2" }},
        "parts": {{ "piece": {{ "per_set": 1, "species": "ash",
          "stock": {{ "thickness": "2", "width": "6", "length": "40" }} }} }},
        "operations": [ {{ "op": 10, "part": "piece", {keys} }} ] }}"#
    ))
    .unwrap_or_else(|problems| panic!("{problems}"))
}

/// Whether it is so, by its name.
fn flags(what: &dyn Operation) -> String {
    let all = [
        ("can't be undone", what.cant_be_undone()),
        ("stops when clean", what.stops_when_clean()),
        ("works from marks", what.works_from_marks()),
        ("parts a gang", what.parts_a_gang()),
        ("one size", what.one_size()),
        ("joins edges", what.joins_edge_to_edge()),
        ("comes down in passes", what.comes_down_in_passes()),
        ("by hand", what.is_by_hand()),
        ("only measures", what.only_measures()),
        ("handed", what.is_handed()),
        ("chooses tools", what.chooses_tools()),
        ("rough", what.is_rough()),
    ];
    let true_ones: Vec<&str> = all.iter().filter(|(_, is)| *is).map(|(name, _)| *name).collect();
    true_ones.join(", ")
}

fn names<T: ToString>(all: impl IntoIterator<Item = T>) -> String {
    all.into_iter().map(|one| one.to_string()).collect::<Vec<String>>().join(", ")
}

/// What it sizes, each with its safe side and what it is made up of.
fn sizes(what: &dyn Operation) -> String {
    let each = what.sizes().into_iter().map(|sized| {
        let from: Vec<String> = what
            .comes_from(&sized.feature)
            .iter()
            .map(|(feature, times)| format!("{times} x {feature}"))
            .collect();
        let varies =
            if what.varies_with_stock(&sized.feature) { ", varies with stock" } else { "" };
        let feature = &sized.feature;
        format!("{feature} ({:?}, from {}{varies})", sized.safe, from.join(" + "))
    });
    each.collect::<Vec<String>>().join("; ")
}

/// What helps a form that is out; the same advice for several forms once.
fn put_right(what: &dyn Operation) -> String {
    let by = Length::thousandths(10);
    let mut all: Vec<&str> = Vec::new();
    for kind in [Feature::Squareness, Feature::Flatness, Feature::Angle, Feature::Gap] {
        for verdict in [Verdict::TooBig { by, again: true }, Verdict::TooSmall { by, again: true }]
        {
            all.extend(what.put_right(kind, verdict));
        }
    }
    assert!(what.put_right(Feature::Width, Verdict::TooBig { by, again: true }).is_none());
    all.dedup();
    all.join(" / ")
}

fn said(example: &str) -> String {
    let route = route_of(example);
    let what = route.steps[0].what.as_ref();
    let mut text = format!("{example}\n");
    let mut line = |name: &str, words: String| {
        if !words.is_empty() {
            let _ = writeln!(text, "  {name}: {words}");
        }
    };
    line("does", what.does().unwrap_or_default().to_owned());
    line("at", names(what.machines().iter().map(|kind| format!("{kind:?}"))));
    line("how", format!("{:?}, {:?}", what.stage(), what.act()));
    line("is", flags(what));
    line("sizes", sizes(what));
    let left = ["thickness", "width", "length"].into_iter().filter(|size| what.leaves_alone(size));
    line("leaves alone", names(left));
    line(
        "wall",
        what.wall().map(|wall| format!("{} before {}", wall.wall, wall.across)).unwrap_or_default(),
    );
    line("shows the kerf", what.shows_the_kerf().map(|of| of.to_string()).unwrap_or_default());
    let by = |n| Length::inch_fraction(n, 32);
    let over = Over { target: by(2), limit: by(1) };
    let (shop, known) = (shop(&[]), Known::default());
    line("cut again", cut_again(&route, &shop, &known, 10, over).unwrap_or_default());
    let closer = closer(&route, &shop, &known, 10, over);
    line("put right", put_right(what));
    line("closer", closer.map(|by| by.decimal(Unit::Inch, 4)).unwrap_or_default());
    text
}

/// Every kind by its examples, in the order a piece meets them.
#[test]
fn what_each_kind_says_of_itself() {
    let examples = KINDS.iter().flat_map(|kind| describe(kind).examples);
    let all: Vec<String> = examples.map(|example| said(example)).collect();
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(concat!(env!("CARGO_MANIFEST_DIR"), "/snapshots"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!("kinds-of-operation", all.join("\n")));
}
