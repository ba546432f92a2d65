//! The part so far, drawn by hand for the legs and rails of the bundled stool.

use super::super::trial::{ASCII, BLOCKS, drawn, draws_at_every_size};
use super::*;
use crate::document::Document;
use crate::plan::{Known, Plan, part_so_far, walk};
use crate::route::{self, BUNDLED, PieceLabel, Role, Route};
use crate::shop;

/// A bundled route and its plan in the bundled shop.
fn planned(name: &str) -> (Route, Plan) {
    let held = route::bundled(name).expect("it is bundled");
    let document = Document::read("route.json", held.text).expect("a document");
    let (route, _) = route::read(&document).expect("a route");
    let document = Document::read("shop.json", shop::BUNDLED).expect("a document");
    let shop = shop::read(&document).expect("a shop");
    let plan = walk(&route, &shop, &Known::default());
    (route, plan)
}

fn piece(part: &str, hand: Option<&str>) -> PieceLabel {
    PieceLabel {
        part: part.to_owned(),
        number: 1,
        role: Role::Set,
        set: Some(1),
        hand: hand.map(str::to_owned),
        make: 1,
    }
}

/// A piece of the stool once every operation up to a number is done.
fn after(op: u32, part: &str, hand: Option<&str>) -> PartSoFar {
    let (route, plan) = planned("reading-stool");
    part_so_far(&route, &plan, &piece(part, hand), |done| done <= op).expect("a whole part")
}

/// Drawn with all four faces.
fn shown(part: &PartSoFar, columns: u16, theme: Theme) -> String {
    let names = ["leg 1, front left, so far".to_owned(), "leg 1 so far".to_owned()];
    drawn(PartView { part, names: &names, theme }, columns, 5)
}

/// Of 20 in on 36 columns an inch is 1.8: the upper mortises from 1/2 to 2 9/32 are
/// columns 0.9 to 4.1, nearest 1 to 4; the lower from 14 to 14 25/32 is 25.2 to 26.6,
/// nearest 25 to 27. The label takes a third of 61 columns, the mark 3, the ends 2.
#[test]
fn a_leg_grows_by_operation() {
    let leg = |op| shown(&after(op, "leg", Some("front left")), 61, ASCII);
    let rough = "~".repeat(38);
    let drawn = [
        "leg 1 so far           top                            far end".to_owned(),
        format!("A face side            {rough}"),
        format!("B face edge            {rough}"),
        format!("C to the front or...   {rough}"),
        format!("D to the side rail     {rough}"),
    ];
    assert_eq!(leg(10), drawn.join("\n"));
    let planed = format!("~{}~", "-".repeat(36));
    let row = |shown: &str, n: usize| shown.lines().nth(n).map(str::to_owned).unwrap_or_default();
    let jointed = leg(20);
    assert_eq!(row(&jointed, 1), format!("A face side          f {planed}"));
    assert_eq!(row(&jointed, 2), format!("B face edge          v {planed}"));
    assert_eq!(row(&jointed, 3), format!("C to the front or...   {rough}"));
    assert_eq!(row(&leg(40), 4), format!("D to the side rail     {planed}"));
    assert_eq!(row(&leg(50), 3), format!("C to the front or...   ~{}~", "=".repeat(36)));
    let drawn = "\
leg 1 so far           top                            far end
A face side          f |====================================|
B face edge          v |====================================|
C to the front or...   |=###================================|
D to the side rail     |=###=====================##=========|";
    assert_eq!(leg(90), drawn);
    let blocks = shown(&after(90, "leg", Some("front left")), 61, BLOCKS);
    assert_eq!(blocks, drawn.replace('#', "█"));
}

/// Of 12 1/4 in on 36 columns a tenon of 5/8 is 1.8, nearest 2; the button's mortise from
/// 5 5/8 to 6 5/8 is 16.5 to 19.5, nearest 17 to 19. The shoulder takes the first column
/// of wood, and the end's own column is tenon too. Its edges are jointed and never sanded.
#[test]
fn a_rail_has_its_tenons_and_its_mortise() {
    let drawn = "\
leg 1 so far  top                            far end
A face side f ___|==============================|___
B face edge v ___|------------------------------|___
C inside      ___|==============##==============|___
D             ___|------------------------------|___";
    assert_eq!(shown(&after(170, "rail", None), 52, ASCII), drawn);
}

/// From 1 1/2 to 3 in of 20 in on 36 columns is 2.7 to 5.4, nearest 3 to 5. A hole thinner
/// than a column has one, and what reaches over an end stops there.
#[test]
fn both_ends_of_a_cut_fall_on_the_nearest_column() {
    let place = Columns { count: 36, length: Length::INCH * 20 };
    let at = |thousandths| Length::thousandths(thousandths);
    assert_eq!(place.span(at(1500), at(3000)), 3..5);
    assert_eq!(place.span(at(10_000), at(10_100)), 18..19);
    assert_eq!(place.span(at(19_990), at(20_000)), 35..36);
    assert_eq!(place.span(at(-500), at(25_000)), 0..36);
    assert_eq!((place.tenon(at(10)), place.tenon(at(19_000))), (1, 17));
}

/// Always: A left piece is drawn as the mirror of a right one.
#[test]
fn hands_are_mirror_images() {
    let legs = |hand| after(90, "leg", Some(hand));
    let (left, right) = (legs("front left"), legs("front right"));
    // Rolled the other way: A, D, C, B for A, B, C, D.
    let [a, b, c, d] = left.faces.clone();
    assert_eq!(right.faces, [a, d, c, b]);
    assert_ne!(left.faces, right.faces);
    // Turned half round, front left becomes back right.
    assert_eq!(legs("back right"), left);
    assert_eq!(legs("back left"), right);
}

/// Three rows hold a heading and two faces, or three; of four that all differ two are kept.
#[test]
fn alike_faces_share_a_row_where_few_are_free() {
    let names = ["leg so far".to_owned()];
    let drawn = |op, rows| {
        let part = after(op, "leg", Some("front left"));
        drawn(PartView { part: &part, names: &names, theme: ASCII }, 37, rows)
    };
    // 37 less 8 for the label, 3 for the mark and 2 for the ends: 24 columns.
    let jointed = "\
leg so far top                far end
A f, B v   ~------------------------~
C, D       ~~~~~~~~~~~~~~~~~~~~~~~~~~";
    assert_eq!(drawn(20, 3), jointed);
    // An inch is 24 / 20 = 1.2: 0.6 to 2.7 is 1 to 3; 16.8 to 17.7 is 17 to 18.
    let mortised = "\
A f, B v   |========================|
C          |=##=====================|
D          |=##==============#======|";
    assert_eq!(drawn(90, 3), mortised);
    assert_eq!(drawn(90, 2), "A f, B v   |========================|\n2 more faces: ?");
}

/// Always: The part so far draws nothing outside its area, at any size.
#[test]
fn it_draws_at_every_size() {
    let names = ["leg 1 so far".to_owned()];
    for part in [after(90, "leg", Some("front left")), after(170, "rail", None)] {
        draws_at_every_size(|theme| PartView { part: &part, names: &names, theme });
    }
}

/// Begun and finished, at the heights the machine screen has.
#[test]
fn every_part_of_every_route_fits_its_rows() {
    let names = ["a piece so far".to_owned()];
    for held in BUNDLED {
        let (route, plan) = planned(held.stem);
        for part in &route.parts {
            let label = piece(&part.name, part.hands.last().map(String::as_str));
            for done in [0, u32::MAX] {
                let Some(so_far) = part_so_far(&route, &plan, &label, |op| op <= done) else {
                    assert!(!part.assembled_from.is_empty(), "{} {}", held.stem, part.name);
                    continue;
                };
                let view = PartView { part: &so_far, names: &names, theme: BLOCKS };
                for (columns, rows) in [(28, 3), (32, 3), (54, 5), (70, 6), (17, 9)] {
                    let lines = view.lines(columns, rows);
                    assert!(lines.len() <= rows.into(), "{} {}", held.stem, part.name);
                    let fits = |line: &Line<'_>| line.width() <= columns.into();
                    assert!(lines.iter().all(fits), "{lines:?}");
                }
            }
        }
    }
}
