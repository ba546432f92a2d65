//! `benchway fits --is`: a clearance of sizes whose distributions are given.

use serde_json::json;

use crate::bench::{Said, benchway, near};

fn said(arguments: &[&str]) -> Said {
    benchway(&[&["fits"], arguments].concat())
}

/// D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, 5th
/// ed., problem 5-66 (recomputed): mean 6, sd 0.12247, under 5.9 in 0.20711 of cases.
#[test]
fn a_u_shaped_component() {
    let stack = [
        "--is",
        "a - b - c",
        "--normal",
        "a=10,0.1",
        "--normal",
        "b=2,0.05",
        "--normal",
        "c=2,0.05",
        "--limits",
        "5.9..",
        "--unit",
        "mm",
    ];
    let (code, answer) = crate::bench::json(&said(&[&stack[..], &["--format", "json"]].concat()));
    // The middle 95 % begins at 6 - 1.96 x 0.12247 = 5.76.
    assert_eq!((code, &answer["unit"]), (1, &json!("mm")));
    near(&answer["nominal"], 6.0, 1e-9);
    near(&answer["sd"], 0.122_474_487, 1e-8);
    near(&answer["normal_share"], 1.0 - 0.207_108_089, 1e-8);
    // Four standard errors of 10,000 trials.
    near(&answer["tried"]["share"], 1.0 - 0.207_108, 0.017);
    near(&answer["tried"]["low"], 5.760, 0.015);
    assert_eq!(answer["limits"], json!({ "low": 5.9, "high": null }));
    near(&answer["sizes"][0]["share"], 2.0 / 3.0, 1e-9);
    let text = said(&stack).out;
    for words in ["nominal   6.0000, limits 5.9000..", "sd        0.1225, by the", "79.289 %"] {
        assert!(text.contains(words), "no {words:?} in\n{text}");
    }
}

/// JCGM 101:2008, 9.2.3, table 3: four rectangular sizes of sd 1 have a middle 95 % of ±3.88.
#[test]
fn four_rectangular_sizes() {
    let side = "1.7320508075688772";
    let of = |name: &str| format!("{name}=-{side},{side}");
    let [a, b, c, d] = ["a", "b", "c", "d"].map(of);
    let mut stack = vec!["--is", "a + b + c + d", "--trials", "200000", "--format", "json"];
    for size in [&a, &b, &c, &d] {
        stack.extend(["--uniform", size.as_str()]);
    }
    let (code, answer) = crate::bench::json(&said(&stack));
    assert_eq!((code, &answer["normal_share"]), (0, &json!(null)));
    near(&answer["sd"], 2.0, 1e-8);
    near(&answer["tried"]["low"], -3.88, 0.05);
    near(&answer["tried"]["high"], 3.88, 0.05);
}

#[test]
fn what_cant_be_meant_is_refused_in_words() {
    let stack = |more: &[&str]| said(&[&["--is", "a - b", "--normal", "a=10,0.1"], more].concat());
    for (more, words) in [
        (&[][..], "nothing says how `b` is distributed"),
        (&["--normal", "b=2"], "two numbers with a comma"),
        (&["--normal", "b=2,-1"], "can't be negative"),
        (&["--uniform", "b=3,2"], "the first is above the second"),
        (&["--uniform", "a=1,2"], "`a` is given twice"),
        (&["--normal", "b=2,0.1", "--limits", "9..8"], "above the high"),
        (&["--normal", "b=2,0.1", "--limits", "8"], "two sizes with .."),
    ] {
        let refused = stack(more);
        assert_eq!(refused.code, 2, "{more:?}: {}", refused.out);
        assert!(refused.err.contains(words), "no {words:?} in {}", refused.err);
    }
    assert_eq!(said(&["reading-stool", "--is", "a"]).code, 2);
    assert_eq!(said(&[]).code, 2);
}
