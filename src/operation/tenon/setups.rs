//! The setups of a tenon, each with its own height, drawing and faces.
//!
//! Lying, the cutter stands as high as a cheek is deep, and a stop makes the
//! shoulder. On end in a jig it stands as high as the tenon is long less a hair,
//! and the jig makes the cheeks. The shoulders come first. The other way round
//! the freed cheek is caught between blade and stop, and is thrown (common
//! practice, no source).
//!
//! On end the face is against the jig for both cheeks, so the tenon is as thick
//! as the spacer less the kerf, whatever the stock:
//!
//! ```text
//!      jig| face cheek | tenon |blade|            spacer out: the back cheek
//!      jig| spacer: tenon + kerf |face cheek ...  spacer in: the face cheek
//! ```

use super::super::drawing::Drawing;
use super::super::feature::{LENGTH, THICKNESS};
use super::super::outcome::{Fact, Finding, NamedSetting, Outcome, Pass};
use super::super::work::Work;
use super::drawing::{self, Lying};
use super::{Tenon, TenonCut, TenonMethod};
use crate::measure::{Length, Rounds, Unit};
use crate::prose::Level;
use crate::shop::MachineKind;

/// The cheek cut stays this far below the shoulder, so that it leaves no step
/// in it (common practice, no source).
const HAIR_INCH: Length = Length::inch_fraction(1, 64);
/// The same on a route in millimetres.
const HAIR_MILLIMETRE: Length = Length::from_nanometres(Length::MILLIMETRE.nanometres() / 10 * 4);
/// A longer piece is not stood on end at a saw (common practice, no source).
const ON_END_INCH: Length = Length::from_nanometres(36 * Length::INCH.nanometres());
/// The same on a route in millimetres.
const ON_END_MILLIMETRE: Length = Length::from_nanometres(900 * Length::MILLIMETRE.nanometres());

impl Tenon {
    /// The cut that is drawn first.
    pub(super) fn first_cut(&self) -> Lying {
        match self.method {
            TenonMethod::TwoHeights => Lying::FaceCheek,
            TenonMethod::OneFace => Lying::FaceShoulder,
        }
    }

    /// Cutter heights for the two cheeks: rounded down, so the tenon stays fat.
    pub(super) fn two_heights(&self, work: &Work<'_>, out: &mut Outcome, joint: TenonCut) {
        let cuts = self.nibble(work, out, joint);
        let face_from = self.face_cheek_words(work);
        let back_from = format!(
            "{} stock less a tenon of {} and the face cheek as it comes",
            work.words(joint.stock),
            work.words(joint.thick)
        );
        let mut leaves = joint.stock;
        let cheeks = [
            ("face down", "face cheek", face_from, Lying::FaceCheek),
            ("back down", "back cheek", back_from, Lying::BackCheek),
        ];
        for (number, (down, cheek, from, cut)) in (1..).zip(cheeks) {
            // What the scale couldn't show at the face is made good at the back.
            let target = if number == 1 { joint.face } else { leaves - joint.thick - work.aim / 2 };
            // Half of the aim at each cheek is the whole of it on the tenon.
            let mut height = lying_height(work, target, -work.aim / 2, down, from);
            leaves -= height.setting.predicted;
            // The face cheek places the piece: the tenon comes to size at the back.
            height.shrinks = (number == 2).then(|| self.feature(THICKNESS));
            let drawing = drawing::lying(work, joint, cut);
            self.pass(work, out, height, &[cheek], cuts, drawing);
        }
        out.facts.push(Fact::size("tenon as the scale makes it", leaves));
        out.steps.push("Face down: cut the face cheek of every piece.".to_owned());
        out.steps.push("Back down, at the second height: cut the back cheek.".to_owned());
    }

    /// How many cuts one cheek takes; they are told as steps and facts.
    fn nibble(&self, work: &Work<'_>, out: &mut Outcome, joint: TenonCut) -> i64 {
        let what = "cuts side by side on each cheek";
        let Some(kerf) = work.kerf() else {
            work.unknown_without_kerf(what, Level::Warning, out);
            return 1;
        };
        let nibbling = work.nibbling(joint.long, kerf);
        out.facts.push(Fact::number(what, nibbling.cuts));
        if nibbling.cuts > 1 {
            out.facts.push(Fact::size("the piece moves each time, at most", nibbling.step));
            out.steps.push(format!(
                "Each cheek: the shoulder first, at the stop; then {} more cuts outward to the \
                 end, {} apart at most.",
                nibbling.cuts - 1,
                work.words(nibbling.step)
            ));
            out.steps.push("Clean up the ridges the blade leaves, across the cheek.".to_owned());
        }
        nibbling.cuts
    }

    /// The shoulders lying, then both cheeks on end, the face against the jig.
    pub(super) fn one_face(&self, work: &Work<'_>, out: &mut Outcome, joint: TenonCut) {
        self.stands_on_end(work, out);
        let shoulders = [
            (
                "face down",
                "face shoulder",
                joint.face,
                self.face_cheek_words(work),
                Lying::FaceShoulder,
            ),
            (
                "back down",
                "back shoulder",
                joint.back,
                format!(
                    "the back cheek: {} stock less the face cheek and a tenon of {}",
                    work.words(joint.stock),
                    work.words(joint.thick)
                ),
                Lying::BackShoulder,
            ),
        ];
        for (down, shoulder, deep, from, cut) in shoulders {
            // A cheek of nothing has no shoulder.
            if deep > Length::ZERO {
                let height = lying_height(work, deep, Length::ZERO, &format!("flat, {down}"), from);
                self.pass(work, out, height, &[shoulder], 1, drawing::lying(work, joint, cut));
            }
        }
        let hair = match work.unit {
            Unit::Inch => HAIR_INCH,
            Unit::Millimetre => HAIR_MILLIMETRE,
        };
        let why = format!(
            "the length of the tenon, {}, less {}, so that it leaves no step in the shoulder",
            work.words(joint.long),
            work.words(hair)
        );
        let scale = height_scale(work);
        let mut height = work.plain_setting(scale, joint.long - hair, Rounds::Down, why);
        height.name = format!("{scale}, on end");
        let drawing = drawing::on_end(work, joint, height.setting.predicted);
        self.pass(
            work,
            out,
            height,
            &["back cheek, spacer out", "face cheek, spacer in"],
            1,
            drawing,
        );
        let jig = joint.face + joint.thick;
        out.facts.push(Fact::size("face cheek", joint.face));
        out.facts.push(Fact::size("back cheek", joint.back));
        out.facts.push(Fact::size("first cheek, from the jig to the blade", jig));
        let spacer = "spacer for tenon and kerf";
        match work.kerf() {
            Some(kerf) => out.facts.push(Fact::size(spacer, joint.thick + kerf)),
            None => work.unknown_without_kerf(spacer, Level::Error, out),
        }
        out.steps.extend(
            [
                "Flat first: face down, then back down, one cut at the shoulder of every end.",
                "Then on end, clamped in the jig, its face to the jig for both cheeks.",
                "Spacer out: the back cheek, on the side away from the jig.",
                "Spacer in, against the piece above its shoulder: the face cheek. Below the \
                 spacer the freed cheek has room to fall.",
                "Leave a freed cheek where it lies until the blade has stopped.",
            ]
            .map(str::to_owned),
        );
    }

    /// Whether these pieces may be stood on end at this machine.
    fn stands_on_end(&self, work: &Work<'_>, out: &mut Outcome) {
        let limit = match work.unit {
            Unit::Inch => ON_END_INCH,
            Unit::Millimetre => ON_END_MILLIMETRE,
        };
        if work.machine.is_some_and(|machine| machine.kind == MachineKind::RouterTable) {
            out.findings.push(
                Finding::error("a tenon is not cut on end at a router table")
                    .help("cut it lying: \"method\": \"two-heights\"; or on end at a table saw")
                    .key("method"),
            );
        } else if let Some(long) = work.blank.most(LENGTH).filter(|l| *l > limit) {
            out.findings.push(
                Finding::warning(format!(
                    "a piece of {} is too long to be stood on end at a saw",
                    work.words(long)
                ))
                .help(
                    "cut its tenons lying, by nibbling: \"method\": \"two-heights\"; or at another machine",
                )
                .key("method"),
            );
        }
    }

    fn face_cheek_words(&self, work: &Work<'_>) -> String {
        format!(
            "leg's face to mortise, less the setback, and half the clearance; {}; {}",
            work.chain(&self.mortise_from_face),
            work.chain(&self.setback)
        )
    }

    /// Every end of every piece goes through at this height.
    fn pass(
        &self,
        work: &Work<'_>,
        out: &mut Outcome,
        mut height: NamedSetting,
        faces: &[&'static str],
        cuts: i64,
        drawing: Drawing,
    ) {
        height.by_passes = true;
        let high = height.setting.target.0 + height.beyond;
        out.findings.extend(work.beyond_reach(high, "a shorter tenon"));
        let number = out.passes.len() as u32 + 1;
        let feeds = cuts * faces.len() as i64 * self.ends();
        out.passes.push(Pass {
            faces: faces.to_vec(),
            feeds: feeds as u32,
            drawing: Some(drawing),
            beyond: height.beyond,
            ..Pass::at(number, work.tool_name, height.readout, height.setting)
        });
        out.settings.push(height);
    }

    pub(super) fn cautions(&self) -> Vec<String> {
        let own: [&str; 3] = match self.method {
            TenonMethod::TwoHeights => [
                "On the sled or against the mitre gauge; never freehand.",
                "The cutter doesn't come through: use the guard the manual gives for that cut.",
                "Only the shoulder cut touches the stop; no piece between fence and blade.",
            ],
            TenonMethod::OneFace => [
                "On end only in a tenon jig, clamped; never freehand. Shoulders first.",
                "Hands on the jig, above the blade's height; use the guard the manual gives.",
                "Offcut free to fall: never between jig, stop or fence and the blade.",
            ],
        };
        own.map(str::to_owned).to_vec()
    }
}

/// The height for a cut in the piece as it lies, on the table or on a sled.
fn lying_height(
    work: &Work<'_>,
    deep: Length,
    aim: Length,
    how: &str,
    from: String,
) -> NamedSetting {
    let scale = height_scale(work);
    let sled = work.sled();
    let from = if sled.is_zero() {
        from
    } else {
        format!("{from}; and {} of sled under it", work.words(sled))
    };
    let mut height = work.aimed_beyond(scale, deep, aim, from, Rounds::Down, sled);
    height.name = format!("{scale}, {how}");
    height
}

/// The scale that shows the height of the cutter.
fn height_scale(work: &Work<'_>) -> &'static str {
    match work.machine.map(|machine| machine.kind) {
        Some(MachineKind::RouterTable) => "height",
        _ => "blade height",
    }
}
