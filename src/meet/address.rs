//! The address of a server as people copy it. What it says of certificates is understood here:
//! the client beneath knows nothing of it.

use std::path::PathBuf;
use std::str::FromStr;

use percent_encoding::percent_decode_str;
use tokio_postgres::Config;

use super::problem::MeetProblem;

/// An address, and whom it says to trust.
pub(super) struct ServerAddress {
    pub(super) config: Config,
    /// The file that `sslrootcert` names.
    pub(super) certificates: Option<PathBuf>,
}

impl ServerAddress {
    /// Reads an address such as `postgres://planer@server/wood?sslmode=verify-full`. A
    /// certificate is always verified, and so is its name, so that `require` and `verify-ca`
    /// mean no less.
    pub(super) fn read(address: &str) -> Result<ServerAddress, MeetProblem> {
        let mut certificates = None;
        let address = match address.split_once('?').filter(|_| address.contains("://")) {
            None => address.to_owned(),
            Some((place, options)) => {
                let mut kept = Vec::new();
                for option in options.split('&') {
                    match option.split_once('=') {
                        Some(("sslrootcert", "system")) => {}
                        Some(("sslrootcert", path)) => {
                            let path = percent_decode_str(path).decode_utf8();
                            let path = path.map_err(|_| MeetProblem::Address)?;
                            certificates = Some(PathBuf::from(path.as_ref()));
                        }
                        Some(("sslmode", "verify-ca" | "verify-full")) => {
                            kept.push("sslmode=require");
                        }
                        _ => kept.push(option),
                    }
                }
                let options = kept.join("&");
                if options.is_empty() { place.to_owned() } else { format!("{place}?{options}") }
            }
        };
        let config = Config::from_str(&address).map_err(|_| MeetProblem::Address)?;
        Ok(ServerAddress { config, certificates })
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use tokio_postgres::config::SslMode;

    use super::*;

    fn read(options: &str) -> ServerAddress {
        let address = format!("postgres://planer@localhost/wood{options}");
        ServerAddress::read(&address).expect("an address")
    }

    /// An address for other programs is one for this program too.
    #[test]
    fn what_an_address_says_of_certificates_is_understood() {
        for (options, mode, file) in [
            ("", SslMode::Prefer, None),
            ("?sslmode=disable", SslMode::Disable, None),
            ("?sslmode=require", SslMode::Require, None),
            ("?sslmode=verify-ca", SslMode::Require, None),
            ("?sslmode=verify-full&sslrootcert=system", SslMode::Require, None),
            ("?sslrootcert=/a/b.pem", SslMode::Prefer, Some("/a/b.pem")),
            ("?sslrootcert=a%20b.pem&sslmode=verify-full", SslMode::Require, Some("a b.pem")),
        ] {
            let found = read(options);
            assert_eq!(found.config.get_ssl_mode(), mode, "{options}");
            assert_eq!(found.certificates.as_deref(), file.map(Path::new), "{options}");
        }
        let found = read("?connect_timeout=7&sslmode=verify-full");
        assert_eq!(found.config.get_connect_timeout().map(|time| time.as_secs()), Some(7));
        let refused = |options: &str| {
            ServerAddress::read(&format!("postgres://planer@localhost/wood{options}")).is_err()
        };
        assert!(refused("?sslmode=perhaps") && refused("?sslrootcert=%ff"));
    }
}
