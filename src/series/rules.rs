//! Rules on runs: patterns that are unlikely by chance alone.
//!
//! Western Electric Co., Statistical Quality Control Handbook (1956), pp. 23-28, and
//! L. S. Nelson, Journal of Quality Technology 16 (1984), 237-239. What neither settles is
//! settled here: a number on a boundary or on the centre counts for neither side of it; two
//! equal numbers neither rise nor fall; a window must be complete; a signal belongs to the
//! last number of its pattern, and in "two of three" and "four of five" that number must
//! itself be beyond.

use RunPattern::{Alternating, Beyond, Outside, Steady, Within};

/// One rule of either set, by its number there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rule {
    /// One number beyond three sigmas.
    WesternElectric1,
    /// Two of three in a row beyond two sigmas on one side.
    WesternElectric2,
    /// Four of five in a row beyond one sigma on one side.
    WesternElectric3,
    /// Eight in a row on one side of the centre.
    WesternElectric4,
    /// One number beyond three sigmas.
    Nelson1,
    /// Nine in a row on one side of the centre.
    Nelson2,
    /// Six in a row, all rising or all falling.
    Nelson3,
    /// Fourteen in a row, up and down by turns.
    Nelson4,
    /// Two of three in a row beyond two sigmas on one side.
    Nelson5,
    /// Four of five in a row beyond one sigma on one side.
    Nelson6,
    /// Fifteen in a row within one sigma.
    Nelson7,
    /// Eight in a row beyond one sigma, some on either side.
    Nelson8,
}

/// Distances in sigmas from the centre.
#[derive(Clone, Copy)]
enum RunPattern {
    /// `need` of the last `of` numbers, the last one among them, farther out than this on one
    /// side.
    Beyond { need: usize, of: usize, sigmas: f64 },
    /// This many in a row, each higher than the last, or each lower.
    Steady(usize),
    /// This many in a row, up and down by turns.
    Alternating(usize),
    /// This many in a row nearer than one sigma.
    Within(usize),
    /// This many in a row farther than one sigma, some on either side.
    Outside(usize),
}

/// All rules, in the order they are reported.
pub const RULES: [Rule; 12] = [
    Rule::WesternElectric1,
    Rule::WesternElectric2,
    Rule::WesternElectric3,
    Rule::WesternElectric4,
    Rule::Nelson1,
    Rule::Nelson2,
    Rule::Nelson3,
    Rule::Nelson4,
    Rule::Nelson5,
    Rule::Nelson6,
    Rule::Nelson7,
    Rule::Nelson8,
];

/// What distances are measured from, and the unit they are measured in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Baseline {
    /// The centre line.
    pub centre: f64,
    /// The standard deviation of one number.
    pub sigma: f64,
}

impl Baseline {
    /// Decimals have no exact binary form, so a number nearer to a boundary than this is on it.
    fn tie(&self, value: f64) -> f64 {
        1e-9 * self.sigma + 8.0 * f64::EPSILON * value.abs().max(self.centre.abs())
    }

    /// Whether a number is above the centre, where it is farther out than `sigmas`.
    fn beyond(&self, value: f64, sigmas: f64) -> Option<bool> {
        let off = value - self.centre;
        (off.abs() > sigmas * self.sigma + self.tie(value)).then_some(off > 0.0)
    }

    fn within(&self, value: f64, sigmas: f64) -> bool {
        (value - self.centre).abs() < sigmas * self.sigma - self.tie(value)
    }

    /// Whether the second number is over the first; `None` when they are equal.
    fn rises(&self, pair: &[f64]) -> Option<bool> {
        let step = pair[1] - pair[0];
        (step.abs() > self.tie(pair[0])).then_some(step > 0.0)
    }
}

/// A rule whose pattern is complete.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Signal {
    /// The rule.
    pub rule: Rule,
    /// The last number of the pattern, counted from 1.
    pub at: usize,
}

impl Rule {
    /// The name of its set and its number there: `western electric 2`.
    pub fn name(self) -> &'static str {
        match self {
            Rule::WesternElectric1 => "western electric 1",
            Rule::WesternElectric2 => "western electric 2",
            Rule::WesternElectric3 => "western electric 3",
            Rule::WesternElectric4 => "western electric 4",
            Rule::Nelson1 => "nelson 1",
            Rule::Nelson2 => "nelson 2",
            Rule::Nelson3 => "nelson 3",
            Rule::Nelson4 => "nelson 4",
            Rule::Nelson5 => "nelson 5",
            Rule::Nelson6 => "nelson 6",
            Rule::Nelson7 => "nelson 7",
            Rule::Nelson8 => "nelson 8",
        }
    }

    fn pattern(self) -> RunPattern {
        match self {
            Rule::WesternElectric1 | Rule::Nelson1 => Beyond { need: 1, of: 1, sigmas: 3.0 },
            Rule::WesternElectric2 | Rule::Nelson5 => Beyond { need: 2, of: 3, sigmas: 2.0 },
            Rule::WesternElectric3 | Rule::Nelson6 => Beyond { need: 4, of: 5, sigmas: 1.0 },
            Rule::WesternElectric4 => Beyond { need: 8, of: 8, sigmas: 0.0 },
            Rule::Nelson2 => Beyond { need: 9, of: 9, sigmas: 0.0 },
            Rule::Nelson3 => Steady(6),
            Rule::Nelson4 => Alternating(14),
            Rule::Nelson7 => Within(15),
            Rule::Nelson8 => Outside(8),
        }
    }

    /// Whether the last of these numbers completes the rule's pattern.
    pub fn completes(self, values: &[f64], level: &Baseline) -> bool {
        self.pattern().ends(values, level)
    }
}

impl RunPattern {
    fn length(self) -> usize {
        match self {
            Beyond { of, .. } => of,
            Steady(n) | Alternating(n) | Within(n) | Outside(n) => n,
        }
    }

    fn ends(self, values: &[f64], level: &Baseline) -> bool {
        let Some(start) = values.len().checked_sub(self.length()) else { return false };
        let window = &values[start..];
        match self {
            Beyond { need, sigmas, .. } => {
                let sides = window.iter().map(|value| level.beyond(*value, sigmas));
                let last = window.last().and_then(|value| level.beyond(*value, sigmas));
                last.is_some() && sides.filter(|side| *side == last).count() >= need
            }
            Steady(_) => {
                let mut steps = window.windows(2).map(|pair| level.rises(pair));
                let first = steps.next().flatten();
                first.is_some() && steps.all(|step| step == first)
            }
            Alternating(_) => {
                let steps: Vec<_> = window.windows(2).map(|pair| level.rises(pair)).collect();
                steps.iter().all(Option::is_some) && steps.windows(2).all(|two| two[0] != two[1])
            }
            Within(_) => window.iter().all(|value| level.within(*value, 1.0)),
            Outside(_) => {
                let sides: Vec<_> = window.iter().map(|value| level.beyond(*value, 1.0)).collect();
                sides.iter().all(Option::is_some)
                    && sides.contains(&Some(true))
                    && sides.contains(&Some(false))
            }
        }
    }
}

/// Every place where a pattern is complete, in the order of the numbers.
pub fn signals(values: &[f64], level: &Baseline) -> Vec<Signal> {
    let mut found = Vec::new();
    for at in 1..=values.len() {
        let complete = RULES.iter().filter(|rule| rule.completes(&values[..at], level));
        found.extend(complete.map(|rule| Signal { rule: *rule, at }));
    }
    found
}
