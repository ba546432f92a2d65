//! The simplest shapes a series can have, each with what it leaves unexplained.
//!
//! The numbers are at places 1, 2, 3 and so on. All fits are by least squares; residuals are
//! in the unit of the numbers squared.

use std::ops::RangeInclusive;

use super::TooFew;
use super::summary::{mean, median, squares_about, sum};

/// How well a shape fits: what it leaves unexplained, and its number of parameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShapeFit {
    /// Sum of the squared residuals.
    pub residual: f64,
    /// Parameters chosen to fit the data; places count.
    pub parameters: usize,
}

/// A constant: its level, 1 parameter.
pub fn level(values: &[f64]) -> Result<(f64, ShapeFit), TooFew> {
    let level = mean(values)?;
    Ok((level, ShapeFit { residual: squares_about(values, level), parameters: 1 }))
}

/// A straight rise or fall, 2 parameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ramp {
    /// At the first number.
    pub start: f64,
    /// From one number to the next.
    pub slope: f64,
    /// How well it fits.
    pub fit: ShapeFit,
}

/// Least-squares line: NIST/SEMATECH e-Handbook 4.4.3.1. Takes two numbers.
pub fn ramp(values: &[f64]) -> Result<Ramp, TooFew> {
    TooFew::check(values.len(), 2)?;
    let middle = (values.len() - 1) as f64 / 2.0;
    let level = mean(values)?;
    let place = |i: usize| i as f64 - middle;
    let across = sum((0..values.len()).map(|i| place(i).powi(2)));
    let slope = sum(values.iter().enumerate().map(|(i, y)| place(i) * (y - level))) / across;
    let off = values.iter().enumerate().map(|(i, y)| y - level - slope * place(i));
    let fit = ShapeFit { residual: sum(off.map(|off| off * off)), parameters: 2 };
    Ok(Ramp { start: level - slope * middle, slope, fit })
}

/// One level up to a place and another after it, 3 parameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelShift {
    /// How many numbers come before the step.
    pub after: usize,
    /// The level before the step.
    pub before_level: f64,
    /// The level after it.
    pub after_level: f64,
    /// How well it fits.
    pub fit: ShapeFit,
}

/// The step that leaves least; the first of equals. Takes two numbers.
pub fn step(values: &[f64]) -> Result<LevelShift, TooFew> {
    TooFew::check(values.len(), 2)?;
    let at = |after: usize| -> Result<LevelShift, TooFew> {
        let (before, behind) = values.split_at(after);
        let ((before_level, one), (after_level, other)) = (level(before)?, level(behind)?);
        let fit = ShapeFit { residual: one.residual + other.residual, parameters: 3 };
        Ok(LevelShift { after, before_level, after_level, fit })
    };
    let mut best: Option<LevelShift> = None;
    for after in best_cuts(values, 1..=values.len() - 1) {
        let next = at(after)?;
        if best.is_none_or(|best| next.fit.residual < best.fit.residual) {
            best = Some(next);
        }
    }
    best.map_or_else(|| at(1), Ok)
}

/// The cuts of a row in two that may leave the least about the levels of both halves,
/// the first of them first. A sum that runs along the row rounds off a little, so it only
/// says which cuts come near the best; most often that is one.
pub(super) fn best_cuts(values: &[f64], cuts: RangeInclusive<usize>) -> Vec<usize> {
    let level = mean(values).unwrap_or(0.0);
    let whole = sum(values.iter().map(|value| value - level));
    let squares = squares_about(values, level);
    // What a cut takes off the sum of squares about one level.
    let mut saved = Vec::with_capacity(values.len());
    let mut before = 0.0;
    for (index, value) in values.iter().enumerate() {
        before += value - level;
        let (one, other) = ((index + 1) as f64, (values.len() - index - 1) as f64);
        let behind: f64 = whole - before;
        saved.push(before * before / one + behind * behind / other);
    }
    let most = cuts.clone().map(|after| saved[after - 1]).fold(f64::NEG_INFINITY, f64::max);
    cuts.filter(|after| saved[after - 1] >= most - 1e-9 * squares).collect()
}

/// One number away from the level of all others, 3 parameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    /// Which number, from 1.
    pub at: usize,
    /// The level of the others.
    pub level: f64,
    /// How far it is from that level.
    pub by: f64,
    /// How well it fits.
    pub fit: ShapeFit,
}

/// The number farthest from the mean, because leaving it out lowers the residual most; the
/// first of equals. Takes three numbers: of two, either could be the one.
pub fn slip(values: &[f64]) -> Result<Slip, TooFew> {
    TooFew::check(values.len(), 3)?;
    let all = mean(values)?;
    let mut at = 0;
    for (i, value) in values.iter().enumerate() {
        if (value - all).abs() > (values[at] - all).abs() {
            at = i;
        }
    }
    let others: Vec<f64> = [&values[..at], &values[at + 1..]].concat();
    let (level, ShapeFit { residual, .. }) = level(&others)?;
    let fit = ShapeFit { residual, parameters: 3 };
    Ok(Slip { at: at + 1, level, by: values[at] - level, fit })
}

/// The median of the slopes between all pairs: H. Theil, Indagationes Mathematicae 12
/// (1950); P. K. Sen, Journal of the American Statistical Association 63 (1968), 1379-1389.
/// A few outliers don't move it. Takes two numbers, and time and memory as their square.
pub fn theil_sen(values: &[f64]) -> Result<f64, TooFew> {
    TooFew::check(values.len(), 2)?;
    let mut slopes = Vec::with_capacity(values.len() * (values.len() - 1) / 2);
    for (i, first) in values.iter().enumerate() {
        let later = values.iter().skip(i + 1).enumerate();
        slopes.extend(later.map(|(apart, second)| (second - first) / (apart + 1) as f64));
    }
    median(&slopes)
}
