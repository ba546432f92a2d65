//! Batches walked in memory: what is asked, what an answer records, and what the
//! records teach.

#[path = "../support/bench/mod.rs"]
mod bench;
#[path = "../support/drawing/mod.rs"]
mod drawing;
#[path = "../support/laws.rs"]
mod laws;
#[path = "../support/slats.rs"]
mod slats;
#[path = "../support/walker/mod.rs"]
mod walker;

mod advising;
mod alike;
mod asked_again;
mod at_the_cut;
mod beginning;
mod bell;
mod between_pieces;
mod boards;
mod cautions;
mod counting;
mod damaged;
mod deciding;
mod desk;
mod drawn;
mod explained;
mod faults;
mod fuzzed;
mod getting_about;
mod invented;
mod journal_format;
mod kept_up;
mod key_counts;
mod keys_and_hands;
mod learning;
mod learning_all;
mod list_filled;
mod look;
mod looking_back;
mod makers;
mod makers_screen;
mod mistakes;
mod noted;
mod on_paper;
mod opening;
mod part_so_far;
mod pictures;
mod presence;
mod reviewing;
mod scanned;
mod screens;
mod shop_screen;
mod shown;
mod sign_offs;
mod today;
mod tool_offsets;
mod typed_words;
mod walking;
mod walking_laws;
mod waste;
mod whole_routes;
mod witnesses;
mod worded;
