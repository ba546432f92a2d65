//! What is worth knowing of boards before anything is cut: which are no use,
//! too thin for a part, or unlike the others. Knows nothing of how one is cut.

use crate::measure::{Length, Unit};
use crate::operation::words;
use crate::stock::board::RackBoard;
use crate::stock::need::BlankNeed;
use crate::stock::saw::Saw;
use crate::stock::suitability::{Suits, comes_clean, is_of_class, is_of_wood, suits};

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
pub fn findings(
    boards: &[RackBoard],
    needs: &[BlankNeed],
    saw: &Saw,
    unit: Unit,
) -> Vec<BoardFinding> {
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
fn no_use(board: &RackBoard, needs: &[BlankNeed], saw: &Saw, unit: Unit) -> Option<String> {
    let of_wood: Vec<&BlankNeed> =
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
    let clean: Vec<&BlankNeed> =
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

/// Boards that come clean only once they are ripped, of what they are laid out
/// for; and those too thin for what they were bought as, or by little for what
/// is missing.
pub fn too_thin(
    boards: &[RackBoard],
    needs: &[BlankNeed],
    saw: &Saw,
    unit: Unit,
    laid_for: impl Fn(usize, &BlankNeed) -> bool,
    is_missing: impl Fn(&BlankNeed) -> bool,
) -> Vec<BoardFinding> {
    let mut found = Vec::new();
    for (index, board) in boards.iter().enumerate() {
        let own = needs.iter().filter(|need| {
            need.blanks() > 0 && is_of_wood(board, need) && is_of_class(board, need)
        });
        let own: Vec<&BlankNeed> = own.collect();
        // One that is no use at all is told of as that.
        if !own.iter().any(|need| comes_clean(board, need, saw)) {
            continue;
        }
        let (mut ripped, mut thin): (Vec<&str>, Vec<String>) = (Vec::new(), Vec::new());
        for need in own {
            let bought_as_it = need.class.is_some() && board.class.is_some();
            match suits(board, need, saw.clean_up) {
                Suits::OnceRipped { .. } if laid_for(index, need) => ripped.push(&need.part),
                Suits::TooThin { short }
                    if bought_as_it || is_missing(need) && short <= by_little() =>
                {
                    thin.push(format!("{} ({} short)", need.part, words(short, unit)));
                }
                _ => {}
            }
        }
        let mut say = |what: String| found.push(BoardFinding { board: index, what });
        if !ripped.is_empty() {
            let parts = ripped.join(", ");
            say(format!("rip before you flatten it, or it won't come clean: {parts}"));
        }
        if !thin.is_empty() {
            say(format!("too thin once it is flat: {}", thin.join(", ")));
        }
    }
    found
}

/// Thinner by more than this a board is plainly another one (common practice,
/// no source).
fn by_little() -> Length {
    Length::inch_fraction(1, 4)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn th(n: i64) -> Length {
        Length::thousandths(n)
    }

    /// Comes clean at so many thousandths.
    fn need(part: &str, class: &str, clean_at: i64) -> BlankNeed {
        BlankNeed {
            part: part.to_owned(),
            species: None,
            class: Some(class.to_owned()),
            length: th(20_000),
            width: th(4_000),
            thickness: th(clean_at + 250),
            finished_length: th(19_000),
            finished_width: th(3_750),
            finished_thickness: th(clean_at),
            along: 1,
            across: 1,
            through: 1,
            clean_at: th(clean_at),
            for_sets: 2,
            spare: 0,
            setup: 0,
            a_set: 2,
            one_board: false,
            hidden: Vec::new(),
            fill: None,
        }
    }

    fn board(class: Option<&str>, thick: i64) -> RackBoard {
        RackBoard {
            name: "1".to_owned(),
            species: "ash".to_owned(),
            class: class.map(str::to_owned),
            thickness: [th(thick); 3],
            width: th(4_000),
            length: th(60_000),
            cup: Length::ZERO,
            bow: Length::ZERO,
            wind: Length::ZERO,
            moisture: None,
            flaws: Vec::new(),
        }
    }

    /// By hand, with 1/8 to clean up: 0.990 leaves 0.865. A rail at 0.750 comes
    /// clean, a shelf at 0.875 is 0.010 short, a leg at 1.500 0.635. Nobody
    /// took this board for a leg; that it won't make a shelf counts where a
    /// shelf is missing, or where it was bought for one.
    #[test]
    fn too_thin_is_told_where_it_matters() {
        let saw = Saw {
            crosscut: th(125),
            rip: th(125),
            trim: th(1_000),
            edge: th(250),
            mark: th(125),
            keep: th(12_000),
            clean_up: th(125),
        };
        let needs =
            [need("rail", "4/4", 750), need("shelf", "4/4", 875), need("leg", "8/4", 1_500)];
        let said = |class: Option<&str>, missing: &[&str]| {
            let boards = [board(class, 990)];
            let is_missing = |need: &BlankNeed| missing.contains(&need.part.as_str());
            let found = too_thin(&boards, &needs, &saw, Unit::Inch, |_, _| true, is_missing);
            found.into_iter().map(|found| found.what).collect::<Vec<_>>()
        };
        let shelf = ["too thin once it is flat: shelf (0.010 in short)".to_owned()];
        assert!(said(None, &[]).is_empty());
        assert!(said(None, &["leg", "rail"]).is_empty());
        assert_eq!(said(None, &["shelf", "leg"]), shelf);
        assert_eq!(said(Some("4/4"), &[]), shelf);
    }
}
