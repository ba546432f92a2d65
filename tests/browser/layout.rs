//! How pages are laid out, on both sheets and on a phone.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::chromium::Chromium;
use crate::pages::{MadePage, pages, pages_once};

/// What is measured in the page.
pub const LAYOUT: &str = include_str!("layout.js");
/// The smallest letters on paper, in points (common practice, no source).
const SMALLEST: u32 = 7;

/// So many faults of one kind on a page are told.
const MOST_TOLD: usize = 4;

/// What is wrong with a page by each of these questions, and with which of them.
fn wrong(browser: &mut Chromium, page: &MadePage, questions: &[&str]) -> Vec<String> {
    browser.evaluate(LAYOUT);
    let mut wrong = Vec::new();
    for question in questions {
        let Value::Array(found) = browser.evaluate(question) else { panic!("{question}") };
        let told: BTreeSet<&str> = found.iter().filter_map(Value::as_str).collect();
        let more = told.len().saturating_sub(MOST_TOLD);
        wrong.extend(
            told.iter().take(MOST_TOLD).map(|what| format!("{}: {question}: {what}", page.name)),
        );
        if more > 0 {
            wrong.push(format!("{}: {question}: and {more} more", page.name));
        }
    }
    wrong
}

/// Always: On paper no box is wider or higher than the sheet, no text is cut off, covered or
/// smaller than it can be read.
#[test]
#[ignore = "needs a browser"]
fn every_box_has_its_room_on_paper() {
    let mut browser = Chromium::start();
    let mut found = Vec::new();
    for page in pages() {
        browser.open(&page.file);
        let sheet = page.sheet();
        browser.shown("print", (sheet.wide, sheet.high), false);
        let tall = format!("tallerThan({})", sheet.high);
        let small = format!("smallerThan({SMALLEST})");
        let wide = format!("tooWide({})", sheet.wide);
        let questions =
            [&wide, "overflowing(false)", &tall, "overlapping()", "outsideDrawings()", &small];
        found.extend(wrong(&mut browser, page, &questions));
    }
    assert!(found.is_empty(), "{}\n{}", found.len(), found.join("\n"));
}

/// Always: A phone shows a page without scrolling sideways, but for sheets of labels.
#[test]
#[ignore = "needs a browser"]
fn a_phone_has_room_for_every_page() {
    let mut browser = Chromium::start();
    let mut found = Vec::new();
    for page in pages_once().filter(|page| !page.is_as_large_as_paper()) {
        browser.open(&page.file);
        browser.shown("screen", (390, 844), true);
        let questions = ["tooWide(390)", "overflowing(true)", "overlapping()", "outsideDrawings()"];
        found.extend(wrong(&mut browser, page, &questions));
    }
    assert!(found.is_empty(), "{}\n{}", found.len(), found.join("\n"));
}
