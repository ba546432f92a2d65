//! What the numbers of a batch say together: will it go together, and why not.
//! Pure, and knows nothing of screens, commands or the disk.

mod chain;
pub mod fit_words;
pub mod fits;
mod origin;
pub mod stack;
pub mod trials;
