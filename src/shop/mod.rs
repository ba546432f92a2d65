//! The shop file: what the machines, tools and gauges are really like.
//! Knows nothing of routes or batches.
