//! Pages for print and browser, from what the other rooms work out: pure functions to text.
//!
//! A page is one file: it asks no network for anything and runs no script, so it shows on any
//! computer and stays as it was printed. Each kind of page is one file of this room and
//! becomes a [`Page`]; what is drawn becomes SVG inside it. The room must not know files, the
//! clock or a screen.

mod board_drawing;
mod breadth;
mod cuts;
mod label_grid;
mod labels;
mod marks;
mod page;
mod qr;
mod safety;
mod shopping;
mod wall;

pub use cuts::{CutList, cuts_page};
pub use label_grid::LabelGrid;
pub use labels::{PieceTag, labels_page};
pub use marks::{MarkedRack, marks_page};
pub use page::{Page, Paper};
pub use safety::safety_page;
pub use shopping::{ShoppingList, shopping_page};
pub use wall::wall_page;
