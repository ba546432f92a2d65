//! `pin`: a secret of a lead's own, so that the lead's initials are the lead's; and
//! how a command asks for it.

use std::io::{self, BufRead, IsTerminal, Write};
use std::path::Path;
use std::time::Duration;

use chrono::Local;
use clap::Args;

use super::{Ending, Failure};
use crate::journal::{Home, Pins};
use crate::prose::Message;
use crate::tui::read_unseen;
use crate::work::{PinTries, initials};

/// Give a lead a PIN, or take it away
///
/// From then on whatever needs that lead's initials (accepting a piece or a setting,
/// opening an operation early, adopting a route, standing beside somebody) asks for
/// the PIN before it is recorded. It is asked twice here and not shown; where the
/// input is no terminal, it is one line. After a wrong PIN the next one has to wait, 1 s
/// at first and a minute at most, until the program ends.
///
/// A salted hash of it is kept in pins.json beside the batches and in no batch.
/// Whoever can write to that folder can take a PIN away, as they can change a
/// journal: it keeps honest people honest.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway pin MB
  benchway pin MB --remove")]
pub(super) struct PinArguments {
    /// The lead's initials
    #[arg(value_name = "INITIALS")]
    lead: String,

    /// Take the PIN away
    #[arg(long)]
    remove: bool,
}

impl PinArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let pins = Pins::of(&Home::locate(home.map(Path::to_owned))?);
        let lead = initials(self.lead.trim()).map_err(|why| Failure::Option {
            option: "initials",
            given: self.lead.clone(),
            why,
        })?;
        if self.remove {
            if pins.remove(&lead)? {
                writeln!(out, "{lead} has no PIN any more.")?;
            } else {
                writeln!(out, "{lead} had no PIN.")?;
            }
            return Ok(Ending::Fine);
        }
        let pin = asked(&format!("PIN of {lead}: "))?;
        if io::stdin().is_terminal() && asked("Again: ")? != pin {
            return Err(refused("the two are not the same", "nothing was changed; try again"));
        }
        pins.set(&lead, &pin)?;
        writeln!(out, "{lead} has a PIN now. It keeps honest people honest.")?;
        Ok(Ending::Fine)
    }
}

/// So many wrong PINs end a command.
const MOST_TRIES: u32 = 3;

/// Asks for a lead's PIN, where the lead has one.
pub(super) fn prove(home: &Home, lead: &str) -> Result<(), Failure> {
    let pins = Pins::of(home);
    if !pins.has(lead)? {
        return Ok(());
    }
    let mut tries = PinTries::default();
    for left in (0..MOST_TRIES).rev() {
        if pins.fits(lead, &asked(&format!("PIN of {lead}: "))?)? {
            return Ok(());
        }
        let seconds = tries.wrong(lead, Local::now().fixed_offset());
        // Without a terminal there is one line and no second try.
        if left == 0 || !io::stdin().is_terminal() {
            break;
        }
        eprintln!("Wrong PIN. The next try is in {seconds} s.");
        std::thread::sleep(Duration::from_secs(seconds.unsigned_abs()));
    }
    let what = format!("this is not the PIN of {lead}");
    Err(refused(&what, "nothing was recorded; `benchway pin` sets a new one"))
}

fn refused(what: &str, help: &str) -> Failure {
    Failure::Pin(Message::error(what).help(help))
}

/// What is typed without being shown or, where the input is no terminal, its next line.
pub(super) fn asked(words: &str) -> Result<String, Failure> {
    if !io::stdin().is_terminal() {
        let mut line = String::new();
        io::stdin().lock().read_line(&mut line).map_err(Failure::Input)?;
        return Ok(line.trim().to_owned());
    }
    let typed = read_unseen(words).map_err(Failure::Input)?;
    typed.ok_or_else(|| refused("nothing was typed", "nothing was changed"))
}
