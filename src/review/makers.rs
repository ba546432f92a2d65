//! What each maker wants to know: where their pieces are, what went out of limits among
//! them, whether their article goes together, and what its wood costs.

use super::findings::{Findings, Out};
use crate::fits::JudgedFit;
use crate::journal::State;
use crate::plan::Plan;
use crate::prose::counted;
use crate::route::{Chosen, Route};
use crate::shop::Money;
use crate::stock::{ArticlePrice, StockList};

/// One article and how it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct MakerReport {
    /// The article, counted from one.
    pub article: u32,
    /// Whose it is.
    pub owner: Option<String>,
    /// What was chosen.
    pub chosen: Chosen,
    /// Whether its owner left.
    pub has_left: bool,
    /// The wood in it.
    pub woods: Vec<String>,
    /// What its share of all the wood costs.
    pub cost: Money,
    /// For each part how far its pieces have come.
    pub parts: Vec<PartStanding>,
    /// What went out of limits among its pieces.
    pub out: Vec<Out>,
    /// Each fit, and whether it can be relied on.
    pub fits: Vec<(String, bool)>,
}

/// How far the pieces of one part of an article have come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartStanding {
    /// The part.
    pub part: String,
    /// How many pieces there are.
    pub pieces: usize,
    /// The last operation that all of them not set aside are through; none before the
    /// first.
    pub through: Option<u32>,
    /// How many operations the part has, and how many of them are done so.
    pub done: (usize, usize),
    /// How many are set aside.
    pub aside: usize,
}

impl PartStanding {
    /// `leg: 4 pieces through op 60, 6 of 9 operations; 1 set aside`.
    pub fn words(&self) -> String {
        let pieces = counted(self.pieces, "piece");
        let (done, all) = self.done;
        let at = match self.through {
            Some(op) => format!("{pieces} through op {op}, {done} of {all} operations"),
            None => format!("{pieces}, nothing done yet"),
        };
        let aside = match self.aside {
            0 => String::new(),
            aside => format!("; {aside} set aside"),
        };
        format!("{}: {at}{aside}", self.part)
    }
}

/// What these reports are made from.
#[derive(Clone, Copy)]
pub struct MakersInput<'a> {
    /// The route.
    pub route: &'a Route,
    /// The state of the batch.
    pub state: &'a State,
    /// Its plan.
    pub plan: &'a Plan,
    /// What went out.
    pub findings: &'a Findings,
    /// Its fits.
    pub fits: &'a [JudgedFit],
    /// Its wood.
    pub stock: &'a StockList,
}

/// A report for each article.
pub fn makers(input: MakersInput<'_>) -> Vec<MakerReport> {
    let count = input.state.article_count();
    let prices = input.stock.by_article(input.route, count);
    prices.into_iter().map(|price| report(input, price)).collect()
}

fn report(input: MakersInput<'_>, price: ArticlePrice) -> MakerReport {
    let MakersInput { route, state, findings, .. } = input;
    let article = price.article;
    let own = |piece: &crate::journal::PieceId| {
        state.piece(piece).is_some_and(|piece| piece.label.set == Some(article))
    };
    let is_for_it = |fit: &&JudgedFit| fit.sets.is_empty() || fit.sets.contains(&article);
    let fits = input.fits.iter().filter(is_for_it);
    let record = state.articles.get(article as usize - 1);
    MakerReport {
        article,
        owner: state.owner(article).map(str::to_owned),
        chosen: state.chosen(article),
        has_left: record.is_some_and(|record| record.has_left),
        woods: price.woods,
        cost: price.cost,
        parts: route.parts.iter().filter_map(|part| standing(input, &part.name, article)).collect(),
        out: findings.out.iter().filter(|out| own(&out.piece)).cloned().collect(),
        fits: fits.map(|fit| (fit.fit.clone(), fit.can_be_counted_on())).collect(),
    }
}

fn standing(input: MakersInput<'_>, part: &str, article: u32) -> Option<PartStanding> {
    let state = input.state;
    let is_own = |piece: &&crate::journal::Piece| {
        piece.label.part == part && piece.label.set == Some(article)
    };
    let all: Vec<_> = state.pieces.iter().filter(is_own).filter(|piece| piece.whole).collect();
    let at_work: Vec<_> = all.iter().filter(|piece| piece.aside.is_none()).collect();
    let ops: Vec<u32> =
        input.plan.operations.iter().filter(|op| op.part == part).map(|op| op.op).collect();
    let is_through = |op: &&u32| {
        !at_work.is_empty() && at_work.iter().all(|piece| state.is_through(**op, piece))
    };
    let done = ops.iter().take_while(is_through).count();
    (!all.is_empty()).then(|| PartStanding {
        part: part.to_owned(),
        pieces: at_work.len(),
        through: done.checked_sub(1).map(|last| ops[last]),
        done: (done, ops.len()),
        aside: all.len() - at_work.len(),
    })
}
