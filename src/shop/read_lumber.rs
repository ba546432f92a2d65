//! Reads what a shop file says about lumber, every problem at its place.

use serde::de::DeserializeOwned;

use super::entries::{entries, placed};
use super::file::{LUMBER_KEYS, LengthText, OLD_SHORTEST_OFFCUT, PriceFile, Refused, WoodFile};
use super::lumber::{Lumber, Sold, StockedWood, Yield};
use super::money::Money;
use crate::document::{Document, Node, Problem};
use crate::measure::{Length, Unit};
use crate::prose::{Level, nearest, visible};
use crate::wood::Species;

/// Longer than any word for money.
const LONGEST_CURRENCY: usize = 8;

pub(super) fn lumber(root: Node<'_>, unit: Unit, problems: &mut Vec<Problem>) -> Lumber {
    let mut lumber = Lumber::usual(unit);
    let Some(node) = root.child("lumber") else { return lumber };
    if !node.is_object() {
        problems.push(node.problem("`lumber` is an object in braces", None));
        return lumber;
    }
    let mut reading = LumberReader { unit, problems };
    reading.problems.extend(node.unknown_keys(&LUMBER_KEYS));
    if let Some(currency) = reading.optional::<String>(node, "currency") {
        if is_a_currency(&currency) {
            lumber.currency = currency;
        } else {
            let at = node.child("currency").unwrap_or(node);
            let what = "a currency is a sign such as $ or a word such as EUR, without figures";
            reading.problems.push(at.problem(what, None));
        }
    }
    let shortest_offcut = match node.child(OLD_SHORTEST_OFFCUT) {
        Some(old) if node.child("shortest_offcut").is_some() => {
            let what = format!("`{OLD_SHORTEST_OFFCUT}` is the old name of `shortest_offcut`");
            reading.problems.push(old.problem(what, Some("leave one of the two out".to_owned())));
            "shortest_offcut"
        }
        Some(_) => OLD_SHORTEST_OFFCUT,
        None => "shortest_offcut",
    };
    for (key, length) in [
        ("trim", &mut lumber.trim),
        ("edge", &mut lumber.edge),
        (shortest_offcut, &mut lumber.shortest_offcut),
        ("mark", &mut lumber.mark),
        ("crosscut_kerf", &mut lumber.crosscut_kerf),
        ("rip_kerf", &mut lumber.rip_kerf),
    ] {
        reading.length(node, key, length);
    }
    if lumber.mark.is_zero() {
        let at = node.child("mark").unwrap_or(node);
        let what = "`mark` must be greater than zero";
        let help = "give the smallest step a person marks on a board, such as \"1/16\"".to_owned();
        reading.problems.push(at.problem(what, Some(help)));
    }
    if let Some(inner) = node.child("clean_up") {
        if inner.is_object() {
            reading.problems.extend(inner.unknown_keys(&["face", "other_face"]));
            reading.length(inner, "face", &mut lumber.clean_up.face);
            reading.length(inner, "other_face", &mut lumber.clean_up.other_face);
        } else {
            let what = "`clean_up` is an object with `face` and `other_face`";
            reading.problems.push(inner.problem(what, None));
        }
    }
    if let Some(share) = reading.optional::<f64>(node, "yield") {
        lumber.yields = reading.share(node, share).unwrap_or(lumber.yields);
    }
    let woods = entries::<WoodFile>(node, "woods", reading.problems);
    for (name, (at, file)) in woods {
        let wood = reading.wood(at, file);
        lumber.woods.insert(name, wood);
    }
    lumber
}

struct LumberReader<'p> {
    unit: Unit,
    problems: &'p mut Vec<Problem>,
}

impl LumberReader<'_> {
    fn optional<T: DeserializeOwned>(&mut self, node: Node<'_>, key: &str) -> Option<T> {
        let node = node.child(key)?;
        node.decode().map_err(|problem| self.problems.push(problem)).ok()
    }

    /// A length of zero or more; unchanged where the file gives none.
    fn length(&mut self, node: Node<'_>, key: &str, length: &mut Length) {
        let Some(written) = self.optional::<LengthText>(node, key) else { return };
        let at = node.child(key).unwrap_or(node);
        let mut refused: Vec<Refused> = Vec::new();
        *length = written.length(self.unit, &mut refused);
        self.problems.extend(refused.into_iter().map(|refused| placed(at, refused)));
        if length.is_negative() {
            self.problems.push(at.problem(format!("`{key}` can't be less than zero"), None));
        }
    }

    fn share(&mut self, node: Node<'_>, share: f64) -> Option<Yield> {
        let found = Yield::new(share);
        if found.is_none() {
            let at = node.child("yield").unwrap_or(node);
            let what = "a yield is the share of the wood bought that becomes parts: 0.01 to 1";
            let help = (share > 1.0 && share <= 100.0)
                .then(|| format!("for {share} % write {}", share / 100.0));
            self.problems.push(at.problem(what, help));
        }
        found
    }

    fn wood(&mut self, node: Node<'_>, file: WoodFile) -> StockedWood {
        let yields = file.yields.and_then(|share| self.share(node, share));
        let classes = node.child("classes").unwrap_or(node);
        let sold = file.classes.into_iter().map(|(class, file)| {
            let price = file.price.and_then(|PriceFile(amount)| {
                let refuse = |why: super::money::NotAPrice| {
                    let at = classes.child(&class).unwrap_or(classes);
                    let at = at.child("price").unwrap_or(at);
                    self.problems.push(at.problem(why.to_string(), None));
                };
                Money::price(amount).map_err(refuse).ok()
            });
            (class, Sold { price, per: file.per })
        });
        StockedWood { yields, classes: sold.collect() }
    }
}

fn is_a_currency(text: &str) -> bool {
    !text.is_empty()
        && text.chars().count() <= LONGEST_CURRENCY
        && !text.chars().any(|c| c.is_control() || c.is_whitespace() || c.is_ascii_digit())
        && visible(text) == text
}

/// Woods of the price list that look like a slip of the keyboard. A wood nobody
/// has heard of is no mistake: plywood is sold by what its faces are.
pub fn unlikely_woods(document: &Document) -> Vec<Problem> {
    let woods = document.root().child("lumber").and_then(|lumber| lumber.child("woods"));
    let fields = woods.and_then(|woods| woods.fields()).unwrap_or_default();
    fields
        .into_iter()
        .filter(|field| {
            Species::named(field.name).is_none() && Species::with_words(field.name).is_empty()
        })
        .filter_map(|field| {
            let near = nearest(field.name, Species::every_name())?;
            let what = format!("no wood called `{}` is known", visible(field.name));
            let help = Some(format!("did you mean `{near}`?"));
            let mut problem = field.value.problem_at(field.name_place, what, help);
            problem.level = Level::Warning;
            Some(problem)
        })
        .collect()
}
