//! Hatching as lines, clipped to what they fill: they print alike everywhere, where a
//! pattern may come out as a blur.

/// A place in millimetres of paper.
pub(super) type Spot = (f64, f64);

/// The lines at 45 degrees that fill a polygon, so far apart; rising to the right, or
/// falling.
pub(super) fn hatching(corners: &[Spot], apart: f64, rising: bool) -> Vec<(Spot, Spot)> {
    let turn = if rising { 1.0 } else { -1.0 };
    // A line is where x * turn + y has one value; along it x grows.
    let across = |(x, y): Spot| x * turn + y;
    let values = corners.iter().map(|corner| across(*corner));
    let (low, high) =
        values.fold((f64::MAX, f64::MIN), |(low, high), at| (low.min(at), high.max(at)));
    let step = apart * std::f64::consts::SQRT_2;
    let mut lines = Vec::new();
    let mut at = (low / step).ceil() * step;
    while at < high {
        let mut crossed: Vec<Spot> = Vec::new();
        for (one, other) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            let (a, b) = (across(*one), across(*other));
            // An end belongs to the edge that rises from it, so a corner counts once.
            if (a <= at) != (b <= at) {
                let share = (at - a) / (b - a);
                crossed
                    .push((one.0 + (other.0 - one.0) * share, one.1 + (other.1 - one.1) * share));
            }
        }
        crossed.sort_by(|one, other| one.0.total_cmp(&other.0));
        lines.extend(crossed.chunks_exact(2).map(|pair| (pair[0], pair[1])));
        at += step;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: in a square of 10 from 0.1, 0.2 the sum of both runs from 0.3 to 20.3, and
    /// 1 apart are multiples of 1.414: the 1st to the 14th. Their difference runs from -9.9
    /// to 10.1: the -7th to the 7th. In a U the gap between its arms stays free.
    #[test]
    fn lines_fill_a_shape_and_nothing_else() {
        let square = [(0.1, 0.2), (10.1, 0.2), (10.1, 10.2), (0.1, 10.2)];
        let lines = hatching(&square, 1.0, true);
        assert_eq!(lines.len(), 14);
        assert_eq!(hatching(&square, 1.0, false).len(), 15);
        let u = [
            (0.0, 0.0),
            (3.0, 0.0),
            (3.0, 8.0),
            (6.0, 8.0),
            (6.0, 0.0),
            (9.0, 0.0),
            (9.0, 9.0),
            (0.0, 9.0),
        ];
        let middle = |((a, b), (c, d)): &(Spot, Spot)| ((a + c) / 2.0, (b + d) / 2.0);
        for line in hatching(&u, 0.7, true) {
            let (x, y) = middle(&line);
            assert!(!(3.0 < x && x < 6.0 && y < 8.0), "{line:?}");
        }
    }
}
