//! The stock list: how much wood a batch takes, how much is bought for it and
//! what that costs. Knows nothing of the boards in the rack.
//!
//! `net = class thickness x finished width x finished length x pieces`, in
//! board feet or cubic metres where the class is a thickness, in square feet or
//! metres where it is a sheet; `gross = net / yield` (common practice).

use crate::measure::{Length, Unit};
use crate::plan::{Plan, PlanFinding};
use crate::route::Route;
use crate::shop::{Lumber, Money, Per, Shop, Yield};
use crate::stock::class::{Purchase, WoodQuantity, scantest};
use crate::stock::need::{BlankNeed, MadeFor, counted};
use crate::stock::suitability::in_hand;
use crate::wood::{Grain, Species};

/// The wood one part takes, or one wood of a part of several.
#[derive(Clone, Debug, PartialEq)]
pub struct StockLine {
    pub need: BlankNeed,
    pub pieces: MadeFor,
    /// What its class is called by; none of a sheet.
    pub nominal: Option<Length>,
    /// By what it is counted.
    pub per: Per,
    /// For sets and spares, nothing lost.
    pub net: WoodQuantity,
    /// For pieces to prove settings on that need blanks of their own.
    pub setup: WoodQuantity,
    /// Whether it cleans up, from the thickest to the thinnest it may be.
    pub checks: Vec<CleanUpCheck>,
}

/// Whether flat wood of some thickness still cleans up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CleanUpCheck {
    pub at: ThicknessSource,
    pub thickness: Length,
    /// Less than nothing where it won't.
    pub in_hand: Length,
}

/// Where a thickness comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThicknessSource {
    /// What its class is called by.
    Nominal,
    /// As thin as its class may be sold.
    Scant,
    /// As somebody measured it.
    Measured,
}

/// How much of one wood in one class, and what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct ToBuy {
    pub species: Option<String>,
    pub class: Option<String>,
    pub nominal: Option<Length>,
    pub net: WoodQuantity,
    pub yields: Yield,
    pub bought: Purchase,
    pub price: Result<Money, NoPrice>,
    pub cost: Option<Money>,
}

/// Why nobody knows what something costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPrice {
    /// The route doesn't say which wood, or in which class.
    NoWood,
    NoClass,
    /// The list doesn't have the wood, or not in that class, or without a price.
    NoSuchWood,
    NoSuchClass,
    NotGiven,
}

/// Wood to prove settings on: any will do.
#[derive(Clone, Debug, PartialEq)]
pub struct SetupWood {
    pub class: Option<String>,
    pub nominal: Option<Length>,
    pub bought: Purchase,
}

/// What a batch takes, to be bought.
#[derive(Clone, Debug, PartialEq)]
pub struct StockList {
    pub lines: Vec<StockLine>,
    pub to_buy: Vec<ToBuy>,
    pub setup: Vec<SetupWood>,
    /// Of everything that has a price.
    pub cost: Money,
    pub findings: Vec<PlanFinding>,
}

/// What the list is worked out with, beside route and shop.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ListOptions {
    /// The yield to reckon with in every wood, whatever the shop file says.
    pub yields: Option<Yield>,
    /// How thick wood of a class really is.
    pub measured: Vec<(String, Length)>,
}

/// The same batch in another wood.
#[derive(Clone, Debug, PartialEq)]
pub struct WoodAlternative {
    pub wood: String,
    /// Classes the shop doesn't have it in; what it takes isn't known then.
    pub lacks: Vec<String>,
    /// To buy of every wood that comes by thickness, whatever it is sold by.
    pub bought: f64,
    pub per: Per,
    /// None where a price is missing.
    pub cost: Option<Money>,
    /// Against the route's own wood.
    pub difference: Option<Money>,
    /// The share of its width it moves for each 1 % of moisture, flat-sawn.
    pub moves: Option<f64>,
}

/// The stock list of a route as planned.
pub fn list(route: &Route, shop: &Shop, plan: &Plan, asked: &ListOptions) -> StockList {
    let (needs, findings) = counted(route, shop, plan);
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
    pieces: MadeFor,
    unit: Unit,
    lumber: &Lumber,
    asked: &ListOptions,
) -> StockLine {
    let class = need.class.as_deref();
    let (nominal, counted) = (need.nominal(unit), need.counted_thickness(unit));
    // Pieces one under the other share one thickness.
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
            in_hand: in_hand(thickness, &need, lumber.clean_up.both()),
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

/// What is bought of each wood in each class, in the order of the parts, with
/// one wood in the place of another.
fn to_buy<'l>(
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
    // What is sold alike stands together, else in the order of the parts.
    rows.sort_by_key(|row| row.bought.per);
    rows
}

/// By what wood of a thickness is counted.
fn by_volume(unit: Unit) -> Per {
    match unit {
        Unit::Inch => Per::BoardFoot,
        Unit::Millimetre => Per::CubicMetre,
    }
}

/// By what wood is counted where the shop file doesn't say.
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
    /// What is bought of it in some measure.
    fn counted(&self, per: Per) -> Purchase {
        Purchase::at_least(self.yields.gross(self.net.counted(per)), per)
    }

    /// In parts, nothing lost, as it is sold.
    pub fn net(&self) -> f64 {
        self.net.counted(self.bought.per)
    }

    /// With all that is lost, nothing rounded.
    pub fn gross(&self) -> f64 {
        self.yields.gross(self.net())
    }
}

impl StockList {
    /// The wood most of it is made of.
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

    /// The same batch with its main wood in every wood of the price list, the
    /// route's own first.
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

    /// Parts whose wood does clean up at a thickness where that of this line
    /// doesn't.
    pub fn would_do_for(&self, line: &StockLine, thickness: Length, lumber: &Lumber) -> Vec<&str> {
        let fits = |other: &&StockLine| {
            other.need.part != line.need.part
                && other.need.species == line.need.species
                && other.need.is_cleaned_up()
                && !in_hand(thickness, &other.need, lumber.clean_up.both()).is_negative()
        };
        self.lines.iter().filter(fits).map(|line| line.need.part.as_str()).collect()
    }

    /// Whether something doesn't clean up even at what its class is called by,
    /// or at what was measured.
    pub fn something_is_too_thin(&self) -> bool {
        self.lines
            .iter()
            .flat_map(|line| &line.checks)
            .any(|check| check.at != ThicknessSource::Scant && check.in_hand.is_negative())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;
    use crate::plan::{Known, walk};
    use crate::{route, shop};

    /// Boards of a chest in hard maple, at an invented price.
    const CHEST: &str = r#"{ "route": "Tool chest", "unit": "in", "sets": 8, "operations": [],
        "parts": {
          "side": { "per_set": 2, "species": "hard maple", "length": "26", "width": "9", "thickness": "3/4",
            "stock": { "class": "4/4", "thickness": "1", "width": "9 1/2", "length": "27" } },
          "end": { "per_set": 2, "species": "hard maple", "length": "14", "width": "9", "thickness": "3/4",
            "stock": { "class": "4/4", "thickness": "1", "width": "9 1/2", "length": "15" } },
          "lid": { "per_set": 1, "species": "hard maple", "length": "26 1/2", "width": "14 1/2", "thickness": "3/4",
            "stock": { "class": "4/4", "thickness": "1", "width": "15", "length": "27 1/2" } } } }"#;

    fn shop_with(lumber: &str) -> Shop {
        let text = format!(r#"{{ "shop": "S", "unit": "in", "lumber": {lumber} }}"#);
        shop::read(&Document::read("shop.json", text).unwrap()).unwrap()
    }

    fn listed(text: &str, shop: &Shop, asked: &ListOptions) -> StockList {
        let (route, _) = route::read(&Document::read("route.json", text).unwrap()).unwrap();
        let plan = walk(&route, shop, &Known::default());
        list(&route, shop, &plan, asked)
    }

    const PRICED: &str = r#"{ "yield": 0.6, "woods": {
        "hard maple": { "classes": { "4/4": { "price": 6.40 }, "8/4": {} } },
        "ash": { "yield": 0.5, "classes": { "4/4": { "price": 4.80 } } },
        "walnut": { "classes": { "4/4": {} } },
        "beech": { "classes": { "8/4": { "price": 5 } } } } }"#;

    /// Common practice, by hand: 2 x 9 x 26 + 2 x 9 x 14 + 14.5 x 26.5 is
    /// 1104.25 square inches a chest; x 8 / 144 = 61.347 board feet. A tenth
    /// more for spares is 67.482; / 0.60 = 112.47, so 112 1/2, at 6.40 = 720.
    /// Two fifths added on instead would be 94.5, 18 too few.
    #[test]
    fn the_wood_of_eight_tool_chests() {
        let found = listed(CHEST, &shop_with(PRICED), &ListOptions::default());
        let [row] = found.to_buy.as_slice() else { panic!("one wood in one class") };
        assert!((row.net() - 61.347).abs() < 0.001, "{}", row.net());
        // Without spares 61.347 / 0.60 = 102.245, so 102 1/2, at 6.40 = 656.
        assert!((row.gross() - 102.245).abs() < 0.001, "{}", row.gross());
        assert_eq!((row.bought.amount(), row.cost), (102.5, Some(Money::hundredths(65_600))));
        let with_spares = row.yields.gross(row.net() * 1.1);
        let bought = Purchase::at_least(with_spares, Per::BoardFoot);
        assert_eq!((bought.amount(), bought.steps), (112.5, 225));
        let price = row.price.unwrap();
        assert_eq!(price.of_parts(bought.steps, 2), Money::hundredths(72_000));
    }

    /// By hand: at a yield of 0.5 twice 61.347 are 122.69, so 123 feet.
    #[test]
    fn a_yield_that_is_asked_for_holds_for_every_wood() {
        let asked = ListOptions { yields: Yield::new(0.5), ..ListOptions::default() };
        let found = listed(CHEST, &shop_with(PRICED), &asked);
        assert_eq!(found.to_buy[0].bought.amount(), 123.0);
    }

    /// By hand: ash at its own yield of 0.5 takes 123 feet at 4.80 = 590.40,
    /// which is 65.60 less than the maple's 656.00.
    #[test]
    fn the_same_in_every_wood_of_the_list() {
        let (shop, asked) = (shop_with(PRICED), ListOptions::default());
        let found = listed(CHEST, &shop, &asked);
        assert_eq!(found.main_wood(), Some("hard maple"));
        let woods = found.in_every_wood(&shop.lumber, &asked, Unit::Inch);
        let names: Vec<&str> = woods.iter().map(|row| row.wood.as_str()).collect();
        assert_eq!(names, ["hard maple", "ash", "beech", "walnut"]);
        let [maple, ash, beech, walnut] = woods.as_slice() else { panic!("four woods") };
        assert_eq!((maple.bought, maple.difference), (102.5, Some(Money::NONE)));
        assert_eq!((ash.bought, ash.cost), (123.0, Some(Money::hundredths(59_040))));
        assert_eq!(ash.difference, Some(Money::hundredths(-6_560)));
        // Wood Handbook, table 13-5: 0.00353 of hard maple, flat-sawn.
        assert_eq!(maple.moves, Some(0.00353));
        assert_eq!((beech.lacks.as_slice(), beech.cost), (&["4/4".to_owned()][..], None));
        // In the list, without a price: never guessed.
        assert_eq!((walnut.lacks.len(), walnut.cost, walnut.difference), (0, None, None));
    }

    /// Always: No price is guessed.
    #[test]
    fn why_there_is_no_price_is_known() {
        let of = |species: &str, class: &str| {
            let text = CHEST.replace("hard maple", species).replace("4/4", class);
            let found = listed(&text, &shop_with(PRICED), &ListOptions::default());
            assert_eq!(found.cost, Money::NONE);
            found.to_buy[0].price
        };
        assert_eq!(of("hard mapel", "4/4"), Err(NoPrice::NoSuchWood));
        assert_eq!(of("hard maple", "5/4"), Err(NoPrice::NoSuchClass));
        assert_eq!(of("hard maple", "8/4"), Err(NoPrice::NotGiven));
        let text = CHEST.replace(r#""class": "4/4", "#, "");
        let found = listed(&text, &shop_with(PRICED), &ListOptions::default());
        assert_eq!(found.to_buy[0].price, Err(NoPrice::NoClass));
        let text = CHEST.replace(r#""species": "hard maple", "#, "");
        let found = listed(&text, &shop_with(PRICED), &ListOptions::default());
        assert_eq!(found.to_buy[0].price, Err(NoPrice::NoWood));
        assert_eq!(found.main_wood(), None);
    }

    /// By hand: 2 panels of 12 x 24 are 4 square feet, / 0.8 = 5, at 2.40 = 12;
    /// plywood under an inch is no inch where it is sold by the foot.
    #[test]
    fn plywood_is_bought_by_the_square_foot() {
        let text = r#"{ "route": "Panel", "unit": "in", "sets": 2, "operations": [], "parts": {
            "back": { "per_set": 1, "species": "birch",
              "stock": { "class": "1/4 plywood", "thickness": "0.203", "width": "12", "length": "24" } } } }"#;
        let shop = shop_with(
            r#"{ "woods": { "birch": { "yield": 0.8, "classes": { "1/4 plywood": { "price": 2.40 } } } } }"#,
        );
        let found = listed(text, &shop, &ListOptions::default());
        let row = &found.to_buy[0];
        assert_eq!((row.net(), row.bought.per, row.bought.amount()), (4.0, Per::SquareFoot, 5.0));
        assert_eq!(row.cost, Some(Money::hundredths(1_200)));
        // Nothing makes it thinner, so there is nothing to clean up.
        assert_eq!(found.lines[0].checks, []);
        assert_eq!(found.main_wood(), None, "a sheet is no wood to choose another for");
    }

    /// By hand: 2 + 1 rails of 65 x 60 x 1000 mm are 0.0117 cubic metres, /
    /// 0.6 = 0.0195, so 0.020, at 1000 = 20.00.
    #[test]
    fn metric_wood_is_bought_by_the_cubic_metre() {
        let text = r#"{ "route": "Rail", "unit": "mm", "sets": 2, "operations": [], "parts": {
            "rail": { "per_set": 1, "spares": 1, "species": "ash", "width": "60", "length": "1000",
              "stock": { "class": "65 mm", "thickness": "65", "width": "68", "length": "1025" } } } }"#;
        let shop = shop_with(
            r#"{ "woods": { "ash": { "classes": { "65 mm": { "price": 1000, "per": "cubic metre" } } } } }"#,
        );
        let found = listed(text, &shop, &ListOptions::default());
        let row = &found.to_buy[0];
        assert!((row.net() - 0.0117).abs() < 1e-9, "{}", row.net());
        assert_eq!((row.bought.amount(), row.cost), (0.02, Some(Money::hundredths(2_000))));
    }
}
