//! Simulated pieces sent through the formula of a clearance, to count how many
//! fit.

use super::chain::{Chain, ChainScope, Link, aimed};
use super::origin::{Sizing, Steers};
use super::stack::Range;
use super::trials::{Draws, Share};
use crate::formula::DimensionKind;
use crate::route::{HoldsFor, PieceChoice, Take};

impl Chain<'_> {
    /// How many of `trials` simulated pieces fit, through the formula itself.
    pub(super) fn simulate(&self, trials: u32, seed: u64) -> Share {
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
            let error = match link.source.as_ref().map(|source| source.size) {
                Some(Sizing::Scale { off, step }) if link.made.is_none() => {
                    off + draws.between(-step / 2.0, step / 2.0)
                }
                // Expanded with k = 2, so half of it is the standard uncertainty.
                _ => draws.normal() * link.uncertainty() / 2.0,
            };
            taken[place] = base + read;
            real[place] = base + piece + error;
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

    /// Draws the deviations of the piece, and of the reading that later cuts are
    /// made to, from the target or from the size made.
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
        let Some(range) = link.range() else { return (0.0, 0.0) };
        let mut least = f64::INFINITY;
        let mut most = f64::NEG_INFINITY;
        let piece = mean(&mut || {
            let drawn = draws.between(range.low, range.high);
            (least, most) = (least.min(drawn), most.max(drawn));
            drawn
        });
        let Some((take, span)) = range.cut_by else { return (piece, piece) };
        if span == HoldsFor::Piece {
            return (piece, piece);
        }
        // Of the other pieces read, only the one that counts is drawn.
        let (read, all) = self.read(link, span);
        let others = if all { read.saturating_sub(count) } else { read };
        let wide = range.high - range.low;
        let taken = match take {
            Take::Smallest => {
                let smallest = range.low + wide * draws.smallest_part_of(others);
                if all || others == 0 { smallest.min(least) } else { smallest }
            }
            Take::Largest => {
                let largest = range.high - wide * draws.smallest_part_of(others);
                if all || others == 0 { largest.max(most) } else { largest }
            }
            Take::Mean => {
                let (n, own) = (f64::from(others), if all { f64::from(count) } else { 0.0 });
                if n + own == 0.0 {
                    piece
                } else {
                    // The mean of several drawn evenly from the range.
                    let off = draws.normal() * wide / (12.0 * n.max(1.0)).sqrt();
                    let middle = f64::midpoint(range.low, range.high) + off;
                    (middle.clamp(range.low, range.high) * n + piece * own) / (n + own)
                }
            }
        };
        (piece, taken)
    }

    /// How many pieces are measured for it, and whether every piece is.
    fn read(&self, link: &Link<'_>, span: HoldsFor) -> (u32, bool) {
        let Some(source) = &link.source else { return (1, true) };
        let route = self.input.route;
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
