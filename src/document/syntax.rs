//! Whether a text is JSON at all, and small enough to read without harm.

use std::ops::Range;

use serde_json::error::Category;

use super::lines::{Lines, character_at};
use super::{Place, Problem};
use crate::prose::Message;

/// The largest text that is read, in bytes.
pub const LARGEST: usize = 4 << 20;
/// How many brackets may be open at once.
pub const DEEPEST: usize = 64;
/// The most values a text may hold.
pub const MOST: usize = 100_000;

/// Refuses what is too large, too deep or too much, in one pass over the bytes
/// that calls nothing by its own depth.
pub(super) fn check_limits(text: &str) -> Result<(), Problem> {
    if text.len() > LARGEST {
        return Err(whole(
            format!(
                "the file is too large: at most {} MB are read, and this is {} MB",
                LARGEST >> 20,
                text.len().div_ceil(1 << 20)
            ),
            "check that this is the file you meant",
        ));
    }
    if text.trim().is_empty() {
        return Err(whole("the file is empty".to_owned(), "start with `{` and `}`"));
    }
    let mut open = Open::default();
    let mut values = 1;
    for (offset, byte) in text.bytes().enumerate() {
        open.step(offset, byte);
        if open.brackets.len() > DEEPEST {
            let lines = Lines::of(&text[..=offset]);
            return Err(error(
                lines.place(text, offset..offset + 1),
                format!("brackets are nested too deep: at most {DEEPEST} may be open at once"),
                Some("close some before this one"),
            ));
        }
        values += usize::from(open.quote.is_none() && matches!(byte, b',' | b'[' | b'{'));
        if values > MOST {
            return Err(whole(
                format!("the file holds too much: at most {MOST} values are read"),
                "check that this is the file you meant",
            ));
        }
    }
    Ok(())
}

/// Refuses what serde_json refuses, in words and at the spot.
pub(super) fn check(text: &str, lines: &Lines) -> Result<(), Problem> {
    // A value is built, though nobody wants it, because only then does
    // serde_json look inside numbers and escapes.
    let Err(refusal) = serde_json::from_str::<serde_json::Value>(text) else {
        return Ok(());
    };
    let found = (lines.start(refusal.line()) + refusal.column()).saturating_sub(1);
    let found = character_at(text, found);
    let open = Open::upto(text, found);
    if refusal.classify() == Category::Eof {
        return Err(unclosed(text, lines));
    }
    let said = message(&refusal);
    let rest = &text[found..];
    let here = found..found + rest.chars().next().map_or(0, char::len_utf8);
    let comma_missing = said.starts_with("expected `,`")
        && rest.starts_with(|c: char| matches!(c, '"' | '{' | '[' | '-' | '0'..='9'));
    let (span, what, help): (Range<usize>, String, Option<&str>) = if let Some(quote) = open.quote
        && said.starts_with("control character")
    {
        // The line's end is the usual culprit, and the quote that was never
        // closed is where to look.
        if matches!(rest.as_bytes().first(), Some(b'\n' | b'\r')) {
            (
                quote..found,
                "this text does not end on its line".to_owned(),
                Some("close it with `\"`, or write \\n for a new line inside it"),
            )
        } else {
            (
                here,
                "a text holds a control character as it is".to_owned(),
                Some("write it as an escape, such as \\t for a tab"),
            )
        }
    } else if comma_missing {
        let end = text[..found].trim_end().len();
        (end..end, "a comma is missing here".to_owned(), None)
    } else if said == "trailing comma" {
        let comma = text[..found].rfind(',').unwrap_or(found);
        (
            comma..comma + 1,
            "there is a comma after the last item".to_owned(),
            Some("take this comma out"),
        )
    } else if rest.starts_with(['/', '#']) {
        (
            here,
            "JSON has no comments".to_owned(),
            Some("take it out, or write the words in an \"about\" key"),
        )
    } else if rest.starts_with('\'') {
        (here, "text belongs in double quotes".to_owned(), Some("write \" instead of '"))
    } else {
        (here, in_words(&said), None)
    };
    Err(error(lines.place(text, span), what, help))
}

fn in_words(said: &str) -> String {
    match said {
        "key must be a string" => "expected a key in double quotes",
        "trailing characters" => "the file goes on after its last bracket",
        "expected value" | "expected ident" => {
            "expected a value: text in double quotes, a number, true, false, null, { or ["
        }
        "expected `:`" => "expected `:` between the key and its value",
        "expected `,` or `}`" => "expected `,` or `}` after this entry",
        "expected `,` or `]`" => "expected `,` or `]` after this item",
        "invalid escape" => {
            "after \\ a text may only have one of \" \\ / b f n r t, or u and four digits"
        }
        "invalid number" => "this is not a number as JSON writes them",
        "number out of range" => "this number is too large to be read",
        "lone leading surrogate in hex escape" | "unexpected end of hex escape" => {
            "this \\u escape is only half of a character"
        }
        other => other,
    }
    .to_owned()
}

/// What a text that ends too soon left open.
fn unclosed(text: &str, lines: &Lines) -> Problem {
    let open = Open::upto(text, text.len());
    let (at, what) = match (open.quote, open.brackets.last()) {
        (Some(quote), _) => (quote, "this text is never closed".to_owned()),
        (None, Some(&bracket)) => {
            let sign = &text[bracket..=bracket];
            (bracket, format!("the file ends before this `{sign}` is closed"))
        }
        (None, None) => (text.trim_end().len(), "the file ends too soon".to_owned()),
    };
    let length = usize::from(at < text.len());
    error(lines.place(text, at..at + length), what, Some("was part of the file lost?"))
}

/// What a serde_json error says, without the line and column it adds, which
/// count from the start of whatever it was given.
pub(super) fn message(error: &serde_json::Error) -> String {
    let said = error.to_string();
    let position = format!(" at line {} column {}", error.line(), error.column());
    said.strip_suffix(&position).unwrap_or(&said).to_owned()
}

fn whole(what: String, help: &str) -> Problem {
    Problem::error(what).help(help)
}

fn error(place: Place, what: String, help: Option<&str>) -> Problem {
    Message::error(what).maybe_help(help.map(str::to_owned)).at(place.into())
}

/// The brackets still open at some point of a text.
#[derive(Default)]
struct Open {
    brackets: Vec<usize>,
    quote: Option<usize>,
    escaped: bool,
}

impl Open {
    fn upto(text: &str, end: usize) -> Open {
        let mut open = Open::default();
        for (offset, byte) in text.bytes().take(end).enumerate() {
            open.step(offset, byte);
        }
        open
    }

    fn step(&mut self, offset: usize, byte: u8) {
        if self.quote.is_some() {
            match byte {
                _ if self.escaped => self.escaped = false,
                b'\\' => self.escaped = true,
                b'"' => self.quote = None,
                _ => {}
            }
            return;
        }
        match byte {
            b'"' => self.quote = Some(offset),
            b'{' | b'[' => self.brackets.push(offset),
            b'}' | b']' => drop(self.brackets.pop()),
            _ => {}
        }
    }
}
