//! Scales that stand as an operation wants them because an earlier one left them there.

use std::sync::Arc;

use super::context::WorkContext;
use crate::journal::ScaleCheck;
use crate::measure::Dial;
use crate::operation::NamedSetting;
use crate::plan::PlannedOperation;

impl<'a> WorkContext<'a> {
    /// Where the operation before left a scale at that dial today, and neither it nor
    /// the tool was touched since: nobody types it again.
    pub(super) fn stands(&self, setting: &str, dial: Dial) -> Option<&'a ScaleCheck> {
        let (step, planned) = (self.route.step(self.op)?, self.planned()?);
        if step.what.parts_a_gang() || self.setup().is_some_and(|setup| !setup.shown.is_empty()) {
            return None;
        }
        let here = |other: &&PlannedOperation| other.op != self.op && other.at == planned.at;
        let setups = self.plan.operations.iter().map(Arc::as_ref).filter(here);
        let setups = setups.filter_map(|other| self.state.setups.get(&other.op));
        let last = setups.max_by_key(|setup| setup.shown.last().map(|shown| shown.order))?;
        let mut shown = last.shown.iter().rev();
        let shown = shown.find(|shown| shown.stored.setting == setting)?;
        let is_there = shown.right && shown.stored.dial == dial && last.moves.is_empty();
        let tool = planned.at.as_ref().and_then(|at| self.state.tools.get(at));
        let is_today = shown.at.date_naive() == self.now.date_naive();
        (is_there && is_today && (shown.tool.is_none() || shown.tool.as_ref() == tool))
            .then_some(shown)
    }

    /// The scales that stand as this operation wants them, though they were set for
    /// another one.
    pub(super) fn standing(&self) -> Vec<(&'a NamedSetting, &'a ScaleCheck)> {
        let groups = self.planned().map_or(&[][..], |planned| planned.groups.as_slice());
        let [group] = groups else { return Vec::new() };
        let asked = |named: &&NamedSetting| named.is_confirmed && !named.by_passes;
        let named = group.outcome.settings.iter().filter(asked);
        named
            .filter_map(|named| Some((named, self.stands(&named.name, named.setting.dial)?)))
            .collect()
    }
}
