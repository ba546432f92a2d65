//! The walk itself: the imaginary piece goes through one operation after
//! another. `inspect` looks at what is wrong across operations.

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use super::articles::ArticleWebs;
use super::bench::Bench;
use super::finding::{PlanFinding, PlanSubject, plan_finding, push_once};
use super::impossible::impossible;
use super::known::{Known, MadeValue};
use super::news::News;
use super::values::PieceValues;
use super::walker::Walker;
use super::{Group, GroupLimits, Plan, PlannedCheck, PlannedOperation, inspect};
use crate::measure::{Length, SafeSide};
use crate::operation::{
    Blank, FeatureName, Outcome, Over, ShortestPiece, SizedFeature, Subject, Trouble, Work,
};
use crate::prose::Level;
use crate::route::{Check, Role, Route, Step};
use crate::shop::Shop;
use crate::wood::Hardness;

/// Walks a route in a shop with what is known so far.
pub fn walk(route: &Route, shop: &Shop, known: &Known) -> Plan {
    walked(route, shop, known, None)
}

impl Plan {
    /// The plan of the same route and shop with what is known now. Operations that
    /// nothing new reaches are the same as in this one and aren't walked again.
    pub fn walk_again(&self, route: &Route, shop: &Shop, known: &Known) -> Plan {
        if *known == *self.known {
            return self.clone();
        }
        // With another end of a chain kept, or another choice, every name may mean another
        // size.
        let is_same = known.keep == self.known.keep && known.articles == self.known.articles;
        let before = is_same.then_some(self);
        walked(route, shop, known, before)
    }
}

/// Walks a route; with a plan from before, only what is new since.
fn walked(route: &Route, shop: &Shop, known: &Known, before: Option<&Plan>) -> Plan {
    let mut plan =
        Plan { operations: Vec::new(), findings: Vec::new(), known: Arc::new(known.clone()) };
    let news = before.map(|before| (before, News::between(&before.known, known)));
    let webs = ArticleWebs::of(route, known);
    for part in &route.parts {
        let walker = Walker::new(route, shop, known, part, &webs);
        let news = news.as_ref().filter(|(_, news)| !news.changes_pieces(part));
        let (operations, findings) = walker.through(news);
        plan.operations.extend(operations);
        plan.findings.extend(findings);
    }
    plan.operations.sort_by_key(|operation| operation.op);
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

/// How many strips an operation rips from one width of board; none where it rips
/// none apart.
pub fn strips(route: &Route, shop: &Shop, known: &Known, op: u32) -> Option<u32> {
    asked(route, shop, known, op, |step, work| step.what.strips(work).ok())??
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
    let webs = ArticleWebs::of(route, known);
    let mut walker = Walker::new(route, shop, known, route.part(&step.part)?, &webs);
    for earlier in route.steps.iter().filter(|s| s.part == step.part && s.op < op) {
        let planned = walker.operation(earlier);
        walker.leave(&planned);
    }
    let made: Vec<&MadeValue> = known.made_for(op).collect();
    let bench = walker.bench(step, &mut Vec::new());
    let source = |_: &str| None;
    let (members, blank) = walker.alike(&made, step).into_iter().next()?;
    let view = walker.view(&made, &walker.pieces[*members.first()?]);
    let work = walker.work(step, &bench, &view, &blank, &source);
    Some(question(step, &work))
}

impl<'a> Walker<'a> {
    /// Walks every operation of the part, and says what its end brings to light. An
    /// operation from a plan before stays as it is, where its pieces come to it as they
    /// did then and nothing new reaches it.
    fn through(
        mut self,
        news: Option<&(&Plan, News<'_>)>,
    ) -> (Vec<Arc<PlannedOperation>>, Vec<PlanFinding>) {
        let mut walked: Vec<Arc<PlannedOperation>> = Vec::new();
        let (mut come_alike, mut are_old) = (news.is_some(), news.is_some());
        let own = self.route.steps.iter().filter(|step| step.part == self.part.name);
        for step in own {
            let old = news.and_then(|(before, _)| before.shared(step.op));
            let is_reached = news.is_none_or(|(_, news)| news.reaches(step));
            if let Some(old) = old.filter(|_| come_alike && !is_reached) {
                walked.push(Arc::clone(old));
                continue;
            }
            if let Some(last) = walked.last() {
                self.leave(last);
            }
            let planned = self.operation(step);
            come_alike = old.is_some_and(|old| old.leaves_like(&planned));
            are_old = false;
            walked.push(Arc::new(planned));
        }
        if let Some((before, _)) = news.filter(|(_, news)| are_old && !news.made_any()) {
            let own = |found: &&PlanFinding| found.place.part.as_ref() == Some(&self.part.name);
            return (walked, before.findings.iter().filter(own).cloned().collect());
        }
        if let Some(last) = walked.last() {
            self.leave(last);
        }
        // Past a formula that can't be worked out, the end means nothing.
        let mut found = walked.iter().flat_map(|planned| &planned.findings);
        let mut findings = Vec::new();
        if found.all(|finding| finding.place.at.is_none()) {
            findings.extend(self.finished());
        }
        findings.extend(self.unknown_thickness());
        (walked, findings)
    }

    /// The pieces as they leave an operation.
    fn leave(&mut self, planned: &PlannedOperation) {
        for group in &planned.groups {
            let after = Rc::new(group.outcome.after.clone());
            self.blanks.extend(group.pieces.iter().map(|piece| (*piece, Rc::clone(&after))));
            for held in &group.varieties {
                let after = Rc::new(held.after.clone());
                self.blanks.extend(held.pieces.iter().map(|piece| (*piece, Rc::clone(&after))));
            }
        }
    }

    fn operation(&self, step: &'a Step) -> PlannedOperation {
        let mut findings = Vec::new();
        let bench = self.bench(step, &mut findings);
        let limit = self.shortest_later(step);
        let made: Vec<&MadeValue> = self.known.made_for(step.op).collect();
        let mut groups: Vec<Group> = Vec::new();
        for (members, blank) in self.alike(&made, step) {
            let piece = &self.pieces[members[0]];
            let sets = match piece.set {
                None => self.sets_apart(&made, step, piece),
                Some(_) => Vec::new(),
            };
            let planned = |set: Option<u32>| {
                let view = self.view(&made, piece);
                let view = set.into_iter().fold(view, PieceValues::of_set).among(&self.pieces);
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
            let article = &self.route.article;
            if let Some(set) = set.filter(|_| differ && roles.any(|role| role == Role::Spare)) {
                group.outcome.steps.push(format!(
                    "Spares are cut as for {article} {set}, where the most wood is left: trim one \
                     that steps into another."
                ));
            }
            // Values of their own that come to the same, as under `min`, are one dial.
            match groups.iter_mut().find(|held| held.is_set_like(&group)) {
                Some(held) => held.join(group),
                None => groups.push(group),
            }
        }
        groups.sort_by_cached_key(|group| wood_left(step, group));
        self.settle(step, &mut groups);
        let checks =
            step.checks.iter().map(|check| self.planned_check(step, check, &groups)).collect();
        let mut needs = self.needs(step);
        if let Some(group) = groups.first() {
            findings.extend(inspect::across(self.route, self.shop, step, group, &needs));
            needs.retain(|need| need.op < step.op);
        }
        PlannedOperation {
            op: step.op,
            part: step.part.clone(),
            kind: step.kind,
            at: step.at.clone(),
            tool: bench.tool.map(|(name, _)| name.to_owned()),
            note: step.note.clone(),
            pieces: Arc::clone(&self.pieces),
            cautions: self.cautions(step, &bench, &groups),
            groups,
            findings,
            checks,
            cant_be_undone: step.cant_be_undone(),
            needs,
        }
    }

    #[expect(clippy::too_many_arguments, reason = "one call, and each is needed once")]
    fn group(
        &self,
        step: &Step,
        bench: &Bench<'_>,
        limit: Option<ShortestPiece>,
        view: &PieceValues<'_>,
        members: Vec<usize>,
        blank: Rc<Blank>,
        findings: &mut Vec<PlanFinding>,
    ) -> Group {
        let unit = self.route.unit;
        let source = |name: &str| view.source(name, unit);
        let mut work = self.work(step, bench, view, &blank, &source);
        work.shortest_later = limit;
        if step.what.stops_when_clean() {
            work.left_for_later = self.left_for_later(step, view, &blank);
        }
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
            let place = |Subject { key, may_override, of_the_shop }| PlanSubject {
                op: Some(step.op),
                key,
                may_override,
                of_the_shop,
                ..PlanSubject::default()
            };
            push_once(findings, finding.map_place(place));
        }
        for finding in impossible(step, &work, &outcome, self.part.blank.across) {
            push_once(findings, finding);
        }
        self.freeze(step, &members, &mut outcome);
        let used = view.used(step.names());
        let before = Rc::unwrap_or_clone(blank);
        Group { pieces: members, before, outcome, limits, used, varieties: Vec::new() }
    }

    pub(super) fn work<'w>(
        &'w self,
        step: &'w Step,
        bench: &Bench<'w>,
        view: &'w PieceValues<'w>,
        blank: &'w Blank,
        source: &'w dyn Fn(&str) -> Option<String>,
    ) -> Work<'w> {
        let species = match view.chosen() {
            Some(chosen) => self.route.wood_of(self.part, chosen),
            None => self.part.species.as_deref(),
        };
        Work {
            unit: self.route.unit,
            at: step.at.as_deref(),
            machine: bench.machine,
            shop_unit: self.shop.unit,
            tool_name: bench.tool.map(|(name, _)| name),
            tool: bench.tool.map(|(_, tool)| tool),
            blank,
            finish: self.sizes(&self.part.finish, view),
            hardness: species.map_or(Hardness::Hard, Hardness::of_species),
            assembled: !self.part.assembled_from.is_empty(),
            species,
            aim: Length::ZERO,
            scope: view,
            source,
            shortest_later: None,
            rough: self.rough_faces(step),
            left_for_later: BTreeMap::new(),
            marks_come_off: self.marks_come_off(step),
        }
    }

    /// Whether a form that is out can still be put right after an operation:
    /// wood is left for it, or no wood is needed.
    fn can_put_right(&self, step: &Step, groups: &[Group]) -> bool {
        let made: Vec<&MadeValue> = self.known.made.iter().collect();
        let cut = step.what.takes_wood_off();
        let is_left = |group: &Group, feature: &FeatureName| {
            let piece = group.pieces.first().map(|piece| &self.pieces[*piece]);
            let finish = piece.map(|piece| self.sizes(&self.part.finish, &self.view(&made, piece)));
            let finish = finish.as_ref().and_then(|finish| finish.get(feature));
            let size = group.outcome.after.least_of(feature);
            finish.is_none_or(|finish| size.is_none_or(|size| size > *finish))
        };
        let wood_is_left = || groups.iter().any(|g| cut.iter().any(|of| is_left(g, of)));
        // A frame is pushed square and a gap clamped shut while the glue is open.
        let is_assembly = cut.is_empty() && !self.part.assembled_from.is_empty();
        is_assembly || !step.cant_be_undone() && (cut.is_empty() || wood_is_left())
    }

    fn planned_check(&self, step: &Step, check: &Check, groups: &[Group]) -> PlannedCheck {
        let mut sizes = step.what.sizes().into_iter();
        let sized = sizes.find(|sized| sized.feature == check.of);
        let safe = sized.map_or(SafeSide::Neither, |sized| sized.safe);
        let is_curable = check.kind.is_form() && self.can_put_right(step, groups);
        PlannedCheck {
            of: check.of.clone(),
            kind: check.kind,
            safe: if is_curable { SafeSide::Big } else { safe },
            gauge: check.with.clone(),
            place: check.place.clone(),
            pieces: check.pieces,
            becomes: check.becomes.clone(),
        }
    }
}

/// Whether pieces cut the one way are on the safe side of those cut the other:
/// by the first size in which they differ.
fn leaves_more(step: &Step, one: &Group, other: &Group) -> bool {
    wood_left(step, one) < wood_left(step, other)
}

/// By which groups are put in order, the one that leaves most wood first, so that a
/// piece cut at the setting of another group can still be cut: its sizes in turn, each
/// turned so that less is safer.
fn wood_left(step: &Step, group: &Group) -> Vec<Option<Length>> {
    let left = |sized: SizedFeature| {
        let size = group.outcome.after.most(&sized.feature)?;
        Some(if sized.safe == SafeSide::Small { size } else { -size })
    };
    step.what.sizes().into_iter().map(left).collect()
}
