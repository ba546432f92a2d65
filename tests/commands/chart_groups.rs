//! `benchway chart` of small groups of readings, of parts of several sizes, and with a head
//! start, against published charts.

use serde_json::{Value, json};

use crate::bench::near;
use crate::chart_command::{all_near, chart, machine};

/// D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, 3rd
/// ed., tables 16-1 and 16-2: vane openings, 20 groups of 5 (the raw numbers from memory; they
/// give every summary that the book prints).
const VANES: [[i32; 5]; 20] = [
    [33, 29, 31, 32, 33],
    [33, 31, 35, 37, 31],
    [35, 37, 33, 34, 36],
    [30, 31, 33, 34, 33],
    [33, 34, 35, 33, 34],
    [38, 37, 39, 40, 38],
    [30, 31, 32, 34, 31],
    [29, 39, 38, 39, 39],
    [28, 33, 35, 36, 43],
    [38, 33, 32, 35, 32],
    [28, 30, 28, 32, 31],
    [31, 35, 35, 35, 34],
    [27, 32, 34, 35, 37],
    [33, 33, 35, 37, 36],
    [35, 37, 32, 35, 39],
    [33, 33, 27, 31, 30],
    [35, 34, 34, 30, 32],
    [32, 33, 30, 30, 33],
    [25, 27, 34, 27, 28],
    [35, 35, 36, 33, 30],
];

fn vanes() -> String {
    VANES.iter().flatten().map(|opening| format!("{opening}\n")).collect()
}

/// The words of a page, however its lines are broken.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn at(answer: &Value, rule: &str) -> Vec<u64> {
    let signals = answer["signals"].as_array().unwrap();
    let ours = signals.iter().filter(|signal| signal["rule"] == rule);
    ours.map(|signal| signal["at"].as_u64().unwrap()).collect()
}

/// The book, p. 612: means 36.67 and 29.97 about 33.32, ranges to 12.27 about 5.80.
#[test]
fn means_and_ranges_of_vane_openings() {
    let (code, answer) = machine(&vanes(), &["--subgroup", "5"]);
    assert_eq!((code, &answer["n"]), (1, &json!(100)));
    near(&answer["limits"]["centre"], 33.32, 1e-9);
    near(&answer["limits"]["high"], 36.67, 0.01);
    near(&answer["limits"]["low"], 29.97, 0.01);
    let groups = &answer["subgroups"];
    assert_eq!((&groups["size"], &groups["within"]), (&json!(5), &json!("range")));
    near(&groups["spread_limits"]["centre"], 5.8, 1e-9);
    near(&groups["spread_limits"]["high"], 12.27, 0.01);
    near(&groups["spread_limits"]["low"], 0.0, 0.0);
    // 5.8 / 2.325929.
    near(&groups["sigma"], 2.493_63, 0.000_005);
    assert_eq!((&groups["out"], &groups["left_over"]), (&json!([9]), &json!(0)));
    assert_eq!(at(&answer, "western electric 1"), [6, 8, 11, 19]);
    all_near(
        &groups["means"],
        &[
            31.6, 33.4, 35.0, 32.2, 33.8, 38.4, 31.6, 36.8, 35.0, 34.0, 29.8, 34.0, 33.0, 34.8,
            35.6, 30.8, 33.0, 31.6, 28.2, 33.8,
        ],
        1e-9,
    );
}

/// The book, p. 612: mean standard deviation 2.345, at most 4.899; means within 36.666 and
/// 29.974 of A3 (recomputed).
#[test]
fn means_and_standard_deviations_of_vane_openings() {
    let (_, answer) = machine(&vanes(), &["--subgroup", "5", "--within", "sd"]);
    let groups = &answer["subgroups"];
    assert_eq!(groups["within"], "sd");
    near(&groups["spread_limits"]["centre"], 2.345, 0.0005);
    near(&groups["spread_limits"]["high"], 4.899, 0.0006);
    near(&answer["limits"]["high"], 36.6664, 0.001);
    near(&answer["limits"]["low"], 29.9736, 0.001);
}

#[test]
fn groups_are_told_in_words() {
    let said = chart(&(vanes() + "33\n34\n"), &["--subgroup", "5"]);
    assert_eq!((said.code, said.err.as_str()), (1, ""));
    for words in [
        "102 readings in cut order, 20 groups of 5",
        "2 readings at the end don't fill a group",
        "range of a group beyond its limits: 9",
        "beyond the limits: 6, 8, 11 and 19",
        "limits of means 29.97",
    ] {
        assert!(one_line(&said.out).contains(words), "no {words:?} in\n{}", said.out);
    }
    let few = chart("1\n2\n3\n4\n5\n", &["--subgroup", "5"]);
    assert!(few.code == 2 && few.err.contains("at least 10 readings"), "{}", few.err);
    let large = chart("1\n2\n", &["--subgroup", "26"]);
    assert_eq!(large.code, 2);
    // Eleven in a group: the range says too little of them.
    let many: String = (0..22).map(|number| format!("{}\n", number % 5)).collect();
    assert_eq!(machine(&many, &["--subgroup", "11"]).1["subgroups"]["within"], "sd");
}

/// By hand: with sigma 2 known, means of 5 lie within 3 x 2 / 2.236068 = 2.683 of the target.
#[test]
fn groups_about_a_standard() {
    let options = ["--subgroup", "5", "--target", "33", "--sigma", "2"];
    let (_, answer) = machine(&vanes(), &options);
    near(&answer["limits"]["high"], 35.683, 0.0005);
    near(&answer["limits"]["low"], 30.317, 0.0005);
    // D2 for groups of 5 is 4.918.
    near(&answer["subgroups"]["spread_limits"]["high"], 9.836, 0.001);
}

/// D. C. Montgomery, Introduction to Statistical Quality Control, "Deviation from Nominal
/// Data": part A of 50, part B of 25, groups of 3 (from memory, recomputed): 2.929 and -2.595
/// about 0.17, ranges to 6.950 about 2.7; none out.
#[test]
fn parts_of_two_sizes_on_one_chart() {
    let groups = [
        (50, [50, 51, 52]),
        (50, [49, 50, 51]),
        (50, [48, 49, 52]),
        (50, [49, 53, 51]),
        (25, [24, 27, 26]),
        (25, [25, 27, 24]),
        (25, [27, 26, 23]),
        (25, [25, 24, 23]),
        (25, [24, 25, 25]),
        (25, [26, 24, 25]),
    ];
    let rows = groups
        .iter()
        .flat_map(|(target, values)| values.iter().map(move |value| format!("{value},{target}\n")));
    let text = format!("value,target\n{}", rows.collect::<String>());
    let (_, answer) = machine(&text, &["--subgroup", "3"]);
    near(&answer["limits"]["centre"], 0.17, 0.005);
    near(&answer["limits"]["high"], 2.929, 0.002);
    near(&answer["limits"]["low"], -2.595, 0.002);
    let spread = &answer["subgroups"]["spread_limits"];
    near(&spread["centre"], 2.7, 1e-9);
    near(&spread["high"], 6.950, 0.002);
    assert_eq!(at(&answer, "western electric 1"), [0u64; 0]);
}

/// By hand: part a is off by 0 and 2, 1 and 5: ranges 2 and 4, mean 3; part b by 1 and 2:
/// range 1. Means 1/3, 1, 1.5; ranges 2/3, 4/3, 1, whose mean is 1. A2 of two is 1.88 and D4
/// is 3.267, about 0 and 1. One by one the moving ranges of a are 2, 1, 4, mean 7/3.
#[test]
fn parts_that_scatter_unequally_on_one_chart() {
    let text = "value,target,part\n10,10,a\n12,10,a\n11,10,a\n15,10,a\n6,5,b\n7,5,b\n";
    let (_, answer) = machine(text, &["--part", "part", "--subgroup", "2"]);
    let groups = &answer["subgroups"];
    all_near(&groups["means"], &[1.0 / 3.0, 1.0, 1.5], 1e-9);
    all_near(&groups["spreads"], &[2.0 / 3.0, 4.0 / 3.0, 1.0], 1e-9);
    near(&answer["limits"]["high"], 1.88, 0.0005);
    near(&answer["limits"]["low"], -1.88, 0.0005);
    near(&groups["spread_limits"]["centre"], 1.0, 1e-9);
    near(&groups["spread_limits"]["high"], 3.267, 0.0005);
    let (_, single) = machine(text, &["--part", "part"]);
    near(&single["limits"]["high"], 3.0 / 1.128, 0.002);
    near(&single["limits"]["centre"], 0.0, 0.0);
    near(&single["mean"], (8.0 / (7.0 / 3.0) + 3.0) / 6.0, 1e-9);
    let said = chart(text, &["--part", "part", "--subgroup", "2"]).out;
    let said = one_line(&said);
    assert!(said.contains("in mean ranges of its part") && said.contains("3 groups of 2"));
    let mixed = chart(text, &["--part", "part", "--subgroup", "3"]);
    assert!(mixed.code == 2 && mixed.err.contains("group 2 isn't 3 readings of one part"));
    let without = chart("value,part\n1,a\n2,a\n", &["--part", "part"]);
    assert!(without.code == 2 && without.err.contains("need their targets"), "{}", without.err);
}

/// J. M. Lucas and R. B. Crosier, Technometrics 24 (1982), 199-205: out of control from the
/// start (7 of its numbers were found; sums recomputed): found at 3 with half of h, at 7
/// without.
#[test]
fn a_head_start_finds_a_bad_beginning_sooner() {
    let readings = "0.8\n1.9\n1.4\n2.0\n1.1\n0.7\n2.6\n";
    let plain = ["--target", "0", "--sigma", "1", "--slack", "0.5", "--decide", "5"];
    let (_, answer) = machine(readings, &plain);
    assert_eq!(answer["cusum"]["signals"], json!([7]));
    let ahead = [plain.as_slice(), &["--head-start", "0.5"]].concat();
    let (_, answer) = machine(readings, &ahead);
    all_near(&answer["cusum"]["high"], &[2.8, 4.2, 5.1, 6.6, 7.2, 7.4, 9.5], 1e-9);
    all_near(&answer["cusum"]["low"], &[1.2, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0], 1e-9);
    assert_eq!(answer["cusum"]["signals"], json!([3, 4, 5, 6, 7]));
    // 0.5 + (5.1 - 2.5) / 3 = 1.367.
    let said = chart(readings, &ahead).out;
    let said = one_line(&said);
    assert!(said.contains("mean about 1.37 from reading 1 on"), "{said}");
    assert_eq!(chart(readings, &["--head-start", "1"]).code, 2);
}
