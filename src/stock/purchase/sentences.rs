//! The list to buy in sentences: how its wood is counted, and why something has no price.

use super::list::{NoPrice, StockList, ToBuy};
use crate::measure::Unit;
use crate::operation::words;
use crate::prose::nearest;
use crate::shop::{Lumber, Per};

impl ToBuy {
    /// Why it has no price, where it has none.
    pub fn unpriced(&self, lumber: &Lumber) -> Option<String> {
        let why = self.price.err()?;
        let wood = self.species.as_deref().unwrap_or_default();
        let class = self.class.as_deref().unwrap_or_default();
        Some(match why {
            NoPrice::NoWood => "No price: the route doesn't name the wood.".to_owned(),
            NoPrice::NoClass => {
                format!("No price for {wood}: the route gives it no class, such as 4/4.")
            }
            NoPrice::NoSuchWood => {
                let near = nearest(wood, lumber.woods.keys().map(String::as_str));
                let help = near.map_or_else(String::new, |near| format!(" Did you mean `{near}`?"));
                format!("No price for {wood}: the shop file doesn't list this wood.{help}")
            }
            NoPrice::NoSuchClass => {
                format!("No price for {wood} in {class}: the shop doesn't stock it.")
            }
            NoPrice::NotGiven => {
                format!("No price for {wood} in {class}: the shop file gives none.")
            }
        })
    }
}

/// How the wood is counted, in sentences, as far as it concerns this list.
pub fn notes(list: &StockList, lumber: &Lumber, unit: Unit) -> Vec<String> {
    let sold = |per: Per| list.to_buy.iter().any(|row| row.bought.per == per);
    let thin = if sold(Per::BoardFoot) { " Under 1 in counts as 1 in." } else { "" };
    let mut notes = vec![
        format!(
            "In parts: class thickness x finished width x finished length, without waste.{thin}"
        ),
        "To buy: the wood in parts, spares included, divided by the yield, which is the share of \
         the wood bought that becomes parts. Don't add the waste instead: it is a share of what \
         is bought, not of what is needed."
            .to_owned(),
    ];
    let steps: Vec<&str> = [
        (Per::BoardFoot, "half board foot"),
        (Per::SquareFoot, "half square foot"),
        (Per::SquareMetre, "twentieth of a square metre"),
        (Per::CubicMetre, "thousandth of a cubic metre"),
    ]
    .into_iter()
    .filter_map(|(per, step)| sold(per).then_some(step))
    .collect();
    if !steps.is_empty() {
        notes.push(format!(
            "Amounts are rounded up to the next {}; costs to the nearest hundredth, halves up.",
            steps.join(" or ")
        ));
    }
    if list.lines.iter().any(|line| !line.checks.is_empty()) {
        let clean_up = lumber.clean_up;
        notes.push(format!(
            "Cleans up: flat wood, with {} off one face and {} off the other. Cup, bow and wind \
             take their own amount in addition. Scant: the thinnest that may be sold as its class.",
            words(clean_up.face, unit),
            words(clean_up.other_face, unit)
        ));
    }
    if sold(Per::BoardFoot) && unit == Unit::Inch {
        notes.push(
            "The yard counts by surface measure: the surface of each board to the whole square \
             foot, times its thickness. Its count may differ from this by up to half a square foot \
             per board, either way."
                .to_owned(),
        );
    }
    notes
}
