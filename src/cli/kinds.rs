//! `kinds`: the kinds of operation a route can name, and the keys of each.
//! Everything printed comes from the types that read a route.

mod json;
mod text;

use std::io::Write;

use clap::Args;
use serde_json::Value;

use super::{Ending, Failure, Format};
use crate::document::schema;
use crate::operation::{self, KINDS};
use crate::prose::{Message, nearest, visible};
use crate::route::OperationFile;

/// List the kinds of operation, and the keys of one kind
///
/// Without KIND, lists every kind with its meaning, and the keys that every
/// operation has. With KIND, describes it: each key with its meaning, unit,
/// default and an example; the features the operation sizes; and examples of
/// whole operations.
///
/// Keys of --format json: kinds[] {kind, meaning} and keys[] {key, meaning,
/// required}; or, with KIND: kind, meaning, keys[] {key, meaning, unit, formula,
/// default, required, choices[] {word, meaning}, example}, sizes[] {feature,
/// can_be_cut_again: "oversize", "undersize" or null}, examples[].
///
///   benchway kinds
///   benchway kinds half lap
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct KindsArguments {
    /// Kind of operation, as `do` names it in a route
    #[arg(value_name = "KIND")]
    kind: Vec<String>,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

impl KindsArguments {
    pub(super) fn run(&self, out: &mut dyn Write) -> Result<Ending, Failure> {
        let name = self.kind.join(" ");
        if name.is_empty() {
            let keys = common_keys();
            match self.format {
                Format::Text => text::list(&keys, out)?,
                Format::Json => json::list(&keys, out)?,
            }
            return Ok(Ending::Fine);
        }
        let kind = operation::kind(&name).ok_or_else(|| no_such_kind(&name))?;
        let described = operation::describe(kind);
        match self.format {
            Format::Text => text::kind(&described, out)?,
            Format::Json => json::kind(&described, out)?,
        }
        Ok(Ending::Fine)
    }
}

fn no_such_kind(name: &str) -> Failure {
    let help = match nearest(name, KINDS.iter().map(|kind| kind.name())) {
        Some(near) => format!("did you mean `{near}`?"),
        None => "`benchway kinds` lists them".to_owned(),
    };
    let why = Message::error("there is no such kind of operation").help(help);
    Failure::Option { option: "kind", given: visible(name), why }
}

/// A key that every kind of operation has.
struct CommonKey {
    key: String,
    meaning: String,
    required: bool,
}

/// The keys of every operation, in the order the type declares them.
fn common_keys() -> Vec<CommonKey> {
    let schema = schema::<OperationFile>();
    let required: Vec<&str> = schema
        .get("required")
        .and_then(Value::as_array)
        .map(|names| names.iter().filter_map(Value::as_str).collect())
        .unwrap_or_default();
    let properties = schema.get("properties").and_then(Value::as_object);
    properties
        .into_iter()
        .flatten()
        .map(|(key, value)| CommonKey {
            key: key.clone(),
            meaning: value
                .get("description")
                .and_then(Value::as_str)
                .unwrap_or_default()
                .to_owned(),
            required: required.contains(&key.as_str()),
        })
        .collect()
}
