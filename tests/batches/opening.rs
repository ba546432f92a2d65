//! The opening screen: what is listed where, what is looked for, and which keys do
//! what there.

use std::path::PathBuf;
use std::sync::Arc;

use benchway::route::Article;
use benchway::tui::{
    App, AppMessage, ArchiveList, Effect, ListedShop, LooksFor, OpeningLists, RouteRow, Screen,
    ShopStanding,
};
use benchway::work::{BatchRow, BatchStanding, TimedWait};
use chrono::{DateTime, FixedOffset};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::style::Modifier;

use crate::bench::snapshot;
use crate::drawn::{ASCII, PLAIN, SIZES, drawn, text};
use crate::walker::{SHOP, STOOL, Walker, read_route, read_shop, snapshot_of};

/// A Wednesday.
pub const NOW: &str = "2026-11-25T10:42:30+01:00";

pub fn time(text: &str) -> DateTime<FixedOffset> {
    text.parse().expect("a time with its zone")
}

fn row(name: &str, standing: BatchStanding, last: &str, who: &str) -> BatchRow {
    let progress = match &standing {
        BatchStanding::UnderWay { at, .. } => {
            format!("{at}: 4 done, 0 set aside, 5 to go")
        }
        BatchStanding::Finished => "finished".to_owned(),
        BatchStanding::Broken(why) => why.clone(),
        BatchStanding::Unread => String::new(),
    };
    BatchRow {
        name: name.to_owned(),
        route: "Lantern reading stool".to_owned(),
        standing,
        progress,
        last: (!last.is_empty()).then(|| (time(last), Some(who.to_owned()))),
        is_invented: false,
        waits: Vec::new(),
        timed: None,
        damage: Vec::new(),
    }
}

fn under_way(at: &str, percent: u8) -> BatchStanding {
    BatchStanding::UnderWay { at: at.to_owned(), percent }
}

fn route(name: &str, about: &str) -> RouteRow {
    RouteRow {
        name: name.to_owned(),
        about: about.to_owned(),
        sets: 12,
        article: Article::new("stool", None),
        suggested: "reading-stool 2026-11-25".to_owned(),
        fault: None,
        advice: String::new(),
    }
}

/// As they come from the disk: by name.
pub fn lists() -> OpeningLists {
    let mut stool = row(
        "reading stool, Tue group",
        under_way("op 60 crosscut leg", 19),
        "2026-11-25T10:41:00+01:00",
        "MB",
    );
    stool.waits = vec![
        "leg 4 read 20.063 and waits for a decision.".to_owned(),
        "Op 50 was left half done: \"stop wiped, check it before leg 4\".".to_owned(),
    ];
    let practice = |name: &str| BatchRow {
        is_invented: true,
        ..row(name, under_way("op 30 rip leg", 8), "2026-11-25T09:00:00+01:00", "AB")
    };
    let why = "its route can't be read: `carve` is not a kind of operation".to_owned();
    let fault = "this route can't be used: `carve` is not a kind of operation".to_owned();
    OpeningLists {
        now: time(NOW),
        shop: ListedShop {
            name: "Lantern Lane teaching shop".to_owned(),
            standing: ShopStanding::Invented,
        },
        station: "cart".to_owned(),
        batches: vec![
            row("a torn folder", BatchStanding::Broken(why), "", ""),
            row("boot benches", BatchStanding::Finished, "2026-11-25T10:00:00+01:00", "JT"),
            practice("invented-1"),
            practice("invented-2"),
            row(
                "quay bench slats",
                under_way("op 40 plane slat", 88),
                "2026-11-09T16:00:00+01:00",
                "JT",
            ),
            row(
                "reading stool, Thu group",
                under_way("op 160 crosscut rail", 52),
                "2026-11-19T16:00:00+01:00",
                "RK",
            ),
            stool,
        ],
        routes: vec![
            route(
                "Lantern reading stool",
                "Four square legs, four rails and two stretchers in ash.",
            ),
            route("Boot bench", "A bench to sit on while boots come off."),
            RouteRow {
                fault: Some(fault),
                advice: "to see where: benchway check \"/shop/routes/crate.json\"".to_owned(),
                ..route("crate", "")
            },
        ],
        archive: ArchiveList::Counted(11),
        looks: LooksFor::default(),
    }
}

pub fn at_the_opening() -> App {
    let mut app = App::new(PLAIN);
    app.update(AppMessage::Listed(Box::new(lists())));
    app
}

pub fn press(app: &mut App, code: KeyCode) -> Vec<Effect> {
    app.update(AppMessage::Key(KeyEvent::new(code, KeyModifiers::NONE), time(NOW)))
}

pub fn letters(app: &mut App, text: &str) -> Vec<Effect> {
    text.chars().flat_map(|letter| press(app, KeyCode::Char(letter))).collect()
}

pub fn shown(app: &App) -> String {
    text(&drawn(app, 80, 24))
}

/// The row in reverse video, without its mark.
pub fn lit(app: &App) -> String {
    let buffer = drawn(app, 80, 24);
    let rows = buffer.content().chunks(80);
    let mut lit = rows.filter(|row| row.iter().all(|c| c.modifier.contains(Modifier::REVERSED)));
    let row = lit.next().map(|row| row.iter().map(|cell| cell.symbol()).collect::<String>());
    let row = row.map_or_else(String::new, |row| row.trim_start_matches("> ").trim().to_owned());
    assert!(lit.next().is_none(), "one row is lit");
    row
}

fn at_all_sizes(name: &str, app: &App) {
    for (width, height) in SIZES {
        snapshot(&format!("screen-{name}-{width}x{height}"), &text(&drawn(app, width, height)));
    }
}

#[test]
fn the_opening_at_every_size() {
    let mut app = at_the_opening();
    at_all_sizes("opening", &app);
    let mut ascii = App::new(ASCII);
    ascii.update(AppMessage::Listed(Box::new(lists())));
    assert!(shown(&ascii).is_ascii(), "{}", shown(&ascii));
    letters(&mut app, "bench");
    at_all_sizes("opening-found", &app);
}

/// Newest first by what last happened, then what can't be read, then what is
/// finished; the invented ones, out of the way, are one line.
#[test]
fn the_newest_batch_comes_first_and_invented_ones_last() {
    let mut app = at_the_opening();
    let mut names = Vec::new();
    for _ in 0..12 {
        names.push(lit(&app).split("  ").next().unwrap_or_default().to_owned());
        press(&mut app, KeyCode::Down);
    }
    let expected = [
        "reading stool, Tue group",
        "reading stool, Thu group",
        "quay bench slats",
        "a torn folder",
        "boot benches",
        "Lantern reading stool",
        "Boot bench",
        "crate",
        "PRACTISE",
        "ARCHIVED",
        "SHOP",
        "SHOP",
    ];
    assert_eq!(names, expected);
}

/// Letters are looked for, `q`, `b` and `l` too; every word must be found. Esc shows
/// everything again.
#[test]
fn letters_are_looked_for() {
    let mut app = at_the_opening();
    let effects = letters(&mut app, "q");
    // What is archived is looked through too, and was only counted so far.
    assert_eq!(effects, [Effect::List { archive: true }]);
    assert_eq!(app.typed(), "q");
    assert!(lit(&app).starts_with("quay bench slats"), "{}", shown(&app));
    press(&mut app, KeyCode::Esc);
    letters(&mut app, "stool TUE");
    assert!(lit(&app).starts_with("reading stool, Tue group"), "{}", shown(&app));
    assert!(shown(&app).contains("1 found"), "{}", shown(&app));
    press(&mut app, KeyCode::Esc);
    letters(&mut app, "inv");
    assert!(lit(&app).starts_with("invented-1"), "{}", shown(&app));
    letters(&mut app, "?");
    assert_eq!((app.screen(), app.typed()), (Screen::Opening, "inv?"));
    assert!(shown(&app).contains("nothing is called so"), "{}", shown(&app));
    press(&mut app, KeyCode::Esc);
    // With nothing typed it explains, as everywhere.
    letters(&mut app, "?");
    assert_eq!(app.screen(), Screen::Help);
    assert!(shown(&app).contains("F12           looks back"), "{}", shown(&app));
}

#[test]
fn each_line_is_opened_by_enter() {
    let mut app = at_the_opening();
    let name = "reading stool, Tue group".to_owned();
    let open = Effect::Open { name: name.clone(), station: None };
    assert_eq!(press(&mut app, KeyCode::Enter), [open]);
    assert_eq!(
        press(&mut app, KeyCode::F(6)),
        [Effect::Archive { name }, Effect::List { archive: false }]
    );
    for _ in 0..7 {
        press(&mut app, KeyCode::Down);
    }
    // A route that can't be used says why, and what to do.
    assert_eq!(press(&mut app, KeyCode::Enter), []);
    let said = shown(&app);
    assert!(said.contains("`carve` is not a kind of operation"), "{said}");
    assert!(said.contains("o see where: benchway check \"/shop/routes/crate.json\""), "{said}");
    press(&mut app, KeyCode::Down);
    assert_eq!(press(&mut app, KeyCode::Enter), []);
    let said = shown(&app);
    assert!(said.contains("  invented-1"), "{said}");
    press(&mut app, KeyCode::Enter);
    assert!(!shown(&app).contains("  invented-1"));
    press(&mut app, KeyCode::Down);
    assert_eq!(press(&mut app, KeyCode::Enter), [Effect::List { archive: true }]);
    let old = row("old stools", BatchStanding::Finished, "2026-10-01T16:00:00+02:00", "RK");
    let archive = ArchiveList::Read(vec![old]);
    app.update(AppMessage::Listed(Box::new(OpeningLists { archive, ..lists() })));
    press(&mut app, KeyCode::Down);
    assert!(lit(&app).starts_with("old stools"), "{}", shown(&app));
    let back = Effect::BringBack { name: "old stools".to_owned() };
    assert_eq!(press(&mut app, KeyCode::F(6)), [back, Effect::List { archive: true }]);
    assert_eq!(press(&mut app, KeyCode::F(12)), []);
    assert!(shown(&app).contains("It is archived."), "{}", shown(&app));
}

/// The newest is chosen; a list longer than the window says how many more there are.
#[test]
fn a_long_list_says_how_many_more() {
    let mut app = App::new(PLAIN);
    let batches = (10..60).map(|n| {
        let at = format!("2026-11-24T10:{n}:00+01:00");
        row(&format!("stools {n}"), under_way("op 60 crosscut leg", 19), &at, "MB")
    });
    let lists = OpeningLists { batches: batches.collect(), ..lists() };
    app.update(AppMessage::Listed(Box::new(lists)));
    for presses in [0, 20, 49] {
        for _ in 0..presses {
            press(&mut app, KeyCode::Down);
        }
        let screen = shown(&app);
        let below = screen.lines().find_map(|line| line.trim().strip_suffix(" more below"));
        let below: usize = below.and_then(|n| n.parse().ok()).unwrap_or(0);
        let last = screen.lines().filter_map(|line| {
            let n: usize =
                line.get(2..)?.strip_prefix("stools ")?.split(' ').next()?.parse().ok()?;
            Some(n)
        });
        let last = last.min().expect("a batch is in sight");
        // 50 batches, then 3 routes, the archive and the shop.
        if below > 0 {
            assert_eq!(below, last - 10 + 5, "{screen}");
        }
    }
}

/// Another terminal has the name: who, since when, and a name that is free.
#[test]
fn a_station_in_use_offers_another_name() {
    let mut app = at_the_opening();
    press(&mut app, KeyCode::Enter);
    let what = "The station cart is in use: MB, process 4711 since 10:41.".to_owned();
    let batch = "reading stool, Tue group".to_owned();
    let free = "cart-2".to_owned();
    app.update(AppMessage::Busy { batch: batch.clone(), what: what.clone(), free });
    at_all_sizes("opening-busy", &app);
    assert!(shown(&app).contains(&what), "{}", shown(&app));
    let open = |name: &str| Effect::Open { name: batch.clone(), station: Some(name.to_owned()) };
    assert_eq!(press(&mut app, KeyCode::Enter), [open("cart-2")]);
    letters(&mut app, "bench");
    assert_eq!(press(&mut app, KeyCode::Enter), [open("bench")]);
}

/// Every line can be chosen at every size.
#[test]
fn the_opening_draws_at_every_size() {
    let mut app = at_the_opening();
    for _ in 0..12 {
        for (width, height) in
            (1..220).step_by(13).flat_map(|w| (1..64).step_by(5).map(move |h| (w, h)))
        {
            drawn(&app, width, height);
        }
        press(&mut app, KeyCode::Down);
    }
}

/// Glue that dries until 11:30 at 10:42, and is dry at 11:30.
#[test]
fn a_wait_stands_in_the_row_of_its_batch() {
    let mut app = App::new(PLAIN);
    let mut stool = row(
        "reading stool, Tue group",
        under_way("op 340 hand stool", 70),
        "2026-11-25T10:30:00+01:00",
        "MB",
    );
    let until = time("2026-11-25T11:30:00+01:00");
    stool.timed = Some(TimedWait { op: 340, after: 330, what: "glue".to_owned(), until });
    app.update(AppMessage::Listed(Box::new(OpeningLists { batches: vec![stool], ..lists() })));
    assert!(lit(&app).contains(" op 340 from 11:30 "), "{}", lit(&app));
    assert!(shown(&app).contains("Op 330, glue: not before 11:30."), "{}", shown(&app));
    app.update(AppMessage::Woke(until));
    assert!(lit(&app).contains(" op 340 since 11:30 "), "{}", lit(&app));
    let over = "Op 330, glue: over since 11:30. Op 340 can begin.";
    assert!(shown(&app).contains(over), "{}", shown(&app));
}

/// Looking back took the station's name, which another terminal may have. Now it takes
/// none: Esc leads back to the list, w opens the batch, and nothing is recorded.
#[test]
fn looking_back_takes_no_station() {
    let mut app = at_the_opening();
    let name = "reading stool, Tue group".to_owned();
    let look = Effect::LookAt { name: name.clone() };
    assert_eq!(press(&mut app, KeyCode::F(12)), [look]);
    let (route, shop) = (Arc::new(read_route(STOOL)), Arc::new(read_shop(SHOP)));
    let lines = Walker::stool(12).lines;
    let looked_at = || {
        let snapshot = snapshot_of("reading stool, Tue group", &route, &shop, &lines);
        AppMessage::LookedAt(Box::new(snapshot), time(NOW))
    };
    app.update(looked_at());
    assert_eq!(app.screen(), Screen::Review);
    press(&mut app, KeyCode::F(4));
    assert_eq!(press(&mut app, KeyCode::F(5)), []);
    assert!(shown(&app).contains("Nothing is recorded while you look back."), "{}", shown(&app));
    press(&mut app, KeyCode::Esc);
    assert_eq!(app.screen(), Screen::Review);
    assert_eq!(press(&mut app, KeyCode::Esc), []);
    assert_eq!(app.screen(), Screen::Opening);
    assert!(lit(&app).starts_with("reading stool, Tue group"), "{}", lit(&app));
    app.update(looked_at());
    let open = Effect::Open { name, station: None };
    assert_eq!(press(&mut app, KeyCode::F(2)), [open]);
    app.update(looked_at());
    assert_eq!(press(&mut app, KeyCode::F(9)), [Effect::Quit]);
}

/// What is typed names no batch and no route, but a file.
#[test]
fn a_route_file_that_is_named_is_read_and_begun() {
    let mut app = at_the_opening();
    letters(&mut app, "shop/tray.json");
    assert!(shown(&app).contains("Enter reads the route file"), "{}", shown(&app));
    let path = PathBuf::from("shop/tray.json");
    assert_eq!(press(&mut app, KeyCode::Enter), [Effect::ReadRoute { path }]);
    let mut routes = lists().routes;
    routes.insert(0, route("Seed tray sides", "Three sides of a tray."));
    app.update(AppMessage::RouteRead(Box::new(OpeningLists { routes, ..lists() })));
    assert!(lit(&app).is_empty() || lit(&app).starts_with("Seed tray sides"), "{}", lit(&app));
    assert!(shown(&app).contains("how many stools"), "{}", shown(&app));
    // A file that isn't there is refused, and the list stays.
    let mut app = at_the_opening();
    letters(&mut app, "no.json");
    app.update(AppMessage::Failed("no.json: there is no such file".to_owned()));
    assert!(shown(&app).contains("No.json: there is no such file."), "{}", shown(&app));
}

/// The invented shop says that it is invented, and becomes one of the lead's own by a name.
#[test]
fn the_invented_shop_becomes_ones_own() {
    let mut app = at_the_opening();
    assert!(shown(&app).contains("Lantern Lane teaching shop (invented)"), "{}", shown(&app));
    assert_eq!(press(&mut app, KeyCode::F(2)), []);
    assert!(shown(&app).contains("what your shop is called"), "{}", shown(&app));
    // Neither nothing nor the name of the invented shop will do.
    for name in ["", "Lantern Lane teaching shop"] {
        letters(&mut app, name);
        assert_eq!(press(&mut app, KeyCode::Enter), []);
        assert!(shown(&app).contains("needs a name of its own"), "{}", shown(&app));
        press(&mut app, KeyCode::Esc);
        press(&mut app, KeyCode::Esc);
        press(&mut app, KeyCode::F(2));
    }
    letters(&mut app, "Mill Street");
    let begin = Effect::BeginShop { name: "Mill Street".to_owned() };
    let list = Effect::List { archive: false };
    assert_eq!(press(&mut app, KeyCode::Enter), [begin, list, Effect::OpenShop]);
    let own = ListedShop { name: "Mill Street".to_owned(), standing: ShopStanding::Own };
    app.update(AppMessage::Listed(Box::new(OpeningLists { shop: own, ..lists() })));
    let said = shown(&app);
    assert!(said.contains("Mill Street") && !said.contains("(invented)"), "{said}");
}

/// A shop file that can't be read keeps nobody from the batches.
#[test]
fn a_shop_that_cannot_be_read_says_why() {
    let mut app = at_the_opening();
    let standing = ShopStanding::Faulty("it is not text; save it as UTF-8".to_owned());
    let shop = ListedShop { name: String::new(), standing };
    app.update(AppMessage::Listed(Box::new(OpeningLists { shop, ..lists() })));
    press(&mut app, KeyCode::F(2));
    let said = shown(&app);
    assert!(said.contains("Your shop can't be used: it is not text"), "{said}");
    let name = "reading stool, Tue group".to_owned();
    let open = Effect::Open { name, station: None };
    assert_eq!(press(&mut app, KeyCode::Enter), [open]);
}
