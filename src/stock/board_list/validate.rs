//! What no board can be: sizes, bends, flaws and names that can't be meant.

use std::collections::BTreeMap;

use super::column::{BoardField, Column};
use super::flaw_text::MOST_FLAWS;
use crate::measure::{Length, Unit};
use crate::operation::words;
use crate::prose::{Message, quoted};
use crate::stock::board::{Flaw, FlawKind, RackBoard, Ruling, Stretch};
use crate::wood::Moisture;

// Greater sizes come from a unit that was left out: 38 entered for millimetres
// is read as 38 in. Chosen, not measured.
pub(super) const THICKEST: Length = Length::from_nanometres(12 * Length::INCH.nanometres());
const WIDEST: Length = Length::from_nanometres(60 * Length::INCH.nanometres());
const LONGEST: Length = Length::from_nanometres(50 * 12 * Length::INCH.nanometres());

/// Everything about a board that can't be: sizes of zero or beyond any board,
/// bends deeper than the board is thick, flaws off the board or on one another.
pub fn validate(board: &RackBoard, unit: Unit) -> Vec<Message<BoardField>> {
    let mut found = validate_sizes(board, unit);
    let sized = found.is_empty();
    let [near, middle, far] = board.thickness;
    let (thinnest, thickest) = (board.thinnest(), near.max(middle).max(far));
    let spoken = |length| words(length, unit);
    if sized && thickest - thinnest > thickest / 2 {
        let what = format!(
            "the thickness runs from {} to {}, a difference of more than half",
            spoken(thinnest),
            spoken(thickest)
        );
        let help = "measure again: no board is sawn that unevenly";
        found.push(Message::error(what).help(help).at(of_column(Column::Thickness1)));
    }
    for (column, depth) in
        [(Column::Cup, board.cup), (Column::Bow, board.bow), (Column::Wind, board.wind)]
    {
        let name = column.heading();
        if depth.is_negative() {
            let what = format!("the {name} is {}", spoken(depth));
            let help = "enter how deep it is: never less than 0";
            found.push(Message::error(what).help(help).at(of_column(column)));
        } else if sized && depth > thickest {
            let what = format!("the {name} is {}, more than the board is thick", spoken(depth));
            let help = "check the number and its unit";
            found.push(Message::error(what).help(help).at(of_column(column)));
        }
    }
    if let Some(percent) = board.moisture
        && Moisture::percent(percent).is_none()
    {
        let what = format!("the moisture is {percent} %");
        let help = "wood has 0 to 30 %; check the meter";
        found.push(Message::error(what).help(help).at(of_column(Column::Moisture)));
    }
    if board.flaws.len() > MOST_FLAWS {
        let what = format!("more than {MOST_FLAWS} flaws on one board");
        found.push(Message::error(what).at(of_column(Column::Flaws)));
    } else if sized {
        found.extend(flaws_off_the_board(board, unit));
        found.extend(flaws_on_one_another(board, unit));
    }
    found
}

fn of_column(column: Column) -> BoardField {
    BoardField { column, flaw: None }
}

/// Sizes that are zero or less, or more than any board has.
fn validate_sizes(board: &RackBoard, unit: Unit) -> Vec<Message<BoardField>> {
    let mut found = Vec::new();
    let [near, middle, far] = board.thickness;
    let thicknesses = [
        (Column::Thickness1, near, THICKEST),
        (Column::Thickness2, middle, THICKEST),
        (Column::Thickness3, far, THICKEST),
    ];
    // One thickness that was entered for all three places is wrong once.
    let entered = if near == middle && middle == far { 1 } else { 3 };
    let sizes = thicknesses
        .into_iter()
        .take(entered)
        .chain([(Column::Width, board.width, WIDEST), (Column::Length, board.length, LONGEST)]);
    for (column, size, most) in sizes {
        let name = column.heading().split('_').next().unwrap_or_default();
        let size_words = words(size, unit);
        if size <= Length::ZERO {
            let what = format!("the {name} is {size_words}: it must be greater than zero");
            found.push(Message::error(what).at(of_column(column)));
        } else if size > most {
            let what = format!("the {name} is {size_words}: no board has as much");
            let help = "check its unit: `38 mm` and `1 1/2 in` are clear";
            found.push(Message::error(what).help(help).at(of_column(column)));
        }
    }
    found
}

fn of_flaw(flaw: usize) -> BoardField {
    BoardField { column: Column::Flaws, flaw: Some(flaw) }
}

/// Flaws that run backwards or lie outside the board.
fn flaws_off_the_board(board: &RackBoard, unit: Unit) -> Vec<Message<BoardField>> {
    let mut found = Vec::new();
    for (index, flaw) in board.flaws.iter().enumerate() {
        let sides = [
            (Some(flaw.along), board.length, "long", "from the marked end"),
            (flaw.across, board.width, "wide", "from the marked edge"),
        ];
        for (stretch, room, how, from) in sides {
            let Some(Stretch { from: near, to: far }) = stretch else { continue };
            let named = flaw.named(unit);
            let problem = if near.is_negative() || near >= far {
                Message::error(format!("the {named} runs backwards or off the board"))
                    .help(format!("measure {from} and enter the nearer place first"))
            } else if far > room {
                Message::error(format!("the {named} ends at {}, off the board", words(far, unit)))
                    .help(format!("the board is {} {how}", words(room, unit)))
            } else {
                continue;
            };
            found.push(problem.at(of_flaw(index)));
        }
    }
    found
}

/// Flaws that overlap an earlier one: the program could not tell which ruling
/// holds where they do.
fn flaws_on_one_another(board: &RackBoard, unit: Unit) -> Vec<Message<BoardField>> {
    let mut found = Vec::new();
    for (index, flaw) in board.flaws.iter().enumerate() {
        let earlier = board.flaws[..index].iter().find(|earlier| earlier.overlaps(flaw));
        if let Some(earlier) = earlier {
            let what = format!("the {} overlaps the {}", flaw.named(unit), earlier.named(unit));
            let help = format!("enter them as one: {}", earlier.joined(flaw).written(unit));
            found.push(Message::error(what).help(help).at(of_flaw(index)));
        }
    }
    found
}

impl Flaw {
    /// As it is named in a sentence: `knot at 31 to 33`.
    pub fn named(&self, unit: Unit) -> String {
        let mut named = format!("{} at {}", self.kind.word(), self.along.written(unit));
        if let Some(across) = &self.across {
            named += &format!(", {} across", across.written(unit));
        }
        named
    }

    fn overlaps(&self, other: &Flaw) -> bool {
        let side_by_side = match (&self.across, &other.across) {
            (Some(own), Some(other)) => !own.overlaps(other),
            _ => false,
        };
        self.along.overlaps(&other.along) && !side_by_side
    }

    /// One flaw that covers both, with the worse kind and the safer ruling.
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

/// The boards whose name an earlier board has already; capitals make no
/// difference. Each comes as its own index and that of the earlier one.
pub(super) fn duplicate_names(boards: &[RackBoard]) -> Vec<(usize, usize)> {
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

/// The index of the board with this name; capitals make no difference. The
/// error says that there is none.
pub fn find_board(boards: &[RackBoard], name: &str) -> Result<usize, String> {
    let called = boards.iter().position(|board| board.is_called(name));
    called.ok_or_else(|| format!("there is no board {}", quoted(name.trim())))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flaw(kind: FlawKind, along: (i64, i64), across: Option<(i64, i64)>, ruling: Ruling) -> Flaw {
        let stretch = |(from, to)| Stretch { from: Length::INCH * from, to: Length::INCH * to };
        Flaw { kind, along: stretch(along), across: across.map(stretch), ruling }
    }

    /// The worse kind, the safer ruling, from the first to the last place; over the whole
    /// width where one of them is.
    #[test]
    fn two_flaws_become_one_that_covers_both() {
        use FlawKind::{Knot, Other, Split};
        let knot = |ruling| flaw(Knot, (4, 6), Some((1, 2)), ruling);
        let joined = |one: &Flaw, other: &Flaw| {
            assert_eq!(one.joined(other), other.joined(one));
            one.joined(other)
        };
        let beside = flaw(Knot, (5, 9), Some((2, 3)), Ruling::Fill);
        assert_eq!(
            joined(&knot(Ruling::Fill), &beside),
            flaw(Knot, (4, 9), Some((1, 3)), Ruling::Fill)
        );
        assert_eq!(joined(&knot(Ruling::Hidden), &beside).ruling, Ruling::Around);
        let split = flaw(Split, (2, 5), None, Ruling::Around);
        assert_eq!(
            joined(&knot(Ruling::Around), &split),
            flaw(Split, (2, 6), None, Ruling::Around)
        );
        let wane = flaw(Other, (5, 7), None, Ruling::Around);
        assert_eq!(joined(&knot(Ruling::Around), &wane).kind, Other);
        assert_eq!(joined(&split, &wane).kind, Split);
    }

    /// Side by side they don't overlap, and neither do they end to end.
    #[test]
    fn flaws_overlap_where_they_share_wood() {
        let at = |along, across| flaw(FlawKind::Knot, along, across, Ruling::Around);
        let one = at((4, 6), Some((1, 2)));
        assert!(one.overlaps(&at((5, 9), Some((1, 3)))));
        assert!(!one.overlaps(&at((5, 9), Some((2, 3)))));
        assert!(one.overlaps(&at((5, 9), None)), "over the whole width");
        assert!(!one.overlaps(&at((6, 9), None)));
    }
}
