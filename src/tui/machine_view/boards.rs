//! The words while boards are entered, one question at a time.

use super::place::figures;
use super::view::{Lit, MachineView, Order};
use crate::journal::{BatchBoard, BatchBoards, BoardId, BoardQuestion};
use crate::measure::Unit;
use crate::prose::Message;
use crate::stock::{self, RackBoard, format_flaws};
use crate::work::{WorkContext, next_name};

/// What begins the line that says again what was entered about a board.
pub(in crate::tui) const SO_FAR: &str = "So far: ";

impl MachineView {
    pub(super) fn ask_board(
        &mut self,
        context: &WorkContext<'_>,
        board: &BoardId,
        asks: BoardQuestion,
    ) {
        let (boards, unit) = (&context.state.boards, context.route.unit);
        let entered = boards.board(board);
        let name = entered.map(|bought| bought.is.name.clone()).filter(|name| !name.is_empty());
        let board = name.map_or_else(|| "the board".to_owned(), |name| format!("board {name}"));
        let (order, how, prompt) = question(context, &board, asks);
        self.order = order;
        self.lit = Lit::Entry;
        if !how.is_empty() {
            self.details.push(how.to_owned());
        }
        self.details
            .extend(entered.map(|it| entered_words(it, unit)).filter(|text| !text.is_empty()));
        let others = boards.all.iter().filter(|bought| bought.is_complete());
        self.details.extend(others.map(|bought| board_line(bought, unit)));
        self.prompt = prompt;
        self.unit = match asks {
            BoardQuestion::Name | BoardQuestion::Species | BoardQuestion::Flaws => "",
            BoardQuestion::Moisture => "%",
            _ => unit.sign(),
        };
    }

    pub(super) fn more_boards(&mut self, context: &WorkContext<'_>) {
        let boards = &context.state.boards;
        let entered = boards.all.iter().filter(|bought| bought.is_usable()).count();
        let entered = if entered == 1 { "1 board".to_owned() } else { format!("{entered} boards") };
        self.lit = Lit::Entry;
        self.enter = "lay out".to_owned();
        self.order = if boards.accepted.is_some() {
            Order::new(
                "LAY OUT",
                "again",
                "again: something changed",
                "again: something changed, and what is not marked yet moves.",
            )
        } else {
            let rest = format!("{entered} entered. Another one, or lay them out?");
            Order::new("LAY OUT", "", format!("{entered} entered"), rest)
        };
        let next = next_name(boards);
        let leave_out = how_to_leave_out(boards);
        self.details.push(format!("Another board: its name, or + for {next}.{leave_out}"));
        let unit = context.route.unit;
        self.details.extend(boards.all.iter().map(|bought| match bought.is_complete() {
            true => board_line(bought, unit),
            false => {
                let BatchBoard { is, station, .. } = bought;
                format!("Board {} is still being entered at {station}.", is.name)
            }
        }));
        self.details.extend(odd_boards(context));
        self.prompt = "Enter: lay out; or a name".to_owned();
    }
}

/// What is asked of a board, how it is measured, and what to type.
fn question(
    context: &WorkContext<'_>,
    board: &str,
    asks: BoardQuestion,
) -> (Order, &'static str, String) {
    let plain = |text: &str| text.to_owned();
    let measure = |rest: String| Order::short("MEASURE", rest);
    match asks {
        BoardQuestion::Name => (
            Order::new("NAME", "board", "the board", "the new board: what is its name?"),
            "Chalk the name on one end. Every position is measured from that end.",
            format!("its name (Enter: {})", next_name(&context.state.boards)),
        ),
        BoardQuestion::Species => {
            let wood = context.terms().wood;
            let usual = wood.map_or_else(String::new, |wood| format!(" (Enter: {wood})"));
            (Order::short("WOOD", format!("which is {board}?")), "", format!("wood{usual}"))
        }
        BoardQuestion::ThicknessNear => (
            measure(format!("how thick is {board} at its marked end?")),
            "Measure it rough, a hand's width from the end and clear of checks.",
            plain("thickness, marked end"),
        ),
        BoardQuestion::ThicknessMiddle => (
            measure(format!("how thick is {board} in the middle?")),
            "",
            plain("thickness, middle"),
        ),
        BoardQuestion::ThicknessFar => (
            measure(format!("how thick is {board} at its far end?")),
            "",
            plain("thickness, far end"),
        ),
        BoardQuestion::Width => (
            measure(format!("how wide is {board} where it is narrowest?")),
            "Without bark and wane.",
            plain("width, narrowest"),
        ),
        BoardQuestion::Length => {
            (measure(format!("how long is {board}?")), "Between sound ends.", plain("length"))
        }
        BoardQuestion::Cup => (
            measure(format!("is {board} cupped?")),
            "The gap across its width at the worst place, under a straightedge.",
            plain("cup (Enter: none)"),
        ),
        BoardQuestion::Bow => (
            measure(format!("is {board} bowed?")),
            "The gap along its face, under a string from end to end.",
            plain("bow (Enter: none)"),
        ),
        BoardQuestion::Wind => (
            measure(format!("is {board} in wind?")),
            "The gap under one corner while the other three touch a flat surface.",
            plain("wind (Enter: none)"),
        ),
        BoardQuestion::Moisture => (
            measure(format!("the moisture content of {board}.")),
            "In percent, from the meter.",
            plain("moisture (Enter: none)"),
        ),
        BoardQuestion::Flaws => (
            Order::new(
                "LOOK",
                "for flaws",
                format!("for flaws of {board}"),
                format!("for knots, splits and other flaws of {board}: enter one at a time."),
            ),
            "From the marked end; after at, from the marked edge, where it doesn't go right \
             across. knot 31 to 33 at 0 to 2; split 0 to 6; other 90 to 96",
            plain("a flaw (Enter: no more)"),
        ),
    }
}

/// What has been entered about a board so far.
fn entered_words(bought: &BatchBoard, unit: Unit) -> String {
    let is = &bought.is;
    let mut entered: Vec<String> = Vec::new();
    if !is.species.is_empty() {
        entered.push(is.species.clone());
    }
    let thick = is.thickness.iter().filter(|size| !size.is_zero());
    let thick: Vec<String> = thick.map(|size| figures(*size, unit)).collect();
    if !thick.is_empty() {
        entered.push(format!("{} thick", thick.join(", ")));
    }
    for (size, what) in [
        (is.width, "wide"),
        (is.length, "long"),
        (is.cup, "cup"),
        (is.bow, "bow"),
        (is.wind, "wind"),
    ] {
        if !size.is_zero() {
            entered.push(format!("{} {what}", figures(size, unit)));
        }
    }
    entered.extend(is.moisture.map(|percent| format!("{percent} %")));
    if !is.flaws.is_empty() {
        entered.push(format_flaws(&is.flaws, unit));
    }
    if entered.is_empty() { String::new() } else { format!("{SO_FAR}{}.", entered.join("; ")) }
}

/// `board 2: white oak, 1 13/16 x 8 1/4 x 96, 2 flaws`.
fn board_line(bought: &BatchBoard, unit: Unit) -> String {
    let is = &bought.is;
    let sizes: Vec<String> =
        [is.thinnest(), is.width, is.length].iter().map(|size| figures(*size, unit)).collect();
    let flaws = match is.flaws.len() {
        0 => String::new(),
        1 => ", 1 flaw".to_owned(),
        n => format!(", {n} flaws"),
    };
    let aside = match &bought.aside {
        Some((by, why)) => format!("; SET ASIDE, {by}: {why}"),
        None => String::new(),
    };
    format!("Board {}: {}, {}{flaws}{aside}.", is.name, is.species, sizes.join(" x "))
}

/// How a board is left out, with the name of one that can be.
pub(super) fn how_to_leave_out(boards: &BatchBoards) -> String {
    let last = boards.all.iter().rfind(|bought| bought.is_usable());
    last.map_or_else(String::new, |bought| {
        let name = &bought.is.name;
        format!(" To leave board {name} out: aside {name} MB why.")
    })
}

/// Boards that are no use, or unlike the others.
fn odd_boards(context: &WorkContext<'_>) -> Vec<String> {
    let usable = context.state.boards.all.iter().filter(|bought| bought.is_usable());
    let boards: Vec<RackBoard> = usable.map(|bought| bought.is.clone()).collect();
    let needs = stock::needs(context.route, context.shop, context.plan);
    let saw = stock::Saw::of(context.shop);
    finding_lines(&boards, stock::findings(&boards, &needs, &saw, context.route.unit))
}

/// `Board 2: too thin for leg.`
pub(super) fn finding_lines(boards: &[RackBoard], found: Vec<Message<usize>>) -> Vec<String> {
    let named = |index: usize| boards.get(index).map_or("", |board| board.name.as_str());
    found.into_iter().map(|found| format!("Board {}: {}.", named(found.place), found)).collect()
}
