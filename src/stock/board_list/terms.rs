//! What bare numbers and names of woods mean for one route and one shop.

use std::collections::BTreeSet;

use crate::measure::Unit;
use crate::prose::{Message, Span, nearest, quoted};
use crate::route::Route;
use crate::shop::Shop;
use crate::wood::Species;

/// Longer names of woods than this are a slip. Chosen, not measured.
const LONGEST_WOOD: usize = 60;

/// What bare numbers and names of woods mean here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Terms {
    /// The unit of a bare number.
    pub unit: Unit,
    /// Woods by the names the route and the price list use for them.
    pub woods: Vec<String>,
    /// The wood of a board for which nobody enters one: the route's own, where
    /// the route uses a single wood.
    pub wood: Option<String>,
}

impl Terms {
    /// The terms of a route and of a shop's price list.
    pub fn of(route: &Route, shop: &Shop) -> Terms {
        let bought = route.parts.iter().filter(|part| part.assembled_from.is_empty());
        let own: BTreeSet<&str> = bought
            .flat_map(|part| {
                let several = part.blank.woods.keys().map(String::as_str);
                part.species.as_deref().into_iter().chain(several)
            })
            .collect();
        let wood = match own.iter().collect::<Vec<_>>().as_slice() {
            [only] => Some((**only).to_owned()),
            _ => None,
        };
        let priced = shop.lumber.woods.keys().map(String::as_str);
        let priced = priced.filter(|name| !own.contains(name)).map(str::to_owned);
        let woods = own.iter().map(|name| (*name).to_owned()).chain(priced).collect();
        Terms { unit: route.unit, woods, wood }
    }

    /// A wood by any of its names, spelled as the route spells it where the
    /// route uses it. The error's span is the whole text.
    pub fn species(&self, text: &str) -> Result<String, Message<Span>> {
        let at = 0..text.len();
        let text = text.trim();
        if text.is_empty() {
            let help = format!("write one, such as {}", self.example());
            return Err(Message::error("no wood is given").help(help).at(at));
        }
        if text.chars().count() > LONGEST_WOOD {
            return Err(Message::error(format!("no wood is called {}", quoted(text))).at(at));
        }
        let alike = |name: &&String| name.eq_ignore_ascii_case(text);
        if let Some(name) = self.woods.iter().find(alike) {
            return Ok(name.clone());
        }
        if let Some(found) = Species::named(text) {
            let same =
                |name: &&String| Species::named(name).is_some_and(|own| std::ptr::eq(own, found));
            let own = self.woods.iter().find(same).cloned();
            return Ok(own.unwrap_or_else(|| found.name().to_owned()));
        }
        let unknown = Message::error(format!("no wood is called {}", quoted(text)));
        Err(unknown.help(self.similar_wood(text)).at(at))
    }

    /// What to do about a name that no wood has.
    fn similar_wood(&self, text: &str) -> String {
        // For `oak`, a route in white oak means that rather than teak, which is
        // fewer letters away.
        let own = self.woods.iter().find(|wood| {
            let word = |word: &str| word.eq_ignore_ascii_case(text);
            wood.split_whitespace().any(word)
        });
        let known = Species::every_name().map(str::to_owned);
        let names: Vec<String> = self.woods.iter().cloned().chain(known).collect();
        let names = names.iter().map(String::as_str);
        if let Some(near) = own.map(String::as_str).or_else(|| nearest(text, names)) {
            return format!("did you mean `{near}`?");
        }
        match (Species::with_words(text).as_slice(), &self.wood) {
            (several @ ([_] | [_, _] | [_, _, _] | [_, _, _, _]), _) => {
                format!("write one of these: {}", several.join(", "))
            }
            (_, Some(wood)) => {
                format!("this route uses {wood}; `benchway wood species` lists others")
            }
            (_, None) => {
                "`benchway wood species` lists the known woods; the shop's price list can \
                          name others"
                    .to_owned()
            }
        }
    }

    fn example(&self) -> &str {
        self.woods.first().map_or("white oak", String::as_str)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wood_is_known_by_any_of_its_names() {
        let woods = vec!["ash".to_owned(), "pearwood".to_owned()];
        let terms = Terms { unit: Unit::Inch, woods, wood: None };
        assert_eq!(terms.species("Ash"), Ok("ash".to_owned()));
        // One wood with two names: the route's name is the one its parts use.
        assert_eq!(terms.species("white ash"), Ok("ash".to_owned()));
        assert_eq!(terms.species("pearwood"), Ok("pearwood".to_owned()));
        assert_eq!(terms.species("walnut"), Ok("black walnut".to_owned()));
        let error = terms.species("wite oak").unwrap_err().to_string();
        assert_eq!(error, "no wood is called `wite oak`; did you mean `white oak`?");
        assert!(terms.species("plastic").unwrap_err().to_string().contains("price list"));
        assert!(terms.species(&"a".repeat(1 << 20)).is_err());
    }

    /// No wood has a name of more than 60 letters; one of 60 is only unknown.
    #[test]
    fn a_name_of_a_wood_ends_somewhere() {
        let terms = Terms { unit: Unit::Inch, woods: vec!["a".repeat(60)], wood: None };
        assert_eq!(terms.species(&"a".repeat(60)), Ok("a".repeat(60)));
        let said = terms.species(&"a".repeat(61)).unwrap_err().to_string();
        assert!(said.starts_with("no wood is called"), "{said}");
        assert!(terms.species("  ").unwrap_err().to_string().contains("no wood is given"));
    }
}
