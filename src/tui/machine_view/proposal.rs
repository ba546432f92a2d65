//! What follows from a measured size, as the lead reads it before accepting.

use crate::plan::Change;
use crate::work::KeepOption;

/// Collisions first, then each setting that changes.
pub(super) fn proposal_lines(kept: &KeepOption) -> Vec<String> {
    let mut lines = Vec::new();
    for collision in &kept.collisions {
        lines.push(format!("COLLISION op {}: {}", collision.place, collision.what));
        lines.extend(collision.help.iter().map(|fix| format!("  {fix}")));
    }
    for change in &kept.changes {
        let was =
            if change.was_text.is_empty() { "new".to_owned() } else { change.was_text.clone() };
        let why = change.why.split(" <-").next().unwrap_or_default();
        let why = if why.is_empty() { String::new() } else { format!(", for {why}") };
        let Change { op, part, what, now_text, .. } = change;
        lines.push(format!("op {op} {part}: {what} {was} -> {now_text}{why}"));
    }
    lines
}

/// `8 settings change, 30 stay.`
pub(super) fn summary(kept: &KeepOption) -> String {
    let changed = match kept.changes.len() {
        1 => "1 setting changes".to_owned(),
        changed => format!("{changed} settings change"),
    };
    format!("{changed}, {} stay.", kept.unchanged)
}
