//! The lines of one's own shop in words, for screens and line by line.

use super::app::{ShopLineItem, ShopScreen, ShopView};
use super::message::ShopListing;
use super::sentence::sentence;
use crate::operation::words;
use crate::shop::SignOffStanding;
use crate::work::{KnownScale, ScaleKnowledge, known_scales, unit_of};

/// What a line is about, and what is known of it in a few words.
pub(super) fn line_words(listing: &ShopListing, line: &ShopLineItem) -> (String, String) {
    let shop = &listing.shop;
    match line {
        ShopLineItem::Machine(name) => (name.clone(), summary(listing, name)),
        ShopLineItem::StandsIn => ("somebody leads today".to_owned(), stand_ins(listing)),
        ShopLineItem::Here(_) => ("in this shop".to_owned(), "yes".to_owned()),
        ShopLineItem::Step { machine, scale } => {
            let held = shop.machines.get(machine).and_then(|held| held.readouts.get(scale));
            let step = held.map_or_else(String::new, |held| {
                let unit = held.unit.unwrap_or(shop.unit);
                format!("steps of {} {}", held.step.written(unit), unit.sign())
            });
            (format!("{scale} scale"), step)
        }
        ShopLineItem::Kerf { machine, tool } => {
            let held = shop.machines.get(machine).and_then(|held| held.tools.get(tool));
            let kerf = held.and_then(|held| held.kerf).unwrap_or_default();
            (tool.clone(), format!("kerf {}", words(kerf, shop.unit)))
        }
        ShopLineItem::Offset(scale) => {
            let known = known_scale(listing, line);
            let brief = known.map_or_else(String::new, |known| known.brief(unit_of(shop, scale)));
            (format!("{}, {}", scale.tool, scale.scale), format!("offset {brief}"))
        }
        ShopLineItem::NewTool { machine, tool } => {
            let fitted = listing.record.changes.get(&(machine.clone(), tool.clone()));
            let fitted = fitted.map(|fitted| {
                format!("changed {} by {}", crate::work::age(fitted.at, listing.now), fitted.by)
            });
            (format!("new {tool}"), fitted.unwrap_or_else(|| "none noted".to_owned()))
        }
        ShopLineItem::People(machine) => ("signed off".to_owned(), people(listing, machine)),
    }
}

/// Everything that is known of a line, in sentences.
pub(super) fn line_told(listing: &ShopListing, line: &ShopLineItem) -> Vec<String> {
    match line {
        ShopLineItem::Machine(name) => {
            let about = listing.shop.machines.get(name).and_then(|held| held.about.clone());
            about.into_iter().collect()
        }
        ShopLineItem::Offset(scale) => {
            let Some(known) = known_scale(listing, line) else { return Vec::new() };
            let said = known.words(unit_of(&listing.shop, scale), listing.now);
            vec![sentence(&said), "Enter: three cuts find it.".to_owned()]
        }
        ShopLineItem::Here(machine) => vec![format!("Enter takes the {machine} out.")],
        ShopLineItem::NewTool { .. } => {
            vec!["Enter where it was changed for another of its name, or sharpened.".to_owned()]
        }
        ShopLineItem::StandsIn => {
            vec!["Enter names somebody who decides as a lead for today.".to_owned()]
        }
        ShopLineItem::People(_) => vec!["Enter signs somebody off.".to_owned()],
        ShopLineItem::Step { .. } | ShopLineItem::Kerf { .. } => Vec::new(),
    }
}

/// What the shop is called, or the machine that is looked at.
pub(super) fn title(screen: &ShopScreen) -> String {
    match screen.view() {
        ShopView::Machines { .. } => format!("your shop    {}", screen.listing.shop.name),
        ShopView::Machine { name, .. } => format!("your shop    {name}"),
    }
}

fn known_scale(listing: &ShopListing, line: &ShopLineItem) -> Option<KnownScale> {
    let ShopLineItem::Offset(scale) = line else { return None };
    let all = known_scales(&listing.shop, &listing.record, &scale.machine);
    all.into_iter().find(|known| known.scale == *scale)
}

/// `2/6 offsets known`.
fn summary(listing: &ShopListing, machine: &str) -> String {
    let all = known_scales(&listing.shop, &listing.record, machine);
    if all.is_empty() {
        return "no scale".to_owned();
    }
    let known = all.iter().filter(|scale| scale.known != ScaleKnowledge::Nothing).count();
    format!("{known}/{} offsets known", all.len())
}

/// Everybody who may work at a machine alone today, and until when; whose time is over says
/// so.
fn people(listing: &ShopListing, machine: &str) -> String {
    let shop = &listing.shop;
    if shop.people.is_empty() {
        return "everybody: the shop file names nobody".to_owned();
    }
    let day = listing.now.date_naive();
    let said = shop.people.iter().filter_map(|(who, person)| {
        Some(match person.standing(machine, day) {
            SignOffStanding::Leads => format!("{who} leads"),
            SignOffStanding::SignedOff(None) => who.clone(),
            SignOffStanding::SignedOff(Some(until)) => format!("{who} until {until}"),
            SignOffStanding::Expired(until) => format!("{who} not since {until}"),
            SignOffStanding::Not => return None,
        })
    });
    let said: Vec<String> = said.collect();
    if said.is_empty() { "nobody".to_owned() } else { said.join(", ") }
}

/// Who decides in place of the lead today.
fn stand_ins(listing: &ShopListing) -> String {
    let day = crate::shop::Day(listing.now.date_naive());
    let people = listing.shop.people.iter().filter(|(_, person)| person.lead_on.contains(&day));
    let people: Vec<&str> = people.map(|(who, _)| who.as_str()).collect();
    if people.is_empty() { "nobody".to_owned() } else { people.join(", ") }
}
