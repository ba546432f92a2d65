//! One run of the load: every station writes at an even pace, and every line is awaited at
//! every other station of its shop.

use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use benchway::journal::Event;
use serde_json::json;

use super::arrivals::Arrivals;
use super::database::Database;
use super::server_cost::{Meter, ServerCost};
use super::shops::Shops;

/// How long after the last line the others are waited for.
const STRAGGLERS: Duration = Duration::from_secs(60);

/// What a run showed.
pub struct LoadRun {
    pub lines: usize,
    pub written_in: Duration,
    /// From the first line written to the last one that arrived.
    pub took: Duration,
    pub behind: Duration,
    /// In microseconds, sorted.
    pub lags: Vec<u32>,
    pub missing: usize,
    pub cost: ServerCost,
    /// Statements that added lines.
    pub sends: usize,
    pub text_bytes: u64,
    /// When the server says that it began.
    pub begun: String,
}

impl LoadRun {
    /// The lag that so great a part of the lines keeps within.
    pub fn lag(&self, part: f64) -> Duration {
        let last = self.lags.len().saturating_sub(1);
        let at = (last as f64 * part).round() as usize;
        Duration::from_micros(self.lags.get(at).copied().unwrap_or(0).into())
    }

    pub fn server_cpu_a_line(&self) -> Duration {
        self.cost.server_cpu / self.lines as u32
    }
}

/// Writes for so long, so many lines a second at each station.
pub fn run(database: &Database, shops: &mut Shops, rate: f64, time: Duration) -> LoadRun {
    for terminal in &shops.terminals {
        terminal.journal().count_anew();
    }
    std::thread::sleep(Duration::from_secs(2));
    let begun = database.ask("select clock_timestamp()").remove(0);
    let meter = Meter::begin(database, "benchway.line");
    let arrivals = Arrivals::watch(&shops.terminals);
    let stations = shops.terminals.len();
    let others = stations / (1 + shops.terminals.iter().map(|t| t.shop).max().unwrap_or(0)) - 1;
    let start = Instant::now();
    let (lines, written_in, took, mut lags) = std::thread::scope(|scope| {
        let watching = scope.spawn(|| arrivals.lags());
        let total = (stations as f64 * rate * time.as_secs_f64()) as usize;
        for count in 0..total {
            let due = start + Duration::from_secs_f64(count as f64 / (stations as f64 * rate));
            std::thread::sleep(due.saturating_duration_since(Instant::now()));
            if start.elapsed() > time + STRAGGLERS {
                break;
            }
            shops.terminals[count % stations].write(reading(count));
        }
        let written_in = start.elapsed();
        while arrivals.count.load(Ordering::Relaxed) < total * others
            && start.elapsed() < written_in + STRAGGLERS
        {
            std::thread::sleep(Duration::from_millis(5));
        }
        let took = start.elapsed();
        arrivals.is_over.store(true, Ordering::Relaxed);
        (total, written_in, took, watching.join().expect("it watched"))
    });
    let cost = meter.end(database);
    lags.sort_unstable();
    let sent = format!(
        "select count(distinct (shop, station, arrived)), coalesce(sum(length(line)), 0)
         from benchway.line where arrived >= '{begun}'"
    );
    let sent = database.ask(&sent).remove(0);
    let (sends, bytes) = sent.split_once('|').expect("two columns");
    LoadRun {
        lines,
        written_in,
        took,
        behind: took - written_in,
        missing: lines * others - lags.len(),
        lags,
        cost,
        sends: sends.parse().expect("a count"),
        text_bytes: bytes.parse().expect("a sum"),
        begun,
    }
}

/// A reading such as calipers give all day.
fn reading(count: usize) -> Event {
    let size = 381_000_000 + 10_000 * (count as i64 * 7919 % 60) - 300_000;
    let typed = format!("{:.3}", size as f64 / 25.4e6);
    let piece = format!("bench-0-{}", 1 + count * 31 % 16);
    let event = json!({"reading": {"op": 20, "piece": piece, "feature": "length",
        "says": {"size": size}, "typed": typed, "gauge": "calipers", "uncertainty": 30_000,
        "target": 381_000_000, "low": 380_206_250, "high": 381_793_750, "safe": "big"}});
    serde_json::from_value(event).expect("an event")
}
