//! Lengths in drawings, measured as they come out on paper, against the plan.

use benchway::measure::{Unit, parse_written};
use serde_json::Value;

use crate::bench::{benchway, json, near};
use crate::chromium::Chromium;
use crate::pages::{MadePage, pages};

const DRAWINGS: &str = include_str!("drawings.js");

/// Shows a page as it is printed, and what a question says of it.
fn measured(browser: &mut Chromium, page: &MadePage, question: &str) -> Vec<Value> {
    browser.open(&page.file);
    let sheet = page.sheet();
    browser.shown("print", (sheet.wide, sheet.high), false);
    browser.evaluate(DRAWINGS);
    let Value::Array(found) = browser.evaluate(question) else { panic!("{question}") };
    found
}

/// Always: A drawing that says its scale has it on paper, and each of its sizes is as long as
/// its text says, which comes from the plan.
#[test]
#[ignore = "needs a browser"]
fn a_size_is_as_long_as_it_says() {
    let mut browser = Chromium::start();
    let mut sizes = 0;
    for page in pages().iter().filter(|page| page.name.starts_with("card")) {
        let drawings = measured(&mut browser, page, "drawingsToScale()");
        let is_metric = browser.evaluate("document.body.textContent.includes('in millimetres')");
        let unit = if is_metric == true { Unit::Millimetre } else { Unit::Inch };
        for drawing in &drawings {
            let said = drawing["said"].as_f64().expect("a number");
            near(&drawing["scale"], said, said * 0.005);
            for size in drawing["sizes"].as_array().expect("a list") {
                let text = size["text"].as_str().expect("a text");
                let text = text.trim_end_matches(" in").trim_end_matches(" mm");
                let Ok(length) = parse_written(text, unit) else { continue };
                // A text is to 0.0005 in or 0.005 mm, and Chromium places to 1/64 of a pixel:
                // 0.004 mm on paper at either end.
                let within = 0.0127 + 0.009 / said;
                near(&size["length"], length.in_unit(Unit::Millimetre), within);
                sizes += 1;
            }
        }
    }
    assert!(sizes > 500, "only {sizes} sizes");
}

/// Always: A drawn board has the scale that it says, and its marks are where the layout has
/// them, to a tenth of a millimetre of the board.
#[test]
#[ignore = "needs a browser"]
fn marks_are_where_the_layout_has_them() {
    let (_, laid) =
        json(&benchway(&["boards", "reading-stool", "stool-boards", "--format", "json"]));
    let laid = laid["boards"].as_array().expect("boards");
    let mut browser = Chromium::start();
    for page in pages().iter().filter(|page| page.name.starts_with("marks")) {
        let drawn = measured(&mut browser, page, "drawnBoards()");
        assert!(!laid.is_empty() && drawn.len() >= laid.len());
        for (board, drawn) in laid.iter().zip(&drawn) {
            assert_eq!(board["board"], drawn["name"]);
            let said = drawn["said"].as_f64().expect("a scale");
            for scale in drawn["scales"].as_array().expect("a list") {
                // It is said to a tenth.
                near(scale, said, 0.051);
            }
            let marks = board["marks"].as_array().expect("marks");
            let places = drawn["marks"].as_array().expect("a list");
            assert_eq!(marks.len(), places.len(), "{}", board["board"]);
            for (mark, place) in marks.iter().zip(places) {
                near(place, mark["at"].as_f64().expect("inches") * 25.4, 0.1);
            }
        }
    }
}
