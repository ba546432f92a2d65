//! How far a wood moves across its grain as its moisture changes.
//!
//! USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), chapter
//! 13. Eq. (13-2), between 6 and 14 %: D C (to - from). Eq. (13-3), beyond, and
//! for woods without a coefficient of their own:
//! D (to - from) / (100 F / S - F + from), with F = 30 in the book and 22 for
//! the few woods that begin to shrink there (its form from memory). The two
//! agree where a wood's two numbers do and `from` is 10.

use super::moisture::Moisture;
use super::species::{Found, Grain, Species, shrinkage_of};
use crate::measure::Length;

/// Which equation of the book is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Equation {
    /// (13-2), from the coefficient.
    Coefficient,
    /// (13-3), from the shrinkage.
    Shrinkage,
}

impl Equation {
    /// Its number in the book.
    pub fn words(self) -> &'static str {
        match self {
            Equation::Coefficient => "eq. 13-2",
            Equation::Shrinkage => "eq. 13-3",
        }
    }
}

/// The moistures, in percent, between which the coefficients are valid.
pub const STRAIGHT: std::ops::RangeInclusive<f64> = 6.0..=14.0;

/// How far a size moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// How much larger it becomes; negative when it shrinks.
    pub change: Length,
    /// The equation it was calculated by.
    pub equation: Equation,
    /// The number it was calculated from.
    pub by: Found,
    /// The same from the wood's other number, where the two don't agree.
    pub other: Option<(Length, Found)>,
}

impl Moved {
    /// The least and the most change that the two numbers give.
    pub fn between(&self) -> (Length, Length) {
        let other = self.other.map_or(self.change, |(change, _)| change);
        (self.change.min(other), self.change.max(other))
    }
}

/// The wood is wetter than the moisture, in percent, at which it begins to
/// shrink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TooWet(pub f64);

/// How far a size across the grain moves from one moisture to another. Between 6
/// and 14 % the coefficient is used where the wood has one, else the shrinkage.
pub fn moved(
    wood: &Species,
    grain: Grain,
    size: Length,
    from: Moisture,
    to: Moisture,
) -> Result<Moved, TooWet> {
    let start = wood.shrinks_from();
    let (from, to) = (from.in_percent(), to.in_percent());
    if from.max(to) > start {
        return Err(TooWet(start));
    }
    let length = |share: f64| {
        Length::from_nanometres_f64(size.nanometres() as f64 * share).unwrap_or(Length::LONGEST)
    };
    let (coefficient, other) = (wood.coefficient(grain), wood.other_coefficient(grain));
    let straight = STRAIGHT.contains(&from) && STRAIGHT.contains(&to);
    if straight && !coefficient.worked_out {
        let by = |found: Found| length(found.amount * (to - from));
        return Ok(Moved {
            change: by(coefficient),
            equation: Equation::Coefficient,
            by: coefficient,
            other: other.map(|other| (by(other), other)),
        });
    }
    let share = |shrinkage: f64| (to - from) / (100.0 * start / shrinkage - start + from);
    let shrinkage = wood.shrinkage(grain);
    Ok(Moved {
        change: length(share(shrinkage.amount)),
        equation: Equation::Shrinkage,
        by: shrinkage,
        other: other.map(|_| {
            let amount = shrinkage_of(coefficient.amount, start);
            (length(share(amount)), Found { amount, worked_out: true, ..coefficient })
        }),
    })
}

/// How far `width` moves when the moisture changes by some points; `per_point` is
/// the share of its width for each 1 %.
pub fn movement(width: Length, per_point: f64, points: f64) -> Length {
    let moved = width.nanometres() as f64 * per_point * points;
    Length::from_nanometres_f64(moved).unwrap_or(Length::LONGEST)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Unit;
    use proptest::prelude::*;

    fn thousandths(length: Length) -> i64 {
        (length.ratio(Length::thousandths(1))).round() as i64
    }

    fn of(name: &str, grain: Grain, size: Length, from: f64, to: f64) -> Moved {
        let at = |percent| Moisture::percent(percent).unwrap();
        moved(Species::named(name).unwrap(), grain, size, at(from), at(to)).unwrap()
    }

    /// Coefficients: Wood Handbook, FPL-GTR-190 (2010), Table 13-5. By hand:
    /// 14.5 x 0.00353 x 4 = 0.2047; 4 x 0.00353 x 9 = 0.1271.
    #[test]
    fn hard_maple_moves_by_the_book() {
        let maple = Species::named("Hard maple").unwrap().coefficient(Grain::Flat).amount;
        assert_eq!(thousandths(movement(Length::INCH * 29 / 2, maple, 4.0)), 205);
        assert_eq!(thousandths(movement(Length::INCH * 4, maple, 9.0)), 127);
    }

    /// Wood Handbook, FPL-GTR-190 (2010), p. 13-17: a flat-grained white fir
    /// board 232 mm (9.15 in) wide becomes 233.7 mm (9.217 in), 1.7 mm
    /// (0.067 in) wider. Its moistures, 8 and 11 %, and C_T are from memory;
    /// with them it comes to 1.7052 mm and 0.06725 in.
    #[test]
    fn the_white_fir_of_the_book() {
        let wide = of("white fir", Grain::Flat, Length::MILLIMETRE * 232, 8.0, 11.0);
        assert_eq!(wide.equation, Equation::Coefficient);
        assert_eq!(wide.change.decimal(Unit::Millimetre, 1), "1.7");
        let after = Length::MILLIMETRE * 232 + wide.change;
        assert_eq!(after.decimal(Unit::Millimetre, 1), "233.7");
        let wide = of("white fir", Grain::Flat, Length::thousandths(9150), 8.0, 11.0);
        assert_eq!(thousandths(wide.change), 67);
    }

    /// WOOD magazine, September 2021: flat-sawn red alder, 8 in, 6 points, with
    /// a coefficient of 0.0026: 0.1248 in. Its own, 0.00256: 8 x 6 x 0.00256 =
    /// 0.12288.
    #[test]
    fn the_red_alder_of_a_magazine() {
        let rounded = movement(Length::INCH * 8, 0.0026, 6.0);
        assert_eq!(rounded.decimal(Unit::Inch, 4), "0.1248");
        let own = of("red alder", Grain::Flat, Length::INCH * 8, 6.0, 12.0);
        assert_eq!(own.change.decimal(Unit::Inch, 5), "0.12288");
    }

    /// Eq. (13-3) by hand, S_T 10.5 (Wood Handbook, Table 4-3): from 12 to 5 %
    /// on 6 in: 6 x -7 / (3000 / 10.5 - 30 + 12) = -42 / 267.714 = -0.15688. By
    /// the coefficient of white oaks as sold, 0.00365, S_T is 10.95 / 1.073 =
    /// 10.2050: -42 / (293.973 - 18) = -0.15219.
    #[test]
    fn outside_6_to_14_percent_the_shrinkage_counts() {
        let oak = of("white oak", Grain::Flat, Length::INCH * 6, 12.0, 5.0);
        assert_eq!(oak.equation, Equation::Shrinkage);
        assert_eq!(oak.change.decimal(Unit::Inch, 5), "-0.15688");
        let (other, _) = oak.other.unwrap();
        assert_eq!(other.decimal(Unit::Inch, 5), "-0.15219");
        assert_eq!(oak.between(), (oak.change, other));
    }

    /// From 12 to 6 % with S_T 10.5 the same equation gives 6 x -6 / 267.714 =
    /// -0.134472; within 6 to 14 % the coefficient goes first.
    #[test]
    fn within_6_to_14_percent_the_coefficient_counts() {
        let oak = of("white oak", Grain::Flat, Length::INCH * 6, 12.0, 6.0);
        assert_eq!(oak.equation, Equation::Coefficient);
        // 6 x 0.00365 x -6 = -0.1314.
        assert_eq!(oak.change.decimal(Unit::Inch, 4), "-0.1314");
    }

    /// Northern red oak has shrinkage alone, 8.6: from 8 to 11 % on 10 in,
    /// 10 x 3 / (3000 / 8.6 - 30 + 8) = 30 / 326.837 = 0.09179.
    #[test]
    fn a_wood_without_a_coefficient_uses_its_shrinkage() {
        let oak = of("northern red oak", Grain::Flat, Length::INCH * 10, 8.0, 11.0);
        assert_eq!((oak.equation, oak.other), (Equation::Shrinkage, None));
        assert_eq!(oak.change.decimal(Unit::Inch, 5), "0.09179");
    }

    #[test]
    fn too_wet_is_refused() {
        let at = |percent| Moisture::percent(percent).unwrap();
        let cedar = Species::named("western redcedar").unwrap();
        let inch = Length::INCH;
        assert_eq!(moved(cedar, Grain::Flat, inch, at(8.0), at(25.0)), Err(TooWet(22.0)));
        assert!(moved(cedar, Grain::Flat, inch, at(8.0), at(22.0)).is_ok());
    }

    proptest! {
        /// From green to oven-dry it shrinks by its shrinkage, whatever the wood.
        #[test]
        fn green_to_oven_dry_is_its_shrinkage(which in 0..Species::all().count()) {
            let wood = Species::all().nth(which).unwrap();
            let at = |percent| Moisture::percent(percent).unwrap();
            for grain in [Grain::Flat, Grain::Quarter] {
                let size = Length::MILLIMETRE * 1000;
                let dry = moved(wood, grain, size, at(wood.shrinks_from()), at(0.0)).unwrap();
                let percent = -dry.change.in_unit(Unit::Millimetre) / 10.0;
                prop_assert!((percent - wood.shrinkage(grain).amount).abs() < 1e-6);
            }
        }

        /// At 10 % the two equations are one wherever a wood's numbers agree.
        #[test]
        fn the_equations_meet_at_ten(which in 0..Species::all().count(), to in 0.0..5.9_f64) {
            let wood = Species::all().nth(which).unwrap();
            let at = |percent| Moisture::percent(percent).unwrap();
            let grain = Grain::Flat;
            if wood.other_coefficient(grain).is_none() {
                let size = Length::MILLIMETRE * 1000;
                let one = moved(wood, grain, size, at(10.0), at(to)).unwrap().change;
                let other = movement(size, wood.coefficient(grain).amount, to - 10.0);
                // 0.000 015 x 10 points x 1000 mm.
                prop_assert!((one - other).abs() <= Length::MILLIMETRE * 15 / 100);
            }
        }
    }
}
