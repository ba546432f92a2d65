//! What no board can be: sizes, flaws and names that can't be meant.
//! Knows nothing of lists and of what is to be cut.

use std::collections::BTreeMap;

use super::parse::MOST_FLAWS;
use crate::measure::{Length, Unit};
use crate::operation::words;
use crate::prose::quoted;
use crate::stock::board::{Flaw, FlawKind, RackBoard, Ruling, Stretch};
use crate::wood::Moisture;

/// What is known of a board, each under its own heading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Column {
    Board,
    Species,
    Class,
    /// One number for all three.
    Thickness,
    Thickness1,
    Thickness2,
    Thickness3,
    Width,
    Length,
    Flaws,
    Cup,
    Bow,
    Wind,
    Moisture,
}

impl Column {
    pub const ALL: [Column; 14] = [
        Column::Board,
        Column::Species,
        Column::Class,
        Column::Thickness,
        Column::Thickness1,
        Column::Thickness2,
        Column::Thickness3,
        Column::Width,
        Column::Length,
        Column::Flaws,
        Column::Cup,
        Column::Bow,
        Column::Wind,
        Column::Moisture,
    ];

    /// Its heading in a board list.
    pub fn heading(self) -> &'static str {
        match self {
            Column::Board => "board",
            Column::Species => "species",
            Column::Class => "class",
            Column::Thickness => "thickness",
            Column::Thickness1 => "thickness_1",
            Column::Thickness2 => "thickness_2",
            Column::Thickness3 => "thickness_3",
            Column::Width => "width",
            Column::Length => "length",
            Column::Flaws => "flaws",
            Column::Cup => "cup",
            Column::Bow => "bow",
            Column::Wind => "wind",
            Column::Moisture => "moisture",
        }
    }
}

/// One thing about a board that can't be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    pub column: Column,
    /// Which of its flaws, where it is one.
    pub flaw: Option<usize>,
    pub what: String,
    pub help: Option<String>,
}

/// Sizes beyond these come from a unit that was forgotten.
const THICKEST: Length = Length::from_nanometres(12 * Length::INCH.nanometres());
const WIDEST: Length = Length::from_nanometres(60 * Length::INCH.nanometres());
const LONGEST: Length = Length::from_nanometres(50 * 12 * Length::INCH.nanometres());

/// Everything about a board that can't be.
pub fn validate(board: &RackBoard, unit: Unit) -> Vec<Wrong> {
    let mut found = Vec::new();
    let mut say = |column, what: String, help: &str| {
        let help = (!help.is_empty()).then(|| help.to_owned());
        found.push(Wrong { column, flaw: None, what, help });
    };
    let spoken = |length| words(length, unit);
    let [near, middle, far] = board.thickness;
    let thicknesses = [
        (Column::Thickness1, near, THICKEST),
        (Column::Thickness2, middle, THICKEST),
        (Column::Thickness3, far, THICKEST),
    ];
    // One thickness typed for all three is wrong once.
    let typed = if near == middle && middle == far { 1 } else { 3 };
    let sizes = thicknesses
        .into_iter()
        .take(typed)
        .chain([(Column::Width, board.width, WIDEST), (Column::Length, board.length, LONGEST)]);
    let mut sized = true;
    for (column, size, most) in sizes {
        let name = column.heading().split('_').next().unwrap_or_default();
        if size <= Length::ZERO {
            sized = false;
            say(column, format!("a {name} of {}: every board has some", spoken(size)), "");
        } else if size > most {
            sized = false;
            let what = format!("a {name} of {}: more than any board's", spoken(size));
            say(column, what, "is its unit right? `38 mm` and `1 1/2 in` always are");
        }
    }
    let (thinnest, thickest) = (board.thinnest(), near.max(middle).max(far));
    if sized && thickest - thinnest > thickest / 2 {
        let what = format!(
            "thicknesses from {} to {}: more than half of it apart",
            spoken(thinnest),
            spoken(thickest)
        );
        say(Column::Thickness1, what, "measure again: no board is sawn as a wedge");
    }
    for (column, depth) in
        [(Column::Cup, board.cup), (Column::Bow, board.bow), (Column::Wind, board.wind)]
    {
        let name = column.heading();
        if depth.is_negative() {
            let what = format!("a {name} of {}", spoken(depth));
            say(column, what, "it is how far it stands off, whichever way: never less than 0");
        } else if sized && depth > thickest {
            let what = format!("a {name} of {}, deeper than the board is thick", spoken(depth));
            say(column, what, "check the number and its unit");
        }
    }
    if let Some(percent) = board.moisture
        && Moisture::percent(percent).is_none()
    {
        let what = format!("a moisture of {percent} %");
        say(Column::Moisture, what, "wood has 0 to 30 %; check the meter");
    }
    if board.flaws.len() > MOST_FLAWS {
        say(Column::Flaws, format!("more than {MOST_FLAWS} flaws on one board"), "");
    } else if sized {
        found.extend(validate_flaws(board, unit));
    }
    found
}

/// Flaws that are not on the board, or on one another.
fn validate_flaws(board: &RackBoard, unit: Unit) -> Vec<Wrong> {
    let mut found = Vec::new();
    let mut say = |flaw, what: String, help: String| {
        found.push(Wrong { column: Column::Flaws, flaw: Some(flaw), what, help: Some(help) });
    };
    for (index, flaw) in board.flaws.iter().enumerate() {
        let sides = [
            (Some(flaw.along), board.length, "long", "from the marked end"),
            (flaw.across, board.width, "wide", "from the marked edge"),
        ];
        for (stretch, room, how, from) in sides {
            let Some(Stretch { from: near, to: far }) = stretch else { continue };
            let named = flaw.named(unit);
            if near.is_negative() || near >= far {
                let what = format!("the {named} runs backwards or off the board");
                say(index, what, format!("measure {from}, the nearer place first"));
            } else if far > room {
                let what = format!("the {named} ends at {}, off the board", words(far, unit));
                say(index, what, format!("the board is {} {how}", words(room, unit)));
            }
        }
    }
    for (index, flaw) in board.flaws.iter().enumerate() {
        let earlier = board.flaws[..index].iter().find(|earlier| earlier.overlaps(flaw));
        if let Some(earlier) = earlier {
            let what = format!("the {} lies on the {}", flaw.named(unit), earlier.named(unit));
            let help = format!("join them: {}", earlier.joined(flaw).written(unit));
            say(index, what, help);
        }
    }
    found
}

impl Flaw {
    /// `knot at 31 to 33`, as it is spoken of.
    pub fn named(&self, unit: Unit) -> String {
        let mut named = format!("{} at {}", self.kind.word(), self.along.written(unit));
        if let Some(across) = &self.across {
            named += &format!(", {} across", across.written(unit));
        }
        named
    }

    pub fn overlaps(&self, other: &Flaw) -> bool {
        let side_by_side = match (&self.across, &other.across) {
            (Some(own), Some(other)) => !own.overlaps(other),
            _ => false,
        };
        self.along.overlaps(&other.along) && !side_by_side
    }

    /// One flaw over both, of the worse kind and the more careful ruling.
    fn joined(&self, other: &Flaw) -> Flaw {
        let over =
            |a: Stretch, b: Stretch| Stretch { from: a.from.min(b.from), to: a.to.max(b.to) };
        let ruling = if self.ruling == other.ruling { self.ruling } else { Ruling::Around };
        let kind = match (self.kind, other.kind) {
            (own, other) if own == other => own,
            (FlawKind::Split, _) | (_, FlawKind::Split) => FlawKind::Split,
            _ => FlawKind::Other,
        };
        Flaw {
            kind,
            along: over(self.along, other.along),
            across: self.across.zip(other.across).map(|(a, b)| over(a, b)),
            ruling,
        }
    }
}

/// Boards that go by a name another has already, capitals or not: which one,
/// and whose name it is.
pub fn duplicate_names(boards: &[RackBoard]) -> Vec<(usize, usize)> {
    let mut first = BTreeMap::new();
    let mut twice = Vec::new();
    for (index, board) in boards.iter().enumerate() {
        match first.get(&board.name.to_lowercase()) {
            Some(earlier) => twice.push((index, *earlier)),
            None => {
                first.insert(board.name.to_lowercase(), index);
            }
        }
    }
    twice
}

/// The board of that name, capitals or not.
pub fn find_board(boards: &[RackBoard], name: &str) -> Result<usize, String> {
    let called = boards.iter().position(|board| board.is_called(name));
    called.ok_or_else(|| format!("there is no board {}", quoted(name.trim())))
}
