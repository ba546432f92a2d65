//! What to expect of a row before anything is said of it: how pieces scatter to which
//! nothing happened, how much each reading remembers of the one before, and how close
//! this shop sets its scales.

use super::cause::RowLimits;
use super::{lag_one, median};

/// How many free readings of the spread the shop's own figure for a machine is
/// worth, and how many the usual figure for its kind. Judgement, no source.
const SHOP_IS_WORTH: f64 = 20.0;
const USUAL_IS_WORTH: f64 = 4.0;
/// A spread worth this many free readings counts as known.
const KNOWN_FROM: f64 = 12.0;
/// Moving ranges overlap, so each is worth less than a free reading: their
/// efficiency beside the standard deviation, from memory.
const NEIGHBOURS_ARE_WORTH: f64 = 0.6;
/// The most that rows are worth, since no two setups are alike.
const ROWS_ARE_WORTH: f64 = 30.0;
/// The median of the difference of two from one normal source, over sigma:
/// sqrt(2) times the third quartile 0.67449.
const MEDIAN_RANGE: f64 = 0.953_873;
/// The median distance from the middle, over sigma: the third quartile.
const MEDIAN_DISTANCE: f64 = 0.674_490;

/// The spread of pieces to which nothing happened, and how well it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// One standard deviation, in the unit of the row.
    pub sd: f64,
    /// How many free readings would show it as well.
    pub worth: f64,
    /// How much a reading remembers of the one before: their correlation.
    pub memory: f64,
}

impl Spread {
    /// Whether it is known well enough for the lower threshold.
    pub fn is_known(self) -> bool {
        self.worth >= KNOWN_FROM
    }

    /// So many readings that remember each other tell as much of a level as one free
    /// reading: (1 + r) / (1 - r), of a long row. G. E. P. Box, G. M. Jenkins and
    /// G. C. Reinsel, Time Series Analysis, on the variance of a mean; from memory.
    pub fn per_free_reading(self) -> f64 {
        let memory = self.memory.clamp(0.0, MOST_MEMORY);
        (1.0 + memory) / (1.0 - memory)
    }
}

/// More can't be told from a drift.
const MOST_MEMORY: f64 = 0.8;

/// The spread of a machine: one standard deviation, in the unit of the row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MachineSpread {
    /// As the shop measured it.
    Known(f64),
    /// As is usual for machines of its kind.
    Usual(f64),
}

impl MachineSpread {
    /// How readings scatter by what is known of the machine alone: with the gauge's own
    /// scatter, half its expanded uncertainty.
    pub fn with_gauge(self, uncertainty: f64) -> f64 {
        let (MachineSpread::Known(sd) | MachineSpread::Usual(sd)) = self;
        sd.hypot(uncertainty / 2.0)
    }
}

/// The spread to expect of a row before it is looked at: the machine's, pooled
/// with what `others`, rows from the same machine, show. It always includes the
/// gauge's own scatter. Nothing is known of its memory yet.
pub fn expected_spread(machine: MachineSpread, limits: RowLimits, others: &[&[f64]]) -> Spread {
    let gauge = limits.uncertainty / 2.0;
    let worth = match machine {
        MachineSpread::Known(_) => SHOP_IS_WORTH,
        MachineSpread::Usual(_) => USUAL_IS_WORTH,
    };
    let (seen, rows) = seen_in(others);
    let known = machine.with_gauge(limits.uncertainty);
    let squares = worth * known.powi(2) + rows * seen.max(gauge).powi(2);
    Spread { sd: (squares / (worth + rows)).sqrt(), worth: worth + rows, memory: 0.0 }
}

/// What all rows of a batch show together, each with the spread that is known of its
/// machine: what one row can't say of itself, because a fault would look the same.
#[derive(Clone, Debug)]
pub struct BatchRows<'a> {
    rows: Vec<(&'a [f64], f64)>,
}

/// Fewer rows say nothing of the others.
const FEWEST_ROWS: usize = 3;
/// A shorter row says nothing of memory.
const LONG: usize = 8;
/// The smaller of two estimates comes out a tenth too small, of rows of 16; measured.
const SMALLER_OF_TWO: f64 = 1.1;
/// So many standard errors of a memory are taken for chance. Measured: more of it would
/// hide creeps, less would report steps that readings only remember.
const CHANCE_OF_MEMORY: f64 = 1.3;
/// Settings come out further off than usual by this many times what is usual in one row
/// of twenty: the quantile 0.975 of the normal distribution, rounded up.
const UNUSUAL: f64 = 2.0;

impl<'a> BatchRows<'a> {
    /// Each row with the spread that is known of its machine, the gauge's in it.
    pub fn new(rows: Vec<(&'a [f64], f64)>) -> BatchRows<'a> {
        BatchRows { rows }
    }

    /// The spread to expect of a row once these rows are seen. Where most rows scatter more
    /// than the shop says, all of them are expected to; where they scatter less they may
    /// only have been lucky. `own` is the place of the row here.
    pub fn seen(&self, own: usize, spread: Spread) -> Spread {
        let over = self.over_told() * self.rows[own].1;
        Spread { sd: spread.sd.max(over), memory: self.memory_beside(own), ..spread }
    }

    /// How many times as much most rows scatter as is known of their machines.
    fn over_told(&self) -> f64 {
        let known = self.rows.iter().filter(|(_, known)| *known > 0.0);
        let ratios: Vec<f64> = known
            .filter(|(row, _)| row.len() >= LONG)
            .map(|(row, known)| SMALLER_OF_TWO * seen_in(&[row]).0 / known)
            .collect();
        if ratios.len() < FEWEST_ROWS { 0.0 } else { median(&ratios).unwrap_or(0.0) }
    }

    /// How much readings remember of the one before, as most of the other rows show: the
    /// median of their lag-1 correlations, each freed from what a short row hides,
    /// (1 + 4 r) / n (M. G. Kendall, Biometrika 41 (1954), 403-404; from memory), less what
    /// may be chance. Readings far off are drawn in first.
    fn memory_beside(&self, own: usize) -> f64 {
        let rows: Vec<&[f64]> =
            self.beside(own).map(|(row, _)| row).filter(|row| row.len() >= LONG).collect();
        let of_rows: Vec<f64> = rows.iter().filter_map(|row| memory_of(row)).collect();
        if of_rows.len() < FEWEST_ROWS {
            return 0.0;
        }
        let readings: usize = rows.iter().map(|row| row.len()).sum();
        let chance = CHANCE_OF_MEMORY / (readings as f64).sqrt();
        (median(&of_rows).unwrap_or(0.0) - chance).clamp(0.0, MOST_MEMORY)
    }

    /// How far off a setting may be before it is unusual in this shop, as most of the other
    /// rows show that `tell`, in the unit of the row. Nought where too few rows tell: one
    /// that is off for a reason of its own doesn't.
    pub fn settings_beside(&self, own: usize, spread: Spread, tell: &[bool]) -> f64 {
        let off = self.rows.iter().zip(tell).enumerate();
        let off = off.filter(|(n, (_, tells))| *n != own && **tells).map(|(_, (row, _))| *row);
        let off = off.filter(|(_, known)| *known > 0.0);
        let off = off.filter_map(|(row, known)| Some(median(row).ok()?.abs() / known));
        let off: Vec<f64> = off.collect();
        if off.len() < FEWEST_ROWS {
            return 0.0;
        }
        UNUSUAL * median(&off).unwrap_or(0.0) / MEDIAN_DISTANCE * spread.sd
    }

    fn beside(&self, own: usize) -> impl Iterator<Item = (&'a [f64], f64)> {
        self.rows.iter().enumerate().filter(move |(n, _)| *n != own).map(|(_, row)| *row)
    }
}

/// The lag-1 correlation of a row without what a short row hides of it.
fn memory_of(row: &[f64]) -> Option<f64> {
    let middle = median(row).ok()?;
    let off: Vec<f64> = row.iter().map(|miss| (miss - middle).abs()).collect();
    let reach = 3.0 * median(&off).ok()? / MEDIAN_DISTANCE;
    let drawn: Vec<f64> =
        row.iter().map(|miss| miss.clamp(middle - reach, middle + reach)).collect();
    let n = row.len() as f64;
    Some((lag_one(&drawn).ok()?? + 1.0 / n) / (1.0 - 4.0 / n))
}

/// The spread that rows show, and what it is worth. It is the smaller of two
/// estimates: the differences of neighbours, which a creep or a step hardly
/// changes, and the distances to each row's median, which a few pieces apart
/// hardly change.
pub(super) fn seen_in(rows: &[&[f64]]) -> (f64, f64) {
    let mut neighbours = Vec::new();
    let mut distances = Vec::new();
    for row in rows {
        neighbours.extend(row.windows(2).map(|pair| (pair[1] - pair[0]).abs()));
        let middle = median(row).unwrap_or(0.0);
        distances.extend(row.iter().map(|miss| (miss - middle).abs()));
    }
    let by_neighbours = median(&neighbours).unwrap_or(0.0) / MEDIAN_RANGE;
    let by_distance = median(&distances).unwrap_or(0.0) / MEDIAN_DISTANCE;
    let worth = (NEIGHBOURS_ARE_WORTH * neighbours.len() as f64).min(ROWS_ARE_WORTH);
    (by_neighbours.min(by_distance), worth)
}

#[cfg(test)]
mod tests;
