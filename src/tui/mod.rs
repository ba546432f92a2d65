//! The traveler at the machine: state, update, view.

pub mod theme;
pub mod widgets;
