//! `print shopping`: what to buy and what it costs, to take to the yard.

use std::io::Write;
use std::path::Path;

use clap::Args;

use super::{PrintTo, RowsFormat};
use crate::cli::csv;
use crate::cli::planned::{PlannedArguments, PlannedBatch};
use crate::cli::stock::share;
use crate::cli::{Ending, Failure};
use crate::paper::{ShoppingList, shopping_page};
use crate::stock::{ListOptions, ToBuy, figures, list};

/// Print the shopping list, with prices
///
/// What `benchway stock` says to buy of each wood in each class, at the prices of the shop
/// file, with its sum and boxes to tick. As CSV it has the columns species, class,
/// in_parts, yield, buy, per, price, cost and currency.
///
/// Exits with 1 when something can't be listed.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway print shopping boot-bench --articles 8
  benchway print shopping till-chest --format csv --output -")]
pub(super) struct ShoppingArguments {
    #[command(flatten)]
    pub(super) planned: PlannedArguments,

    /// Share of the wood bought that becomes parts, for every wood: 0.55 or 55%
    #[arg(long = "yield", value_name = "SHARE", allow_hyphen_values = true)]
    yields: Option<String>,

    /// A page (html) or rows for a spreadsheet (csv)
    #[arg(long, value_enum, default_value_t = RowsFormat::Html)]
    format: RowsFormat,

    #[command(flatten)]
    to: PrintTo,
}

impl ShoppingArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let yields = self.yields.as_deref().map(share).transpose()?;
        let planned = self.planned.open(home)?;
        let PlannedBatch { route, shop, makers, plan, ending, .. } = &planned;
        let list = list(route, shop, plan, &ListOptions { yields, ..ListOptions::default() });
        let prices = match makers.is_empty() {
            true => Vec::new(),
            false => list.by_article(route, makers.len() as u32),
        };
        let about = planned.about();
        let page = shopping_page(&ShoppingList {
            about: &about,
            article: &route.article,
            unit: route.unit,
            list: &list,
            lumber: &shop.lumber,
            makers,
            prices: &prices,
        });
        match self.format {
            RowsFormat::Html => self.to.write(&page, route.unit, out)?,
            RowsFormat::Csv => {
                let rows = rows(&list.to_buy, &shop.lumber.currency);
                self.to.write_rows(&page.title, &rows, out)?;
            }
        }
        Ok(Ending::found(!list.findings.is_empty()).and(*ending))
    }
}

fn rows(to_buy: &[ToBuy], currency: &str) -> String {
    let row = |row: &ToBuy| {
        let per = row.bought.per;
        let fields = [
            row.species.clone().unwrap_or_default(),
            row.class.clone().unwrap_or_default(),
            figures(row.net(), per),
            format!("{:.2}", row.yields.share()),
            figures(row.bought.amount(), per),
            per.word().to_owned(),
            row.price.map_or_else(|_| String::new(), |price| price.figures()),
            row.cost.map_or_else(String::new, |cost| cost.figures()),
            currency.to_owned(),
        ];
        format!("{}\n", csv::row(&fields))
    };
    let rows: String = to_buy.iter().map(row).collect();
    format!("species,class,in_parts,yield,buy,per,price,cost,currency\n{rows}")
}
