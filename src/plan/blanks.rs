//! The pieces of a part as they come to an operation and leave it: their
//! stock, which are alike, what was measured on them, and their finished sizes.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::finding::{PlanFinding, plan_finding};
use super::known::{FrozenSetting, MadeOver, MadeValue};
use super::values::PieceValues;
use super::walker::Walker;
use crate::formula::Scope;
use crate::measure::Length;
use crate::operation::{Blank, Extent, FeatureName, Keyed, Outcome, THICKNESS, words};
use crate::prose::{Level, visible};
use crate::route::{Check, Step};

impl Walker<'_> {
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
        let view = PieceValues::new(self.web(), self.known.made.iter(), self.pieces.first());
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
    pub(super) fn alike(&self, made: &[&MadeValue], step: &Step) -> Vec<(Vec<usize>, Rc<Blank>)> {
        // Only values made for some of the pieces can tell them apart.
        let parted = made.iter().any(|made| made.over != MadeOver::Batch);
        let view_of = |piece| PieceValues::new(self.web(), made.iter().copied(), piece);
        let shared =
            (!parted && self.blanks.is_empty()).then(|| Rc::new(self.stock(&view_of(None))));
        let uses =
            |dim: &str| step.names().any(|name| name == dim || self.web().depends_on(name, dim));
        type BlankKey<'k> = (Vec<(&'k str, Length)>, Rc<Blank>);
        let mut groups: Vec<(BlankKey<'_>, Vec<usize>)> = Vec::new();
        for (index, piece) in self.pieces.iter().enumerate() {
            let view = parted.then(|| view_of(Some(piece)));
            let own = view.as_ref().map_or_else(Vec::new, PieceValues::own);
            let own: Vec<_> = own.into_iter().filter(|(dim, _)| uses(dim)).collect();
            let blank = match (self.blanks.get(&index), &shared, &view) {
                (Some(blank), _, _) | (None, Some(blank), _) => Rc::clone(blank),
                (None, None, view) => {
                    Rc::new(view.as_ref().map_or_else(Blank::default, |view| self.stock(view)))
                }
            };
            let same = |(held, standing): &BlankKey<'_>| {
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
    pub(super) fn sets_apart(&self, made: &[&MadeValue], step: &Step) -> Vec<u32> {
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
            let view = PieceValues::new(self.web(), of_sets.iter().copied(), None).of_set(set);
            if !values.contains(&view.own()) {
                values.push(view.own());
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
    pub(super) fn settle(&self, step: &Step, after: &mut Blank) {
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
    pub(super) fn found(&self, step: &Step, check: &Check) -> Option<Extent> {
        if let Some(measured) = self.known.measured.get(&(step.op, check.of.clone())) {
            return Some(Extent { least: measured.least, most: measured.most, made: true });
        }
        let becomes = check.becomes.as_ref()?;
        let mut made = self.known.made.iter().rev();
        let made = made.find(|made| made.dim == becomes.dim && made.op == Some(step.op))?;
        Some(Extent { least: made.value, most: made.value, made: true })
    }

    /// Whether the pieces end up at their finished sizes.
    pub(super) fn finished(&self) -> Vec<PlanFinding> {
        let mut steps = self.route.steps.iter().filter(|step| step.part == self.part.name);
        let Some(last) = steps.next_back() else { return Vec::new() };
        let view = PieceValues::new(self.web(), self.known.made.iter(), self.pieces.first());
        let mut findings = Vec::new();
        let Some(blank) = self.blanks.get(&0) else { return findings };
        for (feature, finish) in self.sizes(&self.part.finish, &view) {
            let Some(extent) = blank.size(&feature) else { continue };
            let rounding = Length::ROUNDING;
            let meets = extent.least - rounding <= finish && finish <= extent.most + rounding;
            if extent.made || meets {
                continue;
            }
            let unit = self.route.unit;
            let mut finding = plan_finding(
                last.op,
                Level::Error,
                format!(
                    "{}: {feature} ends at {}, but the finished size is {}",
                    visible(&self.part.name),
                    words(extent.most, unit),
                    words(finish, unit)
                ),
            );
            finding.place.part = Some(self.part.name.clone());
            let too_small = extent.most < finish;
            finding.help = Some(match self.sizes(&self.part.stock, &view).get(&feature) {
                Some(stock) if too_small => self.bigger_stock(&feature, *stock),
                _ => "an operation is missing, or one leaves too much or too little".to_owned(),
            });
            findings.push(finding);
        }
        findings
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
