//! `benchway review`: where a batch went out, at which operation, and why.
//! Knows nothing of how it is found; `review` does.

mod json;
mod text;
mod wood;

use std::io::Write;
use std::path::Path;

use clap::Args;

use super::{Ending, Failure, Format};
use crate::journal::{BatchFolder, Event, Home, State, read_route, read_shop};
use crate::plan::walk;
use crate::prose::nearest;
use crate::review::{
    Attribution, CheckDiagnosis, Findings, WoodUsed, attributions, findings, follow_up_questions,
    wood_used,
};
use crate::route::Route;
use crate::shop::Shop;
use crate::work::WorkContext;

/// Where a batch went out, what each operation added, and why
///
/// Of a batch that began at the rack it also says where the wood went: parts,
/// spares, rejects, trim, edging, kerf and what is kept, which together are
/// what was bought.
///
/// Exit code 1 says that something went out or happened.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway review \"reading-stool 2026-11-25\"
  benchway review \"reading-stool 2026-11-25\" --piece \"rail 3\"
  benchway review \"reading-stool 2026-11-25\" --format json

In JSON lengths are numbers in the route's unit; `added` sums to `miss`;
`read_again` has sizes read on two days with nothing cut in between, and `why`
they differ: same, wood, gauge, hand, can't tell; `wood` has one row for each
wood and class, in its own `unit`, that sums to `bought`.")]
pub struct ReviewArguments {
    /// The batch
    batch: String,

    /// One piece: the way back of everything measured on it
    #[arg(long, value_name = "NAME")]
    piece: Option<String>,

    #[arg(long, value_enum, default_value = "text")]
    format: Format,
}

/// What either format prints.
struct ReviewReport<'a> {
    batch: &'a str,
    route: &'a Route,
    state: &'a State,
    found: &'a Findings,
    /// Follow-up questions for each check, in the order of the checks.
    asked: &'a [Vec<String>],
    wood: &'a [WoodUsed],
}

impl ReviewArguments {
    pub fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = Home::locate(home.map(Path::to_owned))?;
        let folder = BatchFolder::open(&home, &self.batch)?;
        let spoiled = |_| Failure::Spoiled { batch: self.batch.clone() };
        let route = read_route(&folder.route_json()?).map_err(spoiled)?;
        let shop = read_shop(&folder.shop_json()?).map_err(spoiled)?;
        let everything = folder.read_all::<Event>()?;
        for damage in &everything.damage {
            eprintln!("warning: {damage}");
        }
        let state = State::fold(&everything.entries);
        if let Some(name) = &self.piece {
            let ways = ways_of(&route, &state, name)?;
            return self.piece(&route, &ways, out);
        }
        let findings = findings(&route, &shop, &state);
        let asked = questions(&route, &shop, &state, &findings);
        let wood = wood_used(&route, &shop, &walk(&route, &shop, &state.known()), &state);
        let report = ReviewReport {
            batch: &self.batch,
            route: &route,
            state: &state,
            found: &findings,
            asked: &asked,
            wood: &wood,
        };
        match self.format {
            Format::Text => text::print(&report, out)?,
            Format::Json => json::print(&report, out)?,
        }
        Ok(Ending::found(!findings.is_quiet()))
    }

    fn piece(
        &self,
        route: &Route,
        ways: &[Attribution],
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let is_out = ways.iter().any(|way| way.left_limits().is_some());
        let name = self.piece.as_deref().unwrap_or_default();
        match self.format {
            Format::Text => text::print_piece(route, name, ways, out)?,
            Format::Json => json::print_piece(ways, route.unit, out)?,
        }
        Ok(Ending::found(is_out))
    }
}

/// The way back of everything measured on a piece, as it was measured last.
fn ways_of(route: &Route, state: &State, name: &str) -> Result<Vec<Attribution>, Failure> {
    let named = state.pieces.iter().rev().find(|piece| piece.label.to_string() == name);
    let Some(piece) = named else {
        let names: Vec<String> = state.pieces.iter().map(|p| p.label.to_string()).collect();
        let near = nearest(name, names.iter().map(String::as_str));
        let help = near.map(|near| format!("did you mean `{near}`?"));
        return Err(Failure::NoSuchPiece { name: name.to_owned(), help });
    };
    Ok(attributions(route, state, &piece.id))
}

/// What is asked about each story, in the order of the accounts.
fn questions(route: &Route, shop: &Shop, state: &State, found: &Findings) -> Vec<Vec<String>> {
    let plan = walk(route, shop, &state.known());
    let ask = |account: &CheckDiagnosis| {
        let Some(point) = account.series.points.first() else { return Vec::new() };
        let context = WorkContext {
            route,
            shop,
            plan: &plan,
            state,
            station: "",
            who: None,
            now: point.at,
            bell: None,
            op: account.series.op,
        };
        follow_up_questions(account, &context)
    };
    found.checks.iter().map(ask).collect()
}
