//! `check`: reads route and shop files as a strict inspector would.
//! Knows nothing of what makes a file good; it prints what the readers say.

use std::io::Write;
use std::path::PathBuf;

use clap::Args;

use super::source::{self, SourceText};
use super::{Ending, Failure};
use crate::document::{Document, Problem};
use crate::fits::{self, FitsInput};
use crate::plan::{self, Known};
use crate::prose::{Level, visible};
use crate::shop::Shop;
use crate::{route, shop};

/// Beyond this many, the first ones will explain the rest.
const MOST_SHOWN: usize = 100;

/// Inspect route or shop files
///
/// Says everything that is wrong at once, each with line and column: words
/// that are no key, formulas that can't be worked out, cuts that would add
/// wood, pieces too short for a machine, gauges that can't judge a limit.
/// Routes are walked with the shop they are made in. Warnings alone are fine.
///
///   benchway check my-bench.json --shop our-shop.json
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub struct CheckArguments {
    /// Route or shop files, or names of bundled routes
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,

    /// The shop the routes are made in; the bundled one if left out
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
}

impl CheckArguments {
    pub fn run(&self, out: &mut dyn Write) -> Result<Ending, Failure> {
        let shop = source::shop(self.shop.as_deref())?;
        let mut ending = Ok(Ending::Fine);
        for file in &self.files {
            let source = match SourceText::open(file) {
                Ok(source) => source,
                // The other files are looked at all the same.
                Err(failure) => {
                    if let Err(earlier) = std::mem::replace(&mut ending, Err(failure)) {
                        writeln!(out, "{earlier}\n")?;
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

/// Everything wrong with a file, whichever kind it is.
fn problems(source: &SourceText, shop: &Shop) -> Vec<Problem> {
    let document = match source.document() {
        Ok(document) => document,
        Err(problem) => return vec![problem],
    };
    let root = document.root();
    if root.child("route").is_some() {
        route_problems(&document, shop)
    } else if root.child("shop").is_some() {
        shop::read(&document).err().unwrap_or_else(|| shop::unlikely_woods(&document))
    } else {
        let what = "neither a route nor a shop file";
        let help = "a route has a `route` key with its name, a shop file has `shop`";
        vec![root.problem(what, Some(help.to_owned()))]
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

/// Prints the problems, the worst first, and says how many errors there are.
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
        counted(errors, "error"),
        counted(count(Level::Warning), "warning")
    )?;
    Ok(errors)
}

fn counted(count: usize, what: &str) -> String {
    match count {
        0 => format!("no {what}s"),
        1 => format!("1 {what}"),
        _ => format!("{count} {what}s"),
    }
}
