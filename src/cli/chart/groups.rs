//! Readings charted in small groups, and readings of different parts brought onto one
//! scale.

use std::collections::BTreeMap;

use super::table::ChartReadings;
use super::{Failure, outside};
use crate::series::{
    Aimed, D2_OF_TWO, Subgroups, TooFew, Within, constants, standardized, standardized_groups,
};

/// Groups up to this size are charted by their range; beyond it the range leaves too much
/// unsaid (D. C. Montgomery, Introduction to Statistical Quality Control: 10 to 12).
const RANGE_UP_TO: usize = 10;

/// How readings are put into groups.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grouping {
    pub(super) size: usize,
    pub(super) within: Within,
}

impl Grouping {
    pub(super) fn of(size: usize, within: Option<Within>) -> Grouping {
        let usual = if size <= RANGE_UP_TO { Within::Range } else { Within::StandardDeviation };
        Grouping { size, within: within.unwrap_or(usual) }
    }
}

/// The groups of a chart.
pub(super) struct ChartedGroups {
    pub(super) chart: Subgroups,
    /// How many readings at the end fill no group.
    pub(super) left_over: usize,
    /// The groups, counted from 1, whose range or standard deviation is outside its limits.
    pub(super) out: Vec<usize>,
}

impl ChartedGroups {
    /// The readings in the order they came, so many at a time.
    pub(super) fn of(
        readings: &ChartReadings,
        grouping: Grouping,
        aim: Option<f64>,
        sigma: Option<f64>,
    ) -> Result<ChartedGroups, Failure> {
        let Grouping { size, within } = grouping;
        let full = readings.values.chunks_exact(size);
        let left_over = full.remainder().len();
        let groups: Vec<Vec<f64>> = full.map(<[f64]>::to_vec).collect();
        let too_few = |_| {
            let help = format!("at least {} readings are needed", 2 * size);
            readings.refused("one group can't be charted", &help)
        };
        if groups.len() < 2 {
            return Err(too_few(TooFew { have: groups.len(), need: 2 }));
        }
        let mut chart = Subgroups::of(&groups, within).map_err(too_few)?;
        if let Some(sigma) = sigma {
            let centre = aim.unwrap_or(chart.mean_limits.centre);
            chart = chart.with_standard(centre, sigma);
        }
        let out = match chart.sigma {
            0.0 => Vec::new(),
            _ => outside(&chart.spreads, |spread| chart.spread_limits.holds(spread)),
        };
        Ok(ChartedGroups { chart, left_over, out })
    }
}

/// Divides each deviation by the mean range of its own part, so that parts that scatter
/// unequally share one chart. Gives the standard deviation that readings then have.
pub(super) fn by_own_part(
    readings: &mut ChartReadings,
    grouping: Option<Grouping>,
) -> Result<Option<f64>, Failure> {
    let Some(parts) = &readings.parts else { return Ok(None) };
    let mut numbers: BTreeMap<&str, usize> = BTreeMap::new();
    let numbered: Vec<usize> = parts
        .iter()
        .map(|part| {
            let next = numbers.len();
            *numbers.entry(part.as_str()).or_insert(next)
        })
        .collect();
    let no_range = |_| {
        let what = "a part whose readings don't differ can't be compared with the others";
        readings.refused(what, "leave its readings out, or omit --part")
    };
    let (divided, d2) = match grouping {
        None => {
            let aimed = |(part, off): (&usize, &f64)| (*part, Aimed { value: *off, target: 0.0 });
            let aimed: Vec<_> = numbered.iter().zip(&readings.values).map(aimed).collect();
            (standardized(&aimed).map_err(no_range)?, D2_OF_TWO)
        }
        Some(Grouping { size, .. }) => {
            let mut groups = Vec::new();
            for (parts, values) in numbered.chunks(size).zip(readings.values.chunks(size)) {
                if values.len() < size || parts.iter().any(|part| *part != parts[0]) {
                    let what =
                        format!("group {} isn't {size} readings of one part", groups.len() + 1);
                    let help = "sort the readings so that each group is of one part";
                    return Err(readings.refused(&what, help));
                }
                groups.push((parts[0], values.to_vec()));
            }
            let divided = standardized_groups(&groups).map_err(no_range)?;
            (divided.concat(), constants(size).map_or(D2_OF_TWO, |factors| factors.d2))
        }
    };
    readings.values = divided;
    Ok(Some(1.0 / d2))
}
