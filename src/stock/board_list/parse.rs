//! What people type of a board, one thing at a time: sizes, flaws, its wood.
//! Knows nothing of lists, files or of what is cut from it.

use std::collections::BTreeSet;
use std::fmt;
use std::ops::Range;

use crate::measure::{Entry, Length, Unit, parse_entry};
use crate::operation::words;
use crate::prose::{Message, Span, nearest, quoted};
use crate::route::Route;
use crate::shop::Shop;
use crate::stock::board::{Flaw, FlawKind, Ruling, Stretch};
use crate::wood::{Moisture, Species};

/// Longer names than these are a slip, or no name.
const LONGEST_NAME: usize = 24;
const LONGEST_WOOD: usize = 60;
/// A board with more flaws than this is firewood.
pub const MOST_FLAWS: usize = 100;

/// Why a text can't be meant: which bytes of it, what is wrong, what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misread {
    pub at: Range<usize>,
    pub what: String,
    pub help: Option<String>,
}

impl Misread {
    fn new(at: Range<usize>, what: impl Into<String>) -> Misread {
        Misread { at, what: what.into(), help: None }
    }

    fn help(self, help: impl Into<String>) -> Misread {
        Misread { help: Some(help.into()), ..self }
    }

    fn moved(self, by: usize) -> Misread {
        Misread { at: self.at.start + by..self.at.end + by, ..self }
    }
}

impl From<Message<Span>> for Misread {
    fn from(not: Message<Span>) -> Misread {
        Misread { at: not.place, what: not.what, help: not.help }
    }
}

impl fmt::Display for Misread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what)?;
        match &self.help {
            Some(help) => write!(f, "; {help}"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for Misread {}

/// What bare numbers and names of woods mean here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Terms {
    /// The unit of a bare number.
    pub unit: Unit,
    /// Woods by the names the route and the price list have for them.
    pub woods: Vec<String>,
    /// The wood of a board of which nobody says which it is.
    pub wood: Option<String>,
}

impl Terms {
    /// Those of a route and of a shop's price list.
    pub fn of(route: &Route, shop: &Shop) -> Terms {
        let bought = route.parts.iter().filter(|part| part.assembled_from.is_empty());
        let own: BTreeSet<&str> = bought
            .flat_map(|part| {
                let several = part.blank.woods.keys().map(String::as_str);
                part.species.as_deref().into_iter().chain(several)
            })
            .collect();
        let wood = match own.iter().collect::<Vec<_>>().as_slice() {
            [only] => Some((**only).to_owned()),
            _ => None,
        };
        let priced = shop.lumber.woods.keys().map(String::as_str);
        let priced = priced.filter(|name| !own.contains(name)).map(str::to_owned);
        let woods = own.iter().map(|name| (*name).to_owned()).chain(priced).collect();
        Terms { unit: route.unit, woods, wood }
    }

    /// A wood by its name, as the route spells it where the route has it.
    pub fn species(&self, text: &str) -> Result<String, Misread> {
        let at = 0..text.len();
        let text = text.trim();
        if text.is_empty() {
            let help = format!("write one, such as {}", self.an_example());
            return Err(Misread::new(at, "there is no wood here").help(help));
        }
        if text.chars().count() > LONGEST_WOOD {
            return Err(Misread::new(at, format!("no wood is called {}", quoted(text))));
        }
        let alike = |name: &&String| name.eq_ignore_ascii_case(text);
        if let Some(name) = self.woods.iter().find(alike) {
            return Ok(name.clone());
        }
        if let Some(found) = Species::named(text) {
            let same =
                |name: &&String| Species::named(name).is_some_and(|own| std::ptr::eq(own, found));
            let own = self.woods.iter().find(same).cloned();
            return Ok(own.unwrap_or_else(|| found.name().to_owned()));
        }
        let known = Species::every_name().map(str::to_owned);
        let names: Vec<String> = self.woods.iter().cloned().chain(known).collect();
        let names = names.iter().map(String::as_str);
        let misread = Misread::new(at, format!("there is no wood {}", quoted(text)));
        // `oak` where the route is of white oak is no slip for teak.
        let own = self.woods.iter().find(|wood| {
            let word = |word: &str| word.eq_ignore_ascii_case(text);
            wood.split_whitespace().any(word)
        });
        let near = own.map(String::as_str).or_else(|| nearest(text, names));
        Err(match (near, Species::with_words(text).as_slice()) {
            (Some(near), _) => misread.help(format!("did you mean `{near}`?")),
            (None, several @ ([_] | [_, _] | [_, _, _] | [_, _, _, _])) => {
                misread.help(format!("which of these: {}?", several.join(", ")))
            }
            (None, _) => misread.help(match &self.wood {
                Some(wood) => {
                    format!("this route is of {wood}; `benchway wood species` has others")
                }
                None => {
                    "`benchway wood species` lists those that are known; the shop's price list \
                         may name others"
                        .to_owned()
                }
            }),
        })
    }

    fn an_example(&self) -> &str {
        self.woods.first().map_or("white oak", String::as_str)
    }
}

/// What is chalked on a board's end.
pub fn parse_name(text: &str) -> Result<String, Misread> {
    let at = 0..text.len();
    let text = text.trim();
    let misread = if text.is_empty() {
        Misread::new(at, "there is no name here").help("write what is chalked on its end: B1")
    } else if text.chars().count() > LONGEST_NAME {
        let what = format!("a board's name has no more than {LONGEST_NAME} letters");
        Misread::new(at, what).help("write what is chalked on its end: B1")
    } else if text.contains([',', ':', ';']) {
        let what = format!("{} can't be a board's name", quoted(text));
        Misread::new(at, what).help("leave out `,`, `:` and `;`: names stand in lists")
    } else if text.contains(char::is_control) {
        Misread::new(at, format!("{} can't be chalked on a board", quoted(text)))
    } else {
        return Ok(text.to_owned());
    };
    Err(misread)
}

/// What it was sold as: `8/4`.
pub fn parse_class(text: &str) -> Result<Option<String>, Misread> {
    let at = 0..text.len();
    let text = text.trim();
    if text.chars().count() > LONGEST_NAME || text.contains(char::is_control) {
        let what = format!("{} is no class of lumber", quoted(text));
        return Err(Misread::new(at, what).help("write what it was sold as: 8/4"));
    }
    Ok((!text.is_empty()).then(|| text.to_owned()))
}

/// A length as it is typed; strong and shy are half a sixteenth, or half a
/// millimetre, as on a tape.
pub fn parse_size(text: &str, unit: Unit) -> Result<Length, Misread> {
    let mark = match unit {
        Unit::Inch => Length::inch_fraction(1, 16),
        Unit::Millimetre => Length::MILLIMETRE,
    };
    Ok(parse_entry(text, &Entry { bare: unit, mark: Some(mark) })?.value)
}

/// Moisture in percent: `7.5`, `7,5 %`.
pub fn parse_moisture(text: &str) -> Result<f64, Misread> {
    let at = 0..text.len();
    let number = text.trim().trim_end_matches('%').trim_end().replace(',', ".");
    let figures = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+');
    let read = number.parse::<f64>().ok().filter(|_| number.chars().all(figures));
    match read {
        None => {
            let what = format!("{} is no moisture", quoted(text.trim()));
            Err(Misread::new(at, what).help("write it in percent: 7.5"))
        }
        Some(percent) if percent < 0.0 => {
            let help = "check the meter, or leave the field empty";
            Err(Misread::new(at, "no wood has less than 0 % of moisture").help(help))
        }
        Some(percent) if percent > Moisture::MOST => {
            let what = format!(
                "{} %: above {} % wood is full of water, and this board is wet",
                quoted(number.trim()).trim_matches('`'),
                Moisture::MOST
            );
            Err(Misread::new(at, what).help("check the meter; a wet board waits"))
        }
        Some(percent) => Ok(percent),
    }
}

/// Words of the trade for what is one of the three here.
const ALSO: [(&str, &str); 10] = [
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
    pub const ALL: [FlawKind; 3] = [FlawKind::Knot, FlawKind::Split, FlawKind::Other];

    /// As it is typed.
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

    /// As it is typed.
    pub fn word(self) -> &'static str {
        match self {
            Ruling::Around => "around",
            Ruling::Hidden => "hidden",
            Ruling::Fill => "fill",
        }
    }
}

/// A ruling by its word.
pub fn ruling(word: &str) -> Option<Ruling> {
    Ruling::ALL.into_iter().find(|ruling| ruling.word().eq_ignore_ascii_case(word))
}

/// How a flaw is written, for whoever wrote it otherwise.
const SHOWN: &str = "write it as `knot 31 to 33`, from the marked end, or as `knot 31 to 33 at 0 \
                     to 2` where it does not go right across";

/// Every flaw of a text: `knot 31 to 33 at 0 to 2; split 0 to 6`.
pub fn parse_flaws(text: &str, unit: Unit) -> Result<Vec<Flaw>, Vec<Misread>> {
    let (mut flaws, mut misread) = (Vec::new(), Vec::new());
    let mut start = 0;
    for part in text.split(';') {
        if !part.trim().is_empty() {
            match parse_flaw(part, unit) {
                Ok(flaw) => flaws.push(flaw),
                Err(error) => misread.push(error.moved(start)),
            }
        }
        if flaws.len() + misread.len() > MOST_FLAWS {
            let what = format!("more than {MOST_FLAWS} flaws on one board");
            return Err(vec![Misread::new(0..text.len(), what)]);
        }
        start += part.len() + 1;
    }
    if misread.is_empty() { Ok(flaws) } else { Err(misread) }
}

/// One flaw: what it is, from where to where along the board, perhaps `at`
/// where across it, and perhaps what is ruled about it.
pub fn parse_flaw(text: &str, unit: Unit) -> Result<Flaw, Misread> {
    let mut words = spans(text);
    let Some(first) = words.first().cloned() else {
        return Err(Misread::new(0..text.len(), "there is no flaw here").help(SHOWN));
    };
    let kind = kind(text, first.clone())?;
    words.remove(0);
    let mut ruled = Ruling::default();
    if let Some(last) = words.last().cloned() {
        if let Some(found) = ruling(&text[last.clone()]) {
            ruled = found;
            words.pop();
        } else if let Some(near) = nearest(&text[last.clone()], Ruling::ALL.map(Ruling::word)) {
            let what = format!("{} is no ruling", quoted(&text[last.clone()]));
            return Err(Misread::new(last, what).help(format!("did you mean `{near}`?")));
        }
    }
    let is = |word: &Range<usize>, name: &str| text[word.clone()].eq_ignore_ascii_case(name);
    let (along, across) = match words.iter().position(|word| is(word, "at")) {
        Some(at) => (&words[..at], Some((&words[at], &words[at + 1..]))),
        None => (words.as_slice(), None),
    };
    let whole = first.start..text.trim_end().len();
    let along = stretch(text, along, whole, unit)?;
    let across = across.map(|(at, words)| stretch(text, words, at.clone(), unit)).transpose()?;
    Ok(Flaw { kind, along, across, ruling: ruled })
}

fn kind(text: &str, at: Range<usize>) -> Result<FlawKind, Misread> {
    let word = &text[at.clone()];
    let same = |name: &str| name.eq_ignore_ascii_case(word);
    if let Some(kind) = FlawKind::ALL.into_iter().find(|kind| same(kind.word())) {
        return Ok(kind);
    }
    let what = format!("{} is no kind of flaw", quoted(word));
    let misread = Misread::new(at, what);
    if let Some((_, here)) = ALSO.iter().find(|(name, _)| same(name)) {
        return Err(misread.help(format!("it counts as `{here}` here: write that")));
    }
    Err(match nearest(word, FlawKind::ALL.map(FlawKind::word)) {
        Some(near) => misread.help(format!("did you mean `{near}`?")),
        None => misread.help("a flaw is a `knot`, a `split` or `other`"),
    })
}

/// `31 to 33` in these words; `none` is what to point at when there are none.
fn stretch(
    text: &str,
    words_of_it: &[Range<usize>],
    none: Range<usize>,
    unit: Unit,
) -> Result<Stretch, Misread> {
    let (Some(first), Some(last)) = (words_of_it.first(), words_of_it.last()) else {
        return Err(Misread::new(none, "from where to where is missing").help(SHOWN));
    };
    let whole = first.start..last.end;
    let is_to = |word: &&Range<usize>| text[(*word).clone()].eq_ignore_ascii_case("to");
    let mut between = words_of_it.iter().filter(is_to);
    let to = match (between.next(), between.next()) {
        (Some(to), None) => to.clone(),
        (None, _) => {
            let what = format!("{} is no stretch", quoted(&text[whole.clone()]));
            return Err(Misread::new(whole, what).help("write from where to where: `31 to 33`"));
        }
        (Some(_), Some(second)) => {
            let what = "one `to` too many";
            return Err(Misread::new(second.clone(), what)
                .help("put `;` between two flaws, and `at` before where it lies across"));
        }
    };
    let (from_text, to_text) = (&text[whole.start..to.start], &text[to.end..whole.end]);
    // `780 to 830 mm` means millimetres twice.
    let told = from_text.contains(|c: char| c.is_alphabetic() || "'\"′″".contains(c));
    let unit_word = to_text.trim_end().rsplit(|c: char| !c.is_alphabetic()).next();
    let from = match unit_word.filter(|word| !told && !word.is_empty()) {
        Some(word) => parse_size(&format!("{} {word}", from_text.trim_end()), unit)
            .map_err(|error| Misread { at: 0..from_text.trim_end().len(), ..error }),
        None => parse_size(from_text, unit),
    };
    let from = from.map_err(|error| error.moved(whole.start))?;
    let until = parse_size(to_text, unit).map_err(|error| error.moved(to.end))?;
    if from.is_negative() || until.is_negative() {
        let what = "places on a board are not negative";
        return Err(Misread::new(whole, what)
            .help("they are measured from its marked end and its marked edge"));
    }
    let spoken = |length| words(length, unit);
    if until < from {
        let what = format!("it runs backwards, from {} to {}", spoken(from), spoken(until));
        let help = format!("write {} to {}", until.written(unit), from.written(unit));
        return Err(Misread::new(whole, what).help(help));
    }
    if until == from {
        let what = format!("it begins and ends at {}", spoken(from));
        return Err(Misread::new(whole, what).help("give it the room a cut must keep from it"));
    }
    Ok(Stretch { from, to: until })
}

/// Where each word of a text stands.
fn spans(text: &str) -> Vec<Range<usize>> {
    let start = text.as_ptr() as usize;
    let at = |word: &str| word.as_ptr() as usize - start;
    text.split_whitespace().map(|word| at(word)..at(word) + word.len()).collect()
}

/// Flaws as they are typed: what [`parse_flaws`] reads back as the same.
pub fn format_flaws(flaws: &[Flaw], unit: Unit) -> String {
    let written: Vec<String> = flaws.iter().map(|flaw| flaw.written(unit)).collect();
    written.join("; ")
}

impl Flaw {
    /// As it is typed: what [`parse_flaw`] reads back as the same.
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
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn inches(n: i64, d: i64) -> Length {
        Length::inch_fraction(n, d)
    }

    fn along(from: Length, to: Length) -> Flaw {
        let along = Stretch { from, to };
        Flaw { kind: FlawKind::Knot, along, across: None, ruling: Ruling::Around }
    }

    #[test]
    fn a_flaw_in_every_form() {
        let plain = along(inches(31, 1), inches(33, 1));
        for text in ["knot 31 to 33", " Knot 31 TO 33 ", "knot 31in to 33 in", "knot 31 to 33in"] {
            assert_eq!(parse_flaw(text, Unit::Inch), Ok(plain.clone()), "{text:?}");
        }
        // Mixed numbers keep their hyphen: nothing else here is written with one.
        let mixed = Flaw {
            kind: FlawKind::Split,
            along: Stretch { from: inches(81, 2), to: inches(169, 4) },
            across: Some(Stretch { from: Length::ZERO, to: inches(2, 1) }),
            ruling: Ruling::Fill,
        };
        for text in ["split 40-1/2 to 42 1/4 at 0 to 2 fill", "split 40.5 to 42.25 at 0 to 2 fill"]
        {
            assert_eq!(parse_flaw(text, Unit::Inch), Ok(mixed.clone()), "{text:?}");
        }
    }

    #[test]
    fn the_unit_at_the_end_is_meant_twice() {
        let millimetres = |n| Length::MILLIMETRE * n;
        for text in ["knot 780 to 830 mm", "knot 780mm to 830 mm", "knot 78 to 83cm"] {
            let flaw = parse_flaw(text, Unit::Inch).unwrap();
            assert_eq!(flaw.along, Stretch { from: millimetres(780), to: millimetres(830) });
        }
        // 2 ft and 3 ft in inches.
        let feet = parse_flaw("knot 2 to 3 ft", Unit::Inch).unwrap();
        assert_eq!(feet.along, Stretch { from: inches(24, 1), to: inches(36, 1) });
    }

    #[test]
    fn slips_are_answered_in_words() {
        for (text, words) in [
            ("", "there is no flaw here"),
            ("knott 31 to 33", "`knott` is no kind of flaw; did you mean `knot`?"),
            ("wane 31 to 33", "it counts as `other` here: write that"),
            ("31 to 33", "`31` is no kind of flaw; a flaw is a `knot`, a `split` or `other`"),
            ("knot", "from where to where is missing"),
            ("knot 31-33", "`31-33` is no stretch; write from where to where: `31 to 33`"),
            ("knot 33 to 31", "it runs backwards, from 33 in to 31 in; write 31 to 33"),
            ("knot 31 to 31", "it begins and ends at 31 in"),
            ("knot -1 to 3", "places on a board are not negative"),
            ("knot 31 to 33 hiden", "`hiden` is no ruling; did you mean `hidden`?"),
            ("knot 31 to 33 at", "from where to where is missing"),
            ("knot 31 to 33 split 40 to 41", "one `to` too many; put `;` between two flaws"),
            ("knot 31 to 3x", "`x` is not a unit"),
        ] {
            match parse_flaw(text, Unit::Inch) {
                Ok(flaw) => panic!("{text:?} was read as {flaw:?}"),
                Err(error) => {
                    assert!(error.to_string().contains(words), "{text:?}: {error}");
                    assert!(text.get(error.at.clone()).is_some(), "{text:?}: {error:?}");
                }
            }
        }
    }

    #[test]
    fn every_slip_of_a_row_of_flaws_is_told() {
        let text = "knot 31 to 33; nkot 1 to 2; split 5 to 4";
        let errors = parse_flaws(text, Unit::Inch).unwrap_err();
        let shown: Vec<&str> = errors.iter().map(|error| &text[error.at.clone()]).collect();
        assert_eq!(shown, ["nkot", "5 to 4"]);
        let many = "knot 1 to 2;".repeat(MOST_FLAWS + 1);
        assert_eq!(parse_flaws(&many, Unit::Inch).unwrap_err().len(), 1);
    }

    #[test]
    fn moistures() {
        for (text, percent) in [("7.5", 7.5), ("7,5", 7.5), (" 8 % ", 8.0), ("30", 30.0)] {
            assert_eq!(parse_moisture(text), Ok(percent), "{text:?}");
        }
        for (text, words) in [
            ("31", "31 %: above 30 % wood is full of water, and this board is wet"),
            ("-1", "less than 0 %"),
            ("dry", "`dry` is no moisture"),
            ("nan", "`nan` is no moisture"),
            ("1e1", "`1e1` is no moisture"),
        ] {
            assert!(parse_moisture(text).unwrap_err().to_string().contains(words), "{text:?}");
        }
    }

    #[test]
    fn woods_by_any_of_their_names() {
        let woods = vec!["ash".to_owned(), "pearwood".to_owned()];
        let terms = Terms { unit: Unit::Inch, woods, wood: None };
        assert_eq!(terms.species("Ash"), Ok("ash".to_owned()));
        // One wood, two names: the route's is the one that will match its parts.
        assert_eq!(terms.species("white ash"), Ok("ash".to_owned()));
        assert_eq!(terms.species("pearwood"), Ok("pearwood".to_owned()));
        assert_eq!(terms.species("walnut"), Ok("black walnut".to_owned()));
        let error = terms.species("wite oak").unwrap_err().to_string();
        assert_eq!(error, "there is no wood `wite oak`; did you mean `white oak`?");
        assert!(terms.species("plastic").unwrap_err().to_string().contains("price list"));
        assert!(terms.species(&"a".repeat(1 << 20)).is_err());
    }

    fn place() -> impl Strategy<Value = i64> {
        // Sixteenths, hundredths of a millimetre, and any nanometre.
        prop_oneof![
            (0..4000i64).prop_map(|n| n * 1_587_500),
            (0..300_000i64).prop_map(|n| n * 10_000),
            0..3_000_000_000i64,
        ]
    }

    fn any_stretch() -> impl Strategy<Value = Stretch> {
        (place(), place()).prop_filter_map("it has a length", |(a, b)| {
            let [from, to] = [a.min(b), a.max(b)].map(Length::from_nanometres);
            (from < to).then_some(Stretch { from, to })
        })
    }

    fn any_flaw() -> impl Strategy<Value = Flaw> {
        let kind = proptest::sample::select(vec![FlawKind::Knot, FlawKind::Split, FlawKind::Other]);
        let ruling = proptest::sample::select(Ruling::ALL.to_vec());
        let across = proptest::option::of(any_stretch());
        (kind, any_stretch(), across, ruling).prop_map(|(kind, along, across, ruling)| Flaw {
            kind,
            along,
            across,
            ruling,
        })
    }

    proptest! {
        #[test]
        fn flaws_that_are_written_read_back_the_same(
            all in proptest::collection::vec(any_flaw(), 0..6),
        ) {
            for unit in [Unit::Inch, Unit::Millimetre] {
                let text = format_flaws(&all, unit);
                prop_assert_eq!(parse_flaws(&text, unit), Ok(all.clone()), "{}", text);
            }
        }

        #[test]
        fn random_text_is_no_flaw_and_no_panic(text in any::<String>()) {
            if let Err(error) = parse_flaw(&text, Unit::Inch) {
                prop_assert!(text.get(error.at).is_some());
            }
            let _ = (parse_flaws(&text, Unit::Millimetre), parse_moisture(&text), parse_name(&text), parse_class(&text));
        }

        #[test]
        fn text_of_the_right_words_never_panics(
            text in "(knot|split|at|to|fill|31|1/2|40-1/2|;|mm|in|-|'|é| ){0,12}",
        ) {
            match parse_flaws(&text, Unit::Inch) {
                Ok(_) => {}
                Err(errors) => {
                    for error in errors {
                        prop_assert!(text.get(error.at).is_some());
                    }
                }
            }
        }
    }
}
