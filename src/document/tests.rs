//! Texts with something wrong in them, and what is said about it.
//! Knows nothing of routes or shops: a text is only a text here.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use proptest::prelude::*;
use serde::Deserialize;

use super::*;
use crate::prose::{Level, Message};

fn read(text: &str) -> Document {
    Document::read("bench.json", text).unwrap_or_else(|problem| panic!("{text:?}: {problem}"))
}

/// Line, column, what is underlined, and what is said.
fn refusal(text: &str) -> (usize, usize, String, String) {
    let problem = Document::read("bench.json", text).expect_err(text);
    let text = text.trim_start_matches('\u{feff}');
    let place = problem.place.at.expect("a place");
    (place.line, place.column, text[place.span].to_owned(), problem.what)
}

fn node<'d>(document: &'d Document, keys: &[&str]) -> Node<'d> {
    keys.iter().fold(document.root(), |node, key| match key.parse::<usize>() {
        Ok(index) => node.items().expect("a list")[index],
        Err(_) => node.child(key).expect("the key"),
    })
}

const ROUTE: &str = r#"{
  "route": "Ferry landing bench",
  "dims": { "seat": "7/8", "höhe": "17 1/2 +* 3" },
  "operations": [
    { "op": 10, "do": "rip", "to": 45 },
    { "op": 20, "do": "crosscut", "tolerence": 0.2,
      "checks": [ { "check": "length", "pieces": "al" } ] },
    [ 1, "two" ]
  ]
}
"#;

// Refusals of the whole text.

#[test]
fn a_syntax_error_is_placed_where_a_person_would_look() {
    let cases: &[(&str, usize, usize, &str, &str)] = &[
        ("{\n  \"a\": 1\n  \"b\": 2\n}", 2, 9, "", "a comma is missing here"),
        ("[1, 2,\n]", 1, 6, ",", "a comma stands after the last item"),
        ("{\"a\": 1,}", 1, 8, ",", "a comma stands after the last item"),
        ("{\n  // why\n}", 2, 3, "/", "JSON has no comments"),
        ("{'a': 1}", 1, 2, "'", "text stands in double quotes"),
        ("{a: 1}", 1, 2, "a", "expected a key in double quotes"),
        ("{\"a\" 1}", 1, 6, "1", "expected `:` between the key and its value"),
        ("[1] 2", 1, 5, "2", "the file goes on after its last bracket"),
        ("{\n \"a\": [1,\n", 2, 7, "[", "the file ends before this `[` is closed"),
        ("[\"tall", 1, 2, "\"", "this text is never closed"),
        ("[\"tall,\n\"b\"]", 1, 2, "\"tall,", "this text does not end on its line"),
        ("[\"tall,\r\n\"b\"]", 1, 2, "\"tall,", "this text does not end on its line"),
        ("[\"a\tb\"]", 1, 4, "\t", "a control character stands in a text as it is"),
        ("[1}", 1, 3, "}", "expected `,` or `]` after this item"),
    ];
    for &(text, line, column, marked, what) in cases {
        let expected = (line, column, marked.to_owned(), what.to_owned());
        assert_eq!(refusal(text), expected, "for {text:?}");
    }
}

#[test]
fn only_what_serde_json_reads_is_read() {
    // Each of these is let through by the span tree alone or by a lenient reader.
    for text in ["[\"a\nb\"]", "[1e999]", r#"["\ud800"]"#, "[01]", "[.5]", "[+1]", "[NaN]", "[0x1]"]
    {
        assert!(Document::read("bench.json", text).is_err(), "for {text:?}");
    }
}

#[test]
fn a_key_that_appears_twice_is_refused_at_the_second() {
    let text = "{\n  \"leg\": { \"op\": 1,\n    \"op\": 2 }\n}";
    let (line, column, marked, what) = refusal(text);
    assert_eq!((line, column, marked.as_str()), (3, 5, "\"op\""));
    assert_eq!(what, "the key `op` appears a second time");
    // The same key written with an escape is the same key.
    assert_eq!(refusal(r#"{"op": 1, "\u006fp": 2}"#).1, 11);
    read(r#"[{"op": 1}, {"op": 2}]"#);
}

#[test]
fn a_byte_order_mark_moves_nothing() {
    let document = read("\u{feff}{ \"a\": true }");
    assert_eq!(document.text(), "{ \"a\": true }");
    let place = node(&document, &["a"]).place();
    assert_eq!((place.line, place.column), (1, 8));
    assert_eq!(refusal("\u{feff}[1,]").1, 3);
}

#[test]
fn carriage_returns_move_nothing() {
    let unix = read(ROUTE);
    let windows = read(&ROUTE.replace('\n', "\r\n"));
    for keys in [&["dims", "seat"][..], &["operations", "1", "checks", "0", "pieces"]] {
        let (a, b) = (node(&unix, keys).place(), node(&windows, keys).place());
        assert_eq!((a.line, a.column), (b.line, b.column));
    }
}

#[test]
fn empty_files_and_large_ones_are_refused_as_a_whole() {
    for (text, what) in [
        ("", "the file is empty"),
        (" \r\n\t", "the file is empty"),
        ("\u{feff}", "the file is empty"),
        (
            &" ".repeat(LARGEST + 1),
            "the file is too large: at most 4 MB are read, and this is 5 MB",
        ),
        (
            &format!("[{}0]", "0,".repeat(MOST)),
            "the file holds too much: at most 100000 values are read",
        ),
    ] {
        let problem = Document::read("bench.json", text).expect_err(what);
        assert_eq!((problem.what.as_str(), problem.place.at), (what, None));
    }
}

#[test]
fn brackets_in_a_text_are_not_depth() {
    read(&format!("[\"{}\\\"{}\"]", "[".repeat(200), "{,".repeat(200_000)));
}

#[test]
fn depth_is_allowed_up_to_the_limit() {
    let nested = |depth| format!("{}{}", "[".repeat(depth), "]".repeat(depth));
    read(&nested(DEEPEST));
    let what = "brackets are nested too deep: at most 64 may be open at once";
    assert_eq!(refusal(&nested(DEEPEST + 1)), (1, 65, "[".to_owned(), what.to_owned()));
    assert!(Document::read("deep", "{\"a\":".repeat(1000)).is_err());
}

#[test]
fn hostile_texts_are_answered_in_time() {
    let many_keys: String = (0..90_000).map(|key| format!("\"k{key}\":1,")).collect();
    for text in [
        "[".repeat(1 << 20),
        "{\"a\":".repeat(1 << 18),
        format!("[\"{}", "\\".repeat(1 << 20)),
        format!("{}\u{1b}", " ".repeat(1 << 20)),
        "\"".repeat(1 << 20),
    ] {
        let begun = Instant::now();
        let problem = Document::read("bench.json", text.as_str()).expect_err("hostile");
        let page = problem.render("bench.json", &text);
        assert!(page.len() < 1000, "{page}");
        assert!(begun.elapsed() < Duration::from_secs(1), "{page}");
    }
    let begun = Instant::now();
    let document = read(&format!("{{{}\"end\":1}}", many_keys));
    let problems = document.root().unknown_keys(&["op", "do", "end"]);
    assert_eq!(problems.len(), 90_000);
    assert!(begun.elapsed() < Duration::from_secs(10), "{:?}", begun.elapsed());
}

// Walking.

#[test]
fn paths_read_as_words() {
    let document = read(ROUTE);
    for (keys, path) in [
        (&[][..], ""),
        (&["dims", "seat"], "dims, seat"),
        (&["operations"], "operations"),
        (&["operations", "0", "to"], "operations, op 10, to"),
        (
            &["operations", "1", "checks", "0", "pieces"],
            "operations, op 20, checks, check length, pieces",
        ),
        (&["operations", "2", "1"], "operations, item 3, item 2"),
    ] {
        assert_eq!(node(&document, keys).path(), path);
    }
}

#[test]
fn values_say_what_they_are() {
    let document = read(r#"{"a": "x\ty", "b": -2.5e1, "c": false, "d": null, "e": [1], "f": {}}"#);
    let root = document.root();
    let child = |key| root.child(key).expect("the key");
    assert_eq!(child("a").as_str(), Some("x\ty"));
    assert_eq!(child("a").raw(), r#""x\ty""#);
    assert_eq!(child("b").as_f64(), Some(-25.0));
    assert_eq!(child("c").as_bool(), Some(false));
    assert!(child("d").is_null() && child("e").is_array() && child("f").is_object());
    assert!(root.child("g").is_none() && child("a").fields().is_none());
    let described: Vec<String> =
        root.fields().expect("an object").iter().map(|field| field.value.described()).collect();
    assert_eq!(
        described,
        ["the text \"x\\ty\"", "the number -2.5e1", "false", "null", "a list [ ]", "an object { }"]
    );
    assert_eq!(root.fields().expect("an object")[1].name_place.column, 15);
}

#[test]
fn columns_count_characters() {
    let document = read(ROUTE);
    let height = node(&document, &["dims", "höhe"]);
    // `  "dims": { "seat": "7/8", "höhe": ` is 35 characters and one byte more.
    assert_eq!((height.place().line, height.place().column), (3, 36));
    let dims = node(&document, &["dims"]);
    assert_eq!(dims.key_place("höhe").column, 28);
    assert_eq!(dims.key_place("width"), dims.place());
}

#[test]
fn a_place_inside_a_text_allows_for_escapes() {
    let document = read(r#"["a\"é\u00e9\ud83d\udfe0b", 12]"#);
    let items = document.root().items().expect("a list");
    let text = items[0].as_str().expect("a text");
    assert_eq!(text, "a\"éé🟠b");
    let inside = |at| &document.text()[items[0].text_place(at).span];
    for (at, marked) in [
        (0..1, "a"),
        (1..2, r#"\""#),
        (2..4, "é"),
        (4..6, r"\u00e9"),
        (6..10, r"\ud83d\udfe0"),
        (7..8, r"\ud83d\udfe0"), // Half a character is all of it.
        (10..11, "b"),
        (1..6, r#"\"é\u00e9"#),
        (11..11, ""), // Where more was expected: the closing quote.
        (0..0, ""),
        (4..12, r#""a\"é\u00e9\ud83d\udfe0b""#), // Outside: all of it.
    ] {
        assert_eq!(inside(at.clone()), marked, "for {at:?}");
    }
    assert_eq!(items[0].text_place(11..11).column, 26);
    assert_eq!(items[1].text_place(0..1), items[1].place());
    // Ranges from nowhere are trimmed, never a panic.
    assert_eq!(document.at(900..1000, 5..6).span, document.text().len()..document.text().len());
    #[expect(clippy::reversed_empty_ranges, reason = "a caller's mistake must not panic")]
    let backwards = document.at(9..3, 6..2);
    assert_eq!(backwards.line, 1);
}

#[test]
fn unknown_keys_are_all_reported() {
    let document = read("{ \"op\": 1, \"tolerence\": 2,\n \"\\u001b\": 3 }");
    let problems = document.root().unknown_keys(&["op", "tolerance"]);
    let said: Vec<_> = problems.iter().map(|p| (p.what.as_str(), p.help.as_deref())).collect();
    assert_eq!(
        said,
        [
            ("unknown key `tolerence`", Some("did you mean `tolerance`?")),
            ("unknown key `\\u{1b}`", Some("use `op` or `tolerance`")),
        ]
    );
    assert_eq!(problems[1].place.at.as_ref().map(|place| (place.line, place.column)), Some((2, 2)));
}

// Decoding.

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(dead_code, reason = "only whether it decodes matters")]
struct Step {
    op: u32,
    #[serde(rename = "do")]
    kind: Option<Kind>,
    to: Option<String>,
    pair: Option<(f64, f64)>,
    size: Option<Size>,
    more: Option<BTreeMap<String, Step>>,
    steps: Option<Vec<Step>>,
    cut: Option<Cut>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
#[expect(dead_code, reason = "only whether it decodes matters")]
enum Kind {
    Rip,
    Crosscut,
    Taper { angle: f64 },
}

#[derive(Debug, Deserialize)]
#[serde(expecting = "a length, such as \"1 7/16\" or 36.5")]
#[expect(dead_code, reason = "only whether it decodes matters")]
struct Size {
    is: u8,
}

#[derive(Debug, Deserialize)]
#[serde(tag = "by", deny_unknown_fields, rename_all = "lowercase")]
#[expect(dead_code, reason = "only whether it decodes matters")]
enum Cut {
    Saw { kerf: f64 },
}

#[test]
fn a_complaint_points_at_the_key_or_the_value_it_is_about() {
    // What is decoded stands on the second line, after four spaces, in a list.
    type Case<'c> = (&'c str, usize, &'c str, &'c str, &'c str, Option<&'c str>);
    let cases: &[Case] = &[
        (
            r#"{"op": "x"}"#,
            12,
            r#""x""#,
            "item 1, op",
            "expected a whole number from 0 to 4294967295, found the text \"x\"",
            None,
        ),
        (
            r#"{"op": -1}"#,
            12,
            "-1",
            "item 1, op",
            "expected a whole number from 0 to 4294967295, found the number -1",
            None,
        ),
        (
            r#"{"op": 1.5}"#,
            12,
            "1.5",
            "item 1, op",
            "expected a whole number from 0 to 4294967295, found the number 1.5",
            None,
        ),
        (
            r#"{"op": null}"#,
            12,
            "null",
            "item 1, op",
            "expected a whole number from 0 to 4294967295, found null",
            None,
        ),
        (r#"{"op": 1, "to": 3}"#, 21, "3", "op 1, to", "expected a text, found the number 3", None),
        (r#"{"op": 1, "to": [3]}"#, 21, "[", "op 1, to", "expected a text, found a list [ ]", None),
        (
            r#"{"op": 1, "tu": 3}"#,
            15,
            r#""tu""#,
            "op 1",
            "unknown key `tu`",
            Some("did you mean `to`?"),
        ),
        (r#"{"to": "1"}"#, 5, "{", "to 1", "the key `op` is missing here", None),
        (
            r#"{"op": 1, "do": "ripp"}"#,
            21,
            r#""ripp""#,
            "op 1, do",
            "unknown word `ripp`",
            Some("did you mean `rip`?"),
        ),
        (
            r#"{"op": 1, "do": "glue"}"#,
            21,
            r#""glue""#,
            "op 1, do",
            "unknown word `glue`",
            Some("use `rip`, `crosscut` or `taper`"),
        ),
        (
            r#"{"op": 1, "do": {"taper": {"angle": "x"}}}"#,
            41,
            r#""x""#,
            "op 1, do, taper, angle",
            "expected a number, found the text \"x\"",
            None,
        ),
        (
            r#"{"op": 1, "pair": [1]}"#,
            23,
            "[",
            "op 1, pair",
            "expected a list of 2, found 1 of them",
            None,
        ),
        (
            r#"{"op": 1, "pair": [1, 2, 3]}"#,
            23,
            "[",
            "op 1, pair",
            "this list has more items than expected",
            None,
        ),
        (
            r#"{"op": 1, "pair": [1, true]}"#,
            27,
            "true",
            "op 1, pair, item 2",
            "expected a number, found true",
            None,
        ),
        (
            r#"{"op": 1, "size": "big"}"#,
            23,
            r#""big""#,
            "op 1, size",
            "expected a length, such as \"1 7/16\" or 36.5, found the text \"big\"",
            None,
        ),
        (
            r#"{"op": 1, "size": {"is": 256}}"#,
            30,
            "256",
            "op 1, size, is",
            "expected a whole number from 0 to 255, found the number 256",
            None,
        ),
        (
            r#"{"op": 1, "more": {"é": {"op": 2, "op2": 3}}}"#,
            39,
            r#""op2""#,
            "op 1, more, é",
            "unknown key `op2`",
            Some("did you mean `op`?"),
        ),
        (
            r#"{"op": 1, "steps": [{"op": 2}, {"op": 3, "to": false}]}"#,
            52,
            "false",
            "op 1, steps, op 3, to",
            "expected a text, found false",
            None,
        ),
        (
            r#"{"op": 1, "cut": {"by": "saw", "kerf": 1, "kerv": 2}}"#,
            47,
            r#""kerv""#,
            "op 1, cut",
            "unknown key `kerv`",
            Some("did you mean `kerf`?"),
        ),
        (
            r#"{"op": 1, "cut": {"by": "saw"}}"#,
            22,
            "{",
            "op 1, cut",
            "the key `kerf` is missing here",
            None,
        ),
        (r#""rip""#, 5, r#""rip""#, "item 1", "expected an object, found the text \"rip\"", None),
        (
            r#"{"op": 1, "a`, expected `b": 2}"#,
            15,
            r#""a`, expected `b""#,
            "op 1",
            "unknown key `a`, expected `b`",
            Some("use `op`, `do`, `to`, `pair`, `size`, `more`, `steps` or `cut`"),
        ),
    ];
    for &(step, column, marked, path, what, help) in cases {
        let document = read(&format!("{{ \"list\": [\n    {step}\n] }}"));
        let problem = node(&document, &["list", "0"]).decode::<Step>().expect_err(step);
        let place = problem.place.at.expect("a place");
        assert_eq!(problem.what, what, "for {step}");
        assert_eq!(problem.help.as_deref(), help, "for {step}");
        assert_eq!(problem.place.path, format!("list, {path}"), "for {step}");
        assert_eq!((place.line, place.column), (2, column), "for {step}");
        assert_eq!(&document.text()[place.span], marked, "for {step}");
    }
}

#[test]
fn what_is_right_decodes() {
    let document = read(r#"{"op": 30, "do": "crosscut", "cut": {"by": "saw", "kerf": 0.125}}"#);
    let step: Step = document.root().decode().expect("a right step");
    assert!(step.op == 30 && matches!(step.kind, Some(Kind::Crosscut)));
}

// Showing.

#[track_caller]
fn check_page(text: &str, span: Range<usize>, what: &str, expected: &str) {
    let document = read(text);
    let problem = Message::warning(what).at(document.place(span).into());
    assert_eq!(document.render(&problem), expected);
}

#[test]
fn a_page_shows_the_line_and_the_spot() {
    let document = read(ROUTE);
    let problem =
        &node(&document, &["operations", "1"]).unknown_keys(&["op", "do", "tolerance", "checks"])
            [0];
    assert_eq!(
        document.render(problem),
        r#"error: unknown key `tolerence`
 --> bench.json:6:35 in operations, op 20
  |
6 |     { "op": 20, "do": "crosscut", "tolerence": 0.2,
  |                                   ^^^^^^^^^^^
  = help: did you mean `tolerance`?
"#
    );
    let height = node(&document, &["dims", "höhe"]);
    let at = height.text_place(8..9);
    let problem = height.problem_at(at, "expected a number after `+`, found `*`", None);
    assert_eq!(
        document.render(&problem),
        r#"error: expected a number after `+`, found `*`
 --> bench.json:3:45 in dims, höhe
  |
3 |   "dims": { "seat": "7/8", "höhe": "17 1/2 +* 3" },
  |                                             ^
"#
    );
}

#[test]
fn a_page_without_a_place_names_the_file() {
    let problem = Document::read("bench.json", "").expect_err("an empty file");
    assert_eq!(
        problem.render("bench.json", ""),
        "error: the file is empty\n --> bench.json\n = help: start with `{` and `}`\n"
    );
}

#[test]
fn carets_stand_under_wide_characters_and_tabs() {
    // Each of the two wide characters takes two cells, the tab four.
    check_page(
        "[\t\"木材\", 17]",
        12..14,
        "here",
        "warning: here\n --> bench.json:1:9\n  |\n1 | [    \"木材\", 17]\n  |              ^^\n",
    );
    check_page(
        "[\t\"木材\", 17]",
        2..10,
        "here",
        "warning: here\n --> bench.json:1:3\n  |\n1 | [    \"木材\", 17]\n  |      ^^^^^^\n",
    );
}

#[test]
fn nothing_from_a_file_acts_on_the_terminal() {
    // An override that turns the writing round, and a C1 control; JSON allows both.
    check_page(
        "[\"\u{202e}gel\u{9b}\", 1]",
        1..11,
        "red \u{1b}[31m",
        "warning: red \\u{1b}[31m\n --> bench.json:1:2\n  |\n1 | [\"\\u{202e}gel\\u{9b}\", 1]\n  |  ^^^^^^^^^^^^^^^^^^^\n",
    );
}

#[test]
fn a_span_over_several_lines_is_marked_to_the_end_of_its_first() {
    check_page(
        "{\r\n  \"a\": [\r\n  1]}",
        10..16,
        "x",
        "warning: x\n --> bench.json:2:8\n  |\n2 |   \"a\": [\n  |        ^\n",
    );
}

#[test]
fn a_long_line_is_clipped_around_the_spot() {
    let digits = "1234567,".repeat(40_000);
    let text = format!("[{digits}0, \"tail\"]");
    let tail = text.len() - 7;
    // Seventy cells: `"tail"]` takes seven, which leaves 63 before it.
    check_page(
        &text,
        tail..tail + 6,
        "x",
        "warning: x\n --> bench.json:1:320005\n  |\n1 | ...567,1234567,1234567,1234567,1234567,1234567,1234567,1234567,0, \"tail\"]\n  |                                                                   ^^^^^^\n",
    );
    // In the middle: 30 cells before the spot and 40 from it on.
    check_page(
        &text,
        801..808,
        "x",
        "warning: x\n --> bench.json:1:802\n  |\n1 | ...34567,1234567,1234567,1234567,1234567,1234567,1234567,1234567,1234567,...\n  |                                  ^^^^^^^\n",
    );
}

#[test]
fn errors_sort_before_warnings_before_notes() {
    assert!(Level::Error < Level::Warning && Level::Warning < Level::Note);
    assert_eq!(serde_json::to_string(&Level::Error).expect("a word"), "\"error\"");
}

// Laws.

/// The value a node is, put together from nothing but what nodes say.
fn rebuilt(node: Node<'_>) -> serde_json::Value {
    if let Some(fields) = node.fields() {
        return fields
            .into_iter()
            .map(|field| (field.name.to_owned(), rebuilt(field.value)))
            .collect();
    }
    if let Some(items) = node.items() {
        return items.into_iter().map(rebuilt).collect();
    }
    match (node.as_str(), node.as_bool()) {
        (Some(text), _) => text.into(),
        (_, Some(flag)) => flag.into(),
        _ => serde_json::from_str(node.raw()).expect("a number or null"),
    }
}

/// Text that is nearly JSON more often than not.
fn nearly_json() -> impl Strategy<Value = String> {
    let scrap = prop_oneof![
        prop::sample::select(vec![
            "{",
            "}",
            "[",
            "]",
            ",",
            ":",
            "\"",
            "\"a\"",
            "\"a\":",
            "1",
            "-0.5e3",
            "true",
            "null",
            " ",
            "\n",
            "\r\n",
            "\t",
            "\\",
            "\\u00e9",
            "\\ud83d\\ude00",
            "\\n",
            "//",
            "'",
            "\u{feff}",
            "é",
            "木",
            "[1,2]",
            "{\"b\":[]}",
        ])
        .prop_map(str::to_owned),
        any::<char>().prop_map(String::from),
    ];
    prop::collection::vec(scrap, 0..24).prop_map(|scraps| scraps.concat())
}

fn json() -> impl Strategy<Value = serde_json::Value> {
    let plain = prop_oneof![
        Just(serde_json::Value::Null),
        any::<bool>().prop_map(serde_json::Value::from),
        any::<i64>().prop_map(serde_json::Value::from),
        (-1e9..1e9).prop_map(serde_json::Value::from),
        any::<String>().prop_map(serde_json::Value::from),
    ];
    plain.prop_recursive(4, 40, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(serde_json::Value::from),
            prop::collection::btree_map(any::<String>(), inner, 0..6)
                .prop_map(|entries| entries.into_iter().collect()),
        ]
    })
}

/// Everything a document can be asked, asked of every value.
fn ask(document: &Document, node: Node<'_>) {
    let problem = node.problem(node.described(), Some(node.path()));
    assert!(document.render(&problem).lines().count() == 6);
    let _ = node.decode::<Step>();
    node.unknown_keys(&["a"]).iter().for_each(|problem| drop(document.render(problem)));
    for field in node.fields().unwrap_or_default() {
        ask(document, field.value);
    }
    for item in node.items().unwrap_or_default() {
        ask(document, item);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn no_text_makes_reading_panic(text in prop_oneof![nearly_json(), any::<String>()]) {
        match Document::read("bench.json", text.as_str()) {
            Ok(document) => ask(&document, document.root()),
            Err(problem) => {
                problem.render("bench.json", &text);
            }
        }
    }

    #[test]
    fn what_serde_json_reads_is_read_unless_a_key_stands_twice(text in nearly_json()) {
        let bare = text.strip_prefix('\u{feff}').unwrap_or(&text);
        let theirs = serde_json::from_str::<serde_json::Value>(bare);
        match (theirs, Document::read("bench.json", text.as_str())) {
            (Ok(value), Ok(document)) => prop_assert_eq!(rebuilt(document.root()), value),
            (Ok(_), Err(problem)) => prop_assert!(problem.what.ends_with("a second time"), "{}", problem),
            (Err(refusal), Ok(_)) => prop_assert!(false, "{}", refusal),
            (Err(_), Err(_)) => {}
        }
    }
}

proptest! {
    #[test]
    fn a_document_holds_what_was_written(value in json(), pretty in any::<bool>()) {
        let text = if pretty { format!("{value:#}") } else { value.to_string() };
        let document = read(&text);
        prop_assert_eq!(rebuilt(document.root()), value);
        ask(&document, document.root());
    }

    #[test]
    fn a_place_inside_a_text_decodes_to_what_was_asked_for(text in any::<String>(), from in 0usize..20, length in 0usize..20) {
        let document = read(&serde_json::to_string(&text).expect("a text"));
        let offsets: Vec<usize> = text.char_indices().map(|(at, _)| at).chain([text.len()]).collect();
        let from = offsets[from.min(offsets.len() - 1)];
        let to = offsets[length.min(offsets.len() - 1)].max(from);
        let place = document.root().text_place(from..to);
        let raw = &document.text()[place.span];
        prop_assert_eq!(serde_json::from_str::<String>(&format!("\"{raw}\"")).expect("a text"), &text[from..to]);
    }

    #[test]
    fn line_and_column_are_what_counting_says(text in "([a-zé木 ]{0,400}\n?){0,12}", at in 0usize..6000) {
        let lines = lines::Lines::of(&text);
        let place = lines.place(&text, at..at);
        let before = &text[..place.span.start];
        prop_assert!(place.span.start <= at);
        prop_assert_eq!(place.line, before.matches('\n').count() + 1);
        prop_assert_eq!(place.column, before.chars().rev().take_while(|&c| c != '\n').count() + 1);
    }
}
