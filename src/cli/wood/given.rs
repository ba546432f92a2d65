//! Reads the options of `wood`: temperatures, humidities, moisture contents, sizes
//! and names of woods.

use crate::cli::Failure;
use crate::measure::{Entry, Length, Unit, parse_entry};
use crate::prose::{Message, nearest, visible};
use crate::wood::{Air, Moisture, NoSuchAir, Species};

/// An option whose value is refused.
pub(super) struct RefusedOption {
    pub(super) option: &'static str,
    pub(super) given: String,
}

pub(super) fn of(option: &'static str, given: &str) -> RefusedOption {
    RefusedOption { option, given: given.to_owned() }
}

impl RefusedOption {
    pub(super) fn because(self, what: impl Into<String>, help: &str) -> Failure {
        let help = (!help.is_empty()).then(|| help.to_owned());
        let why = Message::error(what).maybe_help(help);
        Failure::Option { option: self.option, given: self.given, why }
    }
}

/// Reads `70F`, `21 C` or `70 °F` as degrees Celsius.
pub(super) fn celsius(option: &'static str, text: &str) -> Result<f64, Failure> {
    let (amount, unit) = apart(text);
    let refused = of(option, text);
    let Some(amount) = amount else {
        return Err(refused.because("this is not a temperature", "write 70F or 21C"));
    };
    let unit = unit.trim_start_matches(['°', 'º']).trim_start_matches("deg").trim();
    match unit {
        "F" | "f" => Ok((amount - 32.0) / 1.8),
        "C" | "c" => Ok(amount),
        "" => {
            let bare = text.trim();
            let what = "a temperature needs a unit";
            Err(refused.because(what, &format!("{}F or {}C?", visible(bare), visible(bare))))
        }
        other => {
            let what = format!("`{}` is not a unit of temperature", visible(other));
            Err(refused.because(what, "use F or C"))
        }
    }
}

/// Reads `45%` or `45` as a relative humidity in percent.
pub(super) fn humidity(option: &'static str, text: &str) -> Result<f64, Failure> {
    let (amount, unit) = apart(text);
    let refused = of(option, text);
    let Some(amount) = amount.filter(|_| matches!(unit, "" | "%")) else {
        return Err(refused.because("relative humidity is a number in percent", "for example 45%"));
    };
    if unit.is_empty() && amount > 0.0 && amount <= 1.0 {
        let help = format!("{}%, or {text}% if it is that dry", fine_percent(amount * 100.0));
        return Err(refused.because("relative humidity is in percent, not a fraction of 1", &help));
    }
    if !(0.0..=100.0).contains(&amount) {
        return Err(
            refused.because("relative humidity is from 0 to 100 %", "45% is common indoors")
        );
    }
    Ok(amount)
}

/// Reads air from its temperature and humidity.
pub(super) fn air(temp: (&'static str, &str), humid: (&'static str, &str)) -> Result<Air, Failure> {
    let (celsius, humidity) = (celsius(temp.0, temp.1)?, humidity(humid.0, humid.1)?);
    Air::new(celsius, humidity).map_err(|why| match why {
        NoSuchAir::Temperature => of(temp.0, temp.1)
            .because("the temperature must be from -40 to 212 F (-40 to 100 C)", "check its unit"),
        NoSuchAir::Humidity => {
            of(humid.0, humid.1).because("relative humidity is from 0 to 100 %", "")
        }
    })
}

/// A moisture content, and the air it was given as, if any.
#[derive(Clone, Copy, Debug)]
pub(super) struct GivenMoisture {
    pub(super) moisture: Moisture,
    pub(super) air: Option<Air>,
}

/// Reads a moisture content: `8`, `8%`, or air as `70F/30%`.
pub(super) fn moisture(option: &'static str, text: &str) -> Result<GivenMoisture, Failure> {
    if let Some((temp, humid)) = text.split_once('/') {
        let air = air((option, temp), (option, humid))?;
        return Ok(GivenMoisture { moisture: air.moisture(), air: Some(air) });
    }
    let (amount, unit) = apart(text);
    let Some(amount) = amount.filter(|_| matches!(unit, "" | "%")) else {
        return Err(of(option, text).because(
            "this is neither a moisture content nor air",
            "write a percentage such as 8%, or temperature and humidity such as 70F/30%",
        ));
    };
    let moisture = Moisture::percent(amount).ok_or_else(|| {
        let what = if amount < 0.0 {
            "moisture content can't be below 0 %".to_owned()
        } else {
            format!("above {} % moisture, wood swells no further", Moisture::MOST)
        };
        of(option, text).because(what, "6 to 8 % is usual for furniture")
    })?;
    Ok(GivenMoisture { moisture, air: None })
}

/// Reads a size greater than zero, and the unit it was typed in.
pub(super) fn size(option: &'static str, text: &str) -> Result<(Length, Unit), Failure> {
    let read = |bare| parse_entry(text, &Entry { bare, mark: None }).map(|typed| typed.value);
    let length = read(Unit::Inch).map_err(|why| Failure::Option {
        option,
        given: text.to_owned(),
        why: why.anywhere(),
    })?;
    if length <= Length::ZERO {
        return Err(of(option, text).because("a size must be greater than zero", ""));
    }
    let metric = ["mm", "cm"].iter().any(|sign| text.to_lowercase().contains(sign));
    Ok((length, if metric { Unit::Millimetre } else { Unit::Inch }))
}

/// Whether a length as typed names its unit.
pub(super) fn names_its_unit(text: &str) -> bool {
    text.contains(|c: char| c.is_alphabetic() || matches!(c, '\'' | '"' | '′' | '″'))
}

/// Finds a wood by name.
pub(super) fn wood(option: &'static str, name: &str) -> Result<&'static Species, Failure> {
    Species::named(name).ok_or_else(|| {
        let help = match Species::with_words(name).as_slice() {
            [] => match nearest(name, Species::every_name()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "`benchway wood species` lists the woods".to_owned(),
            },
            [only] => format!("did you mean `{only}`?"),
            kinds => format!("name one of these: {}", kinds.join(", ")),
        };
        of(option, name).because("the movement of this wood is not known", &help)
    })
}

/// The number at the start of a text, and the rest of the text.
fn apart(text: &str) -> (Option<f64>, &str) {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '\u{2212}')))
        .unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let number = number.replace(',', ".").replace('\u{2212}', "-");
    (number.parse().ok().filter(|number: &f64| number.is_finite()), rest.trim())
}

/// A percentage without trailing zeros.
pub(super) fn fine_percent(amount: f64) -> String {
    let text = format!("{amount:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal<T>(found: Result<T, Failure>) -> String {
        match found {
            Ok(_) => panic!("it was accepted"),
            Err(failure) => failure.to_string(),
        }
    }

    #[test]
    fn a_temperature_is_read_in_either_unit() {
        // 70 F: 38 / 1.8 = 21.111 C.
        for text in ["70F", "70 F", "70 °F", "70f", "70.0degF"] {
            let found = celsius("--temp", text).expect(text);
            assert!((found - 38.0 / 1.8).abs() < 1e-9, "{text}");
        }
        assert_eq!(celsius("--temp", "-5,5 C").ok(), Some(-5.5));
        assert!(refusal(celsius("--temp", "70")).contains("70F or 70C?"));
        assert!(refusal(celsius("--temp", "70K")).contains("`K` is not a unit"));
        assert!(refusal(celsius("--temp", "warm")).contains("not a temperature"));
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
    fn a_moisture_is_a_percentage_or_the_air_that_gives_it() {
        let eight = moisture("--from", "8%").expect("a moisture");
        assert_eq!(eight.moisture.in_percent(), 8.0);
        // Wood Handbook, FPL-GTR-190 (2010), Table 4-2: 70 F and 45 % give 8.5.
        let room = moisture("--from", "70F/45%").expect("air");
        assert!((room.moisture.in_percent() - 8.5).abs() < 0.07);
        assert!(refusal(moisture("--to", "35")).contains("swells no further"));
        assert!(refusal(moisture("--to", "-2%")).contains("below 0 %"));
        assert!(refusal(moisture("--to", "70F")).contains("neither a moisture content nor air"));
        assert!(refusal(moisture("--to", "70/30%")).contains("needs a unit"));
        assert!(refusal(moisture("--to", "400F/30%")).contains("-40 to 212 F"));
    }

    #[test]
    fn a_wood_is_found_by_name_or_the_nearest_is_offered() {
        assert!(wood("--species", "White Oak").is_ok());
        assert!(refusal(wood("--species", "wite oak")).contains("did you mean `white oak`?"));
        assert!(refusal(wood("--species", "spruce")).contains("name one of these: "));
        assert!(refusal(wood("--species", "bubinga")).contains("wood species"));
    }
}
