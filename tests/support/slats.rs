//! Batches of slats whose true sizes are known, as folders that people might have made.

use std::fs;
use std::path::Path;

use benchway::document::Document;
use benchway::journal::{Event, JournalLine, encode};
use benchway::route::{self, Route};
use benchway::shop::{self, Shop};
use benchway::simulate::{Fault, Settings, invent};

/// Ten slats and two spares at three machines, everything measured on all.
pub const SLATS: &str = r#"{
  "route": "Trial slats", "unit": "in", "sets": 1,
  "dims": { "long": "20", "wide": "2", "thick": "3/4" },
  "parts": { "slat": { "per_set": 10, "spares": 2, "setup_pieces": 0, "species": "ash",
    "stock": { "thickness": "1", "width": "2 1/4", "length": "21" },
    "length": "long", "width": "wide", "thickness": "thick" } },
  "operations": [
    { "op": 10, "part": "slat", "do": "crosscut", "at": "chop saw", "rough": true, "to": "long + 1" },
    { "op": 20, "part": "slat", "do": "joint", "at": "jointer", "sides": ["face", "edge"] },
    { "op": 30, "part": "slat", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "wide",
      "checks": [ { "check": "width", "limits": "±1/64", "with": "calipers", "pieces": "all" } ] },
    { "op": 40, "part": "slat", "do": "plane", "at": "planer", "to": "thick",
      "checks": [ { "check": "thickness", "limits": "±1/64", "with": "calipers", "pieces": "all" } ] },
    { "op": 60, "part": "slat", "do": "crosscut", "at": "stop saw", "to": "long",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "all" } ] }
  ]
}"#;

/// The station whose lines they are.
pub const STATION: &str = "invented";

const BUNDLED: &str = include_str!("../../routes/shop.json");

pub fn invented(route: &Route, shop: &Shop, seed: u32, faults: &[&str]) -> Vec<JournalLine> {
    let faults =
        faults.iter().map(|text| Fault::parse(text, route.unit).expect("a good fault")).collect();
    let settings = Settings { seed, faults, ..Settings::default() };
    invent(route, shop, &settings).expect("a batch")
}

/// Makes the folder of a batch of slats that people might have made: invented, but for the
/// line that says so, which comes behind the first and is a note.
pub fn batch_of_slats(folder: &Path, route: &str, seed: u32, faults: &[&str]) {
    let read = |name: &str, text: &str| Document::read(name, text).expect("JSON");
    let (read_route, _) = route::read(&read("route.json", route)).expect("a good route");
    let read_shop = shop::read(&read("shop.json", BUNDLED)).expect("a good shop file");
    let mut lines = invented(&read_route, &read_shop, seed, faults);
    let note = Event::Note { op: None, piece: None, text: String::new() };
    lines[0].event = std::mem::replace(&mut lines[1].event, note);
    if let Event::Started { batch, .. } = &mut lines[0].event {
        *batch = folder.file_name().expect("a name").to_string_lossy().into_owned();
    }
    fs::create_dir_all(folder).expect("a folder");
    let journal: String = lines.iter().map(encode).collect();
    let own = format!("{STATION}.jsonl");
    for (name, text) in [("route.json", route), ("shop.json", BUNDLED), (&own, &journal)] {
        fs::write(folder.join(name), text).expect("the folder can be written");
    }
}
