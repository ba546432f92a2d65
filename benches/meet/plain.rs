//! The least that a server can do with the same rows: the statements of a run once more, at
//! the same pace, through as many connections of the same client.

use std::collections::BTreeMap;
use std::time::Duration;

use tokio::time::{Instant, sleep_until};
use tokio_postgres::types::ToSql;
use tokio_postgres::{Client, Config, NoTls, Statement};
use uuid::Uuid;

use super::database::{Database, PASSWORD};
use super::load::LoadRun;
use super::server_cost::{Meter, ServerCost};
use super::shops::{Shops, shop_name};

/// So much of a run is sent once more.
const REPLAYED: Duration = Duration::from_secs(60);

/// Where the rows go.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Table {
    /// A table with the same columns and key, which nobody reads and nothing guards.
    Plain,
    /// The table of the exchange, as another batch that nobody fetches.
    Guarded,
}

impl Table {
    fn table(self) -> &'static str {
        match self {
            Table::Plain => "plain",
            Table::Guarded => "benchway.line",
        }
    }

    fn made(self) -> &'static str {
        match self {
            Table::Plain => {
                "drop table if exists plain;
                create table plain (
                    shop text not null, batch uuid not null, station text not null,
                    n bigint not null, line text not null,
                    arrived timestamptz not null default now(),
                    primary key (shop, batch, station, n));
                grant insert on plain to public"
            }
            Table::Guarded => {
                "with again as (
                    insert into benchway.batch (shop, id, name, begun_by, route, shop_file, waits)
                    select shop, gen_random_uuid(), 'again', begun_by, route, shop_file, false
                    from benchway.batch returning shop, id)
                insert into benchway.batch_act (shop, batch, act, station)
                select shop, id, 'archived', 'bench-0' from again"
            }
        }
    }

    fn insert(self) -> String {
        format!(
            "insert into {} (shop, batch, station, n, line)
             select $1, $2, $3, sent.n, sent.line
             from unnest($4::bigint[], $5::text[]) as sent (n, line)",
            self.table()
        )
    }

    /// The batch of a row.
    fn batch(self) -> &'static str {
        match self {
            Table::Plain => "l.batch",
            Table::Guarded => {
                "(select b.id from benchway.batch b where b.shop = l.shop and b.name = 'again')"
            }
        }
    }
}

/// What the replay took.
pub struct PlainRun {
    pub rows: usize,
    pub statements: usize,
    pub cost: ServerCost,
}

impl PlainRun {
    pub fn cpu_a_row(&self) -> Duration {
        self.cost.server_cpu / self.rows as u32
    }
}

/// Rows that came at once.
struct Sent {
    due: Duration,
    batch: Uuid,
    numbers: Vec<i64>,
    lines: Vec<String>,
}

/// Sends the rows of a run once more.
pub fn replay(database: &Database, shops: &Shops, of: &LoadRun, table: Table) -> PlainRun {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime.expect("a runtime");
    let local = tokio::task::LocalSet::new();
    local.block_on(&runtime, async {
        database.ask(table.made());
        let mut sent = sent(database, &of.begun, table).await;
        let rows = sent.values().flatten().map(|sent| sent.numbers.len()).sum();
        let statements = sent.values().map(Vec::len).sum();
        let mut stations = Vec::new();
        for terminal in &shops.terminals {
            let key = (shop_name(terminal.shop), terminal.name.clone());
            let own = sent.remove(&key).unwrap_or_default();
            let client = connect(database, &terminal.login).await;
            client.batch_execute("set synchronous_commit = off").await.expect("set");
            let statement = client.prepare(&table.insert()).await.expect("prepared");
            stations.push(((client, statement), key, own));
        }
        tokio::time::sleep(Duration::from_secs(2)).await;
        let meter = Meter::begin(database, table.table());
        let start = Instant::now();
        let tasks: Vec<_> = stations
            .into_iter()
            .map(|(client, key, own)| tokio::task::spawn_local(insert(client, key, own, start)))
            .collect();
        for task in tasks {
            task.await.expect("inserted");
        }
        PlainRun { rows, statements, cost: meter.end(database) }
    })
}

async fn insert(
    (client, statement): (Client, Statement),
    (shop, station): (String, String),
    sent: Vec<Sent>,
    start: Instant,
) {
    for Sent { due, batch, numbers, lines } in sent {
        sleep_until(start + due).await;
        let row: [&(dyn ToSql + Sync); 5] = [&shop, &batch, &station, &numbers, &lines];
        client.execute(&statement, &row).await.expect("inserted");
    }
}

async fn connect(database: &Database, login: &str) -> Client {
    let mut config = Config::new();
    config.host("127.0.0.1").port(database.port()).dbname(database.name());
    let (client, connection) =
        config.user(login).password(PASSWORD).connect(NoTls).await.expect("connected");
    tokio::task::spawn_local(connection);
    client
}

/// The rows of a run by shop and station, together as they were sent.
async fn sent(
    database: &Database,
    begun: &str,
    table: Table,
) -> BTreeMap<(String, String), Vec<Sent>> {
    let mut config = Config::new();
    config.host_path(database.socket()).port(database.port()).dbname(database.name());
    let (client, connection) = config.user("owner").connect(NoTls).await.expect("connected");
    tokio::task::spawn_local(connection);
    let batch = table.batch();
    let asked = format!(
        "select shop, station, {batch},
            (1e6 * extract(epoch from arrived - min(arrived) over ()))::bigint, numbers, lines
         from (
            select shop, station, batch, arrived, array_agg(n order by n) as numbers,
                array_agg(line order by n) as lines
            from benchway.line
            where arrived between '{begun}' and '{begun}'::timestamptz + interval '{} seconds'
            group by shop, station, batch, arrived) l
         order by arrived",
        REPLAYED.as_secs()
    );
    let mut sent: BTreeMap<(String, String), Vec<Sent>> = BTreeMap::new();
    for row in client.query(&asked, &[]).await.expect("the rows of the run") {
        sent.entry((row.get(0), row.get(1))).or_default().push(Sent {
            due: Duration::from_micros(row.get::<_, i64>(3).unsigned_abs()),
            batch: row.get(2),
            numbers: row.get(4),
            lines: row.get(5),
        });
    }
    sent
}
