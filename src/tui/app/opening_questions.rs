//! What is asked before a batch is open, and what each answer leads to.

use super::entry::Prompt;
use super::opening::{OpeningScreen, StartQuestion};
use crate::prose::Message;
use crate::tui::message::{Effect, NewBatch};

impl OpeningScreen {
    pub(super) fn answer(&mut self, question: StartQuestion, text: &str) -> Vec<Effect> {
        match question {
            StartQuestion::Articles { route } => match text.parse() {
                Ok(articles @ 1..=1000) => {
                    let name = self.lists.routes.get(route).map(|row| row.suggested.clone());
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
                let adapted = self.adapted.take().filter(|(of, _)| *of == route);
                let adapted = adapted.map_or_else(Vec::new, |(_, changes)| changes);
                let makers = Vec::new();
                let batch = NewBatch { route, name, sets: articles, makers, adapted };
                return vec![Effect::Start { batch, word: None }];
            }
            StartQuestion::Word { batch } => {
                let word = Some(text.to_owned());
                return vec![Effect::Start { batch, word }];
            }
            StartQuestion::Pin { lead, batch, word } => {
                let then = Effect::Start { batch, word: Some(word) };
                return vec![Effect::Prove { lead, pin: text.to_owned(), then: Box::new(then) }];
            }
            StartQuestion::Size { dim } => self.take_size(&dim, text),
            StartQuestion::Station { .. } if text.is_empty() => {
                self.refuse("This station needs a name of its own.", "such as bench, then Enter");
            }
            StartQuestion::ShopName => return self.begin_shop(text),
            StartQuestion::Station { batch } => {
                return vec![Effect::Open { name: batch, station: Some(text.to_owned()) }];
            }
        }
        Vec::new()
    }

    /// Asks for the PIN of the lead who begins a batch all the same.
    pub(super) fn ask_for_a_pin(&mut self, lead: String, then: Effect) {
        if let Effect::Start { batch, word: Some(word) } = then {
            self.ask(StartQuestion::Pin { lead, batch, word }, "");
        }
    }

    pub(super) fn asks_for_a_pin(&self) -> bool {
        let pin = |question: &StartQuestion| matches!(question, StartQuestion::Pin { .. });
        self.prompt.as_ref().is_some_and(|prompt| pin(&prompt.question))
    }

    /// A PIN that was refused is typed anew.
    pub(super) fn forget_pin_typed(&mut self) {
        if self.asks_for_a_pin()
            && let Some(prompt) = &mut self.prompt
        {
            prompt.clear();
        }
    }

    /// Asks the lead to answer for a plan with errors.
    pub(super) fn faulty(&mut self, what: &str, question: StartQuestion) {
        self.ask(question, "");
        self.refuse(what, "mend the route, or the lead answers for it: MB why");
    }

    /// Asks for another name for this station, and offers one that is free.
    pub(super) fn busy(&mut self, batch: String, what: &str, free: &str) {
        self.ask(StartQuestion::Station { batch }, free);
        self.refuse(what, "close it there, or work under another name");
    }

    pub(super) fn ask(&mut self, question: StartQuestion, start: &str) {
        self.refusal = None;
        self.said = None;
        self.prompt = Some(Prompt::new(question, start));
    }

    pub(super) fn refuse(&mut self, what: &str, help: &str) {
        self.refusal = Some(Message::error(what).help(help));
    }
}
