//! The usual cautions of each kind of machine, in our own words.
//! They remind people of their training; they never stand in for it.
//!
//! They belong to the machine and to the act: a sled has other dangers than a
//! fence, and whoever spreads glue needs the gloves that a cutter forbids.
//!
//! Common practice, retold. Public texts that say the like: WAC 296-806 and
//! 296-78 (Washington State), 29 CFR 1910.213(a), OSHA's woodworking eTool and
//! its guide for protecting workers from woodworking hazards (no gloves at
//! woodworking equipment, gloves for the chemicals of finishing), HSE
//! information sheets WIS16, WIS17, WIS35 and WIS36, HSE's pages on crosscut
//! saws and wood dust.

use super::machine::MachineKind;

/// What every caution ends with.
pub const DEFER: &str = "Follow the machine's manual, your shop's rules and local codes; \
if you have not been trained on this machine, stop and ask.";

/// What holds at every machine that turns a cutter.
const WITH_A_CUTTER: &str =
    "Eyes, ears and lungs covered; extraction on; sleeves, hair and rings away; no gloves.";

/// What holds where glue is open.
const WITH_GLUE: &str =
    "Suitable gloves and eye protection, fresh air; read the label and the safety data sheet.";

/// What holds where finish is open.
const WITH_FINISH: &str = "Suitable gloves, eye protection, and the mask that the label and the \
safety data sheet ask for; fresh air moving through.";

/// What holds where hands work with hand tools.
const BY_HAND: &str = "Sanding by hand makes dust too: extraction, or a mask.";

/// What holds at the rack, where rough boards are carried and marked.
pub const ROUGH_STOCK: &str = "Gloves off before any machine. On for rough boards: mind \
splinters. Lift with the legs, two to a long board. Your shop's rules come first.";

/// How a piece is taken past the cutter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Act {
    /// Along a fence; what machines without a sled do.
    #[default]
    AlongFence,
    /// On a sled or against a mitre gauge, or held in a jig.
    OnSled,
}

/// What to wear and to run for the work of a kind of machine.
pub fn protection(kind: MachineKind) -> &'static str {
    match kind {
        MachineKind::ClampBench => WITH_GLUE,
        MachineKind::FinishRoom => WITH_FINISH,
        MachineKind::Bench => BY_HAND,
        MachineKind::TableSaw
        | MachineKind::CrosscutSaw
        | MachineKind::StopSaw
        | MachineKind::Jointer
        | MachineKind::Planer
        | MachineKind::ThicknessSander
        | MachineKind::BandSaw
        | MachineKind::Mortiser
        | MachineKind::RouterTable
        | MachineKind::DrillPress => WITH_A_CUTTER,
    }
}

/// What to mind with a piece of that weight in kilograms; nothing with a light
/// one. From 16 kg on two people are asked for: the lower of the two weights
/// that HSE's guidance on manual handling (L23) gives for a load close to the
/// body at the waist (from memory).
pub fn lifting(kilograms: f64) -> Option<String> {
    const TWO_PEOPLE: f64 = 16.0;
    const POUNDS: f64 = 2.2046;
    (kilograms >= TWO_PEOPLE).then(|| {
        let pounds = kilograms * POUNDS;
        format!(
            "Heavy, about {pounds:.0} lb ({kilograms:.0} kg): two people lift, feed and carry it; \
             a stand holds what overhangs."
        )
    })
}

/// The cautions of a kind of machine and of what is done there, the one that
/// matters most first.
pub fn cautions(kind: MachineKind, act: Act) -> &'static [&'static str] {
    match kind {
        MachineKind::TableSaw if act == Act::OnSled => &[
            "The blade comes out at the back of sled or jig: hands never behind it; a block covers the place.",
            "A stop ends its way before the blade is through the block.",
            "Guard over the blade; stand beside the line of the cut; never reach over or behind the blade.",
            "Piece firm on it and against its fence, hands well beside the cut; never cut freehand.",
            "Offcut free; leave it where it lies until the blade has stopped.",
            "Set blade height and stop with the blade stopped, as the manual says.",
        ],
        MachineKind::TableSaw => &[
            "Guard on and down to the work, whatever the cut.",
            "Stand beside the line of the cut; never reach over or behind the blade.",
            "Straight edge to the fence, flat face down; never cut freehand.",
            "Push stick for the last foot of the cut; keep the piece moving until it is past the blade.",
            "Set fence and blade height with the blade stopped, as the manual says.",
        ],
        MachineKind::CrosscutSaw => &[
            "Hands a foot away from the blade line, both sides; arms never crossed.",
            "Wood firm to fence and table; offcut free to fall away, never trapped.",
            "Wait until the blade has stopped or gone home before clearing offcuts.",
            "Set the stop with the saw off, as the manual says.",
        ],
        MachineKind::StopSaw => &[
            "The blade comes up under power: hands out of hood and clamp until it is down.",
            "Clamp holds before the blade rises; one stroke for one press.",
            "The stop drives by itself: keep clear, and check that it has stopped at its number.",
            "Switch off and lock out before clearing a jam.",
            "Set a stop by hand only with the saw off, as the manual says.",
        ],
        MachineKind::Jointer => &[
            "Cutter guard on; push blocks on the face; no hand passes over the cutter.",
            "Nothing short, thin, split or loose-knotted, and no end grain.",
            "Light cut, hollow side down; the tables are set with the machine stopped.",
        ],
        MachineKind::Planer => &[
            "One piece at a time; stand to one side of it; let go when the rollers take it.",
            "No loose knots, splits, nails or glue lumps.",
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
            "Fence and hold-down tight before the start; work clamped, and no hand under the chisel.",
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
            "Two people lift a panel or a frame with its clamps on; bend the knees.",
            "Rags and paper with glue or oil on them are cleared at once.",
        ],
        MachineKind::FinishRoom => &[
            "Oily rags can set themselves alight: spread flat outdoors to dry, or under water in a closed metal can; never in a heap.",
            "No flame, spark or heater near solvent; cans closed when nobody pours.",
        ],
        MachineKind::Bench => &["Work held fast; cut away from your hands; keep edges sharp."],
    }
}

/// How long cautions begin, and their short forms for a window of 40 columns: at
/// most two lines of 38, the hands or the danger first.
const SHORT_FORMS: &[(&str, &str)] = &[
    (
        "The blade comes out at the back",
        "Hands never behind sled or jig: the blade comes out there.",
    ),
    ("Guard over the blade; stand beside", "Never reach over or behind the blade; guard over it."),
    ("Piece firm on it and against", "Hands well beside the cut; piece firm; never cut freehand."),
    (
        "Stand beside the line of the cut",
        "Stand beside the cut; never reach over or behind the blade.",
    ),
    ("Push stick for the last foot", "Push stick for the last foot; push on until past the blade."),
    ("Ripping: riving knife", "Riving knife and guard on, always."),
    ("Push stick: less than", "Push stick between fence and blade."),
    ("Hands a foot away", "Hands a foot from the blade line; arms never crossed."),
    ("Wait until the blade has stopped", "No hand near offcuts until the blade has stopped."),
    ("The blade comes up under power", "Hands out of hood and clamp until the blade is down."),
    ("The stop drives by itself", "The stop moves by itself: keep clear, then check its number."),
    ("Cutter guard on; push blocks", "No hand over the cutter; guard on, push blocks."),
    ("Light cut, hollow side down", "Tables are set only when stopped; light cut, hollow down."),
    ("One piece at a time; stand", "Stand to one side; one piece; let go when rollers take it."),
    ("Longer than the roller gap", "No short wood: roller gap and 2 in (50 mm) more."),
    ("Never look or reach in", "Never look or reach in; no height change with wood inside."),
    (
        "Fingers never in line with the blade",
        "Fingers never in line with the blade; use a push block.",
    ),
    ("Round stock in a cradle", "Stop the saw before backing out; round stock in a cradle."),
    ("Fence and hold-down tight", "No hand under the chisel; work clamped, hold-down tight."),
    ("Bit clear of the chisel", "The chisel stays hot; bit clear of it, so it won't burn."),
    ("Feed against the turn", "Feed against the bit, right to left; never a climb cut."),
    ("Never between bit and fence", "Never between bit and fence; guard, hold-downs, push block."),
    ("Several shallow passes", "Small parts from bigger stock; several shallow passes."),
    (
        "Work clamped or held against the column",
        "Work clamped or against the column; chuck key out.",
    ),
    ("Two people lift a panel", "Two people lift what has clamps on; bend the knees."),
    ("Oily rags can set themselves", "Oily rags burn by themselves: flat outdoors or in water."),
    ("No flame, spark or heater", "No flame or spark near solvent; close cans."),
    ("Eyes, ears and lungs covered", "Eyes, ears, lungs covered; sleeves, hair away; no gloves."),
    (
        "Suitable gloves and eye protection, fresh air",
        "Gloves, eye protection, fresh air; read the label.",
    ),
    (
        "Suitable gloves, eye protection, and the mask",
        "Gloves, eyes, the mask the label asks for; fresh air.",
    ),
    ("A long board: a stand", "It can tip: a stand or a helper holds the far end."),
    ("This can't be undone", "Can't be undone: if it won't close, pull apart and wash."),
    ("A spreader can't stay in", "Spreader out: the guard of the manual; all back on after."),
    ("Leave the offcut free, above", "No offcut under or against the tilted blade: leave it free."),
    ("Never between the strip and", "No hand between strip and fence; wait till the blade stops."),
    ("The cutter doesn't come through", "The cutter stays hidden: use the guard the manual gives."),
    (
        "Only the shoulder cut touches",
        "No piece between fence and blade; only shoulders on a stop.",
    ),
    ("On end only in a tenon jig", "Never freehand: on end only in a tenon jig, clamped."),
    ("Hands on the jig, above", "Hands on the jig, above the blade; the guard of the manual."),
    ("Offcut free to fall: never", "Offcut free to fall, never between jig or fence and blade."),
    ("The offcut is a wedge", "Leave the wedge of an offcut until the blade has stopped."),
    ("The blade doesn't come through", "The blade stays hidden: use the guard the manual gives."),
    ("Heavy, about", "Heavy: two people lift, feed and carry it."),
    ("Gloves off before any machine", "Splinters: gloves on, but off before any machine."),
];

/// The short form of a caution. One that is short as it is is its own.
pub fn short_caution(caution: &str) -> &str {
    let form = SHORT_FORMS.iter().find(|(begins, _)| caution.starts_with(begins));
    form.map_or(caution, |(_, short)| short)
}
