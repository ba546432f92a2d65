//! Setting up a server, and who its members are: what its owner does.

use std::collections::BTreeSet;
use std::time::Duration;

use super::conversation::held;
use super::identity::{Identity, MemberRole};
use super::link::{self, BatchAct, ServerBatch, ServerLink};
use super::migrations::migrate;
use super::password::Password;
use super::problem::MeetProblem;
use super::server::Server;

/// Nobody waits longer for an answer.
const WITHIN: Duration = Duration::from_secs(30);

/// A login that is added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewMember {
    /// The login.
    pub login: String,
    /// The shop.
    pub shop: String,
    /// The station; none for a reader.
    pub station: Option<String>,
    /// What it may do.
    pub role: MemberRole,
    /// Its password; the one it has where it has one already.
    pub password: Option<Password>,
}

/// A login of a server.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShopMember {
    /// The login.
    pub login: String,
    /// Who it is.
    pub identity: Identity,
    /// Whether it was revoked.
    pub is_revoked: bool,
}

/// Makes the tables of a server, or brings them up to date; says how many changes there were.
///
/// # Errors
///
/// Where the server refuses it: its owner must be asked.
pub fn set_up(server: &Server) -> Result<usize, MeetProblem> {
    asked(async {
        let mut connected = server.connect().await?;
        migrate(&mut connected.client).await
    })
}

/// Adds a login, or gives one another role or password.
///
/// # Errors
///
/// Where the server refuses it.
pub fn add(server: &Server, new: &NewMember) -> Result<(), MeetProblem> {
    asked(async {
        let mut client = server.connect().await?.client;
        let transaction = client.transaction().await?;
        let exists = transaction
            .query_opt("select from pg_roles where rolname = $1", &[&new.login])
            .await?
            .is_some();
        let login = quoted(&new.login);
        let mut change = format!("{} role {login} login", if exists { "alter" } else { "create" });
        match &new.password {
            // The server logs statements, so it gets the hash and never the password.
            Some(password) => {
                let hash = postgres_protocol::password::scram_sha_256(password.text().as_bytes());
                change += &format!(" password '{}'", hash.replace('\'', "''"));
            }
            None if !exists => return Err(MeetProblem::Member("a new login needs a password")),
            None => {}
        }
        transaction.batch_execute(&change).await?;
        for role in [MemberRole::Station, MemberRole::Lead, MemberRole::Reader] {
            let word = if role == new.role { "grant" } else { "revoke" };
            let to = if role == new.role { "to" } else { "from" };
            let grant = format!("{word} benchway_{} {to} {login}", role.word());
            transaction.batch_execute(&grant).await?;
        }
        transaction
            .execute(
                "insert into benchway.member (login, shop, station, role) values ($1, $2, $3, $4)
                 on conflict (login, shop) do update
                 set station = excluded.station, role = excluded.role, revoked = null",
                &[&new.login, &new.shop, &new.station, &new.role.word()],
            )
            .await?;
        transaction.commit().await?;
        Ok(())
    })
}

/// Takes a login away from a shop: it can't connect any more, and its connections end. What
/// it sent stays.
///
/// # Errors
///
/// Where it is no member, or the server refuses it.
pub fn revoke(server: &Server, login: &str, shop: Option<&str>) -> Result<(), MeetProblem> {
    asked(async {
        let mut client = server.connect().await?.client;
        let transaction = client.transaction().await?;
        let revoked = transaction
            .execute(
                "update benchway.member set revoked = now()
                 where login = $1 and ($2::text is null or shop = $2) and revoked is null",
                &[&login, &shop],
            )
            .await?;
        if revoked == 0 {
            return Err(MeetProblem::Member("there is no such member"));
        }
        let is_left = transaction
            .query_opt(
                "select from benchway.member where login = $1 and revoked is null limit 1",
                &[&login],
            )
            .await?;
        if is_left.is_none() {
            let name = quoted(login);
            let change = format!(
                "revoke benchway_station, benchway_lead, benchway_reader from {name};
                 alter role {name} nologin"
            );
            transaction.batch_execute(&change).await?;
        }
        transaction.commit().await?;
        client
            .execute(
                "select pg_terminate_backend(pid) from pg_stat_activity where usename = $1",
                &[&login],
            )
            .await?;
        Ok(())
    })
}

/// Every login of a server, by shop and station.
///
/// # Errors
///
/// Where the server refuses it.
pub fn members(server: &Server) -> Result<Vec<ShopMember>, MeetProblem> {
    asked(async {
        let client = server.connect().await?.client;
        let rows = client
            .query(
                "select login::text, shop, station, role, revoked is not null
                 from benchway.member order by shop, station nulls last, login",
                &[],
            )
            .await?;
        let member = |row: &tokio_postgres::Row| ShopMember {
            login: row.get(0),
            identity: Identity {
                shop: row.get(1),
                station: row.get(2),
                role: MemberRole::of_word(row.get(3)),
            },
            is_revoked: row.get(4),
        };
        Ok(rows.iter().map(member).collect())
    })
}

/// The batches on the server of a login's shops.
///
/// # Errors
///
/// Where the server can't be asked.
pub fn batches(server: &Server) -> Result<Vec<(String, ServerBatch)>, MeetProblem> {
    asked(async {
        let link = ServerLink::open(server).await?;
        let mut found = Vec::new();
        for identity in &link.identities {
            let batches = link.batches(&identity.shop).await?;
            found.extend(batches.into_iter().map(|batch| (identity.shop.clone(), batch)));
        }
        Ok(found)
    })
}

/// Has a lead take in, archive or bring back a batch. Where several have the name, `begun_by`
/// says which.
///
/// # Errors
///
/// Where there is no such batch, or the login is no lead's.
pub fn act(
    server: &Server,
    name: &str,
    begun_by: Option<&str>,
    act: BatchAct,
) -> Result<(), MeetProblem> {
    asked(async {
        let link = ServerLink::open(server).await?;
        let lead = link.identities.iter().find(|identity| identity.role == MemberRole::Lead);
        let lead = lead.ok_or(MeetProblem::NoLead)?;
        let batches = link.batches(&lead.shop).await?;
        let of_name = batches.iter().filter(|batch| batch.name == name);
        let mut found = of_name.filter(|batch| begun_by.is_none_or(|by| by == batch.begun_by));
        let batch = found.next().ok_or(MeetProblem::NoSuchBatch)?;
        if found.next().is_some() {
            return Err(MeetProblem::SeveralBatches);
        }
        link.act(lead, batch.id, act).await
    })
}

/// The station of a login; none for a reader.
///
/// # Errors
///
/// Where the server can't be asked.
pub fn own_station(server: &Server) -> Result<Option<String>, MeetProblem> {
    asked(async {
        let link = ServerLink::open(server).await?;
        Ok(link.identities.first().and_then(|identity| identity.station.clone()))
    })
}

/// The other stations of the shop that the server has no connection with.
///
/// # Errors
///
/// Where the server can't be reached.
pub fn unconnected(server: &Server) -> Result<BTreeSet<String>, MeetProblem> {
    asked(async {
        let link = ServerLink::open(server).await?;
        link::unconnected(&link.client, &link.identities).await
    })
}

/// Runs one conversation with a server to its end.
fn asked<T>(conversation: impl Future<Output = Result<T, MeetProblem>>) -> Result<T, MeetProblem> {
    held(WITHIN, conversation)
}

/// A name as SQL takes it where it takes no parameter.
fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}
