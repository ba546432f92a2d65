//! Terminals that exchange their batches through a real PostgreSQL server, as real
//! programs. `.ci/postgres` starts it.

mod convergence;
mod database;
mod proxy;
mod station;
