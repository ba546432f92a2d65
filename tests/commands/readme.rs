//! The README does what it says: every command in it is run, every output it
//! shows is compared, and its route and its piece of a shop file are read.

use std::fs;
use std::path::Path;

use benchway::tui::BINDINGS;
use tempfile::TempDir;

use crate::bench::{Said, benchway, benchway_in};

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

/// The cells of a table's rows, the table found by its heading.
fn rows<'a>(text: &'a str, heading: &str) -> Vec<Vec<&'a str>> {
    let table = text.split(heading).nth(1).expect(heading);
    let rows = table.lines().skip(2).take_while(|line| line.starts_with('|'));
    rows.map(|row| row.trim_matches('|').split('|').map(str::trim).collect()).collect()
}

/// The names and examples of the commands in the table.
fn examples(text: &str) -> Vec<(&str, &str)> {
    let rows = rows(text, "| command | does | example |");
    rows.iter().map(|row| (row[0].trim_matches('`'), row[2].trim_matches('`'))).collect()
}

/// A folder with everything the README speaks of, and a home with one batch.
fn workplace() -> TempDir {
    let place = tempfile::tempdir().expect("a folder for the test");
    let text = readme();
    let save = |name: &str, content: &str| {
        fs::write(place.path().join(name), content).expect("the folder can be written");
    };
    let route = blocks(&text, "json")[1];
    assert!(text.contains(&format!("as `quay-bench.json`:\n\n```json\n{route}")));
    save("quay-bench.json", route);
    for (name, csv) in ["class.csv", "rack.csv", "slats.csv"].iter().zip(blocks(&text, "csv")) {
        assert!(text.contains(&format!("as `{name}`:\n\n```csv\n{csv}")), "{name}");
        save(name, csv);
    }
    let bundled = benchway(&["bundled", "shop"]);
    save("our-shop.json", &bundled.out);
    let batch = place.path().join("home/quay-bench 2026-11-25");
    fs::create_dir_all(&batch).expect("the folder can be written");
    for item in fs::read_dir(project().join("tests/journal/v1")).expect("the kept batch") {
        let item = item.expect("the kept batch");
        fs::copy(item.path(), batch.join(item.file_name())).expect("the batch can be copied");
    }
    place
}

/// Runs a command line of the README in the folder.
fn run(place: &TempDir, line: &str) -> Said {
    let words = words(line);
    assert_eq!(words[0], "benchway", "{line}");
    let arguments: Vec<&str> = words[1..].iter().map(String::as_str).collect();
    benchway_in(place.path(), &place.path().join("home"), &arguments)
}

/// The command does its work, or gets as far as wanting a terminal or a PIN.
fn works(place: &TempDir, line: &str) {
    let said = run(place, line);
    let command = words(line)[1].clone();
    if command == "walk" {
        assert_eq!(said.code, 2, "{line}\n{}", said.err);
        assert!(said.err.contains("needs a terminal"), "{line}\n{}", said.err);
        return;
    }
    // Here nobody types one.
    if command == "pin" {
        assert_eq!(said.code, 2, "{line}\n{}", said.err);
        assert!(said.err.contains("a PIN has at least"), "{line}\n{}", said.err);
        return;
    }
    // The batch shown here has a reading out of tolerance, and teaches something. It
    // was begun by another route, so that one can't be adopted.
    let finds = matches!(command.as_str(), "review" | "learn" | "adopt" | "makers");
    assert!(said.code == 0 || finds && said.code == 1, "{line}\n{}", said.err);
    assert!(!said.out.is_empty(), "{line}");
    assert_eq!(said.err, "", "{line}");
}

/// Always: The commands in the README work as it says.
#[test]
fn every_command_does_its_work() {
    let (place, text) = (workplace(), readme());
    let shell = blocks(&text, "sh").into_iter().flat_map(str::lines);
    let shell: Vec<&str> = shell.filter(|line| !line.starts_with("cargo ")).collect();
    // Those want a server, and a program that was built for one.
    let (served, shell): (Vec<&str>, Vec<&str>) =
        shell.into_iter().partition(|line| line.starts_with("benchway meet "));
    assert_eq!(served.len(), 4);
    assert!(shell.len() >= 3, "only {} commands outside the table", shell.len());
    for line in shell {
        works(&place, line);
    }
    for (name, example) in examples(&text) {
        assert!(example.starts_with(&format!("benchway {name}")), "{name}: {example}");
        works(&place, example);
    }
}

#[test]
fn every_output_it_shows_is_what_the_command_prints() {
    let (place, text) = (workplace(), readme());
    let mut compared = 0;
    for block in blocks(&text, "console") {
        let mut parts = block.split("$ ");
        assert_eq!(parts.next(), Some(""), "a block begins with a command");
        for part in parts {
            let (line, shown) = part.split_once('\n').expect("the output is below the command");
            let said = run(&place, line);
            assert_eq!(said.out.trim_end(), shown.trim_end(), "{line}");
            compared += 1;
        }
    }
    assert!(compared >= 3, "only {compared} outputs");
}

/// Each picture is one that the traveler's own tests draw and keep fresh.
#[test]
fn every_picture_it_shows_is_one_the_traveler_draws() {
    let text = readme();
    let shown: Vec<&str> =
        text.split("](snapshots/").skip(1).filter_map(|rest| rest.split(')').next()).collect();
    assert!(!shown.is_empty(), "it shows no screen");
    for name in shown {
        assert!(name.starts_with("picture-") && name.ends_with(".svg"), "{name}");
        assert!(project().join("snapshots").join(name).is_file(), "{name}");
    }
}

#[test]
fn every_command_is_in_the_table() {
    let help = benchway(&["--help"]).out;
    let list = help.split("Commands:\n").nth(1).and_then(|rest| rest.split("\n\n").next());
    let mut known: Vec<&str> = list
        .expect("the help lists the commands")
        .lines()
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|name| !name.is_empty() && *name != "help")
        .collect();
    let text = readme();
    let mut shown: Vec<&str> = examples(&text).into_iter().map(|(name, _)| name).collect();
    known.sort_unstable();
    shown.sort_unstable();
    assert_eq!(shown, known);
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
fn its_piece_of_a_shop_file_can_be_used() {
    let place = workplace();
    let text = readme();
    let machine = blocks(&text, "json")[0];
    let people = r#""people": { "MB": { "lead": true } }"#;
    let machines = format!(r#""machines": {{ {machine} }}"#);
    let shop = format!(r#"{{ "shop": "ours", "unit": "in", {people}, {machines} }}"#);
    fs::write(place.path().join("piece.json"), shop).expect("the folder can be written");
    let said = run(&place, "benchway check piece.json");
    assert_eq!(said.out, "piece.json: no errors, no warnings\n");
}

#[test]
fn it_begins_with_the_job() {
    let text = readme();
    let first = text.split("\n\n").nth(1).expect("a paragraph after the title");
    for said in [
        "terminal shop traveler",
        "small or teaching wood shop",
        "scale must show",
        "actually measure",
        "can still save",
        "where a part went out of tolerance",
    ] {
        assert!(first.contains(said), "{said}");
    }
}

#[test]
fn the_keys_it_explains_do_what_it_says() {
    let text = readme();
    let shown = rows(&text, "| key | does |");
    assert!(shown.len() >= 5, "only {} keys", shown.len());
    for row in shown {
        let known = BINDINGS
            .iter()
            .any(|binding| format!("`{}`", binding.name) == row[0] && binding.does == row[1]);
        assert!(known, "{row:?}");
    }
}
