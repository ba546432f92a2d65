//! Text to expression to value, with its physical dimension and exact
//! derivative. It must not know parts, machines or files.
//!
//! Formulas compute in floating point and become lengths by one rounding:
//! division and sines have no exact answer, and one rounding can be stated.
//! Exact fractions with special cases were rejected.

mod dimension_kind;
mod error;
mod evaluate;
mod expression;
mod program;
#[cfg(test)]
mod tests;
mod token;
mod value;
mod web;

pub use dimension_kind::DimensionKind;
pub use error::unknown_name;
pub use evaluate::Scope;
pub use program::Program;
pub use value::{Kind, Value};
pub use web::{Definition, Planned, Web, WebProblem};

use crate::measure::Unit;
use crate::prose::{Message, Span};
use error::wrong;
use expression::Expression;

/// A formula as it was typed, and what it means.
#[derive(Clone, Debug, PartialEq)]
pub struct Formula {
    text: String,
    unit: Unit,
    names: Vec<Span>,
    whole: Expression,
}

impl Formula {
    /// Reads a formula; `unit` is what its bare numbers stand for where a length is meant.
    pub fn parse(text: &str, unit: Unit) -> Result<Formula, Message<Span>> {
        let (whole, names) = expression::parse(text)?;
        Ok(Formula { text: text.to_owned(), unit, names, whole })
    }

    /// The text as it was typed.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The unit its bare numbers stand for.
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// Every use of a name, in reading order, with its bytes in the text.
    pub fn names(&self) -> impl Iterator<Item = (&str, Span)> {
        self.names.iter().map(|at| (&self.text[at.clone()], at.clone()))
    }

    /// Computes the formula. A result that is still a bare number says so in its `bare` field.
    pub fn evaluate(&self, scope: &dyn Scope) -> Result<Value, Message<Span>> {
        let value = evaluate::evaluate(self, &self.whole, scope)?;
        self.refuse_too_long(value)
    }

    /// Computes the formula where a length, an angle or a count is wanted: a
    /// bare number becomes one (for an angle, in degrees); anything else is refused.
    pub fn evaluate_as(
        &self,
        kind: DimensionKind,
        scope: &dyn Scope,
    ) -> Result<Value, Message<Span>> {
        let value = self.evaluate(scope)?;
        let value = match kind {
            DimensionKind::Length => value.measured_in(self.unit),
            DimensionKind::Angle if value.bare => value.as_degrees(),
            DimensionKind::Angle | DimensionKind::Count => Value { bare: false, ..value },
        };
        if value.kind != kind.kind() {
            let what = format!("this must be {}, but it is {}", kind, value.kind);
            let help = match (kind, value.kind) {
                (DimensionKind::Length, Kind::PLAIN) => {
                    Some(format!("multiply it by a length, such as `1{}`", self.unit))
                }
                (DimensionKind::Count, Kind::LENGTH) => {
                    Some(format!("divide it by a length, such as `1{}`", self.unit))
                }
                _ => None,
            };
            return Err(wrong(&self.whole.at, what).maybe_help(help));
        }
        self.refuse_too_long(value)
    }

    fn refuse_too_long(&self, value: Value) -> Result<Value, Message<Span>> {
        if value.kind == Kind::LENGTH && value.length().is_none() {
            return Err(wrong(&self.whole.at, "this comes to more than a kilometre".to_owned()));
        }
        Ok(value)
    }
}
