//! One clearance as a chain: its dimensions in the order they are made, and how
//! far each may move it.

use std::collections::{BTreeMap, BTreeSet};

use super::cases::named;
use super::input::FitsInput;
use super::origin::{Made, Sizing, Source, Steers, closed_mean, made, set_limits, source, value};
use super::reading_range::ReadingRange;
use super::shared_error::{ErrorSource, first_of_each};
use super::stack::{Range, Variation};
use super::verdict::amount;
use crate::formula::{DimensionKind, Formula, Program, Scope, Value, Web};
use crate::measure::Gauge;
use crate::plan::articles::ArticleWebs;
use crate::prose::{Message, Span};
use crate::route::Fit;

/// One dimension of a chain.
pub(super) struct Link<'a> {
    pub name: &'a str,
    /// Where it gets its size.
    pub source: Option<Source<'a>>,
    /// What it was made, where it was.
    pub made: Option<Made>,
    /// Its size with everything before it as planned or made.
    pub nominal: f64,
    /// How the clearance grows as this piece grows by one.
    pub slope: f64,
    /// The same through everything cut later to its reading.
    pub followed: f64,
    /// Whether its target moves with earlier readings.
    pub follows: bool,
    /// For how many pieces its name stands.
    pub pieces: u32,
    /// The place of the first link that shares its error; its own where none does.
    pub error: usize,
}

impl Link<'_> {
    fn op(&self) -> Option<u32> {
        match (&self.made, &self.source) {
            (Some(made), _) => made.op,
            (None, source) => source.as_ref().map(|source| source.step.op),
        }
    }

    /// Whether later operations are cut to its reading.
    fn is_read(&self) -> bool {
        match &self.made {
            Some(made) => made.steers != Steers::Nothing,
            None => self.source.as_ref().is_some_and(|source| source.becomes.is_some()),
        }
    }

    /// Whether an operation is cut to its reading.
    fn is_known_at(&self, op: Option<u32>) -> bool {
        self.is_read() && (self.op().is_none() || self.op() < op)
    }

    /// The gauge's uncertainty: it moves the piece, not the number read.
    pub(super) fn uncertainty(&self) -> f64 {
        let gauge = self.source.as_ref().and_then(|source| source.gauge);
        gauge.and_then(Gauge::uncertainty).map_or(0.0, amount)
    }

    /// What its error belongs to; none where it has none.
    pub(super) fn error_source(&self) -> Option<ErrorSource> {
        let source = self.source.as_ref()?;
        match source.size {
            Sizing::Scale { step, .. } if self.made.is_none() && step > 0.0 => {
                Some(ErrorSource::Scale {
                    machine: source.step.at.clone()?,
                    tool: source.step.tool.clone(),
                    scale: source.scale?.to_owned(),
                })
            }
            _ if self.uncertainty() > 0.0 => source.gauge.map(|gauge| {
                let name = source.check.map_or(&gauge.name, |check| &check.with);
                ErrorSource::Gauge(name.clone())
            }),
            _ => None,
        }
    }

    /// The range of its readings, while it is planned and a check measures it.
    pub(super) fn range(&self) -> Option<ReadingRange> {
        let source = self.source.as_ref().filter(|_| self.made.is_none())?;
        let Sizing::Limits { low, high, aimed, .. } = source.size else { return None };
        let uncertainty = self.uncertainty();
        let (mut low, mut high) = (low + uncertainty, high - uncertainty);
        if low > high {
            low = f64::midpoint(low, high);
            high = low;
        }
        let cut_by = source.becomes.map(|becomes| (becomes.take, becomes.of));
        Some(ReadingRange { low, high, aimed, uncertainty, cut_by })
    }

    /// How far it may move the clearance.
    pub(super) fn variation(&self) -> Variation {
        let error = self.error;
        let by_gauge = self.slope * self.uncertainty();
        let still = |shared| Variation { low: 0.0, high: 0.0, shared, error, pieces: 1 };
        if let Some(made) = &self.made {
            let slope = if made.steers == Steers::OwnPiece {
                self.slope + self.followed
            } else {
                self.slope
            };
            let ends = made.readings.iter().map(|reading| slope * (reading - made.value));
            let (low, high) =
                ends.fold((0f64, 0f64), |(low, high), end| (low.min(end), high.max(end)));
            return Variation { low, high, shared: by_gauge, error, pieces: self.pieces };
        }
        if let Some(range) = self.range() {
            let Range { low, high } = range.moves(self.slope, self.followed);
            let pieces = self.averaged_pieces();
            return Variation { low, high, shared: by_gauge, error, pieces };
        }
        match self.source.as_ref().map(|source| source.size) {
            Some(Sizing::Scale { off, step }) => {
                let by = self.slope * off;
                Variation { low: by, high: by, ..still(self.slope * step / 2.0) }
            }
            _ => still(0.0),
        }
    }

    /// The same at the best that care can do: all pieces of the lot alike, as far
    /// out as their limits allow, and a gauge without error.
    pub(super) fn at_best(&self) -> Variation {
        match self.source.as_ref().map(|source| source.size) {
            Some(Sizing::Limits { low, high, .. }) if self.made.is_none() => {
                let net = self.slope + self.followed;
                let ends = [net * low, net * high];
                let [low, high] = [ends[0].min(ends[1]), ends[0].max(ends[1])];
                let (error, pieces) = (self.error, self.averaged_pieces());
                Variation { low, high, shared: 0.0, error, pieces }
            }
            _ => self.variation(),
        }
    }

    /// How many pieces average out. Only differences between pieces do, not an
    /// error of the whole lot.
    fn averaged_pieces(&self) -> u32 {
        let moves_alone = self.followed == 0.0 || (self.slope + self.followed).abs() < 1e-9;
        if moves_alone { self.pieces } else { 1 }
    }
}

/// The dimensions of a chain, as a formula sees them.
pub(super) struct ChainScope<'c> {
    pub web: &'c Web,
    /// The value of a name that is a link of the chain.
    pub own: &'c dyn Fn(&str) -> Option<f64>,
}

impl ChainScope<'_> {
    fn links(&self) -> impl Fn(&str) -> Option<Value> + '_ {
        |name| (self.own)(name).map(value)
    }
}

impl Scope for ChainScope<'_> {
    fn value(&self, name: &str) -> Result<Value, Message> {
        match (self.own)(name) {
            Some(own) => Ok(Value::root(name, value(own))),
            None => self.web.value(name, &self.links()),
        }
    }
}

/// A clearance with everything that moves it.
pub(super) struct Chain<'a> {
    pub input: FitsInput<'a>,
    pub web: &'a Web,
    pub formula: &'a Formula,
    pub limits: Range,
    /// The clearance with every dimension as planned or made.
    pub nominal: f64,
    /// The size across the grain that swells, where the fit names one.
    pub across: Option<f64>,
    pub links: Vec<Link<'a>>,
    /// Names in the formula that nothing moves.
    pub as_drawn: Vec<&'a str>,
}

impl<'a> Chain<'a> {
    /// The chain of one fit, for one article or for all. An error where one of
    /// its formulas can't be evaluated.
    pub(super) fn of(
        input: &FitsInput<'a>,
        webs: &'a ArticleWebs<'a>,
        fit: &'a Fit,
        set: Option<u32>,
    ) -> Result<Chain<'a>, FitError> {
        let web = webs.web(set);
        let (mut links, as_drawn) = links(input, (webs, web), fit, set);
        // In the order of the operations, since a later target may follow an
        // earlier size.
        for place in 0..links.len() {
            let (nominal, _) = aimed(web, &links, place, &|link| link.nominal);
            links[place].nominal = match &links[place].made {
                Some(made) => made.value,
                None => nominal,
            };
            let link = &mut links[place];
            if let Some(source) = &mut link.source {
                set_limits(input, source, link.nominal, set);
            }
        }
        let failed = |of| move |error| FitError { fit: fit.name.clone(), of, error };
        let own = |name: &str| links.iter().find(|link| link.name == name).map(|link| link.nominal);
        let scope = ChainScope { web, own: &own };
        let is = fit
            .is
            .formula
            .evaluate_as(DimensionKind::Length, &scope)
            .map_err(failed(FitFormula::Clearance))?;
        let limit = |which: usize| {
            let keyed = [&fit.low, &fit.high][which];
            let value = keyed.formula.evaluate_as(DimensionKind::Length, &scope);
            value.map(|value| value.amount).map_err(failed(FitFormula::Limit(which)))
        };
        let limits = Range { low: limit(0)?, high: limit(1)? };
        if limits.low > limits.high {
            let at = 0..fit.low.formula.text().len();
            let what = "the lower limit is above the upper limit".to_owned();
            return Err(failed(FitFormula::Limit(0))(Message::error(what).at(at)));
        }
        let across = match &fit.moves {
            None => None,
            Some(moves) => {
                let value = moves.across.formula.evaluate_as(DimensionKind::Length, &scope);
                Some(value.map_err(failed(FitFormula::Across))?.amount)
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
            input: *input,
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
}

/// A formula of a fit that can't be evaluated.
#[derive(Clone, Debug, PartialEq)]
pub struct FitError {
    /// The name of the fit.
    pub fit: String,
    /// Which of its formulas.
    pub of: FitFormula,
    /// What is wrong, at its place in the formula's text.
    pub error: Message<Span>,
}

/// Which formula of a fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitFormula {
    /// The clearance itself.
    Clearance,
    /// The least (0) or the most (1) it may be.
    Limit(usize),
    /// The size across the grain that swells.
    Across,
}

/// The target of a link, with the sizes that `at` gives the links before it, and
/// its derivative by each of them.
pub(super) fn aimed(
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
        // The route's own check reports a formula that can't be evaluated.
        Err(_) => (link.nominal, BTreeMap::new()),
    }
}

/// The target of a link as a program of the sizes of all links, of which it reads those
/// before it; none where it has no value.
pub(super) fn aimed_program(web: &Web, links: &[Link<'_>], place: usize) -> Option<Program> {
    let op = links[place].op();
    let known = |name: &str| {
        let before = links[..place].iter().position(|before| before.name == name)?;
        links[before].is_known_at(op).then_some(before)
    };
    Program::of_dimension(links[place].name, web, links.len(), &known)
}

/// For each link, how the clearance moves with its reading through the links cut
/// later, and whether its own target follows an earlier one.
fn followed(web: &Web, links: &[Link<'_>], slopes: &[f64]) -> Vec<(f64, bool)> {
    // One row a link: how its target moves with the reading of each other link.
    let mut rows: Vec<Vec<f64>> = Vec::new();
    for (place, link) in links.iter().enumerate() {
        let mut row = vec![0.0; links.len()];
        if link.made.is_none() {
            let (_, slope) = aimed(web, links, place, &|before| before.nominal);
            for (before, other) in links[..place].iter().enumerate() {
                // A made value that is the same for all is a constant.
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
/// names that nothing moves. Their sizes are not filled in yet.
fn links<'a>(
    input: &FitsInput<'a>,
    (webs, web): (&ArticleWebs<'_>, &'a Web),
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
            let source = source(input, web, name, set);
            let made = made(input, name, source.as_ref(), set)
                .or_else(|| closed_mean(input, source.as_ref()?, set, webs.differ_in(name)));
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
                    error: 0,
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
    let sources: Vec<Option<ErrorSource>> = links.iter().map(Link::error_source).collect();
    let errors = first_of_each(&sources);
    for (link, error) in links.iter_mut().zip(errors) {
        link.error = error;
    }
    (links, as_drawn)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn link(steers: Steers, readings: Vec<f64>) -> Link<'static> {
        Link {
            name: "rail",
            source: None,
            made: Some(Made { value: 10.0, readings, op: Some(20), steers }),
            nominal: 10.0,
            slope: -2.0,
            followed: 0.5,
            follows: false,
            pieces: 4,
            error: 0,
        }
    }

    /// By hand: readings of 7 and 11 are -3 and +1 from the 10 later cuts are made to. By -2
    /// each moves the clearance +6 and -2. Where each piece's own reading is followed, by -1.5:
    /// +4.5 and -1.5. Readings all on one side still leave the piece that is just 10.
    #[test]
    fn what_was_made_moves_a_clearance_by_its_readings() {
        let moves = |steers, readings: &[f64]| {
            let Variation { low, high, shared, pieces, .. } =
                link(steers, readings.to_vec()).variation();
            assert_eq!((shared, pieces), (0.0, 4));
            (low, high)
        };
        assert_eq!(moves(Steers::Everything, &[7.0, 11.0]), (-2.0, 6.0));
        assert_eq!(moves(Steers::Nothing, &[7.0, 11.0]), (-2.0, 6.0));
        assert_eq!(moves(Steers::OwnPiece, &[7.0, 11.0]), (-1.5, 4.5));
        assert_eq!(moves(Steers::Everything, &[7.0, 9.0]), (0.0, 6.0));
        assert_eq!(moves(Steers::Everything, &[]), (0.0, 0.0));
    }

    /// A reading is known from the next operation on, not at its own.
    #[test]
    fn a_reading_is_known_after_its_operation() {
        let read = link(Steers::Everything, Vec::new());
        assert!(read.is_known_at(Some(30)) && !read.is_known_at(Some(20)));
        assert!(!read.is_known_at(Some(10)));
        assert!(!link(Steers::Nothing, Vec::new()).is_known_at(Some(30)));
    }

    /// Four pieces average out where only they move the clearance, or where what follows
    /// makes up for each; else what they share does not.
    #[test]
    fn only_differences_between_pieces_average_out() {
        let of = |slope, followed| {
            let link = Link { slope, followed, ..link(Steers::Nothing, Vec::new()) };
            link.averaged_pieces()
        };
        assert_eq!((of(-2.0, 0.0), of(-2.0, 2.0), of(-2.0, 0.5), of(2.0, 2.0)), (4, 4, 1, 1));
    }
}
