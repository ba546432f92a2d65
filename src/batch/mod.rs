//! What happened to the sets being made together: the journal and its fold.
