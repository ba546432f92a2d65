//! Reads a route strictly: every problem at once, each at its place.
//! Knows nothing of machines: what only the shop can tell, the plan finds.

use std::collections::{BTreeMap, BTreeSet};

use serde::de::DeserializeOwned;

use super::check::Check;
use super::file::{
    COMMON_KEYS, CheckFile, DimensionFile, FINAL_KEY, FitFile, KeepFile, KnotsFile, MovesFile,
    OperationFile, PartFile, StockFile,
};
use super::{Article, Fit, InBlank, Keep, Moves, Part, Route, Step, Swells, pieces};
use crate::document::{Document, Node, Problem};
use crate::formula::{Definition, DimensionKind, Formula, Planned, Web};
use crate::measure::{Length, Unit, parse_limits};
use crate::operation::{
    FeatureName, FormulaText, KINDS, KeyReader, Keyed, LENGTH, THICKNESS, WIDTH, kind,
};
use crate::prose::{Level, Message, Span, nearest, visible};
use crate::wood::{Moisture, Species};

const KEYS: [&str; 12] = [
    "$schema",
    "route",
    "about",
    "unit",
    "sets",
    "article",
    "articles",
    "dims",
    "parts",
    "operations",
    "fits",
    "keep",
];

/// More than this of anything is not a shop's route.
const MOST_DIMS: usize = 1000;
const MOST_PARTS: usize = 200;
const MOST_KEEPS: usize = 9;
const MOST_OPERATIONS: usize = 500;
const MOST_IN_A_BLANK: u32 = 50;

/// A route and what doesn't stop it from being used, or everything wrong with it.
pub fn read(document: &Document) -> Result<(Route, Vec<Problem>), Vec<Problem>> {
    let root = document.root();
    if root.fields().is_none() {
        return Err(vec![root.problem("a route file is one object in braces", None)]);
    }
    let mut reading = Reading { problems: root.unknown_keys(&KEYS), unit: Unit::Inch };
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

struct Reading {
    problems: Vec<Problem>,
    unit: Unit,
}

impl Reading {
    fn route(&mut self, root: Node<'_>) -> Option<Route> {
        let name = self.required::<String>(root, "route", "the name of what is made");
        let unit = self.required::<Unit>(root, "unit", "\"in\" or \"mm\"");
        self.unit = unit.unwrap_or(Unit::Inch);
        let sets =
            self.required::<u32>(root, "sets", "how many finished articles are made together");
        let about = root.child("about").and_then(|node| self.decode::<String>(node));
        let article = Article::read(root, &mut self.problems);
        let (dims, dims_about) = self.dims(root);
        let names: Vec<String> = dims.names().map(str::to_owned).collect();
        let parts = self.parts(root, &names, &dims);
        if let Some(sets) = sets
            && let Err(what) = pieces::counted(&parts, sets)
        {
            self.add(root.child("sets").unwrap_or(root).problem(what, None));
        }
        let steps = self.operations(root, &names, &parts);
        let fits = self.fits(root, &names);
        let keeps = self.keeps(root, &dims);
        let route = Route {
            name: name?,
            about,
            article,
            unit: unit?,
            sets: sets?,
            dims,
            dims_about,
            parts,
            steps,
            fits,
            keeps,
        };
        self.unused(root, &route);
        Some(route)
    }

    fn add(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    fn decode<T: DeserializeOwned>(&mut self, node: Node<'_>) -> Option<T> {
        node.decode().map_err(|problem| self.add(problem)).ok()
    }

    fn required<T: DeserializeOwned>(
        &mut self,
        root: Node<'_>,
        key: &str,
        what: &str,
    ) -> Option<T> {
        match root.child(key) {
            Some(node) => self.decode(node),
            None => {
                self.add(root.problem(format!("`{key}` is missing: {what}"), None));
                None
            }
        }
    }

    /// The entries of an object under a key, when they aren't too many.
    fn entries<'d>(
        &mut self,
        root: Node<'d>,
        key: &str,
        most: usize,
        needed: bool,
    ) -> Vec<(&'d str, Node<'d>)> {
        let Some(node) = root.child(key) else {
            if needed {
                self.add(root.problem(format!("`{key}` is missing"), None));
            }
            return Vec::new();
        };
        let Some(fields) = node.fields() else {
            self.add(node.problem(format!("`{key}` is an object: a name, then what it is"), None));
            return Vec::new();
        };
        if fields.len() > most {
            self.add(node.problem(format!("more than {most} {key}"), None));
            return Vec::new();
        }
        fields.into_iter().map(|field| (field.name, field.value)).collect()
    }

    fn formula(&mut self, node: Node<'_>, text: &str) -> Option<Formula> {
        Formula::parse(text, self.unit).map_err(|error| self.add(inside(node, &error))).ok()
    }

    /// A formula under a key of `node`, its names known.
    fn keyed(
        &mut self,
        node: Node<'_>,
        key: &'static str,
        text: Option<&FormulaText>,
        names: &[String],
    ) -> Option<Keyed> {
        let at = node.child(key).unwrap_or(node);
        let formula = self.formula(at, &text?.0)?;
        let keyed = Keyed { key, formula };
        self.known(at, &keyed.formula, names);
        Some(keyed)
    }

    fn known(&mut self, node: Node<'_>, formula: &Formula, names: &[String]) {
        for (name, at) in formula.names() {
            if !names.iter().any(|known| known == name) {
                let help = nearest(name, names.iter().map(String::as_str))
                    .map(|near| format!("did you mean `{near}`?"));
                let mut problem = node.problem(format!("no dimension is called `{name}`"), help);
                problem.place.at = Some(node.text_place(at));
                self.add(problem);
            }
        }
    }

    fn dims(&mut self, root: Node<'_>) -> (Web, BTreeMap<String, String>) {
        let mut definitions = Vec::new();
        let mut about = BTreeMap::new();
        let mut nodes = BTreeMap::new();
        for (name, node) in self.entries(root, "dims", MOST_DIMS, false) {
            if !is_a_name(name) {
                self.add(node.problem(
                    format!("`{}` can't be the name of a dimension", visible(name)),
                    Some("lower-case letters, digits and _, a letter first".to_owned()),
                ));
                continue;
            }
            let (text, kind, at) = match self.decode_dimension(node) {
                Some(DimensionFile::Formula(text)) => (text, DimensionKind::Length, node),
                Some(DimensionFile::Described(described)) => {
                    if let Some(words) = described.about {
                        about.insert(name.to_owned(), words);
                    }
                    let kind = described.kind.unwrap_or(DimensionKind::Length);
                    (described.is, kind, node.child("is").unwrap_or(node))
                }
                None => continue,
            };
            nodes.insert(name.to_owned(), at);
            if let Some(formula) = self.formula(at, &text.0) {
                definitions.push((name.to_owned(), Definition { formula, kind }));
            }
        }
        let (web, problems) = Web::new(definitions);
        for problem in problems {
            let node = nodes.get(&problem.name).copied().unwrap_or(root);
            self.add(inside(node, &problem.error));
        }
        (web, about)
    }

    /// Tells a plain formula from a described one first, so that a mistake in
    /// either is reported in its own words.
    fn decode_dimension(&mut self, node: Node<'_>) -> Option<DimensionFile> {
        if node.fields().is_some() {
            self.decode(node).map(DimensionFile::Described)
        } else if node.as_str().is_some() {
            self.decode(node).map(DimensionFile::Formula)
        } else {
            self.add(node.problem(
                "a dimension is a formula in quotes, or an object with `is`",
                Some(format!("write \"{}\"", visible(node.raw()))),
            ));
            None
        }
    }

    fn parts(&mut self, root: Node<'_>, names: &[String], dims: &Web) -> Vec<Part> {
        let mut parts = Vec::new();
        for (name, node) in self.entries(root, "parts", MOST_PARTS, true) {
            let Some(file) = self.decode::<PartFile>(node) else { continue };
            if name.trim().is_empty() || name.len() > 60 || name.chars().any(char::is_control) {
                self.add(node.problem("a part has a short plain name", None));
            }
            if file.per_set == 0 {
                self.add(node.problem("`per_set` is at least 1", None));
            }
            if !file.hands.is_empty() && file.hands.len() != file.per_set as usize {
                let at = node.child("hands").unwrap_or(node);
                self.add(at.problem(
                    format!("{} hands for {} pieces a set", file.hands.len(), file.per_set),
                    Some("name one hand for each piece of a set".to_owned()),
                ));
            }
            let stock_node = node.child("stock").unwrap_or(node);
            let mut sizes = |node: Node<'_>, texts: [(&'static str, &Option<FormulaText>); 3]| {
                let mut sizes = BTreeMap::new();
                for (key, text) in texts {
                    if let Some(keyed) = self.keyed(node, key, text.as_ref(), names) {
                        sizes.insert(FeatureName::new(key), keyed);
                    }
                }
                sizes
            };
            let stock = sizes(
                stock_node,
                [
                    (THICKNESS, &file.stock.thickness),
                    (WIDTH, &file.stock.width),
                    (LENGTH, &file.stock.length),
                ],
            );
            let finish = sizes(
                node,
                [(THICKNESS, &file.thickness), (WIDTH, &file.width), (LENGTH, &file.length)],
            );
            let blank = self.in_blank(stock_node, &file, names, dims);
            parts.push(Part {
                name: name.to_owned(),
                per_set: file.per_set,
                spares: file.spares,
                setup_pieces: file.setup_pieces,
                hands: file.hands,
                assembled_from: file.assembled_from,
                species: file.species,
                about: file.about,
                stock_class: file.stock.class,
                stock,
                blank,
                finish,
            });
        }
        parts
    }

    /// How the pieces of a part lie in the stock they come from.
    fn in_blank(
        &mut self,
        node: Node<'_>,
        part: &PartFile,
        names: &[String],
        dims: &Web,
    ) -> InBlank {
        let StockFile { across, through, one_board, woods, knots, .. } = &part.stock;
        let mut beside = |key: &str, count: Option<u32>| {
            let count = count.unwrap_or(1);
            if !(1..=MOST_IN_A_BLANK).contains(&count) {
                let at = node.child(key).unwrap_or(node);
                let what = format!("a blank holds 1 to {MOST_IN_A_BLANK} pieces this way");
                self.add(at.problem(what, None));
            }
            count.clamp(1, MOST_IN_A_BLANK)
        };
        let (across, through) = (beside("across", *across), beside("through", *through));
        let counted: u32 = woods.values().fold(0, |sum, count| sum.saturating_add(*count));
        if !woods.is_empty() && (counted != part.per_set || woods.values().any(|n| *n == 0)) {
            let at = node.child("woods").unwrap_or(node);
            self.add(at.problem(
                format!("{counted} pieces have their wood, and a set has {}", part.per_set),
                Some("say of each piece of a set which wood it is".to_owned()),
            ));
        }
        let (mut hidden, mut fill) = (Vec::new(), None);
        if let Some(KnotsFile { hidden: stretches, fill: longest }) = knots {
            let node = node.child("knots").unwrap_or(node);
            let items = node.child("hidden").and_then(|node| node.items()).unwrap_or_default();
            for (index, stretch) in stretches.iter().enumerate() {
                let at = items.get(index).copied().unwrap_or(node);
                hidden.extend(self.stretch(at, stretch, names, dims));
            }
            fill = self.keyed(node, "fill", longest.as_ref(), names);
            let at = node.child("fill").unwrap_or(node);
            let size = fill.as_ref().and_then(|fill| self.as_planned(at, fill, dims));
            if size.is_some_and(|size| size <= Length::ZERO) {
                let help = "leave `fill` out where none may be filled".to_owned();
                self.add(at.problem("a knot is longer than nothing", Some(help)));
            }
        }
        InBlank { across, through, one_board: *one_board, woods: woods.clone(), hidden, fill }
    }

    /// The length a formula comes to with nothing made yet.
    fn as_planned(&mut self, node: Node<'_>, keyed: &Keyed, dims: &Web) -> Option<Length> {
        // Names nobody knows have been told.
        if keyed.formula.names().any(|(name, _)| dims.definition(name).is_none()) {
            return None;
        }
        let value = keyed.formula.evaluate_as(DimensionKind::Length, &Planned(dims));
        value.map_err(|error| self.add(inside(node, &error))).ok()?.length()
    }

    /// A stretch of a blank, the nearer end first.
    fn stretch(
        &mut self,
        node: Node<'_>,
        texts: &[FormulaText; 2],
        names: &[String],
        dims: &Web,
    ) -> Option<(Keyed, Keyed)> {
        let ends = node.items().unwrap_or_default();
        let mut end = |index: usize| {
            let at = ends.get(index).copied().unwrap_or(node);
            let formula = self.formula(at, &texts[index].0)?;
            self.known(at, &formula, names);
            Some(Keyed { key: "hidden", formula })
        };
        let (from, to) = (end(0)?, end(1)?);
        let mut length = |index: usize, end: &Keyed| {
            self.as_planned(ends.get(index).copied().unwrap_or(node), end, dims)
        };
        if let (Some(from), Some(to)) = (length(0, &from), length(1, &to))
            && (from.is_negative() || from >= to)
        {
            let what = "a stretch goes from an end of the blank on: from, then to";
            self.add(node.problem(what, None));
        }
        Some((from, to))
    }

    fn operations(&mut self, root: Node<'_>, names: &[String], parts: &[Part]) -> Vec<Step> {
        let Some(node) = root.child("operations") else {
            self.add(root.problem("`operations` is missing", None));
            return Vec::new();
        };
        let Some(items) = node.items() else {
            self.add(node.problem("`operations` is a list in square brackets", None));
            return Vec::new();
        };
        if items.len() > MOST_OPERATIONS {
            self.add(node.problem(format!("more than {MOST_OPERATIONS} operations"), None));
            return Vec::new();
        }
        let mut steps: Vec<Step> = Vec::new();
        let mut highest = 0;
        for (index, item) in items.into_iter().enumerate() {
            let Some(step) = self.operation(index, item, names, parts) else { continue };
            if step.op <= highest {
                let at = item.child("op").unwrap_or(item);
                self.add(at.problem(
                    format!("op {} comes after op {highest}: numbers rise", step.op),
                    None,
                ));
            }
            highest = highest.max(step.op);
            steps.push(step);
        }
        self.known_makes(node, &steps);
        steps
    }

    /// A check `of` something needs an operation that makes it, of that part.
    fn known_makes(&mut self, operations: Node<'_>, steps: &[Step]) {
        let items = operations.items().unwrap_or_default();
        for step in steps {
            let earlier =
                || steps.iter().filter(|other| other.part == step.part && other.op <= step.op);
            let made: Vec<&str> = earlier().filter_map(|other| other.makes.as_deref()).collect();
            // What a route leaves unnamed goes by its kind's own name.
            let unnamed = |name: &str| {
                let sized = earlier().flat_map(|other| other.what.sizes());
                let mut rests = sized.map(|sized| {
                    sized.feature.strip_prefix(name).is_some_and(|rest| rest.starts_with(' '))
                });
                rests.any(|named| named)
            };
            let checks = items.get(step.index).and_then(|item| item.child("checks"));
            for node in checks.and_then(|checks| checks.items()).unwrap_or_default() {
                let Some(of) = node.child("of") else { continue };
                let Some(name) = of.as_str() else { continue };
                if !made.contains(&name) && !unnamed(name) {
                    let help = nearest(name, made.iter().copied())
                        .map(|near| format!("did you mean `{near}`?"));
                    let what = format!("nothing up to op {} makes a `{}`", step.op, visible(name));
                    self.add(of.problem(what, help));
                }
            }
        }
    }

    fn operation(
        &mut self,
        index: usize,
        node: Node<'_>,
        names: &[String],
        parts: &[Part],
    ) -> Option<Step> {
        let file = self.decode::<OperationFile>(node)?;
        let Some(kind) = kind(&file.what) else {
            let known: Vec<&str> = KINDS.iter().map(|kind| kind.name()).collect();
            let at = node.child("do").unwrap_or(node);
            let help = match nearest(&file.what, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("one of {}", known.join(", ")),
            };
            let what = format!("`{}` is not a kind of operation", visible(&file.what));
            self.add(at.problem(what, Some(help)));
            return None;
        };
        if !parts.iter().any(|part| part.name == file.part) {
            let at = node.child("part").unwrap_or(node);
            let help = nearest(&file.part, parts.iter().map(|part| part.name.as_str()))
                .map(|near| format!("did you mean `{near}`?"));
            self.add(at.problem(format!("no part is called `{}`", visible(&file.part)), help));
        }
        let mut common = COMMON_KEYS.to_vec();
        common.push(FINAL_KEY);
        let what = kind.read(&mut KeyReader::new(node, self.unit, &common, &mut self.problems));
        let aim = self.keyed(node, "aim", file.aim.as_ref(), names);
        let checks = self.checks(node, names);
        let what = what?;
        for keyed in what.formulas() {
            let at = node.child(keyed.key).unwrap_or(node);
            self.known(at, &keyed.formula, names);
        }
        Some(Step {
            index,
            op: file.op,
            part: file.part,
            kind,
            what,
            at: file.at,
            tool: file.tool,
            aim,
            makes: file.makes,
            checks,
            note: file.note,
            declared_final: file.cant_be_undone,
        })
    }

    fn checks(&mut self, node: Node<'_>, names: &[String]) -> Vec<Check> {
        let items = node.child("checks").and_then(|checks| checks.items()).unwrap_or_default();
        items.into_iter().filter_map(|item| self.check(item, names)).collect()
    }

    fn check(&mut self, node: Node<'_>, names: &[String]) -> Option<Check> {
        let file = self.decode::<CheckFile>(node)?;
        let tolerance = match parse_limits(&file.limits, self.unit) {
            Ok(tolerance) => Some(tolerance),
            Err(error) => {
                let at = node.child("limits").unwrap_or(node);
                let mut problem = at.problem(error.what, error.help);
                problem.place.at = Some(at.text_place(error.place));
                self.add(problem);
                None
            }
        };
        if let Some(becomes) = &file.becomes
            && !names.contains(&becomes.dim)
        {
            let at = node.child("becomes").and_then(|b| b.child("dim")).unwrap_or(node);
            let help = nearest(&becomes.dim, names.iter().map(String::as_str))
                .map(|near| format!("did you mean `{near}`?"));
            self.add(
                at.problem(format!("no dimension is called `{}`", visible(&becomes.dim)), help),
            );
        }
        let kind = match FeatureName::new(file.check.as_str()).kind().or(file.kind) {
            Some(kind) => kind,
            None => {
                self.add(node.child("check").unwrap_or(node).problem(
                    format!(
                        "`{}` needs a `kind`, so that it can be judged in words",
                        visible(&file.check)
                    ),
                    Some("\"kind\": one of length, width, thickness, size, gap".to_owned()),
                ));
                return None;
            }
        };
        let around = self.keyed(node, "around", file.around.as_ref(), names);
        Some(Check {
            of: match file.of {
                Some(of) => FeatureName::new(format!("{of} {}", file.check)),
                None => FeatureName::new(file.check),
            },
            kind,
            tolerance: tolerance?,
            with: file.with,
            pieces: file.pieces,
            place: file.place,
            around,
            becomes: file.becomes,
        })
    }

    fn fits(&mut self, root: Node<'_>, names: &[String]) -> Vec<Fit> {
        let mut fits = Vec::new();
        for (name, node) in self.entries(root, "fits", MOST_DIMS, false) {
            let Some(file) = self.decode::<FitFile>(node) else { continue };
            let is = self.keyed(node, "is", Some(&file.is), names);
            let limits = node.child("limits").and_then(|limits| limits.items()).unwrap_or_default();
            let mut bound = |index: usize| {
                let at = limits.get(index).copied().unwrap_or(node);
                let formula = self.formula(at, &file.limits[index].0)?;
                self.known(at, &formula, names);
                Some(Keyed { key: "limits", formula })
            };
            let (low, high) = (bound(0), bound(1));
            let counts = node.child("pieces").unwrap_or(node);
            for (dim, count) in &file.pieces {
                let at = counts.child(dim).unwrap_or(counts);
                if !names.contains(dim) {
                    let near = nearest(dim, names.iter().map(String::as_str));
                    let help = near.map(|near| format!("did you mean `{near}`?"));
                    self.add(
                        at.problem(format!("no dimension is called `{}`", visible(dim)), help),
                    );
                } else if !(1..=1000).contains(count) {
                    self.add(at.problem("pieces are 1 to 1000", None));
                }
            }
            let moves = file
                .moves
                .as_ref()
                .and_then(|moves| self.moves(node.child("moves").unwrap_or(node), moves, names));
            if let (Some(is), Some(low), Some(high)) = (is, low, high) {
                let (name, pieces) = (name.to_owned(), file.pieces);
                fits.push(Fit { name, is, low, high, pieces, moves });
            }
        }
        fits
    }

    /// What swells in a clearance: a wood that is known, from dry to damp.
    fn moves(&mut self, node: Node<'_>, file: &MovesFile, names: &[String]) -> Option<Moves> {
        let across = self.keyed(node, "across", Some(&file.across), names);
        let wood = Species::named(&file.species);
        if wood.is_none() {
            let help = match Species::with_words(&file.species).as_slice() {
                [] => nearest(&file.species, Species::every_name())
                    .map(|near| format!("did you mean `{near}`?")),
                kinds => Some(format!("which one: {}?", kinds.join(", "))),
            };
            let what = format!("how far `{}` moves is not known here", visible(&file.species));
            self.add(node.child("species").unwrap_or(node).problem(what, help));
        }
        let most = wood.map_or(Moisture::MOST, Species::shrinks_from);
        let mut moisture = |key: &str, percent: f64| {
            let found = Moisture::percent(percent).filter(|found| found.in_percent() <= most);
            if found.is_none() {
                let what = format!("a moisture is 0 to {most} %: above, wood swells no more");
                self.add(node.child(key).unwrap_or(node).problem(what, None));
            }
            found
        };
        let (driest, dampest) = (moisture("from", file.from), moisture("to", file.to));
        let made = file.made_at.map_or(driest, |made| moisture("made_at", made));
        if driest.zip(dampest).is_some_and(|(driest, dampest)| driest >= dampest) {
            let what = "`from` is the driest season and `to` the dampest".to_owned();
            let help = "a moisture in `to` above that in `from`".to_owned();
            self.add(node.child("to").unwrap_or(node).problem(what, Some(help)));
        }
        let swells = Swells {
            wood: wood?,
            grain: file.grain,
            driest: driest?,
            dampest: dampest?,
            made: made?,
        };
        Some(Moves { across: across?, swells })
    }

    /// The ends of a chain that may stay. With nothing made yet each must come
    /// to the sizes of the plan, or choosing one would change what isn't measured.
    fn keeps(&mut self, root: Node<'_>, dims: &Web) -> Vec<Keep> {
        let mut keeps = Vec::new();
        for (name, node) in self.entries(root, "keep", MOST_KEEPS, false) {
            let Some(file) = self.decode::<KeepFile>(node) else { continue };
            let inner = node.child("dims").unwrap_or(node);
            let mut definitions = Vec::new();
            for dim in dims.names() {
                let Some(own) = dims.definition(dim) else { continue };
                let formula = match file.dims.get(dim) {
                    Some(text) => self.formula(inner.child(dim).unwrap_or(inner), &text.0),
                    None => Some(own.formula.clone()),
                };
                if let Some(formula) = formula {
                    definitions.push((dim.to_owned(), Definition { formula, kind: own.kind }));
                }
            }
            for dim in file.dims.keys().filter(|dim| dims.definition(dim).is_none()) {
                let help = nearest(dim, dims.names()).map(|near| format!("did you mean `{near}`?"));
                let what = format!("no dimension is called `{}`", visible(dim));
                self.add(inner.child(dim).unwrap_or(inner).problem(what, help));
            }
            let (web, problems) = Web::new(definitions);
            let sound = problems.is_empty();
            for problem in problems {
                self.add(inside(inner.child(&problem.name).unwrap_or(inner), &problem.error));
            }
            for dim in dims.names().filter(|_| sound) {
                let length = |web: &Web| web.value(dim, &|_| None).ok().and_then(|v| v.length());
                if length(&web) != length(dims) {
                    let what = format!("with nothing measured, `{dim}` differs from the plan");
                    let help = "a kept end changes what follows, not what is planned".to_owned();
                    self.add(inner.child(dim).unwrap_or(inner).problem(what, Some(help)));
                }
            }
            keeps.push(Keep { name: name.to_owned(), about: file.about, dims: web });
        }
        keeps
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

/// A formula's error, placed inside the text that holds it.
fn inside(node: Node<'_>, error: &Message<Span>) -> Problem {
    let mut problem = node.problem(error.what.clone(), error.help.clone());
    problem.place.at = Some(node.text_place(error.place.clone()));
    problem
}

fn is_a_name(name: &str) -> bool {
    name.starts_with(|c: char| c.is_ascii_lowercase())
        && name.len() <= 60
        && name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
}
