//! Mortise: by plunges of a hollow chisel, or by passes of a router.
//!
//! Centred on its rail: `fence = setback + (rail - mortise) / 2`. Mortises of
//! neighbouring faces meet where `depth > section - fence - width`. Plunges
//! `ceil((length - chisel) / (3/4 chisel)) + 1`; passes `ceil(depth / bite)`,
//! a bite being no more than half the bit (common practice, no source).

mod drawing;
mod neighbours;
mod plunges;
mod seen;

use schemars::JsonSchema;
use serde::Deserialize;

use super::blank::Mortised;
use super::feature::{DEPTH, FeatureName, LENGTH, THICKNESS, WALL, WIDTH};
use super::hole::{self, Hole, Into};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::order::{PartSequence, WorkStage};
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Formulas, Operation, Over, SizedFeature, Wall};
use super::reader::{FormulaText, KeyReader, Keyed};
use super::rout;
use super::work::Work;
use crate::measure::{Length, Rounds, SafeSide};
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind = OperationKind::of::<MortiseKeys>(
    "mortise",
    "Cut a mortise, by a hollow chisel or a router.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "mortise", "at": "mortiser", "makes": "mortise", "from_face": "3/8", "width": "1/4", "depth": "13/16", "length": "2", "from_top": "1/2", "horn": "3/4", "faces": 2, "adjacent": true, "mitred": true, "into": "edge" }"#,
    r#"{ "do": "mortise", "at": "router table", "makes": "front mortise", "setback": "1/8", "mating": "3/4", "width": "1/4", "depth": "13/16", "length": "2", "faces": ["front"] }"#,
];

/// The least wood behind a mortise (common practice, no source).
const LEAST_WALL: Length = Length::inch_fraction(1, 4);
/// With less wood above the mortise than this the end may split out (common
/// practice, no source).
const LEAST_END: Length = Length::inch_fraction(1, 2);

keys! {
    MortiseKeys: "mortise", makes {
        /// Distance from the outside reference face to the near wall.
        from_face: Option<F>,
        /// How far the rail's face is set back from the reference face, for a
        /// centred tenon; with `mating` instead of `from_face`.
        setback: Option<F>,
        /// Thickness of the rail.
        mating: Option<F>,
        /// Width of the mortise, which the tool's size decides.
        width: F,
        /// Depth, 1/16 to 1/8 in more than the tenon's length.
        depth: F,
        /// Length along the piece.
        length: F,
        /// Where it starts, from the finished top end.
        from_top: Option<F>,
        /// Wood left beyond the finished top until the joint is cut.
        horn: Option<F> = Length::ZERO,
        /// Which faces get a mortise, or how many.
        #[serde(default)]
        faces: MortisedFaces = 1_u32,
        /// Whether two mortises are in neighbouring faces at one height.
        #[serde(default)]
        adjacent: bool,
        /// Whether the tenons' ends are mitred, so that they may meet in the piece.
        #[serde(default)]
        mitred: bool,
        /// Into the face or the edge.
        into: Option<Into> = "edge",
    }
}

/// The faces that get a mortise, by name or by count.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(untagged)]
enum MortisedFaces {
    Count(u32),
    Named(Vec<String>),
}

impl Default for MortisedFaces {
    fn default() -> MortisedFaces {
        MortisedFaces::Count(1)
    }
}

impl MortisedFaces {
    fn count(&self) -> usize {
        match self {
            MortisedFaces::Count(count) => *count as usize,
            MortisedFaces::Named(names) => names.len(),
        }
    }
}

#[derive(Debug)]
enum MortisePlace {
    Given(Keyed),
    Centred { setback: Keyed, mating: Keyed },
}

#[derive(Debug)]
struct Mortise {
    keys: MortiseKeys,
    place: MortisePlace,
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    let keys = keys::keys_if::<MortiseKeys>(reader, sound)?;
    let place = match (&keys.from_face, &keys.setback, &keys.mating) {
        (Some(from_face), None, None) => MortisePlace::Given(from_face.clone()),
        (None, Some(setback), Some(mating)) => {
            MortisePlace::Centred { setback: setback.clone(), mating: mating.clone() }
        }
        _ => {
            reader.problem(
                "do",
                "the mortise has no place across the piece",
                Some("give either `from_face`, or both `setback` and `mating`".to_owned()),
            );
            return None;
        }
    };
    Some(Box::new(Mortise { keys, place }))
}

fn sound(keys: &MortiseKeys<FormulaText>, reader: &mut KeyReader<'_, '_>) -> bool {
    let faces = keys.faces.count();
    let (key, what) = if !(1..=4).contains(&faces) {
        ("faces", "a piece has one to four faces to mortise")
    } else if keys.adjacent && faces < 2 {
        ("adjacent", "one face has no neighbour: say which `faces`")
    } else if keys.into == Some(Into::End) {
        ("into", "a mortise goes into the face or the edge")
    } else {
        return true;
    };
    reader.problem(key, what, None);
    false
}

impl Formulas for Mortise {
    fn formulas(&self) -> Vec<&Keyed> {
        self.keys.formulas()
    }
}

impl Operation for Mortise {
    fn sizes(&self) -> Vec<SizedFeature> {
        vec![
            SizedFeature::new(self.feature(WIDTH), SafeSide::Small),
            SizedFeature::new(self.feature(DEPTH), SafeSide::Small),
            SizedFeature::new(self.feature(LENGTH), SafeSide::Small),
            SizedFeature::new(self.feature(WALL), SafeSide::Neither),
        ]
    }

    fn stage(&self) -> WorkStage {
        WorkStage::Mortising
    }

    fn order(&self, sequence: &PartSequence) -> Vec<Finding> {
        let tapered = sequence.before.contains(&WorkStage::Tapering);
        let finding = tapered.then(|| {
            Finding::warning("mortising after tapering: a tapered face is square to no fence")
                .help("mortise while the faces are square, taper afterwards")
        });
        finding.into_iter().collect()
    }

    fn wall(&self) -> Option<Wall> {
        Some(Wall { wall: self.feature(WALL), across: self.feature(WIDTH) })
    }

    fn cant_be_undone(&self) -> bool {
        true
    }

    fn is_handed(&self) -> bool {
        true
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::Mortiser, MachineKind::RouterTable]
    }

    fn works_from_marks(&self) -> bool {
        true
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let asked = work.size(&self.keys.width)?;
        let deep = work.size(&self.keys.depth)?;
        let long = work.size(&self.keys.length)?;
        let (near, from) = self.near(work, asked)?;
        let by_router = work.machine.is_some_and(|m| m.kind == MachineKind::RouterTable);
        let (tool, scale) = if by_router { ("bit", "height") } else { ("chisel", DEPTH) };
        let (wide, unfit) = hole::cuts(work, tool, asked, "width");
        let hole = Hole { into: self.keys.into.unwrap_or(Into::Edge), near, wide, deep };

        let mut out = Outcome::untouched(work.blank, self.draw(work, hole, tool));
        out.findings = work.machine_limits();
        out.findings.extend(unfit);
        // Either way the rail moves by as much: the nearest mark moves it least,
        // and the tenon is cut to where the mortise then is.
        let mut fence = work.aimed("fence", near, Length::ZERO, from, Rounds::Nearest);
        fence.sizes = Some(self.feature(WALL));
        let chain = work.chain(&self.keys.depth);
        let depth = work.depth_setting(scale, deep, &self.feature(DEPTH), chain);
        // What is left around it is what the scales make.
        let made = Hole { near: fence.setting.predicted, deep: depth.setting.predicted, ..hole };
        out.findings.extend(made.sides(work, self.place_key()));
        out.findings.extend(self.walls(work, made));
        out.settings.extend([fence, depth]);
        if let Some(beyond) = hole.beyond(work)
            && beyond > Length::ZERO
        {
            out.facts.push(Fact::size("fence, if run from the inside face", beyond));
        }
        let top = self.along(work, &mut out, long)?;
        let own = self.mortised(work, made, long)?;
        out.findings.extend(neighbours::walls(work, &own, section(work)));
        out.traces.push(self.trace(own.along));
        out.after.mortises.push(own);
        let each = if self.keys.faces.count() > 1 { ", each face the same way" } else { "" };
        out.steps.push(format!("Outside reference face to the fence{each}."));
        if let MortisedFaces::Named(names) = &self.keys.faces {
            out.steps.push(format!("Faces: {}.", names.join(", ")));
        }
        if by_router {
            self.passes(work, &mut out, long, wide);
        } else {
            self.plunges(work, &mut out, (top, long), wide);
        }
        out.steps.push("Handed pieces: cut all of one hand, then all of the other.".to_owned());
        out.steps.push("Clear the chips, then check the depth again at the last piece.".to_owned());

        for (feature, size) in [(WIDTH, wide), (DEPTH, deep), (LENGTH, long), (WALL, near)] {
            out.after.make(&self.feature(feature), size);
        }
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!(
            "Same fence, work clamped: {} more wood can still come out.",
            work.words(over.target)
        )
    }
}

impl Mortise {
    fn feature(&self, feature: &str) -> FeatureName {
        FeatureName::of(self.keys.makes.or("mortise"), feature)
    }

    fn place_key(&self) -> &'static str {
        match &self.place {
            MortisePlace::Given(from_face) => from_face.key,
            MortisePlace::Centred { setback, .. } => setback.key,
        }
    }

    /// From the reference face to the near wall, and how that came about.
    fn near(&self, work: &Work<'_>, width: Length) -> Result<(Length, String), Trouble> {
        match &self.place {
            MortisePlace::Given(from_face) => Ok((work.length(from_face)?, work.chain(from_face))),
            MortisePlace::Centred { setback, mating } => {
                let (back, rail) = (work.length(setback)?, work.size(mating)?);
                let why = format!(
                    "{} back, and half of what a rail of {} has over {}",
                    work.words(back),
                    work.words(rail),
                    work.words(width)
                );
                Ok((back + (rail - width) / 2, why))
            }
        }
    }

    /// The wood left behind it, and whether it runs into its neighbour.
    fn walls(&self, work: &Work<'_>, hole: Hole) -> Vec<Finding> {
        let mut findings = Vec::new();
        let least = LEAST_WALL;
        if let Some(wall) = hole.below(work)
            && wall < least
        {
            let what = if wall > Length::ZERO {
                format!(
                    "leaves a wall of {} behind the mortise; {} is the least",
                    work.words(wall),
                    work.words(least)
                )
            } else {
                format!("{} deep goes through the piece", work.words(hole.deep))
            };
            findings.push(Finding::error(what).help("a shallower mortise").key("depth"));
        }
        let Some(section) = section(work) else { return findings };
        let meet = section - hole.near - hole.wide;
        let web = meet - hole.deep;
        if !self.keys.adjacent || self.keys.mitred {
            return findings;
        }
        if web.is_negative() {
            let what = format!(
                "mortises of neighbouring faces meet beyond {} and run {} into each other",
                work.words(meet),
                work.words(hole.deep - meet)
            );
            let fix = format!(
                "mitre the tenon ends (\"mitred\": true), or end the tenons at {} less what they clear",
                work.words(meet)
            );
            findings.push(Finding::warning(what).help(fix).key("depth"));
            return findings;
        }
        let (least, least_words) = neighbours::least_web(work);
        if web < least {
            let what = format!(
                "only {} of wood between the mortises of neighbouring faces: it breaks through",
                work.words(web)
            );
            let fix = format!(
                "leave {least_words} or more, for a bit goes ahead of its chisel; or let them meet and mitre the tenon ends (\"mitred\": true)"
            );
            findings.push(Finding::warning(what).help(fix).key("depth"));
        }
        findings
    }

    /// Where it is along the piece; returns how far its near end is from the end.
    fn along(&self, work: &Work<'_>, out: &mut Outcome, long: Length) -> Result<Length, Trouble> {
        let horn = work.optional(&self.keys.horn)?.unwrap_or(Length::ZERO);
        let Some(from_top) = work.optional(&self.keys.from_top)? else {
            return Ok(Length::ZERO);
        };
        let top = from_top + horn;
        if horn < Length::ZERO || top < Length::ZERO {
            out.findings.push(
                Finding::error("it starts beyond the end of the piece")
                    .help("`from_top` counts from the finished top, `horn` beyond it")
                    .key("from_top"),
            );
        } else if top < LEAST_END {
            out.findings.push(
                Finding::warning(format!(
                    "only {} of wood above the mortise: the end may split out",
                    work.words(top)
                ))
                .help(format!(
                    "leave {} of horn, cut off when the joint is done",
                    work.either("1/2 to 1 in", "12 to 25 mm")
                ))
                .key("from_top"),
            );
        }
        if let Some(piece) = work.blank.least_of(LENGTH)
            && top + long > piece
        {
            out.findings.push(
                Finding::error(format!(
                    "ends {} from the top of a piece that is {}",
                    work.words(top + long),
                    work.words(piece)
                ))
                .key("from_top"),
            );
        }
        out.facts.push(Fact::size("starts, from the end as it is", top));
        out.facts.push(Fact::size("ends, from the end as it is", top + long));
        Ok(top)
    }

    /// The mortise as later ones find it.
    fn mortised(&self, work: &Work<'_>, made: Hole, long: Length) -> Result<Mortised, Trouble> {
        let from_top = work.optional(&self.keys.from_top)?;
        Ok(Mortised {
            name: self.keys.makes.or("mortise").to_owned(),
            faces: match &self.keys.faces {
                MortisedFaces::Named(names) => names.clone(),
                MortisedFaces::Count(_) => Vec::new(),
            },
            near: made.near,
            wide: made.wide,
            deep: made.deep,
            along: from_top.map(|top| (top, top + long)),
            mitred: self.keys.mitred,
        })
    }

    fn passes(&self, work: &Work<'_>, out: &mut Outcome, long: Length, bit: Length) {
        let travel = long - bit;
        if travel < Length::ZERO {
            out.findings.push(too_short(work, long, bit, "bit"));
            return;
        }
        let half = bit / 2;
        let bite = work.tool.and_then(|tool| tool.most).map_or(half, |most| most.min(half));
        let why = format!("{} long less the {} bit", work.words(long), work.words(bit));
        out.settings.push(work.plain_setting("stop", travel, Rounds::Down, why));
        out.steps.push("Stops at both ends: set how far the work travels.".to_owned());
        let depth = self.feature(DEPTH);
        let height = out.settings.iter_mut().find(|held| held.sizes.as_ref() == Some(&depth));
        let Some(height) = height else { return };
        let limits = rout::DepthLimits::of(bite);
        match rout::passes(work, height, limits, self.keys.faces.count() as u32) {
            Ok(passes) if passes.len() > 1 => {
                height.by_passes = true;
                out.passes = passes;
                out.steps.push("Every piece at one height, then raise the bit.".to_owned());
            }
            Ok(_) => {}
            Err(finding) => out.findings.push(finding),
        }
    }
}

/// The smaller side of the piece, as far as it is known.
fn section(work: &Work<'_>) -> Option<Length> {
    let (thickness, width) = (work.blank.least_of(THICKNESS), work.blank.least_of(WIDTH));
    thickness.into_iter().chain(width).min()
}

fn too_short(work: &Work<'_>, long: Length, tool: Length, name: &str) -> Finding {
    Finding::error(format!(
        "a mortise {} long is shorter than the {} {name}",
        work.words(long),
        work.words(tool)
    ))
    .help("make the mortise longer, or use a smaller tool")
    .key("length")
}
