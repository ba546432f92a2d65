//! The clock in the title and the bell: what they say, and when.

use benchway::tui::AppMessage;
use chrono::{DateTime, FixedOffset, TimeDelta};
use crossterm::event::KeyCode;

use crate::bench::snapshot;
use crate::desk::Desk;
use crate::drawn::{PLAIN, SIZES, text};
use crate::look;

/// Rings the bell half an hour from now.
fn ring(desk: &mut Desk) -> DateTime<FixedOffset> {
    let bell = desk.walker.now + TimeDelta::minutes(30);
    desk.letters("b");
    desk.letters(&bell.format("%H:%M").to_string()).key(KeyCode::Enter);
    // Without its seconds.
    bell.format("%Y-%m-%dT%H:%M:00%:z").to_string().parse().expect("a time")
}

fn woken(desk: &mut Desk, at: DateTime<FixedOffset>) -> String {
    desk.walker.now = at;
    desk.app.update(AppMessage::Woke(at));
    text(&desk.drawn(80, 24))
}

/// No key is pressed: the title has the time at which it woke.
#[test]
fn the_clock_moves_without_a_key() {
    let mut desk = look::measure(PLAIN);
    let now = desk.walker.now;
    for minutes in [1, 2] {
        let at = now + TimeDelta::minutes(minutes);
        let shown = woken(&mut desk, at);
        let title = shown.lines().next().expect("a title");
        assert!(title.ends_with(&at.format("%H:%M").to_string()), "{title}");
    }
}

/// Ten minutes before it counts, five minutes before it is the order, and then the
/// order it took the place of is said below.
#[test]
fn the_bell_says_what_to_finish() {
    let mut desk = look::measure(PLAIN);
    let bell = ring(&mut desk);
    let at = |minutes| bell - TimeDelta::minutes(minutes);
    // A wide title has room for both the time and what is left of it.
    let (title, left) = (format!("bell {}", bell.format("%H:%M")), ", in 20 min");
    woken(&mut desk, at(20));
    for ((width, height), is_wide) in [((80, 24), false), ((120, 40), true)] {
        let shown = text(&desk.drawn(width, height));
        let row = shown.lines().next().expect("a title");
        assert!(row.contains(&title) && row.contains(left) == is_wide, "{row}");
    }
    let shown = woken(&mut desk, at(6));
    assert!(shown.contains("bell 6 min") && !shown.contains("BELL"), "{shown}");
    let shown = woken(&mut desk, at(5));
    let rows: Vec<&str> = shown.lines().collect();
    assert_eq!(rows[2].trim(), "BELL   in 5 min: finish this piece, then F9.");
    assert!(shown.contains("MEASURE first piece"), "{shown}");
    for (width, height) in SIZES {
        let shown = text(&desk.drawn(width, height));
        snapshot(&format!("screen-bell-{width}x{height}"), &shown);
    }
    let shown = woken(&mut desk, at(0));
    assert_eq!(
        shown.lines().nth(2).map(str::trim),
        Some("BELL   finish this piece, then close up: F9.")
    );
}

/// A piece out of limits is decided first.
#[test]
fn the_bell_hides_no_verdict() {
    let mut desk = look::too_wide(PLAIN);
    let bell = ring(&mut desk);
    let shown = woken(&mut desk, bell - TimeDelta::minutes(2));
    assert!(shown.contains("TOO WIDE") && !shown.contains("BELL"), "{shown}");
}
