//! A scale along the edge of a drawing: numbers to places on paper, and the round numbers it
//! is read by.

use unicode_width::UnicodeWidthStr;

use super::ink::rounded;

/// Places are written to this many decimals of a unit of the drawing: a reading can then be
/// read back to well under a hundredth of what any gauge shows.
const DECIMALS: usize = 4;

/// With so many ticks wanted, any axis has one.
const MOST_TRIED: usize = 9;

/// Numbers along an edge. `from` and `to` are where `low` and `high` are.
#[derive(Clone, Copy, Debug)]
pub(super) struct PaperAxis {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) from: f64,
    pub(super) to: f64,
}

/// A round number on an axis.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct PaperTick {
    /// Its place.
    pub(super) at: f64,
    /// The number.
    pub(super) text: String,
}

impl PaperAxis {
    /// Over all numbers, with `margin` of their range beyond either end; where they are all
    /// equal, with `least` of it.
    pub(super) fn over(
        numbers: impl Iterator<Item = f64>,
        (margin, least): (f64, f64),
        (from, to): (f64, f64),
    ) -> PaperAxis {
        let (low, high) =
            numbers.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
        let (low, high) = if low > high { (0.0, 0.0) } else { (low, high) };
        // A number too large for the margin to show still has a range about it.
        let fine = low.abs().max(high.abs()) * 1e-9;
        let beyond = ((high - low) * margin).max(least).max(fine);
        PaperAxis { low: low - beyond, high: high + beyond, from, to }
    }

    /// The place of a number.
    pub(super) fn at(&self, number: f64) -> f64 {
        let part = (number - self.low) / (self.high - self.low);
        self.from + part * (self.to - self.from)
    }

    /// Round numbers along it, at most about so many. With `signed`, those over zero have a
    /// plus.
    pub(super) fn ticks(&self, most: usize, signed: bool) -> Vec<PaperTick> {
        let rough = (self.high - self.low) / most.max(1) as f64;
        let power = rough.log10().floor();
        let mantissa = rough / 10f64.powf(power);
        let round = [1.0, 2.0, 5.0].into_iter().find(|round| *round >= mantissa - 1e-9);
        // Ten of one power is one of the next.
        let (round, power) = round.map_or((1.0, power + 1.0), |round| (round, power));
        let places = (-power).max(0.0) as usize;
        let step = round * 10f64.powf(power);
        let (first, last) = ((self.low / step).ceil(), (self.high / step).floor());
        let each = (0..=2 * most).map(|n| first + n as f64).take_while(|n| *n <= last);
        // From whole numbers, so that each tick is the number it says.
        let number = |n: f64| n * round * 10f64.powf(power);
        let tick = |n: f64| PaperTick {
            at: self.at(number(n)),
            text: tick_text(number(n), places, signed),
        };
        let ticks: Vec<PaperTick> = each.map(tick).collect();
        // A step rounded up may pass over a short axis.
        if ticks.is_empty() && self.high > self.low && most < MOST_TRIED {
            return self.ticks(most + 1, signed);
        }
        ticks
    }
}

/// A number on an axis. One too long to read is written with its power of ten.
fn tick_text(number: f64, places: usize, signed: bool) -> String {
    let text = if number == 0.0 {
        "0".to_owned()
    } else if places > 7 || number.abs() >= 1e7 {
        format!("{number:.2e}")
    } else {
        format!("{number:.places$}")
    };
    if signed && number > 0.0 { format!("+{text}") } else { text }
}

/// A place or a size in a drawing, as it is written.
pub(super) fn written(place: f64) -> String {
    rounded(place, DECIMALS)
}

/// About how wide a text of that size is, in the usual typefaces without serifs: a figure is
/// 0.556 of it.
pub(super) fn text_width(text: &str, size: f64) -> f64 {
    text.width() as f64 * size * 0.57
}

/// The text, or as much of its beginning as has room, with three dots.
pub(super) fn text_within(text: &str, size: f64, room: f64) -> String {
    if text_width(text, size) <= room {
        return text.to_owned();
    }
    let mut kept = String::new();
    for sign in text.chars() {
        kept.push(sign);
        if text_width(&kept, size) + text_width("...", size) > room {
            kept.pop();
            break;
        }
    }
    format!("{}...", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn texts(low: f64, high: f64, most: usize, signed: bool) -> Vec<String> {
        let axis = PaperAxis { low, high, from: 0.0, to: 100.0 };
        axis.ticks(most, signed).into_iter().map(|tick| tick.text).collect()
    }

    /// By hand: 0.090 in five is 0.018, of which the next of 1, 2 and 5 is 0.02; ten by five
    /// is 2; 0.95 by five is 0.19, and so 0.2.
    #[test]
    fn round_numbers_are_one_two_and_five() {
        assert_eq!(texts(19.955, 20.045, 5, false), ["19.96", "19.98", "20.00", "20.02", "20.04"]);
        assert_eq!(texts(0.0, 10.0, 5, false), ["0", "2", "4", "6", "8", "10"]);
        assert_eq!(texts(-0.5, 0.45, 5, true), ["-0.4", "-0.2", "0", "+0.2", "+0.4"]);
        assert_eq!(texts(0.0, 4.9, 10, false).len(), 10);
        // 0.4 in two is 0.2; 0.41 in two is 0.205, of which the next is 0.5, and no tick: in
        // three it is 0.137, and so 0.2.
        assert_eq!(texts(0.05, 0.46, 2, false), ["0.2", "0.4"]);
    }

    #[test]
    fn places_are_short() {
        let all = [(12.0, "12"), (0.1 + 0.2, "0.3"), (1.234_56, "1.2346"), (-3.5, "-3.5")];
        for (place, text) in all {
            assert_eq!(written(place), text);
        }
        // Of 5.7 each, four letters and three dots are 39.9.
        assert_eq!(text_within("a long name", 10.0, 40.0), "a lo...");
        assert_eq!(text_within("name", 10.0, 40.0), "name");
    }

    proptest! {
        /// Always: A round number on an axis stands where the axis puts the number it says.
        #[test]
        fn ticks_stand_where_they_say(
            middle in -1e4..1e4_f64, half in 1e-4..1e3_f64, most in 2_usize..9,
        ) {
            let axis = PaperAxis { low: middle - half, high: middle + half, from: 170.0, to: 20.0 };
            let ticks = axis.ticks(most, true);
            prop_assert!(ticks.len() <= most + 1 && !ticks.is_empty());
            for tick in ticks {
                let says: f64 = tick.text.parse().expect("a number");
                // On a short axis far from zero the last bit of a number shows.
                let doubt = 1e-6 + 4.0 * f64::EPSILON * says.abs() / (2.0 * half) * 150.0;
                prop_assert!((axis.at(says) - tick.at).abs() < doubt, "{tick:?}");
            }
        }

        /// Numbers of any size, all equal or not, have an axis with everything on it.
        #[test]
        fn any_numbers_have_their_places(numbers in prop::collection::vec(-1e100..1e100_f64, 0..5)) {
            let axis = PaperAxis::over(numbers.iter().copied(), (0.1, 0.001), (0.0, 100.0));
            for number in &numbers {
                prop_assert!((-1e-6..=100.000_001).contains(&axis.at(*number)), "{axis:?}");
            }
            prop_assert!(axis.ticks(5, false).len() <= 11);
        }
    }
}
