//! What is due now at an operation: one thing at a time, computed from the
//! state alone, so that anybody can go on where somebody left off.
//! Knows nothing of keys, screens or files.

use chrono::{DateTime, Duration, FixedOffset};

use super::event::{Decision, GaugeSays, PieceId};
use super::follow::{self, Proposal};
use super::state::{Piece, Setup, State};
use crate::document::Level;
use crate::measure::{Dial, Gauge, Length, Readout, Target, Verdict, judge};
use crate::operation::Outcome;
use crate::plan::{Group, GroupLimits, Plan, PlanFinding, PlannedCheck, PlannedOperation};
use crate::route::{Role, Route};
use crate::shop::Shop;

/// A gauge is tried again after so many readings, or so many minutes
/// (common practice, no source).
const READINGS_A_ZERO: u32 = 20;
const MINUTES_A_ZERO: i64 = 30;

/// Who stands where, and everything that is known there.
#[derive(Clone, Copy)]
pub struct Stand<'a> {
    pub route: &'a Route,
    pub shop: &'a Shop,
    pub plan: &'a Plan,
    pub state: &'a State,
    pub station: &'a str,
    pub who: Option<&'a str>,
    pub now: DateTime<FixedOffset>,
    pub op: u32,
}

/// Why a piece is to be measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadWhy {
    /// It proves the setting.
    First,
    /// The check asks for it.
    Check,
    /// First and last differ: where between them did it move?
    Between,
}

/// A scale to be set, and what it must then show.
#[derive(Clone, Debug, PartialEq)]
pub struct SetDue {
    pub setting: String,
    pub pass: Option<u32>,
    pub readout: Readout,
    pub target: Target,
    pub dial: Dial,
    /// Moved from what was planned, after a first piece.
    pub moved: Length,
    pub pieces: Vec<PieceId>,
    pub tool: Option<String>,
    pub presses: Option<u32>,
    /// What it showed before this pass.
    pub before: Option<Length>,
}

/// The one thing due now.
#[derive(Clone, Debug, PartialEq)]
pub enum Due {
    /// Nobody has said who is here.
    Who,
    /// The operation may not begin. Nobody opens a machine's own limit.
    Shut {
        reasons: Vec<String>,
        openable: bool,
    },
    /// Cautions to be read by this person, for this machine and tool, today.
    Caution {
        machine: String,
        tool: Option<String>,
    },
    /// A gauge to be zeroed and tried on its block.
    Zero {
        gauge: String,
        block: Option<Length>,
    },
    /// A tool to be put in.
    Tool {
        machine: String,
        tool: String,
        was: Option<String>,
    },
    Set(SetDue),
    /// The whole stack through, or done by hand.
    Feed {
        pass: Option<u32>,
        faces: Vec<&'static str>,
        feeds: u32,
        kiss: bool,
        pieces: Vec<PieceId>,
    },
    /// A piece to be measured.
    Read {
        piece: PieceId,
        check: usize,
        why: ReadWhy,
    },
    /// A piece to be cut and ticked.
    Tick {
        piece: PieceId,
    },
    /// A piece out of limits, or too close to call.
    Decide {
        piece: PieceId,
        check: usize,
        verdict: Verdict,
        first: bool,
    },
    /// Everything is through.
    Close {
        done: usize,
        aside: usize,
    },
    /// What was measured becomes a dimension: the lead accepts what follows.
    Accept(Box<Proposal>),
    /// This operation is finished.
    Finished,
}

impl<'a> Stand<'a> {
    pub fn planned(&self) -> Option<&'a PlannedOperation> {
        self.plan.operation(self.op)
    }

    pub fn setup(&self) -> Option<&'a Setup> {
        self.state.setups.get(&self.op)
    }

    /// The pieces of this operation in cut order.
    pub fn pieces(&self) -> Vec<&'a Piece> {
        let Some(planned) = self.planned() else { return Vec::new() };
        self.state.pieces_into(&planned.part, self.op).collect()
    }

    /// The group of alike pieces a piece belongs to.
    pub fn group_of(&self, piece: &PieceId) -> Option<&'a Group> {
        let planned = self.planned()?;
        let label = &self.state.piece(piece)?.label;
        let index = planned.pieces.iter().position(|held| held == label);
        index.and_then(|index| planned.group_of(index)).or(planned.groups.first())
    }

    pub fn limits(&self, piece: &PieceId, check: usize) -> Option<GroupLimits> {
        self.group_of(piece)?.limits.get(check).copied()
    }

    pub fn gauge(&self, check: &PlannedCheck) -> Option<&'a Gauge> {
        self.shop.gauges.get(&check.gauge)
    }

    /// What the standing reading of a piece says, by the limits of its own time.
    pub fn verdict(&self, piece: &PieceId, check: &PlannedCheck) -> Option<Verdict> {
        self.state.standing(self.op, piece, &check.of).map(|reading| verdict_of(&reading.taken))
    }

    /// Its place in cut order and how many there are, setup pieces apart.
    pub fn place_of(&self, piece: &PieceId) -> (usize, usize) {
        let pieces = self.pieces();
        let counted: Vec<&&Piece> =
            pieces.iter().filter(|held| held.label.role != Role::Setup).collect();
        let at = counted.iter().position(|held| held.id == *piece).map_or(0, |index| index + 1);
        (at, counted.len())
    }

    /// Whether a check wants this piece: setup pieces prove settings, so always.
    pub fn wants(&self, check: &PlannedCheck, piece: &PieceId) -> bool {
        let (at, count) = self.place_of(piece);
        at == 0 || check.pieces.wants(at, count)
    }
}

/// What a reading on record says.
pub fn verdict_of(taken: &super::event::TakenReading) -> Verdict {
    let again = |side| taken.safe == side;
    match taken.says {
        GaugeSays::Size(size) => judge(size, &taken.limits(), taken.uncertainty, taken.safe),
        GaugeSays::In => Verdict::In,
        GaugeSays::TooBig => {
            Verdict::TooBig { by: Length::ZERO, again: again(crate::measure::SafeSide::Big) }
        }
        GaugeSays::TooSmall => {
            Verdict::TooSmall { by: Length::ZERO, again: again(crate::measure::SafeSide::Small) }
        }
    }
}

/// The operation to go on with at a station: where it was working, or the
/// first that is not finished.
pub fn next_op(route: &Route, state: &State, station: &str) -> Option<u32> {
    let open = |op: u32| !is_finished(route, state, op);
    state
        .working_at
        .get(station)
        .copied()
        .filter(|op| route.step(*op).is_some() && open(*op))
        .or_else(|| route.steps.iter().map(|step| step.op).find(|op| open(*op)))
}

/// Closed, and whatever it makes accepted.
pub fn is_finished(route: &Route, state: &State, op: u32) -> bool {
    state.is_closed(op) && !follow::waits_for_the_lead(route, state, op)
}

/// The one thing due now.
pub fn due(stand: &Stand<'_>) -> Due {
    let Some(planned) = stand.planned() else { return Due::Finished };
    if stand.who.is_none() {
        return Due::Who;
    }
    if stand.state.is_closed(stand.op) {
        return match follow::proposal(stand) {
            Some(proposal) => Due::Accept(Box::new(proposal)),
            None => Due::Finished,
        };
    }
    let early = shut(stand, planned).or_else(|| caution(stand, planned)).or_else(|| {
        let gauges = planned.checks.iter().map(|check| check.gauge.as_str());
        gauges.into_iter().find_map(|gauge| zero(stand, gauge))
    });
    if let Some(due) = early {
        return due;
    }
    let style = Style::of(planned);
    let worked = match style {
        Style::Stack => stack(stand, planned),
        Style::PieceByPiece => piece_by_piece(stand, planned),
        Style::ReadingsOnly => readings(stand, planned),
        Style::ByHand => by_hand(stand),
    };
    worked.or_else(|| between(stand, planned)).unwrap_or_else(|| {
        let pieces = stand.pieces();
        let aside = pieces.iter().filter(|piece| piece.aside.is_some()).count();
        Due::Close { done: pieces.len() - aside, aside }
    })
}

/// How an operation is walked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Style {
    /// Every piece through one height, then the next height.
    Stack,
    /// One setting, then piece after piece.
    PieceByPiece,
    ReadingsOnly,
    ByHand,
}

impl Style {
    fn of(planned: &PlannedOperation) -> Style {
        let outcome = planned.groups.first().map(|group| &group.outcome);
        match outcome {
            Some(outcome) if !outcome.passes.is_empty() => Style::Stack,
            Some(outcome) if !outcome.settings.is_empty() => Style::PieceByPiece,
            _ if !planned.checks.is_empty() => Style::ReadingsOnly,
            _ => Style::ByHand,
        }
    }
}

impl Stand<'_> {
    /// What the operation says of a piece that is too big: one sentence.
    pub fn cut_again(&self, over: crate::operation::Over) -> Option<String> {
        crate::plan::cut_again(self.route, self.shop, &self.state.known(), self.op, over)
    }
}

/// Whether the operation has to wait, and why.
fn shut(stand: &Stand<'_>, planned: &PlannedOperation) -> Option<Due> {
    let begun = stand.setup().is_some_and(|setup| setup.begun.is_some());
    let errors: Vec<&PlanFinding> =
        planned.findings.iter().filter(|finding| finding.level == Level::Error).collect();
    let limits: Vec<String> = errors
        .iter()
        .filter(|finding| finding.is_a_limit)
        .map(|finding| sentence(finding))
        .collect();
    if !limits.is_empty() {
        return Some(Due::Shut { reasons: limits, openable: false });
    }
    if begun || stand.setup().is_some_and(|setup| setup.opened_early.is_some()) {
        return None;
    }
    let mut reasons: Vec<String> = errors.iter().map(|finding| sentence(finding)).collect();
    let earlier = stand.route.steps.iter().filter(|step| {
        step.part == planned.part && step.op < stand.op && !stand.state.is_closed(step.op)
    });
    if let Some(step) = earlier.min_by_key(|step| step.op) {
        reasons
            .push(format!("op {} ({}) is not finished for these pieces", step.op, step.kind.name));
    }
    if planned.cant_be_undone {
        for need in &planned.needs {
            if !stand.state.made.iter().any(|made| made.made.dim == need.dim) {
                reasons.push(format!(
                    "{} is only planned: it is measured at op {}, and this cut can't be undone",
                    need.dim, need.op
                ));
            }
        }
    }
    (!reasons.is_empty()).then_some(Due::Shut { reasons, openable: true })
}

fn sentence(finding: &PlanFinding) -> String {
    match &finding.fix {
        Some(fix) => format!("{} ({fix})", finding.what),
        None => finding.what.clone(),
    }
}

fn caution(stand: &Stand<'_>, planned: &PlannedOperation) -> Option<Due> {
    let machine = planned.at.clone()?;
    if planned.cautions.is_empty() {
        return None;
    }
    let tool = planned.tool.clone();
    let who = stand.who.unwrap_or_default().to_owned();
    let key = (who, machine.clone(), tool.clone(), stand.now.date_naive());
    (!stand.state.cautions_read.contains(&key)).then_some(Due::Caution { machine, tool })
}

/// Whether a gauge is to be zeroed before it is used again.
fn zero(stand: &Stand<'_>, gauge: &str) -> Option<Due> {
    let held = stand.shop.gauges.get(gauge)?;
    held.entry()?;
    let key = (stand.station.to_owned(), gauge.to_owned());
    let fresh = stand.state.zeroed.get(&key).is_some_and(|zeroing| {
        zeroing.readings_since < READINGS_A_ZERO
            && stand.now.signed_duration_since(zeroing.at) < Duration::minutes(MINUTES_A_ZERO)
            && zeroing.at.date_naive() == stand.now.date_naive()
    });
    let block = stand.shop.check_blocks.get(gauge).copied();
    // A gauge with nothing to be tried on has no zero to set: rules and tapes.
    (!fresh && block.is_some()).then(|| Due::Zero { gauge: gauge.to_owned(), block })
}

/// When the next gauge falls due by the clock alone, so that a sleeping
/// terminal knows when to wake.
pub fn wake_at(stand: &Stand<'_>) -> Option<DateTime<FixedOffset>> {
    let zeroings = stand
        .state
        .zeroed
        .iter()
        .filter(|((station, _), _)| station == stand.station)
        .map(|(_, zeroing)| zeroing.at + Duration::minutes(MINUTES_A_ZERO));
    let waits = stand.state.waits.iter().map(|wait| wait.until);
    zeroings.chain(waits).filter(|at| *at > stand.now).min()
}

fn tool_due(stand: &Stand<'_>, tool: Option<&str>) -> Option<Due> {
    let planned = stand.planned()?;
    let machine = planned.at.as_ref()?;
    let tool = tool?;
    // With one tool there is nothing to change.
    if stand.shop.machines.get(machine)?.tools.len() < 2 {
        return None;
    }
    let was = stand.state.tools.get(machine);
    (was.map(String::as_str) != Some(tool)).then(|| Due::Tool {
        machine: machine.clone(),
        tool: tool.to_owned(),
        was: was.cloned(),
    })
}

/// The setting that has not been shown to stand right since the tool went in.
fn unset(stand: &Stand<'_>, setting: &str, pass: Option<u32>, pieces: &[PieceId]) -> bool {
    !stand.setup().is_some_and(|setup| {
        setup
            .shown
            .iter()
            .rev()
            .find(|shown| {
                shown.stored.setting == setting
                    && shown.stored.pass == pass
                    && (shown.pieces.is_empty() || shown.pieces == pieces)
            })
            .is_some_and(|shown| shown.right && !shown.superseded)
    })
}

/// A step of a stack: every piece through each height.
fn stack(stand: &Stand<'_>, planned: &PlannedOperation) -> Option<Due> {
    let outcome = &planned.groups.first()?.outcome;
    let members: Vec<PieceId> = in_work(stand);
    if members.is_empty() {
        return None;
    }
    let setup = stand.setup();
    let last = outcome.passes.last().map(|pass| pass.number);
    let mut before = None;
    for pass in &outcome.passes {
        let through = setup.and_then(|setup| setup.passes.get(&pass.number));
        let left: Vec<PieceId> = members
            .iter()
            .filter(|piece| through.is_none_or(|through| !through.contains(piece)))
            .cloned()
            .collect();
        let setting = pass_setting(outcome);
        let moved = moved(setup, &setting);
        if !left.is_empty() {
            if let Some(due) = tool_due(stand, pass.tool.as_deref()) {
                return Some(due);
            }
            if pass.number == 1
                && let Some(due) = opening(stand, outcome, &members)
            {
                return Some(due);
            }
            if !pass.kiss && unset(stand, &setting, Some(pass.number), &[]) {
                return Some(Due::Set(SetDue {
                    setting,
                    pass: Some(pass.number),
                    readout: pass.readout,
                    target: pass.target,
                    dial: Dial(pass.dial.0 + moved),
                    moved,
                    pieces: Vec::new(),
                    tool: pass.tool.clone(),
                    presses: pass.presses,
                    before,
                }));
            }
            // The first piece alone proves the last height, if a check looks.
            let proves = last == Some(pass.number)
                || outcome.passes.iter().any(|p| p.kiss && p.number == pass.number + 1);
            let first = &members[0];
            if proves
                && !pass.kiss
                && left.len() == members.len()
                && !planned.checks.is_empty()
                && setup.is_none_or(|setup| setup.first_piece.is_none())
                && planned.checks.iter().any(|check| sizes_here(outcome, check))
                && let Some(due) = prove(stand, planned, first)
            {
                return Some(due);
            }
            return Some(Due::Feed {
                pass: Some(pass.number),
                faces: pass.faces.clone(),
                feeds: pass.feeds,
                kiss: pass.kiss,
                pieces: left,
            });
        }
        before = Some(pass.dial.0);
    }
    readings(stand, planned)
}

fn sizes_here(outcome: &Outcome, check: &PlannedCheck) -> bool {
    outcome.after.sizes.contains_key(&check.of)
}

/// The scale that passes lead down on.
fn pass_setting(outcome: &Outcome) -> String {
    outcome.settings.iter().find(|s| s.by_passes).map_or_else(String::new, |s| s.name.clone())
}

/// Settings of a stack that stand before its first pass.
fn opening(stand: &Stand<'_>, outcome: &Outcome, members: &[PieceId]) -> Option<Due> {
    let named = outcome.settings.iter().filter(|setting| !setting.by_passes);
    named.into_iter().find(|named| unset(stand, &named.name, None, members)).map(|named| {
        Due::Set(SetDue {
            setting: named.name.clone(),
            pass: None,
            readout: named.readout,
            target: named.setting.target,
            dial: named.setting.dial,
            moved: Length::ZERO,
            pieces: Vec::new(),
            tool: None,
            presses: None,
            before: None,
        })
    })
}

/// What is still to be added to a setting after a first piece.
fn moved(setup: Option<&Setup>, setting: &str) -> Length {
    setup.and_then(|setup| setup.moves.get(setting)).copied().unwrap_or(Length::ZERO)
}

/// One setting, then piece after piece; groups with their own dials in turn.
fn piece_by_piece(stand: &Stand<'_>, planned: &PlannedOperation) -> Option<Due> {
    let members = in_work(stand);
    for group in &planned.groups {
        let own: Vec<PieceId> = members
            .iter()
            .filter(|piece| stand.group_of(piece).is_some_and(|held| std::ptr::eq(held, group)))
            .cloned()
            .collect();
        let open: Vec<&PieceId> =
            own.iter().filter(|piece| !settled(stand, planned, piece)).collect();
        let Some(next) = open.first() else { continue };
        if let Some(due) = tool_due(stand, planned.tool.as_deref()) {
            return Some(due);
        }
        let alone = planned.groups.len() > 1;
        let pieces = if alone { own.clone() } else { Vec::new() };
        for named in group.outcome.settings.iter().filter(|setting| !setting.by_passes) {
            if unset(stand, &named.name, None, &pieces) {
                let moved = moved(stand.setup(), &named.name);
                return Some(Due::Set(SetDue {
                    setting: named.name.clone(),
                    pass: None,
                    readout: named.readout,
                    target: named.setting.target,
                    dial: Dial(named.setting.dial.0 + moved),
                    moved,
                    pieces,
                    tool: planned.tool.clone(),
                    presses: None,
                    before: None,
                }));
            }
        }
        let proven = stand.setup().is_some_and(|setup| setup.first_piece.is_some());
        if !proven && !planned.checks.is_empty() {
            return Some(
                prove(stand, planned, next).unwrap_or(Due::Tick { piece: (*next).clone() }),
            );
        }
        return Some(
            reading_due(stand, planned, next, ReadWhy::Check)
                .unwrap_or_else(|| Due::Tick { piece: (*next).clone() }),
        );
    }
    None
}

/// The first piece of a setup: every check on it, whatever the checks want.
fn prove(stand: &Stand<'_>, planned: &PlannedOperation, piece: &PieceId) -> Option<Due> {
    planned
        .checks
        .iter()
        .enumerate()
        .find_map(|(n, check)| open_check(stand, check, n, piece, true))
}

/// Readings that checks still want, in cut order.
fn readings(stand: &Stand<'_>, planned: &PlannedOperation) -> Option<Due> {
    let members = in_work(stand);
    let open = members.iter().find_map(|piece| reading_due(stand, planned, piece, ReadWhy::Check));
    open.or_else(|| {
        let left: Vec<PieceId> =
            members.into_iter().filter(|piece| !stand.state.is_done(stand.op, piece)).collect();
        (!left.is_empty()).then_some(Due::Feed {
            pass: None,
            faces: Vec::new(),
            feeds: 1,
            kiss: false,
            pieces: left,
        })
    })
}

fn by_hand(stand: &Stand<'_>) -> Option<Due> {
    let left: Vec<PieceId> =
        in_work(stand).into_iter().filter(|piece| !stand.state.is_done(stand.op, piece)).collect();
    (!left.is_empty()).then_some(Due::Feed {
        pass: None,
        faces: Vec::new(),
        feeds: 1,
        kiss: false,
        pieces: left,
    })
}

/// The first check that still wants something of this piece.
fn reading_due(
    stand: &Stand<'_>,
    planned: &PlannedOperation,
    piece: &PieceId,
    why: ReadWhy,
) -> Option<Due> {
    planned
        .checks
        .iter()
        .enumerate()
        .filter(|(_, check)| stand.wants(check, piece) || stand.verdict(piece, check).is_some())
        .find_map(|(n, check)| open_check(stand, check, n, piece, false))
        .map(|due| match due {
            Due::Read { piece, check, .. } => Due::Read { piece, check, why },
            other => other,
        })
}

/// A check on a piece that is not yet answered well.
fn open_check(
    stand: &Stand<'_>,
    check: &PlannedCheck,
    n: usize,
    piece: &PieceId,
    first: bool,
) -> Option<Due> {
    let read = || {
        zero(stand, &check.gauge).unwrap_or(Due::Read {
            piece: piece.clone(),
            check: n,
            why: if first { ReadWhy::First } else { ReadWhy::Check },
        })
    };
    match stand.verdict(piece, check) {
        None => Some(read()),
        Some(Verdict::In) => None,
        Some(verdict) => match stand.state.decision_at(stand.op, piece) {
            Some(Decision::Accept | Decision::SetAside) => None,
            // Sent back for another cut: the next reading takes the old one's place.
            Some(Decision::Rework) if reworked(stand, piece, check) => Some(read()),
            _ => Some(Due::Decide { piece: piece.clone(), check: n, verdict, first }),
        },
    }
}

/// Whether no reading was taken since the piece was sent back for another cut.
fn reworked(stand: &Stand<'_>, piece: &PieceId, check: &PlannedCheck) -> bool {
    let reworks = stand.state.piece(piece).map_or(0, |held| {
        held.decisions
            .iter()
            .filter(|(op, decision, _)| *op == stand.op && *decision == Decision::Rework)
            .count()
    });
    let readings = stand
        .state
        .readings
        .iter()
        .filter(|reading| {
            let taken = &reading.taken;
            !reading.struck
                && taken.op == stand.op
                && taken.piece == *piece
                && taken.feature == check.of
        })
        .count();
    readings <= reworks
}

/// Whether nothing more is wanted of a piece at a piece-by-piece operation.
fn settled(stand: &Stand<'_>, planned: &PlannedOperation, piece: &PieceId) -> bool {
    stand.state.is_done(stand.op, piece)
        && reading_due(stand, planned, piece, ReadWhy::Check).is_none()
}

/// Pieces that go through: those set aside here are out of it.
fn in_work(stand: &Stand<'_>) -> Vec<PieceId> {
    stand
        .pieces()
        .into_iter()
        .filter(|piece| piece.aside.is_none())
        .map(|piece| piece.id.clone())
        .collect()
}

/// When first and last differ too much, the piece halfway between the last
/// known like the first and the first known like the last. Common practice,
/// no source: a quarter of the band, and three times the uncertainty.
fn between(stand: &Stand<'_>, planned: &PlannedOperation) -> Option<Due> {
    planned.checks.iter().enumerate().find_map(|(n, check)| {
        let drift = drift(stand, check, n)?;
        let skipped = stand
            .state
            .remarks
            .iter()
            .any(|remark| remark.op == Some(stand.op) && remark.text == drift.skipped_text());
        let piece = drift.next?;
        (!skipped).then(|| {
            zero(stand, &check.gauge).unwrap_or(Due::Read {
                piece,
                check: n,
                why: ReadWhy::Between,
            })
        })
    })
}

/// A setting that moved while pieces were cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Drift {
    pub feature: String,
    pub by: Length,
    /// Between which places in cut order it moved, as far as is known.
    pub after: usize,
    pub before: usize,
    /// The piece to measure next; `None` once neighbours differ.
    pub next: Option<PieceId>,
}

impl Drift {
    /// The remark by which people say they leave it at that.
    pub fn skipped_text(&self) -> String {
        format!("{} differs from first to last; left at that", self.feature)
    }
}

/// Whether a feature drifted over the stack, and where as far as is known.
pub fn drift(stand: &Stand<'_>, check: &PlannedCheck, n: usize) -> Option<Drift> {
    let members: Vec<&Piece> = stand
        .pieces()
        .into_iter()
        .filter(|piece| piece.aside.is_none() && piece.label.role != Role::Setup)
        .collect();
    let size = |piece: &Piece| {
        stand.state.standing(stand.op, &piece.id, &check.of).and_then(|r| r.taken.size())
    };
    let known: Vec<(usize, Length)> = members
        .iter()
        .enumerate()
        .filter_map(|(index, piece)| Some((index, size(piece)?)))
        .collect();
    let ((first_at, first), (last_at, last)) = (*known.first()?, *known.last()?);
    let uncertainty = stand.gauge(check)?.uncertainty()?;
    let limits = stand.limits(&members.first()?.id, n)?.limits;
    let band = limits.band()?;
    let by = last - first;
    if by.abs() <= (band / 4).max(uncertainty * 3) || first_at == last_at {
        return None;
    }
    let nearer_first = |size: Length| (size - first).abs() <= (size - last).abs();
    let low = known.iter().take_while(|(_, size)| nearer_first(*size)).last()?.0;
    let high = known.iter().find(|(index, size)| *index > low && !nearer_first(*size))?.0;
    let next = (high - low > 1).then(|| members[(low + high) / 2].id.clone());
    Some(Drift { feature: check.of.clone(), by, after: low + 1, before: high + 1, next })
}
