//! `kinds`: what a route can name after `do`, and the keys of each.

use benchway::operation::{KINDS, describe};
use serde_json::Value;

use crate::bench::{benchway, json};

#[test]
fn every_kind_is_listed_with_its_meaning() {
    let said = benchway(&["kinds"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.lines().all(|line| line.chars().count() <= 80), "{}", said.out);
    let (code, answer) = json(&benchway(&["kinds", "--format", "json"]));
    assert_eq!(code, 0);
    let listed = answer["kinds"].as_array().expect("a list of kinds");
    assert_eq!(listed.len(), KINDS.len());
    for (kind, row) in KINDS.iter().zip(listed) {
        assert!(said.out.contains(&format!("\n  {} ", kind.name())), "{kind}");
        assert_eq!(row["kind"], kind.name());
        assert_eq!(row["meaning"], kind.about());
    }
}

/// `op`, `part` and `do` are what every operation in every bundled route has.
#[test]
fn the_keys_of_every_operation_are_listed() {
    let (_, answer) = json(&benchway(&["kinds", "--format", "json"]));
    let keys = answer["keys"].as_array().expect("a list of keys");
    let required: Vec<&str> = keys
        .iter()
        .filter(|key| key["required"] == true)
        .filter_map(|key| key["key"].as_str())
        .collect();
    assert_eq!(required, ["op", "part", "do"]);
    assert!(keys.iter().all(|key| key["meaning"].as_str().is_some_and(|said| !said.is_empty())));
    let names: Vec<&str> = keys.iter().filter_map(|key| key["key"].as_str()).collect();
    for name in ["at", "tool", "checks", "note"] {
        assert!(names.contains(&name), "{name}: {names:?}");
    }
}

#[test]
fn each_kind_shows_its_keys_its_sizes_and_its_examples() {
    for kind in KINDS {
        let words: Vec<&str> = kind.name().split(' ').collect();
        let said = benchway(&[&["kinds"], words.as_slice()].concat());
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{kind}");
        assert!(said.out.lines().all(|line| line.chars().count() <= 80), "{}", said.out);
        let (_, answer) = json(&benchway(&["kinds", kind.name(), "--format", "json"]));
        let described = describe(kind);
        let names = |list: &Value, key: &str| -> Vec<String> {
            let list = list.as_array().expect("a list");
            list.iter().filter_map(|row| row[key].as_str().map(str::to_owned)).collect()
        };
        let keys: Vec<String> = described.keys.iter().map(|key| key.name.clone()).collect();
        assert_eq!(names(&answer["keys"], "key"), keys, "{kind}");
        for key in &keys {
            assert!(said.out.contains(&format!("\n  {key}")), "{kind}: {key}");
        }
        let features: Vec<&str> =
            described.features.iter().map(|feature| feature.sized.feature.as_str()).collect();
        assert_eq!(names(&answer["sizes"], "feature"), features, "{kind}");
        // Examples are operations, not quoted texts.
        let examples = answer["examples"].as_array().expect("a list of examples");
        assert!(!examples.is_empty());
        assert!(examples.iter().all(|example| example["do"] == kind.name()), "{kind}");
    }
}

/// The lap cuts away half the wood: too shallow or too narrow, it can be cut again.
#[test]
fn a_key_has_its_unit_its_need_and_an_example() {
    let said = benchway(&["kinds", "half", "lap"]).out;
    let words = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("required, length, may be a formula, example \"1 1/2\""), "{said}");
    assert!(words.contains("optional, length, may be a formula, example \"3/8\""), "{said}");
    assert!(words.contains("lap depth: undersize can be cut again"), "{said}");
    let (_, tenon) = json(&benchway(&["kinds", "tenon", "--format", "json"]));
    let keys = tenon["keys"].as_array().expect("a list of keys");
    let key = |name: &str| keys.iter().find(|key| key["key"] == name).expect("a key of tenons");
    assert_eq!(key("ends")["default"], "2");
    assert_eq!(key("ends")["required"], false);
    assert_eq!(key("mortise_width")["required"], true);
    assert_eq!(key("mortise_width")["unit"], "length");
    assert_eq!(key("method")["choices"][0]["word"], "two-heights");
}

#[test]
fn a_kind_there_is_not_is_refused_with_the_nearest() {
    let said = benchway(&["kinds", "tennon"]);
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    assert!(said.err.contains("did you mean `tenon`?"), "{}", said.err);
    let said = benchway(&["kinds", "weld"]);
    assert!(said.err.contains("`benchway kinds` lists them"), "{}", said.err);
}

#[test]
fn shells_complete_the_command() {
    assert!(benchway(&["completions", "bash"]).out.contains("benchway__subcmd__kinds"));
}
