//! A batch begins with a plan that has no errors, or with the lead's word.

use benchway::journal::{Home, OpenBatch, OpenError};
use benchway::operation::MayOverride;
use benchway::route::Article;
use benchway::tui::{App, AppMessage, Effect, NewBatch, OpeningLists, RouteRow};
use chrono::{DateTime, FixedOffset};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use crate::bench;
use crate::drawn::{PLAIN, drawn, text};
use crate::walker::SHOP;

/// Two legs of rough strips, ripped; the word in `AT` is the machine, and a true
/// edge is made where `EDGE` says so.
const ROUTE: &str = r#"{
  "route": "Strips", "unit": "in", "sets": 1, "dims": { "w": "2" },
  "parts": { "strip": { "per_set": 2, "stock": { "thickness": "3/4", "width": "3", "length": "20" }, "width": "w" } },
  "operations": [
    { "op": 10, "part": "strip", "do": "joint", "at": "jointer", "sides": SIDES },
    { "op": 20, "part": "strip", "do": "rip", "at": "AT", "tool": "rip blade", "to": "w",
      "checks": [ { "check": "width", "limits": "±LIMIT", "with": "calipers", "pieces": "first" } ] } ] }"#;

fn route(sides: &str, at: &str, limit: &str) -> String {
    ROUTE.replace("SIDES", sides).replace("AT", at).replace("LIMIT", limit)
}

fn begin(text: &str, word: Option<&str>) -> Result<OpenBatch, OpenError> {
    let place = tempfile::tempdir().expect("a folder for the test");
    let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
    let at: DateTime<FixedOffset> = "2026-11-25T08:00:00+01:00".parse().expect("a time");
    bench::begin(&home, "strips", (text, SHOP), "cart", at, word)
}

const BOTH: &str = r#"["face", "edge"]"#;

/// Calipers off by 0.003 can't judge a band of 0.002; the lead may know better ways.
#[test]
fn errors_need_the_leads_word() {
    let coarse = route(BOTH, "cabinet saw", "0.001");
    for word in [None, Some("MB"), Some("MB ")] {
        match begin(&coarse, word) {
            Err(OpenError::Faulty { what, may_override: MayOverride::Lead }) => {
                assert!(what.contains("op 20: the calipers has an uncertainty"), "{what}");
            }
            other => panic!("{word:?}: {:?}", other.err()),
        }
    }
    let open = begin(&coarse, Some("mb a micrometer is on its way")).expect("the lead answers");
    let remarks = &open.snapshot().state.remarks;
    assert!(
        remarks[0].text.starts_with("MB began it with errors (a micrometer is on its way): op 20")
    );
    assert!(begin(&route(BOTH, "cabinet saw", "1/32"), None).is_ok());
}

/// A machine that isn't there, and a rough edge against a fence, are no matter of a
/// word.
#[test]
fn nobody_begins_without_a_machine_or_a_true_edge() {
    for text in [route(BOTH, "table saw", "1/32"), route(r#"["face"]"#, "cabinet saw", "1/32")] {
        match begin(&text, Some("MB no jointer today")) {
            Err(OpenError::Faulty { may_override, .. }) => {
                assert_eq!(may_override, MayOverride::Nobody);
            }
            other => panic!("{:?}", other.err()),
        }
    }
}

#[test]
fn the_opening_screen_asks_for_the_word() {
    let mut app = App::new(PLAIN);
    let routes = vec![RouteRow {
        name: "Strips".to_owned(),
        about: String::new(),
        sets: 1,
        article: Article::new("strip", None),
        suggested: "strips".to_owned(),
        fault: None,
        advice: String::new(),
    }];
    app.update(AppMessage::Listed(Box::new(OpeningLists { routes, ..OpeningLists::default() })));
    app.update(AppMessage::Faulty {
        what: "This route has errors: op 20: too coarse.".to_owned(),
        batch: strips(),
    });
    let shown = text(&drawn(&app, 80, 24));
    assert!(shown.contains("This route has errors: op 20"), "{shown}");
    let now: DateTime<FixedOffset> = "2026-11-25T08:00:00+01:00".parse().expect("a time");
    let mut effects = Vec::new();
    for code in "MB why".chars().map(KeyCode::Char).chain([KeyCode::Enter]) {
        effects = app.update(AppMessage::Key(KeyEvent::new(code, KeyModifiers::NONE), now));
    }
    let word = Some("MB why".to_owned());
    assert_eq!(effects, [Effect::Start { batch: strips(), word }]);
}

fn strips() -> NewBatch {
    NewBatch {
        route: 0,
        name: "strips".to_owned(),
        sets: 1,
        makers: Vec::new(),
        adapted: Vec::new(),
    }
}

/// A folder without its first line, as a crash of an older program left it, is no batch.
/// It is said, and nothing can be walked or reviewed in it.
#[test]
fn a_folder_without_a_beginning_is_no_batch() {
    let place = tempfile::tempdir().expect("a folder for the test");
    let folder = place.path().join("husk");
    std::fs::create_dir(&folder).expect("the folder takes a folder");
    let text = route(BOTH, "cabinet saw", "1/32");
    std::fs::write(folder.join("route.json"), &text).expect("it takes a file");
    std::fs::write(folder.join("shop.json"), SHOP).expect("it takes a file");
    let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
    let opened = OpenBatch::resume(&home, "husk", "cart", "a test");
    let said = opened.err().expect("it isn't opened").to_string();
    assert!(said.contains("husk has no beginning"), "{said}");
    for command in ["review", "export", "learn"] {
        let said = bench::benchway_at_home(place.path(), &[command, "husk"]);
        assert_eq!(said.code, 2, "{command}: {}", said.out);
        assert!(said.err.contains("has no beginning"), "{command}: {}", said.err);
    }
    let listed = bench::benchway_at_home(place.path(), &["batches"]).out;
    assert!(listed.contains("has no beginning"), "{listed}");
}

/// A batch that begins has its first lines before its folder has its name: nothing is
/// ever in the home but whole batches and leftovers that no command shows.
#[test]
fn a_batch_begins_whole() {
    let place = tempfile::tempdir().expect("a folder for the test");
    let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
    // What a crash left an hour ago goes, what somebody makes now stays.
    for (name, hours) in [(".new-old", 2), (".new-young", 0)] {
        let folder = place.path().join(name);
        std::fs::create_dir(&folder).expect("the folder takes a folder");
        let made = std::fs::File::open(&folder).expect("it opens");
        let then = made.metadata().and_then(|known| known.modified()).expect("it has a time");
        let then = then - std::time::Duration::from_secs(hours * 3600);
        made.set_modified(then).expect("its time can be set");
    }
    let at: DateTime<FixedOffset> = "2026-11-25T08:00:00+01:00".parse().expect("a time");
    let text = route(BOTH, "cabinet saw", "1/32");
    let open = bench::begin(&home, "strips", (&text, SHOP), "cart", at, None);
    drop(open.unwrap_or_else(|error| panic!("{error}")));
    let lines = std::fs::read_to_string(place.path().join("strips/cart.jsonl")).expect("its lines");
    assert!(lines.lines().next().is_some_and(|line| line.contains("\"started\"")), "{lines}");
    assert!(!place.path().join(".new-old").exists());
    assert!(place.path().join(".new-young").exists());
}
