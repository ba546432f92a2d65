//! Whether everybody can read a page: contrast, order and names.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::{Value, json};

use crate::bench::near;
use crate::chromium::Chromium;
use crate::layout::LAYOUT;
use crate::pages::pages_once;

const CONTRAST: &str = include_str!("contrast.js");

/// Opens every kind of page in one browser, in these media, and gathers what is wrong.
fn through_all(
    media: &[&str],
    wide: u32,
    mut wrong: impl FnMut(&mut Chromium, &str) -> Vec<String>,
) {
    let mut browser = Chromium::start();
    let mut found = BTreeSet::new();
    for page in pages_once() {
        browser.open(&page.file);
        for media in media {
            browser.shown(media, (wide, 800), wide < 500);
            let told = wrong(&mut browser, media);
            found.extend(told.into_iter().map(|what| format!("{}, {media}: {what}", page.name)));
        }
    }
    let found: Vec<String> = found.into_iter().collect();
    assert!(found.is_empty(), "{}\n{}", found.len(), found.join("\n"));
}

/// By hand: #595959 is 89 of 255, which is ((0.34902 + 0.055) / 1.055)^2.4 = 0.09990; on white
/// 1.05 / 0.14990 = 7.005. #e4e4e4 is 228 of 255, ((0.89412 + 0.055) / 1.055)^2.4 = 0.77582;
/// black on it 0.82582 / 0.05 = 16.516. A white outline of the letters is what they lie on.
#[test]
#[ignore = "needs a browser"]
fn contrast_is_measured_as_the_formula_says() {
    let mut browser = Chromium::start();
    let svg = |more: &str| {
        format!("<svg><rect width=200 height=99 fill=#e4e4e4 /><text y=50 {more}>text</text></svg>")
    };
    for (body, ratio) in [
        ("<p style='color:#595959'>text</p>".to_owned(), 7.005),
        ("<p style='background:#000;color:#fff'>text</p>".to_owned(), 21.0),
        (svg(""), 16.516),
        (svg("stroke=#fff stroke-width=3 paint-order=stroke"), 21.0),
    ] {
        browser.evaluate(&format!("document.body.innerHTML = `{body}`"));
        browser.evaluate(LAYOUT);
        browser.evaluate(CONTRAST);
        near(&browser.evaluate("contrastBelow(7).least"), ratio, 0.001);
    }
}

/// Always: Text has a contrast of at least 7:1, which WCAG 2.2 asks for at its highest level
/// (success criterion 1.4.6), whatever its size.
#[test]
#[ignore = "needs a browser"]
fn every_text_stands_out() {
    let mut least = f64::INFINITY;
    through_all(&["screen", "print"], 1000, |browser, media| {
        // What lies under a text is found only where the window shows it.
        let high = browser.evaluate("document.documentElement.scrollHeight");
        let high = high.as_u64().and_then(|high| u32::try_from(high).ok()).expect("a height");
        browser.shown(media, (1000, high), false);
        browser.evaluate(LAYOUT);
        browser.evaluate(CONTRAST);
        let found = browser.evaluate("contrastBelow(7)");
        least = least.min(found["least"].as_f64().expect("a ratio"));
        let texts: BTreeSet<&str> =
            found["wrong"].as_array().expect("a list").iter().filter_map(Value::as_str).collect();
        texts.into_iter().take(4).map(str::to_owned).collect()
    });
    assert!(least.is_finite(), "no text was found");
    println!("the least contrast is {least:.1}:1");
}

/// Always: A checker of accessibility finds nothing to object to: headings in order, what is
/// drawn named, tables with headings, everything inside a landmark.
#[test]
#[ignore = "needs a browser"]
fn order_and_names_are_right() {
    let folder = std::env::var("BENCHWAY_BROWSER").expect("the folder that `.ci/browser` makes");
    let checker = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder).join("axe.min.js");
    let checker = std::fs::read_to_string(&checker).expect("`.ci/browser` puts it there");
    // The page on the wall reads itself again: that is what it is for, and nothing on it is
    // typed or lost.
    let options = json!({
        "runOnly": ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
        "rules": { "meta-refresh": { "enabled": false }, "meta-refresh-no-exceptions": { "enabled": false },
            // Measured above, against the highest level for letters of every size.
            "color-contrast": { "enabled": false }, "color-contrast-enhanced": { "enabled": false } },
        "resultTypes": ["violations"],
    });
    // On a phone, where some parts of a page scroll.
    through_all(&["screen"], 390, |browser, _| {
        browser.evaluate(&checker);
        let found = browser.evaluate(&format!("axe.run(document, {options})"));
        assert!(found["passes"].as_array().is_some_and(|rules| rules.len() > 5));
        found["violations"].as_array().expect("a list").iter().map(violation).collect()
    });
}

/// A rule that is broken, how often, and where first.
fn violation(broken: &Value) -> String {
    let nodes = broken["nodes"].as_array().expect("a list");
    format!("{} {} times: {} {}", broken["id"], nodes.len(), broken["help"], nodes[0]["html"])
}

/// Always: What is read one after another lies so on the page: nothing is moved by its style.
#[test]
#[ignore = "needs a browser"]
fn the_order_of_reading_is_that_of_the_page() {
    const MOVED: &str = "[...document.body.querySelectorAll('*')].filter((element) => {
        const style = getComputedStyle(element);
        return style.flexDirection.endsWith('reverse') || style.flexWrap.endsWith('reverse')
            || style.order !== '0' || style.gridAutoFlow.includes('dense')
            || element.tabIndex > 0;
    }).map((element) => element.outerHTML.slice(0, 80))";
    through_all(&["screen", "print"], 1000, |browser, _| {
        let moved = browser.evaluate(MOVED);
        let moved = moved.as_array().expect("a list").iter();
        moved.filter_map(Value::as_str).map(str::to_owned).take(2).collect()
    });
}
