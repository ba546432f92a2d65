//! Rout: a profile along an edge, deeper pass by pass.
//!
//! `m = ceil((depth - last) / most)` equal passes and then the light last one
//! (common practice).

use super::drawing::{Drawing, DrawnShape, Material, Point, Scale};
use super::faces::steps;
use super::feature::{DEPTH, FeatureName, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, NamedSetting, Outcome, Pass, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::work::Work;
use crate::measure::{Length, Rounds, SafeSide, Target};
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
        match depths(depth, most, last.min(most)) {
            Some(depths) => {
                out.passes = passes(work, &height, &depths, 1);
            }
            None => out.findings.push(too_many(work, depth, most)),
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

/// Depths of equal passes of at most `most`, and of a last one of `last`;
/// `None` where there would be more of them than anybody feeds.
pub(super) fn depths(depth: Length, most: Length, last: Length) -> Option<Vec<Length>> {
    if most <= Length::ZERO {
        return None;
    }
    if depth <= last {
        return Some(vec![depth]);
    }
    let rough = depth - last;
    let count = steps(rough, most);
    if count > 50 {
        return None;
    }
    let mut depths: Vec<Length> = (1..=count).map(|n| rough * n / count).collect();
    if last > Length::ZERO {
        depths.push(depth);
    }
    Some(depths)
}

pub(super) fn too_many(work: &Work<'_>, depth: Length, most: Length) -> Finding {
    Finding::error(format!(
        "{} at {} a pass takes more than fifty passes",
        work.words(depth),
        work.words(most)
    ))
    .help("use a bit that may take more, or a saw")
    .key("depth")
}

/// The heights on the way to the setting of the full depth, each fed so often.
pub(super) fn passes(
    work: &Work<'_>,
    full: &NamedSetting,
    depths: &[Length],
    feeds: u32,
) -> Vec<Pass> {
    let offset = work.offset(&full.name, true);
    let heights = depths.iter().enumerate().map(|(n, depth)| {
        let last = n + 1 == depths.len();
        let dial = if last {
            full.setting.dial
        } else {
            full.readout.dial(Target(*depth), Length::ZERO, offset, Rounds::Down).dial
        };
        Pass {
            number: n as u32 + 1,
            tool: work.tool_name.map(str::to_owned),
            readout: full.readout,
            target: Target(*depth),
            dial,
            faces: Vec::new(),
            feeds,
            presses: None,
            kiss: false,
            drawing: None,
            beyond: Length::ZERO,
        }
    });
    heights.collect()
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
    /// 5/32: 0.15625, 0.3125 and then 0.375.
    #[test]
    fn a_round_over_in_two_passes_and_a_light_one() {
        let [depth, most, last] =
            [(3, 8), (5, 32), (1, 16)].map(|(n, d)| Length::inch_fraction(n, d));
        let expected = [(5, 32), (5, 16), (3, 8)].map(|(n, d)| Length::inch_fraction(n, d));
        assert_eq!(depths(depth, most, last).unwrap(), expected);
    }

    #[test]
    fn a_shallow_profile_is_one_pass_and_a_bit_that_takes_nothing_none() {
        let sixteenth = Length::inch_fraction(1, 16);
        assert_eq!(depths(sixteenth, MOST, sixteenth), Some(vec![sixteenth]));
        assert_eq!(depths(Length::INCH, Length::ZERO, sixteenth), None);
        assert_eq!(depths(Length::INCH, Length::thousandths(1), sixteenth), None);
    }

    #[test]
    fn a_bigger_bit_turns_slower() {
        assert!(SPEEDS.windows(2).all(|pair| pair[0].0 < pair[1].0 && pair[0].1 > pair[1].1));
    }
}
