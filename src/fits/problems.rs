//! What is wrong with the fits of a route before anything is made.

use super::chain::{FitError, FitFormula};
use super::input::FitsInput;
use super::judge::fits;
use super::verdict::{FitVerdict, SizeRange};
use crate::document::{Document, Problem};
use crate::operation::{decimal, words};
use crate::prose::Level;

/// What is wrong with the fits of a route before anything is made, each at its
/// place in the document. A fit that only care at the machine can make hold is
/// no problem of the route.
pub fn problems(input: &FitsInput<'_>, document: &Document) -> Vec<Problem> {
    let root = document.root();
    let place = |fit: &str| root.child("fits").and_then(|fits| fits.child(fit)).unwrap_or(root);
    let unit = input.route.unit;
    let (judged, errors) = fits(input, 0, 0);
    let mut problems = Vec::new();
    for FitError { fit, of, error } in errors {
        let node = place(&fit);
        let node = match of {
            FitFormula::Clearance => node.child("is").unwrap_or(node),
            FitFormula::Across => {
                let moves = node.child("moves").unwrap_or(node);
                moves.child("across").unwrap_or(moves)
            }
            FitFormula::Limit(limit) => {
                let limits = node.child("limits").and_then(|limits| limits.items());
                limits.and_then(|limits| limits.get(limit).copied()).unwrap_or(node)
            }
        };
        let mut problem = node.problem(error.what, error.help);
        problem.place.at = Some(node.text_place(error.place));
        problems.push(problem);
    }
    for judged in judged {
        let node = place(&judged.fit);
        let between = |SizeRange { low, high }: SizeRange| {
            format!("{} to {}", words(low, unit), words(high, unit))
        };
        if judged.holds() == FitVerdict::Nominal {
            let what = format!(
                "the fit is {} when every piece has its planned size, outside its limits, {}",
                words(judged.nominal, unit),
                between(judged.limits)
            );
            let fix = format!("change {}, or its limits", dimensions_of(input, &judged.fit));
            problems.push(node.child("is").unwrap_or(node).problem(what, Some(fix)));
        } else if !judged.at_best.range().within(&judged.limits.range()) {
            let what = format!(
                "the fit will likely be {} to {}, outside its limits, {}",
                decimal(judged.at_best.low, unit),
                decimal(judged.at_best.high, unit),
                between(judged.limits)
            );
            let fix = judged.dominating().filter(|most| most.has_limits()).map(|most| {
                format!("most of the variation comes from {}: tighten the limits there, or widen them here", most.place())
            });
            let mut problem = node.child("limits").unwrap_or(node).problem(what, fix);
            problem.level = Level::Warning;
            problems.push(problem);
        } else if let Some(seasons) = &judged.seasons {
            let limits = judged.limits.range();
            let each = [("driest", &seasons.winter), ("dampest", &seasons.summer)];
            for (name, season) in each {
                if season.at_best.range().within(&limits) {
                    continue;
                }
                let what = format!(
                    "in the {name} season, at {} %, the fit will likely be {} to {}, outside its limits, {}",
                    season.moisture.in_percent(),
                    decimal(season.at_best.low, unit),
                    decimal(season.at_best.high, unit),
                    between(judged.limits)
                );
                let fix =
                    "leave more room, or make it at a moisture nearer to that season's".to_owned();
                let mut problem = node.child("moves").unwrap_or(node).problem(what, Some(fix));
                problem.level = Level::Warning;
                problems.push(problem);
            }
        }
    }
    problems
}

/// The dimensions that a fit's clearance is made of, as a person lists them.
fn dimensions_of(input: &FitsInput<'_>, fit: &str) -> String {
    let of_route = input.route.fits.iter().find(|known| known.name == fit);
    let mut names: Vec<String> = Vec::new();
    for (name, _) in of_route.into_iter().flat_map(|fit| fit.is.formula.names()) {
        if !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    match names.split_last() {
        None => "its formula".to_owned(),
        Some((only, [])) => only.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
    }
}
