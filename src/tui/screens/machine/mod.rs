//! The machine screen: the order, the one number in big digits, how, choices,
//! the drawing of the cut, the readings, the pieces, the cautions, the entry
//! line. Nothing moves between two tasks: `grid` gives each its place.

mod accepted;
mod crowded;
mod grid;
mod picture;
mod readings;
mod talk;

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::Line;
use ratatui::widgets::{Clear, Paragraph};

use self::grid::{GridSize, MachineGrid};
pub(super) use self::readings::draw_readings;
use self::talk::{Sentence, Talk, draw_list};
use super::frame::{
    EntryWords, KeyWords, answer_rows, draw_entry, draw_hints, draw_route, draw_title,
};
use crate::prose::{visible, wrap};
use crate::tui::app::{App, Notice, Session};
use crate::tui::machine_view::{Lit, MachineView, Shown, SoFar};
use crate::tui::message::Unread;
use crate::tui::sentence::{refusal_words, sentence};
use crate::tui::theme::Theme;
use crate::tui::widgets::{
    BigText, Caution, DrawingView, Emphasis, PartView, Tall, piece_line, whole_or_dots,
};
use crate::work::{BoardsTask, Remedy, Task, WorkContext};

pub(super) fn draw(
    app: &App,
    session: &Session,
    scrolled: usize,
    frame: &mut Frame<'_>,
    area: Rect,
) -> Unread {
    let (context, task) = (session.context(), session.task());
    let shown = session.shown();
    let view = &shown.view;
    // As wide as with block signs, so that plain ones move nothing.
    let number = BigText { text: &view.big, theme: Theme { ascii: false, ..app.theme } };
    let usual = MachineGrid::of(area, number.columns(Tall::Five).unwrap_or(0));
    let grid = match crowded::rows(app, session, view, &usual) {
        Some((order, number)) => MachineGrid::of_words(area, order, number),
        None if usual.size > GridSize::Small && is_by_hand(view, task) => usual.without_number(),
        None => usual,
    };
    let screen = MachineScreen { app, session, context: &context, task, shown, view, grid };
    screen.draw(frame, scrolled)
}

/// What is said first where a setting is to be moved.
const OFF: &str = "The setting is off. Enter, then move it. A piece proves it before any other \
is cut.";

/// Whether pieces are worked where nothing is set.
fn is_by_hand(view: &MachineView, task: &Task) -> bool {
    view.big.is_empty() && matches!(task, Task::Feed { .. } | Task::Read { .. })
}

/// Everything one drawing of the machine screen is made from.
struct MachineScreen<'a> {
    app: &'a App,
    session: &'a Session,
    context: &'a WorkContext<'a>,
    task: &'a Task,
    shown: &'a Shown,
    view: &'a MachineView,
    grid: MachineGrid,
}

impl MachineScreen<'_> {
    fn theme(&self) -> Theme {
        self.app.theme
    }

    fn draw(&self, frame: &mut Frame<'_>, scrolled: usize) -> Unread {
        self.draw_head(frame);
        let mut first = None;
        let left_out = match self.task {
            Task::Caution { .. } => {
                let hidden;
                (hidden, first) = self.draw_caution_page(frame, scrolled);
                hidden
            }
            Task::Boards(BoardsTask::Mark { .. }) => self.draw_mark(frame, scrolled),
            Task::Boards(_) => self.draw_rack(frame, scrolled),
            _ => self.draw_work(frame, scrolled),
        };
        self.draw_foot(frame, left_out);
        self.light(frame);
        let is_page = matches!(self.task, Task::Caution { .. });
        let below = if is_page { left_out } else { 0 };
        Unread { below, in_view: usize::from(self.grid.page.height), first }
    }

    fn draw_head(&self, frame: &mut Frame<'_>) {
        let (grid, view) = (&self.grid, self.view);
        let is_small = grid.size == GridSize::Small;
        let left = match (is_small, view.machine.is_empty()) {
            (true, _) | (_, true) => view.title.clone(),
            (false, false) => format!("{}    {}", view.title, view.machine),
        };
        let count = if is_small { view.pieces.progress() } else { String::new() };
        draw_title(self.app, frame, grid.title, &left, &count);
        draw_route(self.app, frame, grid.route);
        let (room, strong) = (grid.order_words.width, self.theme().strong());
        let (word, gap) = (&view.order.word, if is_small { "  " } else { "   " });
        let whole = format!("{word}{gap}{}", visible(&view.order.rest));
        let brief = format!("{word}{gap}{}", visible(&view.order.brief));
        let rows = usize::from(grid.order_words.height);
        // One row keeps the gap after the verb, which a line breaker takes out.
        let broken = |text: &str, room: u16| match crate::tui::widgets::width(text) <= room {
            true => vec![text.to_owned()],
            false => wrap(text, room),
        };
        let fits = |text: &&String| broken(text, room).len() <= rows;
        let line = [&whole, &brief].into_iter().find(fits);
        // What has no room in its row takes the rows of the capitals.
        let (line, own) = match line {
            Some(line) => (line.as_str(), grid.order_words),
            None if grid.capitals.is_empty() => (brief.as_str(), grid.order_words),
            None => (brief.as_str(), grid.order_words.union(grid.capitals)),
        };
        let mut lines = broken(line, own.width);
        if lines.len() > usize::from(own.height) {
            lines = vec![whole_or_dots(&brief, room)];
        }
        let has_capitals = own == grid.order_words;
        let top = own.bottom() - lines.len() as u16;
        for (row, line) in (if rows > 1 { own.y } else { top }..).zip(lines) {
            let area = Rect { y: row, height: 1, ..own };
            frame.render_widget(Line::styled(line, strong), area);
        }
        if has_capitals && !self.theme().ascii && !grid.capitals.is_empty() {
            self.draw_capitals(frame);
        }
        if let Some(rule) = grid.rules.first() {
            let line = self.theme().glyphs().horizontal.repeat(rule.width.into());
            for rule in &grid.rules {
                frame.render_widget(Line::from(line.as_str()), *rule);
            }
        }
    }

    /// The order in capitals: with what it is done to, or the verb alone.
    fn draw_capitals(&self, frame: &mut Frame<'_>) {
        let (order, area) = (&self.view.order, self.grid.capitals);
        let whole = format!("{} {}", order.word, order.subject.to_uppercase());
        let fits = |text: &&str| {
            let tall = BigText { text, theme: self.theme() }.tall_within(area.width, area.height);
            tall.is_some_and(|tall| tall.rows() == area.height)
        };
        let text = [whole.trim_end(), &order.word].into_iter().find(fits);
        if let Some(text) = text {
            frame.render_widget(BigText { text, theme: self.theme() }, area);
        }
    }

    fn draw_number(&self, frame: &mut Frame<'_>) {
        let (grid, view, plain) = (&self.grid, self.view, self.theme().plain());
        if view.big.is_empty() {
            return;
        }
        if grid.digits.is_empty() {
            let words = crowded::number_words(view, grid.number.width);
            return frame.render_widget(Line::styled(words, self.theme().strong()), grid.number);
        }
        let label = whole_or_dots(&visible(&view.label), grid.label.width);
        frame.render_widget(Line::styled(label, plain), grid.label);
        frame.render_widget(BigText { text: &view.big, theme: self.theme() }, grid.digits);
        let mut under = wrap(&visible(&view.under), grid.under.width);
        let rows = usize::from(grid.under.height);
        if under.len() > rows {
            // What the number is for comes before the tool.
            under = vec![whole_or_dots(&visible(&view.under), grid.under.width)];
        }
        let top = grid.under.bottom() - under.len() as u16;
        for (row, line) in (top..).zip(under) {
            let area = Rect { y: row, height: 1, ..grid.under };
            frame.render_widget(Line::styled(line, plain), area);
        }
    }

    fn draw_work(&self, frame: &mut Frame<'_>, scrolled: usize) -> usize {
        self.draw_number(frame);
        let (grid, view) = (&self.grid, self.view);
        if let Task::Accept(proposal) = self.task {
            let talk = Rect { width: grid.keys.width, ..grid.talk };
            let options = accepted::options(view, proposal, talk);
            draw_list(frame, talk, (options, &view.details), scrolled, self.theme());
            accepted::draw(self.context, proposal, frame, grid.drawing, self.theme());
            // The table of what follows takes the rows below the number.
            if grid.part.bottom() <= grid.talk.y {
                self.draw_part(frame);
            }
            return 0;
        }
        let is_hand_work = matches!(self.task, Task::Feed { pass: None, .. });
        let left_out = if grid.size == GridSize::Small && is_hand_work {
            // Every step is a few keys away where the window is small.
            let list = (self.first_words(), view.details.as_slice());
            draw_list(frame, grid.talk, list, scrolled, self.theme());
            0
        } else {
            self.talk().draw(frame, grid.talk)
        };
        if let Some(drawing) = picture::drawing_of(self.context, self.task) {
            frame.render_widget(
                DrawingView { drawing: &drawing, emphasis: self.emphasis(), theme: self.theme() },
                grid.drawing,
            );
        }
        if let Some(readings) = &self.shown.readings {
            draw_readings(readings, frame, grid.readings, self.theme());
        }
        self.draw_part(frame);
        self.draw_long_refusal(frame);
        left_out
    }

    /// What is finished of the piece in hand. Where it shares its rows with the
    /// readings, it has them at an operation that measures nothing.
    fn draw_part(&self, frame: &mut Frame<'_>) {
        let (part, readings) = (self.grid.part, self.grid.readings);
        let measures = self.context.planned().is_some_and(|planned| !planned.checks.is_empty());
        if part.is_empty() || (part == readings && measures) {
            return;
        }
        if let Some(SoFar { part: so_far, names }) = &self.shown.so_far {
            let view = PartView { part: so_far, names, theme: self.theme() };
            frame.render_widget(view, part);
        }
    }

    /// What has no room beside the drawing takes the whole width: where nothing
    /// could be recorded, nothing else matters.
    fn draw_long_refusal(&self, frame: &mut Frame<'_>) {
        let Some(long) = self.app.refusal().and_then(|_| self.notice()) else { return };
        if self.is_said_in_short() {
            return;
        }
        let talk = self.grid.talk;
        if wrap(&long, talk.width).len() <= usize::from(talk.height) {
            return;
        }
        let area = Rect { width: self.grid.keys.width, ..talk };
        frame.render_widget(Clear, area);
        let lines: Vec<Line<'static>> =
            wrap(&visible(&long), area.width).into_iter().map(Line::from).collect();
        frame.render_widget(Paragraph::new(lines), area);
    }

    /// What the drawing draws bold.
    fn emphasis(&self) -> Emphasis {
        match self.task {
            Task::Set(_) => Emphasis::Setting,
            Task::Read { .. } | Task::Decide { .. } => Emphasis::Measuring,
            _ => Emphasis::None,
        }
    }

    /// Why the last entry was refused, where the answer's row has no room for
    /// all of it; else what the last answer led to.
    fn notice(&self) -> Option<String> {
        let refused = self.app.refusal().map(refusal_words);
        let rows = usize::from(answer_rows(self.grid.entry));
        let is_long = |text: &String| wrap(text, self.grid.entry.width).len() > rows;
        if let Some(long) = refused.filter(|text| is_long(text) && !self.is_said_in_short()) {
            return Some(long);
        }
        self.session.notice().map(|notice| match notice {
            Notice::Said(text) | Notice::Wrong(text) => text.clone(),
        })
    }

    /// Whether a refusal is said in short at the entry line, so that what the letters
    /// mean keeps its rows.
    fn is_said_in_short(&self) -> bool {
        let Some(refusal) = self.app.refusal().filter(|_| !self.view.choices.is_empty()) else {
            return false;
        };
        let rows = usize::from(answer_rows(self.grid.entry));
        let fits = |text: &str| wrap(&sentence(text), self.grid.entry.width).len() <= rows;
        fits(&refusal.what) || refusal.help.as_deref().is_some_and(fits)
    }

    fn talk(&self) -> Talk<'_> {
        let view = self.view;
        let notice = self.notice();
        let after = match view.choices.first() {
            // Nothing is cut again at a setting that is wrong.
            Some(Remedy::MoveTheSetting) => {
                vec![OFF.to_owned()]
            }
            _ if view.shows_last => self.shown.after.clone(),
            _ => Vec::new(),
        };
        // What Enter does the row of keys says too.
        let (enter, now): (Vec<&String>, Vec<&String>) =
            view.now.iter().partition(|text| text.starts_with("Enter alone"));
        let now = now.into_iter().map(|text| (text, false));
        let places = view.places.iter().enumerate().map(|(n, text)| (text, n > 0));
        // A piece is cut before it is measured; a scale is set before a piece is cut.
        let parts: Vec<(&String, bool)> = match self.task {
            Task::Set(_) => now.chain(places).collect(),
            _ => places.chain(now).collect(),
        };
        let in_order = is_by_hand(view, self.task);
        let after = after.iter().map(|text| (text, false));
        let others = view.details.iter().chain(enter).map(|text| (text, false));
        let how = after.chain(parts).chain(others).enumerate().map(|(n, (text, is_next))| {
            Sentence { text: text.clone(), is_next: is_next || (in_order && n > 0) }
        });
        // What keeps two people from doing the same thing comes before how it is done.
        let beside = view.beside.iter().map(|text| Sentence { text: text.clone(), is_next: false });
        let (how, why) = (beside.chain(how).collect(), view.why.clone());
        Talk { notice, how, choices: &view.choices, why, theme: self.theme() }
    }

    /// Every caution before the machine, on a page of its own; answers how many
    /// lines are below it, and which is the first on it.
    fn draw_caution_page(&self, frame: &mut Frame<'_>, scrolled: usize) -> (usize, Option<usize>) {
        let (page, theme) = (self.grid.page, self.theme());
        let is_roomy = page.height >= 14;
        let mut lines: Vec<Line<'static>> = Vec::new();
        let room = page.width.saturating_sub(2);
        let all = self.view.now.iter().chain(&self.view.cautions).chain(&self.view.details);
        let own = self.view.now.len()..self.view.now.len() + self.view.cautions.len();
        for (n, text) in all.enumerate() {
            for (row, line) in wrap(&visible(text), room).into_iter().enumerate() {
                let mark = if row == 0 && own.contains(&n) { "! " } else { "  " };
                lines.push(Line::styled(format!("{mark}{line}"), theme.plain()));
            }
            if is_roomy {
                lines.push(Line::default());
            }
        }
        let rows = usize::from(page.height);
        if is_roomy && lines.len() > rows {
            lines.retain(|line| line.width() > 0);
        }
        let first = scrolled.min(lines.len().saturating_sub(rows));
        let hidden = lines.len().saturating_sub(first + rows);
        let shown: Vec<Line<'static>> = lines.into_iter().skip(first).take(rows).collect();
        frame.render_widget(Paragraph::new(shown), page);
        (hidden, Some(first))
    }

    /// At the rack: what is asked of a board, with what is known so far.
    fn draw_rack(&self, frame: &mut Frame<'_>, scrolled: usize) -> usize {
        let Rect { y, .. } = self.grid.page;
        let bottom = self.grid.cautions.y;
        let page = Rect { height: bottom.saturating_sub(y + 1), ..self.grid.page };
        let page = if self.grid.size == GridSize::Small { self.rack_page() } else { page };
        let list = (self.first_words(), self.view.details.as_slice());
        draw_list(frame, page, list, scrolled, self.theme());
        0
    }

    /// A refusal too long for its row, then what to do.
    fn first_words(&self) -> Vec<String> {
        let long = self.app.refusal().and_then(|_| self.notice());
        let said = self.view.beside.iter().chain(&self.view.now);
        long.into_iter().chain(said.cloned()).collect()
    }

    /// In a small window the order is followed at once.
    fn rack_page(&self) -> Rect {
        let Rect { x, y, width, .. } = self.grid.page;
        Rect::new(x, y, width, self.grid.cautions.y.saturating_sub(y))
    }

    /// A mark on a board: the board is long and low and takes the whole width,
    /// and the words stand beside the number.
    fn draw_mark(&self, frame: &mut Frame<'_>, scrolled: usize) -> usize {
        self.draw_number(frame);
        let grid = &self.grid;
        let list = (self.first_words(), self.view.details.as_slice());
        if grid.size == GridSize::Small {
            draw_list(frame, grid.talk, list, scrolled, self.theme());
            return 0;
        }
        let x = grid.drawing.x;
        let right = grid.keys.right() - x;
        let beside = Rect::new(x, grid.number.y, right, grid.number.height);
        draw_list(frame, beside, list, scrolled, self.theme());
        if let Some(drawing) = picture::drawing_of(self.context, self.task) {
            let board = Rect { width: grid.keys.width, ..grid.talk };
            frame.render_widget(
                DrawingView { drawing: &drawing, emphasis: self.emphasis(), theme: self.theme() },
                board,
            );
        }
        0
    }

    fn draw_foot(&self, frame: &mut Frame<'_>, left_out: usize) {
        let (grid, view) = (&self.grid, self.view);
        let is_page = matches!(self.task, Task::Caution { .. });
        if !is_page && !grid.pieces.is_empty() {
            let line = if view.pieces.marks.is_empty() {
                Line::from(view.count.clone())
            } else {
                piece_line(&view.pieces, grid.pieces.width, self.theme())
            };
            frame.render_widget(line, grid.pieces);
        }
        if !is_page && !view.cautions.is_empty() {
            let caution = Caution { cautions: &view.cautions, theme: self.theme() };
            frame.render_widget(caution, grid.cautions);
        }
        let is_unread = is_page && left_out > 0;
        // A refusal takes the answer's row, whatever is said here.
        let said = if self.context.at_boards() {
            self.notice().unwrap_or_default()
        } else {
            self.shown.last_said.clone()
        };
        let below = format!("{left_out} more lines to read");
        let prompt = if is_unread { below.as_str() } else { view.prompt.as_str() };
        let words = EntryWords { prompt, unit: view.unit, echo: &said };
        draw_entry(self.app, frame, grid.entry, words);
        let text = self.app.typed();
        if !text.is_empty() {
            frame.render_widget(BigText { text, theme: self.theme() }, grid.typed_large);
        }
        let enter = if is_unread { "read on" } else { view.enter.as_str() };
        let more = if is_page { 0 } else { left_out };
        draw_hints(self.app, frame, grid.keys, KeyWords { enter, more });
    }

    /// The one area in reverse video.
    fn light(&self, frame: &mut Frame<'_>) {
        let grid = &self.grid;
        let is_asked = self.app.prompt().is_some();
        let area = match self.view.lit {
            _ if is_asked => super::frame::typed_row(grid.entry),
            Lit::Nothing => return,
            Lit::Number if grid.size == GridSize::Small && !grid.digits.is_empty() => {
                Rect { y: grid.digits.y, height: grid.digits.height, ..grid.number }
            }
            Lit::Number => grid.number,
            Lit::Order => grid.order,
            Lit::Entry => super::frame::typed_row(grid.entry),
            Lit::Cautions => grid.page,
        };
        let style: Style = self.theme().lit();
        frame.buffer_mut().set_style(area, style);
    }
}
