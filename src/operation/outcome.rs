//! What an operation answers: settings, passes, the piece afterwards, findings.

use super::blank::Blank;
use super::drawing::{Drawing, DrawnShape};
use super::faces::is_lettered;
use super::feature::FeatureName;
use super::trace::Trace;
use super::words;
use crate::measure::{Dial, Length, Readout, Rounds, Setting, Target, Unit};
use crate::prose::{Message, Span, counted};

/// A setting of one scale of a machine.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedSetting {
    /// What is set: `stop`, `fence`, `blade height`, `table`.
    pub name: String,
    /// How that scale shows a length.
    pub readout: Readout,
    /// Target, aim, dial and the size that dial makes.
    pub setting: Setting,
    /// Which way the dial was rounded.
    pub rounds: Rounds,
    /// How the numbers came about, from plan or reading to dial.
    pub why: String,
    /// Whether the passes lead to it, so that it isn't set by itself.
    pub by_passes: bool,
    /// Whether people type what its scale shows once it is set. Not where it only
    /// has to clear the work or bounds a bite: a blade height, a jointer's depth.
    pub is_confirmed: bool,
    /// What it sizes on the piece, when it does.
    pub sizes: Option<FeatureName>,
    /// What comes out smaller as this scale goes up.
    pub shrinks: Option<FeatureName>,
    /// How much further away than the size begins the scale counts from: the
    /// base of a sled, a kerf, the first cut. Target and predicted size and this
    /// together are what the scale counts.
    pub beyond: Length,
}

impl NamedSetting {
    /// The dial as its scale shows it: `23/32`, `1 7/16 strong 0.006`.
    pub fn dial_text(&self) -> String {
        self.readout.shown(self.setting.dial.0)
    }

    /// `makes 1.290 in the last pass`; nothing where it sizes nothing.
    pub fn makes(&self, unit: Unit) -> Option<String> {
        self.sizes.as_ref()?;
        let by = if self.by_passes { " in the last pass" } else { "" };
        Some(format!("makes {}{by}", words::decimal(self.setting.predicted, unit)))
    }

    /// How the number came about, for people: `leg_length + rough, with leg_length 20 in
    /// (planned)`. A formula that is one name is not said twice.
    pub fn reason(&self) -> String {
        let why = self.why.replace(", planned", " (planned)");
        match why.split_once(" <- ") {
            Some((name, values)) if values.starts_with(&format!("{name} ")) => values.to_owned(),
            Some((formula, values)) => format!("{formula}, with {values}"),
            None => why.clone(),
        }
    }
}

/// One height the machine is set to, and what is fed at it.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// Counted from one.
    pub number: u32,
    /// The tool in the machine, where it is known.
    pub tool: Option<String>,
    /// How the scale shows a length.
    pub readout: Readout,
    /// The size wanted at this height.
    pub target: Target,
    /// What the scale must show.
    pub dial: Dial,
    /// The faces turned up, in order; empty where it doesn't matter.
    pub faces: Vec<&'static str>,
    /// How often each piece goes through at this height.
    pub feeds: u32,
    /// Presses of the jog button from the height before.
    pub presses: Option<u32>,
    /// The same height again, without moving the table.
    pub kiss: bool,
    /// The piece in this pass, where it is turned from pass to pass.
    pub drawing: Option<Drawing>,
    /// How much further away than the size begins the scale counts from.
    pub beyond: Length,
}

impl Pass {
    /// One feed at a setting, with nothing turned up and no drawing of its own.
    pub(super) fn at(number: u32, tool: Option<&str>, readout: Readout, setting: Setting) -> Pass {
        Pass {
            number,
            tool: tool.map(str::to_owned),
            readout,
            target: setting.target,
            dial: setting.dial,
            faces: Vec::new(),
            feeds: 1,
            presses: None,
            kiss: false,
            drawing: None,
            beyond: Length::ZERO,
        }
    }

    /// The dial as its scale shows it: `23/32`, `1 7/16 strong 0.006`.
    pub fn dial_text(&self) -> String {
        self.readout.shown(self.dial.0)
    }

    /// How the pieces go through: `80 belt, faces C, D, 2 feeds, 3 presses`.
    pub fn words(&self) -> String {
        let mut words: Vec<String> = self.tool.iter().cloned().collect();
        match self.faces.as_slice() {
            [] => {}
            [only] if is_lettered(&self.faces) => words.push(format!("face {only}")),
            several if is_lettered(several) => words.push(format!("faces {}", several.join(", "))),
            several => words.extend(several.iter().map(|face| format!("the {face}"))),
        }
        words.push(self.times());
        words.join(", ")
    }

    /// How often, and how far from the height before: `2 feeds, 3 presses`.
    pub fn times(&self) -> String {
        let mut times = counted(self.feeds as usize, "feed");
        if let Some(presses) = self.presses {
            times = format!("{times}, {}", counted(presses as usize, "press"));
        }
        if self.kiss {
            times.push_str(", same height again");
        }
        times
    }
}

/// How much a fact is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FactAmount {
    /// A whole number of things.
    Number(i64),
    /// A length.
    Size(Length),
    /// An angle in degrees.
    Degrees(f64),
    /// A time in minutes.
    Minutes(u32),
    /// Not known, because the shop file or the route leaves out what it needs.
    Unknown,
}

/// A number to know that is set on no scale: pieces from a board, an angle,
/// the width half way down a taper.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// What it is the amount of, as a screen writes it before the amount.
    pub what: String,
    /// How much it is.
    pub is: FactAmount,
}

impl Fact {
    /// A whole number.
    pub fn number(what: impl Into<String>, is: i64) -> Fact {
        Fact { what: what.into(), is: FactAmount::Number(is) }
    }

    /// A length.
    pub fn size(what: impl Into<String>, is: Length) -> Fact {
        Fact { what: what.into(), is: FactAmount::Size(is) }
    }

    /// An angle in degrees.
    pub fn degrees(what: impl Into<String>, is: f64) -> Fact {
        Fact { what: what.into(), is: FactAmount::Degrees(is) }
    }

    /// A time in minutes.
    pub fn minutes(what: impl Into<String>, is: u32) -> Fact {
        Fact { what: what.into(), is: FactAmount::Minutes(is) }
    }

    /// An amount that isn't known.
    pub fn unknown(what: impl Into<String>) -> Fact {
        Fact { what: what.into(), is: FactAmount::Unknown }
    }

    /// Its amount in words.
    pub fn words(&self, unit: Unit) -> String {
        match self.is {
            FactAmount::Number(number) => number.to_string(),
            FactAmount::Size(length) => words::words(length, unit),
            FactAmount::Degrees(degrees) => format!("{degrees:.2} degrees"),
            FactAmount::Minutes(minutes) => spoken(minutes),
            FactAmount::Unknown => "unknown".to_owned(),
        }
    }
}

/// Who may decide to go on in spite of a finding.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MayOverride {
    /// The lead may open the operation.
    #[default]
    Lead,
    /// Nobody may: it is a machine's own limit, or a danger.
    Nobody,
}

/// What a finding of an operation is about.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Subject {
    /// The key of the operation, where it is about one.
    pub key: Option<&'static str>,
    /// Who may go on in spite of it.
    pub may_override: MayOverride,
    /// Whether it is about the shop file, whatever the operation: a plan as a
    /// whole says it once.
    pub of_the_shop: bool,
}

/// Something in an operation to look at, in the trade's words.
pub type Finding = Message<Subject>;

impl Finding {
    /// The same finding as a machine's own limit or a danger, which nobody may
    /// override.
    #[must_use]
    pub fn limit(mut self) -> Finding {
        self.place.may_override = MayOverride::Nobody;
        self
    }

    /// The same finding as one about the shop file, which a plan says once.
    #[must_use]
    pub fn of_the_shop(mut self) -> Finding {
        self.place.of_the_shop = true;
        self
    }

    /// The same finding about one key of the operation.
    #[must_use]
    pub fn key(mut self, key: &'static str) -> Finding {
        self.place.key = Some(key);
        self
    }
}

/// A formula that could not be worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Trouble {
    /// The key of the operation it is under.
    pub key: &'static str,
    /// What is wrong, and at which bytes of the formula.
    pub error: Message<Span>,
}

/// What must pass before the next operation on these pieces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wait {
    /// How long, in minutes.
    pub minutes: u32,
    /// What is waited for: `glue`, `the first coat`.
    pub what: String,
}

/// `60 minutes`, `24 hours`.
pub(super) fn spoken(minutes: u32) -> String {
    if minutes >= 120 && minutes.is_multiple_of(60) {
        format!("{} hours", minutes / 60)
    } else {
        format!("{minutes} minutes")
    }
}

/// Everything an operation says about one group of alike pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// What is set on the scales of the machine, in order.
    pub settings: Vec<NamedSetting>,
    /// The heights the pieces go through, in order; none where one setting does it.
    pub passes: Vec<Pass>,
    /// What the piece measures afterwards.
    pub after: Blank,
    /// Where along the piece it is cut, where no scale says it: needed at every piece.
    pub places: Vec<String>,
    /// What to do, one short sentence each, in order.
    pub steps: Vec<String>,
    /// Cautions of this cut, beside those of the machine.
    pub cautions: Vec<String>,
    /// Numbers to know that are set on no scale.
    pub facts: Vec<Fact>,
    /// How long the pieces rest afterwards.
    pub wait: Option<Wait>,
    /// What is wrong or needs a look.
    pub findings: Vec<Finding>,
    /// The cut as it is seen at the machine.
    pub drawing: Drawing,
    /// What it leaves to be seen on the piece, in the order it is done.
    pub traces: Vec<Trace>,
}

impl Outcome {
    /// The piece as it came, nothing set: kinds add to it.
    pub fn untouched(before: &Blank, drawing: Drawing) -> Outcome {
        Outcome {
            settings: Vec::new(),
            passes: Vec::new(),
            after: before.clone(),
            places: Vec::new(),
            steps: Vec::new(),
            cautions: Vec::new(),
            facts: Vec::new(),
            wait: None,
            findings: Vec::new(),
            drawing,
            traces: Vec::new(),
        }
    }

    /// Feeds of one piece over all passes.
    pub fn feeds(&self) -> u32 {
        self.passes.iter().map(|pass| pass.feeds).sum()
    }

    /// Takes the marks where to measure off its drawings.
    pub fn is_not_measured(&mut self) {
        let of_passes = self.passes.iter_mut().filter_map(|pass| pass.drawing.as_mut());
        for drawing in of_passes.chain([&mut self.drawing]) {
            drawing.shapes.retain(|shape| !matches!(shape, DrawnShape::MeasureHere { .. }));
        }
    }

    /// Makes a feature smaller, or reports that the cut would add wood.
    pub(super) fn cut(&mut self, feature: &str, to: Length, words: impl Fn(Length) -> String) {
        match self.after.size(feature) {
            Some(before) if to > before.most + Length::ROUNDING => {
                self.findings.push(
                    Finding::error(format!(
                        "cut to {} {feature} from a piece that is {}: wood can't be added",
                        words(to),
                        words(before.most)
                    ))
                    .help("make it smaller, or start from bigger stock")
                    .key("to"),
                );
            }
            _ => self.after.make(feature, to),
        }
    }
}
