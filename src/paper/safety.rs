//! A sheet for the wall beside each machine: the usual cautions, the limits of the machine,
//! who is released for it, and room for the shop's own rules.
//!
//! The sheet reminds people of their training. Above all else it says that the manual, local
//! codes and trained practice come first.

use chrono::NaiveDate;
use maud::{Markup, html};

use super::Page;
use crate::measure::{Length, Unit};
use crate::shop::{Act, DEFER, Machine, Shop, SignOffStanding, cautions, protection};

/// Lines for rules of the shop's own and for names, to be written in by hand; as many as
/// a sheet has room for are printed.
const OPEN_LINES: usize = 14;

/// More cautions than this are set smaller, so that they stay on one sheet.
const MANY: usize = 6;

/// A sheet for each of these machines, as of a day.
pub fn safety_page(shop: &Shop, machines: &[(&str, &Machine)], on: NaiveDate) -> Page {
    let body = html! {
        @for (name, machine) in machines { (sheet(shop, name, machine, on)) }
    };
    let title = match machines {
        [(name, _)] => format!("{} safety, {name}", shop.name),
        _ => format!("{} safety", shop.name),
    };
    Page { title, style: include_str!("safety.css"), body, refresh: None }
}

fn sheet(shop: &Shop, name: &str, machine: &Machine, on: NaiveDate) -> Markup {
    let (along, sled) =
        (cautions(machine.kind, Act::AlongFence), cautions(machine.kind, Act::OnSled));
    let is_many = along != sled || along.len() > MANY;
    html! {
        section class=(if is_many { "safety many" } else { "safety" }) {
            header {
                h1 { (name) }
                p { (shop.name) }
            }
            p class="wear" { (protection(machine.kind)) }
            @if along == sled {
                (rules(along))
            } @else {
                h2 { "Along the fence" }
                (rules(along))
                h2 { "On a sled or in a jig" }
                (rules(sled))
            }
            (limits(machine, unit_of(shop, machine)))
            p class="defer" { (DEFER) }
            div class="own" {
                div {
                    h2 { "Our own rules" }
                    @for _ in 0..OPEN_LINES { div class="line" {} }
                }
                div {
                    h2 { "Released for this machine" }
                    (released(shop, name, on))
                }
            }
        }
    }
}

fn rules(cautions: &[&str]) -> Markup {
    html! { ol { @for caution in cautions { li { (caution) } } } }
}

/// The unit that the scales of a machine show.
fn unit_of(shop: &Shop, machine: &Machine) -> Unit {
    machine.readouts.values().find_map(|readout| readout.unit).unwrap_or(shop.unit)
}

/// The sizes of pieces the machine takes, where the shop or the trade has limits.
fn limits(machine: &Machine, unit: Unit) -> Markup {
    let shortest = machine.least_length(unit).map(|least| least.size);
    let thinnest = machine.least_thickness(unit).map(|least| least.size);
    let limits = [
        ("Nothing shorter than", shortest),
        ("Nothing narrower than", machine.narrowest),
        ("Nothing wider than", machine.widest),
        ("Nothing thinner than", thinnest),
        ("Nothing thicker than", machine.thickest),
    ];
    let written = |size: Length| format!("{} {}", size.written(unit), unit.sign());
    let limits: Vec<(&str, String)> =
        limits.iter().filter_map(|(what, size)| Some((*what, written((*size)?)))).collect();
    html! {
        @if !limits.is_empty() {
            ul class="limits" {
                @for (what, size) in &limits { li { (what) " " b { (size) } } }
            }
        }
    }
}

/// Who works there without a lead beside them on that day, and lines for more.
fn released(shop: &Shop, machine: &str, on: NaiveDate) -> Markup {
    let standing = |who: &String| match shop.standing(who, machine, on) {
        SignOffStanding::Leads => Some((who.clone(), "leads".to_owned())),
        SignOffStanding::SignedOff(Some(until)) => Some((who.clone(), format!("until {until}"))),
        SignOffStanding::SignedOff(None) => Some((who.clone(), String::new())),
        SignOffStanding::Expired(_) | SignOffStanding::Not => None,
    };
    let named: Vec<(String, String)> = shop.people.keys().filter_map(standing).collect();
    html! {
        @if !named.is_empty() {
            p class="names" {
                @for (n, (who, how)) in named.iter().enumerate() {
                    @if n > 0 { ", " }
                    b { (who) }
                    @if !how.is_empty() { " (" (how) ")" }
                }
            }
            p class="as-of" { "As of " (on) ". Anybody else: ask a lead first." }
        }
        @for _ in 0..OPEN_LINES { div class="line" {} }
    }
}
