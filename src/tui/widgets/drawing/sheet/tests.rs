//! Lanes, sides and cells of a block by hand.

use super::*;
use crate::measure::Length;
use crate::operation::drawing::Material;

fn at(x: i64, y: i64) -> Point {
    Point::new(Length::from_nanometres(x), Length::from_nanometres(y))
}

/// A block of 100 by 60 on 125 columns and 90 rows: a column counts for
/// 100 / 125 x 1.25 = 1, a row for 60 / 90 x 1.5 = 1.
fn lanes_of(drawing: &Drawing) -> [Vec<usize>; 4] {
    let bounds = drawing.bounds();
    let Margins { above, below, left, right, .. } = margins(drawing, bounds, 125, 90);
    let many = |lanes: Vec<Lane>| lanes.iter().map(|lane| lane.of.len()).collect();
    [above, below, left, right].map(many)
}

fn block() -> Drawing {
    Drawing::new("by hand", Scale::Stretched).block(Material::Wood, at(0, 0), at(100, 60))
}

/// A text of four takes four columns and one on either side: 3 from its middle. Two of
/// them share a lane from 6 apart on.
#[test]
fn texts_share_a_lane_where_neither_touches_the_other() {
    for (apart, expected) in [(6, vec![2]), (5, vec![1, 1])] {
        let above = block().label(at(40, 70), "left").label(at(40 + apart, 70), "next");
        assert_eq!(lanes_of(&above), [expected.clone(), vec![], vec![], vec![]]);
        let below = block().label(at(40, -9), "left").label(at(40 + apart, -9), "next");
        assert_eq!(lanes_of(&below), [vec![], expected, vec![], vec![]]);
    }
}

/// A size takes its whole length, or its text where that is longer: `1 1/2` takes 7 and
/// so 3.5 from the middle. From 10 to 20 and from 20 to 30 share a lane, from 19 don't.
#[test]
fn sizes_share_a_lane_end_to_end() {
    for (from, expected) in [(20, vec![2]), (19, vec![1, 1])] {
        let drawing = block().dimension(at(10, 70), at(20, 70), "1 1/2").dimension(
            at(30, 70),
            at(from, 70),
            "1 1/2",
        );
        assert_eq!(lanes_of(&drawing)[0], expected);
    }
    // Both are short: middles at 20 and 27 are 7 apart, at 20 and 26 only 6.
    for (middle, expected) in [(27, vec![2]), (26, vec![1, 1])] {
        let drawing = block().dimension(at(19, 70), at(21, 70), "1 1/2").dimension(
            at(middle - 1, 70),
            at(middle + 1, 70),
            "1 1/2",
        );
        assert_eq!(lanes_of(&drawing)[0], expected);
    }
}

/// Upright sizes take their length, a row at least: half of one on either side.
#[test]
fn upright_sizes_share_a_lane_end_to_end() {
    for (from, expected) in [(20, vec![2]), (19, vec![1, 1])] {
        let upright = |x: i64| {
            block().dimension(at(x, 10), at(x, 20), "3").dimension(at(x, from), at(x, 30), "4")
        };
        assert_eq!(lanes_of(&upright(-5)), [vec![], vec![], expected.clone(), vec![]]);
        assert_eq!(lanes_of(&upright(105)), [vec![], vec![], vec![], expected]);
    }
}

/// A cell is covered where its middle is: 0.5 to 2.5 covers the cells 0 and 1, and 0.6
/// to 1.4 none, so the one in its middle.
#[test]
fn a_stretch_covers_the_cells_whose_middle_it_has() {
    let cells = |from, to| cells_between(from, to, 5);
    assert_eq!([cells(0.5, 2.5), cells(0.51, 2.51)], [0..=1, 1..=2]);
    assert_eq!(cells(0.6, 1.4), 1..=1);
    assert_eq!(cells(-3.0, 9.0), 0..=4);
    assert_eq!(span(7.0, 9.0, 5), (4, 4));
}
