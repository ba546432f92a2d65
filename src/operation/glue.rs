//! Glue: what was fitted dry, put together for good within the open time.
//!
//! `joints in one go = floor((open - closing) / time for a joint)` (common
//! practice). Thirty to sixty minutes in the clamps where nothing strains the
//! joint, no strain for twenty-four hours: a glue maker's guide
//! (blog.eroko.com).

use super::drawing::{Drawing, Material, Point, Scale};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble, Wait, spoken};
use super::question::{Formulas, Operation, Over, SizedFeature};
use super::reader::{KeyReader, Keyed};
use super::work::Work;
use crate::measure::{Length, SafeSide};
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind =
    OperationKind::of::<GlueKeys>("glue", "Glue and clamp within the open time.", read, EXAMPLES);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "glue", "at": "glue bench", "open_minutes": 8, "closing_minutes": 3, "seconds_per_joint": 60, "joints": 4, "clamps": 2, "clamp_minutes": 60, "cure_hours": 24, "coldest": "50 F" }"#,
];

/// In the clamps, where the label isn't copied into the route.
const CLAMPED: u32 = 60;
/// Before anything strains the joints.
const UNTIL_STRAINED: u32 = 24 * 60;

keys! {
    GlueKeys: "glue" {
        /// How long the glue stays open, by its label.
        open_minutes: f64 as minutes,
        /// How long closing the clamps takes.
        closing_minutes: f64 as minutes,
        /// Spreading glue on both surfaces of one joint.
        seconds_per_joint: u32 as seconds,
        /// How many joints are glued.
        joints: u32 as joints,
        /// How many clamps must be ready.
        clamps: Option<u32> as clamps,
        /// How long it stays in the clamps, by the label.
        clamp_minutes: Option<f64> as minutes = CLAMPED,
        /// How long nothing may strain the joints, by the label.
        cure_hours: Option<f64> as hours = UNTIL_STRAINED / 60,
        /// The coldest the glue may be used, by its label: `50 F`.
        coldest: Option<String>,
    }
}

#[derive(Debug)]
struct Glue {
    /// In seconds, as are the next two.
    open: u32,
    closing: u32,
    per_joint: u32,
    joints: u32,
    clamps: Option<u32>,
    clamped: u32,
    until_strained: u32,
    coldest: Option<String>,
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    let keys = keys::keys_if::<GlueKeys>(reader, |_, _| true)?;
    let mut seconds = |key, minutes: f64| {
        let most = 600.0;
        if minutes > 0.0 && minutes <= most {
            return Some((minutes * 60.0).round() as u32);
        }
        reader.problem(key, format!("greater than zero, and no more than {most} minutes"), None);
        None
    };
    let open = seconds("open_minutes", keys.open_minutes);
    let closing = seconds("closing_minutes", keys.closing_minutes);
    if keys.seconds_per_joint == 0 || keys.seconds_per_joint > 3600 {
        reader.problem("seconds_per_joint", "1 to 3600 seconds", None);
        return None;
    }
    let mut label = |key, minutes: Option<f64>, otherwise| {
        minutes.map_or(Some(otherwise), |minutes| reader.minutes(key, minutes))
    };
    let clamped = label("clamp_minutes", keys.clamp_minutes, CLAMPED);
    let cured = label("cure_hours", keys.cure_hours.map(|hours| hours * 60.0), UNTIL_STRAINED);
    if keys.joints == 0 {
        reader.problem("joints", "at least one joint is glued", None);
        return None;
    }
    Some(Box::new(Glue {
        open: open?,
        closing: closing?,
        per_joint: keys.seconds_per_joint,
        joints: keys.joints,
        clamps: keys.clamps,
        clamped: clamped?,
        until_strained: cured?,
        coldest: keys.coldest,
    }))
}

impl Formulas for Glue {
    fn formulas(&self) -> Vec<&Keyed> {
        Vec::new()
    }
}

impl Operation for Glue {
    fn sizes(&self) -> Vec<SizedFeature> {
        ["shoulder gap", "diagonals", "wind"]
            .map(|feature| SizedFeature::new(feature, SafeSide::Neither))
            .to_vec()
    }

    fn cant_be_undone(&self) -> bool {
        true
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::ClampBench]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let at_once = self.at_once();
        let mut out = Outcome::untouched(work.blank, self.draw(at_once));
        out.findings.extend(self.too_many(at_once));
        out.facts = vec![
            Fact::number("joints in one go", at_once.into()),
            Fact::minutes("time in the clamps", self.clamped),
            Fact::minutes("time until the joints may be strained", self.until_strained),
        ];
        let clamps = match self.clamps {
            Some(clamps) => {
                out.facts.insert(1, Fact::number("clamps", clamps.into()));
                format!("Count out {clamps} clamps, set to size, with pads.")
            }
            None => "Count out the clamps, set to size, with pads.".to_owned(),
        };
        let warm = match &self.coldest {
            Some(coldest) => format!("Keep glue, wood and room warmer than {coldest}."),
            None => {
                "Keep glue, wood and room at least as warm as the glue's label says.".to_owned()
            }
        };
        out.steps = vec![
            clamps,
            "Rehearse: close it all dry once, against the watch.".to_owned(),
            warm,
            "Spread glue on both surfaces of each joint; match the numbers.".to_owned(),
            "Check diagonals, wind and reveal in the open time, and once clamped.".to_owned(),
            "Wash off squeeze-out where it would show.".to_owned(),
            format!(
                "Clamps off after {}; no strain on the joints for {}.",
                spoken(self.clamped),
                spoken(self.until_strained)
            ),
        ];
        out.cautions.push(
            "This can't be undone: if it doesn't close, pull it apart at once and wash.".to_owned(),
        );
        // The clamps come off sooner, but no operation may strain the joints.
        out.wait = Some(Wait {
            minutes: self.clamped.max(self.until_strained),
            what: "the glue".to_owned(),
        });
        Ok(out)
    }

    fn does(&self) -> Option<&'static str> {
        Some("Glue up")
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        let by = work.words(over.limit);
        format!("Within the open time only: pull it apart, wash it, and take off {by}.")
    }
}

impl Glue {
    /// How many joints are spread and closed before the glue skins over.
    fn at_once(&self) -> u32 {
        self.open.saturating_sub(self.closing) / self.per_joint
    }

    fn too_many(&self, at_once: u32) -> Option<Finding> {
        if at_once == 0 {
            let what = "the glue skins over before one joint is spread and the clamps are closed";
            let fix = "use a glue with a longer open time, or more people";
            return Some(Finding::error(what).help(fix).key("open_minutes"));
        }
        if self.joints <= at_once {
            return None;
        }
        let goes = self.joints.div_ceil(at_once);
        let what =
            format!("{} joints, and the open time is enough for {at_once} in one go", self.joints);
        let fix = format!(
            "glue in {goes} goes ({}): the ends as frames first, then what joins them; or a slower glue",
            evenly(self.joints, goes)
        );
        Some(Finding::error(what).help(fix).key("joints"))
    }

    /// The open time as a bar, an inch for every minute.
    fn draw(&self, at_once: u32) -> Drawing {
        let along = |seconds: u32| Length::INCH * i64::from(seconds) / 60;
        let p = Point::new;
        let (zero, high) = (Length::ZERO, along(self.open) / 5);
        let joints = self.joints.min(at_once);
        let spread = self.per_joint * joints;
        let mut drawing = Drawing::new("open time, left to right", Scale::Stretched);
        let bars = joints.min(MOST_DRAWN);
        for bar in 0..bars {
            let from = along(spread * bar / bars);
            drawing = drawing.block(
                Material::Wood,
                p(from, zero),
                p(along(spread * (bar + 1) / bars), high),
            );
        }
        let closed = spread + self.closing;
        let (above, below) = (high + high / 3, -high / 3);
        drawing
            .block(Material::Wood, p(along(spread), zero), p(along(closed), high))
            .label(p(along(spread + self.closing / 2), high / 2), "close")
            .dimension(
                p(zero, below),
                p(along(spread), below),
                format!("{joints} joints, {}", clock(spread)),
            )
            .dimension(
                p(zero, above),
                p(along(self.open), above),
                format!("open {}", clock(self.open)),
            )
    }
}

/// More joints than this are one bar: nobody counts them from six feet.
const MOST_DRAWN: u32 = 12;

/// How many joints go into each of several goes, as evenly as possible: `4 + 3`.
fn evenly(joints: u32, goes: u32) -> String {
    if goes > MOST_DRAWN {
        return format!("at most {} each", joints.div_ceil(goes));
    }
    let each: Vec<String> =
        (0..goes).map(|go| (joints / goes + u32::from(go < joints % goes)).to_string()).collect();
    each.join(" + ")
}

/// `4:30`.
fn clock(seconds: u32) -> String {
    format!("{}:{:02}", seconds / 60, seconds % 60)
}
