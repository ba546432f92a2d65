//! `stock`: the wood a batch takes, what to buy, and what it costs.
//!
//! What is bought is what is needed divided by the yield. Adding the waste on top
//! was rejected: waste is a share of what is bought, so at 30 % waste 100 feet need
//! 142.9, not 130.

mod json;
mod text;

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::articles::ArticlesArgument;
use super::makers::MakersArgument;
use super::planned::PlannedBatch;
use super::{Ending, Failure, Format};
use crate::measure::{Entry, Length, parse_entry};
use crate::prose::{Message, nearest, visible};
use crate::route::{OwnedArticle, Route};
use crate::shop::{Shop, Yield};
use crate::stock::{ArticlePrice, ListOptions, StockList, WoodAlternative, list};

/// List the wood to buy for a batch, and its cost
///
/// Lists every part that is cut from boards: its rough blanks, the wood they take,
/// and whether the stock still cleans up to size, even when it is sold slightly
/// thin. Then what to buy of each wood in each thickness: the wood in the parts
/// divided by the yield, rounded up to the next half foot, at the prices of the
/// shop file. For a batch under way it uses the sizes measured so far.
///
/// In JSON, lengths are numbers in the route's unit and money is in hundredths.
/// Keys: route, unit, shop, sets, currency; parts, each with part, species, class,
/// blanks (sets, spare, setup, a_set), pieces (sets, spares, setup), rough and
/// finished (thickness, width, length), along, across, through (pieces to a blank
/// in each direction), one_board, clean_at, net (articles and spares), setup, per
/// (unit of net and setup), net_board_feet and cleans_up (at: nominal, scant or
/// measured; thickness, in_hand: negative where it won't clean up; would_do_for);
/// buy, each with species, class, net, yield, gross, buy, per, price, cost,
/// no_price (why); makers, each with article, owner, woods and cost; setup (class, buy, per); cost; without_price (number of rows of
/// buy); woods, each with wood, lacks, buy, per, cost, difference and moves (share
/// of its width per 1 % of moisture); notes; findings (what, fix).
///
/// Exits with 1 when something won't clean up or can't be listed.
///
///   benchway stock boot-bench
///   benchway stock boot-bench --articles 8 --yield 0.5 --woods
///   benchway stock reading-stool --measured 6/4=1-7/16
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct StockArguments {
    /// Batch under way, route file, or name of a bundled route
    #[arg(value_name = "ROUTE|BATCH")]
    named: PathBuf,

    #[command(flatten)]
    articles: ArticlesArgument,

    #[command(flatten)]
    makers: MakersArgument,

    /// Share of the wood bought that becomes parts, for every wood: 0.55 or 55%
    #[arg(long = "yield", value_name = "SHARE", allow_hyphen_values = true)]
    yields: Option<String>,

    /// Measured thickness of the stock of a class: 6/4=1-7/16
    #[arg(long, value_name = "CLASS=THICKNESS")]
    measured: Vec<String>,

    /// Price the same batch in every wood the shop stocks
    #[arg(long)]
    woods: bool,

    /// Shop file, or `bundled`; the batch's own or your own shop if omitted
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// What both formats print.
struct StockReport<'a> {
    route: &'a Route,
    shop: &'a Shop,
    list: &'a StockList,
    woods: &'a [WoodAlternative],
    makers: &'a [OwnedArticle],
    /// The price of each of their articles.
    prices: &'a [ArticlePrice],
    /// Whether the other woods were asked for.
    compared: bool,
}

impl StockArguments {
    /// The route or batch it reads.
    #[cfg(feature = "meet")]
    pub(super) fn named(&self) -> &Path {
        &self.named
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let asked = (self.articles, &self.makers);
        let planned = PlannedBatch::open(&self.named, self.shop.as_deref(), asked, home)?;
        let PlannedBatch { route, shop, makers, plan, ending, .. } = planned;
        let yields = self.yields.as_deref().map(share).transpose()?;
        let measured = self.measured.iter().map(|given| measured(&route, given));
        let asked = ListOptions { yields, measured: measured.collect::<Result<_, _>>()? };
        let list = list(&route, &shop, &plan, &asked);
        let prices = match makers.is_empty() {
            true => Vec::new(),
            false => list.by_article(&route, makers.len() as u32),
        };
        let woods = list.in_every_wood(&shop.lumber, &asked, route.unit);
        let report = StockReport {
            route: &route,
            shop: &shop,
            list: &list,
            woods: &woods,
            makers: &makers,
            prices: &prices,
            compared: self.woods,
        };
        match self.format {
            Format::Text => text::print(&report, out)?,
            Format::Json => json::print(&report, out)?,
        }
        let found = !list.findings.is_empty() || list.something_is_too_thin();
        Ok(Ending::found(found).and(ending))
    }
}

/// Reads a yield: `0.55` or `55%`.
pub(super) fn share(given: &str) -> Result<Yield, Failure> {
    let text = given.trim();
    let (number, hundredths) = match text.strip_suffix('%') {
        Some(number) => (number.trim(), true),
        None => (text, false),
    };
    let pointed = number.replace(',', ".");
    let amount: Option<f64> = pointed.parse().ok().filter(|amount: &f64| amount.is_finite());
    let share = amount.map(|amount| if hundredths { amount / 100.0 } else { amount });
    share.and_then(Yield::new).ok_or_else(|| {
        let help = match share {
            None => "write a number such as 0.55, or 55%".to_owned(),
            Some(share) if share > 1.0 && share <= 100.0 && !hundredths => {
                format!("did you mean {number}%?")
            }
            Some(_) => "0.55 to 0.65 is usual for long clear parts".to_owned(),
        };
        let what = "a yield is the share of the wood bought that becomes parts: 0.01 to 1";
        let why = Message::error(what).help(help);
        Failure::Option { option: "--yield", given: given.to_owned(), why }
    })
}

/// Reads `6/4=1-7/16`: a class of the route and its measured thickness.
fn measured(route: &Route, given: &str) -> Result<(String, Length), Failure> {
    let refuse =
        |why: Message| Failure::Option { option: "--measured", given: given.to_owned(), why };
    let Some((class, thickness)) = given.split_once('=') else {
        let help = "write a class and its measured thickness, as in 6/4=1-7/16";
        return Err(refuse(Message::error("an `=` is missing").help(help)));
    };
    let class = class.trim();
    let classes: Vec<&str> =
        route.parts.iter().filter_map(|part| part.stock_class.as_deref()).collect();
    if !classes.contains(&class) {
        let help = match nearest(class, classes.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => {
                let mut once: Vec<&str> = Vec::new();
                classes.iter().for_each(|class| {
                    if !once.contains(class) {
                        once.push(class);
                    }
                });
                format!("it uses {}", once.join(", "))
            }
        };
        let what = format!("the route uses no `{}`", visible(class));
        return Err(refuse(Message::error(what).help(help)));
    }
    let entry = Entry { bare: route.unit, mark: None };
    let found = parse_entry(thickness, &entry).map_err(|why| refuse(why.anywhere()))?;
    if found.value <= Length::ZERO {
        return Err(refuse(Message::error("a thickness must be greater than zero")));
    }
    Ok((class.to_owned(), found.value))
}
