//! What goes wrong in an invented batch, and how a fault is written:
//! `op 60 creep 1/64`.
//!
//! Every length is how much bigger the pieces come; a minus makes them smaller.

use crate::measure::{Length, Unit};
use crate::operation::FeatureName;

/// How thick the dust at a stop is where the fault doesn't say.
pub(super) const DUST: Length = Length::inch_fraction(1, 64);

/// One thing that goes wrong, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The operation it happens at.
    pub op: u32,
    /// What goes wrong.
    pub kind: FaultKind,
    /// The feature it changes; `None` for the first one checked.
    pub on: Option<FeatureName>,
}

/// How a creep grows by its length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grows {
    /// By that much from piece to piece.
    PerPiece,
    /// By that much from the first piece to the last.
    OverTheBatch,
}

/// The kinds of fault. Pieces count from one in cut order, after the setup pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// Set wrong: every piece.
    Offset(Length),
    /// The setting moves with every piece cut.
    Creep {
        /// By how much.
        by: Length,
        /// Over what.
        grows: Grows,
    },
    /// The setting jumps once.
    Step {
        /// The jump.
        by: Length,
        /// The last piece before it.
        after: u32,
    },
    /// One piece alone is off.
    Slip {
        /// Its error.
        by: Length,
        /// Which piece.
        at: u32,
    },
    /// The table came down twice unnoticed.
    DoubleJog,
    /// The wrong face against the fence, on one piece or on all.
    WrongFace {
        /// The piece; `None` for all of them.
        at: Option<u32>,
    },
    /// Dust between wood and stop at one piece in four, which comes short by this.
    StopDust(Length),
    /// The gauge's zero is off from this operation on, wherever it is used.
    GaugeZero(Length),
    /// The belt is changed and the height not set again.
    BeltChange {
        /// The change in size.
        by: Length,
        /// The last piece before it.
        after: u32,
    },
    /// A night in the middle of the pieces, over which the wood moves.
    Overnight {
        /// The change of moisture in hundredths of a percentage point.
        hundredths: i32,
    },
}

/// The words each kind begins with, and an example of it.
pub(super) const SHAPES: [(&[&str], &str); 10] = [
    (&["offset"], "op 60 offset 1/32"),
    (&["creep"], "op 60 creep 1/64 over the batch"),
    (&["step"], "op 60 step 1/32 after piece 5"),
    (&["slip"], "op 60 slip 1/8 at piece 7"),
    (&["double", "jog"], "op 50 double jog"),
    (&["wrong", "face"], "op 80 wrong face at piece 3"),
    (&["stop", "dust"], "op 60 stop dust 1/64"),
    (&["gauge", "zero"], "op 50 gauge zero 0.012"),
    (&["belt", "change"], "op 50 belt change -0.006 after piece 9"),
    (&["movement", "overnight"], "op 50 movement overnight 2"),
];

/// An example of each kind of fault, for help texts.
pub fn shapes() -> impl Iterator<Item = &'static str> {
    SHAPES.iter().map(|(_, shape)| *shape)
}

impl Fault {
    /// The text that [`Fault::parse`] reads back as this fault.
    pub fn written(&self, unit: Unit) -> String {
        let long = |length: Length| length.written(unit);
        let what = match self.kind {
            FaultKind::Offset(by) => format!("offset {}", long(by)),
            FaultKind::Creep { by, grows: Grows::PerPiece } => {
                format!("creep {} per piece", long(by))
            }
            FaultKind::Creep { by, grows: Grows::OverTheBatch } => {
                format!("creep {} over the batch", long(by))
            }
            FaultKind::Step { by, after } => format!("step {} after piece {after}", long(by)),
            FaultKind::Slip { by, at } => format!("slip {} at piece {at}", long(by)),
            FaultKind::DoubleJog => "double jog".to_owned(),
            FaultKind::WrongFace { at: None } => "wrong face".to_owned(),
            FaultKind::WrongFace { at: Some(at) } => format!("wrong face at piece {at}"),
            FaultKind::StopDust(dust) => format!("stop dust {}", long(dust)),
            FaultKind::GaugeZero(by) => format!("gauge zero {}", long(by)),
            FaultKind::BeltChange { by, after } => {
                format!("belt change {} after piece {after}", long(by))
            }
            FaultKind::Overnight { hundredths } => {
                let sign = if hundredths < 0 { "-" } else { "" };
                let (points, part) = (hundredths.abs() / 100, hundredths.abs() % 100);
                let part = match part {
                    0 => String::new(),
                    part if part % 10 == 0 => format!(".{}", part / 10),
                    part => format!(".{part:02}"),
                };
                format!("movement overnight {sign}{points}{part}")
            }
        };
        let on = self.on.as_ref().map_or_else(String::new, |on| format!(" on {on}"));
        format!("op {} {what}{on}", self.op)
    }
}
