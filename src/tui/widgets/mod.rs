//! The things a screen is put together from, each a pure function of data.
//! They know no keys, no journal and no clock, and draw at every size.

mod big;
mod caution;
mod cut_order;
mod drawing;
mod entry;
mod hints;
mod limit_band;
mod part_view;
mod piece_line;
mod prose;
mod readings;
mod share_bar;
mod title;

pub(in crate::tui) use big::{BigText, Tall};
pub(in crate::tui) use caution::Caution;
pub(in crate::tui) use cut_order::CutOrderChart;
pub use drawing::{DrawingView, Emphasis};
pub(in crate::tui) use entry::EntryLine;
pub(in crate::tui) use hints::{Hint, KeyHints};
pub(in crate::tui) use limit_band::LimitBand;
pub(in crate::tui) use part_view::PartView;
pub(in crate::tui) use piece_line::{RoutePart, piece_line, route_line};
pub(in crate::tui) use prose::{whole_or_dots, width};
pub(in crate::tui) use share_bar::share_bar;
pub(in crate::tui) use title::TitleBar;

#[cfg(test)]
mod trial;
