//! The things a screen is put together from, each a pure function of data.
//! They know no keys, no journal and no clock, and draw at every size.

mod big;
mod caution;
mod course;
mod drawing;
mod entry;
mod hints;
mod prose;
mod share_bar;
mod strip;
mod title;

pub use big::{BigNumber, size};
pub use caution::Caution;
pub use course::Course;
pub use drawing::DrawingView;
pub use entry::EntryLine;
pub use hints::{Hint, KeyHints};
pub use prose::{whole_or_dots, width};
pub use share_bar::share_bar;
pub use strip::{LimitLine, MarkKind, ReadingMark, ReadingStrip};
pub use title::TitleBar;

#[cfg(test)]
mod trial;
