//! The traveler at the machine: state, update, view, and the one loop that
//! runs the effects. Knows nothing of how settings come about.
//!
//! Start with [`App`]: keys become messages, messages change the app and ask
//! for effects, and a screen is a function of the app.

mod app;
mod card;
mod keys;
mod look;
mod message;
mod rack_card;
mod run;
pub mod screens;
pub mod theme;
pub mod widgets;

pub use app::{App, Ask, Here, Notice, Screen};
pub use card::Card;
pub use keys::{BINDINGS, Binding, Command};
pub use look::{Look, PieceBack, Row};
pub use message::{Effect, Message, RouteRow};
pub use run::{Choice, Setting, run};
