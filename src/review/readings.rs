//! The readings of one check in cut order, each as its miss from the size wanted.

use chrono::{DateTime, FixedOffset};
use rustc_hash::FxHashMap;

use crate::journal::{Decision, PieceId, ReadingRecord, Reference, State};
use crate::measure::{Feature, Length, Limits, Verdict};
use crate::operation::{FeatureName, OperationKind};
use crate::route::{Check, Role, Route, Step};

/// One piece's reading at a check.
#[derive(Clone, Debug, PartialEq)]
pub struct SeriesPoint {
    /// The piece.
    pub piece: PieceId,
    /// Its name, as people see it.
    pub name: String,
    /// The size read.
    pub value: Length,
    /// The size wanted at that time.
    pub wanted: Length,
    /// The limits at that time.
    pub limits: Limits,
    /// The gauge's expanded uncertainty (k = 2).
    pub uncertainty: Length,
    /// How the reading was judged.
    pub verdict: Verdict,
    /// The gauge it was read with.
    pub gauge: String,
    /// Who read it.
    pub who: Option<String>,
    /// Which hand of its article it is, where pieces are handed.
    pub hand: Option<String>,
    /// When it was read.
    pub at: DateTime<FixedOffset>,
    /// Whether another reading of this size of the piece, with nothing cut in between,
    /// says the same.
    pub is_confirmed: bool,
    /// The line of the journal it stands in.
    pub reference: Reference,
    /// Its place in the merged journal.
    pub order: usize,
}

impl SeriesPoint {
    /// By how much it missed the size wanted.
    pub fn miss(&self) -> Length {
        self.value - self.wanted
    }
}

/// The readings of one check, in the order the pieces were cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// The operation.
    pub op: u32,
    /// The part.
    pub part: String,
    /// The word after `do`.
    pub kind: &'static OperationKind,
    /// The machine.
    pub at: Option<String>,
    /// The tool in it.
    pub tool: Option<String>,
    /// The feature that is checked.
    pub feature: FeatureName,
    /// What kind of size the feature is, which decides the words for it.
    pub words: Feature,
    /// The width between the limits, where there are two.
    pub band: Option<Length>,
    /// How many pieces went through the operation, measured or not.
    pub pieces: usize,
    /// One reading a piece, in cut order.
    pub points: Vec<SeriesPoint>,
}

/// What some readings of a series have in common and the others don't.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Subset {
    /// One of several people measured them.
    Person(String),
    /// They were measured with one of several gauges.
    Gauge(String),
    /// They are of one hand.
    Hand(String),
}

impl Subset {
    fn is_of(&self, point: &SeriesPoint) -> bool {
        match self {
            Subset::Person(who) => point.who.as_ref() == Some(who),
            Subset::Gauge(gauge) => point.gauge == *gauge,
            Subset::Hand(hand) => point.hand.as_ref() == Some(hand),
        }
    }
}

impl Series {
    /// Every subset of its readings that is not all of them.
    pub fn subsets(&self) -> Vec<Subset> {
        let mut subsets: Vec<Subset> = Vec::new();
        for point in &self.points {
            let own = [
                point.who.clone().map(Subset::Person),
                Some(Subset::Gauge(point.gauge.clone())),
                point.hand.clone().map(Subset::Hand),
            ];
            for subset in own.into_iter().flatten() {
                if !subsets.contains(&subset) {
                    subsets.push(subset);
                }
            }
        }
        subsets.retain(|subset| self.points.iter().any(|other| !subset.is_of(other)));
        subsets
    }

    /// Which of its readings are in a subset.
    pub fn members(&self, subset: &Subset) -> Vec<bool> {
        self.points.iter().map(|point| subset.is_of(point)).collect()
    }

    /// The misses in inches.
    pub fn misses(&self) -> Vec<f64> {
        self.points.iter().map(|point| point.miss().inches()).collect()
    }

    /// The largest uncertainty of its readings.
    pub fn uncertainty(&self) -> Length {
        self.points.iter().map(|point| point.uncertainty).max().unwrap_or_default()
    }
}

/// Every check with at least one number, in the order of the route.
pub fn series(route: &Route, state: &State) -> Vec<Series> {
    let mut all = Vec::new();
    // They are told apart in one go: each check going over all of them costs most.
    let mut of_op: FxHashMap<u32, Vec<&ReadingRecord>> = FxHashMap::default();
    for reading in &state.readings {
        of_op.entry(reading.taken.op).or_default().push(reading);
    }
    for step in &route.steps {
        let read = of_op.get(&step.op).map_or(&[][..], Vec::as_slice);
        for check in &step.checks {
            let points = points(state, read, step, check);
            if points.is_empty() {
                continue;
            }
            let setup = state.setups.get(&step.op);
            all.push(Series {
                op: step.op,
                part: step.part.clone(),
                kind: step.kind,
                at: step.at.clone(),
                tool: setup.and_then(|setup| setup.tool.clone()).or_else(|| step.tool.clone()),
                feature: check.of.clone(),
                words: check.kind,
                band: band(read, check),
                pieces: setup.map_or(0, |setup| setup.done.len()),
                points,
            });
        }
    }
    all
}

fn band(read: &[&ReadingRecord], check: &Check) -> Option<Length> {
    let of_check = read.iter().rev().filter(|held| held.taken.feature == check.of);
    of_check.into_iter().find_map(|held| held.taken.limits().band())
}

/// Whether another reading of the same size agrees within both uncertainties. A piece that
/// was cut again between them is another size.
fn is_confirmed(state: &State, reading: &ReadingRecord) -> bool {
    let taken = &reading.taken;
    let agrees = |other: &ReadingRecord| {
        let apart = other.taken.size().zip(taken.size()).map(|(other, own)| (other - own).abs());
        apart.is_some_and(|apart| apart <= other.taken.uncertainty + taken.uncertainty)
    };
    let mut all = state.readings_of(taken.op, &taken.piece, &taken.feature);
    all.any(|other| {
        let counts = !other.voided || other.to_measure_again;
        other.reference != reading.reference
            && counts
            && agrees(other)
            && state.decision_on(reading) != Some(Decision::Rework)
    })
}

/// One reading a piece, in cut order, of those at its operation. Setup pieces are left
/// out, because they prove settings.
fn points(state: &State, read: &[&ReadingRecord], step: &Step, check: &Check) -> Vec<SeriesPoint> {
    let done = state.setups.get(&step.op).map_or(&[][..], |setup| &setup.done);
    let places: FxHashMap<&PieceId, usize> = done.iter().zip(0..).collect();
    let proved = state.setups.get(&step.op).and_then(|setup| setup.proved);
    let mut points: Vec<(usize, SeriesPoint)> = Vec::new();
    let mut held: FxHashMap<&PieceId, usize> = FxHashMap::default();
    for reading in read.iter().copied() {
        let taken = &reading.taken;
        let own = taken.feature == check.of && !reading.voided;
        let Some(value) = taken.size().filter(|_| own) else { continue };
        let set_up = |piece: &crate::journal::Piece| piece.label.role == Role::Setup;
        if state.piece(&taken.piece).is_none_or(set_up) {
            continue;
        }
        let Some(wanted) = taken.wanted() else { continue };
        // The first reading of a piece shows what the machine made, because a
        // second cut hides it. While a setting is being proved it is the last.
        let proving = proved.is_some_and(|proved| reading.order < proved);
        let known = held.get(&taken.piece).copied();
        if known.is_some() && !proving {
            continue;
        }
        let point = SeriesPoint {
            piece: taken.piece.clone(),
            name: state.name(&taken.piece),
            value,
            wanted,
            limits: taken.limits(),
            uncertainty: taken.uncertainty,
            verdict: taken.verdict(),
            gauge: taken.gauge.clone(),
            who: reading.who.clone(),
            hand: state.piece(&taken.piece).and_then(|piece| piece.label.hand.clone()),
            at: reading.at,
            is_confirmed: is_confirmed(state, reading),
            reference: reading.reference.clone(),
            order: reading.order,
        };
        match known {
            Some(known) => points[known].1 = point,
            None => {
                held.insert(&taken.piece, points.len());
                points.push((places.get(&taken.piece).copied().unwrap_or(done.len()), point));
            }
        }
    }
    points.sort_by_key(|(place, point)| (*place, point.order));
    points.into_iter().map(|(_, point)| point).collect()
}
