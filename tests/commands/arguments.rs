//! What is typed on the command line is obeyed or refused, never passed over.

use std::fs;
use std::path::Path;

use crate::bench::{Said, benchway, benchway_at_home};

fn refused(said: &Said, words: &str) {
    assert_eq!((said.code, said.out.as_str()), (2, ""), "{}", said.err);
    assert!(said.err.contains(words), "{}", said.err);
}

/// The traveler's options stand behind `walk`; before it they were passed over, and readings
/// were written under the name of another station.
#[test]
fn an_option_before_a_command_is_refused_with_its_place() {
    for (before, words) in [
        (&["--station", "planer"][..], "behind the command: benchway walk --station planer"),
        (&["--plain"], "error: --plain: nothing takes it before a command"),
        (&["--ascii"], "benchway walk --ascii"),
        (&["--ground", "light"], "benchway walk --ground light"),
    ] {
        for command in [&["walk", "--plain", "reading-stool"][..], &["batches"], &["kinds"]] {
            refused(&benchway(&[before, command].concat()), words);
        }
    }
}

/// A home that is named stands on either side of a command.
#[test]
fn a_home_is_obeyed_before_and_behind_a_command() {
    let folder = tempfile::tempdir().expect("a folder");
    let home = folder.path().to_str().expect("text");
    let made = ["simulate", "reading-stool", "--sets", "1", "--until", "10"];
    assert_eq!(benchway(&[&["--home", home], &made[..]].concat()).code, 0);
    let listed = benchway(&["batches", "--home", home]);
    assert!(listed.out.starts_with("invented-reading-stool-1"), "{}", listed.out);
    assert_eq!(listed.err, "");
}

/// An empty variable names no folder, and a folder that isn't there is said.
#[test]
fn a_home_that_is_empty_or_missing_is_said() {
    let said = benchway_at_home(Path::new(""), &["batches"]);
    refused(&said, "no folder is named; name one, or unset BENCHWAY_HOME");
    let folder = tempfile::tempdir().expect("a folder");
    let missing = folder.path().join("shpo");
    for command in [&["batches"][..], &["review", "stools"], &["export", "stools"]] {
        let said = benchway_at_home(&missing, command);
        let words = "shpo; check --home and BENCHWAY_HOME\n";
        assert!(said.err.starts_with("warning: there is no folder "), "{}", said.err);
        assert!(said.err.contains(words), "{}", said.err);
    }
    // A batch that is begun makes the folder, so nothing is said then.
    let made = ["simulate", "reading-stool", "--sets", "1", "--until", "10"];
    assert_eq!(benchway_at_home(&missing, &made).err, "");
    assert_eq!(benchway_at_home(&missing, &["batches"]).err, "");
}

/// What a decimal comma gives is what a point gives.
#[test]
fn a_decimal_comma_is_read_wherever_a_length_or_a_share_is() {
    let folder = tempfile::tempdir().expect("a folder");
    let readings = folder.path().join("slats.csv");
    fs::write(&readings, "thickness\n0.874\n0.871\n0.877\n0.873\n").expect("written");
    let readings = readings.to_str().expect("text");
    let chart = ["chart", readings, "--unit", "in", "--target", "0.875", "--limits"];
    for (words, point) in [
        (&["settings", "reading-stool", "--with"][..], "leg_square=1.4375"),
        (&["fits", "reading-stool", "--with"], "leg_square=1.4375"),
        (&["stock", "reading-stool", "--yield"], "55.5%"),
        (&["stock", "reading-stool", "--yield"], "0.555"),
        (&["stock", "reading-stool", "--measured"], "6/4=1.4375"),
        (&chart[..], "+-0.004"),
        (&chart[..], "0.871..0.879"),
        (&chart[..], "+0.004 -0.004"),
    ] {
        let said = benchway(&[words, &[point]].concat());
        let comma = benchway(&[words, &[&point.replace('.', ",").replace(",,", "..")]].concat());
        assert_eq!(comma.err, "", "{words:?} {point}");
        assert!(said.code < 2 && comma.code == said.code, "{words:?} {point}: {}", said.err);
        // Where what was typed is repeated, it is as it was typed.
        assert_eq!(comma.out.replace(',', "."), said.out.replace(',', "."), "{words:?} {point}");
    }
    let invent = |home: &str, fault: &str, misses: &str| {
        let words = ["simulate", "reading-stool", "--sets", "1", "--until", "60", "--name", "one"];
        let faults = ["--fault", fault, "--misses", misses];
        let home = folder.path().join(home);
        let said = benchway_at_home(&home, &[&words[..], &faults].concat());
        assert_eq!(said.err, "");
        benchway_at_home(&home, &["export", "invented-one"]).out
    };
    let of = |home, number: &str| invent(home, &format!("op 60 offset {number}mm"), "0.5");
    assert_eq!(of("comma", "0,5"), of("point", "0.5"));
    let readings = |home, misses| invent(home, "op 60 offset 1/32", misses);
    assert_eq!(readings("miss-comma", "0,5"), readings("miss-point", "0.5"));
}

/// `5/4` typed into a spreadsheet becomes a date; the board was then passed over, and the
/// wood that lay in the rack was to be bought.
#[test]
fn a_class_that_became_a_date_is_refused_at_its_place() {
    let folder = tempfile::tempdir().expect("a folder");
    let rack = folder.path().join("rack.csv");
    let list = |class: &str| {
        let text = format!(
            "board,species,class,thickness,width,length\n\
             B1,ash,6/4,1 1/2,8 1/2,120\n\
             B2,ash,{class},1 1/2,8,120\n"
        );
        fs::write(&rack, text).expect("written");
        benchway(&["boards", "reading-stool", rack.to_str().expect("text")])
    };
    let said = list("6-Apr");
    assert_eq!(said.code, 2);
    assert!(said.err.contains("error: `6-Apr` is not a class of lumber\n"), "{}", said.err);
    assert!(said.err.contains("rack.csv:3:8 in board B2, class\n"), "{}", said.err);
    assert!(said.err.contains("help: a spreadsheet makes a date of 5/4: set the"), "{}", said.err);
    // 1.5 in is 6/4, so both boards are laid out.
    assert_eq!(list("1.5").out, list("6/4").out);
}
