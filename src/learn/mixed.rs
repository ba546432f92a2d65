//! Whether the readings of one scale differ by wood, by batch or by person more than
//! chance. Then no single offset is the scale's, and none is proposed.
//!
//! Each group of three readings or more has a median. Two medians differ by chance by
//! 1.2533 sd sqrt(1/n + 1/m), where sd is the spread within one group at one setting,
//! and by the marks of the scale, step / sqrt 12, once a setting that they don't
//! have in common. A difference counts beyond its 99.9 % interval, which is shared
//! out over all pairs of groups (C. E. Bonferroni), because a shop asks after every
//! batch.

use std::collections::{BTreeMap, BTreeSet};

use statrs::distribution::{ContinuousCDF, Normal};

use super::scale_reading::{MEDIAN_IS_WIDER, ScaleReading, ScaleRow, pooled_sd};
use super::{FEWEST, SURE, more_or_less};
use crate::measure::{Length, Unit};
use crate::series::{Spread, median};

/// What sets groups of readings apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Grouped {
    Wood,
    Person,
    Batch,
}

impl Grouped {
    const ALL: [Grouped; 3] = [Grouped::Wood, Grouped::Person, Grouped::Batch];

    fn name(self, row: &ScaleRow) -> Option<String> {
        match self {
            Grouped::Wood => row.wood.clone(),
            Grouped::Person => row.who.clone(),
            Grouped::Batch => Some(row.called.clone()),
        }
    }

    /// What the difference asks for.
    fn remedy(self) -> &'static str {
        match self {
            Grouped::Wood => "the woods differ, so no one offset is proposed",
            Grouped::Person => {
                "the people differ, not the scale, so no offset is proposed; settle first how \
                 the gauge is read"
            }
            Grouped::Batch => {
                "the batches differ, so something changed between them and no one offset is proposed"
            }
        }
    }
}

/// Groups of readings that lie further apart than chance leaves them.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct MixedReadings {
    pub by: Grouped,
    /// The group furthest down and the one furthest up: name and median of size less
    /// shown, in inches.
    pub least: (String, f64),
    pub most: (String, f64),
}

impl MixedReadings {
    /// `: 0.012 more in ash and 0.002 less in hard maple; the woods differ, so ...`.
    pub(super) fn words(&self, unit: Unit) -> String {
        let of = |(name, by): &(String, f64)| {
            let by = more_or_less(Length::from_inches(*by), unit);
            match self.by {
                Grouped::Person => format!("{by} as {name} reads"),
                Grouped::Wood | Grouped::Batch => format!("{by} in {name}"),
            }
        };
        format!("{} and {}: {}", of(&self.most), of(&self.least), self.by.remedy())
    }
}

/// One group of readings.
struct ReadingGroup {
    name: String,
    middle: f64,
    count: f64,
    settings: BTreeSet<usize>,
}

/// The groups that lie furthest apart beyond chance, of all ways to group; `None` where
/// chance explains every difference.
pub(super) fn mixed(rows: &[ScaleRow], step: f64, spread: Spread) -> Option<MixedReadings> {
    let found = Grouped::ALL.into_iter().filter_map(|by| apart(rows, by, step, spread));
    // Of equals the first: what differs by wood in batches of one wood each is the wood.
    let best = found.reduce(|best, other| if other.1 > best.1 { other } else { best });
    best.map(|(mixed, _)| mixed)
}

/// Whether these groups lie apart, and how many times as far as chance would leave them.
pub(super) fn apart(
    rows: &[ScaleRow],
    by: Grouped,
    step: f64,
    spread: Spread,
) -> Option<(MixedReadings, f64)> {
    let mut named: BTreeMap<String, Vec<ScaleReading>> = BTreeMap::new();
    for row in rows {
        if let Some(name) = by.name(row) {
            named.entry(name).or_default().push(row.reading);
        }
    }
    named.retain(|_, readings| readings.len() >= FEWEST);
    let pairs = named.len() * named.len().saturating_sub(1) / 2;
    if pairs == 0 {
        return None;
    }
    let mut cells: BTreeMap<(&str, usize), Vec<f64>> = BTreeMap::new();
    for (name, readings) in &named {
        for reading in readings {
            cells.entry((name, reading.setting)).or_default().push(reading.over());
        }
    }
    let sd = pooled_sd(cells.values(), spread);
    let group = |(name, readings): (&String, &Vec<ScaleReading>)| {
        let over: Vec<f64> = readings.iter().map(ScaleReading::over).collect();
        Some(ReadingGroup {
            name: name.clone(),
            middle: median(&over).ok()?,
            count: over.len() as f64,
            settings: readings.iter().map(|reading| reading.setting).collect(),
        })
    };
    let groups: Vec<ReadingGroup> = named.iter().filter_map(group).collect();
    let wide = Normal::standard().inverse_cdf(1.0 - (1.0 - SURE) / 2.0 / pairs as f64);
    let mut best: Option<(MixedReadings, f64)> = None;
    for (at, one) in groups.iter().enumerate() {
        for other in &groups[..at] {
            let chance = wide * chance(one, other, sd, step);
            let times = (one.middle - other.middle).abs() / chance;
            if times > 1.0 && best.as_ref().is_none_or(|(_, held)| times > *held) {
                let (least, most) =
                    if one.middle < other.middle { (one, other) } else { (other, one) };
                let of = |group: &ReadingGroup| (group.name.clone(), group.middle);
                best = Some((MixedReadings { by, least: of(least), most: of(most) }, times));
            }
        }
    }
    best
}

/// One standard deviation of the difference of two medians.
fn chance(one: &ReadingGroup, other: &ReadingGroup, sd: f64, step: f64) -> f64 {
    let scatter = MEDIAN_IS_WIDER * sd * (1.0 / one.count + 1.0 / other.count).sqrt();
    let marks = if one.settings == other.settings {
        0.0
    } else {
        let settings = |group: &ReadingGroup| 1.0 / group.settings.len() as f64;
        step * ((settings(one) + settings(other)) / 12.0).sqrt()
    };
    scatter.hypot(marks)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SPREAD: Spread = Spread { sd: 0.002, worth: 20.0, memory: 0.0 };

    fn row(over: f64, setting: usize, wood: &str, who: &str) -> ScaleRow {
        let reading = ScaleReading {
            shown: 2.0,
            made: 2.0 + over,
            uncertainty: 0.0,
            setting,
            some_apart: false,
        };
        let (wood, who) = (Some(wood.to_owned()), Some(who.to_owned()));
        ScaleRow { reading, wood, batch: 1, called: "batch 1".to_owned(), who }
    }

    /// By hand: readings without scatter pool with 20 of 0.002: four in a wood leave
    /// 3 + 3 free, sd = 0.002 x sqrt(20 / 26) = 0.001754. Two medians of four:
    /// 1.2533 x 0.001754 x sqrt(1/2) = 0.001554; marks of 0.001 at a setting each,
    /// 0.001 x sqrt(2/12) = 0.000408; together 0.001607. The 99.9 % interval is 3.2905 of
    /// them: 0.005288.
    #[test]
    fn two_woods_differ_beyond_chance() {
        let of = |apart: f64| {
            let ash = (0..4).map(|_| row(0.010, 0, "ash", "MB"));
            let maple = (0..4).map(|_| row(0.010 - apart, 1, "hard maple", "MB"));
            let rows: Vec<ScaleRow> = ash.chain(maple).collect();
            mixed(&rows, 0.001, SPREAD)
        };
        assert_eq!(of(0.005_28), None);
        let found = of(0.005_30).expect("beyond chance");
        assert_eq!(found.by, Grouped::Wood);
        assert_eq!((found.most.0.as_str(), found.least.0.as_str()), ("ash", "hard maple"));
        assert_eq!(
            found.words(Unit::Inch),
            "0.010 more in ash and 0.005 more in hard maple: the woods differ, so no one offset \
             is proposed"
        );
    }

    /// The same by hand where two people read pieces of one setting in turn: no marks, so
    /// 3.2905 x 0.001554 = 0.005114. Two readings of somebody say nothing.
    #[test]
    fn two_people_at_one_setting_differ_beyond_chance() {
        let of = |apart: f64, count: usize| {
            let rows: Vec<ScaleRow> = (0..4)
                .map(|_| row(0.0, 0, "ash", "MB"))
                .chain((0..count).map(|_| row(apart, 0, "ash", "TK")))
                .collect();
            mixed(&rows, 0.001, SPREAD)
        };
        assert_eq!(of(0.005_10, 4), None);
        assert_eq!(of(0.005_13, 4).map(|found| found.by), Some(Grouped::Person));
        assert_eq!(of(0.100, 2), None);
    }
}
