//! One row of a board list becomes a board, or every problem at its field.

use std::collections::BTreeMap;
use std::ops::Range;

use super::answer::{parse_moisture, parse_name, parse_size};
use super::column::{BoardField, Column};
use super::flaw_text::parse_flaws;
use super::headings::THREE_THICKNESSES;
use super::terms::Terms;
use super::validate::validate;
use crate::document::table::{TextRow, TextTable};
use crate::measure::Length;
use crate::prose::{Message, Span};
use crate::stock::board::{Flaw, RackBoard};

/// A row under its headings.
pub(super) struct Fields<'l, 't> {
    pub list: &'l mut TextTable<'t>,
    pub headings: &'l TextRow,
    pub columns: &'l BTreeMap<Column, usize>,
    pub terms: &'l Terms,
    pub row: &'l TextRow,
    /// Which of the rows, from 0.
    pub index: usize,
    /// The board's name as problems give it.
    path: String,
}

impl<'l, 't> Fields<'l, 't> {
    pub(super) fn new(
        list: &'l mut TextTable<'t>,
        headings: &'l TextRow,
        columns: &'l BTreeMap<Column, usize>,
        terms: &'l Terms,
        (index, row): (usize, &'l TextRow),
    ) -> Fields<'l, 't> {
        Fields { list, headings, columns, terms, row, index, path: String::new() }
    }

    /// The board of the row; `None` after a problem.
    pub(super) fn board(mut self) -> Option<RackBoard> {
        let before = self.list.problems.len();
        if self.row.cells.len() != self.headings.cells.len() {
            self.wrong_count();
            return None;
        }
        let name = match self.cell(Column::Board).trim() {
            "" => Ok((self.index + 1).to_string()),
            _ => parse_name(self.cell(Column::Board)),
        };
        let in_words = name.clone().unwrap_or_else(|_| (self.index + 1).to_string());
        self.path = format!("board {in_words}");
        // Every field is read before the first problem ends it, so that all of
        // a row's problems show at once.
        let name = self.take(Column::Board, name);
        let species = self.species();
        let class = self.take(Column::Class, self.terms.class(self.cell(Column::Class)));
        let thickness = self.thickness();
        let (width, length) = (self.size(Column::Width), self.size(Column::Length));
        let [cup, bow, wind] =
            [Column::Cup, Column::Bow, Column::Wind].map(|column| self.depth(column));
        let moisture = match self.cell(Column::Moisture).trim() {
            "" => Some(None),
            text => {
                let read = parse_moisture(text).map(Some);
                self.take(Column::Moisture, read)
            }
        };
        let flaws = self.flaws();
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
        for problem in validate(&board, self.terms.unit) {
            self.report(problem);
        }
        (self.list.problems.len() == before).then_some(board)
    }

    /// Reports a row with more or fewer fields than there are headings.
    fn wrong_count(&mut self) {
        let counted = |count, what: &str| match count {
            1 => format!("1 {what}"),
            _ => format!("{count} {what}s"),
        };
        let (fields, headings) = (self.row.cells.len(), self.headings.cells.len());
        let what = format!(
            "this row has {}, but the list has {}",
            counted(fields, "field"),
            counted(headings, "heading")
        );
        let sign = match self.list.separator {
            b';' => "`;`",
            b'\t' => "a tab",
            _ => "`,`, such as a decimal comma,",
        };
        let help = match fields > headings {
            true => format!("put a field that contains {sign} in double quotes"),
            false => "keep the separators of empty fields, and close every double quote".to_owned(),
        };
        let line = self.list.first_line(self.row);
        self.list.report(line, "", Message::error(what).help(help));
    }

    fn cell(&self, column: Column) -> &'l str {
        let cell = self.columns.get(&column).and_then(|at| self.row.cells.get(*at));
        cell.unwrap_or_default()
    }

    fn species(&mut self) -> Option<String> {
        let text = self.cell(Column::Species);
        match (text.trim(), &self.terms.wood) {
            ("", Some(wood)) => Some(wood.clone()),
            ("", None) if !self.columns.contains_key(&Column::Species) => {
                // It is the same for every row, so the first row reports it.
                if self.index == 0 {
                    let message = Message::error("the list does not say which wood it is")
                        .help("add a column `species`: the route uses several woods");
                    self.list.report(self.headings.whole.clone(), "headings", message);
                }
                None
            }
            (text, _) => {
                let read = self.terms.species(text);
                self.take(Column::Species, read)
            }
        }
    }

    fn thickness(&mut self) -> Option<[Length; 3]> {
        if self.columns.contains_key(&Column::Thickness) {
            return self.size(Column::Thickness).map(|all| [all; 3]);
        }
        let three = THREE_THICKNESSES.map(|column| self.size(column));
        let [Some(near), Some(middle), Some(far)] = three else { return None };
        Some([near, middle, far])
    }

    fn size(&mut self, column: Column) -> Option<Length> {
        let read = parse_size(self.cell(column), self.terms.unit);
        self.take(column, read)
    }

    /// A size that is zero where the field is empty.
    fn depth(&mut self, column: Column) -> Option<Length> {
        match self.cell(column).trim() {
            "" => Some(Length::ZERO),
            _ => self.size(column),
        }
    }

    fn flaws(&mut self) -> Option<Vec<Flaw>> {
        match parse_flaws(self.cell(Column::Flaws), self.terms.unit) {
            Ok(flaws) => Some(flaws),
            Err(all) => {
                for error in all {
                    self.take::<()>(Column::Flaws, Err(error));
                }
                None
            }
        }
    }

    /// What was read; or `None` after reporting the problem at its place.
    fn take<T>(&mut self, column: Column, read: Result<T, Message<Span>>) -> Option<T> {
        let error = match read {
            Ok(value) => return Some(value),
            Err(error) => error,
        };
        let index = self.columns.get(&column).copied();
        let field = index.and_then(|index| self.row.span(index)).unwrap_or(self.row.whole.clone());
        let cell = index.and_then(|index| self.row.cells.get(index)).unwrap_or_default();
        // A doubled quote moves the text after it, so then the problem is
        // shown at the whole field.
        let inside = field.start + error.place.start..field.start + error.place.end;
        let same = self.list.text.get(field.clone()) == Some(cell);
        let at = if same && inside.end <= field.end && inside.start < inside.end {
            inside
        } else {
            field
        };
        let path = format!("{}, {}", self.path, column.heading());
        self.list.report(at, path, error.anywhere());
        None
    }

    /// Reports a problem with the board at the field it is about.
    fn report(&mut self, problem: Message<BoardField>) {
        let BoardField { column, flaw } = problem.place;
        let is_one = self.columns.contains_key(&Column::Thickness);
        let column = match THREE_THICKNESSES.contains(&column) && is_one {
            true => Column::Thickness,
            false => column,
        };
        let field = self.columns.get(&column).and_then(|at| self.row.span(*at));
        let field = field.unwrap_or(self.row.whole.clone());
        let at = flaw.and_then(|flaw| flaw_span(self.list.text, &field, flaw)).unwrap_or(field);
        let path = format!("{}, {}", self.path, column.heading());
        self.list.report(at, path, problem.anywhere());
    }
}

/// The bytes of one flaw within the field of a board's flaws.
fn flaw_span(text: &str, field: &Range<usize>, flaw: usize) -> Option<Range<usize>> {
    let mut start = field.start;
    let parts = text[field.clone()].split(';').filter_map(|part| {
        let span = start + part.len() - part.trim_start().len()..start + part.trim_end().len();
        start += part.len() + 1;
        (span.start < span.end).then_some(span)
    });
    parts.collect::<Vec<_>>().get(flaw).cloned()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// In `7,knot 3; split 5 ;;end` the field begins at byte 2: `knot 3` is 2 to 8,
    /// after the semicolon and a blank `split 5` is 10 to 17, nothing is between the
    /// next two, and `end` is 20 to 23.
    #[test]
    fn each_flaw_has_its_place_in_the_field() {
        let text = "7,knot 3; split 5 ;;end";
        let at = |flaw| flaw_span(text, &(2..text.len()), flaw);
        assert_eq!([at(0), at(1), at(2), at(3)], [Some(2..8), Some(10..17), Some(20..23), None]);
    }
}
