//! What a terminal keeps of its server, and which commands ask for it.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use benchway::meet::MemberRole;

use super::database::{Database, PASSWORD};

/// Runs a command in a folder, with nothing in the environment that names a server.
fn run(home: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchway"));
    command.env_clear().env("PATH", std::env::var_os("PATH").unwrap_or_default());
    command.current_dir(home).env("BENCHWAY_HOME", home).args(arguments);
    command.output().expect("the program was built")
}

fn complaints(ran: &Output) -> String {
    String::from_utf8_lossy(&ran.stderr).into_owned()
}

/// The discard port: nothing answers there.
const NOBODY: &str = r#"{"server":"postgres://planer@127.0.0.1:9/wood","station":"planer"}"#;

#[test]
fn a_broken_file_of_the_server_stops_no_command_that_needs_none() {
    let home = tempfile::tempdir().expect("a folder");
    fs::write(home.path().join("meet.json"), "{").expect("written");
    for arguments in [
        &["wood", "species"][..],
        &["completions", "bash"],
        &["kinds"],
        &["settings", "reading-stool"],
        &["fits", "reading-stool"],
        &["stock", "reading-stool"],
    ] {
        let ran = run(home.path(), arguments);
        assert_eq!(complaints(&ran), "", "{arguments:?}");
        assert_ne!(ran.status.code(), Some(2), "{arguments:?}");
    }
    let ran = run(home.path(), &["batches"]);
    assert!(complaints(&ran).contains("benchway meet join"), "{}", complaints(&ran));
}

#[test]
fn only_a_batch_has_a_command_ask_the_server() {
    let home = tempfile::tempdir().expect("a folder");
    fs::write(home.path().join("meet.json"), NOBODY).expect("written");
    fs::copy("routes/reading-stool.json", home.path().join("own.json")).expect("copied");
    for arguments in [
        &["fits", "own.json"][..],
        &["stock", "reading-stool"],
        &["settings", "own.json"],
        &["boards", "reading-stool", "rack"],
    ] {
        let said = complaints(&run(home.path(), arguments));
        assert!(!said.contains("this is what is here"), "{arguments:?}: {said}");
    }
    for arguments in [&["fits", "trays"][..], &["stock", "trays"], &["review", "trays"]] {
        let said = complaints(&run(home.path(), arguments));
        assert!(said.contains("this is what is here"), "{arguments:?}: {said}");
    }
}

#[cfg(unix)]
#[test]
#[ignore = "needs PostgreSQL"]
fn a_terminal_that_joined_with_a_file_goes_on_with_it() {
    use std::os::unix::fs::PermissionsExt;

    let database = Database::make();
    let login = database.add("planer", "north", Some("planer"), MemberRole::Station);
    let home = tempfile::tempdir().expect("a folder");
    let file = home.path().join("kept-elsewhere");
    fs::write(&file, PASSWORD).expect("written");
    fs::set_permissions(&file, fs::Permissions::from_mode(0o600)).expect("closed");
    let address = database.address(&login, database.port());
    // The file is named as it is seen from here, and found from anywhere later.
    let joined = run(home.path(), &["meet", "join", &address, "--password-file", "kept-elsewhere"]);
    assert_eq!(joined.status.code(), Some(0), "{}", complaints(&joined));
    let kept = fs::read_to_string(home.path().join("meet.json")).expect("kept");
    assert!(!kept.contains(PASSWORD), "{kept}");
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchway"));
    command.env_clear().current_dir("/").env("BENCHWAY_HOME", home.path()).arg("batches");
    let ran = command.output().expect("the program was built");
    assert_eq!((ran.status.code(), complaints(&ran).as_str()), (Some(0), ""));
}
