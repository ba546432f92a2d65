//! Where along the piece a hollow chisel is plunged: both ends first, so that it
//! stands in whole wood, then what is left between them.

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
            Some(_) => ("end", "end of the piece"),
            None => ("start", "mortise's start"),
        };
        let mut at = vec![top];
        if between > 0 {
            out.facts.push(Fact::size("from plunge to plunge", run / between));
            at.push(top + run);
            at.extend((1..between.min(MOST_NAMED)).map(|n| top + run * n / between));
        } else if self.keys.from_top.is_none() {
            return;
        }
        out.steps.push(format!("Set the chisel's near edge, counted from the {whose}."));
        out.places.push(said(&hole::at_marks(work, &at), work, from));
    }
}

/// `Plunge at 1/2 and 2 1/32, then at 11/16, 27/32 in: near edge from the end.`
fn said(at: &[String], work: &Work<'_>, from: &str) -> String {
    let first = at.iter().take(2).map(String::as_str).collect::<Vec<_>>().join(" and ");
    let then = match at.get(2..) {
        Some(rest @ [_, ..]) => format!(", then at {}", rest.join(", ")),
        _ => String::new(),
    };
    let unit = hole::mark_unit(work).sign();
    format!("Plunge at {first}{then} {unit}: near edge from the {from}.")
}
