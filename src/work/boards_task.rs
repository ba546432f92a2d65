//! What is asked about the boards, before the first operation, and what is typed
//! there turned into events.

use super::boards_layout::lay_out;
use super::context::WorkContext;
use super::refusal::{initials_and_why, lead, refusal};
use super::task::{BoardsTask, Task};
use crate::journal::{BatchBoard, BatchBoards, BoardEntry, BoardId, BoardQuestion, Event};
use crate::measure::Length;
use crate::prose::{Message, nearest};
use crate::stock::{self, Column, Flaw, FlawKind, Ruling};

/// The one task about the boards.
pub(super) fn task(context: &WorkContext<'_>) -> Task {
    let entered = &context.state.boards;
    let own = |bought: &&BatchBoard| bought.station == context.station && bought.aside.is_none();
    let half =
        entered.all.iter().filter(own).find_map(|bought| Some((bought, bought.next_question()?)));
    if let Some((bought, asks)) = half {
        return Task::Boards(BoardsTask::Tell { board: bought.id.clone(), asks });
    }
    if entered.proposed.is_some() {
        return Task::Boards(BoardsTask::Accept);
    }
    if entered.accepted.is_some() && !entered.is_stale {
        return match entered.next_mark() {
            Some((bought, _, mark)) => {
                Task::Boards(BoardsTask::Mark { board: bought.id.clone(), mark })
            }
            None => Task::Finished,
        };
    }
    Task::Boards(if entered.all.iter().any(BatchBoard::is_complete) {
        BoardsTask::More
    } else {
        let board = entered.next_board(context.station);
        BoardsTask::Tell { board, asks: BoardQuestion::Name }
    })
}

/// Turns what was typed about the boards into events, or says why not.
pub(super) fn answer(
    context: &WorkContext<'_>,
    task: &BoardsTask,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    match task {
        BoardsTask::Tell { board, asks } => tell(context, board, *asks, typed),
        BoardsTask::More if typed.is_empty() => Ok(vec![lay_out(context, None)?]),
        BoardsTask::More => more(context, typed),
        BoardsTask::Accept => accept(context, typed),
        BoardsTask::Mark { board, mark } => at_the_saw(context, board, *mark, typed),
    }
}

fn tell(
    context: &WorkContext<'_>,
    board: &BoardId,
    asks: BoardQuestion,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let unit = context.route.unit;
    let size = |text: &str| stock::parse_size(text, unit);
    let or_none = |text: &str| if text.is_empty() { Ok(Length::ZERO) } else { size(text) };
    let needed = |what: &str, how: &str| refusal(what, how);
    let says = match asks {
        BoardQuestion::Name if typed.is_empty() => {
            BoardEntry::Name(next_name(&context.state.boards))
        }
        BoardQuestion::Name => BoardEntry::Name(name(context, typed)?),
        BoardQuestion::Species if typed.is_empty() => {
            BoardEntry::Species(context.terms().wood.ok_or_else(|| {
                let woods = context.terms().woods.join(", ");
                needed("Which wood? The route takes more than one.", &woods)
            })?)
        }
        BoardQuestion::Species => BoardEntry::Species(context.terms().species(typed)?),
        BoardQuestion::ThicknessNear
        | BoardQuestion::ThicknessMiddle
        | BoardQuestion::ThicknessFar
        | BoardQuestion::Width
        | BoardQuestion::Length
            if typed.is_empty() =>
        {
            return Err(needed("Type a size, then Enter.", "1 13/16, 1.8125 or 46mm"));
        }
        BoardQuestion::ThicknessNear => BoardEntry::ThicknessNear(size(typed)?),
        BoardQuestion::ThicknessMiddle => BoardEntry::ThicknessMiddle(size(typed)?),
        BoardQuestion::ThicknessFar => BoardEntry::ThicknessFar(size(typed)?),
        BoardQuestion::Width => BoardEntry::Width(size(typed)?),
        BoardQuestion::Length => BoardEntry::Length(size(typed)?),
        BoardQuestion::Cup => BoardEntry::Cup(or_none(typed)?),
        BoardQuestion::Bow => BoardEntry::Bow(or_none(typed)?),
        BoardQuestion::Wind => BoardEntry::Wind(or_none(typed)?),
        BoardQuestion::Moisture if typed.is_empty() => BoardEntry::Moisture(None),
        BoardQuestion::Moisture => BoardEntry::Moisture(Some(stock::parse_moisture(typed)?)),
        BoardQuestion::Flaws if typed.is_empty() => BoardEntry::NoMoreFlaws,
        BoardQuestion::Flaws => return Ok(vec![flaw(context, board, typed)?]),
    };
    let event = Event::BoardSaid { board: board.clone(), says, typed: typed.to_owned() };
    can_be(context, board, &event)?;
    Ok(vec![event])
}

/// A board's name that no other board has.
fn name(context: &WorkContext<'_>, typed: &str) -> Result<String, Message> {
    let name = stock::parse_name(typed)?;
    let mut boards = context.state.boards.all.iter();
    if boards.any(|bought| bought.is.is_called(&name)) {
        return Err(refusal(
            format!("Another board is already called {name}."),
            "chalk another name on this one",
        ));
    }
    Ok(name)
}

/// The lowest number from the count of boards on that no board has as its name.
pub fn next_name(entered: &BatchBoards) -> String {
    let free = |name: &String| entered.all.iter().all(|bought| bought.is.name != *name);
    (entered.all.len() + 1..).map(|n| n.to_string()).find(free).unwrap_or_default()
}

/// Refuses an entry that would make a board impossible.
fn can_be(context: &WorkContext<'_>, board: &BoardId, event: &Event) -> Result<(), Message> {
    let mut entered = context.state.boards.clone();
    let flaws_before = entered.board(board).map_or(0, |bought| bought.is.flaws.len());
    entered.apply_event(event, context.station);
    let Some(bought) = entered.board(board) else { return Ok(()) };
    let wrong = stock::validate(&bought.with_likely_sizes(), context.route.unit);
    let said = match event {
        Event::BoardSaid { says, .. } => column(says.question()),
        _ => Column::Flaws,
    };
    // What was wrong before is not refused now, or nobody could enter anything more.
    let fresh = |flaw: Option<usize>| flaw.is_none_or(|flaw| flaw >= flaws_before);
    let found = wrong.into_iter().find(|wrong| {
        // Thicknesses are compared with each other, so any of them may be reported.
        let thick =
            |column| matches!(column, Column::Thickness1 | Column::Thickness2 | Column::Thickness3);
        let same = wrong.place.column == said || (thick(wrong.place.column) && thick(said));
        same && fresh(wrong.place.flaw)
    });
    match found {
        Some(wrong) => Err(wrong.anywhere()),
        None => Ok(()),
    }
}

fn column(question: BoardQuestion) -> Column {
    match question {
        BoardQuestion::Name => Column::Board,
        BoardQuestion::Species => Column::Species,
        BoardQuestion::ThicknessNear => Column::Thickness1,
        BoardQuestion::ThicknessMiddle => Column::Thickness2,
        BoardQuestion::ThicknessFar => Column::Thickness3,
        BoardQuestion::Width => Column::Width,
        BoardQuestion::Length => Column::Length,
        BoardQuestion::Cup => Column::Cup,
        BoardQuestion::Bow => Column::Bow,
        BoardQuestion::Wind => Column::Wind,
        BoardQuestion::Moisture => Column::Moisture,
        BoardQuestion::Flaws => Column::Flaws,
    }
}

/// A flaw as it is typed. The lead rules on it later, where it matters.
fn flaw(context: &WorkContext<'_>, board: &BoardId, typed: &str) -> Result<Event, Message> {
    let flaw = stock::parse_flaw(typed, context.route.unit)?;
    if flaw.ruling != Ruling::default() {
        return Err(refusal(
            "The lead rules on a flaw when the boards are laid out.",
            "type only what it is and where",
        ));
    }
    let event = Event::FlawFound { board: board.clone(), flaw, typed: typed.to_owned() };
    can_be(context, board, &event)?;
    Ok(event)
}

/// Another board: its name, or `+` for the next number.
fn more(context: &WorkContext<'_>, typed: &str) -> Result<Vec<Event>, Message> {
    if let Some(events) = of_a_board(context, typed)? {
        return Ok(events);
    }
    let board = context.state.boards.next_board(context.station);
    let says = match typed.strip_prefix('+').map(str::trim) {
        Some("") => BoardEntry::Name(next_name(&context.state.boards)),
        Some(rest) => BoardEntry::Name(name(context, rest)?),
        None => BoardEntry::Name(name(context, typed)?),
    };
    Ok(vec![Event::BoardSaid { board, says, typed: typed.to_owned() }])
}

/// `aside 3 MB split from end to end`, `flaw 3 knot 31 to 33`: something about
/// a board by its name.
fn of_a_board(context: &WorkContext<'_>, typed: &str) -> Result<Option<Vec<Event>>, Message> {
    if let Some(rest) = after_word(typed, "aside") {
        let how = "type its name, the lead's initials, why: aside 3 MB split from end to end";
        let (board, rest) = by_name(context, rest, how)?;
        return aside(context, &board, rest).map(Some);
    }
    if let Some(rest) = after_word(typed, "flaw") {
        let how = "type its name, what and where: flaw 3 knot 31 to 33";
        let (board, rest) = by_name(context, rest, how)?;
        return Ok(Some(and_the_rest(context, flaw(context, &board, rest)?)));
    }
    Ok(None)
}

/// The board whose name a text begins with, and the rest of the text.
fn by_name<'t>(
    context: &WorkContext<'_>,
    text: &'t str,
    how: &str,
) -> Result<(BoardId, &'t str), Message> {
    let boards = context.state.boards.all.iter().filter(|bought| bought.aside.is_none());
    // The longest name wins, or `B 2` would be read as `B`.
    boards
        .filter_map(|bought| Some((bought, after_word(text, &bought.is.name)?)))
        .max_by_key(|(bought, _)| bought.is.name.len())
        .map(|(bought, rest)| (bought.id.clone(), rest))
        .ok_or_else(|| refusal("Which board?", how))
}

/// After every mark is drawn: a flaw may still be found, or a board set aside.
pub(super) fn afterwards(context: &WorkContext<'_>, typed: &str) -> Result<Vec<Event>, Message> {
    of_a_board(context, typed)?.ok_or_else(|| {
        refusal("Every mark is drawn.", "flaw A knot 31 to 33, or aside A MB why; F3: operations")
    })
}

/// The rest of a text that begins with this word.
fn after_word<'t>(text: &'t str, word: &str) -> Option<&'t str> {
    let head = text.get(..word.len()).filter(|head| head.eq_ignore_ascii_case(word))?;
    let rest = &text[head.len()..];
    (rest.is_empty() || rest.starts_with(char::is_whitespace)).then(|| rest.trim())
}

fn aside(context: &WorkContext<'_>, board: &BoardId, text: &str) -> Result<Vec<Event>, Message> {
    let (by, why) = initials_and_why(context, text)?;
    Ok(and_the_rest(context, Event::BoardAside { board: board.clone(), by, why }))
}

/// The event, and a new layout of everything not drawn yet, where there was a
/// layout and boards are left.
fn and_the_rest(context: &WorkContext<'_>, event: Event) -> Vec<Event> {
    let entered = &context.state.boards;
    let renews = entered.accepted.is_some() || entered.proposed.is_some();
    let laid = lay_out(context, Some(&event)).ok().filter(|_| renews);
    [event].into_iter().chain(laid).collect()
}

/// The lead's initials accept the layout. Before that the lead may rule on a knot,
/// and anybody may set a board aside or enter another one.
fn accept(context: &WorkContext<'_>, typed: &str) -> Result<Vec<Event>, Message> {
    let Some(proposed) = &context.state.boards.proposed else {
        return Err(refusal("There is no layout yet.", "Enter goes on"));
    };
    if typed.starts_with('+') {
        return more(context, typed);
    }
    if let Some(events) = of_a_board(context, typed)? {
        return Ok(events);
    }
    if typed.starts_with(|c: char| c.is_ascii_digit()) {
        return rule(context, typed);
    }
    let by = lead(context, typed)?;
    Ok(vec![Event::LayoutAccepted { layout: proposed.layout.clone(), by }])
}

/// A ruling: `2 MB behind the apron` is the number of the offer, initials, why.
fn rule(context: &WorkContext<'_>, typed: &str) -> Result<Vec<Event>, Message> {
    let options = ruling_options(&context.state.boards);
    let (number, rest) = typed.split_once(char::is_whitespace).unwrap_or((typed, ""));
    let way = number.parse::<usize>().ok().and_then(|n| options.get(n.checked_sub(1)?).cloned());
    let Some((board, flaw, ruling)) = way else {
        return Err(refusal(
            format!("There is no option {number}."),
            "type its number, the lead's initials, why: 1 MB behind the apron",
        ));
    };
    let (by, why) = initials_and_why(context, rest)?;
    Ok(and_the_rest(context, Event::FlawRuled { board, flaw, ruling, by, why }))
}

/// The rulings the lead may choose from, in the order they are numbered: first the
/// offers, then, for each flaw ruled otherwise, going around it again.
pub fn ruling_options(entered: &BatchBoards) -> Vec<(BoardId, Flaw, Ruling)> {
    let offers = entered.proposed.iter().flat_map(|proposed| &proposed.offers);
    let offers = offers.map(|offer| (offer.board.clone(), offer.flaw.clone(), offer.ruling));
    let back = entered.all.iter().filter(|bought| bought.is_usable()).flat_map(|bought| {
        let ruled = bought.is.flaws.iter().filter(|flaw| flaw.ruling != Ruling::Around);
        ruled.map(|flaw| (bought.id.clone(), flaw.clone(), Ruling::Around))
    });
    offers.chain(back).collect()
}

/// Enter says that the mark is drawn. A flaw, or a board set aside, makes a new
/// layout of the rest.
fn at_the_saw(
    context: &WorkContext<'_>,
    board: &BoardId,
    mark: usize,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    if typed.is_empty() {
        let marks = context.state.boards.marks(board);
        let at = marks.get(mark).map(|mark| mark.at);
        let at = at.ok_or_else(|| refusal("That mark no longer exists.", "Enter goes on"))?;
        return Ok(vec![Event::MarkDrawn { board: board.clone(), at }]);
    }
    if let Some(rest) = after_word(typed, "aside") {
        // A board that is named is meant, not the one at the saw.
        let mut boards = context.state.boards.all.iter();
        if boards.any(|bought| after_word(rest, &bought.is.name).is_some()) {
            let (named, rest) = by_name(context, rest, "name a board that isn't set aside")?;
            return aside(context, &named, rest);
        }
        return aside(context, board, rest);
    }
    if typed.starts_with('+') {
        return more(context, typed);
    }
    if let Some(events) = of_a_board(context, typed)? {
        return Ok(events);
    }
    let event = flaw(context, board, typed).map_err(|refused| {
        let first = typed.split_whitespace().next().unwrap_or_default();
        let kinds = FlawKind::ALL.map(FlawKind::word);
        if kinds.contains(&first) || nearest(first, kinds).is_some() {
            return refused;
        }
        refusal(
            "Press Enter when the mark is drawn.",
            "found a flaw? Type it: knot 31 to 33; a bad board: aside, initials, why",
        )
    })?;
    Ok(and_the_rest(context, event))
}
