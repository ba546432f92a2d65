//! What a code on paper names, as the short text that is printed and scanned again:
//! `#benchway:BATCH:OP:PIECE`. What a code doesn't name is empty. It begins with a sign that
//! no answer and no command begins with, so that a scanner may type it anywhere.

use std::fmt;
use std::str::FromStr;

use crate::journal::{PieceId, State};

/// What every such text begins with.
const PREFIX: &str = "#benchway";

/// A batch, and an operation or a piece of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperCode {
    /// The identity of the batch where it has one, else its name.
    pub batch: String,
    /// The operation.
    pub op: Option<u32>,
    /// The identity of the piece.
    pub piece: Option<String>,
}

/// That a text was printed by no page of this program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoPaperCode;

impl PaperCode {
    /// What names a batch, and an operation or a piece of it.
    pub fn of(state: &State, op: Option<u32>, piece: Option<&PieceId>) -> PaperCode {
        PaperCode {
            batch: state.id.map_or_else(|| state.batch.clone(), |id| id.to_string()),
            op,
            piece: piece.map(|piece| piece.0.to_string()),
        }
    }
}

impl fmt::Display for PaperCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let op = self.op.map_or_else(String::new, |op| op.to_string());
        let piece = self.piece.as_deref().unwrap_or_default();
        write!(f, "{PREFIX}:{}:{op}:{}", escaped_part(&self.batch), escaped_part(piece))
    }
}

impl FromStr for PaperCode {
    type Err = NoPaperCode;

    fn from_str(text: &str) -> Result<PaperCode, NoPaperCode> {
        let parts: Vec<&str> = text.trim().split(':').collect();
        let [PREFIX, batch, op, piece] = parts[..] else { return Err(NoPaperCode) };
        let batch = plain_part(batch).filter(|batch| !batch.is_empty()).ok_or(NoPaperCode)?;
        let op = match op {
            "" => None,
            digits if digits.bytes().all(|digit| digit.is_ascii_digit()) => {
                Some(digits.parse().map_err(|_| NoPaperCode)?)
            }
            _ => return Err(NoPaperCode),
        };
        let piece = plain_part(piece).ok_or(NoPaperCode)?;
        Ok(PaperCode { batch, op, piece: (!piece.is_empty()).then_some(piece) })
    }
}

/// The text with everything but letters, figures and `-._~` as percent signs with two
/// figures, as RFC 3986 does it.
fn escaped_part(text: &str) -> String {
    let mut escaped = String::new();
    for byte in text.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
                escaped.push(byte.into());
            }
            _ => escaped.push_str(&format!("%{byte:02X}")),
        }
    }
    escaped
}

/// The text before it was escaped; none where it is not one.
fn plain_part(text: &str) -> Option<String> {
    let mut bytes = Vec::new();
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'%' => {
                let mut figure = || char::from(rest.next()?).to_digit(16);
                let (high, low) = (figure()?, figure()?);
                u8::try_from(high * 16 + low).ok()?
            }
            byte => byte,
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_code_is_short_and_plain() {
        let code = PaperCode {
            batch: "spring stools: 50 % <b>".to_owned(),
            op: Some(30),
            piece: Some("bench-12".to_owned()),
        };
        let text = "#benchway:spring%20stools%3A%2050%20%25%20%3Cb%3E:30:bench-12";
        assert_eq!(code.to_string(), text);
        assert_eq!(text.parse(), Ok(code));
        let batch = PaperCode { batch: "a".to_owned(), op: None, piece: None };
        assert_eq!(batch.to_string(), "#benchway:a::");
    }

    #[test]
    fn what_is_no_code_is_refused() {
        for text in [
            "",
            "1.250",
            "#benchway",
            "benchway:a:30:",
            "#benchway:a",
            "#benchway:a:30",
            "#benchway::30:",
            "other:a:30:b",
            "#benchway:a:x:",
            "#benchway:a:+3:",
            "#benchway:a:99999999999:",
            "#benchway:%:30:",
            "#benchway:%+1:30:",
            "#benchway:%FF:30:",
            "#benchway:a:30:b:c",
        ] {
            assert_eq!(text.parse::<PaperCode>(), Err(NoPaperCode), "{text}");
        }
    }

    proptest! {
        /// Always: A code on paper reads back as what it names, whatever a batch is called.
        #[test]
        fn a_code_reads_back(batch in ".{1,40}", op in proptest::option::of(0_u32..), piece in proptest::option::of(".{1,20}")) {
            let code = PaperCode { batch, op, piece };
            let text = code.to_string();
            prop_assert!(text.is_ascii());
            prop_assert_eq!(text.parse(), Ok(code));
        }
    }
}
