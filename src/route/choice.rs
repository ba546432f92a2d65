//! What the maker of each article may choose: sizes of named dimensions, and the
//! wood. What somebody chose is checked against it in words.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Part, Route};
use crate::formula::Web;
use crate::measure::{Length, Unit};
use crate::operation::words;
use crate::prose::{Message, nearest, visible};

/// A dimension the maker chooses.
#[derive(Clone, Debug, PartialEq)]
pub struct MakersChoice {
    /// The dimension.
    pub dim: String,
    /// The question, as a screen asks it.
    pub ask: String,
    /// What may be answered.
    pub of: ChoiceSizes,
}

/// The sizes a maker chooses from.
#[derive(Clone, Debug, PartialEq)]
pub enum ChoiceSizes {
    /// Everything between two lengths, in steps where one is given.
    Between {
        /// The least.
        from: Length,
        /// The most.
        to: Length,
        /// From one size to the next, counted from the least.
        step: Option<Length>,
    },
    /// One of these.
    Listed(Vec<Length>),
}

/// The woods a maker chooses from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WoodChoice {
    /// The first one is the wood of the route: parts of this wood are made in the one
    /// that is chosen.
    pub of: Vec<String>,
}

/// What the maker of one article chose. What is missing is as the route says.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Chosen {
    /// Sizes, by dimension.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub sizes: BTreeMap<String, Length>,
    /// The wood.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wood: Option<String>,
}

impl Chosen {
    /// Whether it is made just as the route says.
    pub fn is_nothing(&self) -> bool {
        self.sizes.is_empty() && self.wood.is_none()
    }

    /// The dimensions with the chosen sizes in place of the route's own.
    pub fn web(&self, dims: &Web) -> Web {
        dims.with_lengths(&self.sizes)
    }

    /// Why it can't be chosen: the first reason, in words.
    pub fn objection(&self, route: &Route) -> Option<Message> {
        let sizes = self.sizes.iter().map(|(dim, size)| route.objection_to_size(dim, *size));
        sizes.chain(self.wood.iter().map(|wood| route.objection_to_wood(wood))).flatten().next()
    }
}

impl ChoiceSizes {
    /// Whether a size may be chosen.
    pub fn allow(&self, size: Length) -> bool {
        match self {
            ChoiceSizes::Listed(sizes) => sizes.contains(&size),
            ChoiceSizes::Between { from, to, step } => {
                let steps = |step: Length| {
                    (size - *from).nanometres().rem_euclid(step.nanometres().max(1)) == 0
                };
                *from <= size && size <= *to && step.is_none_or(steps)
            }
        }
    }

    /// `16 to 20 in, in steps of 1/2`, `16, 18 or 20 in`.
    pub fn words(&self, unit: Unit) -> String {
        match self {
            ChoiceSizes::Between { from, to, step } => {
                let step = step.map(|step| format!(", in steps of {}", step.written(unit)));
                let (from, to) = (from.written(unit), words(*to, unit));
                format!("{from} to {to}{}", step.unwrap_or_default())
            }
            ChoiceSizes::Listed(sizes) => match sizes.as_slice() {
                [] => String::new(),
                [only] => words(*only, unit),
                [others @ .., last] => {
                    let others: Vec<String> =
                        others.iter().map(|size| size.written(unit)).collect();
                    format!("{} or {}", others.join(", "), words(*last, unit))
                }
            },
        }
    }
}

impl Route {
    /// Whether makers choose anything.
    pub fn has_choices(&self) -> bool {
        !self.choices.is_empty() || self.woods.is_some()
    }

    /// What may be chosen of a dimension.
    pub fn choice(&self, dim: &str) -> Option<&MakersChoice> {
        self.choices.iter().find(|choice| choice.dim == dim)
    }

    /// The wood a part is made of in an article of this choice.
    pub fn wood_of<'r>(&'r self, part: &'r Part, chosen: &'r Chosen) -> Option<&'r str> {
        let own = part.species.as_deref();
        let is_chosen =
            self.woods.as_ref().is_some_and(|woods| own == woods.of.first().map(String::as_str));
        chosen.wood.as_deref().filter(|_| is_chosen).or(own)
    }

    /// Whether a part is made in the wood its maker chooses.
    pub fn is_in_chosen_wood(&self, part: &Part) -> bool {
        let first = self.woods.as_ref().and_then(|woods| woods.of.first());
        first.is_some() && part.species.as_ref() == first
    }

    fn objection_to_size(&self, dim: &str, size: Length) -> Option<Message> {
        let name = visible(dim);
        let Some(choice) = self.choice(dim) else {
            let choices = self.choices.iter().map(|choice| choice.dim.as_str());
            let help = match (nearest(dim, choices.clone()), self.choices.is_empty()) {
                (Some(near), _) => format!("did you mean `{near}`?"),
                (None, true) => "this route leaves no dimension to its makers".to_owned(),
                (None, false) => {
                    format!("makers choose {}", choices.collect::<Vec<_>>().join(", "))
                }
            };
            return Some(Message::error(format!("`{name}` is not the maker's choice")).help(help));
        };
        let unit = self.unit;
        let own = self.dims.value(dim, &|_| None).ok().and_then(|own| own.length_in(unit));
        (own != Some(size) && !choice.of.allow(size)).then(|| {
            let what = format!("{} can't be chosen for `{name}`", words(size, unit));
            Message::error(what).help(format!("choose {}", choice.of.words(unit)))
        })
    }

    fn objection_to_wood(&self, wood: &str) -> Option<Message> {
        let name = visible(wood);
        let Some(woods) = &self.woods else {
            let what = format!("{name} can't be chosen: this route leaves no wood to its makers");
            return Some(Message::error(what));
        };
        (!woods.of.iter().any(|held| held == wood)).then(|| {
            let all = woods.of.iter().map(String::as_str);
            let help = match nearest(wood, all.clone()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("choose {}", all.collect::<Vec<_>>().join(" or ")),
            };
            Message::error(format!("{name} can't be chosen")).help(help)
        })
    }
}
