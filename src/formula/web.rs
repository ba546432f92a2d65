//! The web of a route's named dimensions: which uses which, and what each comes
//! to once some have been made.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use super::error::{unknown_name, wrong};
use super::expression::Function;
use super::token::{is_name, is_unit};
use super::{DimensionKind, Formula, Scope, Value};
use crate::measure::Length;
use crate::prose::{Message, Span};

/// How a dimension is defined.
#[derive(Clone, Debug, PartialEq)]
pub struct Definition {
    /// What it comes from.
    pub formula: Formula,
    /// What it must come to.
    pub kind: DimensionKind,
}

/// What is wrong with one dimension. A fault of the name itself, not of its
/// formula, has the empty range at 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WebProblem {
    /// The dimension.
    pub name: String,
    /// What is wrong, at bytes of its formula.
    pub error: Message<Span>,
}

impl fmt::Display for WebProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}`: {}", self.name, self.error)
    }
}

/// All named dimensions of a route.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Web {
    dimensions: Vec<Dimension>,
    places: BTreeMap<String, usize>,
}

#[derive(Clone, Debug, PartialEq)]
struct Dimension {
    name: String,
    definition: Definition,
    /// The names its formula uses, each once, in reading order.
    uses: Vec<String>,
}

impl Web {
    /// Ties definitions together, and finds everything wrong with them. Those
    /// that only depend on a bad one are not blamed.
    pub fn new(definitions: Vec<(String, Definition)>) -> (Web, Vec<WebProblem>) {
        let mut web = Web::default();
        let mut problems = Vec::new();
        for (name, definition) in definitions {
            let place = web.dimensions.len();
            if let Some(first) = web.places.get(&name) {
                problems.push((*first, name_fault(format!("`{name}` is defined twice"))));
                continue;
            }
            problems.extend(refuse_name(&name).map(|error| (place, error)));
            let mut seen = BTreeSet::new();
            let uses = definition
                .formula
                .names()
                .filter(|(used, _)| seen.insert(used.to_owned()))
                .map(|(used, _)| used.to_owned())
                .collect();
            web.places.insert(name.clone(), place);
            web.dimensions.push(Dimension { name, definition, uses });
        }
        let mut walk = Walk::new(&web, &|_| None);
        for place in 0..web.dimensions.len() {
            walk.settle(place);
        }
        problems.append(&mut walk.problems);
        problems.sort_by_key(|(place, error)| (*place, error.place.start));
        let problems = problems
            .into_iter()
            .map(|(place, error)| WebProblem { name: web.dimensions[place].name.clone(), error })
            .collect();
        (web, problems)
    }

    /// The same with these lengths in place of the formulas of their dimensions.
    pub fn with_lengths(&self, lengths: &BTreeMap<String, Length>) -> Web {
        let mut web = self.clone();
        for (name, length) in lengths {
            let Some(place) = web.places.get(name) else { continue };
            let dimension = &mut web.dimensions[*place];
            let unit = dimension.definition.formula.unit();
            // A written length reads back as the same one.
            if let Ok(formula) = Formula::parse(&length.written(unit), unit) {
                dimension.definition.formula = formula;
                dimension.uses.clear();
            }
        }
        web
    }

    /// Every name, in the order of definition.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.dimensions.iter().map(|dimension| dimension.name.as_str())
    }

    /// How a dimension is defined; `None` where none has that name.
    pub fn definition(&self, name: &str) -> Option<&Definition> {
        self.dimension(name).map(|dimension| &dimension.definition)
    }

    /// The names a dimension's formula uses itself, each once.
    pub fn uses(&self, name: &str) -> &[String] {
        self.dimension(name).map_or(&[], |dimension| &dimension.uses)
    }

    /// Whether a change of `root` reaches `name`, however many steps lie between.
    pub fn depends_on(&self, name: &str, root: &str) -> bool {
        let mut seen = BTreeSet::new();
        let mut waiting: Vec<&str> = vec![name];
        while let Some(next) = waiting.pop() {
            for used in self.uses(next) {
                if used == root {
                    return true;
                }
                if seen.insert(used) {
                    waiting.push(used);
                }
            }
        }
        false
    }

    /// What a dimension comes to. A made value replaces the definition and
    /// everything downstream follows it; it is then a root of its own.
    pub fn value(
        &self,
        name: &str,
        made: &dyn Fn(&str) -> Option<Value>,
    ) -> Result<Value, Message> {
        let Some(&place) = self.places.get(name) else {
            return Err(unknown_name(name, self.names()));
        };
        let mut walk = Walk::new(self, made);
        walk.settle(place);
        if let Some(Some(value)) = walk.found.remove(&place) {
            return Ok(value);
        }
        // A dimension without a value always comes with the problem that kept it from having one.
        let (at_fault, error) = walk.problems.swap_remove(0);
        let fault = &self.dimensions[at_fault];
        let text = fault.definition.formula.text();
        let what = format!("`{}` = `{text}`: {}", fault.name, error.what);
        Err(Message::error(what).maybe_help(error.help))
    }

    fn dimension(&self, name: &str) -> Option<&Dimension> {
        self.places.get(name).map(|place| &self.dimensions[*place])
    }
}

fn name_fault(what: String) -> Message<Span> {
    wrong(&(0..0), what)
}

fn refuse_name(name: &str) -> Option<Message<Span>> {
    if !is_name(name) {
        return Some(name_fault(format!(
            "`{}` can't be a name: names are a to z, then a to z, 0 to 9 and _",
            name.escape_debug()
        )));
    }
    if Function::named(name).is_some() {
        return Some(name_fault(format!("`{name}` is the name of a function already")));
    }
    if is_unit(name) {
        return Some(name_fault(format!("`{name}` is the sign of a unit already")));
    }
    None
}

/// The dimensions as planned: nothing made yet.
pub struct Planned<'w>(pub &'w Web);

impl Scope for Planned<'_> {
    fn value(&self, name: &str) -> Result<Value, Message> {
        self.0.value(name, &|_| None)
    }
}

/// One pass over the web, each dimension computed once. The path is kept by
/// hand: a chain of ten thousand dimensions must not exhaust the stack.
struct Walk<'w> {
    web: &'w Web,
    made: &'w dyn Fn(&str) -> Option<Value>,
    /// `None` for a dimension that has no value.
    found: BTreeMap<usize, Option<Value>>,
    problems: Vec<(usize, Message<Span>)>,
    /// Members of circles already reported.
    reported: BTreeSet<usize>,
}

impl Scope for Walk<'_> {
    fn value(&self, name: &str) -> Result<Value, Message> {
        let place = self.web.places.get(name);
        match place.and_then(|place| self.found.get(place)) {
            Some(Some(value)) => Ok(value.clone()),
            _ => Err(unknown_name(name, self.web.names())),
        }
    }
}

impl<'w> Walk<'w> {
    fn new(web: &'w Web, made: &'w dyn Fn(&str) -> Option<Value>) -> Walk<'w> {
        Walk { web, made, found: BTreeMap::new(), problems: Vec::new(), reported: BTreeSet::new() }
    }

    fn settle(&mut self, start: usize) {
        let mut path: Vec<(usize, usize)> = Vec::new();
        let mut on_path = BTreeSet::new();
        if self.is_open(start) {
            path.push((start, 0));
            on_path.insert(start);
        }
        while let Some((place, next)) = path.last_mut() {
            let place = *place;
            let uses = &self.web.dimensions[place].uses;
            if let Some(used) = uses.get(*next) {
                *next += 1;
                let Some(&used) = self.web.places.get(used) else {
                    continue;
                };
                if on_path.contains(&used) {
                    self.tell_circle(&path, used);
                } else if self.is_open(used) {
                    path.push((used, 0));
                    on_path.insert(used);
                }
                continue;
            }
            let value = self.compute(place);
            self.found.insert(place, value);
            on_path.remove(&place);
            path.pop();
        }
    }

    /// Whether a dimension has yet to be computed; a made one never has.
    fn is_open(&mut self, place: usize) -> bool {
        if self.found.contains_key(&place) {
            return false;
        }
        let name = &self.web.dimensions[place].name;
        match (self.made)(name) {
            Some(value) => {
                self.found.insert(place, Some(Value::root(name, value)));
                false
            }
            None => true,
        }
    }

    /// The value of a dimension whose uses are all settled.
    fn compute(&mut self, place: usize) -> Option<Value> {
        let web = self.web;
        let dimension = &web.dimensions[place];
        let formula = &dimension.definition.formula;
        let mut is_sound = true;
        let mut unknown = BTreeSet::new();
        for (used, at) in formula.names() {
            match web.places.get(used) {
                Some(used) => is_sound &= matches!(self.found.get(used), Some(Some(_))),
                None => {
                    is_sound = false;
                    if unknown.insert(used) {
                        let unknown = unknown_name(used, web.names()).at(at);
                        self.problems.push((place, unknown));
                    }
                }
            }
        }
        if !is_sound {
            return None;
        }
        match formula.evaluate_as(dimension.definition.kind, self) {
            Ok(value) if dimension.uses.is_empty() => Some(Value::root(&dimension.name, value)),
            Ok(value) => Some(value),
            Err(error) => {
                self.problems.push((place, error));
                None
            }
        }
    }

    /// The end of the path uses `back`, which is on the path: reports the
    /// circle, from its first defined member on, unless it was reported.
    fn tell_circle(&mut self, path: &[(usize, usize)], back: usize) {
        let mut circle: Vec<usize> =
            path.iter().map(|(place, _)| *place).skip_while(|place| *place != back).collect();
        if circle.last().is_some_and(|last| self.reported.contains(last)) {
            return;
        }
        self.reported.extend(&circle);
        let first = (0..circle.len()).min_by_key(|position| circle[*position]).unwrap_or(0);
        circle.rotate_left(first);
        circle.push(circle[0]);

        let names: Vec<&str> =
            circle.iter().map(|place| self.web.dimensions[*place].name.as_str()).collect();
        let mut used = self.web.dimensions[circle[0]].definition.formula.names();
        let at = used.find(|(name, _)| *name == names[1]).map_or(0..0, |(_, at)| at);
        let what = format!("this refers back to itself: {}", names.join(" -> "));
        let error = wrong(&at, what).help("give one of them a value of its own");
        self.problems.push((circle[0], error));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::tests::{INCH, inches};
    use crate::formula::{Formula, Value};
    use crate::measure::{Length, Unit};

    fn define(text: &str, kind: DimensionKind) -> Definition {
        Definition { formula: Formula::parse(text, Unit::Inch).unwrap(), kind }
    }

    fn web(definitions: &[(&str, &str)]) -> (Web, Vec<String>) {
        let definitions = definitions
            .iter()
            .map(|(name, text)| (name.to_string(), define(text, DimensionKind::Length)))
            .collect();
        let (web, problems) = Web::new(definitions);
        let reported =
            problems.iter().map(|problem| format!("{:?} {problem}", problem.error.place)).collect();
        (web, reported)
    }

    fn planned(_: &str) -> Option<Value> {
        None
    }

    /// A potting stand: the shoulders of its rails follow the legs as they came out.
    #[test]
    fn shoulders_follow_the_legs_that_were_made() {
        let (web, reported) = web(&[
            ("shoulder", "base - 2 * leg"),
            ("base", "16"),
            ("leg", "1 1/2"),
            ("half", "shoulder / 2"),
        ]);
        assert_eq!(reported, [""; 0]);
        let shoulder = web.value("shoulder", &planned).unwrap();
        assert_eq!(shoulder.length(), Some(Length::INCH * 13));
        assert_eq!(
            shoulder.slope,
            BTreeMap::from([("base".to_owned(), 1.0), ("leg".to_owned(), -2.0)])
        );

        // 16 − 2 × 1 11/32 = 16 − 2 22/32 = 13 5/16 (common practice, no source).
        let made =
            |name: &str| (name == "leg").then(|| Value::of_length(Length::inch_fraction(43, 32)));
        let shoulder = web.value("shoulder", &made).unwrap();
        assert_eq!(shoulder.length(), Some(Length::inch_fraction(213, 16)));
        assert_eq!(shoulder.slope["leg"], -2.0);
        assert_eq!(
            web.value("half", &made).unwrap().length(),
            Some(Length::inch_fraction(213, 32))
        );

        // Once the shoulder itself is made, what follows it no longer follows the leg.
        let made = |name: &str| (name == "shoulder").then(|| inches(13.25));
        let half = web.value("half", &made).unwrap();
        assert_eq!(half.slope, BTreeMap::from([("shoulder".to_owned(), 0.5)]));
        assert!(web.depends_on("half", "leg"));
        assert!(!web.depends_on("leg", "half"));
        assert!(!web.depends_on("leg", "leg"));
        assert_eq!(web.uses("half"), ["shoulder"]);
        assert_eq!(web.names().collect::<Vec<_>>(), ["shoulder", "base", "leg", "half"]);
    }

    #[test]
    fn every_problem_is_reported_once_and_none_for_those_downstream() {
        let (web, reported) = web(&[
            ("a", "b + 1"),
            ("b", "1 + c"),
            ("c", "2 * a"),
            ("after", "a + 1"),
            ("self_made", "self_made + 1"),
            ("post", "legg + aprn - legg"),
            ("leg", "1 1/2"),
            ("square", "leg * leg"),
            ("zero", "1 / (leg - leg)"),
            ("beyond", "zero + post"),
            ("min", "3"),
            ("in", "3"),
            ("leg", "2"),
            ("Big", "2"),
        ]);
        let names = "can't be a name: names are a to z, then a to z, 0 to 9 and _";
        assert_eq!(
            reported,
            [
                "0..1 `a`: this refers back to itself: a -> b -> c -> a; give one of them a value of its own",
                "0..9 `self_made`: this refers back to itself: self_made -> self_made; give one of them a value of its own",
                "0..4 `post`: nothing is named `legg`; did you mean `leg`?",
                "7..11 `post`: nothing is named `aprn`",
                "0..0 `leg`: `leg` is defined twice",
                "0..9 `square`: this must be a length, but it is an area",
                "4..15 `zero`: division by zero: `(leg - leg)` is 0",
                "0..0 `min`: `min` is the name of a function already",
                "0..0 `in`: `in` is the sign of a unit already",
                &format!("0..0 `Big`: `Big` {names}"),
            ]
        );
        let missing = web.value("beyond", &planned).unwrap_err();
        assert_eq!(
            missing.what,
            "`zero` = `1 / (leg - leg)`: division by zero: `(leg - leg)` is 0"
        );
        assert!(web.value("after", &planned).unwrap_err().what.contains("a -> b -> c -> a"));
        let missing = web.value("squar", &planned).unwrap_err();
        assert_eq!(missing.to_string(), "nothing is named `squar`; did you mean `square`?");
        assert!(web.depends_on("a", "a"));
    }

    #[test]
    fn circles_that_share_a_dimension_are_both_reported() {
        let (_, reported) = web(&[("a", "b + c"), ("b", "a"), ("c", "a")]);
        assert_eq!(reported.len(), 2);
        assert!(reported[0].starts_with("0..1 `a`: this refers back to itself: a -> b -> a;"));
        assert!(reported[1].starts_with("4..5 `a`: this refers back to itself: a -> c -> a;"));
    }

    #[test]
    fn a_dimension_is_of_the_kind_it_says() {
        let (web, problems) = Web::new(vec![
            ("slats".to_owned(), define("7", DimensionKind::Count)),
            ("taper".to_owned(), define("90", DimensionKind::Angle)),
            ("lean".to_owned(), define("taper / 2", DimensionKind::Angle)),
            ("gap".to_owned(), define("24 / (slats - 1)", DimensionKind::Length)),
            ("pitch".to_owned(), define("24in / (slats - 1)", DimensionKind::Length)),
            ("wrong".to_owned(), define("2in", DimensionKind::Count)),
            ("askew".to_owned(), define("2in", DimensionKind::Angle)),
        ]);
        let reported: Vec<String> = problems.iter().map(WebProblem::to_string).collect();
        assert_eq!(
            reported,
            [
                "`gap`: this must be a length, but it is a plain number; multiply it by a length, such as `1in`",
                "`wrong`: this must be a count, but it is a length; divide it by a length, such as `1in`",
                "`askew`: this must be an angle, but it is a length",
            ]
        );
        assert_eq!(web.value("pitch", &planned).unwrap().length(), Some(Length::INCH * 4));
        assert_eq!(web.value("lean", &planned).unwrap().amount, std::f64::consts::FRAC_PI_4);
        // −24 in / 6² = −2/3 in for each slat more.
        let slope = web.value("pitch", &planned).unwrap().slope["slats"];
        assert!((slope + INCH * 2.0 / 3.0).abs() < 1e-6);
    }

    #[test]
    fn a_long_chain_costs_no_stack() {
        let mut definitions = vec![("d0".to_owned(), define("1", DimensionKind::Length))];
        for n in 1..20_000 {
            let text = format!("d{} + 0", n - 1);
            definitions.push((format!("d{n}"), define(&text, DimensionKind::Length)));
        }
        definitions.reverse();
        let (web, problems) = Web::new(definitions);
        assert_eq!(problems, []);
        let last = web.value("d19999", &planned).unwrap();
        assert_eq!(last.length(), Some(Length::INCH));
        assert_eq!(last.slope, BTreeMap::from([("d0".to_owned(), 1.0)]));
        assert!(web.depends_on("d19999", "d0"));
    }
}
