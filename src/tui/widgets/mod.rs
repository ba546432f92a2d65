//! The things a screen is put together from, each a pure function of data.
//! They know no keys, no journal and no clock, and draw at every size.

mod big;
mod caution;
mod course;
mod drawing;
mod entry;
mod hints;
mod prose;
mod readings;
mod share_bar;
mod strip;
mod title;

pub(in crate::tui) use big::{BigNumber, size};
pub(in crate::tui) use caution::Caution;
pub(in crate::tui) use course::Course;
pub use drawing::DrawingView;
pub(in crate::tui) use entry::EntryLine;
pub(in crate::tui) use hints::{Hint, KeyHints};
pub(in crate::tui) use prose::{whole_or_dots, width};
pub(in crate::tui) use readings::{LimitLine, LimitLines, MarkKind, ReadingMark};
pub(in crate::tui) use share_bar::share_bar;
pub(in crate::tui) use strip::ReadingStrip;
pub(in crate::tui) use title::TitleBar;

#[cfg(test)]
mod trial;
