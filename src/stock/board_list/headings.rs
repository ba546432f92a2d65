//! The headings of a board list: which column is where.

use std::collections::BTreeMap;

use super::column::Column;
use crate::document::table::{TextRow, TextTable};
use crate::prose::{Message, nearest, quoted};

/// The help for a list whose first line can't be understood.
pub(super) const EXAMPLE: &str =
    "the first line names the columns, such as `board,thickness,width,length,flaws`";

/// Beyond this many problems the first ones explain the rest. Chosen, not
/// measured.
pub(super) const MOST_PROBLEMS: usize = 50;

/// The columns that every list has.
const REQUIRED: [Column; 2] = [Column::Width, Column::Length];

/// The three columns that stand for `thickness`.
pub(super) const THREE_THICKNESSES: [Column; 3] =
    [Column::Thickness1, Column::Thickness2, Column::Thickness3];

/// The index of each column. Problems are reported to the list.
pub(super) fn columns(list: &mut TextTable<'_>, row: &TextRow) -> BTreeMap<Column, usize> {
    let mut columns = BTreeMap::new();
    for (index, cell) in row.cells.iter().enumerate() {
        let heading = cell.trim().to_lowercase().replace([' ', '-'], "_");
        let at = row.span(index).unwrap_or(row.whole.clone());
        if heading.is_empty() {
            let message = Message::error("a column without a heading").help(EXAMPLE);
            list.report(at, "headings", message);
            continue;
        }
        match Column::ALL.iter().find(|column| column.heading() == heading) {
            Some(column) => {
                if columns.insert(*column, index).is_some() {
                    let what = format!("two columns are headed `{heading}`");
                    list.report(at, "headings", Message::error(what).help("remove one of them"));
                }
            }
            None if heading.starts_with(|c: char| c.is_ascii_digit()) && index == 0 => {
                let message = Message::error("the first line has no headings").help(EXAMPLE);
                list.report(row.whole.clone(), "", message);
                return columns;
            }
            None => {
                let known = Column::ALL.map(Column::heading);
                let help = match nearest(&heading, known) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("the columns are {}", known.join(", ")),
                };
                let what = format!("there is no column {}", quoted(cell.trim()));
                list.report(at, "headings", Message::error(what).help(help));
            }
        }
        if list.problems.len() >= MOST_PROBLEMS {
            return columns;
        }
    }
    for message in missing_columns(&columns) {
        list.report(row.whole.clone(), "headings", message);
    }
    columns
}

/// What the columns lack, or have twice.
fn missing_columns(columns: &BTreeMap<Column, usize>) -> Vec<Message> {
    let mut found = Vec::new();
    let of_three = THREE_THICKNESSES.iter().filter(|column| columns.contains_key(column)).count();
    let one = columns.contains_key(&Column::Thickness);
    if one && of_three > 0 {
        let what = "the list has both `thickness` and `thickness_1`, `_2`, `_3`";
        let help = "keep `thickness`, one number for all three places, or keep the three";
        found.push(Message::error(what).help(help));
    } else if !one && of_three != 3 {
        let what = match of_three {
            0 => "there is no column `thickness`",
            _ => "not all of `thickness_1`, `thickness_2` and `thickness_3` are there",
        };
        let help = "give one `thickness`, or three: at the marked end, in the middle, at the far \
                    end";
        found.push(Message::error(what).help(help));
    }
    for column in REQUIRED.iter().filter(|column| !columns.contains_key(column)) {
        let what = format!("there is no column `{}`", column.heading());
        found.push(Message::error(what).help(EXAMPLE));
    }
    found
}
