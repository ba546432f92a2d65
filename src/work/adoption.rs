//! A corrected route for a batch under way: what it would change, and whether it
//! leaves alone what is begun.

use std::collections::BTreeSet;

use super::context::WorkContext;
use super::refusal::initials_and_why;
use crate::journal::Event;
use crate::plan::{Change, Plan, PlannedOperation, at_operation, compare, walk};
use crate::prose::Message;
use crate::route::{PieceLabel, Route};

/// What a corrected route would change.
#[derive(Clone, Debug, PartialEq)]
pub struct Adoption {
    /// Settings and sizes that change.
    pub changes: Vec<Change>,
    /// Settings that stay as they are.
    pub unchanged: usize,
    /// Operations that come in, by number.
    pub added: Vec<u32>,
    /// Operations that go, by number.
    pub removed: Vec<u32>,
    /// Why it can't be adopted, one sentence each; none where it can.
    pub against: Vec<String>,
}

/// Compares a corrected route with the one in force. What was begun must stay as it
/// is: pieces were cut and measured by it.
pub fn adoption(context: &WorkContext<'_>, corrected: &Route) -> Adoption {
    let after = walk(corrected, context.shop, &context.state.known());
    let (_, changes, unchanged) = compare(context.plan, &after, context.route.unit);
    let ops = |route: &Route| route.steps.iter().map(|step| step.op).collect::<BTreeSet<u32>>();
    let (old, new) = (ops(context.route), ops(corrected));
    let mut against = pieces_that_differ(context.route, corrected);
    let (errors, _) = after.errors();
    against.extend(errors.iter().map(|error| at_operation(error)));
    let setups = context.state.setups.iter();
    let begun = setups.filter(|(_, setup)| setup.begun.is_some() || setup.closed);
    for (op, _) in begun {
        against.extend(differs(*op, context.plan, &after));
    }
    against.extend(new.difference(&old).filter_map(|op| comes_late(context, corrected, *op)));
    Adoption {
        changes,
        unchanged,
        added: new.difference(&old).copied().collect(),
        removed: old.difference(&new).copied().collect(),
        against,
    }
}

/// The corrected route as an event, on the lead's word: `MB rail 3 was drawn wrong`.
pub fn adopt(
    context: &WorkContext<'_>,
    corrected: &Route,
    text: &str,
    word: &str,
) -> Result<Vec<Event>, Message> {
    if let Some(why) = adoption(context, corrected).against.first() {
        return Err(Message::error(format!("This route can't be adopted: {why}.")));
    }
    let (by, why) = initials_and_why(context, word)?;
    Ok(vec![Event::RouteAdopted { by, why, route: text.to_owned() }])
}

/// The pieces were counted when the batch began, so parts must keep theirs.
fn pieces_that_differ(old: &Route, new: &Route) -> Vec<String> {
    let pieces = |route: &Route, name: &str| -> Option<Vec<PieceLabel>> {
        route.part(name).map(|part| route.pieces(part))
    };
    let names = old.parts.iter().chain(&new.parts).map(|part| part.name.as_str());
    let names: BTreeSet<&str> = names.collect();
    let differ = names.into_iter().filter(|name| pieces(old, name) != pieces(new, name));
    differ.map(|name| format!("the pieces of `{name}` were counted when the batch began")).collect()
}

/// How an operation that is begun would change; none where it stays.
fn differs(op: u32, before: &Plan, after: &Plan) -> Option<String> {
    let old = before.operation(op)?;
    let Some(new) = after.operation(op) else {
        return Some(format!("op {op} is begun and can't go"));
    };
    let what = |held: &PlannedOperation| {
        (held.kind.name(), held.part.clone(), held.at.clone(), held.tool.clone())
    };
    let sizes = |held: &PlannedOperation| -> Vec<_> {
        held.groups.iter().map(|group| (group.outcome.clone(), group.limits.clone())).collect()
    };
    let is_same = what(old) == what(new) && sizes(old) == sizes(new) && old.checks == new.checks;
    (!is_same).then(|| format!("op {op} is begun and would change"))
}

/// A new operation before one that is begun on its part would come too late.
fn comes_late(context: &WorkContext<'_>, corrected: &Route, op: u32) -> Option<String> {
    let part = &corrected.step(op)?.part;
    let begun =
        |later: u32| context.state.setups.get(&later).is_some_and(|setup| setup.begun.is_some());
    let later = context.route.steps.iter().filter(|step| step.part == *part && step.op > op);
    let later = later.map(|step| step.op).find(|later| begun(*later))?;
    Some(format!("op {op} is new and comes before op {later}, which is begun"))
}
