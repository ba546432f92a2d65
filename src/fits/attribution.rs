//! A clearance from plan to what was made: what each made dimension did to it,
//! in the order they were made. Knows nothing of whether it fits.
//!
//! A dimension that later ones follow counts by its net derivative, and a later
//! one for what it missed of what the earlier ones asked of it. What the
//! derivatives leave is the formula's own curvature; all of it sums exactly.

use std::collections::BTreeMap;

use crate::formula::{Scope, Value, Web};
use crate::measure::Length;
use crate::plan::{Known, MadeOver, MadeValue};
use crate::prose::Message;
use crate::route::{Fit, Route};

/// What one made dimension did to a clearance.
#[derive(Clone, Debug, PartialEq)]
pub struct FitShare {
    pub dim: String,
    /// The operation whose check made it.
    pub op: Option<u32>,
    /// What it should have been with all that was made before it.
    pub wanted: Length,
    pub made: Length,
    /// By how much the clearance grows as this grows by one, all that is cut
    /// later following.
    pub times: f64,
    pub amount: Length,
}

/// A clearance, from plan to made.
#[derive(Clone, Debug, PartialEq)]
pub struct FitAttribution {
    pub planned: Length,
    pub made: Length,
    pub shares: Vec<FitShare>,
    /// What straight lines don't explain.
    pub rest: Length,
}

impl FitAttribution {
    /// The clearance made less the one planned: shares and rest together.
    pub fn moved(&self) -> Length {
        self.made - self.planned
    }
}

/// The last value of each dimension that holds for a set, in the order made.
fn made_for(known: &Known, set: Option<u32>) -> Vec<&MadeValue> {
    let mut held: Vec<&MadeValue> = Vec::new();
    for made in &known.made {
        let holds = match made.over {
            MadeOver::Batch => true,
            MadeOver::Set(of) => Some(of) == set,
            // What holds for one piece says nothing of the others in a fit.
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

/// The way of one fit, for one set where sets differ. `None` where nothing in
/// it was made, or it can't be worked out.
pub fn fit_attribution(
    route: &Route,
    known: &Known,
    fit: &str,
    set: Option<u32>,
) -> Option<FitAttribution> {
    let fit = route.fits.iter().find(|held| held.name == fit)?;
    let web = route.web(known.keep.as_deref());
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

/// The dimensions with some of them held.
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
