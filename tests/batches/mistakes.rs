//! What is typed by mistake does no harm: fields, pastes, slips, undo and redo.

use std::sync::Arc;

use benchway::tui::{App, AppMessage};
use benchway::work::{ReadReason, Remedy, Task, choices};
use chrono::Duration;
use crossterm::event::KeyCode;

use crate::desk::Desk;
use crate::drawn::{PLAIN, text};
use crate::walker::{SHOP, STOOL, Walker, read_route, read_shop};

/// At the cabinet saw, nine legs to rip to 1.353, 1.321 to 1.384 by calipers.
fn at_the_saw() -> Desk {
    let mut desk = before_the_saw();
    desk.enter(&["mb", "", "1.000", "1.345"]);
    desk
}

/// The same, where nobody has said who is there.
fn before_the_saw() -> Desk {
    let mut walker = Walker::stool(1);
    for op in [10, 20] {
        walker.to_size(op);
    }
    walker.op = 30;
    Desk::on(walker, PLAIN)
}

fn asked(desk: &Desk) -> Task {
    desk.walker.task()
}

fn screen(desk: &Desk) -> String {
    text(&desk.drawn(80, 24))
}

/// The same with a gauge that only says within or not.
fn by_a_slot() -> Desk {
    let route = STOOL.replacen(
        "\"check\": \"width\", \"limits\": \"±1/32\", \"with\": \"calipers\"",
        "\"check\": \"width\", \"limits\": \"±1/32\", \"with\": \"slot\"",
        1,
    );
    assert_ne!(route, STOOL);
    let slot = "\"slot\": { \"go_no_go\": true }, \"calipers\": {";
    let shop = SHOP.replacen("\"calipers\": {", slot, 1);
    let mut walker = Walker::new(read_route(&route), read_shop(&shop), 1);
    for op in [10, 20] {
        walker.to_size(op);
    }
    walker.op = 30;
    let mut route = read_route(&route);
    route.make_sets(1).expect("one set");
    let (route, shop) = (Arc::new(route), Arc::new(read_shop(&shop)));
    let mut desk = Desk { app: App::new(PLAIN), walker, route, shop, window: (80, 24) };
    let (snapshot, now) = (desk.snapshot(), desk.walker.now);
    desk.app.update(AppMessage::Opened(Box::new(snapshot), now));
    desk
}

/// b says too big, though b sets the bell elsewhere; an empty line is still undone.
#[test]
fn a_gauge_without_a_number_is_answered_by_its_letters() {
    let mut desk = by_a_slot();
    desk.enter(&["mb", "", "1.345"]);
    assert!(matches!(asked(&desk), Task::Read { .. }), "{:?}", asked(&desk));
    desk.letters("b");
    assert_eq!(desk.app.typed(), "b");
    desk.key(KeyCode::Enter);
    assert!(matches!(asked(&desk), Task::Decide { .. }), "{:?}", asked(&desk));
    desk.enter(&["m"]);
    desk.enter(&["i"]);
    let read = desk.walker.state.readings.len();
    assert!(matches!(asked(&desk), Task::Read { .. }), "{:?}", asked(&desk));
    desk.key(KeyCode::Backspace);
    let voided = desk.walker.state.readings[read - 1].voided;
    assert!(voided, "{}", screen(&desk));
}

/// Five readings pasted in one go are five answers.
#[test]
fn every_line_of_a_paste_is_taken() {
    let mut desk = at_the_saw();
    let before = desk.walker.state.readings.len();
    desk.paste("1.353\n1.352\n1.354\n");
    let read: Vec<String> = desk
        .walker
        .state
        .readings
        .iter()
        .skip(before)
        .map(|read| read.taken.typed.clone())
        .collect();
    assert_eq!(read, ["1.353", "1.352", "1.354"]);
}

/// What follows a line that is refused isn't taken for an answer to something else.
#[test]
fn a_paste_ends_where_a_line_is_refused() {
    let mut desk = at_the_saw();
    let before = desk.walker.state.readings.len();
    desk.paste("1.353\n1.3x3\n1.354\n");
    assert_eq!(desk.walker.state.readings.len(), before + 1);
    assert_eq!(desk.app.typed(), "1.3x3");
}

/// Esc clears what is typed, whether or not it was refused.
#[test]
fn esc_clears_what_is_typed() {
    let mut desk = at_the_saw();
    desk.letters("1.3").key(KeyCode::Esc);
    assert_eq!(desk.app.typed(), "");
    // From the pieces that match, back to the pieces and not past them.
    desk.key(KeyCode::F(4)).letters("g").key(KeyCode::Esc);
    assert_eq!(desk.app.screen(), benchway::tui::Screen::Pieces);
}

/// An undo names what it takes back, takes back one answer whole, and can be redone.
#[test]
fn undo_is_named_and_redone() {
    let mut desk = at_the_saw();
    desk.enter(&["1.353", "1.352"]);
    let (pieces, readings) = match asked(&desk) {
        Task::Cut { pieces, .. } => (pieces, desk.walker.state.readings.len()),
        other => panic!("{other:?}"),
    };
    // Four legs and the reading after them are one answer.
    desk.enter(&["1.354"]);
    assert!(!matches!(asked(&desk), Task::Cut { pieces: now, .. } if now == pieces));
    let counted =
        |desk: &Desk| desk.walker.state.readings.iter().filter(|reading| !reading.voided).count();
    desk.walker.now += Duration::seconds(2);
    desk.key(KeyCode::Backspace);
    assert!(matches!(asked(&desk), Task::Cut { pieces: now, .. } if now == pieces));
    assert_eq!(counted(&desk), readings);
    assert!(screen(&desk).contains("Undone: leg 6 spare 1.354"), "{}", screen(&desk));
    desk.letters("z").enter(&["y"]);
    assert_eq!(counted(&desk), readings + 1);
    assert!(screen(&desk).contains("Done again: leg 6 spare 1.354"), "{}", screen(&desk));
    // Once something else is answered, nothing is left to redo.
    desk.letters("z");
    assert_eq!(counted(&desk), readings + 1);
}

/// The first undo at a new operation would reach into the one before, so it asks.
#[test]
fn undo_asks_before_it_reaches_into_another_operation() {
    let mut walker = Walker::stool(1);
    walker.to_size(10);
    walker.op = 20;
    let closed = walker.state.is_closed(10);
    assert!(closed);
    let mut desk = Desk::on(walker, PLAIN);
    // The walk before was written at the same station.
    desk.enter(&["mb"]);
    desk.key(KeyCode::Backspace);
    assert!(screen(&desk).contains("at op 10"), "{}", screen(&desk));
    desk.enter(&["n"]);
    assert!(desk.walker.state.is_closed(10));
    desk.key(KeyCode::Esc).key(KeyCode::Esc);
    desk.walker.now += Duration::seconds(2);
    desk.key(KeyCode::Backspace);
    desk.enter(&["y"]);
    assert!(!desk.walker.state.is_closed(10));
}

/// 13.53 for 1.353 is a slip of the decimal point. Enter measures again; nothing is
/// worked out from it. The same number a second time is believed.
#[test]
fn a_slip_is_measured_again() {
    let mut desk = at_the_saw();
    desk.enter(&["13.53"]);
    let open = |desk: &Desk| choices(&desk.walker.context(), &asked(desk));
    assert_eq!(open(&desk).first(), Some(&Remedy::MeasureAgain));
    let shown = screen(&desk);
    assert!(shown.contains("Is the decimal point in the wrong place?"), "{shown}");
    assert!(!shown.contains("12.1"), "no move of 12.177 is worked out\n{shown}");
    desk.enter(&[""]);
    assert!(matches!(asked(&desk), Task::Read { .. }));
    desk.enter(&["13.53"]);
    assert_ne!(open(&desk).first(), Some(&Remedy::MeasureAgain));
}

/// A remake is undone whole: no piece is left of it, and its number isn't used again.
#[test]
fn a_remake_is_undone_whole() {
    let mut desk = at_the_saw();
    let pieces = desk.walker.state.pieces.len();
    let next = desk.walker.state.next_piece_number("bench-a");
    desk.key(KeyCode::F(4)).letters("m").enter(&["mb split"]);
    assert_eq!(desk.walker.state.pieces.len(), pieces + 1);
    desk.key(KeyCode::Esc);
    desk.walker.now += Duration::seconds(2);
    desk.key(KeyCode::Backspace);
    if screen(&desk).contains("y undoes") {
        // Enter alone undoes nothing.
        assert!(screen(&desk).contains("y, Enter yes"), "{}", screen(&desk));
        desk.enter(&["y"]);
    }
    assert_eq!(desk.walker.state.pieces.len(), pieces);
    assert_eq!(desk.walker.state.next_piece_number("bench-a"), next + 1);
}

/// A note stands at the operation it was written at, and in the hand-over.
#[test]
fn a_note_is_read_where_it_matters() {
    let mut desk = at_the_saw();
    desk.letters("n").enter(&["- stop had dust on it"]);
    let shown = text(&desk.drawn(80, 60));
    assert!(shown.contains("Note: 25 Nov 08:00 MB op 30 stop had dust on"), "{shown}");
    let lines = benchway::work::handover(&desk.walker.context());
    assert!(lines.iter().any(|line| line.ends_with("op 30  stop had dust on it")), "{lines:?}");
}

/// Two people at one screen change places with k and Enter; a third says who comes. What
/// each reads is theirs.
#[test]
fn the_keys_change_hands() {
    let mut desk = at_the_saw();
    desk.letters("k").enter(&["rk"]);
    let here = |desk: &Desk| desk.walker.state.people["bench-a"].clone();
    assert_eq!(here(&desk), ["RK", "MB"]);
    // A newcomer reads the cautions first.
    assert!(screen(&desk).contains("before you use the cabinet saw"), "{}", screen(&desk));
    desk.enter(&["", "1.353"]);
    let by = |desk: &Desk| desk.walker.state.readings.last().and_then(|read| read.who.clone());
    assert_eq!(by(&desk).as_deref(), Some("RK"));
    desk.letters("k").enter(&[""]);
    assert_eq!(here(&desk), ["MB", "RK"]);
    desk.enter(&["1.352"]);
    assert_eq!(by(&desk).as_deref(), Some("MB"));
}

fn cautions_read(desk: &Desk) -> usize {
    desk.walker.state.cautions_read.len()
}

/// In a small window the cautions of a machine have no room. Enter shows the next of
/// them, and only the one that follows the last line accepts them.
#[test]
fn cautions_are_accepted_once_all_were_in_view() {
    let mut desk = before_the_saw();
    desk.window = (40, 12);
    desk.enter(&["mb"]);
    let before = cautions_read(&desk);
    let mut pages = 0;
    while cautions_read(&desk) == before {
        let shown = text(&desk.drawn(40, 12));
        let more = shown.contains("more lines to read");
        desk.key(KeyCode::Enter);
        assert_eq!(more, cautions_read(&desk) == before, "{shown}");
        pages += 1;
        assert!(pages < 20, "it never ends");
    }
    assert!(pages > 1, "all of it had room");
}

/// A pasted Enter can't accept cautions that no window showed.
#[test]
fn a_paste_accepts_no_cautions() {
    let mut desk = before_the_saw();
    let before = cautions_read(&desk);
    desk.paste("mb\n\n\n");
    assert_eq!(cautions_read(&desk), before);
}

/// The key row names the answer that Backspace undoes, and says nothing of Backspace
/// where there is nothing to undo.
#[test]
fn the_key_row_names_what_is_undone() {
    let mut desk = Desk::on(Walker::stool(1), PLAIN);
    desk.enter(&["mb"]);
    assert!(!screen(&desk).contains("Backspace"), "{}", screen(&desk));
    let mut desk = at_the_saw();
    desk.enter(&["1.353", "1.352"]);
    let shown = screen(&desk);
    assert!(shown.contains("Backspace undo: leg 1 1.352"), "{shown}");
}

/// The fence is to show 1.345. By hand: 13.45 is ten times that, 34.163 is 25.4 times
/// that. Nobody sets a fence so far off, or below zero, so nothing is recorded.
#[test]
fn a_slip_in_a_setting_is_asked_about() {
    let mut desk = before_the_saw();
    desk.enter(&["mb", "", "1.000"]);
    for (typed, question) in [
        ("13.45", "Is the decimal point in the wrong place?"),
        ("34.163", "Millimetres instead of inches?"),
        ("-1.345", "Was the minus sign typed by mistake?"),
    ] {
        desk.enter(&[typed]);
        assert!(screen(&desk).contains(question), "{typed}\n{}", screen(&desk));
        desk.key(KeyCode::Esc);
    }
    let shown = |desk: &Desk| desk.walker.state.setups.get(&30).map_or(0, |held| held.shown.len());
    assert_eq!(shown(&desk), 0);
    // A scale that is set a little wrong is no slip, and is recorded: also where two
    // digits are swapped, for it may well stand there.
    desk.enter(&["1.349"]);
    assert_eq!(shown(&desk), 1);
    desk.enter(&["1.354"]);
    assert_eq!(shown(&desk), 2);
}

/// 1.300 is too narrow; measured again it is 1.353. The calipers are good to 0.003, so
/// the two differ by more than both uncertainties, 0.006. A third reading of 1.352
/// shows that 1.300 was wrong; only then does the setup count as proven.
#[test]
fn two_readings_that_differ_ask_for_a_third() {
    let mut desk = at_the_saw();
    desk.enter(&["1.300", "m", "1.353"]);
    let proven = |desk: &Desk| {
        desk.walker.state.setups.get(&30).is_some_and(|setup| setup.first_piece.is_some())
    };
    assert!(matches!(asked(&desk), Task::Read { why: ReadReason::Third { first: true }, .. }));
    assert!(!proven(&desk));
    assert!(screen(&desk).contains("a third time"), "{}", screen(&desk));
    assert!(screen(&desk).contains("It read 1.300, then 1.353"), "{}", screen(&desk));
    desk.enter(&["1.352"]);
    assert!(proven(&desk));
    let shown = screen(&desk);
    assert!(shown.contains("1.353 and 1.352 agree; 1.300 was wrong."), "{shown}");
}

/// Two readings within both uncertainties are one size read twice.
#[test]
fn two_readings_that_agree_ask_for_nothing() {
    let mut desk = at_the_saw();
    desk.enter(&["1.316", "m", "1.322"]);
    assert!(!matches!(asked(&desk), Task::Read { why: ReadReason::Third { .. }, .. }));
}

/// Once the lead accepts a piece, nothing on the screen still says to set it aside.
#[test]
fn no_order_outlives_the_decision_that_settled_it() {
    let mut desk = at_the_saw();
    desk.enter(&["1.353", "1.300"]);
    assert!(screen(&desk).contains("Set it aside and check the scale"), "{}", screen(&desk));
    desk.enter(&["a mb will do"]);
    let shown = screen(&desk);
    assert!(!shown.contains("Set it aside"), "{shown}");
    assert!(shown.contains("leg 1 1.300: accepted"), "{shown}");
}

/// Where words are asked, `?` on an empty line still explains the screen, and Esc closes
/// the help before anything else.
#[test]
fn help_is_there_where_words_are_asked() {
    let mut desk = before_the_saw();
    desk.letters("?");
    assert_eq!(desk.app.screen(), benchway::tui::Screen::Help);
    desk.key(KeyCode::Esc);
    assert_eq!(desk.app.screen(), benchway::tui::Screen::Machine);
    assert_eq!(desk.app.typed(), "");
}

/// 13.53 has its decimal point wrong, and 1.353 is what was meant: no third reading.
#[test]
fn a_slip_asks_for_no_third_reading() {
    let mut desk = at_the_saw();
    desk.enter(&["13.53", "m", "1.353"]);
    assert!(!matches!(asked(&desk), Task::Read { why: ReadReason::Third { .. }, .. }));
}

/// Leg 1 is too narrow and set aside. Leg 2 would not be measured; now it is.
#[test]
fn the_piece_after_a_lost_one_is_measured() {
    let mut desk = at_the_saw();
    desk.enter(&["1.353", "1.300", "s"]);
    desk.walker.who = Some("MB".to_owned());
    let task = asked(&desk);
    let Task::Read { piece, .. } = &task else { panic!("{task:?}") };
    assert_eq!(desk.walker.state.name(piece), "leg 2");
}

/// At a first piece out of limits Enter moves the setting, and nothing says otherwise.
#[test]
fn advice_agrees_with_what_enter_does() {
    let mut desk = at_the_saw();
    desk.enter(&["1.421"]);
    let open = choices(&desk.walker.context(), &asked(&desk));
    assert_eq!(open.first(), Some(&Remedy::MoveTheSetting));
    let shown = screen(&desk);
    assert!(!shown.contains("make one more pass"), "{shown}");
    assert!(shown.contains("Enter, then move it."), "{shown}");
    desk.enter(&[""]);
    assert!(!screen(&desk).contains("one more pass"), "{}", screen(&desk));
}

/// Eight are done and one set aside. Whoever counts seven looks for the eighth.
#[test]
fn a_count_that_differs_is_not_closed() {
    let mut desk = at_the_saw();
    desk.enter(&["1.353", "1.300", "s"]);
    for _ in 0..30 {
        desk.walker.who = Some("MB".to_owned());
        match asked(&desk) {
            Task::Close { .. } => break,
            Task::Read { .. } => desk.enter(&["1.353"]),
            _ => desk.enter(&[""]),
        };
    }
    let Task::Close { done, aside: 1 } = asked(&desk) else { panic!("{:?}", asked(&desk)) };
    desk.enter(&[&(done - 1).to_string()]);
    assert!(!desk.walker.state.is_closed(30));
    assert!(screen(&desk).contains("You count 7; 8 are done"), "{}", screen(&desk));
    desk.key(KeyCode::Esc).enter(&[&done.to_string()]);
    assert!(desk.walker.state.is_closed(30));
}

/// A reading that is typed, or sent by a gauge in one go, while another station measures
/// the piece on the screen: it is booked to no other piece. The text stays, the first
/// Enter says what changed, and the next one answers what is asked now.
#[test]
fn a_reading_goes_to_no_other_piece_than_the_screen_showed() {
    for is_sent_at_once in [false, true] {
        let mut desk = at_the_saw();
        desk.walker.op = 30;
        let shown = desk.walker.task();
        desk.walker.enter("1.353");
        assert_ne!(desk.walker.task(), shown, "somebody else measured it");
        let snapshot = desk.snapshot();
        desk.app.update(AppMessage::Refreshed(Box::new(snapshot)));
        let lines = desk.walker.lines.len();
        if is_sent_at_once {
            desk.paste("1.352\n1.351\n");
        } else {
            desk.letters("1.352");
            desk.key(KeyCode::Enter);
        }
        assert_eq!(desk.walker.lines.len(), lines);
        assert_eq!(desk.app.typed(), "1.352");
        assert!(screen(&desk).contains("Another station moved on."), "{}", screen(&desk));
    }
}
