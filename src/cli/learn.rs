//! `learn`: what finished batches teach for the shop file and the route.
//!
//! A lesson is proposed; a file changes only when it is named and `--apply` is given.
//! A shop file is the lead's, a batch keeps its own files as they were when it began,
//! and an invented batch says nothing about real machines. Applying lessons when a
//! batch is finished was rejected.
//!
//! A change replaces the bytes of one value, so the lead's layout stays and the
//! difference is one line to read. Writing the whole file anew was rejected.

mod across;
mod finished;
mod json;
mod text;

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::named_batch::home_to_read;
use super::page::{self, TextPage};
use super::shop_source;
use super::source::{self, SourceText};
use super::waiting::waiting;
use super::{Ending, Failure, Format};
use crate::document::{Document, Edit};
use crate::journal::{Home, replace_file};
use crate::learn::{self, File, FileChange, Lesson, LessonSubject};
use crate::prose::{Message, visible};
use crate::route::{self, Route};
use crate::shop;
use finished::{FinishedBatch, LearnedBatches};

/// Learn from finished batches for the next one
///
/// Compares what the machines did with what the shop file and the route say: how
/// much more or less each tool makes than its scale shows, how much the sizes
/// from each machine vary, what planer and sander remove, allowances never used,
/// spares that losses call for, differences between two people or gauges, setups
/// taken down unmeasured, the yield of the wood, and where the time went.
///
/// Each lesson names the readings it rests on, their range, and its uncertainty.
/// A change is proposed from three readings on, and only when it exceeds that
/// uncertainty. Nothing is written without --apply, and then only to the files
/// named by --shop and --route: never to a batch, and never from an invented one.
///
/// Without BATCH every batch of the shop counts, also the archived ones; those
/// that were invented don't.
///
/// With --machine a reader of several shops sees what all their batches teach of
/// each machine of one kind, side by side. It proposes no change. Keys of its
/// JSON: kind, shops[] {shop, batches, invented_left_out, machines[] {machine,
/// batches, pieces, set_aside, readings, lessons[]}}.
///
/// In JSON, lengths are numbers in the lesson's `unit`; `path` leads to the value
/// that would change.
///
/// Exits with 1 when a change is proposed and not written, or when files of a
/// batch have to be looked at.
///
///   benchway learn
///   benchway learn "reading-stool 2026-11-25"
///   benchway learn "stools 1" "stools 2" --shop our-shop.json
///   benchway learn --shop our-shop.json --apply
///   benchway learn --machine planer
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct LearnArguments {
    /// Batches made on the same machines; all of the shop if omitted
    #[arg(value_name = "BATCH")]
    batches: Vec<String>,

    /// Compare the machines of a kind in all shops whose batches are here
    #[arg(long, value_name = "KIND", conflicts_with_all = ["batches", "shop", "route"])]
    machine: Option<String>,

    /// Current shop file; your own shop or that of the last batch if omitted
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    /// Current route file; that of the last batch if omitted
    #[arg(long, value_name = "FILE")]
    route: Option<PathBuf>,

    /// Write the changes to the files named by --shop and --route
    #[arg(long)]
    apply: bool,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// A file that may be changed, and what it would become.
struct ChangedFile<'a> {
    source: SourceText,
    /// Where the file may be written; none for a file of a batch or of the program.
    path: Option<&'a Path>,
    becomes: String,
    edits: Vec<(usize, Vec<String>)>,
}

impl LearnArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        if let Some(kind) = &self.machine {
            self.only_compares()?;
            return across::run(kind, home, self.format, out);
        }
        let home = home_to_read(home)?;
        if self.apply {
            self.may_write(&home)?;
        }
        let learned = self.learned(&home)?;
        let invented = learned.held.iter().any(|held| held.batch.state.invented);
        if self.apply && invented {
            let why = Message::error("an invented batch says nothing about real machines");
            let why = why.help("omit that batch, or run without --apply");
            return Err(Failure::NotWritten(why));
        }
        let Some(last) = learned.held.last() else {
            return Err(no_batch(&home, learned.left_out)?);
        };
        let shop_source = match &self.shop {
            Some(path) => source::file(path)?,
            None => match shop_source::own(&home)? {
                Some(own) => own,
                None => SourceText { name: "shop.json".to_owned(), text: last.shop_text.clone() },
            },
        };
        let shop = shop_source.shop()?;
        let route_sources = self.route_sources(&learned)?;
        let routes: Result<Vec<Route>, Failure> =
            route_sources.iter().map(SourceText::route).collect();
        let routes = routes?;
        let journals = learned.journals();
        let lessons = waiting("learning from the batches", || {
            learn::learn_routes(&journals, &shop, &routes.iter().collect::<Vec<_>>())
        });
        let mut changed = vec![ChangedFile::of(shop_source, self.shop.as_deref(), None, &lessons)?];
        for (source, route) in route_sources.into_iter().zip(&routes) {
            let path = self.route.as_deref();
            changed.push(ChangedFile::of(source, path, Some(&route.name), &lessons)?);
        }
        let mut written = Vec::new();
        if self.apply {
            for file in changed.iter().filter(|file| !file.edits.is_empty()) {
                if let Some(path) = file.path {
                    file.write(path)?;
                    written.push(path);
                }
            }
        }
        let open = changed.iter().filter(|file| !file.edits.is_empty());
        let open =
            open.filter(|file| file.path.is_none_or(|path| !written.contains(&path))).count();
        let from = LearnedFrom {
            batches: learned.held.iter().map(FinishedBatch::name).collect(),
            shop: self.batches.is_empty().then_some(shop.name.as_str()),
            left_out: learned.left_out,
            invented,
            has_routes: routes.len() > 1,
        };
        match self.format {
            Format::Json => {
                let answer = json::answer(&from, &lessons, &changed, !written.is_empty());
                page::json(&answer, out)?;
            }
            Format::Text => text::LearnPage { page: TextPage::new(out, 0) }
                .whole(&from, &lessons, &changed, &written)?,
        }
        Ok(Ending::found(open > 0).and(learned.ending))
    }

    /// The batches that were named, or all of them.
    fn learned(&self, home: &Home) -> Result<LearnedBatches, Failure> {
        match self.batches.as_slice() {
            [] => waiting("reading the batches", || LearnedBatches::all(home)),
            names => LearnedBatches::named(home, names),
        }
    }

    /// The routes that lessons may change: the one that was named, or else that of the last
    /// batch. Where all batches are learned from, each route as it was used last.
    fn route_sources(&self, learned: &LearnedBatches) -> Result<Vec<SourceText>, Failure> {
        if let Some(path) = &self.route {
            return Ok(vec![SourceText::open(path)?]);
        }
        let text = |held: &FinishedBatch| held.batch.route_text.clone();
        if !self.batches.is_empty() {
            let last = learned.held.last().map(text);
            let own = |text| SourceText { name: "route.json".to_owned(), text };
            return Ok(last.map(own).into_iter().collect());
        }
        let latest: BTreeMap<&str, &FinishedBatch> =
            learned.held.iter().map(|held| (held.batch.route.name.as_str(), held)).collect();
        let source = |held: &FinishedBatch| SourceText {
            name: format!("route.json of {}", held.name()),
            text: text(held),
        };
        Ok(latest.into_values().map(source).collect())
    }

    /// Refuses to write after a comparison.
    fn only_compares(&self) -> Result<(), Failure> {
        if !self.apply {
            return Ok(());
        }
        let what = "--machine compares the machines of several shops, and none of their files is \
                    yours to change from here";
        let help = "run `benchway learn --shop FILE --apply` at the shop itself";
        Err(Failure::NotWritten(Message::error(what).help(help)))
    }

    /// Refuses to write when no file is named, or when a named one belongs to a batch.
    fn may_write(&self, home: &Home) -> Result<(), Failure> {
        let files = [("--shop", &self.shop), ("--route", &self.route)];
        if files.iter().all(|(_, file)| file.is_none()) {
            let why = Message::error("no file to write to was named");
            return Err(Failure::NotWritten(why.help("name one with --shop FILE or --route FILE")));
        }
        let batches = fs::canonicalize(home.path()).ok();
        for (option, file) in files {
            let Some(file) = file else { continue };
            let refused = |what: &str, help: &str| {
                let file = visible(&file.display().to_string());
                let why = Message::error(format!("{option} {file}: {what}"));
                Failure::NotWritten(why.help(help))
            };
            let Ok(real) = fs::canonicalize(file) else {
                return Err(refused(
                    "only an existing file can be written to",
                    "`benchway bundled` prints a file that comes with the program, to copy",
                ));
            };
            let within = batches.as_ref().and_then(|batches| real.strip_prefix(batches).ok());
            let in_a_batch = within.is_some_and(|within| within.components().count() > 1);
            if in_a_batch || real.parent().is_some_and(holds_a_journal) {
                return Err(refused(
                    "a batch keeps its files as they were when it began",
                    "name the file that the next batch will use",
                ));
            }
        }
        Ok(())
    }
}

/// Why nothing can be learned from a folder.
fn no_batch(home: &Home, left_out: usize) -> Result<Failure, Failure> {
    let why = match (home.shops()?.as_slice(), left_out) {
        ([_, ..], _) => Message::error("the batches here are of several shops")
            .help("compare a kind of machine: `benchway learn --machine planer`"),
        ([], 0) => Message::error("there is no batch to learn from")
            .help("begin one: `benchway walk reading-stool`"),
        ([], _) => Message::error("all batches here are invented")
            .help("name those to practise with: `benchway learn BATCH`"),
    };
    Ok(Failure::Option { option: "learn", given: String::new(), why })
}

/// Whether a folder is a batch, also when it was copied elsewhere.
fn holds_a_journal(folder: &Path) -> bool {
    let items = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut paths = items.map(|item| item.path());
    paths.any(|path| path.extension().is_some_and(|ending| ending == "jsonl"))
}

impl<'a> ChangedFile<'a> {
    /// Applies every change of the shop file, or of the route of that name, to its text, one
    /// after another.
    fn of(
        source: SourceText,
        path: Option<&'a Path>,
        route: Option<&str>,
        lessons: &[Lesson],
    ) -> Result<ChangedFile<'a>, Failure> {
        let is_for = |lesson: &Lesson, change: &FileChange| match (route, change.file) {
            (None, File::Shop) => true,
            (Some(route), File::Route) => {
                matches!(&lesson.subject, LessonSubject::Route(of) if of == route)
            }
            _ => false,
        };
        let mut becomes = source.text.trim_start_matches('\u{feff}').to_owned();
        let mark = source.text.len() - becomes.len();
        let mut edits = Vec::new();
        for (number, lesson) in lessons.iter().enumerate() {
            let own = lesson.change.as_ref().filter(|change| is_for(lesson, change));
            let Some(change) = own else { continue };
            let document = Document::read(&source.name, becomes.as_str())
                .map_err(|problem| source.refused(&[problem]))?;
            let Some(edit) = change.edit(&document) else { continue };
            let Edit { at, .. } = &edit;
            // The value may already be there, written in another way.
            if becomes[at.clone()] == edit.to {
                continue;
            }
            edits.push((number, edit.shown(&becomes)));
            becomes = edit.made(&becomes);
        }
        becomes.insert_str(0, &source.text[..mark]);
        Ok(ChangedFile { source, path: path.filter(|path| path.is_file()), becomes, edits })
    }

    /// Replaces the file with the changed text, atomically, after checking that the text
    /// is still a valid route or shop file.
    fn write(&self, path: &Path) -> Result<(), Failure> {
        let after = SourceText { name: self.source.name.clone(), text: self.becomes.clone() };
        let document = after.document().map_err(|problem| after.refused(&[problem]))?;
        let problems = if document.root().child("route").is_some() {
            route::read(&document).err()
        } else {
            shop::read(&document).err()
        };
        if let Some(problems) = problems {
            return Err(after.refused(&problems));
        }
        Ok(replace_file(path, &self.source.text, &self.becomes)?)
    }
}

/// What was learned from.
struct LearnedFrom<'a> {
    batches: Vec<&'a str>,
    /// The shop, where all its batches are.
    shop: Option<&'a str>,
    /// How many invented ones were left out.
    left_out: usize,
    /// Whether one of them is invented.
    invented: bool,
    /// Whether it is several routes that lessons may be about.
    has_routes: bool,
}
