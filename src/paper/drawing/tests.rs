//! Laws of every drawing of the bundled routes on paper: the lengths it shows, and texts
//! that can be read.

use super::pen::PaperBox;
use super::*;
use crate::journal::{read_route, read_shop};
use crate::measure::Length;
use crate::operation::drawing::{Material, Point, Scale};
use crate::plan::{Known, walk};
use crate::route::BUNDLED;
use crate::shop;

const ROOM: SheetRoom = SheetRoom { wide: 88.0, high: 50.0 };

/// Calls a check with every drawing of every bundled route.
fn each_drawing(mut check: impl FnMut(&str, &Drawing)) {
    let shop = read_shop(shop::BUNDLED).expect("a shop");
    for bundled in BUNDLED {
        let route = read_route(bundled.text).expect("a route");
        let plan = walk(&route, &shop, &Known::default());
        for planned in &plan.operations {
            let place = format!("{} op {}", bundled.stem, planned.op);
            for group in &planned.groups {
                check(&place, &group.outcome.drawing);
                let passes = group.outcome.passes.iter();
                passes
                    .filter_map(|pass| pass.drawing.as_ref())
                    .for_each(|drawn| check(&place, drawn));
            }
        }
    }
}

fn drawn(drawing: &Drawing) -> String {
    figure(drawing, ROOM).map_or_else(String::new, |figure| figure.into_string())
}

/// A text as it stands in a page.
fn escaped(text: &str) -> String {
    html! { (text) }.into_string()
}

/// Always: Every size and every text of a drawing is on paper as the terminal has it.
#[test]
fn every_text_of_a_drawing_is_on_paper() {
    let mut texts = 0;
    each_drawing(|place, drawing| {
        let page = drawn(drawing);
        for shape in &drawing.shapes {
            let (DrawnShape::Dimension { text, .. } | DrawnShape::Label { text, .. }) = shape
            else {
                continue;
            };
            assert!(
                page.contains(&format!(">{}</text>", escaped(text))) || text.is_empty(),
                "{place}: {text}"
            );
            texts += 1;
        }
    });
    assert!(texts > 1000, "{texts} texts");
}

/// The numbers of an attribute, in the order they stand.
fn numbers_of(text: &str, attribute: &str) -> Vec<f64> {
    let begins = format!(" {attribute}=\"");
    let values = text.split(&begins).skip(1);
    values.filter_map(|rest| rest.split('"').next()?.parse().ok()).collect()
}

/// Always: In a drawing of true shape two extension lines are as far apart as the
/// size between them, in millimetres, to a hundredth.
#[test]
fn a_true_drawing_can_be_measured() {
    let mut measured = 0;
    each_drawing(|place, drawing| {
        let page = drawn(drawing);
        if page.contains("not to scale") {
            return;
        }
        for size in page.split("<g class=\"size\">").skip(1) {
            let size = size.split("</g>").next().unwrap_or_default();
            let [x1, y1] = ["x1", "y1"].map(|name| numbers_of(size, name));
            let ([xa, xb], [ya, yb]) = (&x1[..], &y1[..]) else { continue };
            let said = size.split("stroke\">").nth(1).and_then(|rest| rest.split('<').next());
            let said = said.unwrap_or_default();
            let apart = |from: &Point, to: &Point| {
                let millimetre = |length: Length| length.ratio(Length::MILLIMETRE);
                (millimetre(from.x - to.x).abs(), millimetre(from.y - to.y).abs())
            };
            let is_as_drawn = drawing.shapes.iter().any(|shape| match shape {
                DrawnShape::Dimension { from, to, text } if escaped(text) == said => {
                    let (wide, high) = apart(from, to);
                    let is_near = |one: f64, other: f64| (one - other).abs() < 0.01;
                    // Lines stand side by side or one over the other.
                    is_near((xa - xb).abs(), wide) && high == 0.0
                        || is_near((ya - yb).abs(), high) && wide == 0.0
                }
                _ => false,
            });
            assert!(is_as_drawn, "{place}: {said}");
            measured += 1;
        }
    });
    assert!(measured > 100, "{measured} sizes");
}

/// Always: No text of a drawing covers another one or reaches past its picture.
#[test]
fn texts_on_paper_cover_no_other() {
    let mut wrong = Vec::new();
    each_drawing(|place, drawing| {
        let thin = slimmed(drawing, SLIM, SLIM);
        let fitted = FittedDrawing::new(&thin, ROOM);
        let mut pen = PaperPen::new(&fitted);
        pen.write_beside(&thin);
        pen.write_inside();
        let (texts, page) = (pen.texts(), pen.extent());
        let inside = |text: &PaperBox| {
            page.left <= text.left
                && text.right <= page.right
                && page.top <= text.top
                && text.bottom <= page.bottom
        };
        let cover = texts
            .iter()
            .enumerate()
            .any(|(n, text)| texts[n + 1..].iter().any(|other| text.meets(*other)));
        if cover || !texts.iter().all(inside) {
            wrong.push(place.to_owned());
        }
    });
    assert_eq!(wrong, Vec::<String>::new());
}

fn at(x: i64, y: i64) -> Point {
    Point::new(Length::MILLIMETRE * x, Length::MILLIMETRE * y)
}

/// 100 by 40 mm into 88 by 50: with nothing beside it 88/100 and 49/40 of its size, so
/// the largest usual scale is 4:5.
#[test]
fn a_true_shape_is_drawn_to_a_usual_scale() {
    let block =
        Drawing::new("from above", Scale::Even).block(Material::Wood, at(0, 0), at(100, 40));
    let page = drawn(&block);
    assert!(page.contains("scale 4:5"), "{page}");
    // One millimetre of margin on paper is 1.25 of the thing: 102.5 by 42.5.
    assert!(page.contains("viewBox=\"-1.25 -41.25 102.5 42.5\""), "{page}");
    assert!(page.contains("width=\"82mm\" height=\"34mm\""), "{page}");
}

/// 2000 by 8 mm would be a hair on a sheet; it is stretched, and says so.
#[test]
fn a_long_thin_piece_is_not_to_scale() {
    let strip = |scale| Drawing::new("side", scale).block(Material::Wood, at(0, 0), at(2000, 8));
    for scale in [Scale::Even, Scale::Stretched] {
        assert!(drawn(&strip(scale)).contains("side, not to scale"));
    }
}

/// What a thing is made of shows without colour, and in an order: the later covers the
/// earlier.
#[test]
fn materials_differ_in_grey() {
    let with = |of| drawn(&Drawing::new("", Scale::Even).block(of, at(0, 0), at(20, 20)));
    let [wood, waste, cutter, fence, flaw] =
        [Material::Wood, Material::Waste, Material::Cutter, Material::Fence, Material::Flaw]
            .map(with);
    let hatch = |page: &str| page.matches("fill=\"none\"").count();
    assert_eq!([&wood, &waste, &cutter, &fence, &flaw].map(|page| hatch(page)), [0, 1, 0, 0, 1]);
    assert!(cutter.contains("#111") && fence.contains("#bbb") && wood.contains("#fff"));
    assert!(flaw.len() > waste.len() * 3 / 2, "a flaw is crossed both ways");
}

#[test]
fn a_text_from_a_route_stays_text() {
    let drawing = Drawing::new("<b>", Scale::Even)
        .block(Material::Wood, at(0, 0), at(20, 20))
        .dimension(at(0, -5), at(20, -5), "<script>alert(1)</script>");
    let page = drawn(&drawing);
    assert!(!page.contains("<script") && !page.contains("<b>"), "{page}");
}

#[test]
fn nothing_is_drawn_of_nothing() {
    assert!(figure(&Drawing::new("", Scale::Even), ROOM).is_none());
    let empty = Drawing::new("", Scale::Even).block(Material::Wood, at(0, 0), at(0, 0));
    assert!(!drawn(&empty).contains("NaN"));
}
