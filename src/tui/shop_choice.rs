//! The shop that a new batch keeps a copy of, and what the opening screen says of it.

use crate::journal::Home;
use crate::shop::{BUNDLED, is_invented, shop_name};

/// Where the shop of a new batch comes from.
#[derive(Clone, Debug)]
pub enum ShopChoice {
    /// The text of a file that was named when the program started.
    Given(String),
    /// The shop's own file as it is then or, where there is none, the invented shop.
    OfHome,
}

impl ShopChoice {
    /// The whole shop file, or why it can't be read.
    pub(super) fn text(&self, home: &Home) -> Result<String, String> {
        match self {
            ShopChoice::Given(text) => Ok(text.clone()),
            ShopChoice::OfHome => home.own_shop().unwrap_or_else(|| Ok(BUNDLED.to_owned())),
        }
    }

    /// What the opening screen says of it.
    pub(super) fn listed(&self, home: &Home) -> ListedShop {
        let standing = |name: &str| match is_invented(name) {
            true => ShopStanding::Invented,
            false => ShopStanding::Own,
        };
        match self.text(home) {
            Ok(text) => match shop_name(&text) {
                Some(name) => ListedShop { standing: standing(&name), name },
                None => ListedShop::faulty("it is no shop file".to_owned()),
            },
            Err(why) => ListedShop::faulty(why),
        }
    }
}

/// A shop as the opening screen names it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ListedShop {
    /// What it is called; empty where its file can't be read.
    pub name: String,
    /// Whose it is.
    pub standing: ShopStanding,
}

/// Whose the machines of a shop are.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum ShopStanding {
    /// Nobody's: they are invented.
    #[default]
    Invented,
    /// Somebody described machines that exist.
    Own,
    /// Its file can't be read, and why.
    Faulty(String),
}

impl ListedShop {
    fn faulty(why: String) -> ListedShop {
        ListedShop { name: String::new(), standing: ShopStanding::Faulty(why) }
    }

    /// Its name, and that it is invented where it is.
    pub fn words(&self) -> String {
        match &self.standing {
            ShopStanding::Invented => shop_words(&self.name),
            ShopStanding::Own => self.name.clone(),
            ShopStanding::Faulty(_) => "shop.json can't be read".to_owned(),
        }
    }
}

/// The name of a shop, and that it is invented where it is.
pub(super) fn shop_words(name: &str) -> String {
    if is_invented(name) { format!("{name} (invented)") } else { name.to_owned() }
}
