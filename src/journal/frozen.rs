//! The route and the shop file that a batch keeps, read from their texts.

use super::open_error::OpenError;
use crate::document::{Document, Problem};
use crate::route::{self, Route};
use crate::shop::{self, Shop};

/// Reads a frozen or chosen route.
pub fn read_route(text: &str) -> Result<Route, OpenError> {
    let document = document("route.json", text)?;
    match route::read(&document) {
        Ok((route, _)) => Ok(route),
        Err(problems) => Err(bad(&document, &problems)),
    }
}

/// Refuses a shop file that reads and yet can't be true. A batch that began
/// with one still opens: its plan says so.
pub(super) fn possible_shop(text: &str) -> Result<Shop, OpenError> {
    let shop = read_shop(text)?;
    let document = document("shop.json", text)?;
    let problems = shop::impossible(&document, &shop);
    if problems.is_empty() { Ok(shop) } else { Err(bad(&document, &problems)) }
}

/// Reads a frozen shop file.
pub fn read_shop(text: &str) -> Result<Shop, OpenError> {
    let document = document("shop.json", text)?;
    shop::read(&document).map_err(|problems| bad(&document, &problems))
}

fn document(name: &str, text: &str) -> Result<Document, OpenError> {
    Document::read(name, text).map_err(|problem| OpenError::Bad(problem.render(name, text)))
}

fn bad(document: &Document, problems: &[Problem]) -> OpenError {
    let shown: Vec<String> = problems.iter().take(5).map(|p| document.render(p)).collect();
    OpenError::Bad(shown.join("\n"))
}
