//! Reading a fault as people write it: `op 60 creep 1/64`.

use super::fault::{DUST, Fault, FaultKind, Grows, SHAPES};
use crate::document::{Place, Problem};
use crate::measure::{Length, Unit, parse_written};
use crate::operation::FeatureName;
use crate::prose::{Message, nearest, visible};
use std::ops::Range;

/// A word and its place in the text, in bytes.
type Word<'t> = (Range<usize>, &'t str);

/// A fault being read.
struct Text<'t> {
    whole: &'t str,
    unit: Unit,
    words: Vec<Word<'t>>,
    at: usize,
}

impl Fault {
    /// Reads a fault; a bare number is in `unit`. An error is at its place in the
    /// text.
    pub fn parse(text: &str, unit: Unit) -> Result<Fault, Problem> {
        let mut text = Text { whole: text, unit, words: words(text), at: 0 };
        text.fixed("op", "every fault begins with its operation: op 60")?;
        let op = text.number("the operation's number", "op 60 creep 1/64")?;
        let (kind, shape) = text.kind()?;
        let on = text.feature()?;
        let what = match SHAPES[kind].0[0] {
            "offset" => FaultKind::Offset(text.length(shape)?),
            "creep" => FaultKind::Creep { by: text.length(shape)?, grows: text.grows(shape)? },
            "step" => {
                let by = text.length(shape)?;
                FaultKind::Step { by, after: text.piece("after", shape)? }
            }
            "slip" => {
                let by = text.length(shape)?;
                FaultKind::Slip { by, at: text.piece("at", shape)? }
            }
            "double" => FaultKind::DoubleJog,
            "wrong" => {
                let all = text.is_over();
                FaultKind::WrongFace { at: if all { None } else { Some(text.piece("at", shape)?) } }
            }
            "stop" if text.is_over() => FaultKind::StopDust(DUST),
            "stop" => {
                let dust = text.length(shape)?;
                if dust.is_negative() {
                    return Err(text.wrong(
                        "the thickness of dust is greater than zero",
                        shape,
                        4..5,
                    ));
                }
                FaultKind::StopDust(dust)
            }
            "gauge" => FaultKind::GaugeZero(text.length(shape)?),
            "belt" => {
                let by = text.length(shape)?;
                FaultKind::BeltChange { by, after: text.piece("after", shape)? }
            }
            _ => FaultKind::Overnight { hundredths: text.points(shape)? },
        };
        text.over(shape)?;
        let whole_piece = matches!(what, FaultKind::DoubleJog | FaultKind::Overnight { .. });
        if on.is_some() && whole_piece {
            let what = "this fault changes the whole piece, not one size of it";
            return Err(text.wrong(what, shape, text.words.len()..usize::MAX));
        }
        Ok(Fault { op, kind: what, on })
    }
}

impl<'t> Text<'t> {
    fn next(&mut self) -> Option<Word<'t>> {
        let word = self.words.get(self.at).cloned();
        self.at += usize::from(word.is_some());
        word
    }

    fn is_over(&self) -> bool {
        self.at >= self.words.len()
    }

    /// A problem at a range of bytes; past the end it points at the end.
    fn problem(&self, at: Range<usize>, what: impl Into<String>, help: &str) -> Problem {
        let end = self.whole.len();
        let span = at.start.min(end)..at.end.min(end);
        let column = self.whole[..span.start].chars().count() + 1;
        Message::error(what).help(help).at(Place { line: 1, column, span }.into())
    }

    /// A problem at a range of words.
    fn wrong(&self, what: impl Into<String>, shape: &str, words: Range<usize>) -> Problem {
        let end = self.whole.len();
        let start = self.words.get(words.start).map_or(end, |(at, _)| at.start);
        let last = words.end.min(self.words.len()).checked_sub(1);
        let stop = last.and_then(|last| self.words.get(last)).map_or(end, |(at, _)| at.end);
        self.problem(start..stop.max(start), what, &format!("such as `{shape}`"))
    }

    /// Takes a word that is required here.
    fn fixed(&mut self, word: &str, help: &str) -> Result<(), Problem> {
        match self.next() {
            Some((_, found)) if found == word => Ok(()),
            Some((at, found)) => {
                let what = format!("`{word}` is expected here, not `{}`", visible(found));
                Err(self.problem(at, what, help))
            }
            None => Err(self.problem(
                self.whole.len()..self.whole.len(),
                format!("`{word}` is missing"),
                help,
            )),
        }
    }

    fn number(&mut self, what: &str, shape: &str) -> Result<u32, Problem> {
        let help = format!("such as `{shape}`");
        let Some((at, found)) = self.next() else {
            let end = self.whole.len();
            return Err(self.problem(end..end, format!("{what} is missing"), &help));
        };
        let good = found.parse().ok().filter(|number: &u32| *number > 0);
        good.ok_or_else(|| {
            let what = format!("{what} is a whole number from 1, not `{}`", visible(found));
            self.problem(at, what, &help)
        })
    }

    /// The kind of fault: its index in [`SHAPES`], and its example.
    fn kind(&mut self) -> Result<(usize, &'static str), Problem> {
        let first = self.at;
        let known: Vec<String> = SHAPES.iter().map(|(words, _)| words.join(" ")).collect();
        let list = || format!("one of: {}", known.join(", "));
        let Some((at, found)) = self.next() else {
            let end = self.whole.len();
            return Err(self.problem(end..end, "what goes wrong there?", &list()));
        };
        let place = SHAPES.iter().position(|(words, _)| words[0] == found);
        let Some(place) = place else {
            let near = nearest(found, SHAPES.iter().map(|(words, _)| words[0]));
            let near = near.and_then(|near| SHAPES.iter().find(|(words, _)| words[0] == near));
            let help = near.map_or_else(list, |(_, shape)| format!("did you mean `{shape}`?"));
            let what = format!("`{}` is no kind of fault", visible(found));
            return Err(self.problem(at, what, &help));
        };
        let (words, shape) = SHAPES[place];
        for word in &words[1..] {
            if self.next().is_none_or(|(_, found)| found != *word) {
                let what = format!("`{}` takes both words", words.join(" "));
                return Err(self.wrong(what, shape, first..self.at));
            }
        }
        Ok((place, shape))
    }

    /// Takes `on FEATURE` off the end.
    fn feature(&mut self) -> Result<Option<FeatureName>, Problem> {
        let rest = &self.words[self.at..];
        let Some(on) = rest.iter().position(|(_, word)| *word == "on") else { return Ok(None) };
        let on = self.at + on;
        let name: Vec<&str> = self.words[on + 1..].iter().map(|(_, word)| *word).collect();
        if name.is_empty() {
            let what = "on what? a feature's name is missing";
            return Err(self.wrong(what, "op 80 offset 1/32 on rail mortise depth", on..on + 1));
        }
        let name = name.join(" ");
        self.words.truncate(on);
        Ok(Some(FeatureName::new(name)))
    }

    /// The length, up to the next word that isn't part of it.
    fn length(&mut self, shape: &str) -> Result<Length, Problem> {
        let first = self.at;
        while self.words.get(self.at).is_some_and(|(_, word)| {
            !matches!(*word, "after" | "at" | "per" | "over" | "piece" | "the" | "batch")
        }) {
            self.at += 1;
        }
        if first == self.at {
            return Err(self.wrong("by how much? a length is missing", shape, first..first + 1));
        }
        let span = self.words[first].0.start..self.words[self.at - 1].0.end;
        let pointed = self.whole[span.clone()].replace(',', ".");
        let length = parse_written(&pointed, self.unit).map_err(|refused| {
            let at = span.start + refused.place.start..span.start + refused.place.end;
            let help = refused.help.unwrap_or_else(|| format!("such as `{shape}`"));
            self.problem(at, refused.what, &help)
        })?;
        if length.is_zero() {
            return Err(self.wrong("the length must not be zero", shape, first..self.at));
        }
        Ok(length)
    }

    fn grows(&mut self, shape: &str) -> Result<Grows, Problem> {
        let rest: Vec<&str> = self.words[self.at..].iter().map(|(_, word)| *word).collect();
        let grows = match rest.as_slice() {
            [] | ["over", "the", "batch"] => Grows::OverTheBatch,
            ["per", "piece"] => Grows::PerPiece,
            _ => {
                let what = "a creep grows `per piece` or `over the batch`";
                return Err(self.wrong(what, shape, self.at..usize::MAX));
            }
        };
        self.at = self.words.len();
        Ok(grows)
    }

    /// `after piece 5`, `at piece 7`.
    fn piece(&mut self, word: &str, shape: &str) -> Result<u32, Problem> {
        let help = format!("such as `{shape}`");
        self.fixed(word, &help)?;
        self.fixed("piece", &help)?;
        self.number("the piece", shape)
    }

    fn points(&mut self, shape: &str) -> Result<i32, Problem> {
        let first = self.at;
        let Some((at, found)) = self.next() else {
            let what = "by how many points of moisture?";
            return Err(self.wrong(what, shape, first..first + 1));
        };
        let number = found.strip_suffix('%').unwrap_or(found);
        let plain = number
            .trim_start_matches('-')
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
        let points = number.replace(',', ".").parse::<f64>().ok().filter(|_| plain);
        let hundredths = points.map(|points| (points * 100.0).round());
        match hundredths {
            Some(hundredths) if hundredths != 0.0 && hundredths.abs() <= 1000.0 => {
                Ok(hundredths as i32)
            }
            _ => {
                let what = "moisture changes by up to 10 points either way, and not by zero";
                Err(self.problem(at, what, &format!("such as `{shape}`")))
            }
        }
    }

    fn over(&self, shape: &str) -> Result<(), Problem> {
        if self.is_over() {
            return Ok(());
        }
        Err(self.wrong("this is not expected here", shape, self.at..usize::MAX))
    }
}

fn words(text: &str) -> Vec<Word<'_>> {
    let mut words = Vec::new();
    let mut from = None;
    for (at, letter) in text.char_indices().chain([(text.len(), ' ')]) {
        match (letter.is_whitespace(), from) {
            (false, None) => from = Some(at),
            (true, Some(start)) => {
                words.push((start..at, &text[start..at]));
                from = None;
            }
            _ => {}
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::super::fault::shapes;
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> Fault {
        Fault::parse(text, Unit::Inch).unwrap_or_else(|problem| panic!("{text:?}: {problem}"))
    }

    fn in_64ths(n: i64) -> Length {
        Length::inch_fraction(n, 64)
    }

    #[test]
    fn every_kind_of_fault_is_read() {
        for (text, what) in [
            ("op 60 offset 1/32", FaultKind::Offset(in_64ths(2))),
            ("op 60 offset -1 1/32", FaultKind::Offset(in_64ths(-66))),
            ("op 60 creep 1/64", FaultKind::Creep { by: in_64ths(1), grows: Grows::OverTheBatch }),
            (
                "op 60 creep 1/64 per piece",
                FaultKind::Creep { by: in_64ths(1), grows: Grows::PerPiece },
            ),
            (
                "op 60 step 0.5 mm after piece 5",
                FaultKind::Step { by: Length::MILLIMETRE / 2, after: 5 },
            ),
            ("op  60 slip 1/8 at piece 7 ", FaultKind::Slip { by: in_64ths(8), at: 7 }),
            ("op 60 double jog", FaultKind::DoubleJog),
            ("op 60 wrong face", FaultKind::WrongFace { at: None }),
            ("op 60 wrong face at piece 3", FaultKind::WrongFace { at: Some(3) }),
            ("op 60 stop dust", FaultKind::StopDust(in_64ths(1))),
            ("op 60 stop dust 1/32", FaultKind::StopDust(in_64ths(2))),
            ("op 60 gauge zero -0.012", FaultKind::GaugeZero(Length::thousandths(-12))),
            (
                "op 60 belt change -0.006 after piece 9",
                FaultKind::BeltChange { by: Length::thousandths(-6), after: 9 },
            ),
            ("op 60 movement overnight -1.5%", FaultKind::Overnight { hundredths: -150 }),
        ] {
            assert_eq!(read(text), Fault { op: 60, kind: what, on: None }, "{text}");
        }
        let on = read("op 80 offset 1/32 on rail mortise depth").on;
        assert_eq!(on.as_deref(), Some("rail mortise depth"));
    }

    /// As short as it can be written, and never another number.
    #[test]
    fn points_of_moisture_are_written_without_needless_digits() {
        for points in ["2", "-1.5", "0.5", "0.25", "1.05"] {
            let text = format!("op 60 movement overnight {points}");
            assert_eq!(read(&text).written(Unit::Inch), text);
        }
    }

    #[test]
    fn every_shape_that_help_shows_is_one() {
        assert!(shapes().all(|shape| Fault::parse(shape, Unit::Inch).is_ok()));
    }

    /// The words at the place, and the message about them.
    #[test]
    fn mistakes_are_reported_at_their_place() {
        for (text, at, said) in [
            ("", "", "`op` is missing"),
            ("60 creep 1/64", "60", "every fault begins with its operation"),
            ("op sixty creep 1/64", "sixty", "a whole number from 1"),
            ("op 0 creep 1/64", "0", "a whole number from 1"),
            ("op 60", "", "what goes wrong there?"),
            ("op 60 crep 1/64", "crep", "did you mean `op 60 creep 1/64 over the batch`?"),
            ("op 60 warp 1/64", "warp", "one of: offset, creep, step"),
            ("op 60 double", "double", "`double jog` takes both words"),
            ("op 60 creep", "", "a length is missing"),
            ("op 60 creep 1/0", "0", "the bottom of a fraction can't be 0"),
            ("op 60 creep 0", "0", "must not be zero"),
            ("op 60 creep 1/64 a piece", "a", "is not a unit"),
            ("op 60 creep 1/64 per batch", "per batch", "`per piece`"),
            ("op 60 step 1/32", "", "`after` is missing"),
            ("op 60 step 1/32 at piece 5", "at", "`after` is expected here"),
            ("op 60 slip 1/8 at piece 0", "0", "a whole number from 1"),
            ("op 60 offset 1/32 at piece 5", "at piece 5", "not expected here"),
            ("op 60 stop dust -1/64", "-1/64", "greater than zero"),
            ("op 60 movement overnight 90", "90", "up to 10 points"),
            ("op 60 movement overnight", "", "how many points"),
            ("op 80 offset 1/32 on", "on", "a feature's name is missing"),
            ("op 50 double jog on thickness", "", "the whole piece"),
        ] {
            let problem = Fault::parse(text, Unit::Inch).expect_err(text);
            let span = problem.place.at.clone().expect("a place").span;
            // No more and no less, where a word is to blame.
            assert!(at.is_empty() || text[span.clone()] == *at, "{text:?}: {:?}", &text[span]);
            assert!(problem.to_string().contains(said), "{text:?}: {problem}");
        }
    }

    fn any_length() -> impl Strategy<Value = Length> {
        prop_oneof![
            (-2_000_000_000_i64..2_000_000_000).prop_map(Length::from_nanometres),
            (-640_i64..640).prop_map(in_64ths),
        ]
        .prop_filter("a fault of zero is none", |length| !length.is_zero())
    }

    fn any_what() -> impl Strategy<Value = FaultKind> {
        let piece = || 1..5000_u32;
        prop_oneof![
            any_length().prop_map(FaultKind::Offset),
            (any_length(), any::<bool>()).prop_map(|(by, each)| FaultKind::Creep {
                by,
                grows: if each { Grows::PerPiece } else { Grows::OverTheBatch },
            }),
            (any_length(), piece()).prop_map(|(by, after)| FaultKind::Step { by, after }),
            (any_length(), piece()).prop_map(|(by, at)| FaultKind::Slip { by, at }),
            Just(FaultKind::DoubleJog),
            prop::option::of(piece()).prop_map(|at| FaultKind::WrongFace { at }),
            any_length().prop_map(|dust| FaultKind::StopDust(dust.abs())),
            any_length().prop_map(FaultKind::GaugeZero),
            (any_length(), piece()).prop_map(|(by, after)| FaultKind::BeltChange { by, after }),
            (1..=1000_i32, any::<bool>())
                .prop_map(|(n, dry)| FaultKind::Overnight { hundredths: if dry { -n } else { n } }),
        ]
    }

    proptest! {
        /// Always: A length that is printed reads back the same.
        #[test]
        fn what_is_written_reads_back_the_same(
            op in 1..10_000_u32,
            what in any_what(),
            on in prop::option::of("[a-z]{1,9}( (front|width|3/8)){0,2}"),
        ) {
            let whole_piece = matches!(what, FaultKind::DoubleJog | FaultKind::Overnight { .. });
            let fault = Fault { op, kind: what, on: on.filter(|_| !whole_piece).map(FeatureName::new) };
            for unit in [Unit::Inch, Unit::Millimetre] {
                let text = fault.written(unit);
                prop_assert_eq!(Fault::parse(&text, unit), Ok(fault.clone()), "{}", text);
            }
        }

        /// Always: No typed text makes the program panic.
        #[test]
        fn random_text_never_panics(
            text in any::<String>(),
            near in "(op|60|creep|1/64|on|at|piece| ){0,9}",
        ) {
            for text in [text, near] {
                if let Err(problem) = Fault::parse(&text, Unit::Inch) {
                    prop_assert!(!problem.render("--fault", &text).is_empty());
                }
            }
        }
    }
}
