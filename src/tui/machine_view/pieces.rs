//! The words while pieces are cut and measured.

use super::instructions::{capital, while_cutting};
use super::place::place_on_board;
use super::setting::scale_name;
use super::view::MachineView;
use crate::journal::{Decision, PieceId};
use crate::plan::PlannedOperation;
use crate::plan::hours::Through;
use crate::route::Role;
use crate::work::{NextNumber, ReadReason, WorkContext, limits_words};

/// What is fed, and how.
pub(super) struct Feed<'a> {
    pub(super) pass: Option<u32>,
    pub(super) faces: &'a [&'static str],
    pub(super) feeds: u32,
    /// Whether it goes through once more at the same height.
    pub(super) kiss: bool,
    /// Whether it is the first piece, looked at before the others follow.
    pub(super) alone: bool,
    pub(super) pieces: &'a [PieceId],
    /// The number that says all are fed.
    pub(super) then: Option<&'a NextNumber>,
}

impl Feed<'_> {
    fn all(&self) -> String {
        match self.pieces.len() {
            1 => "the piece".to_owned(),
            count => format!("all {count}"),
        }
    }

    fn words(&self) -> String {
        let all = if self.alone { "the first piece alone".to_owned() } else { self.all() };
        match (self.kiss, self.faces) {
            (true, faces) => format!("Same height again: {all}, faces {}.", faces.join(", ")),
            (_, []) if self.pass.is_none() => format!("By hand: {all}."),
            (_, []) => format!("Run {all} through."),
            (_, [one @ ("face" | "edge")]) => {
                let times = if self.feeds == 1 {
                    "1 pass".to_owned()
                } else {
                    format!("{} passes", self.feeds)
                };
                format!("The {one} of {all}: {times}, or until clean.")
            }
            (_, named) if named.iter().all(|face| face.len() > 1) => {
                let feeds = match self.feeds {
                    1 => String::new(),
                    feeds => format!(", {feeds} cuts each"),
                };
                format!("The {}: run {all} through{feeds}.", named.join(", then the "))
            }
            (_, [one]) => format!("Face {one} up: run {all} through."),
            (_, many) => {
                format!("Faces {} up, quarter turn between: run {all} through.", many.join(", "))
            }
        }
    }
}

impl MachineView {
    pub(super) fn feed(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        feed: &Feed<'_>,
    ) {
        self.is_set = true;
        self.now.push(feed.words());
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
                self.details.push(format!("Pass {pass} of {passes}."));
                if let Some(Through::LastSafeStop(last)) = context.through(pass) {
                    self.details.push(format!("Stop after pass {last}: the bell rings then."));
                }
            }
            self.details.extend(while_cutting(planned, group, context.route.unit));
        }
        if feed.alone && feed.then.is_none() {
            self.prompt = "Enter: it is clean".to_owned();
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
        self.is_set = true;
        let whose = whose(context, piece);
        self.now.push(match (why, does) {
            (ReadReason::First, Some(does)) => {
                let cut = cut_and_measure(&does.to_lowercase(), &name, &whose, of);
                format!("First piece: {cut}")
            }
            (ReadReason::First, None) if is_stack && !context.state.is_done(context.op, piece) => {
                format!("First piece: run {name} through and measure its {of}.")
            }
            (ReadReason::First, None) => format!("First piece: measure the {of} of {name}."),
            (ReadReason::Between, _) => {
                format!("The setting moved somewhere between: measure {name}.")
            }
            (ReadReason::Bridge, _) => format!("Before you go on: measure {name} once more."),
            (ReadReason::Check, Some(does)) => cut_and_measure(does, &name, &whose, of),
            (ReadReason::Check, None) => format!("Measure the {of} of {name}."),
        });
        if let Some(limits) = context.limits(piece, n) {
            let limits = limits_words(&limits.limits, context.gauge(check), context.route.unit);
            self.details.push(format!("{}: {limits}", capital(&check.gauge)));
        }
        self.details.extend(check.place.iter().map(|place| format!("Where: {place}.")));
        self.hand(context, piece);
        // Nothing else says how it is done where nothing is set.
        let unsaid = does.is_some() || group.is_some_and(|group| group.outcome.settings.is_empty());
        if let Some(group) = group.filter(|_| unsaid && !is_stack) {
            self.details.extend(while_cutting(planned, group, context.route.unit));
        }
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
        self.is_set = true;
        let cut = match pieces {
            [only] => format!("Cut {}{}.", context.state.name(only), whose(context, only)),
            several => format!("Cut {}.", names(context, several)),
        };
        self.now.push(cut);
        self.now.extend(in_turn(context, pieces));
        match pieces {
            [only] => self.hand(context, only),
            several => {
                let placed = several.iter().filter_map(|piece| {
                    let place = from_the_board(context, piece)?;
                    Some(format!("{}: {place}.", capital(&context.state.name(piece))))
                });
                self.details.extend(placed);
                self.tally(context);
            }
        }
        if let Some(group) = context.group_of(piece) {
            // Sound ends and the order of lengths were found at the rack: what
            // is sliced off a marked length makes it too short.
            let is_marked = from_the_board(context, piece).is_some();
            let of_use = |text: &String| !(is_marked && group.outcome.steps.contains(text));
            let doing = while_cutting(planned, group, context.route.unit);
            self.details.extend(doing.into_iter().filter(of_use));
        }
        self.then(context, planned, then);
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
                self.now.push(format!("Then measure the {} of {name}.", planned.checks[*check].of));
                if let Some(limits) = context.limits(piece, *check) {
                    let check = &planned.checks[*check];
                    let gauge = context.gauge(check);
                    let limits = limits_words(&limits.limits, gauge, context.route.unit);
                    self.details.push(format!("{}: {limits}", capital(&check.gauge)));
                    self.details.extend(check.place.iter().map(|at| format!("Where: {at}.")));
                }
            }
            Some(NextNumber::Set(settings)) => {
                let heights = settings.iter().map(|set| set.readout.shown(set.dial.0));
                let scale = settings.first().map_or("", |set| scale_name(&set.setting));
                let heights = heights.collect::<Vec<_>>().join(", then ");
                if let Some(change) = settings.first().and_then(|set| set.fit.as_ref()) {
                    self.now.push(format!(
                        "Then fit the {}: machine off and locked, then guard back.",
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
        if then.is_some() {
            self.details.push(match count {
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
        let is_tallied = self.tally(context);
        if let (false, Some(set), Some(hand)) = (is_tallied, label.set, &label.hand) {
            self.details.push(format!("{} {set}, {hand}.", capital(&context.route.article.one)));
        }
    }

    /// How many of each hand are through; false where left and right are cut alike.
    fn tally(&mut self, context: &WorkContext<'_>) -> bool {
        let tallied = context.hands_through().into_iter();
        let tallied: Vec<String> =
            tallied.map(|(hand, done, all)| format!("{hand} {done} of {all}")).collect();
        if !tallied.is_empty() {
            self.details.push(format!("Through: {}.", tallied.join(", ")));
        }
        !tallied.is_empty()
    }
}

/// Several pieces with the hand of each, where left and right are cut differently.
fn in_turn(context: &WorkContext<'_>, pieces: &[PieceId]) -> Option<String> {
    if pieces.len() < 2 || context.hands_through().is_empty() {
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

/// `leg 2, leg 3 and leg 4`; many in a row by their ends.
fn names(context: &WorkContext<'_>, pieces: &[PieceId]) -> String {
    let name = |piece: &PieceId| context.state.name(piece);
    match pieces {
        [] => String::new(),
        [only] => name(only),
        [first, .., last] if pieces.len() > 4 => {
            format!("{} to {}: {} pieces", name(first), name(last), pieces.len())
        }
        [rest @ .., last] => {
            let rest: Vec<String> = rest.iter().map(name).collect();
            format!("{} and {}", rest.join(", "), name(last))
        }
    }
}

/// `Rip leg 1 and measure its width.`
fn cut_and_measure(does: &str, name: &str, whose: &str, of: &str) -> String {
    match whose {
        "" => format!("{does} {name} and measure its {of}."),
        whose => format!("{does} {name}{whose}. Measure its {of}."),
    }
}

/// `board 2, from 20 1/4 to 39 3/8 in` where pieces come from the board here.
fn from_the_board(context: &WorkContext<'_>, piece: &PieceId) -> Option<String> {
    let rough = context.route.step(context.op).is_some_and(|step| step.what.is_rough());
    rough.then(|| place_on_board(context.state, context.route.unit, piece))?
}

/// `: stool 2, front left` where the operation takes left and right differently;
/// nothing where it doesn't matter.
fn whose(context: &WorkContext<'_>, piece: &PieceId) -> String {
    let label = context.state.piece(piece).map(|held| &held.label);
    let label = label.filter(|_| !context.hands_through().is_empty());
    match label.and_then(|label| label.set.zip(label.hand.as_ref())) {
        Some((set, hand)) => format!(": {} {set}, {hand}", context.route.article),
        None => String::new(),
    }
}

/// Whether a piece was cut at this setting already, and only measuring is left.
fn is_under_way(context: &WorkContext<'_>, planned: &PlannedOperation, piece: &PieceId) -> bool {
    let set = context.setup().and_then(|setup| setup.shown.last()).map_or(0, |last| last.order);
    let read = planned.checks.iter().any(|check| {
        let reading = context.state.reading_in_force(context.op, piece, &check.of);
        reading.is_some_and(|reading| {
            reading.order > set && context.state.decision_on(reading) != Some(Decision::Rework)
        })
    });
    read || context.state.is_done(context.op, piece)
}
