//! Pages and drawings as tests read them: the text, the axis, where the marks are.
#![allow(dead_code, reason = "each test file uses the part it needs")]

use benchway::measure::Unit;

/// The text of a page between its tags, with one space where there is any.
pub fn text_of(page: &str) -> String {
    let body = page.split_once("<body>").map_or(page, |(_, body)| body);
    let mut text = String::new();
    let mut is_tag = false;
    for letter in body.chars() {
        match letter {
            '<' => is_tag = true,
            '>' => is_tag = false,
            letter if !is_tag => text.push(letter),
            _ => {}
        }
    }
    for (escaped, letter) in [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&amp;", "&")] {
        text = text.replace(escaped, letter);
    }
    text
}

/// Every element of a drawing that begins so, up to the end of what it holds.
pub fn elements<'a>(svg: &'a str, begins: &'a str) -> impl Iterator<Item = &'a str> {
    svg.split(begins).skip(1)
}

/// The value of an attribute of the element that a text begins in.
pub fn attribute(element: &str, name: &str) -> f64 {
    let (_, value) = element.split_once(&format!(" {name}=\"")).expect("the attribute");
    value.split('"').next().and_then(|value| value.parse().ok()).expect("a number")
}

/// What a place on the axis stands for, from the round numbers beside it that lie furthest
/// apart.
pub fn axis_of(svg: &str, place: &str) -> impl Fn(f64) -> f64 {
    let tick = |element: &str| {
        let (_, text) = element.split_once('>').expect("the end of the tag");
        let text = text.split('<').next().expect("the text");
        (attribute(element, place), text.parse::<f64>().expect("a number"))
    };
    let ticks = elements(svg, "<text").filter(|element| {
        element.split('>').next().is_some_and(|tag| tag.contains(&format!(" {place}=")))
    });
    let ticks: Vec<(f64, f64)> = ticks.map(tick).collect();
    let (first, last) = (ticks[0], ticks[ticks.len() - 1]);
    assert!(ticks.len() > 1, "{svg}");
    move |at| first.1 + (at - first.0) / (last.0 - first.0) * (last.1 - first.1)
}

/// Where the marks of a class are, and in which order.
pub fn marks(svg: &str) -> Vec<(String, f64, f64)> {
    let mark = |element: &str| {
        let (class, rest) = element.split_once('"').expect("a class");
        let (_, place) = rest.split_once("translate(").expect("a place");
        let (x, y) = place.split_once(')').and_then(|(p, _)| p.split_once(' ')).expect("two");
        let number = |text: &str| text.parse::<f64>().expect("a number");
        (class.to_owned(), number(x), number(y))
    };
    let all = elements(svg, "<g class=\"").filter(|element| element.contains("<title>"));
    // The legend has marks too, but they have no names.
    let named = all
        .filter(|element| element.split("</g>").next().is_some_and(|own| own.contains("<title>")));
    named.map(mark).collect()
}

/// A hundredth of the least step that is shown: 0.001 in, 0.01 mm.
pub fn hundredth(unit: Unit) -> f64 {
    match unit {
        Unit::Inch => 0.000_01,
        Unit::Millimetre => 0.000_1,
    }
}
