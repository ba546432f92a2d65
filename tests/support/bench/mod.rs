//! The program as tests run it: nothing of the machine around it gets in.
#![allow(dead_code, reason = "each test file uses the part it needs")]

use std::process::Command;

pub struct Said {
    pub code: i32,
    pub out: String,
    pub err: String,
}

/// Runs the program in the project's folder with an empty environment.
pub fn benchway(arguments: &[&str]) -> Said {
    let ran = Command::new(env!("CARGO_BIN_EXE_benchway"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_clear()
        .output()
        .expect("the program was built with these tests");
    let text = |bytes| String::from_utf8(bytes).expect("only text is printed");
    Said { code: ran.status.code().unwrap_or(-1), out: text(ran.stdout), err: text(ran.stderr) }
}

/// Compares with `snapshots/NAME.snap`.
pub fn snapshot(name: &str, text: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(concat!(env!("CARGO_MANIFEST_DIR"), "/snapshots"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name, text));
}
