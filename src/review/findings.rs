//! A whole batch: what went out of limits, the likely cause of each check, and
//! gauges whose zero moved.

use rustc_hash::FxHashSet;

use super::attribution::{Attribution, attribution};
use super::gauge_shifts::{GaugeShift, gauge_shifts};
use super::readings::{Series, SeriesPoint, Subset, series};
use super::repeats::repeats;
use crate::journal::{Decision, PieceId, ReadingRecord, State};
use crate::measure::{Feature, Length, Limits, Verdict};
use crate::operation::FeatureName;
use crate::route::Route;
use crate::series::{
    BatchRows, Cause, Certainty, Diagnosis, RowLimits, Spread, diagnose, expected_spread,
};
use crate::shop::Shop;
use crate::work::{RepeatCause, RepeatReading, machine_spread};

/// A piece that went out of its limits.
#[derive(Clone, Debug, PartialEq)]
pub struct Out {
    /// The operation.
    pub op: u32,
    /// The piece.
    pub piece: PieceId,
    /// Its name, as people see it.
    pub name: String,
    /// The feature measured.
    pub feature: FeatureName,
    /// What kind of size the feature is, which decides the words for it.
    pub words: Feature,
    /// The size read.
    pub value: Length,
    /// The size wanted.
    pub wanted: Length,
    /// The limits.
    pub limits: Limits,
    /// How it was judged.
    pub verdict: Verdict,
    /// What was decided then.
    pub decision: Option<Decision>,
    /// Its later reading, after it was cut again, and how that was judged.
    pub afterwards: Option<(Length, Verdict)>,
    /// What each operation added, from the reading on record now.
    pub attribution: Option<Attribution>,
}

/// A check with its likely cause.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckDiagnosis {
    /// Its readings.
    pub series: Series,
    /// The subsets of its readings; [`Cause::Subset`] has an index into them.
    pub subsets: Vec<Subset>,
    /// The likely cause.
    pub diagnosis: Diagnosis,
    /// How many of its readings were out of limits.
    pub out: usize,
    /// How many were too close to call.
    pub close: usize,
    /// Whether a gauge whose zero moved explains it.
    pub by_gauge: bool,
}

/// Everything the journal of a batch shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Findings {
    /// Pieces out of limits, in the order they were measured.
    pub out: Vec<Out>,
    /// Every check, in the order of the route.
    pub checks: Vec<CheckDiagnosis>,
    /// Gauges whose zero moved.
    pub gauges: Vec<GaugeShift>,
    /// Sizes measured again on another day with nothing cut in between, also those
    /// that read the same.
    pub repeats: Vec<RepeatReading>,
    /// How many readings with a number are on record.
    pub readings: usize,
}

impl Findings {
    /// Whether there is nothing the lead should look at.
    pub fn is_quiet(&self) -> bool {
        self.out.is_empty()
            && self.gauges.is_empty()
            && self.moved_repeats().next().is_none()
            && self.checks.iter().all(|check| !check.diagnosis.happened())
    }

    /// The repeated sizes that read differently on another day.
    pub fn moved_repeats(&self) -> impl Iterator<Item = &RepeatReading> {
        self.repeats.iter().filter(|again| again.why != RepeatCause::Same)
    }

    /// The checks where something happened or went out of limits, those with the
    /// strongest evidence first.
    pub fn notable(&self) -> Vec<&CheckDiagnosis> {
        let mut notable: Vec<&CheckDiagnosis> = self
            .checks
            .iter()
            .filter(|check| check.diagnosis.happened() || check.out > 0)
            .collect();
        notable.sort_by(|one, other| other.strength().total_cmp(&one.strength()));
        notable
    }
}

/// Up to this many pieces out of limits are listed one by one, more by check.
const ONE_BY_ONE: usize = 12;

impl Findings {
    /// The pieces out of limits as they are listed: one by one in the order found
    /// or, where there are many, those of one check together.
    pub fn grouped_out(&self) -> Vec<Vec<&Out>> {
        let mut groups: Vec<Vec<&Out>> = Vec::new();
        for out in &self.out {
            let alike = |held: &&mut Vec<&Out>| {
                held.first().is_some_and(|first| {
                    let way = std::mem::discriminant;
                    let check = first.op == out.op && first.feature == out.feature;
                    check && way(&first.verdict) == way(&out.verdict)
                })
            };
            match groups.iter_mut().find(alike) {
                Some(held) if self.out.len() > ONE_BY_ONE => held.push(out),
                _ => groups.push(vec![out]),
            }
        }
        groups
    }
}

impl Findings {
    /// The pieces still out of limits, of those that went out in the same way only the first,
    /// and how many others there are.
    pub fn still_out(&self) -> Vec<(&Out, usize)> {
        let mut all = Vec::new();
        for group in self.grouped_out() {
            let is_still = |out: &&Out| out.is_still_out() && out.attribution.is_some();
            let mut still = group.into_iter().filter(is_still);
            if let Some(first) = still.next() {
                all.push((first, still.count()));
            }
        }
        all
    }
}

impl Out {
    /// Whether it is still out of limits.
    pub fn is_still_out(&self) -> bool {
        !matches!(self.afterwards, Some((_, Verdict::In)))
    }
}

impl CheckDiagnosis {
    /// How far its cause can be relied on. Where pieces are out of limits and
    /// "nothing happened" fits best, the cause can't be told.
    pub fn certainty(&self) -> Certainty {
        match self.diagnosis.cause() {
            Some(Cause::Steady { .. }) if self.out > 0 => Certainty::CannotTell,
            _ => self.diagnosis.certainty(),
        }
    }

    /// Whether its cause rests on one reading that nobody has confirmed: a misreading looks
    /// the same.
    pub fn awaits_a_second_reading(&self) -> bool {
        match self.diagnosis.cause() {
            Some(Cause::Slip { at, .. }) => {
                self.series.points.get(at - 1).is_some_and(|point| !point.is_confirmed)
            }
            _ => false,
        }
    }

    /// Whether a step, or one person's pieces apart, coincides with a change of the
    /// reader: then the readings can't tell the one from the other.
    pub fn reader_changed(&self) -> bool {
        let points = &self.series.points;
        let who = |place: usize| points.get(place).and_then(|point| point.who.as_deref());
        let after = match self.diagnosis.cause() {
            Some(Cause::Moved { after, .. }) => *after,
            Some(Cause::Subset { subset, .. }) => {
                let Some(Subset::Person(_)) = self.subsets.get(*subset) else { return false };
                let first = who(0);
                let after = (0..points.len()).find(|place| who(*place) != first);
                after.unwrap_or(points.len())
            }
            _ => return false,
        };
        let people = [&points[..after.min(points.len())], &points[after.min(points.len())..]];
        let [before, behind] = people.map(|side| {
            let mut people = side.iter().map(|point| point.who.as_deref());
            let first = people.next().flatten()?;
            people.all(|who| who == Some(first)).then_some(first)
        });
        before.zip(behind).is_some_and(|(before, behind)| before != behind)
    }

    /// The evidence over "nothing happened"; zero for too few readings.
    pub fn strength(&self) -> f64 {
        match self.diagnosis {
            Diagnosis::Found { strength, .. } => strength,
            Diagnosis::TooFew { .. } => 0.0,
        }
    }
}

/// Everything the journal of a batch shows.
pub fn findings(route: &Route, shop: &Shop, state: &State) -> Findings {
    let all = series(route, state);
    let misses: Vec<Vec<f64>> = all.iter().map(Series::misses).collect();
    let rows = batch_rows(&all, &misses, shop);
    let spreads = all.iter().enumerate().map(|(n, own)| rows.seen(n, spread_of(own, &all, shop)));
    let spreads: Vec<Spread> = spreads.collect();
    let checks = all.into_iter().zip(&spreads);
    let mut checks: Vec<CheckDiagnosis> =
        checks.map(|(series, spread)| diagnose_check(series, *spread)).collect();
    let causes: Vec<(&Series, Option<&Cause>)> =
        checks.iter().map(|check| (&check.series, check.diagnosis.cause())).collect();
    let gauges = gauge_shifts(&causes, state);
    for check in &mut checks {
        check.by_gauge = gauges.iter().any(|moved| {
            moved.ops.contains(&check.series.op)
                && check.series.points.iter().any(|point| point.gauge == moved.gauge)
        });
    }
    weigh_settings(&mut checks, &rows, &spreads);
    let standing = state.readings.iter().filter(|reading| !reading.voided);
    let readings = standing.filter(|reading| reading.taken.size().is_some()).count();
    Findings { out: out(route, state), checks, gauges, repeats: repeats(route, state), readings }
}

/// The rows of a batch, each with what is known of its machine.
fn batch_rows<'a>(all: &[Series], misses: &'a [Vec<f64>], shop: &Shop) -> BatchRows<'a> {
    let rows = misses.iter().zip(all).map(|(misses, own)| {
        let machine = machine_spread(shop, own.at.as_deref());
        (misses.as_slice(), machine.with_gauge(row_limits(own).uncertainty))
    });
    BatchRows::new(rows.collect())
}

/// Looks again at settings that were wrong: by no more than this shop sets its scales, they
/// are no fault. What a gauge explains says nothing of settings.
fn weigh_settings(checks: &mut [CheckDiagnosis], rows: &BatchRows<'_>, spreads: &[Spread]) {
    let tell: Vec<bool> = checks.iter().map(|check| !check.by_gauge).collect();
    for (n, check) in checks.iter_mut().enumerate() {
        let is_wrong = matches!(check.diagnosis.cause(), Some(Cause::SetWrong { .. }));
        if is_wrong && !check.by_gauge {
            let settings = rows.settings_beside(n, spreads[n], &tell);
            let limits = RowLimits { settings, ..row_limits(&check.series) };
            check.diagnosis = diagnosis(&check.series, &check.subsets, spreads[n], limits);
        }
    }
}

/// The spread to expect of a series, from the shop and from other series of the
/// same kind at the same machine: short series of many parts show as much as one
/// long one.
fn spread_of(own: &Series, all: &[Series], shop: &Shop) -> Spread {
    let beside = |other: &&Series| {
        !std::ptr::eq(*other, own)
            && other.at == own.at
            && other.kind == own.kind
            && other.words == own.words
    };
    let rows: Vec<Vec<f64>> = all.iter().filter(beside).map(Series::misses).collect();
    let rows: Vec<&[f64]> = rows.iter().map(Vec::as_slice).collect();
    let machine = machine_spread(shop, own.at.as_deref());
    expected_spread(machine, row_limits(own), &rows)
}

pub(super) fn row_limits(series: &Series) -> RowLimits {
    RowLimits {
        uncertainty: series.uncertainty().inches(),
        band: series.band.map(Length::inches),
        settings: 0.0,
    }
}

fn diagnosis(series: &Series, subsets: &[Subset], spread: Spread, limits: RowLimits) -> Diagnosis {
    let of: Vec<Vec<bool>> = subsets.iter().map(|subset| series.members(subset)).collect();
    diagnose(&series.misses(), spread, limits, &of)
}

fn diagnose_check(series: Series, spread: Spread) -> CheckDiagnosis {
    let subsets = series.subsets();
    let diagnosis = diagnosis(&series, &subsets, spread, row_limits(&series));
    let is_out = |point: &&SeriesPoint| point.verdict.is_out();
    let out = series.points.iter().filter(is_out).count();
    let close = series
        .points
        .iter()
        .filter(|point| matches!(point.verdict, Verdict::TooClose { .. }))
        .count();
    CheckDiagnosis { series, subsets, diagnosis, out, close, by_gauge: false }
}

/// Every piece whose reading was certainly out of limits, in the order found.
fn out(route: &Route, state: &State) -> Vec<Out> {
    let mut found: Vec<Out> = Vec::new();
    let mut known: FxHashSet<(u32, &PieceId, &FeatureName)> = FxHashSet::default();
    for reading in state.readings.iter().filter(|reading| !reading.voided) {
        let verdict = reading.taken.verdict();
        if !verdict.is_out() {
            continue;
        }
        let taken = &reading.taken;
        let which = (taken.op, &taken.piece, &taken.feature);
        if !known.contains(&which)
            && let Some(out) = went_out(route, state, reading, verdict)
        {
            known.insert(which);
            found.push(out);
        }
    }
    found
}

fn went_out(
    route: &Route,
    state: &State,
    reading: &ReadingRecord,
    verdict: Verdict,
) -> Option<Out> {
    let taken = &reading.taken;
    let check = route.step(taken.op)?.checks.iter().find(|check| check.of == taken.feature)?;
    let stands = state.reading_in_force(taken.op, &taken.piece, &taken.feature);
    let afterwards = stands
        .filter(|stands| stands.order > reading.order)
        .and_then(|stands| Some((stands.taken.size()?, stands.taken.verdict())));
    let limits = taken.limits();
    Some(Out {
        op: taken.op,
        piece: taken.piece.clone(),
        name: state.name(&taken.piece),
        feature: taken.feature.clone(),
        words: check.kind,
        value: taken.size()?,
        wanted: taken.wanted()?,
        limits,
        verdict,
        decision: state.decision_on(reading),
        afterwards,
        attribution: attribution(route, state, &taken.piece, taken.op, &taken.feature),
    })
}

#[cfg(test)]
mod tests;
