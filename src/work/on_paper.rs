//! Readings that were written on paper at the machine and are typed later: when they were
//! taken, and by whom.

use chrono::{DateTime, Datelike, FixedOffset, NaiveDate, NaiveTime};

use super::context::WorkContext;
use super::refusal::{initials, refusal};
use crate::journal::TakenOnPaper;
use crate::prose::Message;

/// What is asked for, in the form it is typed.
const FORM: &str = "such as 14:30 MB, or 11-29 14:30 MB for another day";

/// Reads `14:30 MB`, `11-29 14:30 MB` or `2026-11-29 14:30 MB`. Without a day it is today;
/// without a year it is the last such day.
pub fn taken_on_paper(context: &WorkContext<'_>, text: &str) -> Result<TakenOnPaper, Message> {
    let unread = || refusal("When were they taken, and by whom?", FORM);
    let words: Vec<&str> = text.split_whitespace().collect();
    let (day, time, who) = match words[..] {
        [time, who] => (context.now.date_naive(), time, who),
        [day, time, who] => (named_day(day, context.now).ok_or_else(unread)?, time, who),
        _ => return Err(unread()),
    };
    let time = NaiveTime::parse_from_str(time, "%H:%M").map_err(|_| unread())?;
    let by = initials(who)?;
    let at = day.and_time(time).and_local_timezone(context.now.timezone()).single();
    let at = at.ok_or_else(unread)?;
    if at > context.now {
        return Err(refusal("That is still to come.", FORM));
    }
    Ok(TakenOnPaper { at, by })
}

/// A day with its year, or the last one with this month and day.
fn named_day(text: &str, now: DateTime<FixedOffset>) -> Option<NaiveDate> {
    if let Ok(day) = NaiveDate::parse_from_str(text, "%Y-%m-%d") {
        return Some(day);
    }
    let today = now.date_naive();
    let of_year = |year: i32| {
        let day = NaiveDate::parse_from_str(&format!("{year}-{text}"), "%Y-%m-%d").ok();
        day.filter(|day| *day <= today)
    };
    of_year(today.year()).or_else(|| of_year(today.year() - 1))
}
