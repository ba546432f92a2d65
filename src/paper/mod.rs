//! Pages for print and browser, from what the other rooms work out: pure functions to text.
//!
//! A page is one file: it asks no network for anything and runs no script, so it shows on any
//! computer and stays as it was printed. Each kind of page is one file of this room and
//! becomes a [`Page`]; what is drawn becomes SVG inside it. The room must not know files, the
//! clock or a screen.

mod axis;
mod bar;
mod board_drawing;
mod breadth;
mod card;
mod chart;
mod chart_page;
mod check_chart;
mod code;
mod cuts;
mod distribution;
mod drawing;
mod fits;
mod ink;
mod label_grid;
mod labels;
mod marks;
mod page;
mod part;
mod review;
mod safety;
mod shopping;
mod wall;

pub use card::{CardInput, route_card};
pub use chart::{RowChart, RowLine, RowLineKind, RowMoment, RowPlace, RowReading, RowShape};
pub use chart_page::{SaidLine, chart_page};
pub use check_chart::check_chart;
pub use code::code;
pub use cuts::{CutList, cuts_page};
pub use distribution::distribution;
pub use drawing::{SheetRoom, figure};
pub use fits::{FitsPageInput, fits_page};
pub use label_grid::LabelGrid;
pub use labels::{PieceTag, labels_page};
pub use marks::{MarkedRack, marks_page};
pub use page::{Page, Paper};
pub use part::part_figure;
pub use review::{ReviewSheetInput, review_sheet};
pub use safety::safety_page;
pub use shopping::{ShoppingList, shopping_page};
pub use wall::wall_page;
