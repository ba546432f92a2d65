//! What a typed line means: a command named by a word or its letter, a line of a
//! list, or else an answer, which means what it means at the keys.

use crate::journal::Piece;
use crate::tui::app::{App, Session, SessionView, Stage, route_file};
use crate::tui::keys::{BINDINGS, Binding, Command};
use crate::tui::review_state::ReviewScreen;
use crate::tui::screen::Screen;
use crate::work::PaperCode;
use crossterm::event::KeyCode;

/// What a typed line means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum TypedLine {
    /// Say everything, and what can be typed.
    Explain,
    /// A command, with what followed it.
    Command(Command, String),
    /// A line of the list in sight, and what is done with it.
    Choose(usize, Command, String),
    /// To an operation, from wherever one is.
    GoTo(usize),
    /// An answer to what is asked.
    Answer(String),
    /// Nothing that is understood here, and what would be.
    Unknown(String),
}

/// The words of each command; its letters are those of the keys.
pub(super) const WORDS: &[(Command, &[&str])] = &[
    (Command::Help, &["help"]),
    (Command::Undo, &["undo"]),
    (Command::Redo, &["redo"]),
    (Command::Switch, &["keys"]),
    (Command::Machine, &["work"]),
    (Command::Route, &["operations", "op"]),
    (Command::Pieces, &["pieces"]),
    (Command::Sizes, &["sizes"]),
    (Command::Makers, &["makers"]),
    (Command::Join, &["join"]),
    (Command::Depart, &["leaves"]),
    (Command::Ready, &["start"]),
    (Command::Today, &["today"]),
    (Command::Matched, &["matching"]),
    (Command::OnPaper, &["paper"]),
    (Command::Bell, &["bell"]),
    (Command::Aside, &["aside"]),
    (Command::Elsewhere, &["reuse"]),
    (Command::Remake, &["remake"]),
    (Command::Note, &["note"]),
    (Command::OpenGate, &["open"]),
    (Command::LookBack, &["review"]),
    (Command::Print, &["print"]),
    (Command::Archive, &["archive"]),
    (Command::Shop, &["shop"]),
    (Command::SignOff, &["signoff"]),
    (Command::Leave, &["quit", "leave"]),
    (Command::Back, &["back", "cancel"]),
];

/// The letter of a key, where it has one.
pub(super) fn letter(binding: &Binding) -> Option<char> {
    binding.keys.iter().filter(|_| !binding.control).find_map(|code| match code {
        KeyCode::Char(letter) => Some(*letter),
        _ => None,
    })
}

impl TypedLine {
    /// What a line means where the app is.
    pub(super) fn of(app: &App, line: &str) -> TypedLine {
        let text = line.trim();
        if text == "?" || text.eq_ignore_ascii_case("help") {
            return TypedLine::Explain;
        }
        if app.prompt().is_some() {
            return if text.eq_ignore_ascii_case("cancel") {
                TypedLine::Command(Command::Back, String::new())
            } else {
                TypedLine::Answer(text.to_owned())
            };
        }
        if text.parse::<PaperCode>().is_ok() {
            return TypedLine::Answer(text.to_owned());
        }
        let named = command(app, text);
        match app.stage() {
            Stage::Opening(opening) if opening.today().is_some() => match named {
                Some((command, rest)) => TypedLine::Command(command, rest),
                None => TypedLine::Command(Command::Back, String::new()),
            },
            Stage::Opening(opening) => {
                let sizes = opening.sizes.as_ref().map(|sizes| sizes.lines().len());
                let lines = sizes.unwrap_or_else(|| opening.lines().len());
                let line = |text: &str| numbered(text).filter(|line| *line < lines);
                match (line(text), named) {
                    (Some(line), _) => TypedLine::Choose(line, Command::Enter, String::new()),
                    (None, Some((command, rest))) => match (command, line(&rest)) {
                        (
                            Command::LookBack | Command::Archive | Command::Sizes | Command::Print,
                            Some(line),
                        ) => TypedLine::Choose(line, command, String::new()),
                        (Command::LookBack | Command::Archive | Command::Sizes, None) => {
                            unknown("name the number after it, such as: review 1")
                        }
                        _ => TypedLine::Command(command, rest),
                    },
                    (None, None) if route_file(text).is_some() => {
                        TypedLine::Answer(text.to_owned())
                    }
                    (None, None) => unknown("type the number of a batch or of a route"),
                }
            }
            Stage::Shop(shop) => {
                let lines = shop.lines().len();
                match (numbered(text).filter(|line| *line < lines), named) {
                    (Some(line), _) => TypedLine::Choose(line, Command::Enter, String::new()),
                    (None, Some((command, rest))) => TypedLine::Command(command, rest),
                    (None, None) if text.is_empty() => {
                        TypedLine::Command(Command::Back, String::new())
                    }
                    (None, None) => unknown("type the number of a line, or back"),
                }
            }
            Stage::Session(session) => in_session(session, text, named),
        }
    }
}

fn unknown(help: &str) -> TypedLine {
    TypedLine::Unknown(help.to_owned())
}

fn in_session(session: &Session, text: &str, named: Option<(Command, String)>) -> TypedLine {
    let view = session.view();
    if let Some((Command::Route, rest)) = &named
        && !rest.is_empty()
    {
        return match operation(session, rest) {
            Some(line) => TypedLine::GoTo(line),
            None => TypedLine::Unknown(format!("there is no operation {rest}; r lists them")),
        };
    }
    let about_piece = [Command::Aside, Command::Elsewhere, Command::Remake, Command::Note];
    match (view, named) {
        (SessionView::Pieces { .. }, Some((command, rest))) if about_piece.contains(&command) => {
            match piece(session, &rest) {
                Some((line, rest)) => TypedLine::Choose(line, command, rest.to_owned()),
                None => unknown("name the piece after it, such as: aside leg 4"),
            }
        }
        (SessionView::Makers { .. }, Some((Command::Depart, rest))) => {
            let (first, more) = rest.split_once(' ').unwrap_or((&rest, ""));
            match article(session, first) {
                Some(line) => TypedLine::Choose(line, Command::Depart, more.to_owned()),
                None => unknown("name the number after it, such as: leaves 3"),
            }
        }
        (_, Some((command, rest))) => TypedLine::Command(command, rest),
        (SessionView::Machine { .. }, None) => TypedLine::Answer(text.to_owned()),
        (_, None) if text.is_empty() => TypedLine::Command(Command::Back, String::new()),
        (view, None) => match line_of_list(session, view, text) {
            Some(line) => TypedLine::Choose(line, Command::Enter, String::new()),
            None => unknown("? says what can be typed here; Enter goes back"),
        },
    }
}

/// The line of the list in sight that a text names.
fn line_of_list(session: &Session, view: &SessionView, text: &str) -> Option<usize> {
    match view {
        SessionView::Route { .. } => operation(session, text),
        SessionView::Ready { lines, .. } => {
            let op: u32 = text.parse().ok()?;
            lines.iter().position(|line| line.op == op)
        }
        SessionView::Makers { .. } => article(session, text),
        SessionView::Pieces { .. } => match piece(session, text)? {
            (line, "") => Some(line),
            _ => None,
        },
        SessionView::Review(state) => {
            let line = numbered(text)?;
            let lines = match state.page {
                ReviewScreen::Findings => state.rows.len(),
                ReviewScreen::Series { .. } => state.check()?.series.points.len(),
                ReviewScreen::Attribution(_) => 0,
            };
            (line < lines).then_some(line)
        }
        SessionView::Machine { .. } | SessionView::Matched { .. } => None,
    }
}

/// The line of an article, by its number.
fn article(session: &Session, text: &str) -> Option<usize> {
    let count = session.context().state.article_count() as usize;
    numbered(text).filter(|line| *line < count)
}

/// A line by its number, counted from 1.
fn numbered(text: &str) -> Option<usize> {
    text.parse::<usize>().ok()?.checked_sub(1)
}

/// The line of an operation among all of them.
fn operation(session: &Session, text: &str) -> Option<usize> {
    let op: u32 = text.parse().ok()?;
    session.operations().iter().position(|held| *held == op)
}

/// The piece that a text begins with, and the rest of it. A name may stop short
/// where only one piece can be meant.
fn piece<'t>(session: &Session, text: &'t str) -> Option<(usize, &'t str)> {
    let pieces = &session.context().state.pieces;
    let typed = text.to_lowercase();
    let name = |piece: &Piece| piece.label.to_string().to_lowercase();
    let named = |piece: &Piece| {
        let rest = typed.strip_prefix(&name(piece))?;
        (rest.is_empty() || rest.starts_with(' ')).then_some(typed.len() - rest.len())
    };
    let whole = pieces.iter().enumerate().filter_map(|(line, piece)| Some((line, named(piece)?)));
    if let Some((line, length)) = whole.max_by_key(|(_, length)| *length) {
        return Some((line, text.get(length..)?.trim()));
    }
    let short = |piece: &Piece| name(piece).starts_with(&format!("{typed} "));
    let mut begun = pieces.iter().enumerate().filter(|(_, piece)| short(piece));
    match (begun.next(), begun.next()) {
        (Some((line, _)), None) => Some((line, "")),
        _ => None,
    }
}

/// The command a text begins with, where it works, and the rest. A letter alone is
/// none where words are asked or where it decides about a piece, as at the keys.
fn command(app: &App, text: &str) -> Option<(Command, String)> {
    let (first, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let first = first.to_lowercase();
    let works = |binding: &&Binding| binding.works_on(app.screen());
    let is_choice = |letter| app.session().is_some_and(|session| session.is_choice(letter));
    let by_letter = |binding: &&Binding| {
        let letter = letter(binding).filter(|letter| first == letter.to_string());
        letter.is_some_and(|letter| !app.takes_words() && !is_choice(letter))
    };
    let by_word = WORDS.iter().find(|(_, words)| words.contains(&first.as_str()));
    let mut bound = BINDINGS.iter().filter(works).filter(|held| is_spoken(held.command));
    let found = match by_word {
        Some((Command::Back, _)) if app.screen() == Screen::Machine => None,
        Some((command, _)) => bound.find(|binding| binding.command == *command),
        None => bound.find(by_letter),
    };
    found.map(|binding| (binding.command, rest.trim().to_owned()))
}

/// Whether a command means something where nothing is drawn.
pub(super) fn is_spoken(command: Command) -> bool {
    WORDS.iter().any(|(named, _)| *named == command)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Always: No word names two commands, and none is a single letter.
    #[test]
    fn no_word_names_two_commands() {
        let words: Vec<&str> = WORDS.iter().flat_map(|(_, words)| *words).copied().collect();
        for word in &words {
            assert!(word.len() > 1, "{word}");
            assert_eq!(words.iter().filter(|held| *held == word).count(), 1, "{word}");
        }
    }

    #[test]
    fn every_word_stands_for_a_key() {
        for (command, _) in WORDS {
            assert!(BINDINGS.iter().any(|binding| binding.command == *command), "{command:?}");
        }
    }
}
