//! The settings that serve several operations of today, whatever their batch: the same
//! machine with the same tool and the same dials, in a pass too.

use chrono::{DateTime, FixedOffset};

use super::context::WorkContext;
use super::ready::next_operations;
use crate::journal::{Piece, Snapshot};
use crate::measure::Dial;
use crate::operation::{OperationKind, Pass};
use crate::plan::{Group, PlannedOperation};

/// A machine set once for several operations.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OneSetting {
    /// The machine.
    pub at: String,
    /// The tool.
    pub tool: Option<String>,
    /// Each scale with what it shows.
    pub shows: Vec<(String, String)>,
    /// What is cut at it.
    pub uses: Vec<SettingUse>,
}

/// An operation that a setting serves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SettingUse {
    /// The batch.
    pub batch: String,
    /// The number of the operation.
    pub op: u32,
    /// The kind of operation.
    pub kind: &'static OperationKind,
    /// The part.
    pub part: String,
    /// How many pieces still go through at this setting.
    pub pieces: usize,
    /// In which pass, where the machine comes down in passes.
    pub pass: Option<u32>,
    /// Whether the operation can be done now.
    pub is_ready: bool,
}

/// What a setting is known by.
#[derive(Clone, Debug, PartialEq, Eq)]
struct SettingKey {
    at: String,
    tool: Option<String>,
    dials: Vec<(String, Dial)>,
}

/// A setting of one operation, and what its scales show.
struct SettingFound {
    key: SettingKey,
    shows: Vec<(String, String)>,
    used: SettingUse,
}

/// The settings that serve more than one of the next operations.
pub(super) fn one_settings(batches: &[Snapshot], now: DateTime<FixedOffset>) -> Vec<OneSetting> {
    let mut shared: Vec<(SettingKey, OneSetting)> = Vec::new();
    for SettingFound { key, shows, used } in batches.iter().flat_map(|batch| found(batch, now)) {
        match shared.iter_mut().find(|(held, _)| *held == key) {
            Some((_, setting)) => setting.uses.push(used),
            None => {
                let (at, tool) = (key.at.clone(), key.tool.clone());
                shared.push((key, OneSetting { at, tool, shows, uses: vec![used] }));
            }
        }
    }
    let several = shared.into_iter().map(|(_, setting)| setting).filter(|setting| {
        let first = &setting.uses[0];
        let is_other = |used: &SettingUse| (&used.batch, used.op) != (&first.batch, first.op);
        // Nobody sets a machine for what has to wait.
        setting.uses.iter().any(is_other) && setting.uses.iter().any(|used| used.is_ready)
    });
    several.collect()
}

/// Every setting that the next operations of a batch still need.
fn found(batch: &Snapshot, now: DateTime<FixedOffset>) -> Vec<SettingFound> {
    let mut all = Vec::new();
    for next in next_operations(&batch.context(0, None, now)) {
        let context = batch.context(next.op, None, now);
        let (Some(planned), Some(at)) = (context.planned(), &next.at) else { continue };
        let pieces = pieces_by_group(&context, planned);
        for (group, pieces) in planned.groups.iter().zip(pieces) {
            for state in states(&context, planned, group, &pieces) {
                let key = SettingKey { at: at.clone(), tool: state.tool, dials: state.dials };
                let used = SettingUse {
                    batch: batch.name.clone(),
                    op: next.op,
                    kind: next.kind,
                    part: next.part.clone(),
                    pieces: state.pieces,
                    pass: state.pass,
                    is_ready: next.is_ready(),
                };
                all.push(SettingFound { key, shows: state.shows, used });
            }
        }
    }
    all
}

/// How a machine stands for some of the pieces of an operation.
struct MachineState {
    tool: Option<String>,
    dials: Vec<(String, Dial)>,
    shows: Vec<(String, String)>,
    pass: Option<u32>,
    pieces: usize,
}

/// The pieces that still go through an operation, a list for each group.
fn pieces_by_group<'a>(
    context: &WorkContext<'a>,
    planned: &PlannedOperation,
) -> Vec<Vec<&'a Piece>> {
    let through = context.state.through(planned.op);
    let to_go = context.pieces().into_iter();
    let to_go: Vec<&Piece> =
        to_go.filter(|piece| piece.aside.is_none() && !through.has(piece)).collect();
    let groups = planned.group_indexes(to_go.iter().map(|piece| &piece.label));
    let mut by_group = vec![Vec::new(); planned.groups.len()];
    for (piece, group) in to_go.into_iter().zip(groups) {
        by_group[group].push(piece);
    }
    by_group
}

/// How the machine stands for a group: once, or in each pass that is still to come.
fn states(
    context: &WorkContext<'_>,
    planned: &PlannedOperation,
    group: &Group,
    pieces: &[&Piece],
) -> Vec<MachineState> {
    let settings = group.outcome.settings.iter();
    // What only has to clear the work takes no care to set.
    let fixed = settings.clone().filter(|setting| setting.is_confirmed && !setting.by_passes);
    let dials: Vec<(String, Dial)> =
        fixed.clone().map(|setting| (setting.name.clone(), setting.setting.dial)).collect();
    let shows: Vec<(String, String)> =
        fixed.map(|setting| (setting.name.clone(), setting.dial_text())).collect();
    if pieces.is_empty() {
        return Vec::new();
    }
    let passes = &group.outcome.passes;
    if passes.is_empty() {
        let state = MachineState {
            tool: planned.tool.clone(),
            dials,
            shows,
            pass: None,
            pieces: pieces.len(),
        };
        return Some(state).filter(|state| !state.dials.is_empty()).into_iter().collect();
    }
    let scale = settings.filter(|setting| setting.by_passes).map(|setting| &setting.name).next();
    let Some(scale) = scale else { return Vec::new() };
    let state = |pass: &Pass| {
        let done = context.setup().and_then(|setup| setup.passes.get(&pass.number));
        let is_done = |piece: &&&Piece| done.is_some_and(|done| done.contains(piece.place));
        let mut dials = dials.clone();
        let mut shows = shows.clone();
        dials.push((scale.clone(), pass.dial));
        shows.push((scale.clone(), pass.dial_text()));
        MachineState {
            tool: pass.tool.clone().or_else(|| planned.tool.clone()),
            dials,
            shows,
            pass: Some(pass.number),
            pieces: pieces.iter().filter(|piece| !is_done(piece)).count(),
        }
    };
    // The same height again moves nothing.
    let heights = passes.iter().filter(|pass| !pass.kiss).map(state);
    heights.filter(|state| state.pieces > 0).collect()
}
