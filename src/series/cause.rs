//! Which story fits a check's misses in cut order: set wrong, crept, moved,
//! one slip, a few apart, scattered, or nothing. Knows nothing of machines.
//!
//! Every story is a shape fitted by least squares. They are compared by the
//! Bayesian information criterion (G. Schwarz, Annals of Statistics 6 (1978),
//! 461-464), a place in the row counting as a parameter; which few of many are
//! apart costs the choice among all such few (J. Chen and Z. Chen, Biometrika
//! 95 (2008), 759-771). The spread is known only as well as so many readings
//! would show it, so the likelihood is Student's, and few readings prove
//! little. A story is told from six points over nothing having happened, which
//! A. E. Raftery calls strong, or from ten, his very strong, where the spread
//! is only guessed at (Sociological Methodology 25 (1995), 111-163, table 6;
//! from memory).

use super::{self as series, median};

/// What makes a row of misses look as it does. Sizes are in the unit of the
/// misses; places count from 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Story {
    /// Nothing beyond what a setting and a gauge are always off by.
    Steady { level: f64 },
    /// All alike off.
    SetWrong { by: f64 },
    /// A little more from piece to piece, `by` from first to last.
    Crept { by: f64, start: f64 },
    /// One level up to a place, another after it.
    Moved { after: usize, before_level: f64, after_level: f64 },
    /// One piece apart from all others.
    Slip { at: usize, by: f64 },
    /// A few here and there apart from the others, all one way.
    Apart { count: usize, by: f64 },
    /// Those of one kind apart from the rest: which kind, by its place in the
    /// list that was asked about.
    Kind { kind: usize, by: f64 },
    /// Further apart than the limits allow, without order.
    Scattered { sd: f64 },
}

impl Story {
    /// Whether two stories are of one kind, whatever their sizes.
    pub fn is_like(&self, other: &Story) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}

/// How far from the target and how wide the row may be, in its own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// Expanded uncertainty (k = 2) of one reading.
    pub uncertainty: f64,
    /// How wide the limits are apart; none where there is one limit only.
    pub band: Option<f64>,
}

/// Another story that is nearly as good.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Runner {
    pub story: Story,
    /// By how many points it is behind.
    pub behind: f64,
}

/// What is told of a row, and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told {
    /// Fewer readings than any story takes.
    TooFew { have: usize, need: usize },
    Story {
        story: Story,
        /// Points over nothing having happened; nought for a steady row.
        over_nothing: f64,
        /// How many were needed.
        needed: f64,
        runner: Option<Runner>,
    },
}

impl Told {
    pub fn story(&self) -> Option<&Story> {
        match self {
            Told::TooFew { .. } => None,
            Told::Story { story, .. } => Some(story),
        }
    }

    /// Whether something happened.
    pub fn happened(&self) -> bool {
        self.story().is_some_and(|story| !matches!(story, Story::Steady { .. }))
    }
}

/// Fewer say nothing about order.
pub const FEWEST: usize = 4;
/// Points over nothing from which a story is told where the machine's spread
/// is known: Raftery's strong. Where it is only guessed at, his very strong.
pub const STRONG: f64 = 6.0;
pub const VERY_STRONG: f64 = 10.0;
/// As how many readings a spread counts as known.
const KNOWN_FROM: f64 = 12.0;
/// Points between two stories under which neither is better: Raftery's weak.
pub const WEAK: f64 = 2.0;

/// What the shop says of a machine is worth as so many readings of the spread,
/// and what is usual for its kind.
const SHOP_IS_WORTH: f64 = 20.0;
const USUAL_IS_WORTH: f64 = 4.0;
/// Moving ranges overlap and tell less than so many free readings: their
/// efficiency beside the standard deviation of as many, from memory.
const NEIGHBOURS_ARE_WORTH: f64 = 0.6;
/// Rows beside this one are never worth more: no two setups are alike.
const ROWS_ARE_WORTH: f64 = 30.0;
/// The median of the difference of two from one normal source, over sigma:
/// sqrt(2) times the third quartile 0.67449.
const MEDIAN_RANGE: f64 = 0.953_873;
/// The median distance from the middle, over sigma: the third quartile.
const MEDIAN_DISTANCE: f64 = 0.674_490;

/// How far apart pieces come that nothing happened to, and as how many free
/// readings that is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    pub sd: f64,
    pub worth: f64,
}

impl Spread {
    /// How many points over nothing a story needs to be told.
    pub fn needed(self) -> f64 {
        if self.worth >= KNOWN_FROM { STRONG } else { VERY_STRONG }
    }
}

/// How far apart a machine leaves pieces, one standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Machine {
    /// As the shop found it.
    Known(f64),
    /// As is usual for its kind.
    Usual(f64),
}

/// What is known of a row's spread before it is looked at: the machine's, then
/// what other rows at the same machine show. The gauge's own scatter is always
/// in it.
pub fn spread(machine: Machine, doubt: Doubt, others: &[&[f64]]) -> Spread {
    let gauge = doubt.uncertainty / 2.0;
    let (own, worth) = match machine {
        Machine::Known(sd) => (sd, SHOP_IS_WORTH),
        Machine::Usual(sd) => (sd, USUAL_IS_WORTH),
    };
    let known = own.hypot(gauge);
    let (seen, rows) = seen_in(others);
    let squares = worth * known.powi(2) + rows * seen.max(gauge).powi(2);
    Spread { sd: (squares / (worth + rows)).sqrt(), worth: worth + rows }
}

/// The smaller of two estimates: from the differences of neighbours, which a
/// creep or a step hardly touches, and from the distances to each row's
/// median, which a few apart hardly touch.
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

/// The story that fits a row best, with the next best beside it.
///
/// `kinds` says of each kind which of the row are of it: read by one person,
/// with one gauge, or of one hand.
pub fn story(row: &[f64], spread: Spread, doubt: Doubt, kinds: &[Vec<bool>]) -> Told {
    if row.len() < FEWEST {
        return Told::TooFew { have: row.len(), need: FEWEST };
    }
    let shapes = shapes(row, doubt, kinds);
    let nothing = shapes.steady.evidence(row.len(), spread);
    let mut told: Vec<(Story, f64)> = shapes
        .others
        .iter()
        .map(|shape| (shape.story, nothing - shape.evidence(row.len(), spread)))
        .collect();
    told.sort_by(|one, other| other.1.total_cmp(&one.1));
    // All alike off is the plainer story: any other must beat that as well.
    let alike = told.iter().find(|(story, _)| matches!(story, Story::SetWrong { .. })).copied();
    let least = alike.map_or(0.0, |(_, over)| over.max(0.0));
    let other = told.iter().find(|(story, _)| !matches!(story, Story::SetWrong { .. })).copied();
    let needed = spread.needed();
    let best = other
        .filter(|(_, over)| *over - least >= needed)
        .or(alike.filter(|(_, over)| *over >= needed));
    let Some((story, over_nothing)) = best else {
        let story = scattered(row, doubt).unwrap_or(shapes.steady.story);
        let runner = told.first().filter(|(_, over)| *over > 0.0);
        let runner = runner.map(|(story, over)| Runner { story: *story, behind: needed - over });
        return Told::Story { story, over_nothing: 0.0, needed, runner };
    };
    let runner = told.iter().find(|(held, _)| !held.is_like(&story));
    let runner = runner.map(|(story, over)| Runner { story: *story, behind: over_nothing - over });
    Told::Story { story, over_nothing, needed, runner }
}

/// The criterion of a shape: less is better. With the spread known as so many
/// readings it is Student's likelihood, (worth + n - 3) ln(1 + residual /
/// (worth sd^2)), three being what the fullest shape takes, and `parameters`
/// ln n for what was chosen to suit the row.
pub fn evidence(n: usize, residual: f64, parameters: usize, spread: Spread) -> f64 {
    let about = spread.worth * spread.sd.powi(2);
    let misfit = if about > 0.0 { (residual / about).ln_1p() } else { 0.0 };
    (spread.worth + n as f64 - 3.0) * misfit + parameters as f64 * (n as f64).ln()
}

struct Shapes {
    steady: Shape,
    others: Vec<Shape>,
}

/// A story with what it leaves unexplained and what it took.
struct Shape {
    story: Story,
    residual: f64,
    parameters: usize,
    /// Among how many choices of pieces it is the best, as a logarithm.
    choices: f64,
}

impl Shape {
    fn of(story: Story, fit: series::ShapeFit) -> Shape {
        Shape { story, residual: fit.residual, parameters: fit.parameters, choices: 0.0 }
    }

    fn evidence(&self, n: usize, spread: Spread) -> f64 {
        evidence(n, self.residual, self.parameters, spread) + 2.0 * self.choices
    }
}

/// Every shape a row can have, fitted.
fn shapes(row: &[f64], doubt: Doubt, kinds: &[Vec<bool>]) -> Shapes {
    let level = series::level(row).map_or(0.0, |(level, _)| level);
    // No shop sets nearer than its gauge tells or than an eighth of the band.
    let harmless = doubt.band.map_or(doubt.uncertainty, |band| doubt.uncertainty.max(band / 8.0));
    let fit = |level: f64| {
        let residual = row.iter().map(|miss| (miss - level).powi(2)).sum::<f64>();
        series::ShapeFit { residual, parameters: 1 }
    };
    let steady = Shape::of(Story::Steady { level }, fit(level.clamp(-harmless, harmless)));
    let mut others = vec![Shape::of(Story::SetWrong { by: level }, fit(level))];
    if let Ok(ramp) = series::ramp(row) {
        let by = ramp.slope * (row.len() - 1) as f64;
        others.push(Shape::of(Story::Crept { by, start: ramp.start }, ramp.fit));
    }
    if let Ok(slip) = series::slip(row) {
        others.push(Shape::of(Story::Slip { at: slip.at, by: slip.by }, slip.fit));
    }
    // A step before the last or after the first piece can't be told from a slip.
    if let Ok(step) = series::step(row)
        && (2..=row.len() - 2).contains(&step.after)
    {
        let series::LevelShift { after, before_level, after_level, fit } = step;
        others.push(Shape::of(Story::Moved { after, before_level, after_level }, fit));
    }
    others.extend(apart(row));
    let choices = (kinds.len().max(1) as f64).ln();
    others.extend(
        kinds.iter().enumerate().filter_map(|(kind, own)| of_kind(row, kind, own, choices)),
    );
    // A shape that nobody could see by the gauge is none.
    others.retain(|shape| seen(&shape.story, harmless, doubt));
    Shapes { steady, others }
}

/// The few, two to half of them, whose being apart leaves least.
fn apart(row: &[f64]) -> Option<Shape> {
    let mut sorted = row.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    let mut best: Option<Shape> = None;
    for below in 2..=n.saturating_sub(2) {
        let (low, high) = sorted.split_at(below);
        let ((low_level, one), (high_level, other)) =
            (series::level(low).ok()?, series::level(high).ok()?);
        let (count, by) = if below * 2 <= n {
            (below, low_level - high_level)
        } else {
            (n - below, high_level - low_level)
        };
        let shape = Shape {
            story: Story::Apart { count, by },
            residual: one.residual + other.residual,
            parameters: 2,
            choices: ln_choices(n, count),
        };
        let cost = |shape: &Shape| (shape.residual, shape.choices);
        if best.as_ref().is_none_or(|held| cost(&shape) < cost(held)) {
            best = Some(shape);
        }
    }
    best
}

/// Those of one kind on one level, the rest on another; two of each at least.
fn of_kind(row: &[f64], kind: usize, own: &[bool], choices: f64) -> Option<Shape> {
    let of = |wanted: bool| -> Vec<f64> {
        row.iter().zip(own).filter(|(_, is)| **is == wanted).map(|(miss, _)| *miss).collect()
    };
    let (these, rest) = (of(true), of(false));
    if these.len() < 2 || rest.len() < 2 {
        return None;
    }
    let ((level, one), (others, other)) = (series::level(&these).ok()?, series::level(&rest).ok()?);
    Some(Shape {
        story: Story::Kind { kind, by: level - others },
        residual: one.residual + other.residual,
        parameters: 2,
        choices,
    })
}

/// The logarithm of in how many ways `k` can be chosen from `n`.
fn ln_choices(n: usize, k: usize) -> f64 {
    (0..k).map(|i| ((n - i) as f64 / (i + 1) as f64).ln()).sum()
}

/// Whether the size of a story is more than one reading can be off by.
fn seen(story: &Story, harmless: f64, doubt: Doubt) -> bool {
    match story {
        Story::SetWrong { by } => by.abs() > harmless,
        Story::Crept { by, .. }
        | Story::Slip { by, .. }
        | Story::Apart { by, .. }
        | Story::Kind { by, .. } => by.abs() > doubt.uncertainty,
        Story::Moved { before_level, after_level, .. } => {
            (after_level - before_level).abs() > doubt.uncertainty
        }
        Story::Steady { .. } | Story::Scattered { .. } => true,
    }
}

/// Whether the row spreads over more than its limits allow.
fn scattered(row: &[f64], doubt: Doubt) -> Option<Story> {
    let band = doubt.band?;
    let sd = series::standard_deviation(row).ok()?;
    let reach =
        row.iter().copied().fold(f64::MIN, f64::max) - row.iter().copied().fold(f64::MAX, f64::min);
    (reach > band).then_some(Story::Scattered { sd })
}
