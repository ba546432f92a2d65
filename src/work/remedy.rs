//! What can be done with a piece that is not within limits, and the events it makes.

use super::context::WorkContext;
use super::pass_through::{done, is_stack};
use super::reading_mistakes::{is_far_off, slip};
use super::refusal::{initials_and_why, refusal};
use super::stand_in::stand_in;
use super::task::Task;
use crate::journal::{Decision, Event, PieceId, ReadingRecord};
use crate::measure::{Length, SafeSide, Verdict};
use crate::operation::scale_name;
use crate::plan::PlannedCheck;
use crate::prose::Message;

/// What can be done with a piece that is out of limits, or too close to call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remedy {
    /// Measure again; the reading is voided.
    MeasureAgain,
    /// Cut the piece again.
    CutAgain,
    /// Put right what is out of square, not flat or open.
    PutRight,
    /// Move the setting and prove it again.
    MoveTheSetting,
    /// Set the piece aside.
    SetAside,
    /// The lead accepts the piece as it is.
    Accept,
}

impl Remedy {
    /// Every remedy, in the order they are shown.
    pub const ALL: [Remedy; 6] = [
        Remedy::MeasureAgain,
        Remedy::CutAgain,
        Remedy::PutRight,
        Remedy::MoveTheSetting,
        Remedy::SetAside,
        Remedy::Accept,
    ];

    /// The letter that chooses it.
    pub fn key(self) -> char {
        match self {
            Remedy::MeasureAgain => 'm',
            Remedy::CutAgain | Remedy::PutRight => 'c',
            Remedy::MoveTheSetting => 'v',
            Remedy::SetAside => 's',
            Remedy::Accept => 'a',
        }
    }

    /// What it does, in one word.
    pub fn brief(self) -> &'static str {
        match self {
            Remedy::MeasureAgain => "again",
            Remedy::CutAgain => "cut",
            Remedy::PutRight => "put right",
            Remedy::MoveTheSetting => "move",
            Remedy::SetAside => "aside",
            Remedy::Accept => "accept",
        }
    }

    /// What it is for and what follows, in a sentence or two.
    pub fn explained(self) -> &'static str {
        match self {
            Remedy::MeasureAgain => "Wipe the piece and the gauge first. The record keeps both.",
            Remedy::CutAgain => "It has wood enough: take off what the screen says.",
            Remedy::PutRight => "Its form is out and not its size: do what the screen says.",
            Remedy::MoveTheSetting => {
                "The scale is off. This piece is cut again where it can be, else it is set aside."
            }
            Remedy::SetAside => {
                "It goes no further. A spare takes its place, if there is one. A reason may follow."
            }
            Remedy::Accept => "It is out and still good enough. The record keeps who said so.",
        }
    }

    /// What it does, as the screen says it.
    pub fn words(self) -> &'static str {
        match self {
            Remedy::MeasureAgain => "measure again (this reading is voided)",
            Remedy::CutAgain => "cut it again, then measure",
            Remedy::PutRight => "put it right, then measure",
            Remedy::MoveTheSetting => "move the setting, then prove it on a piece",
            Remedy::SetAside => "set the piece aside",
            Remedy::Accept => "the lead accepts it: type a, initials, why",
        }
    }
}

/// The choices open for a piece, the expected one first.
pub fn choices(context: &WorkContext<'_>, task: &Task) -> Vec<Remedy> {
    let Task::Decide { verdict, first, check, piece } = task else { return Vec::new() };
    let again = matches!(
        verdict,
        Verdict::TooBig { again: true, .. } | Verdict::TooSmall { again: true, .. }
    );
    let close = matches!(verdict, Verdict::TooClose { .. });
    let is_form = |planned: &PlannedCheck| planned.kind.is_form();
    let checks = context.planned().map(|planned| &planned.checks);
    let is_form = checks.and_then(|checks| checks.get(*check)).is_some_and(is_form);
    let cure = if is_form { Remedy::PutRight } else { Remedy::CutAgain };
    let mut open = Vec::new();
    let reading = checks
        .and_then(|checks| checks.get(*check))
        .and_then(|planned| context.state.reading_in_force(context.op, piece, &planned.of));
    let is_slip = reading.is_some_and(|reading| slip(context, &reading.taken).is_some());
    let is_far_off = !is_form && reading.is_some_and(|reading| is_far_off(&reading.taken));
    if is_slip && is_far_off {
        // Nothing is cut, moved or set aside for what nobody has read twice.
        return vec![Remedy::MeasureAgain, Remedy::Accept];
    }
    let movable =
        *first && !close && !is_far_off && amount_to_move(context, piece, *check).is_some();
    match (movable, again, close) {
        _ if is_slip => open.push(Remedy::MeasureAgain),
        _ if is_far_off => open.push(Remedy::SetAside),
        (_, _, true) => open.push(Remedy::MeasureAgain),
        (true, ..) => open.push(Remedy::MoveTheSetting),
        (false, true, _) => open.push(cure),
        (false, false, _) => open.push(Remedy::SetAside),
    }
    for choice in Remedy::ALL {
        let possible = match choice {
            Remedy::CutAgain | Remedy::PutRight => again && choice == cure,
            Remedy::MoveTheSetting => movable,
            _ => true,
        };
        if possible && !open.contains(&choice) {
            open.push(choice);
        }
    }
    open
}

/// The setting that sizes what a check measures, and by how much its scale
/// has to move for the next piece. None where a gauge gives no number, and where the
/// scale would have to show less than nothing or more than it can.
fn amount_to_move(
    context: &WorkContext<'_>,
    piece: &PieceId,
    check: usize,
) -> Option<(String, Length)> {
    let check = context.planned()?.checks.get(check)?;
    let outcome = &context.group_of(piece)?.outcome;
    let of = Some(&check.of);
    let setting = outcome
        .settings
        .iter()
        .find(|held| held.sizes.as_ref() == of || held.shrinks.as_ref() == of)?;
    let taken = &context.state.reading_in_force(context.op, piece, &check.of)?.taken;
    let by = taken.target? - taken.size()?;
    let step = setting.readout.step;
    // Rounded to a step of the scale that leaves wood on, and at least one step.
    let whole = match check.safe {
        SafeSide::Big => (by.ratio(step) - 1e-6).ceil(),
        SafeSide::Small => (by.ratio(step) + 1e-6).floor(),
        SafeSide::Neither => by.ratio(step).round(),
    };
    let whole = if whole == 0.0 { by.ratio(step).signum() } else { whole };
    let by = step * whole as i64;
    let moves = context.setup().and_then(|setup| setup.moves.get(&setting.name));
    let dial = setting.setting.dial.0 + moves.copied().unwrap_or_default();
    let end = scale_end(context, &setting.name);
    let is_shown = |by: &Length| {
        let is_within = end.is_none_or(|end| dial + *by <= end);
        is_within && (dial <= Length::ZERO || dial + *by > Length::ZERO)
    };
    if setting.shrinks.as_ref() == of {
        return Some(-by).filter(is_shown).map(|by| (setting.name.clone(), by));
    }
    // A stack comes down by no more than one pass may cut.
    let over = super::advice::over(taken);
    let most =
        over.and_then(|over| context.closer(over)).map(|closer| -(step * steps(closer, step)));
    let by = most.filter(|most| !most.is_zero()).map_or(by, |most| by.max(most));
    Some(by).filter(is_shown).map(|by| (setting.name.clone(), by))
}

/// Where the travel of a setting's scale ends.
fn scale_end(context: &WorkContext<'_>, setting: &str) -> Option<Length> {
    let machine = context.shop.machines.get(context.planned()?.at.as_ref()?)?;
    machine.readouts.get(scale_name(setting))?.most
}

/// How many whole steps there are in a length.
fn steps(length: Length, step: Length) -> i64 {
    (length.ratio(step) + 1e-6).floor() as i64
}

pub(super) fn decide(
    context: &WorkContext<'_>,
    task: &Task,
    piece: &PieceId,
    check: usize,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let Task::Decide { verdict, first, .. } = task else { return Ok(Vec::new()) };
    let open = choices(context, task);
    let mut letters = typed.chars();
    let key = letters.next().map(|key| key.to_ascii_lowercase());
    let rest = letters.as_str();
    // The letter is alone or before a space: a word is no decision.
    let plain = rest.is_empty() || rest.starts_with(char::is_whitespace);
    let chosen = match key {
        None => open.first(),
        Some(key) => open.iter().find(|choice| plain && choice.key() == key),
    };
    let Some(choice) = chosen else {
        let keys: Vec<String> = open.iter().map(|choice| choice.key().to_string()).collect();
        let help = format!("type one of {}; to accept: a MB worn blade", keys.join(", "));
        return Err(refusal("Choose what to do with this piece.", help));
    };
    let gone = || refusal("There is no reading of it.", "measure it");
    let check_of =
        context.planned().and_then(|planned| planned.checks.get(check)).ok_or_else(gone)?;
    let reading =
        context.state.reading_in_force(context.op, piece, &check_of.of).ok_or_else(gone)?;
    let decided = |decision, why: String| Event::Decided {
        op: context.op,
        piece: piece.clone(),
        decision,
        why,
    };
    let (much, little) = check_of.kind.too();
    let words = match verdict {
        Verdict::TooBig { .. } => much,
        Verdict::TooSmall { .. } => little,
        Verdict::In | Verdict::TooClose { .. } => "too close to call",
    };
    match choice {
        Remedy::MeasureAgain => Ok(vec![voided(reading)]),
        Remedy::CutAgain | Remedy::PutRight => {
            Ok(vec![decided(Decision::Rework, words.to_owned())])
        }
        Remedy::MoveTheSetting => {
            let (setting, by) = amount_to_move(context, piece, check).ok_or_else(gone)?;
            let again = matches!(
                verdict,
                Verdict::TooBig { again: true, .. } | Verdict::TooSmall { again: true, .. }
            );
            let what = if again { Decision::Rework } else { Decision::SetAside };
            let why = format!("first piece {words}");
            Ok(vec![
                decided(what, words.to_owned()),
                Event::Moved { op: context.op, setting, by, why },
            ])
        }
        Remedy::SetAside => {
            let why = if rest.trim().is_empty() { words } else { rest.trim() };
            let aside = decided(Decision::SetAside, why.to_owned());
            Ok([Some(aside), stand_in(context, piece)].into_iter().flatten().collect())
        }
        Remedy::Accept => {
            let (who, why) = initials_and_why(context, rest)?;
            let mut events = vec![decided(Decision::Accept, format!("{who}: {why}"))];
            if !context.wants_more(piece, check, *first) {
                if *first {
                    events.push(Event::FirstPiece { op: context.op, piece: piece.clone() });
                }
                if !is_stack(context, piece) && !context.state.is_done(context.op, piece) {
                    events.push(done(context, piece, true));
                }
            }
            Ok(events)
        }
    }
}

/// A reading that says nothing of the piece until it is measured again.
fn voided(reading: &ReadingRecord) -> Event {
    Event::Voided { what: reading.reference.clone(), to_measure_again: true }
}
