//! The height of a saw blade: through the piece, or to a depth in it, on the
//! table or on a sled.

use super::feature::THICKNESS;
use super::outcome::{Finding, NamedSetting};
use super::words::scaled;
use super::work::Work;
use crate::measure::{Length, Rounds, Unit};
use crate::shop::BladeRule;

/// Above the wood where the shop file gives no rule (common practice, no source).
const ABOVE: Length = Length::inch_fraction(1, 4);
/// The same in millimetres (common practice, no source).
const ABOVE_METRIC: Length = Length::from_nanometres(6 * Length::MILLIMETRE.nanometres());

impl Work<'_> {
    /// The blade height by the machine's rule, and whether the blade gets there.
    pub fn blade_height(&self, base: Length) -> (Option<NamedSetting>, Vec<Finding>) {
        let Some(stock) = self.blank.most(THICKNESS) else { return (None, Vec::new()) };
        self.blade_through(base, stock, 0.0)
    }

    /// The same for wood of a given height, with the blade tilted by `tilt`
    /// degrees: its height is then measured along the blade.
    pub(super) fn blade_through(
        &self,
        base: Length,
        stock: Length,
        tilt: f64,
    ) -> (Option<NamedSetting>, Vec<Finding>) {
        let Some(machine) = self.machine else { return (None, Vec::new()) };
        if !machine.readouts.contains_key("blade height") {
            return (None, Vec::new());
        }
        let mut findings = Vec::new();
        let Some(tool) = self.tool else { return (None, Vec::new()) };
        let (above, rule) = match (&machine.blade_rule, tool.gullet) {
            (Some(BladeRule::Above(above)), _) => {
                (*above, format!("{} above the thickest piece", self.words(*above)))
            }
            (_, Some(gullet)) => (gullet, "gullets just clear of the thickest piece".to_owned()),
            _ => {
                findings.push(self.asks_for_gullet());
                let above = self.either("1/4 in", "6 mm");
                let size = match self.unit {
                    Unit::Inch => ABOVE,
                    Unit::Millimetre => ABOVE_METRIC,
                };
                (size, format!("{above} above the thickest piece"))
            }
        };
        let height = scaled(base + stock, 1.0 / tilt.to_radians().cos()) + above;
        let sled = if base.is_zero() {
            String::new()
        } else {
            format!(", {} of sled under it", self.words(base))
        };
        let tilted = if tilt == 0.0 {
            String::new()
        } else {
            format!(", measured along a blade tilted {tilt:.2} degrees")
        };
        let why = format!("{rule}: {} thick{sled}{tilted}", self.words(stock));
        let setting = NamedSetting {
            is_confirmed: false,
            ..self.plain_setting("blade height", height, Rounds::Up, why)
        };
        if let Some(finding) = self.beyond_reach(height, "thinner stock") {
            findings.push(finding);
            return (None, findings);
        }
        (Some(setting), findings)
    }

    /// The blade height for a cut of a given depth, the sled's base under it,
    /// and the error where the blade does not reach. `instead` is what to make
    /// smaller then.
    pub(super) fn depth_by_blade(
        &self,
        depth: Length,
        feature: &str,
        from: String,
        instead: &str,
    ) -> (NamedSetting, Option<Finding>) {
        let base = self.sled();
        let mut height = self.sizing_beyond("blade height", depth, feature, from, base);
        if !base.is_zero() {
            height.why = format!("{}; and {} of sled under it", height.why, self.words(base));
        }
        (height, self.beyond_reach(depth + base, instead))
    }

    /// An error where a cut needs the blade higher than it goes.
    pub(super) fn beyond_reach(&self, height: Length, instead: &str) -> Option<Finding> {
        let most = self.machine?.blade_most?;
        (height > most).then(|| {
            Finding::error(format!(
                "the blade reaches {} and this cut needs {}",
                self.words(most),
                self.words(height)
            ))
            .help(format!("use {instead} or another machine; nobody can override this limit"))
            .key("at")
            .limit()
        })
    }
}
