//! A scanner types the codes of cards and labels; readings from paper keep when they were
//! taken and by whom.

use benchway::journal::TakenOnPaper;
use benchway::tui::{AppMessage, Effect, PrintWish, Screen};
use benchway::work::{PaperCode, Task, taken_on_paper};
use chrono::{DateTime, FixedOffset};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use crate::desk::Desk;
use crate::drawn::{PLAIN, text};
use crate::walker::Walker;

/// At the cabinet saw with a saw set up and nine legs to rip, two of them to be read.
fn at_the_saw() -> Desk {
    let mut walker = Walker::stool(1);
    for op in [10, 20] {
        walker.to_size(op);
    }
    walker.op = 30;
    let mut desk = Desk::on(walker, PLAIN);
    desk.enter(&["mb", "", "1.000", "1.345"]);
    desk
}

fn screen(desk: &Desk) -> String {
    text(&desk.drawn(80, 24))
}

fn code(op: Option<u32>, piece: Option<&str>) -> String {
    let code = PaperCode { batch: "spring stools".to_owned(), op, piece: piece.map(str::to_owned) };
    code.to_string()
}

/// From every screen, also from those on which letters are commands.
#[test]
fn a_scanned_card_leads_to_its_operation_from_any_screen() {
    let away: [&[KeyCode]; 6] = [
        &[],
        &[KeyCode::F(3)],
        &[KeyCode::F(4)],
        &[KeyCode::F(7)],
        &[KeyCode::F(12)],
        &[KeyCode::F(10)],
    ];
    for keys in away.into_iter().chain([&[KeyCode::F(1)][..]]) {
        let mut desk = at_the_saw();
        let lines = desk.walker.lines.len();
        for key in keys {
            desk.key(*key);
        }
        desk.enter(&[&code(Some(40), None)]);
        assert_eq!(desk.app.screen(), Screen::Machine, "{keys:?}");
        assert!(screen(&desk).contains("op 40"), "{keys:?}\n{}", screen(&desk));
        assert_eq!(desk.walker.lines.len(), lines, "{keys:?}: it only looks there");
    }
}

/// A label names a piece, which is found in the list; what it names elsewhere is refused.
#[test]
fn a_label_leads_to_its_piece_and_a_strange_code_nowhere() {
    let mut desk = at_the_saw();
    let fourth = desk.walker.state.pieces[3].id.clone();
    desk.enter(&[&code(None, Some(&fourth.0))]);
    assert_eq!((desk.app.screen(), desk.app.selected()), (Screen::Pieces, Some(3)));
    for (strange, said) in [
        (code(Some(35), None), "no operation 35"),
        (code(None, Some("nobody-7")), "not in this batch"),
        (code(Some(40), None).replace("spring", "autumn"), "of another batch"),
    ] {
        let mut desk = at_the_saw();
        desk.enter(&[&strange]);
        assert!(screen(&desk).contains(said), "{strange}\n{}", screen(&desk));
        assert!(screen(&desk).contains("op 30"), "{strange}\n{}", screen(&desk));
    }
}

/// At the list the batch is opened first.
#[test]
fn a_code_scanned_at_the_list_opens_its_batch() {
    let mut desk = at_the_saw();
    let snapshot = desk.snapshot();
    desk.app = benchway::tui::App::new(PLAIN);
    let scanned = code(Some(40), None);
    let (last, letters) = (KeyCode::Enter, scanned.chars().map(KeyCode::Char));
    let mut asked = Vec::new();
    for key in letters.chain([last]) {
        let key = crossterm::event::KeyEvent::from(key);
        asked.extend(desk.app.update(AppMessage::Key(key, desk.walker.now)));
    }
    let opens = |effect: &Effect| matches!(effect, Effect::OpenScanned { batch } if batch == "spring stools");
    assert!(asked.iter().any(opens), "{asked:?}");
    desk.app.update(AppMessage::Opened(Box::new(snapshot), desk.walker.now));
    assert!(screen(&desk).contains("op 40"), "{}", screen(&desk));
}

/// What was read at 9:10 by AN is typed in the evening by MB: the reading is AN's of 9:10.
#[test]
fn a_reading_from_paper_keeps_its_time_and_its_hand() {
    let mut desk = at_the_saw();
    let typed = desk.walker.now;
    let day = typed.format("%Y-%m-%d");
    let taken: DateTime<FixedOffset> =
        format!("{day}T00:10:00{}", typed.format("%:z")).parse().expect("a time");
    desk.letters("h").enter(&["00:10 an"]);
    assert!(screen(&desk).contains("From paper, taken"), "{}", screen(&desk));
    assert!(matches!(desk.walker.task(), Task::Read { .. }), "{:?}", desk.walker.task());
    let Task::Read { piece, .. } = desk.walker.task() else { return };
    desk.enter(&["1.353"]);
    let state = &desk.walker.state;
    let read = &state.readings[state.readings.len() - 1];
    assert_eq!((read.at, read.who.as_deref()), (taken, Some("AN")));
    assert_eq!(read.taken.on_paper, Some(TakenOnPaper { at: taken, by: "AN".to_owned() }));
    assert_eq!(read.taken.piece, piece);
    // Who typed it stays on record: the line is theirs.
    assert_eq!(desk.walker.lines.last().expect("a line").who.as_deref(), Some("MB"));
    // Nothing typed ends it: what follows comes from the gauge again.
    desk.letters("h").key(KeyCode::Enter);
    assert!(!screen(&desk).contains("From paper"), "{}", screen(&desk));
}

#[test]
fn the_time_on_paper_is_read_as_people_write_it() {
    let desk = at_the_saw();
    let mut walker = desk.walker;
    walker.now = "2026-11-30T18:00:00+01:00".parse().expect("a time");
    let at = |text: &str| taken_on_paper(&walker.context(), text).map(|taken| taken.at);
    for (text, means) in [
        ("14:30 MB", "2026-11-30T14:30:00+01:00"),
        ("9:05 mb", "2026-11-30T09:05:00+01:00"),
        ("11-29 14:30 MB", "2026-11-29T14:30:00+01:00"),
        // In January the last November is meant.
        ("12-20 08:00 MB", "2025-12-20T08:00:00+01:00"),
        ("2026-11-02 07:15 MB", "2026-11-02T07:15:00+01:00"),
    ] {
        let means: DateTime<FixedOffset> = means.parse().expect("a time");
        assert_eq!(at(text), Ok(means), "{text}");
    }
    for refused in
        ["", "14:30", "MB 14:30", "18:01 MB", "25:00 MB", "2026-12-01 08:00 MB", "02-30 8:00 MB"]
    {
        assert!(at(refused).is_err(), "{refused}");
    }
}

/// Ctrl-P writes the page of what is in sight.
#[test]
fn a_page_is_asked_for_of_what_is_in_sight() {
    let mut desk = at_the_saw();
    let mut print = |keys: &[KeyCode]| {
        for key in keys {
            desk.key(*key);
        }
        let mut pressed = KeyEvent::from(KeyCode::Char('p'));
        pressed.modifiers = KeyModifiers::CONTROL;
        desk.app.update(AppMessage::Key(pressed, desk.walker.now))
    };
    let batch = "spring stools".to_owned();
    let card = |part: Option<&str>| {
        let part = part.map(str::to_owned);
        vec![Effect::Print(PrintWish::Card { batch: batch.clone(), part })]
    };
    assert_eq!(print(&[]), card(Some("leg")));
    assert_eq!(print(&[KeyCode::F(4)]), card(None));
    let review = PrintWish::Review { batch: batch.clone() };
    assert_eq!(print(&[KeyCode::F(12)]), [Effect::Print(review)]);
}
