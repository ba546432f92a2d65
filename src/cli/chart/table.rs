//! Finds the column of readings in a CSV file and reads it.

use csv::{ReaderBuilder, StringRecord, Trim};

use super::super::source::{LARGEST_TABLE, SourceText};
use super::Failure;
use super::numbers::NumberFormat;
use crate::measure::Unit;
use crate::prose::{Message, quoted};

/// The readings of one column, in the order of the file.
pub(super) struct ChartReadings {
    file: String,
    /// The heading of the column, if there is one.
    pub(super) heading: Option<String>,
    pub(super) values: Vec<f64>,
    /// Whether the values are deviations, each from its own target.
    pub(super) from_targets: bool,
    /// The part of each reading, where a column names it.
    pub(super) parts: Option<Vec<String>>,
}

impl ChartReadings {
    /// The readings of a batch at a machine, each minus its own target.
    pub(super) fn of_batch(batch: &str, machine: &str, values: Vec<f64>) -> ChartReadings {
        let heading = Some(machine.to_owned());
        ChartReadings { file: batch.to_owned(), heading, values, from_targets: true, parts: None }
    }

    pub(super) fn refused(&self, what: &str, help: &str) -> Failure {
        refused(&self.file, None, what, help)
    }
}

fn refused(file: &str, line: Option<usize>, what: impl Into<String>, help: &str) -> Failure {
    let help = (!help.is_empty()).then(|| help.to_owned());
    let why = Message::error(what).maybe_help(help).at(line);
    Failure::Readings { file: file.to_owned(), why }
}

struct ChartRow {
    line: usize,
    cells: StringRecord,
}

/// The rows that are not empty, and how their numbers are written.
struct ChartTable<'s> {
    file: &'s str,
    rows: Vec<ChartRow>,
    headings: Option<ChartRow>,
    width: usize,
    numbers: NumberFormat,
}

pub(super) fn read(
    source: &SourceText,
    column: Option<&str>,
    part: Option<&str>,
    unit: Option<Unit>,
) -> Result<ChartReadings, Failure> {
    if source.text.len() > LARGEST_TABLE {
        let what = format!("the file is larger than {} MB", LARGEST_TABLE >> 20);
        return Err(refused(&source.name, None, what, "chart part of it"));
    }
    let text = source.text.trim_start_matches('\u{feff}');
    let table = ChartTable::of(&source.name, text, column, unit)?;
    let (at, target) = table.columns(column)?;
    let readings = table.rows.iter().map(|row| {
        let value = table.number(row, at, "reading")?;
        match target {
            Some(target) => Ok(value - table.number(row, target, "target")?),
            None => Ok(value),
        }
    });
    let values = readings.collect::<Result<Vec<_>, Failure>>()?;
    if values.is_empty() {
        let what = "it holds no readings";
        return Err(refused(&source.name, None, what, "write one reading per line"));
    }
    let heading = table.headings.as_ref().and_then(|row| row.cells.get(at));
    Ok(ChartReadings {
        file: source.name.clone(),
        heading: heading.filter(|heading| !heading.is_empty()).map(str::to_owned),
        values,
        from_targets: target.is_some(),
        parts: part.map(|part| table.parts(part, target)).transpose()?,
    })
}

impl<'s> ChartTable<'s> {
    fn of(
        file: &'s str,
        text: &str,
        column: Option<&str>,
        unit: Option<Unit>,
    ) -> Result<ChartTable<'s>, Failure> {
        let separator = match separator(text) {
            ',' if column.is_none() && one_column(text, unit) => '\t',
            separator => separator,
        };
        let numbers = NumberFormat { unit, comma: separator != ',' };
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .trim(Trim::All)
            .delimiter(separator as u8)
            .from_reader(text.as_bytes());
        let mut rows = Vec::new();
        let (mut counted, mut line) = (0, 1);
        for record in reader.records() {
            let cells = record.map_err(|error| refused(file, None, error.to_string(), ""))?;
            // A record's position is where the previous one ended, before any blank lines.
            let start = cells.position().map_or(0, |position| position.byte() as usize);
            let blank = text.as_bytes()[start..].iter().take_while(|b| b"\r\n".contains(*b));
            let start = start + blank.count();
            line += text.as_bytes()[counted..start].iter().filter(|b| **b == b'\n').count();
            counted = start;
            if cells.iter().any(|cell| !cell.is_empty()) {
                rows.push(ChartRow { line, cells });
            }
        }
        let headed = rows.first().is_some_and(|row| is_headings(&row.cells, numbers));
        let headings = headed.then(|| rows.remove(0));
        let width = rows.iter().chain(&headings).map(|row| row.cells.len()).max().unwrap_or(0);
        Ok(ChartTable { file, rows, headings, width, numbers })
    }

    /// What the column of parts says in each row. Sizes of different parts are only alike as
    /// deviations from their targets.
    fn parts(&self, asked: &str, target: Option<usize>) -> Result<Vec<String>, Failure> {
        let refused = |what: String, help: &str| refused(self.file, None, what, help);
        if target.is_none() {
            let help = "give each reading its target in a column headed `target`";
            return Err(refused("different parts need their targets".to_owned(), help));
        }
        let at = self.headed(asked.trim()).ok_or_else(|| {
            let what = format!("there is no column headed {}", quoted(asked));
            refused(what, "name the column that says which part a reading is of")
        })?;
        let name = |row: &ChartRow| row.cells.get(at).unwrap_or_default().to_owned();
        Ok(self.rows.iter().map(name).collect())
    }

    /// The column of the readings, and the column of their targets if there is one.
    fn columns(&self, asked: Option<&str>) -> Result<(usize, Option<usize>), Failure> {
        let Some(asked) = asked else {
            return match (self.headed("value"), self.headed("target"), self.width) {
                (Some(value), target, _) => Ok((value, target)),
                (None, _, 0 | 1) => Ok((0, None)),
                (None, _, width) => Err(self.which(&format!("the file has {width} columns"))),
            };
        };
        let asked = asked.trim();
        if let Some(at) = self.headed(asked) {
            return Ok((at, None));
        }
        match asked.parse::<usize>() {
            Ok(n) if (1..=self.width).contains(&n) => Ok((n - 1, None)),
            _ => Err(self.which(&format!("there is no column {}", quoted(asked)))),
        }
    }

    fn names(&self) -> impl Iterator<Item = &str> {
        self.headings.iter().flat_map(|row| row.cells.iter())
    }

    fn headed(&self, name: &str) -> Option<usize> {
        let exact = self.names().position(|heading| heading == name);
        exact.or_else(|| self.names().position(|heading| heading.eq_ignore_ascii_case(name)))
    }

    fn which(&self, what: &str) -> Failure {
        let help = if self.headings.is_some() {
            let names: Vec<String> = self.names().map(quoted).collect();
            format!("choose one of {} with --column", names.join(", "))
        } else if self.width > 1 {
            let comma = "with decimal commas, separate columns by semicolons";
            format!("choose one by its number, 1 to {}, with --column; {comma}", self.width)
        } else {
            "the file has one column and no headings; omit --column".to_owned()
        };
        refused(self.file, None, what, &help)
    }

    fn number(&self, row: &ChartRow, at: usize, what: &str) -> Result<f64, Failure> {
        match row.cells.get(at).filter(|cell| !cell.is_empty()) {
            Some(cell) => self.numbers.read(cell).map_err(|Message { what, help, .. }| {
                let cell = quoted(cell);
                let what = if what.contains(&cell) { what } else { format!("{cell}: {what}") };
                refused(self.file, Some(row.line), what, &help.unwrap_or_default())
            }),
            None => {
                let what = format!("the {what} is missing here");
                Err(refused(self.file, Some(row.line), what, "remove the line, or fill it in"))
            }
        }
    }
}

/// The separator of columns: semicolon, tab or comma, whichever the first such line has.
fn separator(text: &str) -> char {
    let line = text.lines().find(|line| line.contains([';', '\t', ','])).unwrap_or_default();
    [';', '\t'].into_iter().find(|separator| line.contains(*separator)).unwrap_or(',')
}

/// Whether every line is one number with a decimal comma: `12,5 mm` is not two whole
/// numbers. Without a unit this needs a heading without a comma.
fn one_column(text: &str, unit: Option<Unit>) -> bool {
    let numbers = NumberFormat { unit, comma: true };
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty()).peekable();
    let headed = lines.next_if(|line| !line.contains(',') && numbers.read(line).is_err());
    (unit.is_some() || headed.is_some())
        && lines.peek().is_some()
        && lines.all(|line| numbers.read(line).is_ok())
}

/// Whether every cell is a word and none looks like a mistyped number: a first reading with
/// a typing error must not pass for a heading.
fn is_headings(cells: &StringRecord, numbers: NumberFormat) -> bool {
    let word = |cell: &str| {
        let mended = cell.replace(['O', 'o'], "0").replace(['I', 'l'], "1");
        cell.starts_with(char::is_alphabetic)
            && [cell, mended.as_str()]
                .iter()
                .all(|cell| numbers.read(cell).is_err() && cell.parse::<f64>().is_err())
    };
    let mut filled = cells.iter().filter(|cell| !cell.is_empty()).peekable();
    filled.peek().is_some() && filled.all(word)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Always: No typed text makes the program panic.
        #[test]
        fn random_text_never_panics(
            text in any::<String>(),
            near in "[0-9.,;\t\n\r\"a /'±-]{0,60}",
            column in prop::option::of("[a1-3]"),
        ) {
            for text in [text, near] {
                for unit in [None, Some(Unit::Inch)] {
                    let source = SourceText { name: "it".to_owned(), text: text.clone() };
                    if let Ok(readings) = read(&source, column.as_deref(), None, unit) {
                        prop_assert!(!readings.values.is_empty());
                        prop_assert!(readings.values.iter().all(|value| value.is_finite()));
                    }
                }
            }
        }
    }
}
