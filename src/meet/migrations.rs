//! The numbered changes that make the tables of a server, each once and in order, and whether a
//! server has those that this program needs.

use tokio_postgres::Client;

use super::problem::MeetProblem;

/// Every change, the first one first. One that was published never changes again.
const MIGRATIONS: [&str; 3] = [
    include_str!("migrations/1.sql"),
    include_str!("migrations/2.sql"),
    include_str!("migrations/3.sql"),
];

/// Programs that know at least so many changes can go on after all of them. Before the third
/// they didn't say that they wait for word, and would hear nothing.
const OLDEST: i32 = 3;

/// A number of our own, so that two who set up one server do it in turn.
const LOCK: i64 = 0x62_65_6e_63_68;

const VERSIONS: &str = "
    create schema if not exists benchway;
    create table if not exists benchway.version (
        n integer primary key,
        oldest integer not null,
        at timestamptz not null default now())";

/// Makes what the server lacks; says how many changes there were.
pub(super) async fn migrate(client: &mut Client) -> Result<usize, MeetProblem> {
    let transaction = client.transaction().await?;
    transaction.execute("select pg_advisory_xact_lock($1)", &[&LOCK]).await?;
    transaction.batch_execute(VERSIONS).await?;
    let (done, oldest) = version(transaction.client()).await?;
    if oldest > known() {
        return Err(MeetProblem::NewerServer);
    }
    let mut made = 0;
    for (n, change) in (1..).zip(MIGRATIONS).skip(done.max(0) as usize) {
        transaction.batch_execute(change).await?;
        transaction
            .execute("insert into benchway.version (n, oldest) values ($1, $2)", &[&n, &OLDEST])
            .await?;
        made += 1;
    }
    transaction.commit().await?;
    Ok(made)
}

/// Whether the server has what this program needs, and isn't made for newer ones alone.
pub(super) async fn checked(client: &Client) -> Result<(), MeetProblem> {
    let exists = client
        .query_one("select to_regclass('benchway.version') is not null", &[])
        .await?
        .get::<_, bool>(0);
    if !exists {
        return Err(MeetProblem::NotSetUp);
    }
    let (done, oldest) = version(client).await?;
    match () {
        () if oldest > known() => Err(MeetProblem::NewerServer),
        () if done < known() => Err(MeetProblem::OlderServer),
        () => Ok(()),
    }
}

/// How many changes the server has, and how many a program must know to go on there.
async fn version(client: &Client) -> Result<(i32, i32), MeetProblem> {
    let row = client
        .query_one(
            "select coalesce(max(n), 0), coalesce(max(oldest), 0) from benchway.version",
            &[],
        )
        .await?;
    Ok((row.get(0), row.get(1)))
}

fn known() -> i32 {
    MIGRATIONS.len() as i32
}
