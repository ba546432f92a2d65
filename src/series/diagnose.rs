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

use super::cause::{
    Cause, Diagnosis, FEWEST_READINGS, LoneReading, RowLimits, RunnerUp, WEAK_EVIDENCE,
};
use super::expected::Spread;
use super::fitted::FittedCause;
use super::shapes::{FittedCauses, shapes};
use super::standard_deviation;

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

/// A setting that uses up so much of the band is a fault, however close a shop sets: few
/// pieces scatter by the eighth that is left. Judgement, no source.
const USES_UP: f64 = 3.0 / 8.0;

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
    let usual = limits.band.map_or(usual, |band| usual.min(band * USES_UP));
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
    let better = || ranked.iter().copied().filter(is_better);
    let strongest = better().next().map_or(0.0, |(_, over)| over);
    // Of those that fit about as well, the one that leaves the fewest readings out.
    better()
        .filter(|(_, over)| strongest - over < WEAK_EVIDENCE)
        .min_by_key(|(shape, _)| shape.lone.len())
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
    let sd = standard_deviation(row).ok()?;
    let reach =
        row.iter().copied().fold(f64::MIN, f64::max) - row.iter().copied().fold(f64::MAX, f64::min);
    (reach > band).then_some(Cause::Scattered { sd })
}

#[cfg(test)]
mod tests;
