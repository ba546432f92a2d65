//! What the shop file doesn't say about a machine or its tool. It is asked for
//! by its key; a missing size is never taken as zero.

use super::outcome::{Fact, Finding, Outcome};
use super::work::Work;
use crate::measure::Length;
use crate::prose::Level;
use crate::shop::MachineKind;

impl Work<'_> {
    /// How wide the tool cuts; `None` where the shop file doesn't say. A bit
    /// in a router table cuts as wide as it is.
    pub fn kerf(&self) -> Option<Length> {
        let tool = self.tool?;
        let is_bit = self.machine.is_some_and(|m| m.kind == MachineKind::RouterTable);
        let bit = || tool.size.filter(|_| is_bit).map(|size| size + self.offset("bit", false).0);
        tool.kerf.or_else(bit).filter(|kerf| *kerf > Length::ZERO)
    }

    /// The kerf as a drawing shows it: no wider than nothing where it is unknown.
    pub(super) fn drawn_kerf(&self) -> Length {
        self.kerf().unwrap_or(Length::ZERO)
    }

    /// Asks for the kerf at a machine whose file doesn't give it. It is an
    /// error where a setting needs it, a warning where only a count does.
    pub(super) fn asks_for_kerf(&self, level: Level) -> Option<Finding> {
        let (Some(machine), Some(at), None) = (self.machine, self.at, self.kerf()) else {
            return None;
        };
        let key = if machine.kind == MachineKind::RouterTable { "size" } else { "kerf" };
        let (what, fix) = match self.tool_name {
            Some(tool) => (
                format!("the shop file doesn't say how wide the {tool} of the {at} cuts"),
                format!("add `{key}` to the tool `{tool}` of the machine `{at}`"),
            ),
            None => (
                format!("the shop file gives the {at} no tool, so how wide it cuts is unknown"),
                format!("add a tool with its `{key}` to the machine `{at}`"),
            ),
        };
        Some(Finding { level, ..Finding::error(what) }.help(fix).key("at").of_the_shop())
    }

    /// A number that can't be known without the kerf: it is shown as unknown,
    /// and the kerf is asked for.
    pub(super) fn unknown_without_kerf(&self, what: &str, level: Level, out: &mut Outcome) {
        out.facts.push(Fact::unknown(what));
        let asked = self.asks_for_kerf(level);
        out.findings.extend(asked.filter(|finding| !out.findings.contains(finding)));
    }

    /// Asks for what the height of a blade follows from.
    pub(super) fn asks_for_gullet(&self) -> Finding {
        let at = self.at.unwrap_or("saw");
        let tool = self.tool_name.unwrap_or("blade");
        Finding::warning(format!(
            "the shop file gives the {at} no gullet depth for the {tool} and no fixed height"
        ))
        .help(format!("add `gullet` to the tool `{tool}` or `blade_rule` to the machine `{at}`"))
        .key("at")
        .of_the_shop()
    }

    /// Asks for the least sizes a machine takes where its file doesn't give
    /// them, and says which ones hold until then.
    pub(super) fn asks_for_limits(&self) -> Vec<Finding> {
        let (Some(machine), Some(at)) = (self.machine, self.at) else { return Vec::new() };
        let least = [
            ("short", "shortest", machine.least_length(self.unit)),
            ("thin", "thinnest", machine.least_thickness(self.unit)),
        ];
        let missing = least.into_iter().filter_map(|(word, key, least)| {
            let least = least.filter(|least| least.assumed)?;
            let size = self.words(least.size);
            Some(
                Finding::warning(format!(
                    "the shop file doesn't say how {word} a piece the {at} takes: {size} holds here"
                ))
                .help(format!("add `{key}` to the machine `{at}`, from its manual"))
                .key("at")
                .of_the_shop(),
            )
        });
        missing.chain(self.asks_for_most(at, machine.kind)).collect()
    }

    /// Asks for the most one pass takes, where the heights depend on it.
    fn asks_for_most(&self, at: &str, kind: MachineKind) -> Option<Finding> {
        let machine = self.machine?;
        let by_passes = match kind {
            MachineKind::Jointer | MachineKind::Planer => true,
            MachineKind::ThicknessSander => machine.tools.values().any(|belt| belt.most.is_none()),
            _ => false,
        };
        let missing = by_passes && machine.most_cut.is_none();
        missing.then(|| {
            Finding::warning(format!(
                "the shop file doesn't say how much one pass at the {at} may take: light passes hold here"
            ))
            .help(format!("add `most_cut` to the machine `{at}`, from its manual"))
            .key("at")
            .of_the_shop()
        })
    }
}
