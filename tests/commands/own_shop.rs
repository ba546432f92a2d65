//! The shop that a lead keeps beside the batches.

use std::fs;

use crate::bench::benchway_at_home;
use crate::walker::SHOP;

/// A home with a shop of its own, the bundled one under another name.
fn home() -> tempfile::TempDir {
    let home = tempfile::tempdir().expect("a folder for the test");
    let own = SHOP.replace("Lantern Lane teaching shop", "Mill Street");
    assert_ne!(own, SHOP);
    fs::write(home.path().join("shop.json"), own).expect("written");
    home
}

/// Whoever names no shop works in the shop's own; `bundled` is the invented one.
#[test]
fn the_shop_of_the_home_is_used_where_none_is_named() {
    let home = home();
    for command in [
        &["settings", "reading-stool"][..],
        &["stock", "reading-stool"],
        &["fits", "boot-bench", "--trials", "100"],
        &["boards", "reading-stool", "stool-boards"],
    ] {
        let said = benchway_at_home(home.path(), command);
        assert!(said.out.contains("Mill Street"), "{command:?} {}{}", said.out, said.err);
        let bundled = [command, &["--shop", "bundled"]].concat();
        let said = benchway_at_home(home.path(), &bundled);
        assert!(said.out.contains("Lantern Lane"), "{command:?} {}{}", said.out, said.err);
    }
    let made = benchway_at_home(home.path(), &["simulate", "reading-stool", "--until", "10"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let frozen = fs::read_to_string(home.path().join("invented-reading-stool-1/shop.json"));
    assert!(frozen.expect("a batch keeps its shop").contains("Mill Street"));
}

/// The place of a mistake is shown, and a batch under way goes on all the same.
#[test]
fn a_mistake_in_the_shop_is_shown_where_it_is_used() {
    let home = home();
    let made = benchway_at_home(home.path(), &["simulate", "reading-stool", "--until", "10"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let path = home.path().join("shop.json");
    let spoiled = fs::read_to_string(&path).expect("read").replace("\"kerf\"", "\"kurf\"");
    fs::write(&path, spoiled).expect("written");
    let said = benchway_at_home(home.path(), &["settings", "reading-stool"]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("unknown key `kurf`") || said.err.contains("kurf"), "{}", said.err);
    let walk = ["walk", "--plain", "invented-reading-stool-1"];
    let said = benchway_at_home(home.path(), &walk);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("Shop: Mill Street."), "{}", said.out);
    // A new batch in it is refused before anything is written.
    let said = benchway_at_home(home.path(), &["walk", "--plain", "reading-stool"]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("kurf"), "{}", said.err);
}

/// What the traveler says, line by line, to these lines.
fn typed(home: &std::path::Path, lines: &str) -> String {
    walked(home, &["--plain"], lines)
}

fn walked(home: &std::path::Path, arguments: &[&str], lines: &str) -> String {
    let mut walk = std::process::Command::new(env!("CARGO_BIN_EXE_benchway"));
    walk.env_clear().env("BENCHWAY_HOME", home).args(arguments);
    let mut running = walk
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut input = running.stdin.take().expect("piped");
    std::io::Write::write_all(&mut input, lines.as_bytes()).expect("typed");
    drop(input);
    String::from_utf8(running.wait_with_output().expect("it ends").stdout).expect("text")
}

/// What a machine nobody measured is off by is said where its scale is set.
#[test]
fn an_unknown_offset_is_said_where_the_scale_is_set() {
    let home = tempfile::tempdir().expect("a folder for the test");
    let out = typed(home.path(), "shop\nMill Street\nq\n");
    assert!(out.contains("Mill Street is yours. No scale of it is known yet"), "{out}");
    let said = benchway_at_home(home.path(), &["settings", "reading-stool"]);
    let flat = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("its offset with rip blade is unknown"), "{flat}");
    // In the invented shop every scale is as its file says.
    let said = benchway_at_home(home.path(), &["settings", "reading-stool", "--shop", "bundled"]);
    assert!(!said.out.contains("unknown"), "{}", said.out);
}

/// A shop is begun once; each machine says what is known of it.
#[test]
fn a_shop_is_begun_and_shown() {
    let home = tempfile::tempdir().expect("a folder for the test");
    let ask = |arguments: &[&str]| benchway_at_home(home.path(), arguments);
    let invented = ask(&["shop"]);
    assert_eq!(invented.code, 0, "{}", invented.err);
    assert!(invented.out.starts_with("Lantern Lane teaching shop (invented)"), "{}", invented.out);
    assert!(invented.out.contains("fence: makes 0.012 more than it shows"), "{}", invented.out);
    let refused = ask(&["shop", "begin", "--name", "Lantern Lane teaching shop"]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("needs a name of its own"), "{}", refused.err);
    let begun = ask(&["shop", "begin", "--name", "Mill Street"]);
    assert_eq!(begun.code, 0, "{}", begun.err);
    let text = fs::read_to_string(home.path().join("shop.json")).expect("written");
    let again = ask(&["shop", "begin", "--name", "Another"]);
    assert_eq!(again.code, 2);
    assert!(again.err.contains("this shop has its shop file already"), "{}", again.err);
    assert_eq!(fs::read_to_string(home.path().join("shop.json")).expect("there"), text);
    let shown = ask(&["shop"]).out;
    assert!(shown.starts_with("Mill Street, in "), "{shown}");
    assert!(shown.contains("    fence: offset unknown"), "{shown}");
    assert!(!shown.contains("more than it shows"), "{shown}");
    assert!(shown.lines().skip(1).all(|line| line.chars().count() <= 80), "{shown}");
    assert_eq!(ask(&["check", home.path().join("shop.json").to_str().expect("a path")]).code, 0);
}

/// A name is kept beside the journal, and what is erased is nowhere.
#[test]
fn a_name_is_erased_and_the_initials_stay() {
    let home = home();
    let path = home.path().join("shop.json");
    let people =
        "\"people\": { \"JT\": { \"signed_off_on\": [\"planer\"] }, \"MB\": { \"lead\": true } }";
    let text = fs::read_to_string(&path).expect("read").replace("\"people\": {}", people);
    fs::write(&path, text).expect("written");
    let ask = |arguments: &[&str]| benchway_at_home(home.path(), arguments);
    assert_eq!(ask(&["shop", "name", "jt", "Jo of the Tuesday group"]).code, 0);
    let shown = ask(&["shop", "people"]).out;
    assert!(shown.contains("JT, Jo of the Tuesday group: planer"), "{shown}");
    assert!(shown.contains("MB: lead"), "{shown}");
    assert!(ask(&["shop", "erase", "JT"]).out.contains("The name behind JT is erased"));
    assert!(ask(&["shop", "people"]).out.contains("JT: planer"));
    assert!(ask(&["shop", "erase", "JT"]).out.contains("No name is kept for JT."));
    let journal = fs::read_to_string(home.path().join("shop-journal/lead.jsonl")).expect("written");
    assert!(journal.contains("name-erased") && !journal.contains("Tuesday"), "{journal}");
    assert_eq!(ask(&["shop", "name", "J2", "Jo"]).code, 2);
    assert_eq!(ask(&["shop", "name", "JT", " "]).code, 2);
}

/// Three cuts, line by line: the file has the offset, the journal how it was found, and a
/// batch that begins then follows it.
#[test]
fn three_cuts_are_written_to_the_file_and_the_journal() {
    let home = tempfile::tempdir().expect("a folder for the test");
    let ask = |arguments: &[&str]| benchway_at_home(home.path(), arguments);
    assert_eq!(ask(&["shop", "begin", "--name", "Mill Street"]).code, 0);
    let listed = typed(home.path(), "shop\nq\n");
    let number = |text: &str, name: &str| {
        let line = text.lines().find(|line| line.contains(name)).expect(name);
        line.split(':').next().expect("a number").to_owned()
    };
    let saw = number(&listed, ": cabinet saw: ");
    let listed = typed(home.path(), &format!("shop\n{saw}\nq\n"));
    let fence = number(&listed, ": rip blade, fence: ");
    // 0.011, 0.013 and 0.012 over 3 in: 0.012 on average.
    let cuts = format!("shop\n{saw}\n{fence}\n3\n\n3.011\n3.013\n3.012\nmb\nq\n");
    let said = typed(home.path(), &cuts);
    assert!(
        said.contains("It makes 0.012 more than it shows, uncertainty 0.005 (k = 2)."),
        "{said}"
    );
    assert!(said.contains("noted in the shop journal, on the word of MB"), "{said}");
    let text = fs::read_to_string(home.path().join("shop.json")).expect("there");
    assert!(text.contains("\"scale_offset\": { \"fence\": \"0.012\" }"), "{text}");
    let journal = fs::read_to_string(home.path().join("shop-journal/cart.jsonl")).expect("there");
    // 0.012 in is 304,800 nm and 0.001 in is 25,400.
    assert!(journal.contains("\"offset\":304800,\"spread\":25400,\"cuts\":3"), "{journal}");
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let shown = flat(&ask(&["shop"]).out);
    let found = "fence: makes 0.012 more than it shows, uncertainty 0.005 (k = 2), spread 0.001; \
                 found today by MB in 3 cuts";
    assert!(shown.contains(found), "{shown}");
    let settings = flat(&ask(&["settings", "reading-stool"]).out);
    assert!(
        settings.contains("makes 0.012 more than its scale shows with rip blade"),
        "{settings}"
    );
}

/// Signed off at the machine: the batch has it, and so has the shop for the batches to
/// come. A day that is over counts as none, and is told.
#[test]
fn a_sign_off_at_the_machine_is_the_shops_too() {
    let home = home();
    let walk = ["walk", "--plain", "reading-stool", "--articles", "1", "--name", "stools"];
    let said = walked(home.path(), &walk, "MB\nsignoff JT 2999-12-18 MB seen\nq\n");
    assert!(!said.contains("doesn't"), "{said}");
    let read = |file: &str| fs::read_to_string(home.path().join(file)).expect(file);
    let signed = "\"signed-off\":{\"who\":\"JT\",\"machine\":\"chop saw\",\"until\":\"2999-12-18\",\
                  \"first_piece_seen\":true,\"by\":\"MB\"}";
    assert!(read("stools/cart.jsonl").contains(signed), "{}", read("stools/cart.jsonl"));
    assert!(read("shop-journal/cart.jsonl").contains(signed));
    let ask = |arguments: &[&str]| benchway_at_home(home.path(), arguments);
    let people = ask(&["shop", "people"]).out;
    assert!(people.contains("JT: chop saw until 2999-12-18"), "{people}");
    assert!(people.contains("MB: lead"), "whoever signs first leads: {people}");
    let over = read("shop.json").replace("2999-12-18", "2020-12-18");
    fs::write(home.path().join("shop.json"), over).expect("written");
    let people = ask(&["shop", "people"]).out;
    assert!(people.contains("JT: chop saw (not since 2020-12-18)"), "{people}");
    let walk = ["walk", "--plain", "reading-stool", "--articles", "1", "--name", "more stools"];
    let said = walked(home.path(), &walk, "JT\nq\n");
    assert!(said.contains("The sign-off of JT on the chop saw ended on 18 Dec 2020."), "{said}");
}
