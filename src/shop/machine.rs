//! Machines, their tools and the people signed off on them, with real lengths.
//!
//! Each struct is generic over how a length is held, so that the file's
//! written form and the resolved form are one definition.

use std::collections::BTreeMap;

use chrono::NaiveTime;
use schemars::JsonSchema;
use serde::Deserialize;

use super::lumber::Lumber;
use super::person::Person;
use crate::measure::{Gauge, Length, Readout, ScaleOffset, Shows, Unit};
use crate::wood::Hardness;

/// What a machine is, in the trade's words: it decides the cautions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum MachineKind {
    /// A table saw used for ripping, or for crosscutting on a sled.
    TableSaw,
    /// A pull, mitre or chop saw with a fixed fence.
    CrosscutSaw,
    /// A powered up-cut saw whose stop drives itself to a number.
    StopSaw,
    /// A jointer, which makes a face flat or an edge straight.
    Jointer,
    /// A thickness planer.
    Planer,
    /// A wide belt or a drum.
    ThicknessSander,
    /// A band saw.
    BandSaw,
    /// A hollow-chisel mortiser.
    Mortiser,
    /// A router under a table.
    RouterTable,
    /// A drill press.
    DrillPress,
    /// Where things are glued and clamped.
    ClampBench,
    /// Where finish is applied and dries.
    FinishRoom,
    /// No machine at all: a bench, a vice, hand tools.
    Bench,
}

/// How the blade height is chosen; the saw's manual decides which is right.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BladeRule<L> {
    /// The gullets just clear the thickest piece.
    Gullets,
    /// A fixed amount above the thickest piece.
    Above(L),
}

/// No set of grooving blades and no bit cuts wider (common practice, no source).
const WIDEST_KERF: Length = Length::from_nanometres(2 * Length::INCH.nanometres());

/// Where a length stop is. A piece trapped between a stop and the blade
/// on the offcut side is thrown, so there is no such choice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LengthStop {
    /// On the side of the piece that is kept and held.
    KeptSide,
    /// On the offcut side, by a block the wood leaves before it meets the blade.
    SetOffBlock,
    /// A stop or fence on the offcut side that the wood still touches in the cut.
    OffcutSide,
}

/// Which tooth of the blade the scale of a length stop counts to. A blade is a
/// kerf wide: a crosscut ends at one side of it, and the shoulder of a tenon or
/// an end lap is at the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StopZero {
    /// The tooth that faces the kept piece: the scale shows the length of a crosscut.
    Near,
    /// The tooth that faces the offcut: on the kept side, the scale shows the
    /// length of a tenon.
    Far,
}

/// The most one pass may take.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MostCut<L> {
    /// In hard wood.
    pub hard: L,
    /// In soft wood.
    pub soft: L,
    /// The light last pass; the roughing limit when absent.
    pub last: Option<L>,
}

/// Made size minus scale value: one number for the scale that sizes the
/// piece, or one per scale.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum ScaleOffsets<L> {
    /// For the scale that sizes the piece.
    Sizing(L),
    /// By the name of the scale.
    PerScale(BTreeMap<String, L>),
}

/// A blade, a bit, a belt, knives: what does the cutting.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tool<L = Length> {
    /// A sentence about it.
    pub about: Option<String>,
    /// Width of the cut.
    pub kerf: Option<L>,
    /// Thickness of the blade's plate; teeth stand out from it on both sides.
    pub plate: Option<L>,
    /// Depth of the gullets.
    pub gullet: Option<L>,
    /// Over the teeth.
    pub diameter: Option<L>,
    /// What a chisel or bit is sold as; what it cuts is its size and its `scale_offset`.
    pub size: Option<L>,
    /// Of a belt.
    pub grit: Option<u32>,
    /// The most one pass with this belt should take.
    pub most: Option<L>,
    /// What the next belt must take from each face to clear this one's scratches.
    pub need: Option<L>,
    /// What a size comes to beyond the value its scale shows: made size less
    /// scale value. Left out where nobody found it: then it counts as 0, and whoever sets
    /// the scale is told.
    #[serde(alias = "cuts_fat")]
    pub scale_offset: Option<ScaleOffsets<L>>,
}

/// A machine as it really is.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, bound = "L: Deserialize<'de>")]
pub struct Machine<L = Length> {
    /// What it is.
    pub kind: MachineKind,
    /// A sentence about it.
    pub about: Option<String>,
    /// The scales by what they set: `fence`, `stop`, `blade height`, `depth`, `table`.
    #[serde(default)]
    pub readouts: BTreeMap<String, ReadoutOf<L>>,
    /// What can be fitted to it, by name.
    #[serde(default)]
    pub tools: BTreeMap<String, Tool<L>>,
    /// How high the blade is set.
    pub blade_rule: Option<BladeRule<L>>,
    /// The highest the blade comes above the table.
    pub blade_most: Option<L>,
    /// Thickness of the crosscut sled's base, when cuts are made on one.
    pub sled_base: Option<L>,
    /// Where its length stop is.
    pub length_stop: Option<LengthStop>,
    /// Which tooth its `stop` scale counts to; `near` when left out. A tenon
    /// cut by the wrong one comes out short, and can be cut again.
    pub stop_zero: Option<StopZero>,
    /// The shortest piece it may take.
    pub shortest: Option<L>,
    /// The narrowest piece it may take.
    pub narrowest: Option<L>,
    /// The widest piece it takes.
    pub widest: Option<L>,
    /// The thinnest piece it may take.
    pub thinnest: Option<L>,
    /// The thickest piece it takes.
    pub thickest: Option<L>,
    /// The most one pass may take.
    pub most_cut: Option<MostCut<L>>,
    /// What one press of the jog button moves.
    pub jog: Option<L>,
    /// Whether the last height is fed once more without moving the table.
    #[serde(default)]
    pub kiss: bool,
    /// How much stock goes through in a minute.
    pub feed_per_minute: Option<L>,
    /// Distance between the feed rollers.
    pub roller_spacing: Option<L>,
    /// How far apart pieces come at one setting with nothing wrong: one
    /// standard deviation. What is usual for such a machine when left out.
    pub spread: Option<L>,
}

/// A scale of a machine.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Readout")]
pub struct ReadoutOf<L> {
    /// The smallest step it shows.
    pub step: L,
    pub shows: Shows,
    /// The scale's own unit, when it isn't the file's.
    pub unit: Option<Unit>,
    /// The largest value it shows, where its travel ends.
    pub most: Option<L>,
}

/// A shop as read: lengths resolved, gauges ready to judge.
#[derive(Clone, Debug)]
pub struct Shop {
    /// The name of the shop.
    pub name: String,
    /// What a bare number in its file stands for.
    pub unit: Unit,
    /// The machines, by the names routes call them.
    pub machines: BTreeMap<String, Machine>,
    /// The gauges, by the names routes call them.
    pub gauges: BTreeMap<String, Gauge>,
    /// Size of the block each gauge is tried on, by gauge.
    pub check_blocks: BTreeMap<String, Length>,
    /// The people, by their initials.
    pub people: BTreeMap<String, Person>,
    /// A station nobody typed at for this many minutes asks who is there.
    pub alone_minutes: Option<u32>,
    /// When the bell rings, the earliest first.
    pub bells: Vec<NaiveTime>,
    /// What it does with lumber, and what it pays.
    pub lumber: Lumber,
}

impl MachineKind {
    /// Every kind with its name in a shop file.
    pub const NAMED: [(&'static str, MachineKind); 13] = [
        ("table-saw", MachineKind::TableSaw),
        ("crosscut-saw", MachineKind::CrosscutSaw),
        ("stop-saw", MachineKind::StopSaw),
        ("jointer", MachineKind::Jointer),
        ("planer", MachineKind::Planer),
        ("thickness-sander", MachineKind::ThicknessSander),
        ("band-saw", MachineKind::BandSaw),
        ("mortiser", MachineKind::Mortiser),
        ("router-table", MachineKind::RouterTable),
        ("drill-press", MachineKind::DrillPress),
        ("clamp-bench", MachineKind::ClampBench),
        ("finish-room", MachineKind::FinishRoom),
        ("bench", MachineKind::Bench),
    ];

    /// How far apart one in good order leaves pieces: one standard deviation.
    /// Trade judgement, no source.
    pub fn usual_spread(self) -> Length {
        Length::thousandths(match self {
            MachineKind::BandSaw => 8,
            MachineKind::TableSaw
            | MachineKind::CrosscutSaw
            | MachineKind::StopSaw
            | MachineKind::DrillPress => 3,
            MachineKind::Planer | MachineKind::Mortiser | MachineKind::RouterTable => 2,
            _ => 1,
        })
    }
}

/// The least size of a piece a machine may take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MachineLeast {
    /// The size.
    pub size: Length,
    /// Whether the shop file leaves it out, so that the trade's own holds.
    pub assumed: bool,
}

impl MachineLeast {
    fn given_or(given: Option<Length>, usual: Option<Length>) -> Option<MachineLeast> {
        let size = given.or(usual)?;
        Some(MachineLeast { size, assumed: given.is_none() })
    }
}

impl Machine {
    /// A scale by its name; `file_unit` is what the shop file counts in.
    pub fn readout(&self, name: &str, file_unit: Unit) -> Option<Readout> {
        let held = self.readouts.get(name)?;
        Some(Readout { unit: held.unit.unwrap_or(file_unit), step: held.step, shows: held.shows })
    }

    /// The shortest piece it may take: its own limit, or the distance between
    /// its rollers and two inches more (common practice), whichever is longer.
    /// Where the file gives neither, what the trade holds to in that unit:
    /// 12 in or 300 mm where wood is fed past knives or a belt (common
    /// practice, no source).
    pub fn least_length(&self, unit: Unit) -> Option<MachineLeast> {
        let rollers = self.roller_spacing.map(|spacing| spacing + Length::INCH * 2);
        let fed = [MachineKind::Jointer, MachineKind::Planer, MachineKind::ThicknessSander];
        let usual = fed.contains(&self.kind).then(|| match unit {
            Unit::Inch => Length::INCH * 12,
            Unit::Millimetre => Length::MILLIMETRE * 300,
        });
        MachineLeast::given_or(self.shortest.max(rollers), usual)
    }

    /// The thinnest piece it may take, or what the trade holds to in that
    /// unit: 1/4 in or 6 mm at a planer, 1/8 in or 3 mm at a sander (common
    /// practice, no source).
    pub fn least_thickness(&self, unit: Unit) -> Option<MachineLeast> {
        let usual = match (self.kind, unit) {
            (MachineKind::Planer, Unit::Inch) => Some(Length::inch_fraction(1, 4)),
            (MachineKind::Planer, Unit::Millimetre) => Some(Length::MILLIMETRE * 6),
            (MachineKind::ThicknessSander, Unit::Inch) => Some(Length::inch_fraction(1, 8)),
            (MachineKind::ThicknessSander, Unit::Millimetre) => Some(Length::MILLIMETRE * 3),
            _ => None,
        };
        MachineLeast::given_or(self.thinnest, usual)
    }
}

impl MostCut<Length> {
    /// The most a rough pass takes from wood this hard.
    pub fn roughing(&self, hardness: Hardness) -> Length {
        match hardness {
            Hardness::Hard => self.hard,
            Hardness::Soft => self.soft,
        }
    }
}

impl Tool {
    /// How much more this tool makes than the named scale shows; `sizing` says
    /// whether a single number in the file is meant for that scale.
    pub fn scale_offset(&self, scale: &str, sizing: bool) -> ScaleOffset {
        ScaleOffset(match &self.scale_offset {
            Some(ScaleOffsets::Sizing(offset)) if sizing => *offset,
            Some(ScaleOffsets::PerScale(offsets)) => {
                offsets.get(scale).copied().unwrap_or(Length::ZERO)
            }
            _ => Length::ZERO,
        })
    }

    /// Whether anybody found out how far off a scale is with this tool.
    pub fn knows_offset(&self, scale: &str) -> bool {
        match &self.scale_offset {
            Some(ScaleOffsets::Sizing(_)) => true,
            Some(ScaleOffsets::PerScale(offsets)) => offsets.contains_key(scale),
            None => false,
        }
    }

    /// Why no blade cuts as wide as the shop file says, and what to do about it.
    pub fn impossible_kerf(&self) -> Option<(&'static str, &'static str)> {
        let kerf = self.kerf?;
        if self.plate.is_some_and(|plate| kerf < plate) {
            return Some((
                "its `kerf` is less than its `plate`, but the teeth stand out from the plate",
                "measure a cut in scrap for `kerf`, and the blade's body for `plate`",
            ));
        }
        (kerf > WIDEST_KERF).then_some((
            "no tool of a saw or router cuts as wide as this `kerf`",
            "measure a cut in scrap; mind the unit of the file",
        ))
    }

    /// How far a tooth stands out from the plate on each side.
    pub fn tooth(&self) -> Option<Length> {
        Some((self.kerf? - self.plate?) / 2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Trade judgement, no source: the rougher the cut, the further apart.
    #[test]
    fn a_saw_leaves_pieces_further_apart_than_a_planer() {
        let of = MachineKind::usual_spread;
        for saw in [MachineKind::TableSaw, MachineKind::CrosscutSaw, MachineKind::StopSaw] {
            assert!(of(MachineKind::BandSaw) > of(saw) && of(saw) > of(MachineKind::Planer));
        }
        assert!(of(MachineKind::DrillPress) > of(MachineKind::Mortiser));
        assert!(of(MachineKind::Planer) > of(MachineKind::Jointer));
    }

    /// Every kind has its name as a shop file spells it, and none is left out.
    #[test]
    fn every_kind_is_named_as_in_a_shop_file() {
        for (name, kind) in MachineKind::NAMED {
            let read: MachineKind = serde_json::from_str(&format!("\"{name}\"")).expect("a kind");
            assert_eq!(read, kind);
        }
        let schema = serde_json::to_string(&schemars::schema_for!(MachineKind)).expect("JSON");
        assert_eq!(schema.matches("\"const\":").count(), MachineKind::NAMED.len(), "{schema}");
    }

    fn machine(text: &str) -> Machine {
        serde_json::from_str(text).expect("a machine as a shop file has it")
    }

    /// Common practice, no source: 12 in or 300 mm and 1/4 in or 6 mm at a planer, 1/8
    /// in or 3 mm at a sander; at other machines nothing is assumed.
    #[test]
    fn what_the_shop_doesnt_say_is_assumed() {
        let least = |kind: &str, unit| {
            let machine = machine(&format!(r#"{{ "kind": "{kind}" }}"#));
            let size = |least: Option<MachineLeast>| {
                least.map(|least| {
                    assert!(least.assumed);
                    least.size
                })
            };
            (size(machine.least_length(unit)), size(machine.least_thickness(unit)))
        };
        let (inches, millimetres) = (Length::INCH * 12, Length::MILLIMETRE * 300);
        for (kind, inch, metric) in [
            ("planer", Some(Length::INCH / 4), Some(Length::MILLIMETRE * 6)),
            ("thickness-sander", Some(Length::INCH / 8), Some(Length::MILLIMETRE * 3)),
            ("jointer", None, None),
        ] {
            assert_eq!(least(kind, Unit::Inch), (Some(inches), inch), "{kind}");
            assert_eq!(least(kind, Unit::Millimetre), (Some(millimetres), metric), "{kind}");
        }
        assert_eq!(least("table-saw", Unit::Inch), (None, None));
    }
}
