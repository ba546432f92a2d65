//! From screen to screen and from operation to operation, by keys.

use benchway::tui::{AppMessage, Effect, Screen};
use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use crate::desk::Desk;
use crate::drawn::{PLAIN, text};
use crate::look;

/// Rails and posts that one stop serves; between the two the rails are sorted by hand.
const RAILS: &str = r#"{
  "route": "Quay lamp stand", "unit": "in", "sets": 1,
  "parts": {
    "rail": { "per_set": 4, "spares": 0, "setup_pieces": 0, "species": "ash",
      "stock": { "thickness": "3/4", "width": "2", "length": "14" } },
    "post": { "per_set": 2, "spares": 0, "setup_pieces": 0, "species": "ash",
      "stock": { "thickness": "3/4", "width": "2", "length": "14" } }
  },
  "operations": [
    { "op": 10, "part": "rail", "do": "crosscut", "at": "stop saw", "to": "12 1/2",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "first, last" } ] },
    { "op": 20, "part": "rail", "do": "hand", "say": ["Sort them."] },
    { "op": 30, "part": "post", "do": "crosscut", "at": "stop saw", "to": "12 1/2",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "first, last" } ] }
  ]
}"#;

fn desk() -> Desk {
    Desk::of(RAILS, PLAIN)
}

fn screen(desk: &Desk) -> String {
    text(&desk.drawn(80, 24))
}

/// Each key shows its screen, and Esc goes back to the work, or to where one came from.
#[test]
fn every_screen_has_its_key_and_its_way_back() {
    let mut desk = desk();
    assert_eq!((desk.app.screen(), desk.app.selected()), (Screen::Machine, None));
    for (key, shown) in [
        (KeyCode::F(3), Screen::Route),
        (KeyCode::F(4), Screen::Pieces),
        (KeyCode::F(7), Screen::Ready),
        (KeyCode::F(12), Screen::Review),
    ] {
        assert_eq!(desk.key(key).app.screen(), shown, "{key:?}");
        assert_eq!(desk.key(KeyCode::Esc).app.screen(), Screen::Machine, "{key:?}");
        desk.key(key).key(KeyCode::F(2));
        assert_eq!(desk.app.screen(), Screen::Machine, "{key:?}");
    }
    // The pieces that match are beside the piece that was chosen.
    desk.key(KeyCode::F(4)).key(KeyCode::Down).key(KeyCode::Down);
    assert_eq!(desk.app.selected(), Some(2));
    assert_eq!(desk.letters("g").app.screen(), Screen::Matched);
    assert_eq!(desk.app.selected(), None);
    desk.key(KeyCode::Esc);
    assert_eq!((desk.app.screen(), desk.app.selected()), (Screen::Pieces, Some(2)));
    // Help explains what is beneath it, and gives way to it again.
    assert_eq!(desk.key(KeyCode::F(1)).app.screen(), Screen::Help);
    assert_eq!(desk.key(KeyCode::Esc).app.screen(), Screen::Pieces);
}

/// Six pieces, and three operations with the rack before them: the first and the last line
/// are the ends of a list.
#[test]
fn lists_end_at_their_ends() {
    let mut desk = desk();
    for (key, last) in [(KeyCode::F(4), 5), (KeyCode::F(3), 3)] {
        desk.key(key);
        for _ in 0..9 {
            desk.key(KeyCode::Up);
        }
        assert_eq!(desk.app.selected(), Some(0));
        for _ in 0..9 {
            desk.key(KeyCode::Down);
        }
        assert_eq!(desk.app.selected(), Some(last));
        desk.key(KeyCode::F(2));
    }
}

/// A letter means nothing where only Enter is asked; a released key and a key while an
/// answer is on its way to the disk mean nothing at all.
#[test]
fn what_means_nothing_does_nothing() {
    let mut desk = desk();
    desk.enter(&["mb"]);
    let release = KeyEvent { kind: KeyEventKind::Release, ..KeyEvent::from(KeyCode::F(3)) };
    assert!(desk.app.update(AppMessage::Key(release, desk.walker.now)).is_empty());
    assert_eq!(desk.app.screen(), Screen::Machine);
    desk.letters("j");
    assert!(screen(&desk).contains("The key j does nothing here."), "{}", screen(&desk));
    assert_eq!(desk.app.typed(), "");

    let mut desk = self::desk();
    desk.letters("mb");
    let now = desk.walker.now + chrono::Duration::seconds(5);
    let mut press = |key| {
        let key = KeyEvent::new(key, KeyModifiers::NONE);
        desk.app.update(AppMessage::Key(key, now))
    };
    assert!(matches!(press(KeyCode::Enter)[..], [Effect::Append { .. }]));
    // It is not recorded yet.
    for key in [KeyCode::F(3), KeyCode::Char('7'), KeyCode::Enter] {
        assert!(press(key).is_empty());
    }
    assert_eq!((desk.app.screen(), desk.app.typed()), (Screen::Machine, "mb"));
}

/// After the rails the posts come, for the stop stands right for them already; the rails
/// are sorted later. Enter at a finished operation goes on as well.
#[test]
fn what_the_machine_is_set_up_for_comes_next() {
    let mut desk = desk();
    desk.enter(&["mb", "", "1.000", "12.496", "12.500"]);
    assert!(screen(&desk).contains("op 10"), "{}", screen(&desk));
    // The last of four rails.
    desk.enter(&["12.501"]);
    let shown = screen(&desk);
    assert!(shown.contains("Op 10 is finished: 4 done."), "{shown}");
    assert!(shown.contains("op 30"), "{shown}");
    assert!(shown.contains("Leave the setting"), "{shown}");
}

/// In a wide window the list of operations says what each is set to and how far it is:
/// one of four rails is a quarter of the bar.
#[test]
fn the_list_of_operations_says_how_far_each_is() {
    let mut desk = desk();
    desk.enter(&["mb", "", "1.000", "12.496", "12.500"]).key(KeyCode::F(3));
    let shown = text(&desk.drawn(120, 30));
    // 22 columns for what is done, 17 for the machine, 12 for the setting, four cells.
    for line in [
        ">   10  crosscut rail    stop saw          12.496       █░░░ 1 of 4  HERE",
        "    20  hand rail                                       ░░░░ 4       4 to go",
        "    30  crosscut post    stop saw          12.496       ░░░░ 2       2 to go",
    ] {
        assert!(shown.lines().any(|shown| shown.trim_end() == line), "{line}\n{shown}");
    }
}

/// A window at a time, one line kept, and never past the end: one window up from there
/// shows other lines.
#[test]
fn a_text_is_scrolled_by_windows() {
    let mut desk = look::measure(PLAIN);
    desk.key(KeyCode::F(1)).shows((80, 24));
    let top = screen(&desk);
    let mut last = top.clone();
    for _ in 0..20 {
        desk.key(KeyCode::PageDown).shows((80, 24));
        let next = screen(&desk);
        if next == last {
            break;
        }
        // What stood last is still in sight, so that nothing is passed over.
        let seen: Vec<&str> = next.lines().collect();
        let kept = last.lines().skip(2).filter(|line| !line.trim().is_empty());
        assert!(kept.clone().any(|line| seen.contains(&line)), "{last}\n\n{next}");
        last = next;
    }
    assert!(!last.contains("more lines"), "{last}");
    desk.key(KeyCode::PageUp).shows((80, 24));
    assert_ne!(screen(&desk), last);
    for _ in 0..20 {
        desk.key(KeyCode::PageUp).shows((80, 24));
    }
    assert_eq!(screen(&desk), top);
}
