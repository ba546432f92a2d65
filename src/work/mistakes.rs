//! Mistakes that a miss of a certain size and sign suggests. They are asked
//! about, never corrected.
//!
//! The list is common practice, no source. A miss matches when it is within the
//! gauge's uncertainty of the size the mistake makes.

use crate::measure::{Length, Unit};

/// A reading that is out of limits, and the sizes that could explain it.
#[derive(Clone, Debug)]
pub(super) struct Miss<'a> {
    pub reading: Length,
    pub target: Length,
    pub uncertainty: Length,
    pub unit: Unit,
    /// As it was typed.
    pub typed: &'a str,
    /// Whether the gauge has printed marks that can be miscounted.
    pub by_eye: bool,
    pub tape: bool,
    pub kerf: Option<Length>,
    /// How far a tooth projects from the plate, on one side.
    pub tooth: Option<Length>,
    /// The last step the machine was closed by.
    pub step: Option<Length>,
    /// The check block of the gauge.
    pub block: Option<Length>,
    /// Named lengths the target is made from.
    pub made_from: &'a [(String, Length)],
}

/// Whether a number has the shape of a slip of the hand that typed it or of the gauge
/// that read it, and which: then nothing is known of the piece, and it is measured
/// again before anything else.
pub(super) fn slip(miss: &Miss<'_>) -> Option<&'static str> {
    let off = (miss.reading - miss.target).abs();
    let ratio = miss.reading.ratio(miss.target);
    let close_to = |wanted: f64| (ratio / wanted - 1.0).abs() < 0.02;
    let is_block = |block: Length| (off - block).abs() <= miss.uncertainty;
    if close_to(25.4) || close_to(1.0 / 25.4) {
        Some("Millimetres instead of inches? Check the unit of the gauge.")
    } else if close_to(10.0) || close_to(0.1) {
        Some("Is the decimal point in the wrong place?")
    } else if swapped(miss) {
        Some("Are two digits swapped? Read it again.")
    } else if keyed_twice(miss) {
        Some("Was a digit keyed twice? Read it again.")
    } else if miss.block.is_some_and(is_block) {
        Some("Off by the check block: was the gauge zeroed on it?")
    } else {
        None
    }
}

/// Questions about a miss, the most likely mistake first.
pub(super) fn questions(miss: &Miss<'_>) -> Vec<String> {
    let d = miss.reading - miss.target;
    let about = |size: Length, within: Length| (d.abs() - size).abs() <= within;
    let near = |size: Length| about(size, miss.uncertainty);
    let mut asked = Vec::new();
    let mut ask = |text: String| asked.push(text);

    if let Some(slip) = slip(miss) {
        ask(slip.to_owned());
    }
    if miss.unit == Unit::Inch && near(Length::INCH) && miss.block != Some(Length::INCH) {
        ask("Off by one inch: did you start at the 1 in mark?".to_owned());
    }
    for (name, length) in miss.made_from {
        // A length this close to the uncertainty would match any small miss.
        if *length <= miss.uncertainty * 5 {
            continue;
        }
        for (times, words) in [(2, "twice "), (1, "")] {
            if near(*length * times) {
                ask(format!(
                    "Off by {words}{name}: was one size measured or set instead of the other?"
                ));
                break;
            }
        }
    }
    if let Some(kerf) = miss.kerf
        && near(kerf)
    {
        ask("Off by one kerf: was it cut on the wrong side of the line, or a kerf not counted?"
            .to_owned());
    }
    if let Some(tooth) = miss.tooth
        && d.is_negative()
        && tooth > miss.uncertainty
        && (near(tooth) || near(tooth * 2))
    {
        ask("Undersize by the tooth set: was it set to the plate instead of a tooth?".to_owned());
    }
    if let Some(step) = miss.step
        && d.is_negative()
        && step > miss.uncertainty
        && near(step)
    {
        ask("Undersize by one step: was the table closed twice?".to_owned());
    }
    if miss.by_eye {
        let sixteenth = Length::inch_fraction(1, 16);
        let lines = (1..=3).find(|lines| near(sixteenth * *lines));
        if let Some(lines) = lines {
            ask(format!(
                "Off by exactly {}/16: were marks miscounted, or a fraction misread?",
                lines
            ));
        }
    }
    let hook = Length::thousandths(40)..=Length::thousandths(60);
    if miss.tape && hook.contains(&d.abs()) {
        ask(
            "Off by about a tape hook: is the hook bent, or was the tape pushed instead of hooked?"
                .to_owned(),
        );
    }
    asked
}

/// Whether leaving out one of two equal neighbouring digits gives the target, or half
/// of what was typed does.
fn keyed_twice(miss: &Miss<'_>) -> bool {
    let figures: Vec<char> = miss.typed.chars().map(|c| if c == ',' { '.' } else { c }).collect();
    let is_target = |text: &str| {
        crate::measure::parse_written(text, miss.unit)
            .is_ok_and(|read| (read - miss.target).abs() <= miss.uncertainty)
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
fn swapped(miss: &Miss<'_>) -> bool {
    let figures: Vec<char> = miss.typed.chars().collect();
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
        crate::measure::parse_written(&text, miss.unit)
            .is_ok_and(|read| (read - miss.target).abs() <= miss.uncertainty)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn miss(reading: Length, target: Length, typed: &str) -> Miss<'_> {
        Miss {
            reading,
            target,
            uncertainty: Length::thousandths(3),
            unit: Unit::Inch,
            typed,
            by_eye: false,
            tape: false,
            kerf: None,
            tooth: None,
            step: None,
            block: None,
            made_from: &[],
        }
    }

    fn th(n: i64) -> Length {
        Length::thousandths(n)
    }

    /// Each mistake with its size computed by hand (common practice, no source).
    #[test]
    fn known_shapes_are_asked_about() {
        let asked = |m: &Miss<'_>, word: &str| {
            let questions = questions(m);
            assert!(questions.iter().any(|q| q.contains(word)), "{word}: {questions:?}");
        };
        // 14 1/2 read from the one-inch mark is 13 1/2.
        asked(&miss(th(13_500), th(14_500), "13.5"), "1 in mark");
        // 0.75 in is 19.05 mm.
        asked(&miss(th(19_050), th(750), "19.05"), "Millimetres");
        asked(&miss(th(132_800), th(13_280), "132.8"), "decimal point");
        asked(&miss(th(13_820), th(13_280), "13.82"), "swapped");
        let kerf = Miss { kerf: Some(th(125)), ..miss(th(4_375), th(4_500), "4.375") };
        asked(&kerf, "kerf");
        // Kerf 0.125, plate 0.087: a tooth projects 0.019.
        let tooth = Miss { tooth: Some(th(19)), ..miss(th(2_282), th(2_301), "2.282") };
        asked(&tooth, "tooth");
        let twice = Miss { step: Some(th(12)), ..miss(th(1_266), th(1_278), "1.266") };
        asked(&twice, "twice");
        let lines = Miss { by_eye: true, ..miss(th(13_125), th(13_000), "13 1/8") };
        asked(&lines, "miscounted");
        let hook = Miss { tape: true, ..miss(th(47_300), th(47_250), "47.3") };
        asked(&hook, "hook");
        // Shoulder against overall: two tenons of 3/4.
        let from = [("tenon_length".to_owned(), th(750))];
        let overall = Miss { made_from: &from, ..miss(th(13_000), th(14_500), "13") };
        asked(&overall, "twice tenon_length");
    }

    /// By hand: 1.2250 with its 2 and 5 changed over is 1.252, within 0.003 of 1.250;
    /// 13.557 without one 5 is 13.57; 12.512.5 is no number and stays one; for 12.5 a
    /// gauge zeroed on its block of 1 in shows 11.5.
    #[test]
    fn slips_of_hand_and_gauge_are_told_from_bad_cuts() {
        let (swapped, twice) =
            ("Are two digits swapped? Read it again.", "Was a digit keyed twice? Read it again.");
        assert_eq!(slip(&miss(th(1_225), th(1_250), "1.2250")), Some(swapped));
        assert_eq!(slip(&miss(th(13_557), th(13_570), "13.557")), Some(twice));
        assert_eq!(slip(&miss(th(2_525_000), th(2_525), "2525")), None);
        assert_eq!(slip(&miss(th(125_125_000), th(125_000), "125125")), Some(twice));
        assert_eq!(slip(&miss(th(13_357), th(13_570), "13.3570")), None);
        let block = Miss { block: Some(th(1_000)), ..miss(th(11_500), th(12_500), "11.5") };
        assert_eq!(slip(&block), Some("Off by the check block: was the gauge zeroed on it?"));
        assert_eq!(slip(&miss(th(1_272), th(1_250), "1.272")), None);
    }

    #[test]
    fn an_ordinary_miss_is_not_asked_about() {
        let ordinary = Miss {
            kerf: Some(th(125)),
            tooth: Some(th(19)),
            step: Some(th(12)),
            by_eye: true,
            ..miss(th(1_272), th(1_250), "1.272")
        };
        assert!(questions(&ordinary).is_empty());
    }
}
