//! The order: what to do now, in one line that begins with a verb, or what a
//! reading says.

use super::named::{Feed, names, numbers, whose};
use super::view::Order;
use crate::journal::{PieceId, ReadingRecord};
use crate::measure::{Limit, Verdict};
use crate::operation::{decimal, scale_name};
use crate::plan::{PlannedCheck, PlannedOperation};
use crate::work::{ReadReason, Remedy, SettingTask, WorkContext};

/// `SET   the stop for pass 2, then type what its scale shows.`
pub(super) fn set(set: &SettingTask) -> Order {
    let scale = scale_name(&set.setting);
    let when = match (set.pass, set.setting.split_once(", ")) {
        (_, Some((_, when))) => format!(" {when}"),
        (Some(pass), None) => format!(" for pass {pass}"),
        (None, None) => String::new(),
    };
    Order::new(
        "SET",
        scale,
        format!("the {scale}, type what it shows"),
        format!("the {scale}{when}, then type what its scale shows."),
    )
}

/// `MEASURE   leg 4, stool 1, back left: cut it, then its length.`
pub(super) fn measure(
    context: &WorkContext<'_>,
    piece: &PieceId,
    of: &str,
    why: ReadReason,
    does: Option<&str>,
) -> Order {
    let name = context.state.name(piece);
    let named = format!("{name}{}", whose(context, piece));
    let brief = match does.filter(|_| matches!(why, ReadReason::First | ReadReason::Check)) {
        Some(does) => format!("{name}: {does}, then its {of}"),
        None => format!("{name} {of}"),
    };
    let does = does.map(|does| format!(": {does}, then its {of}."));
    let plainly = format!(": its {of}.");
    let rest = match (why, does) {
        (ReadReason::First, does) => {
            format!("first piece, {named}{}", does.unwrap_or(plainly))
        }
        (ReadReason::Check, does) => format!("{named}{}", does.unwrap_or(plainly)),
        (ReadReason::Between, _) => {
            format!("{name}: its {of}, to see where it changed.")
        }
        (ReadReason::Third { .. }, _) => {
            format!("{name}: its {of} a third time, two readings differ.")
        }
        (ReadReason::Bridge, _) => format!("{name}: its {of} once more before you go on."),
    };
    Order::new("MEASURE", name, brief, rest)
}

/// `CUT AGAIN   leg 4, then measure its length.`
pub(super) fn again(context: &WorkContext<'_>, piece: &PieceId, of: &str, is_form: bool) -> Order {
    let name = context.state.name(piece);
    let word = if is_form { "PUT RIGHT" } else { "CUT AGAIN" };
    let rest = format!("{name}{}, then measure its {of}.", whose(context, piece));
    Order::new(word, name.clone(), format!("{name}, then its {of}"), rest)
}

/// `square one end, cut`, where each piece begins so.
pub(super) fn with_its_beginning(context: &WorkContext<'_>, does: &str) -> String {
    match begins_with(context) {
        Some(first) => format!("{first}, {does}"),
        None => does.to_owned(),
    }
}

fn begins_with(context: &WorkContext<'_>) -> Option<&'static str> {
    context.route.step(context.op)?.what.begins_with()
}

/// `CUT   legs 2, 3: nothing to measure.`, or what each of them begins with.
pub(super) fn cut(context: &WorkContext<'_>, pieces: &[PieceId], then: Option<String>) -> Order {
    let named = match pieces {
        [only] => format!("{}{}", context.state.name(only), whose(context, only)),
        several => names(context, several),
    };
    let first = begins_with(context);
    let doing = first.map_or(named.clone(), |first| format!("{named}: {first}, cut"));
    let rest = match (&then, first) {
        (Some(measured), _) => format!("{doing}, then measure {measured}."),
        (None, Some(_)) => format!("{doing}."),
        (None, None) => format!("{named}: nothing to measure."),
    };
    // The names give way, and not what is done.
    let numbers = numbers(context, pieces);
    let doing = first.map_or(numbers.clone(), |first| format!("{numbers}: {first}, cut"));
    let brief = match &then {
        Some(measured) => format!("{doing}, then measure {measured}"),
        None => doing,
    };
    // Alone it has room for its hand.
    let brief = if pieces.len() == 1 && then.is_none() && first.is_none() { named } else { brief };
    Order::new("CUT", numbers, brief, rest)
}

/// `FEED   face A up: all 9 through.`
pub(super) fn feed(feed: &Feed<'_>) -> Order {
    let (word, rest) = feed.words();
    Order::new(word, feed.subject(), rest.clone(), format!("{rest}."))
}

/// `TOO LONG   leg 4: 20.063. It can be cut again.`
pub(super) fn verdict(
    context: &WorkContext<'_>,
    check: &PlannedCheck,
    reading: &ReadingRecord,
    first_choice: Option<&Remedy>,
) -> Order {
    let name = context.state.name(&reading.taken.piece);
    let shown = reading.taken.size().map(|size| decimal(size, context.route.unit));
    let shown = shown.map_or_else(String::new, |shown| format!(" {shown}"));
    let verdict = reading.taken.verdict();
    let (much, little) = check.kind.too();
    let is_slip =
        !matches!(verdict, Verdict::TooClose { .. }) && first_choice == Some(&Remedy::MeasureAgain);
    let again = match (verdict, check.kind.is_form()) {
        _ if is_slip => "It looks like a slip.",
        (Verdict::TooBig { again, .. } | Verdict::TooSmall { again, .. }, is_form) => {
            match (again, is_form) {
                (true, false) => "It can be cut again.",
                (true, true) => "It can be put right.",
                (false, _) => "It can't be saved.",
            }
        }
        (Verdict::TooClose { side: Limit::High }, _) => "Too close to the upper limit.",
        (Verdict::TooClose { side: Limit::Low }, _) => "Too close to the lower limit.",
        (Verdict::In, _) => "Within limits.",
    };
    let word = match verdict {
        Verdict::TooClose { .. } => "CAN'T TELL".to_owned(),
        _ if first_choice == Some(&Remedy::MeasureAgain) => "MEASURE AGAIN".to_owned(),
        Verdict::TooBig { .. } => much.to_uppercase(),
        Verdict::TooSmall { .. } => little.to_uppercase(),
        Verdict::In => "WITHIN".to_owned(),
    };
    let brief = format!("{name}{shown}");
    let rest = if shown.is_empty() {
        format!("{name}. {again}")
    } else {
        format!("{name}:{shown}. {again}")
    };
    Order::new(word, name, brief, rest)
}

/// `LEAD   accept leg_square: 8 settings change, 30 stay.`
pub(super) fn accept(dims: &[String], change: &str) -> Order {
    let dims = dims.join(", ");
    Order::new("LEAD", "accept", format!("accept {dims}"), format!("accept {dims}: {change}"))
}

/// `COUNT   the stack: 9 started, 8 done, 1 set aside.`
pub(super) fn close(planned: &PlannedOperation, done: usize, aside: usize) -> Order {
    let all = done + aside;
    Order::new(
        "COUNT",
        planned.part.as_str(),
        format!("{done} done, {aside} set aside"),
        format!("the stack: {all} started, {done} done, {aside} set aside."),
    )
}
