//! `shop`: the shop that a lead keeps beside the batches, and the people in it.

use std::io::Write;
use std::path::Path;

use chrono::{DateTime, FixedOffset, Local, NaiveDate};
use clap::{Args, Subcommand};

use super::shop_source;
use super::{Ending, Failure};
use crate::journal::{Home, Names, ShopEvent, ShopJournal, ShopRecord};
use crate::prose::{Message, visible, wrap};
use crate::shop::{Day, Machine, Person, Shop, begun, is_invented};
use crate::work::{KnownScale, initials, known_scales, unit_of};

/// The columns of a page.
const COLUMNS: u16 = 80;

/// The name of a shop that nobody has named.
const UNNAMED: &str = "Our shop";

/// Show your own shop
///
/// Each machine with its scales and tools: how far off a scale is with a tool, when that
/// was found, how well and by whom, or that nobody knows. The shop file is shop.json in
/// the folder of the batches; every command uses it where --shop is omitted. What
/// happened to the shop is in the shop journal beside it. In the traveler F2 on the
/// opening screen leads through it machine by machine, with three cuts for each scale.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway shop begin --name \"Mill Street\"
  benchway shop
  benchway shop people")]
pub(super) struct ShopArguments {
    #[command(subcommand)]
    act: Option<ShopAct>,
}

#[derive(Debug, Subcommand)]
enum ShopAct {
    /// Begin a shop of your own
    ///
    /// Writes shop.json with the machines of the invented shop. What only an invented shop
    /// can know is left out: offsets, spreads, descriptions, prices. Never writes over a
    /// shop that is there.
    Begin {
        /// What it is called
        #[arg(long, value_name = "NAME", default_value = UNNAMED)]
        name: String,
    },
    /// List people and the machines they are signed off on
    ///
    /// The shop file names people by their initials. Names come from names.json.
    People,
    /// Keep the name behind somebody's initials
    ///
    /// It is kept in names.json beside the batches and in no journal.
    Name {
        /// Their initials
        #[arg(value_name = "INITIALS")]
        who: String,
        /// Their name
        #[arg(value_name = "NAME")]
        name: String,
    },
    /// Erase the name behind somebody's initials
    ///
    /// The initials stay wherever they were written; the shop journal notes that the name
    /// was erased.
    Erase {
        /// Their initials
        #[arg(value_name = "INITIALS")]
        who: String,
    },
}

impl ShopArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let located = Home::locate(home.map(Path::to_owned))?;
        let now = Local::now().fixed_offset();
        match &self.act {
            None => show(&located, now, out),
            Some(ShopAct::Begin { name }) => begin(&located, name, out),
            Some(ShopAct::People) => people(&located, now, out),
            Some(ShopAct::Name { who, name }) => keep_name(&located, who, name, out),
            Some(ShopAct::Erase { who }) => erase(&located, who, now, out),
        }
    }
}

fn begin(home: &Home, name: &str, out: &mut dyn Write) -> Result<Ending, Failure> {
    if name.trim().is_empty() || is_invented(name.trim()) {
        let why = Message::error("your shop needs a name of its own");
        return Err(Failure::Option { option: "--name", given: name.to_owned(), why });
    }
    home.begin_shop(&begun(name.trim()))?;
    writeln!(out, "{} is your shop now: {}", visible(name.trim()), shown(home))?;
    let next = "It has the machines of the invented shop and knows no offset of theirs. Take out \
                what you don't have, and put in what yours are really like: in an editor, or with \
                F2 on the opening screen of the traveler.";
    paragraph(next, 0, out)?;
    Ok(Ending::Fine)
}

fn shown(home: &Home) -> String {
    visible(&home.shop_path().display().to_string())
}

fn paragraph(text: &str, indent: u16, out: &mut dyn Write) -> std::io::Result<()> {
    let margin = " ".repeat(usize::from(indent));
    wrap(&visible(text), COLUMNS - indent)
        .iter()
        .try_for_each(|line| writeln!(out, "{}", format!("{margin}{line}").trim_end()))
}

/// The shop of the home folder, or the invented one, and the record of it.
fn read(home: &Home) -> Result<(Shop, ShopRecord, Ending), Failure> {
    let shop = shop_source::shop(None, Some(home.path()))?;
    let (record, damage) = ShopJournal::of(home).read()?;
    for said in &damage {
        eprintln!("warning: the shop journal: {}", visible(said));
    }
    Ok((shop, record, Ending::found(!damage.is_empty())))
}

fn show(home: &Home, now: DateTime<FixedOffset>, out: &mut dyn Write) -> Result<Ending, Failure> {
    let (shop, record, ending) = read(home)?;
    if is_invented(&shop.name) {
        writeln!(out, "{} (invented)", visible(&shop.name))?;
        writeln!(out, "`benchway shop begin --name NAME` begins one of your own.")?;
    } else {
        writeln!(out, "{}, in {}", visible(&shop.name), shown(home))?;
    }
    for (name, machine) in &shop.machines {
        writeln!(out)?;
        machine_lines(&shop, &record, (name, machine), now)
            .iter()
            .try_for_each(|(indent, line)| paragraph(line, *indent, out))?;
    }
    Ok(ending)
}

/// A machine with its scales, its tools, how far off each scale is, and who may work there.
fn machine_lines(
    shop: &Shop,
    record: &ShopRecord,
    (name, machine): (&str, &Machine),
    now: DateTime<FixedOffset>,
) -> Vec<(u16, String)> {
    let mut lines = vec![(0, name.to_owned())];
    lines.extend(machine.readouts.iter().map(|(scale, readout)| {
        let unit = readout.unit.unwrap_or(shop.unit);
        (2, format!("{scale}: steps of {} {}", readout.step.written(unit), unit.sign()))
    }));
    let scales = known_scales(shop, record, name);
    for (tool, held) in &machine.tools {
        let kerf = held.kerf.map(|kerf| format!("kerf {}", kerf.written(shop.unit)));
        let fitted = record.changes.get(&(name.to_owned(), tool.clone())).map(|fitted| {
            let feet = fitted.feet_before.map(|feet| format!(", the one before after {feet} ft"));
            let age = crate::work::age(fitted.at, now);
            format!("changed {age} by {}{}", fitted.by, feet.unwrap_or_default())
        });
        let said: Vec<String> = kerf.into_iter().chain(fitted).collect();
        let said = if said.is_empty() { String::new() } else { format!(": {}", said.join("; ")) };
        lines.push((2, format!("{tool}{said}")));
        let own = scales.iter().filter(|scale| scale.scale.tool == *tool);
        lines.extend(own.map(|scale: &KnownScale| {
            let words = scale.words(unit_of(shop, &scale.scale), now);
            (4, format!("{}: {words}", scale.scale.scale))
        }));
    }
    let may = shop.people.iter().filter(|(who, _)| shop.is_signed_off(who, name, now.date_naive()));
    let may: Vec<&str> = may.map(|(who, _)| who.as_str()).collect();
    if !may.is_empty() {
        lines.push((2, format!("signed off: {}", may.join(", "))));
    }
    lines
}

/// What a person may do on a day: leads, or each machine with its last day.
fn may_do(person: &Person, on: NaiveDate) -> String {
    if person.lead {
        return "lead".to_owned();
    }
    let today = person.lead_on.contains(&Day(on)).then(|| "leads today".to_owned());
    let machines = person.signed_off_on.iter().map(|at| match person.signed_off_until.get(at) {
        Some(until) if until.0 < on => format!("{at} (not since {})", until.0),
        Some(until) => format!("{at} until {}", until.0),
        None => at.clone(),
    });
    let all: Vec<String> = today.into_iter().chain(machines).collect();
    if all.is_empty() { "signed off on nothing".to_owned() } else { all.join(", ") }
}

fn people(home: &Home, now: DateTime<FixedOffset>, out: &mut dyn Write) -> Result<Ending, Failure> {
    let (shop, _, ending) = read(home)?;
    let names = Names::of(home).all()?;
    if shop.people.is_empty() {
        writeln!(out, "The shop file names nobody, so everybody may work at every machine.")?;
        return Ok(ending);
    }
    for (who, person) in &shop.people {
        let name = names.get(&who.to_uppercase()).map_or_else(String::new, |n| format!(", {n}"));
        paragraph(&format!("{who}{name}: {}", may_do(person, now.date_naive())), 0, out)?;
    }
    Ok(ending)
}

/// Initials that were given as an argument.
fn initials_of(who: &str) -> Result<String, Failure> {
    initials(who.trim()).map_err(|why| Failure::Option {
        option: "initials",
        given: who.to_owned(),
        why,
    })
}

fn keep_name(home: &Home, who: &str, name: &str, out: &mut dyn Write) -> Result<Ending, Failure> {
    let who = initials_of(who)?;
    let name = name.trim();
    if name.is_empty() {
        let why = Message::error("a name is missing");
        return Err(Failure::Option { option: "name", given: String::new(), why });
    }
    Names::of(home).set(&who, name)?;
    writeln!(out, "{who} is {}.", visible(name))?;
    Ok(Ending::Fine)
}

fn erase(
    home: &Home,
    who: &str,
    now: DateTime<FixedOffset>,
    out: &mut dyn Write,
) -> Result<Ending, Failure> {
    let who = initials_of(who)?;
    if !Names::of(home).erase(&who)? {
        writeln!(out, "No name is kept for {who}.")?;
        return Ok(Ending::Fine);
    }
    let erased = ShopEvent::NameErased { who: who.clone() };
    ShopJournal::of(home).append("lead", now, &who, vec![erased])?;
    writeln!(out, "The name behind {who} is erased. The initials stay where they were written.")?;
    Ok(Ending::Fine)
}
