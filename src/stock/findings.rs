//! What is worth knowing of boards before anything is cut: which are no use,
//! too thin for a part, or unlike the others. Knows nothing of how one is cut.

use super::board::RackBoard;
use super::layout::{Layout, Saw, comes_clean, is_of_class, is_of_wood};
use super::need::Need;
use super::scant::{Suits, suits};
use crate::measure::{Length, Unit};
use crate::operation::words;

/// Boards that differ by more should not go into one batch (common practice, no
/// source).
const MOST_APART: f64 = 2.0;
/// Of fewer readings nobody can say which one is the odd one.
const LEAST_READINGS: usize = 3;

/// Something about a board that a lead wants to know; it may be laid out all
/// the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardFinding {
    /// Which of the boards.
    pub board: usize,
    pub what: String,
}

/// What stands out among the boards there are.
pub fn findings(boards: &[RackBoard], needs: &[Need], saw: &Saw, unit: Unit) -> Vec<BoardFinding> {
    let mut found = Vec::new();
    for (index, board) in boards.iter().enumerate() {
        let no_use = no_use(board, needs, saw, unit);
        let damp = moisture(boards, index);
        found
            .extend(no_use.into_iter().chain(damp).map(|what| BoardFinding { board: index, what }));
    }
    found
}

/// Why nothing that is needed can come from a board, where that is so.
fn no_use(board: &RackBoard, needs: &[Need], saw: &Saw, unit: Unit) -> Option<String> {
    let of_wood: Vec<&Need> =
        needs.iter().filter(|need| need.blanks() > 0 && is_of_wood(board, need)).collect();
    if of_wood.is_empty() {
        return Some(format!("nothing needed is of {}", board.species));
    }
    let mut of_class = of_wood.iter().filter(|need| is_of_class(board, need)).peekable();
    if of_class.peek().is_none() {
        let class = board.class.as_deref().unwrap_or_default();
        return Some(format!("nothing needed is {class} {}", board.species));
    }
    let spoken = |length| words(length, unit);
    let thinnest = of_class.clone().map(|need| need.clean_at).min().unwrap_or_default();
    let clean: Vec<&Need> =
        of_class.filter(|need| comes_clean(board, need, saw)).copied().collect();
    if clean.is_empty() {
        let mut other = of_wood.iter().filter(|need| comes_clean(board, need, saw));
        let other = other.find_map(|need| {
            let class = need.class.as_deref()?;
            Some(format!("; it does for a {}: list it as {class}", need.part))
        });
        return Some(format!(
            "too thin for anything needed: {} where it is thinnest, and the thinnest piece comes \
             clean at {}{}",
            spoken(board.thinnest()),
            spoken(thinnest),
            other.unwrap_or_default()
        ));
    }
    let (long, wide) = (board.length - saw.trim * 2, board.width - saw.edge);
    let shortest = clean.iter().map(|need| need.length).min()?;
    if long < shortest {
        let room = long.max(Length::ZERO);
        return Some(format!(
            "shorter than the shortest piece: {} between its trimmed ends, and that is {}",
            spoken(room),
            spoken(shortest)
        ));
    }
    let narrowest = clean.iter().map(|need| need.width).min()?;
    (wide < narrowest).then(|| {
        format!(
            "narrower than the narrowest piece: {} with one edge straight, and that is {}",
            spoken(wide.max(Length::ZERO)),
            spoken(narrowest)
        )
    })
}

/// Says when a board is wetter or drier than the others.
fn moisture(boards: &[RackBoard], index: usize) -> Option<String> {
    let own = boards[index].moisture?;
    let others = boards.iter().enumerate().filter(|(other, _)| *other != index);
    let mut others: Vec<f64> = others.filter_map(|(_, board)| board.moisture).collect();
    if others.len() + 1 < LEAST_READINGS {
        return None;
    }
    others.sort_by(f64::total_cmp);
    let half = others.len() / 2;
    let median = match others.len() % 2 {
        0 => (others[half - 1] + others[half]) / 2.0,
        _ => others[half],
    };
    let apart = own - median;
    (apart.abs() > MOST_APART).then(|| {
        let how = if apart > 0.0 { "wetter" } else { "drier" };
        format!(
            "{own} % of moisture, {:.1} points {how} than the others: let it lie, or leave it out",
            apart.abs()
        )
    })
}

/// Boards of a part's kind that won't come clean for it, and those laid out for
/// it that do so only once they are ripped.
pub fn too_thin(
    boards: &[RackBoard],
    needs: &[Need],
    layout: &Layout,
    saw: &Saw,
    unit: Unit,
) -> Vec<BoardFinding> {
    let laid_for = |index: usize, need: usize| {
        let laid = layout.laid.iter().filter(|laid| laid.board == index);
        let mut blanks = laid.flat_map(|laid| &laid.sections).flat_map(|section| &section.blanks);
        blanks.any(|blank| blank.need == need)
    };
    let mut found = Vec::new();
    for (index, board) in boards.iter().enumerate() {
        let of_kind =
            |need: &Need| need.blanks() > 0 && is_of_wood(board, need) && is_of_class(board, need);
        let own: Vec<(usize, &Need)> =
            needs.iter().enumerate().filter(|(_, need)| of_kind(need)).collect();
        // One that is no use at all is told of as that.
        let some = own.iter().any(|(_, need)| comes_clean(board, need, saw));
        for (at, need) in own.into_iter().filter(|_| some) {
            let part = &need.part;
            let what = match suits(board, need, saw.clean_up) {
                Suits::OnceRipped { .. } if laid_for(index, at) => {
                    format!("rip before you flatten it: only so does it come clean for a {part}")
                }
                Suits::TooThin { short } => format!(
                    "too thin to come clean for a {part}, {} short once it is flat",
                    words(short, unit)
                ),
                _ => continue,
            };
            found.push(BoardFinding { board: index, what });
        }
    }
    found
}
