//! The screens that look back, at three sizes, on invented batches of which the
//! truth is known. The app is driven by keys; nothing is written anywhere.

use std::sync::Arc;

use crate::bench::snapshot;
use crate::drawn::{ASCII, COLOUR, PLAIN, SIZES, drawn, text};
use crate::walker::{SHOP, STOOL_BY_CALIPERS, read_route, read_shop, snapshot_of};
use benchway::journal::JournalLine;
use benchway::route::Route;
use benchway::shop::Shop;
use benchway::simulate::{Fault, Settings, invent, named};
use benchway::tui::theme::Theme;
use benchway::tui::{App, AppMessage, Screen};
use chrono::{DateTime, Duration, FixedOffset};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

/// Someone who looks back on a batch.
struct Lead {
    app: App,
    now: DateTime<FixedOffset>,
}

/// Four stools up to their tenons, with the inserted fault.
fn stools(faults: &[&str], until: u32) -> (Arc<Route>, Arc<Shop>, Vec<JournalLine>) {
    let mut route = read_route(STOOL_BY_CALIPERS);
    route.make_sets(4).expect("four sets");
    let shop = read_shop(SHOP);
    let faults = faults.iter().map(|text| Fault::parse(text, route.unit).expect("a good fault"));
    let settings = Settings {
        batch: named("stools"),
        faults: faults.collect(),
        until: Some(until),
        ..Settings::default()
    };
    let lines = invent(&route, &shop, &settings).expect("a batch");
    (Arc::new(route), Arc::new(shop), lines)
}

impl Lead {
    fn on(faults: &[&str], until: u32, theme: Theme) -> Lead {
        let (route, shop, lines) = stools(faults, until);
        let now = lines.last().expect("a batch has lines").at;
        let mut app = App::new(theme);
        let snapshot = snapshot_of(&named("stools"), &route, &shop, &lines);
        app.update(AppMessage::Opened(Box::new(snapshot), now));
        Lead { app, now }
    }

    fn key(&mut self, code: KeyCode) -> &mut Lead {
        self.now += Duration::seconds(1);
        let key = KeyEvent::new(code, KeyModifiers::NONE);
        let effects = self.app.update(AppMessage::Key(key, self.now));
        assert!(effects.is_empty(), "looking back asks for {effects:?}");
        self
    }

    fn keys(&mut self, codes: &[KeyCode]) -> &mut Lead {
        for code in codes {
            self.key(*code);
        }
        self
    }

    fn text(&self, width: u16, height: u16) -> String {
        text(&drawn(&self.app, width, height))
    }

    /// Down to the row that says so, on the screen of what went out.
    fn down_to(&mut self, words: &str) -> &mut Lead {
        for _ in 0..80 {
            let shown = self.text(120, 40);
            if shown.lines().any(|line| line.starts_with("> ") && line.contains(words)) {
                return self;
            }
            self.key(KeyCode::Down);
        }
        panic!("no row says {words}:\n{}", self.text(120, 40));
    }
}

fn at_all_sizes(name: &str, lead: &Lead) {
    for (width, height) in SIZES {
        snapshot(&format!("screen-{name}-{width}x{height}"), &lead.text(width, height));
    }
}

/// The key that looks back, also while initials are asked for.
const Y: KeyCode = KeyCode::F(12);

/// The belt that was changed after leg 9 took 0.012 more.
const BELT: &str = "op 50 belt change -0.012 after piece 9";

#[test]
fn what_is_out_then_its_cause_then_its_attribution() {
    let mut lead = Lead::on(&[BELT], 170, PLAIN);
    lead.key(Y);
    assert_eq!(lead.app.screen(), Screen::Review);
    at_all_sizes("went-out", &lead);

    lead.down_to("op 50 sand leg").key(KeyCode::Enter);
    assert_eq!(lead.app.screen(), Screen::Series);
    let shown = lead.text(80, 24);
    assert!(shown.contains("It moved between leg 9 and leg 10"), "{shown}");
    assert!(shown.contains("leg 10: 1.237, wanted 1.250: too thin by 0.005"), "{shown}");
    at_all_sizes("series", &lead);

    lead.keys(&[KeyCode::Right, KeyCode::Enter]);
    assert_eq!(lead.app.screen(), Screen::Attribution);
    let shown = lead.text(80, 24);
    assert!(shown.contains("leg 11: what each operation added"), "{shown}");
    assert!(shown.contains("Within limits at op 40, out at op 50"), "{shown}");
    at_all_sizes("attribution", &lead);

    // One screen back at a time, to the row and the reading that were chosen.
    lead.key(KeyCode::Esc);
    assert!(lead.text(80, 24).contains("leg 11: 1.238"), "{}", lead.text(80, 24));
    lead.key(KeyCode::Esc);
    let shown = lead.text(120, 40);
    assert!(shown.lines().any(|line| line.starts_with("> op 50 sand leg")), "{shown}");
    lead.key(KeyCode::Esc);
    assert_eq!(lead.app.screen(), Screen::Machine);
    assert!(lead.app.review().is_none(), "what was found is not kept while the work goes on");
}

#[test]
fn a_piece_is_followed_back_from_the_list_of_pieces() {
    let mut lead = Lead::on(&[BELT], 170, PLAIN);
    lead.keys(&[KeyCode::F(4), KeyCode::Down, KeyCode::Down]);
    let piece = lead.app.selected();
    lead.key(KeyCode::Enter);
    assert_eq!(lead.app.screen(), Screen::Attribution);
    lead.key(KeyCode::Esc);
    assert_eq!((lead.app.screen(), lead.app.selected()), (Screen::Pieces, piece));
    lead.keys(&[KeyCode::Enter, KeyCode::Char('w')]);
    assert_eq!(lead.app.screen(), Screen::Machine);
}

/// By hand: dust leaves a rail short and never long, and the crew may not say why.
#[test]
fn plain_signs_say_the_same() {
    let mut lead = Lead::on(&["op 160 stop dust 1/32"], 160, ASCII);
    lead.key(Y).down_to("op 160 crosscut rail").key(KeyCode::Enter);
    let shown = lead.text(80, 24);
    assert!(shown.contains("Dust or a chip between end and stop"), "{shown}");
    snapshot("screen-series-ascii-80x24", &shown);
    lead.key(KeyCode::Enter);
    let back = lead.text(80, 24);
    snapshot("screen-attribution-ascii-80x24", &back);
    assert!(shown.is_ascii() && back.is_ascii(), "{shown}\n{back}");
}

/// The table closed by one step too much is small by that step.
#[test]
fn a_cause_of_a_known_size_raises_a_question() {
    let mut lead = Lead::on(&["op 50 double jog"], 50, PLAIN);
    lead.key(Y).down_to("op 50 sand leg").key(KeyCode::Enter);
    let shown = lead.text(80, 24);
    assert!(shown.contains("was the table closed twice?"), "{shown}");
}

#[test]
fn a_gauge_whose_zero_moved_shows_on_every_screen() {
    let mut lead = Lead::on(&["op 50 gauge zero 0.012"], 170, PLAIN);
    for (keys, screen) in [
        (&[Y][..], Screen::Review),
        (&[KeyCode::Enter], Screen::Series),
        (&[KeyCode::Enter], Screen::Attribution),
    ] {
        lead.keys(keys);
        if screen == Screen::Review {
            lead.down_to("From op 50, leg 1 on, the calipers read 0.013 more");
        }
        assert_eq!(lead.app.screen(), screen);
        let shown = lead.text(120, 40);
        assert!(shown.contains("check the zero"), "{shown}");
    }
}

#[test]
fn a_batch_with_nothing_wrong_says_so() {
    let lines = Lead::on(&[], 30, PLAIN).key(Y).text(80, 24);
    assert!(lines.contains("the readings show no shift"), "{lines}");
    let nothing = Lead::on(&[], 10, PLAIN).keys(&[Y, KeyCode::Enter, KeyCode::Down]).text(80, 24);
    assert!(nothing.contains("the readings show no shift"), "{nothing}");
}

/// Always: Every screen of a simulated batch says that it is one.
#[test]
fn every_screen_of_an_invented_batch_says_so() {
    let mut lead = Lead::on(&[BELT], 90, PLAIN);
    let enter = KeyCode::Enter;
    let ways: [&[KeyCode]; 8] = [
        &[KeyCode::F(2)],
        &[KeyCode::F(3)],
        &[KeyCode::F(7)],
        &[KeyCode::F(4)],
        &[KeyCode::Char('g')],
        &[KeyCode::Esc, Y],
        &[KeyCode::End, enter],
        &[KeyCode::F(1)],
    ];
    for keys in ways {
        lead.keys(keys);
        for (width, height) in SIZES {
            let shown = lead.text(width, height);
            assert!(shown.starts_with("invented: "), "{:?}\n{shown}", lead.app.screen());
        }
    }
}

/// Another station's reading is taken in where someone looks back, and what
/// was chosen stays chosen.
#[test]
fn what_other_stations_wrote_is_looked_at_again() {
    let (route, shop, lines) = stools(&[BELT], 170);
    let now = lines.last().expect("a batch has lines").at;
    let mut lead = Lead { app: App::new(PLAIN), now };
    let half = snapshot_of(&named("stools"), &route, &shop, &lines[..lines.len() - 40]);
    lead.app.update(AppMessage::Opened(Box::new(half), now));
    lead.key(Y).down_to("op 50 sand leg").keys(&[KeyCode::Enter, KeyCode::Right]);
    let readings = |lead: &Lead| lead.app.review().expect("looking").findings.readings;
    let (before, shown) = (readings(&lead), lead.text(80, 24));
    let whole = snapshot_of(&named("stools"), &route, &shop, &lines);
    lead.app.update(AppMessage::Refreshed(Box::new(whole)));
    assert!(readings(&lead) > before);
    assert_eq!(lead.text(80, 24), shown);
}

#[test]
fn every_screen_draws_at_every_size() {
    for theme in [PLAIN, COLOUR, ASCII] {
        let mut lead = Lead::on(&[BELT, "op 60 step 1/32 after piece 7"], 170, theme);
        lead.key(Y);
        for keys in [&[][..], &[KeyCode::Down; 7], &[KeyCode::Enter], &[KeyCode::Enter]] {
            lead.keys(keys);
            for width in (1..130).step_by(9) {
                for height in (1..45).step_by(4) {
                    lead.text(width, height);
                }
            }
        }
    }
}
