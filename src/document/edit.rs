//! Changes of single values in the bytes of a text. All other bytes stay, so that whoever
//! wrote the file finds it as it was laid out.

use std::ops::Range;

use super::{Document, Node};

/// A change as bytes of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// Which bytes.
    pub at: Range<usize>,
    /// What comes in their place.
    pub to: String,
}

impl Edit {
    /// Puts a value into an object that lacks it, under these keys, last and laid out as the
    /// keys before it. `None` where there is no object, or no key.
    pub fn added(node: Node<'_>, keys: &[String], value: &str) -> Option<Edit> {
        let fields = node.fields()?;
        let (first, rest) = keys.split_first()?;
        let mut value = value.to_owned();
        for key in rest.iter().rev() {
            value = format!("{{ {}: {value} }}", json_text(key));
        }
        let entry = format!("{}: {value}", json_text(first));
        let text = node.document().text();
        let Some(last) = fields.last() else {
            return Some(Edit { at: node.span(), to: format!("{{ {entry} }}") });
        };
        let at = last.value.span().end;
        let between = match fields.len().checked_sub(2).and_then(|n| fields.get(n)) {
            Some(before) => {
                text.get(before.value.span().end..last.name_place.span.start)?.to_owned()
            }
            None => format!(",{}", text.get(node.span().start + 1..last.name_place.span.start)?),
        };
        Some(Edit { at: at..at, to: format!("{between}{entry}") })
    }

    /// The text with the change made.
    pub fn made(&self, text: &str) -> String {
        let (before, after) = (&text[..self.at.start], &text[self.at.end..]);
        format!("{before}{}{after}", self.to)
    }

    /// The lines it changes, old with `-` and new with `+`, under the number of the
    /// first.
    pub fn shown(&self, text: &str) -> Vec<String> {
        let start = text[..self.at.start].rfind('\n').map_or(0, |at| at + 1);
        let end = text[self.at.end..].find('\n').map_or(text.len(), |at| self.at.end + at);
        let was = &text[start..end];
        let becomes =
            format!("{}{}{}", &text[start..self.at.start], self.to, &text[self.at.end..end]);
        let line = text[..start].matches('\n').count() + 1;
        let (were, become_now) = (was.lines().count(), becomes.lines().count());
        let mut shown = vec![format!("@@ -{line},{were} +{line},{become_now} @@")];
        // An entry added on a line of its own gives the line above a comma.
        shown.extend(was.lines().map(|line| format!("-{line}")));
        shown.extend(becomes.lines().map(|line| format!("+{line}")));
        shown
    }
}

impl Document {
    /// The value under these keys becomes another, written as JSON. What is missing is added;
    /// `None` where something else than an object stands in the way.
    pub fn with(&self, keys: &[&str], value: &str) -> Option<Edit> {
        let mut node = self.root();
        for (depth, key) in keys.iter().enumerate() {
            match node.child(key) {
                Some(child) => node = child,
                None => {
                    let left: Vec<String> = keys[depth..].iter().map(|k| (*k).to_owned()).collect();
                    return Edit::added(node, &left, value);
                }
            }
        }
        Some(Edit { at: node.span(), to: value.to_owned() })
    }

    /// The key at the end of these is taken out with its value; `None` where it isn't there.
    pub fn without(&self, keys: &[&str]) -> Option<Edit> {
        let (last, above) = keys.split_last()?;
        let object = above.iter().try_fold(self.root(), |node, key| node.child(key))?;
        let fields = object.fields()?;
        let at = fields.iter().position(|field| field.name == *last)?;
        let (start, end) = match (at.checked_sub(1).map(|at| &fields[at]), fields.get(at + 1)) {
            (Some(before), _) => (before.value.span().end, fields[at].value.span().end),
            (None, Some(after)) => (fields[at].name_place.span.start, after.name_place.span.start),
            (None, None) => return Some(Edit { at: object.span(), to: "{}".to_owned() }),
        };
        Some(Edit { at: start..end, to: String::new() })
    }
}

/// A text as JSON holds it.
pub fn json_text(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edited(text: &str, edit: impl Fn(&Document) -> Option<Edit>) -> Option<String> {
        let document = Document::read("shop.json", text).expect("JSON");
        edit(&document).map(|edit| edit.made(text))
    }

    #[test]
    fn a_key_goes_with_its_comma() {
        let text = "{\n  \"a\": 1,\n  \"b\": { \"c\": 2 },\n  \"d\": 3\n}";
        let without = |keys: &[&str]| edited(text, |document| document.without(keys));
        let gone = |text: &str| Some(text.to_owned());
        assert_eq!(without(&["a"]), gone("{\n  \"b\": { \"c\": 2 },\n  \"d\": 3\n}"));
        assert_eq!(without(&["b"]), gone("{\n  \"a\": 1,\n  \"d\": 3\n}"));
        assert_eq!(without(&["d"]), gone("{\n  \"a\": 1,\n  \"b\": { \"c\": 2 }\n}"));
        assert_eq!(without(&["b", "c"]), gone("{\n  \"a\": 1,\n  \"b\": {},\n  \"d\": 3\n}"));
        assert_eq!(without(&["e"]), None);
        assert_eq!(without(&["a", "c"]), None);
    }

    #[test]
    fn a_value_is_replaced_or_added() {
        let text = "{ \"a\": 1, \"b\": {} }";
        let with = |keys: &[&str]| edited(text, |document| document.with(keys, "\"x\""));
        let now = |text: &str| Some(text.to_owned());
        assert_eq!(with(&["a"]), now("{ \"a\": \"x\", \"b\": {} }"));
        assert_eq!(with(&["b", "c", "d"]), now("{ \"a\": 1, \"b\": { \"c\": { \"d\": \"x\" } } }"));
        assert_eq!(with(&["e"]), now("{ \"a\": 1, \"b\": {}, \"e\": \"x\" }"));
        assert_eq!(with(&["a", "c"]), None);
    }
}
