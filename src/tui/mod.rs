//! The traveler at the machine: state, update, view, and the one loop that
//! runs the effects. Knows nothing of how settings come about.
//!
//! Start with [`App`]: keys become messages, messages change the app and ask
//! for effects, and a screen is a function of the app.

mod app;
mod keys;
mod machine_view;
mod message;
mod review_state;
mod run;
mod screen;
pub mod screens;
pub mod theme;
pub mod widgets;

pub use app::{App, OpeningScreen, Session};
pub use keys::{BINDINGS, Binding, Command};
pub use machine_view::MachineView;
pub use message::{AppMessage, Effect, RouteRow};
pub use review_state::{AttributedPiece, ReviewRow, ReviewState};
pub use run::{LaunchOptions, RouteText, run};
pub use screen::Screen;
