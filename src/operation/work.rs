//! The question put to an operation: this piece, at this machine, with this
//! tool.

use std::collections::BTreeMap;

use super::blank::Blank;
use super::feature::{FeatureName, LENGTH, THICKNESS, WIDTH};
use super::outcome::{Finding, Trouble};
use super::reader::Keyed;
use super::words::words;
use crate::formula::{DimensionKind, Kind, Scope};
use crate::measure::{Length, Readout, Shows, Unit};
use crate::prose::{Message, Span, nearest};
use crate::shop::{Machine, MachineLeast, Tool};
use crate::wood::{Hardness, Species};

/// The finest marks of a plain rule in inches (common practice, no source).
const RULE_INCH: Length = Length::inch_fraction(1, 32);
/// The finest marks of a plain rule in millimetres (common practice, no source).
const RULE_MILLIMETRE: Length = Length::from_nanometres(Length::MILLIMETRE.nanometres() / 2);
/// A piece shorter than this brings fingers too near the blade (common practice, no source).
pub(super) const SHORT_PIECE: Length = Length::from_nanometres(6 * Length::INCH.nanometres());
/// Pieces that differ by more than this in thickness make joints that differ
/// visibly (common practice, no source).
pub(super) const ALIKE: Length = Length::thousandths(4);

/// The shortest piece a later machine takes before the length is cut, and
/// which machine that is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShortestPiece {
    /// The shortest piece it takes.
    pub length: Length,
    /// The name of the machine.
    pub machine: String,
}

/// The least that must be left of a feature for the operations to come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftForLater {
    /// How much.
    pub least: Length,
    /// The number of the next operation that takes wood off it; none where only
    /// the finished size wants it.
    pub op: Option<u32>,
}

/// What flattening still takes off the faces of a piece: nothing off one that
/// a machine has flattened.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RoughFaces {
    /// Off the first face.
    pub face: Option<Length>,
    /// Off the face opposite.
    pub other_face: Option<Length>,
}

/// These pieces at this machine with this tool: all an operation may know when
/// it works out its settings.
pub struct Work<'a> {
    /// The route's unit.
    pub unit: Unit,
    /// What the machine is called.
    pub at: Option<&'a str>,
    /// The machine itself, where the operation is done at one.
    pub machine: Option<&'a Machine>,
    /// The unit of the shop file's bare numbers.
    pub shop_unit: Unit,
    /// The name of the tool, where one is chosen.
    pub tool_name: Option<&'a str>,
    /// The tool, where one is chosen.
    pub tool: Option<&'a Tool>,
    /// The piece as it comes to the machine.
    pub blank: &'a Blank,
    /// Finished sizes of the part.
    pub finish: BTreeMap<FeatureName, Length>,
    /// How hard its wood is, by which a pass may take more or less.
    pub hardness: Hardness,
    /// Whether the piece comes out of parts made before: a panel, a frame.
    pub assembled: bool,
    /// What the part is made of.
    pub species: Option<&'a str>,
    /// How far to aim to the side that can still be cut.
    pub aim: Length,
    /// The values of the names in formulas.
    pub scope: &'a dyn Scope,
    /// Where a name's value comes from, in words.
    pub source: &'a dyn Fn(&str) -> Option<String>,
    /// The shortest piece a later machine takes, where one is given.
    pub shortest_later: Option<ShortestPiece>,
    /// What flattening still takes off its faces.
    pub rough: RoughFaces,
    /// The least that must be left of each feature for what comes later, where
    /// an operation takes off as much as it must and no more.
    pub left_for_later: BTreeMap<FeatureName, LeftForLater>,
    /// Whether the marks on its faces come off here and later work looks for them.
    pub marks_come_off: bool,
}

impl Work<'_> {
    /// What to do where the marks on the faces come off and are needed again.
    pub(super) fn mark_again(&self) -> Option<String> {
        let again = "The marks come off here: mark the face side and the face edge again.";
        self.marks_come_off.then(|| again.to_owned())
    }

    /// A formula's length for these pieces.
    pub fn length(&self, keyed: &Keyed) -> Result<Length, Trouble> {
        let value =
            keyed.formula.evaluate(self.scope).map_err(|error| self.trouble(keyed, error))?;
        value.length_in(self.unit).ok_or_else(|| {
            let whole = 0..keyed.formula.text().len();
            let what = format!("this must be a length, but it is {}", value.kind);
            self.trouble(keyed, Message::error(what).at(whole))
        })
    }

    /// A length that may be left out.
    pub fn optional(&self, keyed: &Option<Keyed>) -> Result<Option<Length>, Trouble> {
        keyed.as_ref().map(|keyed| self.length(keyed)).transpose()
    }

    /// A length that must be greater than zero.
    pub fn size(&self, keyed: &Keyed) -> Result<Length, Trouble> {
        let length = self.length(keyed)?;
        if length > Length::ZERO {
            return Ok(length);
        }
        let at = 0..keyed.formula.text().len();
        let what = format!("comes to {}, but a size must be greater than zero", self.words(length));
        Err(self.trouble(keyed, Message::error(what).at(at)))
    }

    /// A formula's plain number for these pieces, zero or more.
    pub fn number(&self, keyed: &Keyed) -> Result<f64, Trouble> {
        let value = keyed.formula.evaluate_as(DimensionKind::Count, self.scope);
        let amount = value.map_err(|error| self.trouble(keyed, error))?.amount;
        if amount >= 0.0 {
            return Ok(amount);
        }
        let at = 0..keyed.formula.text().len();
        let what = format!("comes to {amount}, but must be zero or more");
        Err(self.trouble(keyed, Message::error(what).at(at)))
    }

    /// How many of something, one to five hundred.
    pub fn count(&self, keyed: &Keyed) -> Result<i64, Trouble> {
        let amount = self.number(keyed)?;
        if amount.fract() == 0.0 && (1.0..=500.0).contains(&amount) {
            return Ok(amount as i64);
        }
        let at = 0..keyed.formula.text().len();
        let what = format!("comes to {amount}, but must be a whole number from 1 to 500");
        Err(self.trouble(keyed, Message::error(what).at(at)))
    }

    /// A wood of which is known how it moves, or that it isn't.
    pub fn wood(&self, name: &str) -> Result<&'static Species, Finding> {
        Species::named(name).ok_or_else(|| {
            let meant = match Species::with_words(name).as_slice() {
                [] => nearest(name, Species::every_name()).map(str::to_owned),
                kinds => Some(kinds.join(", ")),
            };
            let fix = match meant {
                Some(meant) => format!("is it {meant}? `benchway wood species` lists them all"),
                None => {
                    "calculate with a similar wood; `benchway wood species` lists them".to_owned()
                }
            };
            Finding::warning(format!("the movement of `{name}` with moisture is unknown")).help(fix)
        })
    }

    /// A formula's angle in degrees; a bare number counts as degrees.
    pub(super) fn degrees(&self, keyed: &Keyed) -> Result<f64, Trouble> {
        let value =
            keyed.formula.evaluate(self.scope).map_err(|error| self.trouble(keyed, error))?;
        match value.kind {
            Kind::ANGLE => Ok(value.amount.to_degrees()),
            Kind::PLAIN => Ok(value.amount),
            kind => {
                let at = 0..keyed.formula.text().len();
                let what = format!("this must be an angle, but it is {kind}");
                Err(self.trouble(keyed, Message::error(what).at(at)))
            }
        }
    }

    fn trouble(&self, keyed: &Keyed, error: Message<Span>) -> Trouble {
        Trouble { key: keyed.key, error }
    }

    /// A length in a sentence, in the unit of the route.
    pub fn words(&self, length: Length) -> String {
        words(length, self.unit)
    }

    /// A rule of thumb in the route's own unit: neither is the other converted.
    pub(super) fn either(&self, inches: &'static str, millimetres: &'static str) -> &'static str {
        match self.unit {
            Unit::Inch => inches,
            Unit::Millimetre => millimetres,
        }
    }

    /// How far from the ends a thickness is measured, clear of snipe.
    pub(super) fn clear_of_ends(&self) -> &'static str {
        self.either("4 in", "100 mm")
    }

    pub(super) fn short_piece_caution(&self) -> String {
        let short = self.either("6 in", "150 mm");
        format!("Under {short}: hold it with a hold-down, not with fingers.")
    }

    /// How thick the base of the sled under the piece is; zero without a sled.
    pub(super) fn sled(&self) -> Length {
        self.machine.and_then(|machine| machine.sled_base).unwrap_or(Length::ZERO)
    }

    /// The scale of that name, or a plain rule where the machine has none.
    pub fn readout(&self, scale: &str) -> Readout {
        self.machine.and_then(|machine| machine.readout(scale, self.shop_unit)).unwrap_or(
            match self.unit {
                Unit::Inch => Readout { unit: Unit::Inch, step: RULE_INCH, shows: Shows::Fraction },
                Unit::Millimetre => {
                    Readout { unit: Unit::Millimetre, step: RULE_MILLIMETRE, shows: Shows::Decimal }
                }
            },
        )
    }

    /// Where the numbers of several formulas come from, joined in order.
    pub fn chains<'k>(&self, keyed: impl IntoIterator<Item = &'k Keyed>) -> String {
        let chains: Vec<String> = keyed.into_iter().map(|keyed| self.chain(keyed)).collect();
        chains.join(" and ")
    }

    /// Where the number of a formula comes from:
    /// `leg_square + 1/16 <- leg_square 1 5/8, planned`.
    pub fn chain(&self, keyed: &Keyed) -> String {
        let mut names: Vec<&str> = Vec::new();
        for (name, _) in keyed.formula.names() {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let from: Vec<String> = names.iter().filter_map(|name| (self.source)(name)).collect();
        let text = keyed.formula.text();
        if from.is_empty() { text.to_owned() } else { format!("{text} <- {}", from.join(", ")) }
    }

    /// Whether the machine may take this piece at all.
    pub fn machine_limits(&self) -> Vec<Finding> {
        self.limits_across(WIDTH)
    }

    /// The same for a piece on its edge: `across` is the size that is across
    /// the cutter.
    pub(super) fn limits_across(&self, across: &str) -> Vec<Finding> {
        let (Some(machine), Some(at)) = (self.machine, self.at) else { return Vec::new() };
        let mut findings = self.asks_for_limits();
        // What is only assumed may be overridden: the manual may say less.
        let mut refuse = |what: String, fix: &str, assumed: bool| {
            let finding = Finding::error(what).help(fix).key("at");
            findings.push(if assumed { finding } else { finding.limit() });
        };
        let least = |size| MachineLeast { size, assumed: false };
        let gang = i64::from(self.blank.gang.max(1));
        for (feature, short, low) in [
            (LENGTH, "short", machine.least_length(self.unit)),
            (WIDTH, "narrow", machine.narrowest.map(least)),
            (THICKNESS, "thin", machine.least_thickness(self.unit)),
        ] {
            if let (Some(extent), Some(low)) = (self.blank.size(feature), low)
                && extent.least < low.size
            {
                let fix = if feature == LENGTH && gang == 1 {
                    "keep several pieces in one length first (`gang`), or use another machine"
                } else {
                    "use another machine, or the fixture its manual gives for such pieces"
                };
                refuse(
                    format!(
                        "piece too {short} for the {at}: {}, but at least {} is needed",
                        self.words(extent.least),
                        self.words(low.size)
                    ),
                    fix,
                    low.assumed,
                );
            }
        }
        for (feature, big, high) in
            [(across, "wide", machine.widest), (THICKNESS, "thick", machine.thickest)]
        {
            if let (Some(extent), Some(high)) = (self.blank.size(feature), high)
                && extent.most > high
            {
                refuse(
                    format!(
                        "piece too {big} for the {at}: {}, but at most {} is allowed",
                        self.words(extent.most),
                        self.words(high)
                    ),
                    "use another machine",
                    false,
                );
            }
        }
        findings
    }
}
