//! What a lead is told of a size that doesn't go: which one, by what limit, and what to do.

use crate::bundled::{bundled, bundled_shop, drawn, errors, said};

fn told(stem: &str, sizes: &[(&str, &str)]) -> String {
    let sizes: Vec<(&str, String)> =
        sizes.iter().map(|(name, size)| (*name, (*size).to_owned())).collect();
    said(&errors(&drawn(bundled(stem), &sizes), &bundled_shop()))
}

/// A stool of 15 in over legs of 1 1/4 has rails of 15 - 2 1/2 = 12 1/2 between them. Where
/// 11 is kept, the base and the rails' whole length differ too, and only the 11 is to blame.
#[test]
fn a_kept_size_that_is_not_the_planned_one_is_named_with_both() {
    let stool = drawn(bundled("reading-stool"), &[("base_drawn", "15".to_owned())]);
    let fixed = stool.replacen("\"base_drawn - 2 * leg_drawn\"", "\"11\"", 1);
    assert_ne!(fixed, stool);
    assert_eq!(
        said(&errors(&fixed, &bundled_shop())),
        "with nothing measured, `shoulder` comes to 11 in here, and 12 1/2 in is planned\n  \
         make it a formula of sizes that nobody measures\n"
    );
}

/// The router's scale has marks of 1/32, and a rabbet goes no deeper than it is drawn:
/// 0.338 is set to 10/32 = 5/16, 0.025 from it, and the limits are 1/64 = 0.016. The next
/// mark is 11/32.
#[test]
fn a_size_between_two_marks_is_told_both_marks() {
    assert_eq!(
        told("wall-cupboard", &[("back_rabbet", "0.338")]),
        "the height makes 5/16 in where 0.338 in is wanted, which is outside these limits\n  its \
         marks make 5/16 in and 11/32 in: take one of them for the size, widen the limits, or \
         use a scale with a finer step\n"
    );
    assert_eq!(told("wall-cupboard", &[("back_rabbet", "11/32")]), "");
}

/// Tenons of 11/16 leave 1 1/4 - 3/16 - 0.254 - (11/16 + 1/32) = 0.090 between neighbours.
#[test]
fn a_fit_that_cannot_hold_names_its_dimensions() {
    assert_eq!(
        told("reading-stool", &[("tenon_length", "11/16")]),
        "the fit is 0.090 in when every piece has its planned size, outside its limits, 1/8 in \
         to 1/4 in\n  change leg_square, mortise_from_face, mortise_width or mortise_depth, or \
         its limits\n"
    );
}

/// Legs of 1.925 from 8/4: see the arithmetic beside the sizes that are refused. The sizes
/// that can't be cut aren't also called outside their limits.
#[test]
fn a_size_that_outgrows_its_class_is_told_the_class() {
    let told = told("hall-bench", &[("leg_drawn", "1.925")]);
    assert!(
        told.contains(
            "leg: thickness ends at 1 29/32 in, but the finished size is 1.925 in\n  its 8/4 \
             stock is 2 in thick: buy the next thicker class, or make it thinner\n"
        ),
        "{told}"
    );
    assert!(
        told.contains(
            "jointing the face takes 1/32 in and leaves 1 29/32 in, less than the finished 1.925 in"
        ),
        "{told}"
    );
    assert!(!told.contains("outside these limits"), "{told}");
}

/// The front and an end of a chest, long points 13 1/16: eight strips of
/// (13 1/16 - 2 x 1 1/8 - 3/8) / 8 = 1.3046875 make a panel of 10 7/16. An eighth of it in
/// whole nanometres, taken eight times, is the panel but for the rounding.
#[test]
fn rounding_is_no_wood() {
    for size in ["13 1/16", "12 31/32", "13 13/16", "14 7/8", "12 15/32"] {
        assert_eq!(told("till-chest", &[("end_drawn", size)]), "", "{size}");
    }
}

/// A blank of 6 1/2 less 1/32 for the jointer. Four strips of 1 1/2 + 1/32 and three kerfs of
/// 1/8 with 1/32 to joint again are 6 1/8 + 15/32 = 6 19/32; three are 4 29/32. A blank of
/// 2 1/2 has room for 1 13/32, a kerf and 1/32, and not for a second 1 13/32.
#[test]
fn strips_are_counted_in_words() {
    let told = told("till-chest", &[("strip_board", "6 1/2"), ("square", "1 1/2")]);
    assert!(
        told.contains("a blank 6 15/32 in wide gives 3 strips, and 4 take 6 19/32 in"),
        "{told}"
    );
    let told = self::told("till-chest", &[("strip_board", "2 1/2")]);
    assert!(told.contains("a blank 2 15/32 in wide gives 1 strip, and"), "{told}");
}
