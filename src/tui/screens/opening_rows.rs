//! The rows of the opening screen, fitted into the columns there are.

use chrono::{DateTime, FixedOffset};

use crate::prose::{counted, visible};
use crate::tui::app::{OpeningLine, OpeningScreen};
use crate::tui::message::RouteRow;
use crate::tui::theme::Theme;
use crate::tui::widgets::{whole_or_dots, width};
use crate::work::{BatchRow, BatchStanding, TimedWait};

/// The columns of where a batch is, of the bar, of the share done, and of when and by
/// whom anything last happened.
const WHERE: u16 = 22;
const BAR: usize = 10;
const SHARE: u16 = 4;
const LAST: u16 = 10;

/// From so many columns on a row says where its batch is; from so many it has a bar.
const COLUMNS_FOR_WHERE: u16 = 58;
const COLUMNS_FOR_A_BAR: u16 = 74;

/// What stands above some lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Heading {
    /// Batches under way.
    GoOn,
    /// Routes.
    Begin,
    /// Invented batches.
    Practice,
    /// Archived batches.
    Archive,
    /// The shop of new batches.
    Shop,
}

impl Heading {
    /// Whether no blank row is needed between the two.
    pub(super) fn follows(self, before: Option<Heading>) -> bool {
        let folded = [Heading::Practice, Heading::Archive];
        matches!(self, Heading::Archive | Heading::Shop)
            && before.is_some_and(|before| folded.contains(&before))
    }

    /// The heading, with what stands in each column below it.
    pub(super) fn words(self, columns: u16, has_columns: bool) -> String {
        let room = columns.saturating_sub(2);
        match self {
            Heading::GoOn if has_columns && room >= COLUMNS_FOR_WHERE => {
                let share = if room >= COLUMNS_FOR_A_BAR { BAR as u16 + 1 + SHARE } else { SHARE };
                let name = room - (WHERE + share + LAST + 3);
                let head = fitted("GO ON WITH", name + 2);
                format!("{head} {} {} last", fitted("where", WHERE), fitted("done", share))
            }
            Heading::GoOn => "GO ON WITH".to_owned(),
            Heading::Begin if room >= COLUMNS_FOR_A_BAR => {
                format!("{}or your own: benchway walk FILE", fitted("BEGIN", 32))
            }
            Heading::Begin => "BEGIN".to_owned(),
            Heading::Practice => "PRACTISE".to_owned(),
            Heading::Archive => "ARCHIVED".to_owned(),
            Heading::Shop => "SHOP".to_owned(),
        }
    }
}

/// The heading a line stands under.
pub(super) fn heading(line: OpeningLine) -> Heading {
    match line {
        OpeningLine::Batch(_) => Heading::GoOn,
        OpeningLine::Route(_) => Heading::Begin,
        OpeningLine::Practice | OpeningLine::Invented(_) => Heading::Practice,
        OpeningLine::Archive | OpeningLine::Archived(_) => Heading::Archive,
        OpeningLine::Shop => Heading::Shop,
    }
}

/// The line of many batches in one, which needs no heading.
pub(super) fn folded_line(opening: &OpeningScreen, line: OpeningLine, room: u16) -> Option<String> {
    let looks = opening.lists.looks;
    let least = |looks: bool| if looks { "at least " } else { "" };
    let text = match line {
        OpeningLine::Practice => {
            let rows = opening.lists.batches.iter();
            let many = rows.filter(|row| row.is_invented).count();
            let least = least(looks.under_way);
            format!("PRACTISE   {least}{}", counted(many, "invented batch"))
        }
        OpeningLine::Archive => {
            let least = least(looks.archived);
            format!("ARCHIVED   {least}{}", counted(opening.lists.archive.count(), "batch"))
        }
        OpeningLine::Shop => format!("SHOP       {}", visible(&opening.lists.shop.words())),
        _ => return None,
    };
    Some(whole_or_dots(&text, room))
}

/// `reading stool, Tue group   op 60 crosscut leg   ███░░░░░░░  19% 10:41 MB`
pub(super) fn batch_line(
    batch: &BatchRow,
    now: DateTime<FixedOffset>,
    room: u16,
    theme: Theme,
) -> String {
    let last = batch.last.as_ref().map_or_else(String::new, |(at, who)| {
        let who = who.as_ref().map_or_else(String::new, |who| format!(" {}", visible(who)));
        format!("{}{who}", when(*at, now))
    });
    let last = fitted(&last, LAST);
    let name = visible(&batch.name);
    let (at, share, bar) = match &batch.standing {
        BatchStanding::UnderWay { at, percent } => {
            let full = usize::from(*percent) * BAR / 100;
            let glyphs = theme.glyphs();
            let bar = format!("{}{}", glyphs.block.repeat(full), glyphs.wood.repeat(BAR - full));
            let at = batch.timed.as_ref().map_or_else(|| at.clone(), |wait| waits(wait, now));
            (at, format!("{percent:>3}%"), bar)
        }
        BatchStanding::Finished => {
            ("finished".to_owned(), "100%".to_owned(), theme.glyphs().block.repeat(BAR))
        }
        BatchStanding::Broken(_) => {
            let named = fitted(&name, room.saturating_sub(18));
            return format!("{named} CAN'T BE READ");
        }
        BatchStanding::Unread => {
            let named = fitted(&name, room.saturating_sub(18));
            return format!("{named} being read");
        }
    };
    if room < COLUMNS_FOR_WHERE {
        let named = fitted(&name, room.saturating_sub(SHARE + LAST + 2));
        return format!("{named} {share} {}", last.trim_end());
    }
    let share = if room < COLUMNS_FOR_A_BAR { share } else { format!("{bar} {share}") };
    let named = fitted(&name, room - (WHERE + width(&share) + LAST + 3));
    format!("{named} {} {share} {}", fitted(&at, WHERE), last.trim_end())
}

/// `op 340 from 14:30` while it waits for the clock, then `op 340 since 14:30`.
fn waits(wait: &TimedWait, now: DateTime<FixedOffset>) -> String {
    let from = if wait.until > now { "from" } else { "since" };
    format!("op {} {from} {}", wait.op, when(wait.until, now))
}

/// `quay bench slats               4 to a batch; slats of white oak`
pub(super) fn route_line(route: &RouteRow, room: u16) -> String {
    let about = match &route.fault {
        Some(_) => "CAN'T BE USED".to_owned(),
        None => visible(&route.about),
    };
    let name = visible(&route.name);
    if room < COLUMNS_FOR_WHERE {
        return match &route.fault {
            Some(_) => format!("{} {about}", fitted(&name, room.saturating_sub(14))),
            None => whole_or_dots(&name, room),
        };
    }
    let named = fitted(&name, 29);
    whole_or_dots(&format!("{named} {about}"), room)
}

/// The time today, the day within a week, otherwise the date.
fn when(at: DateTime<FixedOffset>, now: DateTime<FixedOffset>) -> String {
    let at = at.with_timezone(now.offset());
    let days = now.date_naive().signed_duration_since(at.date_naive()).num_days();
    match days {
        0 => at.format("%H:%M").to_string(),
        1..7 => at.format("%a").to_string(),
        _ => at.format("%-d %b").to_string(),
    }
}

/// A text in so many columns.
fn fitted(text: &str, columns: u16) -> String {
    let text = whole_or_dots(text, columns);
    let gap = " ".repeat(usize::from(columns.saturating_sub(width(&text))));
    format!("{text}{gap}")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 25 November 2026 is a Wednesday.
    #[test]
    fn when_is_as_short_as_it_can_be() {
        let now = "2026-11-25T08:00:00+01:00".parse().expect("a time");
        for (at, expected) in [
            ("2026-11-25T07:05:00+01:00", "07:05"),
            ("2026-11-24T23:59:00+01:00", "Tue"),
            ("2026-11-19T08:00:00+01:00", "Thu"),
            ("2026-11-18T08:00:00+01:00", "18 Nov"),
            ("2026-11-24T23:30:00+00:00", "00:30"),
            // A clock that was wrong.
            ("2026-11-29T08:00:00+01:00", "29 Nov"),
        ] {
            assert_eq!(when(at.parse().expect("a time"), now), expected);
        }
    }
}
