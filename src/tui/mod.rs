//! The traveler at the machine: state, update, view.
