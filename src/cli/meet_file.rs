//! Where the server of a folder of batches is: named on the command line, or in the file
//! `meet.json` beside the batches, with the password in the environment or in a file of its
//! own.

use std::fs;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::Failure;
use crate::journal::Home;
use crate::meet::{Password, Server};
use crate::prose::Message;

/// The file beside the batches.
const FILE: &str = "meet.json";

/// The file of the password, beside the batches too.
const PASSWORD_FILE: &str = "meet-password";

/// The password of the login, for whoever keeps it in no file.
const PASSWORD: &str = "BENCHWAY_MEET_PASSWORD";

/// What the file says.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MeetFile {
    /// The address of the server.
    pub(super) server: String,
    /// The station of this terminal; none for a reader.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) station: Option<String>,
    /// Certificates to trust beside those the system trusts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) certificates: Option<PathBuf>,
    /// The file of the password, where it is kept elsewhere than beside the batches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) password_file: Option<PathBuf>,
}

impl MeetFile {
    /// Reads the file; none where there is none.
    pub(super) fn read(home: &Home) -> Result<Option<MeetFile>, Failure> {
        let path = home.path().join(FILE);
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(why) if matches!(why.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => {
                return Ok(None);
            }
            Err(why) => return Err(Failure::Unreadable { path, why }),
        };
        let file = serde_json::from_str(&text).map_err(|why| {
            let what = format!("{} can't be used: {why}", path.display());
            Failure::Exchange(Message::error(what).help("write it anew with `benchway meet join`"))
        })?;
        Ok(Some(file))
    }

    /// Writes the file, and the password so that nobody else may read it.
    pub(super) fn write(&self, home: &Home, password: Option<&str>) -> Result<(), Failure> {
        let refused = |path: PathBuf| {
            move |why: std::io::Error| {
                let what = format!("{} can't be written: {why}", path.display());
                Failure::Exchange(Message::error(what))
            }
        };
        fs::create_dir_all(home.path()).map_err(refused(home.path().to_owned()))?;
        if let Some(password) = password {
            replace(home.path(), PASSWORD_FILE, &format!("{password}\n"))
                .map_err(refused(home.path().join(PASSWORD_FILE)))?;
        }
        let text = serde_json::to_string_pretty(self).expect("texts are plain data");
        replace(home.path(), FILE, &format!("{text}\n")).map_err(refused(home.path().join(FILE)))
    }
}

/// A whole file or none, which its owner alone may read.
fn replace(folder: &Path, name: &str, text: &str) -> std::io::Result<()> {
    let mut beside = tempfile::NamedTempFile::new_in(folder)?;
    beside.write_all(text.as_bytes())?;
    beside.as_file().sync_all()?;
    beside.persist(folder.join(name))?;
    Ok(())
}

/// The server of this terminal, where there is one, and its station, where that is known:
/// the server that was named, or the one kept beside the batches.
pub(super) fn of_terminal(
    home: &Home,
    address: Option<&str>,
) -> Result<Option<(Server, Option<String>)>, Failure> {
    let file = MeetFile::read(home)?;
    let kept = file.as_ref().map(|file| file.server.as_str());
    let Some(named) = address.or(kept) else { return Ok(None) };
    let certificates = file.as_ref().and_then(|file| file.certificates.as_deref());
    let elsewhere = file.as_ref().and_then(|file| file.password_file.as_deref());
    let beside = home.path().join(PASSWORD_FILE);
    let beside = beside.exists().then_some(beside.as_path());
    let server = with_password(Server::at(named, certificates)?, elsewhere.or(beside))?;
    let is_kept = kept == Some(named);
    Ok(Some((server, file.filter(|_| is_kept).and_then(|file| file.station))))
}

/// The server with the password of its login: from the environment or, without one, from
/// the file it is kept in.
fn with_password(server: Server, kept: Option<&Path>) -> Result<Server, Failure> {
    Ok(match (std::env::var(PASSWORD), kept) {
        (Ok(text), _) => server.with_password(&Password::typed(&text)),
        (Err(_), Some(path)) => server.with_password(&Password::of_file(path)?),
        (Err(_), None) => server,
    })
}

/// The server of an address, with its password: from a file that was named, or from the
/// environment.
pub(super) fn server(
    address: &str,
    certificates: Option<&Path>,
    password_file: Option<&Path>,
) -> Result<Server, Failure> {
    let server = Server::at(address, certificates)?;
    match password_file {
        Some(path) => Ok(server.with_password(&Password::of_file(path)?)),
        None => with_password(server, None),
    }
}
