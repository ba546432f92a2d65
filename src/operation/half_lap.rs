//! Half lap: cut half the thickness away where two pieces cross or meet.
//!
//! Each of the two gives half of the made thickness, over the width of the
//! other; two laps laid together show twice what each still has to lose
//! (common practice, no source).

use super::crosscut;
use super::drawing::{Drawing, DrawnShape, Material, Point, Scale};
use super::feature::{DEPTH, FeatureName, LENGTH, THICKNESS};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::stop::Tooth;
use super::trace::{CutAlong, CutShape, LongFace, Trace};
use super::words;
use super::work::{ALIKE, Work};
use crate::measure::{Length, Rounds, SafeSide};
use crate::prose::Level;
use crate::shop::{Act, MachineKind};

pub(super) const KIND: OperationKind = OperationKind::of::<HalfLap>(
    "half lap",
    "Cut half the thickness away where two pieces cross or meet.",
    keys::read::<HalfLap>,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "half lap", "at": "saw and sled", "width": "1 1/2", "depth": "3/8", "from_end": "4", "face": "A" }"#,
];

keys! {
    HalfLap: "half lap", makes {
        /// Width of the mating piece, best as measured: from shoulder to end, or
        /// from shoulder to shoulder.
        width: F,
        /// How deep; half of the piece's thickness when left out.
        depth: Option<F>,
        /// From the end to the nearer shoulder, of a lap that isn't at the end.
        from_end: Option<F>,
        /// The face it is cut into, by its letter or as the shop calls it; the inside
        /// one if left out.
        face: Option<String>,
    }
}

/// The numbers of one lap.
#[derive(Clone, Copy, Debug)]
struct Lap {
    /// From the end to the nearer shoulder; nothing at the end itself.
    from: Length,
    wide: Length,
    deep: Length,
    thick: Length,
}

impl Operation for HalfLap {
    fn sizes(&self) -> Vec<SizedFeature> {
        [DEPTH, "width"]
            .map(|feature| SizedFeature::new(self.feature(feature), SafeSide::Small))
            .to_vec()
    }

    fn cant_be_undone(&self) -> bool {
        true
    }

    fn act(&self) -> Act {
        Act::OnSled
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::TableSaw]
    }

    fn works_from_marks(&self) -> bool {
        true
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let wide = work.size(&self.width)?;
        let own = self.depth.as_ref().map(|depth| work.size(depth)).transpose()?;
        let from = work.optional(&self.from_end)?.unwrap_or(Length::ZERO);
        let Some(thick) = work.blank.least_of(THICKNESS) else {
            let mut out = Outcome::untouched(work.blank, Drawing::new("side view", Scale::Even));
            out.findings.push(
                Finding::error("the thickness of the piece is unknown")
                    .help("give the part's stock a `thickness`")
                    .key("do"),
            );
            return Ok(out);
        };
        // Half of the thinnest: in the others the lap is shallow, never deep.
        let deep = own.unwrap_or(thick / 2);
        let lap = Lap { from, wide, deep, thick };
        let mut out = Outcome::untouched(work.blank, draw(work, lap));
        out.findings = work.machine_limits();
        out.findings.extend(crosscut::stop_findings(work));
        out.findings.extend(self.fits(work, lap));
        self.heights(work, &mut out, lap);
        self.stops(work, &mut out, lap);
        out.after.make(&self.feature(DEPTH), deep);
        out.after.make(&self.feature("width"), wide);
        let along = CutAlong::Between(from, from + wide);
        let face = self.face.as_deref();
        out.traces.push(Trace::cut_into(CutShape::Groove, face, LongFace::INSIDE, along));
        let (shoulder, order) = match self.from_end {
            None => ("the shoulder", "Shoulder cut first, then the waste cut by cut to the end."),
            Some(_) => ("the far shoulder", "Both shoulders first, then the waste between them."),
        };
        out.steps = vec![
            "Two offcuts of this thickness first: a lap in each, laid together.".to_owned(),
            "Still too thick together? Raise the blade by half of the excess.".to_owned(),
            work.tooth_step(Tooth::AwayFromStop, shoulder),
            order.to_owned(),
            "Clean up the ridges the blade leaves, across the lap.".to_owned(),
            "Its mate is cut from the other side: face up here, back up there.".to_owned(),
            "A good lap brings the faces flush, and its mate goes in by hand.".to_owned(),
        ];
        out.cautions = [
            "The blade doesn't come through: use the guard the manual gives for that cut.",
            "On the sled or against the mitre gauge; never freehand.",
        ]
        .map(str::to_owned)
        .to_vec();
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        let by = words::decimal(over.target, work.unit);
        format!("Cut it {by} deeper; of two laps laid together, take half of the excess from each.")
    }
}

impl HalfLap {
    fn feature(&self, feature: &str) -> FeatureName {
        FeatureName::of(self.makes.or("lap"), feature)
    }

    fn fits(&self, work: &Work<'_>, lap: Lap) -> Vec<Finding> {
        let mut findings = Vec::new();
        if lap.deep >= lap.thick {
            findings.push(
                Finding::error(format!(
                    "a lap {} deep goes through a piece {} thick",
                    work.words(lap.deep),
                    work.words(lap.thick)
                ))
                .help("leave `depth` out for half of the thickness")
                .key("depth"),
            );
        }
        if lap.from.is_negative() {
            findings.push(
                Finding::error("the shoulder is beyond the end of the piece").key("from_end"),
            );
        }
        if let Some(long) = work.blank.least_of(LENGTH)
            && lap.from + lap.wide > long
        {
            findings.push(
                Finding::error(format!(
                    "a lap up to {} from the end, on a piece {} long",
                    work.words(lap.from + lap.wide),
                    work.words(long)
                ))
                .help("make the lap narrower, or move it nearer to the end")
                .key("width"),
            );
        }
        if let Some(extent) = work.blank.size(THICKNESS)
            && extent.most - extent.least > ALIKE
        {
            findings.push(
                Finding::warning(format!(
                    "these pieces differ by {} in thickness: the faces won't all come flush",
                    work.words(extent.most - extent.least)
                ))
                .help("bring them to one thickness first")
                .key("do"),
            );
        }
        findings
    }

    /// The blade as high above the table as the lap is deep, and the sled's
    /// base more where there is one.
    fn heights(&self, work: &Work<'_>, out: &mut Outcome, lap: Lap) {
        let from = match &self.depth {
            Some(depth) => work.chain(depth),
            None => format!("half of {}", work.words(lap.thick)),
        };
        let feature = self.feature(DEPTH);
        let (height, finding) = work.depth_by_blade(lap.deep, &feature, from, "thinner stock");
        out.settings.push(height);
        out.findings.extend(finding);
    }

    /// A shoulder nearer to the stop than its lap is at the tooth toward the
    /// stop, the other one at the tooth away from it.
    fn stops(&self, work: &Work<'_>, out: &mut Outcome, lap: Lap) {
        out.facts.push(Fact::size("left under the lap", lap.thick - lap.deep));
        let kerf = work.kerf();
        let beyond = |tooth| work.beyond_tooth(tooth, kerf);
        let (Some(toward), Some(away)) = (beyond(Tooth::TowardStop), beyond(Tooth::AwayFromStop))
        else {
            let of_end: &[&str] = match self.from_end {
                Some(_) => &["stop, near shoulder", "stop, far shoulder"],
                None => &["stop"],
            };
            for stop in of_end {
                work.unknown_without_kerf(stop, Level::Error, out);
            }
            return;
        };
        let feature = self.feature("width");
        let from =
            format!("{}; {}", work.chain(&self.width), work.tooth_words(Tooth::AwayFromStop));
        if let Some(end) = &self.from_end {
            let why = format!("{}; {}", work.chain(end), work.tooth_words(Tooth::TowardStop));
            let nearest = Rounds::Nearest;
            let mut near = work.aimed_beyond("stop", lap.from, Length::ZERO, why, nearest, toward);
            near.name = "stop, near shoulder".to_owned();
            // The second shoulder is counted from where the first really is.
            let first = near.setting.predicted;
            let mut far = work.sizing_beyond("stop", lap.wide, &feature, from, first + away);
            if !first.is_zero() {
                far.why = format!("{}; and {} to the near shoulder", far.why, work.words(first));
            }
            far.name = "stop, far shoulder".to_owned();
            out.settings.extend([near, far]);
        } else {
            out.settings.push(work.sizing_beyond("stop", lap.wide, &feature, from, away));
        }
        self.nibble(work, out, lap);
    }

    /// How many cuts the lap takes.
    fn nibble(&self, work: &Work<'_>, out: &mut Outcome, lap: Lap) {
        let what = "cuts side by side";
        let Some(kerf) = work.kerf() else {
            return work.unknown_without_kerf(what, Level::Warning, out);
        };
        if kerf > lap.wide {
            out.findings.push(
                Finding::error(format!(
                    "the cutter is {} wide and the lap only {}",
                    work.words(kerf),
                    work.words(lap.wide)
                ))
                .help("a narrower cutter")
                .key("width"),
            );
            return;
        }
        let nibbling = work.nibbling(lap.wide, kerf);
        out.facts.push(Fact::number(what, nibbling.cuts));
        if nibbling.cuts > 1 {
            out.facts.push(Fact::size("the piece moves each time, at most", nibbling.step));
        }
    }
}

/// From the side, the lap down: the piece on sled or table, its end to the stop.
fn draw(work: &Work<'_>, lap: Lap) -> Drawing {
    let Lap { from, wide, deep, thick } = lap;
    let p = Point::new;
    let zero = Length::ZERO;
    let gap = thick / 4;
    let far = from + wide;
    let end = far + wide.max(thick);
    let side = end / 10;
    let kerf = work.drawn_kerf().min(wide).max(wide / 12);
    let mut wood = vec![p(zero, thick), p(end, thick), p(end, zero), p(far, zero), p(far, deep)];
    if from > zero {
        wood.extend([p(from, deep), p(from, zero), p(zero, zero)]);
    } else {
        wood.push(p(zero, deep));
    }
    let mut drawing = Drawing::new("from the side", Scale::Stretched)
        .block(Material::Fence, p(-side, -gap), p(end, zero))
        .block(Material::Fence, p(-side, zero), p(zero, thick + gap));
    drawing.shapes.push(DrawnShape::Polygon { of: Material::Wood, points: wood });
    drawing
        .block(Material::Waste, p(from, zero), p(far - kerf, deep))
        .block(Material::Cutter, p(far - kerf, -gap), p(far, deep))
        .label(p(-side / 2, thick + gap * 2), "stop")
        .dimension(p(from, thick + gap * 2), p(far, thick + gap * 2), work.words(wide))
        .dimension(p(end + side, zero), p(end + side, deep), work.words(deep))
        .measure_here(p((from + far) / 2, deep))
}
