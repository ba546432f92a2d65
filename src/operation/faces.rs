//! The four long faces of a piece as heights close in on them, and how they are said:
//! A the face side, B the face edge, C opposite A, D opposite B.

use super::blank::Blank;
use super::feature::{THICKNESS, WIDTH};
use crate::measure::Length;

/// A section on its way through a planer or sander.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct FourFaces {
    /// Between A and C.
    pub thickness: Length,
    /// Between B and D; `None` when only the two faces are worked.
    pub width: Option<Length>,
    /// Whether C and D are next to be turned up.
    second: bool,
    /// Whether A and B stay on the table at every height.
    rests: bool,
}

impl FourFaces {
    pub(super) fn of(blank: &Blank, square: bool) -> Option<FourFaces> {
        let thickness = blank.biggest(THICKNESS)?;
        let width = if square { Some(blank.biggest(WIDTH)?) } else { None };
        Some(FourFaces { thickness, width, second: false, rests: false })
    }

    /// Begun with C and D up, for the jointed faces A and B run on the table.
    pub(super) fn far_side_first(self) -> FourFaces {
        FourFaces { second: true, ..self }
    }

    /// Only C and D up, for the jointed faces A and B run on the table at every
    /// height. Turned over, A or B would copy what the saw left on C or D.
    pub(super) fn far_side_alone(self) -> FourFaces {
        FourFaces { second: true, rests: true, ..self }
    }

    /// The bigger of the sizes worked: the height must start above it.
    pub(super) fn biggest(&self) -> Length {
        self.thickness.max(self.width.unwrap_or(self.thickness))
    }

    /// Feeds one round of faces at a height and says which it touches: A (and
    /// B), the next time C (and D).
    pub(super) fn feed(&mut self, height: Length) -> Vec<&'static str> {
        let mut faces = Vec::new();
        if self.thickness > height {
            self.thickness = height;
            faces.push(if self.second { "C" } else { "A" });
        }
        if let Some(width) = &mut self.width
            && *width > height
        {
            *width = height;
            faces.push(if self.second { "D" } else { "B" });
        }
        self.second = self.rests || !self.second;
        faces
    }
}

/// Whether faces are named by their letters.
pub fn is_lettered(faces: &[&str]) -> bool {
    faces.iter().any(|face| face.len() == 1)
}

/// `face A up`, `faces C, D up`, `the edge`; nothing where no face is named.
pub fn faces_up(faces: &[&str]) -> Option<String> {
    Some(match faces {
        [] => return None,
        named if !is_lettered(named) => format!("the {}", named.join(", then the ")),
        [one] => format!("face {one} up"),
        many => format!("faces {} up", many.join(", ")),
    })
}

/// The next even number at or above, and at least two: with fewer rounds two
/// faces would keep their old marks.
pub(super) fn even(count: i64) -> i64 {
    let count = count.max(1);
    count + count % 2
}

/// `ceil(amount / step)` in whole nanometres.
pub(super) fn steps(amount: Length, step: Length) -> i64 {
    let step = step.nanometres().max(1);
    (amount.nanometres().max(0) + step - 1) / step
}
