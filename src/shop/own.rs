//! A shop of somebody's own, begun as a copy of the invented one: what nobody can know yet
//! of its machines is left out, and what is left out counts as unknown.

use super::BUNDLED;
use crate::document::{Document, Edit, json_text};

const ABOUT: &str = "Begun as a copy of the invented shop. Take out the machines you don't have, \
and put in what yours are really like.";

/// The text of a new shop file: every machine of the invented shop, without its offsets, its
/// spreads, its descriptions and its prices.
pub fn begun(name: &str) -> String {
    let mut text = BUNDLED.to_owned();
    let mut change = |edit: &dyn Fn(&Document) -> Option<Edit>| {
        let edit = Document::read("shop.json", text.as_str()).ok().and_then(|held| edit(&held));
        if let Some(edit) = &edit {
            text = edit.made(&text);
        }
        edit.is_some()
    };
    change(&|held| held.without(&["$schema"]));
    change(&|held| held.with(&["shop"], &json_text(name)));
    change(&|held| held.with(&["about"], &json_text(ABOUT)));
    while change(&|held| {
        let key = invented_key(held)?;
        held.without(&key.iter().map(String::as_str).collect::<Vec<&str>>())
    }) {}
    text
}

/// The way to the next key that says what only an invented shop can know.
fn invented_key(document: &Document) -> Option<Vec<String>> {
    let under = |keys: &[&str]| -> Vec<String> {
        let node = keys.iter().try_fold(document.root(), |node, key| node.child(key));
        let fields = node.and_then(|node| node.fields()).unwrap_or_default();
        fields.iter().map(|field| field.name.to_owned()).collect()
    };
    let has =
        |keys: &[&str]| keys.iter().try_fold(document.root(), |n, key| n.child(key)).is_some();
    let found =
        |keys: &[&str]| has(keys).then(|| keys.iter().map(|key| (*key).to_owned()).collect());
    let of_machines = under(&["machines"]).into_iter().find_map(|at| {
        let own = ["about", "spread"].iter().find_map(|key| found(&["machines", &at, key]));
        let tools = under(&["machines", &at, "tools"]);
        let mut tools = tools.iter();
        own.or_else(|| {
            tools.find_map(|tool| found(&["machines", &at, "tools", tool, "scale_offset"]))
        })
    });
    of_machines.or_else(|| {
        under(&["lumber", "woods"]).into_iter().find_map(|wood| {
            let classes = under(&["lumber", "woods", &wood, "classes"]);
            classes
                .iter()
                .find_map(|class| found(&["lumber", "woods", &wood, "classes", class, "price"]))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::{Shop, is_invented, read};

    fn shop(text: &str) -> Shop {
        let document = Document::read("shop.json", text).expect("JSON");
        read(&document).unwrap_or_else(|problems| panic!("{problems:?}"))
    }

    /// Every machine, scale, tool and gauge of the invented shop is there, and nothing that
    /// only the invented shop can know.
    #[test]
    fn a_new_shop_knows_no_offset() {
        let (invented, own) = (shop(BUNDLED), shop(&begun("Mill Street \"wood\" shop")));
        assert_eq!(own.name, "Mill Street \"wood\" shop");
        assert!(!is_invented(&own.name));
        assert!(own.machines.keys().eq(invented.machines.keys()));
        assert!(own.gauges.keys().eq(invented.gauges.keys()));
        for (name, machine) in &own.machines {
            assert_eq!((&machine.about, machine.spread), (&None, None), "{name}");
            let known = &invented.machines[name];
            assert_eq!(machine.readouts, known.readouts, "{name}");
            assert!(machine.tools.keys().eq(known.tools.keys()), "{name}");
            for (named, tool) in &machine.tools {
                assert_eq!(tool.scale_offset, None, "{name}, {named}");
                assert_eq!(tool.kerf, known.tools[named].kerf, "{name}, {named}");
            }
        }
        assert!(!begun("ours").contains("price"));
    }
}
