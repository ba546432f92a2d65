//! What the lead decides about a piece away from the machine: set it aside,
//! use it as another part, make it again.

use super::context::WorkContext;
use super::refusal::{initials_and_why, refusal};
use super::stand_in::stand_in;
use crate::journal::Piece;
use crate::journal::{Decision, Event, NewPiece, PieceId};
use crate::prose::Message;
use crate::route::{PieceLabel, Role};

/// Sets a piece aside at an operation: `MB split at the end`.
pub fn set_aside(
    context: &WorkContext<'_>,
    piece: &PieceId,
    text: &str,
) -> Result<Vec<Event>, Message> {
    let (who, why) = initials_and_why(context, text)?;
    let held = whole(context, piece)?;
    let op = waits_at(context, held);
    let aside = decided(op, piece, Decision::SetAside, format!("{who}: {why}"));
    Ok([Some(aside), stand_in(context, piece)].into_iter().flatten().collect())
}

/// Uses a piece as another part: `rail 160 MB too short for a leg`. The part,
/// the operation it joins at, initials, why.
pub fn use_elsewhere(
    context: &WorkContext<'_>,
    piece: &PieceId,
    text: &str,
) -> Result<Vec<Event>, Message> {
    let held = whole(context, piece)?;
    let text = text.trim();
    let mut parts: Vec<&str> = context.route.parts.iter().map(|part| part.name.as_str()).collect();
    // The longest name first, or `rail, long` would be read as `rail`.
    parts.sort_by_key(|name| std::cmp::Reverse(name.len()));
    let part = parts
        .into_iter()
        .find(|name| text.strip_prefix(name).is_some_and(|rest| rest.starts_with(' ')));
    let Some(part) = part.filter(|part| *part != held.label.part) else {
        return Err(refusal(
            "Reuse it as which part?",
            "type part, operation it joins at, initials, why: rail 160 MB too short for a leg",
        ));
    };
    let rest = text[part.len()..].trim_start();
    let (op, rest) = rest.split_once(' ').unwrap_or((rest, ""));
    let joins =
        op.parse().ok().filter(|op| context.route.step(*op).is_some_and(|s| s.part == part));
    let Some(joins) = joins else {
        return Err(refusal(
            format!("At which operation does it join the {part}s?"),
            "type the number of the operation after the part",
        ));
    };
    let (who, why) = initials_and_why(context, rest)?;
    let number = 1 + context
        .state
        .pieces
        .iter()
        .filter(|other| other.label.part == part && other.label.role != Role::Setup)
        .map(|other| other.label.number)
        .max()
        .unwrap_or(0);
    let label = PieceLabel {
        part: part.to_owned(),
        number,
        role: Role::Spare,
        set: None,
        hand: None,
        make: 1,
    };
    let op = waits_at(context, held);
    Ok(vec![
        decided(op, piece, Decision::UseElsewhere, format!("{who}: {why}")),
        Event::Labelled { piece: piece.clone(), label, joins },
    ])
}

/// Makes a piece again: the new one takes its place, article and hand, goes
/// through every operation the others have passed, and follows their made sizes.
pub fn remake(
    context: &WorkContext<'_>,
    piece: &PieceId,
    text: &str,
) -> Result<Vec<Event>, Message> {
    let (who, why) = initials_and_why(context, text)?;
    let held = whole(context, piece)?;
    let op = waits_at(context, held);
    let label = PieceLabel { make: held.label.make + 1, ..held.label.clone() };
    let id = PieceId::new(context.station, context.state.next_piece_number(context.station));
    Ok(vec![
        decided(op, piece, Decision::Remake, format!("{who}: {why}")),
        Event::Remade { of: piece.clone(), piece: NewPiece { id, label, gang: 1 } },
    ])
}

fn decided(op: u32, piece: &PieceId, decision: Decision, why: String) -> Event {
    Event::Decided { op, piece: piece.clone(), decision, why }
}

fn whole<'a>(context: &WorkContext<'a>, piece: &PieceId) -> Result<&'a Piece, Message> {
    let held = context.state.piece(piece).filter(|held| held.whole);
    held.ok_or_else(|| refusal("That blank was cut into pieces.", "choose one of its pieces"))
}

/// The operation a piece waits for: the first of its part it isn't through.
fn waits_at(context: &WorkContext<'_>, piece: &Piece) -> u32 {
    let steps = context.route.steps.iter().filter(|step| step.part == piece.label.part);
    let mut ops = steps.map(|step| step.op);
    ops.find(|op| !context.state.is_done(*op, &piece.id)).unwrap_or(u32::MAX)
}
