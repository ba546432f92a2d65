//! Each change of a shop file, read back as a shop.

use super::*;
use crate::shop::{BUNDLED, Shop, SignOffStanding, begun, read};

fn shop(text: &str) -> Shop {
    let document = Document::read("shop.json", text).expect("JSON");
    read(&document).unwrap_or_else(|problems| panic!("{problems:?}\n{text}"))
}

fn made(text: &str, change: &ShopChange) -> String {
    change.made(text, "MB").unwrap_or_else(|why| panic!("{why:?}"))
}

fn scale(machine: &str, tool: &str, scale: &str) -> ToolScale {
    let [machine, tool, scale] = [machine, tool, scale].map(str::to_owned);
    ToolScale { machine, tool, scale }
}

fn offset(scale: ToolScale, thousandths: i64) -> ShopChange {
    ShopChange::Offset {
        scale,
        offset: Length::thousandths(thousandths),
        spread: Length::thousandths(1),
        cuts: 3,
        uncertainty: Length::thousandths(5),
    }
}

fn signed_off(who: &str, machine: &str, until: Option<&str>) -> ShopChange {
    ShopChange::SignedOff {
        who: who.to_owned(),
        machine: machine.to_owned(),
        until: until.map(|day| day.parse().expect("a day")),
        first_piece_seen: true,
    }
}

/// An offset that was unknown is known, and no other one is.
#[test]
fn an_offset_is_put_where_there_was_none() {
    let own = begun("Mill Street");
    let text = made(&own, &offset(scale("cabinet saw", "rip blade", "fence"), 12));
    let tool = &shop(&text).machines["cabinet saw"].tools["rip blade"];
    assert_eq!(tool.scale_offset("fence", true).0, Length::thousandths(12));
    assert!(tool.knows_offset("fence") && !tool.knows_offset("blade height"));
    // The rest of the file is as it was.
    assert_eq!(text.replace(", \"scale_offset\": { \"fence\": \"0.012\" }", ""), own);
    let again = made(&text, &offset(scale("cabinet saw", "rip blade", "fence"), -4));
    assert_eq!(
        shop(&again).machines["cabinet saw"].tools["rip blade"].scale_offset("fence", true).0,
        Length::thousandths(-4)
    );
}

/// The bundled planer has one number and one scale; a tool with one number for two
/// scales can't be told.
#[test]
fn one_number_for_several_scales_is_left_alone() {
    let text = made(BUNDLED, &offset(scale("planer", "knives", "table"), -7));
    let knives = &shop(&text).machines["planer"].tools["knives"];
    assert_eq!(knives.scale_offset("table", true).0, Length::thousandths(-7));
    let two = text.replace("{ \"fence\": \"0.012\", \"blade height\": \"0\" }", "\"0.012\"");
    assert_ne!(two, text, "the cabinet saw's rip blade has one number now");
    let change = offset(scale("cabinet saw", "rip blade", "fence"), 3);
    let why = change.made(&two, "MB").expect_err("it has two scales");
    assert_eq!(why.what, "The rip blade has one offset for all scales of the cabinet saw.");
}

#[test]
fn marks_and_kerf_are_put() {
    let (machine, name) = ("cabinet saw".to_owned(), "fence".to_owned());
    let marks =
        ScaleMarks { step: Length::MILLIMETRE / 10, shows: Shows::Decimal, unit: Unit::Millimetre };
    let text = made(BUNDLED, &ShopChange::Marks { machine: machine.clone(), scale: name, marks });
    let readout = &shop(&text).machines["cabinet saw"].readouts["fence"];
    assert_eq!((readout.step, readout.unit), (Length::MILLIMETRE / 10, Some(Unit::Millimetre)));
    let kerf = Length::thousandths(126);
    let change = ShopChange::Kerf { machine, tool: "rip blade".to_owned(), kerf };
    let tool = &shop(&made(&text, &change)).machines["cabinet saw"].tools["rip blade"];
    assert_eq!(tool.kerf, Some(kerf));
}

/// Nobody stays signed off on a machine that is gone.
#[test]
fn a_machine_is_taken_out_whole() {
    let text = made(BUNDLED, &signed_off("JT", "planer", Some("2026-12-18")));
    let text = made(&text, &signed_off("JT", "jointer", None));
    let text = made(&text, &ShopChange::TakenOut { machine: "planer".to_owned() });
    let shop = shop(&text);
    assert!(!shop.machines.contains_key("planer"));
    assert_eq!(shop.people["JT"].signed_off_on, ["jointer"]);
    assert!(shop.people["JT"].signed_off_until.is_empty());
}

/// Whoever signs first leads from then on.
#[test]
fn people_are_signed_off_until_a_day() {
    let text = made(BUNDLED, &signed_off("JT", "planer", Some("2026-12-18")));
    let on = |day: &str| -> NaiveDate { day.parse().expect("a day") };
    let held = shop(&text);
    assert!(held.people["MB"].lead && !held.people["JT"].lead);
    let until = SignOffStanding::SignedOff(Some(on("2026-12-18")));
    assert_eq!(held.standing("JT", "planer", on("2026-12-01")), until);
    // Signed off anew for good, under initials in other letters.
    let held = shop(&made(&text, &signed_off("jt", "planer", None)));
    assert_eq!(held.standing("JT", "planer", on("2027-01-01")), SignOffStanding::SignedOff(None));
    assert_eq!(held.people.len(), 2);
    let who = "JT".to_owned();
    let held = shop(&made(&text, &ShopChange::StandsIn { who, on: on("2026-11-30") }));
    assert!(held.may_lead("JT", on("2026-11-30")) && !held.may_lead("JT", on("2026-12-01")));
}

/// What the file says by itself needs no event.
#[test]
fn the_journal_keeps_what_the_file_cannot_say() {
    let change = offset(scale("planer", "knives", "table"), -7);
    let Some(ShopEvent::Calibrated { by, cuts: 3, .. }) = change.event("MB") else {
        panic!("it was found by three cuts")
    };
    assert_eq!(by, "MB");
    assert_eq!(ShopChange::TakenOut { machine: "planer".to_owned() }.event("MB"), None);
}
