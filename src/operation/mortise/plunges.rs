//! Where along the piece a hollow chisel is plunged: both ends first, so that it
//! stands in whole wood; then every second place between them, for the same reason;
//! last the webs that are left, which are open on both sides. A chisel with a hole on
//! one side only leans into it (common practice, no source).

use super::super::faces::steps;
use super::super::hole;
use super::super::outcome::{Fact, Outcome};
use super::super::work::Work;
use super::{Mortise, too_short};
use crate::measure::Length;

/// More plunges than this are a slip in the route.
const MOST_NAMED: i64 = 60;

impl Mortise {
    /// `top` is how far the mortise's near end is from the end of the piece.
    pub(super) fn plunges(
        &self,
        work: &Work<'_>,
        out: &mut Outcome,
        (top, long): (Length, Length),
        chisel: Length,
    ) {
        let run = long - chisel;
        if run < Length::ZERO {
            out.findings.push(too_short(work, long, chisel, "chisel"));
            return;
        }
        let between = steps(run * 4, chisel * 3);
        out.facts.push(Fact::number("plunges in each", between + 1));
        out.steps.push("Depth counts to the chisel's corners: its bit goes deeper.".to_owned());
        let gap = work.either("1/32 to 1/16 in", "1 to 1.5 mm");
        out.steps.push(format!("Gap of {gap} between bit and chisel."));
        let (from, whose) = match self.keys.from_top {
            Some(_) => ("top end", "top end of the piece"),
            None => ("start", "mortise's start"),
        };
        if between > 0 {
            out.facts.push(Fact::size("from plunge to plunge", run / between));
        } else if self.keys.from_top.is_none() {
            return;
        }
        out.steps.push(format!("Set the chisel's near edge, counted from the {whose}."));
        let in_turn = in_turn(between.min(MOST_NAMED)).map(|turn| {
            let at: Vec<Length> =
                turn.into_iter().map(|n| top + run * n / between.max(1)).collect();
            hole::at_marks(work, &at)
        });
        out.places.extend(said(&in_turn, work, from));
    }
}

/// The plunges by their numbers: both ends, those in whole wood between them, the rest.
fn in_turn(between: i64) -> [Vec<i64>; 3] {
    let ends = if between > 0 { vec![0, between] } else { vec![0] };
    let (whole, webs) = (1..between).partition(|n| n % 2 == 0 && n + 1 < between);
    [ends, whole, webs]
}

/// `Plunge at 1/2 and 2 1/32, then 27/32 in: near edge from the top end.` and
/// `Last 11/16, 1.`
fn said([ends, whole, webs]: &[Vec<String>; 3], work: &Work<'_>, from: &str) -> Vec<String> {
    let ends = ends.join(" and ");
    let then = match whole.as_slice() {
        [] => String::new(),
        whole => format!(", then {}", whole.join(", ")),
    };
    let unit = hole::mark_unit(work).sign();
    let first = format!("Plunge at {ends}{then} {unit}: near edge from the {from}.");
    let last = (!webs.is_empty()).then(|| format!("Last {}.", webs.join(", ")));
    [first].into_iter().chain(last).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nine steps are ten plunges. Between 0 and 9 the numbers 2, 4 and 6 touch nothing
    /// that is cut; 8 would touch 9. Of two steps the one between is open on both sides.
    #[test]
    fn whole_wood_comes_before_webs() {
        assert_eq!(in_turn(9), [vec![0, 9], vec![2, 4, 6], vec![1, 3, 5, 7, 8]]);
        assert_eq!(in_turn(4), [vec![0, 4], vec![2], vec![1, 3]]);
        assert_eq!(in_turn(3), [vec![0, 3], vec![], vec![1, 2]]);
        assert_eq!(in_turn(2), [vec![0, 2], vec![], vec![1]]);
        assert_eq!(in_turn(1), [vec![0, 1], vec![], vec![]]);
        assert_eq!(in_turn(0), [vec![0], vec![], vec![]]);
    }
}
