//! `settings`: every setting of a route, without a batch. Measured sizes come from
//! the command line.

mod json;
mod text;

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::articles::ArticlesArgument;
use super::makers::MakersArgument;
use super::{Ending, Failure, Format};
use super::{shop_source, source};
use crate::formula::DimensionKind;
use crate::measure::parse_written;
use crate::plan::{Known, MadeOver, MadeValue, Plan, walk};
use crate::prose::{Level, Message, nearest, visible};
use crate::route::Route;
use crate::shop::Shop;

/// List every setting of a route
///
/// Follows each part from stock to finished size and prints what every scale must
/// show, the passes, the checks, and whatever needs attention.
///
/// --with takes a dimension as already measured. The operation that measures it
/// and all earlier ones keep their planned settings; later ones follow the
/// measured size.
///
/// In JSON, lengths are numbers in the route's unit; `for` lists the pieces a
/// setting is for and is empty when it is for all.
///
/// Exits with 1 when the route has errors.
///
///   benchway settings reading-stool
///   benchway settings reading-stool --with "leg_square=1 7/32" --articles 6
///   benchway settings my-bench.json --shop our-shop.json --format json
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct SettingsArguments {
    /// Route file, or name of a bundled route
    route: PathBuf,

    /// Take a dimension as already measured
    #[arg(long, value_name = "NAME=VALUE")]
    with: Vec<String>,

    /// End of a dimension chain that keeps its size, by the name in the route
    #[arg(long, value_name = "NAME")]
    keep: Option<String>,

    /// Shop file, or `bundled` for the invented shop; your own shop if omitted
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    #[command(flatten)]
    articles: ArticlesArgument,

    #[command(flatten)]
    makers: MakersArgument,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// What both formats print.
struct SettingsReport<'a> {
    route: &'a Route,
    shop: &'a Shop,
    known: &'a Known,
    plan: &'a Plan,
}

impl SettingsArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let mut route = source::route(&self.route)?;
        self.makers.beside(self.articles)?;
        self.articles.apply(&mut route)?;
        let shop = shop_source::shop(self.shop.as_deref(), home)?;
        let makers = self.makers.read(&mut route, &shop)?;
        let articles = makers.into_iter().map(|maker| maker.chosen).collect();
        let made =
            self.with.iter().map(|given| made_value(&route, given)).collect::<Result<_, _>>();
        let known = Known {
            made: made?,
            keep: kept(&route, self.keep.as_deref())?,
            articles,
            ..Known::default()
        };
        let plan = walk(&route, &shop, &known);
        let report = SettingsReport { route: &route, shop: &shop, known: &known, plan: &plan };
        match self.format {
            Format::Text => text::print(&report, out)?,
            Format::Json => json::print(&report, out)?,
        }
        Ok(Ending::found(plan.all_findings().any(|finding| finding.level == Level::Error)))
    }
}

/// The end that keeps its size, if the route names it.
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
    let why = Message::error("the route names no such end").help(help);
    Err(Failure::Option { option: "--keep", given: keep.to_owned(), why })
}

/// Reads `leg_square=1.4375` as a dimension measured for the whole batch.
pub(super) fn made_value(route: &Route, given: &str) -> Result<MadeValue, Failure> {
    let refuse =
        |why: Message| Err(Failure::Option { option: "--with", given: given.to_owned(), why });
    let Some((name, value)) = given.split_once('=') else {
        let why = Message::error("a dimension, an = and its size are expected");
        return refuse(why.help("write it as --with leg_square=1.4375"));
    };
    let name = name.trim();
    let Some(definition) = route.dims.definition(name) else {
        let help = match nearest(name, route.dims.names()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("it has {}", route.dims.names().collect::<Vec<_>>().join(", ")),
        };
        let what = format!("the route has no dimension `{}`", visible(name));
        return refuse(Message::error(what).help(help));
    };
    if definition.kind != DimensionKind::Length {
        let what = format!("`{name}` is not a length, and only lengths are measured");
        return refuse(Message::error(what));
    }
    match parse_written(&value.replace(',', "."), route.unit) {
        Ok(value) => Ok(MadeValue {
            dim: name.to_owned(),
            over: MadeOver::Batch,
            value,
            op: route.made_at(name).map(|(op, _)| op),
            words: "given on the command line".to_owned(),
        }),
        Err(why) => refuse(why.anywhere()),
    }
}
