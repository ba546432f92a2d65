//! What the scales of a machine must show, as numbers that read at arm's length.

use maud::{Markup, html};

use crate::measure::Unit;
use crate::operation::{NamedSetting, Pass, faces_up};
use crate::plan::PlannedOperation;
use crate::work::fit_first;

/// A longer dial gets smaller letters.
const LONG_DIAL: usize = 7;

/// Every scale of an operation: those that are set and confirmed large, those that only
/// have to clear the work small, and those that passes lead to as words.
pub(super) fn dials(settings: &[NamedSetting], unit: Unit) -> Markup {
    let by_passes = settings.iter().filter(|setting| setting.by_passes).map(|setting| {
        let makes = setting.makes(unit).map_or_else(String::new, |makes| format!(" {makes}"));
        format!("{} {} {}{makes}", setting.name, setting.dial_text(), setting.readout.unit)
    });
    let by_passes: Vec<String> = by_passes.collect();
    html! {
        @for setting in settings.iter().filter(|setting| !setting.by_passes) { (dial(setting, unit)) }
        @if !by_passes.is_empty() { p.by-passes { (by_passes.join("; ")) } }
    }
}

fn dial(setting: &NamedSetting, unit: Unit) -> Markup {
    let shown = setting.dial_text();
    let class = match (setting.is_confirmed, shown.chars().count() > LONG_DIAL) {
        (true, false) => "dial",
        (true, true) => "dial long",
        (false, _) => "dial small",
    };
    let label = match setting.name.split_once(", ") {
        Some((scale, when)) => format!("{scale}, {when}, to"),
        None => format!("{} to", setting.name),
    };
    html! {
        div class=(class) {
            p.dial-name { (label) }
            p.dial-number { (shown) span.unit { " " (setting.readout.unit) } }
            p.dial-scale { (setting.readout.words())
                @if let Some(makes) = setting.makes(unit) { "; " (makes) } }
            @if setting.is_confirmed { p.why { (setting.reason()) } }
        }
    }
}

/// The heights in order, each with how pieces go through it and a place for what was
/// dialled.
pub(super) fn passes(planned: &PlannedOperation, passes: &[Pass], unit: Unit) -> Markup {
    let Some(first) = passes.first() else { return html! {} };
    let mut fitted = first.tool.as_ref().or(planned.tool.as_ref());
    let rows = passes.iter().map(|pass| {
        let change = pass.tool.as_ref().filter(|tool| fitted != Some(*tool));
        fitted = pass.tool.as_ref().or(fitted);
        (change, pass)
    });
    let rows: Vec<(Option<&String>, &Pass)> = rows.collect();
    html! {
        table.passes {
            thead { tr { th { "pass" } th { "set to, " (first.readout.unit) } th { "how" } th { "dialled" } } }
            @for (change, pass) in rows {
                @if let Some(tool) = change { tr.change { td colspan="4" { (fit_first(tool)) } } }
                tr {
                    td { (pass.number) }
                    td.pass-dial { (pass.dial_text()) }
                    td { (pass_words(pass)) @if pass.readout.unit != unit { " (" (pass.readout.unit) ")" } }
                    td.write {}
                }
            }
        }
    }
}

/// The faces as they go up, and how often.
fn pass_words(pass: &Pass) -> Markup {
    html! {
        @if let Some(up) = faces_up(&pass.faces) { strong { (up) } ", " }
        (pass.times())
    }
}
