//! What the sequences mean that terminals send for keys, as xterm, the console
//! of Linux and the keyboard protocol of kitty have them, and what a terminal
//! answers when asked for its ground.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use crate::tui::theme::Ground;

/// A sequence that means something here.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum ControlSequence {
    /// A key was pressed.
    Key(KeyEvent),
    /// What follows is pasted.
    PasteBegins,
}

/// `ESC O` and a letter.
pub(super) fn single(letter: u8) -> Option<KeyEvent> {
    named(letter).map(KeyEvent::from)
}

/// `ESC [ [` and a letter: F1 to F5.
pub(super) fn console(letter: u8) -> Option<KeyEvent> {
    matches!(letter, b'A'..=b'E').then(|| KeyCode::F(1 + letter - b'A').into())
}

/// `ESC [`, what stands between, and the letter that ends it. A key let go is
/// none, and neither is a report that nobody asked for.
pub(super) fn read(between: &[u8], last: u8) -> Option<ControlSequence> {
    let between = std::str::from_utf8(between).ok()?;
    let mut numbers = between.split(';');
    let first = numbers.next().unwrap_or_default();
    let (held, kind) = match numbers.next().unwrap_or_default().split_once(':') {
        Some((held, kind)) => (held, kind),
        None => (between.split(';').nth(1).unwrap_or_default(), "1"),
    };
    if kind == "3" {
        return None;
    }
    let held = held_with(if held.is_empty() { 1 } else { held.parse().ok()? });
    let key = match (last, first) {
        (b'~', "200") => return Some(ControlSequence::PasteBegins),
        (b'~', number) => KeyEvent::new(numbered(number.parse().ok()?)?, held),
        (b'u', code) => by_code(code.split(':').next()?.parse().ok()?, held)?,
        (b'Z', "" | "1") => KeyEvent::new(KeyCode::BackTab, held | KeyModifiers::SHIFT),
        // With `R` a terminal also says where its cursor is.
        (b'R', _) => return None,
        (letter, "" | "1") => KeyEvent::new(named(letter)?, held),
        _ => return None,
    };
    let kind = if kind == "2" { KeyEventKind::Repeat } else { KeyEventKind::Press };
    Some(ControlSequence::Key(KeyEvent { kind, ..key }))
}

fn named(letter: u8) -> Option<KeyCode> {
    Some(match letter {
        b'A' => KeyCode::Up,
        b'B' => KeyCode::Down,
        b'C' => KeyCode::Right,
        b'D' => KeyCode::Left,
        b'F' => KeyCode::End,
        b'H' => KeyCode::Home,
        b'P'..=b'S' => KeyCode::F(1 + letter - b'P'),
        _ => return None,
    })
}

fn numbered(number: u8) -> Option<KeyCode> {
    Some(match number {
        1 | 7 => KeyCode::Home,
        2 => KeyCode::Insert,
        3 => KeyCode::Delete,
        4 | 8 => KeyCode::End,
        5 => KeyCode::PageUp,
        6 => KeyCode::PageDown,
        11..=15 => KeyCode::F(number - 10),
        17..=21 => KeyCode::F(number - 11),
        23..=26 => KeyCode::F(number - 12),
        28..=29 => KeyCode::F(number - 13),
        31..=34 => KeyCode::F(number - 14),
        _ => return None,
    })
}

/// A key by the number of its character.
fn by_code(code: u32, held: KeyModifiers) -> Option<KeyEvent> {
    let code = match code {
        13 | 57_414 => KeyCode::Enter,
        27 => KeyCode::Esc,
        9 if held.contains(KeyModifiers::SHIFT) => KeyCode::BackTab,
        9 => KeyCode::Tab,
        127 => KeyCode::Backspace,
        // The figures and signs of the number pad.
        57_399..=57_408 => KeyCode::Char(char::from_digit(code - 57_399, 10)?),
        57_409 => KeyCode::Char('.'),
        57_410 => KeyCode::Char('/'),
        57_411 => KeyCode::Char('*'),
        57_412 => KeyCode::Char('-'),
        57_413 => KeyCode::Char('+'),
        // Other keys without a character.
        57_344..=63_743 => return None,
        _ => {
            let letter = char::from_u32(code).filter(|letter| !letter.is_control())?;
            let is_shifted = held.contains(KeyModifiers::SHIFT);
            KeyCode::Char(if is_shifted { letter.to_ascii_uppercase() } else { letter })
        }
    };
    Some(KeyEvent::new(code, held))
}

/// Which keys are held: one more than the sum of 1 Shift, 2 Alt, 4 Control.
fn held_with(number: u8) -> KeyModifiers {
    let bits = number.saturating_sub(1);
    let mut held = KeyModifiers::NONE;
    for (bit, key) in [(1, KeyModifiers::SHIFT), (2, KeyModifiers::ALT), (4, KeyModifiers::CONTROL)]
    {
        if bits & bit != 0 {
            held |= key;
        }
    }
    held
}

/// `11;rgb:2b2b/2b2b/2b2b`: the ground, where the answer is one.
pub(super) fn ground(answer: &str) -> Option<Ground> {
    let colour = answer.strip_prefix("11;")?;
    let colour = colour.strip_prefix("rgb:").or_else(|| colour.strip_prefix("rgba:"))?;
    let mut parts = colour.split('/').map(part);
    let (red, green, blue) = (parts.next()??, parts.next()??, parts.next()??);
    // Relative luminance, WCAG 2.2. At 0.179 black and white stand out alike.
    let luminance = 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
    Some(if luminance < 0.179 { Ground::Dark } else { Ground::Light })
}

/// One to four hexadecimal figures as a part of the largest number of as many.
fn part(figures: &str) -> Option<f64> {
    let most = match figures.len() {
        1..=4 => 16_f64.powi(figures.len() as i32) - 1.0,
        _ => return None,
    };
    Some(f64::from(u16::from_str_radix(figures, 16).ok()?) / most)
}

fn linear(part: f64) -> f64 {
    if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(between: &str, last: u8) -> Option<KeyEvent> {
        match read(between.as_bytes(), last) {
            Some(ControlSequence::Key(key)) => Some(key),
            _ => None,
        }
    }

    /// As xterm's list of control sequences has them: F5 is 15, F6 17, F11 23.
    #[test]
    fn keys_as_terminals_send_them() {
        let plain = |code: KeyCode| Some(KeyEvent::from(code));
        assert_eq!(key("", b'A'), plain(KeyCode::Up));
        assert_eq!(key("15", b'~'), plain(KeyCode::F(5)));
        assert_eq!(key("17", b'~'), plain(KeyCode::F(6)));
        assert_eq!(key("21", b'~'), plain(KeyCode::F(10)));
        assert_eq!(key("23", b'~'), plain(KeyCode::F(11)));
        assert_eq!(key("24", b'~'), plain(KeyCode::F(12)));
        assert_eq!(single(b'P'), plain(KeyCode::F(1)));
        assert_eq!(console(b'E'), plain(KeyCode::F(5)));
        let held = KeyModifiers::CONTROL;
        assert_eq!(key("1;5", b'D'), Some(KeyEvent::new(KeyCode::Left, held)));
        assert_eq!(key("3;5", b'~'), Some(KeyEvent::new(KeyCode::Delete, held)));
        assert_eq!(read(b"200", b'~'), Some(ControlSequence::PasteBegins));
        for (between, last) in [("99", b'~'), ("2;7", b'R'), ("?62", b'c'), ("<0;1;1", b'M')] {
            assert_eq!(read(between.as_bytes(), last), None, "{between}");
        }
    }

    /// Kitty's protocol: the number of the character, then what is held, and 3
    /// where the key is let go.
    #[test]
    fn keys_by_the_number_of_their_character() {
        let control_c = KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL);
        assert_eq!(key("99;5", b'u'), Some(control_c));
        assert_eq!(key("99;5:1", b'u'), Some(control_c));
        assert_eq!(key("99;5:3", b'u'), None);
        assert_eq!(key("13", b'u'), Some(KeyCode::Enter.into()));
        assert_eq!(key("57400", b'u'), Some(KeyCode::Char('1').into()));
        assert_eq!(key("57441", b'u'), None);
    }

    /// By hand: #7F7F7F is 0.212 and #5F5F5F is 0.114, on both sides of 0.179.
    #[test]
    fn a_ground_is_dark_or_light() {
        for (answer, expected) in [
            ("11;rgb:0000/0000/0000", Some(Ground::Dark)),
            ("11;rgb:00/2b/36", Some(Ground::Dark)),
            ("11;rgb:5f5f/5f5f/5f5f", Some(Ground::Dark)),
            ("11;rgb:7f7f/7f7f/7f7f", Some(Ground::Light)),
            ("11;rgb:f/f/f", Some(Ground::Light)),
            ("11;rgba:eeee/e8e8/d5d5/ffff", Some(Ground::Light)),
            ("10;rgb:0000/0000/0000", None),
            ("11;rgb:00000/0/0", None),
            ("11;rgb:0/0", None),
            ("11;?", None),
        ] {
            assert_eq!(ground(answer), expected, "{answer}");
        }
    }
}
