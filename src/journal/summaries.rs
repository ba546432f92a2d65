//! What was found out last about each batch, kept beside the batches, so that a list of
//! them need not read every journal anew. It counts as long as the files of the batch
//! look the same. The file may be deleted at any time; what can't be read or written is
//! left out.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::disk::Disk;
use super::folder::BatchFolder;
use super::home::{ARCHIVE, Home};
use super::search::BatchSearch;
use super::store_error::StoreError;

/// The file, in the folder of all batches.
const FILE: &str = "summaries.json";

/// Raised whenever a summary of the same files would say something else.
const FORM: u32 = 1;

/// How the files of a batch look from outside: names, lengths, and when they were written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FolderLooks(Vec<(String, u64, u64)>);

/// What was found out about a batch, and how its files looked then.
#[derive(Debug, Serialize, Deserialize)]
struct KeptSummary<T> {
    looks: FolderLooks,
    says: T,
}

/// The file as a whole.
#[derive(Debug, Serialize, Deserialize)]
struct SummaryFile<T> {
    program: String,
    form: u32,
    batches: BTreeMap<String, KeptSummary<T>>,
}

/// The summaries of all batches.
#[derive(Debug)]
pub struct Summaries<T> {
    path: PathBuf,
    disk: Disk,
    held: BTreeMap<String, KeptSummary<T>>,
    is_changed: bool,
}

impl BatchFolder {
    /// How its files look; nothing where that can't be seen.
    pub fn looks(&self) -> Option<FolderLooks> {
        let mut files = Vec::new();
        for item in fs::read_dir(self.path()).ok()? {
            let item = item.ok()?;
            let name = item.file_name().to_string_lossy().into_owned();
            // Whoever opens a batch writes a lock file, and says nothing with it.
            if name.ends_with(".lock") {
                continue;
            }
            let seen = item.metadata().ok()?;
            let written = seen.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
            files.push((name, seen.len(), u64::try_from(written.as_nanos()).ok()?));
        }
        files.sort();
        Some(FolderLooks(files))
    }

    /// What a batch is called among all others, the archived ones included.
    fn key(&self) -> String {
        key(self.name(), self.is_archived())
    }
}

fn key(name: &str, is_archived: bool) -> String {
    if is_archived { format!("{ARCHIVE}/{name}") } else { name.to_owned() }
}

impl<T: Serialize + DeserializeOwned> Summaries<T> {
    /// Reads the summaries that an earlier run left; none where there are none, or
    /// another program wrote them.
    pub fn of(home: &Home) -> Summaries<T> {
        let path = home.path().join(FILE);
        let disk = home.disk().clone();
        let file = disk.read(&path).ok();
        let file = file.and_then(|text| serde_json::from_slice::<SummaryFile<T>>(&text).ok());
        let own = file.filter(|file| file.program == program() && file.form == FORM);
        let held = own.map(|file| file.batches).unwrap_or_default();
        Summaries { path, disk, held, is_changed: false }
    }

    /// Looks for the batches under way and the archived ones. To look into a thousand
    /// folders takes longer than to read all summaries, so one that was a batch last time
    /// is taken for one.
    pub fn searches(&self, home: &Home) -> [Result<BatchSearch, StoreError>; 2] {
        [(home.path().to_owned(), false), (home.archive(), true)].map(|(all, is_archive)| {
            let is_known = |name: &str| self.held(name, is_archive).is_some();
            BatchSearch::of(home.disk(), &all, is_known)
        })
    }

    /// What was said of a batch last, whether or not it is still so.
    pub fn last(&self, folder: &BatchFolder) -> Option<&T> {
        self.held(folder.name(), folder.is_archived()).map(|summary| &summary.says)
    }

    fn held(&self, name: &str, is_archived: bool) -> Option<&KeptSummary<T>> {
        // The first time there is nothing, and a thousand keys take long to spell.
        if self.held.is_empty() {
            return None;
        }
        self.held.get(&key(name, is_archived))
    }

    /// What was said of a batch while its files looked like this.
    pub fn known(&self, folder: &BatchFolder, looks: &FolderLooks) -> Option<&T> {
        let held = self.held.get(&folder.key())?;
        (held.looks == *looks).then_some(&held.says)
    }

    /// Keeps what is said of a batch whose files look like this.
    pub fn keep(&mut self, folder: &BatchFolder, looks: FolderLooks, says: T) {
        self.held.insert(folder.key(), KeptSummary { looks, says });
        self.is_changed = true;
    }

    /// Forgets the batches that are gone, and writes the rest where anything changed. A
    /// file that can't be written is only missing: the batches are read again.
    pub fn write(&mut self) {
        if !std::mem::take(&mut self.is_changed) {
            return;
        }
        let home = self.path.parent().map(Path::to_owned).unwrap_or_default();
        self.held.retain(|key, _| home.join(key).is_dir());
        let batches = std::mem::take(&mut self.held);
        let file = SummaryFile { program: program(), form: FORM, batches };
        let text = serde_json::to_vec(&file).unwrap_or_default();
        let _ = self.disk.replace(&self.path, &text);
        self.held = file.batches;
    }
}

fn program() -> String {
    env!("CARGO_PKG_VERSION").to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A batch whose files look the same is not read again; one that was added to is, and
    /// one that is gone is forgotten.
    #[test]
    fn a_summary_counts_while_the_files_look_the_same() {
        let folder = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(folder.path().to_owned())).expect("a folder was named");
        let batch = |name: &str| {
            let path = folder.path().join(name);
            fs::create_dir_all(&path).expect("made");
            fs::write(path.join("route.json"), "{}").expect("written");
            home.folder(name, path)
        };
        let (kept, gone) = (batch("kept"), batch("gone"));
        let looks = |batch: &BatchFolder| batch.looks().expect("it is there");
        let mut summaries = Summaries::<String>::of(&home);
        assert_eq!(summaries.last(&kept), None);
        summaries.keep(&kept, looks(&kept), "op 10".to_owned());
        summaries.keep(&gone, looks(&gone), "op 20".to_owned());
        fs::remove_dir_all(gone.path()).expect("removed");
        summaries.write();

        let again = Summaries::<String>::of(&home);
        assert_eq!(again.known(&kept, &looks(&kept)).map(String::as_str), Some("op 10"));
        assert_eq!(again.last(&gone), None);
        // A lock file says nothing; a line does, and so does another text of that length.
        fs::write(kept.path().join("cart.lock"), "pid 7").expect("written");
        assert!(again.known(&kept, &looks(&kept)).is_some());
        fs::write(kept.path().join("cart.jsonl"), "a line\n").expect("written");
        assert!(again.known(&kept, &looks(&kept)).is_none());
        assert_eq!(again.last(&kept).map(String::as_str), Some("op 10"));
        let before = looks(&kept);
        std::thread::sleep(std::time::Duration::from_millis(20));
        fs::write(kept.path().join("cart.jsonl"), "b line\n").expect("written");
        assert_ne!(looks(&kept), before);
    }

    /// A folder that was a batch last time is listed without a look into it; any other is
    /// looked into, and a file is never one.
    #[test]
    fn a_known_batch_is_listed_without_a_look_into_it() {
        let folder = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(folder.path().to_owned())).expect("a folder was named");
        for name in ["known", "new", "no batch"] {
            fs::create_dir(folder.path().join(name)).expect("made");
        }
        fs::write(folder.path().join("new").join("route.json"), "{}").expect("written");
        fs::write(folder.path().join("file"), "").expect("written");
        let mut summaries = Summaries::<String>::of(&home);
        for name in ["known", "file"] {
            let batch = home.folder(name, folder.path().join(name));
            summaries.keep(&batch, FolderLooks(Vec::new()), String::new());
        }
        let [own, archived] = summaries.searches(&home).map(|all| all.map(BatchSearch::all));
        let own = own.expect("listed");
        let names: Vec<&str> = own.iter().map(BatchFolder::name).collect();
        assert_eq!(names, ["known", "new"]);
        assert!(archived.expect("listed").is_empty());
    }

    /// What another program wrote, or no program, is as good as nothing.
    #[test]
    fn a_strange_file_of_summaries_counts_for_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(folder.path().to_owned())).expect("a folder was named");
        let batch = home.folder("a", folder.path().join("a"));
        let says = r#"{"a":{"looks":[],"says":"op 10"}}"#;
        let of = |program: &str, form: u32| {
            format!(r#"{{"program":"{program}","form":{form},"batches":{says}}}"#)
        };
        for (text, is_read) in [
            (of(&program(), FORM), true),
            (of("0.0.0-other", FORM), false),
            (of(&program(), FORM + 1), false),
            ("{".to_owned(), false),
            (String::new(), false),
        ] {
            fs::write(folder.path().join(FILE), &text).expect("written");
            let read = Summaries::<String>::of(&home);
            assert_eq!(read.last(&batch).is_some(), is_read, "{text}");
        }
    }
}
