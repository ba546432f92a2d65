//! Bites: what each pass takes, in whole steps of a scale.
//!
//! The trade works out equal bites. The scale shows only its marks, so each
//! height is put on one, and then moved as far as it must be for no bite to be
//! over its limit: `n` passes can do it where the first of them leaves no more
//! than `(n - 2) x most + last` steps to the others and no fewer than `n - 1`
//! (by arithmetic; that bites are judged so is common practice, no source).

use super::outcome::Finding;
use super::work::Work;
use crate::measure::{Length, Readout, Rounds};

/// The places a machine can be set to: every mark of a scale, or every so many
/// marks where a jog button moves it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grid {
    /// The scale.
    pub readout: Readout,
    /// How many of its marks one step is.
    pub marks: i64,
}

impl Grid {
    /// Every mark of a scale.
    pub(super) fn of(readout: Readout) -> Grid {
        Grid { readout, marks: 1 }
    }

    /// How many whole steps there are in an amount.
    pub(super) fn within(&self, amount: Length) -> i64 {
        self.readout.count(amount, Rounds::Down).div_euclid(self.marks)
    }

    /// How many steps an amount needs, the last one begun.
    pub(super) fn needed(&self, amount: Length) -> i64 {
        let marks = self.readout.count(amount, Rounds::Up);
        (marks + self.marks - 1).div_euclid(self.marks)
    }

    /// How long so many steps are.
    pub(super) fn length(&self, steps: i64) -> Length {
        self.readout.mark(steps * self.marks)
    }
}

/// What may be taken of an amount of wood, in steps counted back from the end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Bites {
    /// The most steps that may be left once the first pass has taken some wood.
    top: i64,
    /// The fewest steps the first pass may leave.
    first: i64,
    /// The most steps of one bite.
    most: i64,
    /// The most steps of the last bite; one where a step alone is over its limit.
    last: i64,
    /// Whether one pass may take it all.
    at_once: bool,
}

impl Bites {
    /// Bites of at most `most` of so much wood, the last of them of at most
    /// `last`; `None` where one step of the grid alone is more than `most`.
    pub(super) fn of(grid: &Grid, wood: Length, most: Length, last: Length) -> Option<Bites> {
        let in_most = grid.within(most);
        let last_steps = grid.within(last.min(most)).max(1);
        (in_most >= 1).then(|| Bites {
            top: grid.needed(wood) - 1,
            first: grid.needed(wood - most).max(0),
            most: in_most,
            last: last_steps,
            at_once: wood <= most && (wood <= last || grid.needed(wood) <= last_steps),
        })
    }

    /// How many passes: as many as wanted, or the nearest number that can be;
    /// an even one where there is one and `even` asks for it.
    pub(super) fn count(&self, wanted: i64, even: bool) -> i64 {
        if self.top < 1 {
            return 1;
        }
        let over = (self.first - self.last).max(0);
        let least = if self.at_once { 1 } else { 2 + (over + self.most - 1) / self.most };
        let count = wanted.clamp(least, self.top + 1);
        match (even && count % 2 == 1, count < self.top + 1, count > least) {
            (true, true, _) => count + 1,
            (true, false, true) => count - 1,
            _ => count,
        }
    }

    /// The steps left after each of `count` passes, none after the last. `ideal`
    /// says what would be left after all but the last with equal bites.
    pub(super) fn left(&self, count: i64, ideal: &[i64]) -> Vec<i64> {
        let (mut low, mut high) = (self.first, self.top);
        let mut all = Vec::new();
        for pass in 1..count {
            // Those to come take one step each or more, and no more than they may.
            let coming = count - pass;
            low = low.max(coming);
            high = high.min((coming - 1) * self.most + self.last);
            let wanted = ideal.get(pass as usize - 1).copied().unwrap_or(low);
            let left = wanted.min(high).max(low);
            all.push(left);
            (low, high) = (left - self.most, left - 1);
        }
        all.push(0);
        all
    }
}

impl Work<'_> {
    /// Refuses a scale on which not even one step is within a pass's limit.
    pub(super) fn too_coarse(&self, scale: &str, readout: &Readout, most: Length) -> Finding {
        let at = self.at.unwrap_or("machine");
        Finding::error(format!(
            "one step of the {scale} scale of the {at} is {}, and one pass may take {}",
            self.words(readout.step),
            self.words(most)
        ))
        .help(format!(
            "give `{scale}` of the machine `{at}` a scale with a finer `step`, or use another machine: nobody can override this limit"
        ))
        .key("at")
        .limit()
        .of_the_shop()
    }

    /// Says so where one step of the scale is more than the light last pass.
    pub(super) fn coarse_for_light(
        &self,
        scale: &str,
        readout: &Readout,
        light: Length,
    ) -> Option<Finding> {
        let at = self.at.unwrap_or("machine");
        (readout.count(light, Rounds::Down) < 1).then(|| {
            Finding::warning(format!(
                "one step of the {scale} scale of the {at} is {}, more than the light last pass of {}: the last pass takes one step",
                self.words(readout.step),
                self.words(light)
            ))
            .help(format!("give `{scale}` of the machine `{at}` a scale with a finer `step`"))
            .key("at")
            .of_the_shop()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Shows, Unit};

    fn printed(denominator: i64) -> Grid {
        let step = Length::inch_fraction(1, denominator);
        Grid::of(Readout { unit: Unit::Inch, step, shows: Shows::Fraction })
    }

    /// By hand: 3/64 is one step of 1/32 and a half. 7/32 is seven steps, one a
    /// pass; six leave the first two of them, 1/16, so seven passes or none.
    #[test]
    fn a_bite_is_a_whole_number_of_steps() {
        let (wood, most) = (Length::inch_fraction(7, 32), Length::inch_fraction(3, 64));
        let bites = Bites::of(&printed(32), wood, most, Length::inch_fraction(1, 64)).unwrap();
        assert_eq!(bites.count(6, true), 7);
        assert_eq!(bites.left(7, &[]), [6, 5, 4, 3, 2, 1, 0]);
    }

    /// By hand: 0.210 on steps of 1/32 stands 0.0225 over the sixth mark, and a
    /// first pass of 0.0225 + 1/32 = 0.05375 is over 3/64: seven passes.
    #[test]
    fn the_first_bite_begins_between_two_marks() {
        let most = Length::inch_fraction(3, 64);
        let bites = Bites::of(&printed(32), Length::thousandths(210), most, most).unwrap();
        assert_eq!((bites.top, bites.first), (6, 6));
        assert_eq!(bites.count(4, true), 7);
        // 0.200 stands 0.0125 over it, and with 1/32 is 0.04375: six do it too.
        let bites = Bites::of(&printed(32), Length::thousandths(200), most, most).unwrap();
        assert_eq!((bites.top, bites.first), (6, 5));
        assert_eq!(bites.count(4, true), 6);
        assert_eq!(bites.left(6, &[5, 4, 3, 2, 1]), [5, 4, 3, 2, 1, 0]);
    }

    #[test]
    fn a_step_over_the_limit_is_refused() {
        let sixteenth = Length::inch_fraction(1, 16);
        assert_eq!(Bites::of(&printed(8), Length::INCH, sixteenth, sixteenth), None);
        assert!(Bites::of(&printed(16), Length::INCH, sixteenth, sixteenth).is_some());
    }

    proptest::proptest! {
        /// Always: The steps left fall pass by pass, and no bite is over its limit.
        #[test]
        fn bites_keep_to_their_limits(
            wood in 1..3000_i64, most in 10..300_i64, last in 1..200_i64,
            wanted in 1..40_i64, even in proptest::bool::ANY,
            ideal in proptest::collection::vec(-5..200_i64, 0..40),
        ) {
            let grid = Grid::of(Readout {
                unit: Unit::Inch, step: Length::thousandths(10), shows: Shows::Decimal,
            });
            let [wood, most, last] = [wood, most, last].map(Length::thousandths);
            let bites = Bites::of(&grid, wood, most, last).unwrap();
            let count = bites.count(wanted, even);
            let left = bites.left(count, &ideal);
            proptest::prop_assert_eq!(left.len() as i64, count);
            let mut above = wood;
            for (n, steps) in left.iter().enumerate() {
                let bite = above - grid.length(*steps);
                let light = last.max(Length::thousandths(10)).min(most);
                let limit = if n + 1 == left.len() { light } else { most };
                proptest::prop_assert!(bite > Length::ZERO && bite <= limit, "{left:?} {n}");
                above = grid.length(*steps);
            }
        }
    }
}
