//! Many stations at once, with kills, power cuts of the server, broken connections and wrong
//! clocks: in the end everybody has every line, once.

use std::collections::BTreeSet;
use std::fs;
use std::thread::sleep;
use std::time::Duration;

use benchway::meet::MemberRole;

use super::database::Database;
use super::proxy::Proxy;
use super::station::Station;

const BATCH: &str = "harbour benches";

/// Random numbers of a test (a multiplicative congruential generator, constants of Knuth's
/// MMIX, from memory).
struct Draws(u64);

impl Draws {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 33) % limit
    }
}

/// What one run did.
#[derive(Debug, Default)]
struct Run {
    lines: usize,
    notes: usize,
    kills: u32,
    power_cuts: u32,
    cut: u64,
}

/// How many runs; more of them by hand.
fn runs() -> u64 {
    std::env::var("BENCHWAY_RUNS").ok().and_then(|text| text.parse().ok()).unwrap_or(1)
}

#[test]
#[ignore = "needs PostgreSQL"]
fn stations_converge_whatever_breaks() {
    for run in 0..runs() {
        for stations in [2, 5, 16] {
            let done = converges(stations, 1 + run * 100 + stations as u64);
            println!("{stations} stations: {done:?}");
        }
    }
}

fn converges(count: usize, seed: u64) -> Run {
    let database = Database::make();
    let place = tempfile::tempdir().expect("a folder for the test");
    let proxy = Proxy::to(database.port(), seed);
    let mut draws = Draws(seed);
    let mut stations: Vec<Station> = (0..count)
        .map(|n| {
            let (name, role) = match n {
                0 => ("lead".to_owned(), MemberRole::Lead),
                n => (format!("bench-{n}"), MemberRole::Station),
            };
            let login = database.add(&name, "north", Some(&name), role);
            let days = if n % 3 == 2 { draws.below(20) as i64 - 10 } else { 0 };
            Station::new(place.path(), &name, database.address(&login, proxy.port()), days)
        })
        .collect();
    // The first one begins the batch, and everybody gets it through one connection.
    let begun = ["walk", "--plain", "--station", "lead", "reading-stool", "--name", BATCH];
    stations[0].start(&begun);
    until("the batch is on the server", || {
        database.ask("select count(*) from benchway.line")[0] != "0"
    });
    proxy.breaks();
    let mut run = Run::default();
    let mut typed = 0;
    for _ in 0..60 * count {
        let at = draws.below(count as u64) as usize;
        let station = &mut stations[at];
        match draws.below(40) {
            0 => {
                run.kills += u32::from(station.is_running());
                station.kill();
            }
            1 if draws.below(3) == 0 && count < 16 => {
                run.power_cuts += 1;
                database.power_cut();
            }
            2 => station.leave(),
            _ if !station.is_running() => {
                let name = station.name.clone();
                station.kill();
                station.start(&["walk", "--plain", "--station", &name, BATCH]);
            }
            _ => {
                typed += 1;
                let name = station.name.clone();
                station.type_line(&format!("note {name} wrote {typed}"));
            }
        }
        sleep(Duration::from_millis(draws.below(40)));
    }
    stations.iter_mut().for_each(Station::leave);
    proxy.holds();
    run.cut = proxy.cut();
    // Once to send, once to fetch what others sent meanwhile.
    for _ in 0..2 {
        for station in &stations {
            let (_, _, complaint) = station.run(&["batches"]);
            assert!(!complaint.contains("server"), "{}: {complaint}", station.name);
        }
    }
    (run.lines, run.notes) = all_have_the_same(&stations, &database);
    run
}

/// Every folder has the same files, every line once, and the server has them too. Answers how
/// many lines and notes there are.
fn all_have_the_same(stations: &[Station], database: &Database) -> (usize, usize) {
    let files = |station: &Station| -> Vec<(String, String)> {
        let folder = station.home.join(BATCH);
        let mut files: Vec<(String, String)> = fs::read_dir(&folder)
            .unwrap_or_else(|why| panic!("{} has no batch: {why}", station.name))
            .flatten()
            .filter(|item| item.path().extension().is_some_and(|ending| ending == "jsonl"))
            .map(|item| {
                let text = fs::read_to_string(item.path()).expect("a text");
                (item.file_name().to_string_lossy().into_owned(), text)
            })
            .filter(|(_, text)| !text.is_empty())
            .collect();
        files.sort();
        files
    };
    let first = files(&stations[0]);
    for station in &stations[1..] {
        let own = files(station);
        let names = |files: &[(String, String)]| -> Vec<String> {
            files.iter().map(|(name, text)| format!("{name}: {}", text.lines().count())).collect()
        };
        assert_eq!(names(&first), names(&own), "{}", station.name);
        assert!(first == own, "{} has other bytes", station.name);
        let exported = |station: &Station| {
            let (code, out, complaint) = station.run(&["export", BATCH, "--notes"]);
            assert!(code < 2 && complaint.is_empty(), "{}: {complaint}", station.name);
            out
        };
        assert_eq!(exported(&stations[0]), exported(station), "{}", station.name);
    }
    // What was acknowledged is there.
    for station in stations {
        let said = fs::read_to_string(station.home.join("said.txt")).unwrap_or_default();
        let acknowledged = said.matches("Saved as a note.").count();
        let own = format!("{}.jsonl", station.name);
        let held = first.iter().find(|(name, _)| *name == own);
        let held = held.map_or(0, |(_, text)| text.matches("\"note\":").count());
        assert!(held >= acknowledged, "{}: {held} of {acknowledged}", station.name);
    }
    let mut notes = BTreeSet::new();
    let mut lines = 0;
    for text in first.iter().flat_map(|(_, text)| text.lines()) {
        lines += 1;
        if let Some((_, wrote)) = text.split_once(" wrote ") {
            let number: String = wrote.chars().take_while(char::is_ascii_digit).collect();
            assert!(notes.insert(number.clone()), "note {number} is there twice");
        }
    }
    let on_server = database.ask("select count(*) from benchway.line")[0].clone();
    assert_eq!(on_server, lines.to_string());
    (lines, notes.len())
}

/// Waits until something is so, half a minute at most.
pub fn until(what: &str, mut is_so: impl FnMut() -> bool) {
    for _ in 0..300 {
        if is_so() {
            return;
        }
        sleep(Duration::from_millis(100));
    }
    panic!("it never came about that {what}");
}
