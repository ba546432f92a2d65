//! Taper: saw the faces of a leg down to a smaller foot, on a sled.
//!
//! `taken off = section - foot`, over `run = length - start`; the angle is
//! `atan(taken off / run)`. The sled holds the outside face, so the cut stays
//! put and a leg that is fat by e starts its taper `e x run / taken off`
//! higher (common practice, no source).

mod drawing;

use schemars::JsonSchema;
use serde::Deserialize;

use super::blank::Extent;
use super::drawing::{Drawing, Scale};
use super::feature::{FeatureName, LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::order::WorkStage;
use super::outcome::{Fact, Finding, Outcome, Pass, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::trace::{LongFace, Skin, Trace};
use super::words::{self, scaled};
use super::work::Work;
use crate::measure::{Length, Rounds, SafeSide, Unit};
use crate::shop::{Act, MachineKind};

pub(super) const KIND: OperationKind = OperationKind::of::<Taper>(
    "taper",
    "Taper a leg toward its foot, on a sled.",
    keys::read::<Taper>,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "taper", "at": "cabinet saw", "start": "6", "foot": "7/8", "faces": "two inside", "sanding": "1/64", "apron": "5 1/2", "section": "1 3/8", "station": "14" }"#,
];

/// The difference in section by which the start line's shift is shown.
const A_LITTLE_INCH: Length = Length::thousandths(1);
/// The same on a route in millimetres.
const A_LITTLE_MILLIMETRE: Length = Length::from_nanometres(Length::MILLIMETRE.nanometres() / 10);

/// The faces in turn: the one at the fence, then the one up, cut and down.
const FACES: [&str; 4] = ["A", "B", "C", "D"];

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
enum Tapered {
    /// The face opposite the face side.
    #[serde(rename = "one")]
    One,
    /// The two faces toward the rails; face side and face edge stay straight.
    #[serde(rename = "two inside")]
    TwoInside,
    /// All four, by the same amount.
    #[serde(rename = "four")]
    Four,
}

keys! {
    Taper: "taper", makes {
        /// Distance from the top of the leg to the start of the taper.
        start: F,
        /// The size of the finished foot.
        foot: F,
        /// Which faces are cut.
        faces: Tapered,
        /// What is left on each cut face to be sanded away.
        sanding: Option<F> = Length::ZERO,
        /// How far the apron or rail reaches down from the top: no taper starts above that.
        apron: Option<F>,
        /// The section the sled is set for; the biggest of the pieces when left out.
        section: Option<F>,
        /// Where between start and foot to measure, from the top; half way when left out.
        station: Option<F>,
    }
}

/// What is sawn off between two opposite faces, and how steeply.
#[derive(Clone, Copy, Debug)]
struct TaperCut {
    /// What the pieces measure between the two faces.
    pieces: Extent,
    /// What the sled is set for.
    section: Length,
    start: Length,
    run: Length,
    /// Off one face at the foot, once it is sanded.
    off: Length,
    /// Off one face at the foot by the saw.
    sawn: Length,
}

impl TaperCut {
    /// Where the taper starts on a piece of that section.
    fn starts(&self, section: Length) -> Length {
        self.start - scaled(section - self.section, self.run.ratio(self.sawn))
    }

    /// What the saw leaves of the section at a place, `faces` of it cut.
    fn left_at(&self, place: Length, faces: i64) -> Length {
        self.section - scaled(self.sawn * faces, (place - self.start).ratio(self.run))
    }

    fn degrees(&self) -> f64 {
        self.off.ratio(self.run).atan().to_degrees()
    }
}

impl Operation for Taper {
    fn sizes(&self) -> Vec<SizedFeature> {
        let feet = self.directions().iter().map(|feature| self.named(&format!("foot {feature}")));
        feet.chain([self.named("start length")])
            .map(|feature| SizedFeature::new(feature, SafeSide::Big))
            .collect()
    }

    fn stage(&self) -> WorkStage {
        WorkStage::Tapering
    }

    fn cant_be_undone(&self) -> bool {
        true
    }

    fn act(&self) -> Act {
        Act::OnSled
    }

    fn is_handed(&self) -> bool {
        true
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::TableSaw]
    }

    fn works_from_marks(&self) -> bool {
        true
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let start = work.length(&self.start)?;
        let foot = work.size(&self.foot)?;
        let sanding = work.optional(&self.sanding)?.unwrap_or(Length::ZERO);
        let section = self.section.as_ref().map(|section| work.size(section)).transpose()?;
        let mut out = Outcome::untouched(work.blank, Drawing::new("from above", Scale::Stretched));
        out.findings = work.machine_limits();
        out.findings.extend(sled_findings(work));

        let mut cuts = Vec::new();
        for feature in self.directions() {
            let (Some(length), Some(pieces)) = (work.blank.most(LENGTH), work.blank.size(feature))
            else {
                out.findings.push(
                    Finding::error(format!("the length or the {feature} of the piece isn't known"))
                        .help("give the part's stock a length, a width and a thickness")
                        .key("do"),
                );
                return Ok(out);
            };
            let section = section.unwrap_or(pieces.most);
            let off = (section - foot) / if self.faces == Tapered::Four { 2 } else { 1 };
            let sawn = off - sanding - work.aim;
            cuts.push(TaperCut { pieces, section, start, run: length - start, off, sawn });
        }
        let refused = self.refusals(work, &cuts, foot);
        let stops = !refused.is_empty();
        out.findings.extend(refused);
        if stops {
            return Ok(out);
        }
        for (cut, feature) in cuts.iter().zip(self.directions()) {
            if cut.pieces.least <= foot {
                out.findings.push(
                    Finding::warning(format!(
                        "the thinnest piece, {}, has nothing left to taper to a foot of {}",
                        work.words(cut.pieces.least),
                        work.words(foot)
                    ))
                    .help("use that piece elsewhere, or make the foot smaller")
                    .key("foot"),
                );
            }
            self.apron(work, &mut out, cut, sanding)?;
            out.after.make(
                &self.named(&format!("foot {feature}")),
                cut.section - cut.sawn * self.sides(),
            );
        }
        out.after.make(&self.named("start length"), start);
        out.traces.push(self.traces(start));
        self.set(work, &mut out, &cuts);
        self.facts(work, &mut out, &cuts)?;
        self.instruct(&mut out, sanding);
        out.drawing = self.draw(work, cuts[0]);
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!(
            "Foot too thick or start too low: set the sled {} further at the foot, cut again.",
            words::decimal(over.target, work.unit)
        )
    }
}

impl Taper {
    /// Between which faces wood goes: the first cut is opposite the face side.
    fn directions(&self) -> &'static [&'static str] {
        if self.faces == Tapered::One { &[THICKNESS] } else { &[THICKNESS, WIDTH] }
    }

    /// How many of two opposite faces are cut.
    fn sides(&self) -> i64 {
        if self.faces == Tapered::Four { 2 } else { 1 }
    }

    fn traces(&self, start: Length) -> Trace {
        let faces: &[LongFace] = match self.faces {
            Tapered::One => &[LongFace::C],
            Tapered::TwoInside => &[LongFace::C, LongFace::D],
            Tapered::Four => &LongFace::ALL,
        };
        Trace::Skin { faces: faces.to_vec(), skin: Skin::Sawn, from: start }
    }

    fn named(&self, feature: &str) -> FeatureName {
        self.makes.prefix(feature)
    }

    /// Why there is no such taper.
    fn refusals(&self, work: &Work<'_>, cuts: &[TaperCut], foot: Length) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut refuse = |finding: Finding| {
            if !findings.contains(&finding) {
                findings.push(finding);
            }
        };
        for cut in cuts {
            if cut.start.is_negative() || cut.run <= Length::ZERO {
                refuse(
                    Finding::error(format!(
                        "a start at {} is outside a leg of {}",
                        work.words(cut.start),
                        work.words(cut.start + cut.run)
                    ))
                    .help("measure from the top of the leg")
                    .key("start"),
                );
            } else if cut.off.is_negative() {
                refuse(
                    Finding::error(format!(
                        "a foot of {} from a section of {}: wood can't be added",
                        work.words(foot),
                        work.words(cut.section)
                    ))
                    .help("make the foot smaller, or use a bigger section")
                    .key("foot"),
                );
            } else if cut.sawn <= Length::ZERO {
                refuse(
                    Finding::warning(format!(
                        "nothing is left to saw: the foot comes to {} and the section is {}",
                        work.words(foot),
                        work.words(cut.section)
                    ))
                    .help("make the foot smaller, leave less for sanding, or cut no taper")
                    .key("foot"),
                );
            }
        }
        findings
    }

    /// Whether the taper climbs into the apron on any piece.
    fn apron(
        &self,
        work: &Work<'_>,
        out: &mut Outcome,
        cut: &TaperCut,
        sanding: Length,
    ) -> Result<(), Trouble> {
        let Some(apron) = work.optional(&self.apron)? else { return Ok(()) };
        let highest = cut.starts(cut.pieces.most);
        let mut report = |finding: Finding| {
            if !out.findings.contains(&finding) {
                out.findings.push(finding);
            }
        };
        if cut.start < apron {
            report(
                Finding::error(format!(
                    "the taper starts at {}, inside an apron of {}",
                    work.words(cut.start),
                    work.words(apron)
                ))
                .help("start it lower: a gap beside the apron can't be closed")
                .key("start"),
            );
        } else if highest < apron {
            report(
                Finding::error(format!(
                    "on the thickest piece, {}, the taper starts at {}, inside an apron of {}",
                    work.words(cut.pieces.most),
                    work.words(highest),
                    work.words(apron)
                ))
                .help("sand the pieces alike first, or set the sled for the thickest: `section`")
                .key("section"),
            );
        } else {
            let climbs = scaled(sanding, cut.run.ratio(cut.off));
            if highest - climbs < apron {
                report(
                    Finding::warning(format!(
                        "sanding {} evenly off the cut face moves the start up {}, into the apron",
                        words::decimal(sanding, work.unit),
                        work.words(climbs)
                    ))
                    .help("start lower by that much, or let the sanding fade out at the start line")
                    .key("sanding"),
                );
            }
        }
        Ok(())
    }

    fn set(&self, work: &Work<'_>, out: &mut Outcome, cuts: &[TaperCut]) {
        let mut offset = None;
        for turn in 0..cuts.len() * self.sides() as usize {
            let cut = cuts[turn % cuts.len()];
            let foot = cut.section - cut.sawn * self.sides();
            let why = format!(
                "{} at the top less {} left at the foot; the blade runs along the sled's edge",
                work.words(cut.section),
                work.words(foot)
            );
            let set = work.plain_setting("sled foot offset", cut.sawn, Rounds::Down, why);
            out.passes.push(Pass {
                faces: vec![face(turn, 2)],
                drawing: Some(self.turned(work, turn, cut)),
                ..Pass::at(turn as u32 + 1, work.tool_name, set.readout, set.setting)
            });
            offset = Some(set);
        }
        out.settings.extend(offset.map(|mut offset| {
            offset.by_passes = true;
            offset
        }));
        let start = cuts[0].start;
        // A start further down can still be moved up.
        let chain = work.chain(&self.start);
        out.settings.push(work.plain_setting("sled start mark", start, Rounds::Up, chain));
        let base = work.sled();
        let tallest = work.blank.most(THICKNESS).max(work.blank.most(WIDTH));
        let (height, findings) = work.blade_through(base, tallest.unwrap_or(Length::ZERO), 0.0);
        out.settings.extend(height);
        out.findings.extend(findings);
    }

    fn facts(&self, work: &Work<'_>, out: &mut Outcome, cuts: &[TaperCut]) -> Result<(), Trouble> {
        let station = work.optional(&self.station)?;
        for (cut, feature) in cuts.iter().zip(self.directions()) {
            let place = station.unwrap_or(cut.start + cut.run / 2);
            if place < cut.start || place > cut.start + cut.run {
                out.findings.push(
                    Finding::error(format!(
                        "{} from the top is not on the taper",
                        work.words(place)
                    ))
                    .help("measure between the start and the foot")
                    .key("station"),
                );
                break;
            }
            let eps = match work.unit {
                Unit::Inch => A_LITTLE_INCH,
                Unit::Millimetre => A_LITTLE_MILLIMETRE,
            };
            let mut facts = vec![
                Fact::degrees("angle of the taper", cut.degrees()),
                Fact::size("off each face at the foot", cut.off),
                Fact::size(
                    format!("{feature} as sawn, {} from the top", work.words(place)),
                    cut.left_at(place, self.sides()),
                ),
                Fact::size(
                    format!("start line moves, for {} of section", words::decimal(eps, work.unit)),
                    cut.start - cut.starts(cut.section + eps),
                ),
            ];
            for (which, section) in [("thickest", cut.pieces.most), ("thinnest", cut.pieces.least)]
            {
                if section != cut.section {
                    facts.push(Fact::size(
                        format!("start line on the {which}, {}", work.words(section)),
                        cut.starts(section),
                    ));
                }
            }
            if self.faces == Tapered::Four {
                let cuts = if *feature == THICKNESS { "third" } else { "fourth" };
                facts.push(Fact::size(format!("shim at the foot, {cuts} cut"), cut.sawn));
            }
            for fact in facts {
                if !out.facts.contains(&fact) {
                    out.facts.push(fact);
                }
            }
        }
        Ok(())
    }

    fn instruct(&self, out: &mut Outcome, sanding: Length) {
        out.steps = vec![
            "Mark the cut face: zero at the start, the offset at the foot.".to_owned(),
            "Both marks to the sled's edge; stop and fence to the leg; clamp.".to_owned(),
            "Setup piece first: measure its foot, and look at its start line.".to_owned(),
            "Before each cut: is there a mortise in the face about to be cut?".to_owned(),
        ];
        if self.faces != Tapered::One {
            out.steps.push("All first faces, then all second faces.".to_owned());
            out.steps.push("Second: a quarter turn toward the fence, tapered face up.".to_owned());
        }
        if self.faces == Tapered::Four {
            out.steps.push("Third and fourth: shim between fence and tapered foot.".to_owned());
            out.steps.push("Fourth: the same shim under the foot as well.".to_owned());
        }
        if !sanding.is_zero() {
            out.steps.push("Sand from the foot up, fading out at the start line.".to_owned());
        }
        out.cautions = [
            "Clamps hold the leg to the sled, never a hand.",
            "The offcut is a wedge: let it fall free, and leave it alone until the blade has stopped.",
            "Use the guard the saw's manual gives for a cut on a sled.",
        ]
        .map(str::to_owned)
        .to_vec();
    }
}

/// A taper without a sled would be cut by hand and eye.
fn sled_findings(work: &Work<'_>) -> Option<Finding> {
    let (machine, at) = (work.machine?, work.at?);
    (machine.kind == MachineKind::TableSaw && machine.sled_base.is_none()).then(|| {
        Finding::error(format!("the {at} has no sled, and a taper is cut on one"))
            .help("use another saw, or give its sled in the shop file: `sled_base`")
            .key("at")
            .limit()
    })
}

/// The face a number of quarter turns on from the one at the fence, at a cut.
fn face(turn: usize, quarters: usize) -> &'static str {
    FACES[(turn + quarters) % 4]
}
