//! Words typed where letters are keys. Whatever they begin with, they decide nothing,
//! set nothing aside and undo nothing.

use crate::drawn::{PLAIN, text};
use crate::look;
use crate::part_so_far::before;
use benchway::journal::Event;
use benchway::work::Task;
use crossterm::event::KeyCode;

const WORDS: &[&str] = &[
    "all of them",
    "bad board",
    "can't tell",
    "done",
    "end",
    "go on",
    "hi",
    "it fits",
    "knot found",
    "make another",
    "measured twice",
    "not square",
    "open the vise",
    "quick",
    "rough",
    "set it right",
    "stop had dust",
    "undo that",
    "will do",
    "yes",
    "zero it",
];

/// Always: Words and the Enter after them record at most a note.
#[test]
fn words_record_at_most_a_note() {
    let closing = |theme| {
        let mut desk = before(70, theme);
        desk.enter(&[""]);
        desk
    };
    let states = [look::set, look::measure, look::too_wide, closing];
    for state in states {
        for word in WORDS {
            let mut desk = state(PLAIN);
            let before = desk.walker.lines.len();
            desk.enter(&[word]);
            let new = desk.walker.lines[before..].iter().map(|line| &line.event);
            // Whoever leaves leaves a note too.
            let is_note = |event: &&Event| {
                matches!(
                    event,
                    Event::Note { .. } | Event::TypedUnasked { .. } | Event::Left { .. }
                )
            };
            let harms: Vec<&Event> = new.filter(|event| !is_note(event)).collect();
            assert!(harms.is_empty(), "{word:?} at {:?}: {harms:?}", desk.walker.task());
        }
    }
}

/// A letter decides once Enter follows it.
#[test]
fn one_letter_decides_with_enter() {
    let mut desk = look::too_wide(PLAIN);
    let before = desk.walker.lines.len();
    desk.letters("m");
    assert_eq!((desk.walker.lines.len(), desk.app.typed()), (before, "m"));
    desk.key(KeyCode::Enter);
    assert!(matches!(desk.walker.task(), Task::Read { .. }), "{:?}", desk.walker.task());
}

/// The letters of a word that means nothing are refused one by one, and the Enter after
/// them closed the operation.
#[test]
fn enter_after_a_word_that_means_nothing_answers_nothing() {
    let mut desk = before(30, PLAIN);
    // Only Enter is asked before the cautions.
    let before = desk.walker.lines.len();
    desk.letters("vi").key(KeyCode::Enter);
    assert_eq!(desk.walker.lines.len(), before, "{}", text(&desk.drawn(80, 24)));
    let shown = text(&desk.drawn(80, 24));
    assert!(shown.contains("What was typed means nothing here."), "{shown}");
    desk.key(KeyCode::Enter);
    assert!(desk.walker.lines.len() > before);
}

/// u and z ask, for they may begin a word; the key for each acts at once.
#[test]
fn undo_by_a_letter_asks() {
    let mut desk = look::measure(PLAIN);
    let before = desk.walker.lines.len();
    desk.letters("u");
    assert!(text(&desk.drawn(80, 24)).contains("y undoes"), "{}", text(&desk.drawn(80, 24)));
    desk.enter(&["y"]);
    assert_eq!(desk.walker.lines.len(), before + 1);
    desk.letters("z").enter(&["y"]);
    assert_eq!(desk.walker.lines.len(), before + 2);
}
