//! What is typed after `wood`: temperatures, humidities, moistures, sizes and
//! the names of woods. Knows nothing of what is asked about them.

use crate::cli::Failure;
use crate::measure::{Entry, Length, Unit, parse_entry};
use crate::prose::{nearest, visible};
use crate::wood::{Air, Moisture, NoSuchAir, Species};

/// What was typed and can't be meant: which of it, why, what to type instead.
pub struct RefusedOption {
    pub option: &'static str,
    pub given: String,
}

pub fn of(option: &'static str, given: &str) -> RefusedOption {
    RefusedOption { option, given: visible(given) }
}

impl RefusedOption {
    pub fn because(self, what: impl Into<String>, help: &str) -> Failure {
        let help = (!help.is_empty()).then(|| help.to_owned());
        Failure::Given { option: self.option, given: self.given, what: what.into(), help }
    }
}

/// `70F`, `21 C`, `70 °F`, in degrees Celsius.
pub fn celsius(option: &'static str, text: &str) -> Result<f64, Failure> {
    let (amount, unit) = apart(text);
    let refused = of(option, text);
    let Some(amount) = amount else {
        return Err(refused.because("no temperature was found in this", "70F or 21C"));
    };
    let unit = unit.trim_start_matches(['°', 'º']).trim_start_matches("deg").trim();
    match unit {
        "F" | "f" => Ok((amount - 32.0) / 1.8),
        "C" | "c" => Ok(amount),
        "" => {
            let bare = text.trim();
            let what = "a temperature needs its unit";
            Err(refused.because(what, &format!("{}F or {}C?", visible(bare), visible(bare))))
        }
        other => {
            let what = format!("`{}` is no unit of temperature here", visible(other));
            Err(refused.because(what, "F or C"))
        }
    }
}

/// `45%`, `45`, in percent.
pub fn humidity(option: &'static str, text: &str) -> Result<f64, Failure> {
    let (amount, unit) = apart(text);
    let refused = of(option, text);
    let Some(amount) = amount.filter(|_| matches!(unit, "" | "%")) else {
        return Err(refused.because("relative humidity is a number in percent", "45%"));
    };
    if unit.is_empty() && amount > 0.0 && amount <= 1.0 {
        let help = format!("{}%, or {text}% if it is that dry", fine_percent(amount * 100.0));
        return Err(refused.because("relative humidity is in percent, not a share of 1", &help));
    }
    if !(0.0..=100.0).contains(&amount) {
        return Err(
            refused.because("relative humidity is from 0 to 100 %", "45% is common indoors")
        );
    }
    Ok(amount)
}

/// Air of a temperature and a humidity.
pub fn air(temp: (&'static str, &str), humid: (&'static str, &str)) -> Result<Air, Failure> {
    let (celsius, humidity) = (celsius(temp.0, temp.1)?, humidity(humid.0, humid.1)?);
    Air::new(celsius, humidity).map_err(|why| match why {
        NoSuchAir::Temperature => of(temp.0, temp.1)
            .because("wood is only looked at from -40 to 212 F (-40 to 100 C)", "check its unit"),
        NoSuchAir::Humidity => {
            of(humid.0, humid.1).because("relative humidity is from 0 to 100 %", "")
        }
    })
}

/// A moisture, and the air it comes from where that was typed.
#[derive(Clone, Copy, Debug)]
pub struct GivenMoisture {
    pub moisture: Moisture,
    pub air: Option<Air>,
}

/// `8`, `8%`, or air: `70F/30%`.
pub fn moisture(option: &'static str, text: &str) -> Result<GivenMoisture, Failure> {
    if let Some((temp, humid)) = text.split_once('/') {
        let air = air((option, temp), (option, humid))?;
        return Ok(GivenMoisture { moisture: air.moisture(), air: Some(air) });
    }
    let (amount, unit) = apart(text);
    let Some(amount) = amount.filter(|_| matches!(unit, "" | "%")) else {
        return Err(of(option, text).because(
            "this is neither a moisture nor air",
            "a moisture in percent as in 8%, or temperature and humidity as in 70F/30%",
        ));
    };
    let moisture = Moisture::percent(amount).ok_or_else(|| {
        let what = if amount < 0.0 {
            "moisture is never under 0 %".to_owned()
        } else {
            format!("above {} % wood is full and swells no more", Moisture::MOST)
        };
        of(option, text).because(what, "furniture is made at 6 to 8 %")
    })?;
    Ok(GivenMoisture { moisture, air: None })
}

/// A size as typed, more than nothing, and the unit it was typed in.
pub fn size(option: &'static str, text: &str) -> Result<(Length, Unit), Failure> {
    let read = |bare| parse_entry(text, &Entry { bare, mark: None }).map(|typed| typed.value);
    let length = read(Unit::Inch).map_err(|refused| Failure::Given {
        option,
        given: visible(text),
        what: refused.what,
        help: refused.help,
    })?;
    if length <= Length::ZERO {
        return Err(of(option, text).because("a size is more than nothing", ""));
    }
    let metric = ["mm", "cm"].iter().any(|sign| text.to_lowercase().contains(sign));
    Ok((length, if metric { Unit::Millimetre } else { Unit::Inch }))
}

/// Whether a length names its unit.
pub fn names_its_unit(text: &str) -> bool {
    text.contains(|c: char| c.is_alphabetic() || matches!(c, '\'' | '"' | '′' | '″'))
}

/// A wood by name.
pub fn wood(option: &'static str, name: &str) -> Result<&'static Species, Failure> {
    Species::named(name).ok_or_else(|| {
        let help = match Species::with_words(name).as_slice() {
            [] => match nearest(name, Species::every_name()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "`benchway wood species` names them all".to_owned(),
            },
            [only] => format!("did you mean `{only}`?"),
            kinds => format!("which one: {}?", kinds.join(", ")),
        };
        of(option, name).because("how far this wood moves is not known here", &help)
    })
}

/// The number a text begins with, and the rest of it.
fn apart(text: &str) -> (Option<f64>, &str) {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '\u{2212}')))
        .unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let number = number.replace(',', ".").replace('\u{2212}', "-");
    (number.parse().ok().filter(|number: &f64| number.is_finite()), rest.trim())
}

/// A percentage without needless figures.
pub fn fine_percent(amount: f64) -> String {
    let text = format!("{amount:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal<T>(found: Result<T, Failure>) -> String {
        match found {
            Ok(_) => panic!("it was taken"),
            Err(failure) => failure.to_string(),
        }
    }

    #[test]
    fn temperatures_in_either_unit() {
        // 70 F: 38 / 1.8 = 21.111 C.
        for text in ["70F", "70 F", "70 °F", "70f", "70.0degF"] {
            let found = celsius("--temp", text).expect(text);
            assert!((found - 38.0 / 1.8).abs() < 1e-9, "{text}");
        }
        assert_eq!(celsius("--temp", "-5,5 C").ok(), Some(-5.5));
        assert!(refusal(celsius("--temp", "70")).contains("70F or 70C?"));
        assert!(refusal(celsius("--temp", "70K")).contains("`K` is no unit"));
        assert!(refusal(celsius("--temp", "warm")).contains("no temperature"));
    }

    #[test]
    fn humidity_is_in_percent() {
        assert_eq!(humidity("--rh", "45%").ok(), Some(45.0));
        assert_eq!(humidity("--rh", "45.5 %").ok(), Some(45.5));
        assert_eq!(humidity("--rh", "0.5%").ok(), Some(0.5));
        assert!(refusal(humidity("--rh", "0.45")).contains("45%, or 0.45% if it is that dry"));
        assert!(refusal(humidity("--rh", "105")).contains("from 0 to 100 %"));
        assert!(refusal(humidity("--rh", "-3")).contains("from 0 to 100 %"));
        assert!(refusal(humidity("--rh", "damp")).contains("a number in percent"));
    }

    #[test]
    fn moisture_or_the_air_it_comes_from() {
        let eight = moisture("--from", "8%").expect("a moisture");
        assert_eq!(eight.moisture.in_percent(), 8.0);
        // Wood Handbook, FPL-GTR-190 (2010), Table 4-2: 70 F and 45 % give 8.5.
        let room = moisture("--from", "70F/45%").expect("air");
        assert!((room.moisture.in_percent() - 8.5).abs() < 0.07);
        assert!(refusal(moisture("--to", "35")).contains("swells no more"));
        assert!(refusal(moisture("--to", "-2%")).contains("never under 0 %"));
        assert!(refusal(moisture("--to", "70F")).contains("neither a moisture nor air"));
        assert!(refusal(moisture("--to", "70/30%")).contains("needs its unit"));
        assert!(refusal(moisture("--to", "400F/30%")).contains("-40 to 212 F"));
    }

    #[test]
    fn woods_by_name_or_what_was_meant() {
        assert!(wood("--species", "White Oak").is_ok());
        assert!(refusal(wood("--species", "wite oak")).contains("did you mean `white oak`?"));
        assert!(refusal(wood("--species", "spruce")).contains("which one: "));
        assert!(refusal(wood("--species", "bubinga")).contains("wood species"));
    }
}
