//! A station as a real program: the traveler line by line, with a folder of its own, that a
//! test types into and kills.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};

use super::database::PASSWORD;

/// A terminal with a folder of its own.
pub struct Station {
    pub name: String,
    pub home: PathBuf,
    address: String,
    /// How many days its clock is wrong.
    days_wrong: i64,
    running: Option<(Child, ChildStdin)>,
}

impl Station {
    pub fn new(place: &Path, name: &str, address: String, days_wrong: i64) -> Station {
        let home = place.join(name);
        std::fs::create_dir_all(&home).expect("a folder for the station");
        Station { name: name.to_owned(), home, address, days_wrong, running: None }
    }

    /// Runs a command to its end: its exit code, and what it prints and complains of.
    pub fn run(&self, arguments: &[&str]) -> (i32, String, String) {
        let ran = self.command(arguments).output().expect("the program was built");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        (ran.status.code().unwrap_or(-1), text(&ran.stdout), text(&ran.stderr))
    }

    /// Whether the traveler runs.
    pub fn is_running(&mut self) -> bool {
        match &mut self.running {
            Some((child, _)) => matches!(child.try_wait(), Ok(None)),
            None => false,
        }
    }

    /// Starts the traveler.
    pub fn start(&mut self, arguments: &[&str]) {
        let mut command = self.command(arguments);
        let log = std::fs::File::options()
            .create(true)
            .append(true)
            .open(self.home.join("said.txt"))
            .expect("a file for what it says");
        command.stdin(Stdio::piped()).stdout(log.try_clone().expect("copied")).stderr(log);
        let mut child = command.spawn().expect("the program was built");
        let input = child.stdin.take().expect("it is a pipe");
        self.running = Some((child, input));
    }

    /// Types a line; nothing where the traveler is gone.
    pub fn type_line(&mut self, line: &str) {
        if let Some((_, input)) = &mut self.running {
            let _ = writeln!(input, "{line}");
        }
    }

    /// Ends the traveler as a power cut does.
    pub fn kill(&mut self) {
        if let Some((mut child, _)) = self.running.take() {
            let _ = child.kill();
            let _ = child.wait();
        }
    }

    /// Lets the traveler come to its end.
    pub fn leave(&mut self) {
        if let Some((mut child, input)) = self.running.take() {
            drop(input);
            let _ = child.wait();
        }
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let program = env!("CARGO_BIN_EXE_benchway");
        let mut command = match self.days_wrong {
            0 => Command::new(program),
            days => {
                let mut command = Command::new("faketime");
                command.args(["-f", &format!("{days:+}d"), program]);
                command
            }
        };
        command.env_clear().stdin(Stdio::null()).args(arguments);
        command.env("PATH", std::env::var_os("PATH").unwrap_or_default());
        if self.days_wrong != 0 {
            command.env("FAKETIME_DONT_FAKE_MONOTONIC", "1");
        }
        command
            .env("BENCHWAY_HOME", &self.home)
            .env("BENCHWAY_MEET", &self.address)
            .env("BENCHWAY_MEET_PASSWORD", PASSWORD);
        command
    }
}

impl Drop for Station {
    fn drop(&mut self) {
        self.kill();
    }
}
