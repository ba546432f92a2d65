//! Rows: a striped panel crosscut at the square it really has.
//!
//! `square = panel width / columns`; `strip >= trim + rows x (square + kerf) + tail`
//! (common practice). A creep of `E` over `C` strips glued in cut order puts
//! the seams of turned rows out by up to `E C^2 / (4 (C - 1))`; a blade off
//! square by `a` opens each seam by `2 T tan(a)` (both by geometry).

use super::crosscut;
use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{FeatureName, LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::panel;
use super::question::{Operation, Over, SizedFeature};
use super::reader::Keyed;
use super::words::scaled;
use super::work::Work;
use crate::measure::Length;
use crate::prose::Level;
use crate::shop::{Act, MachineKind};

pub(super) const KIND: OperationKind = OperationKind::of::<Rows>(
    "rows",
    "Crosscut a striped panel into rows as tall as its columns are wide.",
    keys::read::<Rows>,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "rows", "at": "stop saw", "makes": "row", "columns": "8", "rows": "8", "panel_width": "14", "square": "1 3/4", "trim": "1/2", "tail": "4", "end_grain": "1 3/4", "turned": true, "creep": "0.010", "out_of_square": "0.2" }"#,
];

/// What the last row is held by (common practice).
const TAIL: Length = Length::from_nanometres(4 * Length::INCH.nanometres());
/// Cut off the end first, the kerf with it (common practice).
const TRIM: Length = Length::inch_fraction(1, 2);
/// A seam further out is seen (common practice).
const SEAM: Length = Length::inch_fraction(1, 64);
/// A gap wider than this is seen (common practice).
const SEEN_GAP: Length = Length::thousandths(4);

keys! {
    Rows: "rows", makes {
        /// How many strips the panel is glued from.
        columns: F as count,
        /// How many rows are wanted.
        rows: F as count,
        /// Measured width of the panel, after flattening and trimming.
        panel_width: F,
        /// The square as drawn; the difference from it is reported.
        square: Option<F>,
        /// Cut off the end first, kerf included.
        trim: Option<F> = TRIM,
        /// Length left to hold the panel by at the last row.
        tail: Option<F> = TAIL,
        /// End grain up: each row is rolled a quarter turn, and cut at this
        /// thickness of the panel that comes of it.
        end_grain: Option<F>,
        /// Whether every second row is turned end for end. Give false where
        /// rows of a second panel, which begins with the other wood, lie
        /// between.
        turned: Option<bool> = true,
        /// How much wider the last strip came out than the first, glued in cut order.
        creep: Option<F>,
        /// How far the blade is off square to the table.
        out_of_square: Option<F> as degrees,
    }
}

/// The numbers of the cut.
struct RowCut {
    columns: i64,
    rows: i64,
    /// The square the panel has, as wide as its columns.
    made: Length,
    /// From one cut to the next, without the kerf.
    row: Length,
    kerf: Option<Length>,
    trim: Length,
    tail: Length,
}

impl RowCut {
    fn needed(&self, kerf: Length) -> Length {
        self.trim + (self.row + kerf) * self.rows + self.tail
    }

    fn possible(&self, strip: Length, kerf: Length) -> i64 {
        let room = (strip - self.trim - self.tail).nanometres().max(0);
        room / (self.row + kerf).nanometres().max(1)
    }
}

impl Operation for Rows {
    fn sizes(&self) -> Vec<SizedFeature> {
        vec![SizedFeature::wood_left_on(self.feature())]
    }

    fn cant_be_undone(&self) -> bool {
        true
    }

    fn act(&self) -> Act {
        Act::OnSled
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::TableSaw, MachineKind::CrosscutSaw, MachineKind::StopSaw]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let cut = self.cut(work)?;
        let mut out = Outcome::untouched(work.blank, draw(work, &cut));
        out.findings = work.machine_limits();
        out.findings.extend(crosscut::stop_findings(work));
        if self.turned() && cut.columns % 2 == 1 {
            out.findings.push(panel::odd(cut.columns));
        }
        let from = match &self.end_grain {
            Some(thick) => work.chain(thick),
            None => format!("{}, over {} columns", work.chain(&self.panel_width), cut.columns),
        };
        crosscut::set_stop(work, &mut out, cut.row, &self.feature(), from, cut.kerf);
        let base = work.sled();
        let (height, findings) = work.blade_height(base);
        out.settings.extend(height);
        out.findings.extend(findings);

        out.facts.push(Fact::size("square as made", cut.made));
        if let Some(square) = &self.square {
            let off = cut.made - work.size(square)?;
            if !off.is_zero() {
                out.facts.push(Fact::size("difference from the drawn square", off));
            }
        }
        self.share_out(work, &cut, &mut out);
        self.roll(work, &cut, &mut out);
        self.seams(work, &cut, &mut out)?;
        out.after.make(&self.feature(), cut.row);
        out.steps = self.instruct();
        out.cautions
            .push("Sled and hold-down; hold the panel by its tail to the last row.".to_owned());
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("Sand {} off that row, or keep it for the border.", work.words(over.target))
    }
}

impl Rows {
    fn turned(&self) -> bool {
        self.turned.unwrap_or(true)
    }

    fn feature(&self) -> FeatureName {
        FeatureName::of(self.makes.or("row"), WIDTH)
    }

    fn cut(&self, work: &Work<'_>) -> Result<RowCut, Trouble> {
        let optional = |keyed: &Option<Keyed>, usual| {
            keyed.as_ref().map_or(Ok(usual), |keyed| work.length(keyed))
        };
        let columns = work.count(&self.columns)?;
        let made = work.size(&self.panel_width)? / columns;
        let row = self.end_grain.as_ref().map_or(Ok(made), |thick| work.size(thick))?;
        Ok(RowCut {
            columns,
            rows: work.count(&self.rows)?,
            made,
            row,
            kerf: work.kerf(),
            trim: optional(&self.trim, TRIM)?,
            tail: optional(&self.tail, TAIL)?,
        })
    }

    /// Where the length of the panel goes.
    fn share_out(&self, work: &Work<'_>, cut: &RowCut, out: &mut Outcome) {
        let Some(kerf) = cut.kerf else {
            for what in ["length needed", "rows the length allows"] {
                work.unknown_without_kerf(what, Level::Error, out);
            }
            return;
        };
        let needed = cut.needed(kerf);
        out.facts.push(Fact::size("length needed", needed));
        let Some(strip) = work.blank.least_of(LENGTH) else { return };
        let (rows, kerfs) = (cut.row * cut.rows, kerf * cut.rows);
        let possible = cut.possible(strip, kerf);
        out.facts.push(Fact::size("trim", cut.trim));
        out.facts.push(Fact::size("rows together", rows));
        out.facts.push(Fact::size("kerfs together", kerfs));
        out.facts.push(Fact::size("tail left", strip - cut.trim - rows - kerfs));
        out.facts.push(Fact::number("rows the length allows", possible));
        if possible < cut.rows {
            out.findings.push(
                Finding::error(format!(
                    "a panel {} long gives {possible} rows and {} are wanted: that takes {}",
                    work.words(strip),
                    cut.rows,
                    work.words(needed)
                ))
                .help("use longer strips, or fewer rows and a border")
                .key("rows"),
            );
            return;
        }
        if possible == cut.rows {
            out.findings.push(
                Finding::warning("the panel is too short for a spare row")
                    .help(format!(
                        "strips {} long give one more",
                        work.words(needed + cut.row + kerf)
                    ))
                    .key("rows"),
            );
        }
        // Rolled rows lie as far apart as the panel was thick.
        let side = match self.end_grain {
            Some(_) => work.blank.least_of(THICKNESS).unwrap_or(cut.row),
            None => cut.row,
        };
        out.after.make(LENGTH, side * cut.rows);
    }

    /// End grain up, the panel's thickness becomes a side of the squares.
    fn roll(&self, work: &Work<'_>, cut: &RowCut, out: &mut Outcome) {
        if self.end_grain.is_none() {
            return;
        }
        out.after.make(THICKNESS, cut.row);
        let Some(thick) = work.blank.most(THICKNESS) else { return };
        if (thick - cut.made).abs() > SEAM {
            out.findings.push(
                Finding::error(format!(
                    "rolled rows are {} one way and {} the other: no squares",
                    work.words(cut.made),
                    work.words(thick)
                ))
                .help(format!("bring the panel to {} before it is crosscut", work.words(cut.made)))
                .key("end_grain"),
            );
        }
    }

    /// How well the corners of the squares will meet.
    fn seams(&self, work: &Work<'_>, cut: &RowCut, out: &mut Outcome) -> Result<(), Trouble> {
        if let Some(creep) = &self.creep
            && self.turned()
            && cut.columns > 1
        {
            let creep = work.length(creep)?.abs();
            let miss = creep * (cut.columns * cut.columns) / (4 * (cut.columns - 1));
            out.facts.push(Fact::size("worst seam out by", miss));
            if miss > SEAM {
                out.findings.push(
                    Finding::warning(format!(
                        "strips that creep by {} put the seams out by up to {}",
                        work.words(creep),
                        work.words(miss)
                    ))
                    .help("shuffle the strips before gluing, or sand them all to one width")
                    .key("creep"),
                );
            }
        }
        if let (Some(angle), Some(thick)) = (&self.out_of_square, work.blank.most(THICKNESS)) {
            // Turning doubles it; a row that isn't turned follows its neighbour.
            let times = if self.turned() { 2.0 } else { 0.0 };
            let gap = scaled(thick, times * work.degrees(angle)?.to_radians().tan().abs());
            out.facts.push(Fact::size("gap at each seam", gap));
            if gap > SEEN_GAP {
                out.findings.push(
                    Finding::warning(format!(
                        "turned rows double the blade's error: a gap of {} at each seam",
                        work.words(gap)
                    ))
                    .help("square the blade to the table and cut a test row")
                    .key("out_of_square"),
                );
            }
        }
        Ok(())
    }

    fn instruct(&self) -> Vec<String> {
        let last = match (self.end_grain.is_some(), self.turned()) {
            (true, _) => "Roll each row a quarter turn, end grain up; then turn every second.",
            (false, true) => "Lay them in cut order and turn every second end for end.",
            (false, false) => "Alternate rows of the two panels; turn none.",
        };
        [
            "Set the stop to the square the panel has, not the one drawn.",
            "Trim the end square; the trim takes its own kerf.",
            "One stop for all rows; number them in cut order.",
            "Measure first, middle and last row.",
            last,
        ]
        .map(str::to_owned)
        .to_vec()
    }
}

fn draw(work: &Work<'_>, cut: &RowCut) -> Drawing {
    let p = Point::new;
    let zero = Length::ZERO;
    let wide = cut.made * cut.columns;
    let kerf = work.drawn_kerf();
    let long = work.blank.least_of(LENGTH).unwrap_or(cut.needed(kerf));
    // The trimmed end at the stop, one row cut.
    let (blade, end) = (cut.row + kerf, (long - cut.trim).max((cut.row + kerf) * 2));
    let fence = wide / 6;
    let stop = end / 24;
    let strips = cut.columns.min(12);
    let mut drawing = Drawing::new("from above", Scale::Stretched)
        .block(Material::Fence, p(-stop, wide), p(end, wide + fence))
        .block(Material::Fence, p(-stop, wide / 3), p(zero, wide))
        .block(Material::Cutter, p(cut.row, -fence), p(blade, wide));
    for n in (0..strips).step_by(2) {
        let (low, high) = (wide * n / strips, wide * (n + 1) / strips);
        drawing = drawing.block(Material::Wood, p(zero, low), p(cut.row, high)).block(
            Material::Wood,
            p(blade, low),
            p(end, high),
        );
    }
    drawing
        .label(p(-stop, wide + fence * 2), "stop")
        .label(p(blade, wide + fence * 2), "blade")
        .label(p(end - end / 6, wide + fence * 2), "tail")
        .dimension(p(zero, -fence * 2), p(cut.row, -fence * 2), work.words(cut.row))
        .measure_here(p(cut.row / 2, zero))
}
