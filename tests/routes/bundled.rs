//! A bundled route as a lead writes it anew, and what `check` then says of it.

use benchway::document::{Document, Problem};
use benchway::fits::{self, FitsInput};
use benchway::plan::{self, Known};
use benchway::prose::Level;
use benchway::route::{self, BUNDLED, Bundled};
use benchway::shop::{self, Shop};

pub(crate) fn bundled_shop() -> Shop {
    let document = Document::read("shop.json", shop::BUNDLED).expect("JSON");
    shop::read(&document).expect("the bundled shop")
}

pub(crate) fn bundled(stem: &str) -> &'static Bundled {
    BUNDLED.iter().find(|bundled| bundled.stem == stem).expect("a bundled route")
}

/// The route's text with these dimensions written otherwise, as in an editor.
pub(crate) fn drawn(bundled: &Bundled, sizes: &[(&str, String)]) -> String {
    let document = Document::read(bundled.stem, bundled.text).expect("JSON");
    let dims = document.root().child("dims").expect("dims");
    let mut spans: Vec<_> = sizes
        .iter()
        .map(|(name, size)| {
            let node = dims.child(name).unwrap_or_else(|| panic!("no dimension {name}"));
            (node.child("is").unwrap_or(node).span(), size)
        })
        .collect();
    spans.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    let mut text = bundled.text.to_owned();
    for (span, size) in spans {
        text.replace_range(span, &format!("\"{size}\""));
    }
    text
}

/// The errors that `check` gives of a route.
pub(crate) fn errors(text: &str, shop: &Shop) -> Vec<Problem> {
    let document = Document::read("adapted.json", text).expect("JSON");
    let problems = match route::read(&document) {
        Err(problems) => problems,
        Ok((route, mut problems)) => {
            let known = Known::default();
            let plan = plan::walk(&route, shop, &known);
            problems.extend(plan::problems(&plan, &route, &document));
            let (route, plan, known) = (&route, &plan, &known);
            let input = FitsInput { route, shop, plan, known, readings: None };
            problems.extend(fits::problems(&input, &document));
            problems
        }
    };
    problems.into_iter().filter(|problem| problem.level == Level::Error).collect()
}

/// Errors and what helps, a line each.
pub(crate) fn said(problems: &[Problem]) -> String {
    let each = problems.iter().map(|problem| {
        format!("{}\n  {}\n", problem.what, problem.help.as_deref().unwrap_or_default())
    });
    each.collect()
}
