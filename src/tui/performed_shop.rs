//! What is done to the shop's own file and its journal. The file is replaced first: it is
//! what batches begin with, and a line in the journal says only how it came about.

use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use super::message::{AppMessage, ShopListing};
use crate::document::Document;
use crate::journal::{Home, ShopJournal};
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
    let Some(event) = change.event(by) else {
        return Ok(format!("Written on the word of {by}."));
    };
    let journal = ShopJournal::of(home);
    match journal.append(station, now, by, vec![event]) {
        Ok(()) => Ok(format!("Written, and noted in the shop journal, on the word of {by}.")),
        Err(error) => Err(format!("The shop file is changed, but its journal isn't. {error}")),
    }
}
