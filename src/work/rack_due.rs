//! What is due at the rack, and what is typed there turned into events.
//! Knows nothing of keys, screens or files, nor of how a layout is found.

use super::answer::{initials_and_why, lead, refusal};
use super::due::{Due, Stand};
use super::rack_layout::lay_out;
use crate::journal::{BoardId, BoardSays, Event};
use crate::journal::{Bought, Question, RACK, Rack};
use crate::measure::Length;
use crate::prose::{Message, nearest};
use crate::stock::{self, Column, Flaw, FlawKind, Misread, Ruling, Terms};

/// The one thing due at the rack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RackDue {
    /// Something about a board.
    Tell { board: BoardId, asks: Question },
    /// The boards are told: another one, or they are laid out.
    More,
    /// Laid out: the lead accepts it, or rules on a knot first.
    Accept,
    /// A line to be drawn across a board: which of its marks.
    Mark { board: BoardId, mark: usize },
}

impl RackDue {
    /// Whether it is answered in words, so that letters are text.
    pub fn takes_words(&self) -> bool {
        let RackDue::Tell { asks, .. } = self else { return true };
        matches!(asks, Question::Name | Question::Species | Question::Flaws)
    }
}

impl Stand<'_> {
    /// Whether this is the rack, before all operations of the route.
    pub fn at_the_rack(&self) -> bool {
        // A route that numbers an operation so keeps it.
        self.op == RACK && self.route.step(RACK).is_none()
    }

    /// What names of woods mean in this batch.
    pub fn terms(&self) -> Terms {
        Terms::of(self.route, self.shop)
    }
}

/// The one thing due at the rack.
pub(super) fn due(stand: &Stand<'_>) -> Due {
    let rack = &stand.state.rack;
    let own = |bought: &&Bought| bought.station == stand.station && bought.aside.is_none();
    let half = rack.boards.iter().filter(own).find_map(|bought| Some((bought, bought.asks()?)));
    if let Some((bought, asks)) = half {
        return Due::Rack(RackDue::Tell { board: bought.id.clone(), asks });
    }
    if rack.proposed.is_some() {
        return Due::Rack(RackDue::Accept);
    }
    if rack.accepted.is_some() && !rack.is_stale {
        return match rack.next_mark() {
            Some((bought, _, mark)) => Due::Rack(RackDue::Mark { board: bought.id.clone(), mark }),
            None => Due::Finished,
        };
    }
    Due::Rack(if rack.boards.iter().any(Bought::is_told) {
        RackDue::More
    } else {
        let board = rack.next_board(stand.station);
        RackDue::Tell { board, asks: Question::Name }
    })
}

/// Turns what was typed at the rack into events, or says why not.
pub(super) fn answer(stand: &Stand<'_>, due: &RackDue, typed: &str) -> Result<Vec<Event>, Message> {
    match due {
        RackDue::Tell { board, asks } => tell(stand, board, *asks, typed),
        RackDue::More if typed.is_empty() => Ok(vec![lay_out(stand, None)?]),
        RackDue::More => more(stand, typed),
        RackDue::Accept => accept(stand, typed),
        RackDue::Mark { board, mark } => at_the_saw(stand, board, *mark, typed),
    }
}

impl From<Misread> for Message {
    fn from(misread: Misread) -> Message {
        Message::error(misread.what).maybe_help(misread.help)
    }
}

fn tell(
    stand: &Stand<'_>,
    board: &BoardId,
    asks: Question,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    let unit = stand.route.unit;
    let size = |text: &str| stock::parse_size(text, unit);
    let or_none = |text: &str| if text.is_empty() { Ok(Length::ZERO) } else { size(text) };
    let needed = |what: &str, how: &str| refusal(what, how);
    let says = match asks {
        Question::Name if typed.is_empty() => BoardSays::Name(next_name(&stand.state.rack)),
        Question::Name => BoardSays::Name(name(stand, typed)?),
        Question::Species if typed.is_empty() => {
            BoardSays::Species(stand.terms().wood.ok_or_else(|| {
                let woods = stand.terms().woods.join(", ");
                needed("Which wood? The route takes more than one.", &woods)
            })?)
        }
        Question::Species => BoardSays::Species(stand.terms().species(typed)?),
        Question::ThicknessNear
        | Question::ThicknessMiddle
        | Question::ThicknessFar
        | Question::Width
        | Question::Length
            if typed.is_empty() =>
        {
            return Err(needed("A size, then Enter.", "1 13/16, 1.8125 or 46mm"));
        }
        Question::ThicknessNear => BoardSays::ThicknessNear(size(typed)?),
        Question::ThicknessMiddle => BoardSays::ThicknessMiddle(size(typed)?),
        Question::ThicknessFar => BoardSays::ThicknessFar(size(typed)?),
        Question::Width => BoardSays::Width(size(typed)?),
        Question::Length => BoardSays::Length(size(typed)?),
        Question::Cup => BoardSays::Cup(or_none(typed)?),
        Question::Bow => BoardSays::Bow(or_none(typed)?),
        Question::Wind => BoardSays::Wind(or_none(typed)?),
        Question::Moisture if typed.is_empty() => BoardSays::Moisture(None),
        Question::Moisture => BoardSays::Moisture(Some(stock::parse_moisture(typed)?)),
        Question::Flaws if typed.is_empty() => BoardSays::NoMoreFlaws,
        Question::Flaws => return Ok(vec![flaw(stand, board, typed)?]),
    };
    let event = Event::BoardSaid { board: board.clone(), says, typed: typed.to_owned() };
    can_be(stand, board, &event)?;
    Ok(vec![event])
}

/// A board's name that no other board has.
fn name(stand: &Stand<'_>, typed: &str) -> Result<String, Message> {
    let name = stock::parse_name(typed)?;
    let mut boards = stand.state.rack.boards.iter();
    if boards.any(|bought| bought.is.is_called(&name)) {
        return Err(refusal(
            format!("There is a board {name} already."),
            "chalk another name on this one",
        ));
    }
    Ok(name)
}

/// The next number no board is called by.
pub fn next_name(rack: &Rack) -> String {
    let free = |name: &String| rack.boards.iter().all(|bought| bought.is.name != *name);
    (rack.boards.len() + 1..).map(|n| n.to_string()).find(free).unwrap_or_default()
}

/// Whether a board can be as it would be with this.
fn can_be(stand: &Stand<'_>, board: &BoardId, event: &Event) -> Result<(), Message> {
    let mut rack = stand.state.rack.clone();
    let flaws_before = rack.board(board).map_or(0, |bought| bought.is.flaws.len());
    rack.happened(event, stand.station);
    let Some(bought) = rack.board(board) else { return Ok(()) };
    let wrong = stock::validate(&bought.as_if_told(), stand.route.unit);
    let said = match event {
        Event::BoardSaid { says, .. } => column(says.question()),
        _ => Column::Flaws,
    };
    // What was wrong before is not refused now, or nothing could be told any more.
    let fresh = |flaw: Option<usize>| flaw.is_none_or(|flaw| flaw >= flaws_before);
    let found = wrong.into_iter().find(|wrong| {
        // A thickness is held against the two before it under the first's heading.
        let thick =
            |column| matches!(column, Column::Thickness1 | Column::Thickness2 | Column::Thickness3);
        let same = wrong.column == said || (thick(wrong.column) && thick(said));
        same && fresh(wrong.flaw)
    });
    match found {
        Some(wrong) => Err(Message::error(wrong.what).maybe_help(wrong.help)),
        None => Ok(()),
    }
}

fn column(question: Question) -> Column {
    match question {
        Question::Name => Column::Board,
        Question::Species => Column::Species,
        Question::ThicknessNear => Column::Thickness1,
        Question::ThicknessMiddle => Column::Thickness2,
        Question::ThicknessFar => Column::Thickness3,
        Question::Width => Column::Width,
        Question::Length => Column::Length,
        Question::Cup => Column::Cup,
        Question::Bow => Column::Bow,
        Question::Wind => Column::Wind,
        Question::Moisture => Column::Moisture,
        Question::Flaws => Column::Flaws,
    }
}

/// A flaw as it is typed; what becomes of it is asked when it matters.
fn flaw(stand: &Stand<'_>, board: &BoardId, typed: &str) -> Result<Event, Message> {
    let flaw = stock::parse_flaw(typed, stand.route.unit)?;
    if flaw.ruling != Ruling::default() {
        return Err(refusal(
            "What becomes of a flaw is the lead's choice.",
            "type where it is; the choice comes with the layout",
        ));
    }
    let event = Event::FlawFound { board: board.clone(), flaw, typed: typed.to_owned() };
    can_be(stand, board, &event)?;
    Ok(event)
}

/// The name of another board begins it; `+` takes the next number.
fn more(stand: &Stand<'_>, typed: &str) -> Result<Vec<Event>, Message> {
    if let Some(events) = of_a_board(stand, typed)? {
        return Ok(events);
    }
    let board = stand.state.rack.next_board(stand.station);
    let says = match typed.strip_prefix('+').map(str::trim) {
        Some("") => BoardSays::Name(next_name(&stand.state.rack)),
        Some(rest) => BoardSays::Name(name(stand, rest)?),
        None => BoardSays::Name(name(stand, typed)?),
    };
    Ok(vec![Event::BoardSaid { board, says, typed: typed.to_owned() }])
}

/// `aside 3 MB split from end to end`, `flaw 3 knot 31 to 33`: something about
/// a board by its name.
fn of_a_board(stand: &Stand<'_>, typed: &str) -> Result<Option<Vec<Event>>, Message> {
    if let Some(rest) = after_word(typed, "aside") {
        let how = "its name, the lead's initials, why: aside 3 MB split from end to end";
        let (board, rest) = by_name(stand, rest, how)?;
        return aside(stand, &board, rest).map(Some);
    }
    if let Some(rest) = after_word(typed, "flaw") {
        let how = "its name, what and where: flaw 3 knot 31 to 33";
        let (board, rest) = by_name(stand, rest, how)?;
        return Ok(Some(and_the_rest(stand, flaw(stand, &board, rest)?)));
    }
    Ok(None)
}

/// The board a text begins with, and what follows.
fn by_name<'t>(stand: &Stand<'_>, text: &'t str, how: &str) -> Result<(BoardId, &'t str), Message> {
    let boards = stand.state.rack.boards.iter().filter(|bought| bought.aside.is_none());
    // The longest name, or `B` would be taken for `B 2`.
    boards
        .filter_map(|bought| Some((bought, after_word(text, &bought.is.name)?)))
        .max_by_key(|(bought, _)| bought.is.name.len())
        .map(|(bought, rest)| (bought.id.clone(), rest))
        .ok_or_else(|| refusal("Which board?", how))
}

/// With every mark drawn a flaw may still turn up, or a board turn out bad.
pub(super) fn afterwards(stand: &Stand<'_>, typed: &str) -> Result<Vec<Event>, Message> {
    of_a_board(stand, typed)?.ok_or_else(|| {
        refusal("Every mark is drawn.", "flaw A knot 31 to 33, or aside A MB why; F3: operations")
    })
}

/// What follows a word, where the text begins with it.
fn after_word<'t>(text: &'t str, word: &str) -> Option<&'t str> {
    let head = text.get(..word.len()).filter(|head| head.eq_ignore_ascii_case(word))?;
    let rest = &text[head.len()..];
    (rest.is_empty() || rest.starts_with(char::is_whitespace)).then(|| rest.trim())
}

fn aside(stand: &Stand<'_>, board: &BoardId, text: &str) -> Result<Vec<Event>, Message> {
    let (by, why) = initials_and_why(stand, text)?;
    Ok(and_the_rest(stand, Event::BoardAside { board: board.clone(), by, why }))
}

/// With what came to light everything not yet drawn is laid out anew, where
/// there is a layout to renew and boards are left.
fn and_the_rest(stand: &Stand<'_>, event: Event) -> Vec<Event> {
    let rack = &stand.state.rack;
    let renews = rack.accepted.is_some() || rack.proposed.is_some();
    let laid = lay_out(stand, Some(&event)).ok().filter(|_| renews);
    [event].into_iter().chain(laid).collect()
}

/// The lead's initials accept; before that a knot may be ruled on, a board set
/// aside, another one told.
fn accept(stand: &Stand<'_>, typed: &str) -> Result<Vec<Event>, Message> {
    let Some(proposed) = &stand.state.rack.proposed else {
        return Err(refusal("Nothing is laid out.", "Enter goes on"));
    };
    if typed.starts_with('+') {
        return more(stand, typed);
    }
    if let Some(events) = of_a_board(stand, typed)? {
        return Ok(events);
    }
    if typed.starts_with(|c: char| c.is_ascii_digit()) {
        return rule(stand, typed);
    }
    let by = lead(stand, typed)?;
    Ok(vec![Event::LayoutAccepted { layout: proposed.layout.clone(), by }])
}

/// `2 MB behind the apron`: which ruling of those offered, whose word, why.
fn rule(stand: &Stand<'_>, typed: &str) -> Result<Vec<Event>, Message> {
    let ways = ways(&stand.state.rack);
    let (number, rest) = typed.split_once(char::is_whitespace).unwrap_or((typed, ""));
    let way = number.parse::<usize>().ok().and_then(|n| ways.get(n.checked_sub(1)?).cloned());
    let Some((board, flaw, ruling)) = way else {
        return Err(refusal(
            format!("Nothing is numbered {number}."),
            "its number, the lead's initials, why: 1 MB behind the apron",
        ));
    };
    let (by, why) = initials_and_why(stand, rest)?;
    Ok(and_the_rest(stand, Event::FlawRuled { board, flaw, ruling, by, why }))
}

/// What the lead may rule on flaws, in the order it is numbered: what was found
/// to be worth it, then back to going around what was ruled otherwise.
pub fn ways(rack: &Rack) -> Vec<(BoardId, Flaw, Ruling)> {
    let offers = rack.proposed.iter().flat_map(|proposed| &proposed.offers);
    let offers = offers.map(|offer| (offer.board.clone(), offer.flaw.clone(), offer.ruling));
    let back = rack.boards.iter().filter(|bought| bought.is_usable()).flat_map(|bought| {
        let ruled = bought.is.flaws.iter().filter(|flaw| flaw.ruling != Ruling::Around);
        ruled.map(|flaw| (bought.id.clone(), flaw.clone(), Ruling::Around))
    });
    offers.chain(back).collect()
}

/// Enter: the mark is drawn. A flaw, or a board that turns out bad, has the
/// rest laid out anew.
fn at_the_saw(
    stand: &Stand<'_>,
    board: &BoardId,
    mark: usize,
    typed: &str,
) -> Result<Vec<Event>, Message> {
    if typed.is_empty() {
        let marks = stand.state.rack.marks(board);
        let at = marks.get(mark).map(|mark| mark.at);
        let at = at.ok_or_else(|| refusal("That mark is gone.", "Enter goes on"))?;
        return Ok(vec![Event::MarkDrawn { board: board.clone(), at }]);
    }
    if let Some(rest) = after_word(typed, "aside") {
        // A board that is named is meant, not the one that lies on the saw.
        let mut boards = stand.state.rack.boards.iter();
        if boards.any(|bought| after_word(rest, &bought.is.name).is_some()) {
            let (named, rest) = by_name(stand, rest, "one that isn't set aside yet")?;
            return aside(stand, &named, rest);
        }
        return aside(stand, board, rest);
    }
    if typed.starts_with('+') {
        return more(stand, typed);
    }
    if let Some(events) = of_a_board(stand, typed)? {
        return Ok(events);
    }
    let event = flaw(stand, board, typed).map_err(|refused| {
        let first = typed.split_whitespace().next().unwrap_or_default();
        let kinds = FlawKind::ALL.map(FlawKind::word);
        if kinds.contains(&first) || nearest(first, kinds).is_some() {
            return refused;
        }
        refusal(
            "Enter says that the mark is drawn.",
            "a flaw: knot 31 to 33; a bad board: aside, the lead's initials, why",
        )
    })?;
    Ok(and_the_rest(stand, event))
}
