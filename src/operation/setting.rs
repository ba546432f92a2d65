//! What a scale must show: every dial of an operation is worked out here.

use super::feature::FeatureName;
use super::outcome::NamedSetting;
use super::reader::Keyed;
use super::words::decimal;
use super::work::Work;
use crate::measure::{Length, Readout, Rounds, ScaleOffset, Setting, Target};

impl Work<'_> {
    /// How much more the tool makes than a scale shows. `sizing` says whether
    /// that scale makes the size, which an offset without a scale's name is for.
    pub(super) fn offset(&self, scale: &str, sizing: bool) -> ScaleOffset {
        self.tool.map_or(ScaleOffset(Length::ZERO), |tool| tool.scale_offset(scale, sizing))
    }

    /// A setting that sizes `feature`: with aim and offset, leaving wood on.
    pub fn sizing(&self, scale: &str, target: Length, feature: &str, key: &Keyed) -> NamedSetting {
        self.sizing_rounded(scale, target, feature, self.chain(key), Rounds::Up)
    }

    /// A setting that sizes `feature`, rounded the way that leaves wood on
    /// there: down for a hole. `from` says how the target came about.
    pub fn sizing_rounded(
        &self,
        scale: &str,
        target: Length,
        feature: &str,
        from: String,
        rounds: Rounds,
    ) -> NamedSetting {
        // Too small is the safe side of a hole, and so is aiming below it.
        let aim = if rounds == Rounds::Down { -self.aim } else { self.aim };
        let mut named = self.aimed(scale, target, aim, from, rounds);
        named.sizes = Some(FeatureName::new(feature));
        named
    }

    /// The depth of a hole: rounded deeper, for a short hole keeps a joint
    /// open, yet aimed shallow, for it can still be deepened.
    pub fn depth_setting(
        &self,
        scale: &str,
        target: Length,
        feature: &str,
        from: String,
    ) -> NamedSetting {
        let mut named = self.aimed(scale, target, -self.aim, from, Rounds::Up);
        named.sizes = Some(FeatureName::new(feature));
        named
    }

    /// A setting with an aim of its own that names no feature: for a scale that
    /// goes up as the size goes down.
    pub(super) fn aimed(
        &self,
        scale: &str,
        target: Length,
        aim: Length,
        from: String,
        rounds: Rounds,
    ) -> NamedSetting {
        self.aimed_beyond(scale, target, aim, from, rounds, Length::ZERO)
    }

    /// The same on a scale that counts from `more` further away than the size
    /// begins: from the table below a sled, or from the far side of a kerf.
    ///
    /// This is the one place such a dial is worked out. The dial is rounded
    /// with `more` in it, because that is what the scale shows, and what it
    /// predicts is what is then left of it: `dial + offset - more`.
    pub(super) fn aimed_beyond(
        &self,
        scale: &str,
        target: Length,
        aim: Length,
        from: String,
        rounds: Rounds,
        more: Length,
    ) -> NamedSetting {
        let offset = self.offset(scale, true);
        let readout = self.readout(scale);
        let shown = readout.dial(Target(target), aim + more, offset, rounds);
        let setting = Setting { aim, predicted: shown.predicted - more, ..shown };
        let mut why = vec![from];
        if !aim.is_zero() {
            why.push(format!(
                "aimed off by {}, to the side that can still be cut",
                self.words(aim.abs())
            ));
        }
        why.extend(self.offset_words(scale, offset));
        why.extend(self.rounding_words(&readout, setting.dial.0, target + aim + more - offset.0));
        NamedSetting {
            name: scale.to_owned(),
            readout,
            setting,
            rounds,
            why: why.join("; "),
            by_passes: false,
            is_confirmed: true,
            sizes: None,
            shrinks: None,
            beyond: more,
        }
    }

    /// A setting that sizes `feature` and takes wood out of the piece, counted
    /// from `more` further away: see [`Work::aimed_beyond`].
    pub(super) fn sizing_beyond(
        &self,
        scale: &str,
        target: Length,
        feature: &str,
        from: String,
        more: Length,
    ) -> NamedSetting {
        let mut named = self.aimed_beyond(scale, target, -self.aim, from, Rounds::Down, more);
        named.sizes = Some(FeatureName::new(feature));
        named
    }

    /// A setting that sizes nothing, such as a blade height.
    pub fn plain_setting(
        &self,
        scale: &str,
        target: Length,
        rounds: Rounds,
        why: String,
    ) -> NamedSetting {
        let offset = self.offset(scale, false);
        let readout = self.readout(scale);
        let setting = readout.dial(Target(target), Length::ZERO, offset, rounds);
        NamedSetting {
            name: scale.to_owned(),
            readout,
            setting,
            rounds,
            why,
            by_passes: false,
            is_confirmed: true,
            sizes: None,
            shrinks: None,
            beyond: Length::ZERO,
        }
    }

    /// How far the tool is off its scale, where it is, or that nobody knows.
    fn offset_words(&self, scale: &str, offset: ScaleOffset) -> Option<String> {
        let tool = self.tool_name.unwrap_or("this tool");
        if self.tool.is_some_and(|tool| !tool.knows_offset(scale_name(scale))) {
            return Some(format!("its offset with {tool} is unknown"));
        }
        let by = decimal(offset.0.abs(), self.unit);
        (!offset.0.is_zero()).then(|| {
            let way = if offset.0.is_negative() { "less" } else { "more" };
            format!("makes {by} {way} than its scale shows with {tool}")
        })
    }

    fn rounding_words(&self, readout: &Readout, dial: Length, exact: Length) -> Option<String> {
        let moved = dial - exact;
        (!moved.is_zero()).then(|| {
            format!(
                "rounded {} {} to the scale's {} step",
                if moved.is_negative() { "down" } else { "up" },
                decimal(moved.abs(), self.unit),
                readout.step.written(readout.unit)
            )
        })
    }
}

/// `table, to start` is read on the `table` scale.
pub fn scale_name(setting: &str) -> &str {
    setting.split(',').next().unwrap_or(setting)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_setting_is_read_on_its_scale() {
        assert_eq!(scale_name("table, to start"), "table");
        assert_eq!(scale_name("blade height"), "blade height");
    }
}
