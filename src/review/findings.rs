//! A whole batch: what went out of limits, the likely cause of each check, and
//! gauges whose zero moved.

use rustc_hash::FxHashSet;

use super::attribution::{Attribution, attribution};
use super::readings::{Series, SeriesPoint, Subset, series};
use super::repeats::repeats;
use crate::journal::{Decision, PieceId, ReadingRecord, State};
use crate::measure::{Feature, Length, Limits, Verdict};
use crate::operation::FeatureName;
use crate::route::Route;
use crate::series::{Cause, Certainty, Diagnosis, RowLimits, Spread, diagnose, expected_spread};
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

/// A gauge that reads differently from some time on, at every machine.
#[derive(Clone, Debug, PartialEq)]
pub struct GaugeShift {
    /// The gauge.
    pub gauge: String,
    /// How much more it reads since then.
    pub by: Length,
    /// The last reading before, and the first after.
    pub between: (Option<SeriesPoint>, SeriesPoint),
    /// The operations whose readings show it.
    pub ops: Vec<u32>,
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
    let spreads: Vec<Spread> = all.iter().map(|own| spread_of(own, &all, shop)).collect();
    let mut checks: Vec<CheckDiagnosis> = all
        .into_iter()
        .zip(spreads)
        .map(|(series, spread)| diagnose_check(series, spread))
        .collect();
    let gauges = gauges(&checks);
    for check in &mut checks {
        check.by_gauge = gauges.iter().any(|moved| {
            moved.ops.contains(&check.series.op)
                && check.series.points.iter().any(|point| point.gauge == moved.gauge)
        });
    }
    let standing = state.readings.iter().filter(|reading| !reading.voided);
    let readings = standing.filter(|reading| reading.taken.size().is_some()).count();
    Findings { out: out(route, state), checks, gauges, repeats: repeats(route, state), readings }
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

fn row_limits(series: &Series) -> RowLimits {
    RowLimits { uncertainty: series.uncertainty().inches(), band: series.band.map(Length::inches) }
}

fn diagnose_check(series: Series, spread: Spread) -> CheckDiagnosis {
    let subsets = series.subsets();
    let of: Vec<Vec<bool>> = subsets.iter().map(|subset| series.members(subset)).collect();
    let diagnosis = diagnose(&series.misses(), spread, row_limits(&series), &of);
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

/// A shift in one series, and from which of its readings on.
struct Shift<'a> {
    check: &'a CheckDiagnosis,
    by: Length,
    last_before: Option<&'a SeriesPoint>,
    first_after: &'a SeriesPoint,
}

/// Gauges whose zero moved: the same shift at the same time at machines that share
/// nothing but the gauge. One series alone can't tell a gauge from its machine.
fn gauges(checks: &[CheckDiagnosis]) -> Vec<GaugeShift> {
    let mut names: Vec<&str> =
        checks.iter().flat_map(|held| &held.series.points).map(|p| p.gauge.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    names.into_iter().filter_map(|gauge| moved(gauge, checks)).collect()
}

fn moved(gauge: &str, checks: &[CheckDiagnosis]) -> Option<GaugeShift> {
    let read: Vec<&CheckDiagnosis> = checks
        .iter()
        .filter(|held| held.series.points.iter().all(|point| point.gauge == gauge))
        .collect();
    let mut shifts: Vec<Shift<'_>> = read.iter().filter_map(|check| shift(check)).collect();
    shifts.sort_by_key(|shift| shift.first_after.order);
    let first = shifts.first()?;
    let since = first.first_after.order;
    let mut sizes: Vec<Length> = shifts.iter().map(|shift| shift.by).collect();
    sizes.sort_unstable();
    let middle = sizes.get(sizes.len() / 2).copied()?;
    let within = |times: i64| {
        let near = |shift: &Shift<'_>| {
            (shift.by - middle).abs() <= shift.check.series.uncertainty() * times
        };
        shifts.iter().all(near)
    };
    // Settings differ by up to twice the uncertainty. Where the shifts differ by
    // that much, a third machine must show the same.
    let enough = match (within(1), within(2)) {
        (true, _) => 2,
        (false, true) => 3,
        (false, false) => return None,
    };
    let agree = shifts.iter().all(|shift| {
        shift.last_before.is_none_or(|before| before.order < since || shift.by == first.by)
    });
    // A series read wholly afterwards that shows no shift clears the gauge.
    let cleared = read.iter().any(|check| {
        let after = check.series.points.iter().all(|point| point.order >= since);
        let steady = matches!(check.diagnosis.cause(), Some(Cause::Steady { .. }));
        after && steady
    });
    let mut machines: Vec<&str> =
        shifts.iter().filter_map(|shift| shift.check.series.at.as_deref()).collect();
    machines.sort_unstable();
    machines.dedup();
    let last_before = read
        .iter()
        .flat_map(|check| &check.series.points)
        .filter(|point| point.order < since)
        .max_by_key(|point| point.order);
    // Without an earlier good reading it could be two machines set wrong alike;
    // three mean the gauge.
    let needed = if last_before.is_some() { enough } else { 3 };
    if machines.len() < needed || !agree || cleared {
        return None;
    }
    let sum: Length = shifts.iter().map(|shift| shift.by).fold(Length::ZERO, |sum, by| sum + by);
    Some(GaugeShift {
        gauge: gauge.to_owned(),
        by: sum / shifts.len() as i64,
        between: (last_before.cloned(), first.first_after.clone()),
        ops: shifts.iter().map(|shift| shift.check.series.op).collect(),
    })
}

fn shift(check: &CheckDiagnosis) -> Option<Shift<'_>> {
    let points = &check.series.points;
    match check.diagnosis.cause()? {
        Cause::SetWrong { by } => Some(Shift {
            check,
            by: Length::from_inches(*by),
            last_before: None,
            first_after: points.iter().min_by_key(|point| point.order)?,
        }),
        Cause::Moved { after, before_level, after_level } => Some(Shift {
            check,
            by: Length::from_inches(after_level - before_level),
            last_before: points.get(after - 1),
            first_after: points.get(*after)?,
        }),
        _ => None,
    }
}

#[cfg(test)]
mod tests;
