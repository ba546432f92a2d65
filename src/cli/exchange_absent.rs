//! The exchange with a server in a program that was built without it: there is none, and
//! whoever wants it hears how to get it.

use std::collections::BTreeSet;
use std::path::Path;

use super::Failure;
use crate::journal::Home;
use crate::prose::Message;
use crate::tui::BeginExchange;

/// The server that batches are exchanged with: none.
pub(super) struct NoExchange;

impl NoExchange {
    /// Says where a server is wanted that this program can't reach.
    pub(super) fn of(home: Option<&Path>, address: Option<&str>) -> Result<Self, Failure> {
        let is_joined = || {
            Home::locate(home.map(Path::to_owned))
                .is_ok_and(|home| home.path().join("meet.json").is_file())
        };
        if address.is_some() {
            let what = "this program was built without the exchange through a server";
            let help = "build it with `cargo build --release --features meet`";
            return Err(Failure::Exchange(Message::error(what).help(help)));
        }
        if is_joined() {
            eprintln!(
                "warning: this folder exchanges its batches through a server, and this program \
                 can't: build it with `cargo build --release --features meet`"
            );
        }
        Ok(NoExchange)
    }

    pub(super) fn station(&self) -> Result<Option<String>, Failure> {
        Ok(None)
    }

    /// The stations that the server has no connection with: there is no server.
    pub(super) fn unconnected(&self) -> BTreeSet<String> {
        BTreeSet::new()
    }

    pub(super) fn before_walk(&self, _: Option<&str>, _: &str) -> Result<(), Failure> {
        Ok(())
    }

    pub(super) fn begin(&self, _: Option<&str>) -> Result<Option<BeginExchange>, Failure> {
        Ok(None)
    }
}
