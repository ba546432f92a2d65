//! Fields of a spreadsheet, quoted.

use crate::prose::visible;

/// A field quoted as RFC 4180 asks. What would act on a terminal is written out. A quote
/// mark in front keeps a spreadsheet from running a text as a formula; signed numbers
/// are left alone.
fn quote(field: &str) -> String {
    let field = visible(field);
    let formula = field.starts_with(['=', '@'])
        || (field.starts_with(['+', '-']) && field[1..].parse::<f64>().is_err());
    let field = if formula { format!("'{field}") } else { field };
    if field.contains([',', '"']) { format!("\"{}\"", field.replace('"', "\"\"")) } else { field }
}

/// A row of fields, each quoted.
pub(super) fn row<'a>(fields: impl IntoIterator<Item = &'a String>) -> String {
    let fields: Vec<String> = fields.into_iter().map(|field| quote(field)).collect();
    fields.join(",")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_quoted_as_rfc_4180_says() {
        assert_eq!(quote("plain"), "plain");
        assert_eq!(quote("1,4375"), "\"1,4375\"");
        assert_eq!(quote("2' 3 1/2\""), "\"2' 3 1/2\"\"\"");
        assert_eq!(quote("=1+1"), "'=1+1");
        assert_eq!(quote("-0.5"), "-0.5");
        assert_eq!(quote("-x"), "'-x");
        assert_eq!(quote("a\u{1b}]0;x\u{7}\nb,"), "\"a\\u{1b}]0;x\\u{7}\\nb,\"");
    }
}
