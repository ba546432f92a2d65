//! A clearance from planned to made: what each made dimension contributed, in
//! the order they were made.
//!
//! A dimension that later ones follow counts by its net derivative. A later one
//! counts by its miss of the target that the earlier ones set. What the
//! derivatives don't explain is the curvature of the formula; the whole sums
//! exactly.

use std::collections::BTreeMap;

use crate::formula::{Scope, Value, Web};
use crate::measure::Length;
use crate::plan::articles::ArticleWebs;
use crate::plan::{Known, MadeOver, MadeValue};
use crate::prose::Message;
use crate::route::{Fit, Route};

/// What one made dimension did to a clearance.
#[derive(Clone, Debug, PartialEq)]
pub struct FitShare {
    /// The name of the dimension.
    pub dim: String,
    /// The operation whose check made it.
    pub op: Option<u32>,
    /// Its target, given everything made before it.
    pub wanted: Length,
    /// What it was made.
    pub made: Length,
    /// The net derivative of the clearance by it, with everything cut later
    /// following.
    pub times: f64,
    /// Its miss times that derivative.
    pub amount: Length,
}

/// A clearance, from planned to made.
#[derive(Clone, Debug, PartialEq)]
pub struct FitAttribution {
    /// As planned.
    pub planned: Length,
    /// With everything made.
    pub made: Length,
    /// What each dimension contributed, in the order made.
    pub shares: Vec<FitShare>,
    /// What the derivatives don't explain.
    pub rest: Length,
}

impl FitAttribution {
    /// The clearance made less the one planned: shares and rest together.
    pub fn moved(&self) -> Length {
        self.made - self.planned
    }
}

/// The last value of each dimension that holds for an article, in the order
/// made.
fn made_for(known: &Known, set: Option<u32>) -> Vec<&MadeValue> {
    let mut held: Vec<&MadeValue> = Vec::new();
    for made in &known.made {
        let holds = match made.over {
            MadeOver::Batch => true,
            MadeOver::Set(of) => Some(of) == set,
            // A value of one piece says nothing of the other pieces in a fit.
            MadeOver::Piece(_) => false,
        };
        if holds {
            held.retain(|other| other.dim != made.dim);
            held.push(made);
        }
    }
    held.sort_by_key(|made| made.op.unwrap_or(0));
    held
}

/// The attribution of one fit, for one article where they differ. `None` where
/// nothing in it was made, or its formula can't be evaluated.
pub fn fit_attribution(
    route: &Route,
    known: &Known,
    fit: &str,
    set: Option<u32>,
) -> Option<FitAttribution> {
    let fit = route.fits.iter().find(|held| held.name == fit)?;
    let webs = ArticleWebs::of(route, known);
    let web = webs.web(set);
    let uses = |dim: &str| {
        let mut names = fit.is.formula.names();
        names.any(|(name, _)| name == dim || web.depends_on(name, dim))
    };
    let made: Vec<&MadeValue> =
        made_for(known, set).into_iter().filter(|made| uses(&made.dim)).collect();
    let mut held: BTreeMap<&str, Length> = BTreeMap::new();
    let planned = clearance(web, fit, &held)?.length()?;
    let mut shares = Vec::new();
    let mut before = planned;
    let mut rest = Length::ZERO;
    for made in made {
        let wanted = Seen { web, held: &held }.value(&made.dim).ok()?.length()?;
        held.insert(&made.dim, wanted);
        let times = clearance(web, fit, &held)?.slope.get(&made.dim).copied().unwrap_or(0.0);
        held.insert(&made.dim, made.value);
        let after = clearance(web, fit, &held)?.length()?;
        let by = (made.value - wanted).nanometres() as f64 * times;
        let amount = Length::from_nanometres_f64(by)?;
        rest += after - before - amount;
        before = after;
        shares.push(FitShare {
            dim: made.dim.clone(),
            op: made.op,
            wanted,
            made: made.value,
            times,
            amount,
        });
    }
    (!shares.is_empty()).then_some(FitAttribution { planned, made: before, shares, rest })
}

fn clearance(web: &Web, fit: &Fit, held: &BTreeMap<&str, Length>) -> Option<Value> {
    fit.is.formula.evaluate(&Seen { web, held }).ok()
}

/// The dimensions, with some of them held at a value.
struct Seen<'a> {
    web: &'a Web,
    held: &'a BTreeMap<&'a str, Length>,
}

impl Scope for Seen<'_> {
    fn value(&self, name: &str) -> Result<Value, Message> {
        self.web.value(name, &|dim| {
            self.held.get(dim).map(|held| Value::root(dim, Value::of_length(*held)))
        })
    }
}
