//! Pages for print and browser, from what the other rooms work out: pure functions to text.
//!
//! A page is one file: it asks no network for anything and runs no script, so it shows on any
//! computer and stays as it was printed. Each kind of page is one file of this room and
//! becomes a [`Page`]; what is drawn becomes SVG inside it. It must not know files, screens or
//! the clock.

mod axis;
mod bar;
mod chart;
mod chart_page;
mod check_chart;
mod distribution;
mod fits;
mod page;
mod review;

pub use chart::{RowChart, RowLine, RowLineKind, RowMoment, RowPlace, RowReading, RowShape};
pub use chart_page::{SaidLine, chart_page};
pub use check_chart::check_chart;
pub use distribution::distribution;
pub use fits::{FitsPageInput, fits_page};
pub use page::{Page, Paper};
pub use review::{ReviewSheetInput, review_sheet};
