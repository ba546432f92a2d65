//! What is asked about the maker of an article: whose it is, then each choice in turn.
//! What is offered is what was chosen before.

use super::maker_question::{MakerField, MakerQuestion};
use super::session::{Recording, Session};
use super::view::SessionView;
use super::work_question::WorkQuestion;
use crate::route::{Chosen, OwnedArticle};
use crate::tui::message::Effect;
use crate::work::{choose, join, objection, owner_leaves};

impl Session {
    pub(super) fn show_makers(&mut self) {
        self.refusal = None;
        let asked = self.in_hand().first().and_then(|piece| self.snapshot.state.piece(piece));
        let article = asked.and_then(|piece| piece.label.set).unwrap_or(1);
        self.view = SessionView::Makers { selected: article as usize - 1 };
    }

    /// The article of the chosen line.
    fn chosen_article(&self) -> u32 {
        let SessionView::Makers { selected } = self.view else { return 1 };
        selected as u32 + 1
    }

    /// Asks whose the chosen article is, then what was chosen.
    pub(super) fn ask_what_is_chosen(&mut self) {
        if self.looking.is_some() {
            return self
                .refuse("Nothing is recorded while you look back.", "w opens the batch to work");
        }
        let article = self.chosen_article();
        let state = &self.snapshot.state;
        let record = state.articles.get(article as usize - 1);
        if record.is_some_and(|record| record.has_left) {
            return self.refuse("Its owner left.", "j takes somebody in");
        }
        let owner = state.owner(article).map(str::to_owned);
        let draft = OwnedArticle { owner, chosen: state.chosen(article) };
        self.ask_maker(Some(article), draft, MakerField::Owner);
    }

    pub(super) fn ask_who_joins(&mut self) {
        self.ask_maker(None, OwnedArticle::default(), MakerField::Owner);
    }

    pub(super) fn ask_who_leaves(&mut self) {
        let article = self.chosen_article();
        self.ask(WorkQuestion::Depart(article));
    }

    fn ask_maker(&mut self, article: Option<u32>, draft: OwnedArticle, field: MakerField) {
        let route = &self.snapshot.route;
        let number = article.unwrap_or(self.snapshot.state.article_count() + 1);
        let words = field.words(route, number);
        let offered = field.offered(route, &draft);
        let question = MakerQuestion { article, draft, field, words };
        self.ask_offering(WorkQuestion::Maker(question), &offered);
    }

    /// Takes one answer in; the last one is recorded with those before it.
    pub(super) fn take_choice(&mut self, question: MakerQuestion, text: &str) -> Vec<Effect> {
        let MakerQuestion { article, mut draft, field, .. } = question;
        let route = std::sync::Arc::clone(&self.snapshot.route);
        let taken = field.take(&route, &mut draft, text).and_then(|()| {
            let alone = match field {
                MakerField::Owner => return Ok(()),
                MakerField::Size(place) => {
                    let dim = &route.choices[place].dim;
                    let sizes = draft.chosen.sizes.get(dim).map(|size| (dim.clone(), *size));
                    Chosen { sizes: sizes.into_iter().collect(), wood: None }
                }
                MakerField::Wood => Chosen { wood: draft.chosen.wood.clone(), ..Chosen::default() },
            };
            objection(&route, &self.snapshot.shop, &alone).map_or(Ok(()), Err)
        });
        if let Err(why) = taken {
            self.refusal = Some(why);
            return Vec::new();
        }
        if let Some(next) = field.next(&route) {
            self.ask_maker(article, draft, next);
            return Vec::new();
        }
        let events = match article {
            Some(article) => choose(&self.context(), article, draft),
            None => join(&self.context(), draft),
        };
        match events {
            Ok(events) if events.is_empty() => {
                self.forget_prompt();
                Vec::new()
            }
            events => self.append_or_refuse(events),
        }
    }

    /// Takes the lead's word on somebody who leaves: `s MB moved away`.
    pub(super) fn let_leave(&mut self, article: u32, text: &str) -> Vec<Effect> {
        let (kind, word) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let spares = match kind.to_lowercase().as_str() {
            "s" | "spares" => true,
            "a" | "aside" => false,
            _ => {
                let help = "such as: s MB moved away";
                self.refuse("Its pieces become spares (s) or are set aside (a).", help);
                return Vec::new();
            }
        };
        match owner_leaves(&self.context(), article, spares, word) {
            Ok(events) => self.append(events, Recording::Answer(None)),
            Err(why) => {
                self.refusal = Some(why);
                Vec::new()
            }
        }
    }
}
