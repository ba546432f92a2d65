//! The parts of a length as somebody wrote it: sign, feet, amount, unit and
//! shade, or why the text is no length.

use serde::{Deserialize, Serialize};

use super::number::{TypedNumber, TypedUnit, not_a_length};
use super::numeral::plural_part;
use super::token::{Token, TokenKind, tokens};
use super::{Length, Unit};
use crate::prose::{Message, Span};

/// Longer text than this is a slip, not a length.
const LONGEST_TEXT: usize = 40;
/// Enough for a kilometre in millimetres with room to spare; together with
/// [`MOST_DECIMALS`] it keeps the exact arithmetic inside an `i128`.
const MOST_DIGITS: usize = 9;
const MOST_DECIMALS: usize = 20;

/// The shading of a fraction: a little over the mark, or a little under it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Shade {
    /// A little over the mark.
    Strong,
    /// A little under the mark.
    Shy,
}

/// What an entry line needs to know of the gauge in hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The unit of a bare number.
    pub bare: Unit,
    /// The smallest printed mark. `None` on a decimal display, where strong
    /// and shy mean nothing.
    pub mark: Option<Length>,
}

/// Who wrote it. An entry at a machine may take more forms than a file, which
/// people who were not there read again.
#[derive(Clone, Copy)]
pub(super) enum Manner<'e> {
    AtTheMachine(&'e Entry),
    InAFile(Unit),
}

/// A whole length as it was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Phrase<'t> {
    pub negative: bool,
    pub feet: Option<TypedNumber<'t>>,
    pub amount: Option<TypedNumber<'t>>,
    pub measure: TypedUnit,
    pub shade: Option<Shade>,
}

impl<'t> Phrase<'t> {
    pub(super) fn read(text: &'t str, manner: Manner) -> Result<Phrase<'t>, Message<Span>> {
        if text.chars().count() > LONGEST_TEXT {
            return Err(not_a_length(
                0..text.len(),
                format!("a length takes no more than {LONGEST_TEXT} characters"),
            ));
        }
        let tokens = tokens(text)?;
        if tokens.is_empty() {
            return Err(not_a_length(0..text.len(), "there is no length here")
                .help("write one such as 1 7/16, 1.4375 or 36.5 mm"));
        }
        PhraseParser { text, tokens, next: 0, manner }.phrase()
    }

    /// The length, without its shade. `None` when longer than
    /// [`Length::LONGEST`].
    pub(super) fn length(&self) -> Option<Length> {
        let feet = self.feet.map_or(0, |feet| feet.of(Length::INCH * 12));
        let total = feet + self.amount.map_or(0, |amount| amount.of(self.measure.one()));
        let nanometres = i64::try_from(total).ok()?;
        let length = Length::from_nanometres(if self.negative { -nanometres } else { nanometres });
        (length.abs() <= Length::LONGEST).then_some(length)
    }
}

struct PhraseParser<'t, 'e> {
    text: &'t str,
    tokens: Vec<Token>,
    next: usize,
    manner: Manner<'e>,
}

impl<'t> PhraseParser<'t, '_> {
    fn phrase(mut self) -> Result<Phrase<'t>, Message<Span>> {
        let negative = self.sign()?;
        let first_token = self.next;
        let first = self.amount()?;
        let (feet, amount, measure) = if self.take(TokenKind::Foot).is_some() {
            let inches = self.inches_after(first, first_token)?;
            (Some(first), inches, TypedUnit::Inch)
        } else {
            let number = self.taken(first_token);
            let measure = self.measure();
            if measure != TypedUnit::Inch && matches!(first, TypedNumber::Fraction { .. }) {
                return Err(not_a_length(self.so_far(first_token), "fractions are for inches")
                    .help(format!("write a decimal, or {number} in")));
            }
            (None, Some(first), measure)
        };
        let shade = self.shade(negative, amount.or(feet), measure)?;
        if let Some(extra) = self.peek(0) {
            return Err(not_a_length(
                extra.start..self.text.trim_end().len(),
                format!(
                    "`{}` was not expected after `{}`",
                    self.text[extra.start..].trim_end(),
                    self.taken(0)
                ),
            ));
        }
        Ok(Phrase { negative, feet, amount, measure, shade })
    }

    /// Takes the sign in front. True when it is a minus.
    fn sign(&mut self) -> Result<bool, Message<Span>> {
        if self.take(TokenKind::Minus).is_some() {
            return Ok(true);
        }
        // A caliper that types for itself may send a plus.
        if let Some(plus) = self.take(TokenKind::Plus)
            && let Manner::InAFile(_) = self.manner
        {
            return Err(
                not_a_length(plus.at(), "a length takes no plus in front").help("leave it out")
            );
        }
        Ok(false)
    }

    fn measure(&mut self) -> TypedUnit {
        if self.take(TokenKind::Inch).is_some() {
            TypedUnit::Inch
        } else if self.take(TokenKind::Millimetre).is_some() {
            TypedUnit::Millimetre
        } else if self.take(TokenKind::Centimetre).is_some() {
            TypedUnit::Centimetre
        } else {
            TypedUnit::of(match self.manner {
                Manner::AtTheMachine(entry) => entry.bare,
                Manner::InAFile(unit) => unit,
            })
        }
    }

    /// The inches of `2' 3 1/2"`, when there are any.
    fn inches_after(
        &mut self,
        feet: TypedNumber,
        feet_token: usize,
    ) -> Result<Option<TypedNumber<'t>>, Message<Span>> {
        if let [Some(TokenKind::Minus | TokenKind::Plus), Some(TokenKind::Digits), _] = self.kinds()
        {
            let start = self.next;
            self.joint(format!("{} {}", self.taken(feet_token), self.rest(start + 1)))?;
            self.next += 1;
        }
        let (Some(TokenKind::Digits | TokenKind::Point | TokenKind::Comma), start) =
            (self.kinds()[0], self.next)
        else {
            return Ok(None);
        };
        if !matches!(feet, TypedNumber::Whole(_)) {
            return Err(not_a_length(
                self.so_far(feet_token),
                "feet with inches after them must be whole",
            ));
        }
        let inches = self.amount()?;
        if inches.of(Length::INCH) >= i128::from((Length::INCH * 12).nanometres()) {
            return Err(not_a_length(
                self.so_far(start),
                format!("`{}` inches after the feet make another foot", self.taken(start)),
            )
            .help("write the feet and what is left, or inches alone"));
        }
        self.take(TokenKind::Inch);
        Ok(Some(inches))
    }

    /// Takes a number: `13`, `13 5/16`, `5/16`, `13.3125`.
    fn amount(&mut self) -> Result<TypedNumber<'t>, Message<Span>> {
        let start = self.next;
        if let Some(TokenKind::Point | TokenKind::Comma) = self.kinds()[0] {
            return self.decimals(start, 0);
        }
        let Some(first) = self.take(TokenKind::Digits) else {
            return Err(self.no_number());
        };
        let number = self.number(first)?;
        match self.kinds() {
            [Some(TokenKind::Point | TokenKind::Comma), ..] => self.decimals(start, number),
            [Some(TokenKind::Slash), ..] => self.fraction(start, None, number),
            [Some(TokenKind::Digits), Some(TokenKind::Slash), _] => self.mixed(start, number),
            [Some(TokenKind::Digits), ..] => Err(self.two_numbers(start)),
            [
                Some(TokenKind::Plus | TokenKind::Minus),
                Some(TokenKind::Digits),
                Some(TokenKind::Slash),
            ] => {
                self.joint(format!("{} {}", self.taken(start), self.rest(start + 2)))?;
                self.next += 1;
                self.mixed(start, number)
            }
            [Some(TokenKind::Plus | TokenKind::Minus), Some(TokenKind::Digits), _] => {
                let second = self.text[self.tokens[self.next + 1].at()].to_string();
                self.next += 2;
                Err(not_a_length(
                    self.so_far(start),
                    format!("`{}` looks like a sum, or half a fraction", self.taken(start)),
                )
                .help(format!("write one length, as in `{number} {second}/16`")))
            }
            _ => Ok(TypedNumber::Whole(number)),
        }
    }

    /// Lets the sign that is next join a whole and what follows, as on a
    /// keypad without a space bar; refuses it where it may be arithmetic.
    fn joint(&self, joined: String) -> Result<(), Message<Span>> {
        let (sign, after) = (self.tokens[self.next], self.tokens[self.next + 1]);
        let tight = !sign.spaced && !after.spaced;
        match (self.manner, sign.kind) {
            (Manner::AtTheMachine(_), _) if tight => Ok(()),
            (Manner::InAFile(_), TokenKind::Minus) if tight => {
                let difference =
                    format!("{} - {}", self.taken(0), self.text[after.start..].trim_end());
                Err(not_a_length(sign.at(), "this can be read as one length or as a difference")
                    .help(format!("write `{joined}` or `{difference}`")))
            }
            _ => Err(not_a_length(sign.at(), "this looks like a sum, not like one length")
                .help(format!("write `{joined}` if that is meant"))),
        }
    }

    fn mixed(&mut self, start: usize, whole: u64) -> Result<TypedNumber<'t>, Message<Span>> {
        let Some(over) = self.take(TokenKind::Digits) else {
            return Err(self.no_number());
        };
        let over = self.number(over)?;
        self.fraction(start, Some(whole), over)
    }

    /// Takes the stroke and the bottom number; `over` has been taken.
    fn fraction(
        &mut self,
        start: usize,
        whole: Option<u64>,
        over: u64,
    ) -> Result<TypedNumber<'t>, Message<Span>> {
        self.take(TokenKind::Slash);
        let Some(under_token) = self.take(TokenKind::Digits) else {
            return Err(not_a_length(
                self.so_far(start),
                format!("`{}` lacks the bottom of its fraction", self.taken(start)),
            ));
        };
        let under = self.number(under_token)?;
        let bad_bottom = |what: String| not_a_length(under_token.at(), what);
        match under {
            2 | 4 | 8 | 16 | 32 | 64 | 128 => {}
            0 => return Err(bad_bottom("the bottom of a fraction can't be 0".into())),
            1 => {
                return Err(bad_bottom("a fraction over 1 is a whole number".into()));
            }
            10 | 20 | 50 | 100 | 1000 => {
                return Err(bad_bottom(format!("{} are written as a decimal", plural_part(under)))
                    .help("write it with a point"));
            }
            129.. if under.is_power_of_two() => {
                return Err(bad_bottom("marks this fine are on no rule".into())
                    .help("the finest fraction is a 128th; write a decimal"));
            }
            _ => {
                return Err(bad_bottom(format!("{} are on no rule", plural_part(under)))
                    .help("write halves, quarters, eighths down to 128ths, or a decimal"));
            }
        }
        if let Some(whole) = whole
            && over >= under
        {
            return Err(not_a_length(
                self.so_far(start),
                format!("in `{}` the fraction is a whole or more", self.taken(start)),
            )
            .help(match over % under {
                0 => format!("is it {}?", whole + over / under),
                left => format!("is it {} {left}/{under}?", whole + over / under),
            }));
        }
        match self.kinds()[0] {
            Some(TokenKind::Slash) => {
                Err(not_a_length(self.tokens[self.next].at(), "a fraction has one stroke"))
            }
            Some(TokenKind::Point | TokenKind::Comma) => Err(not_a_length(
                self.tokens[self.next].at(),
                "a fraction and a decimal do not go together",
            )),
            Some(TokenKind::Digits) => Err(self.two_numbers(start)),
            _ => Ok(TypedNumber::Fraction { whole: whole.unwrap_or(0), over, under }),
        }
    }

    /// Takes the point and the decimals; the whole part has been taken.
    fn decimals(&mut self, start: usize, whole: u64) -> Result<TypedNumber<'t>, Message<Span>> {
        let point = self.tokens[self.next];
        self.next += 1;
        let has_whole = self.next - start > 1;
        if has_whole && point.spaced {
            return Err(not_a_length(point.at(), "there is a space before the point"));
        }
        let digits =
            self.peek(0).filter(|digits| digits.kind == TokenKind::Digits && !digits.spaced);
        let Some(digits) = digits else {
            let what = match self.kinds()[0] {
                Some(TokenKind::Point | TokenKind::Comma) => "there are two points",
                _ => "there is no digit after the point",
            };
            return Err(not_a_length(point.at(), what));
        };
        self.next += 1;
        if point.kind == TokenKind::Comma
            && let Manner::InAFile(_) = self.manner
        {
            return Err(not_a_length(point.at(), "the decimal sign in a file is a point")
                .help(format!("write {}", self.taken(start).replace(',', "."))));
        }
        let decimals = &self.text[digits.at()];
        if decimals.len() > MOST_DECIMALS {
            return Err(not_a_length(
                digits.at(),
                format!("no length needs more than {MOST_DECIMALS} decimals"),
            ));
        }
        let so_far = self.so_far(start);
        match self.kinds() {
            [Some(TokenKind::Point | TokenKind::Comma), ..] => {
                Err(not_a_length(self.tokens[self.next].at(), "there are two points"))
            }
            [Some(TokenKind::Slash), ..]
            | [Some(TokenKind::Digits), Some(TokenKind::Slash), _]
            | [
                Some(TokenKind::Plus | TokenKind::Minus),
                Some(TokenKind::Digits),
                Some(TokenKind::Slash),
            ] => Err(not_a_length(so_far, "a decimal and a fraction do not go together")),
            [Some(TokenKind::Digits), ..] => Err(self.two_numbers(start)),
            _ => Ok(TypedNumber::Decimal { whole, decimals }),
        }
    }

    /// Takes a plus or minus at the very end.
    fn shade(
        &mut self,
        negative: bool,
        amount: Option<TypedNumber>,
        measure: TypedUnit,
    ) -> Result<Option<Shade>, Message<Span>> {
        let shade = match self.kinds() {
            [Some(TokenKind::Plus), None, _] => Shade::Strong,
            [Some(TokenKind::Minus), None, _] => Shade::Shy,
            _ => return Ok(None),
        };
        let refused = |what: &str| not_a_length(self.tokens[self.next].at(), what);
        let Manner::AtTheMachine(entry) = self.manner else {
            return Err(refused("strong and shy are for readings, not for files")
                .help("write the length meant"));
        };
        if entry.mark.is_none() {
            return Err(refused("this gauge shows decimals, and strong or shy shade a fraction")
                .help("type the number it shows"));
        }
        if matches!(amount, Some(TypedNumber::Decimal { .. })) {
            return Err(refused("strong and shy shade a fraction, not a decimal")
                .help("type the decimal meant"));
        }
        if measure != TypedUnit::of(entry.bare) {
            return Err(refused("strong and shy go by the marks of this gauge").help(
                match entry.bare {
                    Unit::Inch => "type the reading in inches",
                    Unit::Millimetre => "type the reading in millimetres",
                },
            ));
        }
        if negative {
            return Err(refused("strong or shy of a negative reading can be taken two ways")
                .help("type a decimal"));
        }
        self.next += 1;
        Ok(Some(shade))
    }

    fn number(&self, digits: Token) -> Result<u64, Message<Span>> {
        let text = self.text[digits.at()].trim_start_matches('0');
        if text.len() > MOST_DIGITS {
            return Err(not_a_length(
                digits.at(),
                format!("`{}` is longer than any piece of wood", &self.text[digits.at()]),
            ));
        }
        Ok(text.bytes().fold(0, |number, byte| number * 10 + u64::from(byte - b'0')))
    }

    fn no_number(&self) -> Message<Span> {
        match self.peek(0) {
            Some(token) => not_a_length(
                token.at(),
                format!("a number was expected before `{}`", &self.text[token.at()]),
            ),
            None => not_a_length(0..self.text.len(), "there is no number here"),
        }
    }

    fn two_numbers(&mut self, start: usize) -> Message<Span> {
        let first = self.taken(start);
        self.next += 1;
        let both = self.taken(start);
        let refused = not_a_length(self.so_far(start), format!("`{both}` is two numbers, not one"));
        if first.contains(['/', '.', ',']) {
            return refused;
        }
        let second = &self.text[self.tokens[self.next - 1].at()];
        refused
            .help(format!("write a fraction as in `{both}/16`, or a decimal, `{first}.{second}`"))
    }

    fn peek(&self, ahead: usize) -> Option<Token> {
        self.tokens.get(self.next + ahead).copied()
    }

    fn kinds(&self) -> [Option<TokenKind>; 3] {
        [0, 1, 2].map(|ahead| self.peek(ahead).map(|token| token.kind))
    }

    fn take(&mut self, kind: TokenKind) -> Option<Token> {
        let token = self.peek(0).filter(|token| token.kind == kind)?;
        self.next += 1;
        Some(token)
    }

    /// Where the tokens taken since `start` are.
    fn so_far(&self, start: usize) -> Span {
        self.tokens[start].start..self.tokens[self.next.max(start + 1) - 1].end
    }

    fn taken(&self, start: usize) -> &'t str {
        &self.text[self.so_far(start)]
    }

    fn rest(&self, start: usize) -> &'t str {
        self.text[self.tokens[start].start..].trim_end()
    }
}
