//! Signing somebody off at the machine, as the lead types it there: `JT 2026-12-18 MB`,
//! `JT - MB seen`, or `JT leads MB` for somebody who stands in for the lead today.

use chrono::NaiveDate;

use super::context::WorkContext;
use super::refusal::{initials, lead, refusal};
use crate::journal::{Event, SignOff};
use crate::prose::Message;

/// What the lead typed, as an event.
pub fn sign_off(context: &WorkContext<'_>, text: &str) -> Result<Vec<Event>, Message> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let (who, until, by, first_piece_seen) = match words.as_slice() {
        [who, until, by] => (who, until, by, false),
        [who, until, by, seen] if seen.eq_ignore_ascii_case("seen") => (who, until, by, true),
        _ => {
            return Err(refusal(
                "Expected: who, last day or -, lead.",
                "such as JT 2026-12-18 MB, then Enter",
            ));
        }
    };
    let who = initials(who)?;
    let today = context.now.date_naive();
    if until.eq_ignore_ascii_case("leads") {
        return Ok(vec![Event::StandsIn { who, on: today, by: lead(context, by)? }]);
    }
    let machine = context.planned().and_then(|planned| planned.at.clone());
    let Some(machine) = machine else {
        return Err(refusal("No machine is needed here.", "go to an operation at a machine"));
    };
    let until = last_day(until, today)?;
    let by = lead(context, by)?;
    if by == who && context.shop.people.values().any(|person| person.lead) {
        return Err(refusal("Nobody signs themselves off.", "another lead does"));
    }
    Ok(vec![Event::SignedOff(SignOff { who, machine, until, first_piece_seen, by })])
}

fn last_day(text: &str, today: NaiveDate) -> Result<Option<NaiveDate>, Message> {
    if text == "-" {
        return Ok(None);
    }
    match text.parse::<NaiveDate>() {
        Ok(day) if day >= today => Ok(Some(day)),
        Ok(_) => Err(refusal("That day is over.", "a day to come, or -")),
        Err(_) => Err(refusal("A day is written so: 2026-12-18.", "or -, where it holds for good")),
    }
}
