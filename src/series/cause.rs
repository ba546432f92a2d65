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

use super::expected::Spread;
use super::shapes::{FittedCause, FittedCauses, shapes};
use super::{self as series};

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
        /// The mean miss of the others.
        level: f64,
    },
    /// A few pieces here and there apart from the others, all one way.
    Apart {
        /// How many they are.
        count: usize,
        /// Their mean, less the mean of the others.
        by: f64,
        /// The mean miss of the others.
        level: f64,
    },
    /// The pieces of one subset apart from the rest.
    Subset {
        /// Its index in the list given to [`diagnose`].
        subset: usize,
        /// Its mean, less the mean of the rest.
        by: f64,
        /// The mean miss of the rest.
        level: f64,
    },
    /// Fast at first, then hardly.
    WoreIn {
        /// The change from the first piece to the last.
        by: f64,
        /// The fitted miss of the first piece.
        start: f64,
    },
    /// A little more from piece to piece, and back, again and again.
    SawTooth {
        /// The change from one cleaning to the next.
        by: f64,
        /// How many pieces there are from one to the next.
        every: usize,
    },
    /// One level all the way, but more scatter from a place on.
    Loosened {
        /// The last place with the usual scatter.
        after: usize,
        /// How many times as much they scatter from there on.
        times: f64,
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
    /// How close this shop sets its scales, as its other rows show.
    pub settings: f64,
}

impl RowLimits {
    /// No shop sets closer than its gauge reads, or than an eighth of the band.
    pub(super) fn harmless(&self) -> f64 {
        self.band.map_or(self.uncertainty, |band| self.uncertainty.max(band / 8.0))
    }
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

/// A reading that lies far off, whatever the rest of its row looks like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoneReading {
    /// Its place.
    pub at: usize,
    /// Its miss, less what is expected at its place.
    pub by: f64,
}

/// The likely cause of a row, and the evidence for it.
#[derive(Clone, Debug, PartialEq)]
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
        /// The readings that lie far off, the farthest first; a slip is the first of them.
        lone: Vec<LoneReading>,
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

    /// The readings that lie far off, the farthest first.
    pub fn lone(&self) -> &[LoneReading] {
        match self {
            Diagnosis::TooFew { .. } => &[],
            Diagnosis::Found { lone, .. } => lone,
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
/// A slip is reported with less evidence by so much: it only asks for a second reading.
const LESS_FOR_A_SLIP: f64 = 2.0;
/// No setting is reported that is off by less than so many standard deviations: nobody
/// sets a scale closer from one batch to the next. Judgement, no source; what it hides is
/// measured.
const SETTINGS_DIFFER: f64 = 2.5;
/// Evidence by which one cause must lead another to be better: Raftery's weak.
pub const WEAK_EVIDENCE: f64 = 2.0;

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
    let shapes = shapes(row, spread, limits, subsets);
    let scale = EvidenceScale::of(row.len(), spread, &shapes);
    let nothing = scale.of_nothing;
    let mut ranked: Vec<(&FittedCause, f64)> =
        shapes.others.iter().map(|shape| (shape, nothing - scale.evidence(shape))).collect();
    ranked.sort_by(|one, other| other.1.total_cmp(&one.1));
    let threshold = if spread.is_known() { STRONG_EVIDENCE } else { VERY_STRONG_EVIDENCE };
    let usual = limits.settings.max(SETTINGS_DIFFER * spread.sd);
    let is_usual = |cause: &Cause| matches!(cause, Cause::SetWrong { by } if by.abs() <= usual);
    let reported = match best(&ranked, threshold) {
        Some((shape, _)) if is_usual(&shape.cause) => slip_beside(shape, &ranked, threshold),
        Some((shape, strength)) => Some((shape.cause, shape.lone.clone(), strength)),
        None => None,
    };
    ranked.retain(|(shape, _)| !is_usual(&shape.cause));
    let Some((cause, lone, strength)) = reported else {
        let cause = scattered(row, limits).unwrap_or(shapes.steady.cause);
        let runner_up = ranked.first().filter(|(_, over)| *over > 0.0);
        let runner_up = runner_up
            .map(|(shape, over)| RunnerUp { cause: shape.cause, behind: threshold - over });
        return Diagnosis::Found { cause, lone: Vec::new(), strength: 0.0, threshold, runner_up };
    };
    let runner_up = ranked.iter().find(|(held, _)| !held.cause.is_like(&cause));
    let runner_up =
        runner_up.map(|(shape, over)| RunnerUp { cause: shape.cause, behind: strength - over });
    Diagnosis::Found { cause, lone, strength, threshold, runner_up }
}

/// The slip beside a setting that is off by no more than is usual, with the readings that
/// lie far off and the evidence.
fn slip_beside(
    wrong: &FittedCause,
    ranked: &[(&FittedCause, f64)],
    threshold: f64,
) -> Option<(Cause, Vec<LoneReading>, f64)> {
    let Cause::SetWrong { by: level } = wrong.cause else { return None };
    let LoneReading { at, by } = *wrong.lone.first()?;
    let slip = ranked.iter().find(|(shape, _)| matches!(shape.cause, Cause::Slip { .. }));
    let (_, strength) = slip.filter(|(_, over)| *over >= threshold - LESS_FOR_A_SLIP)?;
    Some((Cause::Slip { at, by, level }, wrong.lone.clone(), *strength))
}

/// The cause that is reported, with its evidence. "Set wrong" is the plainest cause: any
/// other must beat it by as much as it must beat "nothing happened".
fn best<'a>(ranked: &[(&'a FittedCause, f64)], threshold: f64) -> Option<(&'a FittedCause, f64)> {
    let first =
        |of: &dyn Fn(&Cause) -> bool| ranked.iter().find(|(held, _)| of(&held.cause)).copied();
    let slip = first(&|cause| matches!(cause, Cause::Slip { .. }));
    let wrong = first(&|cause| matches!(cause, Cause::SetWrong { .. }));
    let is_plain = |cause: &Cause| matches!(cause, Cause::Slip { .. } | Cause::SetWrong { .. });
    let over = |found: Option<(&'a FittedCause, f64)>| found.map_or(0.0, |(_, over)| over.max(0.0));
    // A few pieces apart are slips of one kind, so they need not beat a slip by more. Slips
    // that are all late are part of a scatter that grew.
    let lead = |(shape, _): &(&FittedCause, f64)| match shape.cause {
        Cause::Apart { .. } => 0.0,
        Cause::Loosened { after, .. } if slip.is_some_and(|(slip, _)| are_late(slip, after)) => {
            -STRONG_EVIDENCE
        }
        _ => WEAK_EVIDENCE,
    };
    let is_better = |found: &(&FittedCause, f64)| {
        let beats_nothing = found.1 >= threshold && found.1 - over(wrong) >= threshold;
        !is_plain(&found.0.cause) && beats_nothing && found.1 - over(slip) >= lead(found)
    };
    ranked
        .iter()
        .copied()
        .find(is_better)
        .or(wrong.filter(|(_, own)| own - over(slip) >= threshold))
        .or(slip.filter(|(_, own)| *own >= threshold - LESS_FOR_A_SLIP))
        .or(wrong.filter(|(_, own)| *own >= threshold))
}

/// Whether all readings that lie far off come after a place.
fn are_late(slip: &FittedCause, after: usize) -> bool {
    slip.lone.iter().all(|lone| lone.at > after)
}

/// What the evidence for each shape of a row is measured by.
struct EvidenceScale {
    n: usize,
    spread: Spread,
    /// How badly "nothing happened" fits without the readings that lie far off.
    steady: f64,
    /// The criterion of "nothing happened".
    of_nothing: f64,
}

impl EvidenceScale {
    fn of(n: usize, spread: Spread, shapes: &FittedCauses) -> EvidenceScale {
        let steady = shapes.trimmed.as_ref().unwrap_or(&shapes.steady);
        let ln = (n as f64).ln();
        let of_nothing = misfit(n, shapes.steady.residual, spread) + ln;
        EvidenceScale { n, spread, steady: misfit(n, steady.residual, spread), of_nothing }
    }

    /// The criterion of a shape; less is better. It is minus twice the logarithm of
    /// Student's likelihood plus ln n for each parameter. A reading that lies far off has
    /// two, its size and its place. What a shape explains of the rest counts less where
    /// readings remember each other.
    fn evidence(&self, shape: &FittedCause) -> f64 {
        let fits = misfit(self.n, shape.residual, self.spread);
        let per_free = match shape.cause {
            // Readings that remember each other scatter no more for it.
            Cause::Loosened { .. } => 1.0,
            _ => self.spread.per_free_reading(),
        };
        let explained = (self.steady - fits) / per_free;
        let parameters = shape.parameters + 2 * shape.lone.len();
        self.steady - explained + parameters as f64 * (self.n as f64).ln() + 2.0 * shape.choices
    }
}

/// (worth + n - 3) ln(1 + residual / (worth sd^2)), where three is the most parameters any
/// shape has besides readings far off.
fn misfit(n: usize, residual: f64, spread: Spread) -> f64 {
    let about = spread.worth * spread.sd.powi(2);
    let misfit = if about > 0.0 { (residual / about).ln_1p() } else { 0.0 };
    (spread.worth + n as f64 - 3.0) * misfit
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
