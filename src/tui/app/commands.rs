//! The keys that work in an open batch alone, and what each does.

use super::session::Session;
use super::work_question::WorkQuestion;
use crate::tui::keys::Command;
use crate::tui::message::Effect;

/// What a key does that works in an open batch alone.
pub(super) fn session_command(session: &mut Session, command: Command) -> Vec<Effect> {
    let records = [
        Command::Aside,
        Command::Elsewhere,
        Command::Remake,
        Command::Note,
        Command::OnPaper,
        Command::Join,
        Command::Depart,
    ];
    if session.looking.is_some() && records.contains(&command) {
        session.refuse("Nothing is recorded while you look back.", "w opens the batch to work");
        return Vec::new();
    }
    match command {
        Command::Machine => session.show_machine(),
        Command::Route => session.show_route(),
        Command::Pieces => session.show_pieces(),
        Command::Makers => session.show_makers(),
        Command::Join => session.ask_who_joins(),
        Command::Depart => session.ask_who_leaves(),
        Command::Ready => session.show_ready(),
        Command::Matched => session.show_matched(),
        Command::LookBack => session.show_review(),
        Command::Before | Command::After => session.step_reading(command == Command::After),
        Command::OnPaper => session.ask(WorkQuestion::OnPaper),
        Command::Bell => session.ask(WorkQuestion::Bell),
        Command::Aside => session.ask_to_set_aside(),
        Command::Elsewhere => session.ask_about_piece(WorkQuestion::UseElsewhere),
        Command::Remake => session.ask_about_piece(WorkQuestion::Remake),
        Command::Note => session.ask_for_a_note(),
        Command::OpenGate => session.ask_to_open_gate(),
        Command::SignOff => session.ask(WorkQuestion::SignOff),
        Command::Undo => return session.undo(),
        Command::Redo => return session.redo(),
        Command::Switch => return session.hand_over_keys(),
        _ => {}
    }
    Vec::new()
}
