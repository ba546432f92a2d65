//! Bytes from a terminal to keys and pastes, one byte at a time. It reads no
//! terminal and no clock: whoever feeds it says when nothing came for a while.
//!
//! A control character ends any unfinished sequence and counts itself, and
//! Ctrl-C counts even within a paste: no bytes can keep people from leaving.

use std::time::Duration;

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use super::Heard;
use super::sequences::{self, ControlSequence};

/// After so long without a byte an unfinished sequence is over: a terminal
/// sends one in a single go, and nobody types as fast.
const SILENCE: Duration = Duration::from_millis(50);

/// A paste may come in pieces over a slow line, and its rest must not be taken
/// for keys.
const SILENCE_IN_A_PASTE: Duration = Duration::from_millis(500);

/// The longest sequence that is kept, in bytes; far longer than any in use.
const LONGEST: usize = 256;

/// The longest paste that is kept, in bytes; what is longer is cut.
const LONGEST_PASTE: usize = 64 * 1024;

/// What ends a paste.
const END_OF_PASTE: &[u8] = b"\x1b[201~";

const ESC: u8 = 0x1b;
const BELL: u8 = 0x07;
const CONTROL_C: u8 = 0x03;

/// What the bytes so far are the beginning of.
#[derive(Debug, Default)]
enum Unfinished {
    /// Nothing: the next byte begins something.
    #[default]
    Nothing,
    /// A character of several bytes, and whether Alt is held with it.
    Character { bytes: Vec<u8>, alt: bool },
    /// `ESC`: the key, or the beginning of a sequence.
    Escape,
    /// `ESC O`.
    Single,
    /// `ESC [` and more.
    Sequence(Vec<u8>),
    /// `ESC [ [`, as the console of Linux begins F1 to F5.
    Console,
    /// So many bytes more that say where a mouse is, which nobody asked for.
    Mouse { left: u8 },
    /// `ESC ]`, `ESC P` or `ESC _` and a text, up to `BEL` or `ESC \`.
    Report { kind: u8, text: Vec<u8>, is_escaped: bool },
    /// A paste, and how much of its end has come.
    Paste { text: Vec<u8>, end: usize },
}

/// Takes bytes, gives keys.
#[derive(Debug, Default)]
pub(super) struct Parser {
    unfinished: Unfinished,
}

impl Parser {
    /// How long to wait for the rest of what is unfinished; none where nothing is.
    pub(super) fn patience(&self) -> Option<Duration> {
        match self.unfinished {
            Unfinished::Nothing => None,
            Unfinished::Paste { .. } => Some(SILENCE_IN_A_PASTE),
            _ => Some(SILENCE),
        }
    }

    /// Takes in what came.
    pub(super) fn feed(&mut self, bytes: &[u8], heard: &mut impl Extend<Heard>) {
        for byte in bytes {
            heard.extend(self.byte(*byte));
        }
    }

    /// Ends what is unfinished: a key where it could be one, or else nothing.
    pub(super) fn silence(&mut self) -> Option<Heard> {
        match std::mem::take(&mut self.unfinished) {
            Unfinished::Escape => Some(Heard::Key(KeyCode::Esc.into())),
            Unfinished::Single => Some(alt('O')),
            Unfinished::Sequence(more) if more.is_empty() => Some(alt('[')),
            Unfinished::Report { kind, text, .. } if text.is_empty() => Some(alt(kind.into())),
            Unfinished::Paste { text, .. } => Some(pasted(&text)),
            _ => None,
        }
    }

    fn byte(&mut self, byte: u8) -> Option<Heard> {
        if byte == CONTROL_C {
            self.unfinished = Unfinished::Nothing;
            return control(byte).map(Heard::Key);
        }
        match std::mem::take(&mut self.unfinished) {
            Unfinished::Paste { text, end } => self.in_a_paste(text, end, byte),
            Unfinished::Report { kind, text, is_escaped } => {
                self.in_a_report(kind, text, is_escaped, byte)
            }
            Unfinished::Mouse { left } => {
                if left > 1 {
                    self.unfinished = Unfinished::Mouse { left: left - 1 };
                }
                None
            }
            Unfinished::Escape => self.after_escape(byte),
            // A control character, or no ASCII at all, is no part of these.
            unfinished if !(0x20..=0x7e).contains(&byte) => match unfinished {
                Unfinished::Character { bytes, alt } if byte >= 0x80 => {
                    self.in_a_character(bytes, alt, byte)
                }
                _ => self.anew(byte, false),
            },
            Unfinished::Single => sequences::single(byte).map(Heard::Key),
            Unfinished::Console => sequences::console(byte).map(Heard::Key),
            Unfinished::Sequence(more) => self.in_a_sequence(more, byte),
            Unfinished::Nothing | Unfinished::Character { .. } => self.anew(byte, false),
        }
    }

    /// A byte that begins something.
    fn anew(&mut self, byte: u8, alt: bool) -> Option<Heard> {
        let key = match byte {
            ESC => {
                self.unfinished = Unfinished::Escape;
                return None;
            }
            0x80.. => {
                self.unfinished = Unfinished::Character { bytes: vec![byte], alt };
                return None;
            }
            0x20..=0x7e => typed(byte.into()),
            _ => control(byte)?,
        };
        let held = if alt { KeyModifiers::ALT } else { KeyModifiers::NONE };
        Some(Heard::Key(KeyEvent::new(key.code, key.modifiers | held)))
    }

    fn after_escape(&mut self, byte: u8) -> Option<Heard> {
        match byte {
            // The key was pressed twice.
            ESC => {
                self.unfinished = Unfinished::Escape;
                return Some(Heard::Key(KeyCode::Esc.into()));
            }
            b'[' => self.unfinished = Unfinished::Sequence(Vec::new()),
            b'O' => self.unfinished = Unfinished::Single,
            b']' | b'P' | b'_' => {
                let text = Vec::new();
                self.unfinished = Unfinished::Report { kind: byte, text, is_escaped: false };
            }
            _ => return self.anew(byte, true),
        }
        None
    }

    fn in_a_character(&mut self, mut bytes: Vec<u8>, alt: bool, byte: u8) -> Option<Heard> {
        bytes.push(byte);
        match std::str::from_utf8(&bytes) {
            Ok(text) => {
                let mut key = typed(text.chars().next()?);
                key.modifiers |= if alt { KeyModifiers::ALT } else { KeyModifiers::NONE };
                Some(Heard::Key(key))
            }
            // Cut off, as far as it goes.
            Err(why) if why.error_len().is_none() => {
                self.unfinished = Unfinished::Character { bytes, alt };
                None
            }
            Err(_) => None,
        }
    }

    fn in_a_sequence(&mut self, mut more: Vec<u8>, byte: u8) -> Option<Heard> {
        match (byte, more.is_empty()) {
            (b'[', true) => self.unfinished = Unfinished::Console,
            (b'M', true) => self.unfinished = Unfinished::Mouse { left: 3 },
            (0x40.., _) => match sequences::read(&more, byte) {
                Some(ControlSequence::Key(key)) => return Some(Heard::Key(key)),
                Some(ControlSequence::PasteBegins) => {
                    self.unfinished = Unfinished::Paste { text: Vec::new(), end: 0 };
                }
                None => {}
            },
            _ => {
                if more.len() < LONGEST {
                    more.push(byte);
                }
                self.unfinished = Unfinished::Sequence(more);
            }
        }
        None
    }

    fn in_a_report(
        &mut self,
        kind: u8,
        mut text: Vec<u8>,
        is_escaped: bool,
        byte: u8,
    ) -> Option<Heard> {
        match byte {
            BELL => return ground(kind, &text),
            b'\\' if is_escaped => return ground(kind, &text),
            _ if is_escaped => return self.after_escape(byte),
            ESC => self.unfinished = Unfinished::Report { kind, text, is_escaped: true },
            0x20..=0x7e => {
                if text.len() < LONGEST {
                    text.push(byte);
                }
                self.unfinished = Unfinished::Report { kind, text, is_escaped };
            }
            _ => return self.anew(byte, false),
        }
        None
    }

    fn in_a_paste(&mut self, mut text: Vec<u8>, end: usize, byte: u8) -> Option<Heard> {
        let end = if byte == END_OF_PASTE[end] {
            end + 1
        } else {
            // What looked like the end belongs to the text; only `ESC` begins it.
            text.extend_from_slice(&END_OF_PASTE[..end]);
            if byte == ESC {
                1
            } else {
                text.push(byte);
                0
            }
        };
        if end == END_OF_PASTE.len() {
            return Some(pasted(&text));
        }
        text.truncate(LONGEST_PASTE);
        self.unfinished = Unfinished::Paste { text, end };
        None
    }
}

fn pasted(text: &[u8]) -> Heard {
    Heard::Paste(String::from_utf8_lossy(text).into_owned())
}

fn ground(kind: u8, text: &[u8]) -> Option<Heard> {
    let text = std::str::from_utf8(text).ok().filter(|_| kind == b']')?;
    sequences::ground(text).map(Heard::Ground)
}

fn alt(letter: char) -> Heard {
    let key = typed(letter);
    Heard::Key(KeyEvent::new(key.code, key.modifiers | KeyModifiers::ALT))
}

/// A letter as it is typed: a capital is one with Shift.
fn typed(letter: char) -> KeyEvent {
    let held = if letter.is_uppercase() { KeyModifiers::SHIFT } else { KeyModifiers::NONE };
    KeyEvent::new(KeyCode::Char(letter), held)
}

/// The key that sends a control character.
fn control(byte: u8) -> Option<KeyEvent> {
    let letter = match byte {
        b'\r' => return Some(KeyCode::Enter.into()),
        b'\t' => return Some(KeyCode::Tab.into()),
        0x7f => return Some(KeyCode::Backspace.into()),
        0 => ' ',
        0x01..=0x1a => (byte - 1 + b'a').into(),
        0x1c..=0x1f => (byte - 0x1c + b'4').into(),
        _ => return None,
    };
    Some(KeyEvent::new(KeyCode::Char(letter), KeyModifiers::CONTROL))
}

#[cfg(test)]
mod tests;
