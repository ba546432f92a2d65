//! Pages as they are printed: a PDF of each, read again sheet by sheet.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::chromium::Chromium;
use crate::pages::{MadePage, pages};

const SHEETS: &str = include_str!("sheets.js");

/// What a tool of Poppler prints.
fn told(tool: &str, arguments: &[&str], file: &Path) -> String {
    let mut command = Command::new(tool);
    command.args(arguments).arg(file);
    if tool == "pdftotext" {
        command.arg("-");
    }
    let ran = command.output().expect("poppler-utils are installed");
    assert!(ran.status.success(), "{tool} {}", file.display());
    String::from_utf8(ran.stdout).expect("text")
}

/// The text of each sheet.
fn sheets_of(file: &Path) -> Vec<String> {
    let text = told("pdftotext", &["-raw"], file);
    let text = text.strip_suffix('\u{c}').unwrap_or(&text);
    text.split('\u{c}').map(str::to_owned).collect()
}

/// A page that went to the printer.
struct PrintedPage {
    page: &'static MadePage,
    /// What it asked for, by address.
    asked: Vec<String>,
    /// How many boxes want a sheet of their own.
    sheets_wanted: u64,
    /// The boxes that are to stay in one piece, by their first words.
    boxes: Vec<String>,
    file: PathBuf,
    sheets: Vec<String>,
    opened_in: Duration,
    printed_in: Duration,
}

/// Every page as it comes from the printer, with its boxes marked.
fn printed_pages() -> &'static [PrintedPage] {
    static PRINTED: OnceLock<Vec<PrintedPage>> = OnceLock::new();
    PRINTED.get_or_init(|| {
        let mut browser = Chromium::start();
        pages().iter().map(|page| printed(&mut browser, page)).collect()
    })
}

fn printed(browser: &mut Chromium, page: &'static MadePage) -> PrintedPage {
    let begun = Instant::now();
    browser.open(&page.file);
    let opened_in = begun.elapsed();
    browser.call("Emulation.setEmulatedMedia", json!({ "media": "print" }));
    browser.evaluate(SHEETS);
    let Value::Array(boxes) = browser.evaluate("markBoxes()") else { panic!("a list") };
    let own = browser.evaluate("document.querySelectorAll('.rack, .safety, .labels').length");
    let begun = Instant::now();
    let pdf = browser.pdf();
    let printed_in = begun.elapsed();
    let file = page.file.with_extension("pdf");
    fs::write(&file, pdf).expect("the folder can be written");
    PrintedPage {
        page,
        asked: browser.asked(),
        sheets_wanted: own.as_u64().expect("a number"),
        boxes: boxes.iter().filter_map(Value::as_str).map(str::to_owned).collect(),
        sheets: sheets_of(&file),
        file,
        opened_in,
        printed_in,
    }
}

/// Always: A page is printed on the sheet that was asked for; none is empty, and what wants
/// a sheet of its own has one.
#[test]
#[ignore = "needs a browser"]
fn a_page_has_its_sheets() {
    for PrintedPage { page, file, sheets, sheets_wanted, .. } in printed_pages() {
        let info = told("pdfinfo", &[], file);
        let size = info.lines().find_map(|line| line.strip_prefix("Page size:")).expect("a size");
        let sides = size.split_whitespace().filter_map(|word| word.parse::<f64>().ok());
        let (wide, high) = page.paper_in_points();
        for (side, wanted) in sides.zip([wide, high]) {
            // Chromium rounds to whole points.
            assert!((side - wanted).abs() < 1.0, "{}: {size}", page.name);
        }
        for (n, sheet) in sheets.iter().enumerate() {
            assert!(sheet.trim().len() > 20, "{}: sheet {}: {sheet:?}", page.name, n + 1);
        }
        if *sheets_wanted > 0 {
            assert_eq!(*sheets_wanted, sheets.len() as u64, "{}", page.name);
        }
    }
}

/// Always: No box that is to stay in one piece goes from one sheet to the next.
#[test]
#[ignore = "needs a browser"]
fn no_box_is_split_between_sheets() {
    let mut split = Vec::new();
    for PrintedPage { page, boxes, sheets, .. } in printed_pages() {
        for (n, said) in boxes.iter().enumerate() {
            let on = |letters: &str| {
                let mark = format!("Q{letters}{n}q");
                let found = sheets.iter().position(|sheet| sheet.contains(&mark));
                found.unwrap_or_else(|| panic!("{}: {mark} of {said} isn't printed", page.name))
            };
            let (first, last) = (on("a"), on("z"));
            if first != last {
                split.push(format!("{}: sheets {} and {}: {said}", page.name, first + 1, last + 1));
            }
        }
    }
    let seen: usize = printed_pages().iter().map(|printed| printed.boxes.len()).sum();
    assert!(seen > 1000, "only {seen} boxes");
    assert!(split.is_empty(), "{}\n{}", split.len(), split.join("\n"));
}

/// Always: A page asks for nothing but itself, on a screen and while it is printed. What each
/// page weighs and how long it takes is shown with `--nocapture`.
#[test]
#[ignore = "needs a browser"]
fn a_page_asks_for_nothing_but_itself() {
    println!("page, kB, ms to make, ms to open, ms to print, sheets, kB of the PDF");
    for printed in printed_pages() {
        let page = printed.page;
        assert_eq!(printed.asked, [format!("file://{}", page.file.display())], "{}", page.name);
        let kilobytes = |file: &Path| fs::metadata(file).expect("it is there").len() / 1000;
        println!(
            "{}, {}, {}, {}, {}, {}, {}",
            page.name,
            kilobytes(&page.file),
            page.made_in.as_millis(),
            printed.opened_in.as_millis(),
            printed.printed_in.as_millis(),
            printed.sheets.len(),
            kilobytes(&printed.file)
        );
    }
}
