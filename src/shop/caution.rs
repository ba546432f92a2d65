//! The usual cautions of each kind of machine, in our own words.
//! They remind people of their training; they never stand in for it.
//!
//! Common practice, retold. Public texts that say the like: WAC 296-806 and
//! 296-78 (Washington State), 29 CFR 1910.213(a), HSE information sheets
//! WIS16, WIS17, WIS35 and WIS36, HSE's pages on crosscut saws and wood dust.

use super::machine::MachineKind;

/// What every caution ends with.
pub const DEFER: &str = "Follow the machine's manual, your shop's rules and local codes; \
if you have not been trained on this machine, stop and ask.";

/// What holds at every machine that makes dust.
pub const DUST: &str =
    "Eyes, ears and lungs covered; extraction on; sleeves, hair and rings away; no gloves.";

/// The cautions of a kind of machine, the one that matters most first.
pub fn cautions(kind: MachineKind) -> &'static [&'static str] {
    match kind {
        MachineKind::TableSaw => &[
            "Guard on and down to the work, whatever the cut.",
            "Stand beside the line of the cut; never reach over or behind the blade.",
            "Straight edge to the fence, flat face down; never cut freehand.",
            "Push stick for the last foot of the cut.",
        ],
        MachineKind::CrosscutSaw => &[
            "Hands a foot away from the blade line, both sides; arms never crossed.",
            "Wood firm to fence and table; offcut free to fall away, never trapped.",
            "Wait until the blade has stopped or gone home before clearing offcuts.",
        ],
        MachineKind::StopSaw => &[
            "The blade comes up under power: hands out of hood and clamp until it is down.",
            "Clamp holds before the blade rises; one stroke for one press.",
            "The stop drives by itself: keep clear, and check it stands at its number.",
            "Switch off and lock out before clearing a jam.",
        ],
        MachineKind::Jointer => &[
            "Cutter guard on; push blocks on the face; no hand passes over the cutter.",
            "Nothing short, thin, split or loose-knotted, and no end grain.",
            "Light cut, hollow side down.",
        ],
        MachineKind::Planer => &[
            "One piece at a time; stand aside of it; let go when the rollers take it.",
            "Longer than the roller gap and two inches more; flat face down first.",
            "Never look or reach in; never change the height with wood inside.",
        ],
        MachineKind::ThicknessSander => &[
            "Stand aside: a short or thick piece can be thrown back.",
            "Fingers away from the in-running belt and rollers.",
            "Small bites only; no nails, no glue lumps; extraction on.",
        ],
        MachineKind::Bench => &["Work held fast; cut away from your hands; keep edges sharp."],
    }
}
