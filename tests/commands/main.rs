//! Each command run as a program: what it prints and how it exits.

#[path = "../support/bench/mod.rs"]
mod bench;
#[path = "../support/drawing/mod.rs"]
mod drawing;
#[path = "../support/laws.rs"]
mod laws;
#[path = "../support/walker/mod.rs"]
mod walker;

mod adopt;
mod adopt_shop;
mod arguments;
mod batches;
mod boards;
mod chart_command;
mod chart_groups;
mod check;
mod escapes;
mod fits;
mod fits_given;
mod fits_shared;
mod fits_spread;
mod helps;
mod kinds;
mod makers;
mod notes;
mod on_paper;
mod own_shop;
mod pin;
mod plain;
mod print_card;
mod print_marks;
mod print_pages;
mod print_today;
mod print_traveler;
mod readme;
mod settings;
mod stock;
mod today;
mod who;
mod wood;
