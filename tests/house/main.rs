//! The rules of the house that no compiler checks: which room may use which,
//! what stays out of a room, how large files and functions may be.

mod source;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use source::{
    Graph, Source, always_held, files_under, functions, numbered, project, sources, sources_in,
    types,
};

use benchway::operation::KINDS;

/// The rooms, each with the rooms it may know.
const ROOMS: &[(&str, &[&str])] = &[
    ("prose", &[]),
    ("measure", &["prose"]),
    ("series", &["prose"]),
    ("document", &["prose"]),
    ("formula", &["prose", "measure"]),
    ("wood", &["prose", "measure", "formula"]),
    ("shop", &["prose", "measure", "document", "formula", "wood"]),
    ("operation", &["prose", "measure", "document", "formula", "wood", "shop"]),
    ("route", &["prose", "measure", "document", "formula", "wood", "shop", "operation"]),
    ("plan", &["prose", "measure", "document", "formula", "wood", "shop", "operation", "route"]),
    (
        "stock",
        &["prose", "measure", "document", "formula", "wood", "shop", "operation", "route", "plan"],
    ),
    (
        "journal",
        &[
            "prose",
            "measure",
            "document",
            "formula",
            "wood",
            "shop",
            "operation",
            "route",
            "plan",
            "stock",
        ],
    ),
    (
        "fits",
        &[
            "prose",
            "measure",
            "document",
            "formula",
            "wood",
            "shop",
            "operation",
            "route",
            "plan",
            "stock",
            "series",
            "journal",
        ],
    ),
    (
        "work",
        &[
            "prose",
            "measure",
            "document",
            "formula",
            "wood",
            "shop",
            "operation",
            "route",
            "plan",
            "stock",
            "series",
            "journal",
        ],
    ),
    (
        "simulate",
        &[
            "prose",
            "measure",
            "document",
            "formula",
            "wood",
            "shop",
            "operation",
            "route",
            "plan",
            "stock",
            "series",
            "journal",
            "work",
        ],
    ),
    (
        "review",
        &[
            "prose",
            "measure",
            "document",
            "formula",
            "wood",
            "shop",
            "operation",
            "route",
            "plan",
            "stock",
            "series",
            "journal",
            "fits",
            "work",
        ],
    ),
    (
        "learn",
        &[
            "prose",
            "measure",
            "document",
            "formula",
            "wood",
            "shop",
            "operation",
            "route",
            "plan",
            "stock",
            "series",
            "journal",
            "work",
            "review",
        ],
    ),
    (
        "paper",
        &[
            "prose",
            "measure",
            "formula",
            "wood",
            "shop",
            "operation",
            "route",
            "plan",
            "stock",
            "series",
            "journal",
            "fits",
            "work",
            "review",
            "learn",
        ],
    ),
    ("meet", &["prose", "journal"]),
    (
        "tui",
        &[
            "prose",
            "measure",
            "document",
            "formula",
            "wood",
            "shop",
            "operation",
            "route",
            "plan",
            "stock",
            "series",
            "journal",
            "fits",
            "work",
            "simulate",
            "review",
            "learn",
            "paper",
        ],
    ),
    (
        "cli",
        &[
            "prose",
            "measure",
            "document",
            "formula",
            "wood",
            "shop",
            "operation",
            "route",
            "plan",
            "stock",
            "series",
            "journal",
            "fits",
            "work",
            "simulate",
            "review",
            "learn",
            "paper",
            "meet",
            "tui",
        ],
    ),
];

/// Fails with every place where a forbidden word stands.
fn kept_out(words: &[&str], allowed: impl Fn(&Source) -> bool) {
    let mut found = Vec::new();
    for source in sources().iter().filter(|source| !allowed(source)) {
        for (at, line) in source.code() {
            if let Some(word) = words.iter().find(|word| line.contains(**word)) {
                found.push(format!("src/{}:{at}: {word}", source.path));
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// The rooms named after `crate::` in a text, also within braces.
fn rooms_used(text: &str) -> Vec<String> {
    let mut used = Vec::new();
    for rest in text.split("crate::").skip(1) {
        let list = rest.strip_prefix('{').and_then(|rest| rest.split('}').next());
        for name in list.unwrap_or(rest).split(',').take(if list.is_some() { 99 } else { 1 }) {
            let end = |c: char| !c.is_alphanumeric() && c != '_';
            let name = name.trim().split(end).next().unwrap_or_default();
            if !name.is_empty() {
                used.push(name.to_owned());
            }
        }
    }
    used
}

/// Always: A room uses only the rooms below it.
#[test]
fn the_arrows_run_one_way() {
    let mut wrong = Vec::new();
    for source in sources() {
        let room = source.room();
        if room == "lib" || room == "main" {
            continue;
        }
        let Some((_, may_know)) = ROOMS.iter().find(|(name, _)| *name == room) else {
            panic!("src/{} stands in no room of the map", source.path);
        };
        // Tests too: a room that needs a later one to be tested is not apart from it.
        let code: Vec<&str> = numbered(&source.text).into_iter().map(|(_, line)| line).collect();
        for used in rooms_used(&code.join("\n")) {
            if used != room && !may_know.contains(&used.as_str()) {
                wrong.push(format!("src/{} uses {used}", source.path));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn rooms_are_found_within_braces_and_without() {
    assert_eq!(rooms_used("use crate::measure::{Length, Unit};"), ["measure"]);
    assert_eq!(rooms_used("use crate::{\n    route,\n    shop::Shop,\n};"), ["route", "shop"]);
    assert_eq!(rooms_used("let a = crate::plan::walk(b, c);"), ["plan"]);
}

#[test]
fn every_room_is_in_the_library_in_the_order_of_the_map() {
    let library = fs::read_to_string(project().join("src/lib.rs")).expect("the library's root");
    let order: Vec<&str> = library
        .lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .collect();
    let map: Vec<&str> = ROOMS.iter().map(|(name, _)| *name).collect();
    assert_eq!(order, map);
}

/// Always: Only `journal`, `meet` and `cli` touch the disk.
#[test]
fn only_the_journal_and_commands_touch_the_disk() {
    kept_out(&["fs::", " File::open", "File::create(", "OpenOptions", "tempfile"], |source| {
        matches!(source.room(), "journal" | "meet" | "cli")
    });
}

/// Always: Only the clock of the traveler and the commands read the time.
///
/// Beside them, what waits for the terminal knows how long nothing came.
#[test]
fn the_time_is_read_in_one_place_and_in_commands_only() {
    kept_out(&["Local::now", "Utc::now", "SystemTime", "Instant::now"], |source| {
        matches!(source.path.as_str(), "tui/clock.rs" | "tui/input/bytes.rs")
            || matches!(source.room(), "meet" | "cli")
    });
}

/// Always: One loop owns the terminal.
///
/// Beside it, a command reads a line unseen.
#[test]
fn one_loop_owns_the_terminal() {
    kept_out(&["crossterm::terminal", "ratatui::run", "ratatui::init", "ratatui::restore"], |s| {
        matches!(s.path.as_str(), "tui/run.rs" | "tui/unseen.rs")
    });
}

/// Always: Nothing outside tests unwraps.
#[test]
fn nothing_unwraps_or_stops_half_made() {
    kept_out(&[".unwrap()", "todo!(", "unimplemented!(", "dbg!("], |_| false);
}

#[test]
fn no_file_is_named_after_nothing() {
    const EMPTY_WORDS: [&str; 8] =
        ["util", "utils", "helper", "helpers", "common", "manager", "misc", "stuff"];
    let mut found = Vec::new();
    files_under(&project().join("src"), &mut found);
    files_under(&project().join("tests"), &mut found);
    for path in found {
        let within = path.strip_prefix(project()).expect("found under the project");
        for part in within.components() {
            let name = part.as_os_str().to_string_lossy();
            let stem = name.split('.').next().unwrap_or_default();
            let words: Vec<&str> = stem.split(['_', '-']).collect();
            assert!(!words.iter().any(|word| EMPTY_WORDS.contains(word)), "{}", within.display());
        }
    }
}

#[test]
fn no_file_knows_the_machine_it_was_written_on() {
    // In two halves, or this file itself would fail.
    let paths = [["/wo", "rk/"], ["/tm", "p/"], ["/ho", "me/"], ["/ro", "ot/"], ["C:\\Us", "ers"]]
        .map(|halves| halves.concat());
    let mut found = Vec::new();
    files_under(project(), &mut found);
    for path in found {
        let Ok(text) = fs::read_to_string(&path) else { continue };
        for word in &paths {
            // `src/work/` is a room of this house; a path of a machine begins at its slash.
            let absolute = text.match_indices(word.as_str()).any(|(at, _)| {
                !text[..at].ends_with(|before: char| before.is_alphanumeric() || before == '.')
            });
            assert!(!absolute, "{} holds {word}", path.display());
        }
    }
}

/// No crate from a folder or a repository: only what the index of all crates has.
#[test]
fn every_crate_comes_from_an_index() {
    let lock = fs::read_to_string(project().join("Cargo.lock")).expect("the lock file is kept");
    for line in lock.lines().filter(|line| line.starts_with("source = ")) {
        assert!(line.starts_with("source = \"registry+"), "{line}");
    }
}

#[test]
fn every_file_says_what_it_is_for() {
    let silent: Vec<String> = sources()
        .into_iter()
        .filter(|source| !source.text.starts_with("//! "))
        .map(|source| format!("src/{}", source.path))
        .collect();
    assert!(silent.is_empty(), "these files do not begin with a //! sentence: {silent:?}");
}

#[test]
fn every_room_says_what_it_must_not_know() {
    let silent: Vec<String> = sources()
        .into_iter()
        .filter(Source::is_head_of_room)
        .filter(|source| {
            let head = source.text.lines().take_while(|line| line.starts_with("//!"));
            let head = head.map(|line| &line[3..]).collect::<String>().to_lowercase();
            !["must not know", "knows nothing", "know nothing", "knows none"]
                .iter()
                .any(|said| head.contains(said))
        })
        .map(|source| format!("src/{}", source.path))
        .collect();
    assert!(silent.is_empty(), "these rooms do not say what they must not know: {silent:?}");
}

/// Always: No file imports itself through other files.
#[test]
fn no_files_import_each_other_in_a_circle() {
    let sources = sources();
    let graph = Graph::of(&sources);
    let found: Vec<String> = graph.circles().into_iter().map(|circle| circle.join(", ")).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn no_function_has_more_than_eighty_lines() {
    let mut found = Vec::new();
    for source in sources() {
        for (name, lines) in functions(&source) {
            if lines > 80 {
                found.push(format!("src/{} {name} has {lines} lines", source.path));
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn no_file_has_more_than_five_hundred_lines() {
    let mut found = Vec::new();
    for source in sources() {
        let lines = source.text.lines().count();
        if lines > 500 {
            found.push(format!("src/{} has {lines} lines", source.path));
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn each_type_name_is_defined_once() {
    let mut defined: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for source in sources() {
        for name in types(&source) {
            defined.entry(name).or_default().insert(source.path.clone());
        }
    }
    let found: Vec<String> = defined
        .into_iter()
        .filter(|(_, files)| files.len() > 1)
        .map(|(name, files)| format!("{name}: {}", files.into_iter().collect::<Vec<_>>().join(" ")))
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// The table of what always holds is made from the tests: a test that holds a
/// law says so in a line of its own, `/// Always: ` and a sentence.
#[test]
fn the_table_of_what_always_holds_is_made_from_the_tests() {
    let mut held: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for source in ["src", "tests"].into_iter().flat_map(sources_in) {
        for (sentence, test) in always_held(&source) {
            held.entry(sentence).or_default().insert(test);
        }
    }
    assert!(held.len() >= 50, "only {} sentences", held.len());
    let rows = held.into_iter().map(|(sentence, tests)| {
        let tests: Vec<String> = tests.into_iter().map(|test| format!("    {test}\n")).collect();
        format!("{sentence}\n{}", tests.concat())
    });
    let table: String = rows.collect();
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(project().join("snapshots"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!("what-always-holds", table));
}

/// Kinds and features are types: other rooms ask the operation.
#[test]
fn only_operation_compares_kinds_and_features_by_name() {
    let mut words: Vec<String> = KINDS.iter().map(|kind| format!("\"{}\"", kind.name())).collect();
    words.extend(
        ["length", "width", "thickness", "depth", "size", "gap"].map(|last| format!("\"{last}\"")),
    );
    let mut found = Vec::new();
    for source in sources().iter().filter(|source| source.room() != "operation") {
        for (at, line) in source.code() {
            if let Some(word) = words.iter().find(|word| compares(line, word)) {
                found.push(format!("src/{}:{at} compares {word}", source.path));
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// Whether a line compares something with a literal: by an operator, as a
/// pattern, or as the start or end of a text.
fn compares(line: &str, literal: &str) -> bool {
    let before = ["== ", "!= ", "| ", "with(", "_suffix(", "_prefix("];
    let after = [" ==", " !=", " |", " =>", " if "];
    line.match_indices(literal).any(|(at, _)| {
        let (start, end) = (&line[..at], &line[at + literal.len()..]);
        before.iter().any(|sign| start.ends_with(sign))
            || after.iter().any(|sign| end.starts_with(sign))
            || start.contains("matches!(")
    })
}

#[test]
fn comparisons_are_told_from_other_uses() {
    for line in [
        "if step.kind.name() == \"plane\" {",
        "\"plane\" | \"sand\" => 1,",
        "matches!(kind.name(), \"plane\")",
        "feature.ends_with(\"width\")",
    ] {
        let literal = if line.contains("width") { "\"width\"" } else { "\"plane\"" };
        assert!(compares(line, literal), "{line}");
    }
    assert!(!compares("(shows(marked), \"measure\"),", "\"measure\""));
    assert!(!compares("Column::Width => \"width\",", "\"width\""));
}
