//! The present shop for a batch under way: what it would change, and whether it has
//! everything that is still in use.

use std::collections::BTreeSet;

use super::context::WorkContext;
use super::refusal::initials_and_why;
use crate::journal::Event;
use crate::plan::{Change, at_operation, compare, walk};
use crate::prose::Message;
use crate::shop::Shop;

/// What the present shop would change.
#[derive(Clone, Debug, PartialEq)]
pub struct ShopAdoption {
    /// Settings and sizes that change.
    pub changes: Vec<Change>,
    /// Settings that stay as they are.
    pub unchanged: usize,
    /// Why it can't be adopted, one sentence each; none where it can.
    pub against: Vec<String>,
}

/// Compares the present shop with the one the batch has. What is set stays set; an
/// operation half done must not go on by other numbers.
pub fn shop_adoption(context: &WorkContext<'_>, present: &Shop) -> ShopAdoption {
    let after = walk(context.route, present, &context.state.known());
    let (_, changes, unchanged) = compare(context.plan, &after, context.route.unit);
    let mut against = lost(context, present);
    if against.is_empty() {
        let said = |plan: &crate::plan::Plan| -> BTreeSet<String> {
            plan.errors().0.iter().map(|error| at_operation(error)).collect()
        };
        against.extend(said(&after).difference(&said(context.plan)).cloned());
    }
    let half_done = |op: u32| {
        let setup = context.state.setups.get(&op);
        setup.is_some_and(|setup| setup.begun.is_some() && !setup.closed)
    };
    let ops: BTreeSet<u32> = changes.iter().map(|change| change.op).collect();
    against.extend(ops.into_iter().filter(|op| half_done(*op)).map(|op| {
        format!("op {op} is half done and would go on by other numbers; finish it first")
    }));
    ShopAdoption { changes, unchanged, against }
}

/// The present shop as an event, on the lead's word: `MB new blade in the cabinet saw`.
pub fn adopt_shop(
    context: &WorkContext<'_>,
    present: &Shop,
    text: &str,
    word: &str,
) -> Result<Vec<Event>, Message> {
    if let Some(why) = shop_adoption(context, present).against.first() {
        return Err(Message::error(format!("This shop can't be adopted: {why}.")));
    }
    let (by, why) = initials_and_why(context, word)?;
    Ok(vec![Event::ShopAdopted { by, why, shop: text.to_owned() }])
}

/// What operations still need and the present shop no longer has.
fn lost(context: &WorkContext<'_>, present: &Shop) -> Vec<String> {
    let mut lost = Vec::new();
    let open = context.plan.operations.iter().filter(|held| !context.state.is_closed(held.op));
    for held in open {
        let op = held.op;
        if let Some(at) = held.at.as_ref().filter(|at| context.shop.machines.contains_key(*at)) {
            match present.machines.get(at) {
                None => lost.push(format!("op {op} needs the {at}, which this shop hasn't")),
                Some(machine) => lost.extend(
                    held.tool.iter().filter(|tool| !machine.tools.contains_key(*tool)).map(
                        |tool| {
                            format!("op {op} needs the {tool} of the {at}, which this shop hasn't")
                        },
                    ),
                ),
            }
        }
        let gauges: BTreeSet<&str> = held.checks.iter().map(|check| check.gauge.as_str()).collect();
        let gone = gauges.into_iter().filter(|gauge| {
            context.shop.gauges.contains_key(*gauge) && !present.gauges.contains_key(*gauge)
        });
        lost.extend(
            gone.map(|gauge| format!("op {op} measures with the {gauge}, which this shop hasn't")),
        );
    }
    lost
}
