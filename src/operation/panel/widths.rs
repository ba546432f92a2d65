//! How the widths of the boards of a panel are read.

use super::super::keys::KeyValue;
use super::super::reader::{FormulaText, KeyReader, Keyed};
use super::BoardWidths;

impl KeyValue<Option<BoardWidths<FormulaText>>> for Option<BoardWidths> {
    fn parse(
        written: Option<BoardWidths<FormulaText>>,
        key: &'static str,
        reader: &mut KeyReader<'_, '_>,
    ) -> Option<Self> {
        match written {
            None => Some(None),
            Some(BoardWidths::Each(each)) => {
                KeyValue::parse(each, key, reader).map(|each| Some(BoardWidths::Each(each)))
            }
            Some(BoardWidths::Together(text)) => {
                reader.formula(key, &text).map(|all| Some(BoardWidths::Together(all)))
            }
        }
    }

    fn hold<'k>(&'k self, all: &mut Vec<&'k Keyed>) {
        match self {
            None => {}
            Some(BoardWidths::Each(each)) => all.extend(each),
            Some(BoardWidths::Together(widths)) => all.push(widths),
        }
    }
}
