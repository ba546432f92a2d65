//! Reads tokens as an expression, in the order of arithmetic.

use super::error::wrong;
use super::token::{self, FormulaToken, Placed};
use crate::prose::{Message, Span, nearest};

/// Parentheses inside parentheses beyond this are refused, so that no formula
/// can exhaust the stack.
pub(super) const DEEPEST: usize = 64;

/// A part of a formula and the bytes it was read from.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Expression {
    pub at: Span,
    pub term: Term,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Term {
    Number(f64),
    /// Nanometres.
    Measured(f64),
    /// The bytes of the name itself, without parentheses around it.
    Name(Span),
    Negative(Box<Expression>),
    Joined {
        left: Box<Expression>,
        sign: Sign,
        sign_at: Span,
        right: Box<Expression>,
    },
    Call {
        function: Function,
        arguments: Vec<Expression>,
    },
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Sign {
    Plus,
    Minus,
    Times,
    Over,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Function {
    Min,
    Max,
    Mean,
    Abs,
    Floor,
    Ceil,
    Sqrt,
    Sin,
    Cos,
    Tan,
    Atan,
    Atan2,
    Degrees,
}

impl Function {
    pub(super) const ALL: [Function; 13] = [
        Function::Min,
        Function::Max,
        Function::Mean,
        Function::Abs,
        Function::Floor,
        Function::Ceil,
        Function::Sqrt,
        Function::Sin,
        Function::Cos,
        Function::Tan,
        Function::Atan,
        Function::Atan2,
        Function::Degrees,
    ];

    pub(super) fn word(self) -> &'static str {
        match self {
            Function::Min => "min",
            Function::Max => "max",
            Function::Mean => "mean",
            Function::Abs => "abs",
            Function::Floor => "floor",
            Function::Ceil => "ceil",
            Function::Sqrt => "sqrt",
            Function::Sin => "sin",
            Function::Cos => "cos",
            Function::Tan => "tan",
            Function::Atan => "atan",
            Function::Atan2 => "atan2",
            Function::Degrees => "degrees",
        }
    }

    pub(super) fn named(word: &str) -> Option<Function> {
        Function::ALL.into_iter().find(|function| function.word() == word)
    }

    fn refuse_arity(self, count: usize) -> Option<&'static str> {
        match self {
            Function::Min | Function::Max | Function::Mean => None,
            Function::Atan2 if count != 2 => Some("two values, `atan2(rise, run)`,"),
            Function::Atan2 => None,
            _ if count != 1 => Some("one value"),
            _ => None,
        }
    }
}

/// The expression a text means, and where each name in it is.
pub(super) fn parse(text: &str) -> Result<(Expression, Vec<Span>), Message<Span>> {
    let tokens = token::cut(text)?;
    if tokens.is_empty() {
        return Err(wrong(&(0..text.len()), "there is no formula here".to_owned()));
    }
    let mut reader = FormulaParser { text, tokens: &tokens, next: 0, depth: 0, names: Vec::new() };
    let whole = reader.sum()?;
    match reader.peek() {
        None => Ok((whole, reader.names)),
        Some(extra) => Err(reader.unexpected(extra)),
    }
}

struct FormulaParser<'t> {
    text: &'t str,
    tokens: &'t [Placed],
    next: usize,
    depth: usize,
    names: Vec<Span>,
}

impl<'t> FormulaParser<'t> {
    fn peek(&self) -> Option<&'t Placed> {
        self.tokens.get(self.next)
    }

    fn sum(&mut self) -> Result<Expression, Message<Span>> {
        let mut left = self.product()?;
        while let Some((sign, sign_at)) = self.sign(Sign::Plus, Sign::Minus) {
            left = joined(left, sign, sign_at, self.product()?);
        }
        Ok(left)
    }

    fn product(&mut self) -> Result<Expression, Message<Span>> {
        let mut left = self.factor()?;
        while let Some((sign, sign_at)) = self.sign(Sign::Times, Sign::Over) {
            left = joined(left, sign, sign_at, self.factor()?);
        }
        Ok(left)
    }

    fn sign(&mut self, one: Sign, other: Sign) -> Option<(Sign, Span)> {
        let placed = self.peek()?;
        let sign = match placed.token {
            FormulaToken::Plus => Sign::Plus,
            FormulaToken::Minus => Sign::Minus,
            FormulaToken::Times => Sign::Times,
            FormulaToken::Over => Sign::Over,
            _ => return None,
        };
        if sign != one && sign != other {
            return None;
        }
        self.next += 1;
        Some((sign, placed.at.clone()))
    }

    fn factor(&mut self) -> Result<Expression, Message<Span>> {
        // A loop, not a call for each sign: a row of them costs no stack here.
        let mut signs = Vec::new();
        while let Some(Placed { token: FormulaToken::Minus, at }) = self.peek() {
            signs.push(at.start);
            self.next += 1;
        }
        let mut value = self.primary()?;
        for start in signs.into_iter().rev() {
            value = Expression { at: start..value.at.end, term: Term::Negative(Box::new(value)) };
        }
        Ok(value)
    }

    fn primary(&mut self) -> Result<Expression, Message<Span>> {
        let Some(placed) = self.peek() else {
            return Err(self.nothing_follows());
        };
        let at = placed.at.clone();
        let term = match placed.token {
            FormulaToken::Number(number) => Term::Number(number),
            FormulaToken::Measured(nanometres) => Term::Measured(nanometres),
            FormulaToken::Name => return self.name_or_call(at),
            FormulaToken::Open => {
                self.next += 1;
                return self.parenthesized(at);
            }
            FormulaToken::Plus
            | FormulaToken::Minus
            | FormulaToken::Times
            | FormulaToken::Over
            | FormulaToken::Close
            | FormulaToken::Comma => {
                return Err(self.misplaced(placed));
            }
        };
        self.next += 1;
        Ok(Expression { at, term })
    }

    fn parenthesized(&mut self, open: Span) -> Result<Expression, Message<Span>> {
        self.enter(&open)?;
        let inside = self.sum()?;
        let close = self.close(&open)?;
        Ok(Expression { at: open.start..close, ..inside })
    }

    fn name_or_call(&mut self, at: Span) -> Result<Expression, Message<Span>> {
        self.next += 1;
        let word = &self.text[at.clone()];
        let open = self.peek().filter(|placed| placed.token == FormulaToken::Open);
        match (Function::named(word), open) {
            (Some(function), Some(open)) => {
                self.next += 1;
                self.call(function, at, open.at.clone())
            }
            (Some(_), None) => Err(wrong(
                &at,
                format!("`{word}` is a function and wants its values in parentheses"),
            )
            .help(format!("write `{word}(...)`"))),
            (None, Some(_)) => {
                let error = wrong(&at, format!("there is no function `{word}`"));
                let help = match nearest(word, Function::ALL.map(Function::word)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("to multiply, write `{word} * (...)`"),
                };
                Err(error.help(help))
            }
            (None, None) => {
                self.names.push(at.clone());
                Ok(Expression { at: at.clone(), term: Term::Name(at) })
            }
        }
    }

    fn call(
        &mut self,
        function: Function,
        name: Span,
        open: Span,
    ) -> Result<Expression, Message<Span>> {
        self.enter(&open)?;
        let mut arguments = vec![self.sum()?];
        while let Some(Placed { token: FormulaToken::Comma, .. }) = self.peek() {
            self.next += 1;
            arguments.push(self.sum()?);
        }
        let at = name.start..self.close(&open)?;
        if let Some(wanted) = function.refuse_arity(arguments.len()) {
            let word = function.word();
            let count = arguments.len();
            return Err(wrong(&at, format!("`{word}` takes {wanted} and has {count}")));
        }
        Ok(Expression { at, term: Term::Call { function, arguments } })
    }

    fn enter(&mut self, open: &Span) -> Result<(), Message<Span>> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(wrong(
                open,
                format!("parentheses may be {DEEPEST} deep, and this one is deeper"),
            )
            .help("give a piece of the formula a name of its own"));
        }
        if let Some(Placed { token: FormulaToken::Close, at }) = self.peek() {
            return Err(wrong(
                &(open.start..at.end),
                "there is nothing between these parentheses".to_owned(),
            ));
        }
        Ok(())
    }

    fn close(&mut self, open: &Span) -> Result<usize, Message<Span>> {
        match self.peek() {
            Some(Placed { token: FormulaToken::Close, at }) => {
                self.next += 1;
                self.depth -= 1;
                Ok(at.end)
            }
            Some(extra) => Err(self.unexpected(extra)),
            None => Err(wrong(open, "this parenthesis is never closed".to_owned())),
        }
    }

    /// A token where a value has just ended.
    fn unexpected(&self, extra: &Placed) -> Message<Span> {
        match extra.token {
            FormulaToken::Close => wrong(&extra.at, "this parenthesis was never opened".to_owned()),
            FormulaToken::Comma => {
                wrong(&extra.at, "a comma belongs only between the values of a function".to_owned())
            }
            _ => self.side_by_side(extra),
        }
    }

    fn side_by_side(&self, extra: &Placed) -> Message<Span> {
        // A value has ended, so a token came before this one.
        let before = &self.tokens[self.next - 1];
        let (left, right) = (&self.text[before.at.clone()], &self.text[extra.at.clone()]);
        let at = before.at.start..extra.at.end;
        let error = wrong(&at, format!("there is no sign between `{left}` and `{right}`"));
        // The short words belong to the number before them, and names have no capitals.
        let unit = match right {
            "inch" | "inches" => Some("in"),
            "foot" | "feet" => Some("ft"),
            "millimetre" | "millimetres" | "millimeters" => Some("mm"),
            "centimetre" | "centimetres" | "centimeters" => Some("cm"),
            _ => None,
        };
        let is_number = matches!(before.token, FormulaToken::Number(_));
        let help = match (extra.token, unit) {
            (FormulaToken::Name, Some(unit)) if is_number => format!("write `{left}{unit}`"),
            (FormulaToken::Name, None) if is_number && matches!(right, "deg" | "degrees") => {
                format!("write `degrees({left})`")
            }
            (FormulaToken::Name, None)
                if is_number && matches!(right, "m" | "metre" | "metres") =>
            {
                "the units are mm, cm, in and ft".to_owned()
            }
            (FormulaToken::Name, _) if is_number => {
                format!("to multiply, write `{left} * {right}`")
            }
            (FormulaToken::Number(_), _) if is_number => {
                "a mixed number is written `25 1/4`".to_owned()
            }
            _ => "write `+`, `-`, `*` or `/` between them".to_owned(),
        };
        error.help(help)
    }

    /// A sign where a value should begin.
    fn misplaced(&self, found: &Placed) -> Message<Span> {
        let sign = &self.text[found.at.clone()];
        let before = self.next.checked_sub(1).map(|before| &self.tokens[before]);
        match before {
            Some(before) => {
                let last = &self.text[before.at.clone()];
                wrong(
                    &found.at,
                    format!("a number or name is wanted between `{last}` and `{sign}`"),
                )
            }
            None => wrong(&found.at, format!("a number or name is wanted before `{sign}`")),
        }
    }

    fn nothing_follows(&self) -> Message<Span> {
        // An empty formula is refused before reading starts, so a last token exists.
        let last = &self.tokens[self.next - 1];
        let sign = &self.text[last.at.clone()];
        wrong(&last.at, format!("a number or name is wanted after `{sign}`"))
    }
}

fn joined(left: Expression, sign: Sign, sign_at: Span, right: Expression) -> Expression {
    Expression {
        at: left.at.start..right.at.end,
        term: Term::Joined { left: Box::new(left), sign, sign_at, right: Box::new(right) },
    }
}

#[cfg(test)]
mod tests {
    use crate::formula::tests::{check_error, check_error_at, check_plain};

    #[test]
    fn what_is_not_arithmetic_is_pointed_at() {
        check_error("", "", "there is no formula here", None);
        check_error("   ", "   ", "there is no formula here", None);
        check_error("leg +", "+", "a number or name is wanted after `+`", None);
        check_error("leg + * 2", "*", "a number or name is wanted between `+` and `*`", None);
        check_error("/ 2", "/", "a number or name is wanted before `/`", None);
        check_error("(leg + 2", "(", "this parenthesis is never closed", None);
        check_error("leg)", ")", "this parenthesis was never opened", None);
        check_error("2 * ()", "()", "there is nothing between these parentheses", None);
        let comma = "a comma belongs only between the values of a function";
        check_error("leg, run", ",", comma, None);
        check_error("min((leg, run))", ",", comma, None);
        check_error("1.2.3", "1.2.3", "`1.2.3` is not a number", None);
        check_error("5. + leg", "5.", "`5.` is not a number", None);
        check_error("leg ^ 2", "^", "`^` has no meaning here", Some("write `x * x` for a square"));
        check_error("leg × 2", "×", "`×` has no meaning here", Some("write `*`"));
        check_error("leg & 2", "&", "`&` has no meaning here", None);
        let names = "can't be a name: names are a to z, then a to z, 0 to 9 and _";
        check_error("Leg + 1", "Leg", &format!("`Leg` {names}"), Some("write `leg`"));
        check_error("_x", "_x", &format!("`_x` {names}"), None);
        let sign = |left, right| format!("there is no sign between `{left}` and `{right}`");
        check_error("2 leg", "2 leg", &sign("2", "leg"), Some("to multiply, write `2 * leg`"));
        check_error("3 inches", "3 inches", &sign("3", "inches"), Some("write `3in`"));
        check_error("3 feet", "3 feet", &sign("3", "feet"), Some("write `3ft`"));
        check_error(
            "38 millimetres",
            "38 millimetres",
            &sign("38", "millimetres"),
            Some("write `38mm`"),
        );
        check_error(
            "9 centimeters",
            "9 centimeters",
            &sign("9", "centimeters"),
            Some("write `9cm`"),
        );
        check_error("30 deg", "30 deg", &sign("30", "deg"), Some("write `degrees(30)`"));
        let mixed = Some("a mixed number is written `25 1/4`");
        check_error("25 1 / 4", "25 1", &sign("25", "1"), mixed);
        let between = Some("write `+`, `-`, `*` or `/` between them");
        check_error("leg 2", "leg 2", &sign("leg", "2"), between);
        check_error("leg inches", "leg inches", &sign("leg", "inches"), between);
        check_error("(leg) (run)", ") (", &sign(")", "("), between);
    }

    #[test]
    fn what_can_be_read_two_ways_is_refused() {
        check_error(
            "run + 1-7/16",
            "1-7/16",
            "`1-7/16` can be read two ways",
            Some("write `1 7/16` for the mixed number, `1 - 7/16` to subtract"),
        );
        check_plain("1 - 7/16", 0.5625);
        check_plain("1 -7/16", 0.5625);
        check_error(
            "leg + 1,5",
            "1,5",
            "`1,5` has a comma where a formula takes a point",
            Some("write `1.5`, or `1, 5` for two values"),
        );
        check_error_at("max(1,5)", 4..7);
        check_plain("max(1, 5)", 5.0);
        check_error(
            "25 5/4",
            "25 5/4",
            "the fraction of `25 5/4` is not below one",
            Some("write `25 + 5/4` if that is meant"),
        );
        check_error(
            "25 4/4",
            "25 4/4",
            "the fraction of `25 4/4` is not below one",
            Some("write `25 + 4/4` if that is meant"),
        );
        check_error(
            "2' 3",
            "3",
            "a number after feet is inches, and needs its inch mark",
            Some("write 2' 3\" or 2ft 3in"),
        );
    }

    #[test]
    fn functions_are_checked_as_they_are_read() {
        check_error("mim(leg)", "mim", "there is no function `mim`", Some("did you mean `min`?"));
        check_error(
            "leg (2)",
            "leg",
            "there is no function `leg`",
            Some("to multiply, write `leg * (...)`"),
        );
        check_error(
            "min + 2",
            "min",
            "`min` is a function and wants its values in parentheses",
            Some("write `min(...)`"),
        );
        check_error("1 + abs(leg, 2)", "abs(leg, 2)", "`abs` takes one value and has 2", None);
        check_error(
            "atan2(leg)",
            "atan2(leg)",
            "`atan2` takes two values, `atan2(rise, run)`, and has 1",
            None,
        );
        check_error("max()", "()", "there is nothing between these parentheses", None);
        check_error("max(1, )", ")", "a number or name is wanted between `,` and `)`", None);
    }
}
