//! About how broad a text is drawn, for whatever must fit into a drawing.

use unicode_width::UnicodeWidthChar;

/// The breadth in times of the size of the letters, a little too much rather than too
/// little: figures are 0.556 of it in the faces of the stylesheet (Liberation Sans, Arial),
/// capitals 0.67 to 0.83, small letters 0.5 to 0.56 but for narrow ones and m and w.
pub(super) fn breadth(text: &str) -> f64 {
    text.chars().map(of_letter).sum()
}

fn of_letter(letter: char) -> f64 {
    match letter {
        ' ' | '.' | ',' | ':' | ';' | '/' | '\'' | 'i' | 'j' | 'l' | 't' | 'f' => 0.28,
        '-' | '(' | ')' | 'r' => 0.34,
        'm' | 'w' | 'M' | 'W' => 0.9,
        c if c.is_uppercase() => 0.74,
        c if c.is_ascii() => 0.56,
        c => 0.6 * c.width().unwrap_or(0) as f64,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2 x 0.56 and a space of 0.28.
    #[test]
    fn figures_are_alike_and_a_space_is_narrow() {
        assert!((breadth("1 8") - 1.4).abs() < 1e-9);
        assert!(breadth("leg 1") < breadth("leg 11"));
        assert!(breadth("木") > 1.0);
    }
}
