//! The library's numbers against numbers from outside it: settings, layouts,
//! charts.

#[path = "../support/laws.rs"]
mod laws;

mod articles;
mod assembling;
mod at_the_limit;
mod bench_and_cupboard;
mod charts;
mod dials;
mod drawings;
mod drawn_by_hand;
mod impossible;
mod joinery;
mod jointing;
mod kinds;
mod ladder_laws;
mod ladders;
mod layout;
mod missing_facts;
mod mitres;
mod panels_and_drawers;
mod plans;
mod racks;
mod rough_strips;
mod run_lengths;
mod tapers_and_curves;
mod worked_numbers;
