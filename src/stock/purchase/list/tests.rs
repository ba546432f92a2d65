//! What a batch takes and what it costs, by hand.

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
fn a_yield_that_is_given_holds_for_every_wood() {
    let asked = ListOptions { yields: Yield::new(0.5), ..ListOptions::default() };
    let found = listed(CHEST, &shop_with(PRICED), &asked);
    assert_eq!(found.to_buy[0].bought.amount(), 123.0);
}

/// By hand: ash at its own yield of 0.5 takes 123 feet at 4.80 = 590.40,
/// which is 65.60 less than the maple's 656.00.
#[test]
fn the_same_batch_in_every_wood_of_the_list() {
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

/// By hand: two sheets of 500 x 1000 mm are a square metre. Sold by the cubic metre,
/// the thicker of the two counts, whichever comes first: 0.012.
#[test]
fn sheets_of_one_class_count_as_the_thickest() {
    for (one, other) in [(10, 12), (12, 10)] {
        let part = |name: &str, thickness: i32| {
            format!(
                r#""{name}": {{ "per_set": 1, "species": "birch", "stock": {{ "class": "plywood",
                    "thickness": "{thickness}", "width": "500", "length": "1000" }} }}"#
            )
        };
        let text = format!(
            r#"{{ "route": "Panels", "unit": "mm", "sets": 1, "operations": [],
                "parts": {{ {}, {} }} }}"#,
            part("back", one),
            part("floor", other)
        );
        let shop = shop_with(
            r#"{ "yield": 1, "woods": { "birch": { "classes": { "plywood": { "price": 1000, "per": "cubic metre" } } } } }"#,
        );
        let found = listed(&text, &shop, &ListOptions::default());
        let [row] = found.to_buy.as_slice() else { panic!("one wood in one class") };
        assert!((row.net() - 0.012).abs() < 1e-9, "{}", row.net());
        assert_eq!((row.bought.amount(), row.cost), (0.012, Some(Money::hundredths(1_200))));
    }
}

/// By hand: a board 12 wide and 24 long is 2 square feet. Two woods with one each are alike, and
/// the first listed counts; two of ash are more than one of walnut, in one class or in two.
#[test]
fn the_main_wood_is_what_most_is_made_of() {
    let main = |woods: &[(&str, &str)]| {
        let part = |(n, (species, class)): (usize, &(&str, &str))| {
            let thickness = if *class == "4/4" { "1" } else { "2" };
            format!(
                r#""part {n}": {{ "per_set": 1, "species": "{species}",
                "length": "24", "width": "12", "thickness": "3/4",
                "stock": {{ "class": "{class}", "thickness": "{thickness}", "width": "12 1/2", "length": "25" }} }}"#
            )
        };
        let parts: Vec<String> = woods.iter().enumerate().map(part).collect();
        let route = format!(
            r#"{{ "route": "Boards", "unit": "in", "sets": 1, "operations": [],
            "parts": {{ {} }} }}"#,
            parts.join(", ")
        );
        let found = listed(&route, &shop_with(PRICED), &ListOptions::default());
        let first = found.to_buy[0].species.clone();
        (found.main_wood().map(str::to_owned), first)
    };
    let (walnut, ash, thick) = (("walnut", "4/4"), ("ash", "4/4"), ("ash", "8/4"));
    for woods in [[walnut, ash], [ash, walnut]] {
        let (most, first) = main(&woods);
        assert_eq!(most, first, "{woods:?}");
    }
    for woods in [[walnut, ash, ash], [ash, walnut, ash], [walnut, ash, thick]] {
        assert_eq!(main(&woods).0.as_deref(), Some("ash"), "{woods:?}");
    }
    assert_eq!(main(&[walnut, walnut, ash]).0.as_deref(), Some("walnut"));
    // Walnut two inches thick, 8 board feet; of ash 6 of one inch and 4 of two, 10 together.
    let beam = ("walnut", "8/4");
    assert_eq!(main(&[beam, beam, ash, ash, ash, thick]).0.as_deref(), Some("ash"));
}
