//! What is said of batches under way.

use std::fs;

use crate::bench::{benchway_at_home, json, near};

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
    assert_eq!(said.code, 1, "{}", said.err);
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
    // For programs: what was added comes to what it missed, and to what was read last.
    let words = ["review", "invented-mine", "--piece", "leg 1", "--format", "json"];
    let (code, ways) = json(&benchway_at_home(home.path(), &words));
    let ways = ways.as_array().expect("a list");
    let features: Vec<&str> = ways.iter().filter_map(|way| way["feature"].as_str()).collect();
    assert_eq!((code, features), (0, vec!["width", "thickness"]));
    for way in ways {
        let number = |of: &serde_json::Value| of.as_f64().expect("a number");
        let added = way["added"].as_array().expect("a list");
        let sum: f64 = added.iter().map(|one| number(&one["amount"])).sum();
        near(&way["miss"], sum, 1e-6);
        let last = way["measured"].as_array().and_then(|all| all.last()).expect("a reading");
        near(&way["miss"], number(&last["value"]) - number(&last["wanted"]), 1e-6);
        assert_eq!((&last["verdict"], &way["out_at"]), (&"in".into(), &serde_json::Value::Null));
        assert!(number(&last["uncertainty"]) > 0.0);
    }
    let none = benchway_at_home(
        home.path(),
        &["review", "invented-mine", "--piece", "leg 4", "--format", "json"],
    );
    assert_eq!(json(&none), (0, serde_json::json!([])));
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
    // 1.188 for 1.250, and nothing was measured since the jointer.
    for line in [
        "invented-mine: invented; 1 stool, 21 readings, 1 out",
        "          limits 1.242 to 1.258 in: too thin by 0.055; set aside",
        "  One slip: leg 3 is 0.063 thinner than the others, which are alike.",
        "What each operation added to the pieces still out",
        "  leg 3, thickness: 0.063 too thin",
        "    op 20 to 50         #####|        -0.063 +-0.003",
        "    Out at op 50, where it was first measured.",
        "    Nothing was measured between op 20 and op 50, so they share the error.",
    ] {
        assert!(said.out.lines().any(|shown| shown == line), "{line}\n{}", said.out);
    }
    let words = ["review", "invented-mine", "--format", "json"];
    let (_, answer) = json(&benchway_at_home(home.path(), &words));
    let [out] = answer["out"].as_array().expect("a list").as_slice() else { panic!("{answer}") };
    assert_eq!((&out["op"], &out["feature"]), (&50.into(), &"thickness".into()));
    near(&out["value"], 1.188, 0.0005);
    near(&out["wanted"], 1.25, 1e-9);
    assert_eq!(
        (&answer["sets"], &answer["readings"], &answer["unit"]),
        (&1.into(), &21.into(), &"in".into())
    );
}

/// An archived batch is listed on its own, still read by name with a word that says
/// so, and walked only once it is brought back.
#[test]
fn an_archived_batch_is_read_and_not_walked() {
    let home = tempfile::tempdir().expect("a temporary folder");
    let run = |arguments: &[&str]| benchway_at_home(home.path(), arguments);
    assert!(run(&["batches", "--archived"]).out.starts_with("No batch is archived."));
    let made =
        run(&["simulate", "reading-stool", "--sets", "1", "--until", "40", "--name", "mine"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let before = [run(&["review", "invented-mine"]), run(&["export", "invented-mine"])];
    let listed = run(&["batches"]).out;
    let archive = home.path().join("archive");
    fs::create_dir(&archive).expect("made");
    fs::rename(home.path().join("invented-mine"), archive.join("invented-mine")).expect("moved");
    assert!(run(&["batches"]).out.starts_with("No batch is under way."));
    assert_eq!(run(&["batches", "--archived"]).out, listed);
    let after = [run(&["review", "invented-mine"]), run(&["export", "invented-mine"])];
    for (before, after) in before.iter().zip(&after) {
        assert_eq!((after.code, &after.out), (before.code, &before.out));
        assert_eq!(after.err, format!("note: `invented-mine` is archived\n{}", before.err));
    }
    let refused = run(&["walk", "--plain", "invented-mine"]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("bring it back first"), "{}", refused.err);
    // Its name stays taken.
    let again =
        run(&["simulate", "reading-stool", "--sets", "1", "--until", "10", "--name", "mine"]);
    assert_eq!(again.code, 2, "{}", again.out);
    assert!(again.err.contains("already exists"), "{}", again.err);
}

/// Any path is a route: spaces, dots, a dot in front, no ending at all.
#[test]
fn a_route_file_of_any_name_is_begun() {
    let home = tempfile::tempdir().expect("a temporary folder");
    let text = benchway::route::BUNDLED[0].text;
    for (n, file) in ["my stool v1.2.json", ".hidden.json", "stool", "-x.json", "oak? 3:1.json"]
        .iter()
        .enumerate()
    {
        let folder = home.path().join(format!("some folder.{n}"));
        fs::create_dir(&folder).expect("made");
        let path = folder.join(file);
        fs::write(&path, text).expect("written");
        let path = path.to_str().expect("text");
        let said =
            benchway_at_home(&folder.join("home"), &["walk", "--plain", path, "--sets", "1"]);
        assert_eq!(said.code, 0, "{file}: {}{}", said.out, said.err);
        assert!(said.out.contains("Lantern reading stool, 1 stool"), "{file}: {}", said.out);
    }
}
