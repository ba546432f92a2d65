//! The clearances of simulated articles as a drawing in SVG: bars between the limits in grey,
//! those outside them hatched, each limit with its number and the share beyond it in words.

use maud::{Markup, html};

use super::axis::{PaperAxis, PaperTick, text_width, written};
use crate::fits::fit_words::{as_it_stands, part_words};
use crate::fits::wording::between;
use crate::fits::{HistogramBin, JudgedFit, TrialHistogram};
use crate::measure::Unit;
use crate::operation::decimal;

/// The size of the drawing, and of its letters: two stand side by side on a sheet.
const WIDE: f64 = 320.0;
const LETTERS: f64 = 13.0;

/// The field with the bars.
const TOP: f64 = 36.0;
const BOTTOM: f64 = 136.0;
const HIGH: f64 = 158.0;

/// Room at the ends for the numbers there.
const SIDE: f64 = 24.0;

/// The drawing of a fit whose articles were simulated. `id` tells its hatching from that of
/// other drawings on a page.
pub fn distribution(judged: &JudgedFit, unit: Unit, id: &str) -> Option<Markup> {
    let drawn = DrawnTrials { judged, tried: judged.tried.as_ref()?, unit, id };
    Some(drawn.svg())
}

struct DrawnTrials<'a> {
    judged: &'a JudgedFit,
    tried: &'a TrialHistogram,
    unit: Unit,
    id: &'a str,
}

impl DrawnTrials<'_> {
    fn axis(&self) -> PaperAxis {
        let (low, high) = self.tried.range();
        let (low, high) = (low.in_unit(self.unit), high.in_unit(self.unit));
        PaperAxis { low, high, from: SIDE, to: WIDE - SIDE }
    }

    fn trials(&self) -> u32 {
        self.judged.share.map_or(0, |share| share.trials)
    }

    /// The share under the low limit and over the high one, where there is any.
    fn outside(&self) -> [Option<String>; 2] {
        [(self.tried.under, "under"), (self.tried.over, "over")].map(|(part, side)| {
            (part > 0).then(|| format!("{} {side}", part_words(part, self.trials())))
        })
    }

    fn description(&self) -> String {
        let (now, size) = as_it_stands(self.judged, self.unit);
        let limits = between(self.judged.limits, self.unit);
        let outside: Vec<String> = self.outside().into_iter().flatten().collect();
        let outside = if outside.is_empty() { "none".to_owned() } else { outside.join(", ") };
        format!(
            "{} simulated clearances in {}. {now} {size}, limits {limits}. Outside: {outside}.",
            self.trials(),
            self.unit.sign(),
        )
    }

    fn svg(&self) -> Markup {
        let axis = self.axis();
        let hatching = format!("outside-{}", self.id);
        html! {
            svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox=(format!("0 0 {WIDE} {HIGH}"))
                width=(WIDE) height=(HIGH)
                font-family="Liberation Sans, Arial, Helvetica, sans-serif" font-size=(LETTERS)
            {
                title { (format!("{}: how simulated clearances lie", self.judged.fit)) }
                desc { (self.description()) }
                defs {
                    pattern id=(hatching) width="5" height="5" patternUnits="userSpaceOnUse"
                        patternTransform="rotate(45)"
                    {
                        rect width="5" height="5" fill="#fff" {}
                        rect width="2.2" height="5" fill="#000" {}
                    }
                }
                rect width=(WIDE) height=(HIGH) fill="#fff" {}
                (self.bars(&axis, &hatching))
                path stroke="#000" d=(format!("M{SIDE} {BOTTOM}H{}", WIDE - SIDE)) {}
                @for tick in ticks(&axis) {
                    path stroke="#000" d=(format!("M{} {BOTTOM}v4", written(tick.at))) {}
                    text x=(written(tick.at)) y=(BOTTOM + 18.0) text-anchor="middle"
                        data-x=(written(tick.at)) { (tick.text) }
                }
                (self.lines(&axis))
            }
        }
    }

    fn bars(&self, axis: &PaperAxis, hatching: &str) -> Markup {
        let most = self.tried.bins().map(|bin| bin.count).max().unwrap_or(0).max(1);
        let full = BOTTOM - TOP - 4.0;
        let bar = |bin: &HistogramBin| {
            let (from, to) =
                (axis.at(bin.low.in_unit(self.unit)), axis.at(bin.high.in_unit(self.unit)));
            // A single clearance still shows.
            let high = (f64::from(bin.count) / f64::from(most) * full).max(1.0);
            (from, to - from, high)
        };
        html! {
            @for bin in self.tried.bins().filter(|bin| bin.count > 0) {
                @let (x, wide, high) = bar(&bin);
                @let fill = if bin.fits { "#9a9a9a".to_owned() } else { format!("url(#{hatching})") };
                rect class=(if bin.fits { "within" } else { "out" }) data-count=(bin.count)
                    x=(written(x)) y=(written(BOTTOM - high)) width=(written(wide))
                    height=(written(high)) fill=(fill) stroke="#000" stroke-width="0.6" {}
            }
        }
    }

    /// The limits with their numbers, the clearance as it stands, and the shares outside.
    fn lines(&self, axis: &PaperAxis) -> Markup {
        let unit = self.unit;
        let limits = self.judged.limits;
        let [low, high] = [("least", limits.low), ("most", limits.high)].map(|(name, limit)| {
            (axis.at(limit.in_unit(unit)), format!("{name} {}", decimal(limit, unit)))
        });
        let starts = beside(&low, &high);
        let (now, size) = as_it_stands(self.judged, unit);
        let stands = (axis.at(self.judged.nominal.in_unit(unit)), format!("{now} {size}"));
        let [under, over] = self.outside();
        html! {
            @for ((x, words), start) in [low, high].iter().zip(starts) {
                path class="limit" data-x=(written(*x)) stroke="#000" stroke-width="2"
                    d=(format!("M{} 17V{BOTTOM}", written(*x))) {}
                text x=(written(start)) y="13" { (words) }
            }
            @let (x, words) = stands;
            @if (0.0..=WIDE).contains(&x) {
                path stroke="#000" stroke-width="1.2" stroke-dasharray="9 3 2 3"
                    d=(format!("M{} 32V{BOTTOM}", written(x))) {}
            }
            (haloed(text_start(x, &words), 29.0, &words))
            @if let Some(under) = under { (haloed(2.0, TOP + 26.0, &under)) }
            @if let Some(over) = over {
                (haloed(WIDE - 2.0 - text_width(&over, LETTERS), TOP + 26.0, &over))
            }
        }
    }
}

/// Round numbers under the bars, as many as stand apart.
fn ticks(axis: &PaperAxis) -> Vec<PaperTick> {
    let room = WIDE - 2.0 * SIDE;
    let fit = |ticks: &Vec<PaperTick>| {
        let widest = ticks.iter().map(|tick| text_width(&tick.text, LETTERS)).fold(0.0, f64::max);
        (widest + 8.0) * ticks.len() as f64 <= room
    };
    (2..=6).rev().map(|most| axis.ticks(most, false)).find(fit).unwrap_or_default()
}

/// Words that stay readable over bars.
fn haloed(x: f64, y: f64, words: &str) -> Markup {
    html! {
        text x=(written(x)) y=(y) font-weight="bold" stroke="#fff" stroke-width="4"
            paint-order="stroke" stroke-linejoin="round" { (words) }
    }
}

/// Where words begin that stand about a place, and within the drawing.
fn text_start(x: f64, words: &str) -> f64 {
    let wide = text_width(words, LETTERS);
    (x - wide / 2.0).clamp(0.0, (WIDE - wide).max(0.0))
}

/// Where two words on one line begin, about their places but apart.
fn beside(low: &(f64, String), high: &(f64, String)) -> [f64; 2] {
    let (one, other) = (text_start(low.0, &low.1), text_start(high.0, &high.1));
    let wide = text_width(&low.1, LETTERS) + 8.0;
    let lacking = (one + wide - other).max(0.0);
    let last = WIDE - text_width(&high.1, LETTERS);
    let left = (one - lacking / 2.0).max(0.0);
    let right = (left + wide).max(other).min(last);
    [left.min(right - wide).max(0.0), right]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Words about places close to one another are pushed to either side, and none leaves the
    /// drawing.
    #[test]
    fn numbers_of_limits_stand_apart() {
        let words = "most 0.010";
        let wide = text_width(words, LETTERS);
        for (low, high) in [(100.0, 110.0), (24.0, 30.0), (290.0, 296.0), (24.0, 296.0)] {
            let [one, other] = beside(&(low, words.to_owned()), &(high, words.to_owned()));
            assert!(one >= 0.0 && one + wide + 7.9 <= other, "{one} {other}");
            assert!(other + wide <= WIDE + 1e-9, "{other}");
        }
    }
}
