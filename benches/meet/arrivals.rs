//! When lines arrive in the folders of other stations: the system says when a file was closed
//! after lines were added, which is when they are on its disk.

use std::collections::HashMap;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::mem::MaybeUninit;
use std::os::fd::OwnedFd;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use benchway::journal::JournalEntry;
use rustix::fs::inotify;
use serde::de::IgnoredAny;

use super::shops::Terminal;

/// Watches the folder of every terminal.
pub struct Arrivals<'a> {
    terminals: &'a [Terminal],
    watch: OwnedFd,
    /// The terminal of each watched folder.
    watched: HashMap<i32, usize>,
    /// How far each file was read, by terminal and writer.
    read: HashMap<(usize, usize), u64>,
    /// How many arrived.
    pub count: AtomicUsize,
    pub is_over: AtomicBool,
}

impl<'a> Arrivals<'a> {
    /// Begins to watch: lines that are there already don't count.
    pub fn watch(terminals: &'a [Terminal]) -> Arrivals<'a> {
        let watch = inotify::init(inotify::CreateFlags::NONBLOCK).expect("the system can watch");
        let mut watched = HashMap::new();
        let mut read = HashMap::new();
        for (at, terminal) in terminals.iter().enumerate() {
            let closed = inotify::WatchFlags::CLOSE_WRITE;
            let id = inotify::add_watch(&watch, terminal.folder.path(), closed);
            watched.insert(id.expect("the system watches a folder for each"), at);
            for writer in writers(terminals, terminal) {
                let path = terminal.folder.path().join(file_of(&terminals[writer]));
                let length = path.metadata().map_or(0, |known| known.len());
                read.insert((at, writer), length);
            }
        }
        let (count, is_over) = (AtomicUsize::new(0), AtomicBool::new(false));
        Arrivals { terminals, watch, watched, read, count, is_over }
    }

    /// How late each line was, until it is over.
    pub fn lags(&self) -> Vec<u32> {
        let mut read = self.read.clone();
        let mut lags = Vec::new();
        let mut space = [MaybeUninit::uninit(); 64 * 1024];
        let mut events = inotify::Reader::new(&self.watch, &mut space);
        loop {
            match events.next() {
                Ok(event) => {
                    let now = Instant::now();
                    let name = event.file_name().and_then(|name| name.to_str().ok());
                    if event.events().contains(inotify::ReadFlags::QUEUE_OVERFLOW) {
                        // The system forgot some: every file is looked at.
                        self.all_arrived(now, &mut read, &mut lags);
                    } else if let (Some(at), Some(name)) = (self.watched.get(&event.wd()), name) {
                        self.arrived((*at, name), now, &mut read, &mut lags);
                    }
                    self.count.store(lags.len(), Ordering::Relaxed);
                }
                Err(_) if self.is_over.load(Ordering::Relaxed) => return lags,
                Err(_) => std::thread::sleep(Duration::from_millis(1)),
            }
        }
    }

    fn all_arrived(
        &self,
        now: Instant,
        read: &mut HashMap<(usize, usize), u64>,
        lags: &mut Vec<u32>,
    ) {
        for (at, terminal) in self.terminals.iter().enumerate() {
            for writer in writers(self.terminals, terminal) {
                self.arrived((at, &file_of(&self.terminals[writer])), now, read, lags);
            }
        }
    }

    /// Reads what was added to a file.
    fn arrived(
        &self,
        (at, name): (usize, &str),
        now: Instant,
        read: &mut HashMap<(usize, usize), u64>,
        lags: &mut Vec<u32>,
    ) {
        let terminal = &self.terminals[at];
        let mut writers = writers(self.terminals, terminal);
        let Some(writer) = writers.find(|writer| file_of(&self.terminals[*writer]) == name) else {
            return;
        };
        let from = read.entry((at, writer)).or_default();
        let mut text = String::new();
        let Ok(mut file) = File::open(terminal.folder.path().join(name)) else { return };
        file.seek(SeekFrom::Start(*from))
            .and_then(|_| file.read_to_string(&mut text))
            .expect("read");
        let whole = text.rfind('\n').map_or(0, |end| end + 1);
        *from += whole as u64;
        for line in text[..whole].lines() {
            let line: JournalEntry<IgnoredAny> = serde_json::from_str(line).expect("a line");
            let synced = self.terminals[writer].journal().synced(line.n);
            let synced = synced.expect("a line is written before it arrives");
            lags.push((now - synced).as_micros() as u32);
            terminal.journal().seen.take(&line);
        }
    }
}

/// The other terminals of the shop of one.
fn writers<'a>(
    terminals: &'a [Terminal],
    of: &'a Terminal,
) -> impl Iterator<Item = usize> + use<'a> {
    let is_other = |other: &Terminal| other.shop == of.shop && other.name != of.name;
    (0..terminals.len()).filter(move |at| is_other(&terminals[*at]))
}

fn file_of(terminal: &Terminal) -> String {
    format!("{}.jsonl", terminal.name)
}
