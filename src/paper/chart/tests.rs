//! Where readings are drawn, and what a chart says in words.
