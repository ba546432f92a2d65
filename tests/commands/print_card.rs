//! `benchway print card`, through the binary: what is written, and what never is.

use std::fs;

use benchway::journal::{BatchId, Home};
use benchway::work::PaperCode;

use crate::bench::{self, Said, begin, benchway, benchway_at_home, benchway_in};
use crate::walker::{SHOP, STOOL};

fn card(arguments: &[&str]) -> Said {
    benchway(&[&["print", "card"], arguments, &["--output", "-"]].concat())
}

/// Everything of one operation, with the boxes below it.
fn box_of(page: &str, op: u64) -> &str {
    let begins = format!("{op}<");
    let mut boxes = page.split("<p class=\"operation-number\">").skip(1);
    boxes.find(|held| held.starts_with(&begins)).unwrap_or_else(|| panic!("op {op}"))
}

/// Always: A card and `settings` show the same numbers, whatever the route.
#[test]
fn a_card_says_what_settings_say() {
    let mut compared = 0;
    for route in
        ["boot-bench", "garden-bench", "hall-bench", "reading-stool", "till-chest", "wall-cupboard"]
    {
        let page = card(&[route]);
        assert_eq!((page.code, page.err.as_str()), (0, ""), "{route}");
        let (_, settings) = bench::json(&benchway(&["settings", route, "--format", "json"]));
        for operation in settings["operations"].as_array().expect("operations") {
            let own = box_of(&page.out, operation["op"].as_u64().expect("a number"));
            for list in ["settings", "passes"] {
                for set in operation[list].as_array().expect("a list") {
                    let dial = set["dial_text"].as_str().expect("a dial");
                    assert!(own.contains(dial), "{route} op {}: {dial}", operation["op"]);
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 500, "{compared} dials");
}

#[test]
fn a_file_is_written_once_and_never_over_another() {
    let place = tempfile::tempdir().expect("a folder");
    let run = |arguments: &[&str]| {
        let all = [&["print", "card", "reading-stool", "--part", "leg"], arguments].concat();
        benchway_in(place.path(), &place.path().join("home"), &all)
    };
    let said = run(&[]);
    assert_eq!(said.code, 0, "{}", said.err);
    let file = place.path().join("Route-card-Lantern-reading-stool-leg.html");
    let first = fs::read_to_string(&file).expect("it is named after the page");
    assert!(
        said.out.contains("Route-card-Lantern-reading-stool-leg.html is written"),
        "{}",
        said.out
    );
    fs::write(&file, "mine").expect("written");
    let refused = run(&[]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("exists") && refused.err.contains("--replace"), "{}", refused.err);
    assert_eq!(fs::read_to_string(&file).expect("there"), "mine");
    assert_eq!(run(&["--replace"]).code, 0);
    assert_eq!(fs::read_to_string(&file).expect("there"), first);
    let elsewhere = run(&["--output", "no-such-folder/leg.html"]);
    assert_eq!(elsewhere.code, 2, "{}", elsewhere.out);
}

/// A route in millimetres is printed on A4, one in inches on Letter, unless it is said.
#[test]
fn a_sheet_goes_with_the_unit() {
    assert!(card(&["reading-stool"]).out.contains("size: letter"));
    assert!(card(&["reading-stool", "--paper", "a4"]).out.contains("size: A4"));
}

#[test]
fn what_is_not_there_is_refused_in_words() {
    for (arguments, wanted) in [
        (&["reading-stool", "--part", "lag"][..], "did you mean `leg`?"),
        (&["reading-stool", "--owner", "AB"], "no article here is theirs"),
        (&["reading-stol"], "did you mean `reading-stool`?"),
    ] {
        let said = card(arguments);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{arguments:?}");
        assert!(said.err.contains(wanted), "{}", said.err);
    }
}

/// Two heights are two stops: each in a box of its own, with whose pieces they are. An
/// owner's card has the own ones alone.
#[test]
fn articles_that_differ_have_boxes_of_their_own() {
    let place = tempfile::tempdir().expect("a folder");
    fs::write(place.path().join("class.csv"), "owner,height\nAB,18 7/8\nCD,20 7/8\n")
        .expect("written");
    let run = |arguments: &[&str]| {
        let all = ["print", "card", "reading-stool", "--makers", "class.csv", "--output", "-"];
        benchway_in(place.path(), &place.path().join("home"), &[&all[..], arguments].concat())
    };
    let both = run(&["--part", "leg"]);
    assert_eq!(both.code, 0, "{}", both.err);
    let cut = box_of(&both.out, 60);
    // By hand, as in `settings`: 20 and 18 of leg, on a stop that makes 0.004 more.
    for words in ["19.996", "17.996", "leg 1 to leg 4", "(AB)", "(CD)"] {
        assert!(cut.contains(words), "{words}");
    }
    let own = run(&["--part", "leg", "--owner", "AB"]);
    let cut = box_of(&own.out, 60);
    assert!(cut.contains("17.996") && !cut.contains("19.996") && !cut.contains("(CD)"));
}

/// What a code on a card shows, read from its path by a reader of its own.
fn read_code(svg: &str) -> String {
    const DOTS: usize = 6;
    let between =
        |from: &str, to: char| svg.split(from).nth(1).and_then(|rest| rest.split(to).next());
    let side: usize =
        between("viewBox=\"0 0 ", ' ').and_then(|side| side.parse().ok()).expect("a size");
    let mut dark = vec![false; side * side];
    for run in between("d=\"M", '"').expect("a path").split('M') {
        let (at, rest) = run.split_once('h').expect("a run");
        let (x, y) = at.split_once(' ').expect("a place");
        let whole = |text: &str| text.parse::<usize>().expect("a number");
        let start = whole(y) * side + whole(x);
        dark[start..start + whole(rest.split('v').next().expect("a width"))].fill(true);
    }
    let grey = |x: usize, y: usize| if dark[y / DOTS * side + x / DOTS] { 0 } else { 255 };
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(side * DOTS, side * DOTS, grey);
    let grids = image.detect_grids();
    grids.first().expect("a code is found").decode().expect("it is read").1
}

/// Always: The code at an operation of a batch's card names that batch and operation.
#[test]
fn a_code_names_batch_and_operation() {
    let place = tempfile::tempdir().expect("a folder");
    let home = Home::locate(Some(place.path().to_owned())).expect("a folder");
    let at = "2026-11-25T08:00:00+01:00".parse().expect("a time");
    drop(begin(&home, "spring stools", (STOOL, SHOP), "bench", at, None).expect("begun"));
    let page = benchway_at_home(place.path(), &["print", "card", "spring stools", "--output", "-"]);
    assert_eq!((page.code, page.err.as_str()), (0, ""), "{}", page.err);
    assert!(page.out.contains("spring stools"));
    let id = BatchId::worked_out(b"spring stools").to_string();
    let mut read = 0;
    for own in page.out.split("<p class=\"operation-number\">").skip(1) {
        let op: u32 = own.split('<').next().and_then(|op| op.parse().ok()).expect("a number");
        let svg = own.split("<svg class=\"code\"").nth(1).expect("a code");
        let named: PaperCode = read_code(svg).parse().expect("a code of ours");
        assert_eq!(named, PaperCode { batch: id.clone(), op: Some(op), piece: None });
        read += 1;
    }
    assert_eq!(read, 43);
    assert!(!card(&["reading-stool"]).out.contains("class=\"code\""), "a route has no batch");
}
