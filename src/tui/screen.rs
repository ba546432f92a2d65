//! The names of the screens, which the key table and the app share.

/// What fills the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Screen {
    /// Batches under way, and routes to begin one from.
    Opening,
    /// The sizes of a route, before its batch begins.
    Sizes,
    /// The shop's own machines.
    Shop,
    /// What there is to do today, over all batches.
    Today,
    /// What is asked at the machine now.
    Machine,
    /// Every operation of the route.
    Route,
    /// Every piece of the batch.
    Pieces,
    /// Whose each article is, and what was chosen.
    Makers,
    /// What can start now.
    Ready,
    /// Which pieces go together.
    Matched,
    /// What went out of limits, and the likely cause.
    Review,
    /// The readings of one check in cut order.
    Series,
    /// What each operation added to a piece.
    Attribution,
    /// The keys of the screen beneath.
    Help,
    /// Everything that can be done on the screen beneath.
    Menu,
}
