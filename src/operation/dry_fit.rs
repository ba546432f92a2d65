//! Dry fit: everything together without glue, while it can still be changed.
//!
//! `diagonal = sqrt(wide^2 + deep^2)`;
//! `rack = difference of diagonals x diagonal / (2 x wide)`;
//! `rock = |(h1 + h3) - (h2 + h4)|` round the base (common practice).

use super::drawing::{Drawing, Material, Point, Scale};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::{KeyReader, Keyed};
use super::work::Work;
use crate::measure::{Length, SafeSide};

pub(super) const KIND: OperationKind = OperationKind::of::<DryFit>(
    "dry fit",
    "Put together without glue: gaps, diagonals, wind and rock.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "dry fit", "at": "bench", "wide": "16", "deep": "12", "diagonals": "1/32", "gap": "0.008", "legs": ["17.998", "18.001", "18.000", "18.004"] }"#,
];

/// Legs round a base: three never rock.
const LEGS: usize = 4;
/// A slip of paper: what must not enter a shoulder that is seen, where the route
/// doesn't say (common practice, no source).
const PAPER: Length = Length::thousandths(4);
/// The most four feet may rock.
const MOST_ROCK: Length = Length::inch_fraction(1, 64);
/// The most the diagonals may differ where the route doesn't say.
const MOST_DIFFERENCE: Length = Length::inch_fraction(1, 32);

keys! {
    DryFit: "dry fit" {
        /// Width of the frame where its diagonals are measured.
        wide: F,
        /// Depth of the frame where its diagonals are measured.
        deep: F,
        /// The most the diagonals may differ.
        diagonals: Option<F> = MOST_DIFFERENCE,
        /// The feeler that must not enter a visible joint. Two mitres add their
        /// errors, so they get more than a shoulder.
        gap: Option<F> = PAPER,
        /// The lengths of the four legs in order round the base, to see how they rock.
        #[serde(default)]
        #[schemars(length(min = 4, max = 4))]
        legs: Vec<F>,
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<DryFit>(reader, |keys, reader| {
        let count = keys.legs.len();
        let sound = matches!(count, 0 | LEGS);
        if !sound {
            reader.problem(
                "legs",
                format!("{count} legs are given, but rock is calculated for four"),
                None,
            );
        }
        sound
    })
}

/// How far four feet rock on a flat plate, their lengths in order round the base.
pub fn rock(round: [Length; 4]) -> Length {
    let [first, second, third, fourth] = round;
    ((first + third) - (second + fourth)).abs()
}

/// The diagonal of a rectangle.
fn diagonal(wide: Length, deep: Length) -> Length {
    let square = |side: Length| (side.nanometres() as f64).powi(2);
    let across = (square(wide) + square(deep)).sqrt();
    Length::from_nanometres_f64(across).unwrap_or(Length::LONGEST)
}

/// How far the deep sides lean along the wide ones when the diagonals differ so much.
fn rack(wide: Length, diagonal: Length, difference: Length) -> Length {
    let lean = difference.nanometres() as f64 * diagonal.ratio(wide) / 2.0;
    Length::from_nanometres_f64(lean).unwrap_or(Length::LONGEST)
}

impl Operation for DryFit {
    fn sizes(&self) -> Vec<SizedFeature> {
        ["shoulder gap", "diagonals", "wind", "rock"]
            .map(|feature| SizedFeature::new(feature, SafeSide::Neither))
            .to_vec()
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let (wide, deep) = (work.size(&self.wide)?, work.size(&self.deep)?);
        let allowed =
            self.diagonals.as_ref().map_or(Ok(MOST_DIFFERENCE), |allowed| work.size(allowed))?;
        let gap = self.gap.as_ref().map_or(Ok(PAPER), |gap| work.size(gap))?;
        let across = diagonal(wide, deep);
        let mut out = Outcome::untouched(work.blank, draw(work, wide, deep, across));
        out.facts = vec![
            Fact::size("diagonal", across),
            Fact::size("most the diagonals may differ", allowed),
            Fact::size("rack at that difference", rack(wide, across, allowed)),
        ];
        if allowed > wide.min(deep) {
            out.findings.push(
                Finding::error("the diagonals may differ by more than a side of the frame")
                    .help(work.either(
                        "1/32 in is usual, 1/16 in the most",
                        "1 mm is usual, 1.5 mm the most",
                    ))
                    .key("diagonals"),
            );
        }
        out.steps = vec![
            "Assemble dry, in glue-up order, with the glue-up clamps.".to_owned(),
            format!("A feeler of {} enters no visible joint.", work.words(gap)),
            format!("The diagonals may differ by {}.", work.words(allowed)),
            "Measure width and depth at the top and at the foot; sight for wind.".to_owned(),
            format!("On a flat plate it may rock {}.", work.words(MOST_ROCK)),
            "Too far off? Pair parts differently first, then shave shoulders.".to_owned(),
            "Number every joint before it comes apart.".to_owned(),
        ];
        if let Ok(legs) = <&[Keyed; LEGS]>::try_from(self.legs.as_slice()) {
            self.rocks(work, legs, &mut out)?;
        }
        Ok(out)
    }

    fn does(&self) -> Option<&'static str> {
        Some("Dry-fit")
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("Pair the parts differently first; then shave {} off.", work.words(over.limit))
    }
}

impl DryFit {
    fn rocks(
        &self,
        work: &Work<'_>,
        legs: &[Keyed; LEGS],
        out: &mut Outcome,
    ) -> Result<(), Trouble> {
        let mut lengths = [Length::ZERO; LEGS];
        for (length, leg) in lengths.iter_mut().zip(legs) {
            *length = work.size(leg)?;
        }
        let as_named = rock(lengths);
        let mut sorted = lengths;
        sorted.sort_unstable();
        let [shortest, second, third, longest] = sorted;
        let least = rock([longest, second, shortest, third]);
        out.facts.push(Fact::size("rock, legs as named", as_named));
        out.facts.push(Fact::size("rock, longest and shortest on one diagonal", least));
        if least < as_named {
            out.steps.insert(0, "Longest and shortest leg on one diagonal.".to_owned());
        }
        if as_named > MOST_ROCK {
            let what = format!("these legs rock {}", work.words(as_named));
            let fix = if least <= MOST_ROCK {
                format!(
                    "longest and shortest on one diagonal: they rock {} then",
                    work.words(least)
                )
            } else {
                format!(
                    "trim a leg of the longer diagonal: at best they rock {}",
                    work.words(least)
                )
            };
            out.findings.push(Finding::warning(what).help(fix).key("legs"));
        }
        Ok(())
    }
}

fn draw(work: &Work<'_>, wide: Length, deep: Length, across: Length) -> Drawing {
    let leg = wide.min(deep) / 5;
    let (near, rail) = (leg / 4, leg / 2);
    let p = Point::new;
    let zero = Length::ZERO;
    let mut drawing = Drawing::new("from above", Scale::Even)
        .block(Material::Wood, p(leg, near), p(wide - leg, near + rail))
        .block(Material::Wood, p(leg, deep - near - rail), p(wide - leg, deep - near))
        .block(Material::Wood, p(near, leg), p(near + rail, deep - leg))
        .block(Material::Wood, p(wide - near - rail, leg), p(wide - near, deep - leg));
    for (x, y) in [(zero, zero), (wide - leg, zero), (wide - leg, deep - leg), (zero, deep - leg)] {
        drawing = drawing.block(Material::Wood, p(x, y), p(x + leg, y + leg));
    }
    drawing
        .dimension(p(zero, zero), p(wide, deep), work.words(across))
        .dimension(p(zero, deep), p(wide, zero), "")
        .dimension(p(zero, -leg), p(wide, -leg), work.words(wide))
        .dimension(p(wide + leg, zero), p(wide + leg, deep), work.words(deep))
        .measure_here(p(leg, near + rail / 2))
}
