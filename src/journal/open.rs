//! A batch opened at a station: its frozen route and shop, its journal, and
//! the one writer of this station.

use std::io::ErrorKind;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};
use thiserror::Error;

use super::boards::listed;
use super::event::{Event, JournalLine};
use super::facts::initial_pieces;
use super::line::{answer_lines, encode};
use super::merge::{merge, next_after};
use super::name::{objection, spelled_as_file};
use super::state::State;
use super::{BatchFolder, Fingerprint, Home, Station, StoreError};
use crate::document::{Document, Problem};
use crate::operation::MayOverride;
use crate::plan::{Known, Plan, at_operation, walk};
use crate::prose::visible;
use crate::route::{self, Route};
use crate::shop::{self, Shop};
use crate::stock::RackBoard;

/// Why a batch could not be opened.
#[derive(Debug, Error)]
pub enum OpenError {
    /// The disk, or another terminal, is in the way.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A route, shop or journal that cannot be used, in words.
    #[error("{0}")]
    Bad(String),
    /// The plan has errors, and nobody answered for them.
    #[error("{what}")]
    Faulty {
        /// The errors, in words.
        what: String,
        /// Who may begin all the same.
        may_override: MayOverride,
    },
}

/// Everything screens show of a batch, as it stood at one moment.
#[derive(Clone, Debug)]
pub struct Snapshot {
    /// The name of the batch.
    pub name: String,
    /// The station this terminal works as.
    pub station: String,
    /// The route, as it was when the batch began or as the lead adopted it since.
    pub route: Arc<Route>,
    /// The shop, as it was when the batch began.
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
    /// What the plan was walked with.
    known: Known,
    plan: Arc<Plan>,
    damage: Vec<String>,
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
        let plan = walk(&route, &shop, &Known::default());
        let begun = answered_for(&plan, &shop, beginning.word)?;
        let station = spelled_as_file(station);
        if let Some(why) = objection(&station) {
            return Err(StoreError::BadName { what: "station", name: station, why }.into());
        }
        let started = Event::Started {
            batch: name.to_owned(),
            route: route.name.clone(),
            sets: route.sets,
            pieces: initial_pieces(&route, &plan, &station),
        };
        let boards = listed(&station, beginning.boards);
        let events = [started].into_iter().chain(begun).chain(boards).collect();
        let lines = answer_lines(&station, (1, 1), beginning.at, None, events);
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
        let shop = Arc::new(read_shop(&folder.shop_json()?)?);
        let (station, report) = Station::open(&folder, station, holder)?;
        let mut damage: Vec<String> = Vec::new();
        if let Some(kept) = report.kept_aside {
            damage.push(format!(
                "A crash cut off the last line; it is kept in {}. Check whether the last reading is there.",
                kept.display()
            ));
        }
        let everything = folder.read_all::<Event>()?;
        damage.extend(everything.damage.iter().map(ToString::to_string));
        let state = State::fold(&everything.entries);
        if !state.is_started() {
            return Err(OpenError::Bad(without_beginning(folder.name())));
        }
        let route = state.adopted_route.as_deref().unwrap_or(&begun_by);
        let route = Arc::new(read_route(route)?);
        let known = state.known();
        let plan = walk(&route, &shop, &known);
        Ok(OpenBatch {
            folder,
            station,
            holder: holder.to_owned(),
            route,
            shop,
            lines: everything.entries,
            state: Arc::new(state),
            known,
            plan: Arc::new(plan),
            damage,
            fingerprint: everything.fingerprint,
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
        self.refresh()?;
        let after = next_after(&self.lines);
        let written = self.station.append(now, after, who.map(str::to_owned), events);
        self.fingerprint = self.folder.fingerprint()?;
        self.lines.extend(written?);
        self.settle();
        Ok(())
    }

    /// Reads what other stations wrote; true when there was something new.
    pub fn refresh(&mut self) -> Result<bool, StoreError> {
        let now = self.folder.fingerprint()?;
        if now == self.fingerprint {
            return Ok(false);
        }
        // A station's own file never disappears, unless the disk is in trouble.
        if !self.folder.stations()?.iter().any(|station| station == self.station.name()) {
            let path = self.folder.station_file(self.station.name());
            return Err(StoreError::NotRecorded { path, why: ErrorKind::NotFound.into() });
        }
        let everything = self.folder.read_all::<Event>()?;
        self.lines = everything.entries;
        self.damage = everything.damage.iter().map(ToString::to_string).collect();
        self.fingerprint = everything.fingerprint;
        self.settle();
        Ok(true)
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

    fn settle(&mut self) {
        self.lines = merge(vec![std::mem::take(&mut self.lines)]);
        let state = State::fold(&self.lines);
        // Most lines change nothing in the plan, and walking it takes longest.
        let known = state.known();
        let is_adopted = state.adopted_route != self.state.adopted_route;
        if is_adopted && let Some(text) = &state.adopted_route {
            match read_route(text) {
                Ok(route) => self.route = Arc::new(route),
                Err(error) => self.damage.push(error.to_string()),
            }
        }
        if known != self.known || is_adopted {
            self.plan = Arc::new(walk(&self.route, &self.shop, &known));
            self.known = known;
        }
        self.state = Arc::new(state);
    }

    /// Everything screens show of a batch, for whoever only looks at it: no station is
    /// taken, and nothing can be recorded.
    pub fn look_at(home: &Home, name: &str, station: &str) -> Result<Snapshot, OpenError> {
        let folder = BatchFolder::open(home, name)?;
        let begun_by = folder.route_json()?;
        let shop = read_shop(&folder.shop_json()?)?;
        let everything = folder.read_all::<Event>()?;
        let state = State::fold(&everything.entries);
        if !state.is_started() {
            return Err(OpenError::Bad(without_beginning(folder.name())));
        }
        let route = read_route(state.adopted_route.as_deref().unwrap_or(&begun_by))?;
        let plan = walk(&route, &shop, &state.known());
        Ok(Snapshot {
            name: folder.name().to_owned(),
            station: station.to_owned(),
            route: Arc::new(route),
            shop: Arc::new(shop),
            plan: Arc::new(plan),
            state: Arc::new(state),
            damage: everything.damage.iter().map(ToString::to_string).collect(),
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
            damage: self.damage.clone(),
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

/// Refuses a plan with errors, unless the lead's word stands against those that a
/// lead may override.
fn answered_for(plan: &Plan, shop: &Shop, word: Option<&str>) -> Result<Option<Event>, OpenError> {
    let (errors, may_override) = plan.errors();
    if errors.is_empty() {
        return Ok(None);
    }
    let errors: Vec<String> = errors.iter().map(|error| at_operation(error)).collect();
    let word = word.filter(|_| may_override == MayOverride::Lead);
    let said = word
        .and_then(|word| word.trim().split_once(' '))
        .filter(|(by, why)| shop.may_lead(by) && !why.trim().is_empty());
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

/// Reads a frozen or chosen route.
pub fn read_route(text: &str) -> Result<Route, OpenError> {
    let document = document("route.json", text)?;
    match route::read(&document) {
        Ok((route, _)) => Ok(route),
        Err(problems) => Err(bad(&document, &problems)),
    }
}

/// Refuses a shop file that reads and yet can't be true. A batch that began
/// with one still opens: its plan says so.
fn possible_shop(text: &str) -> Result<Shop, OpenError> {
    let shop = read_shop(text)?;
    let document = document("shop.json", text)?;
    let problems = shop::impossible(&document, &shop);
    if problems.is_empty() { Ok(shop) } else { Err(bad(&document, &problems)) }
}

/// Reads a frozen shop file.
pub fn read_shop(text: &str) -> Result<Shop, OpenError> {
    let document = document("shop.json", text)?;
    shop::read(&document).map_err(|problems| bad(&document, &problems))
}

fn document(name: &str, text: &str) -> Result<Document, OpenError> {
    Document::read(name, text).map_err(|problem| OpenError::Bad(problem.render(name, text)))
}

fn bad(document: &Document, problems: &[Problem]) -> OpenError {
    let shown: Vec<String> = problems.iter().take(5).map(|p| document.render(p)).collect();
    OpenError::Bad(shown.join("\n"))
}
