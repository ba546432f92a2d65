//! The rack in a real terminal: a board list or typed boards, the layout, mark
//! after mark, a kill on the way. Numbers are those of `tests/rack.rs`.
#![cfg(unix)]

use crate::bench;
use std::fs;
use std::path::Path;

use crate::terminal::Terminal;
use crate::walker::boards::PEGS;
use benchway::journal::{BatchFolder, Event, Home, State};
use rustix::process::Signal;
use tempfile::TempDir;

const BENCHWAY: &str = env!("CARGO_BIN_EXE_benchway");

fn home_with_pegs(list: &str) -> TempDir {
    let home = tempfile::tempdir().expect("a temporary folder");
    // As the pieces leave its two operations, so that the plan has no errors.
    let finished = r#""length": "rail_length", "width": "3 3/4", "thickness": "3/4""#;
    assert!(PEGS.contains(finished));
    let pegs = PEGS.replace(finished, r#""thickness": "3/4""#);
    fs::write(home.path().join("pegs.json"), pegs).expect("written");
    fs::write(home.path().join("rack.csv"), list).expect("written");
    home
}

fn walk(home: &TempDir, arguments: &[&str]) -> Terminal {
    let all: Vec<&str> = std::iter::once("walk").chain(arguments.iter().copied()).collect();
    let terminal = Terminal::start(BENCHWAY, &all, home.path(), &[], (80, 24));
    terminal.wait_for("is at the");
    terminal
}

fn batches(home: &Path) -> Vec<BatchFolder> {
    let batches = Home::locate(Some(home.join("batches"))).expect("a folder was named");
    batches.batches().expect("listed")
}

fn state(home: &TempDir) -> State {
    let folder = batches(home.path()).remove(0);
    let everything = folder.read_all::<Event>().expect("readable");
    assert!(everything.damage.is_empty(), "{:?}", everything.damage);
    State::fold(&everything.entries)
}

/// One board 72 x 5: marks at 1, 20, 39 1/8 and 58 1/4; with a knot from 25 to
/// 27 at 1, 20, 27, 46 and 65 1/8.
#[test]
fn a_list_is_walked_to_its_last_mark_and_a_kill_loses_nothing() {
    let home = home_with_pegs("board,thickness,width,length\nA,1,5,72\n");
    let mut at = walk(&home, &["pegs.json", "--boards", "rack.csv"]);
    at.wait_for("is at the rack?");
    at.send("mb\r");
    at.wait_for("1 board entered.");
    at.wait_for("Board A: ash, 1 x 5 x 72.");
    at.send(" \r");
    at.wait_for("accept the layout: 1 of 1 boards used, 2.5 board feet.");
    // Unknown initials, then the lead's.
    at.send("4\r");
    at.wait_for("There is no option 4.");
    at.send("mb\r");
    at.wait_for("mark 1 of 4");
    at.send(" \r");
    at.wait_for("mark 2 of 4");
    at.wait_for("Left of it: rail 1 of article 1");
    at.send("knot 25 too 27\r");
    at.wait_for("is not a stretch");
    at.signal(Signal::KILL);
    assert!(!at.ended().success());
    assert_eq!(state(&home).boards.all[0].drawn.len(), 1);

    let name = batches(home.path())[0].name().to_owned();
    let mut at = walk(&home, &[&name]);
    at.wait_for("is at the rack?");
    at.send("mb\r");
    at.wait_for("mark 2 of 4");
    at.send(" \r");
    at.wait_for("mark 3 of 4");
    // The window shrinks and grows, and the text stays.
    at.send("knot 25 to 27");
    at.resize(40, 12);
    at.wait_for("knot 25 to 27");
    at.wait_for("mark 3 of 4");
    at.resize(30, 8);
    at.wait_for("needs 40x12");
    at.resize(80, 24);
    at.wait_for("knot 25 to 27");
    at.send("\r");
    at.wait_for("lead must accept");
    at.send("mb\r");
    for mark in 3..=5 {
        at.wait_for(&format!("mark {mark} of 5"));
        at.send(" \r");
    }
    at.wait_for("op 0 is finished.");
    at.send(" \r");
    at.wait_for("op 10");
    let state = state(&home);
    assert!(state.boards.is_finished());
    let first = &state.pieces[0].id;
    assert_eq!(state.board_of(first).map(|from| from.board.is.name.as_str()), Some("A"));
    // The route screen keeps the rack.
    at.wait_for("before you use the chop saw");
    at.send("r");
    at.wait_for("0  boards");
    at.wait_for("finished");
    at.send("q");
    assert_eq!(at.ended().exit_code(), 0);
    at.is_put_back();

    let home = home.path().join("batches");
    let asked = ["--home", home.to_str().expect("text"), "export", "--boards", &name];
    let said = bench::benchway(&asked);
    assert_eq!(said.code, 0, "{}", said.err);
    let rows: Vec<&str> = said.out.lines().collect();
    assert_eq!(rows.len(), 4, "{}", said.out);
    assert!(rows[1].ends_with(",rail,rail 1,1,20,0.25,4.25"), "{}", rows[1]);
    assert!(rows[3].ends_with(",rail,rail 3 spare,46.125,65.125,0.25,4.25"), "{}", rows[3]);
}

#[test]
fn a_board_is_typed_by_whoever_walks_there() {
    let home = home_with_pegs("");
    let mut at = walk(&home, &["pegs.json"]);
    at.send("mb\r");
    at.wait_for("before you use the chop saw");
    at.send("r");
    at.wait_for("none entered");
    at.send("\x1b[A");
    at.wait_for(">    0  boards");
    at.send("\r");
    at.wait_for("what is its name?");
    let answers = [
        ("quay\r", "which is board quay?"),
        ("asch\r", "Did you mean `ash`?"),
        (" \r", "how thick is board quay at its marked end?"),
        ("1\r", "in the middle?"),
        ("1\r", "at its far end?"),
        ("1\r", "where it is narrowest?"),
        ("5\r", "how long"),
        ("72\r", "cupped?"),
        (" \r", "bowed?"),
        (" \r", "in wind?"),
        (" \r", "moisture content"),
        ("40\r", "green"),
        ("8\r", "one at a time"),
        ("knot 70 to 75\r", "off the board"),
        ("split 69 to 72\r", "split 69 to 72"),
        (" \r", "Another one, or lay them out?"),
    ];
    for (keys, words) in answers {
        at.send(keys);
        at.wait_for(words);
    }
    assert_eq!(state(&home).boards.all.len(), 1);
    // Backspace with nothing typed undoes the last answer.
    at.send("\x7f");
    at.wait_for("one at a time");
    at.send(" \r");
    at.wait_for("Another one, or lay them out?");
    at.send(" \r");
    at.wait_for("accept the layout: 1 of 1 boards used");
}

#[test]
fn a_list_with_problems_begins_nothing() {
    let home = home_with_pegs("board,thickness,width,length\nA,1,5,72\nB,1,wide,72\n");
    let path = |name: &str| home.path().join(name).to_str().expect("text").to_owned();
    let (route, list, batches) = (path("pegs.json"), path("rack.csv"), path("batches"));
    let said = bench::benchway(&["--home", &batches, "walk", &route, "--boards", &list]);
    assert_eq!(said.code, 2, "{}", said.err);
    assert!(said.err.contains(":3:"), "{}", said.err);
    assert!(said.err.contains("can't be used: 1 error"), "{}", said.err);
    assert!(!Path::new(&batches).exists() || self::batches(home.path()).is_empty());
}
