//! Holes of every shape: which way they go, what wood is left around them, and
//! how they look in section.

use schemars::JsonSchema;
use serde::Deserialize;

use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{LENGTH, THICKNESS, WIDTH};
use super::outcome::Finding;
use super::trace::LongFace;
use super::words;
use super::work::Work;
use crate::measure::{Length, Rounds, ScaleOffset, Target, Unit};

/// A tool this far from the size asked for is another tool of the rack, no
/// longer the same tool cutting a little more.
const OTHER_TOOL: Length = Length::inch_fraction(1, 64);

/// Wood thinner than this beside a hole breaks out (common practice, no
/// source).
const THINNEST_WALL: Length = Length::inch_fraction(1, 16);

/// Less wood than this below a hole breaks out (common practice, no source).
const FLOOR: Length = Length::inch_fraction(1, 8);
/// The same on a route in millimetres.
const FLOOR_METRIC: Length = Length::from_nanometres(3 * Length::MILLIMETRE.nanometres());
/// Less wood than this below the point of a bit breaks out too (common
/// practice, no source).
const SKIN: Length = Length::inch_fraction(1, 32);
/// A point is at least this long (common practice, no source).
const LEAST_POINT: Length = Length::inch_fraction(1, 16);

/// How far the point of a bit goes ahead of its full width: three tenths of its
/// diameter, for a twist bit ground to 118 degrees ends in a cone `1 / 2 tan 59`
/// of its diameter high (by geometry).
pub(super) fn point(bit: Length) -> Length {
    (bit * 3 / 10).max(LEAST_POINT)
}

/// Where the depth of a bit with a point counts from.
pub(super) fn zero_step(work: &Work<'_>, bit: Length) -> String {
    let point = work.words(point(bit));
    format!("Depth counts from the bit's lips: its point goes {point} deeper.")
}

/// The surface a hole is cut into.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum Into {
    /// In the direction of the thickness.
    Face,
    /// In the direction of the width.
    Edge,
    /// In the direction of the length.
    End,
}

impl Into {
    /// The long faces it may go into, the likeliest first. A and B are the outside
    /// by custom: they lie against fence and table. None at an end, where no long
    /// face shows it.
    pub(super) const fn faces(self) -> Option<[LongFace; 4]> {
        use LongFace::{A, B, C, D};
        match self {
            Into::Face => Some([C, A, D, B]),
            Into::Edge => Some([D, B, C, A]),
            Into::End => None,
        }
    }

    /// The feature its depth is taken from.
    pub(super) fn deep(self) -> &'static str {
        match self {
            Into::Face => THICKNESS,
            Into::Edge => WIDTH,
            Into::End => LENGTH,
        }
    }

    /// The feature its distance from the reference face is measured along.
    pub(super) fn across(self) -> &'static str {
        match self {
            Into::Face => WIDTH,
            Into::Edge | Into::End => THICKNESS,
        }
    }
}

/// A hole across the piece: how far from the reference face, how wide, how deep.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hole {
    pub into: Into,
    /// From the reference face to the near wall.
    pub near: Length,
    pub wide: Length,
    pub deep: Length,
}

impl Hole {
    /// Wood left beyond the far wall, where the piece's size is known.
    pub(super) fn beyond(&self, work: &Work<'_>) -> Option<Length> {
        Some(work.blank.least_of(self.into.across())? - self.near - self.wide)
    }

    /// Wood left below the bottom, where the piece's size is known.
    pub(super) fn below(&self, work: &Work<'_>) -> Option<Length> {
        Some(work.blank.least_of(self.into.deep())? - self.deep)
    }

    /// Whether a blind hole comes out below, or its bit's point does, or little
    /// wood is left there.
    pub(super) fn bottom(
        &self,
        work: &Work<'_>,
        point: Length,
        key: &'static str,
        fix: &str,
    ) -> Option<Finding> {
        let below = self.below(work)?;
        if below <= Length::ZERO {
            let what = format!("{} deep goes through the piece", work.words(self.deep));
            return Some(Finding::error(what).help(fix).key(key));
        }
        let floor = match work.unit {
            Unit::Inch => FLOOR,
            Unit::Millimetre => FLOOR_METRIC,
        };
        let wanted = if point.is_zero() { floor } else { floor.max(point + SKIN) };
        let below_words = work.words(below);
        let finding = if below < point {
            Finding::error(format!(
                "only {below_words} below the hole, and the point of the bit goes {} deeper: it comes out",
                work.words(point)
            ))
        } else if below < wanted {
            Finding::warning(format!(
                "only {below_words} below the hole: the wood there may break out"
            ))
        } else {
            return None;
        };
        Some(finding.help(format!("leave {} or more: {fix}", work.words(wanted))).key(key))
    }

    /// Whether the hole comes out at a side.
    pub(super) fn sides(&self, work: &Work<'_>, key: &'static str) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut out = |what: String| {
            let fix = "measure from the reference face; the hole has to be inside the piece";
            findings.push(Finding::error(what).help(fix).key(key));
        };
        if self.near < Length::ZERO {
            out(format!("it comes out {} beyond the reference face", work.words(self.near.abs())));
        }
        if let Some(beyond) = self.beyond(work)
            && beyond < Length::ZERO
        {
            out(format!("it comes out {} beyond the far face", work.words(beyond.abs())));
        }
        let left = [(Some(self.near), "reference"), (self.beyond(work), "far")];
        for (left, face) in left {
            let Some(left) = left.filter(|left| (Length::ZERO..THINNEST_WALL).contains(left))
            else {
                continue;
            };
            let what = match left.is_zero() {
                true => format!("no wood is left between it and the {face} face"),
                false => format!(
                    "only {} of wood is left between it and the {face} face",
                    work.words(left)
                ),
            };
            let fix = format!("leave {} or more", work.either("1/8 in", "3 mm"));
            findings.push(Finding::error(what).help(fix).key(key));
        }
        findings
    }

    /// In section, the surface it is cut into up, the reference face on the fence.
    pub(super) fn draw(&self, work: &Work<'_>, face: &str, tool: &str) -> Drawing {
        let across = work.blank.most(self.into.across()).unwrap_or(self.near * 2 + self.wide);
        let whole = work.blank.most(self.into.deep()).unwrap_or(self.deep * 2);
        // A long piece bored in its end is drawn as far as it matters.
        let high = if self.into == Into::End { whole.min(self.deep * 2) } else { whole };
        let p = Point::new;
        let far = self.near + self.wide;
        let gap = high / 6;
        let bottom = (high - self.deep).max(Length::ZERO);
        Drawing::new("end view", Scale::Even)
            .block(Material::Fence, p(-across / 5, Length::ZERO), p(Length::ZERO, high))
            .block(Material::Fence, p(-across / 5, -high / 10), p(across, Length::ZERO))
            .block(Material::Wood, p(Length::ZERO, Length::ZERO), p(across, high))
            .block(Material::Waste, p(self.near, bottom), p(far, high))
            .block(Material::Cutter, p(self.near, high), p(far, high + gap * 2))
            .label(p(far + across / 5, high + gap), tool)
            .label(p(-across / 10, high + gap), "fence")
            .label(p(across / 2, bottom / 2), face)
            .dimension(p(Length::ZERO, -gap * 2), p(self.near, -gap * 2), work.words(self.near))
            .dimension(p(across + gap, bottom), p(across + gap, high), work.words(self.deep))
    }
}

/// What the tool really cuts, and whether that is the size asked for.
pub(super) fn cuts(
    work: &Work<'_>,
    scale: &str,
    asked: Length,
    key: &'static str,
) -> (Length, Vec<Finding>) {
    let Some((tool, size)) = work.tool.and_then(|tool| Some((tool, tool.size?))) else {
        let finding = Finding::warning("the shop file doesn't say what size this tool is")
            .help("add `size` to the tool, and its `scale_offset` where it cuts more than that");
        return (asked, vec![finding]);
    };
    let real = size + tool.scale_offset(scale, false).0;
    if (real - asked).abs() < OTHER_TOOL {
        return (real, Vec::new());
    }
    let what = format!(
        "the {} cuts {}, but {} is needed",
        work.tool_name.unwrap_or("tool"),
        work.words(real),
        work.words(asked)
    );
    let fix = "take the tool of that size, or make the joint to the nearest tool";
    (real, vec![Finding::error(what).help(fix).key(key)])
}

/// Places along the piece as steps that fit a screen.
pub(super) fn places(work: &Work<'_>, lead: &str, at: &[Length]) -> Vec<String> {
    lines(lead, at.iter().map(|place| words::decimal(*place, work.unit)), work.unit)
}

/// Places along the piece at the marks of the machine's stop, or of a plain rule
/// where it has no scale along the piece: nobody sets a thousandth by a pencil line.
pub(super) fn at_marks(work: &Work<'_>, at: &[Length]) -> Vec<String> {
    let scale = work.readout("stop");
    let on_it = |place: &Length| {
        let nothing = ScaleOffset(Length::ZERO);
        scale.shown(scale.dial(Target(*place), Length::ZERO, nothing, Rounds::Nearest).dial.0)
    };
    at.iter().map(on_it).collect()
}

/// The unit of those marks.
pub(super) fn mark_unit(work: &Work<'_>) -> Unit {
    work.readout("stop").unit
}

fn lines(lead: &str, places: impl Iterator<Item = String>, unit: Unit) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for text in places {
        if line.is_empty() {
            line = format!("{lead} {text}");
        } else if line.len() + text.len() > 66 {
            lines.push(format!("{line},"));
            line = text;
        } else {
            line = format!("{line}, {text}");
        }
    }
    if !line.is_empty() {
        lines.push(format!("{line} {}.", unit.sign()));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each text is three letters, so a line of `At 100` grows by five: after fifteen
    /// texts it has 5 x 14 + 6 = 76 letters or fewer. A next text goes into a line that has
    /// 66 letters with it, its comma left out, and no more.
    #[test]
    fn places_are_broken_into_lines_that_fit() {
        let broken =
            |texts: &[&str]| lines("At", texts.iter().map(|text| (*text).to_owned()), Unit::Inch);
        assert_eq!(broken(&[]), Vec::<String>::new());
        assert_eq!(broken(&["1/2"]), ["At 1/2 in."]);
        assert_eq!(broken(&["1/2", "3/4"]), ["At 1/2, 3/4 in."]);
        let long = "x".repeat(60);
        // `At ` and 60 are 63, and three more are 66.
        assert_eq!(broken(&[&long, "3/4"]), [format!("At {long}, 3/4 in.")]);
        assert_eq!(broken(&[&long, "13/4"]), [format!("At {long},"), "13/4 in.".to_owned()]);
    }
}
