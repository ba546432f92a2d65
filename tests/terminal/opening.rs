//! The opening screen on a real disk: own routes, the archive, a second batch a day.
#![cfg(unix)]

use std::fs;
use std::path::Path;

use crate::terminal::Terminal;
use crate::traveler::{BENCHWAY, USUAL, empty_home, walk};
use benchway::journal::Home;

const F6: &str = "\x1b[17~";
const F9: &str = "\x1b[20~";
const F12: &str = "\x1b[24~";

fn opening(home: &Path) -> Terminal {
    Terminal::start(BENCHWAY, &[], home, &[], USUAL)
}

/// A program that was killed left its screen, and rows of it stood between those of the
/// list. The first drawing clears them.
#[test]
fn the_first_drawing_clears_the_screen() {
    const CLEARS: &[u8] = b"\x1b[2J";
    let home = empty_home();
    let terminal = opening(home.path());
    terminal.wait("a cleared screen", |drawn| {
        drawn.raw.windows(CLEARS.len()).any(|window| window == CLEARS)
    });
}

fn names(home: &Path) -> (Vec<String>, Vec<String>) {
    let home = Home::locate(Some(home.join("batches"))).expect("a folder was named");
    let names = |folders: Vec<benchway::journal::BatchFolder>| -> Vec<String> {
        folders.iter().map(|folder| folder.name().to_owned()).collect()
    };
    (names(home.batches().expect("listed")), names(home.archived().expect("listed")))
}

/// A batch moves into the archive and back with all that is in it; while a station
/// has it open it stays.
#[test]
fn a_batch_is_archived_and_brought_back() {
    let home = empty_home();
    let begin = ["reading-stool", "--sets", "1", "--name", "kiosk"];
    let mut held = walk(home.path(), &begin, USUAL);
    held.wait_for("is at the machine?");
    let mut terminal = opening(home.path());
    terminal.wait_for("> kiosk");
    terminal.send(F6);
    terminal.wait_for("open at the station cart");
    assert_eq!(names(home.path()).0, ["kiosk"]);
    held.send("\x03");
    assert_eq!(held.ended().exit_code(), 0);

    let journal = home.path().join("batches/kiosk/cart.jsonl");
    let before = fs::read(&journal).expect("its journal");
    terminal.send(F6);
    terminal.wait_for("kiosk is archived.");
    assert_eq!(names(home.path()), (vec![], vec!["kiosk".to_owned()]));
    // What is looked for is found there too.
    terminal.send("kio");
    terminal.wait_for("1 found");
    terminal.send("\x1b");
    terminal.wait_until_gone("1 found");
    terminal.send("kiosk");
    terminal.wait_for("1 found");
    terminal.send("\r");
    terminal.wait_for("kiosk is back.");
    assert_eq!(names(home.path()), (vec!["kiosk".to_owned()], vec![]));
    assert_eq!(fs::read(&journal).expect("its journal"), before);
    // Looked back on from here.
    terminal.send(F12);
    terminal.wait_for("What went out of limits");
    terminal.send(F9);
    assert_eq!(terminal.ended().exit_code(), 0);
    terminal.is_put_back();
}

/// The shop's own routes stand beside those that come with the program, under any
/// name; one that can't be used says why.
#[test]
fn own_routes_are_listed_and_begun() {
    let home = empty_home();
    let routes = home.path().join("batches/routes");
    fs::create_dir_all(&routes).expect("made");
    let stool = benchway::route::BUNDLED[0].text;
    let own = stool.replacen("Lantern reading stool", "Harbour stool", 1);
    fs::write(routes.join(".harbour stool, v1.2.json"), &own).expect("written");
    let unknown = own.replacen("\"do\": \"rip\"", "\"do\": \"carve\"", 1);
    fs::write(routes.join("carved.json"), unknown).expect("written");
    let mut terminal = opening(home.path());
    terminal.wait_for("carved");
    terminal.wait_for("CAN'T BE USED");
    terminal.send("carved\r");
    terminal.wait_for("`carve` is not a kind of operation");
    terminal.send("\x1b");
    terminal.wait_for("Lantern reading stool");
    terminal.send("harbour");
    terminal.wait_for("1 found");
    terminal.send("\r");
    terminal.wait_for("how many stools");
    terminal.send("\x151\r");
    // The dot in front of a file that hides it can't begin a name.
    terminal.wait_for("> harbour stool, v1.2 2");
    terminal.send("\r");
    terminal.wait_for("is at the machine?");
    terminal.send("\x03");
    assert_eq!(terminal.ended().exit_code(), 0);
}

/// A second batch of a route on one day has a number after its name, and says so.
#[test]
fn a_second_batch_of_the_day_says_so() {
    let home = empty_home();
    let mut first = walk(home.path(), &["reading-stool", "--sets", "1"], USUAL);
    first.wait_for("is at the machine?");
    assert!(!first.text().contains("has begun before"), "{}", first.text());
    first.send("\x03");
    first.ended();
    let mut second = walk(home.path(), &["reading-stool", "--sets", "1"], USUAL);
    second.wait_for("has begun before");
    second.send("\x03");
    second.ended();
    let (names, _) = names(home.path());
    assert_eq!(names.len(), 2);
    assert!(names.iter().any(|name| name.ends_with(" 2")), "{names:?}");
}
