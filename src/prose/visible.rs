//! Text from a file made safe to show: nothing in it can move the cursor, turn
//! the writing round or hide.

/// How much of a word from a file a message repeats, in characters.
const REPEATED: usize = 40;

/// The text with everything that does not show written out: `\n`, `\u{1b}`.
/// What is already visible stays as it is, so doing it twice does no harm.
pub fn visible(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for character in text.chars() {
        if hides(character) {
            shown.extend(character.escape_default());
        } else {
            shown.push(character);
        }
    }
    shown
}

/// The text of several lines, each of them [`visible`].
pub fn visible_lines(text: &str) -> String {
    let lines: Vec<String> = text.split('\n').map(visible).collect();
    lines.join("\n")
}

/// JSON in which everything that does not show is escaped. It reads back as the same
/// value. Line ends and spaces between values stay.
pub fn escaped(json: &str) -> String {
    let mut shown = String::with_capacity(json.len());
    for character in json.chars() {
        if hides(character) && character != '\n' {
            let mut units = [0; 2];
            for unit in character.encode_utf16(&mut units) {
                shown.push_str(&format!("\\u{unit:04x}"));
            }
        } else {
            shown.push(character);
        }
    }
    shown
}

/// The text between backticks, visible, and cut when it is long.
pub fn quoted(text: &str) -> String {
    format!("`{}`", shortened(text))
}

/// The text visible, and cut when it is long.
pub fn shortened(text: &str) -> String {
    match text.char_indices().nth(REPEATED) {
        Some((cut, _)) => format!("{}...", visible(&text[..cut])),
        None => visible(text),
    }
}

/// Whether anything in a text does not show: [`visible`] would write it out.
pub fn hides_something(text: &str) -> bool {
    text.chars().any(hides)
}

/// Whether a character acts on the text around it, or leaves no mark, instead
/// of standing for itself. Accents that combine are ordinary writing.
fn hides(character: char) -> bool {
    character.is_control()
        || matches!(character,
            '\u{ad}' | '\u{34f}' // Soft hyphen, grapheme joiner.
            | '\u{61c}' | '\u{200e}' | '\u{200f}' // Direction marks.
            | '\u{115f}' | '\u{1160}' | '\u{3164}' | '\u{ffa0}' // Blank Hangul fillers.
            | '\u{17b4}' | '\u{17b5}' | '\u{180b}'..='\u{180f}' // Khmer and Mongolian, invisible.
            | '\u{200b}'..='\u{200d}' // Zero width.
            | '\u{2028}'..='\u{202e}' // Line separators, embeddings and overrides.
            | '\u{2060}'..='\u{206f}' // Joiners, invisible operators, isolates.
            | '\u{fe00}'..='\u{fe0f}' | '\u{e0000}'..='\u{e0fff}' // Variations and tags.
            | '\u{feff}' | '\u{fff9}'..='\u{fffb}' // Byte-order mark, annotations.
        )
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn what_hides_is_written_out() {
        for (text, shown) in [
            ("13/16 strong", "13/16 strong"),
            ("café 木材", "café 木材"),
            ("\u{1b}[31mred", "\\u{1b}[31mred"),
            ("a\tb\r\nc", "a\\tb\\r\\nc"),
            ("\u{7f}\u{9b}2J", "\\u{7f}\\u{9b}2J"),
            ("\u{202e}gel", "\\u{202e}gel"),
            ("le\u{200b}g\u{feff}", "le\\u{200b}g\\u{feff}"),
            ("\u{2066}\u{2069}\u{2028}", "\\u{2066}\\u{2069}\\u{2028}"),
            ("e\u{301}", "e\u{301}"),
        ] {
            assert_eq!(visible(text), shown);
            assert_eq!(hides_something(text), text != shown, "{shown}");
        }
    }

    #[test]
    fn lines_stay_lines() {
        assert_eq!(visible_lines("a\u{1b}b\nc\r\n"), "a\\u{1b}b\nc\\r\n");
    }

    /// Less 0x10000, U+E0041 is 0xD0041; its halves are D800 + 0x340 and
    /// DC00 + 0x41.
    #[test]
    fn escapes_of_json_take_one_or_two_units() {
        assert_eq!(
            escaped("{\n  \"\u{7f}\u{9b}é\u{e0041}\"\n}"),
            "{\n  \"\\u007f\\u009bé\\udb40\\udc41\"\n}"
        );
    }

    #[test]
    fn long_words_are_cut() {
        assert_eq!(quoted("leg"), "`leg`");
        assert_eq!(quoted(&"é".repeat(41)), format!("`{}...`", "é".repeat(40)));
    }

    proptest! {
        #[test]
        fn nothing_hidden_is_left_and_twice_is_once(text in any::<String>()) {
            let shown = visible(&text);
            prop_assert!(!shown.chars().any(hides));
            prop_assert_eq!(visible(&shown), shown);
        }

        #[test]
        fn escaped_json_reads_back_the_same(text in any::<String>()) {
            let json = serde_json::to_string_pretty(&[&text]).expect("a text");
            let shown = escaped(&json);
            prop_assert!(!shown.chars().any(|letter| letter != '\n' && hides(letter)));
            let back: Vec<String> = serde_json::from_str(&shown).expect("the same JSON");
            prop_assert_eq!(back, vec![text]);
        }
    }
}
