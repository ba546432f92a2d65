//! `benchway print`: lists, labels and safety sheets, and where they are written.

use std::fs;

use chrono::NaiveDate;

use crate::bench::{benchway, benchway_in};
use benchway::document::Document;
use benchway::paper::{LabelGrid, Paper, PieceTag, labels_page, safety_page};
use benchway::shop::{self, Act, DEFER, Machine, cautions, protection};

/// What a command prints to standard output.
fn printed(arguments: &[&str]) -> String {
    let said = benchway(&[&["print"], arguments, &["--output", "-"]].concat());
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{arguments:?}");
    said.out
}

fn row<'a>(rows: &'a str, begins: &str) -> Vec<&'a str> {
    let row = rows.lines().find(|line| line.starts_with(begins));
    row.unwrap_or_else(|| panic!("no row {begins} in\n{rows}")).split(',').collect()
}

/// By hand: five benches of four legs are 20, two are spare and one proves settings: 23
/// blanks. They are 17 1/4 long and 1 longer in the rough, 1 3/4 thick from 8/4.
#[test]
fn the_legs_of_a_boot_bench_are_on_the_cut_list() {
    let rows = printed(&["cuts", "boot-bench", "--format", "csv"]);
    let legs = row(&rows, "leg,");
    assert_eq!(legs[3..7], ["in", "20", "2", "1"]);
    assert_eq!((legs[7], legs[9]), ("1 3/4", "17 1/4"));
    assert_eq!((legs[10], legs[11], legs[13], legs[14]), ("23", "2", "18 1/4", "1"));
    let page = printed(&["cuts", "boot-bench"]);
    for said in ["<b>23</b>", "20 for benches", "2 spare", "1 for setup", "23 blanks of "] {
        assert!(page.contains(said), "{said}");
    }
    // Two cleats in each length: 8 blanks for fifteen and a spare.
    assert_eq!(row(&rows, "shelf cleat,")[14], "2");
}

/// By hand: 22 legs of 2 x 1 3/4 x 17 1/4 are 9.2 board feet; / 0.55 = 16.77, so 17, at
/// 10.40 = 176.80. The total is the sum of the rows.
#[test]
fn a_shopping_list_sums_its_rows() {
    let rows = printed(&["shopping", "boot-bench", "--format", "csv"]);
    let first: Vec<&str> = rows.lines().nth(1).expect("a row").split(',').collect();
    assert_eq!(first[2..8], ["9.2", "0.55", "17.0", "board foot", "10.40", "176.80"]);
    let hundredths = |row: &str| {
        let cost = row.split(',').nth(7).expect("a cost").replace('.', "");
        cost.parse::<i64>().expect("hundredths")
    };
    let total: i64 = rows.lines().skip(1).map(hundredths).sum();
    let page = printed(&["shopping", "boot-bench"]);
    let shown = format!("${}.{:02}", total / 100, total % 100);
    assert!(page.contains(&format!("<td class=\"amount\">{shown}</td></tr></tfoot>")), "{shown}");
    assert!(page.contains("$176.80"));
}

/// By hand, on Letter: the third label begins 3/16 + 2 x (2 5/8 + 1/8) = 5 11/16 in from
/// the left, which is 144.4625 mm, and 1/2 in from above, 12.7 mm; the fourth 3/16 in from
/// the left, 4.7625 mm, and 1 1/2 in from above, 38.1 mm.
#[test]
fn labels_begin_where_the_sheet_is_unused() {
    let page = printed(&["labels", "reading-stool", "--articles", "2", "--first", "3"]);
    assert!(page.contains("@page { size: letter;"));
    let places: Vec<&str> = page.split("class=\"label\" style=\"").skip(1).collect();
    assert!(places[0].starts_with("left:144.4625mm;top:12.7mm;width:66.675mm;height:25.4mm"));
    assert!(places[1].starts_with("left:4.7625mm;top:38.1mm;"), "{}", places[1]);
    // Two stools: 8 legs, 8 rails, 4 stretchers, 4 side frames and 2 stools; then 4 + 3 + 2
    // spares. On the first sheet 28 have room.
    assert_eq!(places.len(), 26 + 9);
    assert_eq!(page.matches("<div class=\"labels letter\">").count(), 2);
    for said in ["leg 1", "front left", "stool 1", "leg 9 spare"] {
        assert!(page.contains(&format!(">{said}</div>")), "{said}");
    }
    let rows = printed(&["labels", "reading-stool", "--articles", "2", "--format", "csv"]);
    assert_eq!(rows.lines().count(), 1 + 26 + 9);
    let first = "Lantern reading stool,stool 1,,leg 1,front left,";
    assert_eq!(rows.lines().nth(1), Some(first));
    let said = benchway(&["print", "labels", "reading-stool", "--first", "31"]);
    assert!(said.code == 2 && said.err.contains("a sheet has labels 1 to 30"), "{}", said.err);
}

/// Always: Every machine has a safety sheet with all its cautions, which puts the manual,
/// local codes and training first.
#[test]
fn every_machine_has_its_cautions_on_a_sheet() {
    let document = Document::read("shop.json", shop::BUNDLED).expect("JSON");
    let shop = shop::read(&document).expect("the bundled shop");
    let machines: Vec<(&str, &Machine)> =
        shop.machines.iter().map(|(name, machine)| (name.as_str(), machine)).collect();
    assert!(machines.len() >= 20);
    let on = NaiveDate::from_ymd_opt(2026, 11, 30).expect("a day");
    let page = safety_page(&shop, &machines, on).html(Paper::Letter);
    let sheets: Vec<&str> = page.split("<section class=\"safety").skip(1).collect();
    assert_eq!(sheets.len(), machines.len());
    for ((name, machine), sheet) in machines.iter().zip(sheets) {
        assert!(sheet.contains(&format!("<h1>{name}</h1>")), "{name}");
        let all = [Act::AlongFence, Act::OnSled].into_iter();
        let all = all.flat_map(|act| cautions(machine.kind, act)).copied();
        for caution in all.chain([protection(machine.kind), DEFER]) {
            assert!(sheet.contains(caution), "{name}: {caution}");
        }
    }
}

/// MB leads, JT is signed off until the 18th, RK's sign-off is over, AB has none.
#[test]
fn a_safety_sheet_names_who_is_released_that_day() {
    let people = r#""people": { "MB": { "lead": true }, "AB": {},
        "JT": { "signed_off_on": ["planer"], "signed_off_until": { "planer": "2026-12-18" } },
        "RK": { "signed_off_on": ["planer"], "signed_off_until": { "planer": "2026-11-20" } } }"#;
    let text = format!(
        r#"{{ "shop": "A <script>shed</script>", "unit": "in",
             "machines": {{ "planer": {{ "kind": "planer" }} }}, {people} }}"#
    );
    let document = Document::read("shop.json", text).expect("JSON");
    let shop = shop::read(&document).expect("a shop");
    let machine = &shop.machines["planer"];
    let on = NaiveDate::from_ymd_opt(2026, 11, 30).expect("a day");
    let page = safety_page(&shop, &[("planer", machine)], on).html(Paper::A4);
    assert!(page.contains("<b>JT</b> (until 2026-12-18), <b>MB</b> (leads)"), "{page}");
    assert!(!page.contains("RK") && !page.contains("AB") && !page.contains("<script"));
    // Of the trade, where the shop says nothing: 12 in (common practice, no source).
    assert!(page.contains("Nothing shorter than <b>12 in</b>"));
}

#[test]
fn a_machine_is_named_as_the_shop_calls_it() {
    let page = printed(&["safety", "--machine", "cabinet saw"]);
    assert_eq!(page.matches("<section class=\"safety").count(), 1);
    let said = benchway(&["print", "safety", "--machine", "cabinet sow", "--output", "-"]);
    assert!(said.code == 2 && said.err.contains("did you mean `cabinet saw`?"), "{}", said.err);
    // Of a route, only the machines it uses.
    let page = printed(&["safety", "reading-stool"]);
    assert!(page.contains("<h1>stop saw</h1>") && !page.contains("<h1>metric planer</h1>"));
}

#[test]
fn what_a_label_is_told_stays_text() {
    let nasty = "<script>alert(1)</script>\u{202e}";
    let tag = PieceTag {
        piece: nasty.to_owned(),
        hand: Some(nasty.to_owned()),
        article: Some(nasty.to_owned()),
        owner: Some(format!("\"><b>{nasty}")),
        batch: nasty.to_owned(),
        code: None,
    };
    let page = labels_page(nasty, &[tag], &LabelGrid::A4_3X8, 0).html(Paper::A4);
    assert!(!page.contains("<script") && !page.contains("<b>") && !page.contains('\u{202e}'));
    assert!(page.contains("@page { margin: 0; }"));
}

/// Always: A page asks for nothing from outside and runs no script.
#[test]
fn pages_ask_for_nothing() {
    for page in [
        &["cuts", "till-chest"][..],
        &["shopping", "till-chest"],
        &["labels", "till-chest"],
        &["marks", "reading-stool", "--boards", "stool-boards"],
        &["safety"],
        &["today"],
    ] {
        let html = printed(page);
        assert!(html.starts_with("<!DOCTYPE html>"), "{page:?}");
        for word in ["<script", "http://", "https://", " src=", " href=", "@import", "javascript"] {
            assert!(!html.contains(word), "{page:?}: {word}");
        }
    }
}

#[test]
fn a_file_is_replaced_only_when_asked() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let home = folder.path().join("home");
    let run = |arguments: &[&str]| benchway_in(folder.path(), &home, arguments);
    let cuts = ["print", "cuts", "till-chest", "--format", "csv"];
    let said = run(&cuts);
    let name = "Bellweir-till-chest-6-chests-cut-list.csv";
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert_eq!(said.out, format!("{name} is written; open it in a spreadsheet\n"));
    fs::write(folder.path().join(name), "mine").expect("the folder can be written");
    let said = run(&cuts);
    assert!(said.code == 2 && said.err.contains("add --replace"), "{}", said.err);
    assert_eq!(fs::read_to_string(folder.path().join(name)).expect("it is there"), "mine");
    assert_eq!(run(&[&cuts[..], &["--replace"]].concat()).code, 0);
    let now = fs::read_to_string(folder.path().join(name)).expect("it is there");
    assert!(now.starts_with("part,species,"), "{now}");
}
