//! The words while pieces are cut and measured.

use super::named::Feed;
use super::order;
use super::place::place_on_board;
use super::view::{Lit, MachineView};
use crate::journal::{Decision, PieceId};
use crate::operation::{Outcome, faces_up, is_lettered, scale_name};
use crate::plan::hours::Through;
use crate::plan::{PlannedCheck, PlannedOperation};
use crate::prose::capital;
use crate::route::Role;
use crate::work::{NextNumber, ReadReason, WorkContext, limits_words, while_cutting};

impl MachineView {
    pub(super) fn feed(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        feed: &Feed<'_>,
    ) {
        self.order = order::feed(feed);
        if feed.alone {
            self.now.push("Clean from end to end? Then the others follow.".to_owned());
        }
        self.then(context, planned, feed.then);
        self.details.extend(feed.pieces.iter().filter_map(|piece| {
            Some(format!("{}: {}.", context.state.name(piece), from_the_board(context, piece)?))
        }));
        if let Some(group) = planned.groups.first() {
            let passes = group.outcome.passes.len();
            if let Some(pass) = feed.pass {
                if let Some(Through::LastSafeStop(last)) = context.through(pass) {
                    self.details.push(format!("Stop after pass {last}: the bell rings then."));
                }
                let doing = while_cutting(planned, group, context.route.unit).into_iter();
                let steps = &group.outcome.steps;
                self.details.extend(
                    doing.filter(|text| {
                        !(steps.contains(text) && is_of_other_side(text, feed.faces))
                    }),
                );
                self.details.push(format!("Pass {pass} of {passes}."));
            } else {
                self.details.extend(while_cutting(planned, group, context.route.unit));
            }
        }
        if feed.alone && feed.then.is_none() {
            self.prompt = "Enter: it is clean".to_owned();
            self.enter = "clean".to_owned();
            return;
        }
        let done = if feed.pass.is_some() { "through" } else { "done" };
        self.ask_how_many(context, planned, feed.then, feed.pieces.len(), done);
    }

    pub(super) fn read(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        piece: &PieceId,
        n: usize,
        why: ReadReason,
    ) {
        let check = &planned.checks[n];
        let name = context.state.name(piece);
        let group = context.group_of(piece);
        let is_stack = group.is_some_and(|group| !group.outcome.passes.is_empty());
        let does = context.route.step(context.op).and_then(|step| step.what.does());
        let does = does.filter(|_| !is_stack && !is_under_way(context, planned, piece));
        let of = &check.of;
        self.lit = Lit::Entry;
        let is_fed = why == ReadReason::First && is_stack;
        let is_fed = is_fed && !context.state.is_done(context.op, piece);
        let doing = match does {
            Some(does) => {
                Some(format!("{} it", order::with_its_beginning(context, &does.to_lowercase())))
            }
            None => is_fed.then(|| fed(group.map(|group| &group.outcome))),
        };
        self.order = if is_cut_again(context, piece, check) && !is_fed && why != ReadReason::Bridge
        {
            order::again(context, piece, of, check.kind.is_form())
        } else {
            order::measure(context, piece, of, why, doing.as_deref())
        };
        if let Some(group) = group.filter(|_| does.is_some()) {
            self.places.clone_from(&group.outcome.places);
        }
        if let Some(limits) = context.limits(piece, n) {
            let limits = limits_words(&limits.limits, context.gauge(check), context.route.unit);
            self.now.push(format!("{limits}, {}.", check.gauge));
        }
        self.now.extend(check.place.iter().map(|place| format!("Where: {place}.")));
        self.hand(context, piece);
        // Nothing else says how it is done where nothing is set.
        let unsaid = does.is_some() || group.is_some_and(|group| group.outcome.settings.is_empty());
        if let Some(group) = group.filter(|_| unsaid && !is_stack) {
            self.details.extend(while_cutting(planned, group, context.route.unit));
        }
        self.begin_with_the_note(planned);
        self.tally(context);
        if matches!(why, ReadReason::Between | ReadReason::Bridge) {
            self.details.push("To skip this: x, then Enter.".to_owned());
        }
        self.prompt = format!("{name} {of}");
        match context.gauge(check).and_then(|gauge| gauge.entry()) {
            Some(entry) => self.unit = entry.bare.sign(),
            None => self.details.push("i: within limits, b: too big, s: too small.".to_owned()),
        }
    }

    /// Pieces that are cut and not measured, and what is measured after them.
    pub(super) fn cut(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        pieces: &[PieceId],
        then: Option<&NextNumber>,
    ) {
        let Some(piece) = pieces.first() else { return };
        let measured = match then {
            Some(NextNumber::Read { piece, check, .. }) => {
                let of = &planned.checks[*check].of;
                let name = context.state.name(piece);
                Some(if pieces == [piece.clone()] {
                    format!("its {of}")
                } else {
                    format!("the {of} of {name}")
                })
            }
            _ => None,
        };
        self.order = order::cut(context, pieces, measured);
        match pieces {
            [only] => self.hand(context, only),
            several => {
                let placed = several.iter().filter_map(|piece| {
                    let place = from_the_board(context, piece)?;
                    Some(format!("{}: {place}.", capital(&context.state.name(piece))))
                });
                self.details.extend(placed);
            }
        }
        if let Some(group) = context.group_of(piece) {
            self.places.clone_from(&group.outcome.places);
            // Sound ends and the order of lengths were found at the rack: what
            // is sliced off a marked length makes it too short.
            let is_marked = from_the_board(context, piece).is_some();
            let of_use = |text: &String| !(is_marked && group.outcome.steps.contains(text));
            let doing = while_cutting(planned, group, context.route.unit);
            self.details.extend(doing.into_iter().filter(of_use));
            self.begin_with_the_note(planned);
        }
        self.places.splice(0..0, in_turn(context, pieces));
        self.then(context, planned, then);
        self.tally(context);
        self.ask_how_many(context, planned, then, pieces.len(), "cut");
    }

    /// What the next number is, in the words of the glance.
    fn then(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        then: Option<&NextNumber>,
    ) {
        match then {
            Some(NextNumber::Read { piece, check, through, .. }) => {
                let name = context.state.name(piece);
                let passes = planned.groups.first().map(|group| group.outcome.passes.as_slice());
                let alone = passes.unwrap_or_default().iter().find(|p| Some(p.number) == *through);
                if let Some([face, ..]) = alone.map(|pass| pass.faces.as_slice()) {
                    self.now.push(format!("Then the {face} of {name} alone."));
                }
                if let Some(limits) = context.limits(piece, *check) {
                    let check = &planned.checks[*check];
                    let gauge = context.gauge(check);
                    let limits = limits_words(&limits.limits, gauge, context.route.unit);
                    self.now.push(format!("{limits}, {}.", check.gauge));
                    self.now.extend(check.place.iter().map(|at| format!("Where: {at}.")));
                }
            }
            Some(NextNumber::Set(settings)) => {
                let heights = settings.iter().map(|set| set.readout.shown(set.dial.0));
                let scale = settings.first().map_or("", |set| scale_name(&set.setting));
                let heights = heights.collect::<Vec<_>>().join(", then ");
                if let Some(change) = settings.first().and_then(|set| set.fit.as_ref()) {
                    self.now.push(format!(
                        "Then fit the {}: machine off and locked; then put the guard back on.",
                        change.tool
                    ));
                }
                self.now.push(format!("Next on the {scale} scale: {heights}."));
            }
            None => {}
        }
    }

    /// The prompt while unmeasured pieces are counted.
    fn ask_how_many(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        then: Option<&NextNumber>,
        count: usize,
        done: &str,
    ) {
        let number = match then {
            Some(NextNumber::Read { piece, check, .. }) => {
                let check = &planned.checks[*check];
                let entry = context.gauge(check).and_then(|gauge| gauge.entry());
                self.unit = entry.map_or("", |entry| entry.bare.sign());
                Some(format!("{} {}", context.state.name(piece), check.of))
            }
            Some(NextNumber::Set(settings)) => settings.first().map(|set| {
                self.unit = set.readout.unit.sign();
                format!("the {} scale shows", scale_name(&set.setting))
            }),
            None => None,
        };
        self.prompt = match (number, count) {
            (Some(number), _) => number,
            (None, 1) => format!("Enter: {done}"),
            (None, count) => format!("how many are {done} (Enter: all {count})"),
        };
        self.enter = match count {
            1 => format!("it is {done}"),
            count => format!("all {count}"),
        };
        if then.is_some() {
            self.now.push(match count {
                1 => format!("Enter alone: it is {done}."),
                count => format!("Enter alone: all {count} are {done}. 1 to {count}: so many."),
            });
        }
    }

    /// Where the piece is, and which one of its article.
    fn hand(&mut self, context: &WorkContext<'_>, piece: &PieceId) {
        if let Some(place) = from_the_board(context, piece) {
            self.details.insert(0, format!("It is on {place}."));
        }
        let Some(label) = context.state.piece(piece).map(|held| &held.label) else { return };
        if label.role == Role::Setup {
            self.details.push("A setup piece: it proves the setting.".to_owned());
        }
        let is_handed = context.is_handed();
        if let (false, Some(set), Some(hand)) = (is_handed, label.set, &label.hand) {
            self.details.push(format!("{} {set}, {hand}.", capital(&context.route.article.one)));
        }
    }

    /// What the route says first of a cut, how the piece lies, belongs to where it is
    /// cut: limits are needed only afterwards.
    fn begin_with_the_note(&mut self, planned: &PlannedOperation) {
        let Some(note) = planned.note.as_ref().filter(|_| !self.places.is_empty()) else { return };
        let Some(at) = self.details.iter().position(|said| said == note) else { return };
        match note.split_once(". ") {
            Some((first, rest)) => {
                self.places.insert(0, format!("{first}."));
                rest.clone_into(&mut self.details[at]);
            }
            None => self.places.insert(0, self.details.remove(at)),
        }
    }

    /// How many of each hand are through, where left and right are cut apart.
    fn tally(&mut self, context: &WorkContext<'_>) {
        let tallied = context.hands_through().into_iter();
        let tallied: Vec<String> =
            tallied.map(|(hand, done, all)| format!("{hand} {done} of {all}")).collect();
        if !tallied.is_empty() {
            self.details.push(format!("Through: {}.", tallied.join(", ")));
        }
    }
}

/// Whether a step is about the side that this pass doesn't joint.
fn is_of_other_side(step: &str, faces: &[&str]) -> bool {
    let other = match faces {
        ["face"] => "edge",
        ["edge"] => "face",
        _ => return false,
    };
    [format!("the {other}."), format!("the {other}:")].iter().any(|side| step.contains(side))
}

/// `feed it, faces C, D up`: how the first piece goes through the last height.
fn fed(outcome: Option<&Outcome>) -> String {
    let passes = outcome.map(|outcome| outcome.passes.as_slice()).unwrap_or_default();
    let faces = passes.iter().rfind(|pass| !pass.kiss).map(|pass| pass.faces.as_slice());
    match faces.filter(|faces| is_lettered(faces)).and_then(faces_up) {
        Some(turned) => format!("feed it, {turned}"),
        None => "feed it".to_owned(),
    }
}

/// Several pieces with the hand of each, where left and right are cut differently.
fn in_turn(context: &WorkContext<'_>, pieces: &[PieceId]) -> Option<String> {
    if pieces.len() < 2 || !context.is_handed() {
        return None;
    }
    let labels = pieces.iter().filter_map(|piece| Some(&context.state.piece(piece)?.label));
    let handed: Vec<String> = labels
        .map(|label| match &label.hand {
            Some(hand) => format!("{label} {hand}"),
            None => label.to_string(),
        })
        .collect();
    Some(format!("In turn: {}.", handed.join(", ")))
}

/// `board 2, from 20 1/4 to 39 3/8 in` where pieces come from the board here.
fn from_the_board(context: &WorkContext<'_>, piece: &PieceId) -> Option<String> {
    let rough = context.route.step(context.op).is_some_and(|step| step.what.is_rough());
    rough.then(|| place_on_board(context.state, context.route.unit, piece))?
}

/// Whether a piece was cut at this setting already, and only measuring is left.
fn is_under_way(context: &WorkContext<'_>, planned: &PlannedOperation, piece: &PieceId) -> bool {
    let set = context.setup().and_then(|setup| setup.shown.last()).map_or(0, |last| last.order);
    let read = planned.checks.iter().any(|check| {
        let reading = context.state.reading_in_force(context.op, piece, &check.of);
        let is_read = reading.is_some_and(|reading| {
            reading.order > set && context.state.decision_on(reading) != Some(Decision::Rework)
        });
        is_read || context.is_to_be_measured_again(piece, check)
    });
    read || context.state.is_done(context.op, piece)
}

/// Whether somebody decided to cut a piece again, and it isn't measured since.
fn is_cut_again(context: &WorkContext<'_>, piece: &PieceId, check: &PlannedCheck) -> bool {
    let reading = context.state.reading_in_force(context.op, piece, &check.of);
    reading.is_some_and(|held| context.state.decision_on(held) == Some(Decision::Rework))
        && !context.is_to_be_measured_again(piece, check)
}
