//! A shop and a route written in a test, the plan of them, and its numbers by
//! the number of an operation and a name.

use benchway::document::Document;
use benchway::measure::{Length, Unit, parse_written};
use benchway::operation::{FactAmount, NamedSetting, Outcome};
use benchway::plan::Plan;
use benchway::prose::Level;
use benchway::route::{self, Route};
use benchway::shop::{self, Shop};

/// The bundled shop with some values changed, each by its JSON pointer.
pub fn shop(changes: &[(&str, serde_json::Value)]) -> Shop {
    let mut file: serde_json::Value = serde_json::from_str(shop::BUNDLED).unwrap();
    for (pointer, value) in changes {
        let (parent, key) = pointer.rsplit_once('/').unwrap();
        file.pointer_mut(parent).unwrap()[key] = value.clone();
    }
    let document = Document::read("shop.json", file.to_string()).unwrap();
    shop::read(&document).unwrap_or_else(|problems| panic!("{problems:?}"))
}

/// The route in a text, or every problem as a person sees it.
pub fn try_route(text: &str) -> Result<Route, String> {
    let document = Document::read("route.json", text).unwrap();
    match route::read(&document) {
        Ok((route, _)) => Ok(route),
        Err(problems) => Err(problems.iter().map(|problem| document.render(problem)).collect()),
    }
}

/// A route of one part called `piece`, in a unit: its dimensions, the other
/// keys of the part, and its operations.
pub fn try_route_of(unit: &str, dims: &str, part: &str, operations: &str) -> Result<Route, String> {
    try_route(&format!(
        r#"{{ "route": "Worked by hand", "unit": "{unit}", "sets": 1, "dims": {{ {dims} }},
        "parts": {{ "piece": {{ "per_set": 1, {part} }} }},
        "operations": [ {operations} ] }}"#
    ))
}

/// A route of one part called `piece`, in inches.
pub fn route_of(dims: &str, part: &str, operations: &str) -> Route {
    try_route_of("in", dims, part, operations).unwrap_or_else(|problems| panic!("{problems}"))
}

/// The sizes of the stock of a part, as a route file writes them.
pub fn stock(thickness: &str, width: &str, length: &str) -> String {
    format!(
        r#""stock": {{ "thickness": "{thickness}", "width": "{width}", "length": "{length}" }}"#
    )
}

/// A length as a person writes it: `3 5/8`, `0.354`, `12mm`; a bare number is inches.
pub fn inches(text: &str) -> Length {
    parse_written(text, Unit::Inch).unwrap()
}

pub fn in_thousandths(length: Length) -> i64 {
    length.ratio(Length::thousandths(1)).round() as i64
}

/// A number of thousandths as a route file writes it: `-45` becomes `-0.045`.
pub fn as_decimal(thousandths: i64) -> String {
    let sign = if thousandths < 0 { "-" } else { "" };
    format!("{sign}{}.{:03}", thousandths.abs() / 1000, thousandths.abs() % 1000)
}

/// What an operation does to the first of its groups.
pub fn outcome(plan: &Plan, op: u32) -> &Outcome {
    &plan.operation(op).unwrap().groups[0].outcome
}

pub fn setting<'p>(plan: &'p Plan, op: u32, name: &str) -> &'p NamedSetting {
    let settings = &outcome(plan, op).settings;
    settings.iter().find(|setting| setting.name == name).unwrap_or_else(|| panic!("{settings:?}"))
}

pub fn fact(plan: &Plan, op: u32, what: &str) -> FactAmount {
    let facts = &outcome(plan, op).facts;
    facts.iter().find(|fact| fact.what == what).unwrap_or_else(|| panic!("{what}: {facts:?}")).is
}

/// A fact that is a length.
pub fn size(plan: &Plan, op: u32, what: &str) -> Length {
    let FactAmount::Size(size) = fact(plan, op, what) else { panic!("{what} is no size") };
    size
}

/// A fact that is a whole number.
pub fn number(plan: &Plan, op: u32, what: &str) -> i64 {
    let FactAmount::Number(number) = fact(plan, op, what) else { panic!("{what} is no number") };
    number
}

/// What the plan finds at a level, in the order it finds it.
pub fn findings(plan: &Plan, level: Level) -> Vec<&str> {
    let all = plan.all_findings().filter(|finding| finding.level == level);
    all.map(|finding| finding.what.as_str()).collect()
}

/// What the plan finds at a level at one operation.
pub fn findings_of(plan: &Plan, op: u32, level: Level) -> Vec<&str> {
    let found = plan.operation(op).unwrap().findings.iter();
    found.filter(|finding| finding.level == level).map(|finding| finding.what.as_str()).collect()
}

/// All errors of a plan in one text.
pub fn errors(plan: &Plan) -> String {
    findings(plan, Level::Error).join("; ")
}

/// All warnings of a plan in one text.
pub fn warnings(plan: &Plan) -> String {
    findings(plan, Level::Warning).join("; ")
}
