//! The shop that new batches are made in, on the opening screen.

use super::opening::{OpeningScreen, StartQuestion};
use crate::shop::is_invented;
use crate::tui::message::Effect;
use crate::tui::shop_choice::ShopStanding;

/// How a shop file with a mistake in it is mended.
pub(in crate::tui) const SEE_WHERE: &str = "To see where: benchway check shop.json, in the folder \
of the batches.";

impl OpeningScreen {
    /// Asks for the name of a shop of one's own, where there is none yet.
    pub(super) fn open_shop(&mut self) -> Vec<Effect> {
        match &self.lists.shop.standing {
            ShopStanding::Invented => self.ask(StartQuestion::ShopName, ""),
            ShopStanding::Own => return vec![Effect::OpenShop],
            ShopStanding::Faulty(why) => {
                let what = format!("Your shop can't be used: {why}.");
                self.refuse(&what, SEE_WHERE);
            }
        }
        Vec::new()
    }

    pub(super) fn begin_shop(&mut self, name: &str) -> Vec<Effect> {
        if name.is_empty() || is_invented(name) {
            self.refuse("Your shop needs a name of its own.", "such as Mill Street, then Enter");
            return Vec::new();
        }
        self.prompt = None;
        vec![Effect::BeginShop { name: name.to_owned() }, self.list(), Effect::OpenShop]
    }
}
