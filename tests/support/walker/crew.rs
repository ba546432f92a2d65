//! What operators type for each task when nothing goes wrong, whatever the
//! route and wherever it is typed.

use benchway::journal::{PieceId, State};
use benchway::measure::{Length, Reads, Unit};
use benchway::route::Route;
use benchway::work::{Task, WorkContext, is_finished};

/// The lead of the bundled shop.
pub const LEAD: &str = "MB";

/// The unit a bare number takes on that gauge.
pub fn unit_of(context: &WorkContext<'_>, gauge: &str) -> Unit {
    let entry = context.shop.gauges.get(gauge).and_then(|gauge| gauge.entry());
    entry.map_or(context.route.unit, |entry| entry.bare)
}

/// A size as the gauge of that check shows it: a metric one read by a hand
/// that writes decimal commas, and one without a number as within limits.
pub fn typed(context: &WorkContext<'_>, check: usize, size: Length) -> String {
    let planned = context.planned().expect("the operation due");
    let gauge = &planned.checks[check].gauge;
    if context.shop.gauges.get(gauge).is_some_and(|gauge| gauge.reads == Reads::GoNoGo) {
        return "i".to_owned();
    }
    match unit_of(context, gauge) {
        Unit::Inch => size.decimal(Unit::Inch, 4),
        Unit::Millimetre => size.decimal(Unit::Millimetre, 2).replace('.', ","),
    }
}

/// What a good piece measures.
pub fn good(context: &WorkContext<'_>, piece: &PieceId, check: usize) -> Length {
    let held = context.limits(piece, check).expect("limits for what is to be read");
    // The middle of the limits, because some bands lie to one side of the target.
    let middle = held.limits.low.zip(held.limits.high).map(|(low, high)| (low + high) / 2);
    middle.or(held.target).expect("something to measure against")
}

/// The expected answer where no decision is needed; empty where Enter is enough.
pub fn plainly(context: &WorkContext<'_>, task: &Task) -> Option<String> {
    match task {
        Task::Caution { .. } | Task::Tool { .. } | Task::Feed { .. } | Task::Cut { .. } => {
            Some(String::new())
        }
        Task::Zero { gauge, block } => {
            let shown = |block: &Length| block.decimal(unit_of(context, gauge), 3);
            Some(block.as_ref().map_or_else(String::new, shown))
        }
        Task::Set(set) => Some(set.readout.shown(set.dial.0)),
        _ => None,
    }
}

/// The answer of a crew whose every piece is good, and whose lead keeps what
/// is numbered first; none where no answer is taken.
pub fn well(context: &WorkContext<'_>, task: &Task) -> Option<String> {
    match task {
        Task::Read { piece, check, .. } => {
            Some(typed(context, *check, good(context, piece, *check)))
        }
        Task::Close { .. } => Some(String::new()),
        Task::Accept(proposal) if proposal.keeps.len() > 1 => Some(format!("1 {LEAD}")),
        Task::Accept(_) => Some(LEAD.to_owned()),
        other => plainly(context, other),
    }
}

/// Every operation is finished, every piece through it and none aside.
pub fn is_all_through(route: &Route, state: &State) {
    for step in &route.steps {
        let op = step.op;
        assert!(is_finished(route, state, op), "{} {op}", route.name);
        let part = route.part(&step.part).expect("its part");
        let tally = state.tally(&step.part, op);
        assert_eq!((tally.to_go, tally.aside), (0, 0), "{} {op}", route.name);
        assert!(tally.done >= (part.per_set + part.spares) as usize, "{} {op}", route.name);
    }
}
