//! A board list: rows of text become boards, or every problem at its line.
//! Knows nothing of where the text is from, and nothing of what is to be cut.

use std::collections::BTreeMap;
use std::ops::Range;

use csv::{ReaderBuilder, StringRecord};

use super::parse::{self, Misread, Terms};
use super::validate::{Column, Wrong, duplicate_names, validate};
use crate::document::{DocumentPlace, LARGEST, Lines, Problem};
use crate::measure::Length;
use crate::prose::{Message, nearest, quoted};
use crate::stock::board::RackBoard;

/// A board list that comes with the program: the name of its file without the
/// ending, and its text.
pub const BUNDLED: (&str, &str) =
    ("stool-boards", include_str!("../../../routes/stool-boards.csv"));

/// More boards than this are no rack, and take too long to lay out.
pub const MOST_BOARDS: usize = 300;
/// Nobody needs to know how many more rows there are.
const MOST_READ: usize = 10 * MOST_BOARDS;
/// Beyond this many, the first ones will explain the rest.
const MOST_PROBLEMS: usize = 50;

/// What a list can't do without.
const NEEDED: [Column; 2] = [Column::Width, Column::Length];
const HEADINGS: &str =
    "the first line names the columns, such as `board,thickness,width,length,flaws`";

/// Reads a board list. Columns go by their headings in any order, separated by
/// commas, semicolons or tabs.
pub fn read_board_list(text: &str, terms: &Terms) -> Result<Vec<RackBoard>, Vec<Problem>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.len() > LARGEST {
        let what = format!("a board list is no larger than {} MB", LARGEST >> 20);
        return Err(vec![at_large(what, "is this a board list?")]);
    }
    let mut list =
        List { text, lines: Lines::of(text), separator: separator(text), problems: Vec::new() };
    let mut rows = list.rows()?;
    if rows.is_empty() {
        return Err(vec![at_large("there is nothing in it", HEADINGS)]);
    }
    let headings = rows.remove(0);
    if rows.len() > MOST_BOARDS {
        let or_more = if rows.len() < MOST_READ { "" } else { " or more" };
        let what = format!("more than {MOST_BOARDS} boards: {} rows{or_more}", rows.len());
        return Err(vec![at_large(what, "list the boards this batch may be cut from")]);
    }
    let columns = list.columns(&headings);
    if !list.problems.is_empty() {
        // Every row would complain of the same.
        return Err(list.problems);
    }
    if rows.is_empty() {
        return Err(vec![at_large("there are headings but no board in it", "one board a line")]);
    }
    let mut boards = Vec::new();
    for (index, row) in rows.iter().enumerate() {
        boards.extend(list.board(row, index, &headings, &columns, terms));
        if list.problems.len() >= MOST_PROBLEMS {
            list.problems.truncate(MOST_PROBLEMS);
            let what = format!("the first {MOST_PROBLEMS} problems are shown");
            list.problems.push(at_large(what, "put them right and look again"));
            return Err(list.problems);
        }
    }
    // Only once every row made a board do their places agree with the rows'.
    if list.problems.is_empty() {
        for (index, earlier) in duplicate_names(&boards) {
            let named = columns.get(&Column::Board).and_then(|column| rows[index].field(*column));
            let at = named.unwrap_or(rows[index].whole.clone());
            let line = list.lines.place(text, rows[earlier].whole.clone()).line;
            let what = format!(
                "two boards are called {}: this one and the one in line {line}",
                quoted(&boards[index].name)
            );
            list.say(at, "board", what, Some("chalk another name on one of them".to_owned()));
        }
    }
    if list.problems.is_empty() { Ok(boards) } else { Err(list.problems) }
}

fn at_large(what: impl Into<String>, help: &str) -> Problem {
    Problem::error(what).help(help)
}

/// What stands between the columns: the first of the three that the headings
/// have any of.
fn separator(text: &str) -> u8 {
    let line = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    [b';', b'\t'].into_iter().find(|one| line.as_bytes().contains(one)).unwrap_or(b',')
}

/// One line that holds something.
struct Row {
    cells: StringRecord,
    /// Its bytes without the line end.
    whole: Range<usize>,
    /// The bytes of each cell; what is in quotes without them.
    places: Vec<Range<usize>>,
}

impl Row {
    fn field(&self, column: usize) -> Option<Range<usize>> {
        self.places.get(column).cloned()
    }
}

struct List<'t> {
    text: &'t str,
    lines: Lines,
    separator: u8,
    problems: Vec<Problem>,
}

impl List<'_> {
    fn say(
        &mut self,
        at: Range<usize>,
        path: impl Into<String>,
        what: String,
        help: Option<String>,
    ) {
        let at = Some(self.lines.place(self.text, at));
        let place = DocumentPlace { at, path: path.into() };
        self.problems.push(Message::error(what).maybe_help(help).at(place));
    }

    fn rows(&self) -> Result<Vec<Row>, Vec<Problem>> {
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(self.separator)
            .from_reader(self.text.as_bytes());
        let mut rows = Vec::new();
        let mut cells = StringRecord::new();
        loop {
            // The place of a record is where the one before it ended.
            let start = reader.position().byte() as usize;
            match reader.read_record(&mut cells) {
                Ok(true) => {}
                Ok(false) => return Ok(rows),
                Err(error) => return Err(vec![at_large(error.to_string(), HEADINGS)]),
            }
            let end = (reader.position().byte() as usize).min(self.text.len());
            if cells.iter().all(|cell| cell.trim().is_empty()) {
                continue;
            }
            let raw = &self.text.as_bytes()[start..end];
            let blank = |byte: &&u8| matches!(byte, b'\r' | b'\n');
            let start = start + raw.iter().take_while(blank).count();
            let end = end - raw.iter().rev().take_while(blank).count();
            let whole = start..end.max(start);
            let places = cell_places(self.text, whole.clone(), self.separator);
            rows.push(Row { cells: cells.clone(), whole, places });
            if rows.len() > MOST_READ {
                return Ok(rows);
            }
        }
    }

    /// Which column stands where.
    fn columns(&mut self, row: &Row) -> BTreeMap<Column, usize> {
        let mut columns = BTreeMap::new();
        for (index, cell) in row.cells.iter().enumerate() {
            let heading = cell.trim().to_lowercase().replace([' ', '-'], "_");
            let at = row.field(index).unwrap_or(row.whole.clone());
            if heading.is_empty() {
                let what = "a column without a heading".to_owned();
                self.say(at, "headings", what, Some(HEADINGS.to_owned()));
                continue;
            }
            match Column::ALL.iter().find(|column| column.heading() == heading) {
                Some(column) => {
                    if columns.insert(*column, index).is_some() {
                        let what = format!("two columns are headed `{heading}`");
                        self.say(at, "headings", what, Some("leave one of them out".to_owned()));
                    }
                }
                None if heading.starts_with(|c: char| c.is_ascii_digit()) && index == 0 => {
                    let what = "the first line holds no headings".to_owned();
                    self.say(row.whole.clone(), "", what, Some(HEADINGS.to_owned()));
                    return columns;
                }
                None => {
                    let known = Column::ALL.map(Column::heading);
                    let help = match nearest(&heading, known) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("the columns are {}", known.join(", ")),
                    };
                    let what = format!("there is no column {}", quoted(cell.trim()));
                    self.say(at, "headings", what, Some(help));
                }
            }
            if self.problems.len() >= MOST_PROBLEMS {
                return columns;
            }
        }
        let three = [Column::Thickness1, Column::Thickness2, Column::Thickness3];
        let of_three = three.iter().filter(|column| columns.contains_key(column)).count();
        let one = columns.contains_key(&Column::Thickness);
        let whole = row.whole.clone();
        if one && of_three > 0 {
            let what = "both `thickness` and `thickness_1`, `_2`, `_3`".to_owned();
            let help = "`thickness` is one number for all three: leave it or them out".to_owned();
            self.say(whole.clone(), "headings", what, Some(help));
        } else if !one && of_three != 3 {
            let what = match of_three {
                0 => "there is no column `thickness`".to_owned(),
                _ => {
                    "of `thickness_1`, `thickness_2` and `thickness_3` not all are there".to_owned()
                }
            };
            let help = "give one `thickness`, or three: at the marked end, in the middle, at the \
                        far end";
            self.say(whole.clone(), "headings", what, Some(help.to_owned()));
        }
        for column in NEEDED {
            if !columns.contains_key(&column) {
                let what = format!("there is no column `{}`", column.heading());
                self.say(whole.clone(), "headings", what, Some(HEADINGS.to_owned()));
            }
        }
        columns
    }

    /// The board of one row; `None` after a problem.
    fn board(
        &mut self,
        row: &Row,
        index: usize,
        headings: &Row,
        columns: &BTreeMap<Column, usize>,
        terms: &Terms,
    ) -> Option<RackBoard> {
        let before = self.problems.len();
        if row.cells.len() != headings.cells.len() {
            let counted = |count, what: &str| match count {
                1 => format!("1 {what}"),
                _ => format!("{count} {what}s"),
            };
            let what = format!(
                "{} here, under {}",
                counted(row.cells.len(), "field"),
                counted(headings.cells.len(), "heading")
            );
            let sign = match self.separator {
                b';' => "`;`",
                b'\t' => "a tab",
                _ => "`,`, as a decimal may,",
            };
            let help = if row.cells.len() > headings.cells.len() {
                format!("a field that holds {sign} stands in double quotes")
            } else {
                "an empty field keeps its place; or a double quote was opened and not closed"
                    .to_owned()
            };
            self.say(first_line(self.text, &row.whole), "", what, Some(help));
            return None;
        }
        let cell = |column| columns.get(&column).and_then(|at| row.cells.get(*at));
        let cell = |column| cell(column).unwrap_or_default();
        let name = match cell(Column::Board).trim() {
            "" => Ok((index + 1).to_string()),
            _ => parse::parse_name(cell(Column::Board)),
        };
        let path = |name: &str| format!("board {name}");
        let of_board = path(name.as_deref().unwrap_or(&(index + 1).to_string()));
        let mut fields = Fields { list: self, row, columns, board: &of_board };

        let name = fields.take(Column::Board, name);
        let species = match (cell(Column::Species).trim(), &terms.wood) {
            ("", Some(wood)) => Some(wood.clone()),
            ("", None) if !columns.contains_key(&Column::Species) => {
                let what = "which wood it is stands nowhere".to_owned();
                let help = "give the list a column `species`: the route has several woods";
                let first = index == 0;
                if first {
                    fields.list.say(
                        headings.whole.clone(),
                        "headings",
                        what,
                        Some(help.to_owned()),
                    );
                }
                None
            }
            (text, _) => fields.take(Column::Species, terms.species(text)),
        };
        let class = fields.take(Column::Class, parse::parse_class(cell(Column::Class)));
        let mut size = |column| fields.take(column, parse::parse_size(cell(column), terms.unit));
        let thickness = if columns.contains_key(&Column::Thickness) {
            size(Column::Thickness).map(|all| [all; 3])
        } else {
            let three = [Column::Thickness1, Column::Thickness2, Column::Thickness3].map(size);
            match three {
                [Some(near), Some(middle), Some(far)] => Some([near, middle, far]),
                _ => None,
            }
        };
        let mut size = |column| fields.take(column, parse::parse_size(cell(column), terms.unit));
        let (width, length) = (size(Column::Width), size(Column::Length));
        let mut depth = |column| match cell(column).trim() {
            "" => Some(Length::ZERO),
            _ => fields.take(column, parse::parse_size(cell(column), terms.unit)),
        };
        let hollow = [Column::Cup, Column::Bow, Column::Wind].map(&mut depth);
        let moisture = match cell(Column::Moisture).trim() {
            "" => Some(None),
            _ => fields
                .take(Column::Moisture, parse::parse_moisture(cell(Column::Moisture)).map(Some)),
        };
        let flaws = match parse::parse_flaws(cell(Column::Flaws), terms.unit) {
            Ok(flaws) => Some(flaws),
            Err(all) => {
                for misread in all {
                    fields.take::<()>(Column::Flaws, Err(misread));
                }
                None
            }
        };
        let [cup, bow, wind] = hollow;
        let board = RackBoard {
            name: name?,
            species: species?,
            class: class?,
            thickness: thickness?,
            width: width?,
            length: length?,
            cup: cup?,
            bow: bow?,
            wind: wind?,
            moisture: moisture?,
            flaws: flaws?,
        };
        for problem in validate(&board, terms.unit) {
            self.wrong(row, columns, &of_board, problem);
        }
        (self.problems.len() == before).then_some(board)
    }

    /// What is wrong with a board at the field it stands in.
    fn wrong(&mut self, row: &Row, columns: &BTreeMap<Column, usize>, board: &str, wrong: Wrong) {
        let column = match wrong.column {
            Column::Thickness1 | Column::Thickness2 | Column::Thickness3
                if columns.contains_key(&Column::Thickness) =>
            {
                Column::Thickness
            }
            other => other,
        };
        let field = columns.get(&column).and_then(|at| row.field(*at));
        let mut at = field.unwrap_or(row.whole.clone());
        if let Some(flaw) = wrong.flaw {
            // The parts of the field that hold a flaw, in order.
            let mut start = at.start;
            let parts = self.text[at.clone()].split(';').filter_map(|part| {
                let span =
                    start + part.len() - part.trim_start().len()..start + part.trim_end().len();
                start += part.len() + 1;
                (span.start < span.end).then_some(span)
            });
            at = parts.collect::<Vec<_>>().get(flaw).cloned().unwrap_or(at);
        }
        let path = format!("{board}, {}", column.heading());
        self.say(at, path, wrong.what, wrong.help);
    }
}

/// The fields of one row, read one after the other.
struct Fields<'l, 't> {
    list: &'l mut List<'t>,
    row: &'l Row,
    columns: &'l BTreeMap<Column, usize>,
    board: &'l str,
}

impl Fields<'_, '_> {
    /// What was read; or `None`, and the problem at its place.
    fn take<T>(&mut self, column: Column, read: Result<T, Misread>) -> Option<T> {
        let misread = match read {
            Ok(value) => return Some(value),
            Err(misread) => misread,
        };
        let index = self.columns.get(&column).copied();
        let field = index.and_then(|index| self.row.field(index)).unwrap_or(self.row.whole.clone());
        let cell = index.and_then(|index| self.row.cells.get(index)).unwrap_or_default();
        // Doubled quotes move what follows them: then the whole field is meant.
        let inside = field.start + misread.at.start..field.start + misread.at.end;
        let same = self.list.text.get(field.clone()) == Some(cell);
        let at = if same && inside.end <= field.end && inside.start < inside.end {
            inside
        } else {
            field
        };
        let path = format!("{}, {}", self.board, column.heading());
        self.list.say(at, path, misread.what, misread.help);
        None
    }
}

/// A row's first line: one with an open quote may go on to the end of the file.
fn first_line(text: &str, whole: &Range<usize>) -> Range<usize> {
    let end = text[whole.clone()].find(['\r', '\n']).map_or(whole.end, |end| whole.start + end);
    whole.start..end
}

/// Where each cell of a row stands, what is in quotes without them.
fn cell_places(text: &str, row: Range<usize>, separator: u8) -> Vec<Range<usize>> {
    let bytes = text.as_bytes();
    let mut places = Vec::new();
    let mut at = row.start;
    loop {
        let quoted = at < row.end && bytes[at] == b'"';
        let start = if quoted { at + 1 } else { at };
        let mut end = start;
        if quoted {
            while end < row.end && (bytes[end] != b'"' || bytes.get(end + 1) == Some(&b'"')) {
                end += if bytes[end] == b'"' { 2 } else { 1 };
            }
            at = end.min(row.end);
        }
        let end = end.min(row.end);
        while at < row.end && bytes[at] != separator {
            at += 1;
        }
        places.push(start..if quoted { end } else { at });
        if at >= row.end {
            return places;
        }
        at += 1;
    }
}
