//! The rules of the house that no compiler checks: which room may know which,
//! and what is kept out of where. A rule without a test is only a wish.

use std::fs;
use std::path::{Path, PathBuf};

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
            "tui",
        ],
    ),
];

struct Source {
    /// From `src/` on, with forward slashes.
    path: String,
    text: String,
}

impl Source {
    fn room(&self) -> &str {
        self.path.split(['/', '.']).next().unwrap_or_default()
    }

    fn is_tests(&self) -> bool {
        self.path.ends_with("/tests.rs")
    }

    /// The text without comments, numbered by line, up to the tests of the file.
    fn code(&self) -> Vec<(usize, &str)> {
        if self.is_tests() {
            return Vec::new();
        }
        let end = self.text.find("#[cfg(test)]\nmod tests {").unwrap_or(self.text.len());
        numbered(&self.text[..end])
    }
}

/// Lines with their numbers, comments cut off.
fn numbered(text: &str) -> Vec<(usize, &str)> {
    text.lines()
        .enumerate()
        .map(|(at, line)| (at + 1, line.split("//").next().unwrap_or_default()))
        .collect()
}

fn files_under(folder: &Path, found: &mut Vec<PathBuf>) {
    for item in fs::read_dir(folder).expect("the project's own folders can be read") {
        let path = item.expect("the project's own folders can be read").path();
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        if path.is_dir() {
            if !matches!(name, "target" | ".git") {
                files_under(&path, found);
            }
        } else if name != ".git" {
            found.push(path);
        }
    }
}

fn project() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn sources() -> Vec<Source> {
    let src = project().join("src");
    let mut found = Vec::new();
    files_under(&src, &mut found);
    found.sort();
    found
        .iter()
        .map(|path| {
            let from_src = path.strip_prefix(&src).expect("found under src");
            Source {
                path: from_src.to_string_lossy().replace('\\', "/"),
                text: fs::read_to_string(path).expect("a source file is text"),
            }
        })
        .collect()
}

/// Fails with every place where a word stands and may not.
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

#[test]
fn only_the_journal_and_commands_touch_the_disk() {
    kept_out(&["fs::", " File::open", "File::create(", "OpenOptions", "tempfile"], |source| {
        matches!(source.room(), "journal" | "cli")
    });
}

#[test]
fn the_clock_is_read_in_the_loop_and_in_commands_only() {
    kept_out(&["Local::now", "Utc::now", "SystemTime", "Instant::now"], |source| {
        source.path == "tui/run.rs" || source.room() == "cli"
    });
}

#[test]
fn one_loop_owns_the_terminal() {
    kept_out(&["crossterm::terminal", "ratatui::run", "ratatui::init", "ratatui::restore"], |s| {
        s.path == "tui/run.rs"
    });
}

#[test]
fn nothing_unwraps_or_stops_half_made() {
    kept_out(&[".unwrap()", "todo!(", "unimplemented!(", "dbg!("], |_| false);
}

#[test]
fn every_file_says_what_it_is_for_and_what_it_must_not_know() {
    let bare: Vec<String> = sources()
        .into_iter()
        .filter(|source| source.text.lines().take_while(|line| line.starts_with("//!")).count() < 1)
        .map(|source| format!("src/{}", source.path))
        .collect();
    assert!(bare.is_empty(), "no line of //!: {bare:?}");
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
    // In two halves, or this file would be the one to fail.
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

/// What the page for developers claims is held by a test is held by one.
#[test]
fn every_invariant_names_a_test_there_is() {
    let page = fs::read_to_string(project().join("DEVELOPERS.md")).expect("the page is kept");
    let table = page.split("| always | test |\n| --- | --- |\n").nth(1).expect("its table");
    let mut code = String::new();
    let mut found = Vec::new();
    files_under(&project().join("src"), &mut found);
    files_under(&project().join("tests"), &mut found);
    for path in found.iter().filter(|path| path.extension().is_some_and(|ending| ending == "rs")) {
        code += &fs::read_to_string(path).expect("a source file is text");
    }
    let mut count = 0;
    for row in table.lines().take_while(|line| line.starts_with('|')) {
        let name = row.rsplit('`').nth(1).expect("a test's name stands last, in backticks");
        assert!(code.contains(&format!("fn {name}(")), "no test is called {name}");
        count += 1;
    }
    assert!(count >= 20, "only {count} invariants");
}

/// Every source file is on the map, and the map shows no file that is gone.
#[test]
fn the_map_shows_the_files_there_are() {
    let page = fs::read_to_string(project().join("DEVELOPERS.md")).expect("the page is kept");
    let table = page.split("| files | hold |\n| --- | --- |\n").nth(1).expect("its table");
    let mut shown = Vec::new();
    for row in table.lines().take_while(|line| line.starts_with('|')) {
        let cell = row.split('|').nth(1).unwrap_or_default();
        for path in cell.split('`').skip(1).step_by(2) {
            match path.split_once('{').and_then(|(at, rest)| Some((at, rest.split_once('}')?))) {
                Some((at, (names, end))) => {
                    shown.extend(names.split(',').map(|name| format!("{at}{name}{end}")));
                }
                None => shown.push(path.to_owned()),
            }
        }
    }
    for path in &shown {
        assert!(project().join(path).exists(), "the map shows {path}");
    }
    for source in sources() {
        let path = format!("src/{}", source.path);
        // A room's own file, its tests and the parts of one file are where one looks for them.
        let on_map = |path: &str| {
            shown.iter().any(|shown| {
                shown == path || (shown.ends_with('/') && path.starts_with(shown.as_str()))
            })
        };
        let within = path.rsplit_once('/').map(|(folder, _)| format!("{folder}.rs"));
        let known = path.ends_with("/mod.rs")
            || path.ends_with("/tests.rs")
            || path.starts_with("src/cli/")
            || on_map(&path)
            || within.is_some_and(|file| on_map(&file));
        assert!(known, "{path} is not on the map");
    }
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
