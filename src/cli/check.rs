//! `check`: everything wrong with route and shop files, at once.
//!
//! A fit that no care can make hold is a warning here. Scatter within a lot shows at
//! the machine and the route can't help it, so warning of every fit that `fits`
//! doubts was rejected.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::shop_source;
use super::source::SourceText;
use super::{Ending, Failure};
use crate::document::{Document, Problem};
use crate::fits::{self, FitsInput};
use crate::plan::{self, Known};
use crate::prose::{Level, counted, plural, visible};
use crate::shop::Shop;
use crate::{route, shop};

/// Problems printed for one file; later ones mostly follow from earlier ones.
const MOST_SHOWN: usize = 100;

/// Check route and shop files
///
/// Reports every error at once, each with its line and column: unknown keys,
/// formulas that can't be evaluated, cuts that would add wood, pieces too short
/// for a machine, gauges too coarse for their limits. Routes are checked against
/// the shop they are made in.
///
/// Exits with 1 when there are errors; warnings alone pass.
///
///   benchway check my-bench.json --shop our-shop.json
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct CheckArguments {
    /// Route files, shop files, or names of bundled routes
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,

    /// Shop file, or `bundled` for the invented shop; your own shop if omitted
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
}

impl CheckArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let shop = shop_source::shop(self.shop.as_deref(), home)?;
        let mut ending = Ok(Ending::Fine);
        for file in &self.files {
            let source = match SourceText::open(file) {
                Ok(source) => source,
                // One unreadable file must not hide the errors of the others.
                Err(failure) => {
                    if let Err(earlier) = std::mem::replace(&mut ending, Err(failure)) {
                        writeln!(out, "{}\n", earlier.shown())?;
                    }
                    continue;
                }
            };
            let errors = report(&source, problems(&source, &shop), out)?;
            ending = ending.map(|ending| if errors > 0 { Ending::Findings } else { ending });
        }
        ending
    }
}

/// Everything wrong with a file, route or shop.
fn problems(source: &SourceText, shop: &Shop) -> Vec<Problem> {
    let document = match source.document() {
        Ok(document) => document,
        Err(problem) => return vec![problem],
    };
    let root = document.root();
    if root.child("route").is_some() {
        route_problems(&document, shop)
    } else if root.child("shop").is_some() {
        shop_problems(&document)
    } else {
        let what = "neither a route nor a shop file";
        let help = "a route has a `route` key with its name, a shop file has `shop`";
        vec![root.problem(what, Some(help.to_owned()))]
    }
}

fn shop_problems(document: &Document) -> Vec<Problem> {
    match shop::read(document) {
        Ok(shop) => {
            let mut problems = shop::impossible(document, &shop);
            problems.extend(shop::unlikely_woods(document));
            problems.extend(shop::without_a_lead(document, &shop));
            problems
        }
        Err(problems) => problems,
    }
}

fn route_problems(document: &Document, shop: &Shop) -> Vec<Problem> {
    match route::read(document) {
        Ok((route, mut problems)) => {
            let known = Known::default();
            let plan = plan::walk(&route, shop, &known);
            problems.extend(plan::problems(&plan, &route, document));
            let (route, plan, known) = (&route, &plan, &known);
            let question = FitsInput { route, shop, plan, known, readings: None };
            problems.extend(fits::problems(&question, document));
            problems
        }
        Err(problems) => problems,
    }
}

/// Prints the problems, errors first, and returns the number of errors.
fn report(
    source: &SourceText,
    mut problems: Vec<Problem>,
    out: &mut dyn Write,
) -> Result<usize, Failure> {
    problems.sort_by_key(|problem| {
        (problem.level, problem.place.at.as_ref().map(|place| place.span.start))
    });
    for problem in problems.iter().take(MOST_SHOWN) {
        writeln!(out, "{}", problem.render(&source.name, &source.text))?;
    }
    if let Some(more) = problems.len().checked_sub(MOST_SHOWN).filter(|more| *more > 0) {
        writeln!(out, "and {more} more\n")?;
    }
    let count = |level| problems.iter().filter(|problem| problem.level == level).count();
    let errors = count(Level::Error);
    writeln!(
        out,
        "{}: {}, {}",
        visible(&source.name),
        none_or_counted(errors, "error"),
        none_or_counted(count(Level::Warning), "warning")
    )?;
    Ok(errors)
}

/// A count with its noun, `no errors` for none.
fn none_or_counted(count: usize, noun: &str) -> String {
    if count == 0 { format!("no {}", plural(noun)) } else { counted(count, noun) }
}
