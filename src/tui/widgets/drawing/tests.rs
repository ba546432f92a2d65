//! Drawings at every size: nothing overlaps, nothing is cut off half-way.

use super::super::trial::{ASCII, drawn, draws_at_every_size};
use super::sheet::cells_between;
use super::*;
use crate::measure::Length;
use crate::operation::drawing::{Point, Scale};

/// A point in 64ths of an inch.
fn at(x: i64, y: i64) -> Point {
    Point::new(Length::inch_fraction(x, 64), Length::inch_fraction(y, 64))
}

/// 20 in kept of a 24 in rail, a 1/8 in blade, a stop at the left, from above.
fn crosscut() -> Drawing {
    let inch = 64;
    Drawing::new("from above", Scale::Stretched)
        .block(Material::Wood, at(0, 0), at(20 * inch, 3 * inch))
        .block(Material::Cutter, at(20 * inch, -inch), at(20 * inch + 8, 4 * inch))
        .block(Material::Waste, at(20 * inch + 8, 0), at(24 * inch, 3 * inch))
        .block(Material::Fence, at(-inch, 3 * inch), at(24 * inch, 4 * inch))
        .block(Material::Fence, at(-inch, 0), at(0, 3 * inch))
        .dimension(at(0, -inch), at(20 * inch, -inch), "20")
        .dimension(at(24 * inch, 0), at(24 * inch, 3 * inch), "3")
        .label(at(10 * inch, 3 * inch / 2), "face up")
        .measure_here(at(2 * inch, inch))
}

/// A leg end on the saw table, 1 5/8 square, ripped beside a fence, end view.
fn rip() -> Drawing {
    Drawing::new("end view", Scale::Even)
        .block(Material::Wood, at(0, 0), at(110, 104))
        .block(Material::Waste, at(118, 0), at(150, 104))
        .block(Material::Cutter, at(110, -40), at(118, 112))
        .block(Material::Fence, at(-60, 0), at(0, 160))
        .dimension(at(0, 180), at(110, 180), "1 23/32")
        .dimension(at(150, 0), at(150, 104), "1 5/8")
        .label(at(-30, 80), "fence")
        .measure_here(at(55, 0))
}

/// A tapered leg against a sled, from above: slanted wood and slanted waste.
fn taper() -> Drawing {
    let inch = 64;
    let polygon = |of, points: &[(i64, i64)]| DrawnShape::Polygon {
        of,
        points: points.iter().map(|(x, y)| at(*x, *y)).collect(),
    };
    let mut drawing = Drawing::new("from above", Scale::Stretched);
    drawing.shapes.push(polygon(
        Material::Wood,
        &[(0, 0), (17 * inch, 0), (17 * inch, 56), (5 * inch, 104), (0, 104)],
    ));
    drawing
        .shapes
        .push(polygon(Material::Waste, &[(5 * inch, 104), (17 * inch, 56), (17 * inch, 104)]));
    drawing
        .dimension(at(0, 120), at(5 * inch, 120), "5")
        .dimension(at(5 * inch, 120), at(17 * inch, 120), "12")
        .dimension(at(0, -20), at(17 * inch, -20), "17")
        .dimension(at(17 * inch, 0), at(17 * inch, 56), "7/8")
        .dimension(at(-10, 0), at(-10, 104), "1 5/8")
        .label(at(2 * inch, 50), "top")
}

/// A blade tilted 45 degrees: thin, long and slanted.
fn bevel() -> Drawing {
    let mut drawing = Drawing::new("end view", Scale::Even)
        .block(Material::Wood, at(0, 0), at(224, 56))
        .dimension(at(0, -10), at(168, -10), "2 5/8")
        .dimension(at(168, 0), at(224, 56), "45");
    let points = [(160, -8), (166, -8), (238, 64), (232, 64)];
    let points = points.iter().map(|(x, y)| at(*x, *y)).collect();
    drawing.shapes.push(DrawnShape::Polygon { of: Material::Cutter, points });
    drawing
}

/// 1/32 in off a 7/8 in board by the planer, seen from the side.
fn plane() -> Drawing {
    Drawing::new("from the side", Scale::Stretched)
        .block(Material::Wood, at(0, 0), at(64 * 12, 56))
        .block(Material::Waste, at(0, 56), at(64 * 6, 58))
        .block(Material::Cutter, at(64 * 6, 56), at(64 * 7, 80))
        .block(Material::Fence, at(0, -12), at(64 * 12, 0))
        .dimension(at(64 * 12, 0), at(64 * 12, 56), "7/8")
        .label(at(64 * 3, 28), "face A up")
        .label(at(64 * 6, 90), "knives")
}

fn all() -> [Drawing; 5] {
    [crosscut(), rip(), taper(), bevel(), plane()]
}

/// Always: Every widget draws at every size.
#[test]
fn draws_anywhere() {
    let far = Length::LONGEST * 1000;
    let odd = [
        Drawing::new("", Scale::Even),
        Drawing::new("a point", Scale::Even).block(Material::Wood, at(3, 3), at(3, 3)),
        Drawing::new("a size alone", Scale::Even).dimension(at(0, 0), at(9, 0), "9/64"),
        Drawing::new("far", Scale::Stretched)
            .block(Material::Wood, at(0, 0), Point::new(far, -far))
            .dimension(Point::new(-far, far), Point::new(far, -far), "too long")
            .label(Point::new(far, far), "木木木木木")
            .measure_here(Point::new(-far, far)),
        Drawing {
            shapes: vec![DrawnShape::Polygon { of: Material::Wood, points: vec![] }],
            ..crosscut()
        },
    ];
    for drawing in all().iter().chain(&odd) {
        draws_at_every_size(|theme| DrawingView { drawing, emphasis: Emphasis::None, theme });
    }
}

/// 1/8 in of 25 in is a fifth of a column at 40 columns.
#[test]
fn a_thin_blade_is_seen_at_every_size() {
    let drawing = crosscut();
    for width in 12..60 {
        for height in 4..20 {
            let text = drawn(
                DrawingView { drawing: &drawing, emphasis: Emphasis::None, theme: ASCII },
                width,
                height,
            );
            let shapes = text.rsplit_once('\n').map_or("", |(shapes, _)| shapes);
            assert!(shapes.contains('#'), "{width}x{height}\n{text}");
        }
    }
}

/// A tilted blade has a cell in every row it passes.
#[test]
fn a_thin_slanted_shape_has_no_gaps() {
    let blade = Outline::new([(2.0, 9.0), (2.3, 9.0), (11.3, 0.0), (11.0, 0.0)].into_iter());
    let cells = blade.cells(20, 10);
    for row in 0..9 {
        assert!(cells.iter().any(|cell| cell.1 == row), "row {row}");
    }
    for column in 3..11 {
        assert!(cells.iter().any(|cell| cell.0 == column), "column {column}");
    }
}

/// By hand: the middle of cells 2, 3 and 4 lies between 2.5 and 5.5.
#[test]
fn neighbours_share_no_cell_and_leave_none_between() {
    assert_eq!(cells_between(2.5, 5.5, 10), 2..=4);
    assert_eq!(cells_between(5.5, 7.0, 10), 5..=6);
    assert_eq!(cells_between(5.6, 5.7, 10), 5..=5);
}

/// By eye the fence is 3 wide and the blade 1 in the smallest of these: a text
/// longer than the wood between them is left out.
#[test]
fn no_text_lies_over_fence_or_cutter() {
    let count = |text: &str, sign| text.matches(sign).count();
    let bare = |drawing: &Drawing| Drawing {
        shapes: drawing
            .shapes
            .iter()
            .map(|shape| match shape {
                DrawnShape::Label { at, .. } if at.x > Length::ZERO => {
                    DrawnShape::Label { at: *at, text: String::new() }
                }
                other => other.clone(),
            })
            .collect(),
        ..drawing.clone()
    };
    let labelled = rip().label(at(55, 60), "flat face down").label(at(114, 30), "blade");
    for width in 16..60 {
        for height in 6..20 {
            let shapes = |drawing: &Drawing| {
                let text = drawn(
                    DrawingView { drawing, emphasis: Emphasis::None, theme: ASCII },
                    width,
                    height,
                );
                text.rsplit_once('\n').map_or(String::new(), |(shapes, _)| shapes.to_owned())
            };
            let (with, without) = (shapes(&labelled), shapes(&bare(&labelled)));
            for sign in ["#", "%"] {
                assert_eq!(count(&with, sign), count(&without, sign), "{width}x{height}\n{with}");
            }
        }
    }
}

/// A gauge line 1/2 in from the edge of a board 4 in wide, and one at 3 1/2 in.
#[test]
fn marks_across_are_seen() {
    let inch = 64;
    let drawing = Drawing::new("from above", Scale::Stretched)
        .block(Material::Wood, at(0, 0), at(40 * inch, 4 * inch))
        .mark(at(0, inch), at(40 * inch, inch))
        .mark(at(0, 3 * inch), at(40 * inch, 3 * inch));
    let text =
        drawn(DrawingView { drawing: &drawing, emphasis: Emphasis::None, theme: ASCII }, 30, 9);
    let lines: Vec<&str> = text.lines().filter(|line| line.contains("------")).collect();
    // The two ends of the board, and the two marks.
    assert_eq!(lines.len(), 4, "{text}");
}

#[test]
fn texts_are_whole_or_absent() {
    let drawing = rip();
    for width in 0..60 {
        for height in 0..20 {
            let text = drawn(
                DrawingView { drawing: &drawing, emphasis: Emphasis::None, theme: ASCII },
                width,
                height,
            );
            let rest = text.replace("1 23/32", "");
            assert!(!rest.contains("23") && !rest.contains("32"), "{width}x{height}\n{text}");
        }
    }
}

/// A drawing in units of 1/64 in, each a column wide and a row high where the window
/// leaves it as many columns and rows.
fn text_of(drawing: &Drawing, width: u16, height: u16) -> Vec<String> {
    let view = DrawingView { drawing, emphasis: Emphasis::None, theme: ASCII };
    drawn(view, width, height).lines().map(str::to_owned).collect()
}

/// By hand: 16 by 6 of wood. A row above for the word, one below for the size, and
/// four columns on each side for a size: text, gap, line, gap. Its word is centred on
/// its point, the size in the middle of its line with a blank on each side.
#[test]
fn sizes_outside_get_rows_and_columns_of_their_own() {
    let drawing = Drawing::new("from above", Scale::Stretched)
        .block(Material::Wood, at(0, 0), at(16, 6))
        .label(at(8, 8), "stop")
        .dimension(at(-2, 0), at(-2, 6), "6")
        .dimension(at(18, 0), at(18, 6), "7")
        .dimension(at(0, -1), at(16, -1), "16");
    let expected = [
        "          stop",
        "  ^ +--------------+ ^",
        "  | |..............| |",
        "6 | |..............| | 7",
        "  | |..............| |",
        "  | |..............| |",
        "  v +--------------+ v",
        "    <----- 16 ----->",
        "from above  not to scale",
    ];
    assert_eq!(text_of(&drawing, 24, 9), expected);
}

/// By hand: from column 2 to 9 in the row below the third, and from row 1 to 4 in
/// column 13, its size beside it.
#[test]
fn sizes_inside_stay_where_they_are() {
    let drawing = Drawing::new("end view", Scale::Stretched)
        .block(Material::Wood, at(0, 0), at(20, 6))
        .dimension(at(2, 3), at(10, 3), "8")
        .dimension(at(13, 1), at(13, 5), "4");
    let expected = [
        "+------------------+",
        "|............^.....|",
        "|............| 4 ..|",
        "|.<- 8 -->...|.....|",
        "|............v.....|",
        "+------------------+",
        "end view",
    ];
    assert_eq!(text_of(&drawing, 20, 7), expected);
}

/// A diagonal has a stroke in each of its columns and rows, and its size two columns
/// right of its middle.
#[test]
fn diagonals_rise_or_fall() {
    let with = |from: Point, to: Point| {
        let wood =
            Drawing::new("end view", Scale::Stretched).block(Material::Wood, at(0, 0), at(10, 6));
        text_of(&wood.dimension(from, to, "7"), 10, 7)
    };
    let rising = [
        "+--------+",
        "|..../...|",
        "|.../....|",
        "|../ 7 ..|",
        "|./......|",
        "+/-------+",
        "end view",
    ];
    assert_eq!(with(at(1, 1), at(5, 5)), rising);
    let falling = [
        "+--------+",
        "|\\.......|",
        "|.\\......|",
        "|..\\ 7 ..|",
        "|...\\....|",
        "+----\\---+",
        "end view",
    ];
    assert_eq!(with(at(1, 5), at(5, 1)), falling);
    assert_eq!(with(at(5, 1), at(1, 5)), falling);
}

/// The size is of the whole, 0 to 16, and the marks of the gauge go in to where the
/// wood is: from column 4 to 11.
#[test]
fn the_gauge_goes_on_the_wood() {
    let drawing = Drawing::new("end view", Scale::Stretched)
        .block(Material::Waste, at(0, 0), at(4, 5))
        .block(Material::Wood, at(4, 0), at(12, 5))
        .block(Material::Waste, at(12, 0), at(16, 5))
        .dimension(at(0, -1), at(16, -1), "")
        .measure_here(at(8, 2));
    let expected = [
        "////+------+////",
        "////|......|////",
        "////|......|////",
        "////*......*////",
        "////+------+////",
        "<-------------->",
        "end view",
    ];
    assert_eq!(text_of(&drawing, 16, 7), expected);
}

/// A letter on an outline has a blank on either side from five columns on, and two from nine; at
/// the left and right it has one toward the wood. Four columns have no room for any.
#[test]
fn a_face_has_blanks_beside_its_letter() {
    let end = Drawing::new("", Scale::Stretched)
        .block(Material::Wood, at(0, 0), at(64, 64))
        .label(at(32, 58), "A")
        .label(at(4, 32), "B")
        .label(at(32, 6), "C")
        .label(at(60, 32), "D");
    for (columns, rows) in [
        (4, ["+-A+", "|..|", "B..D", "|..|", "+-C+"]),
        (5, ["+ A +", "|...|", "B . D", "|...|", "+ C +"]),
        (8, ["+-- A -+", "|......|", "B .... D", "|......|", "+-- C -+"]),
        (9, ["+-  A  -+", "|.......|", "B ..... D", "|.......|", "+-  C  -+"]),
    ] {
        let view = DrawingView { drawing: &end, emphasis: Emphasis::None, theme: ASCII };
        assert_eq!(drawn(view, columns, 6).trim_end(), rows.join("\n"));
    }
}
