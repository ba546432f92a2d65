//! Measure: an operation that only looks, so that later ones can follow.

use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::work::Work;
use crate::measure::Length;

pub(super) const KIND: OperationKind = OperationKind::of::<MeasureOnly>(
    "measure",
    "Only measure; later operations use the result.",
    keys::read::<MeasureOnly>,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[r#"{ "do": "measure", "at": "bench" }"#];

keys! {
    MeasureOnly: "measure" {
    }
}

impl Operation for MeasureOnly {
    fn sizes(&self) -> Vec<SizedFeature> {
        [LENGTH, WIDTH, THICKNESS].map(SizedFeature::wood_left_on).to_vec()
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let mut out = Outcome::untouched(work.blank, draw(work));
        out.steps = vec![
            "Zero the gauge, wipe its jaws, close it gently.".to_owned(),
            format!(
                "Measure {} or more from the ends, clear of knots, wood at rest.",
                work.clear_of_ends()
            ),
        ];
        Ok(out)
    }

    fn leaves_alone(&self, _feature: &str) -> bool {
        true
    }

    fn only_measures(&self) -> bool {
        true
    }

    fn does(&self) -> Option<&'static str> {
        None
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("It can still be cut: send it back for {} more.", work.words(over.target))
    }
}

/// A piece by itself, seen from the end.
pub(super) fn draw(work: &Work<'_>) -> Drawing {
    let thick = work.blank.most(THICKNESS).unwrap_or(Length::INCH);
    let wide = work.blank.most(WIDTH).unwrap_or(thick);
    let p = Point::new;
    Drawing::new("end view", Scale::Even)
        .block(Material::Wood, p(Length::ZERO, Length::ZERO), p(wide, thick))
        .dimension(p(Length::ZERO, -thick / 3), p(wide, -thick / 3), work.words(wide))
        .measure_here(p(wide / 2, thick))
}
