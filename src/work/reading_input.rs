//! What a gauge reads, as events: the reading and what follows from it at once.

use super::context::WorkContext;
use super::pass_through::{done, is_stack};
use super::refusal::refusal;
use super::task::ReadReason;
use crate::journal::{Event, GaugeSays, PieceId, TakenReading};
use crate::measure::{Entry, Gauge, Length, Reads, SafeSide, Unit, Verdict, parse_entry};
use crate::operation::{decimal, words};
use crate::plan::PlannedCheck;
use crate::prose::Message;

pub(super) fn zeroed(
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
            format!("Type the reading of the {gauge} on the block."),
            format!("the block is {}", words(block, context.route.unit)),
        ));
    }
    let read = parse_entry(typed, &entry)?.value;
    if (read - block).abs() > uncertainty {
        return Err(refusal(
            format!(
                "{} on a block of {}: the gauge is not at zero.",
                decimal(read, entry.bare),
                decimal(block, entry.bare)
            ),
            "wipe jaws and block, zero it, try again; if it stays so, use another gauge",
        ));
    }
    Ok(vec![event(Some(typed.to_owned()), Some(read))])
}

pub(super) fn read(
    context: &WorkContext<'_>,
    piece: &PieceId,
    n: usize,
    why: ReadReason,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let planned = context.planned().ok_or_else(|| refusal("No such operation.", "see the lead"))?;
    let check = planned.checks.get(n).ok_or_else(|| refusal("No such check.", "see the lead"))?;
    match why {
        ReadReason::Bridge if typed == "x" => {
            return Ok(vec![Event::RepeatSkipped { op: context.op }]);
        }
        ReadReason::Between if typed == "x" => {
            return Ok(vec![Event::DriftLeft { op: context.op, feature: check.of.clone() }]);
        }
        _ => {}
    }
    let taken = taken(context, piece, check, n, typed)?;
    let verdict = taken.verdict();
    let is_settled = !context.would_want_a_third(&taken, check);
    let mut events = vec![Event::Reading(taken)];
    let first = matches!(why, ReadReason::First | ReadReason::Third { first: true });
    if verdict == Verdict::In && is_settled && !context.wants_more(piece, n, first) {
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
                    format!("The {} gives no number.", check.gauge),
                    "type i for within limits, b for too big, s for too small",
                ));
            }
        },
    };
    let limits = context.limits(piece, n);
    // No size is below zero, so a low limit of zero is no limit.
    let low = limits.and_then(|held| held.limits.low).filter(|low| *low > Length::ZERO);
    // A form that can be put right can be so from either side.
    let is_less = match says {
        GaugeSays::Size(size) => low.is_some_and(|low| size < low),
        GaugeSays::TooSmall => true,
        GaugeSays::In | GaugeSays::TooBig => false,
    };
    let from_below = is_less && check.kind.is_form() && check.safe == SafeSide::Big;
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
        safe: if from_below { SafeSide::Small } else { check.safe },
        on_paper: context.on_paper.cloned(),
    })
}

fn size(typed: &str, entry: &Entry, gauge: &Gauge, unit: Unit) -> Result<Length, Message> {
    if typed.is_empty() {
        return Err(refusal("Type a reading, then Enter.", "1 7/16, 1.4375 or 36.5mm"));
    }
    let size = parse_entry(typed, entry)?.value;
    if let Reads::Number { range: Some(range), .. } = gauge.reads
        && size.abs() > range
    {
        let help = if typed.ends_with(|end: char| end.is_ascii_digit())
            && entry.bare == Unit::Inch
            && size.abs() <= range * 254 / 10
        {
            "if it shows millimetres, type mm after the number; else read it again"
        } else {
            "read it again, or use another gauge"
        };
        let what = format!("{} is more than the {} can measure.", words(size, unit), gauge.name);
        return Err(refusal(what, help));
    }
    Ok(size)
}
