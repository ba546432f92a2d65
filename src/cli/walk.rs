//! `benchway walk` and bare `benchway`: the traveler at the machine.
//! Knows nothing of screens or keys.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use clap::Args;

use super::source::{SourceText, shop_text};
use super::{Ending, Failure};
use crate::journal::Home;
use crate::route::BUNDLED;
use crate::stock::{self, Terms};
use crate::tui::theme::Theme;
use crate::tui::{LaunchOptions, RouteText};

/// Walk a batch through its operations at the machine.
///
/// Give a batch under way to go on with it, or a route to begin a new one.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway walk reading-stool --sets 2
  benchway walk reading-stool --boards stool-boards")]
pub struct WalkArguments {
    /// A batch under way, a route file, or a bundled route
    #[arg(value_name = "ROUTE|BATCH")]
    named: PathBuf,

    /// How many sets a new batch makes; what the route says where left out
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    sets: Option<u32>,

    /// The shop file a new batch freezes; the bundled one where left out
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    /// A board list, as for `benchway boards`: the batch begins at the rack
    #[arg(long, value_name = "FILE")]
    boards: Option<PathBuf>,

    #[command(flatten)]
    at: TerminalArguments,
}

/// How the terminal at hand is called and what it can show.
#[derive(Clone, Debug, Args)]
pub struct TerminalArguments {
    /// What this terminal is called; two terminals need two names
    #[arg(long, value_name = "NAME", default_value = "cart")]
    station: String,

    /// Draw with plain ASCII signs only
    #[arg(long)]
    ascii: bool,
}

impl TerminalArguments {
    fn theme(&self) -> Theme {
        let no_color = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        let plain = std::env::var("TERM").is_ok_and(|term| term == "dumb" || term == "vt100");
        Theme::from_environment(no_color, self.ascii || plain)
    }
}

impl WalkArguments {
    pub fn run(&self, home: Option<&Path>) -> Result<Ending, Failure> {
        let home = Home::locate(home.map(Path::to_owned))?;
        let under_way = home.batches()?.iter().any(|b| Some(b.name()) == self.named.to_str());
        let shop = shop_text(self.shop.as_deref())?;
        let mut boards = Vec::new();
        let (routes, batch, begin) = if under_way {
            if let Some(list) = &self.boards {
                return Err(Failure::Given {
                    option: "--boards",
                    given: list.display().to_string(),
                    what: "this batch is under way".to_owned(),
                    help: Some("type its boards at operation 0 of the traveler".to_owned()),
                });
            }
            (Vec::new(), self.named.to_str().map(str::to_owned), None)
        } else {
            // Refused here, with every problem at its place, and not on a screen.
            let route = super::source::route(&self.named)?;
            if let Some(list) = &self.boards {
                let list = super::source::board_list(list)?;
                let shop = super::source::shop(self.shop.as_deref())?;
                let terms = Terms::of(&route, &shop);
                boards = stock::read_board_list(&list.text, &terms)
                    .map_err(|problems| list.refused(&problems))?;
            }
            let source = SourceText::open(&self.named)?;
            let stem = Path::new(&source.name).file_stem().and_then(|stem| stem.to_str());
            let stem = stem.unwrap_or("batch").to_owned();
            (vec![RouteText { stem, text: source.text }], None, Some(self.sets))
        };
        start(LaunchOptions {
            home,
            station: self.at.station.clone(),
            theme: self.at.theme(),
            routes,
            shop,
            boards,
            batch,
            begin,
        })
    }
}

/// Opens on batches under way and routes.
pub fn opening(home: Option<&Path>, at: &TerminalArguments) -> Result<Ending, Failure> {
    let routes = BUNDLED
        .iter()
        .map(|bundled| RouteText { stem: bundled.stem.to_owned(), text: bundled.text.to_owned() })
        .collect();
    start(LaunchOptions {
        home: Home::locate(home.map(Path::to_owned))?,
        station: at.station.clone(),
        theme: at.theme(),
        routes,
        shop: shop_text(None)?,
        boards: Vec::new(),
        batch: None,
        begin: None,
    })
}

/// Whether there is a terminal to draw on.
pub fn at_a_terminal() -> bool {
    std::io::stdin().is_terminal() && std::io::stdout().is_terminal()
}

fn start(setting: LaunchOptions) -> Result<Ending, Failure> {
    if !at_a_terminal() {
        return Err(Failure::NoTerminal);
    }
    crate::tui::run(setting)?;
    Ok(Ending::Fine)
}
