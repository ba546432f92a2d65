//! Everything that can be done on a screen, as lines to choose from: so no letter has
//! to be typed, whatever the keyboard's layout.

use crossterm::event::KeyCode;

use super::keys::{BINDINGS, Command};
use super::screen::Screen;
use crate::work::{ReadReason, Remedy, Task};

/// What choosing a line does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum MenuAct {
    /// Decides about a piece.
    Choose(Remedy),
    /// Answers what is asked with this text.
    Answer(&'static str),
    /// Does what a key does.
    Command(Command),
}

/// A line of the menu.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct MenuLine {
    /// The key that does the same, as people call it; empty where none does.
    pub(super) key: String,
    /// What it does.
    pub(super) does: &'static str,
    pub(super) act: MenuAct,
}

/// The lines of a screen, what the task itself offers first.
pub(super) fn menu(screen: Screen, asked: Option<(&Task, &[Remedy])>) -> Vec<MenuLine> {
    let asked = asked.filter(|_| screen == Screen::Machine);
    let choices = asked.into_iter().flat_map(|(_, choices)| choices).map(|choice| MenuLine {
        key: choice.key().to_string(),
        does: choice.words(),
        act: MenuAct::Choose(*choice),
    });
    let answers = asked.map_or(&[][..], |(task, _)| answers(task)).iter();
    let answers = answers.map(|(text, does)| MenuLine {
        key: (*text).to_owned(),
        does,
        act: MenuAct::Answer(text),
    });
    let moves = [
        Command::Enter,
        Command::Back,
        Command::Up,
        Command::Down,
        Command::PageUp,
        Command::PageDown,
        Command::Menu,
    ];
    let bound = BINDINGS.iter().filter(|binding| binding.works_on(screen));
    let bound = bound.filter(|binding| !moves.contains(&binding.command));
    let bound = bound.map(|binding| {
        let function = binding.keys.iter().find_map(|code| match code {
            KeyCode::F(n) => Some(format!("F{n}")),
            _ => None,
        });
        MenuLine {
            key: match function {
                // On the opening screen letters are looked for.
                Some(own) if screen == Screen::Opening || own == binding.name => own,
                Some(function) => format!("{function} {}", binding.name),
                None => binding.name.to_owned(),
            },
            does: binding.does,
            act: MenuAct::Command(binding.command),
        }
    });
    choices.chain(answers).chain(bound).collect()
}

/// The answers in letters that a task takes beside a number.
fn answers(task: &Task) -> &'static [(&'static str, &'static str)] {
    match task {
        Task::Read { why: ReadReason::Between | ReadReason::Bridge, .. } => {
            &[("x", "skips this measurement")]
        }
        _ => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Always: Every command of the machine screen is in its menu.
    #[test]
    fn every_command_of_the_machine_is_in_its_menu() {
        let lines = menu(Screen::Machine, None);
        for binding in BINDINGS.iter().filter(|binding| binding.screens.contains(&Screen::Machine))
        {
            let is_move = matches!(
                binding.command,
                Command::Up | Command::Down | Command::PageUp | Command::PageDown | Command::Menu
            );
            let acts = |line: &MenuLine| line.act == MenuAct::Command(binding.command);
            assert!(is_move || lines.iter().any(acts), "{:?}", binding.command);
        }
    }

    #[test]
    fn what_the_task_offers_comes_first() {
        let choices = [Remedy::SetAside, Remedy::Accept];
        let lines = menu(Screen::Machine, Some((&Task::Finished, &choices)));
        assert_eq!(lines[0].act, MenuAct::Choose(Remedy::SetAside));
        assert_eq!((lines[1].key.as_str(), lines[1].act), ("a", MenuAct::Choose(Remedy::Accept)));
        // Elsewhere nothing is asked.
        let lines = menu(Screen::Pieces, Some((&Task::Finished, &choices)));
        assert!(lines.iter().all(|line| matches!(line.act, MenuAct::Command(_))));
    }
}
