//! The traveler at the machine: state, update, view, and the one loop that
//! runs the effects. It knows nothing of how a setting is computed, how an
//! answer becomes an event or how an event is written.
//!
//! Start with [`App`]: keys become messages, messages change the app and ask
//! for effects, and a screen is a function of the app. `run` is the only code
//! that touches the terminal (`unseen` reads a PIN where no traveler runs),
//! `clock` the only one that reads the time and `perform` the only one that
//! opens batches, so tests send messages and read what is drawn.
//!
//! # Keys
//!
//! Enter does what the prompt says, and letters are commands only while
//! nothing is typed. A caliper that types like a keyboard sends figures, signs,
//! units, Enter and Tab, and none of these may start anything. Command keys
//! beside the figures were rejected for that reason, and so was a mode that has
//! to be left first. All keys are one table, from which help and footers are
//! made.
//!
//! Boards are entered in words, so letters are no commands there: a board's
//! name, a wood and a flaw begin with letters that mean something elsewhere.
//! Backspace on an empty line still undoes. A form on a screen of its own was
//! rejected: it would be the only place with other rules.
//!
//! There is no mouse: people have one free hand, in dust.
//!
//! # Screens
//!
//! The large figures are a small table of our own: a dozen signs, fractions
//! among them. A font crate would bring far more along. A board is one drawing,
//! as a cut is, so one way to scale shapes to cells serves both, here and on
//! the command line. Colours are the terminal's own; words and places carry the
//! meaning, so the theme without colour says the same.
//!
//! # Threads
//!
//! One person types at one terminal, so there is no async runtime and the app
//! runs on one thread, which sleeps until a key, news from outside, or the next time
//! something is due. The others only wait: one for bytes of the terminal, one for
//! signals, two for word that a folder changed (`watching`). They hand on what came,
//! through one channel; where the window closes or a signal says so, they put the
//! terminal back and exit. None touches the app or writes to the journal, where every
//! line is on the disk before it is shown. Only where a folder gives no word of changes,
//! as a share doesn't, is it looked at once a second, and help says so.

mod app;
mod clock;
mod exchanging;
mod explanation;
mod filling;
mod home_watch;
mod input;
mod keys;
mod launch;
mod list_words;
mod listing;
mod machine_view;
mod maker_words;
mod menu;
mod message;
mod perform;
mod performed_news;
mod performed_shop;
mod plain;
mod printing;
mod review_state;
mod review_words;
mod run;
mod screen;
pub mod screens;
mod sentence;
mod shop_choice;
mod shop_words;
pub mod theme;
mod unseen;
mod waker;
mod watching;
pub mod widgets;

pub use app::{App, OpeningLine, OpeningScreen, Session, ShopScreen, TodayScreen};
pub use exchanging::{BeginExchange, ExchangeWords, Exchanging};
pub use home_watch::HomeWatch;
pub use keys::{BINDINGS, Binding, Command};
pub use launch::{BeginOptions, LaunchOptions};
pub use listing::{RouteOrigin, RouteText};
pub use machine_view::{Lit, MachineView, Order, PieceMark, PieceRow, Standing};
pub use message::{
    AppMessage, ArchiveList, Effect, FoundRows, LooksFor, NewBatch, OpeningLists, PrintWish,
    ReadRows, RouteRow, ShopListing, TodayRead, Unread,
};
pub use plain::{PlainEnd, PlainStreams, run_plain};
pub use printing::Printing;
pub use review_state::{AttributedPiece, ReviewOrigin, ReviewRow, ReviewScreen, ReviewState};
pub use run::run;
pub use screen::Screen;
pub use shop_choice::{ListedShop, ShopChoice, ShopStanding};
pub use unseen::read_unseen;
