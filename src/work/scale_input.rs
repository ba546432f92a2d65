//! What a scale shows after it was set, as an event.

use super::context::WorkContext;
use super::refusal::refusal;
use super::slips::SuspectNumber;
use super::task::{SettingTask, ToolChange};
use crate::journal::{Event, ScaleCheck, StoredSetting, UsedValue, split_blanks};
use crate::measure::{Length, Readout, parse_entry};
use crate::operation::{NamedSetting, decimal};
use crate::prose::Message;

/// What the scale shows after it was set. A wrong value is recorded too.
pub(super) fn shown(
    context: &WorkContext<'_>,
    set: &SettingTask,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    if typed.is_empty() {
        return Err(refusal(
            "What does the scale show now?",
            format!("it should show {}", set.readout.shown(set.dial.0)),
        ));
    }
    let shown = parse_entry(typed, &set.readout.entry())?.value;
    let group = set.pieces.first().and_then(|piece| context.group_of(piece));
    let group = group.or_else(|| context.planned()?.groups.first());
    let used = group.map(|group| group.used.as_slice()).unwrap_or_default();
    let right = is_right(set, shown);
    if !right && let Some(question) = slip(set, shown, typed) {
        return Err(refusal(
            question,
            format!("read the scale again; it should show {}", set.readout.shown(set.dial.0)),
        ));
    }
    let fitted = set.fit.iter().map(|change| fitted(context, change));
    let mut events: Vec<Event> = fitted.collect();
    if right {
        events.extend(come_apart(context));
    }
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
        used: used_values(used),
    });
    Ok(events)
}

/// The scales that stand where an earlier operation left them count for this one,
/// with what was typed then.
pub(super) fn standing(context: &WorkContext<'_>) -> Vec<Event> {
    // A scale set for this operation is the one that counts.
    if context.setup().is_some_and(|setup| !setup.shown.is_empty()) {
        return Vec::new();
    }
    let used = context.planned().and_then(|planned| planned.groups.first());
    let used = used.map(|group| group.used.as_slice()).unwrap_or_default();
    let stands = |(named, shown): (&NamedSetting, &ScaleCheck)| Event::Setting {
        op: context.op,
        stored: StoredSetting {
            setting: named.name.clone(),
            pass: None,
            target: named.setting.target,
            dial: named.setting.dial,
        },
        pieces: Vec::new(),
        tool: shown.tool.clone(),
        shown: shown.shown,
        typed: named.readout.shown(shown.shown),
        right: true,
        used: used_values(used),
    };
    context.standing().into_iter().map(stands).collect()
}

fn used_values(used: &[(String, Length, bool)]) -> Vec<UsedValue> {
    let one = |(dim, value, made): &(String, Length, bool)| UsedValue {
        dim: dim.clone(),
        value: *value,
        made: *made,
    };
    used.iter().map(one).collect()
}

/// A tool is in its machine.
pub(super) fn fitted(context: &WorkContext<'_>, change: &ToolChange) -> Event {
    let (machine, tool) = (change.machine.clone(), change.tool.clone());
    Event::Tool { op: context.op, machine, tool }
}

/// The slip that a wrong number of a scale has the shape of. Nobody sets a scale so
/// far off, so it isn't recorded; one that is near may well stand there.
fn slip(set: &SettingTask, shown: Length, typed: &str) -> Option<&'static str> {
    if is_near(set, shown) {
        return None;
    }
    let Readout { unit, step, .. } = set.readout;
    let wanted = set.dial.0;
    if shown.is_negative() && !wanted.is_negative() {
        return Some("Was the minus sign typed by mistake?");
    }
    // What the scale shows is right to half a step of it.
    let uncertainty = step / 2;
    SuspectNumber { number: shown, wanted, uncertainty, unit, typed, block: None }.slip()
}

/// Whether a scale that shows this may stay so.
fn is_right(set: &SettingTask, shown: Length) -> bool {
    let takes = set.takes.is_some_and(|(low, high)| (low..=high).contains(&shown));
    takes || set.readout.same(shown, set.dial)
}

/// Whether a number is what this scale shows: right, or wrong by no more than a
/// tenth.
pub(super) fn looks_like(set: &SettingTask, typed: &str, right: bool) -> bool {
    let Ok(shown) = parse_entry(typed, &set.readout.entry()) else { return false };
    if right { is_right(set, shown.value) } else { is_near(set, shown.value) }
}

/// Whether a scale is wrong by no more than a tenth.
fn is_near(set: &SettingTask, shown: Length) -> bool {
    (shown - set.dial.0).abs() * 10 <= set.dial.0.abs()
}

/// Blanks are split where the finished length is cut: from the first right setting
/// on, each piece is on its own.
fn come_apart(context: &WorkContext<'_>) -> Vec<Event> {
    let parts = context.route.step(context.op).is_some_and(|step| step.what.parts_a_gang());
    if !parts {
        return Vec::new();
    }
    let mut blanks = context.pieces();
    blanks.retain(|piece| piece.gang > 1 && piece.aside.is_none());
    let split = split_blanks(context.route, context.state, &blanks, context.station);
    let apart = blanks.iter().zip(split).map(|(blank, into)| Event::Split {
        op: context.op,
        from: blank.id.clone(),
        into,
    });
    apart.collect()
}

/// What to say when a scale shows a different value than it should.
pub fn wrong_scale(set: &SettingTask, shown: Length) -> String {
    let off = shown - set.dial.0;
    let by = decimal(off.abs(), set.readout.unit);
    let way = if off.is_negative() { "low" } else { "high" };
    let wanted = set.before.map(|before| before - set.dial.0);
    let jogged = set.before.map(|before| before - shown);
    let is_double = wanted.zip(jogged).is_some_and(|(wanted, jogged)| {
        wanted > Length::ZERO && (jogged - wanted * 2).abs() < set.readout.step
    });
    let question =
        if is_double { " Was it closed twice? Open up and come down again." } else { "" };
    format!(
        "It should show {}: it is {by} too {way}. Don't cut yet.{question}",
        set.readout.shown(set.dial.0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::measure::{Dial, Readout, Shows, Target, Unit};

    /// A scale of thousandths that must show 2, or stands anywhere from 2.5 to 3.
    fn fence() -> SettingTask {
        let (two, step) = (Length::INCH * 2, Length::thousandths(1));
        SettingTask {
            fit: None,
            setting: "fence".to_owned(),
            pass: None,
            readout: Readout { unit: Unit::Inch, step, shows: Shows::Decimal },
            target: Target(two),
            dial: Dial(two),
            takes: Some((Length::thousandths(2500), Length::INCH * 3)),
            moved: Length::ZERO,
            pieces: Vec::new(),
            tool: None,
            presses: None,
            before: None,
        }
    }

    /// A tenth of 2 is 0.2: 1.8 and 2.2 may be what the scale shows, set wrong.
    #[test]
    fn a_number_within_a_tenth_is_what_the_scale_shows() {
        let near = |typed: &str| looks_like(&fence(), typed, false);
        for typed in ["2", "1.8", "2.2", "2.001"] {
            assert!(near(typed), "{typed}");
        }
        for typed in ["1.799", "2.201", "2.5", "0", "", "a"] {
            assert!(!near(typed), "{typed}");
        }
    }

    /// Right is what it must show, or what it may, both ends included.
    #[test]
    fn a_scale_is_right_at_its_number_and_in_between_what_it_may_show() {
        let right = |typed: &str| looks_like(&fence(), typed, true);
        for typed in ["2", "2.5", "2.75", "3"] {
            assert!(right(typed), "{typed}");
        }
        for typed in ["2.001", "1.999", "2.499", "3.001", "a"] {
            assert!(!right(typed), "{typed}");
        }
        let bound = SettingTask { takes: None, ..fence() };
        assert!(!looks_like(&bound, "2.75", true) && looks_like(&bound, "2", true));
    }
}
