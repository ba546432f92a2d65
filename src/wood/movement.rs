//! How far a wood moves across its grain as its moisture changes.
//! Knows nothing of where the moisture comes from, nor of parts and routes.
//!
//! Change of size per 1 % change of moisture content, between 6 and 14 %:
//! USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), Table
//! 13-5. Rows marked so are from memory and were not compared with the table.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::measure::Length;

/// How the growth rings lie in a board.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Grain {
    /// Flat-sawn: it moves most.
    #[default]
    Flat,
    /// Quartersawn.
    Quarter,
}

/// A wood's change of size per point of moisture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Movement {
    pub radial: f64,
    pub tangential: f64,
}

const fn moves(radial: f64, tangential: f64) -> Movement {
    Movement { radial, tangential }
}

/// By the names woods are sold under.
const WOODS: &[(&[&str], Movement)] = &[
    (&["hard maple", "sugar maple", "maple"], moves(0.00165, 0.00353)),
    (&["walnut", "black walnut"], moves(0.00190, 0.00274)),
    (&["cherry", "black cherry"], moves(0.00126, 0.00248)),
    (&["white oak"], moves(0.00180, 0.00365)),
    (&["red oak"], moves(0.00158, 0.00369)),
    (&["ash", "white ash"], moves(0.00169, 0.00274)),
    (&["birch", "yellow birch"], moves(0.00256, 0.00338)),
    (&["alder", "red alder"], moves(0.00151, 0.00256)),
    (&["basswood", "American basswood"], moves(0.00230, 0.00330)),
    // From memory.
    (&["poplar", "yellow poplar", "yellow-poplar"], moves(0.00158, 0.00289)),
    (&["white pine", "eastern white pine"], moves(0.00071, 0.00212)),
    (&["Douglas-fir", "Douglas fir"], moves(0.00165, 0.00267)),
];

impl Movement {
    /// Looks a wood up by name; `None` for one it doesn't know.
    pub fn of_species(species: &str) -> Option<Movement> {
        let species = species.trim();
        let row = WOODS.iter().find(|row| row.0.iter().any(|n| n.eq_ignore_ascii_case(species)));
        row.map(|row| row.1)
    }

    /// The name each wood it knows goes by first.
    pub fn known() -> impl Iterator<Item = &'static str> {
        WOODS.iter().filter_map(|row| row.0.first().copied())
    }

    /// The share of its width a board moves per point of moisture.
    pub fn per_point(self, grain: Grain) -> f64 {
        match grain {
            Grain::Flat => self.tangential,
            Grain::Quarter => self.radial,
        }
    }
}

/// How far `width` moves over so many points of moisture.
pub fn movement(width: Length, per_point: f64, points: f64) -> Length {
    let moved = width.nanometres() as f64 * per_point * points;
    Length::from_nanometres_f64(moved).unwrap_or(Length::LONGEST)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thousandths(length: Length) -> i64 {
        (length.ratio(Length::thousandths(1))).round() as i64
    }

    /// Coefficients: Wood Handbook, FPL-GTR-190 (2010), Table 13-5. By hand:
    /// 14.5 x 0.00353 x 4 = 0.2047; 4 x 0.00353 x 9 = 0.1271.
    #[test]
    fn hard_maple_moves_by_the_book() {
        let maple = Movement::of_species("Hard maple").unwrap().per_point(Grain::Flat);
        assert_eq!(thousandths(movement(Length::INCH * 29 / 2, maple, 4.0)), 205);
        assert_eq!(thousandths(movement(Length::INCH * 4, maple, 9.0)), 127);
    }

    #[test]
    fn a_wood_it_does_not_know_is_not_guessed_at() {
        assert_eq!(Movement::of_species("bubinga"), None);
        assert_eq!(Movement::of_species(""), None);
    }

    #[test]
    fn quartersawn_moves_less_and_no_name_is_taken_twice() {
        let mut names: Vec<&str> = WOODS.iter().flat_map(|row| row.0).copied().collect();
        for name in &names {
            let wood = Movement::of_species(name).unwrap();
            assert!(wood.per_point(Grain::Quarter) < wood.per_point(Grain::Flat), "{name}");
        }
        let all = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), all);
    }
}
