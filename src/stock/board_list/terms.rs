//! What bare numbers and names of woods mean for one route and one shop.

use std::collections::BTreeSet;

use super::answer::LONGEST_NAME;
use super::validate::THICKEST;
use crate::measure::Unit;
use crate::prose::{Message, Span, nearest, quoted};
use crate::route::{Chosen, Route};
use crate::shop::Shop;
use crate::stock::board::same;
use crate::stock::class::nominal;
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
    /// Classes of lumber as the route and the price list write them.
    pub classes: Vec<String>,
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
        let chosen = route.woods.iter().flat_map(|woods| woods.of.iter().map(String::as_str));
        let mut woods: Vec<String> = own.iter().map(|name| (*name).to_owned()).collect();
        for name in chosen.chain(priced) {
            if !woods.iter().any(|held| held == name) {
                woods.push(name.to_owned());
            }
        }
        let own = route.parts.iter().filter_map(|part| part.stock_class.as_deref());
        let priced = shop.lumber.woods.values().flat_map(|wood| wood.classes.keys());
        let mut classes: Vec<String> = Vec::new();
        for class in own.chain(priced.map(String::as_str)) {
            if !classes.iter().any(|known| same(known, class)) {
                classes.push(class.to_owned());
            }
        }
        Terms { unit: route.unit, woods, wood, classes }
    }

    /// The same among articles of these choices: of several woods none is meant where
    /// nobody says which.
    pub fn among(self, articles: &[Chosen]) -> Terms {
        let other = articles.iter().any(|chosen| chosen.wood.is_some());
        Terms { wood: self.wood.filter(|_| !other), ..self }
    }

    /// What a board was sold as, written as the route or the price list writes it: a class
    /// that one of them names, quarters of an inch, or a thickness. `None` for an empty
    /// text. The error's span is the whole text.
    pub(super) fn class(&self, text: &str) -> Result<Option<String>, Message<Span>> {
        let at = 0..text.len();
        let text = text.trim();
        if text.is_empty() {
            return Ok(None);
        }
        if let Some(known) = self.classes.iter().find(|known| same(known, text)) {
            return Ok(Some(known.clone()));
        }
        let thick = nominal(&text.replace(',', "."), self.unit).filter(|thick| *thick <= THICKEST);
        if text.chars().count() <= LONGEST_NAME
            && let Some(thick) = thick
        {
            let alike = |known: &&String| nominal(known, self.unit) == Some(thick);
            let known = self.classes.iter().find(alike);
            return Ok(Some(known.map_or_else(|| text.to_owned(), String::clone)));
        }
        let what = format!("{} is not a class of lumber", quoted(text));
        let near = nearest(text, self.classes.iter().map(String::as_str));
        let help = match near.filter(|_| !is_like_a_date(text)) {
            Some(near) => format!("did you mean `{near}`?"),
            None if is_like_a_date(text) => {
                "a spreadsheet makes a date of 5/4: set the column to text, and write the class \
                 again"
                    .to_owned()
            }
            None => "write what it was sold as: 8/4, 65 mm, or a class of the shop's price list"
                .to_owned(),
        };
        Err(Message::error(what).help(help).at(at))
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

/// Whether a spreadsheet may have made this of a fraction: `5-Apr`, `05/04/2026`, or the
/// number of a day, which has five figures.
fn is_like_a_date(text: &str) -> bool {
    const MONTHS: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let lower = text.to_lowercase();
    let has_digit = lower.contains(|c: char| c.is_ascii_digit());
    let numbers = lower
        .split(['/', '-', '.'])
        .filter(|part| !part.is_empty() && part.chars().all(|c| c.is_ascii_digit()));
    let is_day_number = lower.len() == 5 && lower.chars().all(|c| c.is_ascii_digit());
    has_digit && MONTHS.iter().any(|month| lower.contains(month))
        || numbers.count() == 3
        || is_day_number
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wood_is_known_by_any_of_its_names() {
        let woods = vec!["ash".to_owned(), "pearwood".to_owned()];
        let terms = Terms { unit: Unit::Inch, woods, wood: None, classes: Vec::new() };
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

    /// A class is written as the route writes it: 1.25 in is 5/4.
    #[test]
    fn a_class_is_one_that_is_named_or_a_thickness() {
        let classes = ["5/4", "65 mm", "1/2 plywood"].map(str::to_owned).to_vec();
        let terms = Terms { unit: Unit::Inch, woods: Vec::new(), wood: None, classes };
        for (text, class) in [
            ("5/4", "5/4"),
            (" 1.25 ", "5/4"),
            ("1,25", "5/4"),
            ("1 1/4", "5/4"),
            ("8/4", "8/4"),
            ("65mm", "65 mm"),
            ("1/2 Plywood", "1/2 plywood"),
        ] {
            assert_eq!(terms.class(text), Ok(Some(class.to_owned())), "{text}");
        }
        assert_eq!(terms.class("  "), Ok(None));
        for (text, help) in [
            ("5-Apr", "a spreadsheet makes a date of 5/4"),
            ("05/04/2026", "a spreadsheet makes a date of 5/4"),
            ("2026-04-05", "a spreadsheet makes a date of 5/4"),
            ("46117", "a spreadsheet makes a date of 5/4"),
            ("5/4s", "did you mean `5/4`?"),
            ("'5/4", "did you mean `5/4`?"),
            ("1/2 plywod", "did you mean `1/2 plywood`?"),
            ("rough", "write what it was sold as"),
            ("0/4", "not a class"),
            ("13 in", "not a class"),
            ("4\u{7}", "not a class"),
            (&"4".repeat(25), "not a class"),
        ] {
            let said = terms.class(text).expect_err(text).to_string();
            assert!(said.contains("is not a class of lumber") && said.contains(help), "{said}");
        }
    }

    /// No wood has a name of more than 60 letters; one of 60 is only unknown.
    #[test]
    fn a_name_of_a_wood_ends_somewhere() {
        let woods = vec!["a".repeat(60)];
        let terms = Terms { unit: Unit::Inch, woods, wood: None, classes: Vec::new() };
        assert_eq!(terms.species(&"a".repeat(60)), Ok("a".repeat(60)));
        let said = terms.species(&"a".repeat(61)).unwrap_err().to_string();
        assert!(said.starts_with("no wood is called"), "{said}");
        assert!(terms.species("  ").unwrap_err().to_string().contains("no wood is given"));
    }
}
