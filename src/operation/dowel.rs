//! Dowel: the holes for dowels, or the slots for loose tenons, in one of the
//! two parts they join.
//!
//! Depth `dowel / 2 + 1/16`; centres from `from_end` to as far from the other
//! end, evenly (common practice, no source).

use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{DEPTH, FeatureName, LENGTH, SIZE, WALL};
use super::hole::{self, Hole, Into};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::trace::{CutAlong, CutShape, Trace};
use super::work::Work;
use crate::measure::{Length, Rounds, SafeSide};
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind = OperationKind::of::<Dowel>(
    "dowel",
    "Bore for dowels, or cut the slots of loose tenons.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "dowel", "at": "drill press", "makes": "dowel hole", "dowel": "3/8", "dowel_length": "2", "from_face": "3/8", "joint": "3", "from_end": "3/4", "count": 2, "into": "end" }"#,
    r#"{ "do": "dowel", "at": "router table", "makes": "slot", "dowel": "1/4", "dowel_length": "1 1/2", "from_face": "3/8", "joint": "3", "from_end": "1", "count": 1, "tenon_width": "1", "into": "edge" }"#,
];

/// Room for glue below a dowel (common practice, no source).
const GLUE_ROOM: Length = Length::inch_fraction(1, 16);
/// A slot is longer than its loose tenon by this, so that the parts can be
/// shifted to line up (common practice, no source).
const SLOT_PLAY: Length = Length::inch_fraction(1, 32);
/// A dowel looser than this holds badly (common practice, no source).
const LOOSE: Length = Length::thousandths(4);
/// A joint with more holes than this is a mistake in the route.
const MOST_HOLES: i64 = 100;

keys! {
    Dowel: "dowel", makes {
        /// Diameter of the dowel, or thickness of the loose tenon, best as measured.
        dowel: F,
        /// Length of the dowel or loose tenon; half of it goes into each part.
        dowel_length: F,
        /// From the reference face to the centre, the same in both parts.
        from_face: F,
        /// Length of the joint the centres are spaced over.
        joint: F,
        /// From each end of the joint to the first centre.
        from_end: F,
        /// How many.
        count: i64 as holes,
        /// Width of a loose tenon along the joint; a dowel has none.
        tenon_width: Option<F>,
        /// Into the face, the edge or the end.
        into: Option<Into> = "edge",
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Dowel>(reader, |keys, reader| {
        let sound = (1..=MOST_HOLES).contains(&keys.count);
        if !sound {
            reader.problem(
                "count",
                format!("a joint has 1 to {MOST_HOLES} dowels or loose tenons"),
                None,
            );
        }
        sound
    })
}

impl Operation for Dowel {
    fn sizes(&self) -> Vec<SizedFeature> {
        let mut sized = vec![
            SizedFeature::new(self.feature(SIZE), SafeSide::Small),
            SizedFeature::new(self.feature(DEPTH), SafeSide::Small),
            SizedFeature::new(self.feature(WALL), SafeSide::Neither),
        ];
        if self.tenon_width.is_some() {
            sized.push(SizedFeature::new(self.feature(LENGTH), SafeSide::Small));
        }
        sized
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::DrillPress, MachineKind::RouterTable]
    }

    fn works_from_marks(&self) -> bool {
        true
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let dowel = work.size(&self.dowel)?;
        let glue_room = GLUE_ROOM;
        let deep = work.size(&self.dowel_length)? / 2 + glue_room;
        let centre = work.length(&self.from_face)?;
        let joint = work.size(&self.joint)?;
        let from_end = work.size(&self.from_end)?;
        let wide = work.optional(&self.tenon_width)?;
        let (bit, unfit) = hole::cuts(work, "bit", dowel, "dowel");
        let near = centre - bit / 2;
        let hole = Hole { into: self.into.unwrap_or(Into::Edge), near, wide: bit, deep };
        let along = wide.map_or(bit, |wide| wide + SLOT_PLAY);
        let row = self.row(joint, from_end);

        let mut out = Outcome::untouched(work.blank, draw(work, &row, joint, hole, along));
        out.findings = work.machine_limits();
        if unfit.is_empty() {
            out.findings.extend(slack(work, bit - dowel));
        }
        out.findings.extend(unfit);
        let chain = work.chain(&self.from_face);
        let fence = work.aimed("fence", centre, Length::ZERO, chain, Rounds::Nearest);
        let router = work.machine.is_some_and(|m| m.kind == MachineKind::RouterTable);
        let scale = if router { "height" } else { DEPTH };
        let from = format!(
            "half of {}, and {} for glue",
            work.chain(&self.dowel_length),
            work.words(glue_room)
        );
        let depth = work.depth_setting(scale, deep, &self.feature(DEPTH), from);
        // What is left around it is what the scales make.
        let made =
            Hole { near: fence.setting.predicted - bit / 2, deep: depth.setting.predicted, ..hole };
        // A router's bit is flat where a twist bit has its point.
        let point = if router { Length::ZERO } else { hole::point(bit) };
        out.findings.extend(made.sides(work, "from_face"));
        out.findings.extend(made.bottom(work, point, "dowel_length", "use shorter dowels"));
        out.findings.extend(crowded(work, &row, joint, along));
        out.settings.extend([fence, depth]);
        out.facts.push(Fact::size("fence to the bit's edge", near));
        if let [first, second, ..] = row[..] {
            out.facts.push(Fact::size("from centre to centre", second - first));
        }
        out.steps.push("Reference face to the fence, in this part and in its mate.".to_owned());
        out.places.extend(hole::places(work, "Centres from the end:", &row));
        out.steps.push("Count from the same end in both parts.".to_owned());
        if !router {
            out.steps.push(hole::zero_step(work, bit));
        }
        if wide.is_some() {
            out.facts.push(Fact::size("slot, longer than the loose tenon", along));
            out.facts.push(Fact::size("travel between stops", along - bit));
            out.after.make(&self.feature(LENGTH), along);
        }
        if let Some(among) = hole.into.faces() {
            let shape = if wide.is_some() { CutShape::Mortise } else { CutShape::Hole };
            out.traces.extend(row.iter().map(|centre| {
                let between = CutAlong::Between(*centre - along / 2, *centre + along / 2);
                Trace::cut(shape, among, between)
            }));
        }
        out.after.make(&self.feature(SIZE), bit);
        out.after.make(&self.feature(DEPTH), deep);
        out.after.make(&self.feature(WALL), near);
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("Same fence, clamped again: {} more can still come out.", work.words(over.target))
    }
}

impl Dowel {
    fn feature(&self, feature: &str) -> FeatureName {
        FeatureName::of(self.makes.or("hole"), feature)
    }

    /// Centres along the joint; one alone is in the middle.
    fn row(&self, joint: Length, from_end: Length) -> Vec<Length> {
        if self.count == 1 {
            return vec![joint / 2];
        }
        let run = joint - from_end * 2;
        (0..self.count).map(|n| from_end + run * n / (self.count - 1)).collect()
    }
}

fn slack(work: &Work<'_>, slack: Length) -> Option<Finding> {
    let (what, fix) = if slack < Length::ZERO {
        ("tighter", "dry the dowels, or press them through a plate: tight ones split the part")
    } else if slack > LOOSE {
        (
            "looser",
            "use thicker dowels, or a bit that cuts closer to its size: 0 to 0.004 in of room holds best",
        )
    } else {
        return None;
    };
    let what = format!("the hole is {} {what} than the dowel", work.words(slack.abs()));
    Some(Finding::warning(what).help(fix).key("dowel"))
}

/// Holes that run together, or out at an end.
fn crowded(work: &Work<'_>, row: &[Length], joint: Length, along: Length) -> Option<Finding> {
    let half = along / 2;
    let (first, last) = (*row.first()?, *row.last()?);
    if first < half || last > joint - half {
        let what = format!("the last one comes out at the end of a joint {}", work.words(joint));
        return Some(Finding::error(what).help("start further from the ends").key("from_end"));
    }
    let apart = row.get(1).map(|second| *second - first)?;
    (apart <= along).then(|| {
        let what = format!("centres {} apart run into each other", work.words(apart));
        Finding::error(what).help("use fewer, or start nearer the ends").key("count")
    })
}

/// The joint from above, every hole in its place.
fn draw(work: &Work<'_>, row: &[Length], joint: Length, hole: Hole, along: Length) -> Drawing {
    let p = Point::new;
    let thick = work.blank.most(hole.into.across()).unwrap_or(hole.near * 2 + hole.wide);
    let mut drawing = Drawing::new("onto the joint", Scale::Stretched)
        .block(Material::Fence, p(Length::ZERO, -thick / 3), p(joint, Length::ZERO))
        .block(Material::Wood, p(Length::ZERO, Length::ZERO), p(joint, thick))
        .label(p(joint / 2, -thick / 6), "fence, reference face");
    for centre in row {
        drawing = drawing.block(
            Material::Waste,
            p(*centre - along / 2, hole.near),
            p(*centre + along / 2, hole.near + hole.wide),
        );
    }
    if let Some(first) = row.first() {
        let above = thick + thick / 3;
        drawing = drawing.dimension(p(Length::ZERO, above), p(*first, above), work.words(*first));
        if let Some(second) = row.get(1) {
            drawing = drawing.dimension(
                p(*first, above),
                p(*second, above),
                work.words(*second - *first),
            );
        }
    }
    drawing
}
