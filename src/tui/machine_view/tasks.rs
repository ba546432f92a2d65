//! The words of everything at a machine that is neither a scale nor a piece:
//! who is there, cautions, gauges, tools, what the lead decides.

use super::order;
use super::place::figures;
use super::proposal::{proposal_lines, summary};
use super::tool_offset::tool_offset;
use super::view::{Lit, MachineView, Order};
use crate::journal::{PieceTally, ReadingRecord};
use crate::measure::{Length, Verdict};
use crate::operation::words;
use crate::plan::PlannedOperation;
use crate::shop::{DEFER, SignOffStanding};
use crate::work::{
    Proposal, SettingTask, Task, ToolChange, WorkContext, advice, choices, handover, is_finished,
};

/// How a tool is changed.
fn fitting(change: &ToolChange) -> Vec<String> {
    let ToolChange { machine, tool, was } = change;
    vec![
        format!("Switch the {machine} off at the isolator and lock it."),
        match was {
            Some(was) => format!("Take out the {was} and fit the {tool}."),
            None => format!("Check that the {tool} is fitted; fit it if not."),
        },
        "Put the guard back and take tools and keys out. Then switch the power on.".to_owned(),
    ]
}

impl MachineView {
    pub(super) fn heading(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        task: &Task,
    ) {
        let tool = match task {
            Task::Set(SettingTask { tool: Some(tool), .. }) => Some(tool.clone()),
            _ => context.setup().and_then(|setup| setup.tool.clone()).or(planned.tool.clone()),
        };
        let tool = tool.filter(|_| planned.at.is_some());
        self.title = format!("op {} {} {}", planned.op, planned.kind, planned.part);
        self.machine = planned.at.iter().cloned().chain(tool).collect::<Vec<_>>().join(", ");
        let PieceTally { done, aside, to_go } = context.state.tally(&planned.part, context.op);
        self.count = match aside {
            0 => format!("{done} done  {to_go} to go"),
            _ => format!("{done} done  {aside} aside  {to_go} to go"),
        };
    }

    pub(super) fn who(&mut self, context: &WorkContext<'_>) {
        self.order = Order::short("WHO", "is at the machine?");
        self.lit = Lit::Entry;
        if let Some(present) = context.state.people.get(context.station) {
            self.details.push(format!("Last here: {}. Enter: the same.", present.join(", ")));
        }
        if let Some(left) = context.setup().and_then(|setup| setup.left.clone()) {
            self.details.push(format!("Left half done: {left}"));
            self.details.extend(handover(context));
        }
        self.prompt = "your initials".to_owned();
        if context.state.people.contains_key(context.station) {
            self.enter = "the same".to_owned();
        }
    }

    pub(super) fn blocked(&mut self, reasons: &[String], openable: bool) {
        self.lit = Lit::Order;
        self.clear_number();
        let help = if openable {
            self.order = Order::short("WAIT", "this operation can't begin yet.");
            "t shows what can start now. The lead can open this operation: o and Enter, then a reason."
        } else {
            self.order = Order::short("STOP", "not on this machine.");
            "Nobody can override a machine's own limit. See the lead."
        };
        self.now.extend(reasons.iter().cloned());
        self.details.push(help.to_owned());
    }

    pub(super) fn read_caution(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        machine: &str,
        tool: Option<&str>,
    ) {
        self.order = Order::new(
            "READ",
            "",
            format!("before the {machine}"),
            match tool {
                Some(tool) => format!("before you use the {machine} with the {tool}."),
                None => format!("before you use the {machine}."),
            },
        );
        self.lit = Lit::Cautions;
        let who = context.who.unwrap_or_default();
        let standing = context.sign_off_standing(who, machine);
        let is_signed_off =
            matches!(standing, SignOffStanding::Leads | SignOffStanding::SignedOff(_));
        if !is_signed_off {
            self.now.push(match standing {
                SignOffStanding::Expired(until) => {
                    let day = until.format("%-d %b %Y");
                    format!("The sign-off of {who} on the {machine} ended on {day}.")
                }
                _ => format!("{who} is not signed off on the {machine}."),
            });
            self.now.push("The lead stays beside you for at least the first piece.".to_owned());
        }
        self.cautions.clone_from(&planned.cautions);
        self.details.push(DEFER.to_owned());
        self.clear_number();
        if is_signed_off {
            self.enter = "read".to_owned();
        }
        self.prompt = if is_signed_off {
            "Enter: read, and trained on this machine"
        } else {
            "lead beside you: initials"
        }
        .to_owned();
    }

    pub(super) fn zero(&mut self, context: &WorkContext<'_>, gauge: &str, block: Option<Length>) {
        self.order = Order::new("ZERO", gauge, gauge, format!("the {gauge}: wipe and zero it."));
        self.lit = Lit::Entry;
        let unit = context.shop.gauges.get(gauge).and_then(|g| g.entry()).map(|entry| entry.bare);
        let unit = unit.unwrap_or(context.route.unit);
        match block {
            Some(block) => {
                self.details.push(format!("Then measure the check block: {}.", words(block, unit)));
                self.prompt = format!("{gauge} on the block");
                self.unit = unit.sign();
            }
            None => {
                self.prompt = "Enter: zeroed".to_owned();
                self.enter = "zeroed".to_owned();
            }
        }
    }

    pub(super) fn tool(&mut self, context: &WorkContext<'_>, change: &ToolChange) {
        let tool = &change.tool;
        self.order = Order::new("FIT", tool, tool, format!("the {tool}."));
        self.details = fitting(change);
        self.details.push("Set every scale again and check a first piece again.".to_owned());
        self.details.extend(tool_offset(context, change));
        self.clear_number();
        self.prompt = "Enter: fitted, guard back".to_owned();
        self.enter = "fitted".to_owned();
    }

    pub(super) fn decide(
        &mut self,
        context: &WorkContext<'_>,
        task: &Task,
        reading: Option<&ReadingRecord>,
    ) {
        self.choices = choices(context, task);
        if let Some(reading) = reading {
            let planned = context.planned().map(|planned| planned.checks.as_slice());
            let check = planned
                .and_then(|checks| checks.iter().find(|check| check.of == reading.taken.feature));
            if let Some(check) = check {
                self.order = order::verdict(context, check, reading, self.choices.first());
            }
            self.lit = match reading.taken.verdict() {
                Verdict::TooClose { .. } | Verdict::In => Lit::Entry,
                Verdict::TooBig { .. } | Verdict::TooSmall { .. } => Lit::Order,
            };
            if let Some(advice) = advice(context, reading) {
                self.now.extend(advice.questions);
                self.now.extend(advice.next);
            }
        }
        let expected = self.choices.first().map_or(' ', |choice| choice.key());
        self.prompt = format!("one letter (Enter: {expected})");
        self.enter = self.choices.first().map_or("", |choice| choice.brief()).to_owned();
    }

    pub(super) fn close(&mut self, context: &WorkContext<'_>, done: usize, aside: usize) {
        let is_set = context.setup().is_some_and(|setup| !setup.shown.is_empty());
        let until = if is_set { " Leave the setting until the count agrees." } else { "" };
        self.details.push(format!("Count the stack.{until}"));
        if let Some(planned) = context.planned() {
            self.order = order::close(planned, done, aside);
            let spares = context.state.spares_through(&planned.part, context.op);
            if spares > 0 {
                self.details.push(format!("Spares finished up to here: {spares}."));
            }
        }
        self.prompt = format!("Enter closes op {}", context.op);
        self.lit = Lit::Entry;
        self.enter = "close".to_owned();
    }

    pub(super) fn accept(&mut self, context: &WorkContext<'_>, proposal: &Proposal) {
        let unit = context.route.unit;
        self.clear_number();
        self.lit = Lit::Entry;
        for (made, planned) in proposal.made.iter().zip(&proposal.planned) {
            let was = planned
                .map_or_else(String::new, |planned| format!(", planned {}", words(planned, unit)));
            let article = &context.route.article;
            let set = made.set.map_or_else(String::new, |set| format!(" of {article} {set}"));
            let piece = made
                .piece
                .as_ref()
                .map_or_else(String::new, |p| format!(" of {}", context.state.name(p)));
            let is = format!("{}{set}{piece} is {}{was}", made.dim, words(made.value, unit));
            self.now.push(format!("{is}: {}", made.words));
        }
        if let ([made], [planned]) = (proposal.made.as_slice(), proposal.planned.as_slice()) {
            let planned = planned.map(|planned| format!("planned {}, ", words(planned, unit)));
            self.label = format!("{} is", made.dim);
            self.big = figures(made.value, unit);
            // Where they were taken the title says.
            let words = made.words.split(" at op").next().unwrap_or_default();
            self.under = format!("{}{words}", planned.unwrap_or_default());
            self.now.clear();
        }
        let dims: Vec<String> = proposal.made.iter().map(|made| made.dim.clone()).collect();
        match proposal.keeps.as_slice() {
            [only] => {
                self.order = order::accept(&dims, &summary(only));
                self.details.extend(proposal_lines(only));
                self.prompt = "lead's initials to accept".to_owned();
            }
            several => {
                self.order = order::accept(&dims, "choose what keeps its size.");
                for (n, kept) in several.iter().enumerate() {
                    let keep = kept.keep.as_deref().unwrap_or_default();
                    self.now.push(format!("Option {}, keep {keep}: {}", n + 1, summary(kept)));
                }
                for (n, kept) in several.iter().enumerate() {
                    let keep = kept.keep.as_deref().unwrap_or_default();
                    self.details.push(format!("Option {}, keep {keep}:", n + 1));
                    let lines = proposal_lines(kept).into_iter();
                    self.details.extend(lines.map(|line| format!("  {line}")));
                }
                self.prompt = "option and lead's initials".to_owned();
            }
        }
    }

    pub(super) fn finished(&mut self, context: &WorkContext<'_>) {
        self.clear_number();
        self.order = Order::short("DONE", format!("op {} is finished.", context.op));
        self.lit = Lit::Entry;
        let open = |op: u32| !is_finished(context.route, context.state, op);
        if context.route.steps.iter().any(|step| open(step.op)) {
            self.prompt = "Enter: next operation".to_owned();
            self.enter = "next".to_owned();
        } else {
            self.now.push("Every operation of this route is finished.".to_owned());
            self.prompt = "Enter: all operations".to_owned();
            self.enter = "operations".to_owned();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Power off and locked before a hand goes in; the guard back before it is on.
    #[test]
    fn a_tool_is_changed_with_the_power_off() {
        let change = |was: Option<&str>| {
            fitting(&ToolChange {
                machine: "drum sander".to_owned(),
                tool: "120 roll".to_owned(),
                was: was.map(str::to_owned),
            })
        };
        let (off, on) = (
            "Switch the drum sander off at the isolator and lock it.",
            "Put the guard back and take tools and keys out. Then switch the power on.",
        );
        assert_eq!(
            change(Some("80 roll")),
            [off, "Take out the 80 roll and fit the 120 roll.", on]
        );
        assert_eq!(change(None), [off, "Check that the 120 roll is fitted; fit it if not.", on]);
    }
}
