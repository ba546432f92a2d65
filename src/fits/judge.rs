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

use std::collections::BTreeMap;

use super::chain::{Chain, Link, ReadingRange, cases};
use super::origin::{Sizing, amount};
use super::season::{PlannedClearance, Seasons, seasons};
use super::stack::{Range, Stack, StackMethod, Variation, holds, shares, stack};
use super::trials::Share;
use crate::document::{Document, Problem};
use crate::journal::State;
use crate::measure::{Gauge, Length};
use crate::operation::{FeatureName, decimal, words};
use crate::plan::{Known, Plan};
use crate::prose::{Level, Message, Span};
use crate::route::{Fit, Route};
use crate::shop::Shop;

/// A route, the shop it is made in, and what is known so far.
#[derive(Clone, Copy, Debug)]
pub struct FitsInput<'a> {
    pub route: &'a Route,
    pub shop: &'a Shop,
    /// The route walked with what is known.
    pub plan: &'a Plan,
    pub known: &'a Known,
    /// What was read so far, when a batch is under way.
    pub readings: Option<&'a Readings>,
}

/// What was read of each feature at each operation, on the pieces that count,
/// and the set each piece is of.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings(BTreeMap<(u32, FeatureName), Vec<OfSet>>);

type OfSet = (Option<u32>, Length);

impl Readings {
    pub fn of(state: &State) -> Readings {
        let mut all = Readings::default();
        for reading in state.counting_readings() {
            let taken = &reading.taken;
            let piece = state.piece(&taken.piece);
            if let (Some(piece), Some(size)) = (piece, taken.size()) {
                let at = all.0.entry((taken.op, taken.feature.clone())).or_default();
                at.push((piece.label.set, size));
            }
        }
        all
    }

    /// Those of one set, or of all.
    pub(super) fn at(&self, op: u32, feature: &str, set: Option<u32>) -> Vec<Length> {
        let all = self.0.get(&(op, FeatureName::new(feature)));
        let ours = all.into_iter().flatten().filter(|(of, _)| set.is_none() || *of == set);
        ours.map(|(_, size)| *size).collect()
    }
}

/// One clearance, looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedFit {
    pub fit: String,
    /// Its formula as written.
    pub is: String,
    /// The sets it is for; empty when it is the same for all.
    pub sets: Vec<u32>,
    pub limits: SizeRange,
    /// With everything as planned or as made.
    pub nominal: Length,
    pub worst: SizeRange,
    pub likely: SizeRange,
    /// Where it will likely lie if the pieces of a lot came out all alike and
    /// gauges told the truth: what no care can better.
    pub at_best: SizeRange,
    /// Made-up pieces that fit; `None` when none were tried.
    pub share: Option<Share>,
    pub contributions: Vec<Contribution>,
    /// Names in it that nothing here moves.
    pub as_drawn: Vec<String>,
    /// The clearance as the wood swells and shrinks, where the fit says how.
    pub seasons: Option<Seasons>,
}

/// From least to most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SizeRange {
    pub low: Length,
    pub high: Length,
}

/// Whether a clearance stays inside its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitVerdict {
    /// Whatever happens inside the limits of the checks.
    Worst,
    /// In all likelihood, yet not at the worst.
    Likely,
    /// Too often not.
    Not,
    /// Not even with every piece to size.
    Nominal,
}

impl FitVerdict {
    pub(super) fn judged(
        limits: SizeRange,
        nominal: Length,
        worst: SizeRange,
        likely: SizeRange,
    ) -> FitVerdict {
        let room = limits.range();
        if !limits.contains(nominal) {
            FitVerdict::Nominal
        } else if worst.range().within(&room) {
            FitVerdict::Worst
        } else if likely.range().within(&room) {
            FitVerdict::Likely
        } else {
            FitVerdict::Not
        }
    }

    /// Whether it can be counted on.
    pub fn counts(self) -> bool {
        matches!(self, FitVerdict::Worst | FitVerdict::Likely)
    }
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
    pub off: Option<SizeRange>,
    /// How much the clearance grows as this piece does by one.
    pub slope: f64,
    /// The same by way of all that is cut after it, to what was read.
    pub followed: f64,
    /// In the clearance, from piece to piece.
    pub moves: SizeRange,
    /// In the clearance, either way, for all pieces alike.
    pub shared: Length,
    /// Of the whole, by squares.
    pub share: f64,
    /// How many times its gauge's uncertainty, both ways, goes into the room
    /// the fit leaves for it; under four it can't be relied on.
    pub sees: Option<f64>,
    room: Option<ReadingRange>,
    pieces: u32,
}

/// A formula of a fit that can't be worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct FitError {
    pub fit: String,
    pub of: FitFormula,
    pub error: Message<Span>,
}

/// Which formula of a fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitFormula {
    Clearance,
    /// The least or the most, 0 or 1.
    Limit(usize),
    /// What swells in it.
    Across,
}

/// A clearance's uncertainty both ways should go into its room so many times
/// (common practice, no source).
pub const ENOUGH: f64 = 4.0;

impl SizeRange {
    fn of(range: Range) -> SizeRange {
        SizeRange { low: length(range.low), high: length(range.high) }
    }

    fn range(self) -> Range {
        Range { low: amount(self.low), high: amount(self.high) }
    }

    pub fn contains(&self, size: Length) -> bool {
        self.low <= size && size <= self.high
    }
}

impl JudgedFit {
    pub fn holds(&self) -> FitVerdict {
        FitVerdict::judged(self.limits, self.nominal, self.worst, self.likely)
    }

    /// Whether it can be counted on, in every season there is.
    pub fn can_be_counted_on(&self) -> bool {
        let seasons = self.seasons.iter().flat_map(|seasons| [&seasons.winter, &seasons.summer]);
        self.holds().counts() && seasons.into_iter().all(|season| season.holds.counts())
    }

    /// The contribution with the largest share, where anything moves.
    pub fn dominating(&self) -> Option<&Contribution> {
        let moving = self.contributions.iter().filter(|one| one.share > 0.0);
        moving.max_by(|one, other| one.share.total_cmp(&other.share))
    }

    fn parts(&self) -> Vec<Variation> {
        self.contributions.iter().map(Contribution::part).collect()
    }

    /// Whether it would hold, in every season there is, with the room of one
    /// dimension so many times as wide.
    pub(super) fn holds_with(&self, which: &str, wide: f64, asked: StackMethod) -> bool {
        let each = self.contributions.iter();
        let parts: Vec<Variation> = each
            .map(|one| if one.dim == which { one.narrowed(wide) } else { one.part() })
            .collect();
        let seasons = self.seasons.iter().flat_map(|seasons| [&seasons.winter, &seasons.summer]);
        let taken = seasons.flat_map(|season| [season.takes.low, season.takes.high]);
        std::iter::once(Length::ZERO)
            .chain(taken)
            .all(|taken| holds(amount(self.nominal - taken), &parts, &self.limits.range(), asked))
    }

    /// How much of its room one dimension may keep for the fit to hold.
    pub(super) fn may_keep(&self, which: &Contribution, asked: StackMethod) -> Option<f64> {
        let place = self.contributions.iter().position(|one| one.dim == which.dim)?;
        let limits = self.limits.range();
        let narrowed = |keep| which.narrowed(keep);
        super::stack::may_keep(amount(self.nominal), &self.parts(), place, narrowed, &limits, asked)
    }
}

impl Contribution {
    fn part(&self) -> Variation {
        let Range { low, high } = self.moves.range();
        Variation { low, high, shared: amount(self.shared), pieces: self.pieces }
    }

    /// With its room so many times as wide, about the size aimed at.
    fn narrowed(&self, wide: f64) -> Variation {
        let Some(room) = self.room else { return self.part() };
        let Range { low, high } = room.scaled(wide).moves(self.slope, self.followed);
        Variation { low, high, ..self.part() }
    }

    /// The limits about the size aimed at, with the room so many times as wide.
    pub(super) fn limits_with(&self, wide: f64) -> Option<SizeRange> {
        let room = self.room?.scaled(wide);
        let aimed = room.aimed;
        Some(SizeRange {
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

pub(super) fn length(amount: f64) -> Length {
    let most = Length::LONGEST.nanometres() as f64;
    Length::from_nanometres_f64(amount.clamp(-most, most)).unwrap_or_default()
}

/// Every fit of the route, in the route's order; one for each lot of sets
/// whose made sizes differ. `trials` made-up pieces are tried in each.
pub fn fits(question: &FitsInput<'_>, trials: u32, seed: u64) -> (Vec<JudgedFit>, Vec<FitError>) {
    let (mut judged, mut troubles) = (Vec::new(), Vec::new());
    for fit in &question.route.fits {
        let mut own: Vec<JudgedFit> = Vec::new();
        let cases = cases(question, fit);
        for set in &cases {
            let chain = match Chain::of(question, fit, *set) {
                Ok(chain) => chain,
                Err(trouble) => {
                    troubles.push(trouble);
                    break;
                }
            };
            let mut found = judge(fit, &chain);
            found.sets.extend(set);
            let alike = |held: &&mut JudgedFit| {
                held.nominal == found.nominal && held.contributions == found.contributions
            };
            match own.iter_mut().find(alike) {
                Some(held) => held.sets.append(&mut found.sets),
                None => {
                    found.share = (trials > 0).then(|| chain.tried(trials, seed));
                    own.push(found);
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

/// What is wrong with the fits of a route before anything is made, each at its
/// place in the document.
pub fn problems(question: &FitsInput<'_>, document: &Document) -> Vec<Problem> {
    let root = document.root();
    let place = |fit: &str| root.child("fits").and_then(|fits| fits.child(fit)).unwrap_or(root);
    let unit = question.route.unit;
    let (judged, troubles) = fits(question, 0, 0);
    let mut problems = Vec::new();
    for FitError { fit, of, error } in troubles {
        let node = place(&fit);
        let node = match of {
            FitFormula::Clearance => node.child("is").unwrap_or(node),
            FitFormula::Across => {
                let moves = node.child("moves").unwrap_or(node);
                moves.child("across").unwrap_or(moves)
            }
            FitFormula::Limit(limit) => {
                let limits = node.child("limits").and_then(|limits| limits.items());
                limits.and_then(|limits| limits.get(limit).copied()).unwrap_or(node)
            }
        };
        let mut problem = node.problem(error.what, error.help);
        problem.place.at = Some(node.text_place(error.place));
        problems.push(problem);
    }
    for judged in judged {
        let node = place(&judged.fit);
        let between = |SizeRange { low, high }: SizeRange| {
            format!("{} to {}", words(low, unit), words(high, unit))
        };
        if judged.holds() == FitVerdict::Nominal {
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
        } else if let Some(seasons) = &judged.seasons {
            let limits = judged.limits.range();
            let each = [("driest", &seasons.winter), ("dampest", &seasons.summer)];
            for (name, season) in each {
                if season.at_best.range().within(&limits) {
                    continue;
                }
                let what = format!(
                    "in the {name} season, at {} %, it will likely lie between {} and {}, and its \
                     limits are {}",
                    season.moisture.in_percent(),
                    decimal(season.at_best.low, unit),
                    decimal(season.at_best.high, unit),
                    between(judged.limits)
                );
                let fix = "leave more room, or make it nearer to that moisture".to_owned();
                let mut problem = node.child("moves").unwrap_or(node).problem(what, Some(fix));
                problem.level = Level::Warning;
                problems.push(problem);
            }
        }
    }
    problems
}

fn judge(fit: &Fit, chain: &Chain<'_>) -> JudgedFit {
    let parts: Vec<Variation> = chain.links.iter().map(Link::part).collect();
    let at_best: Vec<Variation> = chain.links.iter().map(Link::at_best).collect();
    let Stack { worst, likely } = stack(chain.nominal, &parts);
    let limits = SizeRange::of(chain.limits);
    let room = chain.limits.high - chain.limits.low;
    let contributions = chain
        .links
        .iter()
        .zip(parts.iter().zip(shares(&parts)))
        // What only later cuts could have followed, and none here does.
        .filter(|(link, _)| link.slope != 0.0 || link.followed != 0.0)
        .map(|(link, (part, share))| contribution(link, part, share, room))
        .collect();
    let planned = PlannedClearance {
        limits,
        nominal: length(chain.nominal),
        worst: SizeRange::of(worst),
        likely: SizeRange::of(likely),
        at_best: SizeRange::of(stack(chain.nominal, &at_best).likely),
    };
    JudgedFit {
        fit: fit.name.clone(),
        is: fit.is.formula.text().to_owned(),
        sets: Vec::new(),
        limits,
        nominal: planned.nominal,
        worst: planned.worst,
        likely: planned.likely,
        at_best: planned.at_best,
        share: None,
        contributions,
        as_drawn: chain.as_drawn.iter().map(|name| (*name).to_owned()).collect(),
        seasons: chain.across.and_then(|across| seasons(fit, length(across), &planned)),
    }
}

fn contribution(link: &Link<'_>, part: &Variation, share: f64, room: f64) -> Contribution {
    let source = link.source.as_ref();
    let gauge = source.and_then(|source| source.gauge);
    let off = source.and_then(|source| match source.size {
        Sizing::Limits { low, high, .. } if link.made.is_none() => {
            Some(SizeRange { low: length(low), high: length(high) })
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
        moves: SizeRange { low: length(part.low), high: length(part.high) },
        shared: length(part.shared),
        share,
        sees: (doubt > 0.0).then(|| room / (2.0 * doubt)),
        room: link.room(),
        pieces: part.pieces,
    }
}
