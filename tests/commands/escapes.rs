//! Nothing that a file, a name or a path holds acts on the terminal.
#![cfg(unix)]

use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

/// Sets the window's title, rings the bell, clears the screen by a C1 sign, deletes.
const HOSTILE: &str = "\u{1b}]0;x\u{7}\u{9b}2J\u{7f}\r\u{8}";

/// The texts of a journal line that a person typed, by their keys.
const TYPED: [&str; 9] = ["who", "by", "why", "text", "typed", "gauge", "note", "name", "present"];

fn hostile(text: &str) -> String {
    format!("{text}{HOSTILE}")
}

/// Puts hostile signs behind every typed text in a value.
fn spoil(value: &mut Value, is_typed: bool) {
    match value {
        Value::String(text) if is_typed => *text = hostile(text),
        Value::Array(all) => all.iter_mut().for_each(|one| spoil(one, is_typed)),
        Value::Object(keys) => {
            for (key, one) in keys {
                spoil(one, TYPED.contains(&key.as_str()));
            }
        }
        _ => {}
    }
}

/// Spoils each line of a journal and seals it anew.
fn spoil_journal(path: &Path) {
    let text = fs::read_to_string(path).expect("a journal");
    let lines = text.lines().map(|line| {
        let mut value: Value = serde_json::from_str(line).expect("a line");
        value.as_object_mut().expect("an object").remove("crc");
        spoil(&mut value, false);
        let body = serde_json::to_string(&value).expect("plain data");
        let body = body.strip_suffix('}').expect("an object");
        format!("{body},\"crc\":\"{:08x}\"}}\n", crc32fast::hash(body.as_bytes()))
    });
    let spoiled: String = lines.collect();
    fs::write(path, spoiled).expect("written");
}

struct Shop {
    folder: tempfile::TempDir,
}

impl Shop {
    fn home(&self) -> PathBuf {
        self.folder.path().join(hostile("home"))
    }

    fn write(&self, name: &str, text: &str) -> PathBuf {
        let path = self.folder.path().join(hostile(name));
        fs::write(&path, text).expect("written");
        path
    }

    /// Runs a command; what it prints is safe to show. Answers with its exit code.
    fn run(&self, words: &[&OsStr]) -> i32 {
        let mut command = Command::new(env!("CARGO_BIN_EXE_benchway"));
        command.args(words).current_dir(self.folder.path()).stdin(Stdio::null());
        command.env_clear().env("BENCHWAY_HOME", self.home());
        let ran = command.output().expect("the program was built with these tests");
        for bytes in [&ran.stdout, &ran.stderr] {
            let text = std::str::from_utf8(bytes).expect("text");
            let acts = |letter: &char| letter.is_control() && *letter != '\n';
            let found = text.split('\n').find(|line| line.chars().any(|letter| acts(&letter)));
            assert_eq!(found, None, "{words:?}");
        }
        ran.status.code().unwrap_or(-1)
    }

    fn says(&self, words: &[&str], path: &Path) -> i32 {
        let words = words.iter().map(OsStr::new);
        let words: Vec<&OsStr> =
            words.map(|word| if word == "PATH" { path.as_os_str() } else { word }).collect();
        self.run(&words)
    }
}

/// A batch with readings, notes and boards whose journal, route, shop and names are hostile.
fn spoiled() -> Shop {
    let shop = Shop { folder: tempfile::tempdir().expect("a folder") };
    let none = Path::new("");
    let fault = ["--fault", "op 50 slip -1/16 at piece 3"];
    let words = ["simulate", "reading-stool", "--sets", "1", "--until", "60", "--name", "mine"];
    assert_eq!(shop.says(&[&words[..], &fault].concat(), none), 0);
    let racked = ["walk", "--plain", "reading-stool", "--boards", "stool-boards", "--sets", "1"];
    assert_eq!(shop.says(&[&racked[..], &["--name", "racked"]].concat(), none), 0);
    for batch in ["invented-mine", "racked"] {
        let folder = shop.home().join(batch);
        for file in fs::read_dir(&folder).expect("the batch").flatten() {
            let path = file.path();
            if path.extension().is_some_and(|ending| ending == "jsonl") {
                spoil_journal(&path);
            }
        }
        for (file, from) in
            [("route.json", "Lantern reading stool"), ("shop.json", "Lantern Lane teaching shop")]
        {
            let text = fs::read_to_string(folder.join(file)).expect("its copy");
            let escaped = serde_json::to_string(&hostile(from)).expect("a text");
            let spoiled = text.replace(from, escaped.trim_matches('"'));
            assert_ne!(spoiled, text);
            fs::write(folder.join(file), spoiled).expect("written");
        }
        fs::write(folder.join(hostile("other") + ".jsonl"), "no line\n").expect("written");
        let beside = shop.home().join(hostile(batch));
        fs::create_dir(&beside).expect("made");
        fs::write(beside.join("cart.jsonl"), "no line\n").expect("written");
    }
    shop
}

#[test]
fn no_command_passes_on_what_would_act_on_the_terminal() {
    let shop = spoiled();
    for stem in ["invented-mine", "racked"] {
        let batch = PathBuf::from(stem);
        let run = |words: &[&str]| shop.says(words, &batch);
        let formats: [&[&str]; 2] = [&[], &["--format", "json"]];
        for format in formats {
            for words in [
                &["export", "PATH"][..],
                &["export", "PATH", "--boards"],
                &["export", "PATH", "--notes"],
                &["fits", "PATH", "--trials", "100"],
                &["stock", "PATH"],
            ] {
                let code = run(&[words, format].concat());
                assert!(code < 2, "{words:?} of {stem}");
            }
            let route = shop.home().join(stem).join("route.json");
            for words in [
                &["settings", "PATH"][..],
                &["fits", "PATH", "--trials", "100"],
                &["stock", "PATH"],
                &["boards", "PATH", "stool-boards"],
            ] {
                let code = shop.says(&[words, format].concat(), &route);
                assert!(code < 2, "{words:?} of {stem}");
            }
            for words in [
                &["review", "PATH"][..],
                &["review", "PATH", "--piece", "leg 1"],
                &["review", "PATH", "--piece", HOSTILE],
                &["learn", "PATH"],
            ] {
                run(&[words, format].concat());
            }
        }
        for words in [
            &["adopt", "PATH", "reading-stool"][..],
            &["walk", "--plain", "PATH"],
            &["walk", "--plain", "PATH", "--station", HOSTILE],
            &["chart", "PATH"],
        ] {
            run(words);
        }
    }
    // A file of another name in the batch has to be looked at.
    for (words, code) in
        [(&["batches"][..], 1), (&["batches", "--archived"], 0), (&["walk", "--plain"], 0)]
    {
        assert_eq!(shop.says(words, Path::new("")), code, "{words:?}");
    }
}

#[test]
fn no_error_passes_on_what_would_act_on_the_terminal() {
    let shop = Shop { folder: tempfile::tempdir().expect("a folder") };
    let not_json = shop.write("broken", &format!("{{ \"{HOSTILE}\": 1,\n \"a\": \u{9b}"));
    let a_route = benchway::route::BUNDLED[0].text.replacen("\"unit\"", "\"u\u{9b}\u{7f}nit\"", 1);
    let a_route = shop.write("route", &a_route);
    let rack = format!("board,species,class\u{9b}\nB1{HOSTILE},white oak,5/4\n");
    let rack = shop.write("rack", &rack);
    let readings = shop.write("readings", &format!("slat,thickness{HOSTILE}\n1,0.8{HOSTILE}\n"));
    let missing = PathBuf::from(hostile("missing"));
    for path in [&not_json, &a_route, &rack, &readings, &missing] {
        for words in [
            &["check", "PATH"][..],
            &["check", "PATH", "PATH"],
            &["check", "reading-stool", "--shop", "PATH"],
            &["settings", "PATH"],
            &["fits", "PATH"],
            &["stock", "PATH"],
            &["boards", "PATH"],
            &["boards", "reading-stool", "PATH"],
            &["boards", "reading-stool", "PATH", "--format", "json"],
            &["walk", "--plain", "PATH"],
            &["walk", "--plain", "reading-stool", "--boards", "PATH"],
            &["walk", "--plain", "reading-stool", "--name", "PATH"],
            &["export", "PATH"],
            &["review", "PATH"],
            &["learn", "PATH"],
            &["adopt", "PATH", "PATH"],
            &["chart", "PATH", "--unit", "in"],
            &["chart", "PATH", "--column", "PATH", "--unit", "in"],
            &["wood", "movement", "--species", "PATH", "--size", "300mm", "--from", "8"],
            &["wood", "species", "PATH"],
            &["simulate", "reading-stool", "--fault", "PATH"],
            &["simulate", "PATH"],
            &["simulate", "reading-stool", "--until", "10", "--name", "PATH"],
            &["bundled", "PATH"],
            &["kinds", "PATH"],
            &["pin", "PATH"],
            &["--home", "PATH", "pin", "MB"],
            &["PATH"],
            &["--PATH", "PATH"],
            &["batches", "PATH"],
            &["settings", "reading-stool", "--with", "PATH"],
            &["settings", "reading-stool", "--format", "PATH"],
            &["--home", "PATH", "batches"],
            &["--home", "PATH", "export", "PATH"],
            &["--home", "PATH", "walk", "--plain", "reading-stool"],
        ] {
            shop.says(words, path);
        }
    }
}
