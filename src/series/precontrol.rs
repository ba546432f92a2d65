//! Pre-control: judging a setup by where in its band each piece falls, from the first piece
//! on. It needs no number but the limits.
//!
//! Zones and textbook rules: D. and P. Shainin, Quality Engineering 1 (1989), 419-429, and
//! S. H. Steiner, Quality Engineering 10 (1997), 65-74.

use super::Side;

/// Where in the band a number is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BandZone {
    /// The middle half, its ends included.
    Middle,
    /// One of the outer quarters, the limit included.
    Outer(Side),
    /// Outside a limit.
    Outside(Side),
}

/// The zone of a number between two limits, `low` under `high`.
pub fn zone(value: f64, low: f64, high: f64) -> BandZone {
    let quarter = (high - low) / 4.0;
    if value > high {
        BandZone::Outside(Side::High)
    } else if value < low {
        BandZone::Outside(Side::Low)
    } else if value > high - quarter {
        BandZone::Outer(Side::High)
    } else if value < low + quarter {
        BandZone::Outer(Side::Low)
    } else {
        BandZone::Middle
    }
}

/// Whether a setup may run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Qualification {
    /// Not decided yet.
    Open,
    /// It may run.
    Runs,
    /// It must be set again.
    SetAgain,
}

/// Five in a row in the middle and it may run. A piece in an outer quarter starts the count
/// again; two of those in a row, or one outside, mean setting anew.
pub fn setup(zones: &[BandZone]) -> Qualification {
    let (mut in_a_row, mut outer) = (0, false);
    for zone in zones {
        match zone {
            BandZone::Middle => (in_a_row, outer) = (in_a_row + 1, false),
            BandZone::Outer(_) if !outer => (in_a_row, outer) = (0, true),
            _ => return Qualification::SetAgain,
        }
        if in_a_row == 5 {
            return Qualification::Runs;
        }
    }
    Qualification::Open
}

/// What to do after two pieces measured together while running.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PairAction {
    /// Go on.
    GoOn,
    /// Both are in the same outer quarter: the setting is off.
    SetAgain,
    /// There is one in either outer quarter: the scatter is too wide for the limits.
    ScattersTooMuch,
    /// One is outside.
    Stop,
}

/// With the first in the middle the second need not be measured.
pub fn pair(first: BandZone, second: BandZone) -> PairAction {
    match (first, second) {
        (BandZone::Outside(_), _) => PairAction::Stop,
        (BandZone::Middle, _) => PairAction::GoOn,
        (_, BandZone::Outside(_)) => PairAction::Stop,
        (_, BandZone::Middle) => PairAction::GoOn,
        (BandZone::Outer(one), BandZone::Outer(other)) if one == other => PairAction::SetAgain,
        _ => PairAction::ScattersTooMuch,
    }
}

/// What to do after one piece of a small batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Action {
    /// Go on.
    GoOn,
    /// In the outer quarter that can be cut again: go on, and note it.
    Note,
    /// In the other outer quarter: measure the next piece too.
    MeasureNext,
    /// Stop, and hold the pieces after the last good one.
    Stop {
        /// The place of the last good piece, counted from 1; 0 where there is none.
        good_to: usize,
    },
}

/// The lighter rule for a batch of 8 or 16, where five in a row in the middle would cost
/// half of it: the first piece must be in the middle; the second there or in the safe outer
/// quarter; then a piece in the safe quarter is noted, one in the other asks for the next,
/// and two of those in a row, or one outside, stop the work. `safe` is the side on which a
/// piece can be cut again. Common practice, no source.
pub fn small_batch(zones: &[BandZone], safe: Side) -> Vec<Action> {
    let mut actions = Vec::with_capacity(zones.len());
    let mut good_to = 0;
    for (i, zone) in zones.iter().enumerate() {
        let unsafe_before = i > 0 && matches!(zones[i - 1], BandZone::Outer(side) if side != safe);
        let action = match *zone {
            BandZone::Middle => Action::GoOn,
            BandZone::Outer(side) if side == safe && i > 0 => Action::Note,
            BandZone::Outer(_) if i > 1 && !unsafe_before => Action::MeasureNext,
            _ => Action::Stop { good_to },
        };
        if matches!(action, Action::GoOn | Action::Note) {
            good_to = i + 1;
        }
        actions.push(action);
    }
    actions
}
