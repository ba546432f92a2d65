//! What the machine screen says, as words: title, the one number, what to do
//! now, what to type. Knows nothing of cells or colours.

use super::boards_view::{self, lies};
use crate::journal::{Decision, PieceId, PieceTally, ReadingRecord};
use crate::measure::{Unit, spoken};
use crate::operation::{Fact, FactAmount, Outcome, decimal, words};
use crate::plan::hours::Through;
use crate::plan::{Change, Group, PlannedOperation};
use crate::route::Role;
use crate::shop::DEFER;
use crate::work::{
    Advice, Kept, Proposal, ReadReason, Remedy, SettingTask, Task, WorkContext, advice, at_words,
    choices, handover, limits_words,
};

/// The machine screen in words.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MachineView {
    /// `op 50  sand  wide-belt sander, 80 belt`.
    pub title: String,
    /// `legs: 21 done, 1 aside, 30 to go`.
    pub count: String,
    /// What the number is: `set the fence to`.
    pub label: String,
    /// The one number, as its scale shows it.
    pub big: String,
    /// Whether the scale stands at it already: then it is one line among
    /// others, for nothing is done to it.
    pub stands: bool,
    /// What it makes, and with which tool.
    pub under: String,
    /// What to do now, the first line for the glance.
    pub now: Vec<String>,
    /// Whether the work must stop for it.
    pub stop: bool,
    /// Whether the verdict on the last reading belongs here.
    pub shows_last: bool,
    /// What stays true meanwhile: limits, steps.
    pub details: Vec<String>,
    pub caution: String,
    pub prompt: String,
    pub unit: &'static str,
    pub choices: Vec<Remedy>,
}

impl MachineView {
    pub fn of(context: &WorkContext<'_>, task: &Task) -> MachineView {
        if context.at_boards() {
            return boards_view::card(context, task);
        }
        let mut card = MachineView::default();
        let Some(planned) = context.planned() else {
            card.now = vec!["No operation is left.".to_owned()];
            return card;
        };
        card.heading(context, planned, task);
        card.in_force(context, planned);
        if let Some(bell) = context.bell {
            card.count = format!("bell {}  {}", at_words(bell, context.now), card.count);
        }
        card.caution = caution_line(planned);
        card.shows_last = matches!(
            task,
            Task::Set(_)
                | Task::Feed { .. }
                | Task::Read { .. }
                | Task::Tick { .. }
                | Task::Zero { .. }
        );
        match task {
            Task::Who => card.who(context),
            Task::Blocked { reasons, openable } => card.shut(reasons, *openable),
            Task::Caution { machine, tool } => {
                card.read_caution(context, planned, machine, tool.as_deref())
            }
            Task::Zero { gauge, block } => card.zero(context, gauge, *block),
            Task::Tool { machine, tool, was } => card.tool(machine, tool, was.as_deref()),
            Task::Set(set) => card.set(context, set),
            Task::Feed { pass, faces, feeds, kiss, pieces } => {
                let count = pieces.len();
                card.feed(
                    context,
                    planned,
                    Feed { pass: *pass, faces, feeds: *feeds, kiss: *kiss, count, pieces },
                );
            }
            Task::Read { piece, check, why } => card.read(context, planned, piece, *check, *why),
            Task::Tick { piece } => card.tick(context, planned, piece),
            Task::Decide { piece, check, .. } => {
                let of = &planned.checks[*check].of;
                let reading = context.state.standing(context.op, piece, of);
                card.decide(context, task, reading);
            }
            Task::Close { done, aside } => card.close(context, *done, *aside),
            Task::Accept(proposal) => card.accept(context, proposal),
            // Nowhere but at the rack, which has a card of its own.
            Task::Boards(_) => {}
            Task::Finished => card.finished(context),
        }
        let disturbed = context.disturbs();
        if !disturbed.is_empty() && !matches!(task, Task::Who | Task::Caution { .. }) {
            let stale: Vec<String> =
                disturbed.iter().map(|(what, op)| format!("{what} (op {op})")).collect();
            card.details.insert(0, format!("Shifts with this: {}.", stale.join(", ")));
        }
        card
    }

    fn heading(&mut self, context: &WorkContext<'_>, planned: &PlannedOperation, task: &Task) {
        let tool = match task {
            Task::Set(SettingTask { tool: Some(tool), .. }) => Some(tool.clone()),
            _ => context.setup().and_then(|setup| setup.tool.clone()).or(planned.tool.clone()),
        };
        let at = planned.at.as_ref().map_or_else(String::new, |at| format!("  {at}"));
        let tool =
            tool.filter(|_| planned.at.is_some()).map_or_else(String::new, |t| format!(", {t}"));
        self.title = format!("op {}  {} {}{at}{tool}", planned.op, planned.kind, planned.part);
        let PieceTally { done, aside, to_go } = context.state.tally(&planned.part, context.op);
        self.count = match aside {
            0 => format!("{done} done  {to_go} to go"),
            _ => format!("{done} done  {aside} aside  {to_go} to go"),
        };
    }

    /// The number the scale stands at, for everything between settings.
    fn in_force(&mut self, context: &WorkContext<'_>, planned: &PlannedOperation) {
        let Some(setup) = context.setup() else { return };
        let settings = planned.groups.first().map(|group| group.outcome.settings.as_slice());
        let setting = |name: &str| settings?.iter().find(|setting| setting.name == name);
        let standing = || setup.shown.iter().rev().filter(|shown| shown.right && !shown.superseded);
        let sizes = |name: &str| setting(name).is_some_and(|setting| setting.sizes.is_some());
        let shown = standing().find(|shown| sizes(&shown.stored.setting));
        let Some(shown) = shown.or_else(|| standing().next()) else { return };
        let readout = setting(&shown.stored.setting).map(|setting| setting.readout);
        if let Some(readout) = readout {
            self.label = format!("{} stands at", shown.stored.setting);
            self.big = readout.shown(shown.stored.dial.0);
            self.under = format!("for {}", words(shown.stored.target.0, context.route.unit));
        }
    }

    pub(super) fn who(&mut self, context: &WorkContext<'_>) {
        self.now = vec!["Who is at the machine?".to_owned()];
        if let Some(present) = context.state.people.get(context.station) {
            self.details.push(format!("Last here: {}. Enter: the same.", present.join(", ")));
        }
        if let Some(left) = context.setup().and_then(|setup| setup.left.clone()) {
            self.details.push(format!("Left in the middle: {left}"));
            self.details.extend(handover(context));
        }
        self.prompt = "your initials".to_owned();
    }

    fn shut(&mut self, reasons: &[String], openable: bool) {
        self.stop = true;
        self.big.clear();
        self.label.clear();
        self.under.clear();
        self.now = vec![if openable {
            "This operation waits.".to_owned()
        } else {
            "Not on this machine.".to_owned()
        }];
        self.now.extend(reasons.iter().cloned());
        self.details.push(if openable {
            "t shows what can start now; o: the lead opens it, with a reason.".to_owned()
        } else {
            "A machine's own limit can't be opened by anybody. See the lead.".to_owned()
        });
    }

    fn read_caution(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        machine: &str,
        tool: Option<&str>,
    ) {
        self.now = vec![match tool {
            Some(tool) => format!("Before the {machine}, {tool}:"),
            None => format!("Before the {machine}:"),
        }];
        let who = context.who.unwrap_or_default();
        let passed = context.shop.is_signed_off(who, machine);
        if !passed {
            self.now.push(format!("{who} is not signed off on the {machine}."));
            self.now.push("The lead stays beside, for the first piece at least.".to_owned());
        }
        self.details = planned.cautions.clone();
        self.details.push(DEFER.to_owned());
        self.big.clear();
        self.label.clear();
        self.under.clear();
        self.caution.clear();
        self.prompt = if passed {
            "Enter: read, and trained on this machine"
        } else {
            "initials of the lead who stays beside"
        }
        .to_owned();
    }

    fn zero(
        &mut self,
        context: &WorkContext<'_>,
        gauge: &str,
        block: Option<crate::measure::Length>,
    ) {
        self.now = vec![format!("Wipe and zero the {gauge}.")];
        let unit = context.shop.gauges.get(gauge).and_then(|g| g.entry()).map(|entry| entry.bare);
        let unit = unit.unwrap_or(context.route.unit);
        match block {
            Some(block) => {
                self.details.push(format!("Then measure the check block: {}.", words(block, unit)));
                self.prompt = format!("{gauge} on the block");
                self.unit = unit.sign();
            }
            None => self.prompt = "Enter: zeroed".to_owned(),
        }
    }

    fn tool(&mut self, machine: &str, tool: &str, was: Option<&str>) {
        self.now = vec![format!("Put in: {tool}")];
        self.details = vec![
            format!("Switch the {machine} off at the isolator and lock it."),
            match was {
                Some(was) => format!("Take out the {was}, put in the {tool}."),
                None => format!("Check that the {tool} is fitted; fit it if not."),
            },
            "Guard back, tools and keys out, then power.".to_owned(),
            "Every setting and the first piece again.".to_owned(),
        ];
        self.big.clear();
        self.label.clear();
        self.under.clear();
        self.prompt = "Enter: it is in, guard back".to_owned();
    }

    fn set(&mut self, context: &WorkContext<'_>, set: &SettingTask) {
        let unit = context.route.unit;
        self.label = match (set.pass, set.setting.split_once(", ")) {
            (_, Some((scale, when))) => format!("{when}: set the {scale} to"),
            (Some(pass), None) => format!("pass {pass}: set the {} to", set.setting),
            (None, None) => format!("set the {} to", set.setting),
        };
        self.big = set.readout.shown(set.dial.0);
        let makes = words(set.target.0, unit);
        self.under = match &set.tool {
            Some(tool) => format!("for {makes}, {tool}"),
            None => format!("for {makes}"),
        };
        if let Some(presses) = set.presses {
            let times = if presses == 1 { "once".to_owned() } else { format!("{presses} times") };
            self.now.push(format!("Press the jog {times}."));
        }
        let faces = context
            .planned()
            .and_then(|planned| planned.groups.first())
            .and_then(|group| group.outcome.passes.iter().find(|p| Some(p.number) == set.pass))
            .map(|pass| pass.faces.join(", "))
            .unwrap_or_default();
        if !faces.is_empty() {
            let word = if faces.contains(',') { "faces" } else { "face" };
            self.now.push(match faces.as_str() {
                "face" | "edge" => format!("Then the {faces}."),
                _ => format!("Then {word} {faces} up."),
            });
        }
        if !set.moved.is_zero() {
            // The last verdict spoke of the setting as it was.
            self.shows_last = false;
            let way = if set.moved.is_negative() { "down" } else { "up" };
            self.now.push(format!(
                "Moved {way} {} after the first piece.",
                decimal(set.moved.abs(), unit)
            ));
        }
        if scale_name(&set.setting) == "blade height" {
            self.now.push("Blade height: guard back over it.".to_owned());
        }
        if !set.pieces.is_empty() {
            let names: Vec<String> =
                set.pieces.iter().map(|piece| context.state.name(piece)).collect();
            self.now.push(format!("For {}.", names.join(", ")));
        }
        let first = set.pieces.first().and_then(|piece| context.group_of(piece));
        let group = first.or_else(|| context.planned()?.groups.first());
        self.details = match (context.planned(), group) {
            (Some(planned), Some(group)) => how_to(planned, group, unit),
            _ => Vec::new(),
        };
        let why = context.planned().and_then(|planned| planned.groups.first()).and_then(|group| {
            group.outcome.settings.iter().find(|s| s.name == set.setting).map(|s| s.why.clone())
        });
        self.details.extend(why.map(|why| format!("Why: {why}")));
        self.prompt = format!("the {} scale shows", scale_name(&set.setting));
        self.unit = set.readout.unit.sign();
    }

    fn feed(&mut self, context: &WorkContext<'_>, planned: &PlannedOperation, feed: Feed<'_>) {
        let all =
            if feed.count == 1 { "the piece".to_owned() } else { format!("all {}", feed.count) };
        let how = match (feed.kiss, feed.faces) {
            (true, _) => format!("Same height once more: {all}, faces {}.", feed.faces.join(", ")),
            (_, []) if feed.pass.is_none() => format!("By hand: {all}."),
            (_, []) => format!("{} through.", capital(&all)),
            (_, [one]) => match *one {
                "face" | "edge" => format!("The {one}, {all}: {}.", times(feed.feeds)),
                named if named.len() > 1 => format!("The {named}: {all} through."),
                _ => format!("Face {one} up: {all} through."),
            },
            (_, many) => format!("Faces {} up, quarter turn between: {all}.", many.join(", ")),
        };
        self.stands = true;
        self.now.push(how);
        self.details.extend(feed.pieces.iter().filter_map(|piece| {
            Some(format!("{}: {}.", context.state.name(piece), from_the_board(context, piece)?))
        }));
        let group = planned.groups.first();
        if let Some(group) = group {
            let passes = group.outcome.passes.len();
            if let Some(pass) = feed.pass {
                self.details.push(format!("Pass {pass} of {passes}."));
                if let Some(Through::LastSafeStop(last)) = context.through(pass) {
                    self.details.push(format!("Stop after pass {last}: then the bell."));
                }
            }
            self.details.extend(doing(planned, group, context.route.unit));
        }
        self.prompt = match feed.pass {
            Some(_) => format!("Enter: {all} through"),
            None => format!("Enter: {all} done"),
        };
    }

    fn read(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        piece: &crate::journal::PieceId,
        n: usize,
        why: ReadReason,
    ) {
        let check = &planned.checks[n];
        let name = context.state.name(piece);
        let group = context.group_of(piece);
        let stack = group.is_some_and(|group| !group.outcome.passes.is_empty());
        let does = context.route.step(context.op).and_then(|step| step.what.does());
        let does = does.filter(|_| !stack && !is_under_way(context, planned, piece));
        let of = &check.of;
        self.stands = true;
        let whose = whose(context, piece);
        let verb = match (why, does) {
            (ReadReason::First, Some(does)) => match whose.as_str() {
                "" => format!("First piece: {} {name}, measure its {of}.", does.to_lowercase()),
                _ => {
                    format!("First piece: {} {name}{whose}. Measure its {of}.", does.to_lowercase())
                }
            },
            (ReadReason::First, None) if stack => {
                format!("First piece: {name} through, measure its {of}.")
            }
            (ReadReason::First, None) => format!("First piece: measure {name}: {of}."),
            (ReadReason::Between, _) => format!("It moved somewhere: measure {name}."),
            (ReadReason::Bridge, _) => format!("Before you go on: measure {name} once more."),
            (ReadReason::Check, Some(does)) if whose.is_empty() => {
                format!("{does} {name}, measure its {of}.")
            }
            (ReadReason::Check, Some(does)) => format!("{does} {name}{whose}. Measure its {of}."),
            (ReadReason::Check, None) => format!("Measure {name}: {of}."),
        };
        self.now.push(verb);
        if let Some(limits) = context.limits(piece, n) {
            self.details.push(format!(
                "{}: {}",
                capital(&check.gauge),
                limits_words(&limits.limits, context.gauge(check), context.route.unit)
            ));
        }
        if let Some(place) = &check.place {
            self.details.push(format!("Where: {place}."));
        }
        self.hand(context, piece);
        // Nothing else says how it is done where nothing is set.
        let unsaid = does.is_some() || group.is_some_and(|group| group.outcome.settings.is_empty());
        if let Some(group) = group.filter(|_| unsaid && !stack) {
            self.details.extend(doing(planned, group, context.route.unit));
        }
        if matches!(why, ReadReason::Between | ReadReason::Bridge) {
            self.details.push("x and Enter leaves it at that.".to_owned());
        }
        self.prompt = format!("{name} {}", check.of);
        let entry = context.gauge(check).and_then(|gauge| gauge.entry());
        match entry {
            Some(entry) => self.unit = entry.bare.sign(),
            None => self.details.push("i in, b too big, s too small.".to_owned()),
        }
    }

    fn tick(
        &mut self,
        context: &WorkContext<'_>,
        planned: &PlannedOperation,
        piece: &crate::journal::PieceId,
    ) {
        let name = context.state.name(piece);
        self.stands = true;
        self.now.push(format!("Cut {name}{}.", whose(context, piece)));
        self.hand(context, piece);
        if let Some(group) = context.group_of(piece) {
            // Sound ends and the order of lengths were found at the rack: what
            // is sliced off a marked length makes it too short.
            let is_marked = from_the_board(context, piece).is_some();
            let of_use = |text: &String| !(is_marked && group.outcome.steps.contains(text));
            let doing = doing(planned, group, context.route.unit);
            self.details.extend(doing.into_iter().filter(of_use));
        }
        self.prompt = format!("Enter: {name} is cut");
    }

    fn hand(&mut self, context: &WorkContext<'_>, piece: &crate::journal::PieceId) {
        if let Some(place) = from_the_board(context, piece) {
            self.details.insert(0, format!("It lies on {place}."));
        }
        let Some(label) = context.state.piece(piece).map(|held| &held.label) else { return };
        if label.role == Role::Setup {
            self.details.push("A setup piece: it proves the setting.".to_owned());
        }
        let tallied: Vec<String> = context
            .hands_through()
            .into_iter()
            .map(|(hand, done, all)| format!("{hand} {done} of {all}"))
            .collect();
        if !tallied.is_empty() {
            self.details.push(format!("Through: {}.", tallied.join(", ")));
        } else if let (Some(set), Some(hand)) = (label.set, &label.hand) {
            self.details.push(format!("Set {set}, {hand}."));
        }
    }

    fn decide(&mut self, context: &WorkContext<'_>, task: &Task, reading: Option<&ReadingRecord>) {
        self.stop = true;
        self.choices = choices(context, task);
        if let Some(reading) = reading {
            let name = context.state.name(&reading.taken.piece);
            if let Some(advice) = advice(context, reading) {
                self.now.push(format!("{name}: {}", advice.headline));
                self.now.extend(advice.questions);
                self.now.extend(advice.next);
            }
        }
        let expected = self.choices.first().map_or(' ', |choice| choice.key());
        self.prompt = format!("one letter (Enter: {expected})");
    }

    fn close(&mut self, context: &WorkContext<'_>, done: usize, aside: usize) {
        let all = done + aside;
        self.now.push(format!("{all} in, {done} through, {aside} aside."));
        let set = context.setup().is_some_and(|setup| !setup.shown.is_empty());
        let until = if set { " Leave the setting until it agrees." } else { "" };
        self.details.push(format!("Count the stack.{until}"));
        if let Some(planned) = context.planned() {
            let spares = context.state.spares_through(&planned.part, context.op);
            if spares > 0 {
                self.details.push(format!("Spares complete to here: {spares}."));
            }
        }
        self.prompt = format!("Enter closes op {}", context.op);
    }

    fn accept(&mut self, context: &WorkContext<'_>, proposal: &Proposal) {
        let unit = context.route.unit;
        self.big.clear();
        self.label.clear();
        self.under.clear();
        for (made, planned) in proposal.made.iter().zip(&proposal.planned) {
            let was = planned
                .map_or_else(String::new, |planned| format!(", planned {}", words(planned, unit)));
            let set = made.set.map_or_else(String::new, |set| format!(" of set {set}"));
            let piece = made
                .piece
                .as_ref()
                .map_or_else(String::new, |p| format!(" of {}", context.state.name(p)));
            let is = format!("{}{set}{piece} is {}{was}", made.dim, words(made.value, unit));
            self.now.push(format!("{is}: {}", made.words));
        }
        match proposal.keeps.as_slice() {
            [only] => self.details.extend(proposal_lines(only)),
            several => {
                for (n, kept) in several.iter().enumerate() {
                    let keep = kept.keep.as_deref().unwrap_or_default();
                    self.details.push(format!("{} keep {keep}:", n + 1));
                    self.details
                        .extend(proposal_lines(kept).into_iter().map(|line| format!("  {line}")));
                }
            }
        }
        if proposal.keeps.len() > 1 {
            self.prompt = "number of what to keep, lead's initials".to_owned();
        } else {
            self.prompt = "the lead's initials accept it".to_owned();
        }
    }

    pub(super) fn finished(&mut self, context: &WorkContext<'_>) {
        self.big.clear();
        self.label.clear();
        self.under.clear();
        self.now.push(format!("Op {} is finished.", context.op));
        let later = context
            .route
            .steps
            .iter()
            .any(|step| !crate::work::is_finished(context.route, context.state, step.op));
        if later {
            self.prompt = "Enter: on to the next operation".to_owned();
        } else {
            self.now.push("Every operation of this route is finished.".to_owned());
            self.prompt = "Enter: all operations".to_owned();
        }
    }
}

/// `board 2, from 20 1/4 to 39 3/8 in` where pieces come from the board here.
fn from_the_board(context: &WorkContext<'_>, piece: &PieceId) -> Option<String> {
    let rough = context.route.step(context.op).is_some_and(|step| step.what.is_rough());
    rough.then(|| lies(context.state, context.route.unit, piece))?
}

/// `: set 2, front left` where the operation takes left and right differently;
/// nothing where it doesn't matter.
fn whose(context: &WorkContext<'_>, piece: &PieceId) -> String {
    let label = context.state.piece(piece).map(|held| &held.label);
    let label = label.filter(|_| !context.hands_through().is_empty());
    match label.and_then(|label| label.set.zip(label.hand.as_ref())) {
        Some((set, hand)) => format!(": set {set}, {hand}"),
        None => String::new(),
    }
}

/// While the machine is set, the sizes that are on no scale come first: they
/// are set too, or looked up.
fn how_to(planned: &PlannedOperation, group: &Group, unit: Unit) -> Vec<String> {
    let Instructions { sizes, note, steps, counts } = told(planned, group, unit);
    [sizes, note, steps, counts].concat()
}

/// While pieces go through, what the hands do comes first.
fn doing(planned: &PlannedOperation, group: &Group, unit: Unit) -> Vec<String> {
    let Instructions { sizes, note, steps, counts } = told(planned, group, unit);
    let Outcome { settings, passes, .. } = &group.outcome;
    if settings.is_empty() && passes.is_empty() {
        return [sizes, note, steps, counts].concat();
    }
    [steps, note, sizes, counts].concat()
}

/// What is told of an operation beside its settings.
struct Instructions {
    /// On no scale. Where nothing is set they are the work itself, and each
    /// has its own line.
    sizes: Vec<String>,
    /// What the route says of this one operation.
    note: Vec<String>,
    steps: Vec<String>,
    counts: Vec<String>,
}

fn told(planned: &PlannedOperation, group: &Group, unit: Unit) -> Instructions {
    let Outcome { facts, settings, passes, steps, .. } = &group.outcome;
    let apart = settings.is_empty() && passes.is_empty();
    let said = |facts: Vec<&Fact>| -> Vec<String> {
        let between = if apart { ": " } else { " " };
        let each = facts.iter().map(|fact| format!("{}{between}{}", fact.what, fact.words(unit)));
        let each: Vec<String> = each.collect();
        let lines = if apart || each.is_empty() { each } else { vec![each.join("; ")] };
        lines.iter().map(|line| format!("{}.", capital(line))).collect()
    };
    let (counts, sizes) = facts
        .iter()
        .partition(|fact| matches!(fact.is, FactAmount::Number(_) | FactAmount::Minutes(_)));
    Instructions {
        sizes: said(sizes),
        note: planned.note.iter().cloned().collect(),
        steps: steps.clone(),
        counts: said(counts),
    }
}

/// Whether a piece was cut at this setting already, and only measuring is left.
fn is_under_way(context: &WorkContext<'_>, planned: &PlannedOperation, piece: &PieceId) -> bool {
    let set = context.setup().and_then(|setup| setup.shown.last()).map_or(0, |last| last.order);
    let read = planned.checks.iter().any(|check| {
        let reading = context.state.standing(context.op, piece, &check.of);
        reading.is_some_and(|reading| {
            reading.order > set && context.state.decision_on(reading) != Some(Decision::Rework)
        })
    });
    read || context.state.is_done(context.op, piece)
}

/// What is fed, and how.
struct Feed<'a> {
    pass: Option<u32>,
    faces: &'a [&'static str],
    feeds: u32,
    kiss: bool,
    count: usize,
    pieces: &'a [PieceId],
}

/// Collisions first, then each setting that is different now, then how many
/// stay.
pub fn proposal_lines(kept: &Kept) -> Vec<String> {
    let mut lines = Vec::new();
    for collision in &kept.collisions {
        lines.push(format!("COLLISION op {}: {}", collision.place, collision.what));
        lines.extend(collision.help.iter().map(|fix| format!("  {fix}")));
    }
    for change in &kept.changes {
        let was =
            if change.was_text.is_empty() { "new".to_owned() } else { change.was_text.clone() };
        let why = change.why.split(" <-").next().unwrap_or_default();
        let why = if why.is_empty() { String::new() } else { format!(", for {why}") };
        let Change { op, part, what, now_text, .. } = change;
        lines.push(format!("op {op} {part}: {what} {was} -> {now_text}{why}"));
    }
    lines.push(format!(
        "{} changed, {} settings stay as they are.",
        kept.changes.len(),
        kept.unchanged
    ));
    lines
}

/// The caution that stays in sight: the one that matters most at this cut.
fn caution_line(planned: &PlannedOperation) -> String {
    let first: Vec<&str> = planned.cautions.iter().take(2).map(String::as_str).collect();
    first.join(" ")
}

/// A reading echoed: the number in words, and the verdict.
pub fn echo(context: &WorkContext<'_>, reading: &ReadingRecord) -> (String, Option<Advice>) {
    let gauge = context.shop.gauges.get(&reading.taken.gauge).and_then(|gauge| gauge.entry());
    let said = gauge.and_then(|entry| spoken(&reading.taken.typed, &entry)).unwrap_or_default();
    (said, advice(context, reading))
}

/// `table, to start` is read on the `table` scale.
fn scale_name(setting: &str) -> &str {
    setting.split(',').next().unwrap_or(setting)
}

fn times(count: u32) -> String {
    if count == 1 {
        "1 pass, or until clean".to_owned()
    } else {
        format!("{count} passes, or until clean")
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
