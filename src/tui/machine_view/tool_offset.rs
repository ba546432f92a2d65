//! What is known of a scale when a tool goes in: an offset belongs to the tool it was
//! found with.

use crate::operation::scale_name;
use crate::shop::is_invented;
use crate::work::{ToolChange, WorkContext, offset_words};

/// What to mind of the scale that sizes the piece where one tool takes the place of another;
/// nothing where no offset is known, with this tool or with the one that comes out.
pub(super) fn tool_offset(context: &WorkContext<'_>, change: &ToolChange) -> Option<String> {
    let ToolChange { machine, tool, was } = change;
    let was = was.as_ref().filter(|was| *was != tool)?;
    let held = context.shop.machines.get(machine)?;
    let settings = &context.planned()?.groups.first()?.outcome.settings;
    let sizing = settings.iter().find(|named| named.sizes.is_some() || named.by_passes)?;
    let scale = scale_name(&sizing.name);
    let knows = |name: &String| held.tools.get(name).is_some_and(|tool| tool.knows_offset(scale));
    let three = match is_invented(&context.shop.name) {
        true => "",
        false => " Three cuts find it: F2 on the opening screen.",
    };
    if knows(tool) {
        let offset = held.tools.get(tool)?.scale_offset(scale, true).0;
        let makes = offset_words(offset, sizing.readout.unit);
        return Some(format!(
            "With the {tool} the {scale} {makes}, as last found: the first piece tells.{three}"
        ));
    }
    knows(was).then(|| {
        format!(
            "The offset of the {scale} was found with the {was}, not with the {tool}: the first \
             piece tells.{three}"
        )
    })
}
