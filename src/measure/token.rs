//! The numbers, signs and unit words that a typed length consists of.

use super::number::not_a_length;
use crate::prose::{Message, Span};

/// What a token is, whichever of its signs was used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TokenKind {
    Digits,
    Point,
    Comma,
    Slash,
    Plus,
    Minus,
    Foot,
    Inch,
    Millimetre,
    Centimetre,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Token {
    pub kind: TokenKind,
    pub start: usize,
    pub end: usize,
    /// A space comes before it.
    pub spaced: bool,
}

impl Token {
    pub(super) fn at(self) -> Span {
        self.start..self.end
    }
}

/// Takes a text apart, or says what in it no length has.
pub(super) fn tokens(text: &str) -> Result<Vec<Token>, Message<Span>> {
    let mut tokens = Vec::new();
    let mut start = 0;
    let mut spaced = false;
    while let Some(first) = text[start..].chars().next() {
        let rest = &text[start..];
        if first == '\t' || first.is_whitespace() && !first.is_control() {
            spaced = true;
            start += first.len_utf8();
            continue;
        }
        let run = |belongs: fn(char) -> bool| rest.find(|c| !belongs(c)).unwrap_or(rest.len());
        let (kind, length) = match first {
            '0'..='9' => (TokenKind::Digits, run(|c| c.is_ascii_digit())),
            '.' => (TokenKind::Point, 1),
            ',' => (TokenKind::Comma, 1),
            '/' => (TokenKind::Slash, 1),
            '+' => (TokenKind::Plus, 1),
            '-' | '\u{2212}' => (TokenKind::Minus, first.len_utf8()),
            '\'' if rest.starts_with("''") => (TokenKind::Inch, 2),
            '\'' | '\u{2032}' | '\u{2019}' => (TokenKind::Foot, first.len_utf8()),
            '"' | '\u{2033}' | '\u{201d}' => (TokenKind::Inch, first.len_utf8()),
            _ if first.is_alphabetic() => {
                let length = run(char::is_alphabetic);
                (unit_word(&rest[..length]).map_err(|refused| refused.moved(start))?, length)
            }
            _ => {
                return Err(not_a_length(
                    start..start + first.len_utf8(),
                    format!("`{}` is no part of a length", first.escape_debug()),
                ));
            }
        };
        tokens.push(Token { kind, start, end: start + length, spaced });
        spaced = false;
        start += length;
    }
    Ok(tokens)
}

fn unit_word(word: &str) -> Result<TokenKind, Message<Span>> {
    let refused = |what: String| not_a_length(0..word.len(), what);
    match word.to_lowercase().as_str() {
        "in" | "inch" | "inches" => Ok(TokenKind::Inch),
        "ft" | "foot" | "feet" => Ok(TokenKind::Foot),
        "mm" => Ok(TokenKind::Millimetre),
        "cm" => Ok(TokenKind::Centimetre),
        "m" => Err(refused("`m` could be metres or millimetres".into()).help("write mm")),
        "o" => Err(refused(format!("`{word}` is a letter")).help("is it a zero?")),
        "l" | "i" => Err(refused(format!("`{word}` is a letter")).help("is it a one?")),
        _ => {
            Err(refused(format!("`{word}` is not a unit")).help("the units are in, ft, mm and cm"))
        }
    }
}
