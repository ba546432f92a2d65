//! Articles that differ: the dimensions and the wood of each, as its maker chose them.

use std::collections::BTreeMap;

use super::known::Known;
use crate::formula::Web;
use crate::measure::Length;
use crate::route::{Chosen, Part, PieceLabel, Role, Route};

/// The dimensions of every article.
pub struct ArticleWebs<'a> {
    /// Those of the route.
    own: &'a Web,
    articles: &'a [Chosen],
    /// One for each different choice of sizes.
    webs: Vec<Web>,
    /// For each article which of them; none where it has the route's own.
    places: Vec<Option<usize>>,
}

impl<'a> ArticleWebs<'a> {
    /// Those of a route with what is known.
    pub fn of(route: &'a Route, known: &'a Known) -> ArticleWebs<'a> {
        let own = route.web(known.keep.as_deref());
        let articles: &[Chosen] = &known.articles;
        let mut chosen: Vec<&BTreeMap<String, Length>> = Vec::new();
        let mut place = |held: &'a Chosen| {
            if held.sizes.is_empty() {
                return None;
            }
            let known = chosen.iter().position(|sizes| **sizes == held.sizes);
            Some(known.unwrap_or_else(|| {
                chosen.push(&held.sizes);
                chosen.len() - 1
            }))
        };
        let places = articles.iter().map(&mut place).collect();
        let webs = chosen.into_iter().map(|sizes| own.with_lengths(sizes)).collect();
        ArticleWebs { own, articles, webs, places }
    }

    /// The dimensions of an article; those of the route where none is named.
    pub fn web(&self, article: Option<u32>) -> &Web {
        let place = article.and_then(|article| self.places.get(index(article)).copied().flatten());
        place.map_or(self.own, |place| &self.webs[place])
    }

    /// Whether any sizes were chosen.
    pub fn differ(&self) -> bool {
        !self.webs.is_empty()
    }

    /// Whether any wood was chosen.
    pub fn differ_in_wood(&self) -> bool {
        self.articles.iter().any(|chosen| chosen.wood.is_some())
    }

    /// Whether what makers chose reaches a dimension.
    pub fn differ_in(&self, dim: &str) -> bool {
        let reaches = |name: &String| name == dim || self.own.depends_on(dim, name);
        self.articles.iter().any(|chosen| chosen.sizes.keys().any(reaches))
    }

    /// What the maker of an article chose.
    pub fn chosen(&self, article: Option<u32>) -> Option<&'a Chosen> {
        self.articles.get(index(article?))
    }
}

fn index(article: u32) -> usize {
    (article as usize).wrapping_sub(1)
}

impl Route {
    /// The wood of a piece: that of its article; of a spare, that of the articles it can
    /// step in for.
    pub fn wood_of_piece<'r>(
        &'r self,
        part: &'r Part,
        label: &PieceLabel,
        known: &'r Known,
    ) -> Option<&'r str> {
        let first = self.articles_for(part, label, known).first().copied();
        let chosen = first.and_then(|article| known.articles.get(index(article)));
        chosen.map_or(part.species.as_deref(), |chosen| self.wood_of(part, chosen))
    }

    /// The articles a piece can be for: its own; for a spare all of its wood.
    pub fn articles_for(&self, part: &Part, label: &PieceLabel, known: &Known) -> Vec<u32> {
        if let Some(article) = label.set {
            return vec![article];
        }
        let all = || 1..=known.articles.len() as u32;
        let woods = self.woods_of(part, known);
        if label.role != Role::Spare || woods.len() < 2 {
            return all().collect();
        }
        let wood = self.spare_wood(part, label, known, &woods);
        let of_wood = |article: &u32| self.wood_of(part, &known.articles[index(*article)]) == wood;
        all().filter(of_wood).collect()
    }

    /// The woods of a part over all articles, in the order they come up, each with how
    /// many articles are of it.
    pub fn woods_of<'r>(&'r self, part: &'r Part, known: &'r Known) -> Vec<(Option<&'r str>, u32)> {
        let mut woods: Vec<(Option<&str>, u32)> = Vec::new();
        for chosen in &*known.articles {
            let wood = self.wood_of(part, chosen);
            match woods.iter_mut().find(|(held, _)| *held == wood) {
                Some((_, count)) => *count += 1,
                None => woods.push((wood, 1)),
            }
        }
        woods
    }

    /// Spares are dealt out among the woods of a part.
    fn spare_wood<'r>(
        &self,
        part: &Part,
        label: &PieceLabel,
        known: &Known,
        woods: &[(Option<&'r str>, u32)],
    ) -> Option<&'r str> {
        let needed = part.per_set.saturating_mul(self.sets);
        // A piece whose owner left keeps the wood it was cut from.
        if (1..=needed).contains(&label.number) {
            let article = (label.number - 1) / part.per_set.max(1) + 1;
            let chosen = known.articles.get(index(article));
            let wood = chosen.map(|chosen| self.wood_of(part, chosen));
            let held = woods.iter().find(|(held, _)| Some(*held) == wood);
            return held.or(woods.first()).and_then(|(wood, _)| *wood);
        }
        let place = label.number.saturating_sub(needed).saturating_sub(1);
        let counts: Vec<u32> = woods.iter().map(|(_, count)| *count).collect();
        let mut sum = 0;
        for (dealt, (wood, _)) in dealt_by_share(part.spares, &counts).iter().zip(woods) {
            sum += dealt;
            if place < sum {
                return *wood;
            }
        }
        woods.first().and_then(|(wood, _)| *wood)
    }
}

/// Deals a number out by shares, the last ones by the largest remainder. Where there are
/// enough, everybody gets one: a wood without a spare has none at all.
pub fn dealt_by_share(all: u32, shares: &[u32]) -> Vec<u32> {
    let takers = shares.len() as u32;
    let first = u32::from(all >= takers);
    let left = all - first * takers;
    let sum: u64 = shares.iter().map(|share| u64::from(*share)).sum::<u64>().max(1);
    let part = |share: &u32| u64::from(left) * u64::from(*share);
    let mut dealt: Vec<u32> =
        shares.iter().map(|share| first + (part(share) / sum) as u32).collect();
    let mut order: Vec<usize> = (0..shares.len()).collect();
    // The largest remainder first; the earlier one where two are alike.
    order.sort_by_key(|place| std::cmp::Reverse(part(&shares[*place]) % sum));
    let missing = all - dealt.iter().sum::<u32>();
    for place in order.into_iter().take(missing as usize) {
        dealt[place] += 1;
    }
    dealt
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// 4 spares for 10 stools of ash and 6 of walnut: one each, and of the other two
    /// 2 x 10/16 = 1.25 and 2 x 6/16 = 0.75, so one each again. 5 for 14 and 2: one each,
    /// and of three 2.625 and 0.375: all three by the remainder.
    #[test]
    fn spares_are_dealt_by_share() {
        assert_eq!(dealt_by_share(4, &[10, 6]), [2, 2]);
        assert_eq!(dealt_by_share(5, &[14, 2]), [4, 1]);
        assert_eq!(dealt_by_share(1, &[14, 2]), [1, 0]);
        assert_eq!(dealt_by_share(0, &[14, 2]), [0, 0]);
    }

    proptest! {
        /// Always: Dealing spares out among woods loses none and invents none.
        #[test]
        fn dealing_keeps_the_number(
            all in 0u32..200,
            shares in prop::collection::vec(1u32..50, 1..8),
        ) {
            prop_assert_eq!(dealt_by_share(all, &shares).iter().sum::<u32>(), all);
        }
    }
}
