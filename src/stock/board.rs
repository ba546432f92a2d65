//! A board in the rack, as somebody measured it: its sizes, its bends and its
//! flaws.

use serde::{Deserialize, Serialize};

use super::class::nominal;
use crate::measure::{Length, Unit};
use crate::wood::Board;

/// From one place to another on a board. Along it, places are measured from the
/// marked end; across it, from the marked edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Stretch {
    /// The nearer place.
    pub from: Length,
    /// The farther place.
    pub to: Length,
}

impl Stretch {
    /// Whether the two share more than an end.
    pub fn overlaps(&self, other: &Stretch) -> bool {
        self.from < other.to && other.from < self.to
    }

    /// From one place to the other.
    pub fn length(&self) -> Length {
        self.to - self.from
    }
}

/// What is wrong with the wood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FlawKind {
    /// A knot, sound or loose.
    Knot,
    /// A split or a check. It can run further, so no piece may contain it.
    Split,
    /// Wane, sap, rot, a stain: anything else that no piece should show.
    Other,
}

/// What the lead decides about a flaw.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ruling {
    /// Every cut goes around it.
    #[default]
    Around,
    /// A piece may contain it where the route says that nobody will see it or
    /// that it is cut away later.
    Hidden,
    /// It is filled, in parts where the route allows that.
    Fill,
}

/// A flaw and the rectangle it takes up.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Flaw {
    /// What it is.
    pub kind: FlawKind,
    /// From the marked end.
    pub along: Stretch,
    /// From the marked edge; `None` where it crosses the whole width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub across: Option<Stretch>,
    /// What is to be done about it.
    #[serde(default)]
    pub ruling: Ruling,
}

/// The rectangle something covers on a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Footprint {
    /// From the marked end.
    pub along: Stretch,
    /// From the marked edge.
    pub across: Stretch,
}

impl Footprint {
    /// Whether it contains a flaw, or part of one.
    pub fn contains(&self, flaw: &Flaw) -> bool {
        self.along.overlaps(&flaw.along)
            && flaw.across.is_none_or(|across| self.across.overlaps(&across))
    }
}

/// A board in the rack. Places on it are measured from its marked end and its
/// marked edge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RackBoard {
    /// What is chalked on its end.
    pub name: String,
    /// Its wood.
    pub species: String,
    /// What it was sold as, such as `8/4`.
    pub class: Option<String>,
    /// At the marked end, in the middle, at the far end.
    pub thickness: [Length; 3],
    /// Where it is narrowest.
    pub width: Length,
    /// From end to end.
    pub length: Length,
    /// How hollow it is across, at its worst.
    #[serde(default)]
    pub cup: Length,
    /// How hollow its face is over its whole length.
    #[serde(default)]
    pub bow: Length,
    /// How far one corner is off a flat surface when the other three touch it.
    #[serde(default)]
    pub wind: Length,
    /// In percent.
    #[serde(default)]
    pub moisture: Option<f64>,
    /// Its knots and splits, in the order they were entered.
    #[serde(default)]
    pub flaws: Vec<Flaw>,
}

/// Whether two names mean the same; capitals make no difference.
pub(super) fn same(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

impl RackBoard {
    /// Its thickness where it is thinnest.
    pub fn thinnest(&self) -> Length {
        let [near, middle, far] = self.thickness;
        near.min(middle).min(far)
    }

    /// Whether this is its name; capitals make no difference.
    pub fn is_called(&self, name: &str) -> bool {
        same(&self.name, name)
    }

    /// The thickness it is counted as: the nominal thickness of its class, where
    /// the class is the same in every unit (`5/4`, `27 mm`), else its own where it
    /// is thinnest.
    pub fn counted_thickness(&self) -> Length {
        let called = |unit| nominal(self.class.as_deref()?, unit);
        let inches = called(Unit::Inch).filter(|inches| called(Unit::Millimetre) == Some(*inches));
        inches.unwrap_or(self.thinnest())
    }

    /// As a yard counts it; `None` where one of its sizes is zero.
    pub fn as_sold(&self) -> Option<Board> {
        Board::new(self.counted_thickness(), self.width, self.length)
    }

    /// Board feet of the whole board, not rounded; zero where one of its sizes is
    /// zero.
    pub fn board_feet(&self) -> f64 {
        self.as_sold().map_or(0.0, |board| board.measured(1).board_feet)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::samples;

    fn board(class: Option<&str>) -> RackBoard {
        RackBoard {
            name: "B 2".to_owned(),
            class: class.map(str::to_owned),
            thickness: [27, 26, 28].map(|n| Length::MILLIMETRE * n),
            ..samples::board(Length::INCH, Length::INCH * 6, Length::INCH * 24)
        }
    }

    /// A bare 32 is 32 in or 32 mm, so the board's own thickness is taken.
    #[test]
    fn a_board_is_counted_by_its_class_or_where_it_is_thinnest() {
        let counted = |class| board(class).counted_thickness();
        assert_eq!(counted(Some("5/4")), Length::inch_fraction(5, 4));
        assert_eq!(counted(Some("32 mm")), Length::MILLIMETRE * 32);
        for own in [None, Some("32"), Some("0/4"), Some("plywood")] {
            assert_eq!(counted(own), Length::MILLIMETRE * 26, "{own:?}");
        }
        // By hand: 6 x 24 is one square foot, 5/4 thick.
        assert!((board(Some("5/4")).board_feet() - 1.25).abs() < 1e-9);
    }

    #[test]
    fn capitals_make_no_difference_to_a_name() {
        assert!(board(None).is_called(" b 2") && !board(None).is_called("b2"));
    }
}
