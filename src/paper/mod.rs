//! Pages for print and browser, from what the other rooms work out: pure functions to text.
//!
//! A page is one file: it asks no network for anything and runs no script, so it shows on any
//! computer and stays as it was printed. Each kind of page is one file of this room and
//! becomes a [`Page`]; what is drawn becomes SVG inside it.

mod board_drawing;
mod breadth;
mod card;
mod code;
mod cuts;
mod drawing;
mod ink;
mod label_grid;
mod labels;
mod marks;
mod page;
mod part;
mod safety;
mod shopping;
mod wall;

pub use card::{CardInput, route_card};
pub use code::code;
pub use cuts::{CutList, cuts_page};
pub use drawing::{SheetRoom, figure};
pub use label_grid::LabelGrid;
pub use labels::{PieceTag, labels_page};
pub use marks::{MarkedRack, marks_page};
pub use page::{Page, Paper};
pub use part::part_figure;
pub use safety::safety_page;
pub use shopping::{ShoppingList, shopping_page};
pub use wall::wall_page;
