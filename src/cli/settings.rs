//! `settings`: every setting of a route, for people or for machines.
//! Knows nothing of batches: what is known comes from the command line.

mod json;
mod text;

use std::io::Write;
use std::path::PathBuf;

use clap::Args;

use super::source;
use super::{Ending, Failure, Format};
use crate::formula::DimensionKind;
use crate::measure::parse_written;
use crate::plan::{Known, MadeOver, MadeValue, Plan, walk};
use crate::prose::{Level, nearest, visible};
use crate::route::Route;
use crate::shop::Shop;

/// Work out every setting of a route
///
/// Walks one piece of each part from stock to finished size and prints what
/// every scale must show, the passes, and whatever must be looked at.
///
/// With --with, a dimension counts as measured: the operation whose check
/// measures it and all before keep their planned settings, later ones follow
/// the measured size.
///
///   benchway settings reading-stool
///   benchway settings reading-stool --with "leg_square=1 7/32" --sets 6
///   benchway settings my-bench.json --shop our-shop.json --format json
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub struct SettingsArguments {
    /// A route file, or the name of a bundled route
    route: PathBuf,

    /// Take a dimension as measured
    #[arg(long, value_name = "NAME=VALUE")]
    with: Vec<String>,

    /// Which end of a chain stays, of those the route names
    #[arg(long, value_name = "NAME")]
    keep: Option<String>,

    /// The shop it is made in; the bundled one if left out
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    /// How many sets to make, if not as many as the route says
    #[arg(long, value_name = "N")]
    sets: Option<u32>,

    /// For people, or for machines
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// What either format prints.
struct SettingsReport<'a> {
    route: &'a Route,
    shop: &'a Shop,
    known: &'a Known,
    plan: &'a Plan,
}

impl SettingsArguments {
    pub fn run(&self, out: &mut dyn Write) -> Result<Ending, Failure> {
        let mut route = source::route(&self.route)?;
        if let Some(sets) = self.sets {
            route.make_sets(sets).map_err(|what| Failure::Sets { sets, what })?;
        }
        let shop = source::shop(self.shop.as_deref())?;
        let made =
            self.with.iter().map(|given| made_value(&route, given)).collect::<Result<_, _>>();
        let known =
            Known { made: made?, keep: kept(&route, self.keep.as_deref())?, ..Known::default() };
        let plan = walk(&route, &shop, &known);
        let report = SettingsReport { route: &route, shop: &shop, known: &known, plan: &plan };
        match self.format {
            Format::Text => text::print(&report, out)?,
            Format::Json => json::print(&report, out)?,
        }
        Ok(Ending::found(plan.all_findings().any(|finding| finding.level == Level::Error)))
    }
}

/// The end that stays, when the route knows it.
pub(super) fn kept(route: &Route, keep: Option<&str>) -> Result<Option<String>, Failure> {
    let Some(keep) = keep else { return Ok(None) };
    if route.keeps.iter().any(|known| known.name == keep) {
        return Ok(Some(keep.to_owned()));
    }
    let names: Vec<&str> = route.keeps.iter().map(|known| known.name.as_str()).collect();
    let help = match (nearest(keep, names.iter().copied()), names.is_empty()) {
        (Some(near), _) => format!("did you mean `{near}`?"),
        (None, true) => "it names none".to_owned(),
        (None, false) => format!("it names {}", names.join(", ")),
    };
    Err(Failure::Keep { given: keep.to_owned(), help })
}

/// `leg_square=1.4375` as a dimension made over the whole batch.
pub(super) fn made_value(route: &Route, given: &str) -> Result<MadeValue, Failure> {
    let refuse = |what: String, help: Option<String>| {
        Err(Failure::With { given: visible(given), what, help })
    };
    let Some((name, value)) = given.split_once('=') else {
        let help = "write it as --with leg_square=1.4375";
        return refuse("a dimension, then = and its size, is expected".into(), Some(help.into()));
    };
    let name = name.trim();
    let Some(definition) = route.dims.definition(name) else {
        let help = match nearest(name, route.dims.names()) {
            Some(near) => Some(format!("did you mean `{near}`?")),
            None => Some(format!("it has {}", route.dims.names().collect::<Vec<_>>().join(", "))),
        };
        return refuse(format!("the route has no dimension `{}`", visible(name)), help);
    };
    if definition.kind != DimensionKind::Length {
        return refuse(format!("`{name}` is no length, and only lengths are measured"), None);
    }
    match parse_written(value, route.unit) {
        Ok(value) => Ok(MadeValue {
            dim: name.to_owned(),
            over: MadeOver::Batch,
            value,
            op: route.made_at(name).map(|(op, _)| op),
            words: "given on the command line".to_owned(),
        }),
        Err(error) => refuse(error.what, error.help),
    }
}
