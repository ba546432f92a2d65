//! Panel: boards, strips or rows glued edge to edge.
//!
//! `width = sum of boards - 2 x boards x loss`; `clamps = ceil(joint / 8 in) + 1`;
//! a strip is ripped at `square + extra` (all common practice);
//! `force = pressure x thickness x joint length`.

mod agreement;
mod drawing;
mod widths;

use schemars::JsonSchema;
use serde::Deserialize;

use super::blank::Surface;
use super::faces::steps;
use super::feature::{LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble, Wait};
use super::question::{Formulas, Operation, Over, SizedFeature};
use super::reader::{KeyReader, Keyed};
use super::work::Work;
use crate::measure::{Length, Unit};
use crate::shop::MachineKind;
use crate::wood::{Grain, Hardness, movement};

pub(super) const KIND: OperationKind = OperationKind::of::<PanelKeys>(
    "panel",
    "Glue boards, strips or rows to a panel.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "panel", "at": "glue bench", "pattern": "plain", "boards": ["4", "3 3/4", "4 1/8"], "loss": "1/64", "allowance": "1/4", "flatten": "0.030", "points": "4", "hours": 24 }"#,
    r#"{ "do": "panel", "at": "glue bench", "pattern": "plain", "boards": "16", "count": "4" }"#,
    r#"{ "do": "panel", "at": "glue bench", "pattern": "striped", "columns": "8", "square": "1 3/4", "extra": "1/32", "board": "6", "kerf": "1/8", "turned": true, "woods": ["walnut", "hard maple"] }"#,
    r#"{ "do": "panel", "at": "glue bench", "pattern": "checkered", "rows": "8", "square": "1 3/4" }"#,
];

/// What each flattening or sanding takes (common practice).
const FLATTENING: Length = Length::thousandths(30);

/// From clamp to clamp, and one more at the end (common practice; a glue
/// maker's guide says 8 to 12 in).
const CLAMP_SPACING: Length = Length::from_nanometres(8 * Length::INCH.nanometres());

/// Before it is planed or loaded, by a glue maker's guide.
const HOURS: u32 = 24;

/// Pounds on a square inch of joint: 100 to 150 for softwood in a maker's
/// guide for white and yellow glue, 175 to 250 for hardwood in a magazine's
/// quote of the same maker. Wood Handbook, FPL-GTR-190 (2010), chapter 10:
/// 100 for the lightest woods to 250 for the densest (from memory).
fn pressure(hardness: Hardness) -> [f64; 2] {
    match hardness {
        Hardness::Soft => [100.0, 150.0],
        Hardness::Hard => [175.0, 250.0],
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum PanelPattern {
    /// Boards as they come.
    Plain,
    /// Strips of two woods in turn, to be crosscut into rows.
    Striped,
    /// The rows of a striped panel, every second one turned.
    Checkered,
}

/// The widths of the boards of a plain panel.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(untagged)]
enum BoardWidths<F = Keyed> {
    Each(Vec<F>),
    Together(F),
}

/// Left over the finished size on each side of a plain panel (common practice).
const TO_TRIM: Length = Length::inch_fraction(1, 4);

keys! {
    PanelKeys: "panel" {
        /// How it is put together.
        pattern: PanelPattern,
        /// Plain: the width of each board, or of all of them together with `count`.
        boards: Option<BoardWidths<F>>,
        /// Plain: how many boards, where their widths are given together.
        count: Option<F> as count,
        /// Striped: how many strips.
        columns: Option<F> as count,
        /// Checkered: how many rows.
        rows: Option<F> as count,
        /// Striped, checkered: width of one strip or row, ready to glue.
        square: Option<F>,
        /// Striped: extra width of each strip, for sanding its edges.
        extra: Option<F> = Length::ZERO,
        /// Striped: width of the boards the strips are ripped from.
        board: Option<F>,
        /// Striped: the saw's cut between two strips.
        kerf: Option<F> = Length::ZERO,
        /// Striped: whether every second row will be turned end for end. Give
        /// false where a second panel begins with the other wood.
        turned: Option<bool> = true,
        /// How much jointing still takes off each edge.
        loss: Option<F> = Length::ZERO,
        /// Left over the finished size on each side; 1/4 in on a plain panel when left out.
        allowance: Option<F>,
        /// How much each flattening or sanding takes off.
        flatten: Option<F> = FLATTENING,
        /// The woods, in equal shares; the part's own wood when left out.
        #[serde(default)]
        woods: Vec<String>,
        /// Percentage points of moisture from the driest to the dampest season.
        points: Option<F> as points,
        /// Hours before the panel may be planed or loaded; the glue's label decides.
        #[schemars(range(min = 1, max = 720))]
        hours: Option<u32> as hours = HOURS,
    }
}

#[expect(clippy::large_enum_variant, reason = "one to an operation, never in a list")]
#[derive(Debug)]
enum Glued {
    /// Widths of the boards, and how many where a count is given.
    Plain {
        boards: Vec<Keyed>,
        count: Option<Keyed>,
    },
    Striped {
        columns: Keyed,
        square: Keyed,
        extra: Option<Keyed>,
        board: Option<Keyed>,
        kerf: Option<Keyed>,
        turned: bool,
    },
    Checkered {
        rows: Keyed,
        square: Keyed,
    },
}

#[derive(Debug)]
struct Panel {
    keys: PanelKeys,
    pattern: Glued,
}

/// Thirty days: no glue needs longer.
const MOST_HOURS: u32 = 30 * 24;

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    let keys = keys::keys_if::<PanelKeys>(reader, |keys, reader| {
        agreement::refuse_foreign(reader, keys);
        let sound = (1..=MOST_HOURS).contains(&keys.hours.unwrap_or(HOURS));
        if !sound {
            reader.problem("hours", format!("glue rests 1 to {MOST_HOURS} hours"), None);
        }
        sound && agreement::complete(reader, keys)
    })?;
    let pattern = Glued::of(&keys)?;
    Some(Box::new(Panel { keys, pattern }))
}

impl Glued {
    /// The pattern with what it needs; `None` where a key it needs is missing.
    fn of(keys: &PanelKeys) -> Option<Glued> {
        Some(match keys.pattern {
            PanelPattern::Plain => Glued::Plain {
                boards: match keys.boards.as_ref()? {
                    BoardWidths::Each(each) => each.clone(),
                    BoardWidths::Together(all) => vec![all.clone()],
                },
                count: keys.count.clone(),
            },
            PanelPattern::Striped => Glued::Striped {
                columns: keys.columns.clone()?,
                square: keys.square.clone()?,
                extra: keys.extra.clone(),
                board: keys.board.clone(),
                kerf: keys.kerf.clone(),
                turned: keys.turned.unwrap_or(true),
            },
            PanelPattern::Checkered => {
                Glued::Checkered { rows: keys.rows.clone()?, square: keys.square.clone()? }
            }
        })
    }
}

/// What is in the clamps.
struct Lay {
    pieces: i64,
    /// All widths together, before the last jointing.
    sum: Length,
    loss: Length,
    /// How long each joint is, where it is known.
    joint: Option<Length>,
}

impl Lay {
    fn across(&self) -> Length {
        self.sum - self.loss
    }

    fn clamps(&self) -> Option<i64> {
        self.joint.map(|joint| steps(joint, CLAMP_SPACING) + 1)
    }
}

impl Formulas for Panel {
    fn formulas(&self) -> Vec<&Keyed> {
        self.keys.formulas()
    }
}

impl Operation for Panel {
    fn sizes(&self) -> Vec<SizedFeature> {
        vec![SizedFeature::wood_left_on(self.feature()), SizedFeature::wood_left_on(THICKNESS)]
    }

    fn cant_be_undone(&self) -> bool {
        true
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::ClampBench, MachineKind::Bench]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let lay = self.lay(work)?;
        let mut out = Outcome::untouched(work.blank, self.draw(work, &lay));
        if lay.across() <= Length::ZERO {
            out.findings.push(Finding::error("jointing the edges leaves no wood").key("loss"));
            return Ok(out);
        }
        self.compare(work, &lay, &mut out)?;
        self.press(work, &lay, &mut out);
        self.count_strips(work, &mut out)?;
        self.thin_down(work, &mut out)?;
        self.move_with_the_seasons(work, &lay, &mut out)?;
        out.after.make(self.feature(), lay.across());
        // The outer edges are as straight as those that closed, and the clamps
        // held the faces flat: no jointer need be as wide as the panel.
        out.after.trued.extend([Surface::Face, Surface::Edge]);
        out.wait =
            Some(Wait { minutes: self.keys.hours.unwrap_or(HOURS) * 60, what: "glue".to_owned() });
        out.steps = self.instruct();
        out.cautions
            .push("Dried squeeze-out cuts like glass: scrape it while it is soft.".to_owned());
        Ok(out)
    }

    fn joins_edge_to_edge(&self) -> bool {
        true
    }

    fn does(&self) -> Option<&'static str> {
        Some("Glue up")
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("Take {} off when the panel is cut to size.", work.words(over.target))
    }
}

impl Panel {
    /// What grows as pieces are put side by side.
    fn feature(&self) -> &'static str {
        if matches!(self.pattern, Glued::Checkered { .. }) { LENGTH } else { WIDTH }
    }

    fn lay(&self, work: &Work<'_>) -> Result<Lay, Trouble> {
        let (pieces, sum) = match &self.pattern {
            Glued::Plain { boards, count } => {
                let mut sum = Length::ZERO;
                for board in boards {
                    sum += work.size(board)?;
                }
                let listed = boards.len() as i64;
                (count.as_ref().map_or(Ok(listed), |count| work.count(count))?, sum)
            }
            Glued::Striped { columns: count, square, .. }
            | Glued::Checkered { rows: count, square } => {
                let count = work.count(count)?;
                (count, work.size(square)? * count)
            }
        };
        let loss = work.optional(&self.keys.loss)?.unwrap_or(Length::ZERO) * (2 * pieces);
        let along = if self.feature() == WIDTH { LENGTH } else { WIDTH };
        let joint = work.blank.most(along).or_else(|| work.finish.get(along).copied());
        Ok(Lay { pieces, sum, loss, joint })
    }

    /// Against the finished size.
    fn compare(&self, work: &Work<'_>, lay: &Lay, out: &mut Outcome) -> Result<(), Trouble> {
        let across = lay.across();
        out.facts.push(Fact::size(format!("{} out of the clamps", self.feature()), across));
        let Some(finished) = work.finish.get(self.feature()) else { return Ok(()) };
        let usual = match self.pattern {
            Glued::Plain { .. } => TO_TRIM,
            _ => Length::ZERO,
        };
        let allowance = work.optional(&self.keys.allowance)?.unwrap_or(usual);
        let wanted = *finished + allowance * 2;
        if across + Length::ROUNDING >= wanted {
            out.facts.push(Fact::size("in hand", (across - wanted).max(Length::ZERO)));
            return Ok(());
        }
        out.findings.push(
            Finding::error(format!(
                "the pieces come to {} glued up and {} is needed: {} short",
                work.words(across),
                work.words(wanted),
                work.words(wanted - across)
            ))
            .help(match self.pattern {
                Glued::Plain { .. } => "add another board, or use wider ones",
                _ => "make the squares wider, or put a border round them",
            })
            .key(match self.pattern {
                Glued::Plain { .. } => "boards",
                _ => "square",
            }),
        );
        Ok(())
    }

    /// Clamps, and how hard they press.
    fn press(&self, work: &Work<'_>, lay: &Lay, out: &mut Outcome) {
        let (Some(clamps), Some(joint)) = (lay.clamps(), lay.joint) else { return };
        out.facts.push(Fact::number("clamps", clamps));
        let Some(thick) = work.blank.most(THICKNESS) else { return };
        let area = thick.in_unit(Unit::Inch) * joint.in_unit(Unit::Inch);
        let (unit, per_pound) = match work.unit {
            Unit::Inch => ("pounds", 1.0),
            Unit::Millimetre => ("newtons", 4.448_222),
        };
        let [least, most] = pressure(work.hardness).map(|psi| psi * area * per_pound);
        let each = (least / clamps as f64 - 1e-6).ceil();
        for (what, force) in [
            ("of clamp force in all, at least", least.round()),
            ("of clamp force in all, at most", most.round()),
            ("from each clamp, at least", each),
        ] {
            out.facts.push(Fact::number(format!("{unit} {what}"), force as i64));
        }
    }

    fn count_strips(&self, work: &Work<'_>, out: &mut Outcome) -> Result<(), Trouble> {
        let Glued::Striped { columns, square, extra, board, kerf, turned } = &self.pattern else {
            return Ok(());
        };
        let count = work.count(columns)?;
        let rip = work.size(square)? + work.optional(extra)?.unwrap_or(Length::ZERO);
        out.facts.push(Fact::size("strips are ripped at", rip));
        if *turned && count % 2 == 1 {
            out.findings.push(odd(count));
        }
        // Two panels that begin with opposite woods use as many of each.
        let of_each = if *turned { count / 2 } else { count };
        out.facts.push(Fact::number("strips of each wood", of_each));
        if let Some(board) = board {
            let board = work.size(board)?;
            let kerf = work.optional(kerf)?.unwrap_or(Length::ZERO);
            let pitch = (rip + kerf).nanometres().max(1);
            let strips = (board + kerf).nanometres().max(0) / pitch;
            out.facts.push(Fact::number("strips from a board", strips));
            if strips == 0 {
                out.findings.push(
                    Finding::error(format!(
                        "a board of {} gives no strip of {}",
                        work.words(board),
                        work.words(rip)
                    ))
                    .key("board"),
                );
            }
        }
        Ok(())
    }

    /// What is left of the thickness once everything is flat.
    fn thin_down(&self, work: &Work<'_>, out: &mut Outcome) -> Result<(), Trouble> {
        let Some(thick) = work.blank.least_of(THICKNESS) else { return Ok(()) };
        let each = work.optional(&self.keys.flatten)?.unwrap_or(FLATTENING);
        // Striped: flattened now, flattened as rows, sanded.
        let times = if matches!(self.pattern, Glued::Striped { .. }) { 3 } else { 2 };
        let left = thick - each * times;
        out.facts.push(Fact::size("thickness once it is flat", left));
        if let Some(finished) = work.finish.get(THICKNESS)
            && left < *finished
        {
            out.findings.push(
                Finding::warning(format!(
                    "{} thick, less {times} times {}, leaves {} and {} is wanted",
                    work.words(thick),
                    work.words(each),
                    work.words(left),
                    work.words(*finished)
                ))
                .help("leave the pieces thicker, or flatten less")
                .key("do"),
            );
        }
        Ok(())
    }

    fn move_with_the_seasons(
        &self,
        work: &Work<'_>,
        lay: &Lay,
        out: &mut Outcome,
    ) -> Result<(), Trouble> {
        let Some(points) = &self.keys.points else { return Ok(()) };
        let points = work.number(points)?;
        let own = work.species.map(str::to_owned);
        let woods = if self.keys.woods.is_empty() { own.as_slice() } else { &self.keys.woods };
        let (mut sum, mut unsure) = (0.0, None);
        for wood in woods {
            match work.wood(wood) {
                Ok(wood) => {
                    sum += wood.coefficient(Grain::Flat).amount;
                    unsure = unsure.or(wood.unsure(Grain::Flat));
                }
                Err(finding) => {
                    out.findings.push(finding.key("points"));
                    return Ok(());
                }
            }
        }
        // Grain runs along the strips, so rows side by side move no further.
        let glued = if self.feature() == WIDTH { Some(lay.across()) } else { lay.joint };
        let width = work.finish.get(WIDTH).copied().or(glued);
        if let (Some(width), false) = (width, woods.is_empty()) {
            let moves = movement(width, sum / woods.len() as f64, points);
            let what = match unsure {
                None => "moves across the grain".to_owned(),
                Some(unsure) => format!("moves across the grain, {unsure}"),
            };
            out.facts.push(Fact::size(what, moves));
        }
        Ok(())
    }

    fn instruct(&self) -> Vec<String> {
        let first: &[&str] = match self.pattern {
            Glued::Plain { .. } => &[
                "Best faces up; draw a triangle across all the boards.",
                "Edges jointed with alternate faces to the fence: errors cancel.",
                "Close each joint by hand before a clamp goes on.",
            ],
            Glued::Striped { .. } => &[
                "Shuffle the strips of each wood: a creep in cut order adds up.",
                "Alternate the woods; draw a triangle across.",
                "Close each joint by hand before a clamp goes on.",
            ],
            Glued::Checkered { .. } => &[
                "Rows in cut order, every second one turned end for end.",
                "Size the end grain with thin glue, let it dry, then glue.",
                "Line up the seams from the middle row out, then clamp.",
                "End-grain joints are weak: back the panel or frame it.",
            ],
        };
        let last = [
            "Alternate clamps above and below; an even bead all along.",
            "Hold a straightedge across it: get it flat within the open time.",
            "Scrape the squeeze-out while it is rubbery.",
            "Take the clamps off when the label says; flatten tomorrow, not today.",
            "Let it rest a week before the last sanding, or the joints will show.",
        ];
        first.iter().chain(&last).map(|text| (*text).to_owned()).collect()
    }
}

/// Why an odd number of columns can't be turned, with the two ways out.
pub(super) fn odd(columns: i64) -> Finding {
    Finding::error(format!(
        "turned end for end, a row of {columns} looks like its neighbour: like squares would meet"
    ))
    .help(format!(
        "two striped panels that begin with opposite woods (\"turned\": false), or {} columns and one square trimmed off alternate ends",
        columns + 1
    ))
    .key("columns")
}
