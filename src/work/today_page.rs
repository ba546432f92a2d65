//! Today in words and in rows: what a page, a screen and a reader aloud all say.

use chrono::{DateTime, FixedOffset, TimeDelta};
use unicode_width::UnicodeWidthStr;

use super::gate::at_words;
use super::today::{MachineToday, SignedOff, Today, WorkStanding, WorkToday};
use super::today_articles::{ArticleStanding, ArticleToday, BatchToday};
use super::today_people::{Presence, PresenceStanding};
use super::today_settings::{OneSetting, SettingUse};
use super::today_times::{Estimate, EstimateBasis};
use crate::prose::{counted, long, visible, wrap};

/// Whoever entered nothing for so long may have gone (trade judgement, no source).
const SILENT: TimeDelta = TimeDelta::minutes(15);

/// From so many minutes on the bell is counted down.
const COUNTED: i64 = 120;

/// What a line of the page is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TodayLineKind {
    /// What the lines below it are about.
    Heading,
    /// Something that is next at a machine.
    Work,
    /// Anything else.
    Detail,
}

/// A line of the page, before it is broken to a width.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TodayLine {
    /// What it is.
    pub kind: TodayLineKind,
    /// What it says.
    pub text: String,
}

impl TodayLine {
    fn new(kind: TodayLineKind, text: &str) -> TodayLine {
        TodayLine { kind, text: visible(text) }
    }

    /// Its rows in so many columns.
    pub fn rows(&self, columns: usize) -> Vec<String> {
        let (indent, hang) = match self.kind {
            TodayLineKind::Heading => (0, 2),
            TodayLineKind::Work => (2, 7),
            TodayLineKind::Detail => (2, 2),
        };
        // A narrow window has no room to hang far.
        let hang = if columns < 60 { hang.min(2) } else { hang };
        let broken = wrap(&self.text, columns.saturating_sub(indent + hang)).into_iter();
        let row = |(n, row): (usize, String)| {
            let margin = if n == 0 { indent } else { indent + hang };
            format!("{:margin$}{row}", "")
        };
        broken.enumerate().map(row).collect()
    }
}

/// `10:42, bell 11:40, in 58 min, Wed 25 Nov`.
pub fn today_title(today: &Today) -> String {
    let bell = today.bell.map(|bell| {
        let left = (bell - today.now).num_minutes();
        let left = if left < COUNTED { format!(", in {left} min") } else { String::new() };
        format!(", bell {}{left}", bell.format("%H:%M"))
    });
    let (now, day) = (today.now.format("%H:%M"), today.now.format("%a %-d %b"));
    format!("{now}{}, {day}", bell.unwrap_or_default())
}

/// What there is to do, machine by machine.
pub fn machine_lines(today: &Today) -> Vec<TodayLine> {
    let mut lines: Vec<TodayLine> =
        today.machines.iter().flat_map(|machine| machine_words(machine, today.now)).collect();
    if today.machines.iter().all(|machine| machine.work.is_empty()) {
        let none = "No batch is under way, or every operation is finished.";
        lines.insert(0, TodayLine::new(TodayLineKind::Detail, none));
    }
    lines
}

fn machine_words(machine: &MachineToday, now: DateTime<FixedOffset>) -> Vec<TodayLine> {
    let name = machine.at.as_deref().unwrap_or("at no machine");
    let mut lines = vec![TodayLine::new(TodayLineKind::Heading, name)];
    let detail = |text: String| TodayLine::new(TodayLineKind::Detail, &text);
    lines.extend(people_words(&machine.people, now).into_iter().map(detail));
    // Said once where it is the same for all of it.
    let first = machine.work.first().map_or(&[][..], |work| &work.may);
    let is_same = machine.work.iter().all(|work| work.may == first);
    if is_same && !first.is_empty() {
        lines.push(detail(may_words(first)));
    }
    lines.extend(machine.work.iter().map(|work| {
        let may = if is_same { String::new() } else { format!(". {}", may_words(&work.may)) };
        TodayLine::new(TodayLineKind::Work, &format!("{}{may}", work_words(work)))
    }));
    lines.extend(machine.settings.iter().map(setting_words).map(detail));
    lines
}

/// Who else is there, and what is waited for.
pub fn waiting_lines(today: &Today) -> Vec<TodayLine> {
    let mut lines = Vec::new();
    let heading = |text: &str| TodayLine::new(TodayLineKind::Heading, text);
    let detail = |text: String| TodayLine::new(TodayLineKind::Detail, &text);
    let people = people_words(&today.elsewhere, today.now);
    if !people.is_empty() {
        lines.push(heading("Here, at no machine"));
        lines.extend(people.into_iter().map(detail));
    }
    let left = people_words(&today.left, today.now);
    if !left.is_empty() {
        lines.push(heading("Left today"));
        lines.extend(left.into_iter().map(detail));
    }
    if !today.waits.is_empty() {
        lines.push(heading("Waits"));
    }
    lines.extend(today.waits.iter().map(|wait| {
        let at = at_words(wait.until, today.now);
        let left = (wait.until - today.now).num_seconds();
        let left = long(u64::try_from(left).unwrap_or(0).div_ceil(60));
        detail(format!("{}, op {}, {}: until {at}, {left}", wait.batch, wait.op, wait.what))
    }));
    lines
}

/// `MB and JT, cart: op 30 of hall bench, since 10:12`, a line for each station.
fn people_words(people: &[Presence], now: DateTime<FixedOffset>) -> Vec<String> {
    let mut stations: Vec<(&Presence, Vec<&str>)> = Vec::new();
    for present in people {
        let place = |held: &Presence| (held.station.clone(), held.batch.clone());
        match stations.iter_mut().find(|(held, _)| place(held) == place(present)) {
            Some((_, who)) => who.push(&present.who),
            None => stations.push((present, vec![&present.who])),
        }
    }
    let words = stations.into_iter().map(|(held, who)| {
        let Presence { station, batch, .. } = held;
        let (who, wrote) = (who.join(" and "), at_words(held.wrote, now));
        let place = match held.op {
            Some(op) => format!("op {op} of {batch}"),
            None => batch.clone(),
        };
        match held.standing {
            PresenceStanding::Here => {
                let since = at_words(held.since, now);
                let silent = now - held.wrote >= SILENT;
                let last = if silent { format!(", last entry {wrote}") } else { String::new() };
                format!("{who} at {station}: {place}, since {since}{last}")
            }
            PresenceStanding::Vanished => {
                format!("{who} no longer at {station}: {place}, went after {wrote} without leaving")
            }
            PresenceStanding::OutOfReach => {
                format!(
                    "{who} at {station}: {place}, not connected, last entry {wrote}; went without \
                     leaving, or has no network"
                )
            }
            PresenceStanding::Left(at) => {
                format!("{who} left {station} at {}: {place}", at_words(at, now))
            }
        }
    });
    words.collect()
}

/// `START hall bench, op 30 plane rail: 6 to go, 12 min of feeding`.
fn work_words(work: &WorkToday) -> String {
    let WorkToday { batch, op, kind, part, .. } = work;
    let word = match &work.standing {
        WorkStanding::Begun => "begun",
        WorkStanding::Ready => "START",
        WorkStanding::Waits(why) => {
            return format!("waits {batch}, op {op} {kind} {part}: {}", why.join("; "));
        }
    };
    let late = if work.by_the_bell == Some(false) { ", not done by the bell" } else { "" };
    let ahead = (work.waiting > 0).then(|| format!(", then {} of waiting", long(work.waiting)));
    format!(
        "{word} {batch}, op {op} {kind} {part}: {} to go, {}{late}{}",
        work.to_go,
        estimate_words(work.estimate),
        ahead.unwrap_or_default()
    )
}

fn estimate_words(estimate: Estimate) -> String {
    let time = long(estimate.minutes);
    match estimate.by {
        EstimateBasis::Feed => format!("{time} of feeding"),
        EstimateBasis::ThisBatch(timed) => format!("{time} by {} timed", counted(timed, "piece")),
        EstimateBasis::OtherBatches(timed) => {
            format!("{time} by {} timed in other batches", counted(timed, "piece"))
        }
        EstimateBasis::Guess => format!("{time}, a guess"),
    }
}

/// `may work here: MB (here), JT`.
fn may_words(may: &[SignedOff]) -> String {
    let named = may.iter().map(|held| match held.is_here {
        true => format!("{} (here)", held.who),
        false => held.who.clone(),
    });
    let named: Vec<String> = named.collect();
    let named = if named.is_empty() { "anybody".to_owned() } else { named.join(", ") };
    format!("may work here: {named}")
}

/// `one setting: rip blade, fence 2 3/8: hall bench op 30 rail, 6; till chest op 40 side, 4`.
fn setting_words(setting: &OneSetting) -> String {
    let shows = setting.shows.iter().map(|(scale, dial)| format!("{scale} {dial}"));
    let shows: Vec<String> = setting.tool.iter().cloned().chain(shows).collect();
    let used = |used: &SettingUse| {
        let pass = used.pass.map_or_else(String::new, |pass| format!(" in pass {pass}"));
        let waits = if used.is_ready { "" } else { ", waits" };
        let SettingUse { batch, op, kind, part, .. } = used;
        format!("{batch} op {op} {kind} {part}{pass} ({}{waits})", counted(used.pieces, "piece"))
    };
    let uses: Vec<String> = setting.uses.iter().map(used).collect();
    format!("one setting: {} for {}", shows.join(", "), uses.join("; "))
}

/// The articles of a batch for whoever hears them: `bench 1 to 3: leg op 50, rail done`.
pub fn article_words(batch: &BatchToday) -> Vec<String> {
    let words = alike(batch).into_iter().map(|(first, last)| {
        let stands =
            batch.parts.iter().enumerate().map(|(n, part)| {
                format!("{} {}", part.part, where_it_is(batch, first, n).spoken())
            });
        let stands: Vec<String> = stands.collect();
        format!("{} {}: {}", batch.article, label(first, last), stands.join(", "))
    });
    words.collect()
}

/// Neighbours of a batch that stand alike, and how.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ArticlesAlike {
    /// `2 Ada`, or `1 to 3`.
    pub label: String,
    /// For each part the standing at each of its operations, and the operation it has
    /// come to, in a word.
    pub parts: Vec<(Vec<Option<ArticleStanding>>, String)>,
}

/// The articles of a batch, those that stand alike together.
pub fn articles_alike(batch: &BatchToday) -> Vec<ArticlesAlike> {
    let groups = alike(batch).into_iter().map(|(first, last)| {
        let parts = (0..batch.parts.len())
            .map(|n| (first.stands[n].clone(), where_it_is(batch, first, n).brief()));
        ArticlesAlike { label: label(first, last), parts: parts.collect() }
    });
    groups.collect()
}

/// The articles of a batch by its operations, a sign each, and the operation each part
/// has come to. Parts that have no room beside the others follow below them.
pub fn article_rows(
    batch: &BatchToday,
    columns: usize,
    sign: impl Fn(ArticleStanding) -> &'static str,
) -> Vec<String> {
    let groups = alike(batch);
    let labels: Vec<String> =
        groups.iter().map(|(first, last)| visible(&label(first, last))).collect();
    let head = visible(&batch.article);
    let label_width = labels.iter().chain([&head]).map(|label| label.width()).max().unwrap_or(0);
    let cell = |article: &ArticleToday, n: usize| {
        let signs = article.stands[n].iter().map(|stands| stands.map_or(" ", &sign));
        format!("{} {}", signs.collect::<String>(), where_it_is(batch, article, n).brief())
    };
    let widths: Vec<usize> = (0..batch.parts.len())
        .map(|n| {
            let cells = groups.iter().map(|(first, _)| cell(first, n).width());
            cells.chain([visible(&batch.parts[n].part).width()]).max().unwrap_or(0)
        })
        .collect();
    let room = columns.saturating_sub(2 + label_width);
    let mut rows = Vec::new();
    for parts in fitted(&widths, room) {
        let row = |label: &str, text: &dyn Fn(usize) -> String| {
            let cells = parts.clone().map(|n| format!("  {}", padded(&text(n), widths[n])));
            let cells: String = cells.collect();
            format!("  {}{}", padded(label, label_width), cells).trim_end().to_owned()
        };
        rows.push(row(&head, &|n| visible(&batch.parts[n].part)));
        for (label, (first, _)) in labels.iter().zip(&groups) {
            rows.push(row(label, &|n| cell(first, n)));
        }
    }
    rows
}

/// Which parts stand side by side.
fn fitted(widths: &[usize], room: usize) -> Vec<std::ops::Range<usize>> {
    let mut blocks: Vec<std::ops::Range<usize>> = Vec::new();
    let mut used = 0;
    for (n, width) in widths.iter().enumerate() {
        used += width + 2;
        match blocks.last_mut().filter(|_| used <= room) {
            Some(block) => block.end = n + 1,
            None => {
                blocks.push(n..n + 1);
                used = width + 2;
            }
        }
    }
    blocks
}

fn padded(text: &str, columns: usize) -> String {
    format!("{text}{}", " ".repeat(columns.saturating_sub(text.width())))
}

/// Neighbours that nobody owns and that stand alike, the first and the last of each.
fn alike(batch: &BatchToday) -> Vec<(&ArticleToday, &ArticleToday)> {
    let mut groups: Vec<(&ArticleToday, &ArticleToday)> = Vec::new();
    for article in &batch.articles {
        let is_like = |(first, _): &&mut (&ArticleToday, &ArticleToday)| {
            first.owner.is_none() && article.owner.is_none() && first.stands == article.stands
        };
        match groups.last_mut().filter(is_like) {
            Some((_, last)) => *last = article,
            None => groups.push((article, article)),
        }
    }
    groups
}

fn label(first: &ArticleToday, last: &ArticleToday) -> String {
    match &first.owner {
        Some(owner) => format!("{} {owner}", first.number),
        None if first.number == last.number => first.number.to_string(),
        None => format!("{} to {}", first.number, last.number),
    }
}

/// Where the pieces of a part are.
enum PartPlace {
    Done,
    At(u32),
    AsideAt(u32),
    Nowhere,
}

/// The first operation that not all pieces are through.
fn where_it_is(batch: &BatchToday, article: &ArticleToday, part: usize) -> PartPlace {
    let ops = batch.parts[part].ops.iter().zip(&article.stands[part]);
    let mut ops = ops.filter_map(|(op, stands)| Some((*op, (*stands)?))).peekable();
    if ops.peek().is_none() {
        return PartPlace::Nowhere;
    }
    match ops.find(|(_, stands)| *stands != ArticleStanding::Done) {
        None => PartPlace::Done,
        Some((op, ArticleStanding::Aside)) => PartPlace::AsideAt(op),
        Some((op, _)) => PartPlace::At(op),
    }
}

impl PartPlace {
    fn brief(&self) -> String {
        match self {
            PartPlace::Done => "done".to_owned(),
            PartPlace::At(op) | PartPlace::AsideAt(op) => op.to_string(),
            PartPlace::Nowhere => String::new(),
        }
    }

    fn spoken(&self) -> String {
        match self {
            PartPlace::Done => "done".to_owned(),
            PartPlace::At(op) => format!("at op {op}"),
            PartPlace::AsideAt(op) => format!("set aside at op {op}"),
            PartPlace::Nowhere => "none".to_owned(),
        }
    }
}
