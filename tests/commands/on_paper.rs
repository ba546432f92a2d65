//! Pages and drawings that commands write: the same numbers as in the JSON beside them, and
//! what files say stays text.

use std::fs;

use proptest::prelude::*;
use tempfile::TempDir;

use crate::bench::{benchway, benchway_at_home, json};
use crate::chart_command::chart;
use crate::drawing::{attribute, axis_of, elements, hundredth, marks, text_of};
use crate::laws;
use benchway::measure::Unit;

/// A home with an invented batch of the reading stool, and the batch's name.
fn invented(route: &str, seed: u32) -> (TempDir, String) {
    let home = tempfile::tempdir().expect("a folder for the test");
    let seed = seed.to_string();
    let fault = ["--fault", "op 60 step 1/32 after piece 3", "--misses", "0.02"];
    let arguments =
        [&["simulate", route, "--name", "stools", "--seed", &seed][..], &fault].concat();
    let said = benchway_at_home(home.path(), &arguments);
    assert_eq!(said.code, 0, "{}", said.err);
    (home, "invented-stools".to_owned())
}

proptest! {
    #![proptest_config(laws::of_256(4))]

    /// Always: A chart that is drawn has the numbers of the chart in JSON: as many readings,
    /// each where its size is, and the same limits.
    #[test]
    fn a_drawn_chart_has_the_numbers_of_its_json(seed in any::<u32>()) {
        let (home, batch) = invented("reading-stool", seed);
        for machine in ["stop saw", "wide-belt sander"] {
            let ask = |format: &str| {
                // With a weight of one the average is each reading itself.
                let arguments = ["chart", &batch, "--at", machine, "--limits", "±1/64",
                    "--weight", "1", "--format", format];
                benchway_at_home(home.path(), &arguments)
            };
            let (_, answer) = json(&ask("json"));
            let svg = ask("svg").out;
            let size = axis_of(&svg, "data-y");
            let mut drawn = marks(&svg);
            drawn.sort_by(|one, other| one.1.total_cmp(&other.1));
            let read: Vec<f64> = answer["ewma"].as_array().expect("a list").iter()
                .map(|value| value.as_f64().expect("a number")).collect();
            prop_assert_eq!(drawn.len(), read.len());
            prop_assert_eq!(Some(read.len() as u64), answer["n"].as_u64());
            for ((class, _, y), value) in drawn.iter().zip(&read) {
                prop_assert!((size(*y) - value).abs() <= hundredth(Unit::Inch), "{} {}", size(*y), value);
                let is_out = value.abs() > 1.0 / 64.0 + 1e-9;
                prop_assert_eq!(class == "out", is_out, "{}", value);
            }
            let lines: Vec<f64> =
                elements(&svg, "<path class=\"line\"").map(|l| size(attribute(l, "data-y"))).collect();
            // Three sigma and the mean, the tolerance, and the target.
            prop_assert_eq!(lines.len(), 6);
            let limits = ["low", "centre", "high"].map(|name| answer["limits"][name].as_f64());
            let given = [Some(-1.0 / 64.0), Some(0.0), Some(1.0 / 64.0)];
            for wanted in limits.into_iter().chain(given) {
                let wanted = wanted.expect("a number");
                let is_it = |line: &f64| (line - wanted).abs() <= hundredth(Unit::Inch);
                prop_assert!(lines.iter().any(is_it), "{wanted} {lines:?}");
            }
        }
    }
}

/// Three of five within 9 to 11; the diamond has its number, and groups have none.
#[test]
fn a_chart_of_a_file_is_a_drawing_or_a_page() {
    let readings = "10\n10.5\n12\n9.5\n8\n10\n";
    let said = chart(readings, &["--limits", "9..11", "--format", "svg"]);
    assert_eq!((said.code, said.err.as_str()), (1, ""));
    assert!(said.out.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""), "{}", said.out);
    assert_eq!(said.out.matches("class=\"out\"").count(), 3, "two, and the legend");
    assert!(said.out.contains("12.00</text>") && said.out.contains("most 11.00"), "{}", said.out);
    let page = chart(readings, &["--limits", "9..11", "--format", "html"]).out;
    let text = text_of(&page);
    let shown = chart(readings, &["--limits", "9..11"]).out;
    for words in ["readings: 6 readings in cut order", "Outside the tolerance: 3 and 5."] {
        assert!(text.contains(words) && shown.contains(words), "{words}\n{text}\n{shown}");
    }
    let groups = chart(readings, &["--subgroup", "2", "--limits", "9..11", "--format", "svg"]).out;
    assert_eq!((marks(&groups).len(), groups.matches("class=\"out\"").count()), (3, 0));
}

#[test]
fn fits_are_a_page_with_what_they_say() {
    let (_, answer) = json(&benchway(&["fits", "reading-stool", "--format", "json"]));
    let page = benchway(&["fits", "reading-stool", "--format", "html"]).out;
    let text = text_of(&page);
    let fits = answer["fits"].as_array().expect("a list");
    assert_eq!(page.matches("<svg xmlns").count(), fits.len());
    for fit in fits {
        for says in fit["says"].as_array().expect("a list").iter().chain([&fit["fit"]]) {
            let says = says.as_str().expect("a sentence");
            assert!(text.contains(says), "{says}\n{text}");
        }
        for one in fit["contributions"].as_array().expect("a list") {
            assert!(text.contains(one["dim"].as_str().expect("a name")), "{one}");
        }
    }
    let refused = benchway(&[
        "fits",
        "--is",
        "a - b",
        "--uniform",
        "a=1,2",
        "--uniform",
        "b=1,2",
        "--format",
        "html",
    ]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("name one in place of --is"), "{}", refused.err);
}

/// The file is named after the page, is not overwritten unasked, and holds the findings of
/// `review`.
#[test]
fn the_sheet_of_a_review_is_a_file() {
    let (home, batch) = invented("reading-stool", 7);
    let place = home.path().join("sheet.html");
    let place = place.to_str().expect("a path in UTF-8");
    let print = |more: &[&str]| {
        let arguments = [&["print", "review", &batch, "--output", place], more].concat();
        benchway_at_home(home.path(), &arguments)
    };
    let said = print(&[]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("is written"), "{}", said.out);
    assert_eq!(print(&[]).code, 2);
    assert_eq!(print(&["--replace", "--paper", "a4"]).code, 0);
    let page = fs::read_to_string(place).expect("the file");
    assert!(page.contains("size: A4"), "{page}");
    let text = text_of(&page);
    let (_, answer) = json(&benchway_at_home(home.path(), &["review", &batch, "--format", "json"]));
    let told = |list: &str, key: &str| -> Vec<String> {
        let rows = answer[list].as_array().expect("a list").iter();
        rows.filter_map(|row| Some(row[key].as_str()?.to_owned())).collect()
    };
    let mut said = told("checks", "sentence");
    said.extend(told("gauges", "sentence"));
    said.extend(told("lead", "what"));
    assert!(said.len() > 10, "{said:?}");
    for words in said {
        assert!(text.contains(&words), "{words}\n{text}");
    }
    let missing = benchway_at_home(home.path(), &["print", "review", "nothing"]);
    assert_eq!(missing.code, 2);
}

/// Always: A name in a file that looks like a program stays a name in every page and drawing.
#[test]
fn names_that_look_like_programs_stay_names() {
    let bundled = benchway(&["bundled", "reading-stool"]).out;
    let evil = bundled
        .replace("Lantern reading stool", "<script>alert(1)</script>")
        .replace("tenon in its mortise", "</svg><script>x</script>");
    assert_ne!(bundled, evil);
    let folder = tempfile::tempdir().expect("a folder for the test");
    let route = folder.path().join("evil.json");
    fs::write(&route, evil).expect("the file");
    let route = route.to_str().expect("a path in UTF-8");
    let (home, batch) = invented(route, 1);
    let ask = |arguments: &[&str]| benchway_at_home(home.path(), arguments).out;
    let csv = "piece,w<script>a</script>\n1,2\n2,1\n";
    let pages = [
        ask(&["print", "review", &batch, "--output", "-"]),
        ask(&["fits", &batch, "--format", "html"]),
        chart(csv, &["--column", "2", "--format", "html"]).out,
        chart(csv, &["--column", "2", "--format", "svg"]).out,
    ];
    for page in pages {
        assert!(page.contains("&lt;script&gt;"), "{page}");
        assert!(!page.contains("<script"), "{page}");
    }
}
