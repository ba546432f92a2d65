//! Which page for paper belongs to what is in sight.

use super::session::Session;
use super::view::SessionView;
use super::{App, OpeningLine, OpeningScreen, Stage};
use crate::prose::Message;
use crate::tui::message::{Effect, PrintWish};

impl App {
    /// Asks for the page of what is in sight.
    pub(super) fn print(&mut self) -> Vec<Effect> {
        let wish = match &mut self.stage {
            Stage::Session(session) => Some(session.page()),
            Stage::Opening(opening) => opening.page(),
            Stage::Shop(_) => Some(PrintWish::Safety),
        };
        wish.map(Effect::Print).into_iter().collect()
    }
}

impl Session {
    /// The review where it is looked at; else the card, of the part that is worked on.
    fn page(&mut self) -> PrintWish {
        self.refusal = None;
        let batch = self.snapshot.name.clone();
        match self.view {
            SessionView::Review(_) => PrintWish::Review { batch },
            SessionView::Machine { .. } => {
                let part = self.context().planned().map(|planned| planned.part.clone());
                PrintWish::Card { batch, part }
            }
            _ => PrintWish::Card { batch, part: None },
        }
    }
}

impl OpeningScreen {
    /// What there is to do today where it is looked at; else the card of the chosen line.
    fn page(&mut self) -> Option<PrintWish> {
        if self.today.is_some() {
            return Some(PrintWish::Today);
        }
        let chosen = self.chosen()?;
        if let OpeningLine::Route(route) = chosen {
            return Some(PrintWish::RouteCard { route });
        }
        if let Some(row) = self.batch(chosen) {
            return Some(PrintWish::Card { batch: row.name.clone(), part: None });
        }
        self.refusal = Some(Message::error("Choose a batch or a route to print its card."));
        None
    }
}
