//! What an operation leaves to be seen on a piece: the skin of its long faces,
//! its ends, and what is cut into it.

use crate::measure::Length;

/// One of the four long faces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LongFace {
    /// The face side.
    A,
    /// The face edge.
    B,
    /// Opposite the face side.
    C,
    /// Opposite the face edge.
    D,
}

impl LongFace {
    /// All four, as they come up when the piece is rolled.
    pub const ALL: [LongFace; 4] = [LongFace::A, LongFace::B, LongFace::C, LongFace::D];

    /// The face of that letter.
    pub fn lettered(letter: &str) -> Option<LongFace> {
        LongFace::ALL.into_iter().find(|face| face.letter() == letter)
    }

    /// Its letter, as the screens write it.
    pub const fn letter(self) -> &'static str {
        match self {
            LongFace::A => "A",
            LongFace::B => "B",
            LongFace::C => "C",
            LongFace::D => "D",
        }
    }
}

/// How the tool that worked a face last left it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Skin {
    /// Rough, as the saw leaves it.
    Sawn,
    /// Planed or jointed.
    Planed,
    /// Sanded.
    Sanded,
}

/// How both ends of a piece are cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EndCut {
    /// Rough, and left long.
    Rough,
    /// To length, square.
    Square,
    /// To length, at an angle.
    Mitred,
}

/// What is cut into a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutShape {
    /// A mortise, or a slot for a loose tenon.
    Mortise,
    /// A round hole.
    Hole,
    /// A groove, a dado, a rabbet or a lap: wood is missing across the face.
    Groove,
}

/// Where a cut is along the piece, counted from its top.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutAlong {
    /// From end to end.
    Whole,
    /// From the first to the second.
    Between(Length, Length),
    /// The route doesn't say.
    Unknown,
}

/// One thing to be seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Trace {
    /// Faces worked by a tool.
    Skin {
        /// Which.
        faces: Vec<LongFace>,
        /// How they look now.
        skin: Skin,
        /// From where on, counted from the top.
        from: Length,
    },
    /// The pencil mark on a face that others are measured from.
    Marked(LongFace),
    /// Both ends.
    Ends(EndCut),
    /// A tenon, as seen on every face.
    Tenon {
        /// From shoulder to end.
        long: Length,
        /// How many ends get one, the top first.
        ends: usize,
    },
    /// Something cut into one face or several.
    Cut {
        /// What.
        shape: CutShape,
        /// One for each face, by the route's name for it where it has one.
        faces: Vec<Option<String>>,
        /// The faces it goes into, the likeliest first: a route's names say no letter.
        among: [LongFace; 4],
        /// Where along the piece.
        along: CutAlong,
    },
}

impl Trace {
    /// Faces worked over their whole length.
    pub(super) fn skin(faces: impl IntoIterator<Item = LongFace>, skin: Skin) -> Trace {
        Trace::Skin { faces: faces.into_iter().collect(), skin, from: Length::ZERO }
    }

    /// The two faces between which heights close in, and the edges too where the
    /// section is square.
    pub(super) fn closed_in(square: bool, skin: Skin) -> Trace {
        let faces = LongFace::ALL.into_iter();
        Trace::skin(faces.filter(|face| square || !face.is_edge()), skin)
    }

    /// Something cut into one face that the route doesn't name.
    pub(super) fn cut(shape: CutShape, among: [LongFace; 4], along: CutAlong) -> Trace {
        Trace::cut_into(shape, None, among, along)
    }

    /// Something cut into one face, by the route's name for it where it has one.
    pub(super) fn cut_into(
        shape: CutShape,
        face: Option<&str>,
        among: [LongFace; 4],
        along: CutAlong,
    ) -> Trace {
        Trace::Cut { shape, faces: vec![face.map(str::to_owned)], among, along }
    }
}

impl LongFace {
    const fn is_edge(self) -> bool {
        matches!(self, LongFace::B | LongFace::D)
    }

    /// The two inside faces of a piece that is seen from two sides.
    pub(super) const INSIDE: [LongFace; 4] = [LongFace::C, LongFace::D, LongFace::A, LongFace::B];
}
