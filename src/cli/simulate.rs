//! `simulate`: write an invented batch to practise on.
//!
//! An invented batch is dated to a Monday in the year 2000: the same arguments give
//! the same file, and nobody can take a date for this week's work. Dates from the
//! clock, or drawn from the seed, were rejected.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::articles::{ArticlesArgument, make_articles};
use super::shop_source::{shop, shop_text};
use super::source::SourceText;
use super::waiting::waiting;
use super::{Ending, Failure};
use crate::journal::{Event, Home, JournalLine, OpenBatch};
use crate::prose::{visible, visible_lines};
use crate::route::{Route, with_sets};
use crate::simulate::{CannotInvent, Fault, Settings, invent, named};

/// Invent a batch to practise on
///
/// Simulated operators work through a route with the scatter of a good shop and
/// the faults you choose. The batch is written like any other and marked as
/// invented wherever it is shown: its name begins with `invented-` and its dates
/// are in the year 2000. Nobody cut or measured anything. The same seed gives the
/// same batch on every computer.
///
/// The operators follow the program's advice: they move a setting after a first
/// piece, cut again what can be cut, and set aside what can't be saved while
/// spares last; after that the lead accepts.
///
///   benchway simulate reading-stool --articles 4 --seed 7 --fault "op 60 creep 1/64"
///   benchway simulate my-bench.json --until 60 --fault "op 60 stop dust"
///
/// A fault names the operation, what goes wrong and, where it matters, the piece
/// counted in cut order. A length is how much larger the pieces come out; a minus
/// sign makes them smaller.
///
///   op 60 offset 1/32                    set wrong: every piece
///   op 60 creep 1/64 over the batch      the setting drifts; or: per piece
///   op 60 step 1/32 after piece 5        the setting jumped
///   op 60 slip 1/8 at piece 7            a single piece
///   op 50 double jog                     the table was closed twice
///   op 80 wrong face at piece 3          without a piece: all of them
///   op 60 stop dust 1/64                 one piece in four comes out short
///   op 50 gauge zero 0.012               the gauge is off from there on
///   op 50 belt change -0.006 after piece 9
///   op 50 movement overnight 2           2 percentage points of moisture overnight
///
/// A fault affects the first checked feature of its operation; `on rail mortise
/// depth` at the end names another.
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct SimulateArguments {
    /// Route file, or name of a bundled route
    route: PathBuf,

    #[command(flatten)]
    articles: ArticlesArgument,

    /// Make enough articles for N pieces of the part with the first fault
    #[arg(long, value_name = "N", conflicts_with = "articles",
        value_parser = clap::value_parser!(u32).range(1..=5000))]
    pieces: Option<u32>,

    /// Random seed
    #[arg(long, value_name = "S", default_value_t = 1)]
    seed: u32,

    /// Something that goes wrong; repeatable
    #[arg(long, value_name = "FAULT", allow_hyphen_values = true)]
    fault: Vec<String>,

    /// Probability of a gross misreading, 0 to 1
    #[arg(long, value_name = "P", default_value_t = 0.0, value_parser = probability)]
    misses: f64,

    /// Stop after this operation; you continue from there
    #[arg(long, value_name = "OP")]
    until: Option<u32>,

    /// Shop file, or `bundled` for the invented shop; your own shop if omitted
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    /// Name of the batch; `invented-` is put in front
    #[arg(long, value_name = "BATCH")]
    name: Option<String>,
}

fn probability(text: &str) -> Result<f64, String> {
    let number = text.replace(',', ".").parse::<f64>().ok().filter(|p| (0.0..=1.0).contains(p));
    number.ok_or_else(|| "must be a number from 0 to 1, such as 0.02".to_owned())
}

impl SimulateArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = Home::locate(home.map(Path::to_owned))?;
        let mut route = super::source::route(&self.route)?;
        let source = SourceText::open(&self.route)?;
        let shop_json = shop_text(self.shop.as_deref(), Some(home.path()))?;
        let shop = shop(self.shop.as_deref(), Some(home.path()))?;
        let faults = self.faults(&route)?;
        let articles = self.articles.articles;
        if let Some(articles) = articles.or_else(|| self.articles_for_pieces(&route, &faults)) {
            make_articles(&mut route, articles)?;
        }
        let stem = Path::new(&source.name).file_stem().and_then(|stem| stem.to_str());
        let plain = format!("{}-{}", stem.unwrap_or("batch"), self.seed);
        let settings = Settings {
            batch: named(self.name.as_deref().unwrap_or(&plain)),
            seed: self.seed,
            faults,
            misses: self.misses,
            until: self.until,
            ..Settings::default()
        };
        let lines = waiting("inventing the batch", || invent(&route, &shop, &settings));
        let lines = lines.map_err(|error| self.refused(error))?;
        let route_json = with_sets(&source.text, route.sets);
        let texts = (route_json.as_str(), shop_json.as_str());
        let summary = summary(&settings, &route, &lines);
        OpenBatch::invented(&home, &settings.batch, texts, "being invented", lines)?;
        write!(out, "{}", visible_lines(&summary))?;
        Ok(Ending::Fine)
    }

    fn faults(&self, route: &Route) -> Result<Vec<Fault>, Failure> {
        let mut faults = Vec::new();
        let mut page = String::new();
        for text in &self.fault {
            match Fault::parse(text, route.unit) {
                Ok(fault) => faults.push(fault),
                Err(problem) => page += &(problem.render("--fault", text) + "\n"),
            }
        }
        if page.is_empty() { Ok(faults) } else { Err(Failure::Fault(page)) }
    }

    fn articles_for_pieces(&self, route: &Route, faults: &[Fault]) -> Option<u32> {
        let first = faults.first().and_then(|fault| route.step(fault.op));
        let step = first.or_else(|| route.steps.first())?;
        let per_article = route.part(&step.part)?.per_set.max(1);
        self.pieces.map(|pieces| pieces.div_ceil(per_article))
    }

    fn refused(&self, error: CannotInvent) -> Failure {
        match error {
            CannotInvent::Fault(why) => Failure::Option {
                option: "--fault",
                given: self.fault[why.place].clone(),
                why: why.anywhere(),
            },
            stuck => Failure::Invented(stuck),
        }
    }
}

/// What was invented, and how to review it.
fn summary(settings: &Settings, route: &Route, lines: &[JournalLine]) -> String {
    let readings = lines.iter().filter(|line| matches!(line.event, Event::Reading(_))).count();
    let made = route.article.counted(route.sets);
    let name = visible(&settings.batch);
    let mut summary = format!(
        "{name}: an invented batch of {}, {made}, {readings} readings, seed {}\n",
        visible(&route.name),
        settings.seed
    );
    for fault in &settings.faults {
        summary += &format!("  fault: {}\n", visible(&fault.written(route.unit)));
    }
    summary + &format!("Review it:  benchway review \"{name}\"\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_probability_is_a_number_from_0_to_1() {
        for (text, number) in [("0", 0.0), ("0.02", 0.02), ("0,5", 0.5), ("1", 1.0)] {
            assert_eq!(probability(text), Ok(number), "{text}");
        }
        for text in ["-0.1", "1.01", "2", "NaN", "inf", "2 %", ""] {
            assert!(probability(text).is_err(), "{text}");
        }
    }
}
