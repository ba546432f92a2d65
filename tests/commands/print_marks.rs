//! `benchway print marks`: the marks on paper are those of the layout.

use std::fmt::Write;
use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::bench::{benchway, json};
use benchway::document::Document;
use benchway::measure::{Length, Unit, parse_written};
use benchway::plan::{Known, walk};
use benchway::route::{self, Route};
use benchway::shop::{self, Shop};
use benchway::stock::{BlankNeed, needs};

/// A rack on which every blank of a route finds a board: for each kind of blank boards two
/// blanks long and three wide, with a knot in the first.
fn rack(route: &Route, shop: &Shop) -> String {
    let plan = walk(route, shop, &Known::default());
    let mut list = "board,species,class,thickness,width,length,flaws\n".to_owned();
    let written = |length: Length| length.written(route.unit);
    let step = Length::INCH;
    let mut board = |name: &str, need: &BlankNeed, flaws: &str| {
        let (width, length) = (need.width * 3 + step * 2, need.length * 2 + step * 8);
        let thickness = need.nominal(route.unit).unwrap_or(need.thickness);
        let (species, class) = (need.species.as_deref(), need.class.as_deref());
        let _ = writeln!(
            list,
            "{name},{},{},{},{},{},{flaws}",
            species.unwrap_or_default(),
            class.unwrap_or_default(),
            written(thickness),
            written(width),
            written(length)
        );
    };
    for (kind, need) in needs(route, shop, &plan).iter().enumerate() {
        // One more than enough where six lie on a board: where fewer do, blanks are missing.
        for n in 0..need.blanks().div_ceil(6) + 1 {
            let knot = format!(
                "knot {} to {} at 0 to {}",
                written(step),
                written(step * 2),
                written(step)
            );
            board(&format!("B{kind}-{n}"), need, if n == 0 { &knot } else { "" });
        }
    }
    list
}

/// What is between two words, from every place where the first stands.
fn all_between<'a>(text: &'a str, from: &str, to: &str) -> Vec<&'a str> {
    text.split(from).skip(1).map(|rest| rest.split(to).next().expect("a split has one")).collect()
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("{text} is no number"))
}

/// Where the lines of one row of a drawing are on the board, in millimetres from its marked
/// end: the outline tells the scale.
fn places(row: &str) -> Vec<f64> {
    let of = |name: &str| number(all_between(row, &format!("{name}=\""), "\"")[0]);
    let (from, to) = (of("data-from"), of("data-to"));
    let outline = all_between(row, "<rect class=\"outline\"", ">")[0];
    let of_outline = |name: &str| number(all_between(outline, &format!(" {name}=\""), "\"")[0]);
    let (left, wide) = (of_outline("x"), of_outline("width"));
    let lines = all_between(row, "<line class=\"mark\" x1=\"", "\"");
    lines.iter().map(|x| from + (number(x) - left) * (to - from) / wide).collect()
}

fn check(name: &str, unit: Unit, laid: &Value, page: &str) {
    let boards = laid["boards"].as_array().expect("boards");
    let sheets: Vec<&str> = page.split("<section class=\"rack\">").skip(1).collect();
    assert!(!boards.is_empty(), "{name}: nothing is laid out");
    assert!(sheets.len() >= boards.len(), "{name}");
    for (board, sheet) in boards.iter().zip(sheets) {
        let named = format!("<h1>{}</h1>", board["board"].as_str().expect("a name"));
        assert!(sheet.contains(&named), "{name}: {named}");
        let marks = board["marks"].as_array().expect("marks");
        let marks: Vec<f64> =
            marks.iter().map(|mark| mark["at"].as_f64().expect("a length")).collect();
        // In the list, as texts.
        let said = all_between(sheet, "<span class=\"at\">", "<");
        let read = said.iter().map(|said| parse_written(said, unit).expect("a length"));
        let read: Vec<f64> = read.map(|length| length.in_unit(unit)).collect();
        assert_eq!(read.len(), marks.len(), "{name} {named}");
        let rows: Vec<&str> = sheet.split("<svg class=\"board\"").skip(1).collect();
        let drawn: Vec<f64> = rows.iter().flat_map(|row| places(row)).collect();
        assert_eq!(drawn.len(), marks.len(), "{name} {named}");
        for ((mark, read), drawn) in marks.iter().zip(read).zip(drawn) {
            assert!((mark - read).abs() < 1e-5, "{name} {named}: {read} for {mark}");
            let real =
                mark * Length::from_nanometres(unit.one().nanometres()).in_unit(Unit::Millimetre);
            assert!((drawn - real).abs() <= 0.01, "{name} {named}: {drawn} for {real}");
        }
        // At the marks in the drawing, once each.
        let labels = rows.iter().flat_map(|row| all_between(row, "<text class=\"at\"", "</text>"));
        let labels: Vec<&str> =
            labels.map(|label| label.split('>').nth(1).expect("a text")).collect();
        assert_eq!(labels, said, "{name} {named}");
    }
}

/// Always: The marks on paper are those of the layout, in words and to a hundredth of a
/// millimetre of the board in the drawing.
#[test]
fn the_marks_on_paper_are_those_of_the_layout() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let shop = Document::read("shop.json", shop::BUNDLED).expect("JSON");
    let shop = shop::read(&shop).expect("the bundled shop");
    for (bundled, paper) in route::BUNDLED.iter().zip(["a4", "letter"].into_iter().cycle()) {
        let document = Document::read("route.json", bundled.text).expect("JSON");
        let (mut route, _) = route::read(&document).expect("a bundled route");
        // Few, because each layout is searched for twice.
        route.make_sets(2).expect("a batch of two");
        let list = folder.path().join(format!("{}.csv", bundled.stem));
        fs::write(&list, rack(&route, &shop)).expect("the folder can be written");
        let list = list.to_str().expect("a plain path");
        let two = [bundled.stem, "--articles", "2"];
        let laid = [&["boards"], &two[..], &[list, "--format", "json"]].concat();
        let (_, laid) = json(&benchway(&laid));
        let to = ["--boards", list, "--paper", paper, "--output", "-"];
        let said = benchway(&[&["print", "marks"], &two[..], &to].concat());
        assert_eq!(said.err, "", "{}", bundled.stem);
        check(bundled.stem, route.unit, &laid, &said.out);
    }
}

/// By hand: the drawing may be 273 mm wide on A4, with 2 mm left at either side, so a board
/// of 22 in, which is 558.8 mm, is drawn 558.8 / 269 = 2.08 times smaller where the height
/// of the sheet allows it.
#[test]
fn a_bundled_list_is_printed_for_the_rack() {
    let said = benchway(&[
        "print",
        "marks",
        "reading-stool",
        "--articles",
        "2",
        "--boards",
        "stool-boards",
        "--paper",
        "a4",
        "--output",
        "-",
    ]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.contains("@page { size: A4 landscape; }"));
    assert!(said.out.contains("rail 11 spare, rail setup 1, side by side: rip 2\u{a0}9/16"));
    assert!(said.out.contains("The crosscut saw takes <b>1/8 in</b>"));
    assert!(said.out.contains("class=\"cross\""), "flaws are crossed out");
    let scales = all_between(&said.out, "Drawn 1 : ", ",");
    assert!(scales.iter().all(|scale| number(scale) >= 2.0), "{scales:?}");
}

#[test]
fn what_has_no_layout_is_refused_in_words() {
    let refused = |arguments: &[&str], says: &str| {
        let said = benchway(&[&["print", "marks"], arguments].concat());
        assert_eq!(said.code, 2, "{arguments:?}");
        assert!(said.err.contains(says), "{}", said.err);
    };
    refused(&["reading-stool"], "a route has no boards of its own");
    refused(&["reading-stool", "--boards", "nowhere.csv"], "nowhere.csv can't be read");
    let project = Path::new(env!("CARGO_MANIFEST_DIR"));
    assert!(!project.join("nowhere.csv").exists());
}
