//! Numbers with the shape of a slip: of the hand that typed one, or of the gauge or
//! scale that showed it. They are asked about, never corrected.
//!
//! The list is common practice, no source.

use crate::measure::{Length, Unit, parse_written};

/// A number that isn't what was wanted.
#[derive(Clone, Copy, Debug)]
pub(super) struct SuspectNumber<'a> {
    pub number: Length,
    pub wanted: Length,
    /// How far from the wanted number one that is right may be.
    pub uncertainty: Length,
    pub unit: Unit,
    /// As it was typed.
    pub typed: &'a str,
    /// The check block of the gauge.
    pub block: Option<Length>,
}

impl SuspectNumber<'_> {
    /// Whether a number has the shape of a slip of the hand that typed it or of the gauge
    /// that read it, and which: then nothing is known of the piece, and it is measured
    /// again before anything else.
    pub(super) fn slip(&self) -> Option<&'static str> {
        let off = (self.number - self.wanted).abs();
        let ratio = self.number.ratio(self.wanted);
        let close_to = |wanted: f64| (ratio / wanted - 1.0).abs() < 0.02;
        let is_block = |block: Length| (off - block).abs() <= self.uncertainty;
        if close_to(25.4) || close_to(1.0 / 25.4) {
            Some("Millimetres instead of inches? Check the unit.")
        } else if close_to(10.0) || close_to(0.1) {
            Some("Is the decimal point in the wrong place?")
        } else if self.swapped() {
            Some("Are two digits swapped? Read it again.")
        } else if self.keyed_twice() {
            Some("Was a digit keyed twice? Read it again.")
        } else if self.block.is_some_and(is_block) {
            Some("Off by the check block: was the gauge zeroed on it?")
        } else {
            None
        }
    }

    /// Whether leaving out one of two equal neighbouring digits gives the target, or half
    /// of what was typed does.
    fn keyed_twice(&self) -> bool {
        let figures: Vec<char> =
            self.typed.chars().map(|c| if c == ',' { '.' } else { c }).collect();
        let is_target = |text: &str| {
            parse_written(text, self.unit)
                .is_ok_and(|read| (read - self.wanted).abs() <= self.uncertainty)
        };
        let doubled = figures.windows(2).enumerate().any(|(at, pair)| {
            let mut once = figures.clone();
            once.remove(at);
            pair[0] == pair[1]
                && pair[0].is_ascii_digit()
                && is_target(&once.iter().collect::<String>())
        });
        let (half, rest) = figures.split_at(figures.len() / 2);
        doubled || (half == rest && is_target(&half.iter().collect::<String>()))
    }

    /// Whether swapping two neighbouring digits of what was typed gives the target.
    fn swapped(&self) -> bool {
        let figures: Vec<char> = self.typed.chars().collect();
        let plain = figures.iter().all(|c| c.is_ascii_digit() || *c == '.' || *c == ',');
        if !plain {
            return false;
        }
        let places: Vec<usize> =
            (0..figures.len()).filter(|at| figures[*at].is_ascii_digit()).collect();
        places.windows(2).any(|pair| {
            let mut other = figures.clone();
            other.swap(pair[0], pair[1]);
            if other == figures {
                return false;
            }
            let text: String = other.into_iter().map(|c| if c == ',' { '.' } else { c }).collect();
            parse_written(&text, self.unit)
                .is_ok_and(|read| (read - self.wanted).abs() <= self.uncertainty)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(number: Length, wanted: Length, typed: &str) -> SuspectNumber<'_> {
        let uncertainty = Length::thousandths(3);
        SuspectNumber { number, wanted, uncertainty, unit: Unit::Inch, typed, block: None }
    }

    fn th(n: i64) -> Length {
        Length::thousandths(n)
    }

    /// By hand: 1.2250 with its 2 and 5 changed over is 1.252, within 0.003 of 1.250;
    /// 13.557 without one 5 is 13.57; 12.512.5 is no number and stays one; for 12.5 a
    /// gauge zeroed on its block of 1 in shows 11.5.
    #[test]
    fn slips_of_hand_and_gauge_are_told_from_bad_cuts() {
        let (swapped, twice) =
            ("Are two digits swapped? Read it again.", "Was a digit keyed twice? Read it again.");
        assert_eq!(typed(th(1_225), th(1_250), "1.2250").slip(), Some(swapped));
        assert_eq!(typed(th(13_557), th(13_570), "13.557").slip(), Some(twice));
        assert_eq!(typed(th(2_525_000), th(2_525), "2525").slip(), None);
        assert_eq!(typed(th(125_125_000), th(125_000), "125125").slip(), Some(twice));
        assert_eq!(typed(th(13_357), th(13_570), "13.3570").slip(), None);
        let block =
            SuspectNumber { block: Some(th(1_000)), ..typed(th(11_500), th(12_500), "11.5") };
        assert_eq!(block.slip(), Some("Off by the check block: was the gauge zeroed on it?"));
        assert_eq!(typed(th(1_272), th(1_250), "1.272").slip(), None);
    }
}
