//! The likely cause of a row of misses in cut order: set wrong, crept, moved,
//! one slip, a few apart, scattered, or nothing.
//!
//! Every cause is a shape fitted by least squares. The Bayesian information
//! criterion compares them (G. Schwarz, Annals of Statistics 6 (1978),
//! 461-464); a place in the row counts as a parameter. Choosing which few of
//! many pieces are apart costs the logarithm of the number of such choices
//! (J. Chen and Z. Chen, Biometrika 95 (2008), 759-771). The spread is known
//! only as well as a stated number of readings would show it, so the likelihood
//! is Student's, and few readings prove little. A cause is reported from an
//! evidence of six over "nothing happened", which A. E. Raftery calls strong,
//! or from ten, his very strong, where the spread is only a guess (Sociological
//! Methodology 25 (1995), 111-163, table 6; from memory).

use super::{self as series, median};

/// What makes a row of misses look as it does. Sizes are in the unit of the
/// misses; places count from 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cause {
    /// Nothing beyond the usual error of a setting and a gauge.
    Steady {
        /// The mean miss.
        level: f64,
    },
    /// Every piece is off by the same amount.
    SetWrong {
        /// The mean miss.
        by: f64,
    },
    /// A little more from piece to piece.
    Crept {
        /// The change from the first piece to the last.
        by: f64,
        /// The fitted miss of the first piece.
        start: f64,
    },
    /// One level up to a place, another after it.
    Moved {
        /// The last place on the first level.
        after: usize,
        /// The mean miss up to that place.
        before_level: f64,
        /// The mean miss after it.
        after_level: f64,
    },
    /// One piece apart from all others.
    Slip {
        /// Its place.
        at: usize,
        /// Its miss, less the mean of the others.
        by: f64,
    },
    /// A few pieces here and there apart from the others, all one way.
    Apart {
        /// How many they are.
        count: usize,
        /// Their mean, less the mean of the others.
        by: f64,
    },
    /// The pieces of one subset apart from the rest.
    Subset {
        /// Its index in the list given to [`diagnose`].
        subset: usize,
        /// Its mean, less the mean of the rest.
        by: f64,
    },
    /// Spread wider than the limits allow, without order.
    Scattered {
        /// The standard deviation of the row.
        sd: f64,
    },
}

impl Cause {
    /// Whether two causes are of one kind, whatever their sizes.
    pub fn is_like(&self, other: &Cause) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}

/// What one reading and the limits allow, in the unit of the row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RowLimits {
    /// Expanded uncertainty (k = 2) of one reading.
    pub uncertainty: f64,
    /// The width between the limits; `None` where there is only one limit.
    pub band: Option<f64>,
}

/// The next best cause.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunnerUp {
    /// Which cause it is.
    pub cause: Cause,
    /// How far its evidence is below that of the reported cause, or below the
    /// threshold where no cause is reported.
    pub behind: f64,
}

/// The likely cause of a row, and the evidence for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Diagnosis {
    /// Too few readings to tell any cause.
    TooFew {
        /// How many there are.
        have: usize,
        /// How many it takes.
        need: usize,
    },
    /// The cause that fits best.
    Found {
        /// Which cause it is.
        cause: Cause,
        /// The evidence over "nothing happened", a difference of two values of
        /// the criterion; zero where nothing happened.
        strength: f64,
        /// The evidence from which a cause is reported.
        threshold: f64,
        /// The next best cause, where there is one.
        runner_up: Option<RunnerUp>,
    },
}

/// How far a diagnosis can be relied on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Certainty {
    /// No other cause comes near.
    Clear,
    /// The best cause, but another fits about as well.
    Likely,
    /// Too few readings, or too little evidence for any cause.
    CannotTell,
}

impl Certainty {
    /// The words people see: `clear`, `likely`, `can't tell`.
    pub fn name(self) -> &'static str {
        match self {
            Certainty::Clear => "clear",
            Certainty::Likely => "likely",
            Certainty::CannotTell => "can't tell",
        }
    }
}

impl Diagnosis {
    /// The likely cause; `None` where there are too few readings.
    pub fn cause(&self) -> Option<&Cause> {
        match self {
            Diagnosis::TooFew { .. } => None,
            Diagnosis::Found { cause, .. } => Some(cause),
        }
    }

    /// Whether something happened.
    pub fn happened(&self) -> bool {
        self.cause().is_some_and(|cause| !matches!(cause, Cause::Steady { .. }))
    }

    /// How certain the cause is. Evidence within [`WEAK_EVIDENCE`] of another cause's
    /// makes neither better. "Nothing happened" can't be told from a cause
    /// whose own evidence is more than weak and still below the threshold.
    pub fn certainty(&self) -> Certainty {
        let Diagnosis::Found { cause, threshold, runner_up, .. } = self else {
            return Certainty::CannotTell;
        };
        match (cause, runner_up) {
            (_, None) => Certainty::Clear,
            (Cause::Steady { .. }, Some(other)) if threshold - other.behind > WEAK_EVIDENCE => {
                Certainty::CannotTell
            }
            (Cause::Steady { .. }, Some(_)) => Certainty::Likely,
            (_, Some(other)) if other.behind < WEAK_EVIDENCE => Certainty::Likely,
            _ => Certainty::Clear,
        }
    }
}

/// A row of fewer readings says nothing about order.
pub const FEWEST_READINGS: usize = 4;
/// The evidence over "nothing happened" from which a cause is reported where
/// the machine's spread is known: Raftery's strong.
const STRONG_EVIDENCE: f64 = 6.0;
/// The same where the spread is only a guess: Raftery's very strong.
const VERY_STRONG_EVIDENCE: f64 = 10.0;
/// A spread worth this many free readings counts as known.
const KNOWN_FROM: f64 = 12.0;
/// Evidence by which one cause must lead another to be better: Raftery's weak.
pub const WEAK_EVIDENCE: f64 = 2.0;

/// How many free readings of the spread the shop's own figure for a machine is
/// worth, and how many the usual figure for its kind. Judgement, no source.
const SHOP_IS_WORTH: f64 = 20.0;
const USUAL_IS_WORTH: f64 = 4.0;
/// Moving ranges overlap, so each is worth less than a free reading: their
/// efficiency beside the standard deviation, from memory.
const NEIGHBOURS_ARE_WORTH: f64 = 0.6;
/// The most that other rows are worth, since no two setups are alike.
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
}

impl Spread {
    /// The evidence from which a cause is reported.
    pub fn threshold(self) -> f64 {
        if self.worth >= KNOWN_FROM { STRONG_EVIDENCE } else { VERY_STRONG_EVIDENCE }
    }
}

/// The spread of a machine: one standard deviation, in the unit of the row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MachineSpread {
    /// As the shop measured it.
    Known(f64),
    /// As is usual for machines of its kind.
    Usual(f64),
}

/// The spread to expect of a row before it is looked at: the machine's, pooled
/// with what `others`, rows from the same machine, show. It always includes the
/// gauge's own scatter, half its expanded uncertainty.
pub fn expected_spread(machine: MachineSpread, limits: RowLimits, others: &[&[f64]]) -> Spread {
    let gauge = limits.uncertainty / 2.0;
    let (own, worth) = match machine {
        MachineSpread::Known(sd) => (sd, SHOP_IS_WORTH),
        MachineSpread::Usual(sd) => (sd, USUAL_IS_WORTH),
    };
    let known = own.hypot(gauge);
    let (seen, rows) = seen_in(others);
    let squares = worth * known.powi(2) + rows * seen.max(gauge).powi(2);
    Spread { sd: (squares / (worth + rows)).sqrt(), worth: worth + rows }
}

/// The spread that rows show, and what it is worth. It is the smaller of two
/// estimates: the differences of neighbours, which a creep or a step hardly
/// changes, and the distances to each row's median, which a few pieces apart
/// hardly change.
fn seen_in(rows: &[&[f64]]) -> (f64, f64) {
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

/// The cause that fits a row of misses best, with the next best beside it.
///
/// Each of `subsets` is as long as the row and marks the readings that have
/// something in common: one person, one gauge, or one hand.
pub fn diagnose(
    row: &[f64],
    spread: Spread,
    limits: RowLimits,
    subsets: &[Vec<bool>],
) -> Diagnosis {
    if row.len() < FEWEST_READINGS {
        return Diagnosis::TooFew { have: row.len(), need: FEWEST_READINGS };
    }
    let shapes = shapes(row, limits, subsets);
    let nothing = shapes.steady.evidence(row.len(), spread);
    let mut ranked: Vec<(Cause, f64)> = shapes
        .others
        .iter()
        .map(|shape| (shape.cause, nothing - shape.evidence(row.len(), spread)))
        .collect();
    ranked.sort_by(|one, other| other.1.total_cmp(&one.1));
    // "Set wrong" is the plainer cause: any other must beat it as well.
    let alike = ranked.iter().find(|(cause, _)| matches!(cause, Cause::SetWrong { .. })).copied();
    let least = alike.map_or(0.0, |(_, over)| over.max(0.0));
    let other = ranked.iter().find(|(cause, _)| !matches!(cause, Cause::SetWrong { .. })).copied();
    let threshold = spread.threshold();
    let best = other
        .filter(|(_, over)| *over - least >= threshold)
        .or(alike.filter(|(_, over)| *over >= threshold));
    let Some((cause, strength)) = best else {
        let cause = scattered(row, limits).unwrap_or(shapes.steady.cause);
        let runner_up = ranked.first().filter(|(_, over)| *over > 0.0);
        let runner_up =
            runner_up.map(|(cause, over)| RunnerUp { cause: *cause, behind: threshold - over });
        return Diagnosis::Found { cause, strength: 0.0, threshold, runner_up };
    };
    let runner_up = ranked.iter().find(|(held, _)| !held.is_like(&cause));
    let runner_up =
        runner_up.map(|(cause, over)| RunnerUp { cause: *cause, behind: strength - over });
    Diagnosis::Found { cause, strength, threshold, runner_up }
}

/// The criterion of a shape fitted to `n` readings; less is better. It is
/// Student's likelihood, (worth + n - 3) ln(1 + residual / (worth sd^2)), where
/// three is the most parameters any shape has, plus `parameters` ln n.
fn evidence(n: usize, residual: f64, parameters: usize, spread: Spread) -> f64 {
    let about = spread.worth * spread.sd.powi(2);
    let misfit = if about > 0.0 { (residual / about).ln_1p() } else { 0.0 };
    (spread.worth + n as f64 - 3.0) * misfit + parameters as f64 * (n as f64).ln()
}

struct FittedCauses {
    steady: FittedCause,
    others: Vec<FittedCause>,
}

/// A cause as fitted to a row.
struct FittedCause {
    cause: Cause,
    /// The sum of squares it leaves unexplained.
    residual: f64,
    parameters: usize,
    /// The logarithm of the number of choices of pieces it is the best of.
    choices: f64,
}

impl FittedCause {
    fn of(cause: Cause, fit: series::ShapeFit) -> FittedCause {
        FittedCause { cause, residual: fit.residual, parameters: fit.parameters, choices: 0.0 }
    }

    fn evidence(&self, n: usize, spread: Spread) -> f64 {
        evidence(n, self.residual, self.parameters, spread) + 2.0 * self.choices
    }
}

/// Every cause, fitted to a row.
fn shapes(row: &[f64], limits: RowLimits, subsets: &[Vec<bool>]) -> FittedCauses {
    let level = series::level(row).map_or(0.0, |(level, _)| level);
    // No shop sets closer than its gauge reads, or than an eighth of the band.
    let harmless =
        limits.band.map_or(limits.uncertainty, |band| limits.uncertainty.max(band / 8.0));
    let fit = |level: f64| {
        let residual = row.iter().map(|miss| (miss - level).powi(2)).sum::<f64>();
        series::ShapeFit { residual, parameters: 1 }
    };
    let steady = FittedCause::of(Cause::Steady { level }, fit(level.clamp(-harmless, harmless)));
    let mut others = vec![FittedCause::of(Cause::SetWrong { by: level }, fit(level))];
    if let Ok(ramp) = series::ramp(row) {
        let by = ramp.slope * (row.len() - 1) as f64;
        others.push(FittedCause::of(Cause::Crept { by, start: ramp.start }, ramp.fit));
    }
    if let Ok(slip) = series::slip(row) {
        others.push(FittedCause::of(Cause::Slip { at: slip.at, by: slip.by }, slip.fit));
    }
    // A step before the last or after the first piece can't be told from a slip.
    if let Ok(step) = series::step(row)
        && (2..=row.len() - 2).contains(&step.after)
    {
        let series::LevelShift { after, before_level, after_level, fit } = step;
        others.push(FittedCause::of(Cause::Moved { after, before_level, after_level }, fit));
    }
    others.extend(apart(row));
    let choices = (subsets.len().max(1) as f64).ln();
    others.extend(
        subsets.iter().enumerate().filter_map(|(subset, own)| of_subset(row, subset, own, choices)),
    );
    // A shape smaller than the gauge can show is no cause.
    others.retain(|shape| seen(&shape.cause, harmless, limits));
    FittedCauses { steady, others }
}

/// The few pieces, two to half of the row, whose being apart leaves the least
/// unexplained.
fn apart(row: &[f64]) -> Option<FittedCause> {
    let mut sorted = row.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    let mut best: Option<FittedCause> = None;
    if n < 4 {
        return None;
    }
    for below in series::fit::best_cuts(&sorted, 2..=n - 2) {
        let (low, high) = sorted.split_at(below);
        let ((low_level, one), (high_level, other)) =
            (series::level(low).ok()?, series::level(high).ok()?);
        let (count, by) = if below * 2 <= n {
            (below, low_level - high_level)
        } else {
            (n - below, high_level - low_level)
        };
        let shape = FittedCause {
            cause: Cause::Apart { count, by },
            residual: one.residual + other.residual,
            parameters: 2,
            choices: ln_choices(n, count),
        };
        let cost = |shape: &FittedCause| (shape.residual, shape.choices);
        if best.as_ref().is_none_or(|held| cost(&shape) < cost(held)) {
            best = Some(shape);
        }
    }
    best
}

/// One subset on one level and the rest on another; it takes two of each.
fn of_subset(row: &[f64], subset: usize, own: &[bool], choices: f64) -> Option<FittedCause> {
    let of = |wanted: bool| -> Vec<f64> {
        row.iter().zip(own).filter(|(_, is)| **is == wanted).map(|(miss, _)| *miss).collect()
    };
    let (these, rest) = (of(true), of(false));
    if these.len() < 2 || rest.len() < 2 {
        return None;
    }
    let ((level, one), (others, other)) = (series::level(&these).ok()?, series::level(&rest).ok()?);
    Some(FittedCause {
        cause: Cause::Subset { subset, by: level - others },
        residual: one.residual + other.residual,
        parameters: 2,
        choices,
    })
}

/// The logarithm of the number of ways to choose `k` from `n`.
fn ln_choices(n: usize, k: usize) -> f64 {
    (0..k).map(|i| ((n - i) as f64 / (i + 1) as f64).ln()).sum()
}

/// Whether a cause is bigger than the uncertainty of one reading.
fn seen(cause: &Cause, harmless: f64, limits: RowLimits) -> bool {
    match cause {
        Cause::SetWrong { by } => by.abs() > harmless,
        Cause::Crept { by, .. }
        | Cause::Slip { by, .. }
        | Cause::Apart { by, .. }
        | Cause::Subset { by, .. } => by.abs() > limits.uncertainty,
        Cause::Moved { before_level, after_level, .. } => {
            (after_level - before_level).abs() > limits.uncertainty
        }
        Cause::Steady { .. } | Cause::Scattered { .. } => true,
    }
}

/// `Scattered`, where the row is wider than its limits allow.
fn scattered(row: &[f64], limits: RowLimits) -> Option<Cause> {
    let band = limits.band?;
    let sd = series::standard_deviation(row).ok()?;
    let reach =
        row.iter().copied().fold(f64::MIN, f64::max) - row.iter().copied().fold(f64::MAX, f64::min);
    (reach > band).then_some(Cause::Scattered { sd })
}

#[cfg(test)]
mod tests;
