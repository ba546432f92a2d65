//! A terminal shop traveler: walks a batch of furniture parts through the
//! machines, one setting and one reading at a time.
//!
//! Each room below may use the ones above it and none below it; a test holds
//! it to that. Start with [`measure`], or follow one reading from key to disk
//! as `DEVELOPERS.md` describes it.

#![deny(missing_docs, unreachable_pub)]

pub mod prose;

pub mod measure;

pub mod series;

pub mod document;

pub mod formula;

pub mod wood;

pub mod shop;

pub mod operation;

pub mod route;

pub mod plan;

pub mod stock;

pub mod journal;

pub mod fits;

pub mod work;

pub mod simulate;

pub mod review;

pub mod learn;

pub mod paper;

#[cfg(feature = "meet")]
pub mod meet;

pub mod tui;

pub mod cli;
