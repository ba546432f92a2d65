//! Pages for paper that somebody asks for in the traveler: who writes them, and what is said
//! then.

use super::listing::RouteChoice;
use super::message::{AppMessage, PrintWish};

/// Writes pages. Each answers where the page is and how it is opened, or why there is none.
pub trait Printing {
    /// The card of a batch, or of one part of it.
    fn card(&self, batch: &str, part: Option<&str>) -> Result<String, String>;

    /// The review of a batch.
    fn review(&self, batch: &str) -> Result<String, String>;

    /// The card of a route file of this name and text.
    fn route_card(&self, stem: &str, text: &str) -> Result<String, String>;

    /// What there is to do today.
    fn today(&self) -> Result<String, String>;

    /// The safety sheets of the shop's machines.
    fn safety(&self) -> Result<String, String>;
}

/// Writes a page, and says where it is.
pub(super) fn printed(
    printing: &dyn Printing,
    routes: &[RouteChoice],
    wish: PrintWish,
) -> AppMessage {
    let said = match wish {
        PrintWish::Card { batch, part } => printing.card(&batch, part.as_deref()),
        PrintWish::Review { batch } => printing.review(&batch),
        PrintWish::RouteCard { route } => match routes.get(route) {
            Some(RouteChoice { stem, text: Ok(text), .. }) => printing.route_card(stem, text),
            Some(RouteChoice { text: Err(why), .. }) => Err(why.clone()),
            None => return AppMessage::Told(String::new()),
        },
        PrintWish::Today => printing.today(),
        PrintWish::Safety => printing.safety(),
    };
    match said {
        Ok(words) => AppMessage::Told(words),
        Err(why) => AppMessage::Failed(why),
    }
}
