//! `benchway check`, through the binary: what an inspector says, and where.

use std::fs;
use std::time::{Duration, Instant};

use crate::bench::{self, Said, benchway};

fn check(file: &str) -> Said {
    benchway(&["check", file])
}

#[test]
fn the_bundled_routes_give_nothing_to_look_at_and_the_shop_names_no_lead() {
    for file in [
        "reading-stool",
        "Lantern reading stool",
        "routes/reading-stool.json",
        "boot-bench",
        "garden-bench",
        "till-chest",
        "hall-bench",
        "wall-cupboard",
    ] {
        let said = check(file);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{file}: {}", said.out);
        assert!(said.out.ends_with(": no errors, no warnings\n"), "{file}: {}", said.out);
    }
    // The bundled shop names no lead: whoever tries it has other initials.
    let said = check("routes/shop.json");
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{}", said.out);
    assert!(said.out.ends_with(": no errors, 1 warning\n"), "{}", said.out);
}

/// A batch was given, and the answer was `Is a directory`.
#[test]
fn a_folder_is_no_route() {
    for command in ["check", "settings"] {
        let said = benchway(&[command, "tests/routes"]);
        assert_ne!(said.code, 0, "{}", said.out);
        assert!(said.err.contains("`tests/routes` is a folder, not a route"), "{}", said.err);
        assert!(said.err.contains("the name of a bundled route"), "{}", said.err);
    }
}

/// Every file in `tests/routes/invalid` is a test by being there: what is said
/// about it is a snapshot of its name.
#[test]
fn every_invalid_file_has_its_message() {
    let mut files: Vec<String> = fs::read_dir("tests/routes/invalid")
        .unwrap()
        .map(|entry| entry.unwrap().path().display().to_string().replace('\\', "/"))
        .collect();
    files.sort();
    assert!(files.len() > 20);
    for file in files {
        let said = check(&file);
        assert_eq!(said.err, "", "{file}");
        let stem = file.rsplit('/').next().unwrap().trim_end_matches(".json");
        bench::snapshot(&format!("check-{stem}"), &format!("exit {}\n\n{}", said.code, said.out));
    }
}

#[test]
fn warnings_alone_are_fine_and_errors_are_not() {
    assert_eq!(check("tests/routes/invalid/unused-dimension.json").code, 0);
    assert_eq!(check("tests/routes/invalid/adds-wood.json").code, 1);
    // One bad file among good ones still counts.
    let both = benchway(&["check", "tests/routes/invalid/adds-wood.json", "reading-stool"]);
    assert_eq!(both.code, 1);
    assert!(both.out.contains("reading-stool.json: no errors, no warnings"), "{}", both.out);
}

#[test]
fn a_file_that_is_not_there_is_said_so_and_the_others_are_still_looked_at() {
    let said = benchway(&["check", "no-such.json", "reading-stool"]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("`no-such.json`"), "{}", said.err);
    assert!(said.out.contains("reading-stool.json: no errors"), "{}", said.out);
    let near = check("reading-stol");
    assert!(near.err.contains("did you mean `reading-stool`?"), "{}", near.err);
    assert_eq!(check("tests").code, 2, "a folder is no file");
}

#[test]
fn bytes_that_are_no_text_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bytes.json");
    fs::write(&path, b"{ \"route\": \"\xff\" }").unwrap();
    let said = check(path.to_str().unwrap());
    assert_eq!(said.code, 2);
    assert!(said.err.contains("byte 13"), "{}", said.err);
}

#[test]
fn a_shop_that_can_not_be_used_is_an_error_of_its_own() {
    let said = benchway(&["check", "reading-stool", "--shop", "routes/reading-stool.json"]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("unknown key `route`"), "{}", said.err);
}

#[test]
fn a_length_of_a_shop_file_is_read_in_the_unit_of_its_scale() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.json");
    let shop = r#"{ "shop": "Metric", "unit": "mm", "gauges": {
        "rule": { "unit": "in", "step": "1/64", "uncertainty": "1/128" },
        "folding rule": { "step": "1/2", "uncertainty": "0.5" } } }"#;
    fs::write(&path, shop).unwrap();
    let said = check(path.to_str().unwrap());
    assert_eq!(said.code, 1);
    assert!(said.out.contains("shop.json:3:36 in gauges, folding rule, step"), "{}", said.out);
    assert!(said.out.contains(": 1 error, no warnings"), "{}", said.out);
}

#[test]
fn a_hundred_problems_are_shown_and_the_rest_counted() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("route.json");
    let keys: Vec<String> = (0..150).map(|n| format!("\"key{n}\": 1")).collect();
    let route = format!(
        r#"{{ "route": "Keys", "unit": "in", "sets": 1, "parts": {{}}, "operations": [], {} }}"#,
        keys.join(", ")
    );
    fs::write(&path, route).unwrap();
    let said = check(path.to_str().unwrap());
    assert_eq!(said.code, 1);
    assert_eq!(said.out.matches("unknown key").count(), 100);
    assert!(said.out.contains("and 50 more\n"), "{}", said.out);
    assert!(said.out.contains(": 150 errors, no warnings"));
}

/// Always: A hostile file is refused at once.
#[test]
fn hostile_files_are_refused_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let megabyte = 1 << 20;
    let chain: Vec<String> =
        (1..1000).map(|n| format!("\"d{n}\": \"d{} + d{} / 2\"", n - 1, n - 1)).collect();
    let hostile = [
        ("brackets", "[".repeat(megabyte)),
        ("braces", "{\"a\":".repeat(megabyte / 5)),
        ("commas", format!("[{}]", ",".repeat(megabyte))),
        ("big", " ".repeat(5 * megabyte)),
        ("cut off in a letter", "\u{e9}".repeat(3 * megabyte)),
        (
            "many sets",
            r#"{ "route": "Many", "unit": "in", "sets": 4294967295, "operations": [],
            "parts": { "leg": { "per_set": 4294967295, "spares": 4294967295 } } }"#
                .to_owned(),
        ),
        (
            "brackets in a formula",
            format!(
                r#"{{ "route": "Deep", "unit": "in", "sets": 1, "parts": {{}}, "operations": [],
            "dims": {{ "a": "{}" }} }}"#,
                "(".repeat(megabyte)
            ),
        ),
        (
            "a long chain",
            format!(
                r#"{{ "route": "Chain", "unit": "in", "sets": 1, "parts": {{}}, "operations": [],
            "note": 1, "dims": {{ "d0": "1", {} }} }}"#,
                chain.join(", ")
            ),
        ),
    ];
    for (name, text) in hostile {
        let path = folder.path().join(name);
        fs::write(&path, text).unwrap();
        let start = Instant::now();
        let said = check(path.to_str().unwrap());
        let took = start.elapsed();
        assert_eq!(said.code, 1, "{name}: {}", said.err);
        assert!(said.out.len() < 40_000, "{name}: {} bytes are said", said.out.len());
        assert!(took < Duration::from_secs(1), "{name} took {took:?}");
    }
}

/// Always: The schemas in `routes/` are those that the types make.
#[test]
fn the_schemas_in_routes_are_as_the_types_make_them() {
    for of in ["route", "shop"] {
        let said = benchway(&["schema", of]);
        assert_eq!((said.code, said.err.as_str()), (0, ""));
        let path = format!("routes/{of}.schema.json");
        let kept = fs::read_to_string(&path).unwrap();
        assert!(kept == said.out, "write {path} anew: benchway schema {of} > {path}");
    }
}

/// Each kind of operation is one object that takes no key it doesn't know.
#[test]
fn the_route_schema_knows_each_kind_of_operation() {
    let text = fs::read_to_string("routes/route.schema.json").unwrap();
    let schema: serde_json::Value = serde_json::from_str(&text).unwrap();
    let kinds = schema["$defs"]["Operation"]["oneOf"].as_array().unwrap();
    let names: Vec<&str> =
        kinds.iter().map(|kind| kind["properties"]["do"]["const"].as_str().unwrap()).collect();
    let known: Vec<&str> = benchway::operation::KINDS.iter().map(|kind| kind.name()).collect();
    assert_eq!(names, known);
    for kind in kinds {
        assert_eq!(kind["additionalProperties"], false);
        for key in ["op", "part", "at", "checks", "note", "cant_be_undone"] {
            assert!(kind["properties"].get(key).is_some(), "{key} in {kind}");
        }
    }
    let references = text.matches("\"$ref\": \"#/$defs/").count();
    let defined = schema["$defs"].as_object().unwrap();
    assert!(references >= defined.len());
    for name in defined.keys() {
        assert!(text.contains(&format!("\"#/$defs/{name}\"")), "nothing refers to {name}");
    }
}

#[test]
fn without_a_command_there_is_help_and_every_command_has_its_own() {
    let help = benchway(&[]);
    assert_eq!((help.code, help.err.as_str()), (0, ""));
    for command in ["check", "settings", "schema", "completions"] {
        assert!(help.out.contains(command), "{}", help.out);
        let own = benchway(&[command, "--help"]);
        assert!(own.out.contains(&format!("  benchway {command} ")), "an example in {}", own.out);
        assert!(own.out.lines().all(|line| line.chars().count() <= 100), "{}", own.out);
    }
    assert_eq!(benchway(&["chekc"]).code, 2);
}

#[test]
fn every_shell_gets_its_completions() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let said = benchway(&["completions", shell]);
        assert_eq!(said.code, 0);
        assert!(said.out.contains("settings"), "{shell}");
        // How each completion script names its command.
        let told = match shell {
            "bash" => " benchway\n",
            "zsh" => "#compdef benchway\n",
            "fish" => "complete -c benchway ",
            "powershell" => "-CommandName 'benchway'",
            _ => "arg-completer[benchway]",
        };
        assert!(said.out.contains(told), "{shell}: {}", said.out);
    }
}

/// `benchway settings … | head -1` is no failure.
#[cfg(unix)]
#[test]
fn a_reader_that_stops_reading_is_no_failure() {
    use std::process::{Command, Stdio};
    let mut child = Command::new(env!("CARGO_BIN_EXE_benchway"))
        .args(["settings", "reading-stool", "--format", "json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let ended = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8_lossy(&ended.stderr), "");
    assert!(ended.status.success());
}
