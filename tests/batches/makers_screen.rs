//! The makers screen and the sizes screen, driven by keys.

use benchway::route::OwnedArticle;
use benchway::tui::{App, AppMessage, Effect, NewBatch, OpeningLists, RouteRow, Screen};
use benchway::work::AdaptedRoute;
use chrono::{DateTime, FixedOffset};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use crate::bench::snapshot;
use crate::desk::Desk;
use crate::drawn::{PLAIN, SIZES, drawn, text};
use crate::walker::{SHOP, STOOL, Walker, read_route, read_shop};
use benchway::route::Article;

fn desk() -> Desk {
    let makers = [OwnedArticle::default(), OwnedArticle::default()];
    Desk::stools(Walker::of_makers(read_route(STOOL), &makers), 2, PLAIN)
}

fn shown(desk: &Desk) -> String {
    text(&desk.drawn(80, 24))
}

/// Enter asks whose it is, then each choice; Enter alone keeps what is offered.
#[test]
fn an_owner_and_the_choices_are_asked_one_after_another() {
    let mut desk = desk();
    desk.enter(&["mb"]).letters("r").letters("c");
    assert_eq!(desk.app.screen(), Screen::Makers);
    assert!(
        shown(&desk).contains("stool 2: nobody's yet, height 20 7/8 in, ash"),
        "{}",
        shown(&desk)
    );
    desk.key(KeyCode::Down).key(KeyCode::Enter);
    assert!(shown(&desk).contains("whose is stool 2"), "{}", shown(&desk));
    desk.enter(&["Dora"]);
    assert!(shown(&desk).contains("How high is the seat?"), "{}", shown(&desk));
    // Refused, and the text stays to be mended.
    desk.enter(&["30"]);
    assert!(shown(&desk).contains("can't be chosen"), "{}", shown(&desk));
    desk.key(KeyCode::Esc).enter(&["18 7/8"]);
    assert!(shown(&desk).contains("wood: ash, white oak"), "{}", shown(&desk));
    desk.enter(&["white oak"]);
    let seen = shown(&desk);
    assert!(seen.contains("stool 2: Dora, height 18 7/8 in, white oak"), "{seen}");
    // Two inches lower: 20 - 2.
    assert!(seen.contains("leg 18 x 1 1/4 x 1 1/4 in"), "{seen}");
    assert!(seen.contains("height can change until op 10"), "{seen}");
    assert_eq!(desk.walker.state.owner(2), Some("Dora"));
    for (width, height) in SIZES {
        snapshot(&format!("screen-makers-{width}x{height}"), &text(&desk.drawn(width, height)));
    }
    // As before: nothing is written.
    let before = desk.walker.lines.len();
    desk.key(KeyCode::Enter).key(KeyCode::Enter).key(KeyCode::Enter).key(KeyCode::Enter);
    assert_eq!(desk.walker.lines.len(), before);
}

#[test]
fn somebody_joins_and_somebody_leaves_by_keys() {
    let mut desk = desk();
    desk.enter(&["mb"]).letters("r").letters("c").letters("j");
    assert!(shown(&desk).contains("whose is stool 3"), "{}", shown(&desk));
    desk.enter(&["Ed", "", ""]);
    assert_eq!((desk.walker.state.article_count(), desk.walker.state.owner(3)), (3, Some("Ed")));
    desk.letters("d");
    assert!(shown(&desk).contains("spares"), "{}", shown(&desk));
    desk.enter(&["x"]);
    assert!(shown(&desk).contains("Its pieces become spares (s)"), "{}", shown(&desk));
    desk.key(KeyCode::Esc).key(KeyCode::Esc).letters("d").enter(&["s mb moved away"]);
    assert!(shown(&desk).contains("who left"), "{}", shown(&desk));
}

/// The sizes of a route: another height, what follows, and the batch that begins with it.
#[test]
fn sizes_are_adapted_before_a_batch_begins() {
    let now: DateTime<FixedOffset> = "2026-11-25T08:00:00+01:00".parse().expect("a time");
    let mut app = App::new(PLAIN);
    let routes = vec![RouteRow {
        name: "Lantern reading stool".to_owned(),
        about: String::new(),
        sets: 12,
        article: Article::new("stool", None),
        suggested: "stools".to_owned(),
        fault: None,
        advice: String::new(),
    }];
    app.update(AppMessage::Listed(Box::new(OpeningLists { routes, ..OpeningLists::default() })));
    let key = |app: &mut App, code| {
        app.update(AppMessage::Key(KeyEvent::new(code, KeyModifiers::NONE), now))
    };
    assert_eq!(key(&mut app, KeyCode::F(4)), [Effect::ReadSizes { route: 0 }]);
    let adapted = AdaptedRoute::of(STOOL, read_shop(SHOP)).expect("a route");
    app.update(AppMessage::SizesRead(0, Box::new(adapted)));
    assert_eq!(app.screen(), Screen::Sizes);
    let seen = |app: &App| text(&drawn(app, 80, 24));
    let line = seen(&app).lines().position(|line| line.contains("height 20 7/8 in"));
    assert!(line.is_some(), "{}", seen(&app));
    for _ in 0..60 {
        if seen(&app).lines().any(|line| line.starts_with("> height")) {
            break;
        }
        key(&mut app, KeyCode::Down);
    }
    key(&mut app, KeyCode::Enter);
    let typed = |app: &mut App, text: &str| {
        text.chars().for_each(|letter| drop(key(app, KeyCode::Char(letter))));
        key(app, KeyCode::Enter)
    };
    typed(&mut app, "2");
    assert_eq!(app.screen(), Screen::Sizes);
    assert!(seen(&app).contains("height: another size"), "{}", seen(&app));
    key(&mut app, KeyCode::Esc);
    typed(&mut app, "18 7/8");
    assert!(seen(&app).contains("leg 18 x 1 1/4 x 1 1/4 in"), "{}", seen(&app));
    for (width, height) in SIZES {
        snapshot(&format!("screen-sizes-{width}x{height}"), &text(&drawn(&app, width, height)));
    }
    key(&mut app, KeyCode::PageUp);
    key(&mut app, KeyCode::PageUp);
    key(&mut app, KeyCode::PageUp);
    key(&mut app, KeyCode::Enter);
    typed(&mut app, "2");
    let effects = key(&mut app, KeyCode::Enter);
    let batch = NewBatch {
        route: 0,
        name: "stools".to_owned(),
        sets: 2,
        makers: Vec::new(),
        adapted: vec![("height".to_owned(), "18 7/8".to_owned())],
    };
    assert_eq!(effects, [Effect::Start { batch, word: None }]);
}
