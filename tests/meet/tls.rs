//! The connection through a network: with TLS, to a server whose certificate is by an
//! authority that the terminal trusts and for the name in the address, and to no other.

use std::path::Path;
use std::process::Command;

use benchway::meet::MemberRole;

use super::convergence::until;
use super::database::Database;
use super::station::Station;

/// A station of a folder of its own, with an address for it.
struct Terminal<'a> {
    database: &'a Database,
    login: String,
    place: &'a Path,
}

impl Terminal<'_> {
    /// The station at an address of this machine, with what the address says more.
    fn at(&self, name: &str, host: &str, options: &str) -> Station {
        let (port, database) = (self.database.port(), self.database.name());
        let address = format!("postgres://{}@{host}:{port}/{database}{options}", self.login);
        Station::new(self.place, name, address, 0)
    }

    /// The address of `at`.
    fn address(&self, host: &str, options: &str) -> String {
        let (port, database) = (self.database.port(), self.database.name());
        format!("postgres://{}@{host}:{port}/{database}{options}", self.login)
    }
}

/// An authority that signed nothing.
fn other_authority(place: &Path) -> String {
    let file = place.join("other.pem").display().to_string();
    let key = place.join("other.key").display().to_string();
    let made = Command::new("openssl")
        .args(["req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1"])
        .args(["-nodes", "-days", "2", "-subj", "/CN=another authority"])
        .args(["-keyout", &key, "-out", &file])
        .output()
        .expect("openssl makes certificates");
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    file
}

#[test]
#[ignore = "needs PostgreSQL"]
fn a_terminal_joins_with_the_certificate_of_its_school() {
    let database = Database::make();
    let place = tempfile::tempdir().expect("a folder for the test");
    let login = database.add("saw", "north", Some("saw"), MemberRole::Lead);
    let terminal = Terminal { database: &database, login, place: place.path() };
    let authority = database.authority().display().to_string();
    let mut saw = terminal.at("saw", "localhost", "?sslmode=require");
    let joins = ["meet", "join", &terminal.address("localhost", "?sslmode=require")];
    let (code, out, complaint) = saw.run(&[&joins[..], &["--certificates", &authority]].concat());
    assert_eq!(code, 0, "{out}{complaint}");
    saw.start(&["walk", "--plain", "--station", "saw", "reading-stool", "--name", "trays"]);
    let encrypted = format!(
        "select s.ssl from pg_stat_ssl s join pg_stat_activity a using (pid)
         where a.usename = '{}'",
        terminal.login
    );
    until("the traveler is connected with TLS", || database.ask(&encrypted) == ["t"]);
    until("the batch is on the server", || {
        database.ask("select count(*) from benchway.batch") == ["1"]
    });
    saw.leave();

    // The address alone says as much as the file beside the batches.
    let named = format!("?sslmode=verify-full&sslrootcert={authority}");
    let (code, out, complaint) = terminal.at("one start", "localhost", &named).run(&["batches"]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    assert!(out.starts_with("trays  "), "{out}");
}

#[test]
#[ignore = "needs PostgreSQL"]
fn a_server_that_is_not_trusted_is_refused() {
    let database = Database::make();
    let place = tempfile::tempdir().expect("a folder for the test");
    let login = database.add("saw", "north", Some("saw"), MemberRole::Lead);
    let terminal = Terminal { database: &database, login, place: place.path() };
    let (authority, other) =
        (database.authority().display().to_string(), other_authority(place.path()));
    let untrusted = "nobody here trusts who signed the certificate";
    let other_name = "is for another name than the address has";
    for (name, host, trusts, why) in [
        ("nobody", "localhost", "", untrusted),
        ("another", "localhost", &*format!("&sslrootcert={other}"), untrusted),
        ("by number", "127.0.0.1", &*format!("&sslrootcert={authority}"), other_name),
    ] {
        // Less than `verify-full` verifies no less.
        for mode in ["require", "verify-ca", "verify-full"] {
            let options = format!("?sslmode={mode}{trusts}");
            let station = terminal.at(name, host, &options);
            let (code, _, complaint) = station.run(&["meet", "batches"]);
            assert_eq!(code, 2, "{name} {mode}: {complaint}");
            assert!(complaint.contains(why), "{name} {mode}: {complaint}");
            // A command that can do without goes on, and says so.
            let (code, _, complaint) = station.run(&["batches"]);
            assert_eq!(code, 0, "{name} {mode}: {complaint}");
            assert!(complaint.contains("this is what is here"), "{name} {mode}: {complaint}");
            // And nothing is kept that doesn't work.
            let joins = ["meet", "join", &terminal.address(host, &options)];
            assert_eq!(station.run(&joins).0, 2, "{name} {mode}");
            assert!(!station.home.join("meet.json").exists());
        }
    }
    // A file that holds no certificate.
    let no_file = place.path().join("none.pem").display().to_string();
    let options = format!("?sslmode=require&sslrootcert={no_file}");
    let (code, _, complaint) = terminal.at("no file", "localhost", &options).run(&["batches"]);
    assert_eq!(code, 2);
    assert!(complaint.contains("certificates can't be read"), "{complaint}");
}
