//! Every fit of a route, judged: its clearance as planned or made, at the worst
//! and in all likelihood, and what each dimension contributes.

use super::cases::{cases, swells};
use super::chain::{Chain, FitError, Link};
use super::histogram::TrialHistogram;
use super::input::FitsInput;
use super::origin::Sizing;
use super::piece_draw::PieceDraw;
use super::reading_range::ReadingRange;
use super::season::{PlannedClearance, Seasons, seasons};
use super::shared_error::ErrorSource;
use super::stack::{Range, Stack, StackMethod, Variation, holds, shares, stack};
use super::trials::Share;
use super::verdict::{FitVerdict, SizeRange, amount, length};
use crate::measure::{Gauge, Length};
use crate::operation::FeatureName;
use crate::plan::articles::ArticleWebs;
use crate::route::{Fit, Swells};

/// One clearance, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedFit {
    /// The name of the fit.
    pub fit: String,
    /// Its formula as written.
    pub is: String,
    /// The articles it holds for, by number; empty when it is the same for all.
    pub sets: Vec<u32>,
    /// The least and the most it may be.
    pub limits: SizeRange,
    /// With everything as planned or as made.
    pub nominal: Length,
    /// With every dimension at the end of its range that moves it furthest.
    pub worst: SizeRange,
    /// Where it will likely lie; see the sums in `stack.rs`.
    pub likely: SizeRange,
    /// Where it will likely lie if all pieces of a lot came out alike and
    /// gauges had no error: the best that care can do.
    pub at_best: SizeRange,
    /// The share of simulated pieces that fit; `None` when none were tried.
    pub share: Option<Share>,
    /// How the clearances of these are distributed.
    pub tried: Option<TrialHistogram>,
    /// What each dimension does to it, in the order they are made.
    pub contributions: Vec<Contribution>,
    /// Names in its formula that nothing here moves.
    pub as_drawn: Vec<String>,
    /// The clearance as the wood swells and shrinks, where the fit says how.
    pub seasons: Option<Seasons>,
}

/// What one dimension does to a clearance.
#[derive(Clone, Debug, PartialEq)]
pub struct Contribution {
    /// The name of the dimension.
    pub dim: String,
    /// Its size now: as made, or as planned.
    pub size: Length,
    /// Whether it was made.
    pub made: bool,
    /// The operation that sizes it.
    pub op: Option<u32>,
    /// The part it is a size of.
    pub part: Option<String>,
    /// The feature there.
    pub feature: Option<FeatureName>,
    /// The gauge it is measured with.
    pub gauge: Option<Gauge>,
    /// The least and the most it may deviate, where a check says so.
    pub off: Option<SizeRange>,
    /// How much the clearance grows as this piece grows by one.
    pub slope: f64,
    /// The same through everything cut later to its reading.
    pub followed: f64,
    /// How far it moves the clearance from piece to piece.
    pub moves: SizeRange,
    /// How far it moves the clearance either way for all pieces alike.
    pub shared: Length,
    /// What that error belongs to; dimensions with one source have it in common.
    pub shared_by: Option<ErrorSource>,
    /// Its share of the whole variation, by squares; 0 to 1.
    pub share: f64,
    /// The width of the fit's limits over twice its gauge's uncertainty; under
    /// [`ENOUGH`] its readings can't be relied on.
    pub sees: Option<f64>,
    /// How simulated pieces of it are drawn.
    pub drawn: PieceDraw,
    range: Option<ReadingRange>,
    pieces: u32,
    error: usize,
}

/// How many times the width of a fit's limits should be twice its gauge's
/// uncertainty (common practice, no source).
pub const ENOUGH: f64 = 4.0;

impl JudgedFit {
    /// Whether it stays inside its limits, seasons apart.
    pub fn holds(&self) -> FitVerdict {
        FitVerdict::of(self.limits, self.nominal, self.worst, self.likely)
    }

    /// Whether it can be relied on, in every season it has.
    pub fn can_be_counted_on(&self) -> bool {
        let seasons = self.seasons.iter().flat_map(|seasons| [&seasons.winter, &seasons.summer]);
        self.holds().counts() && seasons.into_iter().all(|season| season.holds.counts())
    }

    /// The contribution with the largest share, where anything varies.
    pub fn dominating(&self) -> Option<&Contribution> {
        let moving = self.contributions.iter().filter(|one| one.share > 0.0);
        moving.max_by(|one, other| one.share.total_cmp(&other.share))
    }

    fn variations(&self) -> Vec<Variation> {
        self.contributions.iter().map(Contribution::variation).collect()
    }

    /// Whether it would hold, in every season it has, with the range of one
    /// dimension `wide` times as wide.
    pub(super) fn holds_with(&self, which: &str, wide: f64, method: StackMethod) -> bool {
        let each = self.contributions.iter();
        let parts: Vec<Variation> = each
            .map(|one| if one.dim == which { one.narrowed(wide) } else { one.variation() })
            .collect();
        let seasons = self.seasons.iter().flat_map(|seasons| [&seasons.winter, &seasons.summer]);
        let taken = seasons.flat_map(|season| [season.takes.low, season.takes.high]);
        std::iter::once(Length::ZERO)
            .chain(taken)
            .all(|taken| holds(amount(self.nominal - taken), &parts, &self.limits.range(), method))
    }

    /// The share of its range one dimension may keep for the fit to hold; `None`
    /// when even none of it is too much.
    pub(super) fn may_keep(&self, which: &Contribution, method: StackMethod) -> Option<f64> {
        let place = self.contributions.iter().position(|one| one.dim == which.dim)?;
        let limits = self.limits.range();
        let narrowed = |keep| which.narrowed(keep);
        super::stack::may_keep(
            amount(self.nominal),
            &self.variations(),
            place,
            narrowed,
            &limits,
            method,
        )
    }
}

impl Contribution {
    /// How far the error that all pieces share moves the clearance when it is upwards.
    pub(super) fn shared_when_up(&self) -> Length {
        if self.slope < 0.0 { -self.shared } else { self.shared }
    }

    fn variation(&self) -> Variation {
        let Range { low, high } = self.moves.range();
        let shared = amount(self.shared_when_up());
        Variation { low, high, shared, error: self.error, pieces: self.pieces }
    }

    /// With its range `wide` times as wide, about the size aimed at.
    fn narrowed(&self, wide: f64) -> Variation {
        let Some(range) = self.range else { return self.variation() };
        let Range { low, high } = range.scaled(wide).moves(self.slope, self.followed);
        Variation { low, high, ..self.variation() }
    }

    /// The limits about the size aimed at, with the range `wide` times as wide.
    pub(super) fn limits_with(&self, wide: f64) -> Option<SizeRange> {
        let range = self.range?.scaled(wide);
        let aimed = range.aimed;
        Some(SizeRange {
            low: length(range.low - range.uncertainty - aimed),
            high: length(range.high + range.uncertainty - aimed),
        })
    }

    /// Whether a route could set limits for it: it is planned, and measured.
    pub(super) fn has_limits(&self) -> bool {
        !self.made && self.off.is_some() && self.range.is_some()
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

/// Every fit of the route, in the route's order; one for each group of articles
/// whose made sizes differ. `trials` simulated pieces are tried in each, drawn
/// from `seed`. A fit whose formula can't be evaluated is among the errors.
pub fn fits(input: &FitsInput<'_>, trials: u32, seed: u64) -> (Vec<JudgedFit>, Vec<FitError>) {
    let (mut judged, mut errors) = (Vec::new(), Vec::new());
    let webs = ArticleWebs::of(input.route, input.known);
    for fit in &input.route.fits {
        let mut own: Vec<JudgedFit> = Vec::new();
        let cases = cases(input, &webs, fit);
        for set in &cases {
            let chain = match Chain::of(input, &webs, fit, *set) {
                Ok(chain) => chain,
                Err(error) => {
                    errors.push(error);
                    break;
                }
            };
            let mut found = judge(fit, &chain, swells(input, &webs, fit, *set));
            found.sets.extend(set);
            let alike = |held: &&mut JudgedFit| {
                held.nominal == found.nominal
                    && held.contributions == found.contributions
                    && held.seasons == found.seasons
            };
            match own.iter_mut().find(alike) {
                Some(held) => held.sets.append(&mut found.sets),
                None => {
                    if trials > 0 {
                        let likely = found.likely.range();
                        let (share, counted) = chain.simulate(trials, seed, &likely);
                        (found.share, found.tried) = (Some(share), Some(counted));
                    }
                    own.push(found);
                }
            }
        }
        if let [only] = own.as_mut_slice() {
            only.sets.clear();
        }
        judged.append(&mut own);
    }
    (judged, errors)
}

fn judge(fit: &Fit, chain: &Chain<'_>, swells: Option<Swells>) -> JudgedFit {
    let parts: Vec<Variation> = chain.links.iter().map(Link::variation).collect();
    let at_best: Vec<Variation> = chain.links.iter().map(Link::at_best).collect();
    let Stack { worst, likely } = stack(chain.nominal, &parts);
    let limits = SizeRange::of(chain.limits);
    let width = chain.limits.high - chain.limits.low;
    let contributions = chain
        .links
        .iter()
        .zip(parts.iter().zip(shares(&parts)))
        // A dimension that moves nothing here, directly or through followers.
        .filter(|(link, _)| link.slope != 0.0 || link.followed != 0.0)
        .map(|(link, (part, share))| contribution(&chain.input, link, part, share, width))
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
        tried: None,
        contributions,
        as_drawn: chain.as_drawn.iter().map(|name| (*name).to_owned()).collect(),
        seasons: chain
            .across
            .zip(swells)
            .and_then(|(across, swells)| seasons(swells, length(across), &planned)),
    }
}

fn contribution(
    input: &FitsInput<'_>,
    link: &Link<'_>,
    part: &Variation,
    share: f64,
    width: f64,
) -> Contribution {
    let source = link.source.as_ref();
    let gauge = source.and_then(|source| source.gauge);
    let off = source.and_then(|source| match source.size {
        Sizing::Limits { low, high, .. } if link.made.is_none() => {
            Some(SizeRange { low: length(low), high: length(high) })
        }
        _ => None,
    });
    let uncertainty = link.uncertainty() * link.slope.abs();
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
        shared: length(part.shared.abs()),
        shared_by: link.error_source(),
        share,
        sees: (uncertainty > 0.0).then(|| width / (2.0 * uncertainty)),
        drawn: PieceDraw::of(input, link),
        range: link.range(),
        pieces: part.pieces,
        error: part.error,
    }
}
