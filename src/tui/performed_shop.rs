//! What is done to the shop's own file and its journal. The file is replaced first: it is
//! what batches begin with, and a line in the journal says only how it came about.

use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use super::message::{AppMessage, Effect, ShopListing};
use crate::document::Document;
use crate::journal::{Event, Home, ShopJournal, SignOff};
use crate::prose::visible;
use crate::shop::{self, Shop, begun};
use crate::tui::sentence::sentence;
use crate::work::ShopChange;

/// Begins the shop's own file.
pub(super) fn begin_shop(home: &Home, name: &str) -> AppMessage {
    match home.begin_shop(&begun(name)) {
        Ok(()) => AppMessage::Told(format!(
            "{name} is yours. No scale of it is known yet: {}.",
            visible(&home.shop_path().display().to_string())
        )),
        Err(error) => AppMessage::Failed(error.to_string()),
    }
}

/// Reads the shop's own file and its journal.
pub(super) fn open_shop(home: &Home, station: &str, now: DateTime<FixedOffset>) -> AppMessage {
    match listing(home, station, now) {
        Ok(listing) => AppMessage::ShopOpened(Box::new(listing)),
        Err(why) => AppMessage::Failed(why),
    }
}

/// Changes the shop's own file on a lead's word, and notes it in the journal.
pub(super) fn change_shop(
    home: &Home,
    station: &str,
    now: DateTime<FixedOffset>,
    by: &str,
    change: ShopChange,
) -> AppMessage {
    match changed(home, station, now, by, &change) {
        Ok(said) => match listing(home, station, now) {
            Ok(listing) => AppMessage::ShopChanged {
                listing: Box::new(listing),
                change: Box::new(change),
                said,
            },
            Err(why) => AppMessage::Failed(why),
        },
        Err(why) => AppMessage::Failed(why),
    }
}

/// What a lead said of people at the machine, as changes of the shop, each with the lead's
/// initials.
pub(super) fn shop_changes(events: &[Event]) -> Vec<(String, ShopChange)> {
    let change = |event: &Event| match event.clone() {
        Event::SignedOff(SignOff { who, machine, until, first_piece_seen, by }) => {
            Some((by, ShopChange::SignedOff { who, machine, until, first_piece_seen }))
        }
        Event::StandsIn { who, on, by } => Some((by, ShopChange::StandsIn { who, on })),
        _ => None,
    };
    events.iter().filter_map(change).collect()
}

/// Notes in the shop what is recorded in the batch. Where there is no shop of one's own the
/// journal alone has it; what can't be written is told.
pub(super) fn note_changes(
    home: &Home,
    station: &str,
    now: DateTime<FixedOffset>,
    changes: Vec<(String, ShopChange)>,
) -> Vec<Effect> {
    let noted = |(by, change): (String, ShopChange)| {
        let done = match home.own_shop() {
            Some(_) => changed(home, station, now, &by, &change).map(drop),
            None => noted(home, station, now, &by, &change),
        };
        done.err()
            .map(|why| Effect::Tell(format!("The batch has it, but your shop doesn't: {why}")))
    };
    changes.into_iter().filter_map(noted).collect()
}

fn noted(
    home: &Home,
    station: &str,
    now: DateTime<FixedOffset>,
    by: &str,
    change: &ShopChange,
) -> Result<(), String> {
    let events = change.event(by).into_iter().collect();
    ShopJournal::of(home).append(station, now, by, events).map_err(|error| error.to_string())
}

fn text(home: &Home) -> Result<String, String> {
    home.own_shop().unwrap_or_else(|| Err("there is no shop of your own yet".to_owned()))
}

fn read(text: &str) -> Result<Shop, String> {
    let document = Document::read("shop.json", text).map_err(|problem| problem.what)?;
    let shop = shop::read(&document).map_err(|problems| {
        problems.first().map_or_else(String::new, |problem| problem.what.clone())
    })?;
    match shop::impossible(&document, &shop).first() {
        Some(problem) => Err(problem.what.clone()),
        None => Ok(shop),
    }
}

fn listing(home: &Home, station: &str, now: DateTime<FixedOffset>) -> Result<ShopListing, String> {
    let shop = text(home).and_then(|text| read(&text));
    let shop = shop.map_err(|why| format!("Your shop can't be used: {why}."))?;
    let (record, _) = ShopJournal::of(home).read().map_err(|error| error.to_string())?;
    Ok(ShopListing { now, station: station.to_owned(), shop: Arc::new(shop), record })
}

fn changed(
    home: &Home,
    station: &str,
    now: DateTime<FixedOffset>,
    by: &str,
    change: &ShopChange,
) -> Result<String, String> {
    let was = text(home)?;
    let becomes = change.made(&was, by).map_err(|why| sentence(&why.what))?;
    read(&becomes).map_err(|why| format!("Nothing was written: {why}."))?;
    if becomes != was {
        home.replace_shop(&was, &becomes).map_err(|error| error.to_string())?;
    }
    if change.event(by).is_none() {
        return Ok(format!("Written on the word of {by}."));
    }
    match noted(home, station, now, by, change) {
        Ok(()) => Ok(format!("Written, and noted in the shop journal, on the word of {by}.")),
        Err(why) => Err(format!("The shop file is changed, but its journal isn't. {why}")),
    }
}
