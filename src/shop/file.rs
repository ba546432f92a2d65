//! The shop file as it is written: the types its JSON Schema is made from.

use std::collections::BTreeMap;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, de};

use super::bells::BellTime;
use super::lumber::Per;
use super::machine::{BladeRule, Machine, MostCut, ReadoutOf, ScaleOffsets, Tool};
use super::person::Person;
use crate::measure::{Length, Shows, Unit, parse_written};
use crate::prose::{Message, Span};

/// A length as a file writes it. Which unit a bare number takes is only known
/// once the file's is, so it is checked while decoding and resolved afterwards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LengthText(String);

/// A length well formed for one unit but not for the one it turned out to take.
pub(super) struct Refused {
    pub text: String,
    pub why: Message<Span>,
}

impl LengthText {
    /// A length that is well formed, or why it is not.
    pub fn parse(text: &str) -> Result<LengthText, Message<Span>> {
        parse_written(text, Unit::Inch)?;
        Ok(LengthText(text.to_owned()))
    }

    pub(super) fn length(&self, unit: Unit, refused: &mut Vec<Refused>) -> Length {
        parse_written(&self.0, unit).unwrap_or_else(|why| {
            refused.push(Refused { text: self.0.clone(), why });
            // Not used: what was refused keeps the file from being read.
            Length::INCH
        })
    }
}

impl<'de> Deserialize<'de> for LengthText {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<LengthText, D::Error> {
        let text = String::deserialize(deserializer)?;
        LengthText::parse(&text).map_err(|problem| de::Error::custom(problem.to_string()))
    }
}

impl JsonSchema for LengthText {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Length".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": "A length: `1 7/16`, `1.4375`, `36.5 mm`. A bare number takes the file's unit.",
            "examples": ["1 7/16", "0.012", "36.5 mm"]
        })
    }
}

/// A gauge as the file holds it: either marks and an uncertainty, or go/no-go.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Gauge")]
pub struct GaugeFile {
    pub about: Option<String>,
    /// Fits or doesn't: no number.
    #[serde(default)]
    pub go_no_go: bool,
    /// Its smallest step.
    pub step: Option<LengthText>,
    pub shows: Option<Shows>,
    /// Its own unit, when it isn't the file's.
    pub unit: Option<Unit>,
    /// What one reading by these people on wood can be off by (expanded, k = 2).
    pub uncertainty: Option<LengthText>,
    /// The longest it can measure.
    pub range: Option<LengthText>,
    /// The known block it is tried on after zeroing.
    pub check_block: Option<LengthText>,
}

/// A shop: what its machines, tools and gauges are really like.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Shop")]
pub struct ShopFile {
    /// Where this schema is, for the editor.
    #[serde(rename = "$schema")]
    pub schema: Option<String>,
    /// The shop's name.
    pub shop: String,
    /// A sentence about it.
    pub about: Option<String>,
    /// What a bare number stands for.
    pub unit: Unit,
    /// The machines, by the names routes call them.
    #[serde(default)]
    pub machines: BTreeMap<String, Machine<LengthText>>,
    /// The gauges, by the names routes call them.
    #[serde(default)]
    pub gauges: BTreeMap<String, GaugeFile>,
    /// The people by their initials.
    #[serde(default)]
    pub people: BTreeMap<String, Person>,
    /// A station nobody typed at for this many minutes asks who is there; without it
    /// none asks.
    pub alone_minutes: Option<u32>,
    /// When the bell rings, by the clock of the shop.
    #[serde(default)]
    pub bells: Vec<BellTime>,
    /// What the shop does with lumber, and what it pays for it.
    pub lumber: Option<LumberFile>,
}

/// What `shortest_offcut` was called.
pub(super) const OLD_SHORTEST_OFFCUT: &str = "keep";

/// Keys that were renamed, the new name first. Files with the old names still
/// read, because every batch keeps its shop file as it was.
pub const RENAMED_KEYS: [(&str, &str); 3] = [
    ("scale_offset", "cuts_fat"),
    ("signed_off_on", "passed_on"),
    ("shortest_offcut", OLD_SHORTEST_OFFCUT),
];

pub(super) const LUMBER_KEYS: [&str; 11] = [
    "currency",
    "trim",
    "edge",
    "shortest_offcut",
    "mark",
    "crosscut_kerf",
    "rip_kerf",
    "clean_up",
    "yield",
    "woods",
    OLD_SHORTEST_OFFCUT,
];

/// What the shop does with lumber, and its price list. Whatever is left out is
/// what most shops would say; prices are known only where the file gives them.
// Reading goes key by key, so this type only gives the schema its shape.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Lumber")]
#[expect(dead_code, reason = "read key by key; here for its schema")]
pub struct LumberFile {
    /// What prices are in: `$`, or `EUR`. A sign is printed before the amount,
    /// letters after it. `$` when left out.
    currency: Option<String>,
    /// Cut off each end of a board before anything else; 1 in or 25 mm when
    /// left out.
    trim: Option<LengthText>,
    /// Lost from a board's width to get one straight edge; 1/4 in or 6 mm when
    /// left out.
    edge: Option<LengthText>,
    /// An offcut at least this long is kept; 24 in or 600 mm when left out.
    shortest_offcut: Option<LengthText>,
    /// Marks on a board fall on whole multiples of this; 1/16 in or 1 mm when
    /// left out.
    mark: Option<LengthText>,
    /// What a rough crosscut turns to dust; 1/8 in or 3.2 mm when left out.
    crosscut_kerf: Option<LengthText>,
    /// What a rough rip cut turns to dust; 1/8 in or 3.2 mm when left out.
    rip_kerf: Option<LengthText>,
    clean_up: Option<CleanUpFile>,
    /// The share of the wood bought that becomes finished parts: what is bought
    /// is what is needed divided by this. 0.60 when left out.
    #[serde(rename = "yield")]
    #[schemars(extend("exclusiveMinimum" = 0, "maximum" = 1))]
    yields: Option<f64>,
    /// The woods that can be bought, by name, as routes call them.
    woods: Option<BTreeMap<String, WoodFile>>,
}

/// What cleaning up takes from rough wood, beside what cup, bow and wind take.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "CleanUp")]
#[expect(dead_code, reason = "read key by key; here for its schema")]
pub(super) struct CleanUpFile {
    /// From the face that is made flat first; 1/16 in or 1.5 mm when left out.
    face: Option<LengthText>,
    /// From the other face, until it is clean; 1/16 in or 1.5 mm when left out.
    other_face: Option<LengthText>,
}

/// A wood that can be bought.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "StockedWood")]
pub(super) struct WoodFile {
    /// The share of this wood that becomes parts, where it differs.
    #[serde(rename = "yield")]
    #[schemars(extend("exclusiveMinimum" = 0, "maximum" = 1))]
    pub yields: Option<f64>,
    /// The thicknesses it comes in, by what they are sold as: `8/4`, `65 mm`,
    /// `1/2 plywood`.
    #[serde(default)]
    pub classes: BTreeMap<String, SoldFile>,
}

/// How a wood is sold in one thickness.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Sold")]
pub(super) struct SoldFile {
    /// In whole hundredths. Left out where it isn't known.
    pub price: Option<PriceFile>,
    /// What the price is for. A board foot when left out, or a square foot
    /// where the class is not just a thickness, as with plywood.
    pub per: Option<Per>,
}

/// A price as a file writes it: a bare number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PriceFile(pub f64);

impl<'de> Deserialize<'de> for PriceFile {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<PriceFile, D::Error> {
        struct PriceVisitor;
        impl de::Visitor<'_> for PriceVisitor {
            type Value = f64;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a price as a bare number, such as 7.90")
            }
            fn visit_f64<E: de::Error>(self, amount: f64) -> Result<f64, E> {
                Ok(amount)
            }
            fn visit_i64<E: de::Error>(self, amount: i64) -> Result<f64, E> {
                Ok(amount as f64)
            }
            fn visit_u64<E: de::Error>(self, amount: u64) -> Result<f64, E> {
                Ok(amount as f64)
            }
        }
        deserializer.deserialize_any(PriceVisitor).map(PriceFile)
    }
}

impl JsonSchema for PriceFile {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Price".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "number",
            "description": "A price in whole hundredths.",
            "exclusiveMinimum": 0,
            "maximum": 1_000_000,
            "examples": [7.9, 12]
        })
    }
}

impl Machine<LengthText> {
    pub(super) fn resolve(self, unit: Unit, refused: &mut Vec<Refused>) -> Machine {
        let readouts = self.readouts.into_iter().map(|(name, held)| {
            let own = held.unit.unwrap_or(unit);
            let step = held.step.length(own, refused);
            let most = held.most.map(|most| most.length(own, refused));
            (name, ReadoutOf { step, shows: held.shows, unit: held.unit, most })
        });
        let readouts = readouts.collect();
        let tools = self.tools.into_iter();
        let tools = tools.map(|(name, tool)| (name, tool.resolve(unit, refused))).collect();
        let mut length = |written: LengthText| written.length(unit, refused);
        Machine {
            kind: self.kind,
            about: self.about,
            readouts,
            tools,
            blade_rule: self.blade_rule.map(|rule| match rule {
                BladeRule::Gullets => BladeRule::Gullets,
                BladeRule::Above(above) => BladeRule::Above(length(above)),
            }),
            blade_most: self.blade_most.map(&mut length),
            sled_base: self.sled_base.map(&mut length),
            length_stop: self.length_stop,
            stop_zero: self.stop_zero,
            shortest: self.shortest.map(&mut length),
            narrowest: self.narrowest.map(&mut length),
            widest: self.widest.map(&mut length),
            thinnest: self.thinnest.map(&mut length),
            thickest: self.thickest.map(&mut length),
            most_cut: self.most_cut.map(|most| MostCut {
                hard: length(most.hard),
                soft: length(most.soft),
                last: most.last.map(&mut length),
            }),
            jog: self.jog.map(&mut length),
            kiss: self.kiss,
            feed_per_minute: self.feed_per_minute.map(&mut length),
            roller_spacing: self.roller_spacing.map(&mut length),
            spread: self.spread.map(&mut length),
        }
    }
}

impl Tool<LengthText> {
    fn resolve(self, unit: Unit, refused: &mut Vec<Refused>) -> Tool {
        let mut length = |written: LengthText| written.length(unit, refused);
        Tool {
            about: self.about,
            kerf: self.kerf.map(&mut length),
            plate: self.plate.map(&mut length),
            gullet: self.gullet.map(&mut length),
            diameter: self.diameter.map(&mut length),
            size: self.size.map(&mut length),
            grit: self.grit,
            most: self.most.map(&mut length),
            need: self.need.map(&mut length),
            scale_offset: self.scale_offset.map(|offsets| match offsets {
                ScaleOffsets::Sizing(offset) => ScaleOffsets::Sizing(length(offset)),
                ScaleOffsets::PerScale(offsets) => ScaleOffsets::PerScale(
                    offsets.into_iter().map(|(scale, offset)| (scale, length(offset))).collect(),
                ),
            }),
        }
    }
}
