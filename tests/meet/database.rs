//! A database of its own for each test, on the server whose folder `BENCHWAY_POSTGRES` names.

use std::path::PathBuf;
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};

use benchway::meet::{self, MemberRole, NewMember, Password, Server};

/// The password of every login of a test.
pub const PASSWORD: &str = "chalk and tape";

/// A database that was set up, with the members of its tests.
pub struct Database {
    folder: PathBuf,
    name: String,
}

impl Database {
    /// Makes a database and its tables.
    pub fn make() -> Database {
        let database = Database::bare();
        meet::set_up(&database.owner()).expect("the tables are made");
        database
    }

    /// Makes a database without tables.
    pub fn bare() -> Database {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        let folder = std::env::var_os("BENCHWAY_POSTGRES").expect("the folder of a server");
        let name = format!("t{}_{}", std::process::id(), COUNT.fetch_add(1, Ordering::SeqCst));
        let database = Database { folder: folder.into(), name };
        database.sql("postgres", &format!("create database {}", database.name));
        database
    }

    /// The port at which the server listens.
    pub fn port(&self) -> u16 {
        let text = std::fs::read_to_string(self.folder.join("port")).expect("the port is kept");
        text.trim().parse().expect("a number")
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The server as its owner reaches it.
    pub fn owner(&self) -> Server {
        let socket = self.folder.join("socket");
        let (port, name) = (self.port(), &self.name);
        let address = format!("host='{}' port={port} user=owner dbname={name}", socket.display());
        Server::at(&address, None).expect("an address")
    }

    /// A login of this database alone: logins belong to the whole server.
    pub fn login(&self, who: &str) -> String {
        format!("{}_{who}", self.name)
    }

    /// Adds a member, and answers its login.
    pub fn add(&self, who: &str, shop: &str, station: Option<&str>, role: MemberRole) -> String {
        let login = self.login(who);
        let new = NewMember {
            login: login.clone(),
            shop: shop.to_owned(),
            station: station.map(str::to_owned),
            role,
            password: Some(Password::typed(PASSWORD)),
        };
        meet::add(&self.owner(), &new).expect("added");
        login
    }

    /// The address for a login, through a port of this machine.
    pub fn address(&self, login: &str, port: u16) -> String {
        format!("postgres://{login}@127.0.0.1:{port}/{}", self.name)
    }

    /// Ends the server as a power cut does, and starts it again.
    pub fn power_cut(&self) {
        self.stop();
        self.start();
    }

    /// Ends the server as a power cut does.
    pub fn stop(&self) {
        self.server("kill");
    }

    /// Starts the server again.
    pub fn start(&self) {
        self.server("start");
    }

    /// The certificate of the authority that signed the server's, which is for localhost.
    pub fn authority(&self) -> PathBuf {
        self.folder.join("authority.pem")
    }

    fn server(&self, verb: &str) {
        let script = concat!(env!("CARGO_MANIFEST_DIR"), "/.ci/postgres");
        let ended = Command::new(script).arg(verb).arg(&self.folder).status().expect("it runs");
        assert!(ended.success(), "{verb}: {ended}");
    }

    /// The folder of its socket.
    pub fn socket(&self) -> PathBuf {
        self.folder.join("socket")
    }

    /// What the owner's SQL answers, as lines.
    pub fn ask(&self, sql: &str) -> Vec<String> {
        self.sql(&self.name, sql)
    }

    fn sql(&self, database: &str, sql: &str) -> Vec<String> {
        let port = self.port().to_string();
        let answered = Command::new("psql")
            .args(["-X", "-A", "-t", "-q", "-v", "ON_ERROR_STOP=1", "-U", "owner", "-p", &port])
            .args(["-d", database, "-c", sql])
            .arg("-h")
            .arg(self.folder.join("socket"))
            .output()
            .expect("psql comes with the server");
        let why = String::from_utf8_lossy(&answered.stderr);
        assert!(answered.status.success(), "{sql}: {why}");
        String::from_utf8_lossy(&answered.stdout).lines().map(str::to_owned).collect()
    }
}
