//! One open connection to the server: what it is asked and told. It keeps nothing but the
//! connection.

use std::collections::{BTreeMap, BTreeSet};

use tokio::sync::mpsc::UnboundedReceiver;
use tokio_postgres::types::ToSql;
use tokio_postgres::{Client, Statement};

use super::identity::{Identity, identities};
use super::migrations::checked;
use super::problem::MeetProblem;
use super::server::{Connected, Server, ServerNews};
use crate::journal::{BatchId, MirroredLine};

/// Lines that are fetched at once.
pub(super) const MOST_FETCHED: usize = 5000;

/// Lines of one station that are fetched at once.
const MOST_OF_A_STATION: i64 = 2000;

const SEND: &str = "
    insert into benchway.line (shop, batch, station, n, line)
    select $1, $2, $3, sent.n, sent.line from unnest($4::bigint[], $5::text[]) as sent (n, line)";

const FETCH: &str = "
    select held.batch, held.station, found.n, found.line
    from unnest($2::uuid[], $3::text[], $4::bigint[]) as held (batch, station, n)
    cross join lateral (
        select l.n, l.line from benchway.line l
        where l.shop = $1 and l.batch = held.batch and l.station = held.station and l.n > held.n
        order by l.n limit $5) found
    limit $6";

/// What goes before [`FETCH`] to send with the question: that costs the server one journey and
/// one transaction in place of two.
const SENT_WITH_IT: &str = "
    with added as (
        insert into benchway.line (shop, batch, station, n, line)
        select $1, $7, $8, sent.n, sent.line
        from unnest($9::bigint[], $10::text[]) as sent (n, line))";

const UNCONNECTED: &str = "
    select station from benchway.member
    where shop = $1 and station is not null and revoked is null
    except select station from benchway.connected() where shop = $1";

const LAST: &str = "
    select b.batch, found.n, found.line
    from unnest($3::uuid[]) as b (batch)
    cross join lateral (
        select l.n, l.line from benchway.line l
        where l.shop = $1 and l.batch = b.batch and l.station = $2
        order by l.n desc limit 1) found";

/// What a lead does with a whole batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BatchAct {
    /// Takes in a batch that a station began without the server.
    TakenIn,
    /// Archives it at every terminal.
    Archived,
    /// Brings it back.
    BroughtBack,
}

impl BatchAct {
    fn word(self) -> &'static str {
        match self {
            BatchAct::TakenIn => "taken in",
            BatchAct::Archived => "archived",
            BatchAct::BroughtBack => "brought back",
        }
    }
}

/// A batch as the server lists it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ServerBatch {
    /// Its identity.
    pub id: BatchId,
    /// What it was called when it began.
    pub name: String,
    /// The station that began it.
    pub begun_by: String,
    /// Whether it waits for a lead to take it in.
    pub waits: bool,
    /// Whether a lead archived it.
    pub is_archived: bool,
}

/// Lines of the own station that are sent: of one batch, in their order.
#[derive(Clone, Copy, Debug)]
pub(super) struct SentLines<'a> {
    pub(super) batch: BatchId,
    pub(super) station: &'a str,
    pub(super) lines: &'a [MirroredLine],
}

impl SentLines<'_> {
    fn numbers(&self) -> Vec<i64> {
        self.lines.iter().map(|line| line.n as i64).collect()
    }

    fn texts(&self) -> Vec<&str> {
        self.lines.iter().map(|line| line.text.as_str()).collect()
    }
}

/// Lines of one batch and station.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct FetchedLine {
    pub(super) batch: BatchId,
    pub(super) station: String,
    pub(super) line: MirroredLine,
}

/// The stations of a shop that have no connection now, but for the own one. A login of several
/// shops has no people of its own to look for.
pub(super) async fn unconnected(
    client: &Client,
    identities: &[Identity],
) -> Result<BTreeSet<String>, MeetProblem> {
    let [own] = identities else { return Ok(BTreeSet::new()) };
    let rows = client.query(UNCONNECTED, &[&own.shop]).await?;
    let stations = rows.iter().map(|row| row.get::<_, String>(0));
    Ok(stations.filter(|station| own.station.as_ref() != Some(station)).collect())
}

/// An open connection of a member.
pub(super) struct ServerLink {
    pub(super) client: Client,
    pub(super) news: UnboundedReceiver<ServerNews>,
    /// Who the login is, once for each of its shops.
    pub(super) identities: Vec<Identity>,
    fetch: Statement,
    exchange: Statement,
}

impl ServerLink {
    /// Opens a connection and hears from now on what is added.
    pub(super) async fn open(server: &Server) -> Result<ServerLink, MeetProblem> {
        let Connected { client, news } = server.connect().await?;
        checked(&client).await?;
        let identities = identities(&client).await?;
        // What a crash takes from the server is sent again after the next connection. A
        // terminal that lost its power is soon no connection any more. Statements are planned
        // once, whatever is asked with them.
        client
            .batch_execute(
                "set synchronous_commit = off; set plan_cache_mode = force_generic_plan;
                 set jit = off; set tcp_keepalives_idle = 30;
                 set tcp_keepalives_interval = 5; set tcp_keepalives_count = 3",
            )
            .await?;
        for identity in &identities {
            let channels =
                client.query_one("select md5($1)", &[&identity.shop]).await?.get::<_, String>(0);
            let listen = format!("listen benchway_{channels}; listen benchway_batches_{channels}");
            client.batch_execute(&listen).await?;
        }
        let fetch = client.prepare(FETCH).await?;
        let exchange = client.prepare(&format!("{SENT_WITH_IT}{FETCH}")).await?;
        Ok(ServerLink { client, news, identities, fetch, exchange })
    }

    /// Has the server send word of new lines from now on. False where it can't promise that at
    /// this moment, because somebody adds lines right now.
    pub(super) async fn wait_for_word(&self) -> Result<bool, MeetProblem> {
        for identity in &self.identities {
            let asked = "select benchway.wait_for_word($1)";
            if !self.client.query_one(asked, &[&identity.shop]).await?.get::<_, bool>(0) {
                self.wait_no_more().await?;
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// Has the server send no word that nobody else waits for.
    pub(super) async fn wait_no_more(&self) -> Result<(), MeetProblem> {
        Ok(self.client.batch_execute("select pg_advisory_unlock_all()").await?)
    }

    /// The batches of a shop.
    pub(super) async fn batches(&self, shop: &str) -> Result<Vec<ServerBatch>, MeetProblem> {
        let rows = self
            .client
            .query(
                "select id, name, begun_by, waits, is_archived from benchway.batches
                 where shop = $1 order by name, begun_by",
                &[&shop],
            )
            .await?;
        let batch = |row: &tokio_postgres::Row| ServerBatch {
            id: row.get::<_, uuid::Uuid>(0).into(),
            name: row.get(1),
            begun_by: row.get(2),
            waits: row.get(3),
            is_archived: row.get(4),
        };
        Ok(rows.iter().map(batch).collect())
    }

    /// Every station that ever was in a shop.
    pub(super) async fn stations(&self, shop: &str) -> Result<Vec<String>, MeetProblem> {
        let rows = self
            .client
            .query(
                "select distinct station from benchway.member
                 where shop = $1 and station is not null order by station",
                &[&shop],
            )
            .await?;
        Ok(rows.iter().map(|row| row.get(0)).collect())
    }

    /// Tells the server of a batch. Nothing happens where it has it.
    pub(super) async fn announce(
        &self,
        shop: &str,
        batch: &ServerBatch,
        (route, shop_file): (&str, &str),
    ) -> Result<(), MeetProblem> {
        self.client
            .execute(
                "insert into benchway.batch (shop, id, name, begun_by, route, shop_file, waits)
                 values ($1, $2, $3, $4, $5, $6, $7) on conflict do nothing",
                &[
                    &shop,
                    &batch.id.uuid(),
                    &batch.name,
                    &batch.begun_by,
                    &route,
                    &shop_file,
                    &batch.waits,
                ],
            )
            .await?;
        Ok(())
    }

    /// The route and the shop file of a batch.
    pub(super) async fn files(
        &self,
        shop: &str,
        id: BatchId,
    ) -> Result<(String, String), MeetProblem> {
        let row = self
            .client
            .query_one(
                "select route, shop_file from benchway.batch where shop = $1 and id = $2",
                &[&shop, &id.uuid()],
            )
            .await?;
        Ok((row.get(0), row.get(1)))
    }

    /// The last line of a station that the server has of each batch.
    pub(super) async fn last_lines(
        &self,
        shop: &str,
        station: &str,
        batches: &[BatchId],
    ) -> Result<BTreeMap<BatchId, MirroredLine>, MeetProblem> {
        let ids: Vec<uuid::Uuid> = batches.iter().map(|id| id.uuid()).collect();
        let rows = self.client.query(LAST, &[&shop, &station, &ids]).await?;
        let line = |row: &tokio_postgres::Row| {
            let n = row.get::<_, i64>(1).unsigned_abs();
            (row.get::<_, uuid::Uuid>(0).into(), MirroredLine { n, text: row.get(2) })
        };
        Ok(rows.iter().map(line).collect())
    }

    /// Sends lines of a station: all of them arrive, or none.
    pub(super) async fn send(&self, shop: &str, sent: SentLines<'_>) -> Result<(), MeetProblem> {
        let (numbers, texts) = (sent.numbers(), sent.texts());
        self.client
            .execute(SEND, &[&shop, &sent.batch.uuid(), &sent.station, &numbers, &texts])
            .await?;
        Ok(())
    }

    /// The lines behind those that are known: batch, station and the number of the last line.
    /// Lines of the own station are sent with the question: all of them arrive, or none.
    pub(super) async fn fetch(
        &self,
        shop: &str,
        known: &[(BatchId, &str, u64)],
        sent: Option<SentLines<'_>>,
    ) -> Result<Vec<FetchedLine>, MeetProblem> {
        let ids: Vec<uuid::Uuid> = known.iter().map(|(id, ..)| id.uuid()).collect();
        let stations: Vec<&str> = known.iter().map(|(_, station, _)| *station).collect();
        let numbers: Vec<i64> = known.iter().map(|(.., n)| *n as i64).collect();
        let most = MOST_FETCHED as i64;
        let asked: [&(dyn ToSql + Sync); 6] =
            [&shop, &ids, &stations, &numbers, &MOST_OF_A_STATION, &most];
        let rows = match sent {
            None => self.client.query(&self.fetch, &asked).await?,
            Some(sent) => {
                let (id, numbers, texts) = (sent.batch.uuid(), sent.numbers(), sent.texts());
                let told: [&(dyn ToSql + Sync); 4] = [&id, &sent.station, &numbers, &texts];
                self.client.query(&self.exchange, &[&asked[..], &told].concat()).await?
            }
        };
        let line = |row: &tokio_postgres::Row| FetchedLine {
            batch: row.get::<_, uuid::Uuid>(0).into(),
            station: row.get(1),
            line: MirroredLine { n: row.get::<_, i64>(2).unsigned_abs(), text: row.get(3) },
        };
        Ok(rows.iter().map(line).collect())
    }

    /// Notes what a lead did with a batch.
    pub(super) async fn act(
        &self,
        identity: &Identity,
        batch: BatchId,
        act: BatchAct,
    ) -> Result<(), MeetProblem> {
        self.client
            .execute(
                "insert into benchway.batch_act (shop, batch, act, station)
                 values ($1, $2, $3, $4)",
                &[&identity.shop, &batch.uuid(), &act.word(), &identity.station],
            )
            .await?;
        Ok(())
    }
}
