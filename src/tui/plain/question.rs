//! The question, which is always the last line.

use super::phrase::{line, unit_words};
use crate::prose::visible;
use crate::tui::app::{App, SessionView, Stage};
use crate::tui::machine_view::MachineView;
use crate::tui::review_state::ReviewScreen;

/// What is asked now, in one line.
pub(super) fn question(app: &App) -> String {
    if let Some((words, input)) = app.prompt() {
        let offered = visible(input.value());
        let usual = if offered.is_empty() { String::new() } else { format!(" (Enter: {offered})") };
        return asked(&format!("{words}{usual}"), "");
    }
    let session = match app.stage() {
        Stage::Opening(opening) if opening.sizes.is_some() => {
            return "Number to adapt, 1 to begin, back for the list:".to_owned();
        }
        Stage::Opening(opening) if opening.today().is_some() => {
            return "Enter goes back to the list, or q to leave:".to_owned();
        }
        Stage::Opening(_) => return "Number to open, or q to leave:".to_owned(),
        Stage::Shop(_) => return "Number of the line (back: one step back):".to_owned(),
        Stage::Session(session) => session,
    };
    match session.view() {
        SessionView::Machine { .. } => {
            let view = MachineView::of(&session.context(), session.task());
            if view.prompt.is_empty() {
                return "What now? A word, or ? for all words:".to_owned();
            }
            asked(&view.prompt, view.unit)
        }
        SessionView::Route { .. } | SessionView::Ready { .. } => {
            "Operation to go to (Enter: back to the work):".to_owned()
        }
        SessionView::Makers { .. } => {
            "Number to change, join or leaves 3 (Enter: back to the work):".to_owned()
        }
        SessionView::Pieces { .. } => {
            "Piece to hear about, or ? for what can be done (Enter: back to the work):".to_owned()
        }
        SessionView::Matched { .. } => "Enter goes back to the pieces:".to_owned(),
        SessionView::Review(state) => match state.page {
            ReviewScreen::Findings if session.only_looks() => {
                "Number to hear more (Enter: back to the list):".to_owned()
            }
            ReviewScreen::Findings => "Number to hear more (Enter: back to the work):".to_owned(),
            ReviewScreen::Series { .. } => {
                "Reading by its number, for what each operation added (Enter: back):".to_owned()
            }
            ReviewScreen::Attribution(_) => "Enter goes back:".to_owned(),
        },
    }
}

/// With its unit in words, and a colon where something is typed.
fn asked(prompt: &str, unit: &str) -> String {
    let unit = unit_words(unit);
    let named = if unit.is_empty() { prompt.to_owned() } else { format!("{prompt}, {unit}") };
    // The letter that begins the question about undoing is typed as it is.
    let said = if named.starts_with("y ") { visible(&named) } else { line(&named) };
    format!("{}:", said.trim_end_matches(['.', ':', '?']))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_question_names_its_unit_and_ends_with_a_colon() {
        assert_eq!(asked("leg 1 length", "in"), "Leg 1 length, inches:");
        assert_eq!(asked("Enter: zeroed", ""), "Enter: zeroed:");
        assert_eq!(asked("y undoes leg 1 20.004 at op 60", ""), "y undoes leg 1 20.004 at op 60:");
        assert_eq!(asked("who is there?", ""), "Who is there:");
    }
}
