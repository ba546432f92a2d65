//! The words while a scale is set, and of the number it then shows.

use super::named::for_whom;
use super::order;
use super::tool_offset::tool_offset;
use super::view::{Lit, MachineView};
use crate::operation::{NamedSetting, decimal, faces_up, scale_name, words};
use crate::plan::PlannedOperation;
use crate::prose::capital;
use crate::work::{SettingTask, WorkContext, fit_first, while_setting};

impl MachineView {
    /// The number the scale shows already, for everything between settings.
    pub(super) fn in_force(&mut self, context: &WorkContext<'_>, planned: &PlannedOperation) {
        let shown = context.setup().map_or(&[][..], |setup| setup.shown.as_slice());
        let settings = planned.groups.first().map(|group| group.outcome.settings.as_slice());
        let setting = |name: &str| settings?.iter().find(|setting| setting.name == name);
        let standing = || shown.iter().rev().filter(|shown| shown.right && !shown.superseded);
        let is_of_pass = |name: &str| setting(name).is_some_and(|setting| setting.by_passes);
        let sizes = |name: &str| setting(name).is_some_and(|setting| setting.sizes.is_some());
        // The height of the pass under way comes before a stop set for another.
        let shown = standing()
            .find(|shown| is_of_pass(&shown.stored.setting))
            .or_else(|| standing().find(|shown| sizes(&shown.stored.setting)))
            .or_else(|| standing().next());
        let Some(shown) = shown else {
            let depth = settings.iter().flat_map(|all| all.iter());
            let mut depth = depth.filter(|named| named.by_passes && !named.is_confirmed);
            if let Some(depth) = depth.next() {
                self.label = format!("{} to", depth.name);
                self.big = depth.dial_text();
            }
            return;
        };
        let readout = setting(&shown.stored.setting).map(|setting| setting.readout);
        if let Some(readout) = readout {
            self.label = format!("{} stands at", shown.stored.setting);
            self.big = readout.shown(shown.shown);
            self.under = format!("for {}", words(shown.stored.target.0, context.route.unit));
        }
    }

    pub(super) fn set(&mut self, context: &WorkContext<'_>, set: &SettingTask) {
        let unit = context.route.unit;
        self.label = match (set.pass, set.setting.split_once(", ")) {
            (_, Some((scale, when))) => format!("{scale}, {when}, to"),
            (Some(pass), None) => format!("pass {pass}: {} to", set.setting),
            (None, None) => format!("{} to", set.setting),
        };
        self.order = order::set(set);
        self.lit = Lit::Number;
        self.big = set.readout.shown(set.dial.0);
        let makes = words(set.target.0, unit);
        self.under = match &set.tool {
            Some(tool) => format!("for {makes}, {tool}"),
            None => format!("for {makes}"),
        };
        if let Some(change) = &set.fit {
            self.now.push(fit_first(&change.tool));
        }
        if let Some(presses) = set.presses {
            let times = if presses == 1 { "once".to_owned() } else { format!("{presses} times") };
            self.now.push(format!("Press the jog {times}."));
        }
        self.next_faces(context, set);
        if !set.moved.is_zero() {
            let way = if set.moved.is_negative() { "down" } else { "up" };
            let by = decimal(set.moved.abs(), unit);
            self.now.push(format!("Move it {by} {way}, as the first piece showed."));
        }
        self.clearances(context, set);
        self.now.extend(for_whom(context, &set.pieces));
        let first = set.pieces.first().and_then(|piece| context.group_of(piece));
        let group = first.or_else(|| context.planned()?.groups.first());
        if let (Some(planned), Some(group)) = (context.planned(), group) {
            self.details = while_setting(planned, group, unit);
            self.places.clone_from(&group.outcome.places);
        }
        self.details.splice(0..0, unknown_offset(context, set));
        // What is known of a scale is no order: a small window may leave it to be read.
        let known = set.fit.as_ref().and_then(|change| tool_offset(context, change));
        known.into_iter().for_each(|known| self.details.insert(0, known));
        if let Some((low, high)) = set.takes {
            let shown = |length| set.readout.shown(length);
            self.details.insert(0, format!("{} to {} will do here.", shown(low), shown(high)));
        }
        let groups = context.planned().and_then(|planned| planned.groups.first());
        let setting = groups.and_then(|group| {
            group.outcome.settings.iter().find(|setting| setting.name == set.setting)
        });
        self.why.extend(setting.map(|setting| format!("Why: {}", setting.reason())));
        self.prompt = format!("the {} scale shows", scale_name(&set.setting));
        self.unit = set.readout.unit.sign();
    }

    /// What is set beside it, that only has to clear the work: nobody types it.
    fn clearances(&mut self, context: &WorkContext<'_>, set: &SettingTask) {
        let first = set.pieces.first().and_then(|piece| context.group_of(piece));
        let group = first.or_else(|| context.planned()?.groups.first());
        let is_first = set.pass.is_none_or(|pass| pass == 1);
        let beside = group.iter().flat_map(|group| &group.outcome.settings);
        let is_beside = |named: &&NamedSetting| is_first && !named.is_confirmed && !named.by_passes;
        for named in beside.filter(is_beside) {
            let scale = scale_name(&named.name);
            self.now.push(match named.name.split_once(", ") {
                // A second number for the scale in hand would be taken for the one to set.
                Some(_) if scale == scale_name(&set.setting) => {
                    let clears = words(named.setting.target.0, context.route.unit);
                    format!("The thickest is {clears}: come down.")
                }
                Some((_, when)) => {
                    format!("{}, the {scale} at {}.", capital(when), named.dial_text())
                }
                None => format!("The {scale} to {}.", named.dial_text()),
            });
        }
        if set.setting.starts_with("blade height")
            || self.now.iter().any(|line| line.starts_with("The blade height"))
        {
            self.now.push("Put the guard back over the blade.".to_owned());
        }
    }

    /// Which faces go up, where the pass to be set says so.
    fn next_faces(&mut self, context: &WorkContext<'_>, set: &SettingTask) {
        let group = context.planned().and_then(|planned| planned.groups.first());
        let pass = group
            .and_then(|group| group.outcome.passes.iter().find(|p| Some(p.number) == set.pass));
        let faces = pass.map(|pass| pass.faces.as_slice()).unwrap_or_default();
        self.now.extend(faces_up(faces).map(|turned| format!("Next: {turned}.")));
    }
}

/// That nobody knows how far off a scale is which makes a size, where nobody does.
fn unknown_offset(context: &WorkContext<'_>, set: &SettingTask) -> Option<String> {
    let planned = context.planned()?;
    let tool = set.tool.as_ref().or(planned.tool.as_ref())?;
    let held = context.shop.machines.get(planned.at.as_ref()?)?.tools.get(tool)?;
    let settings = &planned.groups.first()?.outcome.settings;
    let makes_a_size = |named: &NamedSetting| {
        named.name == set.setting && (named.sizes.is_some() || named.by_passes)
    };
    let is_unknown = !held.knows_offset(scale_name(&set.setting));
    (is_unknown && settings.iter().any(makes_a_size)).then(|| {
        format!("Its offset with the {tool} is unknown: measure the first piece before the next.")
    })
}
