//! One thing that is asked about the maker of an article: its words, what is offered, and
//! how an answer is taken.

use crate::measure::{Entry, parse_entry};
use crate::prose::Message;
use crate::route::{OwnedArticle, Route, owner_name};

/// What is asked of a maker now, with what was answered before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct MakerQuestion {
    /// The article; none for somebody who joins.
    pub(super) article: Option<u32>,
    /// What was answered so far, the rest as it was.
    pub(super) draft: OwnedArticle,
    /// What is asked.
    pub(super) field: MakerField,
    /// The question in words.
    pub(super) words: String,
}

/// One thing to be answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum MakerField {
    Owner,
    /// The choice at this place of the route.
    Size(usize),
    Wood,
}

impl MakerField {
    /// The next one that this route asks.
    pub(super) fn next(self, route: &Route) -> Option<MakerField> {
        let sizes = route.choices.len();
        let after = |place: usize| match place < sizes {
            true => Some(MakerField::Size(place)),
            false => route.woods.as_ref().map(|_| MakerField::Wood),
        };
        match self {
            MakerField::Owner => after(0),
            MakerField::Size(place) => after(place + 1),
            MakerField::Wood => None,
        }
    }

    pub(super) fn words(self, route: &Route, article: u32) -> String {
        match self {
            MakerField::Owner => format!("whose is {} {article}", route.article.one),
            MakerField::Size(place) => {
                let choice = &route.choices[place];
                format!("{} {}", choice.ask, choice.of.words(route.unit))
            }
            MakerField::Wood => {
                let woods = route.woods.iter().flat_map(|woods| &woods.of);
                let woods: Vec<&str> = woods.map(String::as_str).collect();
                format!("wood: {}", woods.join(", "))
            }
        }
    }

    /// What is offered: what was chosen, or what the route says.
    pub(super) fn offered(self, route: &Route, draft: &OwnedArticle) -> String {
        match self {
            MakerField::Owner => draft.owner.clone().unwrap_or_default(),
            MakerField::Size(place) => {
                let dim = &route.choices[place].dim;
                let own = || route.dims.value(dim, &|_| None).ok()?.length();
                let size = draft.chosen.sizes.get(dim).copied().or_else(own);
                size.map_or_else(String::new, |size| size.written(route.unit))
            }
            MakerField::Wood => {
                let first = route.woods.as_ref().and_then(|woods| woods.of.first().cloned());
                draft.chosen.wood.clone().or(first).unwrap_or_default()
            }
        }
    }

    /// Takes an answer into the draft.
    pub(super) fn take(
        self,
        route: &Route,
        draft: &mut OwnedArticle,
        text: &str,
    ) -> Result<(), Message> {
        match self {
            MakerField::Owner => draft.owner = owner_name(text)?,
            MakerField::Size(place) => {
                let dim = &route.choices[place].dim;
                if text.is_empty() {
                    draft.chosen.sizes.remove(dim);
                    return Ok(());
                }
                let entry = Entry { bare: route.unit, mark: None };
                let size = parse_entry(text, &entry).map_err(|why| why.anywhere())?.value;
                let own = route.dims.value(dim, &|_| None).ok().and_then(|own| own.length());
                // What the route says anyway needs no record.
                if own == Some(size) {
                    draft.chosen.sizes.remove(dim);
                } else {
                    draft.chosen.sizes.insert(dim.clone(), size);
                }
            }
            MakerField::Wood => {
                let wood = route.named_wood(text);
                let first = route.woods.as_ref().and_then(|woods| woods.of.first());
                let is_own = text.is_empty() || Some(&wood) == first;
                draft.chosen.wood = (!is_own).then_some(wood);
            }
        }
        Ok(())
    }
}
