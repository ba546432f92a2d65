//! `walk` and bare `benchway`: start the traveler in a terminal.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::articles::ArticlesArgument;
use super::source::{SourceText, shop_text};
use super::{Ending, Failure};
use crate::journal::Home;
use crate::prose::Message;
use crate::route::BUNDLED;
use crate::stock::{self, Terms};
use crate::tui::theme::{Depth, Ground, Palette, Theme};
use crate::tui::{LaunchOptions, RouteText};

/// Work through a batch at the machines
///
/// Name a batch under way to continue it, or a route to begin a new batch. With
/// --boards the batch begins at the rack: every board is laid out and marked
/// before the first cut. Without a board list, boards can be typed there too.
///
/// Lengths are typed as 1 7/16, 1-7/16, 7/16, 1.4375, 2' 3 1/2", 8ft, 36.5mm or
/// 3.65cm; a bare number is in the unit of the gauge. On a scale with printed
/// marks, 1 7/16+ and 1 7/16- are half a mark over and under. A gauge that types
/// like a keyboard works as it is. The key ? explains the keys of each screen.
///
/// Terminals that share a batch must see the same folder (--home), and each needs
/// a name of its own (--station). A window of 80 by 24 is best, 40 by 12 the
/// minimum. Colour follows NO_COLOR.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway walk reading-stool --articles 2
  benchway walk reading-stool --boards stool-boards
  benchway walk \"reading-stool 2026-11-25\" --station planer")]
pub(super) struct WalkArguments {
    /// Batch under way, route file, or name of a bundled route
    #[arg(value_name = "ROUTE|BATCH")]
    named: PathBuf,

    #[command(flatten)]
    articles: ArticlesArgument,

    /// Shop file that a new batch keeps a copy of; the bundled shop if omitted
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,

    /// Board list as for `benchway boards`; the batch begins at the rack
    #[arg(long, value_name = "FILE")]
    boards: Option<PathBuf>,

    #[command(flatten)]
    at: TerminalArguments,
}

/// The name of this terminal and what it can show.
#[derive(Clone, Debug, Args)]
pub(super) struct TerminalArguments {
    /// Name of this terminal; each terminal needs its own
    #[arg(long, value_name = "NAME", default_value = "cart")]
    station: String,

    /// Draw with plain ASCII characters only
    #[arg(long)]
    ascii: bool,

    /// Ground of this terminal, so that colours stand out more; colours that
    /// can be read on both if omitted
    #[arg(long, value_name = "GROUND")]
    ground: Option<GroundArgument>,
}

/// What the terminal draws on.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum GroundArgument {
    /// Light letters on a dark ground
    Dark,
    /// Dark letters on a light ground
    Light,
}

impl TerminalArguments {
    fn theme(&self) -> Theme {
        let no_color = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        let plain = std::env::var("TERM").is_ok_and(|term| term == "dumb" || term == "vt100");
        let says = |name: &str, words: &[&str]| {
            std::env::var(name).is_ok_and(|value| words.iter().any(|word| value.contains(word)))
        };
        let depth = match () {
            () if says("COLORTERM", &["truecolor", "24bit"]) => Depth::Full,
            () if says("TERM", &["256color"]) => Depth::Indexed,
            () => Depth::Sixteen,
        };
        let ground = match self.ground {
            Some(GroundArgument::Dark) => Ground::Dark,
            Some(GroundArgument::Light) => Ground::Light,
            None => Ground::Unknown,
        };
        let palette = Palette::of(ground, depth);
        Theme { palette, ..Theme::new(!no_color, self.ascii || plain) }
    }
}

impl WalkArguments {
    pub(super) fn run(&self, home: Option<&Path>) -> Result<Ending, Failure> {
        let home = Home::locate(home.map(Path::to_owned))?;
        let under_way = home.batches()?.iter().any(|b| Some(b.name()) == self.named.to_str());
        let shop = shop_text(self.shop.as_deref())?;
        let mut boards = Vec::new();
        let (routes, batch, begin) = if under_way {
            if let Some(list) = &self.boards {
                return Err(Failure::Option {
                    option: "--boards",
                    given: list.display().to_string(),
                    why: Message::error("this batch has already begun")
                        .help("type its boards at operation 0 of the traveler"),
                });
            }
            (Vec::new(), self.named.to_str().map(str::to_owned), None)
        } else {
            // A faulty route is refused here, where every problem can be shown at its place.
            let mut route = super::source::route(&self.named)?;
            self.articles.apply(&mut route)?;
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
            (vec![RouteText { stem, text: source.text }], None, Some(self.articles.articles))
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

/// Opens the traveler on the batches under way and the bundled routes.
pub(super) fn opening(home: Option<&Path>, at: &TerminalArguments) -> Result<Ending, Failure> {
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
pub(super) fn at_a_terminal() -> bool {
    std::io::stdin().is_terminal() && std::io::stdout().is_terminal()
}

fn start(setting: LaunchOptions) -> Result<Ending, Failure> {
    if !at_a_terminal() {
        return Err(Failure::NoTerminal);
    }
    crate::tui::run(setting)?;
    Ok(Ending::Fine)
}
