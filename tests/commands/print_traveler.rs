//! Pages that somebody asks for in the traveler, and codes that a scanner types there: the
//! program run line by line.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use benchway::journal::{BatchFolder, Home, State};
use benchway::work::PaperCode;

/// Has the lines typed into the traveler; what it says.
fn typed(home: &Path, arguments: &[&str], lines: &[&str]) -> String {
    let mut child = Command::new(env!("CARGO_BIN_EXE_benchway"))
        .args(arguments)
        .env_clear()
        .env("BENCHWAY_HOME", home)
        .current_dir(home)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program was built with these tests");
    let mut input = child.stdin.take().expect("a pipe");
    let _ = input.write_all((lines.join("\n") + "\n").as_bytes());
    drop(input);
    let ended = child.wait_with_output().expect("it ends");
    assert_eq!(String::from_utf8_lossy(&ended.stderr), "", "{arguments:?}");
    String::from_utf8(ended.stdout).expect("it prints text")
}

fn pages(home: &Path) -> Vec<String> {
    let Ok(found) = fs::read_dir(home.join("pages")) else { return Vec::new() };
    let name = |entry: std::io::Result<fs::DirEntry>| {
        entry.expect("read").file_name().to_string_lossy().into_owned()
    };
    let mut names: Vec<String> = found.map(name).collect();
    names.sort();
    names
}

/// The card at the machine, the review where it is looked at, each to a new file, and where
/// it went is said.
#[test]
fn a_page_is_written_from_where_somebody_is() {
    let place = tempfile::tempdir().expect("a folder");
    let home = place.path();
    let walk = ["walk", "reading-stool", "--plain", "--name", "stools"];
    let said = typed(home, &walk, &["print", "print", "review", "print"]);
    let found = pages(home);
    assert_eq!(found.len(), 3, "{found:?}\n{said}");
    for name in &found {
        assert!(said.replace('\n', " ").contains(&format!("pages/{name} is written")), "{said}");
        let page = fs::read_to_string(home.join("pages").join(name)).expect("a page");
        assert!(page.starts_with("<!DOCTYPE html>") && page.contains("stools"), "{name}");
    }
    assert!(said.contains("open it in a browser"), "{said}");
    // The folder of the pages is no batch, and no batch takes its place.
    let listed = Home::locate(Some(home.to_owned())).and_then(|home| home.batches());
    assert_eq!(listed.expect("a list").len(), 1);
    let walk = ["walk", "reading-stool", "--plain", "--name", "pages"];
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchway"));
    let refused = command.args(walk).env("BENCHWAY_HOME", home).stdin(Stdio::null()).output();
    let refused = refused.expect("it runs");
    let said = String::from_utf8_lossy(&refused.stdout) + String::from_utf8_lossy(&refused.stderr);
    assert!(said.contains("keeps that name"), "{said}");
}

/// A card is printed of a line of the list; a code of it, typed at the list, opens the batch
/// at its operation, and another code there leads on.
#[test]
fn a_code_typed_at_the_list_opens_its_batch() {
    let place = tempfile::tempdir().expect("a folder");
    let home = place.path();
    typed(home, &["walk", "reading-stool", "--plain", "--name", "stools"], &[]);
    let said = typed(home, &["--plain"], &["print 1", "quit"]);
    assert!(said.contains("is written"), "{said}");
    assert_eq!(pages(home).len(), 1, "{said}");
    let found = Home::locate(Some(home.to_owned())).expect("named");
    let folder = BatchFolder::open(&found, "stools").expect("begun");
    let state = State::fold(&folder.journal().expect("read").entries);
    let [first, second] = [30, 40].map(|op| PaperCode::of(&state, Some(op), None).to_string());
    let strange = PaperCode { batch: "elsewhere".to_owned(), op: Some(30), piece: None };
    let strange = strange.to_string();
    let said = typed(home, &["--plain"], &[&strange, &first, &second, "quit"]);
    let at = |text: &str| said.find(text).unwrap_or_else(|| panic!("{text}\n{said}"));
    assert!(at("not here") < at("Op 30") && at("Op 30") < at("Op 40"), "{said}");
    // Also while somebody looks at the shop.
    let said = typed(home, &["--plain"], &["shop", "Our shop", &first, "quit"]);
    assert!(said.contains("Op 30"), "{said}");
}

/// A code is never an answer: no shop, no note and no batch is called like one.
#[test]
fn a_code_answers_no_question() {
    let place = tempfile::tempdir().expect("a folder");
    let home = place.path();
    let code = PaperCode { batch: "stools".to_owned(), op: Some(30), piece: None }.to_string();
    let refused = "That is a code from paper, and no answer.";
    let said = typed(home, &["--plain"], &["shop", &code, "cancel", "quit"]);
    assert!(said.contains(refused) && !home.join("shop.json").exists(), "{said}");
    let walk = ["walk", "reading-stool", "--plain", "--name", "stools"];
    let said = typed(home, &walk, &["MB", "note", &code, "cancel", "quit"]);
    assert!(said.contains(refused), "{said}");
    let found = Home::locate(Some(home.to_owned())).expect("named");
    let folder = BatchFolder::open(&found, "stools").expect("begun");
    let state = State::fold(&folder.journal().expect("read").entries);
    assert!(state.remarks.is_empty(), "{:?}", state.remarks);
}
