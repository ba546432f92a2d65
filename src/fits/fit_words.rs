//! The results of a fit in words, a line each: for terminal and paper alike.

use super::attribution::FitAttribution;
use super::judge::{Contribution, JudgedFit};
use super::trials::Share;
use super::verdict::SizeRange;
use super::wording::{between, deviations, signed};
use crate::measure::Unit;
use crate::operation::decimal;
use crate::route::Article;

/// The name of a fit, with the articles it holds for where they differ: `tenon, stool 2`.
pub fn fit_name(judged: &JudgedFit, article: &Article) -> String {
    let which = match judged.sets.as_slice() {
        [] => String::new(),
        [one] => format!(", {} {one}", article.one),
        several => {
            let several: Vec<String> = several.iter().map(ToString::to_string).collect();
            format!(", {} {}", article.many, several.join(", "))
        }
    };
    format!("{}{which}", judged.fit)
}

/// The clearance as it stands, and whether that is `now`, as made, or `planned`.
pub fn as_it_stands(judged: &JudgedFit, unit: Unit) -> (&'static str, String) {
    let is_made = judged.contributions.iter().any(|one| one.made);
    (if is_made { "now" } else { "planned" }, decimal(judged.nominal, unit))
}

/// `97.6 % of 10000 simulated (97.3 to 97.9 %)`.
pub fn share_words(share: &Share) -> String {
    let (low, high) = share.between();
    let places = places(share.found());
    let fine = |share: f64| format!("{:.places$}", share * 100.0);
    format!(
        "{} % of {} simulated ({} to {} %)",
        fine(share.found()),
        share.trials,
        fine(low),
        fine(high)
    )
}

/// A part of the trials in percent: `2.4 %`.
pub fn part_words(part: u32, trials: u32) -> String {
    let share = f64::from(part) / f64::from(trials.max(1));
    format!("{:.*} %", places(share), share * 100.0)
}

/// Near 0 and 100 % more digits are needed to tell results apart.
fn places(share: f64) -> usize {
    if (0.01..0.99).contains(&share) { 1 } else { 2 }
}

/// How simulated pieces were drawn, dimensions drawn alike together.
pub fn draw_lines(judged: &JudgedFit, unit: Unit) -> Vec<String> {
    let mut alike: Vec<(String, Vec<&str>)> = Vec::new();
    for one in &judged.contributions {
        let how = one.drawn.words(unit);
        match alike.iter_mut().find(|(held, _)| *held == how) {
            Some((_, dims)) => dims.push(&one.dim),
            None => alike.push((how, vec![&one.dim])),
        }
    }
    alike.iter().map(|(how, dims)| format!("{}: {how}", dims.join(", "))).collect()
}

/// How each measured dimension moved the clearance, in the order they were made, after the
/// clearance planned and the one made.
pub fn way_lines(way: &FitAttribution, unit: Unit) -> (String, Vec<String>) {
    let size = |length| decimal(length, unit);
    let mut lines = Vec::new();
    for share in &way.shares {
        let op = share.op.map_or_else(String::new, |op| format!("op {op} "));
        let times = match share.times {
            none if none.abs() < 1e-9 => ", later cuts follow it".to_owned(),
            one if (one.abs() - 1.0).abs() < 1e-9 => String::new(),
            times => format!(", {:.2} times", times.abs()),
        };
        let (made, wanted) = (size(share.made), size(share.wanted));
        let (dim, amount) = (&share.dim, signed(share.amount, unit));
        lines.push(format!("{op}{dim} {made} for {wanted}{times}: {amount}"));
    }
    if !way.rest.is_zero() {
        let rest = signed(way.rest, unit);
        lines.push(format!("not explained by a linear estimate: {rest}"));
    }
    (format!("{} to {}:", size(way.planned), size(way.made)), lines)
}

impl JudgedFit {
    /// `0.003, limits 0.001 to 0.009`.
    pub fn stands_words(&self, unit: Unit) -> String {
        let (_, now) = as_it_stands(self, unit);
        format!("{now}, limits {}", between(self.limits, unit))
    }
}

impl Contribution {
    /// The operation and part, or that it is given: `op 80 leg`.
    pub fn made_at(&self) -> String {
        match (self.op, &self.part) {
            (Some(op), Some(part)) => format!("op {op} {part}"),
            _ => "given".to_owned(),
        }
    }

    /// How far it can move the clearance, the error that all pieces share included: `±0.003`.
    pub fn moves_words(&self, unit: Unit) -> String {
        let (low, high) = (self.moves.low - self.shared, self.moves.high + self.shared);
        deviations(SizeRange { low, high }, unit)
    }
}
