//! What `?` says: all of what is asked, and what can be typed.

use super::lists;
use super::machine;
use super::phrase::line;
use super::typed::{WORDS, letter};
use crate::tui::app::{App, Session, SessionView, Stage};
use crate::tui::explanation::of_screen;
use crate::tui::keys::{BINDINGS, Command};
use crate::tui::screen::Screen;

const NUMBERS: &str = "A reading: 1 7/16, 1-7/16, 1.4375, 1,4375, 7/16, 36.5mm. After a fraction + \
is strong, - is shy. A bare number is in the unit of the gauge.";

/// Everything about the question that is asked.
pub(super) fn explained(app: &App) -> Vec<String> {
    if app.prompt().is_some() {
        return vec!["Type the answer in one line; cancel drops the question.".to_owned()];
    }
    let mut lines = match app.stage() {
        Stage::Opening(opening) => {
            let about = of_screen(app.screen()).iter().map(|text| line(text));
            about.chain(lists::opening(opening)).collect()
        }
        Stage::Shop(shop) => {
            let about = of_screen(Screen::Shop).iter().map(|text| line(text));
            about.chain(lists::shop(shop)).collect()
        }
        Stage::Session(session) => at_work(session, app.screen()),
    };
    if app.takes_words() {
        lines.push("Words are asked here: type commands whole, not as letters.".to_owned());
    }
    lines.extend(app.looks_each_second().map(str::to_owned));
    lines.extend(commands(app));
    lines
}

fn at_work(session: &Session, screen: Screen) -> Vec<String> {
    if !session.view().is_machine() {
        let mut lines: Vec<String> = of_screen(screen).iter().map(|text| line(text)).collect();
        lines.extend(lists::page(session));
        if matches!(session.view(), SessionView::Pieces { .. }) {
            let how = "Name a piece alone, or after what is done with it: aside leg 4.";
            lines.push(how.to_owned());
        }
        return lines;
    }
    let mut lines = machine::whole(session);
    lines.push(NUMBERS.to_owned());
    lines.push("op and a number goes to that operation: op 60.".to_owned());
    lines
}

/// `u or undo: undoes the last entry; the record keeps it, voided.`
fn commands(app: &App) -> Vec<String> {
    let works = BINDINGS.iter().filter(|binding| binding.works_on(app.screen()));
    let said = works.filter_map(|binding| {
        let (command, words) = WORDS.iter().find(|(command, _)| *command == binding.command)?;
        if binding.control || matches!(command, Command::Back | Command::Help) {
            return None;
        }
        let letter = letter(binding).filter(|_| !app.takes_words()).map(String::from);
        let names = letter.into_iter().chain(words.iter().map(|word| (*word).to_owned()));
        Some(format!("{}: {}.", names.collect::<Vec<_>>().join(" or "), binding.does))
    });
    said.collect()
}
