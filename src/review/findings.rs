//! A batch looked at as a whole: what went out first, the story of each check,
//! a gauge whose zero moved. Knows nothing of how any of it is shown.

use super::attribution::{Attribution, attribution};
use super::readings::{Point, Series, Subset, series};
use super::repeats::repeats;
use crate::journal::{Decision, PieceId, ReadingRecord, State};
use crate::measure::{Feature, Length, Limits, Verdict};
use crate::operation::FeatureName;
use crate::route::Route;
use crate::series::cause::{
    Cause, Certainty, Diagnosis, MachineSpread, RowLimits, Spread, diagnose, expected_spread,
};
use crate::shop::{MachineKind, Shop};
use crate::work::{RepeatCause, RepeatReading};

/// A piece that went out of its limits.
#[derive(Clone, Debug, PartialEq)]
pub struct Out {
    pub op: u32,
    pub piece: PieceId,
    pub name: String,
    pub feature: FeatureName,
    pub words: Feature,
    pub value: Length,
    pub wanted: Length,
    pub limits: Limits,
    pub verdict: Verdict,
    /// What was decided then.
    pub decision: Option<Decision>,
    /// What it measured when it had been cut again, and what that said.
    pub afterwards: Option<(Length, Verdict)>,
    /// From the reading that stands now.
    pub attribution: Option<Attribution>,
}

/// A check with its story.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckDiagnosis {
    pub series: Series,
    /// What a story of one kind speaks of.
    pub subsets: Vec<Subset>,
    pub diagnosis: Diagnosis,
    /// How many of its readings were out, and too close to call.
    pub out: usize,
    pub close: usize,
    /// Whether the gauge explains it: it is told there.
    pub by_gauge: bool,
}

/// A gauge that reads otherwise from some time on, at every machine.
#[derive(Clone, Debug, PartialEq)]
pub struct GaugeShift {
    pub gauge: String,
    pub by: Length,
    /// The last reading before and the first after.
    pub between: (Option<Point>, Point),
    /// Operations whose readings show it.
    pub ops: Vec<u32>,
}

/// What the journal of a batch says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Findings {
    /// In the order they were measured.
    pub out: Vec<Out>,
    /// In the order of the route.
    pub checks: Vec<CheckDiagnosis>,
    pub gauges: Vec<GaugeShift>,
    /// Sizes read again on another day with nothing cut in between, those that
    /// read the same among them.
    pub repeats: Vec<RepeatReading>,
    /// Readings with a number that stand.
    pub readings: usize,
}

impl Findings {
    /// Whether there is anything the lead should look at.
    pub fn is_quiet(&self) -> bool {
        self.out.is_empty()
            && self.gauges.is_empty()
            && self.moved_repeats().next().is_none()
            && self.checks.iter().all(|account| !account.diagnosis.happened())
    }

    /// What reads otherwise on another day though nothing was cut.
    pub fn moved_repeats(&self) -> impl Iterator<Item = &RepeatReading> {
        self.repeats.iter().filter(|again| again.why != RepeatCause::Same)
    }

    /// The checks worth a sentence: where something happened or went out, those
    /// with the most points over nothing first.
    pub fn notable(&self) -> Vec<&CheckDiagnosis> {
        let mut told: Vec<&CheckDiagnosis> = self
            .checks
            .iter()
            .filter(|account| account.diagnosis.happened() || account.out > 0)
            .collect();
        told.sort_by(|one, other| other.strength().total_cmp(&one.strength()));
        told
    }
}

/// So many that went out are told one by one; more than that by check.
const ONE_BY_ONE: usize = 12;

impl Findings {
    /// What went out, as it is told: one by one in the order it was found or,
    /// where that is a long list, those of one check together.
    pub fn grouped_out(&self) -> Vec<Vec<&Out>> {
        let mut told: Vec<Vec<&Out>> = Vec::new();
        for out in &self.out {
            let alike = |held: &&mut Vec<&Out>| {
                held.first().is_some_and(|first| {
                    let way = std::mem::discriminant;
                    let check = first.op == out.op && first.feature == out.feature;
                    check && way(&first.verdict) == way(&out.verdict)
                })
            };
            match told.iter_mut().find(alike) {
                Some(held) if self.out.len() > ONE_BY_ONE => held.push(out),
                _ => told.push(vec![out]),
            }
        }
        told
    }
}

impl Out {
    /// Whether it is out as it stands, cut again or not.
    pub fn is_still_out(&self) -> bool {
        !matches!(self.afterwards, Some((_, Verdict::In)))
    }
}

impl CheckDiagnosis {
    /// How far its cause can be relied on. Pieces out of limits without a cause
    /// that explains them are not to be told.
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

/// Reads everything a batch's journal says.
pub fn findings(route: &Route, shop: &Shop, state: &State) -> Findings {
    let all = series(route, state);
    let spreads: Vec<Spread> = all.iter().map(|own| spread_of(own, &all, shop)).collect();
    let mut accounts: Vec<CheckDiagnosis> =
        all.into_iter().zip(spreads).map(|(series, spread)| account(series, spread)).collect();
    let gauges = gauges(&accounts);
    for account in &mut accounts {
        account.by_gauge = gauges.iter().any(|moved| {
            moved.ops.contains(&account.series.op)
                && account.series.points.iter().any(|point| point.gauge == moved.gauge)
        });
    }
    let standing = state.readings.iter().filter(|reading| !reading.voided);
    let readings = standing.filter(|reading| reading.taken.size().is_some()).count();
    Findings {
        out: out(route, state),
        checks: accounts,
        gauges,
        repeats: repeats(route, state),
        readings,
    }
}

/// What is known of a row's spread from the shop and from other rows of the
/// same kind at the same machine: short rows of many parts tell as much as one
/// long row.
fn spread_of(own: &Series, all: &[Series], shop: &Shop) -> Spread {
    let beside = |other: &&Series| {
        !std::ptr::eq(*other, own)
            && other.at == own.at
            && other.kind == own.kind
            && other.words == own.words
    };
    let rows: Vec<Vec<f64>> = all.iter().filter(beside).map(Series::misses).collect();
    let rows: Vec<&[f64]> = rows.iter().map(Vec::as_slice).collect();
    let machine = match own.at.as_ref().and_then(|at| shop.machines.get(at)) {
        Some(held) => match held.spread {
            Some(spread) => MachineSpread::Known(spread.inches()),
            None => MachineSpread::Usual(held.kind.usual_spread().inches()),
        },
        None => MachineSpread::Usual(MachineKind::Bench.usual_spread().inches()),
    };
    expected_spread(machine, doubt(own), &rows)
}

fn doubt(series: &Series) -> RowLimits {
    RowLimits { uncertainty: series.uncertainty().inches(), band: series.band.map(Length::inches) }
}

fn account(series: Series, spread: Spread) -> CheckDiagnosis {
    let subsets = series.subsets();
    let of: Vec<Vec<bool>> = subsets.iter().map(|subset| series.members(subset)).collect();
    let diagnosis = diagnose(&series.misses(), spread, doubt(&series), &of);
    let is_out = |point: &&Point| point.verdict.is_out();
    let out = series.points.iter().filter(is_out).count();
    let close = series
        .points
        .iter()
        .filter(|point| matches!(point.verdict, Verdict::TooClose { .. }))
        .count();
    CheckDiagnosis { series, subsets, diagnosis, out, close, by_gauge: false }
}

/// Every piece whose reading was surely out, in the order it was found.
fn out(route: &Route, state: &State) -> Vec<Out> {
    let mut found: Vec<Out> = Vec::new();
    for reading in state.readings.iter().filter(|reading| !reading.voided) {
        let verdict = reading.taken.verdict();
        if !verdict.is_out() {
            continue;
        }
        let taken = &reading.taken;
        let known = found.iter().any(|held| {
            held.op == taken.op && held.piece == taken.piece && held.feature == taken.feature
        });
        if !known {
            found.extend(went_out(route, state, reading, verdict));
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

/// A shift in one row, and from which of its readings on.
struct Shift<'a> {
    account: &'a CheckDiagnosis,
    by: Length,
    last_before: Option<&'a Point>,
    first_after: &'a Point,
}

/// The same shift at one time at machines that have nothing in common but the
/// gauge. One row alone can't tell a gauge from its machine.
fn gauges(accounts: &[CheckDiagnosis]) -> Vec<GaugeShift> {
    let mut names: Vec<&str> =
        accounts.iter().flat_map(|held| &held.series.points).map(|p| p.gauge.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    names.into_iter().filter_map(|gauge| moved(gauge, accounts)).collect()
}

fn moved(gauge: &str, accounts: &[CheckDiagnosis]) -> Option<GaugeShift> {
    let read: Vec<&CheckDiagnosis> = accounts
        .iter()
        .filter(|held| held.series.points.iter().all(|point| point.gauge == gauge))
        .collect();
    let mut shifts: Vec<Shift<'_>> = read.iter().filter_map(|account| shift(account)).collect();
    shifts.sort_by_key(|shift| shift.first_after.order);
    let first = shifts.first()?;
    let since = first.first_after.order;
    let mut sizes: Vec<Length> = shifts.iter().map(|shift| shift.by).collect();
    sizes.sort_unstable();
    let middle = sizes.get(sizes.len() / 2).copied()?;
    let within = |times: i64| {
        let near = |shift: &Shift<'_>| {
            (shift.by - middle).abs() <= shift.account.series.uncertainty() * times
        };
        shifts.iter().all(near)
    };
    // Machines are set only so near: where the shifts differ by that, a third
    // machine must say the same.
    let enough = match (within(1), within(2)) {
        (true, _) => 2,
        (false, true) => 3,
        (false, false) => return None,
    };
    let agree = shifts.iter().all(|shift| {
        shift.last_before.is_none_or(|before| before.order < since || shift.by == first.by)
    });
    // A row read wholly afterwards that shows nothing clears the gauge.
    let cleared = read.iter().any(|account| {
        let after = account.series.points.iter().all(|point| point.order >= since);
        let steady = matches!(account.diagnosis.cause(), Some(Cause::Steady { .. }));
        after && steady
    });
    let mut machines: Vec<&str> =
        shifts.iter().filter_map(|shift| shift.account.series.at.as_deref()).collect();
    machines.sort_unstable();
    machines.dedup();
    let last_before = read
        .iter()
        .flat_map(|account| &account.series.points)
        .filter(|point| point.order < since)
        .max_by_key(|point| point.order);
    // What was never read right may as well be two machines set wrong alike;
    // three are the gauge.
    let needed = if last_before.is_some() { enough } else { 3 };
    if machines.len() < needed || !agree || cleared {
        return None;
    }
    let sum: Length = shifts.iter().map(|shift| shift.by).fold(Length::ZERO, |sum, by| sum + by);
    Some(GaugeShift {
        gauge: gauge.to_owned(),
        by: sum / shifts.len() as i64,
        between: (last_before.cloned(), first.first_after.clone()),
        ops: shifts.iter().map(|shift| shift.account.series.op).collect(),
    })
}

fn shift(account: &CheckDiagnosis) -> Option<Shift<'_>> {
    let points = &account.series.points;
    match account.diagnosis.cause()? {
        Cause::SetWrong { by } => Some(Shift {
            account,
            by: Length::from_inches(*by),
            last_before: None,
            first_after: points.iter().min_by_key(|point| point.order)?,
        }),
        Cause::Moved { after, before_level, after_level } => Some(Shift {
            account,
            by: Length::from_inches(after_level - before_level),
            last_before: points.get(after - 1),
            first_after: points.get(*after)?,
        }),
        _ => None,
    }
}
