//! Why terminals can't exchange, in words that say what to do.

use rustls::CertificateError;
use thiserror::Error;
use tokio_postgres::error::SqlState;

use crate::journal::StoreError;

/// Why terminals can't exchange.
#[derive(Debug, Error)]
pub enum MeetProblem {
    /// The address is none of a server.
    #[error("this is no address of a PostgreSQL server, such as postgres://planer@server/wood")]
    Address,
    /// The address names nobody.
    #[error("the address names no login: postgres://LOGIN@SERVER/DATABASE")]
    NoLogin,
    /// A password stands in the address, where others can read it.
    #[error("a password must not stand in the address, where lists of programs show it")]
    PasswordInAddress,
    /// The file of the password can be read by others.
    #[error("others may read {0}, which holds the password; close it with chmod 600")]
    OpenPassword(String),
    /// The file of the password can't be read.
    #[error("the password can't be read from {0}: {1}")]
    NoPassword(String, std::io::Error),
    /// Certificates can't be read.
    #[error("certificates can't be read: {0}")]
    Certificates(String),
    /// The server has none of our tables, or shows none of them.
    #[error(
        "this database isn't set up for benchway, or the login is not in it; the owner runs `benchway meet init` and `benchway meet add`"
    )]
    NotSetUp,
    /// The server's tables lack something.
    #[error(
        "the tables of the server are older than this program; its owner runs `benchway meet init`"
    )]
    OlderServer,
    /// The server's tables are for newer programs.
    #[error("the tables of the server are newer than this program; install the new one")]
    NewerServer,
    /// The login belongs to no shop.
    #[error("the login is no member of a shop; the owner adds it with `benchway meet add`")]
    NoMember,
    /// The login is of another station.
    #[error("the login belongs to the station {0}; start with --station {0}")]
    OtherStation(String),
    /// The server didn't answer in time.
    #[error("the server doesn't answer")]
    Silent,
    /// The server holds another line under a number of this station.
    #[error(
        "the server has other lines of {station} in {batch}: two terminals work as {station}, or this folder is an older copy; work in it as a new station"
    )]
    OtherLine {
        /// The batch.
        batch: String,
        /// The station.
        station: String,
    },
    /// The server holds lines of this station that this folder lacks, while it is open.
    #[error(
        "the server has lines of {station} in {batch} that this folder lacks: leave the batch, then open it again"
    )]
    OlderCopy {
        /// The batch.
        batch: String,
        /// The station.
        station: String,
    },
    /// The login is no lead's.
    #[error("only a lead may do this, and the login is none of a lead")]
    NoLead,
    /// The system gives no thread of work.
    #[error("the system refuses to wait for a server: {0}")]
    NoThread(std::io::Error),
    /// No batch of that name is on the server.
    #[error("the server has no batch of this name in your shop")]
    NoSuchBatch,
    /// Two batches of that name are on the server.
    #[error(
        "the server has several batches of this name; name the station that began it with --begun-by"
    )]
    SeveralBatches,
    /// What was typed for a member can't be used.
    #[error("{0}")]
    Member(&'static str),
    /// The disk refused something.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The server refused something.
    #[error("{}", server_words(.0))]
    Server(#[from] tokio_postgres::Error),
}

impl MeetProblem {
    /// Whether somebody must do something about it, because waiting won't help.
    pub fn is_for_somebody(&self) -> bool {
        matches!(
            self,
            MeetProblem::Address
                | MeetProblem::NoLogin
                | MeetProblem::PasswordInAddress
                | MeetProblem::OpenPassword(_)
                | MeetProblem::NoPassword(..)
                | MeetProblem::Certificates(_)
                | MeetProblem::OtherStation(_)
        )
    }

    /// Whether the connection is still good: the problem is one of a batch.
    pub(super) fn is_of_a_batch(&self) -> bool {
        matches!(self, MeetProblem::OtherLine { .. } | MeetProblem::OlderCopy { .. })
    }
}

/// Why the certificate of the server isn't trusted, where that is it.
fn certificate_words(why: &(dyn std::error::Error + 'static)) -> Option<String> {
    let mut cause = Some(why);
    let refused = loop {
        let held = cause?;
        let inner = held.downcast_ref::<std::io::Error>().and_then(|held| held.get_ref());
        let found = held.downcast_ref().or(inner.and_then(|inner| inner.downcast_ref()));
        if let Some(rustls::Error::InvalidCertificate(refused)) = found {
            break refused;
        }
        cause = held.source();
    };
    Some(match refused {
        CertificateError::UnknownIssuer => "nobody here trusts who signed the certificate of \
            the server; name the authority's own with `benchway meet join --certificates FILE`"
            .to_owned(),
        CertificateError::NotValidForName | CertificateError::NotValidForNameContext { .. } => {
            "the certificate of the server is for another name than the address has".to_owned()
        }
        CertificateError::Expired | CertificateError::ExpiredContext { .. } => {
            "the certificate of the server has run out, or the clock of this terminal is wrong"
                .to_owned()
        }
        why => format!("the certificate of the server isn't trusted: {why}"),
    })
}

/// What the server said, without what only its owner can use.
fn server_words(why: &tokio_postgres::Error) -> String {
    if let Some(words) = certificate_words(why) {
        return words;
    }
    let Some(said) = why.as_db_error() else {
        let cause = std::error::Error::source(why).map_or(why.to_string(), ToString::to_string);
        // The number of an error of the system helps nobody.
        let cause = cause.split(" (os error").next().unwrap_or_default().to_lowercase();
        return format!("the server can't be reached: {cause}");
    };
    match said.code() {
        &SqlState::INVALID_PASSWORD | &SqlState::INVALID_AUTHORIZATION_SPECIFICATION => {
            "the server refuses the login or its password".to_owned()
        }
        &SqlState::INSUFFICIENT_PRIVILEGE => format!("the server refuses this: {}", said.message()),
        &SqlState::DISK_FULL => "the disk of the server is full".to_owned(),
        _ => format!("the server says: {}", said.message()),
    }
}
