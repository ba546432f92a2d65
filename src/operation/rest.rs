//! Rest: the wood rests until stress and moisture have had their effect.
//!
//! Overnight at least between rough and final milling, two pieces of each part
//! measured before and after (common practice).

use super::feature::{LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::measuring;
use super::outcome::{Fact, Outcome, Trouble, Wait, spoken};
use super::question::{Formulas, Operation, Over, SizedFeature};
use super::reader::{KeyReader, Keyed};
use super::work::Work;
use crate::measure::Length;

pub(super) const KIND: OperationKind = OperationKind::of::<RestKeys>(
    "rest",
    "Let the pieces rest, and measure some of them again.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] =
    &[r#"{ "do": "rest", "hours": 14, "witnesses": 2 }"#, r#"{ "do": "rest", "minutes": 45 }"#];

/// Pieces measured before and after where a route says nothing (common practice).
const WITNESSES: u32 = 2;
/// What a piece may move overnight before the numbers are worked out again.
const MOVED: Length = Length::thousandths(5);

keys! {
    RestKeys: "rest" {
        /// How many hours; this or `minutes`.
        hours: Option<f64> as hours,
        /// How many minutes; this or `hours`.
        minutes: Option<f64> as minutes,
        /// How many witness pieces are measured before and after.
        #[serde(alias = "sentinels")]
        #[schemars(extend("x-also" = "sentinels"))]
        witnesses: Option<u32> as pieces = WITNESSES,
    }
}

#[derive(Debug)]
struct Rest {
    minutes: u32,
    witnesses: u32,
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    let keys = keys::keys_if::<RestKeys>(reader, |_, _| true)?;
    let (key, minutes) = match (keys.hours, keys.minutes) {
        (Some(hours), None) => ("hours", hours * 60.0),
        (None, Some(minutes)) => ("minutes", minutes),
        _ => {
            reader.problem("do", "say how long: either `hours` or `minutes`", None);
            return None;
        }
    };
    let minutes = reader.minutes(key, minutes)?;
    Some(Box::new(Rest { minutes, witnesses: keys.witnesses.unwrap_or(WITNESSES) }))
}

impl Formulas for Rest {
    fn formulas(&self) -> Vec<&Keyed> {
        Vec::new()
    }
}

impl Operation for Rest {
    fn sizes(&self) -> Vec<SizedFeature> {
        [LENGTH, WIDTH, THICKNESS].map(SizedFeature::wood_left_on).to_vec()
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let mut out = Outcome::untouched(work.blank, measuring::draw(work));
        out.wait = Some(Wait { minutes: self.minutes, what: "the wood to rest".to_owned() });
        out.facts.push(Fact::minutes("time to rest", self.minutes));
        out.steps
            .push(format!("Air to every face, on sticks or on end, for {}.", spoken(self.minutes)));
        if self.witnesses > 0 {
            out.facts.push(Fact::number("witness pieces", self.witnesses.into()));
            out.steps.extend([
                format!("Mark {} witness pieces; write on them what they measure.", self.witnesses),
                "Afterwards measure the same spots: same gauge, same person.".to_owned(),
                format!("Moved more than {}? Calculate the numbers again.", work.words(MOVED)),
            ]);
        }
        Ok(out)
    }

    fn leaves_alone(&self, _feature: &str) -> bool {
        true
    }

    fn does(&self) -> Option<&'static str> {
        None
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("It can still be cut: send it back for {} more.", work.words(over.target))
    }
}
