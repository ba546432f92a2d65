//! People signed off at the machine while a batch is under way.

use benchway::journal::Event;
use benchway::shop::{Person, SignOffStanding};
use benchway::work::sign_off;
use chrono::Duration;
use crossterm::event::KeyCode;

use crate::desk::Desk;
use crate::drawn::{PLAIN, text};
use crate::walker::Walker;

/// A stool at the planer, in a shop led by MB.
fn led() -> Walker {
    let mut walker = Walker::stool(1);
    let lead = Person { lead: true, ..Person::default() };
    walker.shop.people.insert("MB".to_owned(), lead);
    walker.shop.people.insert("JT".to_owned(), Person::default());
    walker.op = 40;
    walker
}

fn standing(walker: &Walker) -> SignOffStanding {
    walker.context().sign_off_standing("JT", "planer")
}

/// It holds on its last day and not on the day after; then it counts as none, and the lead
/// stays beside them again.
#[test]
fn a_sign_off_at_the_machine_ends_with_its_last_day() {
    let mut walker = led();
    assert_eq!(standing(&walker), SignOffStanding::Not);
    let day = walker.now.date_naive();
    let events = sign_off(&walker.context(), &format!("jt {day} mb seen")).expect("it is a lead");
    let Event::SignedOff(signed) = &events[0] else { panic!("{events:?}") };
    assert_eq!((signed.machine.as_str(), signed.first_piece_seen), ("planer", true));
    walker.push(events);
    assert_eq!(standing(&walker), SignOffStanding::SignedOff(Some(day)));
    assert!(walker.context().is_signed_off("jt", "planer"));
    assert!(!walker.context().is_signed_off("JT", "jointer"));
    walker.now += Duration::days(1);
    assert_eq!(standing(&walker), SignOffStanding::Expired(day));
    assert!(!walker.context().is_signed_off("JT", "planer"));
    // For good.
    let events = sign_off(&walker.context(), "JT - MB").expect("it is a lead");
    walker.push(events);
    walker.now += Duration::days(400);
    assert_eq!(standing(&walker), SignOffStanding::SignedOff(None));
}

#[test]
fn a_substitute_leads_today_alone() {
    let mut walker = led();
    assert!(!walker.context().may_lead("JT"));
    let events = sign_off(&walker.context(), "jt leads mb").expect("it is a lead");
    walker.push(events);
    assert!(walker.context().may_lead("jt"));
    assert_eq!(standing(&walker), SignOffStanding::Leads);
    // Whoever stands in may sign somebody off.
    assert!(sign_off(&walker.context(), "RK - JT").is_ok());
    walker.now += Duration::days(1);
    assert!(!walker.context().may_lead("JT"));
}

#[test]
fn what_cannot_be_a_sign_off_is_refused() {
    let walker = led();
    let yesterday = walker.now.date_naive() - Duration::days(1);
    for (typed, why) in [
        ("", "Expected: who, last day or -, lead."),
        ("JT MB", "Expected: who, last day or -, lead."),
        ("JT - MB twice", "Expected: who, last day or -, lead."),
        ("J7 - MB", "Initials are one to eight letters."),
        ("RK - JT", "JT isn't a lead in this shop."),
        ("MB - MB", "Nobody signs themselves off."),
        ("JT 18.12.2026 MB", "A day is written so: 2026-12-18."),
        (&format!("JT {yesterday} MB"), "That day is over."),
    ] {
        let refused = sign_off(&walker.context(), typed).expect_err(typed);
        assert_eq!(refused.what, why, "{typed}");
    }
}

/// By keys: F2 asks, what is refused stays, and the record has it.
#[test]
fn the_lead_signs_off_by_keys() {
    let mut desk = Desk::on(Walker::stool(1), PLAIN);
    desk.enter(&["MB"]);
    desk.key(KeyCode::F(2));
    let shown = text(&desk.drawn(80, 24));
    assert!(shown.contains("sign off: who, day or -, lead (seen)"), "{shown}");
    desk.enter(&["JT"]);
    let shown = text(&desk.drawn(80, 24));
    assert!(shown.contains("Expected: who, last day or -, lead."), "{shown}");
    desk.key(KeyCode::Esc);
    desk.enter(&["JT - MB seen"]);
    let last = desk.walker.lines.last().map(|line| &line.event);
    let Some(Event::SignedOff(signed)) = last else { panic!("{last:?}") };
    assert_eq!((signed.who.as_str(), signed.machine.as_str()), ("JT", "chop saw"));
    assert!(signed.first_piece_seen && signed.until.is_none());
}
