//! `benchway chart`, through the binary: what people and programs read about readings.

use std::fs;
use std::io::Write;
use std::process::{Command, Stdio};

use crate::bench::{Said, benchway, near, snapshot};
use serde_json::{Value, json};

/// Charts what is piped in.
pub fn chart(readings: &str, arguments: &[&str]) -> Said {
    let mut running = Command::new(env!("CARGO_BIN_EXE_benchway"))
        .args([&["chart", "-"], arguments].concat())
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_clear()
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that refused its options has not read this; that it closed is its answer.
    let _ = running.stdin.take().unwrap().write_all(readings.as_bytes());
    let ran = running.wait_with_output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    Said { code: ran.status.code().unwrap(), out: text(ran.stdout), err: text(ran.stderr) }
}

pub fn machine(readings: &str, arguments: &[&str]) -> (i32, Value) {
    let said = chart(readings, &[arguments, &["--format", "json"]].concat());
    assert_eq!(said.err, "", "{readings:?}");
    (said.code, serde_json::from_str(&said.out).unwrap())
}

pub fn all_near(found: &Value, expected: &[f64], within: f64) {
    let found = found.as_array().unwrap();
    assert_eq!(found.len(), expected.len());
    for (found, expected) in found.iter().zip(expected) {
        near(found, *expected, within);
    }
}

fn lines(numbers: &[f64]) -> String {
    numbers.iter().map(|number| format!("{number}\n")).collect()
}

const FLOW: [f64; 10] = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];

/// NIST/SEMATECH e-Handbook 6.3.2.2; limits to four decimals.
#[test]
fn limits_of_single_readings() {
    let (code, answer) = machine(&lines(&FLOW), &[]);
    assert_eq!((code, &answer["n"]), (0, &json!(10)));
    near(&answer["mean"], 50.81, 1e-9);
    near(&answer["moving_range_mean"], 1.8778, 0.00005);
    near(&answer["limits"]["low"], 45.8159, 0.00005);
    near(&answer["limits"]["centre"], 50.81, 1e-9);
    near(&answer["limits"]["high"], 55.8041, 0.00005);
    assert_eq!(answer["signals"], json!([]));
    assert_eq!(answer["capability"], Value::Null);
    let keys: Vec<&String> = answer.as_object().unwrap().keys().collect();
    let expected = [
        "n",
        "mean",
        "sd",
        "moving_range_mean",
        "limits",
        "signals",
        "ewma",
        "cusum",
        "capability",
        "subgroups",
    ];
    assert_eq!(keys, expected);
}

/// NIST/SEMATECH e-Handbook 6.3.2.4, to two decimals; the page's first, 50.00, is the target.
#[test]
fn a_slow_average_starts_at_the_target() {
    let readings = lines(&[
        52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8,
        51.2, 52.6, 52.4, 53.6, 52.1,
    ]);
    let options = ["--target", "50", "--sigma", "2.0539", "--weight", "0.3", "--width", "3"];
    let (_, answer) = machine(&readings, &options);
    let printed = [
        50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52,
        50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99,
    ];
    all_near(&answer["ewma"], &printed, 0.005);
    let signals = answer["signals"].as_array().unwrap();
    assert!(signals.iter().all(|signal| signal["rule"] != "ewma"), "in control");
    // Target and sigma given: the limits are 50 +- 3 x 2.0539.
    near(&answer["limits"]["high"], 56.1617, 1e-9);
    // With limits a twelfth as wide, 0.2157, the first average is out by 0.6 and the second
    // by 0.48; the fifth, 50.16, is in.
    let narrow = [&options[..7], &["0.25"]].concat();
    let (code, answer) = machine(&readings, &narrow);
    let signals = answer["signals"].as_array().unwrap();
    let out: Vec<_> = signals.iter().filter(|s| s["rule"] == "ewma").map(|s| &s["at"]).collect();
    assert_eq!(
        (code, &out[..5]),
        (1, &[&json!(1), &json!(2), &json!(3), &json!(6), &json!(7)][..])
    );
}

/// NIST/SEMATECH e-Handbook 6.3.2.3 (from memory, recomputed), to two decimals.
#[test]
fn sums_in_the_unit_of_the_readings() {
    let readings = lines(&[
        324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600,
        324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350,
    ]);
    let options = ["--target", "325", "--slack", "0.3175", "--decide", "4.1959"];
    let (code, answer) = machine(&readings, &options);
    assert_eq!(code, 1);
    let high = [
        0.0, 0.0, 0.0, 0.0, 0.03, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 3.01, 4.94, 7.45, 10.63,
        11.99, 14.44, 16.0, 19.04,
    ];
    all_near(&answer["cusum"]["high"], &high, 0.006);
    near(&answer["cusum"]["low"][7], 0.72, 0.006);
    assert_eq!(answer["cusum"]["signals"], json!([14, 15, 16, 17, 18, 19, 20]));
    // The centre of the limits stays the mean while sigma is not given too.
    near(&answer["limits"]["centre"], 325.95375, 1e-9);
    snapshot("chart-sums", &chart(&readings, &options).out);
}

/// By hand: moving ranges 1 1, sigma 1/1.128; slack half of it, decision five of it.
#[test]
fn slack_and_decision_go_by_sigma_when_left_out() {
    let (_, answer) = machine("10\n11\n10\n", &["--target", "10"]);
    all_near(&answer["cusum"]["high"], &[0.0, 1.0 - 0.5 / 1.128, 1.0 - 1.0 / 1.128], 1e-12);
    let (code, answer) = machine("10\n11\n10\n", &["--target", "10", "--sigma", "0.1"]);
    // Slack 0.05, decision 0.5: the second sum is 0.95.
    assert_eq!((code, &answer["cusum"]["signals"]), (1, &json!([2, 3])));
}

/// Sequences in sigmas: statements of Western Electric (1956) and Nelson (1984).
#[test]
fn rules_are_named_and_counted_from_one() {
    let options = ["--target", "0", "--sigma", "1"];
    let rules = |numbers: &[f64]| {
        let (_, answer) = machine(&lines(numbers), &options);
        let mut signals = answer["signals"].as_array().unwrap().clone();
        signals.retain(|signal| signal["rule"] != "ewma");
        Value::from(signals)
    };
    assert_eq!(
        rules(&[0.1, -0.4, 3.2, 0.2]),
        json!([{ "rule": "western electric 1", "at": 3 }, { "rule": "nelson 1", "at": 3 }])
    );
    assert_eq!(rules(&[0.1, 3.0, -3.0]), json!([]));
    assert_eq!(
        rules(&[0.5, -1.5, -1.0, -0.4, 0.1, 0.6, 1.2]),
        json!([{ "rule": "nelson 3", "at": 7 }])
    );
    assert_eq!(
        rules(&[0.2, 2.3, 0.4, 2.1]),
        json!([{ "rule": "western electric 2", "at": 4 }, { "rule": "nelson 5", "at": 4 }])
    );
}

/// NIST data set GEAR.DAT; Cp and Cpk over all readings recomputed. The interval by the
/// formula of e-Handbook 6.1.6: 0.405591 -+ 1.959964 x sqrt(1/900 + 0.405591^2/198) =
/// 0.405591 -+ 0.086371.
#[test]
fn capability_where_there_are_limits_and_readings_enough() {
    let arguments = ["chart", "tests/published/gear.csv", "--column", "diameter"];
    let read = |more: &[&str]| -> (i32, Value) {
        let said = benchway(&[&arguments, more, &["--format", "json"]].concat());
        (said.code, serde_json::from_str(&said.out).unwrap())
    };
    let (code, answer) = read(&["--limits", "0.99..1.01"]);
    assert_eq!(code, 1);
    near(&answer["mean"], 0.99764, 1e-12);
    near(&answer["sd"], 0.006_278_904_877_814_79, 1e-12);
    let capability = &answer["capability"];
    near(&capability["cp"], 0.530_878_138_496_886, 1e-9);
    near(&capability["cpk"], 0.405_590_897_811_625, 1e-9);
    near(&capability["low"], 0.319_220, 2e-6);
    near(&capability["high"], 0.491_962, 2e-6);
    // The same limits about a target.
    let (_, about) = read(&["--target", "1", "--limits", "±0.01"]);
    near(&about["capability"]["cp"], 0.530_878_138_496_886, 1e-9);
    // One limit: no Cp, and Cpk from that side, (1.01 - 0.99764)/(3 x 0.0062789) = 0.656165.
    let (_, one) = read(&["--limits", "..1.01"]);
    assert_eq!(one["capability"]["cp"], Value::Null);
    near(&one["capability"]["cpk"], 0.656_165, 1e-5);
    let (_, none) = read(&[]);
    assert_eq!(none["capability"], Value::Null);
    let said = benchway(&[&arguments[..], &["--limits", "0.99..1.01"]].concat());
    snapshot("chart-gears", &said.out);
}

/// NIST StRD Lottery: every certified digit comes through.
#[test]
fn no_digit_is_lost_on_the_way() {
    let said = benchway(&["chart", "tests/published/lottery.csv", "--format", "json"]);
    let answer: Value = serde_json::from_str(&said.out).unwrap();
    near(&answer["mean"], 518.958715596330, 1e-12);
    near(&answer["sd"], 291.699727470969, 1e-12);
}

#[test]
fn readings_as_a_shop_types_them() {
    // 1 7/16 = 1.4375, and 36.5125 mm / 25.4 too: 23/16 in each form.
    let (_, answer) = machine("1 7/16\n1-7/16\n1.4375\n36.5125mm\n", &["--unit", "in"]);
    near(&answer["mean"], 1.4375, 1e-9);
    near(&answer["sd"], 0.0, 1e-9);
    let readings = "thickness\n12,5 mm\n12,6\n12,7 mm\n";
    let (_, answer) = machine(readings, &["--unit", "mm"]);
    near(&answer["mean"], 12.6, 1e-9);
    let limits = ["--unit", "in", "--target", "3/4", "--limits", "±1/64", "--sigma", "1/128"];
    let (code, answer) = machine("0.752\n0.749\n0.766\n", &limits);
    // 0.766 is over 3/4 + 1/64 = 0.765625. Limits 3/4 -+ 3/128.
    assert_eq!(code, 1);
    near(&answer["limits"]["high"], 0.773_437_5, 1e-6);
}

#[test]
fn tables_of_every_kind() {
    let mean = |readings: &str, options: &[&str]| machine(readings, options).1["mean"].clone();
    // Semicolons and decimal commas; a byte-order mark; blank lines; quotes.
    near(
        &mean("\u{feff}no;thickness\n1;12,5\n\n2;12,7\n;\n", &["--column", "thickness"]),
        12.6,
        1e-9,
    );
    near(&mean("no\tThickness\n1\t12,5\n2\t12.7\n", &["--column", "thickness"]), 12.6, 1e-9);
    near(&mean("1,12.5\n2,12.7\n", &["--column", "2"]), 12.6, 1e-9);
    near(&mean("\"leg, left\",2\n\"leg, right\",4\n", &["--column", "2"]), 3.0, 1e-9);
    near(&mean("thickness\n12,5\n12,7\n", &[]), 12.6, 1e-9);
    near(&mean("2\r\n4\r\n", &[]), 3.0, 1e-9);
    near(&mean("-2\n+4\n1e1\n", &[]), 4.0, 1e-9);
    // A column headed `value` needs no telling.
    near(&mean("who,value\nMB,2\nKT,4\n", &[]), 3.0, 1e-9);
}

/// D. C. Montgomery, Introduction to Statistical Quality Control, "Deviation from Nominal
/// Data" (from memory): the first two groups of part A and the first of part B, as single
/// readings. By hand: off by 0 1 2 -1 0 1 -1 2 1, mean 5/9.
#[test]
fn each_reading_against_its_own_target() {
    let readings = "part,value,target\nA,50,50\nA,51,50\nA,52,50\nA,49,50\nA,50,50\nA,51,50\n\
        B,24,25\nB,27,25\nB,26,25\n";
    let (_, answer) = machine(readings, &[]);
    near(&answer["mean"], 5.0 / 9.0, 1e-12);
    // The slow average starts at 0, which is on target: 0, 0.2, 0.56.
    near(&answer["ewma"][2], 0.56, 1e-12);
    let (_, as_they_are) = machine(readings, &["--column", "value"]);
    near(&as_they_are["mean"], 380.0 / 9.0, 1e-12);
    let said = chart(readings, &["--limits", "±2"]);
    assert_eq!(said.code, 0);
    assert!(said.out.contains("each minus its own target"), "{}", said.out);
}

#[test]
fn too_few_are_told_so_plainly() {
    let said = chart(&lines(&FLOW), &["--limits", "45..56"]);
    assert_eq!(said.code, 0);
    // For ten, chi squared gives 0.69 and 1.83.
    for words in [
        "10 readings say little about the scatter",
        "0.69 to 1.83",
        "No Cp or Cpk from 10 readings",
    ] {
        let line = said.out.replace("\n  ", " ");
        assert!(line.contains(words), "{words}: {}", said.out);
    }
    snapshot("chart-few", &said.out);
}

/// A first reading is no heading, so `12,5` below it may be two numbers, and nobody asks for
/// a reading to be left out. Under a heading it is one.
#[test]
fn a_first_reading_is_not_taken_for_a_heading() {
    let readings = "12\n12,5\n11\n11,5\n12\n12,5\n";
    let said = chart(readings, &[]);
    assert_eq!((said.code, said.out.as_str()), (2, ""), "{}", said.out);
    let (_, answer) = machine(&format!("length\n{readings}"), &[]);
    assert_eq!(answer["n"], json!(6));
}

/// By hand, about 10 with a sigma of 1: 13.5 is beyond 13. The slow average moves up by
/// 0.2 x 3.5, less than the 1.0 it may, and the sum of 3.5 - 0.5 stays under 5.
#[test]
fn one_reading_beyond_the_limits_is_unusual_by_itself() {
    let readings = lines(&[9.0, 11.0, 10.0, 9.0, 11.0, 10.0, 13.5, 9.0, 11.0, 10.0]);
    let said = chart(&readings, &["--target", "10", "--sigma", "1"]);
    assert!(said.out.contains("Unusual:\n  beyond the limits: 7 "), "{}", said.out);
    assert!(!said.out.contains("Nothing unusual"), "{}", said.out);
    let said = chart(&readings.replace("13.5", "12.5"), &["--target", "10", "--sigma", "1"]);
    assert!(said.out.contains("Nothing unusual."), "{}", said.out);
}

#[test]
fn readings_all_alike_are_no_signal() {
    for options in [&[][..], &["--target", "4"]] {
        let (code, answer) = machine("3\n3\n3\n3\n3\n3\n3\n3\n3\n", options);
        assert_eq!((code, &answer["signals"]), (0, &json!([])));
        assert_eq!(answer["cusum"]["signals"], json!([]));
    }
    assert!(chart("3\n3\n3\n", &[]).out.contains("no scatter to judge them by"));
}

#[test]
fn what_can_not_be_charted_is_answered_in_words() {
    for (readings, options, words) in [
        ("", &[][..], "standard input: it holds no readings"),
        ("\n\n", &[], "it holds no readings"),
        ("thickness\n", &[], "it holds no readings"),
        ("3\n", &[], "one reading can't be charted\n  help: at least two readings are needed"),
        ("3\n\n\nmaple\n4\n", &[], "standard input, line 4: `maple` is not a number"),
        ("a\n3\nmaple\n", &[], "standard input, line 3: `maple`"),
        ("0.75x\n0.76\n", &[], "line 1: `0.75x` is not a number"),
        ("O.752\n0.751\n", &[], "line 1: `O.752` is not a number"),
        ("3\nNaN\n", &[], "line 2: `NaN`: this is not a number"),
        ("nan\n3\n4\n", &[], "line 1: `nan`"),
        ("3\ninf\n", &[], "line 2: `inf` is too large for a reading"),
        ("3\n1e999\n", &[], "line 2: `1e999` is too large for a reading"),
        (
            "1 7/16\n1.44\n",
            &[],
            "line 1: `1 7/16` is not a number\n  help: for lengths, add --unit",
        ),
        ("1 7/16\n1 3/7\n", &["--unit", "in"], "line 2: `1 3/7`: sevenths"),
        ("a;b\n1;2\n3;\n", &["--column", "b"], "line 3: the reading is missing here"),
        ("1,2\n3\n", &["--column", "2"], "line 2: the reading is missing here"),
        ("part,value,target\nA,3,\nA,4,3\n", &[], "line 2: the target is missing here"),
        ("part,width\nA,3\n", &[], "the file has 2 columns\n  help: choose one of `part`, `width`"),
        ("12,5\n12,6\n", &[], "by its number, 1 to 2, with --column; with decimal commas"),
        ("part,width\nA,3\n", &["--column", "wdith"], "there is no column `wdith`"),
        ("1,2\n3,4\n", &["--column", "0"], "there is no column `0`"),
        ("1\n2\n", &["--column", "width"], "one column and no headings"),
        ("\u{1b}[2J\n3\n", &[], "`\\u{1b}[2J` is not a number"),
        ("1\n2\n", &["--sigma", "-1"], "--sigma -1: must be greater than zero"),
        ("1\n2\n", &["--sigma", "0"], "--sigma 0: must be greater than zero"),
        ("1\n2\n", &["--sigma", "nan"], "--sigma nan: this is not a number"),
        ("1\n2\n", &["--target", "inf"], "--target inf: `inf` is too large for a reading"),
        ("1\n2\n", &["--target", "oak"], "--target oak: `oak` is not a number"),
        ("1\n2\n", &["--weight", "0"], "--weight 0: must be greater than 0 and at most 1"),
        ("1\n2\n", &["--weight", "1.5"], "--weight 1.5: must be greater than 0 and at most 1"),
        ("1\n2\n", &["--weight", "-0.2"], "--weight -0.2: must be greater than 0 and at most 1"),
        ("1\n2\n", &["--width", "0"], "--width 0: must be greater than zero"),
        ("1\n2\n", &["--slack", "-1"], "--slack -1: must be zero or greater"),
        ("1\n2\n", &["--decide", "0"], "--decide 0: must be greater than zero"),
        (
            "1\n2\n",
            &["--limits", "2..1"],
            "the low limit is above the high one\n  help: write 1..2",
        ),
        ("1\n2\n", &["--limits", ".."], "on at least one side"),
        ("1\n2\n", &["--limits", "±0.1"], "are about a target, and none was given"),
        ("1\n2\n", &["--limits", "1"], "limits are expected here"),
        ("1\n2\n", &["--limits", "±-1", "--target", "1"], "must be zero or greater"),
        ("1\n2\n", &["--unit", "in", "--limits", "3/4..1/2"], "the low limit is over the high one"),
        ("part,value,target\nA,3,3\nA,4,3\n", &["--target", "3"], "a target for each reading"),
    ] {
        for format in ["text", "json"] {
            let said = chart(readings, &[options, &["--format", format]].concat());
            assert_eq!((said.code, said.out.as_str()), (2, ""), "{readings:?} {options:?}");
            assert!(said.err.starts_with("error: "), "{}", said.err);
            assert!(said.err.contains(words), "{readings:?} {options:?}: {}", said.err);
        }
    }
    let said = benchway(&["chart", "no-such.csv"]);
    assert_eq!(said.code, 2);
    assert!(said.err.starts_with("error: no-such.csv can't be read"), "{}", said.err);
    let not_text = tempfile::NamedTempFile::new().unwrap();
    fs::write(not_text.path(), [b'1', 0xff]).unwrap();
    let said = benchway(&["chart", not_text.path().to_str().unwrap()]);
    assert!(said.err.contains("is not text: byte 2"), "{}", said.err);
}

#[test]
fn no_line_is_wider_than_eighty() {
    let many: Vec<f64> = (0..700).map(|i| f64::from(i * 7919 % 101) * 1234.5678).collect();
    let offset: Vec<f64> = (0..64).map(|i| 1e6 + f64::from(i * 37 % 11) / 1e4).collect();
    for readings in [&many[..], &offset, &FLOW, &[1.0, 1e12]] {
        for options in [&[][..], &["--target", "50", "--limits", "±1000"]] {
            let said = chart(&lines(readings), options);
            assert!(said.out.is_ascii());
            for line in said.out.lines() {
                assert!(line.len() <= 80, "{line}");
            }
        }
    }
}

/// Reckoned a second way, from what `export` gives: the mean of reading less
/// target over all pieces measured at the saw, setup pieces apart.
#[test]
fn a_batch_is_charted_by_machine() {
    let place = tempfile::tempdir().unwrap();
    let home = place.path().to_str().unwrap();
    let ask = |arguments: &[&str]| benchway(&[&["--home", home], arguments].concat());
    let fault = "op 60 offset 0.010";
    let made = ask(&["simulate", "reading-stool", "--until", "60", "--fault", fault]);
    assert_eq!((made.code, made.err.as_str()), (0, ""));
    let name = "invented-reading-stool-1";
    let rows: Value =
        serde_json::from_str(&ask(&["export", name, "--format", "json"]).out).unwrap();
    let misses: Vec<f64> = rows
        .as_array()
        .unwrap()
        .iter()
        .filter(|row| row["op"] == 60 && row["struck_out"] == false)
        .filter(|row| !row["piece"].as_str().unwrap().contains("setup"))
        .map(|row| row["reading"].as_f64().unwrap() - row["target"].as_f64().unwrap())
        .collect();
    let said = ask(&["chart", name, "--at", "stop saw", "--format", "json"]);
    let chart: Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!(chart["n"], misses.len());
    near(&chart["mean"], misses.iter().sum::<f64>() / misses.len() as f64, 1e-9);

    let lost = ask(&["chart", name, "--at", "stopsaw"]);
    assert_eq!(lost.code, 2);
    assert!(lost.err.contains("did you mean `stop saw`?"), "{}", lost.err);
}
