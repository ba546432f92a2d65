//! Which boards to cut and how, so that as much as possible is made from as
//! little wood as possible. Everything is in whole nanometres and marks.
//!
//! Must not know: pieces by name, who marks and cuts, prices in money, or how a
//! layout is shown.
//!
//! One board: a [`PreparedBoard`] has everything that depends on the board
//! alone. `best_cutting` finds the cutting worth most at given prices,
//! `every_cutting` lists all cuttings that matter where they are few, `worthwhile`
//! those that are worth enough, `placing` turns a cutting into places. Many boards:
//! the `pool` has the cuttings found so far, `prices` finds the prices that give the
//! best bound, `improve` makes a first choice and better ones, `branch` searches the
//! pool, and `choose` runs these steps within the limits in `effort`.
//!
//! Few boards: `few` looks at sets of boards in the order of their cost (`fewest`),
//! and asks of each whether it holds what is wanted (`holding`). Most sets fall short
//! at some prices (`hold_prices`). What is missing counts as one number (`shortage`).
//! `exchange` does the same with a few boards of a large rack at a time.
//!
//! Layouts are chosen by prices and branch searches. Prices and the search of the
//! pool use `microlp`. It is all Rust and builds anywhere. Every search stops after
//! a number of steps rather than of seconds, so an answer is the same on every
//! machine. No bound and no proof rests on the solver: prices may come from
//! anywhere, and what they say is worked out in whole numbers. Solvers that need a C
//! compiler were rejected, and so were rules of thumb alone: nobody knows how good
//! their layouts are. `benches/layout.md` has how near layouts come to their bound.
//!
//! A board counts with all its board feet once it is cut into. The offcuts are
//! in the rack afterwards, but they are this batch's wood. Counting wood by the
//! inch was rejected: it leaves many boards begun.

mod best_cutting;
mod blank_kind;
mod branch;
mod choose;
mod cutting;
mod effort;
mod every;
mod exchange;
mod few;
mod fewest;
mod group;
mod hold_prices;
mod holding;
mod improve;
mod least_missing;
mod placing;
mod pool;
mod prepared;
mod prices;
mod shortage;
mod tally;
mod worthwhile;

pub(super) use blank_kind::BlankKind;
pub(super) use choose::choose;
pub(super) use cutting::{Cutting, SectionCut};
pub(super) use pool::{UsableBoard, Want};
pub(super) use prepared::PreparedBoard;

#[cfg(test)]
mod tests;
