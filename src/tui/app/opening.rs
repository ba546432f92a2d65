//! Before a batch is open: the lists to choose from, and what a new batch
//! is asked about.

use crossterm::event::KeyEvent;
use tui_input::Input;

use super::entry::Prompt;
use crate::prose::Message;
use crate::tui::message::{Effect, RouteRow};
use crate::work::BatchRow;

/// What is asked before a new batch begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum StartQuestion {
    /// How many articles it makes.
    Articles { route: usize },
    /// What it is called.
    Name { route: usize, articles: u32 },
    /// Why the lead begins it though its plan has errors.
    Word { route: usize, name: String, articles: u32 },
}

/// The opening screen: batches under way, then routes to begin.
#[derive(Debug, Default)]
pub struct OpeningScreen {
    /// The batches that can be gone on with.
    pub batches: Vec<BatchRow>,
    /// The routes a batch can be begun from.
    pub routes: Vec<RouteRow>,
    /// The chosen line: batches first, then routes.
    pub selected: usize,
    pub(super) prompt: Option<Prompt<StartQuestion>>,
    pub(super) refusal: Option<Message>,
}

impl OpeningScreen {
    pub(super) fn listed(&mut self, batches: Vec<BatchRow>, routes: Vec<RouteRow>) {
        (self.batches, self.routes) = (batches, routes);
        self.select(self.selected);
    }

    pub(super) fn select(&mut self, line: usize) {
        let lines = self.batches.len() + self.routes.len();
        self.selected = line.min(lines.saturating_sub(1));
    }

    /// The question that is asked, and what is typed there.
    pub(super) fn prompt_words(&self) -> Option<(String, &Input)> {
        let prompt = self.prompt.as_ref()?;
        let words = match prompt.question {
            StartQuestion::Articles { route } => {
                let row = self.routes.get(route);
                let noun = row.map_or("articles", |row| row.article.many.as_str());
                format!("how many {noun}")
            }
            StartQuestion::Name { .. } => "name of the batch".to_owned(),
            StartQuestion::Word { .. } => "begin all the same: lead's initials, why".to_owned(),
        };
        Some((words, &prompt.input))
    }

    pub(super) fn type_key(&mut self, key: KeyEvent) {
        self.refusal = None;
        if let Some(prompt) = &mut self.prompt {
            prompt.press(key);
        }
    }

    /// One step back; false where there is nothing to go back from.
    pub(super) fn back(&mut self) -> bool {
        self.refusal = None;
        if self.prompt.as_mut().is_some_and(Prompt::clear) {
            return true;
        }
        self.prompt.take().is_some()
    }

    /// Answers what is asked, or opens the chosen line.
    pub(super) fn enter(&mut self) -> Vec<Effect> {
        if let Some(prompt) = &self.prompt {
            let (question, text) = (prompt.question.clone(), prompt.input.value().to_owned());
            return self.answer(question, text.trim());
        }
        if let Some(batch) = self.batches.get(self.selected) {
            return vec![Effect::Open { name: batch.name.clone() }];
        }
        let route = self.selected - self.batches.len();
        if let Some(row) = self.routes.get(route) {
            let usual = row.sets.to_string();
            self.ask(StartQuestion::Articles { route }, &usual);
        }
        Vec::new()
    }

    pub(super) fn answer(&mut self, question: StartQuestion, text: &str) -> Vec<Effect> {
        match question {
            StartQuestion::Articles { route } => match text.parse() {
                Ok(articles @ 1..=1000) => {
                    let name = self.routes.get(route).map(|row| row.suggested.clone());
                    let question = StartQuestion::Name { route, articles };
                    self.ask(question, &name.unwrap_or_default());
                }
                _ => self.refuse("Enter a whole number from 1 to 1000.", "such as 6, then Enter"),
            },
            StartQuestion::Name { .. } if text.is_empty() => {
                self.refuse("The batch needs a name.", "such as spring stools, then Enter");
            }
            StartQuestion::Name { route, articles } => {
                let name = text.to_owned();
                return vec![Effect::Start { route, name, sets: articles, word: None }];
            }
            StartQuestion::Word { route, name, articles } => {
                let word = Some(text.to_owned());
                return vec![Effect::Start { route, name, sets: articles, word }];
            }
        }
        Vec::new()
    }

    /// Asks the lead to answer for a plan with errors.
    pub(super) fn faulty(&mut self, what: &str, question: StartQuestion) {
        self.ask(question, "");
        self.refuse(what, "mend the route, or the lead answers for it: MB why");
    }

    fn ask(&mut self, question: StartQuestion, start: &str) {
        self.refusal = None;
        self.prompt = Some(Prompt::new(question, start));
    }

    fn refuse(&mut self, what: &str, help: &str) {
        self.refusal = Some(Message::error(what).help(help));
    }
}
