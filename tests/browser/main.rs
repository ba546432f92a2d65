//! Every page in a real browser: how it is laid out on paper and on a phone, whether it can be
//! read, and what it asks the network for. `.ci/browser` makes the folder that
//! `BENCHWAY_BROWSER` names.

#[path = "../support/bench/mod.rs"]
mod bench;

mod chromium;
mod drawings;
mod layout;
mod pages;
mod reading;
mod sheets;
