//! Who a login is on the server: the station, or the reader, of which shop.

use tokio_postgres::Client;

use super::problem::MeetProblem;

/// What a login may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MemberRole {
    /// Adds lines of its own station and reads its shop.
    Station,
    /// The same, and begins, seals, archives and takes in batches.
    Lead,
    /// Reads its shops.
    Reader,
}

impl MemberRole {
    /// As the table of members spells it.
    pub fn word(self) -> &'static str {
        match self {
            MemberRole::Station => "station",
            MemberRole::Lead => "lead",
            MemberRole::Reader => "reader",
        }
    }

    pub(super) fn of_word(word: &str) -> MemberRole {
        match word {
            "lead" => MemberRole::Lead,
            "reader" => MemberRole::Reader,
            _ => MemberRole::Station,
        }
    }
}

/// Who a login is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity {
    /// The shop; for a reader one of them.
    pub shop: String,
    /// Its station; none for a reader.
    pub station: Option<String>,
    /// What it may do.
    pub role: MemberRole,
}

/// Who the login of a connection is: once for each of its shops.
pub(super) async fn identities(client: &Client) -> Result<Vec<Identity>, MeetProblem> {
    let rows = client
        .query(
            "select shop, station, role from benchway.member
             where login = session_user and revoked is null order by shop",
            &[],
        )
        .await?;
    let identity = |row: &tokio_postgres::Row| Identity {
        shop: row.get(0),
        station: row.get(1),
        role: MemberRole::of_word(row.get(2)),
    };
    let found: Vec<Identity> = rows.iter().map(identity).collect();
    if found.is_empty() { Err(MeetProblem::NoMember) } else { Ok(found) }
}
