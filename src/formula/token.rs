//! Cuts the text of a formula into numbers, names and signs.

use super::error::wrong;
use crate::measure::Length;
use crate::prose::{Message, Span};

/// More characters than this is not something a person meant to type.
pub(super) const LONGEST_TEXT: usize = 500;
/// More numbers, names and signs than this likewise.
pub(super) const MOST_TOKENS: usize = 200;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum FormulaToken {
    /// A number without a unit.
    Number(f64),
    /// A number with its unit, in nanometres.
    Measured(f64),
    Name,
    Plus,
    Minus,
    Times,
    Over,
    Open,
    Close,
    Comma,
}

/// A token and the bytes it was read from.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Placed {
    pub token: FormulaToken,
    pub at: Span,
}

pub(super) fn cut(text: &str) -> Result<Vec<Placed>, Message<Span>> {
    if let Some((end, _)) = text.char_indices().nth(LONGEST_TEXT) {
        return Err(wrong(
            &(end..text.len()),
            format!("a formula may have {LONGEST_TEXT} characters, and this one goes on"),
        )
        .help("give a piece of it a name of its own"));
    }
    let mut cutter = Cutter { text, at: 0, tokens: Vec::new() };
    while let Some(placed) = cutter.next()? {
        if cutter.tokens.len() == MOST_TOKENS {
            return Err(wrong(
                &placed.at,
                format!(
                    "a formula may have {MOST_TOKENS} numbers, names and signs, and this one goes on"
                ),
            )
            .help("give a piece of it a name of its own"));
        }
        cutter.tokens.push(placed);
    }
    Ok(cutter.tokens)
}

struct Cutter<'t> {
    text: &'t str,
    at: usize,
    tokens: Vec<Placed>,
}

#[derive(Clone, Copy, PartialEq)]
enum Mark {
    Millimetre,
    Centimetre,
    Inch,
    Foot,
}

impl Mark {
    fn nanometres(self) -> f64 {
        let one = match self {
            Mark::Millimetre => Length::MILLIMETRE,
            Mark::Centimetre => Length::MILLIMETRE * 10,
            Mark::Inch => Length::INCH,
            Mark::Foot => Length::INCH * 12,
        };
        one.nanometres() as f64
    }
}

/// Whether a word is the sign of a unit.
pub(super) fn is_unit(word: &str) -> bool {
    unit(word).is_some()
}

fn unit(word: &str) -> Option<Mark> {
    match word {
        "mm" => Some(Mark::Millimetre),
        "cm" => Some(Mark::Centimetre),
        "in" | "\"" => Some(Mark::Inch),
        "ft" | "'" => Some(Mark::Foot),
        _ => None,
    }
}

impl Cutter<'_> {
    fn next(&mut self) -> Result<Option<Placed>, Message<Span>> {
        let start = self.after_spaces(self.at);
        let Some(first) = self.text[start..].chars().next() else {
            return Ok(None);
        };
        let end = start + first.len_utf8();
        let sign = match first {
            '+' => FormulaToken::Plus,
            '-' => FormulaToken::Minus,
            '*' => FormulaToken::Times,
            '/' => FormulaToken::Over,
            '(' => FormulaToken::Open,
            ')' => FormulaToken::Close,
            ',' => FormulaToken::Comma,
            '0'..='9' | '.' => return self.length_or_number(start).map(Some),
            _ if starts_word(first) => return self.name(start).map(Some),
            _ => return Err(not_a_sign(first, start..end)),
        };
        self.at = end;
        Ok(Some(Placed { token: sign, at: start..end }))
    }

    fn name(&mut self, start: usize) -> Result<Placed, Message<Span>> {
        let end = self.word_end(start);
        let word = &self.text[start..end];
        if !is_name(word) {
            let error = wrong(
                &(start..end),
                format!("`{word}` can't be a name: names are a to z, then a to z, 0 to 9 and _"),
            );
            let lower = word.to_lowercase();
            return Err(if is_name(&lower) {
                error.help(format!("write `{lower}`"))
            } else {
                error
            });
        }
        self.at = end;
        Ok(Placed { token: FormulaToken::Name, at: start..end })
    }

    /// One number, with its unit if it has one; feet may be followed by inches.
    fn length_or_number(&mut self, start: usize) -> Result<Placed, Message<Span>> {
        let (number, mark, end) = self.number_and_unit(start)?;
        self.at = end;
        let Some(mark) = mark else {
            return Ok(Placed { token: FormulaToken::Number(number), at: start..end });
        };
        let mut nanometres = number * mark.nanometres();
        let inches = self.after_spaces(end);
        if mark == Mark::Foot && self.digits(inches) > inches {
            let (number, mark, end) = self.number_and_unit(inches)?;
            if mark != Some(Mark::Inch) {
                return Err(wrong(
                    &(inches..end),
                    "a number after feet is inches, and needs its inch mark".to_owned(),
                )
                .help("write 2' 3\" or 2ft 3in"));
            }
            nanometres += number * Mark::Inch.nanometres();
            self.at = end;
        }
        if !nanometres.is_finite() {
            return Err(too_large(start..self.at));
        }
        Ok(Placed { token: FormulaToken::Measured(nanometres), at: start..self.at })
    }

    /// A decimal, a mixed number, or a fraction that takes a unit as a whole.
    /// `7/16` without a unit is left as the division it also is.
    fn number_and_unit(&self, start: usize) -> Result<(f64, Option<Mark>, usize), Message<Span>> {
        let end = self.decimal_end(start);
        let number = self.decimal(start..end)?;
        if self.digits(start) == end {
            if let Some(fraction) = self.fraction_at(self.after_spaces(end))
                && fraction.start > end
            {
                let part = self.proper(start, &fraction)?;
                let (mark, end) = self.unit_at(fraction.end);
                return Ok((number + part, mark, end));
            }
            self.refuse_hyphen(start, end)?;
            self.refuse_decimal_comma(start, end)?;
        }
        if self.text[end..].starts_with('/') {
            let below = end + 1..self.decimal_end(end + 1);
            if !below.is_empty() {
                let (mark, after) = self.unit_at(below.end);
                if mark.is_some() {
                    let divisor = self.decimal(below.clone())?;
                    if divisor == 0.0 {
                        return Err(wrong(&below, "division by zero".to_owned()));
                    }
                    return Ok((number / divisor, mark, after));
                }
            }
        }
        let (mark, after) = self.unit_at(end);
        Ok((number, mark, after))
    }

    fn decimal(&self, at: Span) -> Result<f64, Message<Span>> {
        let text = &self.text[at.clone()];
        let is_decimal = !text.ends_with('.') && text.matches('.').count() <= 1;
        match text.parse::<f64>() {
            Ok(number) if is_decimal && number.is_finite() => Ok(number),
            Ok(_) if is_decimal => Err(too_large(at)),
            _ => Err(wrong(&at, format!("`{text}` is not a number"))),
        }
    }

    /// The fraction of a mixed number.
    fn proper(&self, start: usize, fraction: &Span) -> Result<f64, Message<Span>> {
        let (above, below) = self.above_and_below(fraction)?;
        if above < below {
            return Ok(above / below);
        }
        let whole = self.text[start..fraction.start].trim_end();
        let part = &self.text[fraction.clone()];
        Err(wrong(
            &(start..fraction.end),
            format!("the fraction of `{whole} {part}` is not below one"),
        )
        .help(format!("write `{whole} + {part}` if that is meant")))
    }

    /// `1-7/16` is a mixed number to one reader and a difference to another.
    fn refuse_hyphen(&self, start: usize, end: usize) -> Result<(), Message<Span>> {
        if !self.text[end..].starts_with('-') || self.text[..start].ends_with('/') {
            return Ok(());
        }
        let Some(fraction) = self.fraction_at(end + 1) else {
            return Ok(());
        };
        let (above, below) = self.above_and_below(&fraction)?;
        if above >= below {
            return Ok(());
        }
        let whole = &self.text[start..end];
        let part = &self.text[fraction.clone()];
        Err(wrong(&(start..fraction.end), format!("`{whole}-{part}` can be read two ways")).help(
            format!("write `{whole} {part}` for the mixed number, `{whole} - {part}` to subtract"),
        ))
    }

    fn refuse_decimal_comma(&self, start: usize, end: usize) -> Result<(), Message<Span>> {
        if !self.text[end..].starts_with(',') || self.digits(end + 1) == end + 1 {
            return Ok(());
        }
        let after = end + 1..self.digits(end + 1);
        let (before, behind) = (&self.text[start..end], &self.text[after.clone()]);
        Err(wrong(
            &(start..after.end),
            format!("`{before},{behind}` has a comma where a formula takes a point"),
        )
        .help(format!("write `{before}.{behind}`, or `{before}, {behind}` for two values")))
    }

    fn above_and_below(&self, fraction: &Span) -> Result<(f64, f64), Message<Span>> {
        let slash = self.digits(fraction.start);
        let above = self.decimal(fraction.start..slash)?;
        let below = self.decimal(slash + 1..fraction.end)?;
        if below == 0.0 {
            let at = slash + 1..fraction.end;
            return Err(wrong(&at, "division by zero".to_owned()));
        }
        Ok((above, below))
    }

    /// Whole digits over whole digits, without a space.
    fn fraction_at(&self, start: usize) -> Option<Span> {
        let slash = self.digits(start);
        if slash == start || !self.text[slash..].starts_with('/') {
            return None;
        }
        let end = self.digits(slash + 1);
        (end > slash + 1 && !self.text[end..].starts_with('.')).then_some(start..end)
    }

    /// The unit that follows a number, and where the number with its unit ends.
    fn unit_at(&self, end: usize) -> (Option<Mark>, usize) {
        let start = self.after_spaces(end);
        let after = match self.text[start..].chars().next() {
            Some('"' | '\'') => start + 1,
            _ => self.word_end(start),
        };
        match unit(&self.text[start..after]) {
            Some(mark) => (Some(mark), after),
            None => (None, end),
        }
    }

    fn after_spaces(&self, from: usize) -> usize {
        self.run(from, char::is_whitespace)
    }

    fn digits(&self, from: usize) -> usize {
        self.run(from, |c| c.is_ascii_digit())
    }

    fn decimal_end(&self, from: usize) -> usize {
        self.run(from, |c| c.is_ascii_digit() || c == '.')
    }

    fn word_end(&self, from: usize) -> usize {
        match self.text[from..].chars().next() {
            Some(first) if starts_word(first) => {
                self.run(from, |c| c.is_alphanumeric() || c == '_')
            }
            _ => from,
        }
    }

    fn run(&self, from: usize, belongs: impl Fn(char) -> bool) -> usize {
        let rest = &self.text[from..];
        from + rest.find(|c| !belongs(c)).unwrap_or(rest.len())
    }
}

fn starts_word(first: char) -> bool {
    first.is_alphabetic() || first == '_'
}

/// Whether a text can be the name of a dimension.
pub(super) fn is_name(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_lowercase())
        && text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
}

fn too_large(at: Span) -> Message<Span> {
    wrong(&at, "this number is too large to compute with".to_owned())
}

fn not_a_sign(found: char, at: Span) -> Message<Span> {
    let help = match found {
        '×' | '·' => Some("write `*`"),
        '÷' | ':' => Some("write `/`"),
        '−' | '–' | '—' => Some("write `-`"),
        '^' => Some("write `x * x` for a square"),
        '°' => Some("an angle is written `degrees(30)`"),
        '½' | '¼' | '¾' | '⅛' | '⅜' | '⅝' | '⅞' => Some("write the fraction out: `1/2`"),
        '′' | '″' | '’' | '”' => Some("write ' for feet and \" for inches"),
        '\'' | '"' => Some("the mark of feet or inches follows its number"),
        _ => None,
    };
    wrong(&at, format!("`{}` has no meaning here", found.escape_debug()))
        .maybe_help(help.map(str::to_owned))
}
