//! Groove: a groove, dado or rabbet for something that was measured.
//! Knows nothing of what goes into it.
//!
//! `width = what goes in + clearance`; with a cutter narrower than that, `n`
//! cuts `(width - cutter) / (n - 1)` apart; no deeper than half the piece
//! (common practice).

use schemars::JsonSchema;
use serde::Deserialize;

use super::drawing::{Drawing, DrawnShape, Material, Point, Scale};
use super::faces::steps;
use super::feature::{DEPTH, FeatureName, LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, NamedSetting, Outcome, Pass, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::rout;
use super::work::Work;
use crate::measure::{Length, Rounds, SafeSide, ScaleOffset, Target};
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind = OperationKind::of::<Groove>(
    "groove",
    "Cut a groove, dado or rabbet to fit what was measured.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "groove", "at": "router table", "cut": "groove", "panel": "0.246", "clearance": "0.008", "depth": "1/4", "from_edge": "3/8" }"#,
    r#"{ "do": "groove", "at": "router table", "cut": "rabbet", "panel": "3/4", "depth": "1/4" }"#,
];

/// Between 0.005 and 0.010 slides and doesn't rattle (common practice).
const CLEARANCE: Length = Length::thousandths(8);
/// A cutter this near to the width makes it in one cut.
const ONE_CUT: Length = Length::thousandths(2);
/// Wood kept between a groove and the edge (common practice).
const LIP: Length = Length::inch_fraction(1, 4);
const MOST_CUTS: i64 = 12;

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
        /// Which of the three.
        #[serde(default)]
        cut: GrooveCut = "groove",
        /// Measured thickness of what goes in.
        panel: F,
        /// How much wider the groove is.
        clearance: Option<F> = CLEARANCE,
        /// How deep the cut is.
        depth: F,
        /// From the edge or end against fence or stop to the near side of the cut.
        from_edge: Option<F>,
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Groove>(reader, |keys, reader| match (keys.cut, &keys.from_edge) {
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

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let numbers = self.numbers(work)?;
        let mut out = Outcome::untouched(work.blank, self.draw(work, &numbers));
        out.findings = work.machine_limits();
        self.look_over(work, &numbers, &mut out);
        let cuts = self.place(work, &numbers, &mut out);
        self.deepen(work, &numbers, cuts, &mut out);
        out.after.make(&self.feature(DEPTH), numbers.depth);
        out.steps = self.instruct(cuts);
        out.facts.extend(rout::speed(work));
        if is_saw(work) {
            out.cautions.push(
                "A spreader can't stay in for this cut: use the guard the manual gives for it, or rout it. Put all back at once."
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

    fn numbers(&self, work: &Work<'_>) -> Result<GrooveSizes, Trouble> {
        let clearance =
            self.clearance.as_ref().map_or(Ok(CLEARANCE), |keyed| work.length(keyed))?;
        let from_edge =
            self.from_edge.as_ref().map_or(Ok(Length::ZERO), |keyed| work.length(keyed))?;
        let fat =
            work.tool.map_or(ScaleOffset(Length::ZERO), |tool| tool.scale_offset("bit", false));
        let cutter = work.tool.and_then(|tool| tool.kerf.or(tool.size.map(|size| size + fat.0)));
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
                format!("a {} {width} wide is none", self.cut.word()),
                "less clearance taken off",
                "clearance",
            );
        }
        if let Some(thick) = work.blank.least_of(THICKNESS) {
            let whole = self.cut == GrooveCut::Rabbet && numbers.depth < thick;
            if numbers.depth * 2 > thick && !whole {
                let thick = work.words(thick);
                refuse(
                    format!("{depth} is more than half of a piece {thick} thick"),
                    "half the thickness at most, or thicker stock",
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
        let across = if self.cut == GrooveCut::Groove { WIDTH } else { LENGTH };
        if let Some(least) = work.blank.least_of(across)
            && numbers.from_edge + numbers.width > least
        {
            let least = work.words(least);
            refuse(
                format!("{from_edge} in and {width} wide runs off a piece of {least}"),
                "nearer to the edge it is measured from",
                "from_edge",
            );
        }
        if self.cut == GrooveCut::Groove
            && numbers.from_edge < LIP
            && !numbers.from_edge.is_negative()
        {
            out.findings.push(
                Finding::warning(format!("only {from_edge} of wood is left beside the groove"))
                    .help(format!("{} or more, or it breaks out", work.either("1/4 in", "6 mm")))
                    .key("from_edge"),
            );
        }
    }

    /// Fence or stop for each cut; how many cuts there are.
    fn place(&self, work: &Work<'_>, numbers: &GrooveSizes, out: &mut Outcome) -> i64 {
        let feature = self.feature(WIDTH);
        let width = numbers.width;
        if self.cut == GrooveCut::Rabbet {
            if is_saw(work) {
                out.findings.push(
                    Finding::error(
                        "a rabbet is not cut here at the saw: its strip can be trapped and thrown",
                    )
                    .help("rout it: \"at\" a router table")
                    .key("at"),
                );
            }
            if let Some(cutter) = numbers.cutter.filter(|cutter| *cutter + ONE_CUT < width) {
                out.findings.push(
                    Finding::error(format!(
                        "the bit takes {} and the rabbet is {}: a rim would be left at the edge",
                        work.words(cutter),
                        work.words(width)
                    ))
                    .help("a bit as wide as the rabbet, or wider: the fence buries the rest")
                    .key("tool"),
                );
            }
            let from = format!("bit stands out of the fence; {}", self.chain(work));
            out.settings.push(work.sizing_rounded("fence", width, &feature, from, Rounds::Down));
            out.after.make(&feature, width);
            return 1;
        }
        let at_stop = self.cut == GrooveCut::Dado
            && work.machine.is_some_and(|machine| machine.readouts.contains_key("stop"));
        let scale = if at_stop { "stop" } else { "fence" };
        if self.cut == GrooveCut::Dado && !at_stop {
            out.findings.push(
                Finding::warning("across the grain along a fence the piece can turn and bind")
                    .help("a sled or mitre gauge with a stop on it")
                    .key("at"),
            );
        }
        let first = self.first(work, scale, numbers);
        let start = first.setting.dial.0;
        out.settings.push(first.clone());
        out.after.make(&feature, width);
        let Some(cutter) = numbers.cutter else { return 1 };
        if cutter >= width - ONE_CUT {
            if cutter > width + ONE_CUT {
                out.findings.push(
                    Finding::error(format!(
                        "the cutter takes {} and the {} is to be {}",
                        work.words(cutter),
                        self.cut.word(),
                        work.words(width)
                    ))
                    .help("a narrower cutter, in two cuts")
                    .key("panel"),
                );
            }
            out.after.make(&feature, cutter);
            return 1;
        }
        let moves = steps(width - cutter, cutter);
        if moves >= MOST_CUTS {
            out.findings.push(
                Finding::error(format!(
                    "{} wide takes {} cuts of {}",
                    work.words(width),
                    moves + 1,
                    work.words(cutter)
                ))
                .help("a wider cutter")
                .key("panel"),
            );
            return 1;
        }
        let between = (width - cutter) / moves;
        let readout = work.readout(scale);
        let mut cuts = vec![first];
        out.facts.push(Fact::number("cuts", moves + 1));
        out.facts.push(Fact::size(format!("{scale} moves each time"), between));
        out.facts.push(Fact::size("near side from the edge", numbers.from_edge));
        for n in 1..=moves {
            let far = if n == moves { width - cutter } else { between * n };
            let aim = if n == moves { -work.aim } else { Length::ZERO };
            // What the first cut left counts, not what it was to leave: only
            // the way between the two makes the width.
            let from_first = ScaleOffset(cutter - start);
            let setting = readout.dial(Target(far + cutter), aim, from_first, Rounds::Down);
            let mut why = format!("{} on from the first cut", work.words(far));
            if n == moves {
                why = format!("{why}; {}", self.chain(work));
            }
            cuts.push(NamedSetting {
                name: format!("{scale}, cut {}", n + 1),
                readout,
                setting,
                rounds: Rounds::Down,
                why,
                by_passes: false,
                sizes: (n == moves).then(|| feature.clone()),
                shrinks: None,
            });
        }
        if one_height(work, numbers.depth) {
            // Every piece goes through a cut before the scale moves on.
            out.settings.pop();
            out.passes = cuts.iter().zip(1..).map(|(cut, n)| pass(work, cut, n)).collect();
            let last = cuts.pop().map(|last| NamedSetting { name: scale.to_owned(), ..last });
            out.settings.extend(last.map(|last| NamedSetting { by_passes: true, ..last }));
        } else {
            out.settings.extend(cuts.into_iter().skip(1));
        }
        moves + 1
    }

    /// The near side of the groove, which is placed and not sized.
    fn first(&self, work: &Work<'_>, scale: &str, numbers: &GrooveSizes) -> NamedSetting {
        let fat =
            work.tool.map_or(ScaleOffset(Length::ZERO), |tool| tool.scale_offset(scale, true));
        let readout = work.readout(scale);
        let target = Target(numbers.from_edge);
        let why = self.from_edge.as_ref().map_or_else(String::new, |keyed| work.chain(keyed));
        NamedSetting {
            name: scale.to_owned(),
            readout,
            setting: readout.dial(target, Length::ZERO, fat, Rounds::Nearest),
            rounds: Rounds::Nearest,
            why: format!("near side of the cut: {why}"),
            by_passes: false,
            sizes: None,
            shrinks: None,
        }
    }

    fn chain(&self, work: &Work<'_>) -> String {
        let clearance = self
            .clearance
            .as_ref()
            .map_or_else(|| format!("{} clear", work.words(CLEARANCE)), |keyed| work.chain(keyed));
        format!("{} and {clearance}", work.chain(&self.panel))
    }

    fn deepen(&self, work: &Work<'_>, numbers: &GrooveSizes, cuts: i64, out: &mut Outcome) {
        let feature = self.feature(DEPTH);
        let saw = is_saw(work);
        let scale = if saw { "blade height" } else { "height" };
        let base = work.sled();
        let mut height = work.sizing_rounded(
            scale,
            numbers.depth,
            &feature,
            work.chain(&self.depth),
            Rounds::Down,
        );
        if saw {
            if !base.is_zero() {
                height.setting.dial.0 += base;
                height.why = format!("{}; {} of sled under it", height.why, work.words(base));
            }
            let most = work.machine.and_then(|machine| machine.blade_most);
            if let Some(most) = most
                && numbers.depth + base > most
            {
                out.findings.push(
                    Finding::error(format!(
                        "the blade reaches {} and this cut needs {}",
                        work.words(most),
                        work.words(numbers.depth + base)
                    ))
                    .help("a shallower cut, or another machine: nobody can open this limit")
                    .key("at")
                    .limit(),
                );
            }
        } else {
            let most = rout::most(work);
            match rout::depths(numbers.depth, most, Length::ZERO) {
                Some(depths) if depths.len() > 1 => {
                    height.by_passes = true;
                    out.passes = rout::passes(work, &height, &depths, cuts as u32);
                }
                Some(_) => {}
                None => out.findings.push(rout::too_many(work, numbers.depth, most)),
            }
        }
        out.settings.push(height);
    }

    fn instruct(&self, cuts: i64) -> Vec<String> {
        let face = match self.cut {
            GrooveCut::Groove => "Inside face down, the marked edge to the fence, every piece.",
            GrooveCut::Dado => "Inside face down, the marked end to the stop, every piece.",
            GrooveCut::Rabbet => "Marked face down, the marked edge to the fence, every piece.",
        };
        let mut steps = vec![face.to_owned()];
        if cuts > 1 {
            steps.push("All pieces at the first setting, then all at the next.".to_owned());
        }
        steps.push("Try the real panel in a setup piece: a push fit, no rattle.".to_owned());
        if self.cut != GrooveCut::Rabbet {
            steps.push("Left and right are mirror pieces: look at the marks.".to_owned());
        }
        steps
    }

    fn draw(&self, work: &Work<'_>, numbers: &GrooveSizes) -> Drawing {
        let p = Point::new;
        let zero = Length::ZERO;
        let thick = work.blank.most(THICKNESS).unwrap_or(numbers.depth * 2).max(numbers.depth);
        let across = if self.cut == GrooveCut::Dado { LENGTH } else { WIDTH };
        let near = numbers.from_edge.max(zero);
        let far = near + numbers.width.max(Length::thousandths(1));
        // Far from the groove there is nothing to see.
        let shown = far + thick * 2;
        let wide = work.blank.most(across).unwrap_or(shown).min(shown).max(far);
        let fence = thick / 3;
        let first = near + numbers.cutter.unwrap_or(numbers.width).min(far - near);
        let held = if self.cut == GrooveCut::Dado { "stop" } else { "fence" };
        let mut section =
            vec![p(zero, numbers.depth), p(zero, thick), p(wide, thick), p(wide, zero)];
        section.extend([p(far, zero), p(far, numbers.depth)]);
        if near > zero {
            section.extend([p(near, numbers.depth), p(near, zero), p(zero, zero)]);
        }
        let mut drawing = Drawing::new("end view, inside face down", Scale::Even)
            .block(Material::Fence, p(-fence, zero), p(zero, thick + fence))
            .block(Material::Fence, p(-fence, -fence), p(near, zero))
            .block(Material::Fence, p(far, -fence), p(wide + fence, zero))
            .block(Material::Cutter, p(near, -fence), p(first, numbers.depth));
        drawing.shapes.push(DrawnShape::Polygon { of: Material::Wood, points: section });
        if near > zero {
            drawing = drawing.dimension(p(zero, -fence * 2), p(near, -fence * 2), work.words(near));
        }
        drawing
            .label(p(-fence, thick + fence * 2), held)
            .dimension(p(near, thick + fence), p(far, thick + fence), work.words(numbers.width))
            .dimension(
                p(wide + fence * 2, zero),
                p(wide + fence * 2, numbers.depth),
                work.words(numbers.depth),
            )
            .measure_here(p((near + far) / 2, numbers.depth))
    }
}

/// Whether the whole depth is cut at once, so that only the cuts beside each
/// other are passes.
fn one_height(work: &Work<'_>, depth: Length) -> bool {
    is_saw(work)
        || rout::depths(depth, rout::most(work), Length::ZERO).is_none_or(|all| all.len() == 1)
}

/// One cut of several beside each other.
fn pass(work: &Work<'_>, cut: &NamedSetting, number: u32) -> Pass {
    Pass {
        number,
        tool: work.tool_name.map(str::to_owned),
        readout: cut.readout,
        target: cut.setting.target,
        dial: cut.setting.dial,
        faces: Vec::new(),
        feeds: 1,
        presses: None,
        kiss: false,
        drawing: None,
    }
}

fn is_saw(work: &Work<'_>) -> bool {
    work.machine.is_some_and(|machine| machine.kind == MachineKind::TableSaw)
}
