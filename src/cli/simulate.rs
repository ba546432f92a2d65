//! `benchway simulate`: an invented batch, to practise on. Knows nothing of how
//! it is invented.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::source::{SourceText, shop, shop_text};
use super::{Ending, Failure};
use crate::journal::{Event, Home, JournalLine, OpenBatch};
use crate::prose::visible;
use crate::route::{Route, with_sets};
use crate::simulate::{CannotInvent, Fault, Settings, invent, named};

/// Invent a batch to practise on
///
/// A made-up crew walks a route through all its operations, with the scatter
/// of a good shop and with whatever you let go wrong. The batch is written
/// like any other and marked as invented wherever it is shown: nobody cut or
/// measured anything. The same seed gives the same batch on every machine.
///
///   benchway simulate reading-stool --sets 4 --seed 7 --fault "op 60 creep 1/64"
///   benchway simulate my-bench.json --until 60 --fault "op 60 stop dust"
///
/// A fault is the operation, what goes wrong, and where it matters the piece
/// in cut order. Lengths are how much bigger the pieces come; a minus makes
/// them smaller.
///
///   op 60 offset 1/32                    set wrong: every piece
///   op 60 creep 1/64 over the batch      or: per piece
///   op 60 step 1/32 after piece 5        the setting jumped
///   op 60 slip 1/8 at piece 7            one piece alone
///   op 50 double jog                     the table closed twice
///   op 80 wrong face at piece 3          without a piece: all of them
///   op 60 stop dust 1/64                 one piece in four comes short
///   op 50 gauge zero 0.012               the gauge is off from there on
///   op 50 belt change -0.006 after piece 9
///   op 50 movement overnight 2           points of moisture; a night in the middle
///
/// It befalls what is checked first at that operation; `on rail mortise depth`
/// at the end names another size.
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub struct SimulateArguments {
    /// A route file, or the name of a bundled route
    route: PathBuf,

    /// How many sets are made, if not as many as the route says
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    sets: Option<u32>,

    /// As many sets as give so many pieces of the first fault's part
    #[arg(long, value_name = "N", conflicts_with = "sets",
        value_parser = clap::value_parser!(u32).range(1..=5000))]
    pieces: Option<u32>,

    /// Where chance begins
    #[arg(long, value_name = "S", default_value_t = 1)]
    seed: u32,

    /// Something that goes wrong; may be given several times
    #[arg(long, value_name = "FAULT", allow_hyphen_values = true)]
    fault: Vec<String>,

    /// How probable a gross misreading is, 0 to 1
    #[arg(long, value_name = "P", default_value_t = 0.0, value_parser = probability)]
    misses: f64,

    /// The last operation walked; you go on from there
    #[arg(long, value_name = "OP")]
    until: Option<u32>,

    /// The shop it is made in; the bundled one if left out
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    /// What the batch is called; `invented-` is put before it
    #[arg(long, value_name = "BATCH")]
    name: Option<String>,
}

fn probability(text: &str) -> Result<f64, String> {
    let number = text.parse::<f64>().ok().filter(|p| (0.0..=1.0).contains(p));
    number.ok_or_else(|| "a number from 0 to 1, such as 0.02".to_owned())
}

impl SimulateArguments {
    pub fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = Home::locate(home.map(Path::to_owned))?;
        let mut route = super::source::route(&self.route)?;
        let source = SourceText::open(&self.route)?;
        let shop_json = shop_text(self.shop.as_deref())?;
        let shop = shop(self.shop.as_deref())?;
        let faults = self.faults(&route)?;
        if let Some(sets) = self.sets.or_else(|| self.sets_for_pieces(&route, &faults)) {
            route.make_sets(sets).map_err(|what| Failure::Sets { sets, what })?;
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
        let lines = invent(&route, &shop, &settings).map_err(|error| self.refused(error))?;
        let route_json = with_sets(&source.text, route.sets);
        let texts = (route_json.as_str(), shop_json.as_str());
        let said = said(&settings, &route, &lines);
        OpenBatch::invented(&home, &settings.batch, texts, "being invented", lines)?;
        write!(out, "{said}")?;
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

    fn sets_for_pieces(&self, route: &Route, faults: &[Fault]) -> Option<u32> {
        let first = faults.first().and_then(|fault| route.step(fault.op));
        let step = first.or_else(|| route.steps.first())?;
        let per_set = route.part(&step.part)?.per_set.max(1);
        self.pieces.map(|pieces| pieces.div_ceil(per_set))
    }

    fn refused(&self, error: CannotInvent) -> Failure {
        match error {
            CannotInvent::Fault(why) => Failure::Unfit {
                given: self.fault[why.place].clone(),
                what: why.what,
                help: why.help,
            },
            stuck => Failure::Invented(stuck),
        }
    }
}

/// What was invented, and how to look at it.
fn said(settings: &Settings, route: &Route, lines: &[JournalLine]) -> String {
    let readings = lines.iter().filter(|line| matches!(line.event, Event::Reading(_))).count();
    let sets = if route.sets == 1 { "1 set".to_owned() } else { format!("{} sets", route.sets) };
    let name = visible(&settings.batch);
    let mut said = format!(
        "{name}: an invented batch of {}, {sets}, {readings} readings, seed {}\n",
        visible(&route.name),
        settings.seed
    );
    for fault in &settings.faults {
        said += &format!("  goes wrong: {}\n", visible(&fault.written(route.unit)));
    }
    said + &format!("Look back on it:  benchway review \"{name}\"\n")
}
