//! `benchway print today`: the page for the wall, which keeps up with the shop.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use benchway::journal::Home;

use crate::bench::{begin, benchway_at_home};

const ROUTE: &str = r#"{
  "route": "Peg rack", "unit": "in", "sets": 2, "article": "rack",
  "dims": { "long": "18" },
  "parts": { "end": { "per_set": 2, "species": "white oak",
    "stock": { "class": "4/4", "thickness": "3/4", "width": "2 1/4", "length": "19" },
    "length": "long" } },
  "operations": [
    { "op": 10, "part": "end", "do": "crosscut", "at": "stop saw", "to": "long",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "all" } ] }
  ]
}"#;

const SHOP: &str = include_str!("../../routes/shop.json");

fn begin_named(folder: &Path, name: &str) {
    let home = Home::locate(Some(folder.to_owned())).expect("a folder was named");
    let at = "2026-11-25T08:00:00+01:00".parse().expect("a time with its zone");
    begin(&home, name, (ROUTE, SHOP), "bench", at, None).expect("it begins");
}

/// Four ends at two minutes, a guess: 8 min.
#[test]
fn the_wall_shows_what_the_command_says() {
    let home = tempfile::tempdir().expect("a folder for the test");
    begin_named(home.path(), "north racks");
    let said = benchway_at_home(home.path(), &["print", "today", "--output", "-"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    for expected in [
        "<meta http-equiv=\"refresh\" content=\"15\">",
        "<h2>stop saw</h2>",
        "<b>START</b> north racks, op 10 crosscut end: 4 to go, 8 min, a guess",
        "<th>1 to 2</th>",
        "<b>10</b>",
    ] {
        assert!(said.out.contains(expected), "{expected}\n{}", said.out);
    }
    let said = benchway_at_home(home.path(), &["print", "today", "--watch", "--output", "-"]);
    assert!(said.code == 2 && said.err.contains("only a file can be kept up"), "{}", said.err);
}

/// A program that runs until it is dropped.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Waits until the file says something.
fn comes_to_say(path: &Path, what: &str) {
    let until = Instant::now() + Duration::from_secs(30);
    while !fs::read_to_string(path).is_ok_and(|text| text.contains(what)) {
        assert!(Instant::now() < until, "{what} never came");
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn the_page_is_written_anew_when_a_batch_comes() {
    let home = tempfile::tempdir().expect("a folder for the test");
    begin_named(home.path(), "north racks");
    let page = home.path().join("wall.html");
    let watch = Command::new(env!("CARGO_BIN_EXE_benchway"))
        .args(["print", "today", "--watch", "--output"])
        .arg(&page)
        .env_clear()
        .env("BENCHWAY_HOME", home.path())
        .stdout(Stdio::null())
        .spawn();
    let _running = Running(watch.expect("the program was built with these tests"));
    comes_to_say(&page, "north racks");
    begin_named(home.path(), "south racks");
    comes_to_say(&page, "south racks");
    // Whoever reads it meanwhile finds it whole.
    let text = fs::read_to_string(&page).expect("it is there");
    assert!(text.starts_with("<!DOCTYPE html>") && text.ends_with("</html>"));
}
