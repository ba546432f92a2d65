//! Operations: what is done to wood, one file a kind, and what each is asked.
//! Knows nothing of routes, plans, batches or screens.
//!
//! A kind declares its keys once with the macro of `keys.rs` and answers the
//! trait [`Operation`]. Every other room asks the trait; a test of the house
//! keeps comparisons of a kind's name or a feature's last word out of them, so
//! that a new kind is one new file and one line in `kinds.rs`.
//!
//! Features are named by text that routes and journals write, and the last
//! word decides in which words a reading is judged ([`FeatureName::kind`]).
//! Rejected: a closed list of features, because a route names what it makes.
//!
//! A drawing is shapes in real lengths, so that a terminal and paper show the
//! same one.

mod advice;
mod bites;
mod blade;
mod blank;
mod bore;
mod crosscut;
mod curve;
mod describe;
mod dowel;
mod drawer;
pub mod drawing;
mod dry_fit;
mod faces;
mod feature;
mod finish;
mod form;
mod glue;
mod groove;
mod half_lap;
mod hand;
mod hole;
mod joint;
mod keys;
mod kind;
mod kinds;
mod ladder;
mod layout;
mod measuring;
mod missing;
mod mitre;
mod mortise;
mod nibble;
mod order;
mod outcome;
mod panel;
mod plane;
mod question;
mod reader;
mod resaw;
mod rest;
mod rip;
mod rout;
mod rows;
mod sand;
mod setting;
mod stop;
mod taper;
mod tenon;
mod trace;
mod words;
mod work;

pub use advice::RowFault;
pub use blank::{Blank, Extent, Mortised, Surface};
pub use describe::{Choice, FeatureDescription, KeyDescription, KindDescription, describe};
pub use drawing::Drawing;
pub use dry_fit::rock;
pub use faces::{faces_up, is_lettered};
pub use feature::{FeatureName, LENGTH, THICKNESS, WIDTH};
pub use kind::OperationKind;
pub use kinds::{KINDS, kind};
pub use order::{PartSequence, WorkStage};
pub use outcome::{
    Fact, FactAmount, Finding, MayOverride, NamedSetting, Outcome, Pass, Subject, Trouble, Wait,
};
pub use question::{Formulas, Operation, Over, SizedFeature, Wall};
pub use reader::{FormulaText, KeyReader, Keyed};
pub use setting::scale_name;
pub use trace::{CutAlong, CutShape, EndCut, LongFace, Skin, Trace};
pub use words::{decimal, words};
pub use work::{LeftForLater, RoughFaces, ShortestPiece, Work};
