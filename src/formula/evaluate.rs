//! Computes an expression: amounts, kinds and exact derivatives together.

use super::Formula;
use super::error::wrong;
use super::expression::{Expression, Function, Sign, Term};
use super::value::{Kind, Value, slopes};
use crate::prose::{Message, Span};

/// Where a formula finds the values of its names.
pub trait Scope {
    /// The value of a name, or why it has none.
    fn value(&self, name: &str) -> Result<Value, Message>;

    /// The scopes of every single piece or set this one spans, when it spans
    /// several: what `min(x)` with one argument ranges over.
    fn each(&self) -> Option<Vec<Box<dyn Scope + '_>>> {
        None
    }
}

pub(super) fn evaluate(
    formula: &Formula,
    expression: &Expression,
    scope: &dyn Scope,
) -> Result<Value, Message<Span>> {
    let at = &expression.at;
    let value = match &expression.term {
        Term::Number(number) => Value::bare(*number),
        Term::Measured(nanometres) => Value::fixed(*nanometres, Kind::LENGTH),
        Term::Name(name) => {
            scope.value(&formula.text[name.clone()]).map_err(|missing| missing.at(name.clone()))?
        }
        Term::Negative(inside) => evaluate(formula, inside, scope)?.scaled(-1.0),
        Term::Joined { left, sign, sign_at, right } => {
            let first = evaluate(formula, left, scope)?;
            let second = evaluate(formula, right, scope)?;
            match sign {
                Sign::Times => first.times(&second),
                Sign::Over if second.amount == 0.0 => {
                    let divisor = &formula.text[right.at.clone()];
                    return Err(wrong(&right.at, format!("division by zero: `{divisor}` is 0")));
                }
                Sign::Over => first.over(&second),
                Sign::Plus | Sign::Minus => {
                    let word = if *sign == Sign::Plus { "+" } else { "-" };
                    let operands = vec![(first, sign_at.clone()), (second, sign_at.clone())];
                    let pair = of_one_kind(formula, word, operands)?;
                    match sign {
                        Sign::Minus => pair[0].plus(&pair[1].scaled(-1.0)),
                        _ => pair[0].plus(&pair[1]),
                    }
                }
            }
        }
        Term::Call { function, arguments } => call(formula, *function, arguments, at, scope)?,
    };
    let is_finite = value.amount.is_finite() && value.slope.values().all(|slope| slope.is_finite());
    if !is_finite {
        return Err(wrong(at, "this comes to no number that can be used".to_owned()));
    }
    Ok(value)
}

fn call(
    formula: &Formula,
    function: Function,
    arguments: &[Expression],
    at: &Span,
    scope: &dyn Scope,
) -> Result<Value, Message<Span>> {
    let word = function.word();
    let values = match function {
        Function::Min | Function::Max | Function::Mean | Function::Atan2 => {
            let values = arguments_across(formula, arguments, scope)?;
            if values.is_empty() {
                return Err(wrong(at, format!("`{word}` has no pieces to look at yet")));
            }
            of_one_kind(formula, word, values)?
        }
        _ => vec![evaluate(formula, &arguments[0], scope)?],
    };
    let first = &values[0];
    let inside = &arguments[0].at;
    match function {
        Function::Min => Ok(pick(&values, |best, other| other < best)),
        Function::Max => Ok(pick(&values, |best, other| other > best)),
        Function::Mean => Ok(mean(&values)),
        Function::Abs if first.amount < 0.0 => Ok(first.scaled(-1.0)),
        Function::Abs => Ok(first.clone()),
        Function::Floor | Function::Ceil => {
            if first.kind != Kind::PLAIN {
                let help = format!("divide it first, as in `{word}(run / 16{})`", formula.unit);
                return Err(wrong_kind(word, "a plain number", first, inside).help(help));
            }
            let amount = whole(first.amount, function);
            Ok(Value { amount, kind: Kind::PLAIN, bare: first.bare, slope: Default::default() })
        }
        Function::Sqrt => sqrt(first, inside),
        Function::Sin | Function::Cos | Function::Tan => {
            if first.kind != Kind::ANGLE {
                let error = wrong_kind(word, "an angle", first, inside);
                return Err(if first.kind == Kind::PLAIN {
                    let text = &formula.text[inside.clone()];
                    error.help(format!("write `{word}(degrees({text}))`"))
                } else {
                    error
                });
            }
            circular(function, first, inside)
        }
        Function::Atan => {
            if first.kind != Kind::PLAIN {
                return Err(wrong_kind(word, "a plain number", first, inside)
                    .help("write `atan2(rise, run)` for two lengths"));
            }
            let derivative = 1.0 / (1.0 + first.amount * first.amount);
            Ok(first.through(first.amount.atan(), Kind::ANGLE, derivative))
        }
        Function::Atan2 => atan2(first, &values[1], at),
        Function::Degrees => {
            if first.kind != Kind::PLAIN {
                return Err(wrong_kind(word, "a plain number", first, inside));
            }
            Ok(first.as_degrees())
        }
    }
}

/// The values of the arguments; a single one is looked at in every piece or
/// set the scope spans.
fn arguments_across(
    formula: &Formula,
    arguments: &[Expression],
    scope: &dyn Scope,
) -> Result<Vec<(Value, Span)>, Message<Span>> {
    if let [only] = arguments
        && let Some(scopes) = scope.each()
    {
        return scopes
            .iter()
            .map(|scope| Ok((evaluate(formula, only, scope.as_ref())?, only.at.clone())))
            .collect();
    }
    arguments
        .iter()
        .map(|argument| Ok((evaluate(formula, argument, scope)?, argument.at.clone())))
        .collect()
}

/// Brings values to one kind: beside a length, a bare number takes the unit.
fn of_one_kind(
    formula: &Formula,
    word: &str,
    values: Vec<(Value, Span)>,
) -> Result<Vec<Value>, Message<Span>> {
    let has_length = values.iter().any(|(value, _)| value.kind == Kind::LENGTH);
    let mut joined: Vec<Value> = Vec::with_capacity(values.len());
    for (value, at) in values {
        let value = if has_length { value.measured_in(formula.unit) } else { value };
        if let Some(first) = joined.first()
            && first.kind != value.kind
        {
            return Err(two_kinds(formula, word, first, &value, &at));
        }
        joined.push(value);
    }
    Ok(joined)
}

fn two_kinds(
    formula: &Formula,
    word: &str,
    first: &Value,
    other: &Value,
    at: &Span,
) -> Message<Span> {
    let what =
        format!("`{word}` needs values of one kind, but has {} and {}", first.kind, other.kind);
    let error = wrong(at, what);
    let has = |kind| first.kind == kind || other.kind == kind;
    if has(Kind::PLAIN) && has(Kind::LENGTH) {
        error.help(format!("multiply the number by a length, such as `1{}`", formula.unit))
    } else if has(Kind::PLAIN) && has(Kind::ANGLE) {
        error.help("write an angle as `degrees(30)`")
    } else {
        error
    }
}

fn wrong_kind(word: &str, wanted: &str, found: &Value, at: &Span) -> Message<Span> {
    wrong(at, format!("`{word}` needs {wanted}, and has {}", found.kind))
}

/// The value that wins, the first of equals, with its own slope.
fn pick(values: &[Value], wins: impl Fn(f64, f64) -> bool) -> Value {
    let mut best = &values[0];
    for value in values {
        if wins(best.amount, value.amount) {
            best = value;
        }
    }
    Value { bare: values.iter().all(|value| value.bare), ..best.clone() }
}

fn mean(values: &[Value]) -> Value {
    let count = values.len() as f64;
    let weighed: Vec<(&Value, f64)> = values.iter().map(|value| (value, 1.0 / count)).collect();
    Value {
        amount: values.iter().map(|value| value.amount).sum::<f64>() / count,
        kind: values[0].kind,
        bare: values.iter().all(|value| value.bare),
        slope: slopes(&weighed),
    }
}

/// Rounds down or up. A number that misses a whole one by no more than the
/// noise of computing is that whole one, or a slat would come or go with it.
pub(super) fn whole(amount: f64, function: Function) -> f64 {
    let near = amount.round();
    if (amount - near).abs() <= 1e-9 * near.abs().clamp(1.0, 1e3) {
        return near;
    }
    if function == Function::Floor { amount.floor() } else { amount.ceil() }
}

fn sqrt(inside: &Value, at: &Span) -> Result<Value, Message<Span>> {
    let Some(kind) = inside.kind.root() else {
        return Err(wrong(
            at,
            format!("`sqrt` needs a square, such as an area, and has {}", inside.kind),
        ));
    };
    if inside.amount < 0.0 {
        return Err(wrong(at, "`sqrt` of less than 0 has no value".to_owned()));
    }
    let amount = inside.amount.sqrt();
    if amount == 0.0 && inside.slope.values().any(|slope| *slope != 0.0) {
        return Err(wrong(
            at,
            "`sqrt` of exactly 0: the least change here would change the result without bound"
                .to_owned(),
        ));
    }
    Ok(Value { bare: inside.bare, ..inside.through(amount, kind, 0.5 / amount) })
}

fn circular(function: Function, angle: &Value, at: &Span) -> Result<Value, Message<Span>> {
    let (sin, cos) = angle.amount.sin_cos();
    let (amount, derivative) = match function {
        Function::Sin => (sin, cos),
        Function::Cos => (cos, -sin),
        _ => match tangent(angle.amount) {
            Some(tangent) => (tangent, 1.0 / (cos * cos)),
            None => return Err(wrong(at, "`tan` of a right angle has no value".to_owned())),
        },
    };
    Ok(angle.through(amount, Kind::PLAIN, derivative))
}

/// The tangent of an angle; none of a right one.
pub(super) fn tangent(angle: f64) -> Option<f64> {
    let (sin, cos) = angle.sin_cos();
    // A quarter turn is not a number of radians an f64 can hold, so the pole is met as a
    // cosine of noise.
    (cos.abs() >= 1e-12).then_some(sin / cos)
}

/// The angle of two sides; none where both are 0.
pub(super) fn direction(rise: f64, run: f64) -> Option<f64> {
    (rise * rise + run * run != 0.0).then(|| rise.atan2(run))
}

fn atan2(rise: &Value, run: &Value, at: &Span) -> Result<Value, Message<Span>> {
    let square = rise.amount * rise.amount + run.amount * run.amount;
    let Some(amount) = direction(rise.amount, run.amount) else {
        return Err(wrong(at, "`atan2` of 0 and 0 has no direction".to_owned()));
    };
    Ok(Value {
        amount,
        kind: Kind::ANGLE,
        bare: false,
        slope: slopes(&[(rise, run.amount / square), (run, -rise.amount / square)]),
    })
}

#[cfg(test)]
mod tests {
    use super::super::tests::{INCH, bench, inches, value};
    use super::*;
    use crate::measure::Unit;

    /// The direction of 3 up and 4 along moves with the rise by 4 / (9 + 16) and with the
    /// run by -3 / 25 of an inch's angle.
    #[test]
    fn a_direction_moves_with_both_its_sides() {
        let sides = bench(&[("rise", inches(3.0)), ("along", inches(4.0))]);
        let found =
            Formula::parse("atan2(rise, along)", Unit::Inch).unwrap().evaluate(&sides).unwrap();
        assert_eq!(found.kind, Kind::ANGLE);
        assert!((found.amount - 0.75_f64.atan()).abs() < 1e-12);
        for (name, expected) in [("rise", 4.0 / 25.0), ("along", -3.0 / 25.0)] {
            assert!((found.slope[name] * INCH - expected).abs() < 1e-12, "{name}");
        }
    }

    /// What is below zero is turned round, and so is how it moves; the rest stays.
    #[test]
    fn the_amount_of_a_number_is_never_below_zero() {
        let leg = value("abs(leg)");
        assert_eq!((leg.amount, leg.slope["leg"]), (1.5 * INCH, 1.0));
        let turned = value("abs(leg - run)");
        let moves = (turned.slope["leg"], turned.slope["run"]);
        assert_eq!((turned.amount, moves), (38.5 * INCH, (-1.0, 1.0)));
        assert_eq!(value("abs(leg - leg)").amount, 0.0);
    }

    /// A name that stands for one thing spans nothing.
    #[test]
    fn one_piece_spans_nothing() {
        struct One;
        impl Scope for One {
            fn value(&self, _: &str) -> Result<Value, Message> {
                Ok(Value::count(1.0))
            }
        }
        assert!(One.each().is_none());
    }
}
