//! A connection that sends whatever a test wants, as a login with any other program may.

use tokio::runtime::{Builder, Runtime};
use tokio_postgres::{Client, Config, Error, NoTls, SimpleQueryMessage};

use super::database::{Database, PASSWORD};

/// An open connection of a login.
pub struct Raw {
    runtime: Runtime,
    client: Client,
}

impl Raw {
    /// Connects; the code of the server where it refuses.
    pub fn connect(database: &Database, login: &str) -> Result<Raw, String> {
        Raw::connect_to(database, database.name(), login)
    }

    /// The same with another database of the server.
    pub fn connect_to(database: &Database, name: &str, login: &str) -> Result<Raw, String> {
        let runtime = Builder::new_current_thread().enable_all().build().expect("a runtime");
        let mut config = Config::new();
        config.host("127.0.0.1").port(database.port()).dbname(name).user(login).password(PASSWORD);
        let opened = runtime.block_on(config.connect(NoTls));
        let (client, connection) = opened.map_err(|why| code(&why))?;
        runtime.spawn(connection);
        Ok(Raw { runtime, client })
    }

    /// Has the server do something: the first column of what it answers, or the code of its
    /// refusal.
    pub fn tried(&self, sql: &str) -> Result<Vec<String>, String> {
        let answered = self.runtime.block_on(self.client.simple_query(sql));
        let answered = answered.map_err(|why| code(&why))?;
        let value = |message: &SimpleQueryMessage| match message {
            SimpleQueryMessage::Row(row) => Some(row.get(0).unwrap_or_default().to_owned()),
            _ => None,
        };
        Ok(answered.iter().filter_map(value).collect())
    }

    /// The same where it must not be refused.
    pub fn done(&self, sql: &str) -> Vec<String> {
        self.tried(sql).unwrap_or_else(|code| panic!("{code}: {sql}"))
    }

    /// The rows of a query as JSON.
    pub fn rows(&self, sql: &str) -> Vec<serde_json::Value> {
        let rows = self.done(&format!("select row_to_json(t) from ({sql}) t"));
        rows.iter().map(|row| serde_json::from_str(row).expect("JSON")).collect()
    }
}

/// The code of a refusal, as the manual of PostgreSQL lists them.
fn code(why: &Error) -> String {
    why.code().map_or_else(|| format!("gone: {why}"), |code| code.code().to_owned())
}

/// Text as SQL takes it.
pub fn quoted(text: &str) -> String {
    format!("'{}'", text.replace('\'', "''"))
}
