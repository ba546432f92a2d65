//! A text as dots, half rows high, before it is drawn in cells.

use super::GAP;
use super::pattern::pattern;

/// A grid of dots in columns and half rows.
pub(super) struct Dots {
    pub(super) width: u16,
    pub(super) height: u16,
    lit: Vec<bool>,
}

/// A mixed number taken apart: `13 9/16`.
pub(super) struct Mixed<'a> {
    whole: &'a str,
    /// `9/16`.
    pub(super) fraction: &'a str,
}

/// Takes a mixed number apart; none where a text is something else.
pub(super) fn mixed(text: &str) -> Option<Mixed<'_>> {
    let (whole, fraction) = text.split_once(' ')?;
    let (over, under) = fraction.split_once('/')?;
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let whole_figures = whole.strip_prefix('-').unwrap_or(whole);
    let is_mixed = is_number(whole_figures) && is_number(over) && is_number(under);
    is_mixed.then_some(Mixed { whole, fraction })
}

impl Dots {
    /// A text with dots of so many columns and half rows. Half a dot needs half
    /// blocks, so in ASCII a fraction is as tall as the rest.
    pub(super) fn of(text: &str, dot: (u16, u16), ascii: bool) -> Option<Dots> {
        if text.is_empty() {
            return None;
        }
        match mixed(text) {
            Some(Mixed { whole, .. }) if dot.0 == 1 => Dots::line(whole, dot),
            Some(parts) if !ascii => Dots::mixed(&parts, dot),
            _ => Dots::line(text, dot),
        }
    }

    fn blank(width: u16, height: u16) -> Dots {
        Dots { width, height, lit: vec![false; usize::from(width) * usize::from(height)] }
    }

    pub(super) fn is_lit(&self, column: u16, half_row: u16) -> bool {
        let index = usize::from(half_row) * usize::from(self.width) + usize::from(column);
        column < self.width && self.lit.get(index).copied().unwrap_or(false)
    }

    fn fill(&mut self, columns: (u16, u16), half_rows: (u16, u16)) {
        for half_row in half_rows.0..half_rows.1.min(self.height) {
            for column in columns.0..columns.1.min(self.width) {
                let index = usize::from(half_row) * usize::from(self.width) + usize::from(column);
                self.lit[index] = true;
            }
        }
    }

    /// Puts another grid into this one.
    fn put(&mut self, other: &Dots, left: u16, top: u16) {
        for half_row in 0..other.height {
            for column in 0..other.width {
                if other.is_lit(column, half_row) {
                    let (x, y) = (left + column, top + half_row);
                    self.fill((x, x + 1), (y, y + 1));
                }
            }
        }
    }

    /// Signs side by side, every dot alike.
    fn line(text: &str, (wide, high): (u16, u16)) -> Option<Dots> {
        let signs: Vec<_> = text.chars().map(pattern).collect::<Option<_>>()?;
        // A pattern is at most five wide.
        let columns = signs.iter().map(|sign| sign[0].len() as u16 + GAP);
        let columns = columns.fold(0, u16::saturating_add).saturating_sub(GAP);
        // Beyond any window: it can't be drawn so tall.
        let width = columns.checked_mul(wide).filter(|width| *width < 2000)?;
        let mut dots = Dots::blank(width, high * 5);
        let mut left = 0;
        for sign in signs {
            for (row, line) in (0..).zip(sign) {
                for (column, _) in (0..).zip(line.bytes()).filter(|(_, dot)| *dot == b'#') {
                    let x = left + column * wide;
                    dots.fill((x, x + wide), (row * high, (row + 1) * high));
                }
            }
            left += wide * (sign[0].len() as u16 + GAP);
        }
        Some(dots)
    }

    /// Figures of about half the height, of strokes half as thick. Where half a
    /// dot is no whole one, the room between strokes takes what is over.
    fn small(text: &str, dot: u16) -> Option<Dots> {
        let (stroke, room) = (dot / 2, dot.div_ceil(2));
        if stroke == room {
            return Dots::line(text, (stroke, stroke));
        }
        let rows = [stroke, room, stroke, room, stroke];
        let columns = [stroke, room, stroke];
        let signs: Vec<_> = text.chars().map(pattern).collect::<Option<_>>()?;
        let each = columns.iter().sum::<u16>();
        let many = signs.len() as u16;
        let mut dots = Dots::blank(many * each + (many - 1) * stroke, rows.iter().sum());
        for (n, sign) in (0..).zip(signs) {
            let mut top = 0;
            for (line, high) in sign.iter().zip(rows) {
                let mut left = n * (each + stroke);
                for (mark, wide) in line.bytes().zip(columns) {
                    if mark == b'#' {
                        dots.fill((left, left + wide), (top, top + high));
                    }
                    left += wide;
                }
                top += high;
            }
        }
        Some(dots)
    }

    fn mixed(parts: &Mixed<'_>, (wide, high): (u16, u16)) -> Option<Dots> {
        let (over, under) = parts.fraction.split_once('/')?;
        let whole = Dots::line(parts.whole, (wide, high))?;
        let (over, under) = (Dots::small(over, wide)?, Dots::small(under, wide)?);
        let (half, gap) = (wide / 2, wide + wide / 2);
        // The stroke leans by as many columns as there are rows, less where a
        // thick one would take more room than the figures.
        let rows = whole.height.div_ceil(2);
        let lean = if half * 2 == wide { rows - 1 } else { rows - 2 };
        let thick = wide.div_ceil(2);
        let stroke = lean + thick;
        let numerator = whole.width + gap;
        let denominator = numerator + over.width + stroke;
        let mut dots = Dots::blank(denominator + under.width, whole.height);
        dots.put(&whole, 0, 0);
        dots.put(&over, numerator, 0);
        dots.put(&under, denominator, whole.height - under.height);
        for row in 0..rows {
            let from_bottom = rows - 1 - row;
            let x = numerator + over.width + (from_bottom * lean + (rows - 1) / 2) / (rows - 1);
            dots.fill((x, x + thick), (row * 2, row * 2 + 2));
        }
        Some(dots)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Figures, a blank, figures, a stroke, figures; a minus before them all.
    #[test]
    fn a_mixed_number_is_whole_over_and_under() {
        let taken_apart = |text| mixed(text).map(|parts| (parts.whole, parts.fraction));
        assert_eq!(taken_apart("13 9/16"), Some(("13", "9/16")));
        assert_eq!(taken_apart("-1 1/2"), Some(("-1", "1/2")));
        for other in [
            "13", "9/16", "1 /2", "1 1/", " 1/2", "- 1/2", "--1 1/2", "x 1/2", "1 x/2", "1 1/x",
            "1 1/2/3", "1 1", "1  1/2", "1.5 1/2",
        ] {
            assert_eq!(taken_apart(other), None, "{other:?}");
        }
    }

    /// By hand: a minus of three columns and a figure of three with a gap between, each dot
    /// two columns wide and one half row high. Nothing is lit beyond the edge.
    #[test]
    fn a_dot_is_as_wide_and_high_as_asked() {
        let dots = Dots::of("77", (2, 3), false).expect("two figures");
        assert_eq!((dots.width, dots.height), ((3 + GAP + 3) * 2, 5 * 3));
        // The top of a seven is lit from end to end; the gap after it is dark.
        let lit = |row| (0..dots.width).filter(|x| dots.is_lit(*x, row)).collect::<Vec<_>>();
        let figure = |left: u16| left..left + 6;
        let top: Vec<u16> = figure(0).chain(figure((3 + GAP) * 2)).collect();
        assert_eq!([0, 1, 2].map(lit), [top.clone(), top.clone(), top]);
        assert!(!dots.is_lit(dots.width, 0) && !dots.is_lit(0, dots.height));
        assert!(Dots::of("", (2, 3), false).is_none());
    }
}
