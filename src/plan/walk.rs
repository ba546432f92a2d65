//! The walk itself: the imaginary piece through one operation after another.
//! Knows nothing of what is wrong across operations: `inspect` looks at that.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::known::{FrozenSetting, Known, MadeOver, MadeValue};
use super::values::View;
use super::{
    Group, GroupLimits, Need, Plan, PlanFinding, PlanSubject, PlannedCheck, PlannedOperation,
    inspect,
};
use crate::formula::{Scope, Web};
use crate::measure::{Length, SafeSide};
use crate::operation::{
    Blank, Extent, FeatureName, Keyed, Outcome, Over, ShortestPiece, SizedFeature, Subject,
    Trouble, Work, words,
};
use crate::prose::{Level, nearest, visible};
use crate::route::{Check, Part, PieceLabel, Role, Route, Step};
use crate::shop::{DUST, Machine, MachineKind, Shop, Tool, cautions};
use crate::wood::Hardness;

/// Walks a route in a shop with what is known so far.
pub fn walk(route: &Route, shop: &Shop, known: &Known) -> Plan {
    let mut plan = Plan { operations: Vec::new(), findings: Vec::new() };
    for part in &route.parts {
        let mut walker = Walker::new(route, shop, known, part);
        let mut understood = true;
        for step in route.steps.iter().filter(|step| step.part == part.name) {
            let planned = walker.operation(step);
            understood &= planned.findings.iter().all(|finding| finding.place.at.is_none());
            plan.operations.push(planned);
        }
        // Past a formula that can't be worked out, the end means nothing.
        if understood {
            plan.findings.extend(walker.finished());
        }
    }
    plan.operations.sort_by_key(|operation| operation.op);
    inspect::across(route, shop, &mut plan);
    plan
}

/// What an operation says of a piece that came out too big: one sentence.
pub fn cut_again(route: &Route, shop: &Shop, known: &Known, op: u32, over: Over) -> Option<String> {
    asked(route, shop, known, op, |step, work| step.what.cut_again(work, over))
}

/// How much closer the machine is set for the next cut of such a piece, where
/// the operation comes down to size in steps.
pub fn closer(route: &Route, shop: &Shop, known: &Known, op: u32, over: Over) -> Option<Length> {
    asked(route, shop, known, op, |step, work| step.what.closer(work, over))?
}

/// What is lost between two pieces that come apart out of one thickness at an
/// operation; none where nothing comes apart so.
pub fn lost_between(route: &Route, shop: &Shop, known: &Known, op: u32) -> Option<Length> {
    asked(route, shop, known, op, |step, work| step.what.lost_between(work))?
}

/// Asks an operation about a piece as it comes to it.
fn asked<T>(
    route: &Route,
    shop: &Shop,
    known: &Known,
    op: u32,
    question: impl FnOnce(&Step, &Work<'_>) -> T,
) -> Option<T> {
    let step = route.step(op)?;
    let mut walker = Walker::new(route, shop, known, route.part(&step.part)?);
    for earlier in route.steps.iter().filter(|s| s.part == step.part && s.op < op) {
        walker.operation(earlier);
    }
    let made: Vec<&MadeValue> = known.made_for(op).collect();
    let bench = walker.bench(step, &mut Vec::new());
    let view = View::new(walker.web(), made.iter().copied(), walker.pieces.first());
    let source = |_: &str| None;
    let (_, blank) = walker.alike(&made, step).into_iter().next()?;
    let work = walker.work(step, &bench, &view, &blank, &source);
    Some(question(step, &work))
}

struct Walker<'a> {
    route: &'a Route,
    shop: &'a Shop,
    known: &'a Known,
    part: &'a Part,
    pieces: Vec<PieceLabel>,
    /// How each piece stands, by its place in `pieces`; alike ones share.
    blanks: BTreeMap<usize, Rc<Blank>>,
}

/// What an operation is done with.
struct Bench<'a> {
    machine: Option<&'a Machine>,
    tool: Option<(&'a str, &'a Tool)>,
}

impl<'a> Walker<'a> {
    fn new(route: &'a Route, shop: &'a Shop, known: &'a Known, part: &'a Part) -> Walker<'a> {
        let pieces = known.pieces.get(&part.name).cloned().unwrap_or_else(|| route.pieces(part));
        Walker { route, shop, known, part, pieces, blanks: BTreeMap::new() }
    }

    /// The dimensions, with the end of the chain that is kept.
    fn web(&self) -> &'a Web {
        self.route.web(self.known.keep.as_deref())
    }

    fn operation(&mut self, step: &'a Step) -> PlannedOperation {
        let mut findings = Vec::new();
        let bench = self.bench(step, &mut findings);
        let limit = self.shortest_later(step);
        let made: Vec<&MadeValue> = self.known.made_for(step.op).collect();
        let mut groups: Vec<Group> = Vec::new();
        for (members, blank) in self.alike(&made, step) {
            let piece = &self.pieces[members[0]];
            let sets = if piece.set.is_none() { self.sets_apart(&made, step) } else { Vec::new() };
            let planned = |set: Option<u32>| {
                let view = View::new(self.web(), made.iter().copied(), Some(piece));
                let view = set.into_iter().fold(view, View::of_set).among(&self.pieces);
                let (members, blank) = (members.clone(), Rc::clone(&blank));
                let mut found = Vec::new();
                let group =
                    self.group(step, &bench, limit.clone(), &view, members, blank, &mut found);
                (set, group, found)
            };
            let differ = sets.len() > 1;
            let as_sets = sets.into_iter().map(|set| planned(Some(set)));
            let safest = as_sets
                .reduce(|one, other| if leaves_more(step, &other.1, &one.1) { other } else { one });
            let (set, mut group, found) = safest.unwrap_or_else(|| planned(None));
            found.into_iter().for_each(|finding| push_once(&mut findings, finding));
            let mut roles = members.iter().map(|index| self.pieces[*index].role);
            if let Some(set) = set.filter(|_| differ && roles.any(|role| role == Role::Spare)) {
                group.outcome.steps.push(format!(
                    "Spares are cut as for set {set}, where the most wood is left: trim one that \
                     steps into another set."
                ));
            }
            // Values of their own that come to the same, as under `min`, are one dial.
            match groups.iter_mut().find(|held| held.is_cut_like(&group)) {
                Some(held) => {
                    held.pieces.extend(group.pieces);
                    held.pieces.sort_unstable();
                    for step in group.outcome.steps {
                        if !held.outcome.steps.contains(&step) {
                            held.outcome.steps.push(step);
                        }
                    }
                }
                None => groups.push(group),
            }
        }
        for group in &groups {
            let after = Rc::new(group.outcome.after.clone());
            self.blanks.extend(group.pieces.iter().map(|piece| (*piece, Rc::clone(&after))));
        }
        let checks = step.checks.iter().map(|check| self.planned_check(step, check)).collect();
        PlannedOperation {
            op: step.op,
            part: step.part.clone(),
            kind: step.kind,
            at: step.at.clone(),
            tool: bench.tool.map(|(name, _)| name.to_owned()),
            note: step.note.clone(),
            pieces: self.pieces.clone(),
            cautions: self.cautions(&bench, &groups),
            groups,
            findings,
            checks,
            cant_be_undone: step.cant_be_undone(),
            needs: self.needs(step),
        }
    }

    #[expect(clippy::too_many_arguments, reason = "one call, and each is needed once")]
    fn group(
        &self,
        step: &Step,
        bench: &Bench<'_>,
        limit: Option<ShortestPiece>,
        view: &View<'_>,
        members: Vec<usize>,
        blank: Rc<Blank>,
        findings: &mut Vec<PlanFinding>,
    ) -> Group {
        let unit = self.route.unit;
        let source = |name: &str| view.source(name, unit);
        let mut work = self.work(step, bench, view, &blank, &source);
        work.shortest_later = limit;
        let mut trouble = |trouble: Trouble| {
            let mut finding = plan_finding(step.op, Level::Error, trouble.error.what);
            finding.help = trouble.error.help;
            finding.place.key = Some(trouble.key);
            finding.place.at = Some(trouble.error.place);
            push_once(findings, finding);
        };
        match step.aim.as_ref().map(|aim| work.length(aim)) {
            Some(Ok(aim)) => work.aim = aim,
            Some(Err(error)) => trouble(error),
            None => {}
        }
        let mut outcome = step.what.compute(&work).unwrap_or_else(|error| {
            trouble(error);
            Outcome::untouched(
                &blank,
                crate::operation::Drawing::new("", crate::operation::drawing::Scale::Even),
            )
        });
        if step.checks.is_empty() {
            outcome.is_not_measured();
        }
        let limits: Vec<GroupLimits> = step
            .checks
            .iter()
            .map(|check| {
                let around = check.around.as_ref().map(|around| work.length(around));
                let target = match around {
                    Some(Ok(size)) => Some(size),
                    Some(Err(error)) => {
                        trouble(error);
                        None
                    }
                    None => outcome.after.most(&check.of),
                };
                let limits = check.tolerance.around(target.unwrap_or(Length::ZERO));
                GroupLimits { target, limits }
            })
            .collect();
        for finding in std::mem::take(&mut outcome.findings) {
            let place = |Subject { key, may_override }| PlanSubject {
                op: Some(step.op),
                key,
                may_override,
                ..PlanSubject::default()
            };
            push_once(findings, finding.map_place(place));
        }
        self.freeze(step, &members, &mut outcome);
        self.settle(step, &mut outcome.after);
        let used = view.used(step.names());
        Group { pieces: members, before: Rc::unwrap_or_clone(blank), outcome, limits, used }
    }

    fn work<'w>(
        &'w self,
        step: &'w Step,
        bench: &Bench<'w>,
        view: &'w View<'w>,
        blank: &'w Blank,
        source: &'w dyn Fn(&str) -> Option<String>,
    ) -> Work<'w> {
        Work {
            unit: self.route.unit,
            at: step.at.as_deref(),
            machine: bench.machine,
            shop_unit: self.shop.unit,
            tool_name: bench.tool.map(|(name, _)| name),
            tool: bench.tool.map(|(_, tool)| tool),
            blank,
            finish: self.sizes(&self.part.finish, view),
            hardness: self.part.species.as_deref().map_or(Hardness::Hard, Hardness::of_species),
            species: self.part.species.as_deref(),
            aim: Length::ZERO,
            scope: view,
            source,
            shortest_later: None,
        }
    }

    /// Puts the numbers of a setup that has begun in place of computed ones.
    fn freeze(&self, step: &Step, members: &[usize], outcome: &mut Outcome) {
        let Some(frozen) = self.known.frozen.get(&step.op) else { return };
        let ours = |held: &&FrozenSetting| {
            let named = |index: &usize| held.pieces.contains(&self.pieces[*index]);
            held.pieces.is_empty() || members.iter().any(named)
        };
        for held in frozen.settings.iter().filter(ours) {
            match held.pass {
                Some(number) => {
                    if let Some(pass) = outcome.passes.iter_mut().find(|p| p.number == number) {
                        (pass.target, pass.dial) = (held.target, held.dial);
                    }
                }
                None => {
                    let named = outcome.settings.iter_mut().find(|s| s.name == held.name);
                    if let Some(named) = named {
                        let moved = held.dial.0 - named.setting.dial.0;
                        named.setting.target = held.target;
                        named.setting.dial = held.dial;
                        named.setting.predicted += moved;
                    }
                }
            }
        }
    }

    /// What was really measured takes the place of what was meant.
    fn settle(&self, step: &Step, after: &mut Blank) {
        let sized = step.what.sizes();
        for check in &step.checks {
            let Some(extent) = self.found(step, check) else { continue };
            after.sizes.insert(check.of.clone(), extent);
            let speaks_for_all =
                step.what.one_size() && sized.iter().any(|sized| sized.feature == check.of);
            for other in sized.iter().filter(|_| speaks_for_all) {
                let own = step.checks.iter().any(|check| check.of == other.feature);
                if !own && after.size(&other.feature).is_some() {
                    after.sizes.insert(other.feature.clone(), extent);
                }
            }
        }
    }

    /// What a check found, as far as it is known.
    fn found(&self, step: &Step, check: &Check) -> Option<Extent> {
        if let Some(measured) = self.known.measured.get(&(step.op, check.of.clone())) {
            return Some(Extent { least: measured.least, most: measured.most, made: true });
        }
        let becomes = check.becomes.as_ref()?;
        let mut made = self.known.made.iter().rev();
        let made = made.find(|made| made.dim == becomes.dim && made.op == Some(step.op))?;
        Some(Extent { least: made.value, most: made.value, made: true })
    }

    /// Pieces that read the same values and stand alike, together.
    fn alike(&self, made: &[&MadeValue], step: &Step) -> Vec<(Vec<usize>, Rc<Blank>)> {
        // Only values made for some of the pieces can tell them apart.
        let parted = made.iter().any(|made| made.over != MadeOver::Batch);
        let view_of = |piece| View::new(self.web(), made.iter().copied(), piece);
        let shared =
            (!parted && self.blanks.is_empty()).then(|| Rc::new(self.stock(&view_of(None))));
        let uses =
            |dim: &str| step.names().any(|name| name == dim || self.web().depends_on(name, dim));
        type Key<'k> = (Vec<(&'k str, Length)>, Rc<Blank>);
        let mut groups: Vec<(Key<'_>, Vec<usize>)> = Vec::new();
        for (index, piece) in self.pieces.iter().enumerate() {
            let view = parted.then(|| view_of(Some(piece)));
            let own = view.as_ref().map_or_else(Vec::new, View::own);
            let own: Vec<_> = own.into_iter().filter(|(dim, _)| uses(dim)).collect();
            let blank = match (self.blanks.get(&index), &shared, &view) {
                (Some(blank), _, _) | (None, Some(blank), _) => Rc::clone(blank),
                (None, None, view) => {
                    Rc::new(view.as_ref().map_or_else(Blank::default, |view| self.stock(view)))
                }
            };
            let same = |(held, standing): &Key<'_>| {
                *held == own && (Rc::ptr_eq(standing, &blank) || *standing == blank)
            };
            match groups.iter_mut().find(|(key, _)| same(key)) {
                Some((_, members)) => members.push(index),
                None => groups.push(((own, blank), vec![index])),
            }
        }
        groups.into_iter().map(|((_, blank), members)| (members, blank)).collect()
    }

    /// One set for each different value that this operation uses of the sets'
    /// own: none where it uses none, or all are the same.
    fn sets_apart(&self, made: &[&MadeValue], step: &Step) -> Vec<u32> {
        let uses =
            |dim: &str| step.names().any(|name| name == dim || self.web().depends_on(name, dim));
        let of_sets: Vec<&MadeValue> = made
            .iter()
            .filter(|made| matches!(made.over, MadeOver::Set(_)) && uses(&made.dim))
            .copied()
            .collect();
        let mut values: Vec<Vec<(&str, Length)>> = Vec::new();
        let mut sets = Vec::new();
        for set in (1..=self.route.sets).filter(|_| !of_sets.is_empty()) {
            let view = View::new(self.web(), of_sets.iter().copied(), None).of_set(set);
            if !values.contains(&view.own()) {
                values.push(view.own());
                sets.push(set);
            }
        }
        sets
    }

    fn stock(&self, view: &View<'_>) -> Blank {
        let sizes = self
            .sizes(&self.part.stock, view)
            .into_iter()
            .map(|(feature, size)| (feature, Extent::planned(size)))
            .collect();
        Blank { sizes, gang: 1, ..Blank::default() }
    }

    /// A part's sizes, as far as they can be worked out.
    fn sizes(
        &self,
        keyed: &BTreeMap<FeatureName, Keyed>,
        view: &dyn Scope,
    ) -> BTreeMap<FeatureName, Length> {
        keyed
            .iter()
            .filter_map(|(feature, keyed)| {
                let value = keyed.formula.evaluate(view).ok()?;
                Some((feature.clone(), value.length_in(self.route.unit)?))
            })
            .collect()
    }

    fn bench(&self, step: &Step, findings: &mut Vec<PlanFinding>) -> Bench<'a> {
        let mut report = |level, key, what: String, fix: Option<String>| {
            let mut finding = plan_finding(step.op, level, what);
            finding.place.key = Some(key);
            finding.help = fix;
            findings.push(finding);
        };
        let nothing = Bench { machine: None, tool: None };
        let kinds = step.what.machines();
        let Some(at) = &step.at else {
            if !kinds.is_empty() {
                let what = format!("`at` is missing: the machine to {} with", step.kind);
                report(Level::Error, "do", what, None);
            }
            return nothing;
        };
        let machine: Option<&'a Machine> = self.shop.machines.get(at);
        let Some(machine) = machine else {
            let near = nearest(at, self.shop.machines.keys().map(String::as_str));
            let what = format!("no machine in this shop is called `{}`", visible(at));
            report(Level::Error, "at", what, near.map(|near| format!("did you mean `{near}`?")));
            return nothing;
        };
        if !kinds.is_empty() && !kinds.contains(&machine.kind) {
            let what = format!("the {} is not a machine to {} with", visible(at), step.kind);
            report(Level::Error, "at", what, None);
        }
        let tool = match &step.tool {
            Some(name) => {
                let found = machine.tools.get_key_value(name);
                if found.is_none() {
                    let near = nearest(name, machine.tools.keys().map(String::as_str));
                    let what =
                        format!("the {} has no tool called `{}`", visible(at), visible(name));
                    let fix = near.map(|near| format!("did you mean `{near}`?"));
                    report(Level::Error, "tool", what, fix);
                }
                found
            }
            None if step.what.chooses_tools() => None,
            None if machine.tools.len() > 1 => {
                let names: Vec<&str> = machine.tools.keys().map(String::as_str).collect();
                let what = format!("the {} has several tools: say which", visible(at));
                report(
                    Level::Error,
                    "do",
                    what,
                    Some(format!("\"tool\": one of {}", names.join(", "))),
                );
                machine.tools.iter().next()
            }
            None => machine.tools.iter().next(),
        };
        Bench { machine: Some(machine), tool: tool.map(|(name, tool)| (name.as_str(), tool)) }
    }

    /// The longest of the shortest pieces the machines ahead will take, up to
    /// where the finished length is cut.
    fn shortest_later(&self, step: &Step) -> Option<ShortestPiece> {
        self.route
            .steps
            .iter()
            .filter(|later| later.part == step.part && later.op > step.op)
            .take_while(|later| !later.what.parts_a_gang())
            .filter_map(|later| {
                let name = later.at.as_ref()?;
                let length = self.shop.machines.get(name)?.shortest_piece()?;
                Some(ShortestPiece { length, machine: name.clone() })
            })
            .max_by_key(|limit| limit.length)
    }

    /// Dimensions a check before this operation makes, as far as it uses them.
    fn needs(&self, step: &Step) -> Vec<Need> {
        let mut needs = Vec::new();
        for maker in self.route.steps.iter().filter(|maker| maker.op != step.op) {
            for becomes in maker.checks.iter().filter_map(|check| check.becomes.as_ref()) {
                let dim = &becomes.dim;
                let uses = step.names().any(|name| name == dim || self.web().depends_on(name, dim));
                if uses {
                    needs.push(Need { dim: dim.clone(), op: maker.op });
                }
            }
        }
        needs
    }

    fn cautions(&self, bench: &Bench<'_>, groups: &[Group]) -> Vec<String> {
        let mut all: Vec<String> = Vec::new();
        let own = groups.iter().flat_map(|group| group.outcome.cautions.iter().cloned());
        all.extend(own);
        if let Some(machine) = bench.machine {
            all.extend(cautions(machine.kind).iter().map(|text| (*text).to_owned()));
            if machine.kind != MachineKind::Bench {
                all.push(DUST.to_owned());
            }
        }
        let mut seen = std::collections::BTreeSet::new();
        all.retain(|text| seen.insert(text.clone()));
        all
    }

    fn planned_check(&self, step: &Step, check: &Check) -> PlannedCheck {
        let mut sizes = step.what.sizes().into_iter();
        let sized = sizes.find(|sized| sized.feature == check.of);
        PlannedCheck {
            of: check.of.clone(),
            kind: check.kind,
            safe: sized.map_or(SafeSide::Neither, |sized| sized.safe),
            gauge: check.with.clone(),
            place: check.place.clone(),
            pieces: check.pieces,
            becomes: check.becomes.clone(),
        }
    }

    /// Whether the pieces end up at their finished sizes.
    fn finished(&self) -> Vec<PlanFinding> {
        let mut steps = self.route.steps.iter().filter(|step| step.part == self.part.name);
        let Some(last) = steps.next_back() else { return Vec::new() };
        let view = View::new(self.web(), self.known.made.iter(), self.pieces.first());
        let mut findings = Vec::new();
        let Some(blank) = self.blanks.get(&0) else { return findings };
        for (feature, finish) in self.sizes(&self.part.finish, &view) {
            let Some(extent) = blank.size(&feature) else { continue };
            if extent.made || (extent.least <= finish && finish <= extent.most) {
                continue;
            }
            let unit = self.route.unit;
            let mut finding = plan_finding(
                last.op,
                Level::Error,
                format!(
                    "{}: {feature} ends at {} and the finished size is {}",
                    visible(&self.part.name),
                    words(extent.most, unit),
                    words(finish, unit)
                ),
            );
            finding.place.part = Some(self.part.name.clone());
            finding.help =
                Some("an operation is missing, or one leaves too much or too little".into());
            findings.push(finding);
        }
        findings
    }
}

/// Whether pieces cut the one way are on the safe side of those cut the other:
/// by the first size in which they differ.
fn leaves_more(step: &Step, one: &Group, other: &Group) -> bool {
    let sizes = |sized: &SizedFeature| {
        Some((one.outcome.after.most(&sized.feature)?, other.outcome.after.most(&sized.feature)?))
    };
    let differs = step.what.sizes().into_iter().find_map(|sized| {
        let (one, other) = sizes(&sized).filter(|(one, other)| one != other)?;
        Some(if sized.safe == SafeSide::Small { one < other } else { one > other })
    });
    differs.unwrap_or(false)
}

pub(super) fn plan_finding(op: u32, level: Level, what: String) -> PlanFinding {
    let place = PlanSubject { op: Some(op), ..PlanSubject::default() };
    PlanFinding { level, what, help: None, place }
}

/// Groups often say the same; once is enough.
fn push_once(findings: &mut Vec<PlanFinding>, finding: PlanFinding) {
    if !findings.contains(&finding) {
        findings.push(finding);
    }
}
