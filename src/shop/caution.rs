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

/// What holds at the rack, where rough boards are carried and marked.
pub const ROUGH_STOCK: &str = "Gloves off before any machine. On for rough boards: mind \
splinters. Lift with the legs, two to a long board. Your shop's rules come first.";

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
            "The stop drives by itself: keep clear, and check that it has stopped at its number.",
            "Switch off and lock out before clearing a jam.",
        ],
        MachineKind::Jointer => &[
            "Cutter guard on; push blocks on the face; no hand passes over the cutter.",
            "Nothing short, thin, split or loose-knotted, and no end grain.",
            "Light cut, hollow side down.",
        ],
        MachineKind::Planer => &[
            "One piece at a time; stand to one side of it; let go when the rollers take it.",
            "Longer than the roller gap and 2 in (50 mm) more; flat face down first.",
            "Never look or reach in; never change the height with wood inside.",
        ],
        MachineKind::ThicknessSander => &[
            "Stand aside: a short or thick piece can be thrown back.",
            "Fingers away from the in-running belt and rollers.",
            "Small bites only; no nails, no glue lumps; extraction on.",
        ],
        MachineKind::BandSaw => &[
            "Guard down to 1/4 in (6 mm) above the work.",
            "Fingers never in line with the blade; push block for thin or narrow work.",
            "Round stock in a cradle; relief cuts first, and stop the saw before backing out.",
        ],
        MachineKind::Mortiser => &[
            "Fence and hold-down tight before the start; work clamped.",
            "Bit clear of the chisel, so that it doesn't burn; the chisel stays hot.",
            "Shallow plunges; clear the chips with the machine stopped.",
        ],
        MachineKind::RouterTable => &[
            "Feed against the turn of the bit, right to left; never a climb cut by hand.",
            "Never between bit and fence; guard and hold-downs on, push block in hand.",
            "Several shallow passes; small parts from bigger stock; speed to suit the bit.",
        ],
        MachineKind::DrillPress => &[
            "Work clamped or held against the column; chuck key out before the start.",
            "No gloves, cuffs or loose hair near it.",
            "Slow for big bits; a backing board below.",
        ],
        MachineKind::ClampBench => &[
            "Rehearse dry; have everything to hand before you spread glue.",
            "Heavy clamps fall: one holds while another tightens.",
            "Keep glue off skin and eyes; read its label.",
        ],
        MachineKind::FinishRoom => &[
            "Oily rags can set themselves alight: flat outdoors to dry, or under water in a closed metal can.",
            "Fresh air; no flame or spark near solvent.",
            "Mask and gloves to suit the finish; the can's label decides.",
        ],
        MachineKind::Bench => &["Work held fast; cut away from your hands; keep edges sharp."],
    }
}
