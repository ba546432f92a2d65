//! The ladder of heights a planer and a sander share: pieces come down to one
//! thickness, or to one square section, height by height.

use super::drawing::{Drawing, Material, Point, Scale};
use super::faces::FourFaces;
use super::feature::{THICKNESS, WIDTH};
use super::outcome::{NamedSetting, Outcome, Pass, Trouble};
use super::question::SizedFeature;
use super::reader::Keyed;
use super::work::Work;
use crate::measure::{Dial, Length, Readout, ScaleOffset, Target};

/// The scale both machines are set by.
pub(super) const TABLE: &str = "table";

/// The way down to a size.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ladder<'k> {
    /// The size to come down to.
    pub to: &'k Keyed,
    /// Two faces at each height, a quarter turn between.
    pub square: bool,
    /// The thickest point of the thickest piece, where it was measured.
    pub thickest: Option<&'k Keyed>,
    /// What a drawing calls the cutter.
    pub cutter: &'static str,
}

/// One height of the way down, on a mark of the scale.
pub(super) struct Rung<'w> {
    /// What the scale shows there.
    pub dial: Dial,
    /// The size wanted, where it is not just what the mark makes.
    pub wanted: Option<Length>,
    /// The tool in the machine.
    pub tool: Option<&'w str>,
    /// How far that tool is off its scale.
    pub offset: ScaleOffset,
}

impl Ladder<'_> {
    /// The features it sizes.
    pub(super) fn sizes(square: bool) -> Vec<SizedFeature> {
        let features: &[&str] = if square { &[THICKNESS, WIDTH] } else { &[THICKNESS] };
        features.iter().map(|feature| SizedFeature::wood_left_on(*feature)).collect()
    }

    /// The size wanted, and the piece as it comes.
    pub(super) fn begin(&self, work: &Work<'_>) -> Result<(Length, Outcome), Trouble> {
        let target = work.size(self.to)?;
        let before = work.blank.most(THICKNESS).unwrap_or(target);
        let mut out = Outcome::untouched(work.blank, self.draw(work, before, target, "A"));
        out.findings = work.machine_limits();
        Ok((target, out))
    }

    /// The section to bring down, as thick as it was measured; none where the
    /// piece's size is not known.
    pub(super) fn section(&self, work: &Work<'_>) -> Result<Option<FourFaces>, Trouble> {
        let Some(mut section) = FourFaces::of(work.blank, self.square) else { return Ok(None) };
        if let Some(thickest) = self.thickest {
            section.thickness = work.size(thickest)?;
        }
        Ok(Some(section))
    }

    /// The setting the passes lead to.
    pub(super) fn table(&self, work: &Work<'_>, target: Length) -> NamedSetting {
        let mut table = work.sizing(TABLE, target, THICKNESS, self.to);
        table.by_passes = true;
        table
    }

    /// One pass: the faces turned up at a height, by what its mark makes.
    pub(super) fn pass(
        &self,
        work: &Work<'_>,
        number: usize,
        readout: Readout,
        section: &mut FourFaces,
        rung: &Rung<'_>,
    ) -> Pass {
        let made = rung.dial.0 + rung.offset.0;
        let wanted = rung.wanted.unwrap_or(made);
        let before = if self.square { section.biggest() } else { section.thickness };
        let faces = section.feed(made);
        let up = faces.first().copied().unwrap_or("A");
        Pass {
            number: number as u32,
            tool: rung.tool.map(str::to_owned),
            readout,
            target: Target(wanted),
            dial: rung.dial,
            feeds: faces.len().max(1) as u32,
            faces,
            presses: None,
            kiss: false,
            drawing: Some(self.draw(work, before, wanted, up)),
            beyond: Length::ZERO,
        }
    }

    /// What the piece measures afterwards; `made` is what the last mark makes.
    pub(super) fn end(&self, work: &Work<'_>, target: Length, made: Length, out: &mut Outcome) {
        let features: &[&str] = if self.square { &[THICKNESS, WIDTH] } else { &[THICKNESS] };
        for feature in features {
            let before = work.blank.biggest(feature);
            out.cut(feature, target, |length| work.words(length));
            out.after.may_be(feature, before.map_or(made, |before| before.min(made)));
        }
    }

    /// The piece seen from the end under knives or belt: the wood that stays,
    /// and above it what comes off the piece as it comes.
    fn draw(&self, work: &Work<'_>, before: Length, target: Length, up: &str) -> Drawing {
        // Letters go round as the piece is turned: what is up, right, down, left.
        let round = ["A", "B", "C", "D"];
        let first = round.iter().position(|face| *face == up).unwrap_or(0);
        let face = |turn: usize| round[(first + turn) % 4];
        let thick = before.max(target);
        let wide = work.blank.most(WIDTH).unwrap_or(thick);
        let p = Point::new;
        let table = thick / 5;
        let margin = wide / 3;
        let mut drawing = Drawing::new("end view", Scale::Even)
            .block(Material::Fence, p(-margin, -table), p(wide + margin, Length::ZERO))
            .block(Material::Cutter, p(-margin, thick), p(wide + margin, thick + table))
            .block(Material::Wood, p(Length::ZERO, Length::ZERO), p(wide, target));
        if thick > target {
            drawing = drawing.block(Material::Waste, p(Length::ZERO, target), p(wide, thick));
        }
        drawing = drawing
            .label(p(wide / 2, thick + table + table / 2), self.cutter)
            .label(p(wide / 2, target - target / 4), face(0))
            .label(p(wide / 2, target / 4), face(2))
            .dimension(
                p(wide + margin + margin / 2, Length::ZERO),
                p(wide + margin + margin / 2, target),
                work.words(target),
            );
        if self.square {
            drawing = drawing
                .label(p(wide - wide / 8, target / 2), face(1))
                .label(p(wide / 8, target / 2), face(3));
        }
        drawing.measure_here(p(wide / 2, target))
    }
}
