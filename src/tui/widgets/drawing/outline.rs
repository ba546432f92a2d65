//! A polygon in cells.

use super::sheet::cells_between;

/// A polygon in columns and rows.
pub(super) struct Outline {
    corners: Vec<(f64, f64)>,
    pub(super) slanted: bool,
}

impl Outline {
    pub(super) fn new(corners: impl Iterator<Item = (f64, f64)>) -> Outline {
        let corners: Vec<_> = corners.collect();
        let slanted = edges(&corners).any(|(a, b)| a.0 != b.0 && a.1 != b.1);
        Outline { corners, slanted }
    }

    /// The smallest box around it: left, right, top, bottom.
    fn extent(&self) -> (f64, f64, f64, f64) {
        self.corners.iter().fold(
            (f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY),
            |(left, right, top, bottom), (x, y)| {
                (left.min(*x), right.max(*x), top.min(*y), bottom.max(*y))
            },
        )
    }

    pub(super) fn is_thin(&self) -> bool {
        let (left, right, top, bottom) = self.extent();
        right - left < 1.0 || bottom - top < 1.0
    }

    /// The cells whose centre is inside. Where it is thinner than a cell it
    /// still gets one in every row and column it passes, so it has no gaps.
    pub(super) fn cells(&self, columns: i32, rows: i32) -> Vec<(i32, i32)> {
        let (left, right, top, bottom) = self.extent();
        let mut cells = Vec::new();
        for row in touched(top, bottom, rows) {
            for (from, to) in self.crossings(f64::from(row) + 0.5, |(x, y)| (x, y)) {
                cells.extend(cells_between(from, to, columns).map(|column| (column, row)));
            }
        }
        for column in touched(left, right, columns) {
            for (from, to) in self.crossings(f64::from(column) + 0.5, |(x, y)| (y, x)) {
                cells.extend(cells_between(from, to, rows).map(|row| (column, row)));
            }
        }
        if cells.is_empty() && !self.corners.is_empty() {
            let middle = ((left + right) / 2.0, (top + bottom) / 2.0);
            cells.push((middle.0.floor() as i32, middle.1.floor() as i32));
        }
        cells
    }

    /// Where a line at `level` enters and leaves; `turn` says which axis is level.
    fn crossings(
        &self,
        level: f64,
        turn: fn((f64, f64)) -> (f64, f64),
    ) -> impl Iterator<Item = (f64, f64)> {
        let mut met: Vec<f64> = edges(&self.corners)
            .map(|(a, b)| (turn(a), turn(b)))
            .filter(|(a, b)| (a.1 <= level) != (b.1 <= level))
            .map(|(a, b)| a.0 + (b.0 - a.0) * (level - a.1) / (b.1 - a.1))
            .collect();
        met.sort_by(f64::total_cmp);
        (0..met.len() / 2).map(move |pair| (met[2 * pair], met[2 * pair + 1]))
    }
}

/// The rows or columns a stretch touches, of so many.
fn touched(from: f64, to: f64, count: i32) -> std::ops::Range<i32> {
    // Casting a float saturates, so what lies far outside does no harm.
    (from.floor() as i32).max(0)..(to.ceil() as i32).min(count)
}

fn edges(corners: &[(f64, f64)]) -> impl Iterator<Item = ((f64, f64), (f64, f64))> {
    let next = corners.iter().cycle().skip(1);
    corners.iter().copied().zip(next.copied())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: from column 2 to 5 and row 1 to 3 the middles of 3 x 2 cells are inside.
    #[test]
    fn a_box_has_the_cells_whose_middle_is_inside() {
        let corners = [(2.0, 1.0), (5.0, 1.0), (5.0, 3.0), (2.0, 3.0)];
        let outline = Outline::new(corners.into_iter());
        let mut cells = outline.cells(10, 10);
        cells.sort_unstable();
        cells.dedup();
        assert_eq!(cells, [(2, 1), (2, 2), (3, 1), (3, 2), (4, 1), (4, 2)]);
        assert!(!outline.slanted && !outline.is_thin());
        // Beyond the window there is nothing.
        let mut narrow = outline.cells(3, 2);
        narrow.dedup();
        assert_eq!(narrow, [(2, 1)]);
    }

    /// A point is the cell it lies in, the middle of a thing smaller than a cell too; less
    /// than a column or a row is thin.
    #[test]
    fn what_is_smaller_than_a_cell_has_one() {
        let of = |corners: [(f64, f64); 4]| Outline::new(corners.into_iter());
        assert_eq!(of([(3.2, 4.7); 4]).cells(10, 10), [(3, 4)]);
        let small = of([(3.6, 4.6), (3.9, 4.6), (3.9, 4.9), (3.6, 4.9)]);
        assert_eq!((small.cells(10, 10), small.is_thin()), (vec![(3, 4)], true));
        let blade = of([(3.0, 1.0), (3.9, 1.0), (3.9, 9.0), (3.0, 9.0)]);
        assert!(blade.is_thin() && !of([(3.0, 1.0), (4.0, 1.0), (4.0, 2.0), (3.0, 2.0)]).is_thin());
    }

    /// A triangle whose long side falls from (0, 0) to (8, 4): in row 0 it has gone one
    /// column at the middle, in row 3 seven; the tip has a cell of its own in the eighth.
    #[test]
    fn a_slanted_side_goes_through_the_middles() {
        let outline = Outline::new([(0.0, 0.0), (8.0, 4.0), (0.0, 4.0)].into_iter());
        assert!(outline.slanted);
        let in_row = |row: i32| {
            let mut columns: Vec<i32> = outline
                .cells(10, 10)
                .into_iter()
                .filter(|cell| cell.1 == row)
                .map(|cell| cell.0)
                .collect();
            columns.sort_unstable();
            columns.dedup();
            columns.len()
        };
        assert_eq!([0, 1, 2, 3].map(in_row), [1, 3, 5, 8]);
    }
}
