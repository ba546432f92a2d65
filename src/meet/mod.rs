//! Exchanging batches between terminals through a PostgreSQL server. It knows nothing of
//! what the lines mean, nor of screens, keys and commands.
//!
//! # How lines travel
//!
//! A terminal writes to its own folder first, always and alone. In the background it sends
//! the lines its own station wrote and fetches what other stations sent. Each station's
//! lines are sent in their order, so the number of the last line that is here says what to
//! ask for next; no clock and no cursor is kept. The order that everybody sees is the
//! journal's own, whatever arrives when.
//!
//! A notification only wakes the others and carries nothing. Each costs the server a moment
//! for every connection there is, so it sends one only where somebody of the shop waits for
//! it: while lines come one after the other, terminals look by themselves a few times a second.
//!
//! A server that is down, slow,
//! full or that refuses the password delays lines and loses none: after every new
//! connection the server is asked for the last line it has, and the rest is sent. So the
//! server need not wait for its disk at each line; what a crash takes from it comes again.
//!
//! # Who may do what
//!
//! Each terminal has a login of its own, which a table maps to a shop and a station. Row
//! security on the server holds it to these: a station adds lines of its own name and reads
//! its shop; a lead also begins, seals, archives and takes in batches that a station began
//! without a server; a reader reads. Nobody but the owner changes or deletes a line.
//!
//! # Threads
//!
//! The exchange is one thread with a small async runtime, because it waits for the server
//! and for new lines at once. While nothing happens it makes no system call.

mod address;
mod background;
mod conversation;
mod identity;
mod link;
mod members;
mod migrations;
mod pace;
mod password;
mod problem;
mod round;
mod server;
mod standing;

pub use background::{Exchange, ExchangeSettings, exchange_once};
pub use identity::{Identity, MemberRole};
pub use link::{BatchAct, ServerBatch};
pub use members::{
    NewMember, ShopMember, act, add, batches, members, own_station, revoke, set_up, unconnected,
};
pub use password::Password;
pub use problem::MeetProblem;
pub use round::ArchivedBatches;
pub use server::Server;
pub use standing::ExchangeStanding;
