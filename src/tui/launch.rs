//! What the program is started with.

use super::exchanging::BeginExchange;
use super::listing::RouteText;
use super::printing::Printing;
use super::shop_choice::ShopChoice;
use super::theme::Theme;
use crate::journal::Home;
use crate::route::OwnedArticle;
use crate::stock::RackBoard;

/// What the program was started with.
pub struct LaunchOptions {
    /// Where the batches are.
    pub home: Home,
    /// The name this terminal writes under.
    pub station: String,
    /// Colours and signs.
    pub theme: Theme,
    /// Whether to ask the terminal what it draws on.
    pub ask_ground: bool,
    /// The routes a batch can be begun from.
    pub routes: Vec<RouteText>,
    /// The shop file that is frozen into a new batch.
    pub shop: ShopChoice,
    /// The boards a new batch begins with.
    pub boards: Vec<RackBoard>,
    /// A batch to open at once.
    pub batch: Option<String>,
    /// Begin the first route at once.
    pub begin: Option<BeginOptions>,
    /// Where none is: show what there is to do today.
    pub shows_today: bool,
    /// Begins the exchange with other terminals, where there is one.
    pub exchange: Option<BeginExchange>,
    /// Writes pages for paper.
    pub printing: Box<dyn Printing>,
}

/// What was said of a batch that begins at once.
#[derive(Clone, Debug, Default)]
pub struct BeginOptions {
    /// How many articles it makes; as many as the route says where not given.
    pub articles: Option<u32>,
    /// What it is called; the route and the day where not given.
    pub name: Option<String>,
    /// Whose each article is and what was chosen; empty where nobody chose.
    pub makers: Vec<OwnedArticle>,
}
