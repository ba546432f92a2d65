//! The opening screen: batches under way, routes to begin, and what is out of the
//! way; below the list, or beside it, what waits at the chosen line.

use std::ops::Range;

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Widget;

use super::beside::{draw_words, split};
use super::frame::{EntryWords, draw_entry, draw_title};
use super::lists::{draw_lines, list_line};
use super::opening_rows::{Heading, batch_line, folded_line, heading, route_line};
use crate::prose::{visible, wrap};
use crate::tui::app::{App, OpeningLine, OpeningScreen, SEE_WHERE, route_file};
use crate::tui::message::LooksFor;
use crate::tui::sentence::{refusal_words, sentence};
use crate::tui::shop_choice::{ListedShop, ShopStanding};
use crate::tui::widgets::{Hint, KeyHints};
use crate::work::BatchStanding;

/// From so many rows on a blank row, two rows on the chosen line and a rule have room.
const ROWS_FOR_MORE: u16 = 20;

/// From so many columns and rows on the chosen line is told beside the list.
const BESIDE: (u16, u16) = (120, 40);

/// From so many columns on the title has room for the name of the shop.
const COLUMNS_FOR_THE_SHOP: u16 = 60;

/// Where everything stands.
struct Places {
    title: Rect,
    list: Rect,
    told: Rect,
    rules: [Rect; 2],
    entry: Rect,
    keys: Rect,
}

impl Places {
    fn of(area: Rect, answer: u16) -> Places {
        let is_beside = area.width >= BESIDE.0 && area.height >= BESIDE.1;
        let has_more = area.height >= ROWS_FOR_MORE;
        let (blank, below) = if has_more { (1, 2) } else { (0, 0) };
        let below = if is_beside { 0 } else { below };
        let answer = answer.max(if is_beside { 2 } else { 1 });
        // With three rows the question has one of its own.
        let entry = answer + if has_more || answer > 1 { 2 } else { 1 };
        let [title, _, body, told, rule, entry, last_rule, keys] =
            area.layout(&Layout::vertical([
                Constraint::Length(1),
                Constraint::Length(blank),
                Constraint::Fill(1),
                Constraint::Length(below),
                Constraint::Length(u16::from(has_more)),
                Constraint::Length(entry),
                Constraint::Length(u16::from(is_beside)),
                Constraint::Length(1),
            ]));
        let rules = [rule, last_rule];
        if !is_beside {
            return Places { title, list: body, told, rules, entry, keys };
        }
        let (list, told) = split(body);
        Places { title, list, told, rules, entry, keys }
    }
}

pub(super) fn draw(app: &App, opening: &OpeningScreen, frame: &mut Frame<'_>, area: Rect) {
    let answer = app.refusal().map_or(0, |refusal| wrap(&refusal_words(refusal), area.width).len());
    let places = Places::of(area, answer.min(4) as u16);
    let shop = visible(&opening.lists.shop.words());
    let title = if area.width < COLUMNS_FOR_THE_SHOP { "" } else { &shop };
    let title = format!("benchway    {title}");
    draw_title(app, frame, places.title, title.trim_end(), "");
    let told = told(opening);
    let lines = list(app, opening, places.list);
    draw_lines(lines, places.list, frame.buffer_mut());
    draw_words(&told, frame, places.told);
    for rule in places.rules.iter().filter(|rule| rule.height > 0) {
        let line = app.theme.glyphs().horizontal.repeat(rule.width.into());
        frame.render_widget(Line::from(line), *rule);
    }
    let first = told.first().map(String::as_str).filter(|_| places.told.height == 0);
    let echo = match (opening.said(), opening.filter(), first) {
        ("", "", Some(first)) => first.to_owned(),
        ("", "", None) => String::new(),
        ("", _, _) => found(opening),
        (said, _, _) => visible(said),
    };
    let words = EntryWords { prompt: "type to find", echo: &echo, ..EntryWords::default() };
    draw_entry(app, frame, places.entry, words);
    let hints = hints(app, opening);
    KeyHints { hints: &hints, theme: app.theme }.render(places.keys, frame.buffer_mut());
}

/// How many lines have what is looked for.
fn found(opening: &OpeningScreen) -> String {
    if opening.lists.looks != LooksFor::default() {
        return "not every batch is listed yet; Esc shows everything".to_owned();
    }
    match opening.lines().len() {
        0 if route_file(opening.filter()).is_some() => {
            "Enter reads the route file of that name; Esc shows everything".to_owned()
        }
        0 => "nothing is called so; Esc shows everything".to_owned(),
        1 => "1 found; Esc shows everything".to_owned(),
        many => format!("{many} found; Esc shows everything"),
    }
}

/// The lines around the chosen one, under their headings; the last says how many are
/// below.
fn list(app: &App, opening: &OpeningScreen, area: Rect) -> Vec<Line<'static>> {
    let room = area.width.saturating_sub(2);
    let all = opening.lines();
    let (theme, now) = (app.theme, opening.lists.now);
    let mut rows: Vec<DrawnRow> = Vec::new();
    let mut before: Option<Heading> = None;
    let looks = opening.lists.looks.under_way;
    for (n, at) in all.iter().enumerate() {
        let own = heading(*at);
        if before != Some(own) {
            rows.extend((looks && before == Some(Heading::GoOn)).then_some(DrawnRow::Others));
            let blank = !rows.is_empty() && !own.follows(before);
            rows.extend(blank.then_some(DrawnRow::Blank));
            if folded_line(opening, *at, room).is_none() {
                let has_columns = matches!(at, OpeningLine::Batch(_));
                rows.push(DrawnRow::Heading(own.words(area.width, has_columns)));
            }
            before = Some(own);
        }
        rows.push(DrawnRow::Line(n));
    }
    let at = rows.iter().position(|row| matches!(row, DrawnRow::Line(n) if *n == opening.selected));
    let (shown, below) = around(&rows, at.unwrap_or(0), usize::from(area.height));
    let text = |at: OpeningLine| match (opening.batch(at), opening.route(at)) {
        (Some(batch), _) => batch_line(batch, now, room, theme),
        (_, Some(route)) => route_line(route, room),
        (None, None) => String::new(),
    };
    // Only what is in sight is put into words: there may be thousands.
    let lines = rows[shown].iter().map(|row| match row {
        DrawnRow::Blank => Line::default(),
        DrawnRow::Others => Line::from("  others are being looked for"),
        DrawnRow::Heading(words) => Line::styled(words.clone(), theme.strong()),
        DrawnRow::Line(n) => {
            let text = folded_line(opening, all[*n], room).unwrap_or_else(|| text(all[*n]));
            list_line(theme, *n == opening.selected, text)
        }
    });
    let more = (below > 0).then(|| {
        let many = if looks { String::new() } else { format!("{below} ") };
        Line::from(format!("  {many}more below"))
    });
    lines.chain(more).collect()
}

/// A row of the list.
enum DrawnRow {
    Blank,
    /// What says that not every batch is listed yet.
    Others,
    Heading(String),
    /// A line that can be chosen, by its place.
    Line(usize),
}

/// As many rows as there is room for, with the chosen one among them, and how many lines
/// are below: the last row says so.
fn around(rows: &[DrawnRow], at: usize, room: usize) -> (Range<usize>, usize) {
    if rows.len() <= room || room == 0 {
        return (0..rows.len(), 0);
    }
    let shown = room.saturating_sub(1).max(1);
    let is_last = at + shown / 2 + 1 >= rows.len();
    let first = if is_last { rows.len() - room } else { at.saturating_sub(shown / 2) };
    let end = if is_last { rows.len() } else { (first + shown).min(rows.len()) };
    let below = rows[end..].iter().filter(|row| matches!(row, DrawnRow::Line(_))).count();
    (first..end, if room > 1 { below } else { 0 })
}

/// What is to be known of the chosen line.
fn told(opening: &OpeningScreen) -> Vec<String> {
    let Some(line) = opening.chosen() else { return Vec::new() };
    if let Some(batch) = opening.batch(line) {
        let name = visible(&batch.name);
        return match &batch.standing {
            BatchStanding::Unread => vec![format!("{name} is being read.")],
            BatchStanding::Broken(why) => vec![format!("{name}: {}", sentence(&visible(why)))],
            _ if matches!(line, OpeningLine::Archived(_)) => {
                vec![format!("{name}: {}. Enter brings it back.", batch.progress)]
            }
            _ => {
                let timed = batch.timed.as_ref().map(|wait| wait.sentence(opening.lists.now));
                let waits =
                    batch.damage.iter().chain(&timed).chain(&batch.waits).map(|text| visible(text));
                std::iter::once(format!("{name}: {}.", batch.progress)).chain(waits).collect()
            }
        };
    }
    match (opening.route(line), line) {
        (Some(route), _) => match &route.fault {
            Some(fault) => {
                vec![format!("{}: {}.", visible(&route.name), visible(fault)), route.advice.clone()]
            }
            None => vec![visible(&route.about), route.article.counted(route.sets) + "."],
        },
        (None, OpeningLine::Practice) => {
            vec!["Nobody cut or measured anything in these. Enter shows or hides them.".to_owned()]
        }
        (None, OpeningLine::Shop) => shop_told(&opening.lists.shop),
        (None, OpeningLine::Archive) => {
            vec!["Batches that were moved out of the way. Enter shows or hides them.".to_owned()]
        }
        _ => Vec::new(),
    }
}

/// What is to be known of the shop that a new batch is made in.
fn shop_told(shop: &ListedShop) -> Vec<String> {
    match &shop.standing {
        ShopStanding::Invented => vec![
            "This shop is invented, and so are the settings it leads to.".to_owned(),
            "Enter or F2 begins a shop of your own.".to_owned(),
        ],
        ShopStanding::Own => vec!["The machines that new batches are made on.".to_owned()],
        ShopStanding::Faulty(why) => {
            vec![format!("Your shop can't be used: {}.", visible(why)), SEE_WHERE.to_owned()]
        }
    }
}

/// The keys that do something now, Enter first. Letters are looked for.
fn hints<'a>(app: &App, opening: &OpeningScreen) -> Vec<Hint<'a>> {
    let hint = |key, does| Hint { key, does };
    if app.prompt().is_some() {
        return vec![hint("Enter", "continue"), hint("Esc", "cancel"), hint("F9", "leave")];
    }
    let chosen = opening.chosen();
    let enter = match chosen {
        Some(OpeningLine::Batch(_) | OpeningLine::Invented(_)) => Some("go on"),
        Some(OpeningLine::Route(_)) => Some("begin"),
        Some(OpeningLine::Practice | OpeningLine::Archive) => Some("show"),
        Some(OpeningLine::Archived(_)) => Some("bring back"),
        Some(OpeningLine::Shop) => Some("your shop"),
        None => route_file(opening.filter()).map(|_| "begin"),
    };
    let mut hints: Vec<Hint<'_>> = enter.map(|does| hint("Enter", does)).into_iter().collect();
    if !opening.filter().is_empty() {
        hints.push(hint("Esc", "show all"));
    }
    match chosen {
        Some(OpeningLine::Batch(_) | OpeningLine::Invented(_)) => {
            hints.extend([hint("F12", "look back"), hint("F6", "archive")]);
        }
        Some(OpeningLine::Archived(_)) => hints.push(hint("F6", "bring back")),
        _ => {}
    }
    hints.extend([hint("letters", "find"), hint("F10", "menu"), hint("F9", "leave")]);
    if chosen != Some(OpeningLine::Shop) {
        hints.push(hint("F2", "your shop"));
    }
    if !opening.lists.batches.is_empty() {
        hints.push(hint("F7", "today"));
    }
    hints
}
