//! The list of batches while it is filled in: what shows at first, and what is added.

use std::sync::Arc;

use benchway::tui::{App, AppMessage, FoundRows, LooksFor, OpeningLists, ReadRows, Screen};
use benchway::work::BatchRow;
use crossterm::event::KeyCode;

use crate::drawn::{PLAIN, drawn, text};
use crate::opening::{NOW, at_the_opening, letters, lists, lit, press, shown, time};
use crate::walker::{SHOP, STOOL, Walker, read_route, read_shop, snapshot_of};

/// The list shows the names at once and is filled in. Until somebody chooses a line the
/// newest batch is chosen; then the chosen one stays so, wherever it goes.
#[test]
fn the_list_is_filled_in_and_the_chosen_line_stays() {
    let read = lists().batches;
    let names = read.iter().map(|row| BatchRow::unread(&row.name)).collect();
    let unread = || OpeningLists { batches: Clone::clone(&names), ..lists() };
    let fill = |app: &mut App, rows: &[BatchRow]| {
        let rows = ReadRows { batches: rows.to_vec(), ..ReadRows::default() };
        app.update(AppMessage::Read(Box::new(rows)));
    };
    let mut app = App::new(PLAIN);
    app.update(AppMessage::Listed(Box::new(unread())));
    assert!(lit(&app).starts_with("a torn folder"), "{}", lit(&app));
    assert!(shown(&app).contains("a torn folder is being read."), "{}", shown(&app));
    fill(&mut app, &read[..4]);
    assert!(lit(&app).starts_with("quay bench slats"), "{}", lit(&app));
    fill(&mut app, &read[4..]);
    assert!(lit(&app).starts_with("reading stool, Tue group"), "{}", lit(&app));
    let filled = shown(&app);
    assert_eq!(filled, shown(&at_the_opening()), "as if it had been read at once");

    let mut app = App::new(PLAIN);
    app.update(AppMessage::Listed(Box::new(unread())));
    while !lit(&app).starts_with("quay bench slats") {
        press(&mut app, KeyCode::Down);
    }
    fill(&mut app, &read);
    assert!(lit(&app).starts_with("quay bench slats"), "{}", lit(&app));
    // A name that is gone meanwhile changes nothing.
    fill(&mut app, &[BatchRow::unread("nobody knows it")]);
    assert!(lit(&app).starts_with("quay bench slats"), "{}", lit(&app));
}

/// What is read of the list while somebody looks back is there afterwards.
#[test]
fn the_list_is_filled_in_while_somebody_looks_back() {
    let read = lists().batches;
    let batches = read.iter().map(|row| BatchRow::unread(&row.name)).collect();
    let mut app = App::new(PLAIN);
    app.update(AppMessage::Listed(Box::new(OpeningLists { batches, ..lists() })));
    let (route, shop) = (Arc::new(read_route(STOOL)), Arc::new(read_shop(SHOP)));
    let looked_at = snapshot_of("a torn folder", &route, &shop, &Walker::stool(12).lines);
    app.update(AppMessage::LookedAt(Box::new(looked_at), time(NOW)));
    let rows = ReadRows { batches: read, ..ReadRows::default() };
    app.update(AppMessage::Read(Box::new(rows)));
    assert_eq!(app.screen(), Screen::Review);
    press(&mut app, KeyCode::Esc);
    assert_eq!(shown(&app), shown(&at_the_opening()));
}

/// A list that isn't whole counts nothing as if it were: what is below, what is archived,
/// what is looked for.
#[test]
fn a_list_that_is_not_whole_says_so() {
    let looks = LooksFor { under_way: true, archived: true };
    let mut app = App::new(PLAIN);
    app.update(AppMessage::Listed(Box::new(OpeningLists { looks, ..lists() })));
    let screen = text(&drawn(&app, 80, 30));
    assert!(screen.contains("others are being looked for"), "{screen}");
    assert!(screen.contains("at least 2 invented batches"), "{screen}");
    assert!(screen.contains("at least 11 batches"), "{screen}");
    letters(&mut app, "nobody");
    assert!(shown(&app).contains("not every batch is listed yet"), "{}", shown(&app));
    press(&mut app, KeyCode::Esc);
    let many = |n: std::ops::Range<usize>| n.map(|n| BatchRow::unread(&format!("z {n}"))).collect();
    let found = FoundRows { batches: many(0..30), archived: many(0..2), looks };
    let read = ReadRows { found, ..ReadRows::default() };
    app.update(AppMessage::Read(Box::new(read)));
    let screen = shown(&app);
    assert!(screen.lines().any(|line| line.trim() == "more below"), "{screen}");
    let found = FoundRows { batches: many(30..31), ..FoundRows::default() };
    let read = ReadRows { found, ..ReadRows::default() };
    app.update(AppMessage::Read(Box::new(read)));
    let screen = shown(&app);
    let below = screen.lines().find_map(|line| line.trim().strip_suffix(" more below"));
    let in_sight = screen.lines().filter(|line| line.contains(" being read")).count();
    // Below are the rest of the 31, the torn and the finished batch, 3 routes, what is
    // invented, the archive and the shop.
    assert_eq!(below, Some((31 - in_sight + 8).to_string().as_str()), "{screen}");
    letters(&mut app, "z 4");
    assert!(shown(&app).contains("3 found"), "{}", shown(&app));
}
