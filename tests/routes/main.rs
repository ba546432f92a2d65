//! The routes that come with the program, as a lead takes them over.

mod adapted;
mod bundled;
mod refusals;
