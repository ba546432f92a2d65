//! `benchway stock`, through the binary: what to buy, for people and machines.

use std::fs;

use crate::bench::{self, Said, begin, benchway, snapshot};
use crate::walker::{SHOP, STOOL};
use benchway::journal::Home;
use benchway::route::with_sets;
use serde_json::Value;

fn stock(arguments: &[&str]) -> Said {
    let mut all = vec!["stock"];
    all.extend(arguments);
    let said = benchway(&all);
    for line in said.out.lines() {
        assert!(line.chars().count() <= 80 || line.contains('"'), "{line}");
    }
    said
}

fn json(arguments: &[&str]) -> Value {
    bench::json(&stock(&[arguments, &["--format", "json"]].concat())).1
}

#[test]
fn what_people_are_told() {
    for route in ["boot-bench", "garden-bench", "till-chest"] {
        let said = stock(&[route, "--woods"]);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{route}");
        snapshot(&format!("stock-{route}"), &said.out);
    }
}

#[test]
fn what_machines_are_told() {
    let said = stock(&["till-chest", "--format", "json"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    snapshot("stock-till-chest-json", &said.out);
}

/// By hand: 22 legs of 2 x 1 3/4 x 17 1/4 are 22 x 60.375 / 144 = 9.224 board
/// feet; / 0.55 = 16.77, so 17, at 10.40 = 176.80.
#[test]
fn the_legs_of_a_boot_bench() {
    let said = json(&["boot-bench"]);
    assert_eq!(said["parts"][0]["net_board_feet"], 9.223958);
    let row = &said["buy"][0];
    assert_eq!((row["buy"].as_f64(), row["cost"].as_i64()), (Some(17.0), Some(17_680)));
    assert_eq!(row["per"], "board foot");
    assert_eq!(said["without_price"], 0);
}

/// By hand: with both faces clean a leg is 1 1/4 and 0.040 for the sander. 6/4
/// that measures 1 7/16 leaves 1.4375 - 0.125 - 1.290 = 0.0225; at 1 3/8 it is
/// 0.040 short, and enough for rails of 3/4.
#[test]
fn wood_from_the_rack_is_asked_about() {
    let said = json(&["reading-stool", "--measured", "6/4=1-7/16"]);
    let checks = said["parts"][0]["cleans_up"].as_array().unwrap();
    assert_eq!(checks[2]["at"], "measured");
    assert_eq!(checks[2]["in_hand"], 0.0225);
    assert_eq!(checks[1]["in_hand"], checks[2]["in_hand"], "a sixteenth scant is as thin");
    let thin = stock(&["reading-stool", "--measured", "6/4 = 1.375"]);
    assert_eq!(thin.code, 1);
    let told = thin.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let wanted = "Measured 1 3/8 in: won't clean up, 0.040 short; use it for rail or stretcher.";
    assert!(told.contains(wanted), "{}", thin.out);
}

#[test]
fn twice_the_sets_take_no_more_than_twice_the_wood() {
    let amount = |sets: &str| json(&["boot-bench", "--articles", sets])["buy"][0]["net"].as_f64();
    let (five, ten) = (amount("5").unwrap(), amount("10").unwrap());
    // 2 spares either way: 42 legs to 22.
    assert!((ten / five - 42.0 / 22.0).abs() < 1e-6, "{five} {ten}");
}

#[test]
fn what_can_not_be_meant_is_refused_in_words() {
    for (arguments, says) in [
        (&["boot-bench", "--yield", "0"][..], "0.01 to 1"),
        (&["boot-bench", "--yield", "1e-300"], "0.01 to 1"),
        (&["boot-bench", "--yield", "60"], "did you mean 60%?"),
        (&["boot-bench", "--yield", "-0.5"], "0.01 to 1"),
        (&["boot-bench", "--yield", "120%"], "0.01 to 1"),
        (&["boot-bench", "--yield", "most"], "a number such as 0.55, or 55%"),
        (&["boot-bench", "--yield", "nan"], "a number such as 0.55, or 55%"),
        (&["boot-bench", "--measured", "8/4"], "an `=` is missing"),
        (&["boot-bench", "--measured", "8/5=2"], "did you mean `8/4`?"),
        (&["boot-bench", "--measured", "plank=2"], "it uses 8/4, 5/4, 4/4"),
        (&["boot-bench", "--measured", "8/4=0"], "greater than zero"),
        (&["boot-bench", "--measured", "8/4=thick"], "--measured 8/4=thick"),
        (&["boot-bench", "--articles", "0"], "a batch is 1 to 1000 articles"),
        (&["boot-bensh"], "did you mean `boot-bench`?"),
    ] {
        let said = stock(arguments);
        assert_eq!(said.code, 2, "{arguments:?}: {}", said.out);
        assert!(said.err.contains(says), "{arguments:?}: {}", said.err);
    }
    assert_eq!(stock(&["boot-bench", "--yield", "60%"]).code, 0);
}

/// A shop file as it was before it could say anything of lumber.
#[test]
fn a_shop_without_a_price_list_still_says_how_much() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.json");
    let mut shop: Value = serde_json::from_str(SHOP).unwrap();
    shop.as_object_mut().unwrap().remove("lumber");
    fs::write(&path, shop.to_string()).unwrap();
    let path = path.to_str().unwrap();
    let said = stock(&["boot-bench", "--woods", "--shop", path]);
    assert_eq!(said.code, 0);
    assert!(said.out.contains("No price for white oak: the shop file doesn't list this wood."));
    // By hand: 9.224 / 0.60 = 15.37, so 15 1/2.
    let said = json(&["boot-bench", "--shop", path]);
    assert_eq!(said["buy"][0]["buy"], 15.5);
    assert_eq!(said["buy"][0]["no_price"], "wood not stocked");
    assert_eq!((&said["cost"], &said["without_price"]), (&0.into(), &3.into()));
}

/// Where money is counted in millions no line grows over the page: `stock`
/// looks at each. By hand: 17 board feet at 999 999.50 are 16 999 991.50.
#[test]
fn money_in_millions_has_a_line_to_itself() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.json");
    let mut shop: Value = serde_json::from_str(SHOP).unwrap();
    shop["lumber"]["currency"] = "ducats".into();
    shop["lumber"]["woods"]["white oak"]["classes"]["8/4"]["price"] = 999_999.5.into();
    fs::write(&path, shop.to_string()).unwrap();
    let said = stock(&["boot-bench", "--shop", path.to_str().unwrap()]);
    let row = said.out.lines().position(|line| line.contains("8/4   ")).unwrap();
    let lines: Vec<&str> = said.out.lines().skip(row).take(2).collect();
    assert!(lines[0].ends_with("17.0"), "{lines:?}");
    assert_eq!(lines[1].trim(), "999999.50 ducats 16999991.50 ducats", "{lines:?}");
}

#[test]
fn a_wood_that_is_misspelled_is_offered_as_the_shop_calls_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("route.json");
    let text = fs::read_to_string("routes/reading-stool.json").unwrap();
    fs::write(&path, text.replace("\"ash\"", "\"ahs\"")).unwrap();
    let said = stock(&[path.to_str().unwrap()]);
    let words = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("Did you mean `ash`?"), "{}", said.out);
    // A negative width is no width: the part can't be listed.
    fs::write(&path, text.replace("\"leg_square + 9/64\"", "\"-1 25/64\"")).unwrap();
    let said = stock(&[path.to_str().unwrap()]);
    assert_eq!(said.code, 1);
    let told = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("the width of its stock is zero or less"), "{}", said.out);
}

#[test]
fn names_too_long_for_their_columns_keep_the_page() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("route.json");
    let text = fs::read_to_string("routes/reading-stool.json").unwrap();
    let long = "quartersawn ash of the best grade from the far side of the hill";
    let text = text.replace("\"ash\"", &format!("\"{long}\""));
    fs::write(&path, text.replace("\"6/4\"", "\"six quarters or so, \\u001b[31mred\"")).unwrap();
    let said = stock(&[path.to_str().unwrap(), "--woods"]);
    assert!(said.out.contains("quartersawn ash"), "{}", said.out);
    assert!(!said.out.contains('\u{1b}'), "{}", said.out);
}

/// A batch just begun takes the wood of its own articles, by its own frozen shop file.
#[test]
fn a_batch_under_way_has_its_own_sets() {
    let folder = tempfile::tempdir().unwrap();
    let home = Home::locate(Some(folder.path().to_owned())).unwrap();
    let path = folder.path().display().to_string();
    let now = "2026-11-25T08:00:00+01:00".parse().unwrap();
    let stool = with_sets(STOOL, 2);
    begin(&home, "stools", (&stool, SHOP), "cart", now, None).unwrap();
    let ask = |more: &[&str]| stock(&[&["stools", "--home", &path], more].concat());
    let said = ask(&[]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert_eq!(said.out, stock(&["reading-stool", "--articles", "2"]).out);
    let refused = ask(&["--articles", "3"]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("its own number of articles"), "{}", refused.err);
}
