//! Laws of the card of every bundled route: what the plan says is on it, box by box.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::*;
use crate::journal::{read_route, read_shop};
use crate::measure::Length;
use crate::operation::words;
use crate::paper::Paper;
use crate::plan::{Known, walk};
use crate::route::BUNDLED;
use crate::shop;
use crate::work::limits_words;

fn card<'a>(route: &'a Route, shop: &'a Shop, plan: &'a Plan) -> CardInput<'a> {
    CardInput { route, shop, plan, batch: None, owners: &[], part: None, owner: None }
}

fn printed(card: &CardInput) -> String {
    route_card(card).html(Paper::A4)
}

/// The text of a page, without its tags.
fn text_of(page: &str) -> String {
    let parts = page.split('<').map(|part| part.split_once('>').map_or(part, |(_, text)| text));
    let text: String = parts.collect();
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

/// The text of every operation on a page: of its own box and of those below it.
fn boxes_of(page: &str) -> BTreeMap<u32, String> {
    let boxes = page.split("<p class=\"operation-number\">").skip(1);
    let number = |held: &str| held.split('<').next().and_then(|op| op.parse().ok());
    boxes.filter_map(|held| Some((number(held)?, text_of(held)))).collect()
}

/// The boxes of every bundled route, printed once for all laws.
fn bundled_boxes() -> &'static [BTreeMap<u32, String>] {
    static BOXES: OnceLock<Vec<BTreeMap<u32, String>>> = OnceLock::new();
    BOXES.get_or_init(|| {
        let shop = read_shop(shop::BUNDLED).expect("a shop");
        let print = |text: &str| {
            let route = read_route(text).expect("a route");
            let plan = walk(&route, &shop, &Known::default());
            boxes_of(&printed(&card(&route, &shop, &plan)))
        };
        BUNDLED.iter().map(|bundled| print(bundled.text)).collect()
    })
}

/// Calls a check with every operation of every bundled route and the text of its box.
fn each_box(check: impl Fn(&Route, &Shop, &PlannedOperation, &str)) {
    let shop = read_shop(shop::BUNDLED).expect("a shop");
    for (bundled, boxes) in BUNDLED.iter().zip(bundled_boxes()) {
        let route = read_route(bundled.text).expect("a route");
        let plan = walk(&route, &shop, &Known::default());
        assert_eq!(plan.operations.len(), boxes.len(), "{}", bundled.stem);
        for planned in &plan.operations {
            check(&route, &shop, planned, &boxes[&planned.op]);
        }
    }
}

/// Always: What every scale must show is on the card as `settings` lists it.
#[test]
fn every_dial_is_on_the_card() {
    each_box(|_, _, planned, text| {
        for outcome in planned.groups.iter().map(|group| &group.outcome) {
            for setting in &outcome.settings {
                assert!(text.contains(&setting.dial_text()), "op {}: {}", planned.op, setting.name);
            }
            for pass in &outcome.passes {
                let row = format!("{}{}", pass.number, pass.dial_text());
                assert!(text.contains(&row), "op {}: pass {row}", planned.op);
                assert!(text.contains(&pass.times()), "op {}: pass {row}", planned.op);
            }
        }
    });
}

/// Always: Every box of a machine has its cautions, and says whose word comes first.
#[test]
fn every_machine_has_its_cautions() {
    each_box(|_, _, planned, text| {
        assert!(planned.at.is_none() || !planned.cautions.is_empty(), "op {}", planned.op);
        for caution in &planned.cautions {
            assert!(text.contains(caution), "op {}: {caution}", planned.op);
        }
        assert!(planned.cautions.is_empty() || text.contains(DEFER), "op {}", planned.op);
    });
}

/// Always: Every check is on the card with its limits, its gauge and where to measure.
#[test]
fn every_check_is_on_the_card() {
    each_box(|route, shop, planned, text| {
        for (n, check) in planned.checks.iter().enumerate() {
            for group in &planned.groups {
                let gauge = shop.gauges.get(&check.gauge);
                let limits = limits_words(&group.limits[n].limits, gauge, route.unit);
                assert!(text.contains(&limits), "op {}: {limits}", planned.op);
            }
            let place = check.place.as_deref().unwrap_or_default();
            assert!(text.contains(&check.gauge) && text.contains(place), "op {}", planned.op);
        }
    });
}

/// Always: What the traveler says of an operation while pieces are cut is on its card.
#[test]
fn every_instruction_is_on_the_card() {
    each_box(|route, _, planned, text| {
        let Some(group) = planned.groups.first() else { return };
        for line in crate::work::while_cutting(planned, group, route.unit) {
            assert!(text.contains(&line), "op {}: {line}", planned.op);
        }
        for place in &group.outcome.places {
            assert!(text.contains(place), "op {}: {place}", planned.op);
        }
    });
}

/// The legs of a stool end 20 long, with two mortises on one inside face and one on the
/// other, by the route's own names.
#[test]
fn a_part_is_drawn_with_what_is_cut_into_it() {
    let (shop, route) =
        (read_shop(shop::BUNDLED).expect("a shop"), read_route(BUNDLED[0].text).expect("a route"));
    let plan = walk(&route, &shop, &Known::default());
    let leg = CardInput { part: Some("leg"), ..card(&route, &shop, &plan) };
    let page = printed(&leg);
    assert_eq!(page.matches("<section class=\"card-part\">").count(), 1);
    let figure = page
        .split("<figure class=\"part\">")
        .nth(1)
        .and_then(|rest| rest.split("</figure>").next());
    let figure = figure.expect("a part is drawn");
    assert_eq!(figure.matches("fill=\"#222\"").count(), 3, "three mortises");
    assert!(text_of(figure).contains(&words(Length::INCH * 20, route.unit)), "{figure}");
    for letter in ["A face side", "B face edge", "C toward", "D toward"] {
        assert!(figure.contains(letter), "{letter}");
    }
}

/// The stool's rails follow the leg, which is measured at op 50, and its mortises, op 80.
#[test]
fn planned_numbers_are_called_planned() {
    let (shop, route) =
        (read_shop(shop::BUNDLED).expect("a shop"), read_route(BUNDLED[0].text).expect("a route"));
    let plan = walk(&route, &shop, &Known::default());
    let boxes = boxes_of(&printed(&card(&route, &shop, &plan)));
    let tenon = &boxes[&170];
    for words in
        ["Planned.", "leg_square (measured at op 50)", "After op 80 dial again from the screen"]
    {
        assert!(tenon.contains(words), "{tenon}");
    }
    assert!(!boxes[&60].contains("Planned."), "nothing is measured before it");
}

#[test]
fn a_route_called_like_a_script_stays_text() {
    let text = BUNDLED[0].text.replacen("Lantern reading stool", "<script>alert(1)</script>", 1);
    let (shop, route) =
        (read_shop(shop::BUNDLED).expect("a shop"), read_route(&text).expect("a route"));
    let plan = walk(&route, &shop, &Known::default());
    let page = printed(&card(&route, &shop, &plan));
    assert!(!page.contains("<script") && page.contains("&lt;script&gt;alert(1)"));
}

/// Always: A page asks nothing of a network and runs nothing.
#[test]
fn a_card_asks_for_nothing() {
    let (shop, route) =
        (read_shop(shop::BUNDLED).expect("a shop"), read_route(BUNDLED[0].text).expect("a route"));
    let plan = walk(&route, &shop, &Known::default());
    let page = printed(&card(&route, &shop, &plan)).replace("http://www.w3.org/2000/svg", "");
    for word in ["http", "url(", "src=", "href=", "<script", "@import", "<link"] {
        assert!(!page.contains(word), "{word}");
    }
}
