//! The wall between a mortise and those cut into the piece before it: in the
//! same face, or in a neighbouring one where the faces are lettered A to D in
//! turn. Both are located from the outside reference face, so a neighbour
//! begins `section - fence - width` below the face this one is cut into.
//! (Common practice, no source.)

use super::super::blank::Mortised;
use super::super::outcome::Finding;
use super::super::work::Work;
use crate::measure::{Length, Unit};

/// The least wood between two mortises: the bit goes 1/32 to 1/16 in ahead of
/// the chisel's corners (common practice, no source).
const LEAST_WEB: Length = Length::inch_fraction(1, 8);
/// The same on a route in millimetres.
const LEAST_WEB_METRIC: Length = Length::from_nanometres(3 * Length::MILLIMETRE.nanometres());

/// The least wood between two mortises, and how it is written.
pub(super) fn least_web(work: &Work<'_>) -> (Length, &'static str) {
    match work.unit {
        Unit::Inch => (LEAST_WEB, "1/8 in"),
        Unit::Millimetre => (LEAST_WEB_METRIC, "3 mm"),
    }
}

/// Walls too thin between a mortise and those before it.
pub(super) fn walls(work: &Work<'_>, own: &Mortised, section: Option<Length>) -> Vec<Finding> {
    let (least, least_words) = least_web(work);
    let thin = |wall: Length, other: &Mortised, key: &'static str, fix: &str| {
        let what = if wall > Length::ZERO {
            format!("only {} of wood between it and the {}", work.words(wall), other.name)
        } else {
            format!("it runs into the {}", other.name)
        };
        Finding::warning(what).help(format!("leave {least_words} or more{fix}")).key(key)
    };
    let mut findings = Vec::new();
    for other in &work.blank.mortises {
        let Some(along) = own.apart(other).filter(|along| *along < least) else { continue };
        let wall = along.max(own.beside(other));
        if wall < least && own.faces.iter().any(|face| other.faces.contains(face)) {
            findings.push(thin(wall, other, "from_top", ": what is left between them breaks out"));
        }
        let meets = own.mitred || other.mitred || !own.is_beside(other);
        if let Some(section) = section.filter(|_| !meets) {
            let below = |one: &Mortised, two: &Mortised| section - one.near - one.wide - two.deep;
            let web = below(own, other).max(below(other, own));
            if web < least {
                let fix = ", or let them meet and mitre the tenon ends (\"mitred\": true)";
                findings.push(thin(web, other, "depth", fix));
            }
        }
    }
    findings
}

impl Mortised {
    /// The wood between their ends along the piece; less than nothing where
    /// they are beside each other, and none where a place isn't known.
    fn apart(&self, other: &Mortised) -> Option<Length> {
        let ((from, to), (other_from, other_to)) = self.along.zip(other.along)?;
        Some((other_from - to).max(from - other_to))
    }

    /// The wood between them across a face both are cut into.
    fn beside(&self, other: &Mortised) -> Length {
        (other.near - self.near - self.wide).max(self.near - other.near - other.wide)
    }

    /// Whether one of its faces is next to one of the other's.
    fn is_beside(&self, other: &Mortised) -> bool {
        let letter = |face: &String| ["A", "B", "C", "D"].iter().position(|held| held == face);
        let letters = |mortised: &Mortised| -> Vec<usize> {
            mortised.faces.iter().filter_map(letter).collect()
        };
        let (own, others) = (letters(self), letters(other));
        own.iter().any(|one| others.iter().any(|two| one.abs_diff(*two) % 2 == 1))
    }
}
