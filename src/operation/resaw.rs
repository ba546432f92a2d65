//! Resaw: slice a blank to thinner pieces at the band saw.
//!
//! `slices = floor((blank + kerf + rejoint) / (slice + kerf + rejoint))`
//! (common practice, no source). What is left is the last slab: it is sawn to the
//! number too, or where that leaves only a sliver, the planer starts from it.
//! The pieces of the part are the slices: each
//! is thought of as still in its blank until here, so its stock thickness is
//! the blank's, and several pieces share one.

use super::blank::Surface;
use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble, Wait};
use super::question::{Operation, Over, SizedFeature};
use super::trace::{LongFace, Skin, Trace};
use super::words;
use super::work::Work;
use crate::measure::{Length, Rounds};
use crate::prose::Level;
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind = OperationKind::of::<Resaw>(
    "resaw",
    "Saw a blank into thinner slices.",
    keys::read::<Resaw>,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "resaw", "at": "band saw", "slice": "3/8", "clean_up": "1/8", "rejoint": "1/32", "drift": "1.5" }"#,
];

/// From the last cut of one day to the next morning.
const OVERNIGHT: u32 = 16 * 60;

/// Slices this thin get a push block, and half the clean-up.
const THIN: Length = Length::inch_fraction(1, 4);

/// A blade wanders out of an offcut thinner than this (common practice, no source).
const SLIVER: Length = Length::inch_fraction(1, 16);

/// Left on a slice for both faces and for movement (common practice, no source).
const CLEAN_UP: Length = Length::inch_fraction(1, 8);
/// The same on a thin slice (common practice, no source).
const CLEAN_UP_THIN: Length = Length::inch_fraction(1, 16);

keys! {
    Resaw: "resaw" {
        /// The finished thickness of a slice.
        slice: F,
        /// Left on a slice for both faces and for movement; when left out 1/8 in,
        /// or 1/16 in on slices under 1/4 in.
        clean_up: Option<F>,
        /// How much jointing takes off the sawn face between slices.
        rejoint: Option<F> = Length::ZERO,
        /// The drift of the blade: the fence is set to this angle.
        drift: Option<F> as degrees,
    }
}

/// What is left of a blank when no two slices are in it any more.
#[derive(Debug, Default)]
struct LastSlab {
    /// How thick it stays, where it isn't sawn.
    left: Option<Length>,
    /// What is done with it.
    step: Option<String>,
}

impl LastSlab {
    fn of(work: &Work<'_>, thick: Length, over: Length, kerf: Length) -> LastSlab {
        if over <= Length::ZERO {
            return LastSlab::default();
        }
        if over >= kerf + SLIVER {
            let over = work.words(over);
            let step = format!("Saw the last slab too, at the same number: {over} is over.");
            return LastSlab { left: None, step: Some(step) };
        }
        let stays = work.words(thick);
        let step = format!("The last slab stays {stays}, too little over to saw: plane it first.");
        LastSlab { left: Some(thick), step: Some(step) }
    }
}

impl Operation for Resaw {
    fn sizes(&self) -> Vec<SizedFeature> {
        vec![SizedFeature::wood_left_on(THICKNESS)]
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::BandSaw]
    }

    // As many slices as the stock is meant for come out of it.
    fn wants(
        &self,
        feature: &str,
        after: Option<Length>,
        work: &Work<'_>,
    ) -> Result<Option<Length>, Trouble> {
        if feature != THICKNESS {
            return Ok(after);
        }
        let slices = i64::from(work.blank.through.max(1));
        let thick = self.thick(work)?;
        let lost = self.lost_between(work).unwrap_or(Length::ZERO);
        Ok(Some(thick * slices + lost * (slices - 1)))
    }

    fn lost_between(&self, work: &Work<'_>) -> Option<Length> {
        let rejoint = work.optional(&self.rejoint).ok()?.unwrap_or(Length::ZERO);
        Some(work.kerf()? + rejoint)
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let clean_up = self.clean_up(work)?;
        let rejoint = work.optional(&self.rejoint)?.unwrap_or(Length::ZERO);
        let thick = self.thick(work)?;
        let mut out = Outcome::untouched(work.blank, draw(work, thick, work.drawn_kerf()));
        out.findings = work.machine_limits();
        out.findings.extend(limits(work, thick));
        let from = format!(
            "{} and {} to clean up",
            work.chain(&self.slice),
            words::decimal(clean_up, work.unit)
        );
        let fence = work.sizing_rounded("fence", thick, THICKNESS, from, Rounds::Up);
        out.settings.push(fence);
        if let Some(drift) = &self.drift {
            let degrees = work.degrees(drift)?;
            out.facts.push(Fact::degrees("fence at the drift of the blade", degrees));
            if degrees.abs() > 10.0 {
                out.findings.push(
                    Finding::warning("a blade that drifts more than 10 degrees is dull or loose")
                        .help("sharpen or change the blade, set tension and guides, then find the drift again")
                        .key("drift"),
                );
            }
        }
        if work.kerf().is_none() {
            for what in ["slices from a blank", "last slab"] {
                work.unknown_without_kerf(what, Level::Error, &mut out);
            }
        }
        let slab = self.slices(work, &mut out, thick, rejoint);
        let fence_makes = out.settings.first().map_or(thick, |fence| fence.setting.predicted);
        out.cut(THICKNESS, thick, |length| work.words(length));
        out.after.may_be(THICKNESS, slab.left.unwrap_or(thick).max(fence_makes));
        if rejoint <= Length::ZERO {
            out.after.trued.remove(&Surface::Face);
        }
        let sawn = [LongFace::C, LongFace::A].into_iter();
        let is_trued = out.after.trued.contains(&Surface::Face);
        out.traces.push(Trace::skin(sawn.take(if is_trued { 1 } else { 2 }), Skin::Sawn));
        out.wait = Some(Wait { minutes: OVERNIGHT, what: "the slices to settle".to_owned() });
        self.instruct(work, &mut out, rejoint);
        out.steps.extend(slab.step);
        if thick <= THIN {
            out.cautions.push(format!(
                "{} or less: use a push block or carrier, never a bare hand.",
                work.either("1/4 in", "6 mm")
            ));
        }
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        let by = work.words(over.target);
        if work.kerf().is_some_and(|kerf| over.target >= kerf + SLIVER) {
            return format!("Saw it again at the same number: {by} too thick.");
        }
        format!("Plane it: {by} too thick. Move the fence closer for the rest.")
    }
}

impl Resaw {
    /// How thick a slice is sawn.
    fn thick(&self, work: &Work<'_>) -> Result<Length, Trouble> {
        Ok(work.size(&self.slice)? + self.clean_up(work)?)
    }

    /// What is left on a slice for both faces and for movement.
    fn clean_up(&self, work: &Work<'_>) -> Result<Length, Trouble> {
        let usual = if work.size(&self.slice)? < THIN { CLEAN_UP_THIN } else { CLEAN_UP };
        Ok(work.optional(&self.clean_up)?.unwrap_or(usual))
    }

    /// How many slices a blank gives, and what becomes of the last slab.
    fn slices(
        &self,
        work: &Work<'_>,
        out: &mut Outcome,
        thick: Length,
        rejoint: Length,
    ) -> LastSlab {
        let mut slab = LastSlab::default();
        let (Some(blank), Some(kerf)) = (work.blank.least_of(THICKNESS), work.kerf()) else {
            return slab;
        };
        let pitch = thick + kerf + rejoint;
        let count = (blank + kerf + rejoint).nanometres().max(0) / pitch.nanometres().max(1);
        out.facts.push(Fact::number("slices from a blank", count));
        if count > 0 {
            let last = blank - pitch * (count - 1);
            out.facts.push(Fact::size("last slab", last));
            slab = LastSlab::of(work, last, last - thick, kerf);
        }
        if count == 1 {
            out.findings.push(
                Finding::warning(format!(
                    "a blank of {} gives one slice of {}: there is nothing to resaw",
                    work.words(blank),
                    work.words(thick)
                ))
                .help("use thicker stock, cut thinner slices, or plane it")
                .key("slice"),
            );
        }
        slab
    }

    fn instruct(&self, work: &Work<'_>, out: &mut Outcome, rejoint: Length) {
        let fence = if self.drift.is_some() {
            "Set the fence to the drift, then to the number, at the blade."
        } else {
            "Find the drift on scrap: freehand along a line, then stop and hold."
        };
        out.steps.push(fence.to_owned());
        out.steps.push("Jointed face to the fence, square edge down.".to_owned());
        out.steps.push(if rejoint > Length::ZERO {
            "Joint the sawn face of the blank again before each slice.".to_owned()
        } else {
            let off = work.either("1/32 in", "1 mm");
            format!("Joint the blank again once its face is {off} out of flat.")
        });
        out.steps.push("Measure each slice at both edges: a difference is blade bow.".to_owned());
        out.steps.push("Sticks between the slices, weight on top, overnight.".to_owned());
        out.cautions.push("Push block behind the slice; hands never in line.".to_owned());
    }
}

/// Whether the blank has surfaces to run on and fits the machine.
fn limits(work: &Work<'_>, thick: Length) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (surface, what) in [
        (Surface::Face, "no flat face to run against the fence"),
        (Surface::Edge, "no straight edge to stand on the table"),
    ] {
        if !work.blank.trued.contains(&surface) {
            findings.push(
                Finding::error(what)
                    .help("joint first: { \"do\": \"joint\", \"sides\": [\"face\", \"edge\"] }")
                    .key("do"),
            );
        }
    }
    let (Some(machine), Some(at)) = (work.machine, work.at) else { return findings };
    if let (Some(wide), Some(high)) = (work.blank.most(WIDTH), machine.thickest)
        && wide > high
    {
        findings.push(
            Finding::error(format!(
                "on edge it is {} high, and the {at} takes {} or less",
                work.words(wide),
                work.words(high)
            ))
            .help("rip it narrower first, or use another machine")
            .key("at")
            .limit(),
        );
    }
    if let Some(low) = machine.thinnest
        && thick < low
    {
        findings.push(
            Finding::error(format!(
                "a slice of {} is thinner than the {} the {at} may take",
                work.words(thick),
                work.words(low)
            ))
            .help("cut thicker slices and plane them down afterwards on a carrier")
            .key("slice")
            .limit(),
        );
    }
    findings
}

fn draw(work: &Work<'_>, thick: Length, kerf: Length) -> Drawing {
    let high = work.blank.most(WIDTH).unwrap_or(thick * 6);
    let blank = work.blank.most(THICKNESS).unwrap_or(thick * 3).max(thick + kerf);
    let gap = blank / 6;
    let p = Point::new;
    let zero = Length::ZERO;
    Drawing::new("end view, on edge", Scale::Stretched)
        .block(Material::Fence, p(-gap * 2, zero), p(zero, high + high / 8))
        .block(Material::Fence, p(-gap * 2, -high / 8), p(blank + gap, zero))
        .block(Material::Wood, p(zero, zero), p(thick, high))
        .block(Material::Wood, p(thick + kerf, zero), p(blank.max(thick + kerf + gap), high))
        .block(Material::Cutter, p(thick, -high / 8), p(thick + kerf, high + high / 4))
        .label(p(thick / 2, high / 2), "slice")
        .dimension(p(zero, high + high / 4), p(thick, high + high / 4), work.words(thick))
        .measure_here(p(thick / 2, high - high / 8))
        .measure_here(p(thick / 2, high / 8))
}
