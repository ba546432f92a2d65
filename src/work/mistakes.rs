//! Mistakes at the machine that a miss of a certain size and sign suggests. They are
//! asked about, never corrected.
//!
//! The list is common practice, no source. A miss matches when it is within the
//! gauge's uncertainty of the size the mistake makes.

use super::slips::SuspectNumber;
use crate::measure::{Length, Unit};

/// A reading that is out of limits, and the sizes that could explain it.
#[derive(Clone, Debug)]
pub(super) struct Miss<'a> {
    pub number: SuspectNumber<'a>,
    /// Whether the gauge has printed marks that can be miscounted.
    pub by_eye: bool,
    pub tape: bool,
    pub kerf: Option<Length>,
    /// How far a tooth projects from the plate, on one side.
    pub tooth: Option<Length>,
    /// The last step the machine was closed by.
    pub step: Option<Length>,
    /// Lengths the target is made from, each with what it is called.
    pub made_from: Vec<(String, Length)>,
}

/// Questions about a miss, the most likely mistake first.
pub(super) fn questions(miss: &Miss<'_>) -> Vec<String> {
    let SuspectNumber { number, wanted, uncertainty, unit, block, .. } = miss.number;
    let d = number - wanted;
    let about = |size: Length, within: Length| (d.abs() - size).abs() <= within;
    let near = |size: Length| about(size, uncertainty);
    let mut asked = Vec::new();
    let mut ask = |text: String| asked.push(text);

    if let Some(slip) = miss.number.slip() {
        ask(slip.to_owned());
    }
    if unit == Unit::Inch && near(Length::INCH) && block != Some(Length::INCH) {
        ask("Off by one inch: did you start at the 1 in mark?".to_owned());
    }
    for (name, length) in &miss.made_from {
        // A length this close to the uncertainty would match any small miss.
        if *length <= uncertainty * 5 {
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
        && tooth > uncertainty
        && (near(tooth) || near(tooth * 2))
    {
        ask("Undersize by the tooth set: was it set to the plate instead of a tooth?".to_owned());
    }
    if let Some(step) = miss.step
        && d.is_negative()
        && step > uncertainty
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

#[cfg(test)]
mod tests {
    use super::*;

    fn miss(reading: Length, target: Length, typed: &str) -> Miss<'_> {
        Miss {
            number: SuspectNumber {
                number: reading,
                wanted: target,
                uncertainty: Length::thousandths(3),
                unit: Unit::Inch,
                typed,
                block: None,
            },
            by_eye: false,
            tape: false,
            kerf: None,
            tooth: None,
            step: None,
            made_from: Vec::new(),
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
        let from = [("tenon length".to_owned(), th(750))];
        let overall = Miss { made_from: from.to_vec(), ..miss(th(13_000), th(14_500), "13") };
        asked(&overall, "twice tenon length");
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
