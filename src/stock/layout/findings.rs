//! What a lead should know of the boards before anything is cut: which are of no
//! use, too thin for a part, or unlike the others.

use crate::measure::{Length, Unit};
use crate::operation::words;
use crate::prose::Message;
use crate::stock::board::RackBoard;
use crate::stock::need::BlankNeed;
use crate::stock::saw::Saw;
use crate::stock::suitability::{Suits, comes_clean, is_of_class, is_of_wood, suits};

/// Boards whose moistures differ by more than this many points should not go
/// into one batch (common practice, no source).
const MOST_APART: f64 = 2.0;
/// With fewer readings than this nobody can say which one is the odd one.
const LEAST_READINGS: usize = 3;
/// A board that is too thin by more than this is plainly meant for something
/// else (common practice, no source).
const LITTLE: Length = Length::inch_fraction(1, 4);

/// What a lead should know of the boards there are before they are laid out;
/// the place of a finding is the index of its board. A board with a finding can
/// be laid out all the same.
pub fn findings(
    boards: &[RackBoard],
    needs: &[BlankNeed],
    saw: &Saw,
    unit: Unit,
) -> Vec<Message<usize>> {
    let mut found = Vec::new();
    for (index, board) in boards.iter().enumerate() {
        let of_no_use = of_no_use(board, needs, saw, unit);
        found.extend(of_no_use.into_iter().chain(moisture(boards, index)).map(|m| m.at(index)));
    }
    found
}

/// Why nothing that is needed can come from a board, where that is so.
fn of_no_use(board: &RackBoard, needs: &[BlankNeed], saw: &Saw, unit: Unit) -> Option<Message> {
    let wood = &board.species;
    let of_wood: Vec<&BlankNeed> =
        needs.iter().filter(|need| need.blanks() > 0 && is_of_wood(board, need)).collect();
    if of_wood.is_empty() {
        return Some(Message::warning(format!("no part is made of {wood}")));
    }
    let of_class: Vec<&BlankNeed> =
        of_wood.iter().filter(|need| is_of_class(board, need)).copied().collect();
    if of_class.is_empty() {
        let class = board.class.as_deref().unwrap_or_default();
        return Some(Message::warning(format!("no part is made of {class} {wood}")));
    }
    let clean: Vec<&BlankNeed> =
        of_class.iter().filter(|need| comes_clean(board, need, saw)).copied().collect();
    if clean.is_empty() {
        return Some(too_thin_for_all(board, &of_wood, &of_class, saw, unit));
    }
    too_small_for_all(board, &clean, saw, unit)
}

/// A board that comes clean for nothing of its class, and what it would do for.
fn too_thin_for_all(
    board: &RackBoard,
    of_wood: &[&BlankNeed],
    of_class: &[&BlankNeed],
    saw: &Saw,
    unit: Unit,
) -> Message {
    let least = of_class.iter().map(|need| need.clean_at).min().unwrap_or_default();
    let what = format!(
        "too thin for every part: {} where it is thinnest, and the thinnest part needs {} once \
         both faces are clean",
        words(board.thinnest(), unit),
        words(least, unit)
    );
    let mut other = of_wood.iter().filter(|need| comes_clean(board, need, saw));
    let help = other.find_map(|need| {
        let class = need.class.as_deref()?;
        Some(format!("it is thick enough for {}: list it as {class}", need.part))
    });
    Message::warning(what).maybe_help(help)
}

/// Says when a board is shorter or narrower than every blank it would do for.
fn too_small_for_all(
    board: &RackBoard,
    needs: &[&BlankNeed],
    saw: &Saw,
    unit: Unit,
) -> Option<Message> {
    let (long, wide) = (board.length - saw.trim * 2, board.width - saw.edge);
    let shortest = needs.iter().map(|need| need.length).min()?;
    if long < shortest {
        return Some(Message::warning(format!(
            "too short for every part: {} between the trimmed ends, and the shortest blank is {}",
            words(long.max(Length::ZERO), unit),
            words(shortest, unit)
        )));
    }
    let narrowest = needs.iter().map(|need| need.width).min()?;
    (wide < narrowest).then(|| {
        Message::warning(format!(
            "too narrow for every part: {} with one edge straight, and the narrowest blank is {}",
            words(wide.max(Length::ZERO), unit),
            words(narrowest, unit)
        ))
    })
}

/// Says when a board is wetter or drier than the others.
fn moisture(boards: &[RackBoard], index: usize) -> Option<Message> {
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
        let what = format!(
            "its moisture is {own} %, {:.1} points {how} than the other boards",
            apart.abs()
        );
        Message::warning(what).help("give it time in the shop, or leave it out")
    })
}

/// Boards to rip before they are flattened, and boards that are too thin. A
/// board is reported as too thin for a part it was bought for, or, where it is
/// thin by little, for a part that is missing. `laid_for` says whether a board
/// is laid out for a need; the place of a finding is the index of its board.
pub fn too_thin(
    boards: &[RackBoard],
    needs: &[BlankNeed],
    saw: &Saw,
    unit: Unit,
    laid_for: impl Fn(usize, &BlankNeed) -> bool,
    is_missing: impl Fn(&BlankNeed) -> bool,
) -> Vec<Message<usize>> {
    let mut found = Vec::new();
    for (index, board) in boards.iter().enumerate() {
        let own = needs.iter().filter(|need| {
            need.blanks() > 0 && is_of_wood(board, need) && is_of_class(board, need)
        });
        let own: Vec<&BlankNeed> = own.collect();
        // A board that is of no use has a finding of its own.
        if !own.iter().any(|need| comes_clean(board, need, saw)) {
            continue;
        }
        let (mut ripped, mut thin): (Vec<&str>, Vec<String>) = (Vec::new(), Vec::new());
        for need in own {
            let bought_as_it = need.class.is_some() && board.class.is_some();
            match suits(board, need, saw.clean_up) {
                Suits::OnceRipped { .. } if laid_for(index, need) => ripped.push(&need.part),
                Suits::TooThin { short } if bought_as_it || is_missing(need) && short <= LITTLE => {
                    thin.push(format!("{} ({} short)", need.part, words(short, unit)));
                }
                _ => {}
            }
        }
        if !ripped.is_empty() {
            let what = format!(
                "rip it before you flatten it, or it will be too thin for: {}",
                ripped.join(", ")
            );
            found.push(Message::warning(what).at(index));
        }
        if !thin.is_empty() {
            let what = format!("too thin once it is flat, for: {}", thin.join(", "));
            found.push(Message::warning(what).at(index));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::samples::{self, th};

    /// A need that is clean at `clean_at` thousandths.
    fn need(part: &str, class: &str, clean_at: i64) -> BlankNeed {
        BlankNeed {
            part: part.to_owned(),
            class: Some(class.to_owned()),
            ..samples::need(th(clean_at + 250), th(4_000), th(20_000))
        }
    }

    /// A blade of 1/8, an inch of trim, 1/4 of edge and 1/8 to clean up.
    fn saw() -> Saw {
        Saw {
            crosscut: th(125),
            rip: th(125),
            trim: th(1_000),
            edge: th(250),
            mark: th(125),
            shortest_offcut: th(12_000),
            clean_up: th(125),
        }
    }

    fn board(class: Option<&str>, thick: i64) -> RackBoard {
        let class = class.map(str::to_owned);
        RackBoard { class, ..samples::board(th(thick), th(4_000), th(60_000)) }
    }

    /// By hand, with 1/8 to clean up: 0.990 leaves 0.865. A rail at 0.750 comes
    /// clean, a shelf at 0.875 is 0.010 short, a leg at 1.500 is 0.635 short.
    /// Nobody takes this board for a leg. That it is too thin for a shelf
    /// matters where a shelf is missing or the board was bought for one.
    #[test]
    fn too_thin_is_reported_where_it_matters() {
        let saw = saw();
        let needs =
            [need("rail", "4/4", 750), need("shelf", "4/4", 875), need("leg", "8/4", 1_500)];
        let said = |class: Option<&str>, missing: &[&str]| {
            let boards = [board(class, 990)];
            let is_missing = |need: &BlankNeed| missing.contains(&need.part.as_str());
            let found = too_thin(&boards, &needs, &saw, Unit::Inch, |_, _| true, is_missing);
            found.into_iter().map(|found| found.what).collect::<Vec<_>>()
        };
        let shelf = ["too thin once it is flat, for: shelf (0.010 in short)".to_owned()];
        assert!(said(None, &[]).is_empty());
        assert!(said(None, &["leg", "rail"]).is_empty());
        assert_eq!(said(None, &["shelf", "leg"]), shelf);
        assert_eq!(said(Some("4/4"), &[]), shelf);
    }

    /// By hand: 60 less an inch of trim at both ends is 58, and 4 less 1/4 of edge is 3 3/4.
    /// The shortest and the narrowest blank just fit, or a thousandth is missing.
    #[test]
    fn a_board_holds_the_smallest_blank_or_none() {
        let saw = saw();
        let said = |wide: i64, long: i64| {
            let small = samples::need(th(1_000), th(wide), th(long));
            let large = samples::need(th(1_000), th(9_000), th(90_000));
            let found = too_small_for_all(&board(None, 1_000), &[&large, &small], &saw, Unit::Inch);
            found.map(|found| found.what).unwrap_or_default()
        };
        assert_eq!(said(3_750, 58_000), "");
        assert_eq!(
            said(3_750, 58_001),
            "too short for every part: 58 in between the trimmed ends, and the shortest blank is 58.001 in"
        );
        assert_eq!(
            said(3_751, 58_000),
            "too narrow for every part: 3 3/4 in with one edge straight, and the narrowest blank is 3.751 in"
        );
    }
}
