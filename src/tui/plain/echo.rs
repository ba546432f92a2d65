//! What is typed at a terminal is shown by the terminal itself. While a PIN is asked
//! for, it isn't.

/// While it lives the terminal shows nothing of what is typed. Ctrl-C is a letter so
/// long, because a program that it ends would leave the terminal like this.
pub(super) struct EchoOff {
    #[cfg(unix)]
    before: rustix::termios::Termios,
}

#[cfg(unix)]
impl EchoOff {
    /// None where the input is no terminal that could be told.
    pub(super) fn begin() -> Option<EchoOff> {
        use rustix::termios::{LocalModes, OptionalActions, tcgetattr, tcsetattr};
        let before = tcgetattr(rustix::stdio::stdin()).ok()?;
        let mut unseen = before.clone();
        unseen.local_modes.remove(LocalModes::ECHO | LocalModes::ISIG);
        // The end of the line is shown, so that what is said next begins a line.
        unseen.local_modes.insert(LocalModes::ECHONL);
        tcsetattr(rustix::stdio::stdin(), OptionalActions::Now, &unseen).ok()?;
        Some(EchoOff { before })
    }
}

#[cfg(not(unix))]
impl EchoOff {
    /// Lines are read by the system here, and it shows them.
    pub(super) fn begin() -> Option<EchoOff> {
        None
    }
}

#[cfg(unix)]
impl Drop for EchoOff {
    fn drop(&mut self) {
        use rustix::termios::{OptionalActions, tcsetattr};
        let _ = tcsetattr(rustix::stdio::stdin(), OptionalActions::Now, &self.before);
    }
}
