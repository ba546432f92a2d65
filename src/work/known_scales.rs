//! What is known of the scales of a shop: what its file says, and when, how well and on
//! whose word that was found.

use chrono::{DateTime, FixedOffset};

use crate::journal::{Calibration, ShopRecord, ToolScale};
use crate::measure::{Length, Unit};
use crate::operation::decimal;
use crate::prose::counted;
use crate::shop::{Machine, Shop, Tool};

/// A scale with a tool in its machine, and what is known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownScale {
    /// The scale.
    pub scale: ToolScale,
    /// What is known.
    pub known: ScaleKnowledge,
}

/// What is known of how far off a scale is.
#[derive(Clone, Debug, PartialEq)]
pub enum ScaleKnowledge {
    /// Nothing: it counts as 0.
    Nothing,
    /// The shop file says so, and the shop journal doesn't say since when.
    FileOnly(Length),
    /// It was found by cuts, and the shop file says the same.
    Found(Calibration),
}

/// Every scale of a machine with each of its tools, in the order of the file.
pub fn known_scales(shop: &Shop, record: &ShopRecord, machine: &str) -> Vec<KnownScale> {
    let Some(held) = shop.machines.get(machine) else { return Vec::new() };
    let of_tool = |(name, tool): (&String, &Tool)| {
        let scales: Vec<KnownScale> = held
            .readouts
            .keys()
            .map(|scale| {
                let [machine, tool_name, scale] = [machine, name, scale].map(str::to_owned);
                let named = ToolScale { machine, tool: tool_name, scale };
                let known = knowledge(shop, tool, record.calibrations.get(&named), &named);
                KnownScale { scale: named, known }
            })
            .collect();
        scales
    };
    held.tools.iter().flat_map(of_tool).collect()
}

fn knowledge(
    shop: &Shop,
    tool: &Tool,
    found: Option<&Calibration>,
    scale: &ToolScale,
) -> ScaleKnowledge {
    if !tool.knows_offset(&scale.scale) {
        return ScaleKnowledge::Nothing;
    }
    let in_file = tool.scale_offset(&scale.scale, true).0;
    let unit = unit_of(shop, scale);
    // The file holds what was found rounded to what a person reads.
    let same = |found: &&Calibration| decimal(found.offset, unit) == decimal(in_file, unit);
    match found.filter(same) {
        Some(found) => ScaleKnowledge::Found(found.clone()),
        None => ScaleKnowledge::FileOnly(in_file),
    }
}

/// The unit of a scale's numbers.
pub fn unit_of(shop: &Shop, scale: &ToolScale) -> Unit {
    let readout =
        shop.machines.get(&scale.machine).and_then(|held| held.readouts.get(&scale.scale));
    readout.and_then(|held| held.unit).unwrap_or(shop.unit)
}

impl KnownScale {
    /// `makes 0.012 more than it shows, +-0.005; found 5 days ago by MB in 3 cuts`.
    pub fn words(&self, unit: Unit, now: DateTime<FixedOffset>) -> String {
        match &self.known {
            ScaleKnowledge::Nothing => "offset unknown".to_owned(),
            ScaleKnowledge::FileOnly(offset) => {
                format!("{}; the file says so", offset_words(*offset, unit))
            }
            ScaleKnowledge::Found(found) => {
                let Calibration { offset, spread, cuts, uncertainty, by, at, .. } = found;
                let tool = if found.is_of_the_tool_before {
                    "; found with the tool before, so a test cut must show it"
                } else {
                    ""
                };
                format!(
                    "{}, uncertainty {} (k = 2), spread {}; found {} by {by} in {}{tool}",
                    offset_words(*offset, unit),
                    decimal(*uncertainty, unit),
                    decimal(*spread, unit),
                    age(*at, now),
                    counted(*cuts as usize, "cut"),
                )
            }
        }
    }

    /// The same in a few words: `+0.012`, `unknown`.
    pub fn brief(&self, unit: Unit) -> String {
        let offset = match &self.known {
            ScaleKnowledge::Nothing => return "unknown".to_owned(),
            ScaleKnowledge::FileOnly(offset) => *offset,
            ScaleKnowledge::Found(found) => found.offset,
        };
        let sign = if offset > Length::ZERO { "+" } else { "" };
        format!("{sign}{}", decimal(offset, unit))
    }
}

/// `makes 0.012 more than it shows`.
pub fn offset_words(offset: Length, unit: Unit) -> String {
    let by = decimal(offset.abs(), unit);
    if by == decimal(Length::ZERO, unit) {
        return "makes what it shows".to_owned();
    }
    let way = if offset.is_negative() { "less" } else { "more" };
    format!("makes {by} {way} than it shows")
}

/// `today`, `yesterday`, `5 days ago`.
pub fn age(at: DateTime<FixedOffset>, now: DateTime<FixedOffset>) -> String {
    let at = at.with_timezone(now.offset());
    match now.date_naive().signed_duration_since(at.date_naive()).num_days() {
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        days @ 2.. => format!("{days} days ago"),
        // A clock that was wrong.
        _ => at.format("on %-d %b %Y").to_string(),
    }
}

/// The scale that sizes most of what a machine makes, for lists with room for one: the
/// first with a tool that has an offset, or else the first.
pub fn main_scale(machine: &Machine) -> Option<&str> {
    let mut scales = machine.readouts.keys().map(String::as_str);
    let known = |scale: &&str| machine.tools.values().any(|tool| tool.knows_offset(scale));
    scales.clone().find(known).or_else(|| scales.next())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;
    use crate::shop::{BUNDLED, read};

    fn shop() -> Shop {
        let document = Document::read("shop.json", BUNDLED).expect("JSON");
        read(&document).unwrap_or_else(|problems| panic!("{problems:?}"))
    }

    fn fence() -> ToolScale {
        let [machine, tool, scale] = ["cabinet saw", "rip blade", "fence"].map(str::to_owned);
        ToolScale { machine, tool, scale }
    }

    fn found(offset: Length) -> ShopRecord {
        let calibration = Calibration {
            offset,
            spread: Length::thousandths(1),
            cuts: 3,
            uncertainty: Length::thousandths(5),
            by: "MB".to_owned(),
            at: "2026-11-20T10:00:00+01:00".parse().expect("a time"),
            is_of_the_tool_before: false,
        };
        let mut record = ShopRecord::default();
        record.calibrations.insert(fence(), calibration);
        record
    }

    fn words(record: &ShopRecord) -> String {
        let shop = shop();
        let now = "2026-11-25T08:00:00+01:00".parse().expect("a time");
        let scales = known_scales(&shop, record, "cabinet saw");
        let scale = scales.iter().find(|held| held.scale == fence()).expect("the fence");
        scale.words(Unit::Inch, now)
    }

    /// The bundled cabinet saw makes 0.012 more than its fence shows. What was found counts
    /// where the file says the same, as far as a person reads it.
    #[test]
    fn an_offset_has_an_age_where_the_journal_found_it() {
        assert_eq!(
            words(&ShopRecord::default()),
            "makes 0.012 more than it shows; the file says so"
        );
        // 0.0124 is 0.012 to three places.
        let record = found(Length::from_inches(0.0124));
        assert_eq!(
            words(&record),
            "makes 0.012 more than it shows, uncertainty 0.005 (k = 2), spread 0.001; found 5 \
             days ago by MB in 3 cuts"
        );
        let other = words(&found(Length::thousandths(20)));
        assert!(other.ends_with("the file says so"), "somebody edited the file: {other}");
        let mut record = record;
        if let Some(found) = record.calibrations.get_mut(&fence()) {
            found.is_of_the_tool_before = true;
        }
        assert!(words(&record).ends_with("so a test cut must show it"), "{}", words(&record));
    }

    #[test]
    fn an_age_is_counted_in_days() {
        let now = "2026-11-25T00:30:00+01:00".parse().expect("a time");
        let of = |at: &str| age(at.parse().expect("a time"), now);
        assert_eq!(of("2026-11-24T23:30:00+00:00"), "today");
        assert_eq!(of("2026-11-24T23:00:00+01:00"), "yesterday");
        assert_eq!(of("2026-11-05T08:00:00+01:00"), "20 days ago");
        assert_eq!(of("2026-11-26T08:00:00+01:00"), "on 26 Nov 2026");
    }
}
