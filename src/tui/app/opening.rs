//! Before a batch is open: the lists to choose from, and what is asked there.
//! Letters belong to what is looked for; keys with an F and arrows are commands.

use std::path::{Path, PathBuf};

use crossterm::event::{Event as TerminalEvent, KeyEvent};
use tui_input::backend::crossterm::EventHandler;
use tui_input::{Input, InputRequest};

use super::entry::Prompt;
use super::sizes_screen::SizesScreen;
use super::today::TodayScreen;
use super::work_question::pin_words;
use crate::prose::Message;
use crate::tui::keys::Command;
use crate::tui::message::{ArchiveList, Effect, NewBatch, OpeningLists, ReadRows, RouteRow};
use crate::work::{BatchRow, BatchStanding};

/// The route file that a text names.
pub(in crate::tui) fn route_file(text: &str) -> Option<PathBuf> {
    let path = Path::new(text.trim());
    let is_route = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("json"));
    is_route.then(|| path.to_owned())
}

/// What is asked before a batch is open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum StartQuestion {
    /// How many articles it makes.
    Articles { route: usize },
    /// What it is called.
    Name { route: usize, articles: u32 },
    /// Why the lead begins it though its plan has errors.
    Word { batch: NewBatch },
    /// The PIN of the lead who begins it all the same.
    Pin { lead: String, batch: NewBatch, word: String },
    /// The name of this station, where another terminal has the one it had.
    Station { batch: String },
    /// What a shop of one's own is called.
    ShopName,
    /// Another size for a dimension of the route that is adapted.
    Size { dim: String },
}

/// A line that can be chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OpeningLine {
    /// A batch under way, by its place in the list.
    Batch(usize),
    /// A route to begin, by its place.
    Route(usize),
    /// All invented batches in one.
    Practice,
    /// An invented batch, by its place among the batches.
    Invented(usize),
    /// All archived batches in one.
    Archive,
    /// An archived batch, by its place.
    Archived(usize),
    /// The shop that a new batch is made in.
    Shop,
}

/// The opening screen: batches under way, then routes to begin.
#[derive(Debug, Default)]
pub struct OpeningScreen {
    /// Everything there is to choose from.
    pub lists: OpeningLists,
    /// The chosen line.
    pub selected: usize,
    /// Whether somebody chose a line: until then the newest batch is chosen.
    has_chosen: bool,
    /// What is looked for.
    pub(super) filter: Input,
    /// Whether each invented batch has a line.
    shows_practice: bool,
    /// Whether each archived batch has a line.
    shows_archive: bool,
    /// The route whose sizes are looked at, where one is.
    pub sizes: Option<Box<SizesScreen>>,
    /// The route that was adapted, and its changes.
    pub(super) adapted: Option<(usize, Vec<(String, String)>)>,
    pub(super) prompt: Option<Prompt<StartQuestion>>,
    pub(super) refusal: Option<Message>,
    /// What was done.
    pub(super) said: Option<String>,
    /// What there is to do today, over the list.
    pub(super) today: Option<Box<TodayScreen>>,
}

impl OpeningScreen {
    /// Takes in new lists.
    pub(super) fn listed(&mut self, lists: OpeningLists) {
        let chosen = self.chosen_name();
        self.lists = lists;
        self.sort();
        match chosen.filter(|_| self.has_chosen) {
            Some(chosen) => self.select(self.line_of(&chosen).unwrap_or(self.selected)),
            None => self.select(self.selected),
        }
    }

    /// Takes in what changed with no key pressed here. The chosen line stays chosen:
    /// somebody may be about to open it.
    pub(super) fn changed_elsewhere(&mut self, rows: ReadRows, is_list: bool) -> Vec<Effect> {
        if self.prompt.is_some() || self.sizes.is_some() {
            return Vec::new();
        }
        self.has_chosen = true;
        if is_list {
            let archive = matches!(self.lists.archive, ArchiveList::Read(_));
            return vec![Effect::List { archive }];
        }
        self.read(rows);
        Vec::new()
    }

    /// Takes in what was read since it was listed. The chosen line stays chosen, wherever
    /// it goes.
    pub(super) fn read(&mut self, read: ReadRows) {
        let chosen = self.chosen_name();
        let put = |rows: &mut Vec<BatchRow>, read: Vec<BatchRow>| {
            for row in read {
                if let Some(held) = rows.iter_mut().find(|held| held.name == row.name) {
                    *held = row;
                }
            }
        };
        self.lists.batches.extend(read.found.batches);
        self.lists.archive.add(read.found.archived);
        self.lists.looks = read.found.looks;
        put(&mut self.lists.batches, read.batches);
        if let ArchiveList::Read(rows) = &mut self.lists.archive {
            put(rows, read.archived);
        }
        // As many as before, for a question may be open about one. The name that is
        // suggested for a batch was found with the list.
        if let Some(routes) = read.routes.filter(|rows| rows.len() == self.lists.routes.len()) {
            for (held, row) in self.lists.routes.iter_mut().zip(routes) {
                let suggested = std::mem::take(&mut held.suggested);
                *held = RouteRow { suggested, ..row };
            }
        }
        self.sort();
        let chosen = chosen.filter(|_| self.has_chosen);
        self.selected = chosen.and_then(|chosen| self.line_of(&chosen)).unwrap_or(0);
    }

    /// The chosen line, by the name of its batch where it is one.
    fn chosen_name(&self) -> Option<(OpeningLine, Option<String>)> {
        self.chosen().map(|line| (line, self.batch(line).map(|row| row.name.clone())))
    }

    /// Where a line is now that was chosen before.
    fn line_of(&self, (before, name): &(OpeningLine, Option<String>)) -> Option<usize> {
        let is_archived = |line: &OpeningLine| matches!(line, OpeningLine::Archived(_));
        let is_same = |line: &OpeningLine| match name {
            Some(name) => {
                is_archived(line) == is_archived(before)
                    && self.batch(*line).is_some_and(|row| row.name == *name)
            }
            None => line == before,
        };
        self.lines().iter().position(is_same)
    }

    /// The newest batch first, then those that can't be read, then those that are
    /// finished.
    fn sort(&mut self) {
        let rank = |row: &BatchRow| match &row.standing {
            BatchStanding::UnderWay { .. } | BatchStanding::Unread => 0,
            BatchStanding::Broken(_) => 1,
            BatchStanding::Finished => 2,
        };
        let newest = |a: &BatchRow, b: &BatchRow| {
            let at = |row: &BatchRow| row.last.as_ref().map(|(at, _)| *at);
            rank(a).cmp(&rank(b)).then(at(b).cmp(&at(a))).then(a.name.cmp(&b.name))
        };
        self.lists.batches.sort_by(newest);
        if let ArchiveList::Read(rows) = &mut self.lists.archive {
            rows.sort_by(newest);
        }
    }

    /// Somebody chooses a line.
    pub(super) fn choose(&mut self, line: usize) {
        if let Some(sizes) = &mut self.sizes {
            return sizes.select(line);
        }
        self.has_chosen = true;
        self.select(line);
    }

    fn select(&mut self, line: usize) {
        self.selected = line.min(self.lines().len().saturating_sub(1));
    }

    /// What is looked for.
    pub fn filter(&self) -> &str {
        self.filter.value()
    }

    /// What was done, or nothing.
    pub fn said(&self) -> &str {
        self.said.as_deref().unwrap_or_default()
    }

    /// The lines that can be chosen, from top to bottom. While something is looked
    /// for they are those in which each of its words is found.
    pub fn lines(&self) -> Vec<OpeningLine> {
        let words: Vec<String> =
            self.filter.value().split_whitespace().map(str::to_lowercase).collect();
        let has = |text: &str| {
            let text = text.to_lowercase();
            words.iter().all(|word| text.contains(word))
        };
        let is_found = |row: &BatchRow| {
            words.is_empty() || has(&format!("{} {} {}", row.name, row.route, row.progress))
        };
        let found = |invented: bool| {
            let rows = self.lists.batches.iter().enumerate();
            rows.filter(move |(_, row)| row.is_invented == invented && is_found(row))
                .map(|(n, _)| n)
        };
        let routes = self.lists.routes.iter().enumerate();
        let routes = routes.filter(|(_, row)| has(&format!("{} {}", row.name, row.about)));
        let mut lines: Vec<OpeningLine> = found(false).map(OpeningLine::Batch).collect();
        lines.extend(routes.map(|(n, _)| OpeningLine::Route(n)));
        let looks = !words.is_empty();
        if !looks && self.lists.batches.iter().any(|row| row.is_invented) {
            lines.push(OpeningLine::Practice);
        }
        if looks || self.shows_practice {
            lines.extend(found(true).map(OpeningLine::Invented));
        }
        if !looks && self.lists.archive.count() > 0 {
            lines.push(OpeningLine::Archive);
        }
        if looks || self.shows_archive {
            let rows = self.lists.archive.rows().iter().enumerate();
            lines.extend(rows.filter(|(_, r)| is_found(r)).map(|(n, _)| OpeningLine::Archived(n)));
        }
        if !looks {
            lines.push(OpeningLine::Shop);
        }
        lines
    }

    /// The chosen line.
    pub fn chosen(&self) -> Option<OpeningLine> {
        self.lines().get(self.selected).copied()
    }

    /// The batch on a line.
    pub fn batch(&self, line: OpeningLine) -> Option<&BatchRow> {
        match line {
            OpeningLine::Batch(n) | OpeningLine::Invented(n) => self.lists.batches.get(n),
            OpeningLine::Archived(n) => self.lists.archive.rows().get(n),
            _ => None,
        }
    }

    /// The route on a line.
    pub fn route(&self, line: OpeningLine) -> Option<&RouteRow> {
        match line {
            OpeningLine::Route(n) => self.lists.routes.get(n),
            _ => None,
        }
    }

    /// The question that is asked, and what is typed there.
    pub(super) fn prompt_words(&self) -> Option<(String, Input)> {
        let prompt = self.prompt.as_ref()?;
        let words = match prompt.question {
            StartQuestion::Articles { route } => {
                let row = self.lists.routes.get(route);
                let noun = row.map_or("articles", |row| row.article.many.as_str());
                format!("how many {noun}")
            }
            StartQuestion::Name { .. } => "name of the batch".to_owned(),
            StartQuestion::Word { .. } => "begin all the same: lead's initials, why".to_owned(),
            StartQuestion::Pin { ref lead, .. } => pin_words(lead),
            StartQuestion::Station { .. } => "another name for this station".to_owned(),
            StartQuestion::Size { ref dim } => format!("{}: another size", dim.replace('_', " ")),
            StartQuestion::ShopName => "what your shop is called".to_owned(),
        };
        Some((words, prompt.shown(self.asks_for_a_pin())))
    }

    pub(super) fn type_key(&mut self, key: KeyEvent) -> Vec<Effect> {
        self.refusal = None;
        match &mut self.prompt {
            Some(prompt) => prompt.press(key),
            None if self.sizes.is_some() => {}
            None => {
                self.filter.handle_event(&TerminalEvent::Key(key));
                return self.looked();
            }
        }
        Vec::new()
    }

    pub(super) fn insert(&mut self, letter: char) -> Vec<Effect> {
        if self.today.is_some() {
            return Vec::new();
        }
        match &mut self.prompt {
            Some(prompt) => prompt.insert(letter),
            None if self.sizes.is_some() => {}
            None => {
                self.filter.handle(InputRequest::InsertChar(letter));
                return self.looked();
            }
        }
        Vec::new()
    }

    /// Something else is looked for: from the top, in the archive too.
    fn looked(&mut self) -> Vec<Effect> {
        self.selected = 0;
        self.has_chosen = false;
        self.said = None;
        let is_unread = matches!(self.lists.archive, ArchiveList::Counted(1..));
        let looks = !self.filter.value().trim().is_empty();
        if looks && is_unread { vec![Effect::List { archive: true }] } else { Vec::new() }
    }

    /// One step back; false where there is nothing to go back from.
    pub(super) fn back(&mut self) -> bool {
        self.refusal = None;
        if self.today.take().is_some() {
            return true;
        }
        if self.prompt.as_mut().is_some_and(Prompt::clear) || self.prompt.take().is_some() {
            return true;
        }
        if self.sizes.take().is_some() {
            return true;
        }
        let looked = !self.filter.value().is_empty();
        self.filter.reset();
        if looked {
            self.selected = 0;
        }
        looked
    }

    /// Nothing is looked for or asked, and the list is in sight.
    pub(super) fn show_list(&mut self) {
        (self.today, self.prompt, self.sizes, self.refusal) = (None, None, None, None);
        self.filter.reset();
    }

    /// Answers what is asked, or opens the chosen line.
    pub(super) fn enter(&mut self) -> Vec<Effect> {
        if self.today.is_some() {
            return Vec::new();
        }
        if let Some(prompt) = &self.prompt {
            let (question, text) = (prompt.question.clone(), prompt.input.value().to_owned());
            return self.answer(question, text.trim());
        }
        self.said = None;
        if self.sizes.is_some() {
            return self.size_chosen();
        }
        match self.chosen() {
            Some(line @ (OpeningLine::Batch(_) | OpeningLine::Invented(_))) => {
                let name = self.batch(line).map(|row| row.name.clone());
                name.map(|name| Effect::Open { name, station: None }).into_iter().collect()
            }
            Some(OpeningLine::Route(route)) => {
                self.begin(route);
                Vec::new()
            }
            Some(OpeningLine::Practice) => {
                self.shows_practice = !self.shows_practice;
                Vec::new()
            }
            Some(OpeningLine::Archive) => {
                self.shows_archive = !self.shows_archive;
                vec![self.list()]
            }
            Some(OpeningLine::Archived(_)) => self.archive(),
            Some(OpeningLine::Shop) => self.open_shop(),
            None => self.named_file(),
        }
    }

    /// Reads the route file that is named where a batch or a route is looked for.
    fn named_file(&self) -> Vec<Effect> {
        let path = route_file(self.filter.value());
        path.map(|path| Effect::ReadRoute { path }).into_iter().collect()
    }

    /// Begins the route that was read from a file.
    pub(super) fn route_read(&mut self, lists: OpeningLists) {
        self.listed(lists);
        self.filter.reset();
        let lines = self.lines();
        let first = lines.iter().position(|line| *line == OpeningLine::Route(0));
        self.choose(first.unwrap_or(0));
        self.begin(0);
    }

    /// What a key does that works here alone.
    pub(super) fn command(&mut self, command: Command) -> Vec<Effect> {
        self.refusal = None;
        self.said = None;
        match (command, self.chosen()) {
            (Command::Archive, _) => self.archive(),
            (Command::Sizes, chosen) => self.look_at_sizes(chosen),
            (Command::Shop, _) => self.open_shop(),
            // What is asked is answered first.
            (Command::Today, _) if self.prompt.is_none() => vec![Effect::Today],
            (Command::LookBack, Some(OpeningLine::Archived(_))) => {
                self.refuse("It is archived.", "F6 brings it back, or use benchway review");
                Vec::new()
            }
            (Command::LookBack, Some(line)) => self.look_at(line),
            _ => Vec::new(),
        }
    }

    /// Looking back takes no station, so that no other terminal is in the way.
    fn look_at(&mut self, line: OpeningLine) -> Vec<Effect> {
        let Some(name) = self.batch(line).map(|row| row.name.clone()) else {
            self.refuse("Only a batch can be looked back on.", "choose one with Up and Down");
            return Vec::new();
        };
        vec![Effect::LookAt { name }]
    }

    pub(super) fn begin(&mut self, route: usize) {
        let Some(row) = self.lists.routes.get(route) else { return };
        match &row.fault {
            Some(fault) => {
                let (what, help) = (format!("{fault}."), row.advice.clone());
                self.refuse(&what, &help);
            }
            None => {
                let usual = row.sets.to_string();
                self.ask(StartQuestion::Articles { route }, &usual);
            }
        }
    }

    /// Archives the chosen batch, or brings it back.
    fn archive(&mut self) -> Vec<Effect> {
        let Some((line, row)) = self.chosen().and_then(|line| Some((line, self.batch(line)?)))
        else {
            self.refuse("Only a batch can be archived.", "choose one with Up and Down");
            return Vec::new();
        };
        let name = row.name.clone();
        let moved = match line {
            OpeningLine::Archived(_) => Effect::BringBack { name },
            _ => Effect::Archive { name },
        };
        vec![moved, self.list()]
    }

    pub(super) fn list(&self) -> Effect {
        let is_read = matches!(self.lists.archive, ArchiveList::Read(_));
        Effect::List { archive: is_read || self.shows_archive }
    }
}
