//! Finish: coats, the rest between them, and the clearance they use up.
//!
//! `clearance left = gap - coats x film x faces` (common practice). The label
//! on the can always wins, so the wait between coats has to be given.

use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{FeatureName, GAP, LENGTH, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble, Wait, spoken};
use super::question::{Formulas, Operation, Over, SizedFeature};
use super::reader::{KeyReader, Keyed};
use super::work::Work;
use crate::measure::{Length, SafeSide};
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind =
    OperationKind::of::<FinishKeys>("finish", "Put on the finish, coat by coat.", read, EXAMPLES);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "finish", "at": "finish room", "makes": "drawer", "coats": 3, "recoat_hours": 4, "cure_hours": 48, "film": "0.0012", "gap": "1/16", "faces": 2 }"#,
];

/// Dry film of one coat on one face: 0.001 to 0.0015 in (common practice).
const FILM: Length = Length::from_nanometres(30_480);
/// More coats than this are a mistake in the route.
const MOST_COATS: u32 = 50;
/// A drawer slides on two faces at each side and two at top and bottom.
const MOST_FACES: u32 = 8;
/// What must be left of a sliding fit.
const LEAST_GAP: Length = Length::inch_fraction(1, 64);

keys! {
    FinishKeys: "finish", makes {
        /// How many coats.
        coats: u32 as coats,
        /// How long one coat dries before the next, by the can's label.
        recoat_hours: f64 as hours,
        /// How long the last coat cures before the pieces are handled; as long
        /// as between coats when left out.
        cure_hours: Option<f64> as hours,
        /// Dry film of one coat on one face.
        film: Option<F> = FILM,
        /// Clearance of a sliding fit before finishing, both sides of a drawer together.
        gap: Option<F>,
        /// How many of the faces that slide past each other are finished.
        #[serde(default)]
        faces: u32 as faces,
    }
}

#[derive(Debug)]
struct Finish {
    keys: FinishKeys,
    /// Minutes from one coat to the next.
    between: u32,
    /// Minutes after the last coat.
    cure: u32,
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    let mut times = (None, None);
    let keys = keys::keys_if::<FinishKeys>(reader, |keys, reader| {
        let between = reader.minutes("recoat_hours", keys.recoat_hours * 60.0);
        let cure = match keys.cure_hours {
            Some(hours) => reader.minutes("cure_hours", hours * 60.0),
            None => between,
        };
        times = (between, cure);
        if keys.coats == 0 || keys.coats > MOST_COATS {
            reader.problem("coats", format!("1 to {MOST_COATS} coats"), None);
            return false;
        }
        if keys.faces > MOST_FACES {
            let what = format!("no more than {MOST_FACES} faces slide past each other");
            reader.problem("faces", what, None);
            return false;
        }
        true
    })?;
    Some(Box::new(Finish { keys, between: times.0?, cure: times.1? }))
}

impl Formulas for Finish {
    fn formulas(&self) -> Vec<&Keyed> {
        self.keys.formulas()
    }
}

impl Operation for Finish {
    /// A gap grown too small is planed wider; one too wide stays so.
    fn sizes(&self) -> Vec<SizedFeature> {
        vec![SizedFeature::new(self.feature(), SafeSide::Small)]
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::FinishRoom]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let film = self.keys.film.as_ref().map_or(Ok(FILM), |film| work.size(film))?;
        let build = film * i64::from(self.keys.coats);
        let mut out = Outcome::untouched(work.blank, draw(work));
        out.facts = vec![
            Fact::number("coats", self.keys.coats.into()),
            Fact::minutes("time between coats", self.between),
            Fact::size("film on a face", build),
        ];
        if let Some(gap) = &self.keys.gap {
            let gap = work.length(gap)?;
            self.clearance(work, gap, build, &mut out);
        }
        out.steps = vec![
            "Same last grit on every piece; dust off; check under raking light.".to_owned(),
            "Finish a sample panel with the pieces: look at it before each coat.".to_owned(),
        ];
        if self.keys.coats > 1 {
            out.steps.push("Cut the raised grain back once, after the first coat.".to_owned());
            out.steps.push(format!("{} coats, {} apart.", self.keys.coats, spoken(self.between)));
        }
        out.steps.push("No warmer, colder or damper than the can's label says.".to_owned());
        if self.keys.gap.is_some() {
            out.steps.push("Once it has cured, try the sliding fit again.".to_owned());
        }
        out.wait = Some(Wait { minutes: self.cure, what: "the last coat".to_owned() });
        Ok(out)
    }

    fn does(&self) -> Option<&'static str> {
        None
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        let by = work.words(over.target.abs());
        format!(
            "Plane the sliding faces until there is {by} more clearance, then finish them thinly."
        )
    }
}

impl Finish {
    /// The name checks use for the clearance.
    fn feature(&self) -> FeatureName {
        self.keys.makes.prefix(GAP)
    }

    fn clearance(&self, work: &Work<'_>, gap: Length, build: Length, out: &mut Outcome) {
        let left = gap - build * i64::from(self.keys.faces);
        out.facts.push(Fact::size("clearance left", left));
        if self.keys.faces == 0 {
            let what = "a sliding fit keeps its gap where none of its faces is finished";
            out.findings
                .push(Finding::warning(what).help("say how many are: \"faces\": 2").key("gap"));
        }
        if left < LEAST_GAP {
            let what = format!(
                "the finish leaves {} of a gap of {}, but a sliding fit needs at least {}",
                work.words(left),
                work.words(gap),
                work.words(LEAST_GAP)
            );
            let fix = "plane it to more clearance before finishing, use fewer coats, or leave those faces bare";
            out.findings.push(Finding::error(what).help(fix).key("gap"));
        }
        if left > Length::ZERO {
            out.drawing = draw_gap(work, gap, left);
        }
        out.after.make(&self.feature(), left);
    }
}

fn draw(work: &Work<'_>) -> Drawing {
    let long = work.blank.most(LENGTH).unwrap_or(Length::INCH * 12);
    let wide = work.blank.most(WIDTH).unwrap_or(long / 4);
    let p = Point::new;
    Drawing::new("from above", Scale::Stretched)
        .block(Material::Wood, p(Length::ZERO, Length::ZERO), p(long, wide))
        .label(p(long / 2, wide / 2), "show face up, last")
}

/// Through the gap of a sliding fit: wood, film, what is free, wood.
fn draw_gap(work: &Work<'_>, gap: Length, left: Length) -> Drawing {
    let p = Point::new;
    let (zero, film) = (Length::ZERO, gap - left);
    Drawing::new("section of the gap", Scale::Stretched)
        .block(Material::Wood, p(-gap / 2, zero), p(zero, gap))
        .block(Material::Wood, p(zero, zero), p(film, gap))
        .block(Material::Wood, p(gap, zero), p(gap + gap / 2, gap))
        .label(p(film / 2, gap + gap / 8), "film")
        .label(p((film + gap) / 2, gap + gap / 8), "free")
        .dimension(p(film, gap / 2), p(gap, gap / 2), work.words(left))
        .dimension(p(zero, -gap / 8), p(gap, -gap / 8), work.words(gap))
}
