//! What is typed while pieces are cut or fed that nobody measures: nothing for all
//! of them, a count of those done so far, or the number that comes next.

use super::context::WorkContext;
use super::pass_through::fed;
use super::reading_input::read;
use super::reading_mistakes::is_far_off;
use super::refusal::refusal;
use super::scale_input::{looks_like, shown};
use super::task::{NextNumber, ReadReason, SettingTask};
use crate::journal::{Event, PieceId};
use crate::prose::Message;

/// Pieces that are cut one after another.
pub(super) fn cut(
    context: &WorkContext<'_>,
    pieces: &[PieceId],
    then: Option<&NextNumber>,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    if let Some(some) = counted(pieces, typed) {
        return Ok(vec![fed(context, None, some)]);
    }
    let checks = context.planned().is_some_and(|planned| !planned.checks.is_empty());
    match (then, pieces) {
        (Some(NextNumber::Read { piece, check, why, .. }), _) => {
            let reading = reading(context, pieces, (piece, *check, *why), typed)?;
            Ok([vec![fed(context, None, pieces)], reading].concat())
        }
        // Measuring more than is asked for is welcome.
        (None, [piece]) if checks => reading(context, pieces, (piece, 0, ReadReason::Check), typed),
        (None, [_]) if !is_whole(typed) => Ok(unasked(context, typed)),
        _ => Err(no_count(pieces, typed)),
    }
}

/// Pieces that are fed through a pass together.
pub(super) fn feed(
    context: &WorkContext<'_>,
    pass: Option<u32>,
    pieces: &[PieceId],
    then: Option<&NextNumber>,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    if let Some(some) = counted(pieces, typed) {
        return Ok(vec![fed(context, pass, some)]);
    }
    match then {
        Some(NextNumber::Read { piece, check, why, through }) => {
            let reading = reading(context, pieces, (piece, *check, *why), typed)?;
            let alone = through.map(|pass| fed(context, Some(pass), std::slice::from_ref(piece)));
            let fed = [fed(context, pass, pieces)].into_iter().chain(alone);
            Ok(fed.chain(reading).collect())
        }
        Some(NextNumber::Set(settings)) => match set_next(settings, typed) {
            Some(reached) => through_to(context, pass, pieces, &settings[..=reached], typed),
            None => Err(no_height(settings, pieces, typed)),
        },
        None if pieces.len() == 1 && !is_whole(typed) => Ok(unasked(context, typed)),
        None => Err(no_count(pieces, typed)),
    }
}

/// A reading typed where a count could be typed too. A whole number that is no count
/// and far off as a size is neither, so nothing is recorded.
fn reading(
    context: &WorkContext<'_>,
    pieces: &[PieceId],
    (piece, check, why): (&PieceId, usize, ReadReason),
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let events = read(context, piece, check, why, typed)?;
    let is_far = |event: &Event| matches!(event, Event::Reading(taken) if is_far_off(taken));
    if !is_whole(typed) || !events.iter().any(is_far) {
        return Ok(events);
    }
    let name = context.state.name(piece);
    let count = match pieces.len() {
        1 => "1 piece".to_owned(),
        count => format!("{count} pieces"),
    };
    Err(refusal(
        format!("{typed} is no count of {count}, and far off for {name}."),
        format!("a count is 1 to {}; a size is typed with its decimals", pieces.len()),
    ))
}

fn is_whole(typed: &str) -> bool {
    typed.chars().all(|letter| letter.is_ascii_digit())
}

/// A number that is neither a count nor what the scale shows at one of the heights.
fn no_height(settings: &[SettingTask], pieces: &[PieceId], typed: &str) -> Message {
    let Some(next) = settings.first() else { return no_count(pieces, typed) };
    let should = next.readout.shown(next.dial.0);
    let done = match pieces.len() {
        1 => "Enter alone says that it is through".to_owned(),
        count => format!("1 to {count} says how many are through"),
    };
    refusal(
        format!("{typed} is none of the heights that follow."),
        format!("the scale shows {should} at the next; {done}"),
    )
}

fn no_count(pieces: &[PieceId], typed: &str) -> Message {
    if !is_whole(typed) {
        let help = "Enter says all of them; a number says how many so far";
        return refusal("A count is a whole number.", help);
    }
    refusal(
        format!("{typed} is no count of {} pieces.", pieces.len()),
        "Enter says all of them; a number says how many so far",
    )
}

/// The pieces that are done: all of them, or the first so many.
fn counted<'p>(pieces: &'p [PieceId], typed: &str) -> Option<&'p [PieceId]> {
    if typed.is_empty() {
        return Some(pieces);
    }
    let count = typed.parse::<usize>().ok().filter(|count| is_whole(typed) && *count > 0)?;
    pieces.get(..count)
}

/// Which of the next heights a number is, the next one first.
fn set_next(settings: &[SettingTask], typed: &str) -> Option<usize> {
    let right = settings.iter().position(|set| looks_like(set, typed, true));
    right.or_else(|| settings.first().filter(|set| looks_like(set, typed, false)).map(|_| 0))
}

/// All pieces went through this pass and those up to the last of `settings`, whose
/// height the scale shows now.
fn through_to(
    context: &WorkContext<'_>,
    pass: Option<u32>,
    pieces: &[PieceId],
    settings: &[SettingTask],
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let Some((reached, between)) = settings.split_last() else { return Ok(Vec::new()) };
    let mut events = vec![fed(context, pass, pieces)];
    events.extend(between.iter().map(|skipped| fed(context, skipped.pass, pieces)));
    events.extend(shown(context, reached, typed)?);
    Ok(events)
}

/// A number that comes while none is asked for is kept, so that none is lost.
pub(super) fn unasked(context: &WorkContext<'_>, typed: &str) -> Vec<Event> {
    vec![Event::TypedUnasked { op: context.op, typed: typed.to_owned() }]
}
