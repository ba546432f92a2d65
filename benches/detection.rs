//! How often review names the operation and the cause of an inserted fault, and
//! how often it reports a fault that wasn't there. It sees only the findings of
//! a journal.
//!
//! `cargo bench --bench detection` prints the tables of `benches/detection.md`;
//! a number after `--` is how many batches each cell has.

use std::fmt::Write;

use benchway::document::Document;
use benchway::review::{CheckDiagnosis, Findings, findings};
use benchway::route::{self, Route};
use benchway::series::{Cause, LoneReading};
use benchway::shop::{self, Shop};

#[path = "detection/rows.rs"]
mod rows;

use rows::{Draws, Fault, MEASURED, Made, Noise, Rows, UNCERTAINTY, rows, state};

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

const FAULTS: [(Fault, &str); 6] = [
    (Fault::Offset, "offset"),
    (Fault::Creep, "creep"),
    (Fault::Step, "step"),
    (Fault::Slip, "slip"),
    (Fault::StopDust, "stop dust"),
    (Fault::GaugeZero, "gauge zero"),
];
const SIZES: [f64; 4] = [2.0, 3.0, 5.0, 8.0];
const PIECES: [usize; 3] = [8, 16, 32];

fn main() {
    let batches = std::env::args().skip(1).find_map(|text| text.parse().ok()).unwrap_or(1_000);
    let known = shop(shop::BUNDLED);
    let lines = shop::BUNDLED.lines().filter(|line| !line.contains("\"spread\""));
    let unknown = lines.fold(String::new(), |mut text, line| {
        let _ = writeln!(text, "{line}");
        text
    });
    let unknown = shop(&unknown);
    println!("## Every machine's spread known to the shop\n");
    inside(&Bench { shop: &known, batches, mended: false });
    println!("\n## The same where people act\n");
    inside(&Bench { shop: &known, batches, mended: true });
    println!("\n## No spread in the shop file\n");
    inside(&Bench { shop: &unknown, batches, mended: false });
    println!("\n## Wear and scatter\n");
    wear(&Bench { shop: &known, batches, mended: false });
    println!("\n## Outside the model\n");
    outside(&Bench { shop: &known, batches, mended: false });
}

fn shop(text: &str) -> Shop {
    let document = Document::read("shop.json", text).expect("JSON");
    shop::read(&document).expect("a good shop file")
}

fn route(pieces: usize) -> Route {
    let text = ROUTE.replace("PIECES", &pieces.to_string());
    let document = Document::read("route.json", text.as_str()).expect("JSON");
    route::read(&document).expect("a good route").0
}

/// In whose shop, how many batches a cell has, and whether people act on a first piece.
struct Bench<'a> {
    shop: &'a Shop,
    batches: u64,
    mended: bool,
}

/// What review says of a batch.
struct Seen {
    /// A fault, apart from lone readings that nobody has confirmed and from rows that
    /// really are wider than their limits.
    told: bool,
    /// A row is wider than its limits.
    wide: bool,
    /// Any reading to be taken again.
    again: bool,
    /// Its strongest diagnosis, once the readings to be taken again were, names the right
    /// operation.
    right: bool,
    /// Its cause is right too.
    cause: bool,
    /// Another operation is reported.
    others: bool,
}

impl Bench<'_> {
    fn seen(&self, route: &Route, made: &Made, pieces: usize, seed: u64) -> Seen {
        let rows = rows(made, pieces, &mut Draws::of(seed));
        let found = findings(route, self.shop, &state(route, self.shop, &rows));
        let reported = |check: &&CheckDiagnosis| stands(check, &rows);
        let standing: Vec<&CheckDiagnosis> = found.checks.iter().filter(reported).collect();
        let strongest =
            standing.iter().max_by(|one, other| one.strength().total_cmp(&other.strength()));
        let op = MEASURED[made.at].op;
        let is_fault = |cause: &Cause| {
            !matches!(cause, Cause::Steady { .. } | Cause::Slip { .. } | Cause::Scattered { .. })
        };
        let causes = || found.checks.iter().filter_map(|check| check.diagnosis.cause());
        let (right, cause) = if made.fault == Fault::GaugeZero {
            by_gauge(&found, op)
        } else {
            let right = strongest.filter(|check| check.series.op == op);
            let cause = right.and_then(|check| check.diagnosis.cause());
            (right.is_some(), cause.is_some_and(|cause| is_of(made.fault, cause)))
        };
        Seen {
            told: causes().any(is_fault) || !found.gauges.is_empty(),
            wide: causes().any(|cause| matches!(cause, Cause::Scattered { .. })),
            again: found.checks.iter().any(|check| !check.diagnosis.lone().is_empty()),
            right,
            cause,
            others: standing.iter().any(|check| check.series.op != op && !check.by_gauge),
        }
    }

    fn share(&self, route: &Route, made: Made, pieces: usize, of: fn(&Seen) -> bool) -> f64 {
        let of_gauge = made.fault == Fault::GaugeZero;
        let count = (0..self.batches).filter(|seed| {
            // From the last operation on, only one machine would show a gauge.
            let at = (seed % if of_gauge { 3 } else { 4 }) as usize;
            of(&self.seen(route, &Made { at, mended: self.mended, ..made }, pieces, *seed))
        });
        100.0 * count.count() as f64 / self.batches as f64
    }
}

/// The operation from which on a gauge is said to be off.
fn by_gauge(found: &Findings, op: u32) -> (bool, bool) {
    let since = found.gauges.first().is_some_and(|moved| moved.ops.first() == Some(&op));
    (since, since)
}

/// Whether something is still reported once the readings that lie far off were taken
/// again: a second reading that agrees with the first confirms it.
fn stands(check: &CheckDiagnosis, rows: &Rows) -> bool {
    if !matches!(check.diagnosis.cause(), Some(Cause::Slip { .. })) {
        return check.diagnosis.happened();
    }
    let row = MEASURED.iter().position(|measured| measured.op == check.series.op);
    let row = row.expect("one of the four");
    let is_confirmed = |lone: &LoneReading| {
        let (one, other) = (rows.read[row][lone.at - 1], rows.again[row][lone.at - 1]);
        // What a second reading of the same piece may differ by, by chance.
        let within = 2.0 * 2_f64.sqrt() * MEASURED[row].told().max(UNCERTAINTY / 2.0);
        (one - other).abs() <= within
    };
    check.diagnosis.lone().iter().any(is_confirmed)
}

fn is_of(fault: Fault, cause: &Cause) -> bool {
    matches!(
        (fault, cause),
        (Fault::Offset, Cause::SetWrong { .. })
            | (Fault::Creep, Cause::Crept { .. })
            | (Fault::Step, Cause::Moved { .. })
            | (Fault::WearIn, Cause::WoreIn { .. })
            | (Fault::UpAndBack, Cause::SawTooth { .. })
            | (Fault::Looser, Cause::Loosened { .. })
            | (Fault::Slip, Cause::Slip { .. })
            // If dust touches one or two pieces, they are slips.
            | (Fault::StopDust, Cause::Apart { .. } | Cause::Slip { .. })
    )
}

fn inside(bench: &Bench<'_>) {
    println!(
        "| pieces | fault | times the spread | right operation | right cause | others reported | read again |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for pieces in PIECES {
        let route = route(pieces);
        let made =
            Made { noise: Noise::Normal, fault: Fault::None, times: 0.0, mended: false, at: 0 };
        let share = |made, of| bench.share(&route, made, pieces, of);
        let (told, again) = (share(made, |seen| seen.told), share(made, |seen| seen.again));
        println!("| {pieces} | none | | | | {told:.1} | {again:.1} |");
        for (fault, name) in FAULTS {
            // An offset is gone once people act on it.
            if fault == Fault::Offset && bench.mended {
                continue;
            }
            for times in SIZES {
                let made = Made { fault, times, ..made };
                let cells = [
                    share(made, |seen| seen.right),
                    share(made, |seen| seen.cause),
                    share(made, |seen| seen.others),
                ];
                let [right, cause, others] = cells;
                println!(
                    "| {pieces} | {name} | {times} | {right:.1} | {cause:.1} | {others:.1} | |"
                );
            }
        }
    }
}

/// Shapes that wear leaves, and scatter that grows, whose size is fixed.
fn wear(bench: &Bench<'_>) {
    println!("| pieces | fault | times the spread | right operation | right cause |");
    println!("| --- | --- | --- | --- | --- |");
    for pieces in [16, 32] {
        let route = route(pieces);
        for (fault, name, sizes) in [
            (Fault::WearIn, "fast at first", &[3.0, 5.0, 8.0][..]),
            (Fault::UpAndBack, "up and back", &[3.0, 5.0, 8.0][..]),
            (Fault::Looser, "scatter x 3 half way", &[0.0][..]),
        ] {
            for times in sizes {
                let made =
                    Made { noise: Noise::Normal, fault, times: *times, mended: false, at: 0 };
                let right = bench.share(&route, made, pieces, |seen| seen.right);
                let cause = bench.share(&route, made, pieces, |seen| seen.cause);
                let size = if *times > 0.0 { times.to_string() } else { String::new() };
                println!("| {pieces} | {name} | {size} | {right:.1} | {cause:.1} |");
            }
        }
    }
}

const OUTSIDE: [(Noise, &str); 20] = [
    (Noise::Normal, "normal"),
    (Noise::Uniform, "uniform"),
    (Noise::TwoLots, "two lots mixed"),
    (Noise::Skewed, "skewed"),
    (Noise::Student(5), "Student, 5 degrees"),
    (Noise::Student(3), "Student, 3 degrees"),
    (Noise::Laplace, "Laplace"),
    (Noise::Wild, "5 % wild"),
    (Noise::Remembered(0.3), "lag-1 correlation 0.3"),
    (Noise::Remembered(0.5), "lag-1 correlation 0.5"),
    (Noise::Remembered(0.8), "lag-1 correlation 0.8"),
    (Noise::Walk, "wear as a random walk"),
    (Noise::SpreadTimes(0.5), "true spread x 0.5"),
    (Noise::SpreadTimes(0.75), "true spread x 0.75"),
    (Noise::SpreadTimes(1.25), "true spread x 1.25"),
    (Noise::SpreadTimes(1.5), "true spread x 1.5"),
    (Noise::SpreadTimes(2.0), "true spread x 2"),
    (Noise::SettingsOff(0.66), "settings off, sd 0.66"),
    (Noise::SettingsOff(1.0), "settings off, sd 1"),
    (Noise::SettingsOff(1.5), "settings off, sd 1.5"),
];

/// Sixteen pieces, faults of five spreads.
fn outside(bench: &Bench<'_>) {
    const PIECES: usize = 16;
    let names: Vec<&str> = FAULTS[..5].iter().map(|(_, name)| *name).collect();
    println!(
        "| readings | clean, told of | wider than the limits | clean, read again | {} | all |",
        names.join(" | ")
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    let route = route(PIECES);
    for (noise, name) in OUTSIDE {
        let made = Made { noise, fault: Fault::None, times: 0.0, mended: false, at: 0 };
        let share = |made, of| bench.share(&route, made, PIECES, of);
        let clean = [
            share(made, |seen| seen.told),
            share(made, |seen| seen.wide),
            share(made, |seen| seen.again),
        ];
        let right = FAULTS[..5]
            .iter()
            .map(|(fault, _)| share(Made { fault: *fault, times: 5.0, ..made }, |seen| seen.right));
        let right: Vec<f64> = right.collect();
        let all = right.iter().sum::<f64>() / right.len() as f64;
        let cells: Vec<String> =
            clean.iter().chain(&right).chain([&all]).map(|cell| format!("{cell:.1}")).collect();
        println!("| {name} | {} |", cells.join(" | "));
    }
}
