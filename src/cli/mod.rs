//! One file per command.
