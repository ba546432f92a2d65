//! The README does what it says: its commands are run, its route is checked,
//! its keys are the keys there are.

use std::fs;
use std::path::Path;

use benchway::operation::KINDS;
use benchway::tui::BINDINGS;
use tempfile::TempDir;

use crate::bench::{Said, benchway_in};

fn project() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn readme() -> String {
    fs::read_to_string(project().join("README.md")).expect("there is a README")
}

/// The fenced blocks of a language.
fn blocks<'a>(text: &'a str, language: &str) -> Vec<&'a str> {
    let fence = format!("\n```{language}\n");
    text.split(fence.as_str())
        .skip(1)
        .map(|rest| rest.split("\n```").next().expect("a split gives at least one part"))
        .collect()
}

/// The words of a command line, quotes kept together; what is written to a file is dropped.
fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            '>' if !quoted => break,
            ' ' if !quoted => words.push(String::new()),
            other => words.last_mut().expect("it begins with one").push(other),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// A folder with everything the README speaks of, and a home with one batch.
fn workplace() -> TempDir {
    let place = tempfile::tempdir().expect("a folder for the test");
    let text = readme();
    let route = blocks(&text, "json")[0];
    fs::write(place.path().join("quay-bench.json"), route).expect("the folder can be written");
    for (name, csv) in ["rack.csv", "slats.csv"].iter().zip(blocks(&text, "csv")) {
        assert!(text.contains(&format!("as `{name}`:\n\n```csv\n{csv}")), "{name}");
        fs::write(place.path().join(name), csv).expect("the folder can be written");
    }
    fs::copy(project().join("routes/shop.json"), place.path().join("our-shop.json"))
        .expect("the bundled shop can be copied");
    let batch = place.path().join("home/quay-bench 2026-11-25");
    fs::create_dir_all(&batch).expect("the folder can be written");
    for item in fs::read_dir(project().join("tests/journal/v1")).expect("the kept batch") {
        let item = item.expect("the kept batch");
        fs::copy(item.path(), batch.join(item.file_name())).expect("the batch can be copied");
    }
    place
}

fn run(place: &TempDir, arguments: &[&str]) -> Said {
    benchway_in(place.path(), &place.path().join("home"), arguments)
}

/// Always: The commands in the README work as it says.
#[test]
fn every_command_does_its_work() {
    let place = workplace();
    let text = readme();
    let mut count = 0;
    for line in blocks(&text, "sh").into_iter().flat_map(str::lines) {
        let words = words(line);
        if words[0] == "cargo" {
            continue;
        }
        assert_eq!(words[0], "benchway", "{line}");
        let arguments: Vec<&str> = words[1..].iter().map(String::as_str).collect();
        let Said { code, out, err: error } = run(&place, &arguments);
        if words[1] == "walk" {
            // Without a terminal it must get as far as wanting one.
            assert_eq!(code, 2, "{line}\n{error}");
            assert!(error.contains("needs a terminal"), "{line}\n{error}");
        } else {
            // What went out in the batch shown here is something to look at, and
            // so is what it teaches.
            let looked = matches!(words[1].as_str(), "review" | "learn");
            let fine = [0, i32::from(looked)];
            assert!(fine.contains(&code), "{line}\n{error}");
            assert!(!out.is_empty(), "{line}");
            assert!(error.is_empty(), "{line}\n{error}");
        }
        count += 1;
    }
    assert!(count >= 10, "only {count} commands were found");
}

#[test]
fn a_fresh_machine_needs_two_commands() {
    assert_eq!(blocks(&readme(), "sh")[0], "cargo run --release\ncargo test");
    let script = fs::read_to_string(project().join(".ci/run"));
    // The script isn't packed with the crate.
    if let Ok(script) = script {
        assert!(script.lines().any(|line| line == "cargo test"));
    }
}

#[test]
fn its_route_gives_nothing_to_look_at() {
    let place = workplace();
    let said = run(&place, &["check", "quay-bench.json"]);
    assert_eq!(said.out, "quay-bench.json: no errors, no warnings\n");
}

#[test]
fn its_piece_of_a_shop_file_can_be_used() {
    let place = workplace();
    let text = readme();
    let machine = blocks(&text, "json")[1];
    let shop = format!("{{ \"shop\": \"ours\", \"unit\": \"in\", \"machines\": {{ {machine} }} }}");
    fs::write(place.path().join("piece.json"), shop).expect("the folder can be written");
    let said = run(&place, &["check", "piece.json"]);
    assert_eq!(said.out, "piece.json: no errors, no warnings\n");
}

#[test]
fn it_begins_with_the_job() {
    let text = readme();
    let first = text.split("\n\n").nth(1).expect("a paragraph after the title");
    for said in
        ["several times over", "scale must show", "really measured", "can still save", "traveler"]
    {
        assert!(first.contains(said), "{said}");
    }
}

#[test]
fn its_keys_are_the_keys_there_are() {
    let text = readme();
    let table = text.split("| key | does |\n| --- | --- |\n").nth(1).expect("a table of keys");
    let rows: Vec<&str> = table.lines().take_while(|line| line.starts_with('|')).collect();
    let keys: Vec<String> = BINDINGS
        .iter()
        .map(|binding| format!("| `{}` | {} |", binding.name, binding.does))
        .collect();
    assert_eq!(rows, keys);
}

#[test]
fn it_names_every_kind_of_operation() {
    let text = readme();
    let list = text.split("`do` is one of ").nth(1).and_then(|rest| rest.split('.').next());
    let list = list.expect("a list of what can be done");
    let mut named: Vec<&str> = list.split('`').skip(1).step_by(2).collect();
    let mut known: Vec<&str> = KINDS.iter().map(|kind| kind.name()).collect();
    named.sort_unstable();
    known.sort_unstable();
    assert_eq!(named, known);
}
