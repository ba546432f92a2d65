//! Groove: a groove, dado or rabbet for something that was measured.
//!
//! `width = what goes in + clearance`; with a cutter narrower than that, `n`
//! cuts about `(width - cutter) / (n - 1)` apart, each move less than the cutter
//! on its own scale, so that no ridge stands between two; no deeper than half
//! the piece (common practice).

mod drawing;
mod placing;

use schemars::JsonSchema;
use serde::Deserialize;

use super::feature::{DEPTH, FeatureName, LENGTH, WIDTH};
use super::hole::Into;
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Finding, NamedSetting, Outcome, Pass, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::rout;
use super::trace::{CutAlong, CutShape, LongFace, Trace};
use super::work::Work;
use crate::measure::{Length, Rounds, SafeSide};
use crate::shop::{Act, MachineKind};

pub(super) const KIND: OperationKind = OperationKind::of::<Groove>(
    "groove",
    "Cut a groove, dado or rabbet to fit what was measured.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "groove", "at": "router table", "cut": "groove", "panel": "0.246", "clearance": "0.008", "depth": "1/4", "from_edge": "3/8", "into": "edge", "face": "inner edge" }"#,
    r#"{ "do": "groove", "at": "router table", "cut": "rabbet", "panel": "3/4", "depth": "1/4" }"#,
];

/// Between 0.005 and 0.010 slides and doesn't rattle (common practice).
const CLEARANCE: Length = Length::thousandths(8);
/// Wood kept between a groove and the edge (common practice).
const LIP: Length = Length::inch_fraction(1, 4);

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum GrooveCut {
    /// Along the grain, wood on both sides.
    #[default]
    Groove,
    /// Across the grain.
    Dado,
    /// At the edge, open to one side.
    Rabbet,
}

impl GrooveCut {
    fn word(self) -> &'static str {
        match self {
            GrooveCut::Groove => "groove",
            GrooveCut::Dado => "dado",
            GrooveCut::Rabbet => "rabbet",
        }
    }
}

keys! {
    Groove: "groove", makes {
        /// Groove, dado or rabbet.
        #[serde(default)]
        cut: GrooveCut = "groove",
        /// Measured thickness of what goes in.
        panel: F,
        /// How much wider the groove is.
        clearance: Option<F> = CLEARANCE,
        /// How deep the cut is.
        depth: F,
        /// From the edge, face or end against fence or stop to the near side of the cut.
        from_edge: Option<F>,
        /// Into the face or the edge.
        into: Option<Into> = "face",
        /// The face it is cut into, by its letter or as the shop calls it; the inside
        /// one if left out.
        face: Option<String>,
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Groove>(reader, |keys, reader| match (keys.cut, &keys.from_edge) {
        _ if keys.into == Some(Into::End) => {
            reader.problem("into", "it goes into the face or the edge", None);
            false
        }
        (GrooveCut::Rabbet, Some(_)) => {
            reader.problem("from_edge", "a rabbet starts at the edge", None);
            false
        }
        (GrooveCut::Groove | GrooveCut::Dado, None) => {
            let what = "`from_edge` is missing: how far in the cut starts";
            reader.problem("from_edge", what, Some("\"from_edge\": \"3/8\"".to_owned()));
            false
        }
        _ => true,
    })
}

/// The numbers of the cut.
struct GrooveSizes {
    width: Length,
    depth: Length,
    from_edge: Length,
    /// What the cutter takes at once.
    cutter: Option<Length>,
}

impl Operation for Groove {
    fn sizes(&self) -> Vec<SizedFeature> {
        [WIDTH, DEPTH].map(|of| SizedFeature::new(self.feature(of), SafeSide::Small)).to_vec()
    }

    fn shows_the_kerf(&self) -> Option<FeatureName> {
        Some(self.feature(WIDTH))
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::TableSaw, MachineKind::RouterTable]
    }

    fn act(&self) -> Act {
        if self.cut == GrooveCut::Dado { Act::OnSled } else { Act::AlongFence }
    }

    fn works_from_marks(&self) -> bool {
        true
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let numbers = self.numbers(work)?;
        let mut out = Outcome::untouched(work.blank, self.draw(work, &numbers));
        out.findings = work.machine_limits();
        self.look_over(work, &numbers, &mut out);
        let cuts = self.place(work, &numbers, &mut out);
        self.deepen(work, &numbers, cuts, &mut out);
        out.after.make(&self.feature(DEPTH), numbers.depth);
        let along = match self.cut {
            GrooveCut::Dado => {
                CutAlong::Between(numbers.from_edge, numbers.from_edge + numbers.width)
            }
            GrooveCut::Groove | GrooveCut::Rabbet => CutAlong::Whole,
        };
        let among = self.into().faces().filter(|_| self.into() == Into::Edge);
        let among = among.unwrap_or(LongFace::INSIDE);
        out.traces.push(Trace::cut_into(CutShape::Groove, self.face.as_deref(), among, along));
        out.steps = self.instruct(cuts);
        out.facts.extend(rout::speed(work));
        if is_saw(work) {
            out.cautions.push(
                "A spreader can't stay in for this cut: use the guard the manual gives for it, or rout it. Put every guard back right after this cut."
                    .to_owned(),
            );
        }
        out.cautions.push("The cutter is hidden under the work: hands never over it.".to_owned());
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("Move on by {}, no more, and feed it again.", work.words(over.target))
    }
}

impl Groove {
    fn feature(&self, feature: &str) -> FeatureName {
        FeatureName::of(self.makes.or(self.cut.word()), feature)
    }

    fn into(&self) -> Into {
        self.into.unwrap_or(Into::Face)
    }

    /// `inside face down`, or the face that the route names.
    fn down(&self) -> String {
        face_down(self.face.as_deref(), if self.into() == Into::Edge { "edge" } else { "face" })
    }

    fn numbers(&self, work: &Work<'_>) -> Result<GrooveSizes, Trouble> {
        let clearance =
            self.clearance.as_ref().map_or(Ok(CLEARANCE), |keyed| work.length(keyed))?;
        let from_edge =
            self.from_edge.as_ref().map_or(Ok(Length::ZERO), |keyed| work.length(keyed))?;
        let offset = work.offset("bit", false);
        let cutter = work.tool.and_then(|tool| tool.kerf.or(tool.size.map(|size| size + offset.0)));
        Ok(GrooveSizes {
            width: work.size(&self.panel)? + clearance,
            depth: work.size(&self.depth)?,
            from_edge,
            cutter: cutter.filter(|cutter| *cutter > Length::ZERO),
        })
    }

    /// Whether wood enough is left around it.
    fn look_over(&self, work: &Work<'_>, numbers: &GrooveSizes, out: &mut Outcome) {
        let mut refuse = |what: String, fix: &str, key| {
            out.findings.push(Finding::error(what).help(fix).key(key));
        };
        let (width, depth) = (work.words(numbers.width), work.words(numbers.depth));
        if numbers.width <= Length::ZERO {
            refuse(
                format!("a {} can't be {width} wide", self.cut.word()),
                "take less clearance off",
                "clearance",
            );
        }
        if let Some(thick) = work.blank.least_of(self.into().deep()) {
            let whole = self.cut == GrooveCut::Rabbet && numbers.depth < thick;
            if numbers.depth * 2 > thick && !whole {
                let thick = work.words(thick);
                refuse(
                    format!("{depth} is more than half of a piece {thick} thick"),
                    "cut half the thickness at most, or use thicker stock",
                    DEPTH,
                );
            }
        }
        if self.cut == GrooveCut::Rabbet {
            return;
        }
        let from_edge = work.words(numbers.from_edge);
        if numbers.from_edge.is_negative() {
            refuse(
                format!("{from_edge} is off the piece"),
                "measure from the edge inward",
                "from_edge",
            );
        }
        let across = if self.cut == GrooveCut::Groove { self.into().across() } else { LENGTH };
        if let Some(least) = work.blank.least_of(across)
            && numbers.from_edge + numbers.width > least
        {
            let least = work.words(least);
            refuse(
                format!("{width} wide at {from_edge} from the edge goes beyond a piece of {least}"),
                "move it nearer to the edge it is measured from",
                "from_edge",
            );
        }
        if self.cut == GrooveCut::Groove
            && numbers.from_edge < LIP
            && !numbers.from_edge.is_negative()
        {
            out.findings.push(
                Finding::warning(format!("only {from_edge} of wood is left beside the groove"))
                    .help(format!(
                        "leave {} or more, or the wood breaks out",
                        work.either("1/4 in", "6 mm")
                    ))
                    .key("from_edge"),
            );
        }
    }

    fn chain(&self, work: &Work<'_>) -> String {
        match &self.clearance {
            Some(clearance) => work.chains([&self.panel, clearance]),
            None => format!("{} and {} clear", work.chain(&self.panel), work.words(CLEARANCE)),
        }
    }

    fn deepen(&self, work: &Work<'_>, numbers: &GrooveSizes, cuts: i64, out: &mut Outcome) {
        if is_saw(work) {
            let (feature, from) = (self.feature(DEPTH), work.chain(&self.depth));
            let (height, finding) =
                work.depth_by_blade(numbers.depth, &feature, from, "a shallower cut");
            out.settings.push(height);
            out.findings.extend(finding);
            return;
        }
        let mut height = self.height(work, numbers);
        match self.levels(work, &height, cuts) {
            Ok(passes) if passes.len() > 1 => {
                height.by_passes = true;
                out.passes = passes;
            }
            Ok(_) => {}
            Err(finding) => out.findings.push(finding),
        }
        out.settings.push(height);
    }

    /// The full depth at a router.
    fn height(&self, work: &Work<'_>, numbers: &GrooveSizes) -> NamedSetting {
        let (feature, from) = (self.feature(DEPTH), work.chain(&self.depth));
        work.sizing_rounded("height", numbers.depth, &feature, from, Rounds::Down)
    }

    /// The heights of a router on the way there, each fed so often.
    fn levels(
        &self,
        work: &Work<'_>,
        height: &NamedSetting,
        cuts: i64,
    ) -> Result<Vec<Pass>, Finding> {
        rout::passes(work, height, rout::DepthLimits::of(rout::most(work)), cuts as u32)
    }

    fn instruct(&self, cuts: i64) -> Vec<String> {
        let side = if self.into() == Into::Edge { "face" } else { "edge" };
        let (down, against) = match (self.cut, &self.face) {
            (GrooveCut::Rabbet, None) => {
                ("Marked face down".to_owned(), format!("{side} to the fence"))
            }
            (GrooveCut::Dado, _) => (self.down(), "end to the stop".to_owned()),
            _ => (self.down(), format!("{side} to the fence")),
        };
        let mut steps = vec![format!("{}, the marked {against}, every piece.", capital(&down))];
        if cuts > 1 {
            steps.push("All pieces at the first setting, then all at the next.".to_owned());
        }
        steps.push(
            "Try the real panel in a setup piece: it must push in and not rattle.".to_owned(),
        );
        if self.cut != GrooveCut::Rabbet {
            steps.push("Left and right pieces mirror each other: follow the marks.".to_owned());
        }
        steps
    }
}

/// `inside face down`: the face it is cut into lies on the table.
pub(super) fn face_down(face: Option<&str>, surface: &str) -> String {
    match face {
        None => format!("inside {surface} down"),
        Some(letter) if LongFace::lettered(letter).is_some() => format!("face {letter} down"),
        Some(name) if name.ends_with("edge") || name.ends_with("face") => format!("{name} down"),
        Some(name) => format!("the face {name} down"),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn is_saw(work: &Work<'_>) -> bool {
    work.machine.is_some_and(|machine| machine.kind == MachineKind::TableSaw)
}
