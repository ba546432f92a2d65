//! What an operation says beside its settings, in the order it is needed.

use crate::measure::Unit;
use crate::operation::{Fact, FactAmount, Outcome};
use crate::plan::{Group, PlannedOperation};
use crate::prose::capital;

/// While the machine is set, the sizes that are on no scale come first: they
/// are set too, or looked up.
pub fn while_setting(planned: &PlannedOperation, group: &Group, unit: Unit) -> Vec<String> {
    let Instructions { sizes, note, steps, counts } = Instructions::of(planned, group, unit);
    [sizes, note, steps, counts].concat()
}

/// While pieces go through, what the route says of this one operation comes first,
/// then what the hands do.
pub fn while_cutting(planned: &PlannedOperation, group: &Group, unit: Unit) -> Vec<String> {
    let Instructions { sizes, note, steps, counts } = Instructions::of(planned, group, unit);
    let Outcome { settings, passes, .. } = &group.outcome;
    if settings.is_empty() && passes.is_empty() {
        return [sizes, note, steps, counts].concat();
    }
    [note, steps, sizes, counts].concat()
}

/// What an operation says beside its settings.
struct Instructions {
    /// On no scale. Where nothing is set they are the work itself, and each
    /// has its own line.
    sizes: Vec<String>,
    /// What the route says of this one operation.
    note: Vec<String>,
    steps: Vec<String>,
    counts: Vec<String>,
}

impl Instructions {
    fn of(planned: &PlannedOperation, group: &Group, unit: Unit) -> Instructions {
        let Outcome { facts, settings, passes, steps, .. } = &group.outcome;
        let is_apart = settings.is_empty() && passes.is_empty();
        let said = |facts: Vec<&Fact>| -> Vec<String> {
            let each = facts.iter().map(|fact| match fact.is {
                // `5 strips from a board`
                FactAmount::Number(number) if !is_apart => numbered(number, &fact.what),
                _ => format!("{}: {}", fact.what, fact.words(unit)),
            });
            let each: Vec<String> = each.collect();
            let lines = if is_apart || each.is_empty() { each } else { vec![each.join("; ")] };
            lines.iter().map(|line| format!("{}.", capital(line))).collect()
        };
        let (counts, sizes) = facts
            .iter()
            .partition(|fact| matches!(fact.is, FactAmount::Number(_) | FactAmount::Minutes(_)));
        Instructions {
            sizes: said(sizes),
            note: planned.note.iter().cloned().collect(),
            steps: steps.clone(),
            counts: said(counts),
        }
    }
}

/// `5 strips from a board`, `1 strip from a board`.
fn numbered(number: i64, what: &str) -> String {
    let (first, rest) = what.split_once(' ').unwrap_or((what, ""));
    let one = first.strip_suffix('s').filter(|one| number == 1 && !one.ends_with('s'));
    format!("{number} {} {rest}", one.unwrap_or(first)).trim_end().to_owned()
}

/// How another tool is fitted before something is set: `First fit the 120 belt: …`.
pub fn fit_first(tool: &str) -> String {
    format!("First fit the {tool}: machine off and locked; then put the guard back on.")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `Strips from a board 5` was no sentence.
    #[test]
    fn a_number_of_things_comes_before_them() {
        assert_eq!(numbered(5, "strips from a board"), "5 strips from a board");
        assert_eq!(numbered(1, "strips from a board"), "1 strip from a board");
        assert_eq!(numbered(2, "clamps"), "2 clamps");
    }
}
