//! How a clause becomes a line that is read aloud.

use crate::prose::visible;
use crate::tui::sentence::sentence;

/// A sentence of its own in one line: nothing in it can move a cursor, and signs
/// that are only drawn are said in words.
pub(super) fn line(text: &str) -> String {
    let text = visible(text.trim());
    let spoken = text
        .replace(" -> ", " becomes ")
        .replace("+-", "plus or minus ")
        .replace("±", "plus or minus ")
        .replace(" | ", "; then ");
    let single: Vec<&str> = spoken.split_whitespace().collect();
    let single = single.join(" ");
    let first = single.split(' ').next().unwrap_or_default();
    match first {
        "" => single,
        // The name of a dimension and a letter to be typed stay as they are written.
        name if name.contains('_') || (is_one_letter(name) && name != "a") => {
            format!("{}.", single.trim_end_matches('.'))
        }
        _ => sentence(&single),
    }
}

/// Whether a word is a letter that is typed, with a colon after it or not.
fn is_one_letter(word: &str) -> bool {
    word.trim_end_matches(':').chars().count() == 1
}

/// A unit as people say it; empty where there is none.
pub(super) fn unit_words(sign: &str) -> &str {
    match sign {
        "in" => "inches",
        "mm" => "millimetres",
        "%" => "percent",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_one_sentence_without_drawn_signs() {
        assert_eq!(line("stop  19.996 -> 20.000"), "Stop 19.996 becomes 20.000.");
        assert_eq!(
            line("calipers +-0.003 | ±1"),
            "Calipers plus or minus 0.003; then plus or minus 1."
        );
        assert_eq!(line("leg\u{1b}[2J 4"), "Leg\\u{1b}[2J 4.");
        assert_eq!(line("leg_square  planned 1 1/4 in"), "leg_square planned 1 1/4 in.");
        assert_eq!(line("t shows what can start"), "t shows what can start.");
        assert_eq!(line("a flaw"), "A flaw.");
        assert_eq!(line("  "), "");
    }
}
