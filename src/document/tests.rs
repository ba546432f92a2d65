//! Texts with something wrong in them, and what the program says about it.

use std::time::{Duration, Instant};

use proptest::prelude::*;

use super::*;
use crate::prose::Level;

pub(super) fn read(text: &str) -> Document {
    Document::read("bench.json", text).unwrap_or_else(|problem| panic!("{text:?}: {problem}"))
}

/// Line, column, what is underlined, and what is said.
fn refusal(text: &str) -> (usize, usize, String, String) {
    let problem = Document::read("bench.json", text).expect_err(text);
    let text = text.trim_start_matches('\u{feff}');
    let place = problem.place.at.expect("a place");
    (place.line, place.column, text[place.span].to_owned(), problem.what)
}

pub(super) fn node<'d>(document: &'d Document, keys: &[&str]) -> Node<'d> {
    keys.iter().fold(document.root(), |node, key| match key.parse::<usize>() {
        Ok(index) => node.items().expect("a list")[index],
        Err(_) => node.child(key).expect("the key"),
    })
}

pub(super) const ROUTE: &str = r#"{
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
        ("[1, 2,\n]", 1, 6, ",", "there is a comma after the last item"),
        ("{\"a\": 1,}", 1, 8, ",", "there is a comma after the last item"),
        ("{\n  // why\n}", 2, 3, "/", "JSON has no comments"),
        ("{'a': 1}", 1, 2, "'", "text belongs in double quotes"),
        ("{a: 1}", 1, 2, "a", "expected a key in double quotes"),
        ("{\"a\" 1}", 1, 6, "1", "expected `:` between the key and its value"),
        ("[1] 2", 1, 5, "2", "the file goes on after its last bracket"),
        ("{\n \"a\": [1,\n", 2, 7, "[", "the file ends before this `[` is closed"),
        ("[\"tall", 1, 2, "\"", "this text is never closed"),
        ("[\"tall,\n\"b\"]", 1, 2, "\"tall,", "this text does not end on its line"),
        ("[\"tall,\r\n\"b\"]", 1, 2, "\"tall,", "this text does not end on its line"),
        ("[\"a\tb\"]", 1, 4, "\t", "a text holds a control character as it is"),
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
    let _ = node.decode::<decode::tests::TestStep>();
    node.unknown_keys(&["a"]).iter().for_each(|problem| drop(document.render(problem)));
    for field in node.fields().unwrap_or_default() {
        ask(document, field.value);
    }
    for item in node.items().unwrap_or_default() {
        ask(document, item);
    }
}

proptest! {
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

/// At most 4 MB, 64 open brackets and 100 000 values are read: a list of 99 999 ones has
/// itself as one value more.
#[test]
fn a_text_is_read_up_to_its_limits() {
    let ok = |text: &str| Document::read("bench.json", text).map_err(|problem| problem.what).err();
    let nested = |deep: usize| format!("{}{}", "[".repeat(deep), "]".repeat(deep));
    assert_eq!(ok(&nested(64)), None);
    assert!(ok(&nested(65)).expect("too deep").contains("at most 64 may be open at once"));
    let list = |count: usize| format!("[{}]", vec!["1"; count].join(","));
    assert_eq!(ok(&list(99_999)), None);
    assert!(ok(&list(100_000)).expect("too much").contains("at most 100000 values"));
    let padded = |bytes: usize| format!("{{}}{}", " ".repeat(bytes - 2));
    assert_eq!(ok(&padded(4 << 20)), None);
    let large = ok(&padded((4 << 20) + 1)).expect("too large");
    assert_eq!(large, "the file is too large: at most 4 MB are read, and this is 5 MB");
}
