//! A real pseudo-terminal with the traveler in it, and a model of its screen.
//! Knows nothing of batches, nor of what any test wants to see.
#![allow(dead_code, reason = "each test file uses the part it needs")]

use std::io::{Read, Write};
use std::num::NonZeroU16;
use std::path::Path;
use std::sync::{Arc, Condvar, Mutex, MutexGuard};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, ExitStatus, MasterPty, PtySize, native_pty_system};
use rustix::process::{Pid, Signal};

/// Long enough for a busy computer; only a failing test reaches it.
const PATIENCE: Duration = Duration::from_secs(20);

/// What the program has drawn so far.
pub struct Drawn {
    pub parser: vt100::Parser,
    pub raw: Vec<u8>,
    ended: bool,
    unplugged: bool,
}

impl Drawn {
    pub fn text(&self) -> String {
        self.parser.screen().contents()
    }

    /// How many times the whole screen was drawn, as the program marks it.
    pub fn drawings(&self) -> usize {
        count(&self.raw, b"\x1b[?2026l")
    }
}

/// The operation that a screen names on its first line.
pub fn op_on(text: &str) -> Option<u32> {
    text.lines().next()?.strip_prefix("op ")?.split_whitespace().next()?.parse().ok()
}

fn count(raw: &[u8], sought: &[u8]) -> usize {
    raw.windows(sought.len()).filter(|window| *window == sought).count()
}

type Shared = Arc<(Mutex<Drawn>, Condvar)>;

pub struct Terminal {
    // None once the terminal is unplugged.
    master: Option<Box<dyn MasterPty + Send>>,
    keyboard: Option<Box<dyn Write + Send>>,
    reader: Option<JoinHandle<()>>,
    child: Box<dyn Child + Send + Sync>,
    shared: Shared,
}

impl Terminal {
    /// Starts a program without the developer's own environment.
    pub fn start(
        program: &str,
        arguments: &[&str],
        home: &Path,
        surroundings: &[(&str, &str)],
        (columns, rows): (u16, u16),
    ) -> Terminal {
        let pair = native_pty_system().openpty(size(columns, rows)).expect("a pseudo-terminal");
        let mut command = CommandBuilder::new(program);
        command.args(arguments);
        command.cwd(home);
        command.env_clear();
        command.env("TERM", "xterm-256color");
        command.env("LANG", "C.UTF-8");
        command.env("TZ", "UTC");
        command.env("HOME", home);
        command.env("BENCHWAY_HOME", home.join("batches"));
        command.env("PATH", std::env::var_os("PATH").unwrap_or_default());
        for (name, value) in surroundings {
            command.env(name, value);
        }
        let child = pair.slave.spawn_command(command).expect("the program starts");
        // Held open, it would keep the output from ever ending.
        drop(pair.slave);
        let reader = pair.master.try_clone_reader().expect("a reader");
        let keyboard = pair.master.take_writer().expect("a writer");
        let parser = vt100::Parser::new(cells(rows), cells(columns), 0);
        let shared: Shared = Arc::new((
            Mutex::new(Drawn { parser, raw: vec![], ended: false, unplugged: false }),
            Condvar::new(),
        ));
        let theirs = Arc::clone(&shared);
        let reader = Some(std::thread::spawn(move || take_in(reader, &theirs)));
        Terminal { master: Some(pair.master), keyboard: Some(keyboard), reader, child, shared }
    }

    pub fn send(&mut self, keys: &str) {
        let keyboard = self.keyboard.as_mut().expect("still plugged in");
        keyboard.write_all(keys.as_bytes()).expect("keys are taken");
        keyboard.flush().expect("keys are taken");
    }

    /// Waits until what is drawn, or what was written before it was drawn, is
    /// as asked. Woken by output alone.
    #[track_caller]
    pub fn wait(&self, what: &str, as_asked: impl Fn(&Drawn) -> bool) {
        let deadline = Instant::now() + PATIENCE;
        let mut drawn = self.drawn();
        while !as_asked(&drawn) {
            let left = deadline.saturating_duration_since(Instant::now());
            if left.is_zero() || drawn.ended {
                let (text, how) = (drawn.text(), if drawn.ended { "ended" } else { "waited" });
                // The reader goes on: a test that fails takes only itself down.
                drop(drawn);
                panic!("{how} without {what}; screen:\n{text}");
            }
            drawn = self.shared.1.wait_timeout(drawn, left).expect("no reader panics").0;
        }
    }

    #[track_caller]
    pub fn wait_for(&self, text: &str) {
        self.wait(text, |drawn| drawn.text().contains(text));
    }

    #[track_caller]
    pub fn wait_until_gone(&self, text: &str) {
        self.wait(&format!("screen without {text}"), |drawn| !drawn.text().contains(text));
    }

    pub fn drawn(&self) -> MutexGuard<'_, Drawn> {
        self.shared.0.lock().expect("no reader panics")
    }

    pub fn text(&self) -> String {
        self.drawn().text()
    }

    /// Changes the size of the window, and waits until it is drawn anew.
    #[track_caller]
    pub fn resize(&self, columns: u16, rows: u16) {
        let before = self.drawn().raw.len();
        self.drawn().parser.screen_mut().set_size(cells(rows), cells(columns));
        let master = self.master.as_ref().expect("still plugged in");
        // The system tells the program.
        master.resize(size(columns, rows)).expect("resized");
        self.wait(&format!("a drawing at {columns}x{rows}"), |drawn| {
            let since = &drawn.raw[before..];
            let cleared = since.windows(4).position(|window| window == b"\x1b[2J");
            cleared.is_some_and(|at| count(&since[at..], b"\x1b[?2026l") > 0)
        });
    }

    pub fn process(&self) -> Pid {
        let id = self.child.process_id().expect("started");
        Pid::from_raw(id as i32).expect("no process is number nought")
    }

    pub fn signal(&self, signal: Signal) {
        rustix::process::kill_process(self.process(), signal).expect("still running");
    }

    /// Closes the window, and waits until the program has ended.
    pub fn hang_up(&mut self) -> ExitStatus {
        self.drawn().unplugged = true;
        // Something to read, so that the reader sees it.
        let master = self.master.take().expect("still plugged in");
        master.resize(size(81, 25)).expect("resized");
        let reader = self.reader.take().expect("still reading");
        reader.join().expect("no reader panics");
        drop(master);
        self.keyboard = None;
        let deadline = Instant::now() + PATIENCE;
        loop {
            if let Some(status) = self.child.try_wait().expect("its exit code") {
                return status;
            }
            assert!(Instant::now() < deadline, "still there without a window");
            // Only asking the system shows that it has ended.
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Waits until the program has ended and its last output is taken in.
    #[track_caller]
    pub fn ended(&mut self) -> ExitStatus {
        let deadline = Instant::now() + PATIENCE;
        let mut drawn = self.shared.0.lock().expect("no reader panics");
        while !drawn.ended {
            let left = deadline.saturating_duration_since(Instant::now());
            if left.is_zero() {
                let text = drawn.text();
                drop(drawn);
                panic!("never ended; screen:\n{text}");
            }
            drawn = self.shared.1.wait_timeout(drawn, left).expect("no reader panics").0;
        }
        drop(drawn);
        self.child.wait().expect("its exit code")
    }

    /// Whether the terminal is as the shell left it.
    #[track_caller]
    pub fn is_put_back(&self) {
        let drawn = self.drawn();
        let screen = drawn.parser.screen();
        assert!(!screen.alternate_screen(), "still on the other screen:\n{}", drawn.text());
        assert!(!screen.hide_cursor(), "no cursor");
        assert!(!screen.bracketed_paste(), "pastes still in brackets");
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn take_in(mut reader: Box<dyn Read + Send>, shared: &Shared) {
    let mut bytes = [0; 4096];
    loop {
        // An error is how some systems say that the other end is gone.
        let count = reader.read(&mut bytes).unwrap_or(0);
        let mut drawn = shared.0.lock().expect("no waiter panics while it holds this");
        drawn.parser.process(&bytes[..count]);
        drawn.raw.extend_from_slice(&bytes[..count]);
        drawn.ended |= count == 0;
        shared.1.notify_all();
        if drawn.ended || drawn.unplugged {
            return;
        }
    }
}

fn size(columns: u16, rows: u16) -> PtySize {
    PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 }
}

fn cells(count: u16) -> NonZeroU16 {
    NonZeroU16::new(count).expect("no test asks for an empty window")
}
