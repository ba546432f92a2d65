//! A batch opened at a station: its frozen route and shop, its journal, and
//! the one writer of this station.

use std::collections::BTreeMap;
use std::io::ErrorKind;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::batch_id::BatchId;
use super::beginning::begun;
use super::boards::listed;
use super::damage::FileDamage;
use super::damage_words::damage_words;
use super::event::{Event, JournalLine};
use super::facts::initial_pieces;
use super::folder::{BatchFolder, Everything, Fingerprint};
use super::frozen::{possible_shop, read_route, read_shop};
use super::gathered::ReadSoFar;
use super::home::Home;
use super::line::{answer_lines, encode};
use super::merge::{LinesSeen, merge, place};
use super::name::{objection, spelled_as_file};
use super::open_error::OpenError;
use super::state::State;
use super::station::Station;
use super::store_error::StoreError;
use crate::operation::MayOverride;
use crate::plan::{Known, Plan, at_operation, walk};
use crate::prose::visible;
use crate::route::{OwnedArticle, Route};
use crate::shop::Shop;
use crate::stock::RackBoard;

/// Everything screens show of a batch, as it stood at one moment.
#[derive(Clone, Debug)]
pub struct Snapshot {
    /// The name of the batch.
    pub name: String,
    /// The station this terminal works as.
    pub station: String,
    /// The route, as it was when the batch began or as the lead adopted it since.
    pub route: Arc<Route>,
    /// The shop, as it was when the batch began or as the lead adopted it since.
    pub shop: Arc<Shop>,
    /// The plan with everything made so far.
    pub plan: Arc<Plan>,
    /// The state of the batch.
    pub state: Arc<State>,
    /// What was found wrong in the journal, in plain words.
    pub damage: Vec<String>,
}

/// What a batch begins with.
#[derive(Clone, Copy, Debug)]
pub struct Beginning<'a> {
    /// The name of the batch.
    pub name: &'a str,
    /// Its identity.
    pub id: BatchId,
    /// The text of its route.
    pub route: &'a str,
    /// The text of its shop file.
    pub shop: &'a str,
    /// The station that begins it.
    pub station: &'a str,
    /// Who has the station open, in words.
    pub holder: &'a str,
    /// When it begins.
    pub at: DateTime<FixedOffset>,
    /// The lead's initials and reason where the plan has errors, such as `MB the jointer
    /// comes on Monday`.
    pub word: Option<&'a str>,
    /// The boards it begins with.
    pub boards: &'a [RackBoard],
    /// Whose each article is and what was chosen; empty where nobody chose.
    pub makers: &'a [OwnedArticle],
}

/// The batch with its files in hand.
pub struct OpenBatch {
    folder: BatchFolder,
    station: Station,
    holder: String,
    route: Arc<Route>,
    shop: Arc<Shop>,
    lines: Vec<JournalLine>,
    state: Arc<State>,
    plan: Arc<Plan>,
    /// What opening the station found, in words.
    found: Vec<String>,
    damage: Vec<FileDamage>,
    seen: LinesSeen,
    reached: BTreeMap<String, ReadSoFar>,
    fingerprint: Fingerprint,
}

impl OpenBatch {
    /// Begins a batch: freezes route and shop, and writes its first lines, all in one go.
    /// A plan with errors needs the lead's word.
    pub fn start(home: &Home, beginning: &Beginning<'_>) -> Result<OpenBatch, OpenError> {
        let Beginning { name, route: route_json, shop: shop_json, station, .. } = *beginning;
        // Read before anything is written: a bad route begins no batch.
        let route = read_route(route_json)?;
        let shop = possible_shop(shop_json)?;
        let makers = beginning.makers;
        if !makers.is_empty() && makers.len() != route.sets as usize {
            let made = route.article.counted(route.sets);
            let why = format!("{} makers for a batch of {made}", makers.len());
            return Err(OpenError::Bad(why));
        }
        let articles = makers.iter().map(|maker| maker.chosen.clone()).collect();
        let plan = walk(&route, &shop, &Known { articles, ..Known::default() });
        let begun = answered_for(&plan, &shop, beginning.word, beginning.at.date_naive())?;
        let station = spelled_as_file(station);
        if let Some(why) = objection(&station) {
            return Err(StoreError::BadName { what: "station", name: station, why }.into());
        }
        let started = Event::Started {
            batch: name.to_owned(),
            route: route.name.clone(),
            sets: route.sets,
            pieces: initial_pieces(&route, &plan, &station),
            id: Some(beginning.id),
        };
        let boards = listed(&station, beginning.boards);
        let events = [started].into_iter().chain(chosen(makers)).chain(begun).chain(boards);
        let events = events.collect();
        let lines = answer_lines(&station, (1, 1), &BTreeMap::new(), beginning.at, None, events);
        let holder = beginning.holder;
        OpenBatch::written(home, name, (route_json, shop_json), (&station, holder), &lines)
    }

    /// Writes an invented batch, whose journal is known from its beginning:
    /// all lines at once. The first line says that it is invented.
    pub fn invented(
        home: &Home,
        name: &str,
        (route_json, shop_json): (&str, &str),
        holder: &str,
        lines: Vec<JournalLine>,
    ) -> Result<OpenBatch, OpenError> {
        let Some(JournalLine { station, event: Event::Invented { .. }, .. }) = lines.first() else {
            return Err(OpenError::Bad(
                "an invented batch says so in its first line, and this one doesn't".to_owned(),
            ));
        };
        let station = station.clone();
        read_route(route_json)?;
        read_shop(shop_json)?;
        OpenBatch::written(home, name, (route_json, shop_json), (&station, holder), &lines)
    }

    /// Writes a batch whole, with its first lines, and opens it.
    fn written(
        home: &Home,
        name: &str,
        texts: (&str, &str),
        (station, holder): (&str, &str),
        lines: &[JournalLine],
    ) -> Result<OpenBatch, OpenError> {
        let text: String = lines.iter().map(encode).collect();
        BatchFolder::create_begun(home, name, texts, Some((station, &text)))?;
        OpenBatch::resume(home, name, station, holder)
            .map_err(|why| OpenError::BegunNotOpened { why: Box::new(why) })
    }

    /// Opens a batch under way.
    pub fn resume(
        home: &Home,
        name: &str,
        station: &str,
        holder: &str,
    ) -> Result<OpenBatch, OpenError> {
        let folder = BatchFolder::open(home, name)?;
        let begun_by = folder.route_json()?;
        let begun_in = folder.shop_json()?;
        let (mut station, report) = Station::open(&folder, station, holder)?;
        let kept = report.kept_aside.map(|kept| {
            format!(
                "A crash cut off the last line; it is kept in {}. Check whether the last reading is there.",
                visible(&kept.to_string_lossy())
            )
        });
        let Everything { entries, damage, fingerprint, reached } = folder.journal()?;
        let state = State::fold(&entries);
        let Some(began) = begun(&entries).map(|line| line.at).filter(|_| state.is_started()) else {
            return Err(OpenError::Bad(without_beginning(folder.name())));
        };
        station.belongs_to(began);
        for found in &damage {
            if found.station == station.name()
                && let Some(last) = found.damage.last_missing()
            {
                station.leave_out(last);
            }
        }
        let route = state.adopted_route.as_deref().unwrap_or(&begun_by);
        let route = Arc::new(read_route(route)?);
        let shop = Arc::new(read_shop(state.adopted.shop.as_deref().unwrap_or(&begun_in))?);
        let plan = walk(&route, &shop, &state.known());
        Ok(OpenBatch {
            folder,
            station,
            holder: holder.to_owned(),
            route,
            shop,
            seen: LinesSeen::of(&entries),
            lines: entries,
            state: Arc::new(state),
            plan: Arc::new(plan),
            found: kept.into_iter().collect(),
            damage,
            reached,
            fingerprint,
        })
    }

    /// Appends what one answer led to: all of it is on the disk and in the state,
    /// or none of it.
    pub fn append(
        &mut self,
        who: Option<&str>,
        now: DateTime<FixedOffset>,
        events: Vec<Event>,
    ) -> Result<(), StoreError> {
        self.refresh().map_err(StoreError::before_writing)?;
        if self.damage.iter().any(|found| found.damage.is_newer()) {
            return Err(StoreError::Newer);
        }
        let written = self.station.append(now, &self.seen, who, events)?;
        // Nothing may fail from here on: the answer is recorded.
        let (name, length) = (self.station.name(), self.station.length());
        self.fingerprint.reaches(name, length);
        if let Some(last) = written.last() {
            let reached = ReadSoFar { whole: length, next: last.n + 1 };
            self.reached.insert(name.to_owned(), reached);
        }
        self.take_in(written);
        Ok(())
    }

    /// Its folder.
    pub fn folder(&self) -> &BatchFolder {
        &self.folder
    }

    /// Whether any file is longer than it was read.
    pub fn has_news(&self) -> Result<bool, StoreError> {
        Ok(self.folder.fingerprint()? != self.fingerprint)
    }

    /// Reads what other stations wrote; true when there was something new.
    pub fn refresh(&mut self) -> Result<bool, StoreError> {
        let now = self.folder.fingerprint()?;
        if now == self.fingerprint {
            return Ok(false);
        }
        // A station's own file never disappears, unless the disk is in trouble.
        if now.length(self.station.name()).is_none() {
            let path = self.folder.station_file(self.station.name());
            return Err(StoreError::NotRecorded { path, why: ErrorKind::NotFound.into() });
        }
        // Journals only grow, so what is known needn't be read again.
        if self.damage.is_empty()
            && let Some(added) = self.folder.journal_since(&now, &self.reached)
            && added
                .entries
                .iter()
                .all(|line| line.begun.is_none_or(|begun| self.began() == Some(begun)))
        {
            self.reached = added.reached;
            self.fingerprint = now;
            self.take_in(added.entries);
            return Ok(true);
        }
        let everything = self.folder.journal()?;
        self.damage = everything.damage;
        self.fingerprint = everything.fingerprint;
        self.reached = everything.reached;
        self.seen = LinesSeen::of(&everything.entries);
        self.lines = everything.entries;
        self.fold_anew();
        Ok(true)
    }

    fn began(&self) -> Option<DateTime<FixedOffset>> {
        begun(&self.lines).map(|line| line.at)
    }

    /// Closes the station file and opens it anew, after an error that left it
    /// unclear what is on the disk.
    pub fn reopen(self, home: &Home) -> Result<OpenBatch, OpenError> {
        let (name, station) = (self.folder.name().to_owned(), self.station.name().to_owned());
        let holder = self.holder.clone();
        // Dropping the old writer releases the lock, which would refuse the new one.
        drop(self);
        OpenBatch::resume(home, &name, &station, &holder)
    }

    /// Takes in lines that nobody had read yet.
    fn take_in(&mut self, mut more: Vec<JournalLine>) {
        more.sort_by(|one, other| place(one).cmp(&place(other)));
        let are_last = match (self.lines.last(), more.first()) {
            (Some(last), Some(first)) => place(last) < place(first),
            _ => true,
        };
        more.iter().for_each(|line| self.seen.take(line));
        if !are_last {
            self.lines.extend(more);
            self.lines = merge(vec![std::mem::take(&mut self.lines)]);
            return self.fold_anew();
        }
        let first = self.lines.len();
        let tells = more.iter().any(|line| self.state.tells_the_plan(&line.event));
        self.lines.extend(more);
        let state = Arc::make_mut(&mut self.state);
        let mut numbered = self.lines.iter().enumerate().skip(first);
        if numbered.all(|(order, line)| state.take_in(line, order)) {
            let adopted = self.lines[first..].iter().any(|line| {
                matches!(line.event, Event::RouteAdopted { .. } | Event::ShopAdopted { .. })
            });
            if tells || adopted {
                self.plan_anew(adopted);
            }
        } else {
            self.fold_anew();
        }
    }

    fn fold_anew(&mut self) {
        let state = State::fold(&self.lines);
        let is_adopted = state.adopted_route != self.state.adopted_route
            || state.adopted.shop != self.state.adopted.shop;
        self.state = Arc::new(state);
        self.plan_anew(is_adopted);
    }

    /// Walks the plan again where something it depends on changed: most lines change
    /// nothing in it, and walking it takes longest.
    fn plan_anew(&mut self, is_adopted: bool) {
        if is_adopted && let Some(text) = &self.state.adopted_route {
            match read_route(text) {
                Ok(route) => self.route = Arc::new(route),
                Err(error) => self.found.push(error.to_string()),
            }
        }
        if is_adopted && let Some(text) = &self.state.adopted.shop {
            match read_shop(text) {
                Ok(shop) => self.shop = Arc::new(shop),
                Err(error) => self.found.push(error.to_string()),
            }
        }
        let known = self.state.known();
        if is_adopted {
            self.plan = Arc::new(walk(&self.route, &self.shop, &known));
        } else if known != *self.plan.known() {
            self.plan = Arc::new(self.plan.walk_again(&self.route, &self.shop, &known));
        }
    }

    /// Everything screens show of a batch, for whoever only looks at it: no station is
    /// taken, and nothing can be recorded.
    pub fn look_at(home: &Home, name: &str, station: &str) -> Result<Snapshot, OpenError> {
        let folder = BatchFolder::open(home, name)?;
        let begun_by = folder.route_json()?;
        let begun_in = folder.shop_json()?;
        let everything = folder.journal()?;
        let state = State::fold(&everything.entries);
        if !state.is_started() {
            return Err(OpenError::Bad(without_beginning(folder.name())));
        }
        let route = read_route(state.adopted_route.as_deref().unwrap_or(&begun_by))?;
        let shop = read_shop(state.adopted.shop.as_deref().unwrap_or(&begun_in))?;
        let plan = walk(&route, &shop, &state.known());
        Ok(Snapshot {
            name: folder.name().to_owned(),
            station: station.to_owned(),
            route: Arc::new(route),
            shop: Arc::new(shop),
            plan: Arc::new(plan),
            state: Arc::new(state),
            damage: damage_words(&everything.damage),
        })
    }

    /// Everything screens show, as it is now. Cheap: it shares what is large.
    pub fn snapshot(&self) -> Snapshot {
        Snapshot {
            name: self.folder.name().to_owned(),
            station: self.station.name().to_owned(),
            route: Arc::clone(&self.route),
            shop: Arc::clone(&self.shop),
            plan: Arc::clone(&self.plan),
            state: Arc::clone(&self.state),
            damage: self.found.iter().cloned().chain(damage_words(&self.damage)).collect(),
        }
    }
}

/// What to say of a batch whose first line is missing: what its pieces are stood there.
pub fn without_beginning(name: &str) -> String {
    format!(
        "{} has no beginning: its first line is missing or damaged; bring its files back from a copy, or begin under another name",
        visible(name)
    )
}

/// What was chosen before the batch began.
fn chosen(makers: &[OwnedArticle]) -> impl Iterator<Item = Event> {
    (1..).zip(makers).map(|(article, maker)| Event::Chosen {
        article,
        owner: maker.owner.clone(),
        chosen: maker.chosen.clone(),
        pieces: Vec::new(),
    })
}

/// Refuses a plan with errors, unless the lead's word stands against those that a
/// lead may override.
fn answered_for(
    plan: &Plan,
    shop: &Shop,
    word: Option<&str>,
    on: NaiveDate,
) -> Result<Option<Event>, OpenError> {
    let (errors, may_override) = plan.errors();
    if errors.is_empty() {
        return Ok(None);
    }
    let errors: Vec<String> = errors.iter().map(|error| at_operation(error)).collect();
    let word = word.filter(|_| may_override == MayOverride::Lead);
    let said = word
        .and_then(|word| word.trim().split_once(' '))
        .filter(|(by, why)| shop.may_lead(by, on) && !why.trim().is_empty());
    match said {
        Some((by, why)) => Ok(Some(Event::BegunWithErrors {
            by: by.to_uppercase(),
            why: why.trim().to_owned(),
            errors,
        })),
        None => {
            let more = errors.len().saturating_sub(2);
            let more = if more > 0 { format!("; {more} more") } else { String::new() };
            let shown = errors[..errors.len().min(2)].join("; ");
            let what = format!("This route has errors: {shown}{more}. `benchway check` shows all.");
            Err(OpenError::Faulty { what, may_override })
        }
    }
}
