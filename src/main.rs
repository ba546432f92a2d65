//! The door: hands the arguments to the library and its verdict to the shell.
//! Knows nothing of the trade.
fn main() {}
