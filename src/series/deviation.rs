//! Readings of different parts made comparable, so that they can share one chart:
//! each is compared with its own target.

use std::collections::BTreeMap;

use super::summary::mean;
use super::{TooFew, moving_ranges, range};

/// A reading and its target.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aimed {
    /// The reading.
    pub value: f64,
    /// What it should be.
    pub target: f64,
}

/// Reading less target. Valid where all parts scatter about equally: D. C. Montgomery,
/// Introduction to Statistical Quality Control, section on short production runs.
pub fn deviations(readings: &[Aimed]) -> Vec<f64> {
    readings.iter().map(|reading| reading.value - reading.target).collect()
}

/// Deviations divided by the mean moving range of their own part, for parts that scatter
/// unequally (same source); without unit, limits 3/d2(2) = 2.66 either way. Each reading
/// comes with the number of its part. The error is about a part whose readings are fewer
/// than two, or all the same distance off.
pub fn standardized(readings: &[(usize, Aimed)]) -> Result<Vec<f64>, TooFew> {
    let off = |reading: &Aimed| reading.value - reading.target;
    let mut of_part: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for (part, reading) in readings {
        of_part.entry(*part).or_default().push(off(reading));
    }
    let divided = readings.iter().map(|(part, reading)| {
        let own = of_part.get(part).map_or(&[][..], Vec::as_slice);
        let range = mean(&moving_ranges(own)).ok().filter(|range| *range > 0.0);
        range.map(|range| off(reading) / range).ok_or(TooFew { have: own.len(), need: 2 })
    });
    divided.collect()
}

/// The same for groups of readings, each of one part: divided by the mean range of the
/// groups of that part, so that the limits are A2 either way, and D3 and D4 for ranges whose
/// mean is 1. Each group comes with the number of its part, as deviations from its target.
pub fn standardized_groups(groups: &[(usize, Vec<f64>)]) -> Result<Vec<Vec<f64>>, TooFew> {
    let mut of_part: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for (part, group) in groups {
        of_part.entry(*part).or_default().push(range(group));
    }
    let divided = groups.iter().map(|(part, group)| {
        let own = of_part.get(part).map_or(&[][..], Vec::as_slice);
        let range = mean(own).ok().filter(|range| *range > 0.0);
        let range = range.ok_or(TooFew { have: group.len(), need: 2 })?;
        Ok(group.iter().map(|off| off / range).collect())
    });
    divided.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn aimed(value: f64, target: f64) -> Aimed {
        Aimed { value, target }
    }

    /// Part 1 is 1, 3 and 2 over its target: its ranges are 2 and 1, 1.5 in the mean.
    /// Part 2 is 4 and 6 over: its range is 2.
    #[test]
    fn each_part_is_divided_by_its_own_range() {
        let readings = [
            (1, aimed(11.0, 10.0)),
            (2, aimed(24.0, 20.0)),
            (1, aimed(13.0, 10.0)),
            (2, aimed(26.0, 20.0)),
            (1, aimed(12.0, 10.0)),
        ];
        let expected = [1.0 / 1.5, 2.0, 2.0, 3.0, 2.0 / 1.5];
        assert_eq!(standardized(&readings).unwrap(), expected);
    }

    /// A part that never varies, or was read once, has no range to be divided by.
    #[test]
    fn a_part_without_a_range_is_refused() {
        let same = [(1, aimed(11.0, 10.0)), (1, aimed(21.0, 20.0))];
        assert_eq!(standardized(&same), Err(TooFew { have: 2, need: 2 }));
        assert_eq!(standardized(&same[..1]), Err(TooFew { have: 1, need: 2 }));
    }
}
