//! Reads a route strictly: every problem at once, each at its place. What only
//! the shop can tell, such as a machine that doesn't exist, the plan finds.

use std::collections::BTreeSet;

use super::read_dimensions::DimensionsRead;
use super::reader::RouteReader;
use super::{Article, Route, Step, pieces};
use crate::document::{Document, Node, Problem};
use crate::formula::unknown_name;
use crate::measure::Unit;
use crate::prose::{Level, Message, visible};

const KEYS: [&str; 13] = [
    "$schema",
    "route",
    "about",
    "unit",
    "sets",
    "article",
    "articles",
    "woods",
    "dims",
    "parts",
    "operations",
    "fits",
    "keep",
];

/// A route and what doesn't stop it from being used, or everything wrong with it.
pub fn read(document: &Document) -> Result<(Route, Vec<Problem>), Vec<Problem>> {
    let root = document.root();
    if root.fields().is_none() {
        return Err(vec![root.problem("a route file is one object in braces", None)]);
    }
    let mut reading = RouteReader { problems: root.unknown_keys(&KEYS), unit: Unit::Inch };
    let route = reading.route(root);
    let bad = reading.problems.iter().any(|problem| problem.level == Level::Error);
    match route {
        Some(route) if !bad => Ok((route, reading.problems)),
        _ => Err(reading.problems),
    }
}

/// The route's text with another number of sets: what is frozen is what is made.
pub fn with_sets(text: &str, sets: u32) -> String {
    let Ok(document) = Document::read("route.json", text) else { return text.to_owned() };
    let Some(node) = document.root().child("sets") else { return text.to_owned() };
    let mut changed = document.text().to_owned();
    changed.replace_range(node.span(), &sets.to_string());
    changed
}

/// The route's text with a dimension that comes to another formula: what a lead adapts
/// for a whole batch. Whether the route still makes sense, reading it says.
pub fn with_dimension(text: &str, dim: &str, formula: &str) -> Result<String, Message> {
    let unreadable = |_| -> Message { Message::error("the route can't be read") };
    let document = Document::read("route.json", text).map_err(unreadable)?;
    let dims = document.root().child("dims");
    let Some(node) = dims.and_then(|dims| dims.child(dim)) else {
        let names = dims.and_then(|dims| dims.fields()).unwrap_or_default();
        let names: Vec<&str> = names.iter().map(|field| field.name).collect();
        return Err(unknown_name(dim, names));
    };
    let node = node.child("is").unwrap_or(node);
    let mut changed = document.text().to_owned();
    changed.replace_range(node.span(), &serde_json::Value::from(formula).to_string());
    Ok(changed)
}

impl RouteReader {
    fn route(&mut self, root: Node<'_>) -> Option<Route> {
        let name = self.required::<String>(root, "route", "the name of what is made");
        let unit = self.required::<Unit>(root, "unit", "\"in\" or \"mm\"");
        self.unit = unit.unwrap_or(Unit::Inch);
        let sets =
            self.required::<u32>(root, "sets", "how many finished articles are made together");
        let about = root.child("about").and_then(|node| self.decode::<String>(node));
        let article = Article::read(root, &mut self.problems);
        let DimensionsRead { dims, about: dims_about, choices } = self.dims(root);
        let names: Vec<String> = dims.names().map(str::to_owned).collect();
        let mut parts = self.parts(root, &names, &dims);
        pieces::count_spares(&mut parts, sets.unwrap_or(0).min(1000));
        if let Some(sets) = sets
            && let Err(what) = pieces::counted(&parts, sets)
        {
            self.add(root.child("sets").unwrap_or(root).problem(what, None));
        }
        let steps = self.operations(root, &names, &parts);
        let fits = self.fits(root, &names);
        let choices = self.choices(choices, &dims);
        let keeps = self.keeps(root, &dims, &choices);
        let woods = self.woods(root, &parts);
        let route = Route {
            name: name?,
            about,
            article,
            unit: unit?,
            sets: sets?,
            dims,
            dims_about,
            choices,
            woods,
            parts,
            steps,
            fits,
            keeps,
        };
        self.unused(root, &route);
        Some(route)
    }

    /// Dimensions nobody uses and parts nobody makes: likely a slip.
    fn unused(&mut self, root: Node<'_>, route: &Route) {
        let mut used: BTreeSet<&str> = BTreeSet::new();
        for name in route.dims.names() {
            used.extend(route.dims.uses(name).iter().map(String::as_str));
        }
        used.extend(route.steps.iter().flat_map(Step::names));
        let sizes = route.parts.iter().flat_map(|p| p.stock.values().chain(p.finish.values()));
        let fits = route.fits.iter().flat_map(|fit| [&fit.is, &fit.low, &fit.high]);
        let moves =
            route.fits.iter().filter_map(|fit| fit.moves.as_ref()).map(|moves| &moves.across);
        let knots = route.parts.iter().flat_map(|part| {
            let ends = part.blank.hidden.iter().flat_map(|(from, to)| [from, to]);
            ends.chain(&part.blank.fill)
        });
        for keyed in sizes.chain(fits).chain(moves).chain(knots) {
            used.extend(keyed.formula.names().map(|(name, _)| name));
        }
        let mut warnings = Vec::new();
        let warn = |section: &str, name: &str, what: String| {
            let node = root.child(section).and_then(|section| section.child(name)).unwrap_or(root);
            let mut problem = node.problem(what, None);
            problem.level = Level::Warning;
            problem
        };
        for name in route.dims.names().filter(|name| !used.contains(name)) {
            warnings.push(warn("dims", name, format!("nothing uses the dimension `{name}`")));
        }
        for part in &route.parts {
            if !route.steps.iter().any(|step| step.part == part.name) {
                let what = format!("no operation makes the part `{}`", visible(&part.name));
                warnings.push(warn("parts", &part.name, what));
            }
        }
        self.problems.extend(warnings);
    }
}
