//! Where a groove is across the piece, and the cuts beside each other that make
//! it wide enough.

use super::super::faces::steps;
use super::super::feature::WIDTH;
use super::super::outcome::{Fact, Finding, NamedSetting, Outcome, Pass};
use super::super::rout;
use super::super::stop::Tooth;
use super::super::work::Work;
use super::{Groove, GrooveCut, GrooveSizes, is_saw};
use crate::measure::{Length, Rounds, ScaleOffset, Setting, Target};
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
        let moves = steps(sizes.width - cutter, cutter);
        if moves >= MOST_CUTS {
            out.settings.push(first);
            out.findings.push(
                Finding::error(format!(
                    "{} wide takes {} cuts of {}",
                    work.words(sizes.width),
                    moves + 1,
                    work.words(cutter)
                ))
                .help("a wider cutter")
                .key("panel"),
            );
            return 1;
        }
        out.facts.push(Fact::number("cuts", moves + 1));
        let between = (sizes.width - cutter) / moves;
        out.facts.push(Fact::size(format!("{scale} moves each time"), between));
        out.facts.push(Fact::size("near side from the edge", sizes.from_edge));
        let cuts = self.side_by_side(work, first, sizes.width, cutter, moves);
        in_passes_or_settings(work, scale, sizes.depth, cuts, out);
        moves + 1
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
        moves: i64,
    ) -> Vec<NamedSetting> {
        let between = (width - cutter) / moves;
        let (scale, start) = (first.name.clone(), first.setting.dial.0);
        let offset = work.offset(&scale, true).0;
        let readout = work.readout(&scale);
        let mut cuts = vec![first];
        for n in 1..=moves {
            let is_last = n == moves;
            let far = if is_last { width - cutter } else { between * n };
            let aim = if is_last { -work.aim } else { Length::ZERO };
            // The first dial as it is counts, not the place it was meant for:
            // the width comes from the way between the two dials.
            let from_first = ScaleOffset(cutter - start);
            let why = format!("{} on from the first cut", work.words(far));
            cuts.push(NamedSetting {
                name: format!("{scale}, cut {}", n + 1),
                readout,
                setting: readout.dial(Target(far + cutter), aim, from_first, Rounds::Down),
                rounds: Rounds::Down,
                why: if is_last { format!("{why}; {}", self.chain(work)) } else { why },
                by_passes: false,
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
            sizes: None,
            shrinks: None,
            beyond: more,
        }
    }
}

/// Passes where the whole depth is cut at once, because every piece then goes
/// through one cut before the scale moves on; settings of their own elsewhere.
fn in_passes_or_settings(
    work: &Work<'_>,
    scale: &str,
    depth: Length,
    mut cuts: Vec<NamedSetting>,
    out: &mut Outcome,
) {
    let most = rout::most(work);
    let at_once = is_saw(work)
        || rout::depths(depth, most, Length::ZERO).is_none_or(|depths| depths.len() == 1);
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
