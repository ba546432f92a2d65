//! Looks for the batches in a folder. To look into a thousand folders takes a while, so
//! whoever can't wait has some batches at once and the others one by one.

use std::fs::{self, DirEntry};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::disk::Disk;
use super::folder::BatchFolder;
use super::name::objection;
use super::sibling_folders::SiblingFolders;
use super::store_error::{StoreError, refused};

/// A folder whose batches are looked for. It yields those that nobody knew, by name.
#[derive(Debug)]
pub struct BatchSearch {
    disk: Disk,
    /// Nothing where the folder isn't there.
    siblings: Option<SiblingFolders>,
    /// The batches that are known.
    known: Vec<BatchFolder>,
    /// The names that nobody looked behind yet, the last one first.
    left: Vec<String>,
}

impl BatchSearch {
    /// Lists what is in a folder. Nobody looks into a folder that is known as a batch.
    pub(super) fn of(
        disk: &Disk,
        folder: &Path,
        is_known: impl Fn(&str) -> bool,
    ) -> Result<BatchSearch, StoreError> {
        let (disk, known, left) = (disk.clone(), Vec::new(), Vec::new());
        let mut search = BatchSearch { disk, siblings: None, known, left };
        let list = match fs::read_dir(folder) {
            Err(why) if why.kind() == ErrorKind::NotFound => return Ok(search),
            list => list.map_err(refused("list the batches in", folder))?,
        };
        let siblings = SiblingFolders::of(folder);
        for item in list {
            let item = item.map_err(refused("list the batches in", folder))?;
            let Ok(name) = item.file_name().into_string() else { continue };
            if is_plain_file(&item) || objection(&name).is_some() {
                continue;
            }
            if is_known(&name) && item.file_type().is_ok_and(|kind| kind.is_dir()) {
                let path = siblings.path(&name);
                search.known.push(search.batch(name, path));
            } else {
                search.left.push(name);
            }
        }
        search.left.sort_unstable_by(|a, b| b.cmp(a));
        search.siblings = Some(siblings);
        Ok(search)
    }

    /// The batches that are known and as many of the others as these, by name.
    pub fn at_once(&mut self, most: usize) -> Vec<BatchFolder> {
        let mut batches = std::mem::take(&mut self.known);
        batches.extend(self.by_ref().take(most));
        batches.sort_unstable_by(|a, b| a.name().cmp(b.name()));
        batches
    }

    /// Every batch, by name.
    pub fn all(mut self) -> Vec<BatchFolder> {
        self.at_once(usize::MAX)
    }

    /// The names that nobody looked behind yet.
    pub fn left(&self) -> &[String] {
        &self.left
    }

    fn batch(&self, name: String, path: PathBuf) -> BatchFolder {
        BatchFolder { name, path, disk: self.disk.clone() }
    }
}

impl Iterator for BatchSearch {
    type Item = BatchFolder;

    fn next(&mut self) -> Option<BatchFolder> {
        let siblings = self.siblings.as_ref()?;
        while let Some(name) = self.left.pop() {
            if siblings.has_batch(&name) {
                let path = siblings.path(&name);
                return Some(self.batch(name, path));
            }
        }
        None
    }
}

/// Whether nothing can be in it. A link may lead to a folder.
fn is_plain_file(item: &DirEntry) -> bool {
    item.file_type().is_ok_and(|kind| kind.is_file())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Some are found at once, the others one by one, all of them by name; a file is
    /// never one.
    #[test]
    fn some_batches_are_found_at_once_and_the_others_later() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in ["e", "b", "d", "a", "c"] {
            fs::create_dir(folder.path().join(name)).expect("made");
            if name != "b" {
                fs::write(folder.path().join(name).join("route.json"), "{}").expect("written");
            }
        }
        fs::write(folder.path().join("aa"), "").expect("written");
        let names = |found: Vec<BatchFolder>| -> Vec<String> {
            found.iter().map(|batch| batch.name().to_owned()).collect()
        };
        let search = || {
            let is_known = |name: &str| name == "e";
            BatchSearch::of(&Disk::default(), folder.path(), is_known).expect("listed")
        };
        assert_eq!(names(search().all()), ["a", "c", "d", "e"]);
        let mut some = search();
        assert_eq!(names(some.at_once(1)), ["a", "e"]);
        assert_eq!(some.left(), ["d", "c", "b"]);
        assert_eq!(names(some.by_ref().collect()), ["c", "d"]);
        assert!(some.left().is_empty());
        assert_eq!(names(search().at_once(9)), ["a", "c", "d", "e"]);
    }
}
