//! What is worth knowing of the boards in a rack before anything is cut: which
//! of them are no use, and which differ. Knows nothing of how they are laid out.

use std::collections::BTreeSet;

use super::board::RackBoard;
use super::layout::{Layout, Saw};
use super::need::Need;
use super::scant::{Suits, suits};
use crate::measure::{Length, Unit};
use crate::operation::words;
use crate::shop::Lumber;

/// Boards that differ by more should not go into one batch (common practice, no
/// source).
const MOST_APART: f64 = 2.0;
/// Of fewer readings nobody can say which one is the odd one.
const LEAST_READINGS: usize = 3;

/// Something about a board that a lead wants to know; it may be laid out all
/// the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RackFinding {
    /// Which of the boards.
    pub board: usize,
    pub what: String,
}

/// What stands out in a rack, board by board.
pub fn findings(boards: &[RackBoard], needs: &[Need], saw: &Saw, unit: Unit) -> Vec<RackFinding> {
    let mut found = Vec::new();
    for (index, board) in boards.iter().enumerate() {
        let no_use = no_use(board, needs, saw, unit);
        let damp = moisture(boards, index);
        found.extend(no_use.into_iter().chain(damp).map(|what| RackFinding { board: index, what }));
    }
    found
}

/// Why nothing that is needed can come from a board, where that is so.
fn no_use(board: &RackBoard, needs: &[Need], saw: &Saw, unit: Unit) -> Option<String> {
    let same = |one: &str, other: &str| one.trim().to_lowercase() == other.trim().to_lowercase();
    let of_wood: Vec<&Need> = needs
        .iter()
        .filter(|need| need.blanks() > 0)
        .filter(|need| need.species.as_deref().is_none_or(|wood| same(wood, &board.species)))
        .collect();
    if of_wood.is_empty() {
        return Some(format!("nothing needed is of {}", board.species));
    }
    let of_class: Vec<&Need> = of_wood
        .into_iter()
        .filter(|need| {
            let classes = need.class.as_deref().zip(board.class.as_deref());
            classes.is_none_or(|(need, board)| same(need, board))
        })
        .collect();
    let Some(thinnest) = of_class.iter().map(|need| need.clean_at).min() else {
        let class = board.class.as_deref().unwrap_or_default();
        return Some(format!("nothing needed is {class} {}", board.species));
    };
    let spoken = |length| words(length, unit);
    if board.thinnest() < thinnest {
        return Some(format!(
            "too thin for anything needed: {} where it is thinnest, and the thinnest piece comes \
             clean at {}",
            spoken(board.thinnest()),
            spoken(thinnest)
        ));
    }
    let thick_enough = || of_class.iter().filter(|need| need.clean_at <= board.thinnest());
    let (long, wide) = (board.length - saw.trim * 2, board.width - saw.edge);
    let shortest = thick_enough().map(|need| need.length).min()?;
    if long < shortest {
        let room = long.max(Length::ZERO);
        return Some(format!(
            "shorter than the shortest piece: {} between its trimmed ends, and that is {}",
            spoken(room),
            spoken(shortest)
        ));
    }
    let narrowest = thick_enough().map(|need| need.width).min()?;
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

/// Boards that are laid out for a part and won't come clean for it flat, or
/// only once they are ripped.
pub fn scant(
    boards: &[RackBoard],
    needs: &[Need],
    layout: &Layout,
    lumber: &Lumber,
    unit: Unit,
) -> Vec<RackFinding> {
    let mut found = Vec::new();
    for laid in &layout.laid {
        let blanks = laid.sections.iter().flat_map(|section| &section.blanks);
        let parts: BTreeSet<usize> = blanks.map(|blank| blank.need).collect();
        for need in parts.into_iter().filter_map(|need| needs.get(need)) {
            let part = &need.part;
            let what = match suits(&boards[laid.board], need, lumber) {
                Suits::CleansUp { .. } => continue,
                Suits::OnceRipped { .. } => {
                    format!("rip before you flatten it: only so does it come clean for a {part}")
                }
                Suits::TooThin { short } => format!(
                    "too thin to come clean for a {part}, {} short once it is flat",
                    words(short, unit)
                ),
            };
            found.push(RackFinding { board: laid.board, what });
        }
    }
    found
}
