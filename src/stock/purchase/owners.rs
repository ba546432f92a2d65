//! What each maker's article costs: the price of all the wood, split by the blanks of
//! each. Spares and waste are shared in the same proportion.

use super::list::{StockLine, StockList};
use crate::route::Route;
use crate::shop::Money;

/// The price of one article.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ArticlePrice {
    /// The article, counted from one.
    pub article: u32,
    /// The wood in it, each in the order of the list to buy.
    pub woods: Vec<String>,
    /// What its share of everything bought costs.
    pub cost: Money,
}

impl StockList {
    /// The price of each article. They sum to the price of the list.
    pub fn by_article(&self, route: &Route, articles: u32) -> Vec<ArticlePrice> {
        let no_price = |article| ArticlePrice { article, woods: Vec::new(), cost: Money::NONE };
        let mut prices: Vec<ArticlePrice> = (1..=articles).map(no_price).collect();
        for row in &self.to_buy {
            let lines = self.lines.iter().filter(|line| {
                line.need.species == row.species
                    && line.need.class == row.class
                    && line.nominal == row.nominal
            });
            let mut areas = vec![0_u128; articles as usize];
            for line in lines {
                for (area, more) in areas.iter_mut().zip(areas_of(route, line, articles)) {
                    *area += more;
                }
            }
            let shares = split(row.cost.unwrap_or(Money::NONE), &areas);
            for ((price, area), share) in prices.iter_mut().zip(&areas).zip(shares) {
                price.cost += share;
                let wood = row.species.iter().filter(|wood| !price.woods.contains(wood));
                let wood: Vec<String> = wood.filter(|_| *area > 0).cloned().collect();
                price.woods.extend(wood);
            }
        }
        prices
    }
}

/// The area of the blanks of each article in a line of the list, in whole square
/// nanometres times the pieces in a blank.
fn areas_of(route: &Route, line: &StockLine, articles: u32) -> Vec<u128> {
    let need = &line.need;
    let one = u128::from(need.length.nanometres().unsigned_abs())
        * u128::from(need.width.nanometres().unsigned_abs())
        / u128::from(need.holds().max(1));
    let per_set = route.part(&need.part).map_or(0, |part| part.per_set);
    let pieces = |article: u32| match &need.pieces {
        Some(own) => own.iter().filter(|piece| piece.set == Some(article)).count() as u128,
        None if route.sets == 0 => 0,
        // Of several woods each has its own share of an article.
        None => u128::from(per_set.min(line.pieces.sets / route.sets.max(1))),
    };
    (1..=articles).map(|article| one * pieces(article)).collect()
}

/// Splits an amount by weights, the last hundredths by the largest remainder; of two
/// alike the earlier one. Without weights everybody has the same share.
pub fn split(amount: Money, weights: &[u128]) -> Vec<Money> {
    let even = vec![1_u128; weights.len()];
    let sum: u128 = weights.iter().sum();
    let (weights, sum) =
        if sum == 0 { (even.as_slice(), weights.len() as u128) } else { (weights, sum) };
    if weights.is_empty() {
        return Vec::new();
    }
    let all = u128::from(amount.in_hundredths().unsigned_abs());
    let mut shares: Vec<u128> = weights.iter().map(|weight| all * weight / sum).collect();
    let mut order: Vec<usize> = (0..weights.len()).collect();
    order.sort_by_key(|place| std::cmp::Reverse(all * weights[*place] % sum));
    let missing = (all - shares.iter().sum::<u128>()) as usize;
    for place in order.into_iter().take(missing) {
        shares[place] += 1;
    }
    let money = |share| Money::hundredths(i64::try_from(share).unwrap_or(i64::MAX));
    shares.into_iter().map(money).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// 10.00 among three alike: 3.34, 3.33, 3.33. 1.00 by 1, 2 and 4: 14.29, 28.57 and
    /// 57.14 hundredths, so 14, 28 and 57 and the one left to 0.57, the largest remainder.
    #[test]
    fn the_last_hundredth_goes_to_the_largest_remainder() {
        let split = |amount, weights: &[u128]| -> Vec<i64> {
            let shares = split(Money::hundredths(amount), weights);
            shares.into_iter().map(Money::in_hundredths).collect()
        };
        assert_eq!(split(1000, &[1, 1, 1]), [334, 333, 333]);
        assert_eq!(split(100, &[1, 2, 4]), [14, 29, 57]);
        assert_eq!(split(5, &[0, 0]), [3, 2]);
        assert_eq!(split(5, &[]), Vec::<i64>::new());
    }

    proptest! {
        /// Always: The shares of an amount sum to it, and nobody without wood pays.
        #[test]
        fn shares_sum_to_the_amount(
            amount in 0i64..10_000_000,
            weights in prop::collection::vec(0u128..1_000_000_000_000_000_000, 1..40),
        ) {
            let shares = split(Money::hundredths(amount), &weights);
            let sum: i64 = shares.iter().map(|share| share.in_hundredths()).sum();
            prop_assert_eq!(sum, amount);
            if weights.iter().any(|weight| *weight > 0) {
                let free = shares.iter().zip(&weights).filter(|(_, weight)| **weight == 0);
                prop_assert!(free.into_iter().all(|(share, _)| *share == Money::NONE));
            }
        }
    }
}
