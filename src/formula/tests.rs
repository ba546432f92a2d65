//! Formulas compared with arithmetic done by hand, and laws no formula may break.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;
use crate::measure::{Length, Unit};
use crate::prose::{Message, Span};

pub(super) const INCH: f64 = 25_400_000.0;

#[derive(Default)]
pub(super) struct TestScope {
    values: BTreeMap<String, Value>,
    each: Vec<TestScope>,
}

impl Scope for TestScope {
    fn value(&self, name: &str) -> Result<Value, Message> {
        let known = self.values.keys().map(String::as_str);
        self.values.get(name).cloned().ok_or_else(|| unknown_name(name, known))
    }

    fn each(&self) -> Option<Vec<Box<dyn Scope + '_>>> {
        if self.each.is_empty() {
            return None;
        }
        Some(self.each.iter().map(|bench| Box::new(Borrowed(bench)) as Box<dyn Scope>).collect())
    }
}

struct Borrowed<'b>(&'b TestScope);

impl Scope for Borrowed<'_> {
    fn value(&self, name: &str) -> Result<Value, Message> {
        self.0.value(name)
    }
}

pub(super) fn bench(values: &[(&str, Value)]) -> TestScope {
    let values = values
        .iter()
        .map(|(name, value)| (name.to_string(), Value::root(name, value.clone())))
        .collect();
    TestScope { values, each: Vec::new() }
}

pub(super) fn inches(amount: f64) -> Value {
    Value::of_length(Length::from_unit(amount, Unit::Inch).expect("tests use short lengths"))
}

/// leg 1 1/2 in, run 40 in, top 600 mm, n 4 of them, slant 30 degrees.
fn usual() -> TestScope {
    bench(&[
        ("leg", inches(1.5)),
        ("run", inches(40.0)),
        ("top", Value::of_length(Length::MILLIMETRE * 600)),
        ("n", Value::count(4.0)),
        ("slant", Value::angle(std::f64::consts::FRAC_PI_6)),
    ])
}

pub(super) fn compute(text: &str) -> Result<Value, Message<Span>> {
    Formula::parse(text, Unit::Inch)?.evaluate(&usual())
}

pub(super) fn value(text: &str) -> Value {
    compute(text).unwrap_or_else(|error| panic!("{text}: {error} at {:?}", error.place))
}

/// In whole 64ths, so that what is compared is exact.
pub(super) fn check_64ths(text: &str, expected: i64) {
    let length = value(text).length_in(Unit::Inch);
    assert_eq!(length, Some(Length::inch_fraction(expected, 64)), "{text}");
}

pub(super) fn check_plain(text: &str, expected: f64) {
    let value = value(text);
    assert_eq!((value.kind, value.amount), (Kind::PLAIN, expected), "{text}");
}

/// The error's place is marked by the text it covers.
pub(super) fn check_error(text: &str, covered: &str, what: &str, help: Option<&str>) {
    let error = match compute(text) {
        Ok(value) => panic!("{text} came to {value:?}"),
        Err(error) => error,
    };
    assert_eq!(error.what, what, "{text}");
    assert_eq!(error.help.as_deref(), help, "{text}");
    assert_eq!(&text[error.place.clone()], covered, "{text} at {:?}", error.place);
}

pub(super) fn check_error_at(text: &str, at: Span) {
    assert_eq!(compute(text).map_err(|error| error.place), Err(at), "{text}");
}

/// The noise of computing grows with the number, up to a millionth.
#[test]
fn a_number_just_below_a_whole_one_is_whole() {
    check_plain("floor(2999.9999995)", 3000.0);
    check_plain("floor(2999.999998)", 2999.0);
    check_plain("ceil(4.0000000005)", 4.0);
    check_plain("ceil(4.00000001)", 5.0);
}

#[test]
fn sums_of_64ths_are_exact() {
    check_64ths("26 - 3/4", 25 * 64 + 16);
    check_64ths("25 1/4 + 3/4", 26 * 64);
    check_64ths("leg + 1/64", 97);
    // 40 - 2 × 1 1/2 = 37.
    check_64ths("run - 2 * leg", 37 * 64);
    assert_eq!(value("leg + 1/64").amount, 97.0 * INCH / 64.0);
}

#[test]
fn times_and_over_come_before_plus_and_minus() {
    check_plain("2 + 3 * 4", 14.0);
    check_plain("(2 + 3) * 4", 20.0);
    check_plain("20 - 5 - 3", 12.0);
    check_plain("24 / 4 / 2", 3.0);
    check_plain("24 / 4 * 2", 12.0);
    check_plain("-2 * 3", -6.0);
    check_plain("2 - -3", 5.0);
    check_plain("--2", 2.0);
    check_plain("2 * -3 + 1", -5.0);
}

#[test]
fn a_mixed_number_is_one_number() {
    check_plain("2 * 25 1/4", 50.5);
    check_plain("25 1/4 / 2", 12.625);
    check_plain("25 1/4/2", 12.625);
    check_plain("-1 1/2", -1.5);
    check_plain("7/16", 0.4375);
    check_plain("1+7/16", 1.4375);
    check_plain(".5", 0.5);
    check_64ths("1/2 * leg", 48);
    // A hyphen after a fraction can only subtract: 3/4 − 1/8 = 5/8.
    check_plain("3/4-1/8", 0.625);
    check_plain("25 1/4-1/8", 25.125);
}

#[test]
fn units_are_taken_at_their_word() {
    for (text, nanometres) in [
        ("38mm", 38_000_000),
        ("3.8 cm", 38_000_000),
        ("2ft", 609_600_000),
        ("2'", 609_600_000),
        // 1 7/16 × 25.4 = 36.5125.
        ("1 7/16 in", 36_512_500),
        ("1 7/16\"", 36_512_500),
        ("7/16 in", 11_112_500),
        ("7/8in", 22_225_000),
        // 27 1/2 in × 25.4 = 698.5.
        ("2' 3 1/2\"", 698_500_000),
        ("2'3.5\"", 698_500_000),
        ("2 ft 3 1/2 in", 698_500_000),
        // 11/16 in = 17.4625; a fraction takes its unit as a whole.
        ("1/4 + 7/16 in", 17_462_500),
        ("25.4mm + 1", 50_800_000),
    ] {
        let length = value(text).length();
        assert_eq!(length, Some(Length::from_nanometres(nanometres)), "{text}");
    }
    let metric = Formula::parse("top - 2 * 18", Unit::Millimetre).unwrap();
    // 2 × 18 is a bare number until it meets the length: 600 − 36 = 564.
    let length = metric.evaluate(&usual()).unwrap().length();
    assert_eq!(length, Some(Length::MILLIMETRE * 564));
}

#[test]
fn a_bare_number_takes_the_unit_only_beside_a_length() {
    assert!(value("2 * 3").bare);
    assert!(value("max(1, 2 1/2)").bare);
    assert!(!value("n + 1").bare);
    assert!(!value("2 * n").bare);
    assert!(!value("run / 16").bare);
    check_64ths("2 * 3 + leg", 7 * 64 + 32);
    check_64ths("leg + 1 * 2", 3 * 64 + 32);
    check_64ths("max(2, leg)", 128);
    check_64ths("min(leg, 2)", 96);
    // (1 1/2 + 2 1/2) / 2 = 2.
    check_64ths("mean(leg, 2 1/2)", 128);
    check_64ths("n * leg", 6 * 64);
    check_64ths("leg * (1 + 1/4)", 120);
    check_plain("n + 1", 5.0);
    check_plain("min(n, 3)", 3.0);
    assert_eq!(value("2 * 3").length(), None);
    assert_eq!(value("leg * leg").kind, Kind::AREA);
    assert_eq!(value("run / leg").kind, Kind::PLAIN);
}

#[test]
fn functions_do_what_their_names_say() {
    check_64ths("abs(leg - run)", 77 * 32);
    // The 3-4-5 triangle.
    check_64ths("sqrt(3in * 3in + 4in * 4in)", 320);
    check_plain("floor(run / 16in)", 2.0);
    check_plain("ceil(run / 16in)", 3.0);
    check_plain("floor(-1.5)", -2.0);
    // Thirty tenths of an inch are 3, whatever the last bit says.
    check_plain("floor(0.1in * 30 / 1in)", 3.0);
    check_plain("ceil((0.1 + 0.2) * 10)", 3.0);
    check_plain("floor(1999999999.5)", 1_999_999_999.0);
    let close = |text: &str, kind, expected: f64| {
        let value = value(text);
        assert_eq!(value.kind, kind, "{text}");
        let off = (value.amount - expected).abs();
        assert!(off <= 1e-12 * expected.abs().max(1.0), "{text}: {}", value.amount);
    };
    close("sin(slant)", Kind::PLAIN, 0.5);
    close("cos(degrees(60))", Kind::PLAIN, 0.5);
    close("tan(degrees(45))", Kind::PLAIN, 1.0);
    close("atan(1)", Kind::ANGLE, std::f64::consts::FRAC_PI_4);
    close("atan2(leg, 1.5)", Kind::ANGLE, std::f64::consts::FRAC_PI_4);
    close("atan2(-1, -1)", Kind::ANGLE, -3.0 * std::f64::consts::FRAC_PI_4);
    close("degrees(180)", Kind::ANGLE, std::f64::consts::PI);
    close("run * sin(slant) / 1in", Kind::PLAIN, 20.0);
}

#[test]
fn one_argument_ranges_over_the_pieces_a_scope_spans() {
    let mut spanning = usual();
    spanning.each = [1.5, 1.25, 1.75].map(|leg| bench(&[("leg", inches(leg))])).into();
    let length = |text: &str| {
        let formula = Formula::parse(text, Unit::Inch).unwrap();
        formula.evaluate(&spanning).unwrap().length().unwrap()
    };
    assert_eq!(length("min(2 * leg)"), Length::inch_fraction(5, 2));
    assert_eq!(length("max(leg)"), Length::inch_fraction(7, 4));
    assert_eq!(length("mean(leg)"), Length::inch_fraction(3, 2));
    assert_eq!(length("min(leg, 40)"), Length::inch_fraction(3, 2));
    check_64ths("min(leg)", 96);
}

#[test]
fn kinds_that_do_not_fit_are_named() {
    let two = |word, first, other| {
        format!("`{word}` needs values of one kind, but has {first} and {other}")
    };
    let by_length = Some("multiply the number by a length, such as `1in`");
    check_error("run + slant", "+", &two("+", "a length", "an angle"), None);
    check_error("n + leg", "+", &two("+", "a plain number", "a length"), by_length);
    check_error("leg - 2 * n", "-", &two("-", "a length", "a plain number"), by_length);
    check_error("leg * leg + run", "+", &two("+", "an area", "a length"), None);
    check_error(
        "slant + 30",
        "+",
        &two("+", "an angle", "a plain number"),
        Some("write an angle as `degrees(30)`"),
    );
    check_error("min(leg, 2, slant)", "slant", &two("min", "a length", "an angle"), None);
    check_error(
        "sin(30)",
        "30",
        "`sin` needs an angle, and has a plain number",
        Some("write `sin(degrees(30))`"),
    );
    check_error("cos(leg)", "leg", "`cos` needs an angle, and has a length", None);
    check_error(
        "atan(leg)",
        "leg",
        "`atan` needs a plain number, and has a length",
        Some("write `atan2(rise, run)` for two lengths"),
    );
    check_error(
        "degrees(slant)",
        "slant",
        "`degrees` needs a plain number, and has an angle",
        None,
    );
    check_error(
        "1 + floor(run / 16)",
        "run / 16",
        "`floor` needs a plain number, and has a length",
        Some("divide it first, as in `floor(run / 16in)`"),
    );
    check_error(
        "sqrt(leg)",
        "leg",
        "`sqrt` needs a square, such as an area, and has a length",
        None,
    );
    let angle = "`sqrt` needs a square, such as an area, and has an angle";
    check_error("sqrt(slant)", "slant", angle, None);
}

#[test]
fn what_has_no_value_is_refused() {
    check_error("2 / (leg - 1.5)", "(leg - 1.5)", "division by zero: `(leg - 1.5)` is 0", None);
    check_error("1/0", "0", "division by zero: `0` is 0", None);
    check_error("25 1/0", "0", "division by zero", None);
    check_error("1/0 in", "0", "division by zero", None);
    check_error("1 + sqrt(-4)", "-4", "`sqrt` of less than 0 has no value", None);
    check_error("tan(degrees(90))", "degrees(90)", "`tan` of a right angle has no value", None);
    check_error("atan2(0, 0)", "atan2(0, 0)", "`atan2` of 0 and 0 has no direction", None);
    // A kilometre is 39 370.08 in.
    check_error("leg + 39370", "leg + 39370", "this comes to more than a kilometre", None);
    check_64ths("leg + 39368", 39_369 * 64 + 32);
    let huge = "9".repeat(400);
    check_error(&huge, &huge, "this number is too large to compute with", None);
    let large = format!("{0} * {0}", "9".repeat(200));
    check_error(&large, &large, "this comes to no number that can be used", None);
    // 1 1/2 squared is 2 1/4.
    let square = "leg * leg - 2.25in * 1in";
    let least = "`sqrt` of exactly 0: the least change here would change the result without bound";
    check_error(&format!("sqrt({square})"), square, least, None);
    check_plain("sqrt(n * 0)", 0.0);
}

#[test]
fn an_unknown_name_is_met_with_the_nearest() {
    check_error("leh + 1", "leh", "nothing is named `leh`", Some("did you mean `leg`?"));
    check_error("1 + (apron)", "apron", "nothing is named `apron`", None);
}

#[test]
fn what_is_too_long_or_too_deep_is_refused_at_once() {
    let deep = |depth: usize| format!("{}1{}", "(".repeat(depth), ")".repeat(depth));
    assert!(compute(&deep(64)).is_ok());
    check_error_at(&deep(65), 64..65);
    let calls = format!("{}1{}", "abs(".repeat(65), ")".repeat(65));
    check_error_at(&calls, 64 * 4 + 3..64 * 4 + 4);
    check_error_at(&"(".repeat(1_000_000), 500..1_000_000);
    check_error_at(&"1".repeat(501), 500..501);
    // Characters, not bytes: 500 of them reach the reader, which stops at the first.
    check_error_at(&"é".repeat(500), 0..1000);
    // 100 ones and 99 signs make 199; the 201st token is a one again.
    assert!(compute(&vec!["1"; 100].join("+")).is_ok());
    check_error_at(&vec!["1"; 101].join("+"), 200..201);
    assert!(compute(&format!("{}1", "-".repeat(199))).is_ok());
}

#[test]
fn names_are_listed_with_their_place() {
    let formula = Formula::parse("leg + 2 * (run - leg)", Unit::Inch).unwrap();
    let names: Vec<_> = formula.names().collect();
    assert_eq!(names, [("leg", 0..3), ("run", 11..14), ("leg", 17..20)]);
    assert_eq!(formula.text(), "leg + 2 * (run - leg)");
}

#[test]
fn an_answer_is_made_what_was_wanted_or_refused() {
    let wanted =
        |text: &str, kind| Formula::parse(text, Unit::Inch).unwrap().evaluate_as(kind, &usual());
    assert_eq!(wanted("13", DimensionKind::Length).unwrap().amount, 13.0 * INCH);
    assert_eq!(wanted("13", DimensionKind::Count).unwrap(), Value::count(13.0));
    let angle = wanted("180", DimensionKind::Angle).unwrap();
    assert_eq!(angle, Value::angle(std::f64::consts::PI));
    let error = wanted("2 * n", DimensionKind::Length).unwrap_err();
    assert_eq!(error.place, 0..5);
    assert_eq!(
        error.to_string(),
        "this must be a length, but it is a plain number; multiply it by a length, such as `1in`"
    );
    let error = wanted(" leg * run", DimensionKind::Length).unwrap_err();
    assert_eq!((error.place, error.help), (1..10, None));
    assert_eq!(wanted("39371", DimensionKind::Length).unwrap_err().place, 0..5);
}

#[test]
fn slopes_follow_the_rules_of_calculus() {
    let slope = |text: &str, root: &str| value(text).slope.get(root).copied();
    assert_eq!(slope("run - 2 * leg", "leg"), Some(-2.0));
    assert_eq!(slope("run - 2 * leg", "run"), Some(1.0));
    assert_eq!(slope("leg * leg", "leg"), Some(3.0 * INCH));
    assert_eq!(slope("leg / n", "leg"), Some(0.25));
    assert_eq!(slope("min(leg, run)", "run"), None);
    assert_eq!(slope("abs(leg - run)", "leg"), Some(-1.0));
    assert_eq!(slope("mean(leg, run)", "run"), Some(0.5));
    assert_eq!(slope("floor(run / 16in)", "run"), None);
    assert_eq!(slope("26", "leg"), None);
    // d atan(u) = du / (1 + u^2): with u = leg / run = 0.0375 and du = 1 / run.
    let taper = slope("atan(leg / run)", "leg").expect("it follows the leg") * 40.0 * INCH;
    assert!((taper - 1.0 / (1.0 + 0.0375 * 0.0375)).abs() < 1e-9, "{taper}");
}

pub(super) fn length_text() -> BoxedStrategy<String> {
    let leaf = prop_oneof![
        Just("a".to_owned()),
        Just("b".to_owned()),
        Just("c".to_owned()),
        (1..40u32, 1..16u32).prop_map(|(whole, part)| format!("{whole} {part}/16 in")),
    ];
    leaf.prop_recursive(4, 24, 3, |length| {
        let pair = (length.clone(), length.clone());
        let plain = (length.clone(), length.clone(), 1..5u32, 1..80u32).prop_flat_map(
            |(one, other, number, angle)| {
                prop_oneof![
                    Just(format!("{number}")),
                    Just("n".to_owned()),
                    Just(format!("(n - {number} 1/2)")),
                    Just(format!("({one}) / ({other})")),
                    Just(format!("sin(t + degrees({angle}))")),
                    Just(format!("cos(t * {number})")),
                    Just("tan(t)".to_string()),
                    Just(format!("sin(atan(({one}) / ({other})))")),
                    Just(format!("cos(atan2({one}, {other}) - t)")),
                    Just(format!("floor(n / {number})")),
                    Just("sqrt(abs(n))".to_string()),
                    Just(format!("sin(degrees(n * {number}))")),
                ]
            },
        );
        prop_oneof![
            pair.clone().prop_map(|(one, other)| format!("({one}) + ({other})")),
            pair.clone().prop_map(|(one, other)| format!("({one}) - ({other})")),
            pair.clone().prop_map(|(one, other)| format!("min({one}, {other}, 9)")),
            pair.clone().prop_map(|(one, other)| format!("max({one}, 3, {other})")),
            pair.clone().prop_map(|(one, other)| format!("mean({one}, {other}, 1 1/2)")),
            pair.prop_map(|(one, other)| {
                format!("sqrt(({one}) * ({one}) + ({other}) * ({other}))")
            }),
            length.clone().prop_map(|inside| format!("abs({inside})")),
            length.clone().prop_map(|inside| format!("-({inside})")),
            (length.clone(), plain.clone()).prop_map(|(one, by)| format!("({one}) * ({by})")),
            (length, plain).prop_map(|(one, by)| format!("({one}) / ({by})")),
        ]
    })
    .boxed()
}

proptest! {
    /// Always: The derivative of a formula agrees with small differences.
    ///
    /// The slope is what the value does when a root is moved a little. Where a
    /// branch of `min`, `max` or `abs` changes within that little, the two
    /// sides differ, and the slope has to lie no further off than they do.
    #[test]
    fn slopes_agree_with_small_differences(
        text in length_text(),
        amounts in (1.0..30.0f64, 1.0..30.0f64, 1.0..30.0f64, 0.5..9.5f64, 0.1..1.3f64),
    ) {
        let (a, b, c, n, t) = amounts;
        let roots = [
            ("a", a * INCH, Kind::LENGTH),
            ("b", b * INCH, Kind::LENGTH),
            ("c", c * INCH, Kind::LENGTH),
            ("n", n, Kind::PLAIN),
            ("t", t, Kind::ANGLE),
        ];
        let moved = |root: &str, by: f64| {
            let values = roots.map(|(name, amount, kind)| {
                let amount = if name == root { amount + by } else { amount };
                (name, Value::fixed(amount, kind))
            });
            let formula = Formula::parse(&text, Unit::Inch).ok()?;
            formula.evaluate(&bench(&values)).ok()
        };
        prop_assume!(text.len() <= 500);
        let here = moved("", 0.0);
        prop_assume!(here.is_some());
        let here = here.unwrap();
        for (root, amount, _) in roots {
            let step = amount * 1e-5;
            let (Some(below), Some(above)) = (moved(root, -step), moved(root, step)) else {
                continue;
            };
            let left = (here.amount - below.amount) / step;
            let right = (above.amount - here.amount) / step;
            let slope = here.slope.get(root).copied().unwrap_or(0.0);
            // In parts of what the value would be if it grew in step with the root.
            let scale = (here.amount / amount).abs() + INCH / amount + slope.abs();
            let allowed = (right - left).abs() + 1e-6 * scale;
            let off = ((left + right) / 2.0 - slope).abs();
            prop_assert!(off <= allowed, "{} to {}: {} against {} and {}", text, root, slope, left, right);
        }
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,60}") {
        let _ = compute(&text);
    }

    #[test]
    fn no_text_of_the_right_letters_panics(
        text in "([0-9]{1,3}|[-+*/(),.'\" ]|leg|run|n|slant|min\\(|sqrt\\(|atan2\\(|degrees\\(|sin\\(|in|mm|ft|½){0,40}"
    ) {
        match compute(&text) {
            Ok(value) => prop_assert!(value.amount.is_finite()),
            Err(error) => prop_assert!(text.get(error.place.clone()).is_some(), "{} at {:?}", text, error.place),
        }
    }
}
