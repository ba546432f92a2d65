//! What something costs the server: processor time of all its processes, bytes and
//! transactions.

use std::fs;
use std::time::Duration;

use super::database::Database;

/// Linux counts the time of processes in hundredths of a second, whatever its own clock does.
const TICK: Duration = Duration::from_millis(10);

/// Shared counters of the server are brought up to date within so long.
const COUNTED: Duration = Duration::from_millis(1500);

/// What was spent between two moments.
pub struct ServerCost {
    pub server_cpu: Duration,
    /// Of this program: all terminals, and the bench itself.
    pub own_cpu: Duration,
    pub table_bytes: u64,
    pub wal_bytes: u64,
    pub transactions: u64,
}

/// What the counters said at the beginning.
pub struct Meter {
    table: String,
    at: Counters,
}

struct Counters {
    server_cpu: Duration,
    own_cpu: Duration,
    table_bytes: u64,
    wal_bytes: u64,
    transactions: u64,
}

impl Meter {
    /// Begins to measure; of the tables only this one.
    pub fn begin(database: &Database, table: &str) -> Meter {
        Meter { table: table.to_owned(), at: Counters::now(database, table) }
    }

    /// What was spent since.
    pub fn end(self, database: &Database) -> ServerCost {
        let own_cpu = own_cpu();
        let server_cpu = server_cpu(database);
        std::thread::sleep(COUNTED);
        let now = Counters::now(database, &self.table);
        let from = self.at;
        ServerCost {
            server_cpu: server_cpu - from.server_cpu,
            own_cpu: own_cpu - from.own_cpu,
            table_bytes: now.table_bytes - from.table_bytes,
            wal_bytes: now.wal_bytes - from.wal_bytes,
            transactions: now.transactions - from.transactions,
        }
    }
}

impl Counters {
    fn now(database: &Database, table: &str) -> Counters {
        let asked = format!(
            "select pg_total_relation_size('{table}'), pg_current_wal_insert_lsn() - '0/0',
                (select xact_commit from pg_stat_database where datname = current_database())"
        );
        let answered = database.ask(&asked).remove(0);
        let mut numbers = answered.split('|').map(|text| text.parse().expect("a number"));
        let mut next = || numbers.next().expect("three numbers");
        Counters {
            table_bytes: next(),
            wal_bytes: next(),
            transactions: next(),
            server_cpu: server_cpu(database),
            own_cpu: own_cpu(),
        }
    }
}

/// The processor time of the server so far: of its first process, of the processes that it
/// started, and of those that have ended.
fn server_cpu(database: &Database) -> Duration {
    let file = database.socket().join("../data/postmaster.pid");
    let text = fs::read_to_string(file).expect("the server runs");
    let first = text.lines().next().expect("its process");
    let stat = |process: &str| fs::read_to_string(format!("/proc/{process}/stat")).ok();
    let mut ticks: u64 = stat(first).map_or(0, |stat| numbers(&stat)[10..14].iter().sum());
    let processes = fs::read_dir("/proc").expect("Linux").flatten();
    for name in processes.filter_map(|process| process.file_name().into_string().ok()) {
        let Some(stat) = stat(&name).filter(|_| name.bytes().all(|sign| sign.is_ascii_digit()))
        else {
            continue;
        };
        let numbers = numbers(&stat);
        if numbers[0].to_string() == first {
            ticks += numbers[10] + numbers[11];
        }
    }
    TICK * ticks as u32
}

fn own_cpu() -> Duration {
    let stat = fs::read_to_string("/proc/self/stat").expect("Linux");
    TICK * numbers(&stat)[10..12].iter().sum::<u64>() as u32
}

/// The numbers of a process from that of its parent on; behind it by ten and eleven its own
/// ticks, by twelve and thirteen those of its children that have ended.
fn numbers(stat: &str) -> Vec<u64> {
    let behind_name = stat.rsplit_once(')').expect("its name is in brackets").1;
    let numbers = behind_name.split_whitespace().skip(1);
    numbers.map(|text| text.parse().unwrap_or(0)).collect()
}
