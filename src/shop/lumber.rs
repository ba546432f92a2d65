//! What the shop does with lumber and what it pays for it: what cutting takes,
//! what cleaning up takes, how much of what is bought becomes parts, prices.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;

use super::money::Money;
use crate::measure::{Length, Unit};

/// What a price is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
pub enum Per {
    /// 144 cubic inches of rough wood.
    #[serde(rename = "board foot")]
    BoardFoot,
    /// 144 square inches, as sheet goods are sold.
    #[serde(rename = "square foot")]
    SquareFoot,
    /// A square metre of sheet goods.
    #[serde(rename = "square metre")]
    SquareMetre,
    /// A cubic metre of rough wood.
    #[serde(rename = "cubic metre")]
    CubicMetre,
}

impl Per {
    /// The unit as a price says it.
    pub fn word(self) -> &'static str {
        match self {
            Per::BoardFoot => "board foot",
            Per::SquareFoot => "square foot",
            Per::SquareMetre => "square metre",
            Per::CubicMetre => "cubic metre",
        }
    }

    /// The same of more than one.
    pub fn words(self) -> &'static str {
        match self {
            Per::BoardFoot => "board feet",
            Per::SquareFoot => "square feet",
            Per::SquareMetre => "square metres",
            Per::CubicMetre => "cubic metres",
        }
    }
}

/// The share of what is bought that becomes parts: a hundredth to all of it.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Yield(f64);

impl Yield {
    /// Trade judgement, no source: somewhere between clear long parts from the
    /// commoner grade and from the better one.
    pub const USUAL: Yield = Yield(0.60);
    /// Less is a slip of the keyboard, and buys a forest.
    const LEAST: f64 = 0.01;

    /// A share from 0.01 to 1; `None` outside.
    pub fn new(share: f64) -> Option<Yield> {
        (Yield::LEAST..=1.0).contains(&share).then_some(Yield(share))
    }

    /// The share, from 0.01 to 1.
    pub fn share(self) -> f64 {
        self.0
    }

    /// How much must be bought for so much in parts. Divided, not added to:
    /// of 100 bought at 60 % sixty are parts, and 60 with 40 % on top are 84.
    pub fn gross(self, net: f64) -> f64 {
        net / self.0
    }
}

/// What flattening takes beside what cup, bow and wind take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CleanUp {
    pub face: Length,
    pub other_face: Length,
}

impl CleanUp {
    pub fn both(&self) -> Length {
        self.face + self.other_face
    }
}

/// One thickness a wood is stocked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sold {
    /// Nobody has said where there is none.
    pub price: Option<Money>,
    /// By the board foot, or by the square foot where the class is no thickness.
    pub per: Option<Per>,
}

/// A wood the shop stocks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StockedWood {
    /// Its own yield, where it differs.
    pub yields: Option<Yield>,
    pub classes: BTreeMap<String, Sold>,
}

/// What the shop does with lumber, and its price list.
#[derive(Clone, Debug, PartialEq)]
pub struct Lumber {
    /// What prices are in: a sign or a word.
    pub currency: String,
    /// Cut off each end of a board first.
    pub trim: Length,
    /// Lost from the width to get one straight edge.
    pub edge: Length,
    /// An offcut at least this long is worth keeping.
    pub shortest_offcut: Length,
    /// Marks on a board fall on whole multiples of this.
    pub mark: Length,
    /// What a rough crosscut turns to dust.
    pub crosscut_kerf: Length,
    /// What a rough rip cut turns to dust.
    pub rip_kerf: Length,
    /// What cleaning up takes from each face.
    pub clean_up: CleanUp,
    /// The share of the wood bought that becomes parts.
    pub yields: Yield,
    /// The woods that can be bought, by name.
    pub woods: BTreeMap<String, StockedWood>,
}

impl Lumber {
    /// What most shops would say, with no price. Common practice, no source.
    pub fn usual(unit: Unit) -> Lumber {
        let either = |numerator: i64, denominator: i64, micrometres: i64| match unit {
            Unit::Inch => Length::inch_fraction(numerator, denominator),
            Unit::Millimetre => Length::from_nanometres(micrometres * 1000),
        };
        Lumber {
            currency: "$".to_owned(),
            trim: either(1, 1, 25_000),
            edge: either(1, 4, 6_000),
            shortest_offcut: either(24, 1, 600_000),
            mark: either(1, 16, 1_000),
            crosscut_kerf: either(1, 8, 3_200),
            rip_kerf: either(1, 8, 3_200),
            clean_up: CleanUp { face: either(1, 16, 1_500), other_face: either(1, 16, 1_500) },
            yields: Yield::USUAL,
            woods: BTreeMap::new(),
        }
    }

    /// The yield to reckon with in a wood.
    pub fn yield_of(&self, wood: &str) -> Yield {
        self.woods.get(wood).and_then(|wood| wood.yields).unwrap_or(self.yields)
    }

    /// How a wood is sold in a class, where the list has it.
    pub fn sold(&self, wood: &str, class: &str) -> Option<&Sold> {
        self.woods.get(wood)?.classes.get(class)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice: for 30 % waste 100 net need 142.9, not 130.
    #[test]
    fn a_yield_divides() {
        let gross = Yield::new(0.7).unwrap().gross(100.0);
        assert!((gross - 142.857).abs() < 0.001);
        for bad in [0.0, -0.5, 1.01, 0.0099, 1e-300, f64::NAN] {
            assert_eq!(Yield::new(bad), None, "{bad}");
        }
        assert_eq!(Yield::new(1.0).map(|all| all.gross(7.0)), Some(7.0));
    }

    /// Common practice, no source: each size in thousandths of an inch, and the round metric
    /// one beside it in hundredths of a millimetre.
    #[test]
    fn usual_sizes_are_round_in_either_unit() {
        let sizes = |unit| {
            let usual = Lumber::usual(unit);
            let Lumber { trim, edge, shortest_offcut, mark, crosscut_kerf, rip_kerf, .. } = usual;
            let CleanUp { face, other_face } = usual.clean_up;
            [trim, edge, shortest_offcut, mark, crosscut_kerf, rip_kerf, face, other_face]
        };
        let inches = [1_000, 250, 24_000, 62, 125, 125, 62, 62];
        let micrometres = [25_000, 6_000, 600_000, 1_000, 3_200, 3_200, 1_500, 1_500];
        // A sixteenth is 62.5 thousandths, 1_587_500 nanometres.
        let of_inches = inches.map(|thousandths| match thousandths {
            62 => Length::from_nanometres(1_587_500),
            whole => Length::thousandths(whole),
        });
        assert_eq!(sizes(Unit::Inch), of_inches);
        let of_millimetres = micrometres.map(|n| Length::from_nanometres(n * 1_000));
        assert_eq!(sizes(Unit::Millimetre), of_millimetres);
    }

    /// A wood's own yield goes before the shop's; a class that is not listed is not sold.
    #[test]
    fn a_wood_has_its_own_yield_and_classes() {
        let mut lumber = Lumber::usual(Unit::Inch);
        let own = Yield::new(0.5);
        let sold = Sold { price: None, per: None };
        let classes = BTreeMap::from([("4/4".to_owned(), sold)]);
        lumber.woods.insert("ash".to_owned(), StockedWood { yields: own, classes });
        lumber.woods.insert("oak".to_owned(), StockedWood::default());
        assert_eq!(Some(lumber.yield_of("ash")), own);
        assert_eq!(lumber.yield_of("oak"), Yield::USUAL);
        assert_eq!(lumber.yield_of("elm"), Yield::USUAL);
        assert_eq!(lumber.sold("ash", "4/4"), Some(&sold));
        assert_eq!(lumber.sold("ash", "8/4"), None);
        assert_eq!(lumber.sold("oak", "4/4"), None);
        assert_eq!(lumber.sold("elm", "4/4"), None);
    }
}
