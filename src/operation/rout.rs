//! Rout: a profile along an edge, deeper pass by pass.
//!
//! `m = ceil((depth - last) / most)` equal passes and then the light last one
//! (common practice). Each depth goes to a mark of the scale, and where a bite
//! would then be over the limit there are more of them: see `bites`.

use super::bites::{Bites, Grid};
use super::drawing::{Drawing, DrawnShape, Material, Point, Scale};
use super::faces::steps;
use super::feature::{DEPTH, FeatureName, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, NamedSetting, Outcome, Pass, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::work::Work;
use crate::measure::{Dial, Length, Rounds, SafeSide, Setting, Target};
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind = OperationKind::of::<Rout>(
    "rout",
    "Rout a profile along an edge.",
    keys::read::<Rout>,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "rout", "at": "router table", "makes": "round-over", "depth": "3/8", "last": "1/16" }"#,
];

/// The most a pass takes where the bit says nothing (common practice).
const MOST: Length = Length::inch_fraction(1, 8);
/// The light last pass (common practice).
const LAST: Length = Length::inch_fraction(1, 16);

/// How fast bits up to a diameter may turn, from public tables of router bit
/// speeds that agree (woodworking.about.com, home.howstuffworks.com). The
/// limit printed on the bit always wins.
const SPEEDS: [(Length, i64); 4] = [
    (Length::INCH, 24_000),
    (Length::inch_fraction(2, 1), 18_000),
    (Length::inch_fraction(5, 2), 16_000),
    (Length::inch_fraction(7, 2), 12_000),
];

keys! {
    Rout: "rout", makes {
        /// How deep the finished profile is.
        depth: F,
        /// What the last, light pass takes.
        last: Option<F> = LAST,
    }
}

impl Operation for Rout {
    fn sizes(&self) -> Vec<SizedFeature> {
        vec![SizedFeature::new(self.feature(), SafeSide::Small)]
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::RouterTable]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let depth = work.size(&self.depth)?;
        let last = self.last.as_ref().map_or(Ok(LAST), |last| work.size(last))?;
        let mut out = Outcome::untouched(work.blank, draw(work, depth));
        out.findings = work.machine_limits();
        if let Some(thick) = work.blank.least_of(THICKNESS)
            && depth >= thick
        {
            out.findings.push(
                Finding::error(format!(
                    "a profile {} deep leaves nothing of {}",
                    work.words(depth),
                    work.words(thick)
                ))
                .help("make the profile shallower, or use thicker stock")
                .key("depth"),
            );
            return Ok(out);
        }
        let most = most(work);
        let mut height = work.sizing_rounded(
            "height",
            depth,
            &self.feature(),
            work.chain(&self.depth),
            Rounds::Down,
        );
        height.by_passes = true;
        let last = last.min(most);
        match passes(work, &height, DepthLimits { most, last }, 1) {
            Ok(passes) => out.passes = passes,
            Err(finding) => out.findings.push(finding),
        }
        if out.passes.len() > 1 && last > Length::ZERO {
            out.findings.extend(work.coarse_for_light(&height.name, &height.readout, last));
        }
        out.settings.push(height);
        out.after.make(&self.feature(), depth);
        out.facts.extend(speed(work));
        out.steps = [
            "End grain first, long grain last: it takes the torn corners away.",
            "Every edge of every piece at one height, then raise the bit.",
            "Prove the full depth on a setup piece, beside the sample.",
        ]
        .map(str::to_owned)
        .to_vec();
        out.cautions.push("Starting pin for curves; small parts on a carrier.".to_owned());
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("Raise the bit {} and feed it again.", work.words(over.target))
    }
}

impl Rout {
    fn feature(&self) -> FeatureName {
        FeatureName::of(self.makes.or("profile"), DEPTH)
    }
}

/// The most a pass may take: the bit's own limit, or what is usual.
pub(super) fn most(work: &Work<'_>) -> Length {
    work.tool.and_then(|tool| tool.most).unwrap_or(MOST)
}

/// What a pass may take.
#[derive(Clone, Copy, Debug)]
pub(super) struct DepthLimits {
    /// The most of any pass.
    pub most: Length,
    /// The most of the light last pass; zero where there is none.
    pub last: Length,
}

impl DepthLimits {
    /// No light last pass.
    pub(super) fn of(most: Length) -> DepthLimits {
        DepthLimits { most, last: Length::ZERO }
    }

    /// How many equal passes and light ones a depth takes by arithmetic.
    fn wanted(self, depth: Length) -> i64 {
        match self.last {
            Length::ZERO => steps(depth, self.most).max(1),
            last if depth <= last => 1,
            last => steps(depth - last, self.most) + 1,
        }
    }

    /// Depths of so many passes, equal but for the light last one.
    fn depths(self, depth: Length, count: i64) -> Vec<Length> {
        let last = if depth > self.last { self.last } else { Length::ZERO };
        let equal = (count - i64::from(!last.is_zero())).max(1);
        let rough = depth - last;
        (1..=equal).map(|n| rough * n / equal).collect()
    }
}

/// More passes than these nobody feeds.
const MOST_PASSES: i64 = 50;

/// The passes on the way to the setting of the full depth, on marks of its
/// scale, each fed so often.
pub(super) fn passes(
    work: &Work<'_>,
    full: &NamedSetting,
    limits: DepthLimits,
    feeds: u32,
) -> Result<Vec<Pass>, Finding> {
    let (readout, offset) = (full.readout, work.offset(&full.name, true));
    let (depth, made) = (full.setting.target.0, full.setting.predicted);
    if limits.most <= Length::ZERO {
        return Err(too_many(work, depth, limits.most));
    }
    let last = if limits.last > Length::ZERO { limits.last } else { limits.most };
    let Some(bites) = Bites::of(&Grid::of(readout), made, limits.most, last) else {
        return Err(work.too_coarse(&full.name, &readout, limits.most));
    };
    let count = bites.count(limits.wanted(depth), false);
    if count > MOST_PASSES {
        return Err(too_many(work, depth, limits.most));
    }
    let end = readout.count(full.setting.dial.0, Rounds::Nearest);
    let mark = |depth: Length| readout.count(depth - offset.0, Rounds::Down);
    let ideal = limits.depths(depth, count);
    let ideal: Vec<i64> = ideal.iter().map(|depth| end - mark(*depth)).collect();
    let left = bites.left(count, &ideal);
    let pass = |(number, left): (u32, i64)| {
        let dial = readout.mark(end - left);
        let made = dial + offset.0;
        let on_the_way =
            Setting { target: Target(made), aim: Length::ZERO, dial: Dial(dial), predicted: made };
        let setting = if left == 0 { full.setting } else { on_the_way };
        Pass { feeds, ..Pass::at(number, work.tool_name, readout, setting) }
    };
    Ok((1..).zip(left).map(pass).collect())
}

fn too_many(work: &Work<'_>, depth: Length, most: Length) -> Finding {
    Finding::error(format!(
        "{} at {} a pass takes more than fifty passes",
        work.words(depth),
        work.words(most)
    ))
    .help("use a bit that may take more, or a saw")
    .key("depth")
}

/// How fast a router's bit may turn, where the shop file knows how big it is.
pub(super) fn speed(work: &Work<'_>) -> Option<Fact> {
    if work.machine?.kind != MachineKind::RouterTable {
        return None;
    }
    let diameter = work.tool?.diameter?;
    let (_, most) = SPEEDS.iter().find(|(up_to, _)| diameter <= *up_to)?;
    Some(Fact::number("turns a minute at most, unless the bit says less", *most))
}

fn draw(work: &Work<'_>, depth: Length) -> Drawing {
    let p = Point::new;
    let zero = Length::ZERO;
    let thick = work.blank.most(THICKNESS).unwrap_or(depth * 2).max(depth);
    // The near end of the section shows all there is to see.
    let wide = work.blank.most(WIDTH).unwrap_or(thick * 3).min(thick * 4).max(depth * 2);
    let table = thick / 4;
    let reach = depth.min(wide / 2);
    let mut section = vec![p(zero, depth), p(zero, thick), p(wide, thick), p(wide, zero)];
    section.extend([p(reach, zero), p(reach, depth)]);
    let mut drawing = Drawing::new("end view, profile edge down", Scale::Even)
        .block(Material::Fence, p(-table, -table), p(zero, thick + table))
        .block(Material::Fence, p(reach + table / 2, -table), p(wide + table, zero))
        .block(Material::Cutter, p(zero, -table), p(reach, depth));
    drawing.shapes.push(DrawnShape::Polygon { of: Material::Wood, points: section });
    drawing
        .label(p(wide / 2, thick * 3 / 4), "good face down")
        .dimension(p(wide + table * 2, zero), p(wide + table * 2, depth), work.words(depth))
        .measure_here(p(reach, zero))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source; by hand: 3/8 - 1/16 = 5/16 in two steps of
    /// 5/32: 0.15625, 0.3125 and then the last sixteenth.
    #[test]
    fn a_round_over_in_two_passes_and_a_light_one() {
        let [depth, most, last] =
            [(3, 8), (5, 32), (1, 16)].map(|(n, d)| Length::inch_fraction(n, d));
        let limits = DepthLimits { most, last };
        assert_eq!(limits.wanted(depth), 3);
        let expected = [(5, 32), (5, 16)].map(|(n, d)| Length::inch_fraction(n, d));
        assert_eq!(limits.depths(depth, 3), expected);
    }

    #[test]
    fn a_shallow_profile_is_one_pass() {
        let sixteenth = Length::inch_fraction(1, 16);
        assert_eq!(DepthLimits { most: MOST, last: sixteenth }.wanted(sixteenth), 1);
        assert_eq!(DepthLimits::of(MOST).wanted(Length::inch_fraction(1, 8)), 1);
        assert_eq!(DepthLimits::of(MOST).wanted(Length::inch_fraction(1, 4)), 2);
    }

    #[test]
    fn a_bigger_bit_turns_slower() {
        assert!(SPEEDS.windows(2).all(|pair| pair[0].0 < pair[1].0 && pair[0].1 > pair[1].1));
    }
}
