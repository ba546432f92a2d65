//! What a chart shows, in sentences: for people at a terminal and on paper.

use super::ChartReport;
use super::groups::ChartedGroups;
use crate::measure::Unit;
use crate::paper::{RowLine, RowLineKind, SaidLine};
use crate::prose::counted;
use crate::series::{
    Action, BandZone, FEWEST, NoIndex, Rule, Side, Subgroups, Within, small_batch, spread_factors,
    zone,
};

/// The largest batch the rule for small batches is used on (common practice, no source).
const SMALL: usize = 40;

/// Each pattern, with the rules of both sets that describe it.
const PATTERNS: [(&[Rule], &str); 9] = [
    (&[Rule::WesternElectric1, Rule::Nelson1], "beyond the limits"),
    (&[Rule::WesternElectric2, Rule::Nelson5], "two of three beyond two sigma on one side"),
    (&[Rule::WesternElectric3, Rule::Nelson6], "four of five beyond one sigma on one side"),
    (&[Rule::WesternElectric4], "eight in a row on one side of the centre"),
    (&[Rule::Nelson2], "nine in a row on one side of the centre"),
    (&[Rule::Nelson3], "six in a row rising, or six falling"),
    (&[Rule::Nelson4], "fourteen in a row alternating up and down"),
    (&[Rule::Nelson7], "fifteen in a row within one sigma"),
    (&[Rule::Nelson8], "eight in a row beyond one sigma, on both sides"),
];

/// Readings listed by number before the rest are only counted.
const MOST_NAMED: usize = 12;
/// Decimals beyond this are noise.
const MOST_PLACES: usize = 6;

/// The words for a report, with the number of decimals they have.
#[derive(Clone)]
pub(super) struct ChartWords<'a> {
    report: &'a ChartReport,
    /// Decimals of calculated numbers.
    places: usize,
    said: Vec<SaidLine>,
}

/// Decimals in which a number was written.
fn decimals(value: f64) -> usize {
    let shown = format!("{value:.*}", MOST_PLACES);
    shown.trim_end_matches('0').split_once('.').map_or(0, |(_, decimals)| decimals.len())
}

impl<'a> ChartWords<'a> {
    /// The words for a report.
    pub(super) fn of(report: &'a ChartReport) -> ChartWords<'a> {
        // One decimal more than the readings, and at most three significant digits of sigma.
        let most = report.readings.values.iter().map(|value| decimals(*value)).max();
        let telling = match report.sigma {
            0.0 => MOST_PLACES as i32,
            sigma => 2 - sigma.log10().floor() as i32,
        };
        // A mean has another one.
        let finer = 1 + usize::from(report.groups.is_some());
        let places = (most.unwrap_or(0) + finer).min(telling.max(0) as usize).min(MOST_PLACES);
        ChartWords { report, places, said: Vec::new() }
    }

    fn say(&mut self, indent: usize, text: impl Into<String>) {
        self.said.push(SaidLine { indent, text: text.into() });
    }

    /// What is charted, and how many.
    pub(super) fn what(mut self) -> Vec<SaidLine> {
        self.heading();
        self.said
    }

    /// How much it scatters, and about what.
    pub(super) fn how_much(mut self) -> Vec<SaidLine> {
        self.scatter();
        self.said
    }

    /// What is unusual about it, and whether it keeps to the tolerance.
    pub(super) fn judgement(mut self) -> Vec<SaidLine> {
        self.unusual();
        self.fit();
        self.said
    }

    /// What is charted.
    pub(super) fn each(&self) -> &'static str {
        if self.report.groups.is_some() { "group" } else { "reading" }
    }

    pub(super) fn number(&self, value: f64) -> String {
        format!("{value:.*}", self.places)
    }

    /// A number that was read or given: as written if it is short.
    pub(super) fn given(&self, value: f64) -> String {
        let own = Some(decimals(value)).filter(|own| *own < MOST_PLACES);
        format!("{value:.*}", own.map_or(self.places, |own| own.max(self.places)))
    }

    /// The lines across the picture, the most telling first.
    pub(super) fn lines(&self) -> Vec<RowLine> {
        let report = self.report;
        let line =
            |at, name, kind| RowLine { at, words: format!("{name} {}", self.number(at)), kind };
        let mut lines = vec![
            line(report.limits.high, "high", RowLineKind::Sigma),
            line(report.limits.low, "low", RowLineKind::Sigma),
            line(report.limits.centre, "centre", RowLineKind::Centre),
        ];
        // A tolerance is for pieces, not for means of several.
        if let Some(bounds) = report.bounds.filter(|_| report.groups.is_none()) {
            let most = bounds.high.map(|high| line(high, "most", RowLineKind::Limit));
            let least = bounds.low.map(|low| line(low, "least", RowLineKind::Limit));
            lines.extend(most.into_iter().chain(least));
        }
        lines
    }

    fn heading(&mut self) {
        let report = self.report;
        let name = report.readings.heading.as_deref().unwrap_or("readings");
        let off = if report.readings.from_targets { ", each minus its own target" } else { "" };
        let unit = match report.unit {
            Some(Unit::Inch) => ", in inches",
            Some(Unit::Millimetre) => ", in millimetres",
            None => "",
        };
        let off = match report.readings.parts {
            Some(_) => ", each minus its own target, in mean ranges of its part",
            None => off,
        };
        let n = report.summary.n;
        let by = report.groups.as_ref().map_or(String::new(), |groups| {
            let Subgroups { size, means, .. } = &groups.chart;
            format!(", {} groups of {size}", means.len())
        });
        self.say(0, format!("{name}{off}: {n} readings in cut order{by}{unit}"));
        if let Some(ChartedGroups { left_over: left @ 1.., .. }) = report.groups {
            let left = counted(left, "reading");
            self.say(0, format!("{left} at the end don't fill a group and aren't in one"));
        }
    }

    fn scatter(&mut self) {
        let report = self.report;
        let summary = &report.summary;
        self.say(
            0,
            format!(
                "mean {}, standard deviation {}; minimum {}, median {}, maximum {}",
                self.number(summary.mean),
                self.number(summary.sd),
                self.given(summary.least),
                self.given(summary.median),
                self.given(summary.greatest),
            ),
        );
        let of_means = if report.groups.is_some() { " of means" } else { "" };
        let about = match (report.target, report.sigma_given) {
            (Some(_), true) => "the target",
            _ if report.readings.parts.is_some() => "the targets",
            _ => "the mean",
        };
        let from = if let Some(ChartedGroups { chart, .. }) = &report.groups {
            let sigma = self.number(chart.sigma);
            let limits = &chart.spread_limits;
            let (what, centre) = (within(chart.within), self.number(limits.centre));
            let of = match (report.sigma_given, &report.readings.parts) {
                (true, _) => "as given".to_owned(),
                (false, Some(_)) => "of one reading, by the mean range of its part".to_owned(),
                (false, None) => format!("of one reading, from the mean {what} {centre}"),
            };
            let (low, high) = (self.number(limits.low), self.number(limits.high));
            format!("sigma {sigma} {of}; {what} {low} to {high}")
        } else if report.readings.parts.is_some() {
            format!("sigma {}, by the mean moving range of each part", self.number(report.sigma))
        } else if report.sigma_given {
            format!("sigma {} as given", self.number(report.sigma))
        } else {
            format!(
                "sigma {}, from the mean moving range {}",
                self.number(report.sigma),
                self.number(report.individuals.moving_range_mean),
            )
        };
        self.say(
            0,
            format!(
                "limits{of_means} {} to {}: three sigma about {about}; {from}",
                self.number(report.limits.low),
                self.number(report.limits.high),
            ),
        );
        if let Some(target) = report.target {
            let off = summary.mean - target;
            let side = if off < 0.0 { "below" } else { "above" };
            let what = match report.readings.from_targets {
                true => "the targets".to_owned(),
                false => format!("the target {}", self.given(target)),
            };
            self.say(0, format!("the mean is {:.*} {side} {what}", self.places, off.abs()));
        }
        if let (true, Some((low, high))) = (summary.n < FEWEST, spread_factors(summary.n, 0.95)) {
            let n = summary.n;
            self.say(
                0,
                format!(
                    "{n} readings say little about the scatter: the true standard deviation may be \
                     {low:.2} to {high:.2} times this"
                ),
            );
        }
    }

    fn unusual(&mut self) {
        let report = self.report;
        if report.sigma == 0.0 {
            let equal = match report.groups {
                None => "All readings are equal",
                Some(_) => "The readings of each group are equal",
            };
            return self.say(
                0,
                format!(
                    "{equal}, so there is no scatter to judge them by; give --sigma if it is known."
                ),
            );
        }
        let quiet = report.signals.is_empty()
            && report.wandered.is_empty()
            && report.sums.signals.is_empty()
            && report.groups.as_ref().is_none_or(|groups| groups.out.is_empty());
        if quiet {
            self.say(0, "Nothing unusual.");
        } else {
            self.say(0, "Unusual:");
        }
        for (rules, words) in PATTERNS {
            let spoke = |rule: &Rule| -> Vec<usize> {
                let signals = report.signals.iter().filter(|signal| signal.rule == *rule);
                signals.map(|signal| signal.at).collect()
            };
            let at = rules.first().map(spoke).unwrap_or_default();
            if !at.is_empty() {
                let names: Vec<&str> = rules.iter().map(|rule| rule.name()).collect();
                self.say(2, format!("{words}: {} ({})", readings(&at), names.join(", ")));
            }
        }
        if let Some(ChartedGroups { chart, out, .. }) = &report.groups
            && !out.is_empty()
        {
            let at = readings(out);
            let what = within(chart.within);
            self.say(2, format!("{what} of a group beyond its limits: {at}"));
        }
        self.average();
        self.sums();
    }

    fn average(&mut self) {
        let report = self.report;
        let limits = report.ewma.steady();
        let within = format!("{} to {}", self.number(limits.low), self.number(limits.high));
        let weight = report.ewma.weight;
        let last = report.averages.last().copied().unwrap_or(report.ewma.centre);
        if report.wandered.is_empty() {
            let last = self.number(last);
            self.say(2, format!("EWMA (weight {weight}): {last} at the end, within {within}"));
        } else {
            let at = readings(&report.wandered);
            self.say(2, format!("EWMA (weight {weight}): outside {within} at {at}"));
        }
    }

    fn sums(&mut self) {
        let report = self.report;
        let one = self.each();
        let (slack, decide) = (self.given(report.cusum.slack), self.given(report.cusum.decide));
        let sums = &report.sums;
        if sums.signals.is_empty() {
            let highest = sums.high.iter().chain(&sums.low).copied().fold(0.0, f64::max);
            let highest = self.number(highest);
            return self
                .say(2, format!("CUSUM (slack {slack}): {highest} at most, below {decide}"));
        }
        for side in [Side::High, Side::Low] {
            let on_side = sums.signals.iter().filter(|(which, _)| *which == side);
            let at: Vec<usize> = on_side.map(|(_, at)| *at).collect();
            let Some(&first) = at.first() else { continue };
            let (lasted, word) = match side {
                Side::High => (&sums.high_for, "high"),
                Side::Low => (&sums.low_for, "low"),
            };
            let lasted = lasted[first - 1];
            let moved = report.cusum.moved_to(side, sums, first);
            let moved =
                moved.map_or("shifted".to_owned(), |to| format!("mean about {}", self.number(to)));
            self.say(
                2,
                format!(
                    "CUSUM (slack {slack}): over {decide} on the {word} side at {}; {moved} from \
                     {one} {} on",
                    readings(&at),
                    first + 1 - lasted,
                ),
            );
        }
    }

    /// The zones of the tolerance that readings fall in, and what the rule for small batches
    /// says about them.
    fn zones(&mut self) {
        let report = self.report;
        let Some((low, high)) = report.bounds.and_then(|bounds| bounds.low.zip(bounds.high)) else {
            return;
        };
        let zones: Vec<BandZone> =
            report.readings.values.iter().map(|value| zone(*value, low, high)).collect();
        let at = |wanted: BandZone| -> Vec<usize> {
            (1..).zip(&zones).filter(|(_, zone)| **zone == wanted).map(|(at, _)| at).collect()
        };
        let middle = at(BandZone::Middle).len();
        let mut words =
            vec![format!("{middle} of {} in the middle half of the tolerance", zones.len())];
        for (side, which) in [(Side::High, "upper"), (Side::Low, "lower")] {
            let outer = at(BandZone::Outer(side));
            if !outer.is_empty() {
                words.push(format!("in the {which} quarter {}", readings(&outer)));
            }
        }
        self.say(0, format!("Zones: {}.", words.join("; ")));
        if zones.len() > SMALL {
            return;
        }
        let stops = |(at, action): (usize, &Action)| match action {
            Action::Stop { good_to } => Some((at, *good_to)),
            _ => None,
        };
        let actions = small_batch(&zones, Side::High);
        let said = match (1..).zip(&actions).find_map(stops) {
            None => "continue to the end".to_owned(),
            Some((at, 0)) => format!("stop at {at} and hold all pieces"),
            Some((at, good_to)) => format!("stop at {at} and hold the pieces after {good_to}"),
        };
        self.say(0, format!("By the rule for small batches, where oversize can be recut: {said}."))
    }

    fn fit(&mut self) {
        let report = self.report;
        if !report.outside.is_empty() {
            let at = readings(&report.outside);
            self.say(0, format!("Outside the tolerance: {at}."));
        }
        self.zones();
        match report.capability {
            None => {}
            Some(Ok(found)) => {
                let cp = found.cp.map_or(String::new(), |cp| format!("Cp {cp:.2}, "));
                let (value, low, high) = (found.cpk.value, found.cpk.low, found.cpk.high);
                self.say(
                    0,
                    format!("{cp}Cpk {value:.2}, 95 % confidence interval {low:.2} to {high:.2}"),
                );
                if report.signals.is_empty() {
                    return;
                }
                self.say(0, "These mean little while the readings show unusual patterns.");
            }
            Some(Err(NoIndex::TooFew(_))) => {
                let n = report.summary.n;
                self.say(0, format!("No Cp or Cpk from {n} readings; {FEWEST} are needed."));
            }
            Some(Err(NoIndex::NoSpread | NoIndex::NoLimit)) => {
                self.say(0, "No Cp or Cpk without scatter.");
            }
        }
    }
}

/// What the second chart of groups is of.
fn within(within: Within) -> &'static str {
    match within {
        Within::Range => "range",
        Within::StandardDeviation => "standard deviation",
    }
}

/// `3`, `3 and 4`, `14 to 20, 25 and 30`; the first dozen of many.
fn readings(at: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for place in at {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *place => *last = *place,
            _ => runs.push((*place, *place)),
        }
    }
    let mut words: Vec<String> = Vec::new();
    for (first, last) in runs {
        match last - first {
            0 => words.push(first.to_string()),
            1 => words.extend([first.to_string(), last.to_string()]),
            _ => words.push(format!("{first} to {last}")),
        }
    }
    if let Some(more @ 2..) = words.len().checked_sub(MOST_NAMED) {
        words.truncate(MOST_NAMED);
        words.push(format!("{more} more"));
    }
    match words.pop() {
        Some(last) if words.is_empty() => last,
        Some(last) => format!("{} and {last}", words.join(", ")),
        None => String::new(),
    }
}
