//! `walk` and bare `benchway`: start the traveler in a terminal.

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::articles::ArticlesArgument;
use super::makers::MakersArgument;
use super::print::PagesOfHome;
use super::shop_source::{shop, shop_text};
use super::source::SourceText;
use super::{Ending, ExchangeChoice, Failure};
use crate::journal::{BatchFolder, Home, OpenError, StoreError, objection, suitable};
use crate::measure::{Entry, parse_entry};
use crate::prose::Message;
use crate::route::{BUNDLED, Bundled, with_dimension};
use crate::stock::{self, Terms};
use crate::tui::theme::{Depth, Ground, Palette, Theme};
use crate::tui::{
    BeginExchange, BeginOptions, LaunchOptions, PlainEnd, PlainStreams, RouteOrigin, RouteText,
    ShopChoice, run_plain,
};

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
///
/// With --plain everything is asked and answered line by line, also through a pipe:
/// the order first, the question last, numbers read back in words. Type a letter or
/// a word (undo, note, pieces, op 60, q) in place of a key; ? lists them. The end of
/// the input leaves the batch as q does.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway walk reading-stool --articles 2
  benchway walk reading-stool --with height=22 --boards stool-boards
  benchway walk reading-stool --makers class.csv
  benchway walk \"reading-stool 2026-11-25\" --station planer
  benchway walk --plain reading-stool --name \"spring stools\"")]
pub(super) struct WalkArguments {
    /// Batch under way, route file, or name of a bundled route; lists them all
    /// if omitted
    #[arg(value_name = "ROUTE|BATCH")]
    named: Option<PathBuf>,

    /// Name of the new batch; the route and the day if omitted
    #[arg(long, value_name = "NAME", requires = "named")]
    name: Option<String>,

    #[command(flatten)]
    articles: ArticlesArgument,

    #[command(flatten)]
    makers: MakersArgument,

    /// Adapt a dimension of the route for the whole batch, by its name in the
    /// route; whatever follows from it moves too
    #[arg(long, value_name = "NAME=VALUE", requires = "named")]
    with: Vec<String>,

    /// Shop file that a new batch keeps a copy of, or `bundled` for the invented
    /// shop; your own shop if omitted
    #[arg(long, value_name = "FILE", requires = "named")]
    shop: Option<PathBuf>,

    /// Board list as for `benchway boards`; the batch begins at the rack
    #[arg(long, value_name = "FILE", requires = "named")]
    boards: Option<PathBuf>,

    #[command(flatten)]
    at: TerminalArguments,
}

/// The name of this terminal and what it can show.
#[derive(Clone, Debug, Args)]
pub(super) struct TerminalArguments {
    /// Name of this terminal, each its own; `cart` if omitted
    #[arg(long, value_name = "NAME")]
    station: Option<String>,

    /// Ask and answer line by line, with no drawing and no colour: for screen
    /// readers, terminals that only print, and scripts
    #[arg(long, conflicts_with_all = ["ascii", "ground"])]
    plain: bool,

    /// Draw with plain ASCII characters only
    #[arg(long)]
    ascii: bool,

    /// Ground of this terminal, so that colours stand out more; the terminal is
    /// asked if omitted
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
    /// Whether the traveler can be opened: line by line it needs no terminal.
    pub(super) fn can_open(&self) -> bool {
        self.plain || at_a_terminal()
    }

    /// The name that was given, else the one by which a server knows this terminal.
    fn station(&self, exchange: &ExchangeChoice) -> Result<String, Failure> {
        if let Some(station) = &self.station {
            return Ok(station.clone());
        }
        Ok(exchange.station()?.unwrap_or_else(|| "cart".to_owned()))
    }

    /// Refuses what stands before a command: only the traveler that opens without one
    /// takes it there.
    pub(super) fn refuse_before_a_command(&self) -> Result<(), Failure> {
        let given = |is_given: bool| is_given.then(String::new);
        let ground = self.ground.and_then(|ground| ground.to_possible_value());
        let options = [
            ("--station", self.station.clone()),
            ("--plain", given(self.plain)),
            ("--ascii", given(self.ascii)),
            ("--ground", ground.map(|ground| ground.get_name().to_owned())),
        ];
        for (option, given) in options {
            let Some(given) = given else { continue };
            let help = format!("write it behind the command: benchway walk {option} {given}");
            let why = Message::error("nothing takes it before a command").help(help.trim_end());
            return Err(Failure::Option { option, given, why });
        }
        Ok(())
    }

    fn theme(&self) -> Theme {
        let no_color = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        let ground = match self.ground {
            Some(GroundArgument::Dark) => Ground::Dark,
            Some(GroundArgument::Light) => Ground::Light,
            None => ground_said(),
        };
        let palette = Palette::of(ground, depth());
        Theme { palette, ..Theme::new(!no_color, self.ascii || is_plain()) }
    }

    /// Whether to ask the terminal for its ground: only where the answer changes a
    /// colour. One that is plain might print the question.
    fn ask_ground(&self) -> bool {
        self.ground.is_none() && !is_plain() && depth() == Depth::Full
    }
}

/// Whether the terminal draws plain signs alone.
fn is_plain() -> bool {
    std::env::var("TERM").is_ok_and(|term| term == "dumb" || term == "vt100")
}

fn depth() -> Depth {
    let says = |name: &str, words: &[&str]| {
        std::env::var(name).is_ok_and(|value| words.iter().any(|word| value.contains(word)))
    };
    match () {
        () if says("COLORTERM", &["truecolor", "24bit"]) => Depth::Full,
        () if says("TERM", &["256color"]) => Depth::Indexed,
        () => Depth::Sixteen,
    }
}

/// The ground as some terminals say it beforehand: `15;0` is white on black. Of the
/// sixteen colours 7 and 9 to 15 are light.
fn ground_said() -> Ground {
    let said = std::env::var("COLORFGBG").ok();
    let number = said.as_deref().and_then(|said| said.rsplit(';').next()?.parse::<u8>().ok());
    match number {
        Some(0..=6 | 8) => Ground::Dark,
        Some(7 | 9..=15) => Ground::Light,
        _ => Ground::Unknown,
    }
}

impl WalkArguments {
    pub(super) fn run(
        &self,
        home: Option<&Path>,
        exchange: &ExchangeChoice,
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let Some(named) = &self.named else { return opening(home, &self.at, exchange, out) };
        let given = home;
        let home = Home::locate(home.map(Path::to_owned))?;
        let station = self.at.station(exchange)?;
        exchange.before_walk(named.to_str(), &station)?;
        let batch = self.batch(&home, named)?;
        let chosen = match &self.shop {
            Some(path) => ShopChoice::Given(shop_text(Some(path), given)?),
            None => ShopChoice::OfHome,
        };
        let mut boards = Vec::new();
        let mut routes = bundled();
        let mut begin = None;
        if batch.is_none() {
            // A faulty route is refused here, where every problem can be shown at its place.
            let source = adapted(SourceText::open(named)?, &self.with)?;
            let mut route = source.route()?;
            let shop = shop(self.shop.as_deref(), given)?;
            self.makers.beside(self.articles)?;
            self.articles.apply(&mut route)?;
            let makers = self.makers.read(&mut route, &shop)?;
            if let Some(list) = &self.boards {
                let list = super::source::board_list(list)?;
                let articles: Vec<_> = makers.iter().map(|maker| maker.chosen.clone()).collect();
                let terms = Terms::of(&route, &shop).among(&articles);
                boards = stock::read_board_list(&list.text, &terms)
                    .map_err(|problems| list.refused(&problems))?;
            }
            let stem = Path::new(&source.name).file_stem().unwrap_or_default();
            let stem = suitable(&stem.to_string_lossy());
            let (articles, name) = (self.articles.articles, self.name.clone());
            begin = Some(BeginOptions { articles, name, makers });
            routes.retain(|held| held.text != source.text);
            let origin = RouteOrigin::Named;
            routes.insert(0, RouteText { stem, text: source.text, origin });
        }
        let setting = LaunchOptions {
            printing: Box::new(PagesOfHome::of(&home)),
            home,
            exchange: exchange.begin(Some(&station))?,
            station,
            theme: self.at.theme(),
            ask_ground: self.at.ask_ground(),
            routes,
            shop: chosen,
            boards,
            batch,
            begin,
            shows_today: false,
        };
        start(setting, self.at.plain, out)
    }

    /// The batch that is named, where one is.
    fn batch(&self, home: &Home, named: &Path) -> Result<Option<String>, Failure> {
        let find = |name: &str| BatchFolder::open(home, name);
        match named.to_str().map(|name| (name, find(name))) {
            Some((name, Ok(_))) => {
                self.refuse_for_a_batch()?;
                Ok(Some(name.to_owned()))
            }
            // A file of that name is a route all the same.
            Some((_, Err(why @ StoreError::Archived { .. }))) if !named.is_file() => {
                Err(why.into())
            }
            _ => {
                if let Some(name) = &self.name {
                    may_be_called(name, find(name))?;
                }
                Ok(None)
            }
        }
    }

    /// What only a new batch takes.
    fn refuse_for_a_batch(&self) -> Result<(), Failure> {
        let refused = |option, given: String, help: &str| Failure::Option {
            option,
            given,
            why: Message::error("this batch has already begun").help(help),
        };
        if let Some(list) = &self.boards {
            let help = "type its boards at operation 0 of the traveler";
            return Err(refused("--boards", list.display().to_string(), help));
        }
        if let Some(name) = &self.name {
            return Err(refused("--name", name.clone(), "a batch keeps the name it began with"));
        }
        if let Some(list) = self.makers.file() {
            let help = "change what was chosen on the screen Makers of the traveler";
            return Err(refused("--makers", list.display().to_string(), help));
        }
        match self.with.first() {
            None => Ok(()),
            Some(with) => {
                Err(refused("--with", with.clone(), "a corrected route is adopted: benchway adopt"))
            }
        }
    }
}

/// The route with dimensions adapted for the whole batch.
pub(super) fn adapted(source: SourceText, with: &[String]) -> Result<SourceText, Failure> {
    with.iter().try_fold(source, |source, given| {
        let refused = |why| Failure::Option { option: "--with", given: given.clone(), why };
        let Some((name, value)) = given.split_once('=') else {
            let why = Message::error("an `=` is missing");
            return Err(refused(why.help("write it as --with height=21-1/2")));
        };
        let unit = source.route()?.unit;
        // What people type with a dash is a fraction, and no difference.
        let entry = Entry { bare: unit, mark: None };
        let value = match parse_entry(value, &entry) {
            Ok(found) => found.value.written(unit),
            Err(_) => value.trim().to_owned(),
        };
        let text = with_dimension(&source.text, name.trim(), &value).map_err(refused)?;
        let source = SourceText { name: source.name, text };
        source.route()?;
        Ok(source)
    })
}

/// Refuses a name that no batch can have, or that one has.
fn may_be_called(name: &str, found: Result<BatchFolder, StoreError>) -> Result<(), Failure> {
    let refused = |why: String, help: String| Failure::Option {
        option: "--name",
        given: name.to_owned(),
        why: Message::error(why).help(help),
    };
    match found {
        Ok(_) => {
            let help = format!("choose another, or go on with it: benchway walk \"{name}\"");
            return Err(refused("a batch of this name is under way".to_owned(), help));
        }
        Err(StoreError::Archived { .. }) => {
            let why = "an archived batch has this name".to_owned();
            return Err(refused(why, "choose another".to_owned()));
        }
        Err(_) => {}
    }
    match objection(name) {
        Some(why) => {
            let help = "use letters, figures, spaces and dashes".to_owned();
            Err(refused(format!("it can't be the name of a folder, because {why}"), help))
        }
        None => Ok(()),
    }
}

/// Opens the traveler on the batches under way and the bundled routes.
pub(super) fn opening(
    home: Option<&Path>,
    at: &TerminalArguments,
    exchange: &ExchangeChoice,
    out: &mut dyn Write,
) -> Result<Ending, Failure> {
    let station = at.station(exchange)?;
    let begin = exchange.begin(Some(&station))?;
    start(launched(home, at, station, begin)?, at.plain, out)
}

/// What the traveler starts with where no batch and no route was named.
fn launched(
    home: Option<&Path>,
    at: &TerminalArguments,
    station: String,
    exchange: Option<BeginExchange>,
) -> Result<LaunchOptions, Failure> {
    let home = Home::locate(home.map(Path::to_owned))?;
    Ok(LaunchOptions {
        exchange,
        printing: Box::new(PagesOfHome::of(&home)),
        home,
        station,
        theme: at.theme(),
        ask_ground: at.ask_ground(),
        routes: bundled(),
        shop: ShopChoice::OfHome,
        boards: Vec::new(),
        batch: None,
        begin: None,
        shows_today: false,
    })
}

/// Opens the traveler on what there is to do today.
pub(super) fn watching(
    home: Option<&Path>,
    at: &TerminalArguments,
    exchange: &ExchangeChoice,
    out: &mut dyn Write,
) -> Result<Ending, Failure> {
    if !at.can_open() {
        let why = Message::error("it fills a terminal, and there is none");
        let why = why.help("`benchway today` prints the same once");
        return Err(Failure::Option { option: "--watch", given: String::new(), why });
    }
    // Who only reads has no station, and a wall needs none.
    let (station, begin) = match at.station(exchange) {
        Ok(station) => (station.clone(), exchange.begin(Some(&station))?),
        Err(_) => ("wall".to_owned(), exchange.begin(None)?),
    };
    let launched = launched(home, at, station, begin)?;
    let setting = LaunchOptions { shows_today: true, ..launched };
    start(setting, at.plain, out)
}

/// The routes that come with the program.
fn bundled() -> Vec<RouteText> {
    let text = |bundled: &Bundled| RouteText {
        stem: bundled.stem.to_owned(),
        text: bundled.text.to_owned(),
        origin: RouteOrigin::Bundled,
    };
    BUNDLED.iter().map(text).collect()
}

/// Whether there is a terminal to draw on.
fn at_a_terminal() -> bool {
    std::io::stdin().is_terminal() && std::io::stdout().is_terminal()
}

fn start(setting: LaunchOptions, is_plain: bool, out: &mut dyn Write) -> Result<Ending, Failure> {
    if is_plain {
        let input = Box::new(std::io::BufReader::new(std::io::stdin()));
        // A terminal shows what is typed by itself.
        let shows_typed = std::io::stdin().is_terminal();
        return match run_plain(setting, PlainStreams { input, out, shows_typed })? {
            PlainEnd::Left => Ok(Ending::Fine),
            PlainEnd::NotOpened(why) => Err(OpenError::Bad(why).into()),
        };
    }
    if !at_a_terminal() {
        return Err(Failure::NoTerminal);
    }
    crate::tui::run(setting)?;
    Ok(Ending::Fine)
}
