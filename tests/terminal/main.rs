//! The traveler in a real terminal, and its journal on a real disk.

#[path = "../support/bench/mod.rs"]
mod bench;
#[path = "../support/terminal/mod.rs"]
mod terminal;
#[path = "../support/walker/mod.rs"]
mod walker;

mod class_in_a_terminal;
mod half_sent;
mod journal;
mod live_stations;
mod opening;
mod pin_in_a_terminal;
mod plain_in_a_terminal;
mod rack_in_a_terminal;
mod traveler;
mod walked_in_a_terminal;
