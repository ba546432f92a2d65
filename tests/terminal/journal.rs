//! The journal on a real disk: what was acknowledged is there, whatever happens to the writer.
//! Tests that play the writer are started anew by this program and are ignored otherwise.

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use benchway::journal::{
    BatchFolder, Damage, Home, JournalEntry, LinesSeen, Station, StoreError, damage_words,
};
use chrono::{DateTime, FixedOffset};
use tempfile::TempDir;

/// Tells a child where the home of its batch is.
const HOME: &str = "JOURNAL_TEST_HOME";

fn at() -> DateTime<FixedOffset> {
    "2026-11-25T07:41:05+01:00".parse().expect("a time with its zone")
}

fn home(folder: &TempDir) -> Home {
    Home::locate(Some(folder.path().join("batches"))).expect("a folder was named")
}

/// A batch in a folder that goes away with the test.
fn batch() -> (TempDir, BatchFolder) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let batch = BatchFolder::create(&home(&folder), "ferry bench", "{\"route\":1}", "{\"shop\":1}")
        .expect("made");
    (folder, batch)
}

fn open(batch: &BatchFolder, station: &str) -> Station {
    Station::open(batch, station, "the test").expect("opened").0
}

/// Somebody who has seen a line of the planer at this place in the order.
fn behind(after: u64) -> LinesSeen {
    LinesSeen::of(&[JournalEntry {
        n: 1,
        after,
        at: at(),
        station: "planer".to_owned(),
        who: None,
        answer: None,
        seen: BTreeMap::new(),
        begun: None,
        event: "",
    }])
}

fn write(station: &mut Station, event: &str) -> Result<JournalEntry<String>, StoreError> {
    Ok(station.append(at(), &LinesSeen::default(), None, vec![event.to_owned()])?.remove(0))
}

fn events(batch: &BatchFolder) -> Vec<String> {
    let everything = batch.read_all::<String>().expect("readable");
    everything.entries.into_iter().map(|entry| entry.event).collect()
}

fn saw_file(batch: &BatchFolder) -> PathBuf {
    batch.path().join("cabinet-saw.jsonl")
}

fn names_in(folder: &Path) -> Vec<String> {
    let list = fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> =
        list.map(|item| item.expect("an item").file_name().into_string().expect("text")).collect();
    names.sort();
    names
}

#[test]
fn a_new_batch_keeps_its_route_and_shop() {
    let (folder, made) = batch();
    let found = BatchFolder::open(&home(&folder), "ferry bench").expect("there");
    assert_eq!(found, made);
    assert_eq!(found.name(), "ferry bench");
    assert_eq!(found.route_json().expect("readable"), "{\"route\":1}");
    assert_eq!(found.shop_json().expect("readable"), "{\"shop\":1}");
    assert_eq!(names_in(found.path()), ["route.json", "shop.json"]);
    assert!(events(&found).is_empty());
}

#[test]
fn a_batch_is_never_overwritten() {
    let (folder, made) = batch();
    let again = BatchFolder::create(&home(&folder), "ferry bench", "other", "other");
    assert!(matches!(again, Err(StoreError::Exists { .. })));
    assert_eq!(made.route_json().expect("readable"), "{\"route\":1}");
    assert_eq!(
        names_in(made.path().parent().expect("the home")),
        ["ferry bench"],
        "nothing half-made stays"
    );
}

#[test]
fn a_name_cannot_lead_out_of_home() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let home = home(&folder);
    let absolute = folder.path().join("elsewhere");
    for name in
        ["../../x", "..", ".", "", "a/b", "a\\b", "a\nb", "nul", absolute.to_str().expect("text")]
    {
        let created = BatchFolder::create(&home, name, "", "");
        assert!(matches!(created, Err(StoreError::BadName { .. })), "{name:?}");
        assert!(
            matches!(BatchFolder::open(&home, name), Err(StoreError::BadName { .. })),
            "{name:?}"
        );
    }
    assert!(names_in(folder.path()).is_empty());
    let (_folder, batch) = batch();
    let before = names_in(batch.path());
    for name in ["../saw", "", " ", "a/b", "AUX"] {
        assert!(
            matches!(Station::open(&batch, name, "the test"), Err(StoreError::BadName { .. })),
            "{name:?}"
        );
    }
    assert_eq!(names_in(batch.path()), before);
}

#[test]
fn home_lists_batches_and_nothing_else() {
    let (folder, _) = batch();
    let home = home(&folder);
    BatchFolder::create(&home, "Bank 3", "", "").expect("made");
    fs::create_dir(home.path().join("not a batch")).expect("made");
    fs::create_dir(home.path().join(".new-left")).expect("made");
    fs::write(home.path().join(".new-left/route.json"), "").expect("written");
    fs::write(home.path().join("note.txt"), "").expect("written");
    let names: Vec<String> =
        home.batches().expect("listed").iter().map(|batch| batch.name().to_owned()).collect();
    assert_eq!(names, ["Bank 3", "ferry bench"]);
    assert!(matches!(BatchFolder::open(&home, "not a batch"), Err(StoreError::NoSuchBatch { .. })));
    let nowhere = Home::locate(Some(folder.path().join("nowhere"))).expect("named");
    assert!(nowhere.batches().expect("listed").is_empty());
}

#[cfg(unix)]
#[test]
fn others_may_open_the_folder_as_far_as_the_mask_allows() {
    use std::os::unix::fs::PermissionsExt;
    let (folder, made) = batch();
    let ordinary = folder.path().join("ordinary");
    fs::create_dir(&ordinary).expect("made");
    let mode = |path: &Path| path.metadata().expect("there").permissions().mode();
    assert_eq!(mode(made.path()), mode(&ordinary));
}

#[test]
fn lines_number_themselves_across_openings() {
    let (_folder, batch) = batch();
    let mut saw = open(&batch, "Cabinet Saw");
    assert_eq!(saw.name(), "cabinet-saw");
    let first =
        saw.append(at(), &behind(6), Some("AB"), vec!["a".to_owned()]).expect("recorded").remove(0);
    assert_eq!((first.n, first.after, first.station.as_str()), (1, 7, "cabinet-saw"));
    // Even a caller that did not look can't place a line before this station's last one.
    let second = write(&mut saw, "b").expect("recorded");
    assert_eq!((second.n, second.after), (2, 8));
    drop(saw);
    let (mut saw, report) = Station::open(&batch, "cabinet saw", "the test").expect("opened");
    assert!(report.damage.is_empty() && report.kept_aside.is_none());
    let third = write(&mut saw, "c").expect("recorded");
    assert_eq!((third.n, third.after), (3, 9));
    assert_eq!(batch.read_all::<String>().expect("readable").entries, [first, second, third]);
    assert_eq!(
        names_in(batch.path()),
        ["cabinet-saw.jsonl", "cabinet-saw.lock", "route.json", "shop.json"]
    );
}

#[test]
fn stations_merge_and_the_fingerprint_tells_of_news() {
    let (_folder, batch) = batch();
    let (mut saw, mut planer) = (open(&batch, "cabinet saw"), open(&batch, "planer"));
    let mut last = batch.read_all::<String>().expect("readable");
    for (turn, event) in ["a", "b", "c", "d", "e"].into_iter().enumerate() {
        assert_eq!(batch.fingerprint().expect("readable"), last.fingerprint);
        // The planer starts, although its name sorts last.
        let station = if turn % 2 == 0 { &mut planer } else { &mut saw };
        station
            .append(at(), &LinesSeen::of(&last.entries), None, vec![event.to_owned()])
            .expect("recorded");
        assert_ne!(batch.fingerprint().expect("readable"), last.fingerprint);
        last = batch.read_all().expect("readable");
    }
    assert_eq!(events(&batch).concat(), "abcde");
    assert_eq!(batch.stations().expect("listed"), ["cabinet-saw", "planer"]);
}

#[test]
fn a_station_opens_once() {
    let (_folder, batch) = batch();
    let (saw, _) =
        Station::open(&batch, "cabinet saw", "AB at the far bench\u{1b}[2J").expect("opened");
    let refused = Station::open(&batch, "Cabinet Saw", "CD").expect_err("held").to_string();
    assert!(
        refused.contains("cabinet-saw is already open: AB at the far bench\\u{1b}[2J;"),
        "{refused}"
    );
    open(&batch, "planer");
    drop(saw);
    open(&batch, "cabinet saw");
}

#[test]
fn a_torn_tail_is_kept_aside_and_work_goes_on() {
    let (_folder, batch) = batch();
    let mut saw = open(&batch, "cabinet saw");
    write(&mut saw, "a").expect("recorded");
    drop(saw);
    let whole = fs::read(saw_file(&batch)).expect("readable");
    for (torn, aside) in [("{\"v\":1,\"n\":2,\"af", "torn-"), ("{\"v\":1", "torn again-")] {
        let mut bytes = whole.clone();
        bytes.extend(torn.as_bytes());
        fs::write(saw_file(&batch), &bytes).expect("written");

        let read = batch.read_all::<String>().expect("readable");
        assert_eq!(
            read.damage[0].damage,
            Damage::TornTail { line: 2, bytes: torn.len() as u64 },
            "{aside}"
        );
        assert_eq!(fs::read(saw_file(&batch)).expect("readable"), bytes, "reading repairs nothing");

        let (mut saw, report) = Station::open(&batch, "cabinet saw", "the test").expect("opened");
        assert_eq!(report.damage, [Damage::TornTail { line: 2, bytes: torn.len() as u64 }]);
        assert_eq!(fs::read_to_string(report.kept_aside.expect("kept")).expect("readable"), torn);
        assert_eq!(write(&mut saw, "b").expect("recorded").n, 2);
        drop(saw);
        let (_, report) = Station::open(&batch, "cabinet saw", "the test").expect("opened");
        assert!(report.damage.is_empty());
        assert_eq!(events(&batch), ["a", "b"]);
    }
    let torn = format!("cabinet-saw.jsonl.torn-{}", whole.len());
    let kept: Vec<String> =
        names_in(batch.path()).into_iter().filter(|name| name.contains("torn")).collect();
    assert_eq!(kept, [torn.clone(), format!("{torn}-2")], "the second must not replace the first");
}

/// Always: The program never changes a bad line.
#[test]
fn a_bad_line_is_never_touched() {
    let (_folder, batch) = batch();
    let mut saw = open(&batch, "cabinet saw");
    for event in ["a", "b", "c"] {
        write(&mut saw, event).expect("recorded");
    }
    drop(saw);
    let edited = fs::read_to_string(saw_file(&batch)).expect("readable").replace("\"b\"", "\"x\"");
    fs::write(saw_file(&batch), &edited).expect("written");
    let (mut saw, report) = Station::open(&batch, "cabinet saw", "the test").expect("opened");
    assert!(matches!(report.damage[..], [Damage::BadLine { line: 2, .. }]));
    assert_eq!(write(&mut saw, "d").expect("recorded").n, 4);
    let read = batch.read_all::<String>().expect("readable");
    assert_eq!(read.entries.iter().map(|entry| entry.n).collect::<Vec<_>>(), [1, 3, 4]);
    assert!(
        damage_words(&read.damage)[0]
            .starts_with("cabinet-saw.jsonl: line 2 is not as it was written")
    );
    assert!(fs::read_to_string(saw_file(&batch)).expect("readable").starts_with(&edited));
}

#[test]
fn a_file_changed_by_something_else_takes_no_line() {
    let (_folder, batch) = batch();
    let mut saw = open(&batch, "cabinet saw");
    write(&mut saw, "a").expect("recorded");
    let whole = fs::read(saw_file(&batch)).expect("readable");
    fs::write(saw_file(&batch), &whole[..10]).expect("written");
    assert!(matches!(write(&mut saw, "b"), Err(StoreError::ChangedOutside { found: 10, .. })));
    fs::write(saw_file(&batch), &whole).expect("written");
    assert!(matches!(write(&mut saw, "b"), Err(StoreError::OpenAgain { .. })));
    drop(saw);
    assert_eq!(write(&mut open(&batch, "cabinet saw"), "b").expect("recorded").n, 2);
}

#[test]
fn a_file_taken_away_takes_no_line_until_it_is_back() {
    let (_folder, batch) = batch();
    let mut saw = open(&batch, "cabinet saw");
    write(&mut saw, "a").expect("recorded");
    let away = batch.path().join("away");
    fs::rename(saw_file(&batch), &away).expect("renamed");
    let refused = write(&mut saw, "b").expect_err("gone").to_string();
    assert!(
        refused.starts_with("Not recorded: ") && refused.contains("not there any more"),
        "{refused}"
    );
    fs::rename(&away, saw_file(&batch)).expect("renamed");
    assert_eq!(write(&mut saw, "b").expect("recorded").n, 2);
    assert_eq!(events(&batch), ["a", "b"]);
}

/// Starts one of the ignored tests below in a process of its own.
fn child(program: &mut Command, test: &str, home: &Path) -> std::process::Child {
    let started = program.args(["--exact", test, "--ignored", "--nocapture"]).env(HOME, home);
    started.stdout(Stdio::piped()).spawn().expect("this program can be started again")
}

/// Finds the parent's batch; there is none when these tests are started by themselves.
fn batch_of_parent() -> Option<BatchFolder> {
    let home =
        Home::locate(Some(PathBuf::from(std::env::var_os(HOME)?))).expect("named by the parent");
    Some(BatchFolder::open(&home, "ferry bench").expect("made by the parent"))
}

/// Always: A line that was acknowledged survives a kill.
#[test]
fn every_acknowledged_line_survives_a_kill() {
    let (folder, batch) = batch();
    let this = std::env::current_exe().expect("known");
    let mut acknowledged = 0;
    for lines in [1, 2, 3, 5, 8, 13, 21, 34, 55, 89, 144, 7] {
        let mut writer =
            child(&mut Command::new(&this), "journal::writes_until_killed", home(&folder).path());
        let output = BufReader::new(writer.stdout.take().expect("piped"));
        let mut told = 0;
        for line in output.lines() {
            let line = line.expect("text");
            let Some(n) = line.strip_prefix("recorded ") else { continue };
            acknowledged = n.parse().expect("a number");
            told += 1;
            if told == lines {
                // What it still writes before it dies stays in the pipe and is read too.
                writer.kill().expect("running");
            }
        }
        writer.wait().expect("ended");
        assert!(told >= lines);
        let read = batch.read_all::<String>().expect("readable");
        let numbers: Vec<u64> = read.entries.iter().map(|entry| entry.n).collect();
        let last = *numbers.last().expect("lines");
        assert_eq!(numbers, (1..=last).collect::<Vec<_>>());
        assert!(last >= acknowledged, "line {acknowledged} was acknowledged and is gone");
        assert!(read.damage.iter().all(|found| matches!(found.damage, Damage::TornTail { .. })));
    }
}

#[test]
#[ignore = "started by every_acknowledged_line_survives_a_kill"]
fn writes_until_killed() {
    let Some(batch) = batch_of_parent() else { return };
    let mut saw = open(&batch, "cabinet saw");
    loop {
        let entry = write(&mut saw, &"seven eighths ".repeat(20)).expect("recorded");
        println!("recorded {}", entry.n);
    }
}

/// Always: A full disk records nothing, and the program says so.
///
/// A limit on the size of files stands for a full disk: both take part of a line and refuse the rest.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_records_nothing_and_says_so() {
    let (folder, batch) = batch();
    let mut shell = Command::new("sh");
    shell
        .args(["-c", r#"trap "" XFSZ; ulimit -f 8; exec "$0" "$@""#])
        .arg(std::env::current_exe().expect("known"));
    let output = child(&mut shell, "journal::writes_until_full", home(&folder).path())
        .wait_with_output()
        .expect("ended");
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success() && said.contains("1 passed"), "{said}");
    // Room was made: work goes on where it stopped.
    let before = events(&batch).len() as u64;
    assert_eq!(write(&mut open(&batch, "cabinet saw"), "a").expect("recorded").n, before + 1);
}

#[test]
#[ignore = "started by a_full_disk_records_nothing_and_says_so"]
fn writes_until_full() {
    let Some(batch) = batch_of_parent() else { return };
    let mut saw = open(&batch, "cabinet saw");
    let mut recorded = 0;
    let refused = loop {
        match write(&mut saw, &"seven eighths ".repeat(20)) {
            Ok(entry) => recorded = entry.n,
            Err(refused) => break refused.to_string(),
        }
        assert!(recorded < 1000, "the limit does not hold");
    };
    assert!(refused.starts_with("Not recorded: "), "{refused}");
    assert!(recorded > 2);
    let whole = fs::read(saw_file(&batch)).expect("readable");
    assert!(whole.ends_with(b"\n"), "the part that was taken is cut off again");
    // Refused again while the disk is full, and lines stay in order; something smaller may fit.
    assert!(write(&mut saw, &"seven eighths ".repeat(20)).is_err());
    let read = batch.read_all::<String>().expect("readable");
    assert_eq!((read.entries.len() as u64, read.damage.len()), (recorded, 0));
}
