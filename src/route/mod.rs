//! The route file: how a piece of furniture is made.
