//! Where the pieces of each article are: articles by operations, a standing each.

use super::progress::next_op;
use crate::journal::{Piece, Snapshot, State};
use crate::route::{Role, Step};

/// A batch under way, article by article.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BatchToday {
    /// The batch.
    pub batch: String,
    /// What the route is called.
    pub route: String,
    /// What one finished article is called.
    pub article: String,
    /// The parts with their operations, in the order of the route.
    pub parts: Vec<PartToday>,
    /// The articles, the first first.
    pub articles: Vec<ArticleToday>,
}

/// A part and the operations on it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartToday {
    /// The part.
    pub part: String,
    /// Its operations, by number.
    pub ops: Vec<u32>,
}

/// One article.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ArticleToday {
    /// Its number, from one.
    pub number: u32,
    /// Whose it is, where somebody said.
    pub owner: Option<String>,
    /// For each part the standing at each of its operations; none where the article has
    /// no piece of it.
    pub stands: Vec<Vec<Option<ArticleStanding>>>,
}

/// How the pieces of an article stand at an operation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ArticleStanding {
    /// All are through.
    Done,
    /// The operation is begun, and not all are through.
    UnderWay,
    /// None has come there.
    Waiting,
    /// One is set aside here, and none has taken its place.
    Aside,
}

impl ArticleStanding {
    /// Every standing, in the order pieces come by them.
    pub const ALL: [ArticleStanding; 4] = [
        ArticleStanding::Done,
        ArticleStanding::UnderWay,
        ArticleStanding::Waiting,
        ArticleStanding::Aside,
    ];

    /// What it is called.
    pub fn word(self) -> &'static str {
        match self {
            ArticleStanding::Done => "done",
            ArticleStanding::UnderWay => "under way",
            ArticleStanding::Waiting => "waiting",
            ArticleStanding::Aside => "aside",
        }
    }
}

/// The articles of a batch; none where everything is finished.
pub(super) fn batch_today(batch: &Snapshot) -> Option<BatchToday> {
    let (route, state) = (&batch.route, &*batch.state);
    next_op(route, state, "")?;
    let parts: Vec<PartToday> = route
        .parts
        .iter()
        .map(|part| {
            let steps = route.steps.iter().filter(|step| step.part == part.name);
            PartToday { part: part.name.clone(), ops: steps.map(|step| step.op).collect() }
        })
        .filter(|part| !part.ops.is_empty())
        .collect();
    let articles = (1..=state.article_count()).map(|number| {
        let stands = parts.iter().map(|part| {
            let pieces = pieces_of(state, &part.part, number);
            let per_set = route.part(&part.part).map_or(0, |part| part.per_set as usize);
            let steps = part.ops.iter().filter_map(|op| route.step(*op));
            steps.map(|step| standing(batch, step, &pieces, per_set)).collect()
        });
        let owner = state.owner(number).map(str::to_owned);
        ArticleToday { number, owner, stands: stands.collect() }
    });
    Some(BatchToday {
        batch: batch.name.clone(),
        route: route.name.clone(),
        article: route.article.one.clone(),
        articles: articles.collect(),
        parts,
    })
}

/// The pieces of a part that are for an article; before blanks are cut into pieces, all
/// blanks.
fn pieces_of<'a>(state: &'a State, part: &str, article: u32) -> Vec<&'a Piece> {
    let of_part = || state.pieces.iter().filter(|piece| piece.label.part == part && piece.whole);
    let own: Vec<&Piece> = of_part().filter(|piece| piece.label.set == Some(article)).collect();
    if own.is_empty() {
        return of_part().filter(|piece| piece.label.role == Role::Blank).collect();
    }
    own
}

fn standing(
    batch: &Snapshot,
    step: &Step,
    pieces: &[&Piece],
    per_set: usize,
) -> Option<ArticleStanding> {
    let state = &batch.state;
    if pieces.is_empty() {
        return None;
    }
    let at_hand = pieces.iter().filter(|piece| piece.aside.is_none()).count();
    let is_blank = pieces.iter().any(|piece| piece.label.role == Role::Blank);
    // What another piece took the place of counts no more.
    let is_missing = at_hand < per_set && !is_blank;
    let aside_at = |piece: &&&Piece| piece.aside.as_ref().map(|(at, _)| *at);
    if is_missing && pieces.iter().any(|piece| aside_at(&piece) == Some(step.op)) {
        return Some(ArticleStanding::Aside);
    }
    // What was set aside later went through here.
    let comes_by = |piece: &&&Piece| match aside_at(piece) {
        None => true,
        Some(at) => is_missing && at > step.op,
    };
    let through = state.through(step.op);
    let (done, all) = pieces
        .iter()
        .filter(comes_by)
        .fold((0, 0), |(done, all), piece| (done + usize::from(through.has(piece)), all + 1));
    let is_begun = state.setups.get(&step.op).is_some_and(|setup| setup.begun.is_some());
    Some(match done {
        done if done > 0 && done == all => ArticleStanding::Done,
        0 if !is_begun => ArticleStanding::Waiting,
        _ => ArticleStanding::UnderWay,
    })
}
