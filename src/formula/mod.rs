//! Text to expression to value, with its physical dimension and exact
//! derivative. Knows nothing of parts, machines or files.
