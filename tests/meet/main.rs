//! Terminals that exchange their batches through a real PostgreSQL server, as real
//! programs. `.ci/postgres` starts it.

#[path = "../support/bench/mod.rs"]
mod bench;
#[path = "../support/slats.rs"]
mod slats;

mod convergence;
mod database;
mod folded;
mod held_files;
mod invented_rows;
mod joining;
mod journals;
mod migrating;
mod power_cuts;
mod present;
mod proxy;
mod raw;
mod readers;
mod restoring;
mod roles;
mod station;
mod strange_lines;
mod tls;
