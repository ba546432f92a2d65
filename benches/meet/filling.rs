//! A table that grew for years, and how long a new terminal takes to fetch its shop from it.

use std::time::{Duration, Instant};

use benchway::meet::{ArchivedBatches, ExchangeSettings, MemberRole, exchange_once};

use super::database::Database;
use super::shops::{Shops, server, shop_name};

const WITHIN: Duration = Duration::from_secs(120);

/// How often it is tried; the median counts.
const TRIES: usize = 5;

/// Puts so many lines of other shops into the table: a thousand of each station, ten
/// stations a batch, ten batches a shop.
pub fn fill(database: &Database, lines: u64) {
    let stations = lines.div_ceil(1000);
    let filled = format!(
        "set session_replication_role = replica;
         insert into benchway.batch (shop, id, name, begun_by, route, shop_file, waits)
         select 'other ' || b / 10, md5(b::text)::uuid, 'batch ' || b, 'bench-0', '{{}}', '{{}}', false
         from generate_series(0, {stations} / 10) b;
         insert into benchway.line (shop, batch, station, n, line)
         select 'other ' || s / 100, md5((s / 10)::text)::uuid, 'bench-' || s % 10, n, concat(
             '{{\"v\":1,\"n\":', n, ',\"after\":', 10 * n, ',\"at\":\"2026-11-25T10:19:50.388270734Z\",',
             '\"station\":\"bench-', s % 10, '\",\"who\":\"MB\",\"event\":{{\"reading\":{{\"op\":20,',
             '\"piece\":\"bench-0-', n % 16, '\",\"feature\":\"length\",\"says\":{{\"size\":', 380000000 + n * s,
             '}},\"typed\":\"15.001\",\"gauge\":\"calipers\",\"uncertainty\":30000,\"target\":381000000,',
             '\"low\":380206250,\"high\":381793750,\"safe\":\"big\"}}}},\"crc\":\"a085246a\"}}')
         from generate_series(0, {stations} - 1) s, generate_series(1, 1000) n"
    );
    database.ask(&filled);
    database.ask("vacuum analyze benchway.line");
    database.ask("vacuum analyze benchway.batch");
    database.ask("checkpoint");
}

/// How many lines a new terminal of the first shop gets, and in which time.
pub fn pull(database: &Database, shops: &Shops) -> (usize, Duration) {
    let mut lines = 0;
    let mut times: Vec<Duration> = (0..TRIES)
        .map(|count| {
            let who = format!("new{count}_{}", database.ask("select count(*) from pg_roles")[0]);
            let login = database.add(&who, &shop_name(0), None, MemberRole::Reader);
            let home = shops.new_home(&who);
            let server = server(database, &login);
            let settings = ExchangeSettings { home: home.clone(), server, station: None };
            let begun = Instant::now();
            exchange_once(&settings, &ArchivedBatches::None, WITHIN).expect("exchanged");
            let time = begun.elapsed();
            let batches = home.batches().expect("readable");
            lines = batches[0].journal().expect("readable").entries.len();
            time
        })
        .collect();
    times.sort_unstable();
    (lines, times[TRIES / 2])
}
