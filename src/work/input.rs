//! What people type, turned into events.

use super::closing::{closed, closed_by, settled};
use super::context::WorkContext;
use super::counted::{cut, feed, unasked};
use super::proposal::Proposal;
use super::reading_input::{read, zeroed};
use super::refusal::{initials, initials_and_why, lead, refusal};
use super::remedy::decide;
use super::scale_input::{fitted, shown, standing};
use super::task::Task;
use crate::journal::{Event, PieceTally};
use crate::prose::Message;

/// Turns what was typed into events, or says why not. An answer that leaves nothing
/// to do closes the operation.
pub fn handle_input(
    context: &WorkContext<'_>,
    task: &Task,
    text: &str,
) -> Result<Vec<Event>, Message> {
    let mut events = answer(context, task, text)?;
    if matches!(task, Task::Set(_) | Task::Cut { .. } | Task::Feed { .. } | Task::Read { .. }) {
        events.splice(0..0, standing(context));
    }
    if matches!(
        task,
        Task::Cut { .. } | Task::Feed { .. } | Task::Read { .. } | Task::Decide { .. }
    ) {
        events.extend(closed_by(context, &events));
    }
    Ok(events)
}

fn answer(context: &WorkContext<'_>, task: &Task, text: &str) -> Result<Vec<Event>, Message> {
    let typed = text.trim();
    match task {
        Task::Who => people(context, typed),
        Task::Blocked { openable, .. } => Err(if *openable {
            refusal("This operation must wait.", "the lead may open it: o, then Enter")
        } else {
            refusal("Nobody may override a machine's own limit.", "see the lead")
        }),
        Task::Caution { machine, tool } => caution_read(context, machine, tool.as_ref(), typed),
        Task::Zero { gauge, block } => zeroed(context, gauge, *block, typed),
        Task::Tool(change) => Ok(if typed.is_empty() {
            vec![fitted(context, change)]
        } else {
            unasked(context, typed)
        }),
        Task::Set(set) => shown(context, set, typed),
        Task::Feed { pass, pieces, then, .. } => feed(context, *pass, pieces, then.as_ref(), typed),
        Task::Read { piece, check, why } => read(context, piece, *check, *why, typed),
        Task::Cut { pieces, then } => cut(context, pieces, then.as_ref(), typed),
        Task::Decide { piece, check, .. } => decide(context, task, piece, *check, typed),
        Task::Close { done, aside }
            if typed.parse() != Ok(*done) && typed.parse::<usize>().is_ok() =>
        {
            Err(refusal(
                format!("You count {typed}; {done} are done and {aside} set aside on record."),
                "find the piece that is missing, or p shows them all",
            ))
        }
        Task::Close { done, aside } => Ok(if typed.is_empty() || typed.parse() == Ok(*done) {
            let events = closed(context, *done, *aside, false);
            let settled = settled(context, &events);
            [events, settled].concat()
        } else {
            unasked(context, typed)
        }),
        Task::Accept(proposal) => accept(context, proposal, typed),
        Task::Boards(task) => super::boards_task::answer(context, task, typed),
        Task::Finished if context.at_boards() => super::boards_task::afterwards(context, typed),
        Task::Finished => Err(refusal("Nothing is left to do here.", "r shows all operations")),
    }
}

/// The lead's initials, after the number of what is kept where there is a choice.
fn accept(
    context: &WorkContext<'_>,
    proposal: &Proposal,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let (chosen, who) = match proposal.keeps.as_slice() {
        [only] => (only, typed),
        several => {
            let digits = typed.chars().take_while(char::is_ascii_digit).count();
            let chosen =
                typed[..digits].parse::<usize>().ok().and_then(|n| several.get(n.checked_sub(1)?));
            let chosen = chosen.ok_or_else(|| {
                refusal(
                    "Which one keeps its size?",
                    "type its number and the lead's initials: 1 MB",
                )
            })?;
            (chosen, typed[digits..].trim())
        }
    };
    let by = lead(context, who).map_err(|refused| match proposal.keeps.len() {
        1 => refused,
        _ => refused.help("its number and the lead's initials, such as 1 MB"),
    })?;
    Ok(proposal.accepted(chosen, Some(&by)))
}

fn people(context: &WorkContext<'_>, typed: &str) -> Result<Vec<Event>, Message> {
    if typed.is_empty() {
        return match context.state.people.get(context.station) {
            Some(present) => Ok(vec![Event::People { present: present.clone() }]),
            None => Err(refusal("Who is at the machine?", "type your initials, then Enter")),
        };
    }
    let present: Result<Vec<String>, Message> =
        typed.split([' ', ',']).filter(|part| !part.is_empty()).map(initials).collect();
    Ok(vec![Event::People { present: present? }])
}

/// Somebody takes the keys; whoever else is here stays.
pub fn hand_keys(context: &WorkContext<'_>, typed: &str) -> Result<Event, Message> {
    let first = initials(typed.trim())?;
    let others = context.state.people.get(context.station).into_iter().flatten();
    let others: Vec<String> = others.filter(|other| **other != first).cloned().collect();
    Ok(Event::People { present: [vec![first], others].concat() })
}

/// Somebody who is not signed off on a machine begins there with the lead beside
/// them.
fn caution_read(
    context: &WorkContext<'_>,
    machine: &str,
    tool: Option<&String>,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let who = context.who.unwrap_or_default();
    let beside = if context.is_signed_off(who, machine) {
        if !typed.is_empty() {
            return Err(refusal(
                "No number is asked for here.",
                "read the cautions; Enter alone says that you have",
            ));
        }
        None
    } else if typed.is_empty() {
        return Err(refusal(
            format!("{who} is not signed off on the {machine}."),
            "type the initials of the lead who stays beside you",
        ));
    } else {
        Some(lead(context, typed)?)
    };
    Ok(vec![Event::CautionRead { machine: machine.to_owned(), tool: tool.cloned(), beside }])
}

/// Opens an operation before its time: `MB glue is dry`.
pub fn open_gate(
    context: &WorkContext<'_>,
    task: &Task,
    text: &str,
) -> Result<Vec<Event>, Message> {
    if let Task::Blocked { openable: false, .. } = task {
        return Err(refusal("Nobody may override a machine's own limit.", "see the lead"));
    }
    let (by, why) = initials_and_why(context, text)?;
    Ok(vec![Event::GateOpened { op: context.op, by, why }])
}

/// Records how far people came when they leave in the middle.
pub fn leave(context: &WorkContext<'_>, note: &str) -> Event {
    let part = context.planned().map_or("", |planned| planned.part.as_str());
    let PieceTally { done, to_go, .. } = context.state.tally(part, context.op);
    Event::Left { op: context.op, done, to_go, note: note.trim().to_owned() }
}
