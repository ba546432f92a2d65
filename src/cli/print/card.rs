//! `print card`: the route card, to be hung at the machine.

use std::io::Write;
use std::path::Path;

use clap::Args;

use super::PrintTo;
use crate::cli::planned::{PlannedArguments, PlannedBatch};
use crate::cli::{Ending, Failure};
use crate::paper::{CardInput, route_card};
use crate::plan::Plan;
use crate::prose::{Level, Message, nearest};
use crate::route::Route;

/// Print the route card of a route or a batch
///
/// For each part, on sheets of its own, the operations in order: what every scale must
/// show, the drawing, the limits, where to measure, the cautions, and boxes to write in.
/// For a batch it follows what was measured so far, and has a code at each operation that
/// names batch and operation.
///
/// Exits with 1 when the route has errors.
///
///   benchway print card reading-stool
///   benchway print card reading-stool --part leg --articles 6 --output leg.html
///   benchway print card "spring stools" --owner AB
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct CardArguments {
    #[command(flatten)]
    pub(super) planned: PlannedArguments,

    /// Print this part only
    #[arg(long, value_name = "NAME")]
    part: Option<String>,

    /// Print what is for this owner's articles only
    #[arg(long, value_name = "NAME")]
    owner: Option<String>,

    #[command(flatten)]
    to: PrintTo,
}

impl CardArguments {
    /// The card of a batch, or of one part of it.
    pub(super) fn of(batch: &Path, part: Option<&str>, to: PrintTo) -> CardArguments {
        let (planned, part) = (PlannedArguments::of(batch), part.map(str::to_owned));
        CardArguments { planned, part, owner: None, to }
    }

    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let PlannedBatch { route, shop, state, makers, plan, ending } = self.planned.open(home)?;
        let owners: Vec<Option<String>> = makers.iter().map(|maker| maker.owner.clone()).collect();
        self.check_names(&route, &owners)?;
        let card = CardInput {
            route: &route,
            shop: &shop,
            plan: &plan,
            batch: state.as_ref(),
            owners: &owners,
            part: self.part.as_deref(),
            owner: self.owner.as_deref(),
        };
        self.to.write(&route_card(&card), route.unit, out)?;
        Ok(Ending::found(has_errors(&plan)).and(ending))
    }

    /// Refuses a part or an owner that isn't there: an empty card would look like nothing
    /// to do.
    fn check_names(&self, route: &Route, owners: &[Option<String>]) -> Result<(), Failure> {
        if let Some(part) = &self.part {
            let names = route.parts.iter().map(|part| part.name.as_str()).collect();
            is_among("--part", part, names, "the route has no such part")?;
        }
        if let Some(owner) = &self.owner {
            let names = owners.iter().flatten().map(String::as_str).collect();
            is_among("--owner", owner, names, "no article here is theirs")?;
        }
        Ok(())
    }
}

fn has_errors(plan: &Plan) -> bool {
    plan.all_findings().any(|finding| finding.level == Level::Error)
}

fn is_among(
    option: &'static str,
    given: &str,
    names: Vec<&str>,
    what: &str,
) -> Result<(), Failure> {
    if names.contains(&given) {
        return Ok(());
    }
    let help = match nearest(given, names.iter().copied()) {
        Some(near) => Some(format!("did you mean `{near}`?")),
        None => (!names.is_empty()).then(|| format!("there are {}", names.join(", "))),
    };
    let why = Message::error(what).maybe_help(help);
    Err(Failure::Option { option, given: given.to_owned(), why })
}
