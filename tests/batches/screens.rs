//! The screens as people see them, at three sizes, in colour and without.
//! The app is driven by keys; the journal is kept in memory.

use std::sync::Arc;

use crate::bench::snapshot;
use crate::desk::Desk;
use crate::drawn::{ASCII, COLOUR, PLAIN, SIZES, text};
use crate::walker::{Walker, crew};
use benchway::journal::{Decision, Event};
use benchway::shop::Person;
use benchway::tui::theme::Theme;
use benchway::tui::{AppMessage, BINDINGS, Screen};
use benchway::work::Task;
use chrono::Duration;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::buffer::Buffer;
use ratatui::style::{Color, Modifier};

/// A letter for how each cell looks: `r` reverse, `b` bold, a capital where
/// it is coloured too, a dot for plain writing.
fn styles(buffer: &Buffer) -> String {
    let rows = buffer.content().chunks(buffer.area.width.into());
    let letter = |cell: &ratatui::buffer::Cell| {
        let looks = match () {
            () if cell.modifier.contains(Modifier::REVERSED) => 'r',
            () if cell.modifier.contains(Modifier::BOLD) => 'b',
            () if cell.symbol() == " " => ' ',
            () => '.',
        };
        let coloured = cell.fg != Color::Reset || cell.bg != Color::Reset;
        if coloured && looks == '.' {
            'C'
        } else if coloured {
            looks.to_ascii_uppercase()
        } else {
            looks
        }
    };
    let lines = rows.map(|row| row.iter().map(letter).collect::<String>());
    lines.map(|line| line.trim_end().to_owned()).collect::<Vec<_>>().join("\n")
}

fn at_all_sizes(name: &str, desk: &Desk) {
    for (width, height) in SIZES {
        snapshot(&format!("screen-{name}-{width}x{height}"), &text(&desk.drawn(width, height)));
    }
}

/// A rail with a tenon at both ends, in two setups.
const RAIL: &str = r#"{ "route": "rails", "unit": "in", "sets": 1,
  "parts": { "rail": { "per_set": 2, "species": "ash",
    "stock": { "thickness": "7/8", "width": "3", "length": "12" } } },
  "operations": [ { "op": 10, "part": "rail", "do": "tenon", "at": "tenon saw",
    "method": "one-face", "mortise_width": "0.375", "mortise_from_face": "3/8",
    "setback": "1/8", "length": "3/4",
    "checks": [ { "check": "thickness", "of": "tenon", "limits": "±0.004", "with": "micrometer",
      "pieces": "all" } ] } ] }"#;

/// By hand: the tenon is 0.371, each cheek 0.252. A blade that cuts 0.005 more
/// than its scale of 0.005 shows is set to 0.245 for both shoulders. On end it
/// is set to 3/4 - 1/64 - 0.005 = 0.729, down to 0.725. Each setup shows its own
/// number and its own drawing.
#[test]
fn a_tenon_is_drawn_setup_by_setup() {
    let mut desk = Desk::of(RAIL, PLAIN);
    desk.enter(&["mb", "", "1", "3/4"]);
    for (name, shown, number) in [
        ("flat", "face down", "0.245"),
        ("flat-back", "back down", "0.245"),
        ("on-end", "on end", "0.725"),
    ] {
        let screen = text(&desk.drawn(80, 24));
        assert!(screen.contains(shown), "{screen}");
        snapshot(&format!("screen-tenon-{name}-80x24"), &screen);
        desk.enter(&[number]);
        if name != "on-end" {
            desk.enter(&[""]);
        }
    }
    snapshot("screen-tenon-first-80x24", &text(&desk.drawn(80, 24)));
}

/// Up to the first piece of the rip cut.
fn at_the_saw(theme: Theme) -> Desk {
    let mut walker = Walker::stool(1);
    for op in [10, 20] {
        walker.to_size(op);
    }
    let mut desk = Desk::on(walker, theme);
    desk.enter(&["mb"]);
    desk
}

#[test]
fn the_number_to_dial() {
    let mut desk = at_the_saw(PLAIN);
    // Cautions, zero.
    desk.enter(&["", "1.000"]);
    assert_eq!(desk.app.screen(), Screen::Machine);
    at_all_sizes("fence-to-set", &desk);
}

/// The why of a setting was shown as `leg_square 1` above `1/4 in`.
#[test]
fn no_width_tears_a_mixed_number() {
    let mut desk = at_the_saw(PLAIN);
    desk.enter(&["", "1.000"]);
    let figures = |word: &str| !word.is_empty() && word.chars().all(|c| c.is_ascii_digit());
    for width in 40..=120 {
        let shown = text(&desk.drawn(width, 59));
        assert!(width < 48 || shown.contains("leg_square"), "{shown}");
        for (above, below) in shown.lines().zip(shown.lines().skip(1)) {
            let whole = above.split_whitespace().next_back().is_some_and(figures);
            let below = below.split_whitespace().next().unwrap_or_default();
            let fraction = below.split_once('/').is_some_and(|(over, _)| figures(over));
            assert!(!(whole && fraction), "torn at {width}:\n{shown}");
        }
    }
}

#[test]
fn cautions_before_the_first_cut() {
    snapshot("screen-cautions-80x24", &text(&at_the_saw(PLAIN).drawn(80, 24)));
}

#[test]
fn a_first_piece_too_wide_must_be_decided() {
    for (theme, name) in [(PLAIN, "plain"), (COLOUR, "colour")] {
        let mut desk = at_the_saw(theme);
        desk.enter(&["", "1.000", "1.345", "1.398"]);
        if theme == PLAIN {
            at_all_sizes("too-wide", &desk);
        }
        snapshot(&format!("styles-too-wide-{name}-80x24"), &styles(&desk.drawn(80, 24)));
    }
}

#[test]
fn readings_in_cut_order_against_the_limits() {
    let mut desk = at_the_saw(PLAIN);
    desk.enter(&["", "1.000", "1.345", "1.355", "1.352", "", "", "", "", "1.361", ""]);
    at_all_sizes("readings", &desk);
    let mut ascii = at_the_saw(ASCII);
    ascii.enter(&["", "1.000", "1.345", "1.355", "1.352"]);
    let shown = text(&ascii.drawn(80, 24));
    assert!(shown.is_ascii(), "{shown}");
    snapshot("screen-readings-ascii-80x24", &shown);
}

#[test]
fn a_wrong_scale_stops_the_stack() {
    let mut walker = Walker::stool(1);
    for op in [10, 20, 30, 40] {
        walker.to_size(op);
    }
    let mut desk = Desk::on(walker, PLAIN);
    // Initials, cautions, belt and first pass, stack through; then
    // closed by 0.024 where 0.012 was asked.
    desk.enter(&["mb", "", "1.278", "", "1.254"]);
    at_all_sizes("closed-twice", &desk);
}

/// Every leg a sixteenth shy, put to the lead.
fn shy() -> Desk {
    let mut walker = Walker::stool(1);
    for op in [10, 20, 30, 40] {
        walker.to_size(op);
    }
    walker.op = 50;
    for _ in 0..200 {
        match walker.on() {
            benchway::work::Task::Read { .. } => walker.enter("1.1875"),
            benchway::work::Task::Decide { .. } => walker.enter("a mb all shy alike"),
            benchway::work::Task::Accept(_) => break,
            other => panic!("{other:?}"),
        };
    }
    let mut desk = Desk::on(walker, PLAIN);
    desk.enter(&["mb"]);
    desk
}

#[test]
fn what_follows_is_put_to_the_lead() {
    let mut desk = shy();
    at_all_sizes("accept", &desk);
    desk.enter(&["1 mb"]);
    desk.key(KeyCode::F(3));
    at_all_sizes("route", &desk);
    desk.key(KeyCode::F(4));
    desk.key(KeyCode::Down);
    at_all_sizes("pieces", &desk);
    desk.key(KeyCode::F(7));
    at_all_sizes("ready", &desk);
}

/// While left and right legs go through, the hand comes first, and the tally
/// and every plunge of the chisel are seen without scrolling.
#[test]
fn a_handed_piece_shows_its_hand_and_its_plunges() {
    let mut walker = Walker::stool(1);
    while let Some(op) = walker.next_op().filter(|op| *op < 80) {
        walker.to_size(op);
        if let Task::Accept(_) = walker.task() {
            walker.enter("MB");
        }
    }
    walker.op = 80;
    let mut desk = Desk::on(walker, PLAIN);
    desk.enter(&["mb"]);
    desk.walker.who = Some("MB".to_owned());
    for _ in 0..60 {
        let task = desk.walker.task();
        if let Task::Cut { .. } = task {
            break;
        }
        let text = crew::well(&desk.walker.context(), &task).expect("nothing goes wrong");
        desk.enter(&[&text]);
    }
    let shown = text(&desk.drawn(80, 24));
    let Task::Cut { pieces, .. } = desk.walker.task() else { panic!("{:?}", desk.walker.task()) };
    let label = &desk.walker.state.piece(&pieces[0]).expect("a leg").label;
    let (number, hand) = (label.number, label.hand.clone().expect("a hand"));
    let lines: Vec<&str> = shown.lines().collect();
    assert!(lines[2].starts_with(&format!("CUT   leg {number} ")), "{shown}");
    // What has no room is one key away, and a larger window has room for all.
    assert!(lines[23].contains("more to read"), "{shown}");
    let large = text(&desk.drawn(120, 40));
    desk.key(KeyCode::Char('?'));
    let help = text(&desk.drawn(80, 60));
    let hand = format!("In turn: leg {number} {hand}");
    for wanted in ["Through: front left", "Plunge at 1/2", "Faces: ", &hand] {
        let is_seen = large.lines().any(|line| line.starts_with(wanted));
        // The route's own words about the faces come before the names of them.
        let may_wait = wanted.starts_with("Through") || wanted == "Faces: ";
        assert!(is_seen || may_wait, "{wanted}\n{large}");
        assert!(help.lines().any(|line| line.starts_with(wanted)), "{wanted}\n{help}");
    }
}

#[test]
fn help_is_printed_from_the_keys() {
    let mut desk = at_the_saw(PLAIN);
    desk.key(KeyCode::F(1));
    at_all_sizes("help", &desk);
}

#[test]
fn every_screen_draws_at_every_size() {
    let mut desks = [at_the_saw(PLAIN), at_the_saw(ASCII), shy()];
    desks[0].enter(&["", "1.000", "1.345", "1.398"]);
    desks[1].enter(&["", "1.000", "1.345", "1.352", "1.351"]);
    for desk in &mut desks {
        for screen in [KeyCode::F(2), KeyCode::F(3), KeyCode::F(4), KeyCode::F(1)] {
            desk.key(screen);
            for (width, height) in
                (1..90).step_by(7).flat_map(|w| (1..45).step_by(4).map(move |h| (w, h)))
            {
                desk.drawn(width, height);
            }
        }
    }
}

/// A gauge's two Enters 20 ms apart count once; the same a second later is meant.
#[test]
fn two_enters_of_a_gauge_count_once() {
    let at = |apart: i64| {
        let mut desk = at_the_saw(PLAIN);
        desk.enter(&["", "1.000", "1.345", "1.355", "1.352"]);
        let before = desk.walker.lines.len();
        // A tick by Enter, right after a reading.
        let key = KeyEvent::new(KeyCode::Enter, KeyModifiers::NONE);
        let when = desk.walker.now + Duration::milliseconds(apart);
        let effects = desk.app.update(AppMessage::Key(key, when));
        assert_eq!(desk.walker.lines.len(), before);
        effects.len()
    };
    assert_eq!((at(20), at(1000)), (0, 1));
}

/// At the rack, by the keys that lead there; boards as a lead enters them.
fn at_boards(theme: Theme) -> Desk {
    let mut desk = Desk::on(Walker::stool(1), theme);
    desk.enter(&["mb"]);
    desk.key(KeyCode::Char('r')).key(KeyCode::Up).key(KeyCode::Enter);
    desk
}

/// A board for the legs, with a knot and a split, and one for the rails.
fn two_boards(desk: &mut Desk) {
    desk.enter(&[
        "",
        "",
        "1 13/16",
        "1 7/8",
        "1 13/16",
        "7 1/2",
        "84",
        "",
        "1/8",
        "",
        "8",
        "knot 31 to 33 at 0 to 2",
        "split 0 to 3",
        "",
    ]);
    desk.enter(&["+", "", "1 1/8", "1 1/8", "1 1/8", "8", "96", "", "", "", "", ""]);
}

/// From 120 columns on, what is typed is drawn large too, at the right of the entry line: three
/// rows at 120 by 40, five on a wall.
#[test]
fn what_is_typed_is_drawn_large_where_there_is_room() {
    let mut desk = at_the_saw(PLAIN);
    let large = |desk: &Desk, (width, height): (u16, u16), from: usize| -> Vec<bool> {
        let shown = text(&desk.drawn(width, height));
        let rows = shown.lines().skip(if height == 40 { 34 } else { 51 }).take(5);
        rows.map(|row| row.chars().skip(from).any(|sign| "█▀▄".contains(sign))).collect()
    };
    assert_eq!(large(&desk, (120, 40), 66), [false; 5]);
    desk.letters("20.004");
    assert_eq!(large(&desk, (120, 40), 66), [true, true, true, false, false]);
    assert_eq!(large(&desk, (200, 60), 130), [true; 5]);
    let usual = text(&desk.drawn(80, 24));
    let entry = usual.lines().skip(18).collect::<String>();
    assert!(entry.contains("20.004") && !entry.contains('▀'), "{usual}");
}

/// At 76 columns and more an operation's line takes 66 to its state: a number, what is done (22),
/// where (17), what it is set to (12), a bar (4), how many (7), and a blank between each two. Two
/// columns mark the line in hand. `HERE, 1 aside` is 13 wide and stands a blank behind that, so
/// it is whole from 66 + 2 + 14 = 82 columns on, and `HERE` in 81.
#[test]
fn a_state_without_room_gives_up_what_follows_its_comma() {
    let mut walker = Walker::stool(1);
    let piece = walker.state.pieces[0].id.clone();
    let why = "split".to_owned();
    walker.push(vec![Event::Decided { op: 10, piece, decision: Decision::SetAside, why }]);
    let mut desk = Desk::on(walker, PLAIN);
    desk.enter(&["mb"]).key(KeyCode::Char('r'));
    let state = |columns: u16| {
        let shown = text(&desk.drawn(columns, 24));
        let line = shown.lines().find(|line| line.starts_with('>')).expect("the operation in hand");
        line.chars().skip(68).collect::<String>().trim().to_owned()
    };
    assert_eq!([81, 82, 90].map(state), ["HERE", "HERE, 1 aside", "HERE, 1 aside"]);
}

fn at_two_sizes(name: &str, desk: &Desk) {
    for (width, height) in [(80, 24), (40, 12)] {
        snapshot(&format!("screen-{name}-{width}x{height}"), &text(&desk.drawn(width, height)));
    }
}

#[test]
fn a_board_is_told_at_the_rack() {
    let mut desk = Desk::on(Walker::stool(1), PLAIN);
    desk.enter(&["mb"]);
    desk.key(KeyCode::Char('r'));
    snapshot("screen-route-with-rack-80x24", &text(&desk.drawn(80, 24)));
    desk.key(KeyCode::Up).key(KeyCode::Enter);
    // Letters are text here; what is refused stays to be seen.
    desk.enter(&["oak 1", "", "1 13/16", "6"]);
    at_two_sizes("rack-refused", &desk);
    desk.enter(&["1 7/8"]);
    at_two_sizes("rack-told", &desk);
}

#[test]
fn a_layout_is_put_to_the_lead_and_drawn_mark_by_mark() {
    let mut desk = at_boards(PLAIN);
    two_boards(&mut desk);
    at_two_sizes("rack-more", &desk);
    desk.enter(&[""]);
    at_two_sizes("rack-accept", &desk);
    desk.enter(&["mb", ""]);
    at_all_sizes("rack-mark", &desk);
    desk.enter(&["knot 60 to 61"]);
    at_two_sizes("rack-anew", &desk);
}

#[test]
fn the_rack_in_plain_signs() {
    let mut desk = at_boards(ASCII);
    two_boards(&mut desk);
    desk.enter(&["", "mb", ""]);
    let shown = text(&desk.drawn(80, 24));
    assert!(shown.is_ascii(), "{shown}");
    snapshot("screen-rack-mark-ascii-80x24", &shown);
}

/// Backspace clears what is typed, and with nothing typed undoes the last
/// answer.
#[test]
fn backspace_at_the_rack() {
    let mut desk = at_boards(PLAIN);
    desk.enter(&["A"]);
    desk.letters("as");
    desk.key(KeyCode::Backspace).key(KeyCode::Backspace);
    assert_eq!(desk.walker.state.boards.all.len(), 1);
    desk.key(KeyCode::Backspace);
    assert!(desk.walker.state.boards.all.is_empty());
    // A letter is no command while words are asked for.
    desk.letters("q");
    assert_eq!(desk.app.typed(), "q");
    assert_eq!(desk.app.screen(), Screen::Machine);
}

/// A text that was refused stays to be seen, and then stands in the way of a
/// plain Enter: Esc clears it, and what wasn't refused too.
#[test]
fn esc_clears_words_refused_or_not() {
    let mut desk = at_boards(PLAIN);
    desk.enter(&["A", "whit ash"]);
    assert_eq!(desk.app.typed(), "whit ash");
    assert!(text(&desk.drawn(80, 24)).contains("Esc clears the line"));
    desk.key(KeyCode::Esc);
    assert_eq!((desk.app.typed(), desk.app.screen()), ("", Screen::Machine));
    desk.letters("as");
    desk.key(KeyCode::Esc);
    assert_eq!(desk.app.typed(), "");
}

/// What another station changes may come to the screen just before a key:
/// an Enter meant for the mark before must not draw the next one.
#[test]
fn an_enter_answers_only_what_was_shown() {
    let mut desk = at_boards(PLAIN);
    two_boards(&mut desk);
    desk.enter(&["", "mb"]);
    desk.walker.op = 0;
    desk.walker.enter("");
    let drawn = |desk: &Desk| desk.walker.state.boards.all[0].drawn.len();
    assert_eq!(drawn(&desk), 1, "by somebody else");
    let snapshot = desk.snapshot();
    desk.app.update(AppMessage::Refreshed(Box::new(snapshot)));
    desk.key(KeyCode::Enter);
    assert_eq!(drawn(&desk), 1);
    let shown = text(&desk.drawn(80, 24));
    assert!(shown.contains("Another station moved on. This is what is asked now."), "{shown}");
    assert!(shown.contains("mark 2 of 5"), "{shown}");
    desk.key(KeyCode::Enter);
    assert_eq!(drawn(&desk), 2);
}

/// The keys as people call them: each row of the table reacts to its own name.
#[test]
fn every_key_is_called_what_it_is() {
    for binding in BINDINGS {
        let name = binding.name.strip_prefix("Ctrl-").unwrap_or(binding.name);
        assert_eq!(binding.control, name != binding.name, "{}", binding.name);
        let letter = name.chars().next().filter(|_| name.chars().count() == 1);
        let code = match name {
            "Enter" => KeyCode::Enter,
            "Backspace" => KeyCode::Backspace,
            "Esc" => KeyCode::Esc,
            "Left" => KeyCode::Left,
            "Right" => KeyCode::Right,
            "Up" => KeyCode::Up,
            "Down" => KeyCode::Down,
            "PgUp" => KeyCode::PageUp,
            "PgDn" => KeyCode::PageDown,
            "F10" => KeyCode::F(10),
            "F2" => KeyCode::F(2),
            "F4" => KeyCode::F(4),
            "F6" => KeyCode::F(6),
            "F7" => KeyCode::F(7),
            _ => KeyCode::Char(letter.unwrap_or_else(|| panic!("{name}")).to_ascii_lowercase()),
        };
        assert!(binding.keys.contains(&code), "{}: {:?}", binding.name, binding.keys);
    }
}

/// Function keys work while initials are typed, where letters are text.
#[test]
fn function_keys_open_screens_while_text_is_typed() {
    let mut desk = at_the_saw(PLAIN);
    for (key, shown) in
        [(3, "Enter go there"), (4, "pieces    in cut order"), (7, "What can start now")]
    {
        desk.key(KeyCode::F(key));
        let seen = text(&desk.drawn(120, 40));
        assert!(seen.contains(shown), "F{key}: {seen}");
        desk.key(KeyCode::F(2));
    }
}

/// Whoever is not signed off on a machine begins there with the lead, whose
/// initials are typed by keys like any other text.
#[test]
fn the_lead_who_stays_beside_types_initials() {
    let mut walker = Walker::stool(1);
    let lead = Person { lead: true, ..Person::default() };
    walker.shop.people.insert("MB".to_owned(), lead);
    let shop = Arc::new(walker.shop.clone());
    let mut desk = Desk::on(walker, PLAIN);
    desk.shop = shop;
    let snapshot = desk.snapshot();
    desk.app.update(AppMessage::Refreshed(Box::new(snapshot)));
    desk.enter(&["zz", "mb"]);
    let last = desk.walker.lines.last().map(|line| &line.event);
    let beside = match last {
        Some(Event::CautionRead { beside, .. }) => beside.as_deref(),
        other => panic!("{other:?}"),
    };
    assert_eq!(beside, Some("MB"));
}

/// The words beside a drawing or a chart end at the first gap of their row.
fn words_of(row: &str) -> &str {
    row.split("  ").next().unwrap_or_default().trim()
}

/// A whole number at the end of a row whose fraction begins the next, or a
/// number that is cut off.
fn torn(shown: &str) -> Option<String> {
    let is_whole = |word: &str| !word.is_empty() && word.bytes().all(|b| b.is_ascii_digit());
    let is_fraction = |word: &str| {
        let (over, under) = word.split_once('/').unwrap_or_default();
        let under = under.trim_end_matches([',', '.', ';', ':']);
        is_whole(over) && is_whole(under)
    };
    let rows: Vec<&str> = shown.lines().collect();
    rows.windows(2).find_map(|rows| {
        let last = words_of(rows[0]).split(' ').next_back()?;
        let first = words_of(rows[1]).split(' ').next()?;
        (is_whole(last) && is_fraction(first)).then(|| format!("{}\n{}", rows[0], rows[1]))
    })
}

/// Always: No screen separates a mixed number from its fraction.
#[test]
fn no_screen_parts_a_number_from_its_fraction() {
    assert!(torn("leg_square 1\n1/4 in, planned").is_some());
    assert!(torn("leg_square 1 1/4\nin, planned").is_none());
    let mut desks = vec![at_the_saw(PLAIN), at_the_saw(PLAIN), shy(), at_boards(PLAIN)];
    // A scale to be set, a piece too wide, a proposal and a mark on a board.
    desks[0].enter(&["", "1.000"]);
    desks[1].enter(&["", "1.000", "1.345", "1.398"]);
    two_boards(&mut desks[3]);
    desks[3].enter(&["", "mb", ""]);
    for desk in &mut desks {
        // The machine's own screen, operations, pieces, findings.
        for screen in [KeyCode::F(2), KeyCode::F(3), KeyCode::F(4), KeyCode::F(12)] {
            desk.key(screen);
            for width in 40..=120 {
                for height in [12, 17, 24, 40] {
                    let shown = text(&desk.drawn(width, height));
                    if let Some(torn) = torn(&shown) {
                        panic!("{width}x{height} {:?}\n{torn}\n\n{shown}", desk.app.screen());
                    }
                }
            }
        }
    }
}
