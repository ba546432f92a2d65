//! Walks the imaginary piece through a route with what was made so far.
