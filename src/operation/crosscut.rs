//! Crosscut: rough lengths from a board, and finished lengths against a stop.
//!
//! `n = floor((board - 2 trim + kerf) / (rough + kerf))` pieces from a board;
//! `m x finished + (m - 1) x kerf + allowance` for a gang of m (common practice).

use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{FeatureName, LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::order::WorkStage;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::stop::Tooth;
use super::trace::{EndCut, Trace};
use super::work::{SHORT_PIECE, Work};
use crate::measure::{Length, Rounds};
use crate::prose::Level;
use crate::shop::{Act, LengthStop, MachineKind};

pub(super) const KIND: OperationKind = OperationKind::of::<Crosscut>(
    "crosscut",
    "Cut to length, rough from the board or finished against a stop.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "crosscut", "at": "stop saw", "to": "12 1/2" }"#,
    r#"{ "do": "crosscut", "at": "crosscut saw", "to": "rail_length + 1", "rough": true, "gang": 3, "board": "96", "trim": "1" }"#,
    r#"{ "do": "crosscut", "at": "crosscut saw", "to": "leg_length + 1", "rough": true, "beside": 5 }"#,
];

/// Pieces cut in one length where a route says nothing.
const ONE_PIECE: u32 = 1;
/// Nobody carries more pieces in one length than this.
const MOST_IN_A_GANG: u32 = 50;

keys! {
    Crosscut: "crosscut" {
        /// The length of one piece.
        to: F,
        /// A rough length: left long, cut from the board, nothing measured closely.
        #[serde(default)]
        rough: bool,
        /// How many pieces stay in one length until the finished crosscut.
        gang: Option<u32> as pieces = ONE_PIECE,
        /// Rough: how many lie side by side in each length, until a rip with
        /// `strips` takes them apart. One cut makes them all.
        beside: Option<u32> as pieces = ONE_PIECE,
        /// Length of the board the pieces come from.
        board: Option<F>,
        /// Cut off each end of the board first.
        trim: Option<F> = Length::ZERO,
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Crosscut>(reader, |keys, reader| {
        let gang = keys.gang.unwrap_or(ONE_PIECE);
        let beside = keys.beside.unwrap_or(ONE_PIECE);
        if beside != ONE_PIECE {
            let what = if beside == 0 || beside > MOST_IN_A_GANG {
                format!("1 to {MOST_IN_A_GANG} pieces lie side by side")
            } else if !keys.rough {
                "only a rough crosscut leaves pieces side by side".to_owned()
            } else if gang > ONE_PIECE {
                "pieces lie side by side or end to end, not both".to_owned()
            } else {
                return true;
            };
            reader.problem("beside", what, None);
            return false;
        }
        let what = if gang == 0 || gang > MOST_IN_A_GANG {
            format!("a gang is 1 to {MOST_IN_A_GANG} pieces")
        } else if gang > ONE_PIECE && !keys.rough {
            "only a rough crosscut leaves pieces in one length".to_owned()
        } else {
            return true;
        };
        reader.problem("gang", what, None);
        false
    })
}

impl Operation for Crosscut {
    fn sizes(&self) -> Vec<SizedFeature> {
        vec![SizedFeature::wood_left_on(LENGTH)]
    }

    fn stage(&self) -> WorkStage {
        if self.rough { WorkStage::RoughLength } else { WorkStage::FinishedLength }
    }

    fn cant_be_undone(&self) -> bool {
        !self.rough
    }

    fn parts_a_gang(&self) -> bool {
        !self.rough
    }

    fn act(&self) -> Act {
        Act::OnSled
    }

    fn is_rough(&self) -> bool {
        self.rough
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::TableSaw, MachineKind::CrosscutSaw, MachineKind::StopSaw]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let one = work.size(&self.to)?;
        let kerf = work.drawn_kerf();
        let length = self.cut_length(work, one, kerf);
        let mut out = Outcome::untouched(work.blank, self.draw(work, length, kerf));
        out.findings = work.machine_limits();
        out.findings.extend(stop_findings(work));

        // Between the pieces of a gang there is a kerf each.
        let gang_is_known = self.gang() == ONE_PIECE || work.kerf().is_some();
        if gang_is_known {
            set_stop(work, &mut out, length, LENGTH, work.chain(&self.to), work.kerf());
        } else {
            work.unknown_without_kerf("stop", Level::Error, &mut out);
        }
        let base = work.sled();
        let (height, findings) = work.blade_height(base);
        out.settings.extend(height);
        out.findings.extend(findings);

        if self.rough {
            self.rough_counts(work, &mut out, one)?;
        }
        let ends = if self.rough { EndCut::Rough } else { EndCut::Square };
        out.traces.push(Trace::Ends(ends));
        out.cut(LENGTH, length, |length| work.words(length));
        if self.parts_a_gang() && work.blank.gang > 1 {
            out.steps.push(format!(
                "Each blank holds {}: square one end, cut, turn to the next.",
                work.blank.gang
            ));
        }
        self.side_by_side(work, &mut out);
        out.after.gang = self.gang();
        out.steps.extend(self.steps(work));
        if self.rough && !work.assembled {
            out.cautions.push(
                "A long board: a stand or a second person holds its far end, so that it can't tip."
                    .to_owned(),
            );
        }
        if work.blank.least_of(LENGTH).is_some_and(|length| length < SHORT_PIECE) {
            out.cautions.push(work.short_piece_caution());
        }
        Ok(out)
    }

    fn begins_with(&self) -> Option<&'static str> {
        (!self.rough).then_some("square one end")
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!(
            "Wipe the stop, see that the scale still shows its number, cut {} off again.",
            work.words(over.target)
        )
    }
}

impl Crosscut {
    /// How many a cut makes at once, and whether strips were forgotten.
    fn side_by_side(&self, work: &Work<'_>, out: &mut Outcome) {
        if self.rough {
            let beside = self.beside.unwrap_or(ONE_PIECE);
            out.after.beside = beside;
            if beside > ONE_PIECE {
                out.facts.push(Fact::number("pieces side by side in a length", beside.into()));
                out.steps.push(format!("One cut makes a blank that holds {beside}."));
            }
            return;
        }
        if work.blank.beside > 1 {
            out.findings.push(
                Finding::error(format!(
                    "{} pieces still lie side by side in each blank",
                    work.blank.beside
                ))
                .help("rip them apart first: `strips` at a rip")
                .key("do"),
            );
        }
        out.after.beside = ONE_PIECE;
    }

    fn gang(&self) -> u32 {
        self.gang.unwrap_or(ONE_PIECE)
    }

    fn cut_length(&self, work: &Work<'_>, one: Length, kerf: Length) -> Length {
        let m = i64::from(self.gang());
        let finished = work.finish.get(LENGTH).copied().unwrap_or(one);
        if m == 1 { one } else { finished * m + kerf * (m - 1) + (one - finished) }
    }

    fn rough_counts(&self, work: &Work<'_>, out: &mut Outcome, one: Length) -> Result<(), Trouble> {
        let kerf = work.drawn_kerf();
        let length = self.cut_length(work, one, kerf);
        if let Some(limit) = &work.shortest_later
            && length < limit.length
        {
            let finished = work.finish.get(LENGTH).copied().unwrap_or(one);
            let allowance = one - finished;
            let pitch = (finished + kerf).nanometres().max(1);
            let needed = (limit.length - allowance + kerf).nanometres();
            let gang = (needed + pitch - 1) / pitch;
            out.findings.push(
                Finding::error(format!(
                    "{} is too short for the {}, which takes {} or more",
                    work.words(length),
                    limit.machine,
                    work.words(limit.length)
                ))
                .help(format!("keep {gang} pieces in one length: \"gang\": {gang}"))
                .key("to"),
            );
        }
        let Some(board) = &self.board else { return Ok(()) };
        let board_length = work.size(board)?;
        let trim = self.trim.as_ref().map_or(Ok(Length::ZERO), |trim| work.length(trim))?;
        let lengths = "lengths from a board";
        if work.kerf().is_none() {
            work.unknown_without_kerf(lengths, Level::Warning, out);
            return Ok(());
        }
        let usable = board_length - trim * 2 + kerf;
        let count = usable.nanometres().max(0) / (length + kerf).nanometres().max(1);
        out.facts.push(Fact::number(lengths, count));
        if count == 0 {
            out.findings.push(
                Finding::error(format!(
                    "a board of {} is too short for one length of {}",
                    work.words(board_length),
                    work.words(length)
                ))
                .key("board"),
            );
        }
        Ok(())
    }

    fn steps(&self, work: &Work<'_>) -> Vec<String> {
        let texts: &[&str] = if self.rough && work.assembled {
            &["Square one end: take just enough to clean it.", "Mark each piece before it is cut."]
        } else if self.rough {
            &[
                "Cut thin slices off the end until one doesn't break at a check.",
                "Longest lengths first.",
            ]
        } else if work.machine.is_some_and(|m| m.kind == MachineKind::StopSaw) {
            &[
                "Square one end: take just enough to clean it.",
                "Wait until the stop has come to rest at its number.",
                "Clean end to the stop, hands off, cut. Stack in cut order.",
            ]
        } else {
            &[
                "Square one end: take just enough to clean it.",
                "Wipe the stop each time. Clean end to the stop, cut.",
                "Number the ends in cut order and stack them so.",
            ]
        };
        texts.iter().map(|text| (*text).to_owned()).collect()
    }

    fn draw(&self, work: &Work<'_>, length: Length, kerf: Length) -> Drawing {
        let width =
            work.blank.most(WIDTH).or(work.blank.most(THICKNESS)).unwrap_or(Length::INCH * 2);
        let offcut = work
            .blank
            .most(LENGTH)
            .map(|before| before - length - kerf)
            .filter(|rest| *rest > Length::ZERO)
            .unwrap_or(length / 6);
        let fence = width / 3;
        let stop = length / 24;
        let p = Point::new;
        let end = length + kerf + offcut;
        Drawing::new("from above", Scale::Stretched)
            .block(Material::Fence, p(-stop, width), p(end, width + fence))
            .block(Material::Fence, p(-stop, width / 5), p(Length::ZERO, width))
            .block(Material::Wood, p(Length::ZERO, Length::ZERO), p(length, width))
            .block(Material::Waste, p(length + kerf, Length::ZERO), p(end, width))
            .block(Material::Cutter, p(length, -fence), p(length + kerf, width))
            .label(p(-stop, width + fence * 2), "stop")
            .label(p(length + kerf / 2, width + fence * 2), "blade")
            .label(p(length / 2, width + fence * 2), "fence")
            .label(p(length / 2, width / 2), "face up")
            .dimension(p(Length::ZERO, -fence * 2), p(length, -fence * 2), work.words(length))
            .measure_here(p(length / 2, width / 3))
    }
}

/// Sets the stop for a length, which ends at the tooth toward the stop. `kerf`
/// is as wide as the cut is along the stop's scale.
pub(super) fn set_stop(
    work: &Work<'_>,
    out: &mut Outcome,
    length: Length,
    feature: &str,
    from: String,
    kerf: Option<Length>,
) {
    set_stop_beyond(work, out, length, feature, from, kerf, Length::ZERO);
}

/// The same where the wood meets the stop that much further away than the
/// length begins.
pub(super) fn set_stop_beyond(
    work: &Work<'_>,
    out: &mut Outcome,
    length: Length,
    feature: &str,
    from: String,
    kerf: Option<Length>,
    further: Length,
) {
    let Some(more) = work.beyond_tooth(Tooth::TowardStop, kerf) else {
        return work.unknown_without_kerf("stop", Level::Error, out);
    };
    let from = format!("{from}; {}", work.tooth_words(Tooth::TowardStop));
    let mut stop = work.aimed_beyond("stop", length, work.aim, from, Rounds::Up, more + further);
    stop.sizes = Some(FeatureName::new(feature));
    out.settings.push(stop);
}

/// Whether a length stop there would trap the piece.
pub(super) fn stop_findings(work: &Work<'_>) -> Vec<Finding> {
    let (Some(machine), Some(at)) = (work.machine, work.at) else { return Vec::new() };
    let trapped = match machine.length_stop {
        Some(LengthStop::KeptSide | LengthStop::SetOffBlock) => return Vec::new(),
        Some(LengthStop::OffcutSide) => true,
        None => machine.kind == MachineKind::TableSaw,
    };
    if trapped {
        vec![
            Finding::error(format!(
                "at the {at} the piece would be trapped between its stop or fence and the blade, and thrown"
            ))
            .help("use a stop on the kept side, or a set-off block that the wood clears before it meets the blade")
            .key("at")
            .limit(),
        ]
    } else {
        Vec::new()
    }
}
