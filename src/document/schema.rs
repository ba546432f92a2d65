//! The JSON Schema of a file, as an editor shows it to whoever writes one.

use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema, generate::SchemaSettings};
use serde_json::Value;

/// The schema of the file a type is read from, in the 2020-12 draft.
pub fn schema<T: JsonSchema>() -> Schema {
    let mut settings = SchemaSettings::draft2020_12();
    settings.transforms.push(Box::new(RecursiveTransform(plainly)));
    settings.into_generator().into_root_schema_for::<T>()
}

/// What may be left out is left out, not `null`; descriptions are one line.
fn plainly(schema: &mut Schema) {
    if let Some(Value::Array(types)) = schema.get_mut("type") {
        types.retain(|name| name != "null");
        if let [only] = types.as_mut_slice() {
            let only = only.take();
            schema.insert("type".to_owned(), only);
        }
    }
    if let Some(Value::Array(choices)) = schema.get_mut("anyOf") {
        choices.retain(|choice| choice.get("type").is_none_or(|name| name != "null"));
        if let [Value::Object(only)] = choices.as_mut_slice() {
            let only = std::mem::take(only);
            schema.remove("anyOf");
            for (key, value) in only {
                schema.insert(key, value);
            }
        }
    }
    if let Some(Value::String(text)) = schema.get_mut("description") {
        *text = text.replace('\n', " ");
    }
}
