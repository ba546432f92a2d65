//! Big signs at every size, beside drawings made by hand.

use super::super::trial::{ASCII, BLOCKS, drawn, draws_at_every_size};
use super::*;

fn number(text: &str, theme: Theme) -> BigText<'_> {
    BigText { text, theme }
}

#[test]
fn every_pattern_is_a_rectangle_and_no_two_are_alike() {
    let drawable: Vec<char> = (' '..='~').chain(['°']).filter(|c| pattern(*c).is_some()).collect();
    for (i, a) in drawable.iter().enumerate() {
        let dots = pattern(*a).expect("it was just found");
        assert!(dots.iter().all(|row| row.len() == dots[0].len()), "{a}");
        assert!(drawable[..i].iter().all(|b| pattern(*b) != Some(dots)), "{a}");
        if let Some(strokes) = strokes(*a) {
            assert!(strokes.iter().all(|row| row.len() == dots[0].len()), "{a}");
        }
    }
}

/// Drawn by hand: dots of two columns for the whole number, of one column and
/// half a row for the fraction.
#[test]
fn a_fraction_is_raised_and_lowered_about_a_stroke() {
    let expected = [
        "  ██    ██████   █▀█    █",
        "████        ██   ▀▀█   █",
        "  ██      ████   ▀▀▀  █   ▄  ▄▄▄",
        "  ██        ██       █   ▀█  █▄▄",
        "██████  ██████      █    ▄█▄ █▄█",
    ];
    assert_eq!(drawn(number("13 9/16", BLOCKS), 46, 5), expected.join("\n"));
}

/// By hand: dots of three columns and three half rows.
#[test]
fn eight_rows_are_fifteen_half_rows() {
    let expected = [
        "   ███      █████████         █████████",
        "▄▄▄███      ███▀▀▀███         ███▀▀▀███",
        "██████      ███   ███         ███   ███",
        "   ███      █████████         █████████",
        "   ███      ▀▀▀▀▀▀███         ▀▀▀▀▀▀███",
        "   ███            ███               ███",
        "█████████   █████████   ███   █████████",
        "▀▀▀▀▀▀▀▀▀   ▀▀▀▀▀▀▀▀▀   ▀▀▀   ▀▀▀▀▀▀▀▀▀",
    ];
    assert_eq!(drawn(number("19.9", BLOCKS), 63, 8), expected.join("\n"));
}

/// By hand, in dots: five figures of three, a point of one, five gaps: 21.
/// `113` is 11 dots; the fractions are 7 dots of half the size each; 3, 5.
#[test]
fn widths_at_each_height() {
    let columns = |text, tall| number(text, BLOCKS).columns(tall);
    for (tall, wide) in [(Tall::Three, 21), (Tall::Five, 42), (Tall::Eight, 63)] {
        assert_eq!(columns("19.996", tall), Some(wide));
    }
    assert_eq!(columns("19.996", Tall::Fifteen), Some(126));
    assert_eq!(columns("113 31/32", Tall::Five), Some(22 + 3 + 7 + 5 + 7));
    assert_eq!(number("113 31/32", BLOCKS).tall_within(63, 8), Some(Tall::Eight));
    assert_eq!(number("113.996", BLOCKS).tall_within(63, 8), Some(Tall::Five));
    assert_eq!(columns("½", Tall::Five), None);
}

#[test]
fn without_half_blocks_a_fraction_is_as_tall_as_the_rest() {
    // Three dots, two, three, four and three, and a gap between any two.
    let expected = [
        "  ##            ##          ##  ######",
        "####          ####        ##        ##",
        "  ##            ##        ##    ######",
        "  ##            ##      ##      ##",
        "######        ######  ##        ######",
    ];
    assert_eq!(drawn(number("1 1/2", ASCII), 38, 5), expected.join("\n"));
}

#[test]
fn three_rows_where_five_do_not_fit() {
    assert_eq!(drawn(number("2.5", BLOCKS), 20, 3), "▀▀█   █▀▀\n█▀▀   ▀▀█\n▀▀▀ ▀ ▀▀▀");
    assert_eq!(drawn(number("2.5", ASCII), 20, 3), " _     _\n _|   |_\n|_  .  _|");
    assert_eq!(drawn(number("2 1/2", BLOCKS), 20, 3), "▀▀█\n█▀▀\n▀▀▀ 1/2");
}

#[test]
fn words_after_a_number_stand_beside_it() {
    let shown = drawn(number("7 strong 0.006", BLOCKS), 30, 5);
    assert_eq!(shown, "██████\n    ██\n    ██\n    ██\n    ██ strong 0.006");
}

#[test]
fn plain_text_last_and_never_half_a_number() {
    assert_eq!(drawn(number("1 23/32", ASCII), 7, 5), "1 23/32\n\n\n\n");
    assert_eq!(drawn(number("1 23/32", ASCII), 6, 1), "...");
    assert_eq!(drawn(number("1 23/32", ASCII), 1, 1), ".");
    // A sign without a pattern.
    assert_eq!(drawn(number("½", BLOCKS), 9, 1), "½");
}

/// Always: Every widget draws at every size.
#[test]
fn draws_anywhere() {
    for text in ["", "1 23/32", "-1 1/2", "13,328", "STOP?", "木", "\t", "7 shy 0.004", " "] {
        draws_at_every_size(|theme| number(text, theme));
    }
}

/// Every figure, sign and capital that a setting, an angle or an order needs.
#[test]
fn nothing_that_a_scale_shows_is_left_out() {
    for sign in "0123456789/.,-+ '\"°?!:mnixABCDEFGHIJKLMNOPQRSTUVWXYZ".chars() {
        assert!(pattern(sign).is_some(), "{sign}");
    }
    for sign in "0123456789/.,-+ '\"mnix".chars() {
        assert!(strokes(sign).is_some(), "{sign}");
    }
    for sign in ['%', 'a', '±', '\n'] {
        assert!(pattern(sign).is_none() && strokes(sign).is_none(), "{sign}");
    }
}
