//! What starting the traveler costs, in a real pseudo-terminal, and what a key and doing
//! nothing cost there. Times are ratios of two medians taken in turn in one run, because
//! computers differ.
//!
//! `cargo bench --bench start` prints the table of `benches/start.md`.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

mod ratio;
#[path = "../tests/support/terminal/mod.rs"]
mod terminal;

use ratio::ratio;
use terminal::Terminal;

const BENCHWAY: &str = env!("CARGO_BIN_EXE_benchway");

/// How this bench is called to be the empty program: one drawing, then a key.
const EMPTY: &str = "--the-empty-program";

const WINDOW: (u16, u16) = (80, 24);

/// How often each start is measured.
const TRIES: usize = 31;

/// A drawing ends with this.
const DRAWN: &[u8] = b"\x1b[?2026l";

/// A home with so many batches of a stool beside the one called `mine`.
fn home(others: usize) -> tempfile::TempDir {
    let home = tempfile::tempdir().expect("a folder");
    let batches = home.path().join("batches");
    let script =
        "printf 'mb\\n\\nq\\n' | \"$0\" walk --plain reading-stool --articles 2 --name mine";
    let begun = Command::new("sh")
        .args(["-c", script, BENCHWAY])
        .env("BENCHWAY_HOME", &batches)
        .stdout(Stdio::null())
        .status();
    assert!(begun.expect("started").success(), "a batch is begun");
    let mine = batches.join("mine");
    for n in 1..=others {
        let other = batches.join(format!("other {n}"));
        fs::create_dir(&other).expect("made");
        for item in fs::read_dir(&mine).expect("listed") {
            let path = item.expect("listed").path();
            fs::copy(&path, other.join(path.file_name().expect("a name"))).expect("copied");
        }
    }
    home
}

fn has(raw: &[u8], sought: &[u8]) -> bool {
    raw.windows(sought.len()).any(|window| window == sought)
}

/// From the start of a program until it has drawn for the first time.
fn first_frame(program: &str, arguments: &[&str], home: &Path, drawn: &[u8]) -> Duration {
    let begun = Instant::now();
    let terminal = Terminal::start(program, arguments, home, &[], WINDOW);
    terminal.wait("a first drawing", |shown| has(&shown.raw, drawn));
    begun.elapsed()
}

/// The bytes that the terminal is sent for a figure.
fn bytes_of_a_figure(home: &Path) -> usize {
    let mut terminal = Terminal::start(BENCHWAY, &["walk", "mine"], home, &[], WINDOW);
    terminal.wait_for("at the machine?");
    std::thread::sleep(Duration::from_millis(300));
    // The first one changes what the keys do, and the row that says so.
    let mut before = 0;
    for figure in ["1", "2"] {
        before = terminal.drawn().raw.len();
        terminal.send(figure);
        terminal.wait("a figure", |shown| has(&shown.raw[before..], DRAWN));
    }
    let sent = terminal.drawn().raw.len() - before;
    drop(terminal);
    sent
}

/// How often any thread of the program was woken in five seconds of nothing.
fn wakes_when_idle(home: &Path) -> u64 {
    let terminal = Terminal::start(BENCHWAY, &["walk", "mine"], home, &[], WINDOW);
    terminal.wait_for("at the machine?");
    std::thread::sleep(Duration::from_secs(1));
    let tasks = format!("/proc/{}/task", terminal.process().as_raw_nonzero());
    let switches = || -> u64 {
        let tasks = fs::read_dir(&tasks).expect("the threads of the program");
        let statuses = tasks.map(|task| task.expect("a thread").path().join("status"));
        let texts = statuses.map(|path| fs::read_to_string(path).expect("its status"));
        let of = |text: String| -> u64 {
            let lines =
                text.lines().filter_map(|line| line.strip_prefix("voluntary_ctxt_switches:"));
            lines.map(|count| count.trim().parse::<u64>().expect("a count")).sum()
        };
        texts.map(of).sum()
    };
    let before = switches();
    std::thread::sleep(Duration::from_secs(5));
    switches() - before
}

fn empty_program() {
    ratatui::run(|terminal| {
        terminal.draw(|frame| frame.render_widget("ready", frame.area()))?;
        crossterm::event::read().map(drop)
    })
    .expect("drawn");
}

fn main() {
    if std::env::args().any(|argument| argument == EMPTY) {
        return empty_program();
    }
    let own = std::env::current_exe().expect("the bench itself");
    let own = own.to_str().expect("a path in UTF-8");
    let nowhere = tempfile::tempdir().expect("a folder");
    let (alone, among) = (home(1), home(1000));
    let walk = |home: &Path| first_frame(BENCHWAY, &["walk", "mine"], home, DRAWN);
    let list = |home: &Path| {
        let _ = fs::remove_file(home.join("batches/summaries.json"));
        first_frame(BENCHWAY, &[], home, DRAWN)
    };
    println!("| what | measured | goal, at most |");
    println!("| --- | --- | --- |");
    let row = |what: &str, ratio: f64, goal: f64| println!("| {what} | {ratio:.2} | {goal} |");
    row(
        "first frame of a named batch, 1,000 others over 1",
        ratio(TRIES, || walk(among.path()), || walk(alone.path())),
        1.5,
    );
    row(
        "first frame of the list, 1,000 batches over 1",
        ratio(TRIES, || list(among.path()), || list(alone.path())),
        1.5,
    );
    row(
        "first frame of the list without a batch, over an empty program",
        ratio(
            TRIES,
            || list(nowhere.path()),
            || first_frame(own, &[EMPTY], nowhere.path(), b"ready"),
        ),
        3.0,
    );
    println!(
        "| bytes sent to the terminal for a figure | {} | 66 |",
        bytes_of_a_figure(alone.path())
    );
    println!("| wakes in 5 s of nothing | {} | 0 |", wakes_when_idle(alone.path()));
}
