//! One clearance as a chain: its dimensions in the order they are made, what
//! each may be off by, and made-up pieces sent through it. Knows nothing of
//! what is said about it.

use std::collections::{BTreeMap, BTreeSet};

use super::judge::{FitError, FitFormula, FitsInput};
use super::origin::{Made, Sizing, Source, Steers, amount, found, made, size, source, value};
use super::stack::{Range, Variation};
use super::trials::{Draws, Share};
use crate::formula::{DimensionKind, Formula, Scope, Value, Web};
use crate::measure::Gauge;
use crate::plan::MadeOver;
use crate::prose::Message;
use crate::route::{Fit, HoldsFor, PieceChoice, Take};

/// What the readings of a planned dimension may be, beside its planned size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ReadingRange {
    pub low: f64,
    pub high: f64,
    /// The size aimed at, beside the planned one.
    pub aimed: f64,
    /// What the gauge may be off by, at either end.
    pub doubt: f64,
    /// Which of the readings the others are cut by.
    pub cut_by: Option<(Take, HoldsFor)>,
}

impl ReadingRange {
    pub fn scaled(self, by: f64) -> ReadingRange {
        let from = self.aimed.clamp(self.low, self.high);
        ReadingRange {
            low: from + (self.low - from) * by,
            high: from + (self.high - from) * by,
            ..self
        }
    }

    /// How far readings in it move a clearance. The piece and the reading the
    /// others were cut by both lie in the room, and the smallest isn't over
    /// the piece: the ends are where these allow the most.
    pub fn moves(self, slope: f64, followed: f64) -> Range {
        let (low, high) = (self.low, self.high);
        let middle = f64::midpoint(low, high);
        let mut corners = vec![(low, low), (high, high)];
        match self.cut_by {
            Some((_, HoldsFor::Piece)) | None => {}
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

/// The sets to look at one by one, where sizes were made for single sets or
/// pieces; otherwise all as one.
pub(super) fn cases(question: &FitsInput<'_>, fit: &Fit) -> Vec<Option<u32>> {
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

/// The names in a clearance, and in what swells in it.
fn named(fit: &Fit) -> Vec<&str> {
    let across = fit.moves.iter().flat_map(|moves| moves.across.formula.names());
    fit.is.formula.names().chain(across).map(|(name, _)| name).collect()
}

/// Every name a clearance depends on, however many steps lie between.
fn reached<'w>(web: &'w Web, fit: &'w Fit) -> BTreeSet<&'w str> {
    let mut waiting: Vec<&str> = named(fit);
    let mut seen = BTreeSet::new();
    while let Some(name) = waiting.pop() {
        if seen.insert(name) {
            waiting.extend(web.uses(name).iter().map(String::as_str));
        }
    }
    seen
}

/// One dimension of a chain, in the order the operations make them.
pub(super) struct Link<'a> {
    pub name: &'a str,
    pub source: Option<Source<'a>>,
    pub made: Option<Made>,
    /// Its size with everything before it as planned or made.
    pub nominal: f64,
    pub slope: f64,
    pub followed: f64,
    /// Whether what it is aimed at moves with what is read before.
    pub follows: bool,
    pub pieces: u32,
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
        match &self.made {
            Some(made) => made.steers != Steers::Nothing,
            None => self.source.as_ref().is_some_and(|source| source.becomes.is_some()),
        }
    }

    /// Whether an operation is cut by what was read of it.
    fn is_known_at(&self, op: Option<u32>) -> bool {
        self.is_read() && (self.op().is_none() || self.op() < op)
    }

    /// The gauge's uncertainty; it moves the piece, not the number read.
    pub fn doubt(&self) -> f64 {
        let gauge = self.source.as_ref().and_then(|source| source.gauge);
        gauge.and_then(Gauge::uncertainty).map_or(0.0, amount)
    }

    pub fn room(&self) -> Option<ReadingRange> {
        let source = self.source.as_ref().filter(|_| self.made.is_none())?;
        let Sizing::Limits { low, high, aimed } = source.size else { return None };
        let doubt = self.doubt();
        let (mut low, mut high) = (low + doubt, high - doubt);
        if low > high {
            low = f64::midpoint(low, high);
            high = low;
        }
        let cut_by = source.becomes.map(|becomes| (becomes.take, becomes.of));
        Some(ReadingRange { low, high, aimed, doubt, cut_by })
    }

    pub fn part(&self) -> Variation {
        let by_gauge = self.slope.abs() * self.doubt();
        let still = |shared| Variation { low: 0.0, high: 0.0, shared, pieces: 1 };
        if let Some(made) = &self.made {
            let slope = if made.steers == Steers::OwnPiece {
                self.slope + self.followed
            } else {
                self.slope
            };
            let ends = made.readings.iter().map(|reading| slope * (reading - made.value));
            let (low, high) =
                ends.fold((0f64, 0f64), |(low, high), end| (low.min(end), high.max(end)));
            return Variation { low, high, shared: by_gauge, pieces: self.pieces };
        }
        if let Some(room) = self.room() {
            let Range { low, high } = room.moves(self.slope, self.followed);
            return Variation { low, high, shared: by_gauge, pieces: self.evens_out() };
        }
        match self.source.as_ref().map(|source| source.size) {
            Some(Sizing::Scale { off, step }) => {
                let by = self.slope * off;
                Variation { low: by, high: by, ..still(self.slope.abs() * step / 2.0) }
            }
            _ => still(0.0),
        }
    }

    /// What no care can better: the lot as far out as its limits let it, all
    /// of it alike, and gauges that tell the truth.
    pub fn at_best(&self) -> Variation {
        match self.source.as_ref().map(|source| source.size) {
            Some(Sizing::Limits { low, high, .. }) if self.made.is_none() => {
                let net = self.slope + self.followed;
                let ends = [net * low, net * high];
                let [low, high] = [ends[0].min(ends[1]), ends[0].max(ends[1])];
                Variation { low, high, shared: 0.0, pieces: self.evens_out() }
            }
            _ => self.part(),
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
struct ChainScope<'c> {
    web: &'c Web,
    /// What a name comes to, where it stands on its own.
    own: &'c dyn Fn(&str) -> Option<f64>,
}

impl ChainScope<'_> {
    fn closed(&self) -> impl Fn(&str) -> Option<Value> + '_ {
        |name| (self.own)(name).map(value)
    }
}

impl Scope for ChainScope<'_> {
    fn value(&self, name: &str) -> Result<Value, Message> {
        match (self.own)(name) {
            Some(own) => Ok(Value::root(name, value(own))),
            None => self.web.value(name, &self.closed()),
        }
    }
}

/// A clearance with everything that moves it.
pub(super) struct Chain<'a> {
    pub question: FitsInput<'a>,
    pub web: &'a Web,
    pub formula: &'a Formula,
    pub limits: Range,
    pub nominal: f64,
    /// What swells in it, where something does.
    pub across: Option<f64>,
    pub links: Vec<Link<'a>>,
    pub as_drawn: Vec<&'a str>,
}

impl<'a> Chain<'a> {
    pub fn of(
        question: &FitsInput<'a>,
        fit: &'a Fit,
        set: Option<u32>,
    ) -> Result<Chain<'a>, FitError> {
        let web = question.route.web(question.known.keep.as_deref());
        let (mut links, as_drawn) = links(question, web, fit, set);
        // Aimed at in the order of the operations: a later one may follow.
        for place in 0..links.len() {
            let (nominal, _) = aimed(web, &links, place, &|link| link.nominal);
            links[place].nominal = match &links[place].made {
                Some(made) => made.value,
                None => nominal,
            };
            let link = &mut links[place];
            if let Some(source) = &mut link.source {
                size(question, source, link.nominal, set);
            }
        }
        let trouble = |of| move |error| FitError { fit: fit.name.clone(), of, error };
        let own = |name: &str| links.iter().find(|link| link.name == name).map(|link| link.nominal);
        let scope = ChainScope { web, own: &own };
        let is = fit
            .is
            .formula
            .evaluate_as(DimensionKind::Length, &scope)
            .map_err(trouble(FitFormula::Clearance))?;
        let limit = |which: usize| {
            let keyed = [&fit.low, &fit.high][which];
            let value = keyed.formula.evaluate_as(DimensionKind::Length, &scope);
            value.map(|value| value.amount).map_err(trouble(FitFormula::Limit(which)))
        };
        let limits = Range { low: limit(0)?, high: limit(1)? };
        if limits.low > limits.high {
            let at = 0..fit.low.formula.text().len();
            let what = "the least a fit may be is over the most".to_owned();
            return Err(trouble(FitFormula::Limit(0))(Message::error(what).at(at)));
        }
        let across = match &fit.moves {
            None => None,
            Some(moves) => {
                let value = moves.across.formula.evaluate_as(DimensionKind::Length, &scope);
                Some(value.map_err(trouble(FitFormula::Across))?.amount)
            }
        };
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
            across,
            links,
            as_drawn,
        };
        chain.as_drawn.retain(|name| is.slope.get(*name).is_some_and(|slope| *slope != 0.0));
        Ok(chain)
    }

    /// How many of so many made-up pieces fit, through the formula itself.
    pub fn tried(&self, trials: u32, seed: u64) -> Share {
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
        let scope = ChainScope { web: self.web, own: &own };
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
            return (piece, if made.steers == Steers::OwnPiece { piece } else { 0.0 });
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
        if span == HoldsFor::Piece {
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
    fn read(&self, link: &Link<'_>, span: HoldsFor) -> (u32, bool) {
        let Some(source) = &link.source else { return (1, true) };
        let route = self.question.route;
        let part = route.part(&source.step.part);
        let per_set = part.map_or(1, |part| part.per_set);
        let pieces = match span {
            HoldsFor::Batch => part.map_or(1, |part| part.per_set * route.sets + part.spares),
            HoldsFor::Set => per_set,
            HoldsFor::Piece => 1,
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
                // A made value that is the same for all is a number and moves no more.
                let moves = other.made.as_ref().is_none_or(|made| made.steers == Steers::OwnPiece);
                if !moves || !other.is_known_at(link.op()) {
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
    question: &FitsInput<'a>,
    web: &'a Web,
    fit: &'a Fit,
    set: Option<u32>,
) -> (Vec<Link<'a>>, Vec<&'a str>) {
    let mut waiting: Vec<&str> = named(fit);
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
