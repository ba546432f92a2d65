//! The batches of a folder as they are exchanged: whole lines, byte for byte. It must not know what
//! the events mean, nor where the lines go.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::Path;

use chrono::{DateTime, FixedOffset};
use serde::Deserialize;

use super::batch_id::BatchId;
use super::folder::BatchFolder;
use super::home::Home;
use super::name::{objection, suitable};
use super::scan::line_head;
use super::station_file::StationFile;
use super::store_error::{StoreError, refused};

/// A line of a station, as its file holds it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MirroredLine {
    /// Its number at its station.
    pub n: u64,
    /// The line without its newline.
    pub text: String,
}

impl MirroredLine {
    /// Its place in the order of all stations, as far as one number says.
    pub fn place(&self) -> u64 {
        #[derive(Deserialize)]
        struct LinePlace {
            after: u64,
        }
        serde_json::from_str::<LinePlace>(&self.text).map_or(u64::MAX, |place| place.after)
    }
}

/// A batch of this folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MirroredBatch {
    /// Its identity.
    pub id: BatchId,
    /// What it was called when it began.
    pub name: String,
    /// The station that began it.
    pub begun_by: String,
    /// When that was, as its first line says.
    pub begun: Option<DateTime<FixedOffset>>,
    /// Where it is.
    pub folder: BatchFolder,
}

/// How far a station's file was read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct FileReach {
    /// Bytes up to the last newline.
    bytes: u64,
    /// The number of its last line.
    last: u64,
}

/// The batches of a folder, and how far each file was read.
#[derive(Debug)]
pub struct Mirror {
    home: Home,
    batches: BTreeMap<BatchId, MirroredBatch>,
    /// The identities of folders that were looked into; none where one is no part of this.
    looked_into: BTreeMap<String, Option<BatchId>>,
    reached: BTreeMap<(BatchId, String), FileReach>,
    /// Up to where each file was handed on.
    handed_on: BTreeMap<(BatchId, String), FileReach>,
}

impl Mirror {
    /// The batches of this folder.
    pub fn of(home: Home) -> Mirror {
        Mirror {
            home,
            batches: BTreeMap::new(),
            looked_into: BTreeMap::new(),
            reached: BTreeMap::new(),
            handed_on: BTreeMap::new(),
        }
    }

    /// Looks for batches that came or went, under way and archived. Invented ones and those
    /// whose first line can't be read are left out.
    pub fn look(&mut self) -> Result<(), StoreError> {
        let mut folders = self.home.batches()?;
        folders.extend(self.home.archived()?);
        let mut held = BTreeMap::new();
        for folder in folders {
            let key = folder.path().to_string_lossy().into_owned();
            let id = match self.looked_into.get(&key) {
                Some(known) => *known,
                None => {
                    let found = beginning_of(&folder);
                    let id = found.as_ref().map(|found| found.id);
                    self.looked_into.insert(key, id);
                    if let Some(found) = found {
                        self.batches.insert(found.id, found);
                    }
                    id
                }
            };
            if let Some(id) = id
                && let Some(mut batch) = self.batches.remove(&id)
            {
                batch.folder = folder;
                held.insert(id, batch);
            }
        }
        self.batches = held;
        Ok(())
    }

    /// The batches, by identity.
    pub fn batches(&self) -> impl Iterator<Item = &MirroredBatch> {
        self.batches.values()
    }

    /// A batch by its identity.
    pub fn batch(&self, id: BatchId) -> Option<&MirroredBatch> {
        self.batches.get(&id)
    }

    /// The number of the last line that each station of a batch has here.
    pub fn known(&mut self, id: BatchId) -> Result<BTreeMap<String, u64>, StoreError> {
        let Some(batch) = self.batches.get(&id) else { return Ok(BTreeMap::new()) };
        let folder = batch.folder.clone();
        let mut known = BTreeMap::new();
        for station in folder.stations()? {
            let reach = self.reach(id, &folder, &station)?;
            known.insert(station, reach.last);
        }
        Ok(known)
    }

    /// The lines of a station behind a number, at most so many; those that can't be read are
    /// left out. What follows a line of another batch isn't handed on, because nobody could
    /// ever take it back.
    pub fn lines_after(
        &mut self,
        id: BatchId,
        station: &str,
        after: u64,
        most: usize,
    ) -> Result<Vec<MirroredLine>, StoreError> {
        let Some(batch) = self.batches.get(&id) else { return Ok(Vec::new()) };
        let (folder, begun) = (batch.folder.clone(), batch.begun);
        let key = (id, station.to_owned());
        // A long file isn't read again for each line that is added to it.
        let from = self.handed_on.get(&key).filter(|reach| reach.last <= after).copied();
        let mut from = from.unwrap_or_default();
        let path = folder.station_file(station);
        if !path.exists() {
            return Ok(Vec::new());
        }
        let length = folder.disk.length(&path).map_err(refused("look at", &path))?;
        if length < from.bytes {
            from = FileReach::default();
        }
        if length == from.bytes {
            return Ok(Vec::new());
        }
        let bytes = folder.disk.read_from(&path, from.bytes).map_err(refused("read", &path))?;
        let mut lines: Vec<MirroredLine> = Vec::new();
        let mut reach = from;
        for (text, end) in whole_lines(&bytes) {
            let sound = sound_line(text, station);
            if lines.is_empty() && sound.as_ref().is_none_or(|(n, _)| *n <= after) {
                let last = sound.map_or(reach.last, |(n, _)| n);
                reach = FileReach { bytes: from.bytes + end, last: reach.last.max(last) };
            } else if let Some((n, text)) = sound.filter(|(n, _)| *n > after) {
                if is_of_another(&text, begun) {
                    break;
                }
                lines.push(MirroredLine { n, text });
                if lines.len() == most {
                    break;
                }
            }
        }
        self.handed_on.insert(key, reach);
        Ok(lines)
    }

    /// Makes the folder of a batch that came from elsewhere, with the lines it began with. Where
    /// its name is taken by another batch it has the station's name behind its own.
    pub fn begin(
        &mut self,
        (id, name, begun_by): (BatchId, &str, &str),
        (route, shop): (&str, &str),
        first: &[MirroredLine],
    ) -> Result<(), StoreError> {
        let text: String = first.iter().map(|line| line.text.clone() + "\n").collect();
        let base = if objection(name).is_none() { name.to_owned() } else { suitable(name) };
        let apart = format!("{base} from {begun_by}");
        let numbered = (2..100).map(|count| format!("{apart} {count}"));
        let mut refused = None;
        for name in [base, apart.clone()].into_iter().chain(numbered) {
            let made = BatchFolder::create_begun(
                &self.home,
                &name,
                (route, shop),
                Some((begun_by, &text)),
            );
            match made {
                Ok(folder) => {
                    self.looked_into.insert(folder.path().to_string_lossy().into_owned(), Some(id));
                    let begun = first.first().and_then(|line| LineTimes::of(&line.text)?.at);
                    let begun_by = begun_by.to_owned();
                    self.batches.insert(id, MirroredBatch { id, name, begun_by, begun, folder });
                    return Ok(());
                }
                Err(why @ StoreError::Exists { .. }) => refused = Some(why),
                Err(why) => return Err(why),
            }
        }
        refused.map_or(Ok(()), Err)
    }

    /// Adds lines that came from elsewhere to the file of their station. Nothing is written
    /// where somebody has that station open here: then its file is the one they come from.
    /// Answers how many lines that file lacks in such a case.
    pub fn add(
        &mut self,
        id: BatchId,
        station: &str,
        lines: &[MirroredLine],
    ) -> Result<u64, StoreError> {
        let Some(batch) = self.batches.get(&id) else { return Ok(0) };
        let folder = batch.folder.clone();
        let reach = self.reach(id, &folder, station)?;
        let is_fresh = |line: &&MirroredLine| line.n > reach.last;
        let lacking = lines.iter().filter(is_fresh).count() as u64;
        if lacking == 0 {
            return Ok(0);
        }
        let Some(file) = StationFile::take(&folder, station)? else {
            return Ok(lacking);
        };
        // Somebody may have written until the file was taken.
        let reach = self.reach(id, &folder, station)?;
        let (mut text, mut last) = (String::new(), reach.last);
        for line in lines {
            // Numbers rise in a file: what comes twice or late has no place in it.
            if line.n > last {
                last = line.n;
                text.push_str(&line.text);
                text.push('\n');
            }
        }
        file.add(reach.bytes, text.as_bytes())?;
        if last > reach.last {
            let reach = FileReach { bytes: reach.bytes + text.len() as u64, last };
            self.reached.insert((id, station.to_owned()), reach);
        }
        Ok(0)
    }

    /// How far a station's file reaches now; only what was added is read.
    fn reach(
        &mut self,
        id: BatchId,
        folder: &BatchFolder,
        station: &str,
    ) -> Result<FileReach, StoreError> {
        let path = folder.station_file(station);
        let key = (id, station.to_owned());
        let mut reach = self.reached.get(&key).copied().unwrap_or_default();
        if !path.exists() {
            return Ok(FileReach::default());
        }
        let length = folder.disk.length(&path).map_err(refused("look at", &path))?;
        if length < reach.bytes {
            reach = FileReach::default();
        }
        if length != reach.bytes {
            let bytes =
                folder.disk.read_from(&path, reach.bytes).map_err(refused("read", &path))?;
            let from = reach.bytes;
            for (text, end) in whole_lines(&bytes) {
                reach.bytes = from + end;
                let numbered = sound_line(text, station).map(|(n, _)| n);
                reach.last = reach.last.max(numbered.unwrap_or(0));
            }
            self.reached.insert(key, reach);
        }
        Ok(reach)
    }
}

/// The whole lines, each without what ends it, and where the next one begins.
fn whole_lines(bytes: &[u8]) -> impl Iterator<Item = (&[u8], u64)> {
    let whole = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    let mut end = 0;
    bytes[..whole].split_inclusive(|byte| *byte == b'\n').map(move |line| {
        end += line.len() as u64;
        let line = &line[..line.len() - 1];
        (line.strip_suffix(b"\r").unwrap_or(line), end)
    })
}

/// A line whose checksum is right and that the station wrote, with its number.
fn sound_line(text: &[u8], station: &str) -> Option<(u64, String)> {
    let (n, by) = line_head(text)?;
    (by == station).then(|| (n, String::from_utf8_lossy(text).into_owned()))
}

/// Whether a line that came from elsewhere is what it is said to be.
pub fn is_sound(line: &MirroredLine, station: &str) -> bool {
    sound_line(line.text.as_bytes(), station).is_some_and(|(n, _)| n == line.n)
}

/// When a line was written, and when its batch began where it says so.
#[derive(Deserialize)]
struct LineTimes {
    at: Option<DateTime<FixedOffset>>,
    begun: Option<DateTime<FixedOffset>>,
}

impl LineTimes {
    fn of(line: &str) -> Option<LineTimes> {
        serde_json::from_str(line).ok()
    }
}

/// Whether a line says that it belongs to another batch than the one begun then.
fn is_of_another(line: &str, begun: Option<DateTime<FixedOffset>>) -> bool {
    // Most lines don't say: only the first one after a batch was opened does.
    line.contains("\"begun\"")
        && begun.zip(LineTimes::of(line).and_then(|line| line.begun)).is_some_and(|(a, b)| a != b)
}

/// The first line of a batch, as far as its identity goes.
#[derive(Deserialize)]
struct FirstLine {
    at: DateTime<FixedOffset>,
    event: FirstEvent,
}

#[derive(Deserialize)]
struct FirstEvent {
    started: Option<StartedId>,
}

#[derive(Deserialize)]
struct StartedId {
    batch: String,
    id: Option<BatchId>,
}

/// The identity of a batch, and who began it: said by the file that begins with its first line.
pub(super) fn beginning_of(folder: &BatchFolder) -> Option<MirroredBatch> {
    folder.stations().ok()?.into_iter().find_map(|station| {
        let line = first_line(&folder.station_file(&station))?;
        sound_line(&line, &station).filter(|(n, _)| *n == 1)?;
        let first: FirstLine = serde_json::from_slice(&line).ok()?;
        let started = first.event.started?;
        let id = started.id.unwrap_or_else(|| BatchId::worked_out(&line));
        let (folder, begun) = (folder.clone(), Some(first.at));
        Some(MirroredBatch { id, name: started.batch, begun_by: station, begun, folder })
    })
}

/// The first line of a file, where it is whole.
fn first_line(path: &Path) -> Option<Vec<u8>> {
    let mut line = Vec::new();
    BufReader::new(File::open(path).ok()?).read_until(b'\n', &mut line).ok()?;
    let line = line.strip_suffix(b"\n")?;
    Some(line.strip_suffix(b"\r").unwrap_or(line).to_vec())
}

#[cfg(test)]
mod tests;
