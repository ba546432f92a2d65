//! The pieces of a part as they come to an operation and leave it: their
//! stock, which are alike, what was measured on them, and their finished sizes.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::Group;
use super::finding::{PlanFinding, plan_finding, push_once};
use super::known::{FrozenSetting, MadeOver, MadeValue, Measured};
use super::values::PieceValues;
use super::walker::Walker;
use crate::formula::Scope;
use crate::measure::{Length, Target};
use crate::operation::{Blank, Extent, FeatureName, Keyed, Outcome, THICKNESS, words};
use crate::prose::{Level, visible};
use crate::route::{Check, PieceLabel, Step};

/// What makes pieces alike at an operation.
#[derive(PartialEq)]
struct AlikeKey<'k> {
    /// The values it uses that were made or chosen for some pieces.
    own: Vec<(&'k str, Length)>,
    /// The wood, where articles differ.
    wood: Option<&'k str>,
    /// The articles a piece without one of its own can be for, where they differ.
    serves: Option<Vec<u32>>,
    /// The piece as it comes.
    blank: Rc<Blank>,
}

impl<'a> Walker<'a> {
    pub(super) fn stock(&self, view: &PieceValues<'_>) -> Blank {
        let mut sizes: BTreeMap<FeatureName, Extent> = self
            .sizes(&self.part.stock, view)
            .into_iter()
            .map(|(feature, size)| (feature, Extent::planned(size)))
            .collect();
        if let Some(thick) = self.glued_thickness(view)
            && !self.part.stock.contains_key(THICKNESS)
        {
            sizes.insert(FeatureName::THICKNESS, Extent::planned(thick));
        }
        let through = self.part.blank.through;
        Blank { sizes, gang: 1, beside: 1, through, ..Blank::default() }
    }

    /// The thickness of a panel as it comes out of the clamps: that of the
    /// parts in it, where all of them are finished to one.
    fn glued_thickness(&self, view: &dyn Scope) -> Option<Length> {
        let first = self.route.steps.iter().find(|step| step.part == self.part.name)?;
        let glued = first.what.joins_edge_to_edge().then_some(&self.part.assembled_from)?;
        let mut each = glued.iter().map(|name| {
            let part = self.route.part(name)?;
            self.sizes(&part.finish, view).get(THICKNESS).copied()
        });
        let one = each.next()??;
        each.all(|other| other == Some(one)).then_some(one)
    }

    /// Asks for the stock of an assembled part whose thickness nobody gives,
    /// where an operation works from it.
    pub(super) fn unknown_thickness(&self) -> Option<PlanFinding> {
        let part = self.part;
        let view = PieceValues::new(self.webs, self.known.made.iter(), self.pieces.first());
        let is_known = part.stock.contains_key(THICKNESS) || self.glued_thickness(&view).is_some();
        if part.assembled_from.is_empty() || is_known {
            return None;
        }
        let mut steps = self.route.steps.iter().filter(|step| step.part == part.name);
        let cuts = |step: &&Step| {
            !step.what.machines().is_empty()
                && !step.what.joins_edge_to_edge()
                && !step.what.takes_wood_off().is_empty()
        };
        let step = steps.find(cuts)?;
        let what = format!(
            "{}: how thick it comes out of the clamps is unknown, and op {} ({}) works from it",
            visible(&part.name),
            step.op,
            step.kind
        );
        let mut finding = plan_finding(step.op, Level::Error, what);
        finding.place.part = Some(part.name.clone());
        finding.help = Some("give the part a `stock` with its `thickness` once glued".to_owned());
        Some(finding)
    }

    /// A part's sizes, as far as they can be worked out.
    pub(super) fn sizes(
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

    /// Pieces that read the same values and are alike, together.
    pub(super) fn alike(
        &self,
        made: &[&'a MadeValue],
        step: &Step,
    ) -> Vec<(Vec<usize>, Rc<Blank>)> {
        // Only what was made or chosen for some of the pieces can tell them apart.
        let differ = self.webs.differ() || self.webs.differ_in_wood();
        let parted = differ || made.iter().any(|made| made.over != MadeOver::Batch);
        let view_of = |piece| PieceValues::new(self.webs, made.iter().copied(), piece);
        let shared =
            (!parted && self.blanks.is_empty()).then(|| Rc::new(self.stock(&view_of(None))));
        let uses = self.uses(step);
        let mut groups: Vec<(AlikeKey<'_>, Vec<usize>)> = Vec::new();
        for (index, piece) in self.pieces.iter().enumerate() {
            let view = parted.then(|| view_of(Some(piece)));
            let own = view.as_ref().map_or_else(Vec::new, PieceValues::own);
            let is_shared = differ && piece.set.is_none();
            let serves = is_shared.then(|| self.route.articles_for(self.part, piece, self.known));
            let blank = match (self.blanks.get(&index), &shared, &serves, &view) {
                (Some(blank), ..) | (None, Some(blank), ..) => Rc::clone(blank),
                (None, None, Some(serves), _) => Rc::new(self.stock_for_any(made, serves)),
                (None, None, None, Some(view)) => Rc::new(self.stock(view)),
                (None, None, None, None) => Rc::default(),
            };
            let wood =
                differ.then(|| self.route.wood_of_piece(self.part, piece, self.known)).flatten();
            let own = own.into_iter().filter(|(dim, _)| uses(dim)).collect();
            let key = AlikeKey { own, wood, serves, blank };
            match groups.iter_mut().find(|(held, _)| *held == key) {
                Some((_, members)) => members.push(index),
                None => groups.push((key, vec![index])),
            }
        }
        groups.into_iter().map(|(key, members)| (members, key.blank)).collect()
    }

    /// The stock of a piece that may step in for any of these articles: in each direction
    /// the largest of theirs.
    fn stock_for_any(&self, made: &[&'a MadeValue], articles: &[u32]) -> Blank {
        let mut seen = Vec::new();
        let mut largest: Option<Blank> = None;
        for article in articles {
            let view = PieceValues::new(self.webs, made.iter().copied(), None).of_set(*article);
            let own = view.own();
            if seen.contains(&own) {
                continue;
            }
            let stock = self.stock(&view);
            seen.push(own);
            match &mut largest {
                None => largest = Some(stock),
                Some(largest) => {
                    for (feature, size) in stock.sizes {
                        let held = largest.sizes.entry(feature).or_insert(size);
                        if size.most > held.most {
                            *held = size;
                        }
                    }
                }
            }
        }
        largest.unwrap_or_default()
    }

    /// Whether an operation, or the finished sizes it works to, use a dimension.
    fn uses(&self, step: &'a Step) -> impl Fn(&str) -> bool {
        let finish = self.part.finish.values().flat_map(|keyed| keyed.formula.names());
        let names: Vec<&str> = step.names().chain(finish.map(|(name, _)| name)).collect();
        let web = self.web();
        move |dim: &str| names.iter().any(|name| *name == dim || web.depends_on(name, dim))
    }

    /// One article for each different value that this operation uses of the articles'
    /// own, of those a piece can be for: none where it uses none, or all are the same.
    pub(super) fn sets_apart(
        &self,
        made: &[&'a MadeValue],
        step: &'a Step,
        piece: &PieceLabel,
    ) -> Vec<u32> {
        let uses = self.uses(step);
        let of_sets: Vec<&MadeValue> = made
            .iter()
            .filter(|made| matches!(made.over, MadeOver::Set(_)) && uses(&made.dim))
            .copied()
            .collect();
        if of_sets.is_empty() && !self.webs.differ() {
            return Vec::new();
        }
        let articles = match self.known.articles.is_empty() {
            true => (1..=self.route.sets).collect(),
            false => self.route.articles_for(self.part, piece, self.known),
        };
        let mut values: Vec<Vec<(&str, Length)>> = Vec::new();
        let mut sets = Vec::new();
        for set in articles {
            let view = PieceValues::new(self.webs, of_sets.iter().copied(), None).of_set(set);
            let own: Vec<_> = view.own().into_iter().filter(|(dim, _)| uses(dim)).collect();
            if !values.contains(&own) {
                values.push(own);
                sets.push(set);
            }
        }
        sets
    }

    /// Puts the numbers of a setup that has begun in place of computed ones.
    pub(super) fn freeze(&self, step: &Step, members: &[usize], outcome: &mut Outcome) {
        let Some(frozen) = self.known.frozen.get(&step.op) else { return };
        let ours = |held: &&FrozenSetting| {
            let named = |index: &usize| held.pieces.contains(&self.pieces[*index]);
            held.pieces.is_empty() || members.iter().any(named)
        };
        // One that named nobody was for all there were then: an article that came late and
        // differs has a number of its own.
        let differ = self.webs.differ();
        let is_meant = |held: &FrozenSetting, target: Target| {
            !differ || !held.pieces.is_empty() || held.target == target
        };
        for held in frozen.settings.iter().filter(ours) {
            match held.pass {
                Some(number) => {
                    let pass = outcome.passes.iter_mut().find(|p| p.number == number);
                    if let Some(pass) = pass.filter(|pass| is_meant(held, pass.target)) {
                        (pass.target, pass.dial) = (held.target, held.dial);
                    }
                }
                None => {
                    let named = outcome.settings.iter_mut().find(|s| s.name == held.name);
                    if let Some(named) = named.filter(|named| is_meant(held, named.setting.target))
                    {
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
    pub(super) fn settle(&self, step: &Step, groups: &mut [Group]) {
        let sized = step.what.sizes();
        for (n, check) in step.checks.iter().enumerate() {
            let targets: Vec<Option<Length>> = groups
                .iter()
                .map(|group| group.limits.get(n).and_then(|held| held.target))
                .collect();
            for (group, own) in groups.iter_mut().zip(&targets) {
                let Some(extent) = self.found(step, check, group, (*own, &targets)) else {
                    continue;
                };
                let speaks_for_all =
                    step.what.one_size() && sized.iter().any(|sized| sized.feature == check.of);
                let varieties = group.varieties.iter_mut().map(|held| &mut held.after);
                for after in varieties.chain([&mut group.outcome.after]) {
                    after.sizes.insert(check.of.clone(), extent);
                    for other in sized.iter().filter(|_| speaks_for_all) {
                        let own = step.checks.iter().any(|check| check.of == other.feature);
                        if !own && after.size(&other.feature).is_some() {
                            after.sizes.insert(other.feature.clone(), extent);
                        }
                    }
                }
            }
        }
    }

    /// What a check found on the pieces of a group, as far as it is known. Where articles
    /// differ, what was read counts for the group whose target is nearest to the one it
    /// was read for.
    fn found(
        &self,
        step: &Step,
        check: &Check,
        group: &Group,
        (own, targets): (Option<Length>, &[Option<Length>]),
    ) -> Option<Extent> {
        let of = (step.op, check.of.clone());
        if let Some(apart) = self.known.measured_for.get(&of) {
            let nearest = |read: Length| {
                let far = |target: &Length| (*target - read).abs();
                targets.iter().flatten().min_by_key(|target| far(target)).copied()
            };
            let ours = apart.iter().filter(|(read, _)| own.is_some() && nearest(*read) == own);
            let ours = ours.map(|(_, measured)| *measured).reduce(|one, other| Measured {
                least: one.least.min(other.least),
                most: one.most.max(other.most),
            })?;
            return Some(Extent { least: ours.least, most: ours.most, made: true });
        }
        if let Some(measured) = self.known.measured.get(&of) {
            return Some(Extent { least: measured.least, most: measured.most, made: true });
        }
        let becomes = check.becomes.as_ref()?;
        let pieces = || group.pieces.iter().map(|place| &self.pieces[*place]);
        let is_ours = |over: &MadeOver| match over {
            MadeOver::Set(set) if self.webs.differ() => {
                pieces().any(|piece| piece.set == Some(*set))
            }
            _ => true,
        };
        let mut made = self.known.made.iter().rev();
        let made = made.find(|made| {
            made.dim == becomes.dim && made.op == Some(step.op) && is_ours(&made.over)
        })?;
        Some(Extent { least: made.value, most: made.value, made: true })
    }

    /// Whether the pieces end up at their finished sizes.
    pub(super) fn finished(&self) -> Vec<PlanFinding> {
        let mut steps = self.route.steps.iter().filter(|step| step.part == self.part.name);
        let Some(last) = steps.next_back() else { return Vec::new() };
        let made: Vec<&MadeValue> = self.known.made.iter().collect();
        let mut findings = Vec::new();
        let differ = self.webs.differ();
        let mut seen = Vec::new();
        // A spare ends as the largest it can be for.
        for (index, piece) in self.pieces.iter().enumerate() {
            let Some(blank) = self.blanks.get(&index) else { continue };
            let is_looked_at = if differ { piece.set.is_some() } else { index == 0 };
            if !is_looked_at {
                continue;
            }
            let view = self.view(&made, piece);
            let key = (view.own(), Rc::clone(blank));
            if seen.contains(&key) {
                continue;
            }
            self.ends_at(last, blank, &view, &mut findings);
            seen.push(key);
        }
        findings
    }

    fn ends_at(
        &self,
        last: &Step,
        blank: &Blank,
        view: &PieceValues<'_>,
        findings: &mut Vec<PlanFinding>,
    ) {
        for (feature, finish) in self.sizes(&self.part.finish, view) {
            let Some(extent) = blank.size(&feature) else { continue };
            let rounding = Length::ROUNDING;
            let meets = extent.least - rounding <= finish && finish <= extent.most + rounding;
            if extent.made || meets {
                continue;
            }
            let unit = self.route.unit;
            let what = format!(
                "{}: {feature} ends at {}, but the finished size is {}",
                visible(&self.part.name),
                words(extent.most, unit),
                words(finish, unit)
            );
            let mut finding = plan_finding(last.op, Level::Error, what);
            finding.place.part = Some(self.part.name.clone());
            let too_small = extent.most < finish;
            finding.help = Some(match self.sizes(&self.part.stock, view).get(&feature) {
                Some(stock) if too_small => self.bigger_stock(&feature, *stock),
                _ => "an operation is missing, or one leaves too much or too little".to_owned(),
            });
            push_once(findings, finding);
        }
    }

    /// What helps where the stock doesn't give the finished size. Thickness is bought by
    /// the class.
    fn bigger_stock(&self, feature: &FeatureName, stock: Length) -> String {
        let stock = words(stock, self.route.unit);
        match &self.part.stock_class {
            Some(class) if feature == THICKNESS => format!(
                "its {} stock is {stock} thick: buy the next thicker class, or make it thinner",
                visible(class)
            ),
            _ => format!("its stock has {stock} there: start from more, or make it smaller"),
        }
    }
}
