//! The program as tests run it: nothing from the surrounding system gets in.
#![allow(dead_code, reason = "each test file uses the part it needs")]

use std::path::Path;
use std::process::{Command, Stdio};

use benchway::journal::{BatchId, Beginning, Home, OpenBatch, OpenError};
use chrono::{DateTime, FixedOffset};

pub struct Said {
    pub code: i32,
    pub out: String,
    pub err: String,
}

/// Runs the program in the project's folder with an empty environment.
pub fn benchway(arguments: &[&str]) -> Said {
    ran(&mut command(Path::new(env!("CARGO_MANIFEST_DIR")), arguments))
}

/// Runs the program in the project's folder; it keeps its batches in `home`.
pub fn benchway_at_home(home: &Path, arguments: &[&str]) -> Said {
    let project = Path::new(env!("CARGO_MANIFEST_DIR"));
    ran(command(project, arguments).env("BENCHWAY_HOME", home))
}

/// Runs the program in a folder; it keeps its batches in `home`.
pub fn benchway_in(folder: &Path, home: &Path, arguments: &[&str]) -> Said {
    ran(command(folder, arguments).env("BENCHWAY_HOME", home))
}

fn command(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchway"));
    command.args(arguments).current_dir(folder).env_clear().stdin(Stdio::null());
    // Whoever runs the tests may keep a shop of their own.
    command.env("HOME", concat!(env!("CARGO_TARGET_TMPDIR"), "/nobody"));
    command
}

fn ran(command: &mut Command) -> Said {
    let ran = command.output().expect("the program was built with these tests");
    let text = |bytes| String::from_utf8(bytes).expect("the program prints text");
    Said { code: ran.status.code().unwrap_or(-1), out: text(ran.stdout), err: text(ran.stderr) }
}

/// The JSON that a command prints, and its exit code; it prints no error.
pub fn json(said: &Said) -> (i32, serde_json::Value) {
    assert_eq!(said.err, "");
    (said.code, serde_json::from_str(&said.out).expect("JSON is printed"))
}

/// A number in JSON is within that distance of what is expected.
pub fn near(found: &serde_json::Value, expected: f64, within: f64) {
    let found = found.as_f64().unwrap_or_else(|| panic!("{found} is no number"));
    assert!((found - expected).abs() <= within, "{found}, expected {expected}");
}

/// Compares with `snapshots/NAME.snap`.
pub fn snapshot(name: &str, text: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(concat!(env!("CARGO_MANIFEST_DIR"), "/snapshots"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name, text));
}

/// Begins a batch at a station, without boards.
pub fn begin(
    home: &Home,
    name: &str,
    (route, shop): (&str, &str),
    station: &str,
    at: DateTime<FixedOffset>,
    word: Option<&str>,
) -> Result<OpenBatch, OpenError> {
    let holder = "a test";
    let id = BatchId::worked_out(name.as_bytes());
    let beginning =
        Beginning { name, id, route, shop, station, holder, at, word, boards: &[], makers: &[] };
    OpenBatch::start(home, &beginning)
}
