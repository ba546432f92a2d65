//! Where a groove is across the piece, and the cuts beside each other that make
//! it wide enough.

use super::super::feature::WIDTH;
use super::super::outcome::{Fact, Finding, NamedSetting, Outcome, Pass};
use super::super::stop::Tooth;
use super::super::work::Work;
use super::{Groove, GrooveCut, GrooveSizes, is_saw};
use crate::measure::{Dial, Length, Rounds, Setting, Target};
use crate::prose::Level;

/// A cutter this near to the width makes it in one cut (common practice, no source).
const ONE_CUT: Length = Length::thousandths(2);
/// Nobody makes a wide groove of more cuts than this: a wider cutter does it.
const MOST_CUTS: i64 = 12;

impl Groove {
    /// Sets fence or stop for each cut; returns how many cuts there are.
    pub(super) fn place(&self, work: &Work<'_>, sizes: &GrooveSizes, out: &mut Outcome) -> i64 {
        if self.cut == GrooveCut::Rabbet {
            return self.place_rabbet(work, sizes, out);
        }
        let feature = self.feature(WIDTH);
        let scale = self.scale(work, out);
        // The near side is at the tooth toward the stop, or toward the fence.
        let more = match scale {
            "stop" => work.beyond_tooth(Tooth::TowardStop, sizes.cutter),
            _ => Some(Length::ZERO),
        };
        let Some(more) = more else {
            work.unknown_without_kerf(scale, Level::Error, out);
            return 1;
        };
        let first = self.first(work, scale, sizes, more);
        out.after.make(&feature, sizes.width);
        let Some(cutter) = sizes.cutter else {
            out.settings.push(first);
            work.unknown_without_kerf("cuts", Level::Error, out);
            return 1;
        };
        if cutter >= sizes.width - ONE_CUT {
            out.settings.push(first);
            out.findings.extend(self.too_wide_a_cutter(work, sizes.width, cutter));
            out.after.make(&feature, cutter);
            return 1;
        }
        let Some(moves) = CutMoves::of(work, scale, sizes.width - cutter, cutter) else {
            out.settings.push(first);
            out.findings.push(ridge_between(work, scale, cutter));
            return 1;
        };
        if moves.steps == 0 {
            out.settings.push(first);
            out.findings.push(too_coarse_to_move(work, scale, sizes.width, cutter));
            out.after.make(&feature, cutter);
            return 1;
        }
        let cuts = moves.count + 1;
        if cuts > MOST_CUTS {
            out.settings.push(first);
            out.findings.push(
                Finding::error(format!(
                    "{} wide takes {} cuts of {}",
                    work.words(sizes.width),
                    cuts,
                    work.words(cutter)
                ))
                .help("a wider cutter")
                .key("panel"),
            );
            return 1;
        }
        out.facts.push(Fact::number("cuts", cuts));
        let between = (sizes.width - cutter) / moves.count;
        out.facts.push(Fact::size(format!("{scale} moves each time"), between));
        out.facts.push(Fact::size("near side from the edge", sizes.from_edge));
        let held = self.side_by_side(work, first, sizes.width, cutter, moves);
        let at_once = is_saw(work)
            || self.levels(work, &self.height(work, sizes), 1).map_or(true, |p| p.len() == 1);
        in_passes_or_settings(work, scale, at_once, held, out);
        cuts
    }

    /// A rabbet is open to the edge: the fence sizes it in one cut.
    fn place_rabbet(&self, work: &Work<'_>, sizes: &GrooveSizes, out: &mut Outcome) -> i64 {
        let feature = self.feature(WIDTH);
        if is_saw(work) {
            out.findings.push(
                Finding::error(
                    "rabbets are not cut at the saw: the strip can be trapped and thrown",
                )
                .help("rout it: \"at\" a router table")
                .key("at"),
            );
        }
        if let Some(cutter) = sizes.cutter.filter(|cutter| *cutter + ONE_CUT < sizes.width) {
            out.findings.push(
                Finding::error(format!(
                    "the bit takes {} and the rabbet is {}: a rim would be left at the edge",
                    work.words(cutter),
                    work.words(sizes.width)
                ))
                .help("use a bit as wide as the rabbet or wider; the fence covers the rest")
                .key("tool"),
            );
        }
        let from = format!("bit stands out of the fence; {}", self.chain(work));
        out.settings.push(work.sizing_rounded("fence", sizes.width, &feature, from, Rounds::Down));
        out.after.make(&feature, sizes.width);
        1
    }

    /// The scale that places the cut: a stop across the grain where there is one.
    fn scale(&self, work: &Work<'_>, out: &mut Outcome) -> &'static str {
        let across = self.cut == GrooveCut::Dado;
        if across && work.machine.is_some_and(|machine| machine.readouts.contains_key("stop")) {
            return "stop";
        }
        if across {
            out.findings.push(
                Finding::warning("across the grain along a fence the piece can turn and bind")
                    .help("use a sled or mitre gauge with a stop")
                    .key("at"),
            );
        }
        "fence"
    }

    fn too_wide_a_cutter(&self, work: &Work<'_>, width: Length, cutter: Length) -> Option<Finding> {
        (cutter > width + ONE_CUT).then(|| {
            Finding::error(format!(
                "the cutter takes {} and the {} is to be {}",
                work.words(cutter),
                self.cut.word(),
                work.words(width)
            ))
            .help("use a narrower cutter, in two cuts")
            .key("panel")
        })
    }

    /// The cuts beside each other, the first among them.
    fn side_by_side(
        &self,
        work: &Work<'_>,
        first: NamedSetting,
        width: Length,
        cutter: Length,
        moves: CutMoves,
    ) -> Vec<NamedSetting> {
        let (scale, start) = (first.name.clone(), first.setting.dial.0);
        let offset = work.offset(&scale, true).0;
        let readout = work.readout(&scale);
        let begun = readout.count(start, Rounds::Nearest);
        let mut cuts = vec![first];
        for n in 1..=moves.count {
            let is_last = n == moves.count;
            // The first dial as it is counts, not the place it was meant for:
            // the width comes from the way between the two dials.
            let dial = readout.mark(begun + moves.steps * n / moves.count);
            let made = dial - start + cutter;
            let why = format!("{} on from the first cut", work.words(dial - start));
            cuts.push(NamedSetting {
                name: format!("{scale}, cut {}", n + 1),
                readout,
                setting: Setting {
                    target: Target(if is_last { width } else { made }),
                    aim: if is_last { -work.aim } else { Length::ZERO },
                    dial: Dial(dial),
                    predicted: made,
                },
                rounds: Rounds::Down,
                why: if is_last { format!("{why}; {}", self.chain(work)) } else { why },
                by_passes: false,
                is_confirmed: true,
                sizes: is_last.then(|| self.feature(WIDTH)),
                shrinks: None,
                beyond: start + offset - cutter,
            });
        }
        cuts
    }

    /// The near side of the groove, which is placed and not sized.
    fn first(
        &self,
        work: &Work<'_>,
        scale: &str,
        sizes: &GrooveSizes,
        more: Length,
    ) -> NamedSetting {
        let offset = work.offset(scale, true);
        let readout = work.readout(scale);
        let mut why = self.from_edge.as_ref().map_or_else(String::new, |keyed| work.chain(keyed));
        if scale == "stop" {
            why = format!("{why}; {}", work.tooth_words(Tooth::TowardStop));
        }
        let shown = readout.dial(Target(sizes.from_edge), more, offset, Rounds::Nearest);
        NamedSetting {
            name: scale.to_owned(),
            readout,
            setting: Setting { aim: Length::ZERO, predicted: shown.predicted - more, ..shown },
            rounds: Rounds::Nearest,
            why: format!("near side of the cut: {why}"),
            by_passes: false,
            is_confirmed: true,
            sizes: None,
            shrinks: None,
            beyond: more,
        }
    }
}

/// How the scale moves from the first cut to the last.
#[derive(Clone, Copy)]
struct CutMoves {
    /// How often.
    count: i64,
    /// Over how many steps of the scale in all.
    steps: i64,
}

impl CutMoves {
    /// CutMoves that are each less than the cutter takes, so that the cuts overlap;
    /// `None` where one step of the scale is as much.
    fn of(work: &Work<'_>, scale: &str, way: Length, cutter: Length) -> Option<CutMoves> {
        let readout = work.readout(scale);
        let widest = readout.count(cutter, Rounds::Up) - 1;
        let steps = readout.count(way - work.aim, Rounds::Down).max(0);
        (widest >= 1).then(|| CutMoves { count: (steps + widest - 1) / widest, steps })
    }
}

fn ridge_between(work: &Work<'_>, scale: &str, cutter: Length) -> Finding {
    let (at, step) = (work.at.unwrap_or("machine"), work.readout(scale).step);
    Finding::error(format!(
        "one step of the {scale} scale of the {at} is {}, and the cutter takes {}: a ridge would stand between two cuts",
        work.words(step),
        work.words(cutter)
    ))
    .help(format!("use a wider cutter, or give `{scale}` of the machine `{at}` a finer `step`"))
    .key("at")
}

fn too_coarse_to_move(work: &Work<'_>, scale: &str, width: Length, cutter: Length) -> Finding {
    let (at, step) = (work.at.unwrap_or("machine"), work.readout(scale).step);
    Finding::warning(format!(
        "it is to be {} wide and the cutter takes {}: less than one step of {} on the {scale} scale of the {at} is between them, so one cut makes it",
        work.words(width),
        work.words(cutter),
        work.words(step)
    ))
    .help(format!("use a cutter of that width, or give `{scale}` of the machine `{at}` a finer `step`"))
    .key("at")
}

/// Passes where the whole depth is cut at once, because every piece then goes
/// through one cut before the scale moves on; settings of their own elsewhere.
fn in_passes_or_settings(
    work: &Work<'_>,
    scale: &str,
    at_once: bool,
    mut cuts: Vec<NamedSetting>,
    out: &mut Outcome,
) {
    if !at_once {
        out.settings.extend(cuts);
        return;
    }
    out.passes = cuts
        .iter()
        .zip(1..)
        .map(|(cut, number)| Pass {
            beyond: cut.beyond,
            ..Pass::at(number, work.tool_name, cut.readout, cut.setting)
        })
        .collect();
    let last = cuts.pop().map(|last| NamedSetting { name: scale.to_owned(), ..last });
    out.settings.extend(last.map(|last| NamedSetting { by_passes: true, ..last }));
}
