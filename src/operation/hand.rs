//! Hand: a step in plain words, done without a machine setting.
//! Knows nothing of what the words mean.

use schemars::{JsonSchema, SchemaGenerator};
use serde::Deserialize;

use super::reader::{Keyed, Reader};
use super::{Kind, Operation, Outcome, Over, Sized, Trouble, Work, measuring};

pub const KIND: Kind = Kind {
    name: "hand",
    about: "A step in plain words.",
    read,
    schema: SchemaGenerator::subschema_for::<Keys>,
};

#[derive(Deserialize, JsonSchema)]
#[schemars(rename = "hand")]
struct Keys {
    /// What to do, one sentence each.
    say: Vec<String>,
}

#[derive(Debug)]
struct Hand {
    say: Vec<String>,
}

fn read(reader: &mut Reader<'_, '_>) -> Option<Box<dyn Operation>> {
    let keys: Keys = reader.keys()?;
    if keys.say.iter().all(|line| line.trim().is_empty()) {
        reader.problem("say", "say what is to be done", None);
        return None;
    }
    Some(Box::new(Hand { say: keys.say }))
}

impl Operation for Hand {
    fn formulas(&self) -> Vec<&Keyed> {
        Vec::new()
    }

    fn sizes(&self) -> Vec<Sized> {
        Vec::new()
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let mut out = Outcome::untouched(work.blank, measuring::draw(work));
        out.steps.clone_from(&self.say);
        Ok(out)
    }

    fn does(&self) -> Option<&'static str> {
        None
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("{} can still come off.", work.words(over.target))
    }
}
