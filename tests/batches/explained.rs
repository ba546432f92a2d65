//! Help explains the question that is asked, the choices, the words and the signs.

use crate::bench::snapshot;
use crate::desk::Desk;
use crate::drawn::{PLAIN, text};
use crate::look;
use crate::walker::Walker;
use benchway::tui::{AppMessage, MachineView};
use benchway::work::{Remedy, Task, choices};
use crossterm::event::KeyCode;

/// The help of what is asked, in a window that has room for all of it.
fn help(desk: &mut Desk) -> String {
    desk.key(KeyCode::Char('?'));
    text(&desk.drawn(100, 110))
}

/// What was said, with the line breaks taken out.
fn unbroken(shown: &str) -> String {
    shown.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_measured_piece_is_explained() {
    let shown = help(&mut look::measure(PLAIN));
    snapshot("explained-measure-100x110", &shown);
}

/// Every choice with its letter and what follows from it, every caution of the machine.
#[test]
fn each_choice_is_explained() {
    let mut desk = look::too_wide(PLAIN);
    let task = desk.walker.task();
    let open = choices(&desk.walker.context(), &task);
    let cautions = desk.walker.context().planned().expect("an operation").cautions.clone();
    assert!(matches!(task, Task::Decide { .. }) && open.len() > 2);
    let shown = help(&mut desk);
    let said = unbroken(&shown);
    for choice in open {
        assert!(
            said.contains(&format!("{}: {}. {}", choice.key(), choice.words(), choice.explained())),
            "{shown}"
        );
    }
    for caution in cautions {
        assert!(said.contains(&format!("! {caution}")), "{caution}\n{shown}");
    }
    snapshot("explained-too-wide-100x110", &shown);
}

/// Nobody has to guess what a letter does, nor reads one sentence for two letters.
#[test]
fn no_two_choices_are_explained_alike() {
    let mut said: Vec<&str> = Remedy::ALL.iter().map(|choice| choice.explained()).collect();
    said.sort_unstable();
    said.dedup();
    assert_eq!(said.len(), Remedy::ALL.len());
}

/// Each list says what it shows before its keys.
#[test]
fn lists_are_explained() {
    let mut all = String::new();
    for key in ['r', 'p', 't', 'y'] {
        let mut desk = look::measure(PLAIN);
        desk.key(KeyCode::Char(key));
        let shown = help(&mut desk);
        let said: Vec<&str> = shown.lines().skip(2).take_while(|row| !row.is_empty()).collect();
        assert!(!said.is_empty() && !said[0].starts_with("Enter"), "{shown}");
        all.push_str(&format!("{key}\n{}\n\n", said.join("\n")));
    }
    snapshot("explained-lists", &all);
}

/// Two slats with two holes at marks, then a bench operation.
const SLATS: &str = r#"{ "route": "slats", "unit": "in", "sets": 1,
  "parts": { "slat": { "per_set": 2, "species": "ash",
    "stock": { "thickness": "3/4", "width": "3", "length": "20" } } },
  "operations": [
    { "op": 10, "part": "slat", "do": "bore", "at": "drill press", "tool": "3/8 bit",
      "makes": "plug hole", "size": "3/8", "from_face": "1 1/2", "depth": "3/8", "count": 2 },
    { "op": 20, "part": "slat", "do": "hand", "at": "bench", "say": ["Break the edges."] } ] }"#;

/// Holes at marks were in no drawing, and nothing said so.
#[test]
fn holes_at_marks_are_named_where_they_are_not_drawn() {
    let mut walker = Walker::of(SLATS);
    walker.op = 10;
    walker.to_set();
    let view = MachineView::of(&walker.context(), &walker.task());
    assert_eq!(view.places, ["Bore at the marks: the route gives no place along it."]);
    assert!(view.details.iter().any(|text| text.contains("2 holes in each piece")), "{view:#?}");
    walker.to_size(10);
    walker.op = 20;
    let mut desk = Desk::of(SLATS, PLAIN);
    desk.walker.lines = walker.lines;
    desk.walker.settle();
    desk.app.update(AppMessage::Opened(Box::new(desk.snapshot()), desk.walker.now));
    desk.enter(&["mb"]);
    let said = unbroken(&help(&mut desk));
    let not_drawn = "Not drawn: op 10 bore, cut at marks, whose place along the piece the route \
                     doesn't give.";
    assert!(said.contains(not_drawn), "{said}");
}

/// Where a folder gives no word of changes it is looked at, and help says so; else it says
/// nothing of it.
#[test]
fn a_folder_that_is_looked_at_is_told() {
    let said = "This folder gives no word of changes, so benchway looks once a second.";
    for is_looking in [false, true] {
        let mut desk = look::measure(PLAIN);
        desk.app.update(AppMessage::Watched { is_looking });
        let shown = help(&mut desk);
        assert_eq!(unbroken(&shown).contains(said), is_looking, "{shown}");
    }
}
