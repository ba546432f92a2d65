//! Tests of the watch, on a real folder.

use std::sync::mpsc::{Receiver, channel};

use chrono::{DateTime, FixedOffset};
use notify::event::{CreateKind, DataChange, ModifyKind, RenameMode};
use tempfile::TempDir;

use super::*;
use crate::journal::{LinesSeen, Station};

/// Long enough for a busy computer; only a failing test reaches it.
const PATIENCE: Duration = Duration::from_secs(20);

fn batch() -> (TempDir, Home, BatchFolder) {
    let place = tempfile::tempdir().expect("a folder for the test");
    let home = Home::locate(Some(place.path().join("batches"))).expect("a folder was named");
    let folder = BatchFolder::create(&home, "ferry bench", "{}", "{}").expect("made");
    (place, home, folder)
}

fn at() -> DateTime<FixedOffset> {
    "2026-11-25T10:42:00+01:00".parse().expect("a time with its zone")
}

fn open(folder: &BatchFolder, name: &str) -> Station {
    Station::open(folder, name, "the test").expect("opened").0
}

fn write(station: &mut Station) {
    station.append(at(), &LinesSeen::default(), None, vec!["a line"]).expect("recorded");
}

/// Tells of every wake, also of one that comes before the last was heard.
fn counted() -> (Waker, Receiver<()>) {
    let (sender, woken) = channel();
    let hand_on = move || {
        sender.send(()).expect("the test listens");
        false
    };
    (Waker::new(hand_on), woken)
}

/// Our own reading of the folders says nothing, or reading for news would be news.
#[test]
fn own_reading_wakes_nobody() {
    let (_place, home, folder) = batch();
    let mut saw = open(&folder, "saw");
    for of in [Watched::Batch(folder.clone()), Watched::Home(home.clone())] {
        let (waker, woken) = counted();
        let watch = Watch::begin(of, &waker, WatchMeans::Word);
        // A word comes as the watch begins, or with the first line that it hears of.
        while woken.recv_timeout(Duration::from_millis(200)).is_err() {
            write(&mut saw);
        }
        while woken.recv_timeout(Duration::from_millis(300)).is_ok() {}
        assert!(!watch.is_looking());
        for _ in 0..20 {
            home.batches().expect("listed");
            folder.fingerprint().expect("listed");
            folder.read_all::<String>().expect("read");
            assert!(!folder.is_free("saw"));
        }
        // What the system says comes in order, so what comes now follows all reading.
        write(&mut saw);
        woken.recv_timeout(PATIENCE).expect("woken by a line");
        assert_eq!(woken.try_iter().count(), 0);
        assert!(watch.take().batches.contains("ferry bench"));
        assert_eq!(watch.take(), FolderNews::default());
    }
}

/// Where the folder gives no word it is looked at, and a line is found all the same.
#[test]
fn a_folder_without_word_is_looked_at() {
    let (_place, home, folder) = batch();
    let mut saw = open(&folder, "saw");
    for of in [Watched::Batch(folder.clone()), Watched::Home(home)] {
        let is_home = matches!(of, Watched::Home(_));
        let (waker, woken) = counted();
        let watch = Watch::begin(of, &waker, WatchMeans::Looks);
        if is_home {
            // Begun once it says how it watches.
            let begun = now();
            while !watch.is_looking() {
                assert!((now() - begun).to_std().unwrap_or_default() < PATIENCE);
                std::thread::yield_now();
            }
            // The first look may see this line already; the next one is new to it.
            write(&mut saw);
            std::thread::sleep(LOOK_EVERY);
        } else {
            woken.recv_timeout(PATIENCE).expect("woken");
            assert!(watch.is_looking());
            watch.take();
        }
        write(&mut saw);
        woken.recv_timeout(PATIENCE).expect("woken by a line");
        assert!(watch.take().batches.contains("ferry bench"));
    }
}

/// Of all batches: a line in one, a batch that comes, and a station that nobody has open
/// any more, however that ended.
#[test]
fn all_batches_are_watched() {
    let (_place, home, folder) = batch();
    let mut saw = open(&folder, "saw");
    let (waker, woken) = counted();
    let watch = Watch::begin(Watched::Home(home.clone()), &waker, WatchMeans::Word);
    let until = |is_told: &dyn Fn(&FolderNews) -> bool, act: &mut dyn FnMut()| {
        loop {
            // The watch may not have begun yet.
            act();
            if woken.recv_timeout(Duration::from_millis(200)).is_ok() && is_told(&watch.take()) {
                return;
            }
        }
    };
    until(&|news| news.batches.contains("ferry bench"), &mut || write(&mut saw));
    let mut count = 0;
    until(&|news| news.is_list, &mut || {
        count += 1;
        BatchFolder::create(&home, &format!("oar rack {count}"), "{}", "{}").expect("made");
    });
    let mut saw = Some(saw);
    until(&|news| news.batches.contains("ferry bench"), &mut || drop(saw.take()));
    assert!(folder.is_free("saw"));
}

fn event(kind: EventKind, path: &str) -> notify::Event {
    notify::Event::new(kind).add_path(Path::new("batches").join(path))
}

#[test]
fn only_what_others_write_is_news() {
    let root = Some(Path::new("batches"));
    let written = EventKind::Modify(ModifyKind::Data(DataChange::Any));
    let renamed = EventKind::Modify(ModifyKind::Name(RenameMode::To));
    let of = |kind, path| news_of(&event(kind, path), root);
    assert!(of(written, "ferry bench/saw.jsonl").batches.contains("ferry bench"));
    assert!(of(written, "ferry bench/saw.lock").batches.contains("ferry bench"));
    assert!(of(renamed, "ferry bench").is_list);
    assert!(of(EventKind::Create(CreateKind::Folder), "archive/ferry bench").is_list);
    let nothing = FolderNews::default();
    let opened = EventKind::Access(AccessKind::Open(AccessMode::Any));
    let read = EventKind::Access(AccessKind::Close(AccessMode::Read));
    for (kind, path) in [
        (opened, "ferry bench"),
        (opened, "ferry bench/saw.jsonl"),
        (read, "ferry bench/saw.lock"),
        (renamed, "summaries.json"),
        (written, "summaries.json"),
        (EventKind::Create(CreateKind::File), ".tmp1234"),
        (EventKind::Create(CreateKind::Folder), ".new-1234"),
    ] {
        assert_eq!(of(kind, path), nothing, "{kind:?} {path}");
    }
    // Whoever has one batch open looks at its lines alone.
    let locked = news_of(&event(written, "ferry bench/saw.lock"), None);
    assert_eq!(locked, nothing);
}
