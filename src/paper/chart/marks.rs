//! The marks of readings in a chart: a shape for each verdict, the words for them, and where
//! there is room for a number beside one.

use maud::{Markup, html};

use super::{LETTERS, RowChart, RowShape};
use crate::paper::axis::{text_width, written};

/// Every shape with its words, the usual one first.
pub(super) const SHAPES: [(RowShape, &str); 5] = [
    (RowShape::Within, "within limits"),
    (RowShape::Out, "out of limits"),
    (RowShape::TooClose, "too close to call"),
    (RowShape::Pattern, "completes a pattern"),
    (RowShape::Struck, "struck out"),
];

/// A mark, with its name for whoever points at it.
pub(super) fn mark(shape: RowShape, (x, y): (f64, f64), size: f64, name: Option<&str>) -> Markup {
    let class = match shape {
        RowShape::Within => "within",
        RowShape::Out => "out",
        RowShape::TooClose => "close",
        RowShape::Pattern => "pattern",
        RowShape::Struck => "struck",
    };
    let wider = written(size * 1.7);
    html! {
        g class=(class) transform=(format!("translate({} {})", written(x), written(y))) {
            @if let Some(name) = name { title { (name) } }
            @match shape {
                RowShape::Within => circle r=(written(size)) {},
                RowShape::TooClose => circle r=(written(size)) fill="#fff" stroke="#000" stroke-width="1.5" {},
                RowShape::Pattern => path fill="#fff" stroke="#000" stroke-width="1.5"
                    d=(format!("M-{0}-{0}h{1}v{1}h-{1}z", written(size), written(size * 2.0))) {},
                RowShape::Out => path fill="#fff" stroke="#000" stroke-width="1.8"
                    d=(format!("M0-{0}L{0} 0 0 {0}-{0} 0z", wider)) {},
                RowShape::Struck => {
                    circle r=(written(size * 0.8)) fill="#fff" stroke="#777" stroke-width="1" {}
                    path stroke="#555" stroke-width="1"
                        d=(format!("M-{0}-{0}L{0} {0}M-{0} {0}L{0}-{0}", written(size * 1.2))) {}
                },
            }
        }
    }
}

/// The words for the shapes that occur, in a row; none where all readings are within limits.
pub(super) fn legend(chart: &RowChart, y: f64) -> Option<Markup> {
    let occurs = |shape: RowShape| chart.readings().any(|(_, reading)| reading.shape == shape);
    // Without limits a dot is only a reading.
    let has_limits = chart.lines.iter().any(|line| line.kind == super::RowLineKind::Limit);
    let own = SHAPES.iter().filter(|(shape, _)| occurs(*shape));
    let own: Vec<&(RowShape, &str)> =
        own.filter(|(shape, _)| *shape != RowShape::Within || has_limits).collect();
    let tells = own.iter().any(|(shape, _)| *shape != RowShape::Within);
    let mut x = 6.0;
    let mut placed = Vec::new();
    for (shape, words) in own {
        placed.push((*shape, *words, x));
        x += text_width(words, LETTERS) + 26.0;
    }
    tells.then(|| {
        html! {
            @for (shape, words, x) in placed {
                (mark(shape, (x, y - 4.0), 3.2, None))
                text x=(written(x + 9.0)) y=(written(y)) { (words) }
            }
        }
    })
}

/// The first letter as a capital.
pub(super) fn sentence_case(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The room that numbers beside marks have taken: from where to where, and on which line.
#[derive(Debug, Default)]
pub(super) struct LabelBoxes(Vec<(f64, f64, f64)>);

impl LabelBoxes {
    /// A free place for a number beside a mark: its left end and the line it stands on. None
    /// where all places near it are taken.
    pub(super) fn free(
        &mut self,
        (x, y): (f64, f64),
        text: &str,
        is_high: bool,
        (left, right): (f64, f64),
        (top, bottom): (f64, f64),
    ) -> Option<(f64, f64)> {
        let wide = text_width(text, LETTERS);
        let (above, below) = (y - 9.0, y + 8.0 + LETTERS);
        let heights = if is_high { [above, below] } else { [below, above] };
        let from = (x - wide / 2.0).clamp(left, (right - wide).max(left));
        let beside = [(x + 8.0, y + 4.0), (x - 8.0 - wide, y + 4.0)];
        let tries = heights.into_iter().map(|y| (from, y)).chain(beside);
        let tries = tries.chain([12.0, -12.0].map(|by| (from, above + by)));
        let fits = |(from, y): &(f64, f64)| {
            let inside = *from >= left && from + wide <= right && *y >= top && *y <= bottom;
            let apart = |(start, end, line): &(f64, f64, f64)| {
                from + wide + 4.0 < *start || *end + 4.0 < *from || (line - y).abs() >= LETTERS
            };
            inside && self.0.iter().all(apart)
        };
        let found = tries.into_iter().find(fits)?;
        self.0.push((found.0, found.0 + wide, found.1));
        Some(found)
    }
}
