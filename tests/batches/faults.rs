//! Every call on the disk fails in turn, in every way, while a batch begins and an
//! operation is worked through: what was acknowledged is there once, nothing is there that
//! was denied, and no batch is left that nobody can open.

use std::fs;
use std::io::ErrorKind;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use benchway::journal::{
    BatchFolder, Died, Disk, DiskCall, DiskFault, DiskFaults, Event, Home, JournalLine, OpenBatch,
    OpenError, Pins, StoreError,
};
use benchway::work::{handle_input, is_finished, next_op, task};
use chrono::{DateTime, FixedOffset};

use crate::bench;
use crate::walker::SHOP;
use crate::walker::crew;

/// Two strips, ripped and measured.
const ROUTE: &str = r#"{
  "route": "Strips", "unit": "in", "sets": 1, "dims": { "w": "2" },
  "parts": { "strip": { "per_set": 2, "stock": { "thickness": "3/4", "width": "2", "length": "20" }, "width": "w", "length": "15" } },
  "operations": [
    { "op": 20, "part": "strip", "do": "crosscut", "at": "stop saw", "to": "15",
      "checks": [ { "check": "length", "limits": "±1/32", "with": "calipers", "pieces": "all" } ] } ] }"#;

const NAME: &str = "strips";
const STATION: &str = "cart";

/// Lets the calls through up to one, which fails; those after it go through again.
#[derive(Debug)]
struct OneFails {
    made: AtomicUsize,
    fails: usize,
    how: DiskFault,
    /// What the call was that failed.
    was: Mutex<Option<DiskCall>>,
}

impl OneFails {
    fn new(fails: usize, how: DiskFault) -> Arc<OneFails> {
        Arc::new(OneFails { made: AtomicUsize::new(0), fails, how, was: Mutex::new(None) })
    }
}

impl DiskFaults for OneFails {
    fn fault(&self, call: DiskCall) -> Option<DiskFault> {
        let number = self.made.fetch_add(1, Ordering::Relaxed);
        if number != self.fails {
            return None;
        }
        *self.was.lock().expect("one thread") = Some(call);
        Some(self.how)
    }
}

fn at() -> DateTime<FixedOffset> {
    "2026-11-25T08:00:00+01:00".parse().expect("a time with its zone")
}

/// One try: a person at a machine who begins, answers until the route is finished, enters
/// again what was not recorded, and looks first where nobody can tell.
struct Try {
    home: Home,
    /// The same place, looked at without faults.
    sound: Home,
    /// What was acknowledged, in order.
    acknowledged: Vec<Event>,
    denied: usize,
}

impl Try {
    /// The lines of people, without the one that began the batch.
    fn lines(&self) -> Vec<JournalLine> {
        let folder = BatchFolder::open(&self.sound, NAME).expect("the batch is there");
        let everything = folder.journal().expect("it can be read");
        everything.entries.into_iter().skip(1).collect()
    }

    fn begin(&mut self) -> OpenBatch {
        let begun = catch_unwind(AssertUnwindSafe(|| {
            bench::begin(&self.home, NAME, (ROUTE, SHOP), STATION, at(), None)
        }));
        match begun {
            Ok(Ok(open)) => return open,
            Ok(Err(OpenError::BegunNotOpened { .. })) => {}
            Ok(Err(_)) => {
                self.denied += 1;
                assert!(self.home.batches().expect("listed").is_empty(), "it was denied");
                return bench::begin(&self.home, NAME, (ROUTE, SHOP), STATION, at(), None)
                    .expect("it can be begun again");
            }
            Err(_) if self.home.batches().expect("listed").is_empty() => {
                return bench::begin(&self.home, NAME, (ROUTE, SHOP), STATION, at(), None)
                    .expect("it can be begun again");
            }
            Err(_) => {}
        }
        self.open()
    }

    /// Opens the batch as somebody does who starts the program, until it opens.
    fn open(&mut self) -> OpenBatch {
        for _ in 0..3 {
            let opened = catch_unwind(AssertUnwindSafe(|| {
                OpenBatch::resume(&self.home, NAME, STATION, "the test")
            }));
            if let Ok(Ok(open)) = opened {
                return open;
            }
        }
        panic!("a batch that nobody can open");
    }

    fn answer(&mut self, mut open: OpenBatch, events: Vec<Event>) -> OpenBatch {
        let appended = catch_unwind(AssertUnwindSafe(|| {
            let done = open.append(Some(crew::LEAD), at(), events.clone());
            (open, done)
        }));
        match appended {
            Ok((open, Ok(()))) => {
                self.acknowledged.extend(events);
                open
            }
            Ok((open, Err(StoreError::NotRecorded { .. }))) => {
                self.denied += 1;
                open
            }
            failed => {
                drop(failed);
                let open = self.open();
                self.look(&events);
                open
            }
        }
    }

    /// Looks whether an answer is there, whole.
    fn look(&mut self, events: &[Event]) {
        let lines = self.lines();
        let more = &lines[self.acknowledged.len()..];
        let there: Vec<&Event> = more.iter().map(|line| &line.event).collect();
        assert!(there.is_empty() || there == events.iter().collect::<Vec<_>>(), "{there:?}");
        self.acknowledged.extend(more.iter().map(|line| line.event.clone()));
    }

    /// Works until the route is finished.
    fn run(&mut self) {
        let mut open = self.begin();
        for _ in 0..200 {
            let snapshot = open.snapshot();
            let Some(op) = next_op(&snapshot.route, &snapshot.state, STATION) else {
                assert!(is_finished(&snapshot.route, &snapshot.state, 20));
                return;
            };
            let context = snapshot.context(op, Some(crew::LEAD), at());
            let asked = task(&context);
            let typed = crew::well(&context, &asked).expect("nothing goes wrong at the machine");
            let events = handle_input(&context, &asked, &typed).expect("a good answer");
            assert!(!events.is_empty(), "{asked:?}");
            open = self.answer(open, events);
        }
        panic!("the route is never finished");
    }
}

/// Runs once with a fault and says which call it met; none when there are fewer calls.
fn tried(fails: usize, how: DiskFault) -> (Option<DiskCall>, Try) {
    let place = tempfile::tempdir().expect("a folder for the test");
    let faults = OneFails::new(fails, how);
    let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
    let (sound, home) = (home.clone(), home.on(Disk::failing(faults.clone())));
    let mut one = Try { home, sound, acknowledged: Vec::new(), denied: 0 };
    one.run();
    let there: Vec<Event> = one.lines().into_iter().map(|line| line.event).collect();
    let was = *faults.was.lock().expect("one thread");
    assert_eq!(there, one.acknowledged, "call {fails} ({was:?}) {how:?}");
    (was, one)
}

/// Nobody wants to read of hundreds of deaths that are caught.
fn keep_deaths_quiet() {
    let hook = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        if !panic.payload().is::<Died>() {
            hook(panic);
        }
    }));
}

/// Every way in which a call goes wrong.
const WAYS: [DiskFault; 5] = [
    DiskFault::Before(ErrorKind::StorageFull),
    DiskFault::Half(ErrorKind::StorageFull),
    DiskFault::After(ErrorKind::Other),
    DiskFault::Dies,
    DiskFault::DiesHalf,
];

/// Always: What was acknowledged is recorded once, and what was denied is not, whichever call on the disk fails.
#[test]
fn every_call_on_the_disk_fails_in_turn() {
    keep_deaths_quiet();
    let (mut tries, mut denied) = (0, 0);
    for how in WAYS {
        for call in 0.. {
            let (was, one) = tried(call, how);
            denied += one.denied;
            if was.is_none() {
                break;
            }
            tries += 1;
        }
    }
    // Fewer would mean that the script doesn't reach the disk.
    assert!(tries > 200 && denied > 50, "{tries} tries, {denied} denied");
    println!("{tries} tries, {denied} denied");
}

/// Does something with every call on the disk failing in turn, and looks at the folder
/// afterwards, without faults. Answers how often a call failed.
fn each_call_fails(
    prepared: fn(&Home),
    done: fn(&Home) -> bool,
    then: fn(&Home, acknowledged: bool),
) -> usize {
    keep_deaths_quiet();
    let mut tries = 0;
    for how in WAYS {
        for call in 0.. {
            let place = tempfile::tempdir().expect("a folder for the test");
            let sound = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
            prepared(&sound);
            let faults = OneFails::new(call, how);
            let home = sound.clone().on(Disk::failing(faults.clone()));
            let ended = catch_unwind(AssertUnwindSafe(|| done(&home)));
            then(&sound, ended.unwrap_or(false));
            if faults.was.lock().expect("one thread").is_none() {
                break;
            }
            tries += 1;
        }
    }
    tries
}

fn a_batch(home: &Home) {
    bench::begin(home, NAME, (ROUTE, SHOP), STATION, at(), None).expect("begun");
}

/// Always: A batch is in one place, whole, whichever call fails while it is moved.
#[test]
fn a_batch_that_is_moved_is_in_one_place() {
    fn places(home: &Home) -> (usize, usize) {
        let count = |folders: Vec<BatchFolder>| {
            for folder in &folders {
                let everything = folder.journal().expect("it can be read");
                assert!(!everything.entries.is_empty() && everything.damage.is_empty());
            }
            folders.len()
        };
        (count(home.batches().expect("listed")), count(home.archived().expect("listed")))
    }
    let archived = each_call_fails(
        a_batch,
        |home| home.archive_batch(NAME).is_ok(),
        |home, acknowledged| {
            let (under_way, archived) = places(home);
            assert_eq!(under_way + archived, 1);
            assert!(!acknowledged || archived == 1, "it was acknowledged");
        },
    );
    let back = each_call_fails(
        |home| {
            a_batch(home);
            home.archive_batch(NAME).expect("archived");
        },
        |home| home.bring_back(NAME).is_ok(),
        |home, acknowledged| {
            let (under_way, archived) = places(home);
            assert_eq!(under_way + archived, 1);
            assert!(!acknowledged || under_way == 1, "it was acknowledged");
        },
    );
    assert!(archived > 20 && back > 20, "{archived}, {back}");
}

/// Always: A lead has the old PIN or the new one, whichever call fails while it is set.
#[test]
fn a_pin_is_the_old_one_or_the_new_one() {
    /// Hashing takes its time, and what was there before is no hash of the new one.
    const BEFORE: &str = r#"{ "MB": "the old one" }"#;
    fn file(home: &Home) -> PathBuf {
        home.path().join("pins.json")
    }
    let tries = each_call_fails(
        |home| fs::write(file(home), BEFORE).expect("written"),
        |home| Pins::of(home).set("MB", "0815").is_ok(),
        |home, acknowledged| {
            let is_old = fs::read_to_string(file(home)).expect("it is there") == BEFORE;
            assert!(is_old || Pins::of(home).fits("MB", "0815").expect("it can be read"));
            assert!(!(acknowledged && is_old), "it was acknowledged");
        },
    );
    assert!(tries > 20, "{tries}");
}
