//! Which boards to cut and how, in whole nanometres and marks.
//! Must not know: who asked, pieces by name, or how a layout is shown.

pub(super) mod branch;
pub(super) mod choose;
pub(super) mod pattern;
pub(super) mod price;
