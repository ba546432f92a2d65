//! Draws readings with plain characters, left to right in cut order.

/// Rows of the picture.
const HIGH: usize = 15;

/// A line across the picture.
pub(super) struct PlotLine {
    pub(super) at: f64,
    /// Its label, at the left.
    pub(super) name: String,
    pub(super) sign: char,
}

/// The picture.
pub(super) struct Plot<'r> {
    pub(super) values: &'r [f64],
    /// What a value is called: `reading`, `group`.
    pub(super) each: &'static str,
    /// Readings drawn as `#`: their numbers from 1, ascending.
    pub(super) marked: &'r [usize],
    /// Where two lines share a row, the earlier one is drawn.
    pub(super) lines: Vec<PlotLine>,
    /// The greatest width of a row, in columns.
    pub(super) wide: usize,
}

impl Plot<'_> {
    pub(super) fn draw(&self) -> Vec<String> {
        let n = self.values.len();
        let all = || self.values.iter().copied().chain(self.lines.iter().map(|line| line.at));
        let (low, high) =
            all().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
        // Values that are all equal are drawn on the middle row.
        let row = |value: f64| {
            let share = if high > low { (high - value) / (high - low) } else { 0.5 };
            ((share * (HIGH - 1) as f64).round() as usize).min(HIGH - 1)
        };
        let margin = self.lines.iter().map(|line| line.name.len()).max();
        let margin = margin.unwrap_or(0).max(self.each.len());
        let across = self.wide.saturating_sub(margin + 2).max(1);
        let apart = (across / n.max(1)).clamp(1, 3);
        let column = |i: usize| if n * apart <= across { i * apart } else { i * across / n };
        let width = column(n.saturating_sub(1)) + 1;

        let mut field = vec![vec![' '; width]; HIGH];
        let mut names = vec![""; HIGH];
        for line in self.lines.iter().rev() {
            let at = row(line.at);
            field[at] = (0..width).map(|i| if i % 2 == 0 { line.sign } else { ' ' }).collect();
            names[at] = &line.name;
        }
        for (i, value) in self.values.iter().enumerate() {
            let sign = if self.marked.binary_search(&(i + 1)).is_ok() { '#' } else { 'o' };
            let cell = &mut field[row(*value)][column(i)];
            // Where several readings share a column, a marked one is drawn.
            if *cell != '#' {
                *cell = sign;
            }
        }
        let mut drawn: Vec<String> = field
            .iter()
            .zip(&names)
            .map(|(signs, name)| {
                let signs: String = signs.iter().collect();
                format!("{name:>margin$} |{}", signs.trim_end()).trim_end().to_owned()
            })
            .collect();
        drawn.push(format!("{:>margin$}  {}", self.each, numbered(n, width, column)));
        drawn
    }
}

/// Numbers under the readings, as many as fit.
fn numbered(n: usize, width: usize, column: impl Fn(usize) -> usize) -> String {
    let step = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000].into_iter();
    let digits = n.to_string().len();
    let fits = |step: &usize| column((*step).min(n)) > digits;
    let step = step.chain((1..).map(|k| k * 10_000)).find(|step| fits(step) || *step >= n);
    let step = step.unwrap_or(n).max(1);
    let mut line = " ".repeat(width);
    let places = std::iter::once(1).chain((1..=n / step).map(|k| k * step));
    for place in places {
        let (at, text) = (column(place - 1), place.to_string());
        if line[..at].ends_with(|last: char| last != ' ') && at > 0 || line[at..].trim() != "" {
            continue;
        }
        line.truncate(at);
        line.push_str(&text);
        let rest = width.saturating_sub(line.len());
        line.push_str(&" ".repeat(rest));
    }
    line.trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn line(at: f64, name: &str) -> PlotLine {
        PlotLine { at, name: name.to_owned(), sign: '-' }
    }

    /// By hand: of 15 rows the maximum is on the first, the minimum on the last, the middle on
    /// the 8th.
    #[test]
    fn readings_are_drawn_at_their_heights() {
        let lines = vec![line(1.0, "middle")];
        let plot = Plot { values: &[2.0, 0.0], each: "reading", marked: &[2], lines, wide: 40 };
        let drawn = plot.draw();
        assert_eq!(drawn[0], "        |o");
        assert_eq!(drawn[7], " middle |- -");
        assert_eq!(drawn[14], "        |   #");
        assert_eq!(drawn[15], "reading  1  2");
    }

    proptest! {
        #[test]
        fn draws_anything(
            values in prop::collection::vec(-1e100_f64..1e100, 0..300),
            tail in prop::collection::vec(Just(3.0), 0..40),
            at in -1e100_f64..1e100,
            wide in 0_usize..100,
        ) {
            let values = [values, tail].concat();
            let marked: Vec<usize> = (1..=values.len()).step_by(7).collect();
            let plot =
                Plot { values: &values, each: "reading", marked: &marked, lines: vec![line(at, "limit")], wide };
            let drawn = plot.draw();
            prop_assert_eq!(drawn.len(), HIGH + 1);
            for row in &drawn[..HIGH] {
                prop_assert!(row.len() <= wide.max("reading |o".len()), "{}", row);
            }
            // The last number under the picture may extend past it by its digits.
            prop_assert!(drawn[HIGH].len() <= wide.max("reading  1".len()) + 3);
        }
    }
}
