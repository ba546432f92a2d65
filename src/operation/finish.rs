//! Finish: coats, the rest between them, and the clearance they use up.
//! Knows nothing of what slides in what.
//!
//! `clearance left = gap - coats x film x faces` (common practice). The label
//! on the can always wins, so the wait between coats has to be given.

use schemars::{JsonSchema, SchemaGenerator};
use serde::Deserialize;

use super::blank::{LENGTH, WIDTH, feature_of};
use super::drawing::{Drawing, Material, Point, Scale};
use super::outcome::{Wait, spoken};
use super::reader::{FormulaText, Keyed, Reader};
use super::{Fact, Finding, Kind, Operation, Outcome, Over, Sized, Trouble, Work};
use crate::measure::{Length, SafeSide};
use crate::shop::MachineKind;

pub const KIND: Kind = Kind {
    name: "finish",
    about: "Put on the finish, coat by coat.",
    read,
    schema: SchemaGenerator::subschema_for::<Keys>,
};

/// Dry film of one coat on one face: 0.001 to 0.0015 in (common practice).
const FILM: Length = Length::from_nanometres(30_480);
/// What must be left of a sliding fit.
const LEAST_GAP: Length = Length::inch_fraction(1, 64);

#[derive(Deserialize, JsonSchema)]
#[schemars(rename = "finish")]
struct Keys {
    /// How many coats.
    coats: u32,
    /// How long one coat dries before the next, by the can's label.
    recoat_hours: f64,
    /// How long the last coat cures before the pieces are handled; as between
    /// coats where left out.
    cure_hours: Option<f64>,
    /// Dry film of one coat on one face; 0.0012 in where left out.
    film: Option<FormulaText>,
    /// How much clearance a sliding fit has before: both sides of a drawer together.
    gap: Option<FormulaText>,
    /// How many of the faces that slide past each other are finished.
    #[serde(default)]
    faces: u32,
}

#[derive(Debug)]
struct Finish {
    coats: u32,
    between: u32,
    cure: u32,
    film: Option<Keyed>,
    gap: Option<Keyed>,
    faces: u32,
    /// By what name checks speak of the clearance.
    feature: String,
}

fn read(reader: &mut Reader<'_, '_>) -> Option<Box<dyn Operation>> {
    let keys: Keys = reader.keys()?;
    let film = reader.optional_formula("film", &keys.film);
    let gap = reader.optional_formula("gap", &keys.gap);
    let between = reader.minutes("recoat_hours", keys.recoat_hours * 60.0);
    let cure = match keys.cure_hours {
        Some(hours) => reader.minutes("cure_hours", hours * 60.0),
        None => between,
    };
    if keys.coats == 0 || keys.coats > 50 {
        reader.problem("coats", "1 to 50 coats", None);
        return None;
    }
    if keys.faces > 8 {
        reader.problem("faces", "no more than 8 faces slide past each other", None);
        return None;
    }
    let feature =
        reader.makes().map_or_else(|| "gap".to_owned(), |makes| feature_of(&makes, "gap"));
    Some(Box::new(Finish {
        coats: keys.coats,
        between: between?,
        cure: cure?,
        film: film?,
        gap: gap?,
        faces: keys.faces,
        feature,
    }))
}

impl Operation for Finish {
    fn formulas(&self) -> Vec<&Keyed> {
        self.film.iter().chain(&self.gap).collect()
    }

    /// A gap grown too small is planed wider; one too wide stays so.
    fn sizes(&self) -> Vec<Sized> {
        vec![Sized::named(&self.feature, SafeSide::Small)]
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::FinishRoom]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let film = self.film.as_ref().map_or(Ok(FILM), |film| work.size(film))?;
        let build = film * i64::from(self.coats);
        let mut out = Outcome::untouched(work.blank, draw(work));
        out.facts = vec![
            Fact::number("coats", self.coats.into()),
            Fact::minutes("time between coats", self.between),
            Fact::size("film on a face", build),
        ];
        if let Some(gap) = &self.gap {
            let gap = work.length(gap)?;
            self.clearance(work, gap, build, &mut out);
        }
        out.steps = vec![
            "Same last grit on every piece; dust off; raking light.".to_owned(),
            "A witness panel goes along: look at it before each coat.".to_owned(),
        ];
        if self.coats > 1 {
            out.steps.push("Cut the raised grain back once, after the first coat.".to_owned());
            out.steps.push(format!(
                "{} coats, {} from one to the next.",
                self.coats,
                spoken(self.between)
            ));
        }
        out.steps.push("No warmer, colder or damper than the can's label says.".to_owned());
        if self.gap.is_some() {
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
        format!("Plane the faces that slide until {by} more is free, and finish them thinly.")
    }
}

impl Finish {
    fn clearance(&self, work: &Work<'_>, gap: Length, build: Length, out: &mut Outcome) {
        let left = gap - build * i64::from(self.faces);
        out.facts.push(Fact::size("clearance left", left));
        if self.faces == 0 {
            let what = "a sliding fit with none of its faces finished keeps its gap";
            out.findings
                .push(Finding::warning(what).help("say how many are: \"faces\": 2").key("gap"));
        }
        if left < LEAST_GAP {
            let what = format!(
                "the finish leaves {} of a gap of {}, and {} is the least that slides",
                work.words(left),
                work.words(gap),
                work.words(LEAST_GAP)
            );
            let fix = "plane it free before finishing, fewer coats, or leave those faces bare";
            out.findings.push(Finding::error(what).help(fix).key("gap"));
        }
        if left > Length::ZERO {
            out.drawing = draw_gap(work, gap, left);
        }
        out.after.make(&self.feature, left);
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
