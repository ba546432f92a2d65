//! Pages for print and browser, from what the other rooms work out: pure functions to text.
//!
//! A page is one file: it asks no network for anything and runs no script, so it shows on any
//! computer and stays as it was printed. Each kind of page is one file of this room and
//! becomes a [`Page`]; what is drawn becomes SVG inside it. The room must not know files, the
//! clock or a screen.

mod card;
mod code;
mod drawing;
mod ink;
mod page;
mod part;

pub use card::{CardInput, route_card};
pub use code::code;
pub use drawing::{SheetRoom, figure};
pub use page::{Page, Paper};
pub use part::part_figure;
