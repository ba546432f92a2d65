//! Which boards of a list may be cut, and the rulings on their knots: the options that every
//! command with a board list takes.

use clap::Args;

use crate::cli::Failure;
use crate::cli::source::SourceText;
use crate::measure::Unit;
use crate::operation::words;
use crate::prose::{Message, nearest, visible};
use crate::stock::{self, FlawKind, RackBoard, Ruling, Terms};

/// The options, to be flattened into a command's arguments.
#[derive(Clone, Debug, Args)]
pub(in crate::cli) struct RackArguments {
    /// Names of boards to leave out
    #[arg(long, value_name = "BOARD,...", value_delimiter = ',')]
    without: Vec<String>,

    /// Allow the knot at this place where the route says nobody sees it
    #[arg(long, value_name = "BOARD:PLACE")]
    hide: Vec<String>,

    /// Allow the knot at this place, filled, in parts that may be filled
    #[arg(long, value_name = "BOARD:PLACE")]
    fill: Vec<String>,
}

impl RackArguments {
    /// Whether any of them was given.
    pub(in crate::cli) fn is_given(&self) -> bool {
        [&self.without, &self.hide, &self.fill].into_iter().any(|given| !given.is_empty())
    }

    /// The boards of the list, with the rulings of the command line on their flaws.
    pub(in crate::cli) fn read(
        &self,
        list: &SourceText,
        terms: &Terms,
    ) -> Result<Vec<RackBoard>, Failure> {
        let mut boards = stock::read_board_list(&list.text, terms)
            .map_err(|problems| list.refused(&problems))?;
        let options =
            [("--hide", &self.hide, Ruling::Hidden), ("--fill", &self.fill, Ruling::Fill)];
        for (option, given, ruling) in options {
            for given in given {
                let (board, flaw) = ruled(&boards, given, terms.unit)
                    .map_err(|why| Failure::Option { option, given: given.clone(), why })?;
                boards[board].flaws[flaw].ruling = ruling;
            }
        }
        Ok(boards)
    }

    /// The boards that may be cut, and the names of those left out.
    pub(in crate::cli) fn kept(
        &self,
        boards: Vec<RackBoard>,
    ) -> Result<(Vec<RackBoard>, Vec<String>), Failure> {
        let mut out = vec![false; boards.len()];
        for name in &self.without {
            let index = stock::find_board(&boards, name).map_err(|what| Failure::Option {
                option: "--without",
                given: name.clone(),
                why: Message::error(what).help(name_help(&boards, name)),
            })?;
            out[index] = true;
        }
        let names = boards.iter().zip(&out).filter(|(_, out)| **out);
        let names = names.map(|(board, _)| board.name.clone()).collect();
        let kept = boards.into_iter().zip(out).filter(|(_, out)| !out);
        Ok((kept.map(|(board, _)| board).collect(), names))
    }
}

fn name_help(boards: &[RackBoard], name: &str) -> String {
    match nearest(name.trim(), boards.iter().map(|board| board.name.as_str())) {
        Some(near) => format!("did you mean `{}`?", visible(near)),
        None => {
            let names: Vec<&str> =
                boards.iter().take(12).map(|board| board.name.as_str()).collect();
            let more = if boards.len() > names.len() { ", ..." } else { "" };
            format!("there are {}{more}", visible(&names.join(", ")))
        }
    }
}

/// Board and flaw that `B3:31` names, or why there is none.
fn ruled(boards: &[RackBoard], given: &str, unit: Unit) -> Result<(usize, usize), Message> {
    let Some((name, place)) = given.split_once(':') else {
        let why = Message::error("a board and a place on it are expected");
        return Err(why.help("write the board and a place within the knot: B3:31"));
    };
    let index = stock::find_board(boards, name)
        .map_err(|what| Message::<()>::error(what).help(name_help(boards, name)))?;
    let place = stock::parse_size(place, unit)?;
    let board = &boards[index];
    let on = |along: &stock::Stretch| along.from <= place && place <= along.to;
    let there: Vec<usize> =
        (0..board.flaws.len()).filter(|flaw| on(&board.flaws[*flaw].along)).collect();
    match there.as_slice() {
        [flaw] if board.flaws[*flaw].kind == FlawKind::Split => {
            let what = format!("the {} can't be ruled on", board.flaws[*flaw].named(unit));
            Err(Message::error(what).help("a split can grow, so every cut goes around it"))
        }
        [flaw] => Ok((index, *flaw)),
        [] => {
            let what = format!("{} has no flaw at {}", visible(&board.name), words(place, unit));
            let all: Vec<String> = board.flaws.iter().map(|flaw| flaw.named(unit)).collect();
            Err(Message::error(what).help(match all.is_empty() {
                true => "the list gives it no flaws".to_owned(),
                false => format!("it has {}", all.join("; ")),
            }))
        }
        several => {
            let what = format!("there are {} flaws side by side", several.len());
            let help = "write the ruling in the list: `knot 31 to 33 at 0 to 2 hidden`";
            Err(Message::error(what).help(help))
        }
    }
}
