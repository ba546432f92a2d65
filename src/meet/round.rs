//! One round of the exchange of a shop: tells of new batches, sends the lines of the own
//! station, fetches those of the others, and remembers how far it came.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use super::identity::{Identity, MemberRole};
use super::link::{FetchedLine, MOST_FETCHED, SentLines, ServerBatch, ServerLink};
use super::problem::MeetProblem;
use crate::journal::{BatchId, Home, Mirror, MirroredBatch, MirroredLine, is_sound};

/// Lines of a station that are sent at once.
const MOST_SENT: usize = 1000;

/// More lines of a batch than these come while a terminal catches up; then the order in
/// which stations arrive is not kept within one fetch.
const FEW: usize = 60;

/// Archived batches of the server that are fetched too.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ArchivedBatches {
    /// None.
    None,
    /// The batch of this name.
    Named(String),
    /// All of them.
    All,
}

/// How long a round waits where somebody has a file, and how often in a row. Whoever only looks
/// has it for a moment; whoever works there has the lines already, or an older copy.
const HELD_FOR: Duration = Duration::from_millis(100);
const MOST_HELD_BACK: u32 = 20;

/// Where batches are looked for before a round.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Look {
    /// Nowhere: none came or went.
    #[default]
    Nowhere,
    /// In the folder.
    Here,
    /// In the folder and on the server.
    Everywhere,
}

/// Own lines of one batch that the server lacks.
type UnsentLines = (BatchId, Vec<MirroredLine>);

/// The exchange of one shop.
pub(super) struct ShopExchange {
    pub(super) identity: Identity,
    mirror: Mirror,
    home: Home,
    wanted: ArchivedBatches,
    /// The batches on the server.
    on_server: Vec<ServerBatch>,
    stations: Vec<String>,
    /// The last line of the own station that the server has.
    sent: BTreeMap<BatchId, u64>,
    /// The last line of each station that is here, of batches whose files were looked at.
    known: BTreeMap<BatchId, BTreeMap<String, u64>>,
    /// Batches whose own lines the server has otherwise.
    apart: BTreeSet<BatchId>,
    /// Whether the last round sent or fetched nothing.
    was_empty: bool,
    /// How many rounds in a row could not write what they fetched.
    held_back: u32,
}

impl ShopExchange {
    pub(super) fn of(home: Home, identity: Identity, wanted: ArchivedBatches) -> ShopExchange {
        ShopExchange {
            identity,
            mirror: Mirror::of(home.clone()),
            home,
            wanted,
            on_server: Vec::new(),
            stations: Vec::new(),
            sent: BTreeMap::new(),
            known: BTreeMap::new(),
            apart: BTreeSet::new(),
            was_empty: true,
            held_back: 0,
        }
    }

    /// After a new connection: forgets what the server was believed to have.
    pub(super) fn connected(&mut self) {
        self.sent.clear();
        self.known.clear();
        self.apart.clear();
    }

    /// Looks for batches that came or went, and tells the server of those begun here.
    pub(super) async fn look(&mut self, link: &ServerLink, look: Look) -> Result<(), MeetProblem> {
        if look == Look::Nowhere {
            return Ok(());
        }
        self.mirror.look()?;
        if look == Look::Everywhere {
            self.on_server = link.batches(&self.identity.shop).await?;
            self.stations = link.stations(&self.identity.shop).await?;
        }
        let is_lead = self.identity.role == MemberRole::Lead;
        let own = self.identity.station.clone();
        let is_there =
            |batch: &MirroredBatch| self.on_server.iter().any(|held| held.id == batch.id);
        let may = |batch: &&MirroredBatch| {
            own.is_some() && (is_lead || own.as_deref() == Some(&*batch.begun_by))
        };
        let new: Vec<MirroredBatch> =
            self.mirror.batches().filter(|batch| !is_there(batch)).filter(may).cloned().collect();
        for batch in &new {
            let files = (&*batch.folder.route_json()?, &*batch.folder.shop_json()?);
            let told = ServerBatch {
                id: batch.id,
                name: batch.name.clone(),
                begun_by: batch.begun_by.clone(),
                waits: !is_lead,
                is_archived: false,
            };
            link.announce(&self.identity.shop, &told, files).await?;
        }
        if !new.is_empty() {
            self.on_server = link.batches(&self.identity.shop).await?;
        }
        self.archive_as_the_server();
        Ok(())
    }

    /// Batches that wait for a lead: name and station.
    pub(super) fn waiting(&self) -> Vec<(String, String)> {
        let waits = self.on_server.iter().filter(|batch| batch.waits);
        waits.map(|batch| (batch.name.clone(), batch.begun_by.clone())).collect()
    }

    /// Sends and fetches once; true where there is more of either.
    pub(super) async fn round(&mut self, link: &ServerLink) -> Result<bool, MeetProblem> {
        self.was_empty = true;
        self.begin_new(link).await?;
        self.learn_what_was_sent(link).await?;
        let mut unsent = self.unsent_lines()?;
        let sent_all = unsent.iter().all(|(_, lines)| lines.len() < MOST_SENT);
        // The last ones go with the question for those of others.
        let last = if self.apart.is_empty() { unsent.pop() } else { None };
        self.send(link, unsent).await?;
        let fetched_all = self.fetch(link, last).await?;
        Ok(!(sent_all && fetched_all))
    }

    /// Whether the last round sent and fetched nothing.
    pub(super) fn was_empty(&self) -> bool {
        self.was_empty
    }

    /// Lines of the own station that the server lacks, as far as it is known.
    pub(super) fn unsent(&mut self) -> u64 {
        let Some(own) = self.identity.station.clone() else { return 0 };
        let _ = self.mirror.look();
        let ids: Vec<BatchId> = self.mirror.batches().map(|batch| batch.id).collect();
        let unsent = ids.into_iter().filter_map(|id| {
            let sent = *self.sent.get(&id)?;
            Some(self.mirror.lines_after(id, &own, sent, usize::MAX).ok()?.len() as u64)
        });
        unsent.sum()
    }

    fn is_wanted(&self, batch: &ServerBatch) -> bool {
        // A lead sees what waits, and it comes once it is taken in.
        let is_own = self.identity.station.as_deref() == Some(&*batch.begun_by);
        let is_asked_for = match &self.wanted {
            ArchivedBatches::None => false,
            ArchivedBatches::Named(name) => *name == batch.name,
            ArchivedBatches::All => true,
        };
        (!batch.waits || is_own) && (!batch.is_archived || is_asked_for)
    }

    /// Makes the folders of batches that began elsewhere.
    async fn begin_new(&mut self, link: &ServerLink) -> Result<(), MeetProblem> {
        let new: Vec<ServerBatch> = self
            .on_server
            .iter()
            .filter(|batch| self.is_wanted(batch) && self.mirror.batch(batch.id).is_none())
            .cloned()
            .collect();
        for batch in new {
            let shop = &self.identity.shop;
            let first = link.fetch(shop, &[(batch.id, &batch.begun_by, 0)], None).await?;
            let lines: Vec<MirroredLine> = sound(first).map(|fetched| fetched.line).collect();
            // Without its first line it has no beginning yet.
            if lines.first().is_none_or(|line| line.n != 1) {
                continue;
            }
            let (route, shop_file) = link.files(shop, batch.id).await?;
            self.was_empty = false;
            let named = (batch.id, &*batch.name, &*batch.begun_by);
            self.mirror.begin(named, (&route, &shop_file), &lines)?;
        }
        self.archive_as_the_server();
        Ok(())
    }

    /// What a lead archived is archived here too, unless somebody has it open.
    fn archive_as_the_server(&mut self) {
        let archived: Vec<String> = self
            .on_server
            .iter()
            .filter(|batch| batch.is_archived)
            .filter_map(|batch| self.mirror.batch(batch.id))
            .filter(|batch| !batch.folder.is_archived())
            .map(|batch| batch.folder.name().to_owned())
            .collect();
        let is_any = !archived.is_empty();
        for name in archived {
            // One that is open is archived once it was left.
            let _ = self.home.archive_batch(&name);
        }
        if is_any {
            let _ = self.mirror.look();
        }
    }

    /// Asks the server for the last own line it has, once a connection for each batch, and
    /// compares it with the one here.
    async fn learn_what_was_sent(&mut self, link: &ServerLink) -> Result<(), MeetProblem> {
        let Some(own) = self.identity.station.clone() else { return Ok(()) };
        let is_there = |id: &BatchId| self.mirror.batch(*id).is_some();
        let ids: Vec<BatchId> = self
            .on_server
            .iter()
            .map(|batch| batch.id)
            .filter(|id| !self.sent.contains_key(id) && is_there(id))
            .collect();
        if ids.is_empty() {
            return Ok(());
        }
        let mut last = link.last_lines(&self.identity.shop, &own, &ids).await?;
        for id in ids {
            let Some(line) = last.remove(&id) else {
                self.sent.insert(id, 0);
                continue;
            };
            let here = self.mirror.lines_after(id, &own, line.n - 1, 1)?;
            match here.first() {
                Some(held) if *held != line => _ = self.apart.insert(id),
                _ => _ = self.sent.insert(id, line.n),
            }
        }
        Ok(())
    }

    /// The own lines that the server lacks, as many of each batch as are sent at once.
    fn unsent_lines(&mut self) -> Result<Vec<UnsentLines>, MeetProblem> {
        let Some(own) = &self.identity.station else { return Ok(Vec::new()) };
        let mut unsent = Vec::new();
        for (id, sent) in &self.sent {
            let lines = self.mirror.lines_after(*id, own, *sent, MOST_SENT)?;
            if !lines.is_empty() {
                unsent.push((*id, lines));
            }
        }
        Ok(unsent)
    }

    /// Sends own lines, a batch at a time.
    async fn send(
        &mut self,
        link: &ServerLink,
        unsent: Vec<UnsentLines>,
    ) -> Result<(), MeetProblem> {
        let Some(own) = self.identity.station.clone() else { return Ok(()) };
        for (batch, lines) in &unsent {
            let sent = SentLines { batch: *batch, station: &own, lines };
            link.send(&self.identity.shop, sent).await?;
            self.was_sent(&sent);
        }
        match self.apart.first().and_then(|id| self.mirror.batch(*id)) {
            None => Ok(()),
            Some(batch) => {
                let batch = batch.folder.name().to_owned();
                Err(MeetProblem::OtherLine { batch, station: own })
            }
        }
    }

    fn was_sent(&mut self, sent: &SentLines<'_>) {
        let Some(last) = sent.lines.last() else { return };
        self.was_empty = false;
        self.sent.insert(sent.batch, last.n);
        if let Some(known) = self.known.get_mut(&sent.batch) {
            known.insert(sent.station.to_owned(), last.n);
        }
    }

    /// Fetches lines of all stations, and sends own ones with the question; true where that
    /// was all.
    async fn fetch(
        &mut self,
        link: &ServerLink,
        unsent: Option<UnsentLines>,
    ) -> Result<bool, MeetProblem> {
        let asked = self.asked()?;
        let asked: Vec<(BatchId, &str, u64)> =
            asked.iter().map(|(id, station, n)| (*id, station.as_str(), *n)).collect();
        let own = self.identity.station.clone();
        let sent = unsent.as_ref().zip(own.as_deref()).map(|((batch, lines), station)| SentLines {
            batch: *batch,
            station,
            lines,
        });
        if asked.is_empty() && sent.is_none() {
            return Ok(true);
        }
        let fetched = link.fetch(&self.identity.shop, &asked, sent).await?;
        if let Some(sent) = sent {
            self.was_sent(&sent);
        }
        self.was_empty &= fetched.is_empty();
        let is_all = fetched.len() < MOST_FETCHED;
        let mut by_batch: BTreeMap<BatchId, Vec<FetchedLine>> = BTreeMap::new();
        for line in fetched {
            by_batch.entry(line.batch).or_default().push(line);
        }
        // A station may have had more than was fetched of it at once.
        let is_all = is_all && by_batch.values().all(|lines| lines.len() < FEW);
        let mut is_written = true;
        for (id, lines) in by_batch {
            if !self.add(id, lines)? {
                // What comes later must not stand where these lines belong.
                self.known.remove(&id);
                is_written = false;
            }
        }
        self.held_back = if is_written { 0 } else { self.held_back + 1 };
        if is_written || self.held_back > MOST_HELD_BACK {
            return Ok(is_all);
        }
        tokio::time::sleep(HELD_FOR).await;
        Ok(false)
    }

    /// What is asked for: of each batch and station the last line that is here.
    fn asked(&mut self) -> Result<Vec<(BatchId, String, u64)>, MeetProblem> {
        let wanted: Vec<BatchId> = self
            .on_server
            .iter()
            .filter(|batch| self.is_wanted(batch))
            .map(|batch| batch.id)
            .filter(|id| self.mirror.batch(*id).is_some())
            .collect();
        for id in &wanted {
            if !self.known.contains_key(id) {
                let known = self.mirror.known(*id)?;
                self.known.insert(*id, known);
            }
        }
        let mut asked = Vec::new();
        for id in &wanted {
            for station in &self.stations {
                let last = self.known.get(id).and_then(|known| known.get(station));
                asked.push((*id, station.clone(), last.copied().unwrap_or(0)));
            }
        }
        Ok(asked)
    }

    /// Adds what was fetched of a batch to its files. False where somebody has one of them, if
    /// only to look who works there, so that lines are to be fetched once more.
    fn add(&mut self, id: BatchId, fetched: Vec<FetchedLine>) -> Result<bool, MeetProblem> {
        let known = self.known.entry(id).or_default();
        for line in &fetched {
            let last = known.entry(line.station.clone()).or_default();
            *last = (*last).max(line.line.n);
        }
        let is_few = fetched.len() < FEW;
        let mut lines: Vec<FetchedLine> = sound(fetched).collect();
        if is_few {
            // As they were written: no line is here before one that its writer had seen.
            lines.sort_by_key(|line| line.line.place());
        } else {
            lines.sort_by(|a, b| (&a.station, a.line.n).cmp(&(&b.station, b.line.n)));
        }
        let own = self.identity.station.as_deref();
        let mut is_written = true;
        for run in lines.chunk_by(|a, b| a.station == b.station) {
            let station = &run[0].station;
            let texts: Vec<MirroredLine> = run.iter().map(|line| line.line.clone()).collect();
            let held_back = self.mirror.add(id, station, &texts)?;
            if held_back > 0
                && own == Some(station)
                && let Some(batch) = self.mirror.batch(id)
            {
                let (batch, station) = (batch.folder.name().to_owned(), station.clone());
                return Err(MeetProblem::OlderCopy { batch, station });
            }
            is_written &= held_back == 0;
        }
        Ok(is_written)
    }
}

/// The lines that are what they are said to be.
fn sound(lines: Vec<FetchedLine>) -> impl Iterator<Item = FetchedLine> {
    lines.into_iter().filter(|fetched| is_sound(&fetched.line, &fetched.station))
}
