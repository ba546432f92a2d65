//! How often review names the operation and the cause of an inserted fault, and
//! how often it reports a fault that wasn't there. It sees only the findings of
//! a journal.
//!
//! `cargo bench --bench detection` prints the tables of `benches/detection.md`;
//! a number after `--` is how many batches each cell has.

use std::fmt::Write;

use benchway::document::Document;
use benchway::journal::State;
use benchway::measure::Unit;
use benchway::review::{Findings, findings};
use benchway::route::{self, Route};
use benchway::series::Cause;
use benchway::shop::{self, Shop};
use benchway::simulate::{Fault, Settings, invent};

/// Four checks at four machines, every piece measured with the same calipers.
const ROUTE: &str = r#"{
  "route": "Trial slats", "unit": "in", "sets": 1,
  "dims": { "long": "20", "wide": "2", "thick": "3/4" },
  "parts": { "slat": { "per_set": PIECES, "species": "ash",
    "stock": { "thickness": "1", "width": "2 1/4", "length": "21" },
    "length": "long", "width": "wide", "thickness": "thick" } },
  "operations": [
    { "op": 10, "part": "slat", "do": "crosscut", "at": "chop saw", "rough": true, "to": "long + 1" },
    { "op": 20, "part": "slat", "do": "joint", "at": "jointer", "sides": ["face", "edge"] },
    { "op": 30, "part": "slat", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "wide",
      "checks": [ { "check": "width", "limits": "±1/64", "with": "calipers", "pieces": "all" } ] },
    { "op": 40, "part": "slat", "do": "plane", "at": "planer", "to": "thick + 0.040",
      "checks": [ { "check": "thickness", "limits": "±1/64", "with": "calipers", "pieces": "all" } ] },
    { "op": 50, "part": "slat", "do": "sand", "at": "wide-belt sander", "to": "thick",
      "checks": [ { "check": "thickness", "limits": "±0.008", "with": "calipers", "pieces": "all" } ] },
    { "op": 60, "part": "slat", "do": "crosscut", "at": "stop saw", "to": "long",
      "checks": [ { "check": "length", "limits": "±1/64", "with": "calipers", "pieces": "all" } ] }
  ]
}"#;

/// Each operation with its machine's spread in the bundled shop: one standard
/// deviation.
const OPERATIONS: [(u32, f64); 4] = [(30, 0.003), (40, 0.002), (50, 0.001), (60, 0.003)];
/// The calipers' expanded uncertainty in the bundled shop; half of it is one
/// standard deviation of a reading.
const UNCERTAINTY: f64 = 0.003;

const FAULTS: [&str; 6] = ["offset", "creep", "step", "slip", "stop dust", "gauge zero"];
const SIZES: [f64; 4] = [2.0, 4.0, 5.0, 8.0];
const PIECES: [u32; 3] = [8, 16, 32];

fn main() {
    let batches = std::env::args().skip(1).find_map(|text| text.parse().ok()).unwrap_or(1_000);
    let shop = shop(shop::BUNDLED);
    println!("Every machine's spread known to the shop ({batches} batches a cell):\n");
    table(&shop, batches);
    let unknown: String = shop::BUNDLED.lines().filter(|line| !line.contains("\"spread\"")).fold(
        String::new(),
        |mut text, line| {
            let _ = writeln!(text, "{line}");
            text
        },
    );
    println!("\nNo spread in the shop file ({batches} batches a cell):\n");
    table(&self::shop(&unknown), batches);
}

fn shop(text: &str) -> Shop {
    let document = Document::read("shop.json", text).expect("JSON");
    shop::read(&document).expect("a good shop file")
}

fn route(pieces: u32) -> Route {
    let text = ROUTE.replace("PIECES", &pieces.to_string());
    let document = Document::read("route.json", text.as_str()).expect("JSON");
    route::read(&document).expect("a good route").0
}

/// A share of batches in per cent.
fn share(count: u32, of: u32) -> String {
    format!("{:.1}", 100.0 * f64::from(count) / f64::from(of.max(1)))
}

fn table(shop: &Shop, batches: u32) {
    println!(
        "| pieces | fault | times the spread | right operation | right cause | others reported |"
    );
    println!("| --- | --- | --- | --- | --- | --- |");
    for pieces in PIECES {
        let route = route(pieces);
        let clean = (0..batches).filter(|seed| told(&look(&route, shop, *seed, None))).count();
        println!("| {pieces} | none | | | | {} |", share(clean as u32, batches));
        let mut at_five = [0_u32; 3];
        for fault in FAULTS {
            for times in SIZES {
                let mut right = [0_u32; 3];
                for seed in 0..batches {
                    let (op, text) = fault_text(fault, times, pieces, seed);
                    let found = look(&route, shop, seed, Some(&text));
                    let said = judge(&found, fault, op);
                    for (count, said) in right.iter_mut().zip(said) {
                        *count += u32::from(said);
                    }
                }
                if times == 5.0 {
                    at_five.iter_mut().zip(right).for_each(|(sum, own)| *sum += own);
                }
                let [op, story, others] = right.map(|count| share(count, batches));
                println!("| {pieces} | {fault} | {times} | {op} | {story} | {others} |");
            }
        }
        let all = batches * FAULTS.len() as u32;
        let [op, story, others] = at_five.map(|count| share(count, all));
        println!("| {pieces} | all of them | 5 | {op} | {story} | {others} |");
    }
}

/// A fault of a size in spreads, as the gauge reads them. The operation, the
/// place and the side vary with the seed.
fn fault_text(fault: &str, times: f64, pieces: u32, seed: u32) -> (u32, String) {
    let (op, spread) = match fault {
        "stop dust" => OPERATIONS[3],
        // From the last operation on, only one machine would show it.
        "gauge zero" => OPERATIONS[(seed % 3) as usize],
        _ => OPERATIONS[(seed % 4) as usize],
    };
    let size = times * spread.hypot(UNCERTAINTY / 2.0);
    let side = if seed % 8 < 4 || fault == "stop dust" { "" } else { "-" };
    let place = 2 + seed / 8 % (pieces - 3);
    let text = match fault {
        "step" => format!("op {op} step {side}{size:.4} after piece {place}"),
        "slip" => format!("op {op} slip {side}{size:.4} at piece {place}"),
        "creep" => format!("op {op} creep {side}{size:.4} over the batch"),
        _ => format!("op {op} {fault} {side}{size:.4}"),
    };
    (op, text)
}

fn look(route: &Route, shop: &Shop, seed: u32, fault: Option<&str>) -> Findings {
    let faults = fault.map(|text| Fault::parse(text, Unit::Inch).expect("a good fault"));
    let settings = Settings {
        seed,
        faults: faults.into_iter().collect(),
        accepts_all: true,
        ..Settings::default()
    };
    let lines = invent(route, shop, &settings).expect("a batch");
    findings(route, shop, &State::fold(&lines))
}

/// Whether anything is reported.
fn told(found: &Findings) -> bool {
    !found.gauges.is_empty() || found.checks.iter().any(|account| account.diagnosis.happened())
}

/// Whether the strongest diagnosis names the right operation, whether its cause
/// is right too, and whether any other operation is reported.
fn judge(found: &Findings, fault: &str, op: u32) -> [bool; 3] {
    if fault == "gauge zero" {
        let found_it = found.gauges.first();
        let since = found_it.is_some_and(|moved| moved.ops.first() == Some(&op));
        let by_gauge = |account: &benchway::review::CheckDiagnosis| account.by_gauge;
        let others = found.checks.iter().any(|held| held.diagnosis.happened() && !by_gauge(held));
        return [since, since, others];
    }
    let happened = || found.checks.iter().filter(|account| account.diagnosis.happened());
    let strongest = happened().max_by(|one, other| one.strength().total_cmp(&other.strength()));
    let right = strongest.filter(|account| account.series.op == op);
    let story = right.and_then(|account| account.diagnosis.cause()).is_some_and(|story| {
        matches!(
            (fault, story),
            ("offset", Cause::SetWrong { .. })
                | ("creep", Cause::Crept { .. })
                | ("step", Cause::Moved { .. })
                | ("slip", Cause::Slip { .. })
                // If dust touches only one piece, that is one slip.
                | ("stop dust", Cause::Apart { .. } | Cause::Slip { .. })
        )
    });
    let others = happened().any(|account| account.series.op != op);
    [right.is_some(), story, others]
}
