//! Which boards to cut and how, in whole nanometres and marks.

pub(super) mod branch;
pub(super) mod choose;
pub(super) mod pattern;
pub(super) mod price;
