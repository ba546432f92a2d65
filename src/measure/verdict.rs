//! What a reading says of a size: within limits, out and which way, or too
//! close to call.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Length, Limits, Unit};

/// What was measured; it decides the words of the verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Feature {
    /// How thick it is.
    Thickness,
    /// How wide it is.
    Width,
    /// How long it is.
    Length,
    /// How deep it goes.
    Depth,
    /// Of a hole, a mortise or anything without a better word.
    Size,
    /// The room between two things.
    Gap,
    /// How far an edge, an end or a frame is out of square.
    Squareness,
    /// How far a face is hollow, high, or in wind.
    Flatness,
    /// How far an angle is off.
    Angle,
}

impl Feature {
    /// The words for too much and too little of it.
    pub const fn too(self) -> (&'static str, &'static str) {
        match self {
            Feature::Thickness => ("too thick", "too thin"),
            Feature::Width => ("too wide", "too narrow"),
            Feature::Length => ("too long", "too short"),
            Feature::Depth => ("too deep", "too shallow"),
            Feature::Size => ("too big", "too small"),
            Feature::Gap => ("too open", "too tight"),
            Feature::Squareness => ("not square", "not square"),
            Feature::Flatness => ("not flat", "not flat"),
            Feature::Angle => ("angle too big", "angle too small"),
        }
    }

    /// Whether it is a form rather than a size: something else than a cut to
    /// another size puts it right.
    pub const fn is_form(self) -> bool {
        matches!(self, Feature::Gap | Feature::Squareness | Feature::Flatness | Feature::Angle)
    }
}

/// The direction of error that can still be cut away.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SafeSide {
    /// Too big can still be cut.
    Big,
    /// Too small can still be cut.
    Small,
    /// Neither can be cut.
    Neither,
}

/// One of the two limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Limit {
    /// The most.
    High,
    /// The least.
    Low,
}

/// What a reading says. `by` is zero where a go/no-go gauge, which gives no
/// number, said so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Within limits.
    In,
    /// Above the high limit.
    TooBig {
        /// How far beyond it.
        by: Length,
        /// Whether it can be cut again.
        again: bool,
    },
    /// Below the low limit.
    TooSmall {
        /// How far beyond it.
        by: Length,
        /// Whether it can be cut again.
        again: bool,
    },
    /// So near a limit that the gauge can't tell.
    TooClose {
        /// Which limit.
        side: Limit,
    },
}

/// Judges a reading whose expanded uncertainty (k = 2) is `uncertainty`: in
/// when inside both limits by as much, out when beyond one by more, and
/// between the two too close to call.
///
/// This is guarded acceptance and guarded rejection of JCGM 106:2012, 8.3,
/// with the guard band equal to the expanded uncertainty.
pub fn judge(reading: Length, limits: &Limits, uncertainty: Length, safe: SafeSide) -> Verdict {
    let over = limits.high.map(|high| reading - high);
    let under = limits.low.map(|low| low - reading);
    if let Some(by) = over.filter(|&by| by > uncertainty) {
        return Verdict::TooBig { by, again: safe == SafeSide::Big };
    }
    if let Some(by) = under.filter(|&by| by > uncertainty) {
        return Verdict::TooSmall { by, again: safe == SafeSide::Small };
    }
    let sure = |beyond: Option<Length>| beyond.is_none_or(|by| by <= -uncertainty);
    if sure(over) && sure(under) {
        return Verdict::In;
    }
    // In a band too narrow for its gauge both limits are near: name the nearer.
    let side = if over >= under { Limit::High } else { Limit::Low };
    Verdict::TooClose { side }
}

impl Verdict {
    /// Whether it is surely beyond a limit.
    pub const fn is_out(self) -> bool {
        matches!(self, Verdict::TooBig { .. } | Verdict::TooSmall { .. })
    }

    /// The verdict without a feature or an amount, as files give it.
    pub const fn plain(self) -> &'static str {
        match self {
            Verdict::In => "in",
            Verdict::TooBig { .. } => "too big",
            Verdict::TooSmall { .. } => "too small",
            Verdict::TooClose { .. } => "too close to call",
        }
    }

    /// The verdict in the words of the feature, always with what can be done:
    /// `too thick by 0.021: can be cut again`.
    pub fn words(&self, feature: Feature, unit: Unit, places: usize) -> String {
        let (much, little) = feature.too();
        let (too, by, again) = match *self {
            Verdict::In => return "within limits".into(),
            Verdict::TooClose { .. } => return "too close to call".into(),
            Verdict::TooBig { by, again } => (much, by, again),
            Verdict::TooSmall { by, again } => (little, by, again),
        };
        let remedy = match (feature.is_form(), again) {
            (false, true) => "can be cut again",
            (true, true) => "can be put right",
            (_, false) => "can't be saved",
        };
        if by.is_zero() {
            return format!("{too}: {remedy}");
        }
        format!("{too} by {}: {remedy}", by.decimal(unit, places))
    }
}

/// Where in its band a reading is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    /// Above the high limit.
    TooBig,
    /// In the quarter below the high limit.
    OuterHigh,
    /// The middle half of the band.
    Middle,
    /// In the quarter above the low limit.
    OuterLow,
    /// Below the low limit.
    TooSmall,
}

/// The zone of a reading. `None` where there is no band, or where the sure
/// part of it is no wider than its middle half.
pub fn zone(reading: Length, limits: &Limits, uncertainty: Length) -> Option<Zone> {
    let (low, high) = (limits.low?, limits.high?);
    let band = high - low;
    if band <= uncertainty * 4 {
        return None;
    }
    Some(if reading > high {
        Zone::TooBig
    } else if reading < low {
        Zone::TooSmall
    } else if (high - reading) * 4 < band {
        Zone::OuterHigh
    } else if (reading - low) * 4 < band {
        Zone::OuterLow
    } else {
        Zone::Middle
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn inches(text: &str) -> Length {
        super::super::parse_written(text, Unit::Inch).unwrap()
    }

    fn between(low: &str, high: &str) -> Limits {
        Limits { low: Some(inches(low)), high: Some(inches(high)) }
    }

    fn is_in(reading: Length, limits: &Limits, uncertainty: &str) -> bool {
        judge(reading, limits, inches(uncertainty), SafeSide::Big) == Verdict::In
    }

    /// JCGM 106:2012, 8.3.2: accepted inside [low + U, high − U], U = 2u.
    /// The acceptance limits here are worked out from that.
    #[test]
    fn guarded_acceptance() {
        for (low, high, expanded, accept_low, accept_high, reading, accepted) in [
            ("1.734375", "1.765625", "0.005", "1.739375", "1.760625", "1.76", true),
            ("12.984", "13.016", "0.006", "12.99", "13.01", "13.014", false),
            ("0", "1", "0.1", "0.1", "0.9", "0.95", false),
            ("0.375", "0.385", "0.002", "0.377", "0.383", "0.3845", false),
        ] {
            let limits = between(low, high);
            let step = Length::from_nanometres(1);
            let (accept_low, accept_high) = (inches(accept_low), inches(accept_high));
            assert!(is_in(accept_low, &limits, expanded));
            assert!(is_in(accept_high, &limits, expanded));
            assert!(!is_in(accept_low - step, &limits, expanded));
            assert!(!is_in(accept_high + step, &limits, expanded));
            assert_eq!(is_in(inches(reading), &limits, expanded), accepted, "{reading}");
        }
    }

    /// ISO 14253-1 and JCGM 106:2012, 8.3: limits 100.0 and 100.4, U = 0.08;
    /// conforming is proved within 100.08 to 100.32, not conforming beyond
    /// 99.92 and 100.48.
    #[test]
    fn between_the_proofs_it_is_too_close_to_call() {
        let limits = between("100.0", "100.4");
        let judged = |reading| judge(inches(reading), &limits, inches("0.08"), SafeSide::Big);
        assert_eq!(judged("100.08"), Verdict::In);
        assert_eq!(judged("100.32"), Verdict::In);
        assert_eq!(judged("100.0799"), Verdict::TooClose { side: Limit::Low });
        assert_eq!(judged("100.3201"), Verdict::TooClose { side: Limit::High });
        assert_eq!(judged("99.92"), Verdict::TooClose { side: Limit::Low });
        assert_eq!(judged("100.48"), Verdict::TooClose { side: Limit::High });
        assert_eq!(judged("99.9199"), Verdict::TooSmall { by: inches("0.0801"), again: false });
        assert_eq!(judged("100.4801"), Verdict::TooBig { by: inches("0.0801"), again: true });
    }

    /// JCGM 106:2012, 7.3, the two examples with one limit (from memory):
    /// −5.47 under −5.4 with u = 0.05, so 0.07 inside, and U = 0.1; 509.7 over
    /// 490 with u = 8.6, so 19.7 inside, and U = 17.2.
    #[test]
    fn one_limit_is_guarded_on_its_own_side_only() {
        let under = Limits { low: None, high: Some(inches("-5.4")) };
        let verdict = judge(inches("-5.47"), &under, inches("0.1"), SafeSide::Big);
        assert_eq!(verdict, Verdict::TooClose { side: Limit::High });
        let over = Limits { low: Some(inches("490")), high: None };
        let verdict = judge(inches("509.7"), &over, inches("17.2"), SafeSide::Small);
        assert_eq!(verdict, Verdict::In);
    }

    #[test]
    fn words_follow_the_feature_and_the_safe_side() {
        let limits = between("1.4", "1.5");
        let words = |reading, safe, feature| {
            judge(inches(reading), &limits, inches("0.003"), safe).words(feature, Unit::Inch, 3)
        };
        assert_eq!(words("1.45", SafeSide::Big, Feature::Thickness), "within limits");
        assert_eq!(
            words("1.521", SafeSide::Big, Feature::Thickness),
            "too thick by 0.021: can be cut again"
        );
        assert_eq!(
            words("1.379", SafeSide::Big, Feature::Thickness),
            "too thin by 0.021: can't be saved"
        );
        assert_eq!(
            words("1.38", SafeSide::Small, Feature::Size),
            "too small by 0.020: can be cut again"
        );
        assert_eq!(
            words("1.52", SafeSide::Neither, Feature::Length),
            "too long by 0.020: can't be saved"
        );
        assert_eq!(words("1.501", SafeSide::Big, Feature::Width), "too close to call");
        // A form is never too wide, and wood or a setting puts it right.
        assert_eq!(
            words("1.52", SafeSide::Big, Feature::Squareness),
            "not square by 0.020: can be put right"
        );
        assert_eq!(
            words("1.52", SafeSide::Big, Feature::Flatness),
            "not flat by 0.020: can be put right"
        );
        assert_eq!(
            words("1.52", SafeSide::Big, Feature::Gap),
            "too open by 0.020: can be put right"
        );
        assert_eq!(
            words("1.52", SafeSide::Neither, Feature::Angle),
            "angle too big by 0.020: can't be saved"
        );
        let no_go = Verdict::TooBig { by: Length::ZERO, again: false };
        assert_eq!(no_go.words(Feature::Size, Unit::Inch, 3), "too big: can't be saved");
    }

    #[test]
    fn a_gauge_without_uncertainty_judges_up_to_the_limit() {
        let limits = between("1", "2");
        assert!(is_in(inches("1"), &limits, "0") && is_in(inches("2"), &limits, "0"));
    }

    /// Middle half and outer quarters of 12.984 to 13.016: 12.992 to 13.008.
    /// Pre-control as F. E. Satterthwaite published it ("A Simple, Effective
    /// Process Control Method", Rath & Strong, 1954): 0.032 between the limits
    /// has its middle half from 12.992 to 13.008.
    #[test]
    fn zones_are_the_middle_half_and_the_outer_quarters() {
        let limits = between("12.984", "13.016");
        let zone = |reading| zone(inches(reading), &limits, inches("0.003"));
        assert_eq!(zone("13.0161"), Some(Zone::TooBig));
        assert_eq!(zone("13.016"), Some(Zone::OuterHigh));
        assert_eq!(zone("13.0081"), Some(Zone::OuterHigh));
        assert_eq!(zone("13.008"), Some(Zone::Middle));
        assert_eq!(zone("12.992"), Some(Zone::Middle));
        assert_eq!(zone("12.9919"), Some(Zone::OuterLow));
        assert_eq!(zone("12.9839"), Some(Zone::TooSmall));
    }

    #[test]
    fn no_zones_where_the_uncertainty_takes_the_outer_quarters() {
        let limits = between("12.984", "13.016");
        assert_eq!(zone(inches("13"), &limits, inches("0.008")), None);
        assert!(zone(inches("13"), &limits, inches("0.00799")).is_some());
        let one_sided = Limits { low: None, high: Some(inches("1")) };
        assert_eq!(zone(inches("0.5"), &one_sided, Length::ZERO), None);
    }

    proptest! {
        /// Always: No reading counts as within limits when the limits are closer than twice the
        /// uncertainty.
        #[test]
        fn nothing_is_in_when_the_band_is_under_twice_the_uncertainty(
            reading in -3_000_i64..3_000, half_band in 0_i64..1_000, more in 1_i64..1_000,
        ) {
            let limits = Limits {
                low: Some(Length::from_nanometres(-half_band)),
                high: Some(Length::from_nanometres(half_band)),
            };
            let uncertainty = Length::from_nanometres(half_band + more);
            let verdict = judge(Length::from_nanometres(reading), &limits, uncertainty, SafeSide::Big);
            prop_assert_ne!(verdict, Verdict::In);
        }

        #[test]
        fn in_is_inside_and_out_is_outside(
            reading in -3_000_i64..3_000, half_band in 0_i64..1_000, uncertainty in 0_i64..1_000,
        ) {
            let limits = Limits {
                low: Some(Length::from_nanometres(-half_band)),
                high: Some(Length::from_nanometres(half_band)),
            };
            let (low, high) = (-half_band, half_band);
            let verdict = judge(
                Length::from_nanometres(reading),
                &limits,
                Length::from_nanometres(uncertainty),
                SafeSide::Neither,
            );
            let inside = low + uncertainty <= reading && reading <= high - uncertainty;
            prop_assert_eq!(verdict == Verdict::In, inside);
            match verdict {
                Verdict::In => prop_assert!(low + uncertainty <= reading && reading <= high - uncertainty),
                Verdict::TooBig { by, .. } => {
                    prop_assert!(by.nanometres() == reading - high && reading > high + uncertainty)
                }
                Verdict::TooSmall { by, .. } => {
                    prop_assert!(by.nanometres() == low - reading && reading < low - uncertainty)
                }
                Verdict::TooClose { side: Limit::High } => {
                    prop_assert!((reading - high).abs() <= (reading - low).abs())
                }
                Verdict::TooClose { side: Limit::Low } => {
                    prop_assert!((reading - low).abs() <= (reading - high).abs())
                }
            }
        }
    }
}
