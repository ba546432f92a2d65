//! What the lists of operations, pieces and waits say, in words: the screens fit
//! them into columns, and where lines are read aloud each stands alone.

use chrono::{DateTime, FixedOffset};

use crate::journal::{Piece, PieceTally};
use crate::measure::{Feature, Unit};
use crate::operation::{decimal, words};
use crate::plan::dimensions;
use crate::prose::long;
use crate::route::{Role, Step};
use crate::work::{Matched, NextOperation, others_there, questions, waits_for_the_lead};

use super::app::Session;
use super::machine_view::place_on_board;

/// What adds something to the count: who is there, what waits.
pub(super) fn progress_words(session: &Session, step: &Step) -> String {
    let others = others_there(&session.context(), step.op);
    let others: Vec<String> = others.into_iter().flat_map(|held| held.who).collect();
    let progress = progress_alone(session, step);
    if others.is_empty() {
        return progress;
    }
    let others = format!("{} there", others.join(" "));
    match step.op == session.context().op {
        true => format!("{progress}, {others}"),
        false => format!("{others}, {progress}"),
    }
}

fn progress_alone(session: &Session, step: &Step) -> String {
    let (state, route) = (&session.snapshot.state, &session.snapshot.route);
    let PieceTally { done, aside, to_go } = state.tally(&step.part, step.op);
    let aside_words = if aside > 0 { format!(", {aside} aside") } else { String::new() };
    if waits_for_the_lead(route, state, step.op) {
        "lead must accept".to_owned()
    } else if state.is_closed(step.op) {
        format!("done{aside_words}")
    } else if state.setups.get(&step.op).is_some_and(|setup| setup.left.is_some()) {
        format!("LEFT HALF DONE {done}/{}", done + to_go)
    } else if step.op == session.context().op {
        format!("HERE{aside_words}")
    } else {
        match (done, aside) {
            (0, 0) => format!("{to_go} to go"),
            (done, 0) => format!("{done} done, {to_go} to go"),
            (done, aside) => format!("{done} done, {aside} aside"),
        }
    }
}

/// Dimensions that were made, planned beside made; then what the lead is asked.
pub(super) fn sizes(session: &Session) -> Vec<String> {
    let (state, route) = (&session.snapshot.state, &session.snapshot.route);
    let mut lines = Vec::new();
    for question in questions(state) {
        lines.push(format!("For the lead: {question}"));
    }
    let known = state.known();
    for dimension in dimensions(route, &known) {
        for made in &dimension.made {
            let planned = dimension.planned.as_ref().ok().and_then(|value| value.length());
            let planned = planned.map_or_else(String::new, |p| words(p, route.unit));
            lines.push(format!(
                "{} planned {planned}, made {}: {}",
                dimension.name,
                words(made.value, route.unit),
                made.words
            ));
        }
    }
    let waiting =
        route.steps.iter().flat_map(|step| &step.checks).filter_map(|c| c.becomes.as_ref());
    for becomes in waiting {
        if !known.made.iter().any(|made| made.dim == becomes.dim) {
            let planned = route.dims.value(&becomes.dim, &|_| None).ok().and_then(|v| v.length());
            let planned = planned.map_or_else(String::new, |p| words(p, route.unit));
            lines.push(format!("{} planned {planned}", becomes.dim));
        }
    }
    lines
}

/// `leg 4, back left`; `leg blank 2, 3 in one`.
pub(super) fn piece_name(piece: &Piece) -> String {
    let label = &piece.label;
    match (label.role, &label.hand) {
        (Role::Set, Some(hand)) => format!("{label}, {hand}"),
        (Role::Blank, _) => format!("{label}, {} in one", piece.gang),
        _ => label.to_string(),
    }
}

/// Why a piece is no longer there, or else its last reading.
pub(super) fn piece_outcome(session: &Session, piece: &Piece) -> String {
    match (&piece.aside, piece.whole) {
        (Some((op, why)), _) => format!("SET ASIDE at op {op}: {why}"),
        (_, false) => "cut apart".to_owned(),
        _ => last_reading(session, piece),
    }
}

/// `60 length 20.004`.
fn last_reading(session: &Session, piece: &Piece) -> String {
    let mut own = session.snapshot.state.readings_on(&piece.id).rev();
    own.find(|held| !held.voided).map_or_else(String::new, |held| {
        let taken = &held.taken;
        let unit = session.snapshot.route.unit;
        let size = taken.size().map_or_else(|| taken.typed.clone(), |size| decimal(size, unit));
        format!("{} {} {size}", taken.op, taken.feature)
    })
}

/// What one piece read at each operation, and what was decided about it; its name
/// comes first.
pub(super) fn way(session: &Session, piece: &Piece) -> Vec<String> {
    let state = &session.snapshot.state;
    let unit: Unit = session.snapshot.route.unit;
    let article = &session.snapshot.route.article;
    let set = piece.label.set.map(|set| format!("{article} {set}"));
    let board = place_on_board(state, unit, &piece.id).map(|place| format!("from {place}"));
    let mut steps: Vec<String> = set.into_iter().chain(board).collect();
    let known = steps.len();
    for reading in state.readings_on(&piece.id) {
        let taken = &reading.taken;
        let size = taken.size().map_or_else(|| taken.typed.clone(), |size| decimal(size, unit));
        let check = session
            .snapshot
            .route
            .step(taken.op)
            .and_then(|step| step.checks.iter().find(|check| check.of == taken.feature));
        let kind = check.map_or(Feature::Size, |check| check.kind);
        let verdict = if reading.voided {
            "struck out".to_owned()
        } else {
            let said = taken.verdict().words(kind, unit, 3);
            said.split(':').next().unwrap_or_default().to_owned()
        };
        steps.push(format!("op {} {} {size} {verdict}", taken.op, taken.feature));
    }
    for ruling in &piece.decisions {
        let decided = ruling.decision.outcome();
        steps.push(format!("op {} {decided}: {}", ruling.op, ruling.why));
    }
    if steps.len() == known {
        steps.push("nothing measured yet".to_owned());
    }
    steps.extend(state.remarks_on(&piece.id).map(|note| {
        let who = note.who.as_deref().unwrap_or("?");
        let at = note.at.format("%e %b %H:%M").to_string();
        format!("note {who} {}: {}", at.trim_start(), note.text)
    }));
    if let Some(first) = steps.first_mut() {
        *first = format!("{}: {first}", piece.label);
    }
    steps
}

/// `START op 60 crosscut leg at the stop saw: 9 to go`.
pub(super) fn ready_words(held: &NextOperation) -> String {
    let at = held.at.as_ref().map_or_else(String::new, |at| format!(" at the {at}"));
    let what = format!("op {} {} {}{at}: {} to go", held.op, held.kind, held.part, held.to_go);
    if held.is_ready() { format!("START {what}") } else { format!("waits {what}") }
}

/// Who is at it from other stations.
pub(super) fn others_words(
    held: &NextOperation,
    now: DateTime<FixedOffset>,
) -> impl Iterator<Item = String> {
    held.others.iter().map(move |others| others.sentence(now))
}

/// Why it can't start, and how long its part still waits.
pub(super) fn waiting_words(held: &NextOperation) -> Vec<String> {
    let waiting = (held.waiting > 0)
        .then(|| format!("{} of waiting time left for this part", long(held.waiting)));
    held.reasons.iter().cloned().chain(waiting).collect()
}

/// `leg, matched by width: at most 0.003 apart, 0.011 if taken in cut order`.
pub(super) fn matched_by(held: &Matched, unit: Unit) -> String {
    format!(
        "{}, matched by {}: at most {} apart, {} if taken in cut order",
        held.part,
        held.by,
        decimal(held.worst, unit),
        decimal(held.as_they_come, unit)
    )
}

/// Which pieces go together, a group each.
pub(super) fn matched_groups(session: &Session, held: &Matched) -> Vec<String> {
    let state = &session.snapshot.state;
    if !held.is_worth_it() {
        let seen = decimal(held.seen_from, session.snapshot.route.unit);
        return vec![format!("Take them as they come: the gauge can't tell {seen} apart.")];
    }
    let groups = held.groups.iter().map(|group| {
        let names: Vec<String> = group.iter().map(|id| state.name(id)).collect();
        match names.as_slice() {
            [a, c, b, d] => format!("{a} opposite {c}; {b} opposite {d}"),
            _ => names.join(" with "),
        }
    });
    groups.collect()
}
