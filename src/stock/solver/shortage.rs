//! How much it counts that blanks are missing: one whole number for all needs,
//! and the least it can be by prices.
//!
//! Of every need up to three quantities are counted: good blanks, blanks of any
//! kind, and sets that come whole from one board. A good blank counts in the first
//! two, so that each quantity only ever has to be large enough.

use super::every::KindLimits;
use super::pool::Want;
use super::tally::Score;

/// Prices of quantities are in millionths of a weight.
pub(super) const MILLIONTHS: i64 = 1_000_000;

/// The most quantities that are counted together; with more nothing is searched.
pub(super) const MOST_QUANTITIES: usize = 24;

/// The most that is counted of one quantity; with more nothing is searched.
const MOST_OF_EACH: u32 = 10_000;

/// How much there is of each quantity.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Amounts([u16; MOST_QUANTITIES]);

impl Amounts {
    pub(super) fn sum(&self) -> u32 {
        self.0.iter().map(|n| u32::from(*n)).sum()
    }

    /// Whether the other has as much of everything.
    pub(super) fn is_within(&self, other: &Amounts) -> bool {
        self.0.iter().zip(&other.0).all(|(one, other)| one <= other)
    }

    pub(super) fn get(&self, at: usize) -> u32 {
        u32::from(self.0[at])
    }
}

/// The quantities of one need, by their places in a list of all.
#[derive(Clone, Debug)]
struct NeedQuantities {
    need: usize,
    /// Good blanks, where some are wanted.
    good: Option<usize>,
    /// Blanks of any kind, where some may be setup pieces.
    any: Option<usize>,
    /// Whole sets, and how many blanks make one.
    whole: Option<(usize, u32)>,
    /// How many of the good blanks are spares.
    spares: u32,
}

/// How much one blank or set counts when it is missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Weights {
    pub set_blank: i64,
    pub spare: i64,
    pub setup: i64,
    /// A set that doesn't come whole from one board.
    pub apart: i64,
}

/// What is wanted, quantity by quantity.
#[derive(Clone, Debug)]
pub(super) struct Quantities {
    needs: Vec<NeedQuantities>,
    pub wanted: Amounts,
    pub len: usize,
    pub weights: Weights,
}

impl Quantities {
    /// The quantities of these wants. `whole_sets` says whether whole sets count.
    pub(super) fn new(wants: &[Want], whole_sets: bool) -> Option<Quantities> {
        let mut wanted = Vec::new();
        let mut add = |count: u32| {
            wanted.push(count);
            wanted.len() - 1
        };
        let (mut sets, mut spares, mut setups) = (0, 0, 0);
        let mut needs = Vec::new();
        for (need, want) in wants.iter().enumerate().filter(|(_, w)| w.good + w.proving > 0) {
            let spare = want.good - want.for_sets;
            let good = (want.good > 0).then(|| add(want.good));
            let any = (want.proving > 0).then(|| add(want.good + want.proving));
            let a_set = want.a_set.filter(|a_set| whole_sets && *a_set > 1);
            let whole = a_set
                .filter(|a_set| want.for_sets >= *a_set)
                .map(|a_set| (add(want.for_sets / a_set), a_set));
            sets += whole.map_or(0, |(_, a_set)| i64::from(want.for_sets / a_set));
            (spares, setups) = (spares + i64::from(spare), setups + i64::from(want.proving));
            needs.push(NeedQuantities { need, good, any, whole, spares: spare });
        }
        // What counts more outweighs all that counts less.
        let setup = 1 + sets;
        let spare = setup * (1 + setups);
        let set_blank = spare * (1 + spares);
        let weights = Weights { set_blank, spare, setup, apart: 1 };
        let len = wanted.len();
        if len > MOST_QUANTITIES || wanted.iter().any(|count| *count > MOST_OF_EACH) {
            return None;
        }
        let mut all = Amounts::default();
        all.0.iter_mut().zip(&wanted).for_each(|(all, wanted)| *all = *wanted as u16);
        Some(Quantities { needs, wanted: all, len, weights })
    }

    /// The quantities in counts of kinds of blank, each at most as many as
    /// wanted.
    pub(super) fn of(&self, counts: &[u32]) -> Amounts {
        let mut found = [0_u32; MOST_QUANTITIES];
        for own in &self.needs {
            let (good, cheap) = (counts[2 * own.need], counts[2 * own.need + 1]);
            own.good.into_iter().for_each(|at| found[at] = good);
            own.any.into_iter().for_each(|at| found[at] = good + cheap);
            own.whole.into_iter().for_each(|(at, a_set)| found[at] = good / a_set);
        }
        let mut made = self.wanted;
        for (made, found) in made.0.iter_mut().zip(found) {
            *made = found.min(u32::from(*made)) as u16;
        }
        made
    }

    /// The same without whole sets.
    pub(super) fn of_blanks(&self, counts: &[u32]) -> Amounts {
        let mut made = self.of(counts);
        let whole = self.needs.iter().filter_map(|own| own.whole);
        whole.for_each(|(at, _)| made.0[at] = 0);
        made
    }

    /// Both together, as far as wanted.
    pub(super) fn together(&self, one: &Amounts, other: &Amounts) -> Amounts {
        let mut sum = self.wanted;
        for at in 0..MOST_QUANTITIES {
            sum.0[at] = sum.0[at].min(one.0[at] + other.0[at]);
        }
        sum
    }

    /// What it is worth at these prices.
    pub(super) fn value(&self, made: &Amounts, price: &[i64]) -> i64 {
        made.0.iter().zip(price).map(|(n, price)| i64::from(*n) * price).sum()
    }

    /// What it is worth as far as it is open.
    pub(super) fn value_of_open(&self, made: &Amounts, open: &Amounts, price: &[i64]) -> i64 {
        let each = made.0.iter().zip(&open.0).zip(price);
        each.map(|((made, open), price)| i64::from(*made.min(open)) * price).sum()
    }

    /// What is still open after these quantities.
    pub(super) fn after(&self, open: &Amounts, made: &Amounts) -> Amounts {
        let mut left = *open;
        left.0.iter_mut().zip(&made.0).for_each(|(left, made)| *left = left.saturating_sub(*made));
        for own in &self.needs {
            // Where good blanks are open, as many blanks of any kind are.
            if let (Some(good), Some(any)) = (own.good, own.any) {
                left.0[any] = left.0[any].max(left.0[good]);
            }
        }
        left
    }

    /// How many blanks for sets, spares, setup pieces and whole sets of one need
    /// are open.
    fn open_of(own: &NeedQuantities, open: &Amounts) -> [i64; 4] {
        let at = |place: Option<usize>| place.map_or(0, |place| open.get(place));
        let good = at(own.good);
        let spares = good.min(own.spares);
        let setups = at(own.any).saturating_sub(good);
        [good - spares, spares, setups, at(own.whole.map(|(place, _)| place))].map(i64::from)
    }

    /// How much it counts when all that is open stays missing.
    pub(super) fn weight_of(&self, open: &Amounts) -> i64 {
        let Weights { set_blank, spare, setup, apart } = self.weights;
        let of = |own| {
            let [sets, spares, setups, whole] = Quantities::open_of(own, open);
            sets * set_blank + spares * spare + setups * setup + whole * apart
        };
        self.needs.iter().map(of).sum()
    }

    /// How much it counts what a choice lacks.
    pub(super) fn weight_of_score(&self, score: Score) -> i64 {
        let Weights { set_blank, spare, setup, apart } = self.weights;
        let whole = self.needs.iter().any(|own| own.whole.is_some());
        i64::from(score.missing_for_sets) * set_blank
            + i64::from(score.missing_spares) * spare
            + i64::from(score.missing_setup) * setup
            + if whole { i64::from(score.apart) * apart } else { 0 }
    }

    /// What all that is open is worth at these prices, less what leaving it out
    /// costs where that is cheaper: with the worth of what boards give taken off,
    /// this is the least that can be missing, in millionths.
    pub(super) fn worth_of(&self, open: &Amounts, price: &[i64]) -> i64 {
        let Weights { set_blank, spare, setup, apart } = self.weights;
        let of = |own: &NeedQuantities| {
            let at =
                |place: Option<usize>| place.map_or((0, 0), |p| (i64::from(open.get(p)), price[p]));
            let ((good, good_price), (any, any_price)) = (at(own.good), at(own.any));
            let (whole, whole_price) = at(own.whole.map(|(place, _)| place));
            let [sets, spares, setups, _] = Quantities::open_of(own, open);
            let both = good_price + any_price;
            let over = |price: i64, weight: i64| (price - weight * MILLIONTHS).max(0);
            good * good_price + any.max(if own.any.is_some() { good } else { 0 }) * any_price
                - sets * over(both, set_blank)
                - spares * over(both, spare)
                - setups * over(any_price, setup)
                + whole * whole_price.min(apart * MILLIONTHS)
        };
        self.needs.iter().map(of).sum()
    }

    /// The most that a price of each quantity can do, in weights.
    pub(super) fn highest(&self) -> Vec<i64> {
        let Weights { set_blank, spare, setup, apart } = self.weights;
        let mut highest = vec![0; self.len];
        for own in &self.needs {
            let good_weight = if self.wanted_sets(own) > 0 { set_blank } else { spare };
            own.good.into_iter().for_each(|at| highest[at] = good_weight);
            own.any.into_iter().for_each(|at| highest[at] = setup);
            own.whole.into_iter().for_each(|(at, _)| highest[at] = apart);
        }
        highest
    }

    fn wanted_sets(&self, own: &NeedQuantities) -> u32 {
        own.good.map_or(0, |at| self.wanted.get(at).saturating_sub(own.spares))
    }

    /// The prices of kinds of blank that these prices of quantities come to; whole
    /// sets have none.
    pub(super) fn prices_of_kinds(&self, price: &[i64], kinds: usize) -> Vec<i64> {
        let mut of = vec![0; kinds];
        for own in &self.needs {
            let at = |place: Option<usize>| place.map_or(0, |place| price[place]);
            of[2 * own.need] = at(own.good) + at(own.any);
            of[2 * own.need + 1] = at(own.any);
        }
        of
    }

    /// The prices of quantities that these prices of kinds of blank come to, scaled
    /// so that one is as high as it can be of use.
    pub(super) fn prices_of_quantities(&self, of_kinds: &[i64]) -> Vec<i64> {
        let mut price = vec![0.0; self.len];
        for own in &self.needs {
            let (good, cheap) = (of_kinds[2 * own.need], of_kinds[2 * own.need + 1]);
            let above = if own.any.is_some() { cheap } else { 0 };
            own.good.into_iter().for_each(|at| price[at] = (good - above).max(0) as f64);
            own.any.into_iter().for_each(|at| price[at] = cheap as f64);
        }
        self.scaled(&price)
    }

    /// Prices in millionths, scaled so that one is as high as it can be of use.
    pub(super) fn scaled(&self, exact: &[f64]) -> Vec<i64> {
        let most = exact.iter().zip(self.highest()).map(|(p, h)| p / h as f64).fold(0.0, f64::max);
        let scale = if most > 0.0 { MILLIONTHS as f64 / most } else { 0.0 };
        exact.iter().map(|price| (price * scale) as i64).collect()
    }

    /// How many of each kind of blank are of use at most.
    pub(super) fn limits(&self, kinds: usize) -> KindLimits {
        let mut limits = vec![0; kinds];
        for own in &self.needs {
            let at = |place: Option<usize>| place.map_or(0, |place| self.wanted.get(place));
            limits[2 * own.need] = at(own.good).max(at(own.any));
            limits[2 * own.need + 1] = at(own.any);
        }
        KindLimits(limits)
    }

    /// The same quantities, of which only so much is still wanted.
    pub(super) fn with_open(&self, open: Amounts) -> Quantities {
        Quantities { wanted: open, ..self.clone() }
    }

    /// Which quantities are blanks; the others are whole sets.
    pub(super) fn are_blanks(&self) -> Vec<bool> {
        let mut blanks = vec![true; self.len];
        let whole = self.needs.iter().filter_map(|own| own.whole);
        whole.for_each(|(at, _)| blanks[at] = false);
        blanks
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Five blanks for two sets of two and a spare, two setup pieces, and one blank for a set of
    /// another part.
    fn quantities() -> Quantities {
        let both = Want { good: 5, proving: 2, for_sets: 4, a_set: Some(2) };
        Quantities::new(&[both, Want { good: 1, for_sets: 1, ..Want::default() }], true).unwrap()
    }

    fn weights(quantities: &Quantities, counts: &[u32]) -> i64 {
        let made = quantities.of(counts);
        quantities.weight_of(&quantities.after(&quantities.wanted, &made))
    }

    /// Two sets can be apart, so a setup piece counts 3. Two setup pieces are 6, so a spare counts
    /// 9, and a blank for a set 9 x 2 = 18, more than the spare, both setup pieces and both sets.
    #[test]
    fn what_counts_more_outweighs_what_counts_less() {
        let quantities = quantities();
        let expected = Weights { set_blank: 18, spare: 9, setup: 3, apart: 1 };
        assert_eq!(quantities.weights, expected);
        // Five good ones, then one each less; the last lacks everything: 5 x 18 + 9 + 2 x 3 + 2.
        assert_eq!(weights(&quantities, &[5, 2, 1, 0]), 0);
        assert_eq!(weights(&quantities, &[7, 0, 1, 0]), 0, "good ones prove settings as well");
        assert_eq!(weights(&quantities, &[5, 1, 1, 0]), 3);
        assert_eq!(weights(&quantities, &[4, 2, 1, 0]), 9);
        assert_eq!(weights(&quantities, &[4, 3, 1, 0]), 9, "no other blank is a spare");
        assert_eq!(weights(&quantities, &[5, 2, 0, 0]), 18);
        assert_eq!(weights(&quantities, &[0; 4]), 90 + 9 + 6 + 2);
    }

    /// At any prices, what is open is worth no more than missing it counts and what is made of
    /// it is worth: here for every count of good and other blanks, at six prices.
    #[test]
    fn prices_never_say_that_more_is_missing_than_is() {
        let quantities = quantities();
        for price in [
            [0, 0, 0, 0],
            [18, 3, 1, 18],
            [30, 0, 0, 9],
            [9, 9, 0, 0],
            [0, 4, 0, 0],
            [10, 2, 5, 40],
        ] {
            let price = price.map(|weight| weight * MILLIONTHS);
            for (good, cheap, other) in
                (0..8).flat_map(|a| (0..5).flat_map(move |b| [(a, b, 0), (a, b, 1)]))
            {
                let made = quantities.of(&[good, cheap, other, 0]);
                let worth = quantities.worth_of(&quantities.wanted, &price);
                let least = worth - quantities.value(&made, &price);
                let open = quantities.after(&quantities.wanted, &made);
                assert!(
                    least <= quantities.weight_of(&open) * MILLIONTHS,
                    "{price:?} {good} {cheap}"
                );
            }
        }
    }

    #[test]
    fn too_many_quantities_are_not_counted() {
        let want = Want { good: 1, for_sets: 1, ..Want::default() };
        assert!(Quantities::new(&[want; MOST_QUANTITIES], true).is_some());
        assert!(Quantities::new(&[want; MOST_QUANTITIES + 1], true).is_none());
        let many = Want { good: MOST_OF_EACH, ..Want::default() };
        assert!(Quantities::new(&[many], true).is_some());
        assert!(Quantities::new(&[Want { good: MOST_OF_EACH + 1, ..many }], true).is_none());
    }
}
