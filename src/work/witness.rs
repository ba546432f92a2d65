//! Witness pieces: one size measured twice with nothing cut in between. Did the
//! wood move, or does the gauge read differently?
//!
//! What a gauge read on its block the same day tells the two apart (common
//! practice, no source): the block does not move.

use chrono::{DateTime, Duration, FixedOffset, NaiveDate};

use crate::journal::{BlockCheck, ReadingRecord, State};
use crate::journal::{Decision, PieceId};
use crate::measure::{Length, Unit};
use crate::operation::{FeatureName, LENGTH, decimal};
use crate::route::Route;
use crate::wood::{Grain, Species};

/// Wood does not move noticeably in fewer hours (common practice, no source).
const HOURS: i64 = 4;

/// No wood in a stack takes up more points of moisture over a night or a
/// weekend (common practice, no source).
const MOST_POINTS: f64 = 6.0;

/// Why a size reads differently than before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RepeatCause {
    /// It doesn't: the difference is within the uncertainty.
    Same,
    /// The gauge read its block the same both times, so the wood moved.
    Wood,
    /// The gauge read its block differently by as much.
    Gauge,
    /// Wood does not move that much along the grain.
    Hand,
    /// It was another gauge, or no block was read both times.
    CantTell,
}

/// One size at the same two operations, gauges and days.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct RepeatOccasion {
    feature: FeatureName,
    before: (u32, String, NaiveDate),
    again: (u32, String, NaiveDate),
}

/// One size of one or several pieces that was read before, and again.
#[derive(Clone, Debug, PartialEq)]
pub struct RepeatReading {
    /// Where it was read before, when, and with what.
    pub before_op: u32,
    /// When it was measured before.
    pub before_at: DateTime<FixedOffset>,
    /// The gauge it was measured with before.
    pub before_gauge: String,
    /// Where and when it was read again.
    pub op: u32,
    /// When it was measured again.
    pub at: DateTime<FixedOffset>,
    /// The part, by its name in the route.
    pub part: String,
    /// What is measured.
    pub feature: FeatureName,
    /// The gauge it was measured with again.
    pub gauge: String,
    /// What it measured before; of several the middle one.
    pub was: Length,
    /// By how much more it measures now; of several the middle one.
    pub by: Length,
    /// By how much more the gauge reads its block, where it was read both times.
    pub block: Option<Length>,
    /// Expanded uncertainty of a difference of two readings (k = 2).
    pub uncertainty: Length,
    /// What the difference comes from.
    pub why: RepeatCause,
    /// The pieces.
    pub pieces: Vec<PieceId>,
}

impl RepeatCause {
    /// In one word or two.
    pub fn word(self) -> &'static str {
        match self {
            RepeatCause::Same => "same",
            RepeatCause::Wood => "wood",
            RepeatCause::Gauge => "gauge",
            RepeatCause::Hand => "hand",
            RepeatCause::CantTell => "can't tell",
        }
    }

    fn of(by: Length, block: Option<Length>, uncertainty: Length, along: bool) -> RepeatCause {
        match block {
            _ if by.abs() <= uncertainty => RepeatCause::Same,
            None => RepeatCause::CantTell,
            Some(block) if (by - block).abs() <= uncertainty => RepeatCause::Gauge,
            Some(_) if along => RepeatCause::Hand,
            Some(_) => RepeatCause::Wood,
        }
    }
}

impl RepeatReading {
    /// How far the wood moved, less the gauge's own change where that is known.
    pub fn wood(&self) -> Length {
        self.by - self.block.unwrap_or_default()
    }

    /// What those have in common that are told together.
    pub fn occasion(&self) -> RepeatOccasion {
        RepeatOccasion {
            feature: self.feature.clone(),
            before: (self.before_op, self.before_gauge.clone(), self.before_at.date_naive()),
            again: (self.op, self.gauge.clone(), self.at.date_naive()),
        }
    }

    /// The change of moisture in points that would explain it, from flat-sawn to
    /// quartersawn, because the ring direction of each piece is unknown.
    pub fn points(&self, species: Option<&str>) -> Option<(f64, f64)> {
        let wood = Species::named(species?)?;
        let points = |grain| self.wood().ratio(self.was) / wood.coefficient(grain).amount;
        let (flat, quarter) = (points(Grain::Flat), points(Grain::Quarter));
        Some(if flat.abs() < quarter.abs() { (flat, quarter) } else { (quarter, flat) })
    }

    /// What was found and what to do, in sentences.
    pub fn words(&self, species: Option<&str>, unit: Unit) -> String {
        let size = |length: Length| decimal(length.abs(), unit);
        let more = |length: Length| {
            format!("{} {}", size(length), if length.is_negative() { "less" } else { "more" })
        };
        let was = size(self.was);
        let when = self.before_at.format("%a %e %b %H:%M");
        let gauge = &self.gauge;
        let both = format!("It measured {was} before ({when}) and {} now", more(self.by));
        match self.why {
            RepeatCause::Same => format!(
                "It measured {was} before ({when}): no difference that the {gauge} can show."
            ),
            RepeatCause::Gauge => format!(
                "{both}. The block reads {} too with the {gauge}: the gauge changed, not the wood. \
                 Wipe it, zero it and measure again.",
                more(self.block.unwrap_or_default())
            ),
            RepeatCause::Hand => format!(
                "{both}, and the block reads as before. Wood doesn't move that much along the \
                 grain: check how and where the piece is held, and measure again."
            ),
            RepeatCause::CantTell if self.before_gauge != self.gauge => format!(
                "{both}, but the first reading was with the {}. Measure with that one before \
                 you trust either.",
                self.before_gauge
            ),
            RepeatCause::CantTell => format!(
                "{both}. It may be the wood or the gauge: no block was read with the {gauge} both \
                 times. Read the block and measure again."
            ),
            RepeatCause::Wood => {
                let own = match self.block.filter(|block| !block.is_zero()) {
                    Some(block) => format!(
                        ". The block reads {} too with the {gauge}, so the wood moved {}",
                        more(block),
                        size(self.wood())
                    ),
                    None => format!(". The block reads as before with the {gauge}: the wood moved"),
                };
                format!("{both}{own}. {}", self.moisture_words(species))
            }
        }
    }

    fn moisture_words(&self, species: Option<&str>) -> String {
        let Some((least, most)) = self.points(species) else {
            return "Calculate the numbers again before the next cut.".to_owned();
        };
        let way = if least.is_sign_negative() { "drier" } else { "damper" };
        if least.abs() > MOST_POINTS {
            return format!(
                "That would take {:.0} points of moisture: check for cup, wind or dust first.",
                least.abs()
            );
        }
        format!(
            "Wood {:.1} to {:.1} points {way} would explain it. Calculate the numbers again before the next cut.",
            least.abs(),
            most.abs()
        )
    }
}

/// Several pieces in the same case: the first of them, and what each of the others
/// differs in.
#[derive(Clone, Debug)]
pub struct AlikeRepeats {
    first: RepeatReading,
    sizes: Vec<RepeatSizes>,
}

/// What it measured before, by how much more it does now, and the block.
type RepeatSizes = (Length, Length, Option<Length>);

impl AlikeRepeats {
    /// The first of them.
    pub fn new(first: RepeatReading) -> AlikeRepeats {
        let sizes = vec![(first.was, first.by, first.block)];
        AlikeRepeats { first, sizes }
    }

    /// Another one on the same occasion.
    pub fn add(&mut self, again: RepeatReading) {
        self.sizes.push((again.was, again.by, again.block));
        self.first.pieces.extend(again.pieces);
    }

    /// All of them as one: the median of each value.
    pub fn together(self) -> RepeatReading {
        let AlikeRepeats { first, sizes } = self;
        let middle = |size: fn(&RepeatSizes) -> Length| {
            let mut sizes: Vec<Length> = sizes.iter().map(size).collect();
            sizes.sort_unstable();
            sizes[sizes.len() / 2]
        };
        let by = middle(|(_, by, _)| *by);
        let known = sizes.iter().all(|(.., block)| block.is_some());
        let block = known.then(|| middle(|(.., block)| block.unwrap_or_default()));
        let why = RepeatCause::of(by, block, first.uncertainty, first.feature == LENGTH);
        RepeatReading { was: middle(|(was, ..)| *was), by, block, why, ..first }
    }
}

/// The last time the same size was read, when that is long enough ago and
/// nothing has been cut from it since.
pub fn repeat_reading(
    route: &Route,
    state: &State,
    after: &ReadingRecord,
) -> Option<RepeatReading> {
    let taken = &after.taken;
    let piece = state.piece(&taken.piece)?;
    let step = route.step(taken.op)?;
    let last_on = |piece: &PieceId| {
        let mut earlier = state.readings_before(piece, after.order).rev();
        earlier.find(|other| !other.voided && other.taken.feature == taken.feature)
    };
    let blank = piece.from.as_ref().and_then(last_on);
    let before = last_on(&taken.piece).into_iter().chain(blank).max_by_key(|other| other.order)?;
    let (from, to) = (before.taken.op, taken.op);
    let cut = route.steps.iter().any(|between| {
        between.part == step.part
            && (from + 1..=to).contains(&between.op)
            && !between.what.leaves_alone(&taken.feature)
    });
    let since = |order: usize| (before.order..after.order).contains(&order);
    let set = state.setups.get(&to).is_some_and(|setup| setup.shown.iter().any(|s| since(s.order)));
    let sent_back =
        piece.decisions.iter().any(|r| r.decision != Decision::Accept && since(r.order));
    let soon = after.at.signed_duration_since(before.at) < Duration::hours(HOURS);
    // Read in another order than the route's, it may have been cut or not.
    if from > to || cut || set || sent_back || soon {
        return None;
    }
    let by = taken.size()? - before.taken.size()?;
    let tried = block(state, after).zip(block(state, before));
    let block = tried
        .filter(|_| before.taken.gauge == taken.gauge)
        .map(|(after, before)| after.off - before.off);
    let square = |length: Length| (length.nanometres() as f64).powi(2);
    let both = (square(taken.uncertainty) + square(before.taken.uncertainty)).sqrt();
    let uncertainty = Length::from_nanometres_f64(both)?;
    Some(RepeatReading {
        before_op: from,
        before_at: before.at,
        before_gauge: before.taken.gauge.clone(),
        op: to,
        at: after.at,
        part: step.part.clone(),
        feature: taken.feature.clone(),
        gauge: taken.gauge.clone(),
        was: before.taken.size()?,
        by,
        block,
        uncertainty,
        why: RepeatCause::of(by, block, uncertainty, taken.feature == LENGTH),
        pieces: vec![taken.piece.clone()],
    })
}

/// What the gauge read on its block the same day, before a reading.
fn block<'a>(state: &'a State, reading: &ReadingRecord) -> Option<&'a BlockCheck> {
    state.block_checks.iter().rev().find(|tried| {
        tried.order < reading.order
            && tried.station == reading.reference.station
            && tried.gauge == reading.taken.gauge
            && tried.at.date_naive() == reading.at.date_naive()
    })
}
