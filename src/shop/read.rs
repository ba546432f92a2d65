//! Reads a shop file strictly and reports every problem at once.

use std::collections::BTreeMap;

use super::bells::bells;
use super::entries::{entries, placed, required};
use super::file::{GaugeFile, LengthText, Refused};
use super::machine::{Machine, Shop};
use super::person::Person;
use super::read_lumber;
use crate::document::{Document, Node, Problem};
use crate::measure::{Gauge, Length, Reads, Shows, Unit};
use crate::prose::Level;

const KEYS: [&str; 10] = [
    "$schema",
    "shop",
    "about",
    "unit",
    "machines",
    "gauges",
    "people",
    "alone_minutes",
    "bells",
    "lumber",
];

/// Reads a shop, or says everything that is wrong with it.
pub fn read(document: &Document) -> Result<Shop, Vec<Problem>> {
    let root = document.root();
    if root.fields().is_none() {
        return Err(vec![root.problem("a shop file is one object in braces", None)]);
    }
    let mut problems = root.unknown_keys(&KEYS);
    let name = required::<String>(root, "shop", "the shop's name", &mut problems);
    let unit = required::<Unit>(root, "unit", "\"in\" or \"mm\"", &mut problems);
    let files = entries::<Machine<LengthText>>(root, "machines", &mut problems);
    let gauge_files = entries::<GaugeFile>(root, "gauges", &mut problems);
    let people: BTreeMap<String, Person> = entries::<Person>(root, "people", &mut problems)
        .into_iter()
        .map(|(name, (_, person))| (name, person))
        .collect();
    let unit = unit.unwrap_or(Unit::Inch);

    let mut machines = BTreeMap::new();
    for (name, (node, file)) in files {
        let mut refused = Vec::new();
        let machine = file.resolve(unit, &mut refused);
        problems.extend(refused.into_iter().map(|refused| placed(node, refused)));
        inspect(&machine, node, &mut problems);
        machines.insert(name, machine);
    }
    let mut gauges = BTreeMap::new();
    let mut check_blocks = BTreeMap::new();
    for (name, (node, file)) in gauge_files {
        let own = file.unit.unwrap_or(unit);
        let mut refused = Vec::new();
        if let Some(block) = &file.check_block {
            check_blocks.insert(name.clone(), block.length(own, &mut refused));
        }
        match reads(&file, own, &mut refused) {
            Ok(reads) => {
                gauges.insert(name.clone(), Gauge { name, reads });
            }
            Err(what) => problems.push(node.problem(what, None)),
        }
        problems.extend(refused.into_iter().map(|refused| placed(node, refused)));
    }
    for (person, held) in &people {
        for machine in held.signed_off_on.iter().chain(held.signed_off_until.keys()) {
            if !machines.contains_key(machine) {
                let near = crate::prose::nearest(machine, machines.keys().map(String::as_str));
                let node = root.child("people").and_then(|people| people.child(person));
                problems.push(node.unwrap_or(root).problem(
                    format!("no machine here is called `{machine}`"),
                    near.map(|near| format!("did you mean `{near}`?")),
                ));
            }
        }
    }
    let alone_minutes = root
        .child("alone_minutes")
        .and_then(|node| node.decode::<u32>().map_err(|problem| problems.push(problem)).ok());
    let bells = bells(root, &mut problems);
    let lumber = read_lumber::lumber(root, unit, &mut problems);
    if problems.is_empty() {
        let name = name.unwrap_or_default();
        Ok(Shop {
            name,
            unit,
            machines,
            gauges,
            check_blocks,
            people,
            alone_minutes,
            bells,
            lumber,
        })
    } else {
        Err(problems)
    }
}

/// What can't be true of a shop that reads well. A file with such a value is
/// refused for new work; a batch that began with it still opens, and its plan
/// says so.
pub fn impossible(document: &Document, shop: &Shop) -> Vec<Problem> {
    let root = document.root();
    let place = |machine: &str, tool: &str| {
        let tools = root.child("machines")?.child(machine)?.child("tools")?;
        let tool = tools.child(tool)?;
        Some(tool.child("kerf").unwrap_or(tool))
    };
    let tools = shop
        .machines
        .iter()
        .flat_map(|(at, machine)| machine.tools.iter().map(move |(name, tool)| (at, name, tool)));
    let wrong = tools.filter_map(|(at, name, tool)| {
        let (what, fix) = tool.impossible_kerf()?;
        let node = place(at, name).unwrap_or(root);
        Some(node.problem(format!("the {name} of the {at}: {what}"), Some(fix.to_owned())))
    });
    wrong.collect()
}

/// A warning where nobody is named as a lead: then anybody decides as one.
pub fn without_a_lead(document: &Document, shop: &Shop) -> Option<Problem> {
    if shop.people.values().any(|person| person.lead) {
        return None;
    }
    let root = document.root();
    let help = "name one: \"people\": { \"MB\": { \"lead\": true } }".to_owned();
    let people = root.child("people").unwrap_or(root);
    let what = "nobody is named as a lead, so any initials count as the lead's";
    let mut problem = people.problem(what, Some(help));
    problem.level = Level::Warning;
    Some(problem)
}

fn reads(file: &GaugeFile, unit: Unit, refused: &mut Vec<Refused>) -> Result<Reads, &'static str> {
    if file.go_no_go {
        return match (&file.step, &file.uncertainty) {
            (None, None) => Ok(Reads::GoNoGo),
            _ => Err("a go/no-go gauge has no marks and no uncertainty"),
        };
    }
    let (Some(step), Some(uncertainty)) = (&file.step, &file.uncertainty) else {
        return Err("a gauge needs `step` and `uncertainty`, or `go_no_go`");
    };
    let (step, uncertainty) = (step.length(unit, refused), uncertainty.length(unit, refused));
    if step <= Length::ZERO || uncertainty <= Length::ZERO {
        return Err("`step` and `uncertainty` must be greater than zero");
    }
    Ok(Reads::Number {
        unit,
        step,
        shows: file.shows.unwrap_or(Shows::Decimal),
        uncertainty,
        range: file.range.as_ref().map(|range| range.length(unit, refused)),
    })
}

/// Sizes that can't be: nothing or less, or limits the wrong way round.
fn inspect(machine: &Machine, node: Node<'_>, problems: &mut Vec<Problem>) {
    let mut positive = |node: Node<'_>, key: &str, length: Option<Length>| {
        if length.is_some_and(|length| length <= Length::ZERO) {
            let at = node.child(key).unwrap_or(node);
            problems.push(at.problem(format!("`{key}` must be greater than zero"), None));
        }
    };
    for (key, length) in [
        ("blade_most", machine.blade_most),
        ("sled_base", machine.sled_base),
        ("shortest", machine.shortest),
        ("narrowest", machine.narrowest),
        ("widest", machine.widest),
        ("thinnest", machine.thinnest),
        ("thickest", machine.thickest),
        ("jog", machine.jog),
        ("feed_per_minute", machine.feed_per_minute),
        ("roller_spacing", machine.roller_spacing),
        ("spread", machine.spread),
    ] {
        positive(node, key, length);
    }
    if let Some(most) = &machine.most_cut {
        let node = node.child("most_cut").unwrap_or(node);
        positive(node, "hard", Some(most.hard));
        positive(node, "soft", Some(most.soft));
        positive(node, "last", most.last);
    }
    for (name, readout) in &machine.readouts {
        let node = node.child("readouts").and_then(|n| n.child(name)).unwrap_or(node);
        positive(node, "step", Some(readout.step));
        positive(node, "most", readout.most);
    }
    for (name, tool) in &machine.tools {
        let node = node.child("tools").and_then(|n| n.child(name)).unwrap_or(node);
        for (key, length) in [
            ("kerf", tool.kerf),
            ("plate", tool.plate),
            ("gullet", tool.gullet),
            ("diameter", tool.diameter),
            ("size", tool.size),
            ("most", tool.most),
            ("need", tool.need),
        ] {
            positive(node, key, length);
        }
    }
    for (low, high, low_key, high_key) in [
        (machine.narrowest, machine.widest, "narrowest", "widest"),
        (machine.thinnest, machine.thickest, "thinnest", "thickest"),
    ] {
        if let (Some(low), Some(high)) = (low, high)
            && low > high
        {
            problems.push(node.problem(format!("`{low_key}` is more than `{high_key}`"), None));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::RENAMED_KEYS;

    const SHOP: &str = r#"{
      "shop": "A shed", "unit": "in",
      "machines": {
        "saw": { "kind": "table-saw",
                 "tools": { "blade": { "scale_offset": { "fence": "0.012" } } } }
      },
      "people": { "AB": { "signed_off_on": ["saw"] } },
      "lumber": { "shortest_offcut": "18" }
    }"#;

    fn read_text(text: &str) -> Result<Shop, Vec<Problem>> {
        read(&Document::read("shop.json", text).expect("JSON"))
    }

    #[test]
    fn bells_are_times_of_day() {
        let shop = |bells: &str| {
            read_text(&format!(r#"{{ "shop": "ours", "unit": "in", "bells": {bells} }}"#))
        };
        let time = |hour, minute| chrono::NaiveTime::from_hms_opt(hour, minute, 0);
        let read = shop(r#"["15:20", "11:40", "7:05"]"#).expect("three times of day");
        assert_eq!(
            read.bells.into_iter().map(Some).collect::<Vec<_>>(),
            [time(7, 5), time(11, 40), time(15, 20)]
        );
        for bad in [r#"["25:00"]"#, r#"["noon"]"#, "[12]", r#""11:40""#] {
            assert!(shop(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn renamed_keys_read_by_their_old_names() {
        let old = RENAMED_KEYS.iter().fold(SHOP.to_owned(), |text, (new, old)| {
            assert!(text.contains(new), "{new}");
            text.replace(new, old)
        });
        for text in [SHOP, &old] {
            let shop = read_text(text).expect("a sound shop");
            let offset = shop.machines["saw"].tools["blade"].scale_offset("fence", true);
            assert_eq!(offset.0, Length::thousandths(12));
            let day = chrono::NaiveDate::from_ymd_opt(2026, 11, 25).expect("a day");
            assert!(shop.is_signed_off("ab", "saw", day));
            assert_eq!(shop.lumber.shortest_offcut, Length::INCH * 18);
        }
    }

    #[test]
    fn a_key_by_both_names_is_refused() {
        let both = SHOP.replace("\"shortest_offcut\"", "\"keep\": \"12\", \"shortest_offcut\"");
        let problems = read_text(&both).expect_err("two values for one thing");
        assert_eq!(problems.len(), 1);
        assert_eq!(problems[0].what, "`keep` is the old name of `shortest_offcut`");
    }

    /// As narrow as wide is one width; wider than the widest is none.
    #[test]
    fn the_least_is_no_more_than_the_most() {
        for (low, high) in [("narrowest", "widest"), ("thinnest", "thickest")] {
            let text = |least: &str| {
                let keys = format!(r#""kind": "table-saw", "{low}": "{least}", "{high}": "4","#);
                SHOP.replace(r#""kind": "table-saw","#, &keys)
            };
            assert!(read_text(&text("4")).is_ok());
            let problems = read_text(&text("4 1/64")).expect_err("no width is between them");
            assert_eq!(problems[0].what, format!("`{low}` is more than `{high}`"));
        }
    }

    /// A tooth of a blade 1/8 wide on a plate of 0.087 stands out (0.125 - 0.087) / 2 =
    /// 0.019. As wide as its plate a blade has no teeth, and no tool cuts wider than 2.
    #[test]
    fn a_blade_and_its_teeth() {
        let tool = |kerf: &str, plate: &str| {
            let blade = format!(r#""blade": {{ "kerf": "{kerf}", "plate": "{plate}","#);
            let shop = read_text(&SHOP.replace(r#""blade": {"#, &blade)).expect("a sound shop");
            shop.machines["saw"].tools["blade"].clone()
        };
        assert_eq!(tool("1/8", "0.087").tooth(), Some(Length::thousandths(19)));
        assert_eq!(tool("0.087", "0.087").impossible_kerf(), None);
        assert!(
            tool("0.086", "0.087").impossible_kerf().unwrap().0.contains("less than its `plate`")
        );
        assert_eq!(tool("2", "0.087").impossible_kerf(), None);
        assert!(tool("2.001", "0.087").impossible_kerf().unwrap().0.contains("as wide as this"));
    }

    /// Two inches more than from roller to roller, unless its own limit is longer.
    #[test]
    fn the_least_that_a_machine_takes() {
        let planer = |keys: &str| {
            let text =
                SHOP.replace(r#""kind": "table-saw","#, &format!(r#""kind": "planer", {keys},"#));
            read_text(&text).expect("a sound shop").machines["saw"].clone()
        };
        let length = |keys: &str| {
            let least = planer(keys).least_length(Unit::Inch).expect("a planer has a least length");
            (least.size, least.assumed)
        };
        let rollers = r#""roller_spacing": "11""#;
        assert_eq!(length(rollers), (Length::INCH * 13, false));
        let with = |shortest: &str| format!(r#"{rollers}, "shortest": "{shortest}""#);
        assert_eq!(length(&with("12")), (Length::INCH * 13, false));
        assert_eq!(length(&with("14")), (Length::INCH * 14, false));
        let thin = planer(r#""thinnest": "3/8""#).least_thickness(Unit::Inch).expect("its own");
        assert_eq!((thin.size, thin.assumed), (Length::inch_fraction(3, 8), false));
    }
}
