//! A list of makers, and what each of them is told: through the binary.

use std::fs;

use crate::bench::{Said, benchway_in, json};
use benchway::journal::{BatchId, Beginning, Home, OpenBatch};
use benchway::route::{read_article_list, with_sets};
use tempfile::TempDir;

use crate::walker::{SHOP, STOOL, read_route};

const CLASS: &str = "owner,height,wood\nAB,18 7/8,\nCD,20 7/8,white oak\nEF,,white oak\n";

fn place(list: &str) -> TempDir {
    let place = tempfile::tempdir().expect("a folder");
    fs::write(place.path().join("class.csv"), list).expect("written");
    place
}

fn run(place: &TempDir, arguments: &[&str]) -> Said {
    benchway_in(place.path(), &place.path().join("home"), arguments)
}

/// The prices of all makers sum to the price of the list; a stool of white oak costs more
/// than one of ash, and a low one of ash the least.
#[test]
fn prices_of_makers_sum_to_the_batch() {
    let place = place(CLASS);
    let said =
        run(&place, &["stock", "reading-stool", "--makers", "class.csv", "--format", "json"]);
    let (_, stock) = json(&said);
    let costs: Vec<i64> = stock["makers"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|maker| maker["cost"].as_i64().expect("a cost"))
        .collect();
    assert_eq!(costs.iter().sum::<i64>(), stock["cost"].as_i64().expect("a cost"));
    assert!(costs[0] < costs[1] && costs[0] < costs[2], "{costs:?}");
    let bought: Vec<&str> = stock["buy"]
        .as_array()
        .expect("rows")
        .iter()
        .filter_map(|row| row["species"].as_str())
        .collect();
    assert!(bought.contains(&"ash") && bought.contains(&"white oak"), "{bought:?}");
    let text = run(&place, &["stock", "reading-stool", "--makers", "class.csv"]);
    assert!(text.out.contains("For each stool") && text.out.contains("stool 2"), "{}", text.out);
}

/// Two stops for two lengths, and settings for each.
#[test]
fn settings_are_listed_for_each_size() {
    let place = place(CLASS);
    let said =
        run(&place, &["settings", "reading-stool", "--makers", "class.csv", "--format", "json"]);
    let (code, settings) = json(&said);
    assert_eq!(code, 0, "{}", said.out);
    let operations = settings["operations"].as_array().expect("operations");
    let cut = operations.iter().find(|held| held["op"] == 60).expect("op 60");
    let stops = cut["settings"].as_array().expect("settings");
    // 18 7/8 and 20 7/8, and the route's own 20 7/8.
    assert_eq!(stops.len(), 2, "{cut}");
}

#[test]
fn a_bad_list_is_refused_in_words() {
    let refused = |list: &str, arguments: &[&str], wanted: &[&str]| {
        let place = place(list);
        let all = [&["settings", "reading-stool", "--makers", "class.csv"], arguments].concat();
        let said = run(&place, &all);
        assert_eq!(said.code, 2, "{list}\n{}{}", said.out, said.err);
        for words in wanted {
            assert!(said.err.contains(words), "{list}\n{}\nlacks {words}", said.err);
        }
    };
    refused(
        "owner,height\nAB,18 7/8\nab,19 3/8\n",
        &[],
        &["owns an article already", "class.csv:3"],
    );
    refused(
        "owner,height\nAB,24\n",
        &[],
        &["can't be chosen", "17 7/8 to 21 7/8", "class.csv:2:4"],
    );
    refused("owner,wood\nAB,teak\n", &[], &["teak can't be chosen", "ash"]);
    refused("height\n18 7/8\n", &[], &["`owner` is missing"]);
    refused(CLASS, &["--articles", "4"], &["--makers says how many"]);
    let place = place(CLASS);
    let said = run(&place, &["settings", "reading-stool", "--makers", "nobody.csv"]);
    assert_eq!(said.code, 2, "{}", said.err);
}

/// `walk --with` adapts the whole batch, or says why it can't.
#[test]
fn a_route_is_adapted_for_a_whole_batch() {
    let place = place(CLASS);
    for (with, wanted) in [
        ("hight=20", "did you mean `height`"),
        ("height", "an `=` is missing"),
        ("height=tall", "tall"),
    ] {
        let said = run(&place, &["walk", "reading-stool", "--with", with]);
        assert_eq!(said.code, 2, "{with}");
        assert!(said.err.contains(wanted), "{with}\n{}", said.err);
    }
    let said = run(&place, &["walk", "reading-stool", "--with", "height=19-7/8"]);
    assert!(said.err.contains("needs a terminal"), "{}", said.err);
}

/// Each owner reads what was chosen, what it costs, and how far the pieces are.
#[test]
fn each_maker_is_told_how_the_article_stands() {
    let place = place(CLASS);
    let home = Home::locate(Some(place.path().join("home"))).expect("a folder");
    let route = read_route(STOOL);
    let makers = read_article_list(CLASS, &route).expect("a list");
    let beginning = Beginning {
        name: "class",
        id: BatchId::random(),
        route: &with_sets(STOOL, 3),
        shop: SHOP,
        station: "cart",
        holder: "a test",
        at: "2026-11-25T08:00:00+01:00".parse().expect("a time"),
        word: None,
        boards: &[],
        makers: &makers,
    };
    drop(OpenBatch::start(&home, &beginning).expect("begun"));
    let said = run(&place, &["makers", "class"]);
    for words in [
        "stool 1, AB: height 18 7/8 in",
        "stool 2, CD: height 20 7/8 in, white oak",
        "stool 3, EF: white oak",
        "leg: 4 pieces, nothing done yet",
        "Nothing went out of limits.",
    ] {
        assert!(said.out.contains(words), "{}\nlacks {words}", said.out);
    }
    let one = run(&place, &["makers", "class", "--owner", "cd"]);
    assert!(one.out.contains("CD") && !one.out.contains("AB"), "{}", one.out);
    let nobody = run(&place, &["makers", "class", "--owner", "EG"]);
    assert_eq!(nobody.code, 2);
    assert!(nobody.err.contains("did you mean `EF`"), "{}", nobody.err);
    let (_, answer) = json(&run(&place, &["makers", "class", "--format", "json"]));
    let stock = json(&run(&place, &["stock", "class", "--format", "json"])).1;
    let sum: i64 = answer["makers"]
        .as_array()
        .expect("makers")
        .iter()
        .map(|maker| maker["cost"].as_i64().expect("a cost"))
        .sum();
    assert_eq!(Some(sum), stock["cost"].as_i64());
    // An older program would cut every leg to one length, so it must not go on with it.
    let lines = fs::read_to_string(place.path().join("home/class/cart.jsonl")).expect("readable");
    assert!(lines.lines().filter(|line| line.starts_with(r#"{"v":2,"#)).count() == 3, "{lines}");
}
