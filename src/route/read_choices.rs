//! Reads what a route leaves to the maker of each article: sizes and woods.

use super::file::ChoiceFile;
use super::reader::{RouteReader, inside};
use super::{ChoiceSizes, MakersChoice, Part, WoodChoice};
use crate::document::Node;
use crate::formula::{DimensionKind, Planned, Web};
use crate::measure::Length;
use crate::operation::{FormulaText, words};
use crate::prose::Level;

/// More than this no screen asks.
const MOST_CHOICES: usize = 12;
const MOST_LISTED: usize = 50;

impl RouteReader {
    /// The choices of sizes.
    pub(super) fn choices(
        &mut self,
        written: Vec<(&str, Node<'_>, ChoiceFile)>,
        dims: &Web,
    ) -> Vec<MakersChoice> {
        let mut choices = Vec::new();
        if let Some((_, node, _)) = written.get(MOST_CHOICES) {
            self.add(node.problem(format!("a route leaves up to {MOST_CHOICES} choices"), None));
        }
        for (dim, dimension, file) in written {
            let node = dimension.child("choice").unwrap_or(dimension);
            if dims.definition(dim).is_some_and(|own| own.kind != DimensionKind::Length) {
                self.add(node.problem("only a length can be chosen", None));
                continue;
            }
            let Some(of) = self.choice_sizes(node, &file, dims) else { continue };
            let planned = dims.value(dim, &|_| None).ok().and_then(|value| value.length());
            if let Some(planned) = planned.filter(|planned| !of.allow(*planned)) {
                let unit = self.unit;
                let what = format!(
                    "`is` comes to {}, which is not one of the sizes to choose: {}",
                    words(planned, unit),
                    of.words(unit)
                );
                // A lead may draw it otherwise and leave the choice as it is.
                let mut problem = node.problem(what, None);
                problem.level = Level::Warning;
                self.add(problem);
            }
            let ask = file.ask.unwrap_or_else(|| dim.replace('_', " "));
            choices.push(MakersChoice { dim: dim.to_owned(), ask, of });
        }
        choices
    }

    fn choice_sizes(
        &mut self,
        node: Node<'_>,
        file: &ChoiceFile,
        dims: &Web,
    ) -> Option<ChoiceSizes> {
        match (&file.of, &file.from, &file.to) {
            (Some(listed), None, None) if file.step.is_none() => {
                let at = node.child("of").unwrap_or(node);
                if listed.is_empty() || listed.len() > MOST_LISTED {
                    let what = format!("a choice is from 1 to {MOST_LISTED} sizes");
                    self.add(at.problem(what, None));
                    return None;
                }
                let items = at.items().unwrap_or_default();
                let sizes = listed.iter().enumerate();
                let sizes: Option<Vec<Length>> = sizes
                    .map(|(n, text)| {
                        self.chosen_size(items.get(n).copied().unwrap_or(at), text, dims)
                    })
                    .collect();
                sizes.map(ChoiceSizes::Listed)
            }
            (None, Some(from), Some(to)) => {
                let mut size = |key: &str, text: &FormulaText| {
                    self.chosen_size(node.child(key).unwrap_or(node), text, dims)
                };
                let (from, to) = (size("from", from)?, size("to", to)?);
                let step = match &file.step {
                    Some(step) => Some(size("step", step)?),
                    None => None,
                };
                if from > to {
                    self.add(node.problem("`from` is larger than `to`", None));
                    return None;
                }
                if step.is_some_and(|step| step <= Length::ZERO) {
                    let at = node.child("step").unwrap_or(node);
                    self.add(at.problem("a step is longer than zero", None));
                    return None;
                }
                Some(ChoiceSizes::Between { from, to, step })
            }
            _ => {
                let what = "a choice is a range, `from` and `to`, or a list, `of`";
                let help = "such as { \"from\": \"16\", \"to\": \"20\", \"step\": \"1/2\" }";
                self.add(node.problem(what, Some(help.to_owned())));
                None
            }
        }
    }

    /// A length to choose, which may follow from dimensions of the route.
    fn chosen_size(&mut self, node: Node<'_>, text: &FormulaText, dims: &Web) -> Option<Length> {
        let formula = self.formula(node, &text.0)?;
        let value = formula.evaluate_as(DimensionKind::Length, &Planned(dims));
        value.map_err(|error| self.add(inside(node, &error))).ok()?.length_in(self.unit)
    }

    /// The woods to choose from; a part must be made of the first one.
    pub(super) fn woods(&mut self, root: Node<'_>, parts: &[Part]) -> Option<WoodChoice> {
        let node = root.child("woods")?;
        let of: Vec<String> = self.decode(node)?;
        let Some(first) = of.first() else {
            self.add(node.problem("`woods` lists the woods to choose from", None));
            return None;
        };
        if let Some(twice) = of.iter().enumerate().find(|(n, wood)| of[..*n].contains(wood)) {
            self.add(node.problem(format!("`{}` is listed twice", twice.1), None));
        }
        if parts.iter().all(|part| part.species.as_ref() != Some(first)) {
            let what = format!("no part has `species` {first}, so there is nothing to choose");
            let help = "the first wood is the one the route says; its parts follow the choice";
            self.add(node.problem(what, Some(help.to_owned())));
        }
        if let Some(mixed) =
            parts.iter().find(|part| part.blank.woods.keys().any(|wood| of.contains(wood)))
        {
            let what =
                format!("`{}` is made of several woods, which nobody can choose", mixed.name);
            self.add(node.problem(what, None));
        }
        Some(WoodChoice { of })
    }
}
