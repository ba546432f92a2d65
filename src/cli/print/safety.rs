//! `print safety`: a sheet for the wall beside each machine.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};

use chrono::Local;
use clap::Args;

use super::PrintTo;
use crate::cli::named_batch::RouteOrBatch;
use crate::cli::shop_source;
use crate::cli::{Ending, Failure};
use crate::paper::safety_page;
use crate::prose::{Message, nearest, visible};
use crate::shop::{Machine, Shop};

/// Print a safety sheet for each machine, for the wall
///
/// The usual cautions of the machine, what sizes it takes, who is released for it today by
/// the shop file, and lines for the shop's own rules. It reminds people of their training
/// and never stands in for it: the manual, local codes and trained practice come first.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway print safety
  benchway print safety --machine \"cabinet saw\"
  benchway print safety reading-stool")]
pub(super) struct SafetyArguments {
    /// Only the machines of this batch under way, route file or bundled route
    #[arg(value_name = "ROUTE|BATCH")]
    named: Option<PathBuf>,

    /// Only this machine, by its name in the shop file
    #[arg(long, value_name = "NAME", conflicts_with = "named")]
    machine: Option<String>,

    /// Shop file, or `bundled` for the invented shop; your own shop if omitted
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    #[command(flatten)]
    to: PrintTo,
}

impl SafetyArguments {
    /// Those of all machines of the shop.
    pub(super) fn of_the_shop(to: PrintTo) -> SafetyArguments {
        SafetyArguments { named: None, machine: None, shop: None, to }
    }

    /// The route or batch whose machines it reads, where one is named.
    #[cfg(feature = "meet")]
    pub(super) fn named(&self) -> Option<&Path> {
        self.named.as_deref()
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let shop = shop_source::shop(self.shop.as_deref(), home)?;
        let mut ending = Ending::Fine;
        let machines: Vec<(&str, &Machine)> = match (&self.machine, &self.named) {
            (Some(name), _) => vec![machine(&shop, name)?],
            (None, Some(named)) => {
                let named = RouteOrBatch::open(named, self.shop.as_deref(), home)?;
                ending = named.ending;
                let at = named.route.steps.iter().filter_map(|step| step.at.as_deref());
                let at: BTreeSet<&str> = at.collect();
                at.iter().map(|name| machine(&shop, name)).collect::<Result<_, _>>()?
            }
            (None, None) => all(&shop),
        };
        let page = safety_page(&shop, &machines, Local::now().date_naive());
        self.to.write(&page, shop.unit, out)?;
        Ok(ending)
    }
}

fn all(shop: &Shop) -> Vec<(&str, &Machine)> {
    shop.machines.iter().map(|(name, machine)| (name.as_str(), machine)).collect()
}

/// The machine of that name, or why there is none.
fn machine<'a>(shop: &'a Shop, name: &str) -> Result<(&'a str, &'a Machine), Failure> {
    if let Some((name, machine)) = shop.machines.get_key_value(name) {
        return Ok((name, machine));
    }
    let names = || shop.machines.keys().map(String::as_str);
    let help = match nearest(name, names()) {
        Some(near) => format!("did you mean `{}`?", visible(near)),
        None => format!("it has {}", visible(&names().collect::<Vec<_>>().join(", "))),
    };
    let why = Message::error("the shop has no such machine").help(help);
    Err(Failure::Option { option: "--machine", given: name.to_owned(), why })
}
