//! A line typed at the terminal that is not shown, outside the traveler.

use std::io::{self, Write};

use crossterm::event::{self, Event as TerminalEvent, KeyCode, KeyModifiers};
use crossterm::terminal;

/// Asks for a line that the terminal doesn't show; none where somebody gave up with Ctrl-C or
/// Esc.
pub fn read_unseen(words: &str) -> io::Result<Option<String>> {
    // Before the question, or whoever types at once is seen.
    let unseen = Unseen::begin()?;
    let mut error = io::stderr();
    write!(error, "{words}")?;
    error.flush()?;
    let typed = typed();
    drop(unseen);
    writeln!(error)?;
    typed
}

/// While it lives the terminal shows nothing of what is typed.
struct Unseen;

impl Unseen {
    fn begin() -> io::Result<Unseen> {
        terminal::enable_raw_mode().map(|()| Unseen)
    }
}

impl Drop for Unseen {
    fn drop(&mut self) {
        let _ = terminal::disable_raw_mode();
    }
}

/// The letters up to Enter.
fn typed() -> io::Result<Option<String>> {
    let mut text = String::new();
    loop {
        let TerminalEvent::Key(key) = event::read()? else { continue };
        if !key.is_press() {
            continue;
        }
        let is_held = key.modifiers.contains(KeyModifiers::CONTROL);
        match key.code {
            KeyCode::Enter => return Ok(Some(text.trim().to_owned())),
            KeyCode::Esc => return Ok(None),
            KeyCode::Char('c' | 'd') if is_held => return Ok(None),
            KeyCode::Backspace => drop(text.pop()),
            KeyCode::Char(letter) if !is_held => text.push(letter),
            _ => {}
        }
    }
}
