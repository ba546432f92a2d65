//! What a shop journal says in the end: the fold of its lines.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::shop_event::{ShopEvent, ShopLine, SignOff, ToolScale};
use crate::measure::Length;

/// What is known of a shop beside its file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ShopRecord {
    /// How each scale was last found to be off.
    pub calibrations: BTreeMap<ToolScale, Calibration>,
    /// When each tool of a machine was last changed for another of its name.
    pub changes: BTreeMap<(String, String), ToolFitted>,
    /// The last word on each person at each machine.
    pub sign_offs: BTreeMap<(String, String), SignedOffAt>,
}

/// How a scale was found to be off.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// Made size less what the scale showed.
    pub offset: Length,
    /// How far apart the pieces came: one standard deviation.
    pub spread: Length,
    /// How many pieces were cut.
    pub cuts: u32,
    /// Expanded uncertainty of the offset, k = 2.
    pub uncertainty: Length,
    /// The lead's initials.
    pub by: String,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Whether the tool was changed since, so that it was found with another.
    pub is_of_the_tool_before: bool,
}

/// When a tool was fitted.
#[derive(Clone, Debug, PartialEq)]
pub struct ToolFitted {
    /// How many feet the one before had cut, where somebody knows.
    pub feet_before: Option<u32>,
    /// The lead's initials.
    pub by: String,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// A sign-off, and when it was given.
#[derive(Clone, Debug, PartialEq)]
pub struct SignedOffAt {
    /// What was said.
    pub sign_off: SignOff,
    /// When.
    pub at: DateTime<FixedOffset>,
}

impl ShopRecord {
    /// Reads a merged shop journal from the top.
    pub fn fold(lines: &[ShopLine]) -> ShopRecord {
        let mut record = ShopRecord::default();
        lines.iter().for_each(|line| record.apply(line));
        record
    }

    fn apply(&mut self, line: &ShopLine) {
        match line.event.clone() {
            ShopEvent::Calibrated { scale, offset, spread, cuts, uncertainty, by } => {
                let at = line.at;
                let is_of_the_tool_before = false;
                let found = Calibration {
                    offset,
                    spread,
                    cuts,
                    uncertainty,
                    by,
                    at,
                    is_of_the_tool_before,
                };
                self.calibrations.insert(scale, found);
            }
            ShopEvent::ToolChanged { machine, tool, feet, by } => {
                let own = |scale: &ToolScale| scale.machine == machine && scale.tool == tool;
                let found = self.calibrations.iter_mut().filter(|(scale, _)| own(scale));
                found.for_each(|(_, found)| found.is_of_the_tool_before = true);
                let fitted = ToolFitted { feet_before: feet, by, at: line.at };
                self.changes.insert((machine, tool), fitted);
            }
            ShopEvent::SignedOff(sign_off) => {
                let key = (sign_off.who.clone(), sign_off.machine.clone());
                self.sign_offs.insert(key, SignedOffAt { sign_off, at: line.at });
            }
            ShopEvent::StandsIn { .. } | ShopEvent::NameErased { .. } => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    fn lines(events: Vec<ShopEvent>) -> Vec<ShopLine> {
        let at = |n: u64| format!("2026-11-{:02}T08:00:00Z", n + 1).parse().expect("a time");
        let line = |(event, n)| ShopLine {
            n,
            after: n,
            at: at(n),
            station: "lead".to_owned(),
            who: None,
            answer: None,
            seen: BTreeMap::new(),
            begun: None,
            event,
        };
        events.into_iter().zip(1..).map(line).collect()
    }

    fn scale(tool: &str) -> ToolScale {
        let (machine, scale) = ("cabinet saw".to_owned(), "fence".to_owned());
        ToolScale { machine, tool: tool.to_owned(), scale }
    }

    fn found(tool: &str, offset: i64) -> ShopEvent {
        ShopEvent::Calibrated {
            scale: scale(tool),
            offset: Length::thousandths(offset),
            spread: Length::thousandths(1),
            cuts: 3,
            uncertainty: Length::thousandths(4),
            by: "MB".to_owned(),
        }
    }

    fn changed(tool: &str) -> ShopEvent {
        let (machine, by) = ("cabinet saw".to_owned(), "MB".to_owned());
        ShopEvent::ToolChanged { machine, tool: tool.to_owned(), feet: Some(1200), by }
    }

    /// The last cuts count, and those with the blade before say so.
    #[test]
    fn a_changed_tool_leaves_its_offset_in_question() {
        let mut events = vec![found("rip blade", 12), found("thin rip blade", 35)];
        events.push(found("rip blade", 14));
        let record = ShopRecord::fold(&lines(events.clone()));
        let known = &record.calibrations[&scale("rip blade")];
        assert_eq!((known.offset, known.is_of_the_tool_before), (Length::thousandths(14), false));
        events.push(changed("rip blade"));
        let record = ShopRecord::fold(&lines(events.clone()));
        assert!(record.calibrations[&scale("rip blade")].is_of_the_tool_before);
        assert!(!record.calibrations[&scale("thin rip blade")].is_of_the_tool_before);
        let key = ("cabinet saw".to_owned(), "rip blade".to_owned());
        assert_eq!(record.changes[&key].feet_before, Some(1200));
        events.push(found("rip blade", 9));
        let record = ShopRecord::fold(&lines(events));
        assert!(!record.calibrations[&scale("rip blade")].is_of_the_tool_before);
    }

    #[test]
    fn the_last_word_on_somebody_at_a_machine_counts() {
        let until = |day: u32| chrono::NaiveDate::from_ymd_opt(2026, 12, day);
        let signed = |until| {
            ShopEvent::SignedOff(SignOff {
                who: "JT".to_owned(),
                machine: "planer".to_owned(),
                until,
                first_piece_seen: true,
                by: "MB".to_owned(),
            })
        };
        let record = ShopRecord::fold(&lines(vec![signed(until(4)), signed(until(18))]));
        let key = ("JT".to_owned(), "planer".to_owned());
        assert_eq!(record.sign_offs[&key].sign_off.until, until(18));
        assert_eq!(record.sign_offs.len(), 1);
    }

    /// Every event reads back as it was written, and a newer one is passed over.
    #[test]
    fn a_line_reads_back() {
        let event = found("rip blade", 12);
        let text = serde_json::to_string(&event).expect("plain data");
        assert!(
            text.starts_with("{\"calibrated\":{\"scale\":{\"machine\":\"cabinet saw\""),
            "{text}"
        );
        assert_eq!(serde_json::from_str::<ShopEvent>(&text).expect("read"), event);
        assert!(serde_json::from_str::<ShopEvent>("{\"moved-house\":{}}").is_err());
    }
}
