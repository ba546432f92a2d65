//! A file replaced as a whole, or left as it is: one of the lead's, which people edit too, or
//! one that the program alone writes.

use std::fs::{self, File, Metadata};
use std::io::{self, Write};
use std::path::Path;

use super::store_error::StoreError;

/// Replaces a file that still holds `was`, in one step: what somebody saved meanwhile stays.
/// Its rights and, where the system permits it, its owner stay. A file behind a link is
/// replaced where it is.
pub fn replace_file(path: &Path, was: &str, becomes: &str) -> Result<(), StoreError> {
    put_in_place(path, becomes, Some(was))
}

/// The same for a file that the program alone writes, whatever it holds.
pub fn rewrite_file(path: &Path, becomes: &str) -> Result<(), StoreError> {
    put_in_place(path, becomes, None)
}

fn put_in_place(path: &Path, becomes: &str, was: Option<&str>) -> Result<(), StoreError> {
    let refused = |why: io::Error| StoreError::Disk { doing: "write", path: path.to_owned(), why };
    let real = fs::canonicalize(path).map_err(refused)?;
    let folder = real.parent().unwrap_or(Path::new("."));
    // Its name is made up and must be new, so no link of that name is followed.
    let mut beside = tempfile::NamedTempFile::new_in(folder).map_err(refused)?;
    beside.write_all(becomes.as_bytes()).map_err(refused)?;
    let before = fs::metadata(&real).map_err(refused)?;
    keep_owner(beside.as_file(), &before);
    beside.as_file().set_permissions(before.permissions()).map_err(refused)?;
    beside.as_file().sync_all().map_err(refused)?;
    // As late as can be: whoever saved the file meanwhile keeps what they wrote.
    if let Some(was) = was
        && fs::read(&real).map_err(refused)? != was.as_bytes()
    {
        return Err(StoreError::ChangedMeanwhile { path: path.to_owned() });
    }
    beside.persist(&real).map_err(|why| refused(why.error))?;
    Ok(())
}

/// Gives a new file the owner and the group of the one before. Most systems let nobody but
/// their administrator give a file away; then it is whoever runs the command.
#[cfg(unix)]
fn keep_owner(file: &File, before: &Metadata) {
    use std::os::unix::fs::{MetadataExt, fchown};
    let (owner, group) = (Some(before.uid()), Some(before.gid()));
    if fchown(file, owner, group).is_err() {
        let _ = fchown(file, None, group);
    }
}

#[cfg(not(unix))]
fn keep_owner(_: &File, _: &Metadata) {}

#[cfg(test)]
mod tests {
    use super::*;

    /// The lead saves the file between its reading and its writing.
    #[test]
    fn what_was_saved_meanwhile_stays() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("our-shop.json");
        fs::write(&path, "saved by the lead").expect("written");
        let why =
            replace_file(&path, "as it was read", "with lessons").expect_err("it has changed");
        let said = why.to_string();
        assert!(said.contains("changed while this ran, and stays as it is"), "{said}");
        assert!(said.contains("do the same again"), "{said}");
        assert_eq!(fs::read_to_string(&path).expect("there"), "saved by the lead");
        replace_file(&path, "saved by the lead", "with lessons").expect("unchanged since");
        assert_eq!(fs::read_to_string(&path).expect("there"), "with lessons");
        let files = fs::read_dir(folder.path()).expect("the folder").count();
        assert_eq!(files, 1, "nothing is left beside it");
    }

    #[cfg(unix)]
    #[test]
    fn rights_owner_and_links_stay() {
        use std::os::unix::fs::{MetadataExt, PermissionsExt, chown, symlink};
        let folder = tempfile::tempdir().expect("a folder");
        let (path, link) = (folder.path().join("shop.json"), folder.path().join("link.json"));
        fs::write(&path, "before").expect("written");
        symlink(&path, &link).expect("a link");
        // Only an administrator can give a file away.
        let _ = chown(&path, Some(7), Some(8));
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).expect("its rights");
        let of = |path: &Path| fs::metadata(path).map(|is| (is.uid(), is.gid(), is.mode()));
        let before = of(&path).expect("there");
        replace_file(&link, "before", "after").expect("unchanged since");
        assert_eq!(fs::read_to_string(&path).expect("there"), "after");
        assert_eq!(of(&path).expect("there"), before);
        assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
    }
}
