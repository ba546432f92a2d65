//! The same batch in other woods: how much of each, and what it costs.

use super::list::{ListOptions, StockList, by_volume, to_buy};
use crate::measure::Unit;
use crate::shop::{Lumber, Money, Per};
use crate::wood::{Grain, Species};

/// The same batch in another wood.
#[derive(Clone, Debug, PartialEq)]
pub struct WoodAlternative {
    /// The other wood.
    pub wood: String,
    /// Classes that the shop doesn't have this wood in; its cost is unknown then.
    pub lacks: Vec<String>,
    /// How much is bought of all wood that comes by thickness, whatever it is
    /// sold by.
    pub bought: f64,
    /// The measure of `bought`.
    pub per: Per,
    /// `None` where a price is missing.
    pub cost: Option<Money>,
    /// How much more it costs than the route's own wood.
    pub difference: Option<Money>,
    /// The share of its width it moves for each 1 % of moisture, flat-sawn;
    /// `None` for a wood the tables don't have.
    pub moves: Option<f64>,
}

impl StockList {
    /// The wood that most of it is made of, by board feet. Sheets don't count.
    pub fn main_wood(&self) -> Option<&str> {
        let mut woods: Vec<(&str, f64)> = Vec::new();
        for row in self.to_buy.iter().filter(|row| row.nominal.is_some()) {
            let Some(species) = row.species.as_deref() else { continue };
            let feet = row.net.counted(Per::BoardFoot);
            match woods.iter_mut().find(|(wood, _)| *wood == species) {
                Some((_, held)) => *held += feet,
                None => woods.push((species, feet)),
            }
        }
        // The first of several that are equal.
        woods
            .into_iter()
            .reduce(|most, next| if next.1 > most.1 { next } else { most })
            .map(|m| m.0)
    }

    /// The same batch with its main wood exchanged for every wood of the price
    /// list; the route's own wood comes first.
    pub fn in_every_wood(
        &self,
        lumber: &Lumber,
        asked: &ListOptions,
        unit: Unit,
    ) -> Vec<WoodAlternative> {
        let Some(main) = self.main_wood() else { return Vec::new() };
        let others = lumber.woods.keys().map(String::as_str).filter(|wood| *wood != main);
        let own = self.in_wood(main, main, lumber, asked, unit);
        let others: Vec<WoodAlternative> =
            others.map(|wood| self.in_wood(main, wood, lumber, asked, unit)).collect();
        std::iter::once(own.clone())
            .chain(others)
            .map(|row| {
                let difference = row.cost.zip(own.cost).map(|(cost, own)| cost - own);
                WoodAlternative { difference, ..row }
            })
            .collect()
    }

    fn in_wood(
        &self,
        main: &str,
        wood: &str,
        lumber: &Lumber,
        asked: &ListOptions,
        unit: Unit,
    ) -> WoodAlternative {
        let ours = self.to_buy.iter().filter(|row| row.species.as_deref() == Some(main));
        let mut lacks: Vec<String> = ours
            .filter_map(|row| row.class.clone())
            .filter(|class| wood != main && lumber.sold(wood, class).is_none())
            .collect();
        lacks.dedup();
        let rows = to_buy(&self.lines, lumber, asked.yields, unit, |own| {
            if own == Some(main) { Some(wood) } else { own }
        });
        let by_thickness = rows.iter().filter(|row| row.nominal.is_some());
        let (known, per) = (lacks.is_empty(), by_volume(unit));
        WoodAlternative {
            wood: wood.to_owned(),
            bought: by_thickness.map(|row| row.counted(per).amount()).sum(),
            per,
            cost: rows.iter().map(|row| row.cost).sum::<Option<Money>>().filter(|_| known),
            difference: None,
            moves: Species::named(wood).map(|wood| wood.coefficient(Grain::Flat).amount),
            lacks,
        }
    }
}
