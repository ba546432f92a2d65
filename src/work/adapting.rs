//! A route adapted before its batch begins: other sizes for the whole batch, what follows
//! from them, and whether these machines can make it.

use std::sync::Arc;

use super::choosing::first_collision;
use crate::formula::{DimensionKind, Planned, Web};
use crate::journal::read_route;
use crate::measure::{Entry, Length, Unit, parse_entry};
use crate::operation::{LENGTH, THICKNESS, WIDTH, words};
use crate::plan::{Known, Plan, walk};
use crate::prose::{Message, visible};
use crate::route::{Part, Route, with_dimension};
use crate::shop::Shop;
use crate::stock::{ListOptions, amount, list};

/// A route with some of its sizes changed.
#[derive(Clone, Debug)]
pub struct AdaptedRoute {
    shop: Arc<Shop>,
    original: Arc<Route>,
    planned: Arc<Plan>,
    text: String,
    route: Arc<Route>,
    plan: Arc<Plan>,
    changes: Vec<(String, Length)>,
}

/// A size that can be adapted: nothing else sets it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AdaptableSize {
    /// The dimension.
    pub dim: String,
    /// What it is, where the route says.
    pub about: Option<String>,
    /// What it comes to now, in words.
    pub value: String,
    /// Whether it was changed.
    pub is_changed: bool,
}

impl AdaptedRoute {
    /// The route as it is written, in this shop.
    pub fn of(text: &str, shop: Shop) -> Result<AdaptedRoute, String> {
        let route = Arc::new(read_route(text).map_err(|error| error.to_string())?);
        let plan = Arc::new(walk(&route, &shop, &Known::default()));
        Ok(AdaptedRoute {
            shop: Arc::new(shop),
            original: Arc::clone(&route),
            planned: Arc::clone(&plan),
            text: text.to_owned(),
            route,
            plan,
            changes: Vec::new(),
        })
    }

    /// What was changed, by dimension.
    pub fn changes(&self) -> &[(String, Length)] {
        &self.changes
    }

    /// The route with the changes.
    pub fn route(&self) -> &Route {
        &self.route
    }

    /// Every size that can be adapted, in the order of the route.
    pub fn sizes(&self) -> Vec<AdaptableSize> {
        let route = &self.route;
        let own = route.dims.names().filter(|name| {
            let is_length =
                |definition: &crate::formula::Definition| definition.kind == DimensionKind::Length;
            route.dims.uses(name).is_empty() && route.dims.definition(name).is_some_and(is_length)
        });
        own.map(|name| AdaptableSize {
            dim: name.to_owned(),
            about: route.dims_about.get(name).cloned(),
            value: value(&route.dims, name, route.unit)
                .map_or_else(String::new, |size| words(size, route.unit)),
            is_changed: self.changes.iter().any(|(dim, _)| dim == name),
        })
        .collect()
    }

    /// Gives a dimension another size, as people type it. What these machines can't make
    /// is refused, and nothing changes.
    pub fn change(&mut self, dim: &str, typed: &str) -> Result<(), Message> {
        let unit = self.route.unit;
        let entry = Entry { bare: unit, mark: None };
        let size = parse_entry(typed, &entry).map_err(|why| why.anywhere())?.value;
        let text = with_dimension(&self.text, dim, &size.written(unit))?;
        let route = read_route(&text).map_err(|error| refused(&error.to_string()))?;
        let plan = walk(&route, &self.shop, &Known::default());
        if let Some(why) = first_collision(&self.planned, &plan, unit) {
            return Err(why);
        }
        self.changes.retain(|(held, _)| held != dim);
        if value(&self.original.dims, dim, unit) != Some(size) {
            self.changes.push((dim.to_owned(), size));
        }
        (self.text, self.route, self.plan) = (text, Arc::new(route), Arc::new(plan));
        Ok(())
    }

    /// What follows from the changes: the parts whose finished sizes are others now, then
    /// what wood to buy and what it costs.
    pub fn follows(&self) -> Vec<String> {
        let unit = self.route.unit;
        let mut said = Vec::new();
        for part in &self.route.parts {
            let now = finished(part, &self.route.dims, unit);
            let before = self.original.part(&part.name);
            let before = before.map(|part| finished(part, &self.original.dims, unit));
            if before.as_ref() != Some(&now) && !now.is_empty() {
                said.push(format!("{} {}", visible(&part.name), sizes_words(&now, unit)));
            }
        }
        let listed = |route, plan| list(route, &self.shop, plan, &ListOptions::default());
        let bought = listed(&self.route, &self.plan);
        for row in &bought.to_buy {
            let wood = [row.species.as_deref(), row.class.as_deref()];
            let wood: Vec<String> = wood.into_iter().flatten().map(visible).collect();
            let much = amount(row.bought.amount(), row.bought.per);
            said.push(format!("{much} of {}", wood.join(" ")));
        }
        let now = bought.cost;
        let before = listed(&self.original, &self.planned).cost;
        let currency = &self.shop.lumber.currency;
        let made = self.route.article.counted(self.route.sets);
        said.push(match now == before {
            true => format!("wood for {made} {}", now.written(currency)),
            false => {
                let (now, before) = (now.written(currency), before.written(currency));
                format!("wood for {made} {now}, {before} as the route says")
            }
        });
        said
    }
}

fn value(web: &Web, dim: &str, unit: Unit) -> Option<Length> {
    web.value(dim, &|_| None).ok()?.length_in(unit)
}

/// The first problem of a route, without where it is in a file nobody sees.
fn refused(problems: &str) -> Message {
    let first = problems.lines().next().unwrap_or_default();
    let what = first.split_once("error: ").map_or(first, |(_, what)| what);
    Message::error(what.to_owned())
}

/// The finished sizes of a part with these dimensions: length, width, thickness, as far
/// as the route gives them.
pub fn finished(part: &Part, dims: &Web, unit: Unit) -> Vec<Length> {
    let size = |feature: &str| {
        let keyed = part.finish.get(feature)?;
        keyed.formula.evaluate(&Planned(dims)).ok()?.length_in(unit)
    };
    [LENGTH, WIDTH, THICKNESS].into_iter().filter_map(size).collect()
}

/// `18 1/8 x 1 1/4 x 1 1/4 in`.
pub fn sizes_words(sizes: &[Length], unit: Unit) -> String {
    let each: Vec<String> = sizes.iter().map(|size| size.written(unit)).collect();
    format!("{} {unit}", each.join(" x "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;
    use crate::route::bundled;
    use crate::shop;

    fn stool() -> AdaptedRoute {
        let shop = shop::read(&Document::read("shop.json", shop::BUNDLED).expect("JSON"));
        let text = bundled("reading-stool").expect("bundled").text;
        AdaptedRoute::of(text, shop.expect("a shop")).expect("a route")
    }

    /// Two inches lower: the leg is 20 7/8 - 2 - 7/8 = 18 in.
    #[test]
    fn a_lower_stool_has_shorter_legs_and_costs_less() {
        let mut adapted = stool();
        assert!(adapted.sizes().iter().any(|size| size.dim == "height" && !size.is_changed));
        // What follows from others is no size of its own.
        assert!(adapted.sizes().iter().all(|size| size.dim != "leg_length"));
        adapted.change("height", "18 7/8").expect("a stool");
        let follows = adapted.follows();
        assert_eq!(follows[0], "leg 18 x 1 1/4 x 1 1/4 in");
        assert!(follows.last().is_some_and(|said| said.contains("as the route says")));
        assert_eq!(adapted.changes(), [("height".to_owned(), Length::inch_fraction(151, 8))]);
        adapted.change("height", "20 7/8").expect("as before");
        assert_eq!(adapted.changes(), []);
    }

    #[test]
    fn what_cant_be_made_is_refused_and_nothing_changes() {
        let mut adapted = stool();
        let before = adapted.sizes();
        adapted.change("height", "2").expect_err("no stool");
        adapted.change("height", "tall").expect_err("no length");
        adapted.change("hight", "20").expect_err("no such dimension");
        assert_eq!(adapted.sizes(), before);
    }
}
