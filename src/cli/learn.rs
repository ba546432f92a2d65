//! `learn`: what finished batches teach for the shop file and the route.
//!
//! A lesson is proposed; a file changes only when it is named and `--apply` is given.
//! A shop file is the lead's, a batch keeps its own files as they were when it began,
//! and an invented batch says nothing about real machines. Applying lessons when a
//! batch is finished was rejected.
//!
//! A change replaces the bytes of one value, so the lead's layout stays and the
//! difference is one line to read. Writing the whole file anew was rejected.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;

use super::named_batch::{NamedBatch, home_to_read};
use super::page::{TextPage, json};
use super::shop_source;
use super::source::{self, SourceText};
use super::waiting::waiting;
use super::{Ending, Failure, Format};
use crate::document::{Document, Edit};
use crate::journal::{Home, replace_file};
use crate::learn::{self, Evidence, File, Files, Journal, Lesson};
use crate::measure::{Length, Unit};
use crate::operation::decimal;
use crate::prose::{Message, counted, visible};
use crate::route;
use crate::shop::{self, Shop};

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
/// In JSON, lengths are numbers in the lesson's `unit`; `path` leads to the value
/// that would change.
///
/// Exits with 1 when a change is proposed and not written.
///
///   benchway learn "reading-stool 2026-11-25"
///   benchway learn "stools 1" "stools 2" --shop our-shop.json
///   benchway learn "stools 1" "stools 2" --shop our-shop.json --apply
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct LearnArguments {
    /// One or more batches made on the same machines
    #[arg(required = true, value_name = "BATCH")]
    batches: Vec<String>,

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

/// A finished batch, with its own copy of the shop.
struct FinishedBatch {
    batch: NamedBatch,
    shop: Shop,
    shop_text: String,
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
        let home = home_to_read(home)?;
        if self.apply {
            self.may_write(&home)?;
        }
        let held: Result<Vec<FinishedBatch>, Failure> =
            self.batches.iter().map(|name| FinishedBatch::open(&home, name)).collect();
        let held = held?;
        let invented = held.iter().any(|held| held.batch.state.invented);
        if self.apply && invented {
            let why = Message::error("an invented batch says nothing about real machines");
            let why = why.help("omit that batch, or run without --apply");
            return Err(Failure::NotWritten(why));
        }
        let ending = held.iter().fold(Ending::Fine, |ending, held| ending.and(held.batch.ending));
        let Some(last) = held.last() else { return Ok(Ending::Fine) };
        let shop_source = match &self.shop {
            Some(path) => source::file(path)?,
            None => match shop_source::own(&home)? {
                Some(own) => own,
                None => SourceText { name: "shop.json".to_owned(), text: last.shop_text.clone() },
            },
        };
        let route_source = match &self.route {
            Some(path) => SourceText::open(path)?,
            None => {
                SourceText { name: "route.json".to_owned(), text: last.batch.route_text.clone() }
            }
        };
        let shop = shop_source.shop()?;
        let route = route_source.route()?;
        let journals: Vec<Journal<'_>> = held.iter().map(FinishedBatch::journal).collect();
        let files = Files { shop: &shop, route: &route };
        let lessons = waiting("learning from the batches", || learn::learn(&journals, files));
        let changed = [
            ChangedFile::of(shop_source, self.shop.as_deref(), File::Shop, &lessons)?,
            ChangedFile::of(route_source, self.route.as_deref(), File::Route, &lessons)?,
        ];
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
        match self.format {
            Format::Json => json(
                &report(&self.batches, invented, &lessons, &changed, !written.is_empty()),
                out,
            )?,
            Format::Text => LearnPage { page: TextPage::new(out, 0) }.whole(
                &self.batches,
                invented,
                &lessons,
                &changed,
                &written,
            )?,
        }
        Ok(Ending::found(open > 0).and(ending))
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

/// Whether a folder is a batch, also when it was copied elsewhere.
fn holds_a_journal(folder: &Path) -> bool {
    let items = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut paths = items.map(|item| item.path());
    paths.any(|path| path.extension().is_some_and(|ending| ending == "jsonl"))
}

impl FinishedBatch {
    fn open(home: &Home, name: &str) -> Result<FinishedBatch, Failure> {
        let batch = NamedBatch::open(home, name)?;
        let (shop, shop_text) = batch.shop()?;
        Ok(FinishedBatch { batch, shop, shop_text })
    }

    fn journal(&self) -> Journal<'_> {
        let NamedBatch { route, lines, state, .. } = &self.batch;
        Journal { route, shop: &self.shop, lines, state }
    }
}

impl<'a> ChangedFile<'a> {
    /// Applies every change of a file to its text, one after another.
    fn of(
        source: SourceText,
        path: Option<&'a Path>,
        file: File,
        lessons: &[Lesson],
    ) -> Result<ChangedFile<'a>, Failure> {
        let mut becomes = source.text.trim_start_matches('\u{feff}').to_owned();
        let mark = source.text.len() - becomes.len();
        let mut edits = Vec::new();
        for (number, lesson) in lessons.iter().enumerate() {
            let Some(change) = lesson.change.as_ref().filter(|c| c.file == file) else { continue };
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

struct LearnPage<'o> {
    page: TextPage<'o>,
}

impl LearnPage<'_> {
    fn whole(
        &mut self,
        batches: &[String],
        invented: bool,
        lessons: &[Lesson],
        changed: &[ChangedFile<'_>],
        written: &[&Path],
    ) -> io::Result<()> {
        let names: Vec<String> = batches.iter().map(|name| visible(name)).collect();
        self.page.line(0, &format!("Lessons from {}", names.join(", ")))?;
        if invented {
            self.page.line(0, "Invented for practice: nobody cut or measured anything.")?;
        }
        let mut topic = None;
        for lesson in lessons {
            if topic.replace(lesson.topic) != Some(lesson.topic) {
                self.page.blank()?;
                self.page.line(0, lesson.topic.words())?;
            }
            self.page.line(2, &format!("{}: {}", visible(&lesson.about), visible(&lesson.says)))?;
            let evidence = evidence(&lesson.evidence);
            if !evidence.is_empty() {
                self.page.line(4, &evidence)?;
            }
        }
        self.page.blank()?;
        if changed.iter().all(|file| file.edits.is_empty()) {
            return self.page.line(0, "No changes to the files are proposed.");
        }
        for file in changed.iter().filter(|file| !file.edits.is_empty()) {
            let name = visible(&file.source.name);
            let was = file.path.is_some_and(|path| written.contains(&path));
            let head = if was { "Written to" } else { "Proposed for" };
            self.page.line(0, &format!("{head} {name}"))?;
            for (number, lines) in &file.edits {
                if let Some(lesson) = lessons.get(*number) {
                    let why = evidence(&lesson.evidence);
                    self.page.line(2, &format!("{}: {why}", visible(&lesson.about)))?;
                }
                for line in lines {
                    self.page.row(visible(line))?;
                }
            }
        }
        if written.is_empty() {
            self.page.blank()?;
            self.page.line(
                0,
                "Review the changes; --apply writes them to the files named by --shop and --route.",
            )?;
        }
        Ok(())
    }
}

/// For example `12 readings at 3 settings, 0.008 to 0.016, +-0.003`.
fn evidence(held: &Evidence) -> String {
    let unit = held.unit;
    let mut said = Vec::new();
    if held.count > 0 {
        let more = held.more.as_ref().map_or_else(String::new, |more| format!(" {more}"));
        said.push(format!("{}{more}", counted(held.count, held.of)));
    }
    if held.count == 0 {
        said.extend(held.more.clone());
    }
    if let Some((least, _, most)) = held.range {
        said.push(format!("{} to {}", decimal(least, unit), decimal(most, unit)));
    }
    said.extend(held.uncertainty.map(|own| format!("+-{}", decimal(own, unit))));
    said.join(", ")
}

#[derive(Serialize)]
struct LearnAnswer<'a> {
    batches: &'a [String],
    invented: bool,
    written: bool,
    lessons: Vec<LessonRow<'a>>,
}

#[derive(Serialize)]
struct LessonRow<'a> {
    topic: &'static str,
    about: &'a str,
    says: &'a str,
    unit: Unit,
    count: usize,
    of: &'static str,
    rests_on: Option<&'a str>,
    least: Option<f64>,
    middle: Option<f64>,
    most: Option<f64>,
    doubt: Option<f64>,
    change: Option<ChangeRow<'a>>,
}

#[derive(Serialize)]
struct ChangeRow<'a> {
    file: &'a str,
    path: &'a [String],
    diff: &'a [String],
}

fn report<'a>(
    batches: &'a [String],
    invented: bool,
    lessons: &'a [Lesson],
    changed: &'a [ChangedFile<'a>],
    written: bool,
) -> LearnAnswer<'a> {
    let number = |unit: Unit, length: Length| (length.in_unit(unit) * 1e6).round() / 1e6;
    let change = |at: usize, lesson: &'a Lesson| {
        let found = changed.iter().find_map(|file| {
            let (_, diff) = file.edits.iter().find(|(number, _)| *number == at)?;
            Some((file, diff))
        });
        let (file, diff) = found?;
        let path = &lesson.change.as_ref()?.path;
        Some(ChangeRow { file: &file.source.name, path, diff })
    };
    let rows = lessons.iter().enumerate().map(|(at, lesson)| {
        let Evidence { unit, count, of, range, uncertainty, more } = &lesson.evidence;
        LessonRow {
            topic: lesson.topic.words(),
            about: &lesson.about,
            says: &lesson.says,
            unit: *unit,
            count: *count,
            of,
            rests_on: more.as_deref(),
            least: range.map(|(least, ..)| number(*unit, least)),
            middle: range.map(|(_, middle, _)| number(*unit, middle)),
            most: range.map(|(.., most)| number(*unit, most)),
            doubt: uncertainty.map(|own| number(*unit, own)),
            change: change(at, lesson),
        }
    });
    LearnAnswer { batches, invented, written, lessons: rows.collect() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Length, Unit};

    /// What a lesson rests on: how many of what, from least to most, and how sure.
    #[test]
    fn a_lesson_says_what_it_rests_on() {
        let th = Length::thousandths;
        let held = Evidence {
            unit: Unit::Inch,
            count: 12,
            of: "reading",
            range: Some((th(8), th(12), th(16))),
            uncertainty: Some(th(3)),
            more: Some("at 3 settings".to_owned()),
        };
        assert_eq!(evidence(&held), "12 readings at 3 settings, 0.008 to 0.016, +-0.003");
        let one = Evidence { count: 1, more: None, range: None, ..held.clone() };
        assert_eq!(evidence(&one), "1 reading, +-0.003");
        let words = Evidence { count: 0, range: None, uncertainty: None, ..held };
        assert_eq!(evidence(&words), "at 3 settings");
    }
}
