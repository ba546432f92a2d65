//! A board list: rows of text become boards, or every problem at its place.

use super::column::Column;
use super::fields::Fields;
use super::headings::{EXAMPLE, MOST_PROBLEMS, columns};
use super::terms::Terms;
use super::validate::duplicate_names;
use crate::document::table::{TextRow, TextTable, of_the_table};
use crate::document::{LARGEST, Problem};
use crate::prose::{Message, quoted};
use crate::stock::board::RackBoard;

/// A longer list is not what one rack holds, and takes longer to lay out than
/// anybody waits. Chosen, not measured.
const MOST_BOARDS: usize = 300;

/// Reading stops after this many rows: enough to say how far a list is over.
const MOST_ROWS: usize = 10 * MOST_BOARDS;

/// A board list that comes with the program: the name of its file without the
/// ending, and its text.
pub const BUNDLED: (&str, &str) =
    ("stool-boards", include_str!("../../../routes/stool-boards.csv"));

/// Reads a board list. The headings name the columns, in any order; commas,
/// semicolons or tabs separate them. The error has every problem found.
pub fn read_board_list(text: &str, terms: &Terms) -> Result<Vec<RackBoard>, Vec<Problem>> {
    let refused = |message: Message| Err(vec![of_the_table(message)]);
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.len() > LARGEST {
        let what = format!("a board list has at most {} MB", LARGEST >> 20);
        return refused(Message::error(what).help("is this a board list?"));
    }
    let mut list = TextTable::of(text);
    let mut rows = match list.rows(MOST_ROWS) {
        Ok(rows) => rows,
        Err(error) => return refused(error.help(EXAMPLE)),
    };
    if rows.is_empty() {
        return refused(Message::error("the list is empty").help(EXAMPLE));
    }
    let headings = rows.remove(0);
    if rows.len() > MOST_BOARDS {
        let or_more = if rows.len() < MOST_ROWS { "" } else { " or more" };
        let what = format!("more than {MOST_BOARDS} boards: {} rows{or_more}", rows.len());
        return refused(Message::error(what).help("list only boards this batch can be cut from"));
    }
    let columns = columns(&mut list, &headings);
    if !list.problems.is_empty() {
        // Every row would repeat the same problems.
        return Err(list.problems);
    }
    if rows.is_empty() {
        let what = "the list has headings but no boards";
        return refused(Message::error(what).help("write one board on each line"));
    }
    let mut boards = Vec::new();
    for indexed in rows.iter().enumerate() {
        boards.extend(Fields::new(&mut list, &headings, &columns, terms, indexed).board());
        if list.problems.len() >= MOST_PROBLEMS {
            list.problems.truncate(MOST_PROBLEMS);
            let what = format!("the first {MOST_PROBLEMS} problems are shown");
            let rest = Message::error(what).help("correct them and check again");
            list.problems.push(of_the_table(rest));
            return Err(list.problems);
        }
    }
    if list.problems.is_empty() {
        // Only now does every row have its board, at the same index.
        let name_column = columns.get(&Column::Board).copied();
        report_duplicates(&mut list, &rows, name_column, &boards);
    }
    if list.problems.is_empty() { Ok(boards) } else { Err(list.problems) }
}

/// Reports every board whose name an earlier one has.
fn report_duplicates(
    list: &mut TextTable<'_>,
    rows: &[TextRow],
    name_column: Option<usize>,
    boards: &[RackBoard],
) {
    for (index, earlier) in duplicate_names(boards) {
        let named = name_column.and_then(|column| rows[index].span(column));
        let at = named.unwrap_or(rows[index].whole.clone());
        let line = list.line(rows[earlier].whole.clone());
        let what = format!(
            "two boards are called {}: this one and the one in line {line}",
            quoted(&boards[index].name)
        );
        list.report(at, "board", Message::error(what).help("give one of them another name"));
    }
}
