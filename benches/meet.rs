//! The exchange under load: many stations of many shops write at once, on one machine, through
//! one server. It measures how late lines arrive elsewhere, what the server has to do for each
//! line, and whether a full table changes that.
//!
//! `benches/meet.md` says how to run it, and holds what it printed.

use std::time::Duration;

#[path = "meet/arrivals.rs"]
mod arrivals;
#[path = "../tests/meet/database.rs"]
#[allow(dead_code, reason = "a bench makes no power cuts")]
mod database;
#[path = "meet/filling.rs"]
mod filling;
#[path = "meet/load.rs"]
mod load;
#[path = "meet/plain.rs"]
mod plain;
#[path = "meet/server_cost.rs"]
mod server_cost;
#[path = "meet/shops.rs"]
mod shops;

use database::Database;
use filling::{fill, pull};
use load::{LoadRun, run};
use plain::{PlainRun, Table, replay};
use shops::Shops;

/// How large the load is; each part may be another one in the environment.
struct LoadSize {
    stations: usize,
    shops: usize,
    lines_a_second: f64,
    seconds: u64,
    filled: u64,
}

impl LoadSize {
    fn of_environment() -> LoadSize {
        fn number<T: std::str::FromStr>(name: &str, usual: T) -> T {
            std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
        }
        LoadSize {
            stations: number("BENCHWAY_STATIONS", 200),
            shops: number("BENCHWAY_SHOPS", 20),
            lines_a_second: number("BENCHWAY_RATE", 5.0),
            seconds: number("BENCHWAY_SECONDS", 300),
            filled: number("BENCHWAY_FILLED", 10_000_000),
        }
    }

    fn time(&self) -> Duration {
        Duration::from_secs(self.seconds)
    }
}

fn row(what: &str, value: impl std::fmt::Display) {
    println!("| {what} | {value} |");
}

fn milliseconds(time: Duration) -> String {
    format!("{:.0} ms", time.as_secs_f64() * 1e3)
}

fn microseconds(time: Duration) -> String {
    format!("{:.0} µs", time.as_secs_f64() * 1e6)
}

fn print_load(size: &LoadSize, run: &LoadRun) {
    let lines = run.lines as f64;
    row("stations, shops", format!("{}, {}", size.stations, size.shops));
    row("lines wanted a second", format!("{:.0}", size.lines_a_second * size.stations as f64));
    row("lines written a second", format!("{:.0}", lines / run.written_in.as_secs_f64()));
    row("lines written", run.lines);
    row("lines delivered to other stations", run.lags.len());
    row("lines that did not arrive", run.missing);
    row("after the last line was written, the last one arrived within", milliseconds(run.behind));
    row("lag, median", milliseconds(run.lag(0.5)));
    row("lag, 99 %", milliseconds(run.lag(0.99)));
    row("lag, longest", milliseconds(run.lag(1.0)));
    row("lines sent at once, mean", format!("{:.2}", lines / run.sends as f64));
    row(
        "transactions of the server a line",
        format!("{:.2}", run.cost.transactions as f64 / lines),
    );
    row("bytes of a line as text, mean", format!("{:.0}", run.text_bytes as f64 / lines));
    row("table and index a line", format!("{:.0} bytes", run.cost.table_bytes as f64 / lines));
    row("write-ahead log a line", format!("{:.0} bytes", run.cost.wal_bytes as f64 / lines));
    row("server CPU a line", microseconds(run.server_cpu_a_line()));
    row("server CPU, of one core", percent(run.cost.server_cpu, run.took));
    row("CPU of all terminals, of one core", percent(run.cost.own_cpu, run.took));
}

fn percent(cpu: Duration, of: Duration) -> String {
    format!("{:.0} %", 100.0 * cpu.as_secs_f64() / of.as_secs_f64())
}

fn print_plain(run: &LoadRun, plain: &PlainRun) {
    row(
        "plain inserts, rows a statement",
        format!("{:.2}", plain.rows as f64 / plain.statements as f64),
    );
    row(
        "plain inserts, table and index a row",
        format!("{:.0} bytes", plain.cost.table_bytes as f64 / plain.rows as f64),
    );
    row(
        "plain inserts, write-ahead log a row",
        format!("{:.0} bytes", plain.cost.wal_bytes as f64 / plain.rows as f64),
    );
    row("plain inserts, server CPU a row", microseconds(plain.cpu_a_row()));
    row(
        "server CPU a line, over plain inserts",
        format!("{:.2}", run.server_cpu_a_line().as_secs_f64() / plain.cpu_a_row().as_secs_f64()),
    );
}

fn print_growth(before: (&LoadRun, Duration), after: (&LoadRun, Duration)) {
    let ratio = |of: fn(&LoadRun) -> Duration| {
        format!("{:.2}", of(after.0).as_secs_f64() / of(before.0).as_secs_f64())
    };
    row("lag, median, full over empty", ratio(|run| run.lag(0.5)));
    row("lag, 99 %, full over empty", ratio(|run| run.lag(0.99)));
    row("server CPU a line, full over empty", ratio(LoadRun::server_cpu_a_line));
    let pulls = after.1.as_secs_f64() / before.1.as_secs_f64();
    row("a new terminal fetches its shop, full over empty", format!("{pulls:.2}"));
}

fn head(title: &str) {
    println!("\n{title}\n\n| what | measured |\n| --- | --- |");
}

fn main() {
    if std::env::var_os("BENCHWAY_POSTGRES").is_none() {
        println!(
            "BENCHWAY_POSTGRES names no folder of a server; benches/meet.md says how to run this"
        );
        return;
    }
    let size = LoadSize::of_environment();
    let database = Database::make();
    let mut shops = Shops::begin(&database, size.shops, size.stations / size.shops);
    head("An empty table:");
    let first = run(&database, &mut shops, size.lines_a_second, size.time());
    print_load(&size, &first);
    shops.rest();
    let plain = replay(&database, &shops, &first, Table::Plain);
    print_plain(&first, &plain);
    let guarded = replay(&database, &shops, &first, Table::Guarded);
    row("adding alone, server CPU a line", microseconds(guarded.cpu_a_row()));
    let ratio = guarded.cpu_a_row().as_secs_f64() / plain.cpu_a_row().as_secs_f64();
    row("adding alone, server CPU a line, over plain inserts", format!("{ratio:.2}"));
    if size.filled == 0 {
        return;
    }
    let (lines, before) = pull(&database, &shops);
    row(
        "a new terminal fetches the lines of its shop",
        format!("{lines} lines in {}", milliseconds(before)),
    );
    fill(&database, size.filled);
    head(&format!("{} lines of other shops in the table:", size.filled));
    let (_, after) = pull(&database, &shops);
    shops.exchange();
    let second = run(&database, &mut shops, size.lines_a_second, size.time());
    print_load(&size, &second);
    shops.rest();
    print_plain(&second, &replay(&database, &shops, &second, Table::Plain));
    row("a new terminal fetches the lines of its shop", milliseconds(after));
    print_growth((&first, before), (&second, after));
}
