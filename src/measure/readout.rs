//! A machine's scale: what it must show for the wood to come out right, and how
//! it shows it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::length::nearest_whole;
use super::{Entry, Length, Unit};

/// Nearer a mark than this is on it: a few sums of rounded lengths must not
/// push a setting one whole step on.
const ON_THE_MARK: Length = Length::from_nanometres(10);

/// Printed marks, or a decimal display.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Shows {
    /// Fractions of an inch.
    Fraction,
    /// Decimals.
    Decimal,
}

/// What the wood needs.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Target(pub Length);

/// Made size minus what the scale showed.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct ScaleOffset(pub Length);

/// What the scale must show.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Dial(pub Length);

/// Which mark a setting goes to when the wanted value lies between two.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Rounds {
    /// To the mark above.
    Up,
    /// To the mark below.
    Down,
    /// To the nearer mark.
    Nearest,
}

/// A setting worked out, and the size it will make.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Setting {
    /// The size wanted.
    pub target: Target,
    /// How far from the target it means to go, toward the side that can still be cut.
    pub aim: Length,
    /// What the scale must show.
    pub dial: Dial,
    /// The size that comes of it.
    pub predicted: Length,
}

/// A scale: its unit, its smallest step, and how it shows them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Readout {
    /// The unit of its numbers.
    pub unit: Unit,
    /// The smallest step it shows.
    pub step: Length,
    /// Whether it shows fractions or decimals.
    pub shows: Shows,
}

impl Readout {
    /// Works out what the scale must show:
    /// `dial = round((target + aim − scale_offset) / step) × step`. A value within
    /// ten nanometres of a mark is on it, whichever way the setting rounds.
    pub fn dial(
        &self,
        target: Target,
        aim: Length,
        scale_offset: ScaleOffset,
        rounds: Rounds,
    ) -> Setting {
        let dial = self.mark_at(target.0 + aim - scale_offset.0, rounds);
        Setting { target, aim, dial: Dial(dial), predicted: dial + scale_offset.0 }
    }

    /// How this scale shows a length: on printed marks the nearest one and how
    /// far off it (`1 7/16 strong 0.006`), on a display the nearest number.
    pub fn shown(&self, value: Length) -> String {
        let mark = self.mark_at(value, Rounds::Nearest);
        let text = match self.denominator() {
            Some(denominator) => mark.fraction(denominator).0,
            None => mark.decimal(self.unit, self.places()),
        };
        let places = match self.unit {
            Unit::Inch => 3,
            Unit::Millimetre => 2,
        };
        let off = (value - mark).abs().decimal(self.unit, places);
        if self.shows == Shows::Decimal || off.chars().all(|c| matches!(c, '0' | '.')) {
            return text;
        }
        // Strong is bigger than the mark: further from zero.
        let shade = if value.abs() > mark.abs() { "strong" } else { "shy" };
        format!("{text} {shade} {off}")
    }

    /// How it is read, for who stands before it: `display, steps of 0.005 in`.
    pub fn words(&self) -> String {
        let step = self.step.written(self.unit);
        match self.shows {
            Shows::Decimal => format!("display, steps of {step} {}", self.unit),
            Shows::Fraction => format!("printed scale, a mark each {step} {}", self.unit),
        }
    }

    /// True when the scale, set to `a`, shows that dial: nearer to it than half a step.
    pub fn same(&self, a: Length, dial: Dial) -> bool {
        (a - dial.0).abs() * 2 < self.step
    }

    /// What an entry line for this scale takes.
    pub fn entry(&self) -> Entry {
        let mark = match self.shows {
            Shows::Fraction => Some(self.step),
            Shows::Decimal => None,
        };
        Entry { bare: self.unit, mark }
    }

    fn mark_at(&self, wanted: Length, rounds: Rounds) -> Length {
        self.mark(self.count(wanted, rounds))
    }

    /// The mark a value goes to, counted from the scale's zero. A value within
    /// ten nanometres of a mark is on it.
    pub fn count(&self, wanted: Length, rounds: Rounds) -> i64 {
        let (step, parts) = self.exact_step();
        let scaled = i128::from(wanted.nanometres()) * parts;
        // A mark is within a step of a length, so its number is one too.
        let nearest = nearest_whole(scaled, step) as i64;
        let below = scaled.div_euclid(step) as i64;
        match rounds {
            _ if (self.mark(nearest) - wanted).abs() <= ON_THE_MARK => nearest,
            Rounds::Nearest => nearest,
            Rounds::Up => below + 1,
            Rounds::Down => below,
        }
    }

    /// What the scale shows at a mark, counted from its zero.
    pub fn mark(&self, count: i64) -> Length {
        let (step, parts) = self.exact_step();
        Length::from_nanometres(nearest_whole(i128::from(count) * step, parts) as i64)
    }

    /// The step as a ratio of nanometres. Only 1/128 in, which a [`Length`]
    /// must round, is not its own; taken as rounded, its marks would creep.
    fn exact_step(&self) -> (i128, i128) {
        if self.step == Length::inch_fraction(1, 128) {
            return (i128::from(Length::INCH.nanometres()), 128);
        }
        (i128::from(self.step.nanometres().max(1)), 1)
    }

    /// The division of the inch this scale is printed in.
    fn denominator(&self) -> Option<u32> {
        if self.unit != Unit::Inch || self.shows != Shows::Fraction {
            return None;
        }
        (0..=7)
            .map(|power| 1 << power)
            .find(|&d| Length::inch_fraction(1, i64::from(d)) == self.step)
    }

    /// As many decimals as the step itself needs.
    fn places(&self) -> usize {
        let one = self.unit.one().nanometres();
        let needed = (0..6).find(|&places| self.step.nanometres() * 10_i64.pow(places) % one == 0);
        needed.unwrap_or(6) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn display(thousandths: i64) -> Readout {
        let step = Length::thousandths(thousandths);
        Readout { unit: Unit::Inch, step, shows: Shows::Decimal }
    }

    fn printed(denominator: i64) -> Readout {
        let step = Length::inch_fraction(1, denominator);
        Readout { unit: Unit::Inch, step, shows: Shows::Fraction }
    }

    fn up(readout: Readout, target: Length, scale_offset: Length) -> (Length, Length) {
        let setting =
            readout.dial(Target(target), Length::ZERO, ScaleOffset(scale_offset), Rounds::Up);
        (setting.dial.0, setting.predicted)
    }

    /// Common practice, no source. By hand: 3.265 − 0.012 = 3.253, up to
    /// 3.255, and 3.255 + 0.012 = 3.267; 44.500 − 0.018 = 44.482, up to
    /// 44.485, and 44.485 + 0.018 = 44.503.
    #[test]
    fn a_saw_that_makes_more_than_it_shows_is_set_under_the_target() {
        let t = Length::thousandths;
        assert_eq!(up(display(5), t(3265), t(12)), (t(3255), t(3267)));
        assert_eq!(up(display(5), t(44_500), t(18)), (t(44_485), t(44_503)));
    }

    /// By hand: 1.4375 / 0.05 = 28.75, up to 29 steps, 1.45.
    #[test]
    fn the_first_sander_setting_clears_the_stock() {
        let (dial, _) = up(display(50), Length::inch_fraction(23, 16), Length::ZERO);
        assert_eq!(dial, Length::thousandths(1450));
    }

    #[test]
    fn a_target_on_a_mark_stays_there_whichever_way_it_rounds() {
        for (readout, target) in [
            (display(5), Length::thousandths(3255)),
            (printed(16), Length::inch_fraction(23, 16)),
            (printed(16), Length::inch_fraction(-23, 16)),
            (printed(128), Length::inch_fraction(1, 128)),
            (printed(128), Length::INCH * 96 + Length::inch_fraction(3, 128)),
            (printed(128), Length::INCH * 96),
        ] {
            for rounds in [Rounds::Up, Rounds::Down, Rounds::Nearest] {
                let setting =
                    readout.dial(Target(target), Length::ZERO, ScaleOffset::default(), rounds);
                assert_eq!(setting.dial.0, target);
            }
        }
        // A third of 10 in three times over is 1 nm short, and still on the mark.
        let thirds = Length::INCH * 10 / 3 * 3;
        assert_ne!(thirds, Length::INCH * 10);
        assert_eq!(up(printed(16), thirds, Length::ZERO).0, Length::INCH * 10);
        assert_eq!(
            up(printed(16), thirds + Length::from_nanometres(2), Length::ZERO).0,
            Length::INCH * 10
        );
    }

    #[test]
    fn the_aim_moves_the_target() {
        let setting = display(5).dial(
            Target(Length::thousandths(13_000)),
            Length::thousandths(8),
            ScaleOffset(Length::thousandths(-2)),
            Rounds::Down,
        );
        // 13.000 + 0.008 + 0.002 = 13.010, on a mark; it makes 13.008.
        assert_eq!(setting.dial.0, Length::thousandths(13_010));
        assert_eq!(setting.predicted, Length::thousandths(13_008));
    }

    #[test]
    fn a_printed_scale_shows_the_nearest_mark_and_how_far_off() {
        let mark = Length::inch_fraction(23, 16);
        assert_eq!(printed(16).shown(mark), "1 7/16");
        assert_eq!(printed(16).shown(mark + Length::thousandths(6)), "1 7/16 strong 0.006");
        assert_eq!(printed(16).shown(mark - Length::thousandths(6)), "1 7/16 shy 0.006");
        assert_eq!(printed(16).shown(mark + Length::from_nanometres(100)), "1 7/16");
        assert_eq!(printed(16).shown(-mark - Length::thousandths(6)), "-1 7/16 strong 0.006");
        assert_eq!(printed(16).shown(Length::thousandths(6)), "0 strong 0.006");
        let rule =
            Readout { unit: Unit::Millimetre, step: Length::MILLIMETRE, shows: Shows::Fraction };
        assert_eq!(rule.shown(Length::from_nanometres(36_400_000)), "36 strong 0.40");
    }

    #[test]
    fn a_display_shows_as_many_places_as_its_step_has() {
        let shown = |unit, step, value| Readout { unit, step, shows: Shows::Decimal }.shown(value);
        let t = Length::thousandths;
        assert_eq!(shown(Unit::Inch, t(5), t(3255)), "3.255");
        assert_eq!(shown(Unit::Inch, t(5), t(3253)), "3.255");
        assert_eq!(shown(Unit::Inch, t(50), t(1450)), "1.45");
        assert_eq!(shown(Unit::Inch, t(1) / 2, t(1450)), "1.4500");
        let half = Length::MILLIMETRE / 2;
        assert_eq!(shown(Unit::Millimetre, half, half * 185), "92.5");
        assert_eq!(shown(Unit::Millimetre, Length::MILLIMETRE, half * 184), "92");
    }

    #[test]
    fn a_scale_shows_the_same_dial_within_half_a_step() {
        let dial = Dial(Length::thousandths(3255));
        assert!(display(5).same(Length::thousandths(3257), dial));
        assert!(!display(5).same(Length::thousandths(3258), dial));
        // Strong is half a mark, and is not the mark.
        assert!(!printed(16).same(Length::inch_fraction(1, 32), Dial(Length::ZERO)));
    }

    proptest! {
        /// Always: A setting never rounds in the direction it forbids.
        #[test]
        fn a_setting_never_rounds_the_way_it_forbids(
            target in -10_000_000_000_i64..10_000_000_000,
            aim in -1_000_000_i64..1_000_000,
            scale_offset in -1_000_000_i64..1_000_000,
            step in prop_oneof![
                Just(25_400_i64), Just(127_000), Just(10_000), Just(500_000),
                Just(1_587_500), Just(198_438), 1_000_i64..5_000_000,
            ],
        ) {
            let [target, aim, scale_offset, step] =
                [target, aim, scale_offset, step].map(Length::from_nanometres);
            let readout = Readout { unit: Unit::Inch, step, shows: Shows::Decimal };
            let over = |rounds| {
                let setting = readout.dial(Target(target), aim, ScaleOffset(scale_offset), rounds);
                assert_eq!(setting.predicted, setting.dial.0 + scale_offset);
                assert!(readout.same(setting.dial.0, setting.dial));
                setting.predicted - (target + aim)
            };
            let slack = ON_THE_MARK;
            let (up, down, nearest) = (over(Rounds::Up), over(Rounds::Down), over(Rounds::Nearest));
            prop_assert!(-slack <= up && up < step, "{:?}", up);
            prop_assert!(-step < down && down <= slack, "{:?}", down);
            prop_assert!(nearest.abs() * 2 <= step + Length::from_nanometres(1));
            prop_assert!(nearest == up || nearest == down);
        }

        /// Always: A dial lies on a mark of its scale.
        #[test]
        fn a_dial_lies_on_a_mark(count in -100_000_i64..100_000, off in -700_i64..700) {
            let step = Length::thousandths(5);
            let wanted = step * count + Length::thousandths(1) * off;
            let (dial, _) = up(display(5), wanted, Length::ZERO);
            prop_assert_eq!(dial.nanometres() % step.nanometres(), 0);
        }
    }
}
