//! Hand: a step in plain words, done without a machine setting.

use super::feature::{FeatureName, LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::measuring;
use super::outcome::{Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::work::Work;
pub(super) const KIND: OperationKind =
    OperationKind::of::<Hand>("hand", "A step in plain words.", read, EXAMPLES);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "hand", "at": "bench", "say": ["Break every edge with a block plane.", "Plug the screw holes."] }"#,
];

keys! {
    Hand: "hand", makes {
        /// What to do, one sentence each.
        say: Vec<String>,
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Hand>(reader, |keys, reader| {
        let silent = keys.say.iter().all(|line| line.trim().is_empty());
        if silent {
            reader.problem("say", "say what is to be done", None);
        }
        !silent
    })
}

impl Operation for Hand {
    /// What hands make under a name comes down to size a shaving at a time.
    fn sizes(&self) -> Vec<SizedFeature> {
        let sized = |feature| {
            let made = FeatureName::of(self.makes.0.as_deref()?, feature);
            Some(SizedFeature::wood_left_on(made))
        };
        [LENGTH, WIDTH, THICKNESS].into_iter().filter_map(sized).collect()
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let mut out = Outcome::untouched(work.blank, measuring::draw(work));
        out.steps.clone_from(&self.say);
        Ok(out)
    }

    fn is_by_hand(&self) -> bool {
        true
    }

    fn does(&self) -> Option<&'static str> {
        None
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("{} can still come off.", work.words(over.target))
    }
}
