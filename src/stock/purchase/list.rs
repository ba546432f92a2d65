//! The stock list: how much wood a batch takes, how much is bought for it and
//! what that costs.
//!
//! `net = class thickness x finished width x finished length x pieces`, in
//! board feet or cubic metres where the class is a thickness, in square feet or
//! metres where it is a sheet; `gross = net / yield` (common practice).

use super::quantity::{Purchase, WoodQuantity};
use crate::measure::{Length, Unit};
use crate::plan::{Plan, PlanFinding};
use crate::route::Route;
use crate::shop::{Lumber, Money, Per, Shop, Yield};
use crate::stock::class::scantest;
use crate::stock::need::{BlankNeed, PieceCounts, needs_with_pieces};
use crate::stock::suitability::margin;

/// The wood that one part takes, or one wood of a part made of several.
#[derive(Clone, Debug, PartialEq)]
pub struct StockLine {
    /// Its blanks.
    pub need: BlankNeed,
    /// Its pieces.
    pub pieces: PieceCounts,
    /// The nominal thickness of its class; `None` for a sheet.
    pub nominal: Option<Length>,
    /// The measure it is counted in.
    pub per: Per,
    /// For sets and spares, without waste.
    pub net: WoodQuantity,
    /// For setup pieces that need blanks of their own.
    pub setup: WoodQuantity,
    /// Whether it cleans up, from its nominal thickness down.
    pub checks: Vec<CleanUpCheck>,
}

/// Whether flat wood of one thickness still cleans up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CleanUpCheck {
    /// Where the thickness comes from.
    pub at: ThicknessSource,
    /// The thickness of the rough wood.
    pub thickness: Length,
    /// What it has to spare; negative where it doesn't clean up.
    pub margin: Length,
}

/// Where a thickness comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThicknessSource {
    /// The nominal thickness of its class.
    Nominal,
    /// The thinnest that its class may be sold at.
    Scant,
    /// As somebody measured it.
    Measured,
}

/// What is bought of one wood in one class, and what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct ToBuy {
    /// The wood, where the route says which.
    pub species: Option<String>,
    /// The class, where the route says which.
    pub class: Option<String>,
    /// The nominal thickness of the class; `None` for a sheet.
    pub nominal: Option<Length>,
    /// What the parts take, without waste.
    pub net: WoodQuantity,
    /// The share of what is bought that becomes parts.
    pub yields: Yield,
    /// How much is bought.
    pub bought: Purchase,
    /// The price of one of its measure.
    pub price: Result<Money, NoPrice>,
    /// The price of what is bought; `None` where there is no price.
    pub cost: Option<Money>,
}

/// Why something has no price. A price is never guessed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPrice {
    /// The route doesn't say which wood.
    NoWood,
    /// The route doesn't say in which class.
    NoClass,
    /// The price list doesn't have the wood.
    NoSuchWood,
    /// The price list doesn't have the wood in that class.
    NoSuchClass,
    /// The price list has the class without a price.
    NotGiven,
}

/// Wood to prove settings on; any wood will do.
#[derive(Clone, Debug, PartialEq)]
pub struct SetupWood {
    /// The class, where the route says which.
    pub class: Option<String>,
    /// The nominal thickness of the class; `None` for a sheet.
    pub nominal: Option<Length>,
    /// How much is bought.
    pub bought: Purchase,
}

/// What a batch takes and what to buy for it.
#[derive(Clone, Debug, PartialEq)]
pub struct StockList {
    /// Part by part.
    pub lines: Vec<StockLine>,
    /// Wood by wood and class by class.
    pub to_buy: Vec<ToBuy>,
    /// To prove settings on.
    pub setup: Vec<SetupWood>,
    /// The sum of everything that has a price.
    pub cost: Money,
    /// The parts that are left out because a size is not known.
    pub findings: Vec<PlanFinding>,
}

/// What the list is calculated with, beside route and shop.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ListOptions {
    /// The yield for every wood, in place of those in the shop file.
    pub yields: Option<Yield>,
    /// Measured thicknesses, each with its class.
    pub measured: Vec<(String, Length)>,
}

/// The stock list of a route as planned.
pub fn list(route: &Route, shop: &Shop, plan: &Plan, asked: &ListOptions) -> StockList {
    let (needs, findings) = needs_with_pieces(route, shop, plan);
    let lines: Vec<StockLine> = needs
        .into_iter()
        .map(|(need, pieces)| line(need, pieces, route.unit, &shop.lumber, asked))
        .collect();
    let to_buy = to_buy(&lines, &shop.lumber, asked.yields, route.unit, |wood| wood);
    let setup = setup(&lines, &shop.lumber, asked.yields, route.unit);
    let cost = to_buy.iter().filter_map(|row| row.cost).sum();
    StockList { lines, to_buy, setup, cost, findings }
}

fn line(
    need: BlankNeed,
    pieces: PieceCounts,
    unit: Unit,
    lumber: &Lumber,
    asked: &ListOptions,
) -> StockLine {
    let class = need.class.as_deref();
    let (nominal, counted) = (need.nominal(unit), need.counted_thickness(unit));
    // Pieces that are resawn from one blank share its thickness.
    let wood = |pieces: u32| {
        let share = f64::from(pieces) / f64::from(need.through.max(1));
        WoodQuantity::of(counted, need.finished_width, need.finished_length, share)
    };
    let (net, setup) = (
        wood(pieces.sets.saturating_add(pieces.spares)),
        wood(if need.setup == 0 { 0 } else { pieces.setup }),
    );
    let mut checks = Vec::new();
    let mut check = |at: ThicknessSource, thickness: Length| {
        checks.push(CleanUpCheck {
            at,
            thickness,
            margin: margin(thickness, &need, lumber.clean_up.both()),
        });
    };
    if let Some(nominal) = nominal.filter(|_| need.is_cleaned_up()) {
        check(ThicknessSource::Nominal, nominal);
        if let Some(class) = class {
            check(ThicknessSource::Scant, scantest(class, nominal));
        }
    }
    for (_, thickness) in asked.measured.iter().filter(|(of, _)| Some(of.as_str()) == class) {
        check(ThicknessSource::Measured, *thickness);
    }
    StockLine { need, pieces, nominal, per: usual(nominal, unit), net, setup, checks }
}

/// What is bought of each wood in each class, in the order of the parts. `instead`
/// can name another wood in place of a part's own.
pub(super) fn to_buy<'l>(
    lines: &'l [StockLine],
    lumber: &Lumber,
    yields: Option<Yield>,
    unit: Unit,
    instead: impl Fn(Option<&'l str>) -> Option<&'l str>,
) -> Vec<ToBuy> {
    let mut rows: Vec<ToBuy> = Vec::new();
    for line in lines {
        let species = instead(line.need.species.as_deref());
        let same = |row: &&mut ToBuy| {
            row.species.as_deref() == species
                && row.class == line.need.class
                && row.nominal == line.nominal
        };
        match rows.iter_mut().find(same) {
            Some(row) => {
                row.net.area += line.net.area;
                row.net.thickness = row.net.thickness.max(line.net.thickness);
            }
            None => rows.push(ToBuy {
                species: species.map(str::to_owned),
                class: line.need.class.clone(),
                nominal: line.nominal,
                net: line.net,
                yields: yields
                    .unwrap_or_else(|| species.map_or(lumber.yields, |wood| lumber.yield_of(wood))),
                bought: Purchase { per: Per::BoardFoot, steps: 0 },
                price: Err(NoPrice::NoWood),
                cost: None,
            }),
        }
    }
    for row in &mut rows {
        row.price = price(row.species.as_deref(), row.class.as_deref(), lumber);
        let sold = row.species.as_deref().zip(row.class.as_deref());
        let sold = sold.and_then(|(wood, class)| lumber.sold(wood, class)?.per);
        row.bought = row.counted(sold.unwrap_or_else(|| usual(row.nominal, unit)));
        let Purchase { per, steps } = row.bought;
        row.cost = row.price.ok().map(|price| price.of_parts(steps, Purchase::steps_to_one(per)));
    }
    // Rows that are sold by one measure come together.
    rows.sort_by_key(|row| row.bought.per);
    rows
}

/// The measure for wood of a thickness.
pub(super) fn by_volume(unit: Unit) -> Per {
    match unit {
        Unit::Inch => Per::BoardFoot,
        Unit::Millimetre => Per::CubicMetre,
    }
}

/// The measure where the shop file names none.
fn usual(nominal: Option<Length>, unit: Unit) -> Per {
    match (nominal, unit) {
        (Some(_), unit) => by_volume(unit),
        (None, Unit::Inch) => Per::SquareFoot,
        (None, Unit::Millimetre) => Per::SquareMetre,
    }
}

fn price(wood: Option<&str>, class: Option<&str>, lumber: &Lumber) -> Result<Money, NoPrice> {
    let stocked = lumber.woods.get(wood.ok_or(NoPrice::NoWood)?).ok_or(NoPrice::NoSuchWood)?;
    let class = class.ok_or(NoPrice::NoClass)?;
    stocked.classes.get(class).ok_or(NoPrice::NoSuchClass)?.price.ok_or(NoPrice::NotGiven)
}

fn setup(
    lines: &[StockLine],
    lumber: &Lumber,
    yields: Option<Yield>,
    unit: Unit,
) -> Vec<SetupWood> {
    let mut woods: Vec<(Option<&str>, Option<Length>, WoodQuantity)> = Vec::new();
    for line in lines.iter().filter(|line| line.setup.area > 0.0) {
        let class = line.need.class.as_deref();
        match woods.iter_mut().find(|held| held.0 == class && held.1 == line.nominal) {
            Some((.., wood)) => wood.area += line.setup.area,
            None => woods.push((class, line.nominal, line.setup)),
        }
    }
    let yields = yields.unwrap_or(lumber.yields);
    let bought = woods.into_iter().map(|(class, nominal, wood)| {
        let per = usual(nominal, unit);
        let bought = Purchase::at_least(yields.gross(wood.counted(per)), per);
        SetupWood { class: class.map(str::to_owned), nominal, bought }
    });
    bought.collect()
}

impl ToBuy {
    /// What is bought of it, in a measure.
    pub(super) fn counted(&self, per: Per) -> Purchase {
        Purchase::at_least(self.yields.gross(self.net.counted(per)), per)
    }

    /// What the parts take without waste, in the measure it is sold by.
    pub fn net(&self) -> f64 {
        self.net.counted(self.bought.per)
    }

    /// What must be bought to get that, not rounded.
    pub fn gross(&self) -> f64 {
        self.yields.gross(self.net())
    }
}

impl StockList {
    /// The parts of the same wood that do clean up at a thickness at which the
    /// part of this line doesn't.
    pub fn would_do_for(&self, line: &StockLine, thickness: Length, lumber: &Lumber) -> Vec<&str> {
        let fits = |other: &&StockLine| {
            other.need.part != line.need.part
                && other.need.species == line.need.species
                && other.need.is_cleaned_up()
                && !margin(thickness, &other.need, lumber.clean_up.both()).is_negative()
        };
        self.lines.iter().filter(fits).map(|line| line.need.part.as_str()).collect()
    }

    /// Whether a part doesn't clean up at its nominal thickness or at the
    /// thickness that was measured.
    pub fn something_is_too_thin(&self) -> bool {
        self.lines
            .iter()
            .flat_map(|line| &line.checks)
            .any(|check| check.at != ThicknessSource::Scant && check.margin.is_negative())
    }
}

#[cfg(test)]
mod tests;
