//! `learn --machine KIND`: what the batches of several shops teach of one kind of machine,
//! side by side. Nothing is proposed here: whoever reads several shops looks after none of
//! their files.

use std::io::{self, Write};
use std::path::Path;

use serde::Serialize;

use super::super::named_batch::home_to_read;
use super::super::page::{TableRow, TextPage, json};
use super::super::waiting::waiting;
use super::super::{Ending, Failure, Format, shop_source};
use super::finished::LearnedBatches;
use super::json::LessonRow;
use crate::journal::Home;
use crate::learn::{Lesson, MachineLessons, learn_machines};
use crate::operation::decimal;
use crate::prose::{Message, counted, nearest, plural, visible};
use crate::shop::MachineKind;

/// Columns where the numbers of a lesson end.
const FOUND: usize = 50;
const DOUBT: usize = 59;
const COUNT: usize = 69;
const BATCHES: usize = 78;

/// A shop and its machines of the kind.
struct ShopLessons {
    name: String,
    batches: usize,
    left_out: usize,
    machines: Vec<MachineLessons>,
}

/// The kind of machine of that name, as shop files spell it; spaces do as well.
pub(super) fn kind_named(given: &str) -> Result<(&'static str, MachineKind), Failure> {
    let wanted = given.trim().to_lowercase().replace([' ', '_'], "-");
    let named = MachineKind::NAMED.into_iter().find(|(name, _)| *name == wanted);
    named.ok_or_else(|| {
        let names = || MachineKind::NAMED.into_iter().map(|(name, _)| name);
        let near = nearest(&wanted, names());
        let near = near.map_or_else(String::new, |near| format!("did you mean `{near}`? "));
        let help = format!("{near}the kinds are {}", names().collect::<Vec<_>>().join(", "));
        let why = Message::error("there is no such kind of machine").help(help);
        Failure::Option { option: "--machine", given: visible(given), why }
    })
}

/// Compares the machines of a kind in every shop whose batches are here.
pub(super) fn run(
    kind: &str,
    home: Option<&Path>,
    format: Format,
    out: &mut dyn Write,
) -> Result<Ending, Failure> {
    let (kind, machine_kind) = kind_named(kind)?;
    let home = home_to_read(home)?;
    let mut ending = Ending::Fine;
    let mut shops = Vec::new();
    for (name, home) in shops_of(&home)? {
        let (learned, shop) =
            waiting("learning from the batches", || of_shop(&home, name, machine_kind))?;
        ending = ending.and(learned);
        shops.extend(shop);
    }
    match format {
        Format::Json => json(&answer(kind, &shops), out)?,
        Format::Text => ComparedPage { page: TextPage::new(out, 0) }.whole(kind, &shops)?,
    }
    Ok(ending)
}

/// Every shop that is here: those in folders of their own and, where it holds batches, the
/// folder itself, which has no name yet.
fn shops_of(home: &Home) -> Result<Vec<(Option<String>, Home)>, Failure> {
    let mut shops = Vec::new();
    if !home.batches()?.is_empty() || !home.archived()?.is_empty() {
        shops.push((None, home.clone()));
    }
    shops.extend(home.shops()?.into_iter().map(|(name, home)| (Some(name), home)));
    Ok(shops)
}

/// What the batches of a shop teach; no shop where there is none to learn from and no file.
fn of_shop(
    home: &Home,
    name: Option<String>,
    kind: MachineKind,
) -> Result<(Ending, Option<ShopLessons>), Failure> {
    let all = LearnedBatches::all(home)?;
    let own = shop_source::own(home)?.map(|own| own.shop()).transpose()?;
    let Some(shop) = own.as_ref().or(all.held.last().map(|last| &last.shop)) else {
        let none = name.map(|name| ShopLessons {
            name,
            batches: 0,
            left_out: all.left_out,
            machines: Vec::new(),
        });
        return Ok((all.ending, none));
    };
    let machines = learn_machines(&all.journals(), shop, kind);
    let name = name.unwrap_or_else(|| shop.name.clone());
    let (batches, left_out) = (all.held.len(), all.left_out);
    Ok((all.ending, Some(ShopLessons { name, batches, left_out, machines })))
}

struct ComparedPage<'o> {
    page: TextPage<'o>,
}

impl ComparedPage<'_> {
    fn whole(&mut self, kind: &str, shops: &[ShopLessons]) -> io::Result<()> {
        if shops.is_empty() {
            return self.page.line(0, "No batch is here to learn from.");
        }
        let title = format!("Machines of the kind {kind} in {}", counted(shops.len(), "shop"));
        self.page.line(0, &title)?;
        for shop in shops {
            self.uses(shop)?;
        }
        let machines = || shops.iter().flat_map(|shop| &shop.machines);
        let mut topics: Vec<_> =
            machines().flat_map(|used| &used.lessons).map(|lesson| lesson.topic).collect();
        topics.sort();
        topics.dedup();
        for topic in topics {
            let mut is_first = true;
            for shop in shops {
                let lessons = shop.machines.iter().flat_map(|used| &used.lessons);
                for lesson in lessons.filter(|lesson| lesson.topic == topic) {
                    if std::mem::take(&mut is_first) {
                        self.page.blank()?;
                        self.heading(lesson)?;
                    }
                    self.lesson(&shop.name, lesson)?;
                }
            }
        }
        Ok(())
    }

    /// How much each machine of a shop was used.
    fn uses(&mut self, shop: &ShopLessons) -> io::Result<()> {
        let name = visible(&shop.name);
        let left_out = match shop.left_out {
            0 => String::new(),
            count => format!("; {} left out", counted(count, "invented batch")),
        };
        if shop.machines.is_empty() {
            let batches = counted(shop.batches, "batch");
            return self.page.line(2, &format!("{name}: none, in {batches}{left_out}"));
        }
        for used in &shop.machines {
            let machine = visible(&used.machine);
            let says = match used.batches {
                0 => "no batch used it".to_owned(),
                batches => format!(
                    "{}, {}, {}",
                    counted(batches, "batch"),
                    counted(used.pieces, "piece"),
                    counted(used.readings, "reading"),
                ),
            };
            self.page.line(2, &format!("{name}, {machine}: {says}{left_out}"))?;
        }
        Ok(())
    }

    fn heading(&mut self, lesson: &Lesson) -> io::Result<()> {
        let row = TableRow::new(0, lesson.topic.words());
        let row = match lesson.evidence.range {
            Some(_) => row.right(FOUND, "found").right(DOUBT, "+-"),
            None => row,
        };
        // Independent readings are readings.
        let of = lesson.evidence.of.rsplit(' ').next().unwrap_or_default();
        self.page.row(row.right(COUNT, &plural(of)).right(BATCHES, "batches"))
    }

    fn lesson(&mut self, shop: &str, lesson: &Lesson) -> io::Result<()> {
        let held = &lesson.evidence;
        let words = |length| format!("{} {}", decimal(length, held.unit), held.unit.sign());
        let mut row = TableRow::new(2, &format!("{shop}, {}", lesson.about));
        if let Some((_, middle, _)) = held.range {
            let found = words(middle);
            if row.width() + found.len() >= FOUND {
                self.page.row(row)?;
                row = TableRow::new(2, "");
            }
            row = row.right(FOUND, &found);
            row = row.right(DOUBT, &held.uncertainty.map(words).unwrap_or_default());
        } else if row.width() >= FOUND {
            self.page.row(row)?;
            row = TableRow::new(2, "");
        }
        let row = row.right(COUNT, &held.count.to_string());
        self.page.row(row.right(BATCHES, &held.batches.to_string()))?;
        self.page.line(4, &visible(&lesson.says))?;
        // The count and the batches stand in the row.
        match (held.range, &held.more) {
            (None, None) => Ok(()),
            _ => self.page.line(4, &held.words("+-")),
        }
    }
}

/// Keys of the answer for programs.
#[derive(Serialize)]
struct ComparedAnswer<'a> {
    kind: &'a str,
    shops: Vec<ShopRow<'a>>,
}

#[derive(Serialize)]
struct ShopRow<'a> {
    shop: &'a str,
    batches: usize,
    invented_left_out: usize,
    machines: Vec<MachineUse<'a>>,
}

#[derive(Serialize)]
struct MachineUse<'a> {
    machine: &'a str,
    batches: usize,
    pieces: usize,
    set_aside: usize,
    readings: usize,
    lessons: Vec<LessonRow<'a>>,
}

fn answer<'a>(kind: &'a str, shops: &'a [ShopLessons]) -> ComparedAnswer<'a> {
    let machine = |used: &'a MachineLessons| MachineUse {
        machine: &used.machine,
        batches: used.batches,
        pieces: used.pieces,
        set_aside: used.lost,
        readings: used.readings,
        lessons: used.lessons.iter().map(|lesson| LessonRow::of(lesson, None)).collect(),
    };
    let shop = |shop: &'a ShopLessons| ShopRow {
        shop: &shop.name,
        batches: shop.batches,
        invented_left_out: shop.left_out,
        machines: shop.machines.iter().map(machine).collect(),
    };
    ComparedAnswer { kind, shops: shops.iter().map(shop).collect() }
}
