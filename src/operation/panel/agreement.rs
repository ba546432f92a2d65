//! Whether the keys of a panel agree with its pattern.

use super::super::reader::{FormulaText, KeyReader};
use super::{BoardWidths, PanelKeys, PanelPattern};

/// More boards than this are no panel.
const MOST_BOARDS: usize = 500;

/// Whether every key the pattern needs is given; reports those that are not.
pub(super) fn complete(reader: &mut KeyReader<'_, '_>, keys: &PanelKeys<FormulaText>) -> bool {
    let needed: &[(&str, bool, &str)] = match keys.pattern {
        PanelPattern::Plain => return plain_is_complete(reader, keys),
        PanelPattern::Striped => &[
            ("columns", keys.columns.is_some(), "how many strips"),
            ("square", keys.square.is_some(), "the width of one strip"),
        ],
        PanelPattern::Checkered => &[
            ("rows", keys.rows.is_some(), "how many rows"),
            ("square", keys.square.is_some(), "the width of one row as cut"),
        ],
    };
    for (key, given, what) in needed {
        if !given {
            reader.problem(key, format!("`{key}` is missing: {what}"), None);
        }
    }
    needed.iter().all(|(_, given, _)| *given)
}

fn plain_is_complete(reader: &mut KeyReader<'_, '_>, keys: &PanelKeys<FormulaText>) -> bool {
    let (key, what, help) = match &keys.boards {
        None => {
            let help = "\"boards\": [\"4\", \"3 3/4\"]".to_owned();
            ("boards", "`boards` is missing: their widths".to_owned(), Some(help))
        }
        Some(BoardWidths::Each(each)) if each.is_empty() || each.len() > MOST_BOARDS => {
            ("boards", format!("a panel is glued from 1 to {MOST_BOARDS} boards"), None)
        }
        Some(BoardWidths::Each(_)) if keys.count.is_some() => {
            ("count", "the boards are listed one by one: no count is needed".to_owned(), None)
        }
        Some(BoardWidths::Together(_)) if keys.count.is_none() => {
            let help = "\"count\": 4, or list each board's width".to_owned();
            ("boards", "the number of boards is missing".to_owned(), Some(help))
        }
        Some(_) => return true,
    };
    reader.problem(key, what, help);
    false
}

/// Reports keys of another pattern, which would be read and never used.
pub(super) fn refuse_foreign(reader: &mut KeyReader<'_, '_>, keys: &PanelKeys<FormulaText>) {
    use PanelPattern::{Checkered, Plain, Striped};
    let given: [(&str, bool, &[PanelPattern]); 8] = [
        ("boards", keys.boards.is_some(), &[Plain]),
        ("count", keys.count.is_some(), &[Plain]),
        ("columns", keys.columns.is_some(), &[Striped]),
        ("rows", keys.rows.is_some(), &[Checkered]),
        ("square", keys.square.is_some(), &[Striped, Checkered]),
        ("extra", keys.extra.is_some(), &[Striped]),
        ("board", keys.board.is_some(), &[Striped]),
        ("turned", keys.turned.is_some(), &[Striped]),
    ];
    for (key, is_given, patterns) in given {
        if is_given && !patterns.contains(&keys.pattern) {
            reader.problem(key, format!("`{key}` is not used with this pattern"), None);
        }
    }
}
