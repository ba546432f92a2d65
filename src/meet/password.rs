//! The password of a login: from the environment, or from a file that nobody else may read.

use std::fmt;
use std::fs;
use std::path::Path;

use super::problem::MeetProblem;

/// A password, which is never printed.
#[derive(Clone, PartialEq, Eq)]
pub struct Password(String);

impl fmt::Debug for Password {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("Password(…)")
    }
}

impl Password {
    /// A password that was typed.
    pub fn typed(text: &str) -> Password {
        Password(text.trim_end_matches(['\r', '\n']).to_owned())
    }

    /// The first line of a file that only its owner may read.
    ///
    /// # Errors
    ///
    /// Where the file can't be read, or others may read it.
    pub fn of_file(path: &Path) -> Result<Password, MeetProblem> {
        let shown = path.display().to_string();
        let unread = |why| MeetProblem::NoPassword(shown.clone(), why);
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = fs::metadata(path).map_err(unread)?.permissions().mode();
            if mode & 0o077 != 0 {
                return Err(MeetProblem::OpenPassword(shown));
            }
        }
        let text = fs::read_to_string(path).map_err(unread)?;
        Ok(Password::typed(text.lines().next().unwrap_or_default()))
    }

    pub(super) fn text(&self) -> &str {
        &self.0
    }
}

#[cfg(all(test, unix))]
mod tests {
    use std::os::unix::fs::PermissionsExt;

    use super::*;

    /// Others may not read it, and nobody sees it in what is printed.
    #[test]
    fn a_password_stays_with_its_owner() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let path = place.path().join("meet-password");
        fs::write(&path, "chalk and tape\n").expect("written");
        let allow = |mode| {
            fs::set_permissions(&path, fs::Permissions::from_mode(mode)).expect("changed");
        };
        for open in [0o644, 0o640, 0o604, 0o660] {
            allow(open);
            let refused = Password::of_file(&path).expect_err("others may read it");
            assert!(matches!(refused, MeetProblem::OpenPassword(_)), "{open:o}");
            assert!(!refused.to_string().contains("chalk"));
        }
        allow(0o600);
        let password = Password::of_file(&path).expect("closed");
        assert_eq!(password, Password::typed("chalk and tape"));
        assert!(!format!("{password:?}").contains("chalk"));
    }
}
