//! Will it go together: every clearance of a route from the dimensions in it,
//! what each may be off by, and where that comes from. Knows nothing of
//! screens, and of a batch only what was made and read.
//!
//! A dimension counts when it is measured (a check makes it, or judges the
//! feature it sizes), when a scale sets it, or when it was made. Anything else
//! is taken as drawn.
//!
//! - The limits of a check are the room its readings have and, at either end,
//!   the gauge's own uncertainty: a reading is in only when it is inside by
//!   that much. The room is from piece to piece, each size in it alike
//!   (JCGM 101:2008, 6.4.2); the uncertainty, k = 2, is shared by all pieces
//!   one gauge has proved.
//! - A dimension that a check makes is followed by everything cut later whose
//!   formula uses it. What the whole lot is off by then reaches the clearance
//!   by its own way and by its followers', and largely cancels; what remains is
//!   how far one piece lies from the reading the others were cut by.
//! - Once made, a dimension keeps the spread of its readings and its gauge's
//!   uncertainty, and nothing of its limits.
//! - A size set by a scale that nobody measures is off by what its mark is off,
//!   and by half a step.
//! - One name moves as one. Where it stands for several pieces the fit says so
//!   (`pieces`), and what differs between them partly evens out.
//!
//! How these add up is told in [`stack`](super::stack).

use std::collections::{BTreeMap, BTreeSet};

use super::stack::{Asked, Part, Range, Stack, holds, shares, stack};
use super::trials::{Draws, Share};
use crate::batch::State;
use crate::document::{Document, Level, Problem};
use crate::formula::{DimensionKind, Formula, FormulaError, Missing, Scope, Value, Web};
use crate::measure::{Gauge, Length, Limits};
use crate::operation::{FeatureName, decimal, words};
use crate::plan::{Group, Known, MadeOver, Plan};
use crate::route::{Becomes, Check, Fit, PieceChoice, PieceLabel, Route, Span, Step, Take};
use crate::shop::Shop;

/// A route, the shop it is made in, and what is known so far.
#[derive(Clone, Copy, Debug)]
pub struct Question<'a> {
    pub route: &'a Route,
    pub shop: &'a Shop,
    /// The route walked with what is known.
    pub plan: &'a Plan,
    pub known: &'a Known,
    /// Where readings come from, when a batch is under way.
    pub state: Option<&'a State>,
}

/// One clearance, looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    pub fit: String,
    /// Its formula as written.
    pub is: String,
    /// The sets it is for; empty when it is the same for all.
    pub sets: Vec<u32>,
    pub limits: Between,
    /// With everything as planned or as made.
    pub nominal: Length,
    pub worst: Between,
    pub likely: Between,
    /// Where it will likely lie if the pieces of a lot came out all alike and
    /// gauges told the truth: what no care can better.
    pub at_best: Between,
    /// Made-up pieces that fit; `None` when none were tried.
    pub share: Option<Share>,
    pub contributions: Vec<Contribution>,
    /// Names in it that nothing here moves.
    pub as_drawn: Vec<String>,
}

/// From least to most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Between {
    pub low: Length,
    pub high: Length,
}

/// Whether a clearance stays inside its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Whatever happens inside the limits of the checks.
    Worst,
    /// In all likelihood, yet not at the worst.
    Likely,
    /// Too often not.
    Not,
    /// Not even with every piece to size.
    Nominal,
}

/// What one dimension does to a clearance.
#[derive(Clone, Debug, PartialEq)]
pub struct Contribution {
    pub dim: String,
    /// Its size now: as made, or as planned.
    pub size: Length,
    pub made: bool,
    /// The operation that sizes it, the part, and the feature there.
    pub op: Option<u32>,
    pub part: Option<String>,
    pub feature: Option<FeatureName>,
    pub gauge: Option<Gauge>,
    /// The least and most it may be off by, where a check says so.
    pub off: Option<Between>,
    /// How much the clearance grows as this piece does by one.
    pub slope: f64,
    /// The same by way of all that is cut after it, to what was read.
    pub followed: f64,
    /// In the clearance, from piece to piece.
    pub moves: Between,
    /// In the clearance, either way, for all pieces alike.
    pub shared: Length,
    /// Of the whole, by squares.
    pub share: f64,
    /// How many times its gauge's uncertainty, both ways, goes into the room
    /// the fit leaves for it; under four it can't be relied on.
    pub sees: Option<f64>,
    room: Option<Room>,
    pieces: u32,
}

/// A formula of a fit that can't be worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Trouble {
    pub fit: String,
    /// `None` for the clearance itself, else which of its limits.
    pub limit: Option<usize>,
    pub error: FormulaError,
}

/// A clearance's uncertainty both ways should go into its room so many times
/// (common practice, no source).
pub const ENOUGH: f64 = 4.0;

impl Between {
    fn of(range: Range) -> Between {
        Between { low: length(range.low), high: length(range.high) }
    }

    fn range(self) -> Range {
        Range { low: amount(self.low), high: amount(self.high) }
    }

    pub fn contains(&self, size: Length) -> bool {
        self.low <= size && size <= self.high
    }
}

impl Judged {
    pub fn holds(&self) -> Holds {
        let limits = self.limits.range();
        if !self.limits.contains(self.nominal) {
            Holds::Nominal
        } else if self.worst.range().within(&limits) {
            Holds::Worst
        } else if self.likely.range().within(&limits) {
            Holds::Likely
        } else {
            Holds::Not
        }
    }

    /// The contribution with the largest share, where anything moves.
    pub fn dominating(&self) -> Option<&Contribution> {
        let moving = self.contributions.iter().filter(|one| one.share > 0.0);
        moving.max_by(|one, other| one.share.total_cmp(&other.share))
    }

    fn parts(&self) -> Vec<Part> {
        self.contributions.iter().map(Contribution::part).collect()
    }

    /// Whether it would hold with the room of one dimension so many times as
    /// wide.
    pub(super) fn holds_with(&self, which: &str, wide: f64, asked: Asked) -> bool {
        let each = self.contributions.iter();
        let parts: Vec<Part> = each
            .map(|one| if one.dim == which { one.narrowed(wide) } else { one.part() })
            .collect();
        holds(amount(self.nominal), &parts, &self.limits.range(), asked)
    }

    /// How much of its room one dimension may keep for the fit to hold.
    pub(super) fn may_keep(&self, which: &Contribution, asked: Asked) -> Option<f64> {
        let place = self.contributions.iter().position(|one| one.dim == which.dim)?;
        let limits = self.limits.range();
        let narrowed = |keep| which.narrowed(keep);
        super::stack::may_keep(amount(self.nominal), &self.parts(), place, narrowed, &limits, asked)
    }
}

impl Contribution {
    fn part(&self) -> Part {
        let Range { low, high } = self.moves.range();
        Part { low, high, shared: amount(self.shared), pieces: self.pieces }
    }

    /// With its room so many times as wide, about the size aimed at.
    fn narrowed(&self, wide: f64) -> Part {
        let Some(room) = self.room else { return self.part() };
        let Range { low, high } = room.scaled(wide).moves(self.slope, self.followed);
        Part { low, high, ..self.part() }
    }

    /// The limits about the size aimed at, with the room so many times as wide.
    pub(super) fn limits_with(&self, wide: f64) -> Option<Between> {
        let room = self.room?.scaled(wide);
        let aimed = room.aimed;
        Some(Between {
            low: length(room.low - room.doubt - aimed),
            high: length(room.high + room.doubt - aimed),
        })
    }

    /// Whether limits could be written for it: planned, and measured.
    pub(super) fn can_be_told(&self) -> bool {
        !self.made && self.off.is_some() && self.room.is_some()
    }

    /// Where it is made: `op 80 leg, rail mortise width`.
    pub fn place(&self) -> String {
        match (self.op, &self.part, &self.feature) {
            (Some(op), Some(part), Some(feature)) => format!("op {op} {part}, {feature}"),
            (Some(op), Some(part), None) => format!("op {op} {part}"),
            _ => "given".to_owned(),
        }
    }
}

/// What the readings of a planned dimension may be, beside its planned size.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Room {
    low: f64,
    high: f64,
    /// The size aimed at, beside the planned one.
    aimed: f64,
    /// What the gauge may be off by, at either end.
    doubt: f64,
    /// Which of the readings the others are cut by.
    cut_by: Option<(Take, Span)>,
}

impl Room {
    fn scaled(self, by: f64) -> Room {
        let from = self.aimed.clamp(self.low, self.high);
        Room { low: from + (self.low - from) * by, high: from + (self.high - from) * by, ..self }
    }

    /// How far readings in it move a clearance. The piece and the reading the
    /// others were cut by both lie in the room, and the smallest isn't over
    /// the piece: the ends are where these allow the most.
    fn moves(self, slope: f64, followed: f64) -> Range {
        let (low, high) = (self.low, self.high);
        let middle = f64::midpoint(low, high);
        let mut corners = vec![(low, low), (high, high)];
        match self.cut_by {
            Some((_, Span::Piece)) | None => {}
            Some((Take::Smallest, _)) => corners.push((high, low)),
            Some((Take::Largest, _)) => corners.push((low, high)),
            Some((Take::Mean, _)) => corners.extend([(high, middle), (low, middle)]),
        }
        let ends = corners.into_iter().map(|(piece, taken)| slope * piece + followed * taken);
        ends.fold(Range { low: f64::INFINITY, high: f64::NEG_INFINITY }, |range, end| Range {
            low: range.low.min(end),
            high: range.high.max(end),
        })
    }
}

fn amount(length: Length) -> f64 {
    length.nanometres() as f64
}

fn length(amount: f64) -> Length {
    let most = Length::LONGEST.nanometres() as f64;
    Length::from_nanometres_f64(amount.clamp(-most, most)).unwrap_or_default()
}

/// Every fit of the route, in the route's order; one for each lot of sets
/// whose made sizes differ. `trials` made-up pieces are tried in each.
pub fn fits(question: &Question<'_>, trials: u32, seed: u64) -> (Vec<Judged>, Vec<Trouble>) {
    let (mut judged, mut troubles) = (Vec::new(), Vec::new());
    for fit in &question.route.fits {
        let mut own: Vec<Judged> = Vec::new();
        let cases = cases(question, fit);
        for set in &cases {
            match judge(question, fit, *set, trials, seed) {
                Ok(mut found) => {
                    if cases.len() > 1 {
                        found.sets = set.map_or_else(Vec::new, |set| vec![set]);
                    }
                    let alike = |held: &&mut Judged| {
                        held.nominal == found.nominal && held.contributions == found.contributions
                    };
                    match own.iter_mut().find(alike) {
                        Some(held) => held.sets.append(&mut found.sets),
                        None => own.push(found),
                    }
                }
                Err(trouble) => {
                    troubles.push(trouble);
                    break;
                }
            }
        }
        if let [only] = own.as_mut_slice() {
            only.sets.clear();
        }
        judged.append(&mut own);
    }
    (judged, troubles)
}

/// The sets to look at one by one, where sizes were made for single sets or
/// pieces; otherwise all as one.
fn cases(question: &Question<'_>, fit: &Fit) -> Vec<Option<u32>> {
    let web = question.route.web(question.known.keep.as_deref());
    let reached = reached(web, fit);
    let apart = question.known.made.iter().any(|made| {
        reached.contains(made.dim.as_str())
            && match &made.over {
                MadeOver::Batch => false,
                MadeOver::Set(_) => true,
                MadeOver::Piece(label) => label.set.is_some(),
            }
    });
    if apart { (1..=question.route.sets).map(Some).collect() } else { vec![None] }
}

/// Every name a clearance depends on, however many steps lie between.
fn reached<'w>(web: &'w Web, fit: &'w Fit) -> BTreeSet<&'w str> {
    let mut waiting: Vec<&str> = fit.is.formula.names().map(|(name, _)| name).collect();
    let mut seen = BTreeSet::new();
    while let Some(name) = waiting.pop() {
        if seen.insert(name) {
            waiting.extend(web.uses(name).iter().map(String::as_str));
        }
    }
    seen
}

/// What is wrong with the fits of a route before anything is made, each at its
/// place in the document.
pub fn problems(question: &Question<'_>, document: &Document) -> Vec<Problem> {
    let root = document.root();
    let place = |fit: &str| root.child("fits").and_then(|fits| fits.child(fit)).unwrap_or(root);
    let unit = question.route.unit;
    let (judged, troubles) = fits(question, 0, 0);
    let mut problems = Vec::new();
    for Trouble { fit, limit, error } in troubles {
        let node = place(&fit);
        let node = match limit {
            None => node.child("is").unwrap_or(node),
            Some(limit) => {
                let limits = node.child("limits").and_then(|limits| limits.items());
                limits.and_then(|limits| limits.get(limit).copied()).unwrap_or(node)
            }
        };
        let mut problem = node.problem(error.what, error.help);
        problem.place = Some(node.text_place(error.at));
        problems.push(problem);
    }
    for judged in judged {
        let node = place(&judged.fit);
        let between = |Between { low, high }: Between| {
            format!("{} to {}", words(low, unit), words(high, unit))
        };
        if judged.holds() == Holds::Nominal {
            let what = format!(
                "comes to {} with every piece to size, and its limits are {}",
                words(judged.nominal, unit),
                between(judged.limits)
            );
            let fix = "other dimensions, or other limits".to_owned();
            problems.push(node.child("is").unwrap_or(node).problem(what, Some(fix)));
        } else if !judged.at_best.range().within(&judged.limits.range()) {
            let what = format!(
                "will likely lie between {} and {}, and its limits are {}",
                decimal(judged.at_best.low, unit),
                decimal(judged.at_best.high, unit),
                between(judged.limits)
            );
            let fix = judged.dominating().filter(|most| most.can_be_told()).map(|most| {
                format!("most of it is {}: closer limits there, or wider ones here", most.place())
            });
            let mut problem = node.child("limits").unwrap_or(node).problem(what, fix);
            problem.level = Level::Warning;
            problems.push(problem);
        }
    }
    problems
}

/// Where a dimension gets its size.
struct Source<'a> {
    step: &'a Step,
    feature: FeatureName,
    check: Option<&'a Check>,
    gauge: Option<&'a Gauge>,
    becomes: Option<&'a Becomes>,
    size: Sizing,
}

/// What is known of a size before it is made.
#[derive(Clone, Copy)]
enum Sizing {
    /// Measured: deviations from the planned size, and the size aimed at.
    Limits { low: f64, high: f64, aimed: f64 },
    /// Set by a scale: how far its mark is from the planned size, and its step.
    Scale { off: f64, step: f64 },
}

/// A size that was made: what the others are cut by, and what was read.
struct Made {
    value: f64,
    readings: Vec<f64>,
    op: Option<u32>,
}

/// One dimension of a chain, in the order the operations make them.
struct Link<'a> {
    name: &'a str,
    source: Option<Source<'a>>,
    made: Option<Made>,
    /// Its size with everything before it as planned or made.
    nominal: f64,
    slope: f64,
    followed: f64,
    /// Whether what it is aimed at moves with what is read before.
    follows: bool,
    pieces: u32,
}

impl Link<'_> {
    fn op(&self) -> Option<u32> {
        match (&self.made, &self.source) {
            (Some(made), _) => made.op,
            (None, source) => source.as_ref().map(|source| source.step.op),
        }
    }

    /// Whether later operations are cut by what is read of it.
    fn is_read(&self) -> bool {
        self.made.is_some() || self.source.as_ref().is_some_and(|source| source.becomes.is_some())
    }

    /// Whether an operation is cut by what was read of it.
    fn is_known_at(&self, op: Option<u32>) -> bool {
        self.is_read() && (self.op().is_none() || self.op() < op)
    }

    /// The gauge's uncertainty; it moves the piece, not the number read.
    fn doubt(&self) -> f64 {
        let gauge = self.source.as_ref().and_then(|source| source.gauge);
        gauge.and_then(Gauge::uncertainty).map_or(0.0, amount)
    }

    fn room(&self) -> Option<Room> {
        let source = self.source.as_ref().filter(|_| self.made.is_none())?;
        let Sizing::Limits { low, high, aimed } = source.size else { return None };
        let doubt = self.doubt();
        let (mut low, mut high) = (low + doubt, high - doubt);
        if low > high {
            low = f64::midpoint(low, high);
            high = low;
        }
        let cut_by = source.becomes.map(|becomes| (becomes.take, becomes.of));
        Some(Room { low, high, aimed, doubt, cut_by })
    }

    fn part(&self) -> Part {
        let by_gauge = self.slope.abs() * self.doubt();
        let still = |shared| Part { low: 0.0, high: 0.0, shared, pieces: 1 };
        if let Some(made) = &self.made {
            let ends = made.readings.iter().map(|reading| self.slope * (reading - made.value));
            let (low, high) =
                ends.fold((0f64, 0f64), |(low, high), end| (low.min(end), high.max(end)));
            return Part { low, high, shared: by_gauge, pieces: self.pieces };
        }
        if let Some(room) = self.room() {
            let Range { low, high } = room.moves(self.slope, self.followed);
            return Part { low, high, shared: by_gauge, pieces: self.evens_out() };
        }
        match self.source.as_ref().map(|source| source.size) {
            Some(Sizing::Scale { off, step }) => {
                let by = self.slope * off;
                Part { low: by, high: by, ..still(self.slope.abs() * step / 2.0) }
            }
            _ => still(0.0),
        }
    }

    /// What no care can better: the lot as far out as its limits let it, all
    /// of it alike, and gauges that tell the truth.
    fn at_best(&self) -> Part {
        match self.room() {
            Some(room) => {
                let net = self.slope + self.followed;
                let ends = [room.low - room.doubt, room.high + room.doubt].map(|end| net * end);
                let [low, high] = [ends[0].min(ends[1]), ends[0].max(ends[1])];
                Part { low, high, shared: 0.0, pieces: self.evens_out() }
            }
            None => self.part(),
        }
    }

    /// Pieces even out only in what differs between them: not in what the
    /// whole lot moves by.
    fn evens_out(&self) -> u32 {
        let moves_alone = self.followed == 0.0 || (self.slope + self.followed).abs() < 1e-9;
        if moves_alone { self.pieces } else { 1 }
    }
}

/// The dimensions in the order they are made, as a formula sees them.
struct Sized<'c> {
    web: &'c Web,
    /// What a name comes to, where it stands on its own.
    own: &'c dyn Fn(&str) -> Option<f64>,
}

impl Sized<'_> {
    fn closed(&self) -> impl Fn(&str) -> Option<Value> + '_ {
        |name| (self.own)(name).map(value)
    }
}

impl Scope for Sized<'_> {
    fn value(&self, name: &str) -> Result<Value, Missing> {
        match (self.own)(name) {
            Some(own) => Ok(Value::root(name, value(own))),
            None => self.web.value(name, &self.closed()),
        }
    }
}

fn value(amount: f64) -> Value {
    Value { amount, ..Value::of_length(Length::ZERO) }
}

fn judge(
    question: &Question<'_>,
    fit: &Fit,
    set: Option<u32>,
    trials: u32,
    seed: u64,
) -> Result<Judged, Trouble> {
    let chain = Chain::of(question, fit, set)?;
    let parts: Vec<Part> = chain.links.iter().map(Link::part).collect();
    let at_best: Vec<Part> = chain.links.iter().map(Link::at_best).collect();
    let Stack { worst, likely } = stack(chain.nominal, &parts);
    let limits = Between::of(chain.limits);
    let room = chain.limits.high - chain.limits.low;
    let contributions = chain
        .links
        .iter()
        .zip(parts.iter().zip(shares(&parts)))
        // What only later cuts could have followed, and none here does.
        .filter(|(link, _)| link.slope != 0.0 || link.followed != 0.0)
        .map(|(link, (part, share))| contribution(link, part, share, room))
        .collect();
    Ok(Judged {
        fit: fit.name.clone(),
        is: fit.is.formula.text().to_owned(),
        sets: Vec::new(),
        limits,
        nominal: length(chain.nominal),
        worst: Between::of(worst),
        likely: Between::of(likely),
        at_best: Between::of(stack(chain.nominal, &at_best).likely),
        share: (trials > 0).then(|| chain.tried(trials, seed)),
        contributions,
        as_drawn: chain.as_drawn.iter().map(|name| (*name).to_owned()).collect(),
    })
}

fn contribution(link: &Link<'_>, part: &Part, share: f64, room: f64) -> Contribution {
    let source = link.source.as_ref();
    let gauge = source.and_then(|source| source.gauge);
    let off = source.and_then(|source| match source.size {
        Sizing::Limits { low, high, .. } if link.made.is_none() => {
            Some(Between { low: length(low), high: length(high) })
        }
        _ => None,
    });
    let doubt = link.doubt() * link.slope.abs();
    Contribution {
        dim: link.name.to_owned(),
        size: length(link.made.as_ref().map_or(link.nominal, |made| made.value)),
        made: link.made.is_some(),
        op: source.map(|source| source.step.op),
        part: source.map(|source| source.step.part.clone()),
        feature: source.map(|source| source.feature.clone()),
        gauge: gauge.cloned(),
        off,
        slope: link.slope,
        followed: link.followed,
        moves: Between { low: length(part.low), high: length(part.high) },
        shared: length(part.shared),
        share,
        sees: (doubt > 0.0).then(|| room / (2.0 * doubt)),
        room: link.room(),
        pieces: part.pieces,
    }
}

/// A clearance with everything that moves it.
struct Chain<'a> {
    question: Question<'a>,
    web: &'a Web,
    formula: &'a Formula,
    limits: Range,
    nominal: f64,
    links: Vec<Link<'a>>,
    as_drawn: Vec<&'a str>,
}

impl<'a> Chain<'a> {
    fn of(question: &Question<'a>, fit: &'a Fit, set: Option<u32>) -> Result<Chain<'a>, Trouble> {
        let web = question.route.web(question.known.keep.as_deref());
        let (mut links, as_drawn) = links(question, web, fit, set);
        // Aimed at in the order of the operations: a later one may follow.
        for place in 0..links.len() {
            let (nominal, _) = aimed(web, &links, place, &|link| link.nominal);
            links[place].nominal = match &links[place].made {
                Some(made) => made.value,
                None => nominal,
            };
            size(question, &mut links[place], set);
        }
        let trouble = |limit| move |error| Trouble { fit: fit.name.clone(), limit, error };
        let own = |name: &str| links.iter().find(|link| link.name == name).map(|link| link.nominal);
        let scope = Sized { web, own: &own };
        let is =
            fit.is.formula.evaluate_as(DimensionKind::Length, &scope).map_err(trouble(None))?;
        let limit = |which: usize| {
            let keyed = [&fit.low, &fit.high][which];
            let value = keyed.formula.evaluate_as(DimensionKind::Length, &scope);
            value.map(|value| value.amount).map_err(trouble(Some(which)))
        };
        let limits = Range { low: limit(0)?, high: limit(1)? };
        if limits.low > limits.high {
            let at = 0..fit.low.formula.text().len();
            let what = "the least a fit may be is over the most".to_owned();
            return Err(trouble(Some(0))(FormulaError { at, what, help: None }));
        }
        let slopes: Vec<f64> =
            links.iter().map(|link| is.slope.get(link.name).copied().unwrap_or(0.0)).collect();
        let followed = followed(web, &links, &slopes);
        for (link, (slope, (followed, follows))) in
            links.iter_mut().zip(slopes.into_iter().zip(followed))
        {
            (link.slope, link.followed, link.follows) = (slope, followed, follows);
        }
        let mut chain = Chain {
            question: *question,
            web,
            formula: &fit.is.formula,
            limits,
            nominal: is.amount,
            links,
            as_drawn,
        };
        chain.as_drawn.retain(|name| is.slope.get(*name).is_some_and(|slope| *slope != 0.0));
        Ok(chain)
    }

    /// How many of so many made-up pieces fit, through the formula itself.
    fn tried(&self, trials: u32, seed: u64) -> Share {
        let mut draws = Draws::new(seed);
        let fitted = (0..trials).filter(|_| self.one_fits(&mut draws)).count();
        Share { fitted: u32::try_from(fitted).unwrap_or(trials), trials }
    }

    fn one_fits(&self, draws: &mut Draws) -> bool {
        let mut taken: Vec<f64> = self.links.iter().map(|link| link.nominal).collect();
        let mut real = taken.clone();
        for (place, link) in self.links.iter().enumerate() {
            let base = match (&link.made, link.follows) {
                (None, true) => {
                    let at = |other: &Link<'_>| {
                        let held = self.links.iter().position(|link| link.name == other.name);
                        held.map_or(other.nominal, |held| taken[held])
                    };
                    aimed(self.web, &self.links, place, &at).0
                }
                _ => link.nominal,
            };
            let (piece, read) = self.drawn(link, draws);
            let doubt = match link.source.as_ref().map(|source| source.size) {
                Some(Sizing::Scale { off, step }) if link.made.is_none() => {
                    off + draws.between(-step / 2.0, step / 2.0)
                }
                // Expanded by two: half of it is the standard uncertainty.
                _ => draws.normal() * link.doubt() / 2.0,
            };
            taken[place] = base + read;
            real[place] = base + piece + doubt;
        }
        let own = |name: &str| {
            self.links.iter().position(|link| link.name == name).map(|place| real[place])
        };
        let scope = Sized { web: self.web, own: &own };
        let found = self.formula.evaluate_as(DimensionKind::Length, &scope);
        found.is_ok_and(|found| {
            let at = Range { low: found.amount, high: found.amount };
            at.within(&self.limits)
        })
    }

    /// How far the pieces and the reading the others are cut by lie from the
    /// size aimed at, or from the size made.
    fn drawn(&self, link: &Link<'_>, draws: &mut Draws) -> (f64, f64) {
        let count = link.pieces.max(1);
        let mean = |one: &mut dyn FnMut() -> f64| {
            (0..count).map(|_| one()).sum::<f64>() / f64::from(count)
        };
        if let Some(made) = &link.made {
            if made.readings.is_empty() {
                return (0.0, 0.0);
            }
            let read = &made.readings;
            let piece = mean(&mut || read[draws.one_of(read.len())] - made.value);
            return (piece, 0.0);
        }
        let Some(room) = link.room() else { return (0.0, 0.0) };
        let mut least = f64::INFINITY;
        let mut most = f64::NEG_INFINITY;
        let piece = mean(&mut || {
            let drawn = draws.between(room.low, room.high);
            (least, most) = (least.min(drawn), most.max(drawn));
            drawn
        });
        let Some((take, span)) = room.cut_by else { return (piece, piece) };
        if span == Span::Piece {
            return (piece, piece);
        }
        // Of the other pieces read only the one that counts is made up.
        let (read, all) = self.read(link, span);
        let others = if all { read.saturating_sub(count) } else { read };
        let wide = room.high - room.low;
        let taken = match take {
            Take::Smallest => {
                let smallest = room.low + wide * draws.smallest_part_of(others);
                if all || others == 0 { smallest.min(least) } else { smallest }
            }
            Take::Largest => {
                let largest = room.high - wide * draws.smallest_part_of(others);
                if all || others == 0 { largest.max(most) } else { largest }
            }
            Take::Mean => {
                let (n, own) = (f64::from(others), if all { f64::from(count) } else { 0.0 });
                if n + own == 0.0 {
                    piece
                } else {
                    // The mean of several that lie anywhere in the room.
                    let off = draws.normal() * wide / (12.0 * n.max(1.0)).sqrt();
                    let middle = f64::midpoint(room.low, room.high) + off;
                    (middle.clamp(room.low, room.high) * n + piece * own) / (n + own)
                }
            }
        };
        (piece, taken)
    }

    /// How many pieces are read for it, and whether every piece is.
    fn read(&self, link: &Link<'_>, span: Span) -> (u32, bool) {
        let Some(source) = &link.source else { return (1, true) };
        let route = self.question.route;
        let part = route.part(&source.step.part);
        let per_set = part.map_or(1, |part| part.per_set);
        let pieces = match span {
            Span::Batch => part.map_or(1, |part| part.per_set * route.sets + part.spares),
            Span::Set => per_set,
            Span::Piece => 1,
        };
        let choice = source.check.map_or(PieceChoice::All, |check| check.pieces);
        let wanted = (1..=pieces as usize).filter(|at| choice.wants(*at, pieces as usize)).count();
        (wanted.max(1) as u32, choice == PieceChoice::All)
    }
}

/// The size a link is aimed at, with what `at` says of those before it, and
/// how it moves with each.
fn aimed(
    web: &Web,
    links: &[Link<'_>],
    place: usize,
    at: &dyn Fn(&Link<'_>) -> f64,
) -> (f64, BTreeMap<String, f64>) {
    let link = &links[place];
    let op = link.op();
    let known = |name: &str| {
        let before = links[..place].iter().find(|before| before.name == name)?;
        before.is_known_at(op).then(|| value(at(before)))
    };
    match web.value(link.name, &known) {
        Ok(found) => (found.amount, found.slope),
        // A formula that can't be worked out is told of by the route's own check.
        Err(_) => (link.nominal, BTreeMap::new()),
    }
}

/// For each link, how the clearance moves with what was read of it by way of
/// those cut later, and whether it follows any itself.
fn followed(web: &Web, links: &[Link<'_>], slopes: &[f64]) -> Vec<(f64, bool)> {
    // Row by row, how what each is aimed at moves with each one's own reading.
    let mut rows: Vec<Vec<f64>> = Vec::new();
    for (place, link) in links.iter().enumerate() {
        let mut row = vec![0.0; links.len()];
        if link.made.is_none() {
            let (_, slope) = aimed(web, links, place, &|before| before.nominal);
            for (before, other) in links[..place].iter().enumerate() {
                if !other.is_known_at(link.op()) || other.made.is_some() {
                    continue;
                }
                let by = slope.get(other.name).copied().unwrap_or(0.0);
                row[before] += by;
                let further = rows[before].clone();
                for (sum, through) in row.iter_mut().zip(further) {
                    *sum += by * through;
                }
            }
        }
        rows.push(row);
    }
    let by_followers =
        |which: usize| slopes.iter().zip(&rows).map(|(slope, row)| slope * row[which]).sum::<f64>();
    let follows = |which: usize| rows[which].iter().any(|by| *by != 0.0);
    (0..links.len()).map(|which| (by_followers(which), follows(which))).collect()
}

/// The dimensions that move a clearance, in the order they are made, and the
/// names nothing moves. Sizes are still to be found.
fn links<'a>(
    question: &Question<'a>,
    web: &'a Web,
    fit: &'a Fit,
    set: Option<u32>,
) -> (Vec<Link<'a>>, Vec<&'a str>) {
    let mut waiting: Vec<&str> = fit.is.formula.names().map(|(name, _)| name).collect();
    waiting.reverse();
    let mut seen = BTreeSet::new();
    let (mut links, mut as_drawn): (Vec<Link<'a>>, Vec<&str>) = (Vec::new(), Vec::new());
    while let Some(name) = waiting.pop() {
        if !seen.insert(name) {
            continue;
        }
        let Some(definition) = web.definition(name) else { continue };
        let uses = web.uses(name);
        if definition.kind == DimensionKind::Length {
            let source = source(question, web, name, set);
            let made = made(question, name, source.as_ref(), set)
                .or_else(|| found(question, source.as_ref()?, set));
            if made.is_some() || source.is_some() {
                links.push(Link {
                    name,
                    source,
                    made,
                    nominal: 0.0,
                    slope: 0.0,
                    followed: 0.0,
                    follows: false,
                    pieces: fit.pieces.get(name).copied().unwrap_or(1),
                });
                waiting.extend(uses.iter().map(String::as_str));
                continue;
            }
        }
        if uses.is_empty() {
            as_drawn.push(name);
        }
        waiting.extend(uses.iter().map(String::as_str));
    }
    links.sort_by_key(Link::op);
    (links, as_drawn)
}

/// What a dimension was made, for one set or for all.
fn made(
    question: &Question<'_>,
    dim: &str,
    source: Option<&Source<'_>>,
    set: Option<u32>,
) -> Option<Made> {
    let mut found: Option<Made> = None;
    let mut single: BTreeMap<&PieceLabel, f64> = BTreeMap::new();
    for made in question.known.made.iter().filter(|made| made.dim == dim) {
        match &made.over {
            MadeOver::Batch => single.clear(),
            MadeOver::Set(own) if set == Some(*own) => single.clear(),
            MadeOver::Piece(label) if label.set.is_some() && set == label.set => {
                single.insert(label, amount(made.value));
                found = Some(Made { value: 0.0, readings: Vec::new(), op: made.op });
                continue;
            }
            _ => continue,
        }
        let check = source.filter(|source| source.becomes.is_some());
        let of = if made.over == MadeOver::Batch { None } else { set };
        let readings = match (check, made.op) {
            (Some(source), Some(op)) if op == source.step.op => {
                readings(question, op, &source.feature, of)
            }
            _ => Vec::new(),
        };
        found = Some(Made { value: amount(made.value), readings, op: made.op });
    }
    let mut found = found?;
    if !single.is_empty() {
        found.readings = single.into_values().collect();
        found.value = found.readings.iter().sum::<f64>() / found.readings.len() as f64;
    }
    Some(found)
}

/// What was read of a feature on the pieces that count, of one set or of all.
fn readings(question: &Question<'_>, op: u32, feature: &str, set: Option<u32>) -> Vec<f64> {
    let Some(state) = question.state else { return Vec::new() };
    let standing = state.counting_readings().filter(|reading| {
        let taken = &reading.taken;
        let ours = taken.op == op && taken.feature == *feature;
        let of_set = |label: &PieceLabel| set.is_none() || label.set == set;
        ours && state.piece(&taken.piece).is_some_and(|piece| of_set(&piece.label))
    });
    standing.filter_map(|reading| reading.taken.size()).map(amount).collect()
}

/// A size nothing follows, once its operation is closed: the mean of what was
/// read of it.
fn found(question: &Question<'_>, source: &Source<'_>, set: Option<u32>) -> Option<Made> {
    source.check.filter(|check| check.becomes.is_none())?;
    let op = source.step.op;
    question.known.measured.get(&(op, source.feature.clone()))?;
    let mut readings = readings(question, op, &source.feature, set);
    if readings.is_empty() {
        readings = self::readings(question, op, &source.feature, None);
    }
    let count = readings.len() as f64;
    let value = readings.iter().sum::<f64>() / count;
    (count > 0.0).then_some(Made { value, readings, op: Some(op) })
}

/// Where a dimension gets its size: at the check that makes it, else where
/// the feature it sizes is measured or set last. Of several parts that share
/// it, the one with the widest limits.
fn source<'a>(
    question: &Question<'a>,
    web: &Web,
    dim: &str,
    set: Option<u32>,
) -> Option<Source<'a>> {
    let Question { route, shop, .. } = *question;
    let makes = |check: &&Check| check.becomes.as_ref().is_some_and(|to| to.dim == dim);
    let measured = |step: &'a Step, check: &'a Check| Source {
        step,
        feature: check.of.clone(),
        check: Some(check),
        gauge: shop.gauges.get(&check.with),
        becomes: check.becomes.as_ref().filter(|to| to.dim == dim),
        size: Sizing::Limits { low: 0.0, high: 0.0, aimed: 0.0 },
    };
    let making = route
        .steps
        .iter()
        .find_map(|step| step.checks.iter().find(makes).map(|check| measured(step, check)));
    if making.is_some() {
        return making;
    }
    // As planned, or as what was made before moved it.
    let now = |name: &str| made(question, name, None, set).map(|made| value(made.value));
    let wanted = [web.value(dim, &|_| None).ok()?.length()?, web.value(dim, &now).ok()?.length()?];
    let near = |size: Option<Length>| {
        size.is_some_and(|size| wanted.iter().any(|wanted| (size - *wanted).abs() <= CLOSE))
    };
    let mut found: Vec<Source<'a>> = Vec::new();
    for part in &route.parts {
        let finished: Vec<&FeatureName> = part
            .finish
            .iter()
            .filter(|(_, keyed)| keyed.formula.text().trim() == dim)
            .map(|(feature, _)| feature)
            .collect();
        let steps = route.steps.iter().rev().filter(|step| step.part == part.name);
        let mut last: BTreeSet<FeatureName> = BTreeSet::new();
        let mut unmeasured: Vec<Source<'a>> = Vec::new();
        for step in steps {
            let Some(group) = group(question, step.op, set) else { continue };
            let names_it =
                step.what.formulas().iter().any(|keyed| keyed.formula.text().trim() == dim);
            let ours = |feature: &FeatureName| names_it || finished.contains(&feature);
            for (check, held) in step.checks.iter().zip(&group.limits) {
                let around =
                    check.around.as_ref().map(|around| around.formula.text().trim() == dim);
                let ours = around.unwrap_or_else(|| ours(&check.of));
                if ours && near(held.target) && last.insert(check.of.clone()) {
                    found.push(measured(step, check));
                }
            }
            for setting in &group.outcome.settings {
                let Some(feature) = setting.sizes.as_ref().filter(|feature| ours(feature)) else {
                    continue;
                };
                if near(Some(setting.setting.target.0)) && !last.contains(feature) {
                    unmeasured.push(Source {
                        step,
                        feature: feature.clone(),
                        check: None,
                        gauge: None,
                        becomes: None,
                        size: Sizing::Scale {
                            off: amount(setting.setting.predicted - setting.setting.target.0),
                            step: amount(setting.readout.step),
                        },
                    });
                }
            }
        }
        unmeasured.retain(|source| !last.contains(&source.feature));
        found.extend(unmeasured.into_iter().take(1));
    }
    let wide = |source: &Source<'_>| {
        let held = source.check.and_then(|check| {
            let at = source.step.checks.iter().position(|other| std::ptr::eq(other, check))?;
            group(question, source.step.op, set)?.limits.get(at)?.limits.band()
        });
        match source.size {
            Sizing::Scale { step, .. } => length(step),
            Sizing::Limits { .. } => held.unwrap_or_default(),
        }
    };
    // `rev`: of equals the first.
    found.into_iter().rev().max_by_key(wide)
}

/// Nearer than this two sizes are one: rounding, never a cut.
const CLOSE: Length = Length::from_nanometres(100);

/// The pieces of a set at an operation, or the first of all.
fn group<'a>(question: &Question<'a>, op: u32, set: Option<u32>) -> Option<&'a Group> {
    let planned = question.plan.operation(op)?;
    let ours = set.and_then(|set| {
        let place = planned.pieces.iter().position(|piece| piece.set == Some(set))?;
        planned.group_of(place)
    });
    ours.or_else(|| planned.groups.first())
}

/// The deviations a measured size may have, now that its own size is known.
fn size(question: &Question<'_>, link: &mut Link<'_>, set: Option<u32>) {
    let nominal = link.nominal;
    let Some(source) = &mut link.source else { return };
    let Some(check) = source.check else { return };
    let place = source.step.checks.iter().position(|other| std::ptr::eq(other, check));
    let held = place.and_then(|place| group(question, source.step.op, set)?.limits.get(place));
    let Some(held) = held else { return };
    let aimed = held.target.map_or(0.0, |target| amount(target) - nominal);
    let Limits { low, high } = held.limits;
    let [low, high] = [low, high].map(|limit| limit.map(|limit| amount(limit) - nominal));
    // One limit alone says nothing of the other side: as far as on this one.
    let (low, high) = match (low, high) {
        (Some(low), Some(high)) => (low, high),
        (Some(low), None) => (low, aimed + (aimed - low).abs()),
        (None, Some(high)) => (aimed - (high - aimed).abs(), high),
        (None, None) => (aimed, aimed),
    };
    source.size = Sizing::Limits { low, high, aimed };
}
