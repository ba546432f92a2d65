//! A class of sixteen stools, each of its own height and wood, from the rack to legs cut
//! to length: the real program, real keys, a real disk.
#![cfg(unix)]

use std::collections::BTreeSet;
use std::fs;
use std::sync::Arc;

use benchway::journal::Event;
use benchway::measure::Length;
use benchway::work::{is_finished, remake};
use serde_json::{Value, json};

use crate::bench::benchway_at_home;
use crate::terminal::{Terminal, op_on};
use crate::walked_in_a_terminal::Hand;
use crate::walker::{SHOP, STOOL, read_shop};

const BENCHWAY: &str = env!("CARGO_BIN_EXE_benchway");

/// Far more answers than the legs of a class take.
const ANSWERS: usize = 3000;

/// The reading stool with its legs alone, two to a stool so that the test ends soon.
fn legs() -> String {
    let mut route: Value = serde_json::from_str(STOOL).expect("JSON");
    let part = route["parts"]["leg"].as_object_mut().expect("a leg");
    part.insert("per_set".to_owned(), json!(2));
    part.insert("spares".to_owned(), json!("10%"));
    part.remove("hands");
    let leg = Value::Object(part.clone());
    route["parts"] = json!({ "leg": leg });
    let operations = route["operations"].as_array_mut().expect("operations");
    operations.retain(|operation| operation["op"].as_u64().is_some_and(|op| op <= 60));
    for operation in operations {
        let checks = operation.get_mut("checks").and_then(Value::as_array_mut);
        for check in checks.into_iter().flatten() {
            check["pieces"] = json!("first, last, 1 in 5");
            check.as_object_mut().expect("a check").remove("becomes");
        }
    }
    for key in ["fits", "keep", "$schema"] {
        route.as_object_mut().expect("an object").remove(key);
    }
    route.to_string()
}

/// Heights from 17 7/8 in by halves, eight of them twice; every other stool in white oak.
fn class() -> String {
    let maker = |n: u32| {
        let wood = if n.is_multiple_of(2) { "ash" } else { "white oak" };
        let eighths = 143 + 4 * (n / 2);
        format!("P{n},{} {}/8,{wood}\n", eighths / 8, eighths % 8)
    };
    let makers: String = (0..16).map(maker).collect();
    format!("owner,height,wood\n{makers}")
}

const RACK: &str = "board,species,class,thickness,width,length\n\
A1,ash,6/4,1 1/2,8,96\nA2,ash,6/4,1 1/2,8,96\nA3,ash,6/4,1 1/2,8,96\n\
O1,white oak,6/4,1 1/2,8,96\nO2,white oak,6/4,1 1/2,8,96\nO3,white oak,6/4,1 1/2,8,96\n";

/// From the rack to op 10: the layout is accepted and every line drawn.
fn through_the_rack(at: &mut Terminal) {
    at.wait_for("is at the rack?");
    at.send("mb\r");
    at.wait_for("6 boards entered");
    at.send(" \r");
    at.wait_for("accept the layout");
    at.send("mb\r");
    let order = |text: &str| text.lines().find(|line| line.starts_with("MARK ")).map(str::to_owned);
    let mut before = None;
    for _ in 0..200 {
        at.wait("the next mark, or the end of the rack", |drawn| {
            let text = drawn.text();
            let mark = order(&text);
            text.contains("op 0 is finished.") || (mark.is_some() && mark != before)
        });
        if at.text().contains("op 0 is finished.") {
            break;
        }
        before = order(&at.text());
        at.send(" \r");
    }
    at.wait_for("op 0 is finished.");
    at.send(" \r");
    at.wait_for("op 10");
}

/// Steps until an operation is finished.
fn walks_through(hand: &mut Hand, op: u32) {
    for _ in 0..ANSWERS {
        if is_finished(&hand.snapshot.route, &hand.snapshot.state, op) {
            return;
        }
        hand.step();
    }
    panic!("op {op} is never finished");
}

/// From another terminal the lead adopts a shop whose stop saw has another blade.
fn adopts_another_blade(hand: &mut Hand) {
    let mut shop: Value = serde_json::from_str(SHOP).expect("JSON");
    shop["machines"]["stop saw"]["tools"]["crosscut blade"]["scale_offset"] = json!("0.010");
    let text = shop.to_string();
    let file = hand.home.path().join("shop-now.json");
    fs::write(&file, &text).expect("written");
    let batches = hand.home.path().join("batches");
    let arguments = [
        "adopt",
        hand.folder.name(),
        "--shop",
        file.to_str().expect("text"),
        "--word",
        "MB another blade",
    ];
    let said = benchway_at_home(&batches, &arguments);
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    assert!(said.out.contains("op 60"), "{}", said.out);
    hand.snapshot.shop = Arc::new(read_shop(&text));
    hand.looks_again();
}

/// Chooses an operation in the list of all of them, where it isn't in sight.
fn goes_to(hand: &mut Hand, op: u32) {
    if op_on(&hand.terminal.text()) == Some(op) {
        return;
    }
    hand.terminal.send("r");
    hand.terminal.wait_for("Enter go there");
    let place = hand.snapshot.route.steps.iter().position(|step| step.op == op);
    // The rack stands before all operations.
    let place = place.expect("an operation") + 1;
    hand.terminal.send(&"\x1b[A".repeat(20));
    hand.terminal.send(&"\x1b[B".repeat(place));
    hand.terminal.send("\r");
    hand.terminal.wait("its screen", |drawn| op_on(&drawn.text()) == Some(op));
}

/// Every different stop that was set at an operation, and how often one was set.
fn stops(hand: &Hand, op: u32) -> (BTreeSet<Length>, usize) {
    let set: Vec<Length> = hand
        .lines
        .iter()
        .filter_map(|line| match &line.event {
            Event::Setting { op: at, shown, right: true, .. } if *at == op => Some(*shown),
            _ => None,
        })
        .collect();
    (set.iter().copied().collect(), set.len())
}

/// Always: A class of sixteen different stools is walked from the rack to length with as many
/// scale moves as there are lengths.
#[test]
fn a_class_is_walked_from_the_rack_to_length() {
    let home = tempfile::tempdir().expect("a temporary folder");
    for (name, text) in
        [("legs.json", legs()), ("class.csv", class()), ("rack.csv", RACK.to_owned())]
    {
        fs::write(home.path().join(name), text).expect("written");
    }
    let arguments = ["walk", "legs.json", "--makers", "class.csv", "--boards", "rack.csv"];
    let mut terminal = Terminal::start(BENCHWAY, &arguments, home.path(), &[], (80, 24));
    through_the_rack(&mut terminal);
    let mut hand = Hand::at(terminal, home);
    hand.who = Some("MB");

    // Legs of eight lengths, each set once, an inch over.
    walks_through(&mut hand, 10);
    let (different, moves) = stops(&hand, 10);
    assert_eq!((different.len(), moves), (8, 8));

    // A change of mind comes too late, and nothing is written.
    let written = hand.lines.len();
    hand.terminal.send("r");
    hand.terminal.wait_for("Enter go there");
    hand.terminal.send("c");
    hand.terminal.wait_for("stool 1: P0");
    hand.terminal.send("\x1b[A\x1b[A\x1b[A\x1b[A\r");
    hand.terminal.wait_for("whose is stool");
    hand.terminal.send(" \r");
    hand.terminal.wait_for("How high is the seat?");
    hand.terminal.send("21 3/8\r");
    hand.terminal.wait_for("wood: ash");
    hand.terminal.send(" \r");
    hand.terminal.wait_for("Too late");
    // The first clears what is typed, the second drops the question.
    hand.terminal.send("\x1b");
    hand.terminal.wait_until_gone("Too late");
    hand.terminal.send("\x1b");
    hand.terminal.wait_until_gone("wood: ash");
    hand.terminal.send("w");
    hand.terminal.wait("op 20", |drawn| op_on(&drawn.text()) == Some(20));
    hand.looks_again();
    assert_eq!(hand.lines.len(), written);

    // Flat, ripped, planed and sanded: one string of settings whatever the length. The rip
    // blade is fitted on the way.
    for op in [20, 30, 40, 50] {
        walks_through(&mut hand, op);
    }
    let fitted = |line: &&benchway::journal::JournalLine| matches!(&line.event, Event::Tool { machine, .. } if machine == "cabinet saw");
    assert!(hand.lines.iter().any(|line| fitted(&line)), "the rip blade was fitted");
    assert_eq!(stops(&hand, 30).1, 1);

    // Another blade is in the stop saw: it makes 0.010 over its scale, not 0.004. The lead
    // adopts the shop as it is now, and the terminal takes it in.
    adopts_another_blade(&mut hand);

    // Eight lengths again; the longest first: 21 3/8 less 7/8, less the new 0.010.
    walks_through(&mut hand, 60);
    let (different, moves) = stops(&hand, 60);
    assert_eq!((different.len(), moves), (8, 8));
    assert_eq!(different.last(), Some(&Length::thousandths(20_490)));

    // One leg is made again and goes through all of it alone, at its own stop.
    let leg = hand.snapshot.state.pieces.iter().find(|piece| piece.label.to_string() == "leg 3");
    let id = leg.expect("leg 3").id.clone();
    let place = hand.snapshot.state.pieces.iter().position(|piece| piece.id == id).expect("listed");
    hand.terminal.send("p");
    hand.terminal.wait_for("history");
    hand.terminal.send(&"\x1b[A".repeat(60));
    hand.terminal.send(&"\x1b[B".repeat(place));
    hand.terminal.wait_for("> leg 3 ");
    hand.terminal.send("m");
    hand.terminal.wait_for("remake");
    let context = hand.snapshot.context(60, hand.who, chrono::Utc::now().fixed_offset());
    let expected = remake(&context, &id, "MB split").expect("the lead may");
    hand.record("MB split\r", &expected);
    hand.terminal.send("w");
    for op in [10, 20, 30, 40, 50, 60] {
        goes_to(&mut hand, op);
        walks_through(&mut hand, op);
    }
    let again = hand.snapshot.state.pieces.iter().find(|piece| piece.label.make == 2);
    let again = again.expect("made again");
    // P1's stool is as high as P0's: 17 7/8, its legs 17 in.
    let reading = hand.snapshot.state.reading_in_force(60, &again.id, "length");
    let size = reading.and_then(|reading| reading.taken.size()).expect("measured");
    assert!((size - Length::inch_fraction(17, 1)).abs() <= Length::thousandths(16), "{size:?}");
    hand.terminal.send("q");
    assert_eq!(hand.terminal.ended().exit_code(), 0);
    hand.terminal.is_put_back();
}
