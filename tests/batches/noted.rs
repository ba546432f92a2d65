//! A note on one piece: written where the piece is in hand or in the list of pieces,
//! and met again wherever the piece comes.

use crate::desk::Desk;
use crate::drawn::{PLAIN, text};
use crate::look;
use benchway::journal::{Event, PieceId};
use benchway::work::{Task, handover};
use crossterm::event::KeyCode;

/// The piece that is measured now.
fn measured(desk: &Desk) -> PieceId {
    match desk.walker.task() {
        Task::Read { piece, .. } => piece,
        task => panic!("{task:?}"),
    }
}

/// Without line breaks and the gaps between columns.
fn shown(desk: &Desk, rows: u16) -> String {
    text(&desk.drawn(120, rows)).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_note_at_the_machine_is_on_the_piece_in_hand() {
    let mut desk = look::measure(PLAIN);
    let piece = measured(&desk);
    desk.key(KeyCode::Char('n'));
    assert!(shown(&desk, 40).contains("note on leg setup 1 (- for the op)"));
    desk.enter(&["a pin knot near the foot"]);
    let state = &desk.walker.state;
    let last = state.remarks.last().expect("a note");
    assert_eq!((last.op, last.piece.as_ref()), (Some(30), Some(&piece)));
    assert_eq!(last.text, "a pin knot near the foot");
    // It stays with the piece while that is asked for, and whoever takes over hears it.
    let line = "25 Nov 08:00 MB op 30 leg setup 1: a pin knot near the foot";
    let at_the_machine = text(&desk.drawn(80, 24));
    let begins = "Note: 25 Nov 08:00 MB op 30 leg setup 1: a pin";
    assert!(at_the_machine.contains(begins), "{at_the_machine}");
    let handed: String = handover(&desk.walker.context()).join(" ");
    let handed = handed.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(handed.contains(&format!("Note {line}")), "{handed}");
}

/// After a hyphen it is about the operation, whichever piece is in hand.
#[test]
fn a_note_after_a_hyphen_is_on_the_operation() {
    let mut desk = look::measure(PLAIN);
    desk.key(KeyCode::Char('n'));
    desk.enter(&["- the stop had dust on it"]);
    let last = desk.walker.state.remarks.last().expect("a note");
    assert_eq!((last.op, last.piece.as_ref()), (Some(30), None));
    assert_eq!(last.text, "the stop had dust on it");
}

/// From the list any piece can be noted; its history says so. A rail is not at the
/// operation of a leg, so no operation is named.
#[test]
fn a_note_is_written_in_the_list_of_pieces() {
    let mut desk = look::measure(PLAIN);
    let rail = desk.walker.state.pieces.iter().position(|piece| piece.label.part == "rail");
    let rail = rail.expect("a rail");
    desk.key(KeyCode::Char('p'));
    let at = desk.walker.state.pieces.iter().position(|piece| piece.id == measured(&desk));
    let at = at.expect("the piece in hand");
    for _ in at..rail {
        desk.key(KeyCode::Down);
    }
    for _ in rail..at {
        desk.key(KeyCode::Up);
    }
    desk.key(KeyCode::Char('n'));
    let name = desk.walker.state.pieces[rail].label.to_string();
    assert!(shown(&desk, 40).contains(&format!("note on {name}")), "{}", shown(&desk, 40));
    desk.enter(&["wild grain at one end"]);
    let last = desk.walker.state.remarks.last().expect("a note");
    assert_eq!(last.op, None);
    assert_eq!(last.piece.as_ref(), Some(&desk.walker.state.pieces[rail].id));
    let history = "note MB 25 Nov 08:00: wild grain at one end";
    assert!(shown(&desk, 60).contains(history), "{}", shown(&desk, 60));
}

/// Notes had no piece once; those lines still read, and a note without one is
/// written as it always was.
#[test]
fn a_note_without_a_piece_reads_and_writes_as_before() {
    let written = serde_json::to_value(Event::Note {
        op: Some(60),
        piece: None,
        text: "stop had dust".to_owned(),
    })
    .expect("it is JSON");
    assert!(!written.to_string().contains("piece"), "{written}");
    let read: Event = serde_json::from_value(written).expect("it reads");
    assert!(matches!(read, Event::Note { op: Some(60), piece: None, .. }), "{read:?}");
}

/// What acts on a terminal is no part of what is pasted: neither of a note, which is kept
/// for ever, nor of what is typed into the list of batches.
#[test]
fn a_pasted_escape_sequence_leaves_no_control_character_in_a_note() {
    let mut desk = look::measure(PLAIN);
    desk.key(KeyCode::Char('n'));
    desk.paste("a\u{1b}]0;x\u{7} pin\u{9b} knot\u{7f}");
    desk.enter(&[""]);
    let last = desk.walker.state.remarks.last().expect("a note");
    assert_eq!(last.text, "a]0;x pin knot");
}

/// The review of a piece said nothing of what people wrote about it.
#[test]
fn the_review_of_a_piece_has_its_notes() {
    let mut desk = look::measure(PLAIN);
    desk.key(KeyCode::Char('n'));
    desk.enter(&["a pin knot near the foot"]);
    desk.key(KeyCode::F(4)).key(KeyCode::Enter);
    let line = "note 25 Nov 08:00 MB op 30 leg setup 1: a pin knot near the foot";
    assert!(shown(&desk, 40).contains(line), "{}", shown(&desk, 40));
}
