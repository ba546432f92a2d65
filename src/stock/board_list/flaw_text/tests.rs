//! Flaws read from every form people write them in, and every slip refused in
//! words.

use super::*;
use proptest::prelude::*;

fn inches(n: i64, d: i64) -> Length {
    Length::inch_fraction(n, d)
}

fn along(from: Length, to: Length) -> Flaw {
    let along = Stretch { from, to };
    Flaw { kind: FlawKind::Knot, along, across: None, ruling: Ruling::Around }
}

#[test]
fn a_flaw_reads_the_same_in_every_form() {
    let plain = along(inches(31, 1), inches(33, 1));
    for text in ["knot 31 to 33", " Knot 31 TO 33 ", "knot 31in to 33 in", "knot 31 to 33in"] {
        assert_eq!(parse_flaw(text, Unit::Inch), Ok(plain.clone()), "{text:?}");
    }
    // A hyphen belongs to a mixed number, never to a stretch.
    let mixed = Flaw {
        kind: FlawKind::Split,
        along: Stretch { from: inches(81, 2), to: inches(169, 4) },
        across: Some(Stretch { from: Length::ZERO, to: inches(2, 1) }),
        ruling: Ruling::Fill,
    };
    for text in ["split 40-1/2 to 42 1/4 at 0 to 2 fill", "split 40.5 to 42.25 at 0 to 2 fill"] {
        assert_eq!(parse_flaw(text, Unit::Inch), Ok(mixed.clone()), "{text:?}");
    }
}

#[test]
fn a_unit_at_the_end_counts_for_both_numbers() {
    let millimetres = |n| Length::MILLIMETRE * n;
    for text in ["knot 780 to 830 mm", "knot 780mm to 830 mm", "knot 78 to 83cm"] {
        let flaw = parse_flaw(text, Unit::Inch).unwrap();
        assert_eq!(flaw.along, Stretch { from: millimetres(780), to: millimetres(830) });
    }
    // 2 ft and 3 ft in inches.
    let feet = parse_flaw("knot 2 to 3 ft", Unit::Inch).unwrap();
    assert_eq!(feet.along, Stretch { from: inches(24, 1), to: inches(36, 1) });
}

#[test]
fn every_slip_in_a_flaw_has_its_own_words() {
    for (text, words) in [
        ("", "no flaw is given"),
        ("knott 31 to 33", "`knott` is not a kind of flaw; did you mean `knot`?"),
        ("wane 31 to 33", "write `other` for it"),
        ("31 to 33", "`31` is not a kind of flaw; a flaw is a `knot`, a `split` or `other`"),
        ("knot", "the start and end of the flaw are missing"),
        ("knot 31-33", "`31-33` is not a stretch; write its start and its end: `31 to 33`"),
        ("knot 33 to 31", "it runs backwards, from 33 in to 31 in; write 31 to 33"),
        ("knot 31 to 31", "it starts and ends at 31 in"),
        ("knot -1 to 3", "a place on a board is never negative"),
        ("knot 31 to 33 hiden", "`hiden` is not a ruling; did you mean `hidden`?"),
        ("knot 31 to 33 at", "the start and end of the flaw are missing"),
        ("knot 31 to 33 split 40 to 41", "one `to` too many; put `;` between two flaws"),
        ("knot 31 to 3x", "`x` is not a unit"),
    ] {
        match parse_flaw(text, Unit::Inch) {
            Ok(flaw) => panic!("{text:?} was read as {flaw:?}"),
            Err(error) => {
                assert!(error.to_string().contains(words), "{text:?}: {error}");
                assert!(text.get(error.place.clone()).is_some(), "{text:?}: {error:?}");
            }
        }
    }
}

#[test]
fn every_slip_in_a_row_of_flaws_is_reported() {
    let text = "knot 31 to 33; nkot 1 to 2; split 5 to 4";
    let errors = parse_flaws(text, Unit::Inch).unwrap_err();
    let shown: Vec<&str> = errors.iter().map(|error| &text[error.place.clone()]).collect();
    assert_eq!(shown, ["nkot", "5 to 4"]);
    let many = "knot 1 to 2;".repeat(MOST_FLAWS + 1);
    assert_eq!(parse_flaws(&many, Unit::Inch).unwrap_err().len(), 1);
}

fn place() -> impl Strategy<Value = i64> {
    // Sixteenths, hundredths of a millimetre, and any nanometre.
    prop_oneof![
        (0..4000i64).prop_map(|n| n * 1_587_500),
        (0..300_000i64).prop_map(|n| n * 10_000),
        0..3_000_000_000i64,
    ]
}

fn any_stretch() -> impl Strategy<Value = Stretch> {
    (place(), place()).prop_filter_map("it has a length", |(a, b)| {
        let [from, to] = [a.min(b), a.max(b)].map(Length::from_nanometres);
        (from < to).then_some(Stretch { from, to })
    })
}

fn any_flaw() -> impl Strategy<Value = Flaw> {
    let kind = proptest::sample::select(vec![FlawKind::Knot, FlawKind::Split, FlawKind::Other]);
    let ruling = proptest::sample::select(Ruling::ALL.to_vec());
    let across = proptest::option::of(any_stretch());
    (kind, any_stretch(), across, ruling).prop_map(|(kind, along, across, ruling)| Flaw {
        kind,
        along,
        across,
        ruling,
    })
}

proptest! {
    /// Always: Flaws that are printed read back the same.
    #[test]
    fn flaws_that_are_written_read_back_the_same(
        all in proptest::collection::vec(any_flaw(), 0..6),
    ) {
        for unit in [Unit::Inch, Unit::Millimetre] {
            let text = format_flaws(&all, unit);
            prop_assert_eq!(parse_flaws(&text, unit), Ok(all.clone()), "{}", text);
        }
    }

    #[test]
    fn random_text_never_panics_as_a_flaw(text in any::<String>()) {
        if let Err(error) = parse_flaw(&text, Unit::Inch) {
            prop_assert!(text.get(error.place).is_some());
        }
        let _ = parse_flaws(&text, Unit::Millimetre);
    }

    #[test]
    fn flaw_words_in_any_order_never_panic(
        text in "(knot|split|at|to|fill|31|1/2|40-1/2|;|mm|in|-|'|é| ){0,12}",
    ) {
        match parse_flaws(&text, Unit::Inch) {
            Ok(_) => {}
            Err(errors) => {
                for error in errors {
                    prop_assert!(text.get(error.place).is_some());
                }
            }
        }
    }
}
