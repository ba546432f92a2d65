//! What bytes mean, however they are cut.

use super::*;
use crate::tui::theme::Ground;

/// What is heard of bytes that come in one go, and after them nothing.
fn heard(bytes: &[u8]) -> Vec<Heard> {
    let mut parser = Parser::default();
    let mut heard = Vec::new();
    parser.feed(bytes, &mut heard);
    heard.extend(parser.silence());
    assert_eq!(parser.patience(), None, "{bytes:?}");
    heard
}

fn keys(text: &str) -> Vec<Heard> {
    text.chars().map(|letter| Heard::Key(typed(letter))).collect()
}

fn key(code: KeyCode) -> Heard {
    Heard::Key(code.into())
}

fn control_c() -> Heard {
    Heard::Key(KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL))
}

#[test]
fn letters_figures_and_keys() {
    let expected = [keys("40.1"), vec![key(KeyCode::Enter)]].concat();
    assert_eq!(heard(b"40.1\r"), expected);
    assert_eq!(heard("½木".as_bytes()), keys("½木"));
    assert_eq!(heard(b"\x1b[A\x1bOB"), [key(KeyCode::Up), key(KeyCode::Down)]);
    assert_eq!(heard(b"\x1b[[A\x1b[24~"), [key(KeyCode::F(1)), key(KeyCode::F(12))]);
    let alt = KeyEvent::new(KeyCode::Char('x'), KeyModifiers::ALT);
    assert_eq!(heard(b"\x1bx"), [Heard::Key(alt)]);
    assert_eq!(heard(b"\x1b\x1b"), [key(KeyCode::Esc), key(KeyCode::Esc)]);
    // Ctrl-Backslash and a stray continuation byte.
    let backslash = KeyEvent::new(KeyCode::Char('4'), KeyModifiers::CONTROL);
    assert_eq!(heard(b"\x1c\xbfa"), [vec![Heard::Key(backslash)], keys("a")].concat());
}

/// Alt-[ alone sends the beginning of a sequence.
#[test]
fn silence_ends_what_is_unfinished() {
    for (bytes, letter) in [(b"\x1b[", '['), (b"\x1bO", 'O'), (b"\x1b]", ']'), (b"\x1bP", 'P')] {
        assert_eq!(heard(bytes), [alt(letter)], "{bytes:?}");
    }
    assert_eq!(heard(b"\x1b"), [key(KeyCode::Esc)]);
    for bytes in [&b"\x1b[1;5"[..], b"\x1b[[", b"\x1b]11;rgb:00", b"\xe6\x9c", b"\x1b[M!!"] {
        assert_eq!(heard(bytes), [], "{bytes:?}");
    }
    assert_eq!(heard(b"\x1b[200~40.1\r40"), [Heard::Paste("40.1\r40".to_owned())]);
}

/// Always: Whatever came before, Ctrl-C counts.
#[test]
fn nothing_keeps_control_c_from_counting() {
    for before in [
        &b"\x1b"[..],
        b"\x1b[",
        b"\x1b[1;",
        b"\x1b[[",
        b"\x1b[M",
        b"\x1bO",
        b"\x1b]11;",
        b"\x1b]11;\x1b",
        b"\x1bP",
        b"\x1b[200~40",
        b"\x1b[200~40\x1b[20",
        b"\xe6",
    ] {
        let heard = heard(&[before, b"\x03"].concat());
        assert_eq!(heard.last(), Some(&control_c()), "{before:?}");
    }
}

/// A control character is no part of a sequence: it ends it.
#[test]
fn enter_counts_after_half_a_sequence() {
    for before in [&b"\x1b[40.1"[..], b"\x1b]11;rgb", b"\xe6", b"\x1b[["] {
        assert_eq!(heard(&[before, b"\r"].concat()), [key(KeyCode::Enter)], "{before:?}");
    }
}

#[test]
fn a_paste_is_whole_and_what_looks_like_its_end_belongs_to_it() {
    let paste = |text: &str| Heard::Paste(text.to_owned());
    let pasted = heard(b"\x1b[200~21\r\nx\x1b[31mred\x1b[20\x1b[201~q");
    assert_eq!(pasted, [vec![paste("21\r\nx\x1b[31mred\x1b[20")], keys("q")].concat());
    let long = [&b"\x1b[200~"[..], &vec![b'7'; 3 * LONGEST_PASTE], b"\x1b[201~"].concat();
    assert_eq!(heard(&long), [paste(&"7".repeat(LONGEST_PASTE))]);
}

#[test]
fn the_ground_is_told_and_never_typed() {
    for end in ["\x07", "\x1b\\"] {
        let answer = format!("4\x1b]11;rgb:ffff/ffff/ffff{end}0");
        let mut expected = keys("4");
        expected.push(Heard::Ground(Ground::Light));
        expected.extend(keys("0"));
        assert_eq!(heard(answer.as_bytes()), expected);
    }
    assert_eq!(heard(b"\x1bP1$r0m\x1b\\\x1b_Gi=1;OK\x1b\\\x1b[?62;22c"), []);
}

/// Always: Bytes mean the same however they are cut into pieces.
#[test]
fn pieces_mean_the_same() {
    let bytes = "1 7/16+\r\x1b[A½\x1b[200~40.1\r½\x1b[201~\x1b]11;rgb:0/0/0\x1b\\\x1b[99;5u";
    let whole = heard(bytes.as_bytes());
    for cut in 0..bytes.len() {
        let (first, rest) = bytes.as_bytes().split_at(cut);
        let mut parser = Parser::default();
        let mut heard = Vec::new();
        parser.feed(first, &mut heard);
        parser.feed(rest, &mut heard);
        assert_eq!(heard, whole, "cut at {cut}");
    }
}
