//! Who has the keys, what can be done without letters, and which piece takes the
//! place of one that is set aside.

use benchway::journal::Decision;
use benchway::route::Role;
use benchway::tui::{App, AppMessage, Screen};
use benchway::work::Task;
use chrono::Duration;
use crossterm::event::KeyCode;

use crate::desk::Desk;
use crate::drawn::{PLAIN, drawn, text};
use crate::walker::Walker;

/// At the cabinet saw, nine legs to rip; the fence is set and the setup piece is good.
fn ripping() -> Desk {
    let mut walker = Walker::stool(1);
    for op in [10, 20] {
        walker.to_size(op);
    }
    walker.op = 30;
    let mut desk = Desk::on(walker, PLAIN);
    desk.enter(&["mb", "", "1.000", "1.345", "1.353"]);
    desk
}

fn screen(desk: &Desk) -> String {
    text(&desk.drawn(80, 24))
}

/// Presses F10, then Down until the line is chosen, then Enter.
fn choose(desk: &mut Desk, line: &str) {
    desk.key(KeyCode::F(10));
    assert_eq!(desk.app.screen(), Screen::Menu);
    for _ in 0..40 {
        if screen(desk).lines().any(|row| row.starts_with("> ") && row.contains(line)) {
            desk.key(KeyCode::Enter);
            return;
        }
        desk.key(KeyCode::Down);
    }
    panic!("no line says {line}\n{}", screen(desk));
}

/// On a keyboard with other letters everything goes through the menu.
#[test]
fn everything_can_be_done_from_the_menu() {
    let mut desk = ripping();
    desk.enter(&["1.300"]);
    choose(&mut desk, "set the piece aside");
    let decided = &desk.walker.state.pieces.iter().find(|piece| piece.aside.is_some());
    assert!(decided.is_some());
    choose(&mut desk, "all pieces");
    assert_eq!(desk.app.screen(), Screen::Pieces);
    choose(&mut desk, "which pieces match best");
    assert_eq!(desk.app.screen(), Screen::Matched);
    desk.key(KeyCode::F(10)).key(KeyCode::Esc);
    assert_eq!(desk.app.screen(), Screen::Matched);
    choose(&mut desk, "explains the keys");
    assert_eq!(desk.app.screen(), Screen::Help);
}

/// The first leg is the front left one of the stool. It is set aside, and the first
/// spare takes its place; one undo takes back both.
#[test]
fn a_spare_takes_the_place_of_a_piece_set_aside() {
    let mut desk = ripping();
    desk.enter(&["1.300"]);
    let of = |desk: &Desk, name: &str| {
        let pieces = &desk.walker.state.pieces;
        let named = pieces.iter().find(|piece| desk.walker.state.name(&piece.id) == name);
        named.map(|piece| piece.label.clone())
    };
    let leg = of(&desk, "leg 1").expect("the first leg");
    assert_eq!(of(&desk, "leg 5 spare").map(|label| label.role), Some(Role::Spare));
    desk.enter(&["s"]);
    let stands_in = of(&desk, "leg 5").expect("no spare any more");
    assert_eq!((stands_in.set, stands_in.hand, stands_in.role), (leg.set, leg.hand, Role::Set));
    let shown = screen(&desk);
    assert!(shown.contains("leg 5 spare takes its place"), "{shown}");
    desk.walker.now += Duration::seconds(2);
    desk.key(KeyCode::Backspace);
    assert_eq!(of(&desk, "leg 5 spare").map(|label| label.role), Some(Role::Spare));
    let gone = desk.walker.state.pieces.iter().any(|piece| piece.aside.is_some());
    assert!(!gone);
}

/// A split is found while the piece is in hand: `s` and Enter, then the lead's
/// initials and why.
#[test]
fn the_piece_in_hand_is_set_aside_at_the_machine() {
    let mut desk = ripping();
    assert!(matches!(desk.walker.task(), Task::Read { .. }), "{:?}", desk.walker.task());
    desk.enter(&["s", "mb split at the end"]);
    let aside = desk.walker.state.pieces.iter().find(|piece| piece.aside.is_some());
    let aside = aside.expect("one is set aside");
    assert_eq!(desk.walker.state.name(&aside.id), "leg 1");
    assert_eq!(aside.decisions.last().map(|ruling| ruling.decision), Some(Decision::SetAside));
    assert_eq!(desk.app.screen(), Screen::Machine);
}

/// Leg 2 would be cut without a reading. Somebody else takes the keys with `k`, and
/// the first piece they cut is measured.
#[test]
fn the_first_piece_of_a_newcomer_is_measured() {
    let mut desk = ripping();
    desk.enter(&["1.353"]);
    assert!(matches!(desk.walker.task(), Task::Cut { .. }), "{:?}", desk.walker.task());
    // JT reads the cautions of the saw first.
    desk.letters("k").enter(&["jt", ""]);
    desk.walker.who = Some("JT".to_owned());
    let task = desk.walker.task();
    let Task::Read { piece, .. } = &task else { panic!("{task:?}") };
    assert_eq!(desk.walker.state.name(piece), "leg 2");
    desk.enter(&["1.352"]);
    assert!(matches!(desk.walker.task(), Task::Cut { .. }), "{:?}", desk.walker.task());
}

/// The shop asks who is there once nobody typed for 20 minutes. The key that wakes it
/// answers nothing.
#[test]
fn a_station_left_alone_asks_who_is_there() {
    let mut desk = ripping();
    desk.walker.now += Duration::minutes(18);
    desk.letters("1").key(KeyCode::Esc);
    assert!(!screen(&desk).contains("Nobody typed"), "{}", screen(&desk));
    desk.walker.now += Duration::minutes(21);
    desk.letters("1");
    let shown = screen(&desk);
    assert!(shown.contains("Nobody typed here for 21 minutes."), "{shown}");
    assert!(shown.contains("initials"), "{shown}");
    assert_eq!(desk.app.typed(), "");
    desk.enter(&["jt"]);
    assert!(screen(&desk).contains("JT"), "{}", screen(&desk));
}

/// The plug is pulled after an operation closed and the work moved on by itself. Whoever
/// comes back stands where they stood.
#[test]
fn whoever_comes_back_stands_where_they_stood() {
    let mut desk = ripping();
    let at = |text: String| text.split("    ").next().unwrap_or_default().to_owned();
    let title = |desk: &Desk| at(screen(desk));
    assert!(title(&desk).starts_with("op 30 rip leg"), "{}", title(&desk));
    for _ in 0..30 {
        match desk.walker.task() {
            Task::Read { .. } => desk.enter(&["1.353"]),
            _ => desk.enter(&[""]),
        };
        if !title(&desk).starts_with("op 30") {
            break;
        }
    }
    let mut again = App::new(PLAIN);
    again.update(AppMessage::Opened(Box::new(desk.snapshot()), desk.walker.now));
    assert_eq!(at(text(&drawn(&again, 80, 24))), title(&desk));
    // Another part is open before the same part's next operation, and is not taken.
    assert!(title(&desk).starts_with("op 40 plane leg"), "{}", title(&desk));
}
