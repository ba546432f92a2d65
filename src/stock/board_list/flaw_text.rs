//! Flaws as people type them: `knot 31 to 33 at 0 to 2; split 0 to 6`.
//! What is written here reads back the same.

use std::ops::Range;

use super::answer::parse_size;
use crate::measure::{Length, Unit};
use crate::operation::words;
use crate::prose::{Message, Span, nearest, quoted};
use crate::stock::board::{Flaw, FlawKind, Ruling, Stretch};

/// A board with more flaws than this yields nothing. Chosen, not measured.
pub(super) const MOST_FLAWS: usize = 100;

/// Trade words for flaws, with the kind each counts as.
const SYNONYMS: [(&str, &str); 10] = [
    ("check", "split"),
    ("shake", "split"),
    ("crack", "split"),
    ("wane", "other"),
    ("sap", "other"),
    ("sapwood", "other"),
    ("rot", "other"),
    ("stain", "other"),
    ("bark", "other"),
    ("pith", "other"),
];

impl FlawKind {
    /// Every kind, in the order they are named to people.
    pub const ALL: [FlawKind; 3] = [FlawKind::Knot, FlawKind::Split, FlawKind::Other];

    /// The word people type for it.
    pub fn word(self) -> &'static str {
        match self {
            FlawKind::Knot => "knot",
            FlawKind::Split => "split",
            FlawKind::Other => "other",
        }
    }
}

impl Ruling {
    const ALL: [Ruling; 3] = [Ruling::Around, Ruling::Hidden, Ruling::Fill];

    /// The word people type for it.
    pub fn word(self) -> &'static str {
        match self {
            Ruling::Around => "around",
            Ruling::Hidden => "hidden",
            Ruling::Fill => "fill",
        }
    }
}

/// A ruling by the word people type for it.
fn ruling(word: &str) -> Option<Ruling> {
    Ruling::ALL.into_iter().find(|ruling| ruling.word().eq_ignore_ascii_case(word))
}

/// The help for a flaw that is written another way.
const EXAMPLE: &str = "write `knot 31 to 33`, measured from the marked end; add `at 0 to 2` when \
                       the flaw does not cross the whole width";

/// Every flaw of a text, such as `knot 31 to 33 at 0 to 2; split 0 to 6`;
/// `unit` is the unit of a bare number. Every flaw that can't be read has an
/// error of its own.
pub fn parse_flaws(text: &str, unit: Unit) -> Result<Vec<Flaw>, Vec<Message<Span>>> {
    let (mut flaws, mut errors) = (Vec::new(), Vec::new());
    let mut start = 0;
    for part in text.split(';') {
        if !part.trim().is_empty() {
            match parse_flaw(part, unit) {
                Ok(flaw) => flaws.push(flaw),
                Err(error) => errors.push(error.moved(start)),
            }
        }
        if flaws.len() + errors.len() > MOST_FLAWS {
            let what = format!("more than {MOST_FLAWS} flaws on one board");
            return Err(vec![Message::error(what).at(0..text.len())]);
        }
        start += part.len() + 1;
    }
    if errors.is_empty() { Ok(flaws) } else { Err(errors) }
}

/// One flaw: its kind, its start and end along the board, then optionally `at`
/// with its start and end across the board, then optionally a ruling.
pub fn parse_flaw(text: &str, unit: Unit) -> Result<Flaw, Message<Span>> {
    let mut words = word_spans(text);
    let Some(first) = words.first().cloned() else {
        return Err(Message::error("no flaw is given").help(EXAMPLE).at(0..text.len()));
    };
    let kind = kind(text, first.clone())?;
    words.remove(0);
    let mut ruled = Ruling::default();
    if let Some(last) = words.last().cloned() {
        if let Some(found) = ruling(&text[last.clone()]) {
            ruled = found;
            words.pop();
        } else if let Some(near) = nearest(&text[last.clone()], Ruling::ALL.map(Ruling::word)) {
            let what = format!("{} is not a ruling", quoted(&text[last.clone()]));
            return Err(Message::error(what).help(format!("did you mean `{near}`?")).at(last));
        }
    }
    let is = |word: &Span, name: &str| text[word.clone()].eq_ignore_ascii_case(name);
    let (along, across) = match words.iter().position(|word| is(word, "at")) {
        Some(at) => (&words[..at], Some((&words[at], &words[at + 1..]))),
        None => (words.as_slice(), None),
    };
    let whole = first.start..text.trim_end().len();
    let along = stretch(text, along, whole, unit)?;
    let across = across.map(|(at, words)| stretch(text, words, at.clone(), unit)).transpose()?;
    Ok(Flaw { kind, along, across, ruling: ruled })
}

fn kind(text: &str, at: Span) -> Result<FlawKind, Message<Span>> {
    let word = &text[at.clone()];
    let same = |name: &str| name.eq_ignore_ascii_case(word);
    if let Some(kind) = FlawKind::ALL.into_iter().find(|kind| same(kind.word())) {
        return Ok(kind);
    }
    let unknown = Message::error(format!("{} is not a kind of flaw", quoted(word)));
    let help = if let Some((_, kind)) = SYNONYMS.iter().find(|(name, _)| same(name)) {
        format!("write `{kind}` for it")
    } else if let Some(near) = nearest(word, FlawKind::ALL.map(FlawKind::word)) {
        format!("did you mean `{near}`?")
    } else {
        "a flaw is a `knot`, a `split` or `other`".to_owned()
    };
    Err(unknown.help(help).at(at))
}

/// The stretch `31 to 33` in these words of a text. An error about missing
/// words points at `none`.
fn stretch(
    text: &str,
    words_of_it: &[Span],
    none: Span,
    unit: Unit,
) -> Result<Stretch, Message<Span>> {
    let (Some(first), Some(last)) = (words_of_it.first(), words_of_it.last()) else {
        let what = "the start and end of the flaw are missing";
        return Err(Message::error(what).help(EXAMPLE).at(none));
    };
    let whole = first.start..last.end;
    let to = the_to(text, words_of_it, &whole)?;
    let (from_text, to_text) = (&text[whole.start..to.start], &text[to.end..whole.end]);
    // In `780 to 830 mm` both numbers are millimetres.
    let has_unit = from_text.contains(|c: char| c.is_alphabetic() || "'\"′″".contains(c));
    let unit_word = to_text.trim_end().rsplit(|c: char| !c.is_alphabetic()).next();
    let from = match unit_word.filter(|word| !has_unit && !word.is_empty()) {
        Some(word) => parse_size(&format!("{} {word}", from_text.trim_end()), unit)
            .map_err(|error| error.map_place(|_| 0..from_text.trim_end().len())),
        None => parse_size(from_text, unit),
    };
    let from = from.map_err(|error| error.moved(whole.start))?;
    let to = parse_size(to_text, unit).map_err(|error| error.moved(to.end))?;
    ordered(from, to, unit).map_err(|error| error.at(whole))
}

/// The one `to` between the words of a stretch.
fn the_to(text: &str, words_of_it: &[Span], whole: &Span) -> Result<Span, Message<Span>> {
    let is_to = |word: &&Span| text[(*word).clone()].eq_ignore_ascii_case("to");
    let mut found = words_of_it.iter().filter(is_to);
    match (found.next(), found.next()) {
        (Some(to), None) => Ok(to.clone()),
        (None, _) => {
            let what = format!("{} is not a stretch", quoted(&text[whole.clone()]));
            let help = "write its start and its end: `31 to 33`";
            Err(Message::error(what).help(help).at(whole.clone()))
        }
        (Some(_), Some(second)) => Err(Message::error("one `to` too many")
            .help("put `;` between two flaws, and `at` before the stretch across the board")
            .at(second.clone())),
    }
}

/// A stretch with its start before its end, both on the board.
fn ordered(from: Length, to: Length, unit: Unit) -> Result<Stretch, Message> {
    let spoken = |length| words(length, unit);
    if from.is_negative() || to.is_negative() {
        return Err(Message::error("a place on a board is never negative")
            .help("measure from the marked end and from the marked edge"));
    }
    if to < from {
        let what = format!("it runs backwards, from {} to {}", spoken(from), spoken(to));
        let help = format!("write {} to {}", to.written(unit), from.written(unit));
        return Err(Message::error(what).help(help));
    }
    if to == from {
        let what = format!("it starts and ends at {}", spoken(from));
        return Err(Message::error(what).help("give the length that cuts must avoid"));
    }
    Ok(Stretch { from, to })
}

/// The bytes of each word of a text.
fn word_spans(text: &str) -> Vec<Range<usize>> {
    let start = text.as_ptr() as usize;
    let at = |word: &str| word.as_ptr() as usize - start;
    text.split_whitespace().map(|word| at(word)..at(word) + word.len()).collect()
}

/// Flaws as people type them; [`parse_flaws`] reads the text back as the same
/// flaws.
pub fn format_flaws(flaws: &[Flaw], unit: Unit) -> String {
    let written: Vec<String> = flaws.iter().map(|flaw| flaw.written(unit)).collect();
    written.join("; ")
}

impl Flaw {
    /// As people type it; [`parse_flaw`] reads the text back as the same flaw.
    pub fn written(&self, unit: Unit) -> String {
        let mut text = format!("{} {}", self.kind.word(), self.along.written(unit));
        if let Some(across) = &self.across {
            text += &format!(" at {}", across.written(unit));
        }
        if self.ruling != Ruling::Around {
            text += &format!(" {}", self.ruling.word());
        }
        text
    }
}

impl Stretch {
    /// `31 to 33`, without a unit.
    pub fn written(&self, unit: Unit) -> String {
        format!("{} to {}", self.from.written(unit), self.to.written(unit))
    }
}

#[cfg(test)]
mod tests;
