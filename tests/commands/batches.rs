//! What is said of batches under way.

use std::fs;

use crate::bench::benchway_at_home;

/// A program with more kinds of operation wrote its frozen route.
#[test]
fn a_batch_of_a_kind_unknown_here_says_which() {
    let home = tempfile::tempdir().expect("a temporary folder");
    let arguments = ["simulate", "reading-stool", "--sets", "1", "--until", "10"];
    let made = benchway_at_home(home.path(), &arguments);
    assert_eq!(made.code, 0, "{}", made.err);
    let routes = || {
        let folders = fs::read_dir(home.path()).expect("the batches").flatten();
        folders.map(|folder| folder.path().join("route.json")).filter(|route| route.exists())
    };
    assert_eq!(routes().count(), 1);
    for route in routes() {
        let text = fs::read_to_string(&route).expect("its frozen route");
        let unknown = text.replacen("\"do\": \"rip\"", "\"do\": \"box joint\"", 1);
        assert_ne!(unknown, text);
        fs::write(&route, unknown).expect("written");
    }
    let said = benchway_at_home(home.path(), &["batches"]);
    assert_eq!(said.code, 0, "{}", said.err);
    let why = "its route can't be read: `box joint` is not a kind of operation";
    assert!(said.out.contains(why), "{}", said.out);
}

/// Each piece has its own account: of six legs the first is measured and the fourth is not,
/// and a leg that the batch doesn't have is refused with the nearest name.
#[test]
fn the_account_of_one_piece_is_its_own() {
    let home = tempfile::tempdir().expect("a temporary folder");
    let arguments = ["simulate", "reading-stool", "--sets", "1", "--until", "40", "--name", "mine"];
    let made = benchway_at_home(home.path(), &arguments);
    assert_eq!(made.code, 0, "{}", made.err);
    let of =
        |name: &str| benchway_at_home(home.path(), &["review", "invented-mine", "--piece", name]);
    let said = of("leg 1");
    for feature in ["width", "thickness"] {
        assert!(said.out.contains(&format!("leg 1, {feature}: ")), "{}{}", said.out, said.err);
    }
    assert_eq!((of("leg 4").code, of("leg 4").out.as_str()), (0, ""));
    let said = of("leg 44");
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    assert!(said.err.contains("did you mean `leg 4`?"), "{}", said.err);
}

/// What went out is listed with its operation in front.
#[test]
fn a_slip_is_listed_with_its_operation() {
    let home = tempfile::tempdir().expect("a temporary folder");
    let arguments = ["simulate", "reading-stool", "--sets", "1", "--until", "50", "--name", "mine"];
    let fault = ["--fault", "op 50 slip -1/16 at piece 3"];
    let made = benchway_at_home(home.path(), &[&arguments[..], &fault].concat());
    assert_eq!(made.code, 0, "{}", made.err);
    let said = benchway_at_home(home.path(), &["review", "invented-mine"]);
    let out = said.out.lines().find(|line| line.starts_with("  op 50"));
    assert!(out.is_some_and(|line| line.contains("leg 3: thickness 1.1")), "{}", said.out);
}
