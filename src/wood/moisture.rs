//! The moisture that wood comes to in air of some temperature and humidity. It
//! is nearly the same for all woods.
//!
//! USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), eq.
//! (4-5) with the coefficients for degrees Celsius. Form and coefficients are
//! from memory; the cells of Table 4-2 that were read, 30 to 200 degrees
//! Fahrenheit and 5 to 95 %, come out within 0.06.

/// Moisture of wood in percent of its oven-dry weight, 0 to 30.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Moisture(f64);

impl Moisture {
    /// Above this, in percent, the fibers are saturated and swell no more.
    pub const MOST: f64 = 30.0;

    /// `None` below zero and above [`Moisture::MOST`].
    pub fn percent(amount: f64) -> Option<Moisture> {
        (0.0..=Moisture::MOST).contains(&amount).then_some(Moisture(amount))
    }

    /// In percent of the oven-dry weight.
    pub fn in_percent(self) -> f64 {
        self.0
    }
}

/// Air: its temperature and how damp it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    celsius: f64,
    humidity: f64,
}

/// Why air is refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoSuchAir {
    /// Colder than -40 or hotter than 100 degrees Celsius.
    Temperature,
    /// Under 0 or over 100 %.
    Humidity,
}

impl Air {
    /// Air of a temperature in degrees Celsius and a relative humidity in percent.
    pub fn new(celsius: f64, humidity: f64) -> Result<Air, NoSuchAir> {
        if !(-40.0..=100.0).contains(&celsius) {
            return Err(NoSuchAir::Temperature);
        }
        if !(0.0..=100.0).contains(&humidity) {
            return Err(NoSuchAir::Humidity);
        }
        Ok(Air { celsius, humidity })
    }

    /// Its temperature in degrees Celsius.
    pub fn celsius(self) -> f64 {
        self.celsius
    }

    /// Its temperature in degrees Fahrenheit.
    pub fn fahrenheit(self) -> f64 {
        self.celsius * 1.8 + 32.0
    }

    /// Relative humidity in percent.
    pub fn humidity(self) -> f64 {
        self.humidity
    }

    /// Whether the published table covers it: 30 to 210 degrees Fahrenheit, 5 to
    /// 95 %.
    pub fn in_the_table(self) -> bool {
        (29.999..=210.001).contains(&self.fahrenheit()) && (5.0..=95.0).contains(&self.humidity)
    }

    /// The moisture that wood comes to in it: eq. (4-5), see the file.
    pub fn moisture(self) -> Moisture {
        let (t, h) = (self.celsius, self.humidity / 100.0);
        let w = 349.0 + 1.29 * t + 0.0135 * t * t;
        let k = 0.805 + 0.000_736 * t - 0.000_002_73 * t * t;
        let k1 = 6.27 - 0.009_38 * t - 0.000_303 * t * t;
        let k2 = 1.91 + 0.0407 * t - 0.000_293 * t * t;
        let kh = k * h;
        let held = k1 * kh + 2.0 * k1 * k2 * kh * kh;
        let of = 1.0 + k1 * kh + k1 * k2 * kh * kh;
        let moisture = 1800.0 / w * (kh / (1.0 - kh) + held / of);
        Moisture(moisture.clamp(0.0, Moisture::MOST))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Wood Handbook, table 4-2: from 30 to 210 degrees Fahrenheit and 5 to 95 %.
    #[test]
    fn the_table_covers_both_or_nothing() {
        let covers = |fahrenheit: f64, humidity| {
            Air::new((fahrenheit - 32.0) / 1.8, humidity).unwrap().in_the_table()
        };
        assert!(covers(70.0, 50.0) && covers(30.0, 5.0) && covers(210.0, 95.0));
        assert!(!covers(70.0, 4.0) && !covers(70.0, 96.0));
        assert!(!covers(29.0, 50.0));
    }

    fn at(fahrenheit: f64, humidity: f64) -> f64 {
        Air::new((fahrenheit - 32.0) / 1.8, humidity).unwrap().moisture().in_percent()
    }

    /// A trade magazine's rule: 30 % of humidity gives 6, 50 % gives 9 (a
    /// woodworking trade column on humidity and moisture).
    #[test]
    fn it_agrees_with_the_rule_of_thumb() {
        assert!((at(70.0, 30.0) - 6.0).abs() < 0.3);
        assert!((at(70.0, 50.0) - 9.0).abs() < 0.3);
    }

    /// The published formula in degrees Celsius, worked by hand to ten digits. At 0
    /// degrees and 50 %: W 349, K 0.805, K1 6.27, K2 1.91, KH 0.4025. At 20 and
    /// 65 %: 380.2, 0.818628, 5.9612, 2.6068, 0.5321082. At 40 and 30 %: 422.2,
    /// 0.830072, 5.41, 3.0692, 0.2490216. At -10 and 80 %: 337.45, 0.797367, 6.3335,
    /// 1.4737, 0.6378936. The table alone is too coarse to show a wrong digit.
    #[test]
    fn every_digit_of_the_coefficients_counts() {
        for (celsius, humidity, expected) in [
            (0.0, 50.0, 9.519_403_096),
            (20.0, 65.0, 11.996_267_220),
            (40.0, 30.0, 5.714_558_128),
            (-10.0, 80.0, 16.419_495_742),
        ] {
            let found = Air::new(celsius, humidity).unwrap().moisture().in_percent();
            assert!((found - expected).abs() < 1e-8, "{celsius} C, {humidity} %: {found}");
        }
    }

    #[test]
    fn impossible_air_is_refused() {
        assert_eq!(Air::new(20.0, 101.0), Err(NoSuchAir::Humidity));
        assert_eq!(Air::new(20.0, -1.0), Err(NoSuchAir::Humidity));
        assert_eq!(Air::new(120.0, 50.0), Err(NoSuchAir::Temperature));
        assert_eq!(Air::new(f64::NAN, 50.0), Err(NoSuchAir::Temperature));
        assert_eq!(Air::new(20.0, f64::NAN), Err(NoSuchAir::Humidity));
        assert_eq!(at(70.0, 0.0), 0.0);
        assert_eq!(Moisture::percent(30.1), None);
        assert_eq!(Moisture::percent(-0.1), None);
        assert_eq!(Moisture::percent(f64::NAN), None);
    }

    proptest! {
        /// Damper air never makes drier wood.
        #[test]
        fn damper_air_makes_damper_wood(t in -40.0..100.0_f64, h in 0.0..99.0_f64, more in 0.1..1.0_f64) {
            let of = |h| Air::new(t, h).unwrap().moisture().in_percent();
            prop_assert!(of(h) <= of(h + more));
        }
    }

    /// 20 degrees Celsius are 20 x 1.8 + 32 = 68 Fahrenheit.
    #[test]
    fn air_keeps_what_it_was_given() {
        let air = Air::new(20.0, 45.0).unwrap();
        assert_eq!((air.celsius(), air.fahrenheit(), air.humidity()), (20.0, 68.0, 45.0));
        for (celsius, humidity) in [(-40.0, 0.0), (100.0, 100.0)] {
            assert!(Air::new(celsius, humidity).is_ok());
        }
        for (celsius, wrong) in [(-40.1, NoSuchAir::Temperature), (100.1, NoSuchAir::Temperature)] {
            assert_eq!(Air::new(celsius, 50.0).unwrap_err(), wrong);
        }
        for humidity in [-0.1, 100.1] {
            assert_eq!(Air::new(20.0, humidity).unwrap_err(), NoSuchAir::Humidity);
        }
    }
}
