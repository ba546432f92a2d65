//! What people type, turned into events: the other half of `task`.
//! Knows nothing of keys, screens or files.

use super::proposal::Proposal;
use super::task::{ReadReason, SettingTask, Task, WorkContext, verdict_of};
use crate::journal::PieceTally;
use crate::journal::Reference;
use crate::journal::state::NOT_AGAIN;
use crate::journal::{Decision, Event, GaugeSays, PieceId, StoredSetting, TakenReading, UsedValue};
use crate::measure::{Entry, Length, SafeSide, Unit, Verdict, parse_entry};
use crate::operation::{decimal, words};
use crate::plan::PlannedCheck;
use crate::prose::Message;

/// Why an entry was refused, and what to do. What was typed stays.
pub(super) fn refusal(what: impl Into<String>, help: impl Into<String>) -> Message {
    Message::error(what).help(help)
}

/// What can be done with a piece that is out, or too close to call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remedy {
    MeasureAgain,
    CutAgain,
    MoveTheSetting,
    SetAside,
    Accept,
}

impl Remedy {
    pub const ALL: [Remedy; 5] = [
        Remedy::MeasureAgain,
        Remedy::CutAgain,
        Remedy::MoveTheSetting,
        Remedy::SetAside,
        Remedy::Accept,
    ];

    pub fn key(self) -> char {
        match self {
            Remedy::MeasureAgain => 'm',
            Remedy::CutAgain => 'c',
            Remedy::MoveTheSetting => 'v',
            Remedy::SetAside => 's',
            Remedy::Accept => 'a',
        }
    }

    /// The same where room is scarce.
    pub fn brief(self) -> &'static str {
        match self {
            Remedy::MeasureAgain => "again",
            Remedy::CutAgain => "cut",
            Remedy::MoveTheSetting => "move",
            Remedy::SetAside => "aside",
            Remedy::Accept => "accept",
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Remedy::MeasureAgain => "measure again (this one is struck out)",
            Remedy::CutAgain => "cut it again, then measure",
            Remedy::MoveTheSetting => "move the setting, prove it again",
            Remedy::SetAside => "set the piece aside",
            Remedy::Accept => "the lead accepts it: a, initials, why",
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
    let movable = *first && !close && amount_to_move(context, piece, *check).is_some();
    let mut open = Vec::new();
    match (movable, again, close) {
        (_, _, true) => open.push(Remedy::MeasureAgain),
        (true, ..) => open.push(Remedy::MoveTheSetting),
        (false, true, _) => open.push(Remedy::CutAgain),
        (false, false, _) => open.push(Remedy::SetAside),
    }
    for choice in Remedy::ALL {
        let possible = match choice {
            Remedy::CutAgain => again,
            Remedy::MoveTheSetting => movable,
            _ => true,
        };
        if possible && !open.contains(&choice) {
            open.push(choice);
        }
    }
    open
}

/// Turns what was typed into events, or says why not.
pub fn handle_input(
    context: &WorkContext<'_>,
    task: &Task,
    text: &str,
) -> Result<Vec<Event>, Message> {
    let typed = text.trim();
    match task {
        Task::Who => people(context, typed),
        Task::Blocked { openable, .. } => Err(if *openable {
            refusal("This operation waits.", "the lead may open it: press o")
        } else {
            refusal("A machine's own limit can't be opened by anybody.", "see the lead")
        }),
        Task::Caution { machine, tool } => caution_read(context, machine, tool.as_ref(), typed),
        Task::Zero { gauge, block } => zeroed(context, gauge, *block, typed),
        Task::Tool { machine, tool, .. } => Ok(if typed.is_empty() {
            vec![Event::Tool { op: context.op, machine: machine.clone(), tool: tool.clone() }]
        } else {
            kept_aside(context, typed)
        }),
        Task::Set(set) => shown(context, set, typed),
        Task::Feed { pass, pieces, .. } => Ok(if typed.is_empty() {
            vec![fed(context, *pass, pieces)]
        } else {
            kept_aside(context, typed)
        }),
        Task::Read { piece, check, why } => read(context, piece, *check, *why, typed),
        Task::Tick { piece } => {
            let check = context.planned().is_some_and(|planned| !planned.checks.is_empty());
            if typed.is_empty() {
                Ok(vec![done(context, piece, false)])
            } else if check {
                read(context, piece, 0, ReadReason::Check, typed)
            } else {
                Ok(kept_aside(context, typed))
            }
        }
        Task::Decide { piece, check, .. } => decide(context, task, piece, *check, typed),
        Task::Close { done, aside } => Ok(if typed.is_empty() {
            closed(context, *done, *aside)
        } else {
            kept_aside(context, typed)
        }),
        Task::Accept(proposal) => accept(context, proposal, typed),
        Task::Boards(task) => super::boards_task::answer(context, task, typed),
        Task::Finished if context.at_boards() => super::boards_task::afterwards(context, typed),
        Task::Finished => Err(refusal("Nothing is due here.", "r shows all operations")),
    }
}

/// Closing starts the clock of whatever the pieces then wait for.
fn closed(context: &WorkContext<'_>, done: usize, aside: usize) -> Vec<Event> {
    let mut events = vec![Event::Closed { op: context.op, done, aside }];
    let groups = context.planned().map(|planned| planned.groups.as_slice()).unwrap_or_default();
    let waits = groups.iter().filter_map(|group| group.outcome.wait.as_ref());
    if let Some(wait) = waits.max_by_key(|wait| wait.minutes) {
        let (minutes, what) = (wait.minutes, wait.what.clone());
        events.push(Event::Timer { op: context.op, minutes, what });
    }
    events
}

/// A number sent while none is asked is kept as a note, so that none is lost.
fn kept_aside(context: &WorkContext<'_>, typed: &str) -> Vec<Event> {
    vec![Event::Note { op: Some(context.op), text: format!("{KEPT_ASIDE}{typed}") }]
}

/// How a note begins that was typed as a number while none was asked.
pub const KEPT_ASIDE: &str = "typed with nothing asked: ";

/// The lead's initials; before them, where there is a choice, the number of
/// what is kept.
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
                refusal("Which end is kept?", "its number, then the lead's initials: 1 MB")
            })?;
            (chosen, typed[digits..].trim())
        }
    };
    let by = lead(context, who)?;
    Ok(proposal.accepted(chosen, &by))
}

/// Initials: letters only, a few of them.
fn initials(text: &str) -> Result<String, Message> {
    let good = (1..=8).contains(&text.chars().count()) && text.chars().all(char::is_alphabetic);
    if good {
        Ok(text.to_uppercase())
    } else {
        Err(refusal("Initials are one to eight letters.", "such as MB, then Enter"))
    }
}

fn people(context: &WorkContext<'_>, typed: &str) -> Result<Vec<Event>, Message> {
    if typed.is_empty() {
        return match context.state.people.get(context.station) {
            Some(present) => Ok(vec![Event::People { present: present.clone() }]),
            None => Err(refusal("Who is at the machine?", "your initials, then Enter")),
        };
    }
    let present: Result<Vec<String>, Message> =
        typed.split([' ', ',']).filter(|part| !part.is_empty()).map(initials).collect();
    Ok(vec![Event::People { present: present? }])
}

/// Who isn't passed on a machine begins there with the lead beside them.
fn caution_read(
    context: &WorkContext<'_>,
    machine: &str,
    tool: Option<&String>,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let who = context.who.unwrap_or_default();
    let beside = if context.shop.is_signed_off(who, machine) {
        None
    } else if typed.is_empty() {
        return Err(refusal(
            format!("{who} is not signed off on the {machine}."),
            "initials of the lead, who stays beside",
        ));
    } else {
        Some(lead(context, typed)?)
    };
    Ok(vec![Event::CautionRead { machine: machine.to_owned(), tool: tool.cloned(), beside }])
}

/// Checks that these are a lead's initials, as far as the shop file knows leads.
pub(super) fn lead(context: &WorkContext<'_>, typed: &str) -> Result<String, Message> {
    if typed.is_empty() {
        return Err(refusal("The lead decides this.", "the lead's initials, then Enter"));
    }
    let who = initials(typed)?;
    let leads: Vec<&String> = context
        .shop
        .people
        .iter()
        .filter(|(_, person)| person.lead)
        .map(|(name, _)| name)
        .collect();
    if leads.is_empty() || leads.iter().any(|name| name.to_uppercase() == who) {
        Ok(who)
    } else {
        Err(refusal(format!("{who} isn't a lead in this shop."), "see the lead"))
    }
}

/// Opens an operation before its time: `MB glue is dry`.
pub fn open_gate(
    context: &WorkContext<'_>,
    task: &Task,
    text: &str,
) -> Result<Vec<Event>, Message> {
    if let Task::Blocked { openable: false, .. } = task {
        return Err(refusal("A machine's own limit can't be opened by anybody.", "see the lead"));
    }
    let (who, why) = initials_and_why(context, text)?;
    Ok(vec![Event::GateOpened { op: context.op, why: format!("{who}: {why}") }])
}

pub(super) fn initials_and_why(
    context: &WorkContext<'_>,
    text: &str,
) -> Result<(String, String), Message> {
    let (who, why) = text.trim().split_once(char::is_whitespace).unwrap_or((text.trim(), ""));
    let who = lead(context, who)?;
    if why.trim().is_empty() {
        return Err(refusal("And the reason?", "initials, a space, then why"));
    }
    Ok((who, why.trim().to_owned()))
}

/// Says how it stands when people leave in the middle.
pub fn leave(context: &WorkContext<'_>, note: &str) -> Event {
    let part = context.planned().map_or("", |planned| planned.part.as_str());
    let PieceTally { done, to_go, .. } = context.state.tally(part, context.op);
    Event::Left { op: context.op, done, to_go, note: note.trim().to_owned() }
}

/// Strikes out what this station did last.
pub fn void(context: &WorkContext<'_>) -> Result<Event, Message> {
    let last: Option<&Reference> =
        context.state.last_done.get(context.station).and_then(|done| done.last());
    match last {
        Some(what) => Ok(Event::Voided { what: what.clone() }),
        None => Err(refusal("Nothing to take back at this station.", "Enter goes on")),
    }
}

fn zeroed(
    context: &WorkContext<'_>,
    gauge: &str,
    block: Option<Length>,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let event = |typed: Option<String>, read| Event::GaugeZeroed {
        gauge: gauge.to_owned(),
        typed,
        read,
        block,
    };
    let held = context.shop.gauges.get(gauge);
    let (Some(block), Some(held)) = (block, held) else { return Ok(vec![event(None, None)]) };
    let (Some(entry), Some(uncertainty)) = (held.entry(), held.uncertainty()) else {
        return Ok(vec![event(None, None)]);
    };
    if typed.is_empty() {
        return Err(refusal(
            format!("What do the {gauge} read on the block?"),
            format!("it is {}", words(block, context.route.unit)),
        ));
    }
    let read = parse_entry(typed, &entry)?.value;
    if (read - block).abs() > uncertainty {
        return Err(refusal(
            format!(
                "{} on a block of {}: not zero.",
                decimal(read, entry.bare),
                decimal(block, entry.bare)
            ),
            "wipe jaws and block, zero, try again; if it stays, use another gauge",
        ));
    }
    Ok(vec![event(Some(typed.to_owned()), Some(read))])
}

/// What the scale shows after it was set. A wrong one is put on record too.
fn shown(context: &WorkContext<'_>, set: &SettingTask, typed: &str) -> Result<Vec<Event>, Message> {
    if typed.is_empty() {
        return Err(refusal(
            "What does the scale show now?",
            format!("it should show {}", set.readout.shown(set.dial.0)),
        ));
    }
    let shown = parse_entry(typed, &set.readout.entry())?.value;
    let group = set.pieces.first().and_then(|piece| context.group_of(piece));
    let group = group.or_else(|| context.planned()?.groups.first());
    let used = group.map(|group| group.used.clone()).unwrap_or_default();
    let right = set.readout.same(shown, set.dial);
    let mut events = if right { come_apart(context) } else { Vec::new() };
    events.push(Event::Setting {
        op: context.op,
        stored: StoredSetting {
            setting: set.setting.clone(),
            pass: set.pass,
            target: set.target,
            dial: set.dial,
        },
        pieces: set.pieces.clone(),
        tool: set.tool.clone(),
        shown,
        typed: typed.to_owned(),
        right,
        used: used.into_iter().map(|(dim, value, made)| UsedValue { dim, value, made }).collect(),
    });
    Ok(events)
}

/// Blanks of several come apart where the finished length is cut: from the
/// first right setting on, each piece goes its own way.
fn come_apart(context: &WorkContext<'_>) -> Vec<Event> {
    let parts = context.route.step(context.op).is_some_and(|step| step.what.parts_a_gang());
    if !parts {
        return Vec::new();
    }
    let mut taken = 0;
    let mut events = Vec::new();
    for blank in
        context.pieces().into_iter().filter(|piece| piece.gang > 1 && piece.aside.is_none())
    {
        let into =
            crate::journal::split(context.route, context.state, &blank.id, context.station, taken);
        taken += into.len() as u64;
        events.push(Event::Split { op: context.op, from: blank.id.clone(), into });
    }
    events
}

/// What to say when a scale shows something else than it should.
pub fn wrong_scale(set: &SettingTask, shown: Length) -> String {
    let off = shown - set.dial.0;
    let by = decimal(off.abs(), set.readout.unit);
    let way = if off.is_negative() { "low" } else { "high" };
    let asked = set.before.map(|before| before - set.dial.0);
    let jogged = set.before.map(|before| before - shown);
    let twice = asked.zip(jogged).is_some_and(|(asked, jogged)| {
        asked > Length::ZERO && (jogged - asked * 2).abs() < set.readout.step
    });
    let story = if twice { " Closed twice? Open up and come down again." } else { "" };
    format!(
        "It should show {}: {by} too {way}. Nothing through yet.{story}",
        set.readout.shown(set.dial.0)
    )
}

fn fed(context: &WorkContext<'_>, pass: Option<u32>, pieces: &[PieceId]) -> Event {
    let group = pieces.first().and_then(|piece| context.group_of(piece));
    let last = group.and_then(|group| group.outcome.passes.last()).map(|pass| pass.number);
    let setup = context.setup();
    Event::Done {
        op: context.op,
        pieces: pieces.to_vec(),
        pass,
        // A height that a first piece found too big is not the last one.
        through: pass.is_none()
            || (pass == last && setup.is_none_or(|setup| setup.moves.is_empty())),
        tool: setup.and_then(|setup| setup.tool.clone()),
        settings: setup.map(|setup| setup.in_force()).unwrap_or_default(),
        by_reading: false,
    }
}

fn done(context: &WorkContext<'_>, piece: &PieceId, by_reading: bool) -> Event {
    match fed(context, None, std::slice::from_ref(piece)) {
        Event::Done { op, pieces, pass, through, tool, settings, .. } => {
            Event::Done { op, pieces, pass, through, tool, settings, by_reading }
        }
        other => other,
    }
}

fn read(
    context: &WorkContext<'_>,
    piece: &PieceId,
    n: usize,
    why: ReadReason,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let planned = context.planned().ok_or_else(|| refusal("No such operation.", "see the lead"))?;
    let check = planned.checks.get(n).ok_or_else(|| refusal("No such check.", "see the lead"))?;
    if why == ReadReason::Bridge && typed == "x" {
        return Ok(vec![Event::Note { op: Some(context.op), text: NOT_AGAIN.to_owned() }]);
    }
    if why == ReadReason::Between && typed == "x" {
        let drift = super::task::drift(context, check, n);
        let text = drift.map(|drift| drift.skipped_text()).unwrap_or_default();
        return Ok(vec![Event::Note { op: Some(context.op), text }]);
    }
    let taken = taken(context, piece, check, n, typed)?;
    let verdict = verdict_of(&taken);
    let mut events = vec![Event::Reading(taken)];
    let first = why == ReadReason::First;
    if verdict == Verdict::In && !context.wants_more(piece, n, first) {
        if first {
            events.push(Event::FirstPiece { op: context.op, piece: piece.clone() });
        }
        if !is_stack(context, piece) && !context.state.is_done(context.op, piece) {
            events.push(done(context, piece, true));
        }
    }
    Ok(events)
}

fn taken(
    context: &WorkContext<'_>,
    piece: &PieceId,
    check: &PlannedCheck,
    n: usize,
    typed: &str,
) -> Result<TakenReading, Message> {
    let gauge = context
        .gauge(check)
        .ok_or_else(|| refusal(format!("The shop file has no {}.", check.gauge), "see the lead"))?;
    let says = match gauge.entry() {
        Some(entry) => GaugeSays::Size(size(typed, &entry, gauge, context.route.unit)?),
        None => match typed.to_lowercase().as_str() {
            "i" | "in" | "y" => GaugeSays::In,
            "b" | "big" => GaugeSays::TooBig,
            "s" | "small" => GaugeSays::TooSmall,
            _ => {
                return Err(refusal(
                    format!("The {} has no number.", check.gauge),
                    "i in, b too big, s too small, then Enter",
                ));
            }
        },
    };
    let limits = context.limits(piece, n);
    // Nothing is smaller than nothing: a low limit of nought is no limit.
    let low = limits.and_then(|held| held.limits.low).filter(|low| *low > Length::ZERO);
    Ok(TakenReading {
        op: context.op,
        piece: piece.clone(),
        feature: check.of.clone(),
        says,
        typed: typed.to_owned(),
        gauge: check.gauge.clone(),
        uncertainty: gauge.uncertainty().unwrap_or(Length::ZERO),
        target: limits.and_then(|held| held.target),
        low,
        high: limits.and_then(|held| held.limits.high),
        safe: check.safe,
    })
}

fn size(
    typed: &str,
    entry: &Entry,
    gauge: &crate::measure::Gauge,
    unit: Unit,
) -> Result<Length, Message> {
    if typed.is_empty() {
        return Err(refusal("A reading, then Enter.", "1 7/16, 1.4375 or 36.5mm"));
    }
    let size = parse_entry(typed, entry)?.value;
    if let crate::measure::Reads::Number { range: Some(range), .. } = gauge.reads
        && size.abs() > range
    {
        return Err(refusal(
            format!("{} is more than the {} can open.", words(size, unit), gauge.name),
            "read it again, or use another gauge",
        ));
    }
    Ok(size)
}

/// The setting that sizes what a check measures, and by how much its scale
/// has to move for the next piece; nothing where a gauge gives no number.
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
    let taken = &context.state.standing(context.op, piece, &check.of)?.taken;
    let by = taken.target? - taken.size()?;
    let step = setting.readout.step;
    // Rounded as the scale can make it, leaving wood on; but never by nothing.
    let whole = match check.safe {
        SafeSide::Big => (by.ratio(step) - 1e-6).ceil(),
        SafeSide::Small => (by.ratio(step) + 1e-6).floor(),
        SafeSide::Neither => by.ratio(step).round(),
    };
    let whole = if whole == 0.0 { by.ratio(step).signum() } else { whole };
    let by = step * whole as i64;
    if setting.shrinks.as_ref() == of {
        return Some((setting.name.clone(), -by));
    }
    // A stack comes down by no more than one height may take.
    let over = super::advice::over(taken);
    let most =
        over.and_then(|over| context.closer(over)).map(|closer| -(step * steps(closer, step)));
    Some((
        setting.name.clone(),
        most.filter(|most| !most.is_zero()).map_or(by, |most| by.max(most)),
    ))
}

/// How many whole steps there are in a length.
fn steps(length: Length, step: Length) -> i64 {
    (length.ratio(step) + 1e-6).floor() as i64
}

fn decide(
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
    // A key stands alone or before a space: a word is no decision.
    let plain = rest.is_empty() || rest.starts_with(char::is_whitespace);
    let chosen = match key {
        None => open.first(),
        Some(key) => open.iter().find(|choice| plain && choice.key() == key),
    };
    let Some(choice) = chosen else {
        let keys: Vec<String> = open.iter().map(|choice| choice.key().to_string()).collect();
        let help = format!("one of {}", keys.join(", "));
        return Err(refusal("First decide about this one.", help));
    };
    let gone = || refusal("No reading stands.", "measure it");
    let check_of =
        context.planned().and_then(|planned| planned.checks.get(check)).ok_or_else(gone)?;
    let reading = context.state.standing(context.op, piece, &check_of.of).ok_or_else(gone)?;
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
        Remedy::MeasureAgain => Ok(vec![Event::Voided { what: reading.reference.clone() }]),
        Remedy::CutAgain => Ok(vec![decided(Decision::Rework, words.to_owned())]),
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
            Ok(vec![decided(Decision::SetAside, why.to_owned())])
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

/// Whether pieces go through heights together: then the stack ticks them.
fn is_stack(context: &WorkContext<'_>, piece: &PieceId) -> bool {
    context.group_of(piece).is_some_and(|group| !group.outcome.passes.is_empty())
}
