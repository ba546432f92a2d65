//! The columns of a board list, which are also what a problem with a board is
//! about.

/// One thing that is recorded of a board, under its own heading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Column {
    /// Its name.
    Board,
    /// Its wood.
    Species,
    /// What it was sold as.
    Class,
    /// One number for all three places.
    Thickness,
    /// At the marked end.
    Thickness1,
    /// In the middle.
    Thickness2,
    /// At the far end.
    Thickness3,
    /// Where it is narrowest.
    Width,
    /// From end to end.
    Length,
    /// Knots and splits.
    Flaws,
    /// Hollow across.
    Cup,
    /// Hollow along the face.
    Bow,
    /// Twist.
    Wind,
    /// In percent.
    Moisture,
}

impl Column {
    /// Every column, in the order they are named to people.
    pub(super) const ALL: [Column; 14] = [
        Column::Board,
        Column::Species,
        Column::Class,
        Column::Thickness,
        Column::Thickness1,
        Column::Thickness2,
        Column::Thickness3,
        Column::Width,
        Column::Length,
        Column::Flaws,
        Column::Cup,
        Column::Bow,
        Column::Wind,
        Column::Moisture,
    ];

    /// Its heading in a board list.
    pub(super) fn heading(self) -> &'static str {
        match self {
            Column::Board => "board",
            Column::Species => "species",
            Column::Class => "class",
            Column::Thickness => "thickness",
            Column::Thickness1 => "thickness_1",
            Column::Thickness2 => "thickness_2",
            Column::Thickness3 => "thickness_3",
            Column::Width => "width",
            Column::Length => "length",
            Column::Flaws => "flaws",
            Column::Cup => "cup",
            Column::Bow => "bow",
            Column::Wind => "wind",
            Column::Moisture => "moisture",
        }
    }
}

/// What a problem with a board is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BoardField {
    /// Which of its columns.
    pub column: Column,
    /// Which of its flaws, by index, where it is about one.
    pub flaw: Option<usize>,
}
