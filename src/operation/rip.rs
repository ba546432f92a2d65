//! Rip: cut to width against the fence.
//!
//! `strips = floor((board + kerf + rejoint) / (fence + kerf + rejoint))`
//! (common practice).

use super::blank::Surface;
use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::trace::{LongFace, Skin, Trace};
use super::work::Work;
use crate::measure::Length;
use crate::prose::{Level, counted};
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind =
    OperationKind::of::<Rip>("rip", "Cut to width against the fence.", read, EXAMPLES);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "rip", "at": "cabinet saw", "to": "2 1/2 + 1/16", "board": "8", "rejoint": "1/32" }"#,
    r#"{ "do": "rip", "at": "cabinet saw", "to": "1 3/8 + 1/32", "strips": 5 }"#,
];

/// Nobody rips more strips from one blank.
const MOST_STRIPS: u32 = 50;

/// A strip this narrow is fed with a push stick or block (common practice, no source).
const NARROW: Length = Length::from_nanometres(6 * Length::INCH.nanometres());

keys! {
    Rip: "rip" {
        /// The width to leave, with whatever later operations still take.
        to: F,
        /// Width of the board the strips come from, one edge jointed.
        board: Option<F>,
        /// How much jointing takes off the sawn edge between strips.
        rejoint: Option<F> = Length::ZERO,
        /// How many strips to rip each blank into: as many as its rough crosscut
        /// leaves side by side.
        strips: Option<u32> as pieces,
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Rip>(reader, |keys, reader| {
        let sound = keys.strips.is_none_or(|strips| (2..=MOST_STRIPS).contains(&strips));
        if !sound {
            let what = format!("2 to {MOST_STRIPS} strips come from a blank");
            reader.problem("strips", what, Some("leave it out for a single piece".to_owned()));
        }
        sound
    })
}

impl Operation for Rip {
    fn sizes(&self) -> Vec<SizedFeature> {
        vec![SizedFeature::wood_left_on(WIDTH)]
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::TableSaw]
    }

    fn parts_a_gang(&self) -> bool {
        self.strips.is_some()
    }

    fn strips(&self, work: &Work<'_>) -> Result<Option<u32>, Trouble> {
        let Some(board) = work.optional(&self.board)? else { return Ok(self.strips) };
        let lost = self.lost(work)?;
        let pitch = (work.size(&self.to)? + lost).nanometres().max(1);
        let count = ((board + lost).nanometres() / pitch).clamp(1, i64::from(MOST_STRIPS));
        Ok(self.strips.or(Some(count as u32)))
    }

    // Every strip of the blank comes out of it, and a kerf between each two.
    fn wants(
        &self,
        feature: &str,
        after: Option<Length>,
        work: &Work<'_>,
    ) -> Result<Option<Length>, Trouble> {
        if feature != WIDTH {
            return Ok(after);
        }
        let width = work.size(&self.to)?;
        let strips = i64::from(Operation::strips(self, work)?.unwrap_or(1));
        let all = width * strips + self.lost(work)? * (strips - 1);
        // Stock as wide as one strip is thought of as cut from its board.
        let one = self.strips.is_none() && work.blank.most(WIDTH).is_none_or(|wide| wide < all);
        Ok(Some(if one { width } else { all }))
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let width = work.size(&self.to)?;
        let mut out = Outcome::untouched(work.blank, draw(work, width, work.drawn_kerf()));
        out.findings = work.machine_limits();
        out.findings.extend(straightness(work));
        out.findings.extend(too_narrow(work, width));
        out.settings.push(work.sizing("fence", width, WIDTH, &self.to));
        let (height, findings) = work.blade_height(Length::ZERO);
        out.settings.extend(height);
        out.findings.extend(findings);
        if let Some(board) = &self.board {
            let board_width = work.size(board)?;
            let rejoint = self.rejoint.as_ref().map_or(Ok(Length::ZERO), |r| work.length(r))?;
            let strips = "strips from a board";
            match work.kerf() {
                Some(kerf) => {
                    let pitch = (width + kerf + rejoint).nanometres().max(1);
                    let count = (board_width + kerf + rejoint).nanometres().max(0) / pitch;
                    out.facts.push(Fact::number(strips, count));
                }
                None => work.unknown_without_kerf(strips, Level::Warning, &mut out),
            }
        }
        out.cut(WIDTH, width, |length| work.words(length));
        out.steps = [
            "Set the fence to a tooth that leans toward it, not to the plate.",
            "Jointed edge to the fence, flat face down.",
            "Don't move the fence until the last piece is measured.",
        ]
        .map(str::to_owned)
        .to_vec();
        out.cautions = cautions(work, width);
        if let Some(strips) = self.strips {
            self.rip_apart(work, width, strips, &mut out)?;
        }
        // Strips that have no jointed edge left are sawn on both.
        let sawn = [LongFace::D, LongFace::B].into_iter();
        let is_trued = out.after.trued.contains(&Surface::Edge);
        out.traces.push(Trace::skin(sawn.take(if is_trued { 1 } else { 2 }), Skin::Sawn));
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("Leave the fence and make one more pass: {} to take off.", work.words(over.target))
    }
}

impl Rip {
    /// What is lost between two strips.
    fn lost(&self, work: &Work<'_>) -> Result<Length, Trouble> {
        let rejoint = work.optional(&self.rejoint)?.unwrap_or(Length::ZERO);
        Ok(work.kerf().unwrap_or(Length::ZERO) + rejoint)
    }

    /// Strips one after another out of a wide blank, all at one fence.
    fn rip_apart(
        &self,
        work: &Work<'_>,
        width: Length,
        strips: u32,
        out: &mut Outcome,
    ) -> Result<(), Trouble> {
        let rejoint = work.optional(&self.rejoint)?.unwrap_or(Length::ZERO);
        let beside = work.blank.beside.max(1);
        if strips != beside {
            out.findings.push(
                Finding::error(format!(
                    "{strips} strips are ripped, but the rough crosscut leaves {beside} side by side"
                ))
                .help(format!("\"beside\": {strips} at the rough crosscut"))
                .key("strips"),
            );
        }
        match (work.kerf(), work.blank.least_of(WIDTH)) {
            (None, _) => work.unknown_without_kerf("strips from a blank", Level::Error, out),
            (Some(_), None) => {}
            (Some(kerf), Some(wide)) => {
                let pitch = (width + kerf + rejoint).nanometres().max(1);
                let count = (wide + kerf + rejoint).nanometres().max(0) / pitch;
                let needed = width * i64::from(strips)
                    + (kerf + rejoint) * i64::from(strips.saturating_sub(1));
                out.facts.push(Fact::number("strips from a blank", count));
                if count < i64::from(strips) {
                    out.findings.push(
                        Finding::error(format!(
                            "a blank {} wide gives {}, and {strips} take {}",
                            work.words(wide),
                            counted(usize::try_from(count).unwrap_or_default(), "strip"),
                            work.words(needed)
                        ))
                        .help("a wider blank, or fewer side by side")
                        .key("strips"),
                    );
                } else {
                    out.facts.push(Fact::size("left beside the last strip", wide - needed));
                }
            }
        }
        out.after.beside = 1;
        out.steps.push(format!("{strips} strips from each blank, all at this fence."));
        if rejoint > Length::ZERO {
            out.steps.push("Joint the sawn edge of the blank again before each strip.".to_owned());
        } else {
            // Only the first strip has a jointed edge.
            out.after.trued.remove(&Surface::Edge);
            out.steps
                .push("Sawn edge to the fence for the next; joint every strip after.".to_owned());
        }
        out.cautions.push(
            "Never between the strip and the fence with a hand; wait for the blade to stop."
                .to_owned(),
        );
        Ok(())
    }
}

/// Whether an edge and a face are true enough to run on fence and table.
pub(super) fn straightness(work: &Work<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    if !work.blank.trued.contains(&Surface::Edge) {
        findings.push(
            Finding::error("no true edge to run against the fence")
                .help("joint an edge first: { \"do\": \"joint\", \"sides\": [\"face\", \"edge\"] }")
                .key("do")
                .limit(),
        );
    }
    if !work.blank.trued.contains(&Surface::Face) {
        findings.push(
            Finding::warning("no flat face to run on the table")
                .help("joint a face before ripping to width")
                .key("do"),
        );
    }
    findings
}

/// Whether the saw may leave a piece that narrow.
pub(super) fn too_narrow(work: &Work<'_>, width: Length) -> Option<Finding> {
    let low = work.machine.and_then(|machine| machine.narrowest)?;
    (width < low).then(|| {
        Finding::error(format!(
            "{} is narrower than the {} the saw may rip",
            work.words(width),
            work.words(low)
        ))
        .help("use another machine, or the fixture its manual gives for thin strips")
        .key("to")
        .limit()
    })
}

/// The cautions of a rip to that width.
pub(super) fn cautions(work: &Work<'_>, width: Length) -> Vec<String> {
    let mut cautions = vec!["Ripping: riving knife or spreader and guard, always.".to_owned()];
    if width <= NARROW {
        let near = work.either("6 in", "150 mm");
        cautions.push(format!("Push stick: less than {near} between fence and blade."));
    }
    cautions
}

fn draw(work: &Work<'_>, width: Length, kerf: Length) -> Drawing {
    let thick = work.blank.most(THICKNESS).unwrap_or(width / 2);
    let rest = work
        .blank
        .most(WIDTH)
        .map(|before| before - width - kerf)
        .filter(|rest| *rest > Length::ZERO)
        .unwrap_or(width / 4);
    let p = Point::new;
    let end = width + kerf + rest;
    let fence = width / 5;
    Drawing::new("end view, from the infeed", Scale::Even)
        .block(Material::Fence, p(-fence, Length::ZERO), p(Length::ZERO, thick + thick / 2))
        .block(Material::Fence, p(-fence, -thick / 5), p(end + fence, Length::ZERO))
        .block(Material::Wood, p(Length::ZERO, Length::ZERO), p(width, thick))
        .block(Material::Waste, p(width + kerf, Length::ZERO), p(end, thick))
        .block(Material::Cutter, p(width, -thick / 5), p(width + kerf, thick + thick / 4))
        .label(p(width / 2, thick / 2), "flat face down")
        .dimension(
            p(Length::ZERO, thick + thick / 2),
            p(width, thick + thick / 2),
            work.words(width),
        )
        .measure_here(p(width / 2, thick))
}
