//! Watches the folder of the open batch, or of all batches, and says when somebody else
//! has written there. Where the folder gives no word of changes it is looked at once a
//! second.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use notify::event::{AccessKind, AccessMode, ModifyKind};
use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher};

use super::clock::now;
use super::waker::Waker;
use crate::journal::{BatchFolder, Fingerprint, Home, gives_word_of_changes};

/// How often a folder is looked at that gives no word of changes.
const LOOK_EVERY: Duration = Duration::from_secs(1);

/// A look that takes long is made less often: it takes a twentieth of the time at most.
const REST: u32 = 20;

/// What is watched.
#[derive(Clone, PartialEq, Eq)]
pub(super) enum Watched {
    /// The files of one batch.
    Batch(BatchFolder),
    /// Those of all batches, and which there are.
    Home(Home),
}

/// How changes are found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum WatchMeans {
    /// The system says so, where it can.
    Word,
    /// The folder is looked at again and again.
    Looks,
}

/// What has changed since it was asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct FolderNews {
    /// The batches whose files changed, by name.
    pub(super) batches: BTreeSet<String>,
    /// Whether a batch came or went, or nobody can tell what changed.
    pub(super) is_list: bool,
}

impl FolderNews {
    fn is_none(&self) -> bool {
        self.batches.is_empty() && !self.is_list
    }

    fn extend(&mut self, more: FolderNews) {
        self.batches.extend(more.batches);
        self.is_list |= more.is_list;
    }
}

/// What the watching threads and the one that asks share.
#[derive(Default)]
struct Noticed {
    news: Mutex<FolderNews>,
    is_looking: AtomicBool,
}

impl Noticed {
    fn news(&self) -> MutexGuard<'_, FolderNews> {
        self.news.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn note(&self, news: FolderNews, waker: &Waker) {
        if !news.is_none() {
            self.news().extend(news);
            waker.wake();
        }
    }
}

/// A watch over a folder, until it is dropped.
pub(super) struct Watch {
    of: Watched,
    noticed: Arc<Noticed>,
    /// The watching thread ends with it.
    _until: Sender<()>,
}

impl Watch {
    /// Begins to watch, on a thread of its own: a large folder takes its time.
    pub(super) fn begin(of: Watched, waker: &Waker, means: WatchMeans) -> Watch {
        let (until, ends) = channel();
        let noticed: Arc<Noticed> = Arc::default();
        let (theirs, seen, waker) = (of.clone(), Arc::clone(&noticed), waker.clone());
        std::thread::spawn(move || keep(&theirs, means, &seen, &waker, &ends));
        Watch { of, noticed, _until: until }
    }

    /// What is watched.
    pub(super) fn of(&self) -> &Watched {
        &self.of
    }

    /// Whether the folder gives no word of changes, so that it is looked at once a second.
    pub(super) fn is_looking(&self) -> bool {
        self.noticed.is_looking.load(Ordering::SeqCst)
    }

    /// What has changed since this was asked last.
    pub(super) fn take(&self) -> FolderNews {
        std::mem::take(&mut self.noticed.news())
    }
}

/// Watches until nobody asks any more. While nothing happens it sleeps.
fn keep(
    of: &Watched,
    means: WatchMeans,
    noticed: &Arc<Noticed>,
    waker: &Waker,
    ends: &Receiver<()>,
) {
    // Nobody has begun anything yet, so there is nothing to hear of.
    if !of.path().is_dir() {
        let _ = ends.recv();
        return;
    }
    let held = match means {
        WatchMeans::Word => listen(of, noticed, waker),
        WatchMeans::Looks => None,
    };
    noticed.is_looking.store(held.is_none(), Ordering::SeqCst);
    let before = if held.is_none() { of.looks() } else { BTreeMap::new() };
    // What was written between its reading and the beginning of the watch.
    if let Watched::Batch(folder) = of {
        let batches = BTreeSet::from([folder.name().to_owned()]);
        noticed.note(FolderNews { batches, is_list: false }, waker);
    }
    match held {
        Some(_held) => _ = ends.recv(),
        None => look(of, before, noticed, waker, ends),
    }
}

/// Has the system say what changes; none where it can't: no permission, or it watches
/// as much as it may already.
fn listen(of: &Watched, noticed: &Arc<Noticed>, waker: &Waker) -> Option<RecommendedWatcher> {
    let (noticed, waker) = (Arc::clone(noticed), waker.clone());
    let root = of.root();
    let told = move |said: notify::Result<notify::Event>| {
        let lost = FolderNews { is_list: true, ..FolderNews::default() };
        noticed.note(said.map_or(lost, |event| news_of(&event, root.as_deref())), &waker);
    };
    let mut watcher = notify::recommended_watcher(told).ok()?;
    let depth = match of {
        Watched::Batch(_) => RecursiveMode::NonRecursive,
        Watched::Home(_) => RecursiveMode::Recursive,
    };
    watcher.watch(of.path(), depth).ok()?;
    Some(watcher)
}

/// Looks at the folder again and again.
fn look(
    of: &Watched,
    mut before: BTreeMap<String, Option<Fingerprint>>,
    noticed: &Noticed,
    waker: &Waker,
    ends: &Receiver<()>,
) {
    let mut pause = LOOK_EVERY;
    while ends.recv_timeout(pause) == Err(RecvTimeoutError::Timeout) {
        let begun = now();
        let found = of.looks();
        let took = (now() - begun).to_std().unwrap_or_default();
        pause = LOOK_EVERY.max(took * REST);
        let differs = |(name, looks): &(&String, &Option<Fingerprint>)| {
            before.get(*name).is_some_and(|held| held != *looks)
        };
        let batches = found.iter().filter(differs).map(|(name, _)| name.clone()).collect();
        let is_list = !found.keys().eq(before.keys());
        noticed.note(FolderNews { batches, is_list }, waker);
        before = found;
    }
}

impl Watched {
    /// How its changes are found.
    pub(super) fn means(&self) -> WatchMeans {
        match gives_word_of_changes(self.path()) {
            true => WatchMeans::Word,
            false => WatchMeans::Looks,
        }
    }

    fn path(&self) -> &Path {
        match self {
            Watched::Batch(folder) => folder.path(),
            Watched::Home(home) => home.path(),
        }
    }

    /// The folder of all batches as the system spells it, where that is watched.
    fn root(&self) -> Option<PathBuf> {
        match self {
            Watched::Batch(_) => None,
            Watched::Home(home) => {
                Some(home.path().canonicalize().unwrap_or_else(|_| home.path().to_owned()))
            }
        }
    }

    /// How far the files of each batch reach.
    fn looks(&self) -> BTreeMap<String, Option<Fingerprint>> {
        let folders = match self {
            Watched::Batch(folder) => vec![folder.clone()],
            Watched::Home(home) => home.batches().unwrap_or_default(),
        };
        let looks = |folder: BatchFolder| (folder.name().to_owned(), folder.fingerprint().ok());
        folders.into_iter().map(looks).collect()
    }
}

/// What an event says. Our own reading of a folder is an event too, and says nothing.
fn news_of(event: &notify::Event, root: Option<&Path>) -> FolderNews {
    if event.need_rescan() {
        return FolderNews { is_list: true, ..FolderNews::default() };
    }
    // Whoever had a station open lets go of its lock, also where the program was killed.
    let lets_go = event.kind == EventKind::Access(AccessKind::Close(AccessMode::Write));
    let writes = match event.kind {
        EventKind::Any | EventKind::Create(_) | EventKind::Remove(_) => true,
        EventKind::Modify(kind) => !matches!(kind, ModifyKind::Metadata(_)),
        EventKind::Access(_) | EventKind::Other => false,
    };
    let comes_or_goes = matches!(
        event.kind,
        EventKind::Any
            | EventKind::Create(_)
            | EventKind::Remove(_)
            | EventKind::Modify(ModifyKind::Name(_))
    );
    let mut news = FolderNews::default();
    for path in &event.paths {
        let ends_with = |ending| path.extension().is_some_and(|held| held == ending);
        let is_journal = writes && ends_with("jsonl");
        let is_lock = root.is_some() && (writes || lets_go) && ends_with("lock");
        if is_journal || is_lock {
            let batch = path.parent().and_then(Path::file_name);
            news.batches.extend(batch.map(|name| name.to_string_lossy().into_owned()));
        } else if comes_or_goes && root.is_some_and(|root| may_be_a_batch(path, root)) {
            news.is_list = true;
        }
    }
    news
}

/// Whether something is where batches are, and no file that is kept beside them.
fn may_be_a_batch(path: &Path, root: &Path) -> bool {
    let within = path.parent();
    let is_there = within == Some(root) || within.and_then(Path::parent) == Some(root);
    let is_hidden = path.file_name().is_none_or(|name| name.as_encoded_bytes().starts_with(b"."));
    is_there && !is_hidden && path.extension().is_none_or(|ending| ending != "json")
}

#[cfg(test)]
mod tests;
