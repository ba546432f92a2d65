//! Tenon: cut to the mortise as it was measured, cheek by cheek.
//!
//! `thickness = mortise - clearance`; face cheek `mortise from face - setback +
//! clearance / 2`; back cheek what is left of the stock (common practice, no
//! source).

mod drawing;
mod setups;

use schemars::JsonSchema;
use serde::Deserialize;

use super::crosscut;
use super::drawing::{Drawing, Scale};
use super::feature::{FeatureName, LENGTH, THICKNESS};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::stop::Tooth;
use super::trace::Trace;
use super::words;
use super::work::{ALIKE, Work};
use crate::measure::{Length, Rounds, SafeSide};
use crate::prose::Level;
use crate::shop::{Act, MachineKind};

pub(super) const KIND: OperationKind =
    OperationKind::of::<Tenon>("tenon", "Cut a tenon to the mortise as measured.", read, EXAMPLES);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "tenon", "at": "tenon saw", "makes": "tenon", "mortise_width": "0.252", "mortise_from_face": "3/8", "setback": "1/8", "length": "3/4", "clearance": "0.004", "shoulders": "12", "ends": 2, "mortise_depth": "13/16", "meets_beyond": "5/8", "mitred": true, "method": "one-face" }"#,
];

/// Air between tenon and mortise: a tenon that slides in by hand and stays
/// (common practice, no source).
const CLEARANCE: Length = Length::thousandths(4);
/// A rail has a tenon at either end.
const BOTH_ENDS: i64 = 2;
/// From shoulder to shoulder.
const SHOULDER: &str = "shoulder length";

/// A piece this much longer or shorter than its shoulders say is cut wrong
/// (common practice, no source).
const LENGTH_PLAY: Length = Length::inch_fraction(1, 64);
/// Less air than this at the bottom of the mortise keeps the shoulders open
/// (common practice, no source).
const BOTTOM_ROOM: Length = Length::inch_fraction(1, 32);

keys! {
    Tenon: "tenon", makes {
        /// Width of the mortise, best as measured.
        mortise_width: F,
        /// From the leg's outside face to the mortise's near wall, best as measured.
        mortise_from_face: F,
        /// How far this piece's face is set back from the leg's.
        setback: F,
        /// Length of the tenon.
        length: F,
        /// Air between tenon and mortise, both cheeks together.
        clearance: Option<F> = CLEARANCE,
        /// Shoulder to shoulder; what the piece's length leaves when left out.
        shoulders: Option<F>,
        /// How many ends get a tenon.
        ends: Option<i64> = BOTH_ENDS,
        /// Depth of the mortise, to see that the tenon doesn't reach the bottom.
        mortise_depth: Option<F>,
        /// The depth beyond which mortises of neighbouring faces meet.
        meets_beyond: Option<F>,
        /// Whether the tenon's ends are mitred, where two of them meet.
        #[serde(default)]
        mitred: bool,
        /// How the two cheeks are cut.
        #[serde(default)]
        method: TenonMethod = "two-heights",
    }
}

/// How the two cheeks are cut.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum TenonMethod {
    /// Lying, face down at one height, then back down at another; a narrow
    /// blade nibbles. Thickness errors of the stock end up in the tenon.
    #[default]
    TwoHeights,
    /// The shoulders lying, then both cheeks on end in a jig, the face against
    /// it, with a spacer for the second: thickness errors of the stock end up at
    /// the back shoulder. For pieces short enough to be stood on end.
    OneFace,
}

/// The numbers of one joint.
#[derive(Clone, Copy, Debug)]
struct TenonCut {
    thick: Length,
    face: Length,
    back: Length,
    long: Length,
    stock: Length,
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Tenon>(reader, |keys, reader| {
        let sound = (1..=BOTH_ENDS).contains(&keys.ends.unwrap_or(BOTH_ENDS));
        if !sound {
            reader.problem("ends", "a piece has one or two ends to tenon", None);
        }
        sound
    })
}

impl Operation for Tenon {
    fn sizes(&self) -> Vec<SizedFeature> {
        vec![
            SizedFeature::new(self.feature(THICKNESS), SafeSide::Big),
            SizedFeature::new(self.feature(LENGTH), SafeSide::Big),
            SizedFeature::new(SHOULDER, SafeSide::Big),
        ]
    }

    /// At two heights the tenon is what the stock is less the cheeks, so that
    /// what the stock varies goes into it.
    fn comes_from(&self, feature: &str) -> Vec<(FeatureName, i64)> {
        if feature == SHOULDER {
            vec![(FeatureName::LENGTH, 1), (self.feature(LENGTH), -self.ends())]
        } else if self.varies_with_stock(feature) {
            vec![(FeatureName::THICKNESS, 1)]
        } else {
            vec![(FeatureName::new(feature), 1)]
        }
    }

    fn varies_with_stock(&self, feature: &str) -> bool {
        feature == self.feature(THICKNESS) && self.method == TenonMethod::TwoHeights
    }

    fn cant_be_undone(&self) -> bool {
        true
    }

    fn act(&self) -> Act {
        Act::OnSled
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::TableSaw, MachineKind::RouterTable]
    }

    fn works_from_marks(&self) -> bool {
        true
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let mortise = work.size(&self.mortise_width)?;
        let from_face = work.length(&self.mortise_from_face)?;
        let setback = work.length(&self.setback)?;
        let long = work.size(&self.length)?;
        let clearance = work.optional(&self.clearance)?.unwrap_or(CLEARANCE);
        let Some(extent) = work.blank.size(THICKNESS) else {
            let mut out = Outcome::untouched(work.blank, Drawing::new("side view", Scale::Even));
            out.findings.push(
                Finding::error("the thickness of the piece is unknown")
                    .help("give the part's stock a `thickness`")
                    .key("do"),
            );
            return Ok(out);
        };
        let thick = mortise - clearance;
        let face = from_face - setback + clearance / 2;
        // The back cheek is cut for the thinnest piece: the others come out fat.
        let back = extent.least - thick - face;
        let joint = TenonCut { thick, face, back, long, stock: extent.least };

        let mut out = Outcome::untouched(work.blank, drawing::lying(work, joint, self.first_cut()));
        out.findings = work.machine_limits();
        if work.machine.is_some_and(|machine| machine.kind == MachineKind::TableSaw) {
            out.findings.extend(crosscut::stop_findings(work));
        }
        out.findings.extend(fits(work, joint, clearance));
        let spread = extent.most - extent.least;
        if self.method == TenonMethod::TwoHeights && spread > ALIKE {
            out.findings.push(
                Finding::warning(format!(
                    "these pieces differ by {} in thickness, and so will the tenons",
                    work.words(spread)
                ))
                .help("sand them alike first, or \"method\": \"one-face\"")
                .key("do"),
            );
        }
        self.ends_of_it(work, &mut out, long)?;
        self.stop(work, &mut out, joint);
        match self.method {
            TenonMethod::TwoHeights => self.two_heights(work, &mut out, joint),
            TenonMethod::OneFace => self.one_face(work, &mut out, joint),
        }
        self.shoulders(work, &mut out, long)?;
        out.facts.push(Fact::size("tenon", thick));
        out.steps.extend(self.trial(work));
        out.cautions = self.cautions();
        out.after.make(&self.feature(THICKNESS), thick);
        out.after.make(&self.feature(LENGTH), long);
        out.traces.push(Trace::Tenon { long, ends: self.ends() as usize });
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        let (all, half) = (over.target, over.target / 2);
        match self.method {
            TenonMethod::TwoHeights => format!(
                "Tenon too thick: cut the back again {} higher, or both again {} higher each.",
                words::decimal(all, work.unit),
                words::decimal(half, work.unit)
            ),
            TenonMethod::OneFace => format!(
                "Tenon too thick: a spacer thinner by {}; cut only the face cheek again.",
                words::decimal(all, work.unit)
            ),
        }
    }
}

impl Tenon {
    fn feature(&self, feature: &str) -> FeatureName {
        FeatureName::of(self.makes.or("tenon"), feature)
    }

    fn ends(&self) -> i64 {
        self.ends.unwrap_or(BOTH_ENDS)
    }

    /// How the first tenon comes to its mortise.
    fn trial(&self, work: &Work<'_>) -> Vec<String> {
        let fat = work.either("0.015 to 0.020 in", "0.4 to 0.5 mm");
        let (test, then) = match self.method {
            TenonMethod::TwoHeights => (
                format!("Test tenon in this thickness first, {fat} too thick."),
                "Measure it: take the excess off one cheek, or half of it off each.",
            ),
            TenonMethod::OneFace => (
                format!("Test tenon first, with a spacer {fat} too thick."),
                "Measure it: plane the excess off the spacer, and cut the face cheek again.",
            ),
        };
        let fit = [
            "Try it in the widest and the narrowest mortise.",
            "A good tenon slides in by hand and doesn't fall out.",
        ];
        [vec![test, then.to_owned()], fit.map(str::to_owned).to_vec()].concat()
    }

    /// The stop for the shoulder, which is at the tooth away from it.
    fn stop(&self, work: &Work<'_>, out: &mut Outcome, joint: TenonCut) {
        let Some(more) = work.beyond_tooth(Tooth::AwayFromStop, work.kerf()) else {
            return work.unknown_without_kerf("stop", Level::Error, out);
        };
        let from =
            format!("{}; {}", work.chain(&self.length), work.tooth_words(Tooth::AwayFromStop));
        // The aim of a tenon is on its cheeks; a short one leaves the shoulders long.
        let mut stop =
            work.aimed_beyond("stop", joint.long, Length::ZERO, from, Rounds::Down, more);
        stop.sizes = Some(self.feature(LENGTH));
        out.settings.push(stop);
        out.steps.push(work.tooth_step(Tooth::AwayFromStop, "the shoulder"));
    }

    /// Shoulder to shoulder and overall, whichever the drawing gives.
    fn shoulders(&self, work: &Work<'_>, out: &mut Outcome, long: Length) -> Result<(), Trouble> {
        let tenons = long * self.ends();
        let piece = work.blank.size(LENGTH);
        let between = match (&self.shoulders, piece) {
            (Some(shoulders), _) => work.size(shoulders)?,
            (None, Some(piece)) => piece.least - tenons,
            (None, None) => return Ok(()),
        };
        let overall = between + tenons;
        if between <= Length::ZERO {
            out.findings.push(
                Finding::error(format!(
                    "nothing is left between the shoulders of a piece {} long",
                    work.words(overall)
                ))
                .help("make the tenon shorter, or the piece longer")
                .key("length"),
            );
            return Ok(());
        }
        let close = LENGTH_PLAY;
        if let Some(piece) = piece {
            let (what, fix) = if piece.least < overall - close {
                ("is too short for", "wood can't be added: the drawing may have meant overall")
            } else if piece.most > overall + close {
                ("is longer than", "cut it to length first, for the stop is at its end")
            } else {
                ("", "")
            };
            if !what.is_empty() {
                out.findings.push(
                    Finding::error(format!(
                        "a piece of {} {what} {} between shoulders and {} overall",
                        work.words(piece.least),
                        work.words(between),
                        work.words(overall)
                    ))
                    .help(fix)
                    .key("shoulders"),
                );
            }
        }
        out.facts.push(Fact::size(SHOULDER, between));
        out.facts.push(Fact::size("overall", overall));
        out.after.make(SHOULDER, between);
        Ok(())
    }

    /// Whether its ends have room.
    fn ends_of_it(&self, work: &Work<'_>, out: &mut Outcome, long: Length) -> Result<(), Trouble> {
        if let Some(deep) = work.optional(&self.mortise_depth)? {
            let room = deep - long;
            if room < BOTTOM_ROOM {
                let what = if room > Length::ZERO {
                    format!("only {} below the tenon in its mortise", work.words(room))
                } else {
                    format!(
                        "a tenon of {} reaches the bottom of a mortise {} deep",
                        work.words(long),
                        work.words(deep)
                    )
                };
                // One as long as its mortise can't close, whoever cuts it.
                let level = if room.is_negative() { Level::Error } else { Level::Warning };
                out.findings.push(
                    Finding { level, ..Finding::warning(what) }
                        .help(format!(
                            "make the tenon {} shorter than the mortise, or the shoulder stays open",
                            work.either("1/16 in", "1.5 mm")
                        ))
                        .key("length"),
                );
            }
        }
        if let Some(meets) = work.optional(&self.meets_beyond)?
            && long > meets
            && !self.mitred
        {
            out.findings.push(
                Finding::error(format!(
                    "tenons of {} meet in the leg beyond {}",
                    work.words(long),
                    work.words(meets)
                ))
                .help(format!(
                    "mitre the ends (\"mitred\": true), or end them short of {}",
                    work.words(meets)
                ))
                .key("length"),
            );
        }
        if self.mitred {
            out.steps
                .push("Mitre the ends of the tenons, so that they pass in the leg.".to_owned());
        }
        Ok(())
    }
}

/// Whether there is wood for tenon and cheeks, and air around it.
fn fits(work: &Work<'_>, joint: TenonCut, clearance: Length) -> Vec<Finding> {
    let mut findings = Vec::new();
    let air = work.either("0.002 to 0.006 in", "0.05 to 0.15 mm");
    let mut refuse = |what: String, fix: &str, key| {
        findings.push(Finding::error(what).help(fix).key(key));
    };
    if joint.thick <= Length::ZERO {
        refuse(
            format!("a clearance of {} leaves no tenon", work.words(clearance)),
            &format!("use {air}, both cheeks together"),
            "clearance",
        );
    }
    if joint.face < Length::ZERO {
        refuse(
            format!(
                "the tenon would be {} proud of the piece's face",
                work.words(joint.face.abs())
            ),
            "use less setback, or a mortise further from the face: wood can't be added",
            "setback",
        );
    }
    if joint.back < Length::ZERO {
        refuse(
            format!(
                "tenon and face cheek need {} more than the stock's {}",
                work.words(joint.back.abs()),
                work.words(joint.stock)
            ),
            "use thicker stock, or a mortise nearer the face: wood can't be added",
            "mortise_from_face",
        );
    }
    let [least, most] = [2, 6].map(Length::thousandths);
    if !(least..=most).contains(&clearance) {
        findings.push(
            Finding::warning(format!("a clearance of {} is outside {air}", work.words(clearance)))
                .help("a tighter joint starves the glue, a looser one loses strength")
                .key("clearance"),
        );
    }
    findings
}
