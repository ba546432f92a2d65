//! An amount with its physical dimension and its exact derivative to the named
//! dimensions it came from.

use std::collections::BTreeMap;
use std::fmt;

use crate::measure::{Length, Unit};

/// A physical dimension: powers of length and of angle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Kind {
    length: i16,
    angle: i16,
}

impl Kind {
    /// A number without a unit.
    pub const PLAIN: Kind = Kind { length: 0, angle: 0 };
    /// A length.
    pub const LENGTH: Kind = Kind { length: 1, angle: 0 };
    /// A length times a length.
    pub const AREA: Kind = Kind { length: 2, angle: 0 };
    /// An angle.
    pub const ANGLE: Kind = Kind { length: 0, angle: 1 };

    pub(super) fn times(self, other: Kind) -> Kind {
        Kind {
            length: self.length.saturating_add(other.length),
            angle: self.angle.saturating_add(other.angle),
        }
    }

    pub(super) fn over(self, other: Kind) -> Kind {
        Kind {
            length: self.length.saturating_sub(other.length),
            angle: self.angle.saturating_sub(other.angle),
        }
    }

    pub(super) fn root(self) -> Option<Kind> {
        (self.length % 2 == 0 && self.angle % 2 == 0)
            .then_some(Kind { length: self.length / 2, angle: self.angle / 2 })
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.length, self.angle) {
            (0, 0) => f.write_str("a plain number"),
            (1, 0) => f.write_str("a length"),
            (2, 0) => f.write_str("an area"),
            (3, 0) => f.write_str("a volume"),
            (0, 1) => f.write_str("an angle"),
            (-1, 0) => f.write_str("a number per length"),
            (0, -1) => f.write_str("a number per angle"),
            (length, 0) => write!(f, "a length to the power {length}"),
            (0, angle) => write!(f, "an angle to the power {angle}"),
            (1, 1) => f.write_str("a length times an angle"),
            (1, -1) => f.write_str("a length per angle"),
            (-1, 1) => f.write_str("an angle per length"),
            (length, angle) => {
                write!(f, "a length to the power {length} times an angle to the power {angle}")
            }
        }
    }
}

/// What a formula or a name comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// In nanometres to the power of the kind, radians, or plain.
    pub amount: f64,
    /// What it measures.
    pub kind: Kind,
    /// Made of nothing but numbers without a unit: where a length is meant, it
    /// takes the unit of its route.
    pub bare: bool,
    /// How much the amount grows as each root dimension grows by one.
    pub slope: BTreeMap<String, f64>,
}

impl Value {
    /// A length as a value.
    pub fn of_length(length: Length) -> Value {
        Value::fixed(length.nanometres() as f64, Kind::LENGTH)
    }

    /// A number without a unit as a value.
    pub fn count(amount: f64) -> Value {
        Value::fixed(amount, Kind::PLAIN)
    }

    /// An angle, in radians, as a value.
    pub fn angle(radians: f64) -> Value {
        Value::fixed(radians, Kind::ANGLE)
    }

    /// A dimension by itself: whatever it came from, it now moves alone.
    pub fn root(name: &str, value: Value) -> Value {
        Value { slope: BTreeMap::from([(name.to_owned(), 1.0)]), ..value }
    }

    pub(super) fn bare(amount: f64) -> Value {
        Value { bare: true, ..Value::fixed(amount, Kind::PLAIN) }
    }

    pub(super) fn fixed(amount: f64, kind: Kind) -> Value {
        Value { amount, kind, bare: false, slope: BTreeMap::new() }
    }

    /// The length this is, to the nearest nanometre; `None` for anything else,
    /// a bare number among them, and for more than a kilometre.
    pub fn length(&self) -> Option<Length> {
        if self.kind != Kind::LENGTH {
            return None;
        }
        Length::from_nanometres_f64(self.amount)
    }

    /// The length this is, where a bare number counts in `unit`.
    pub fn length_in(&self, unit: Unit) -> Option<Length> {
        if self.bare {
            return Length::from_unit(self.amount, unit);
        }
        self.length()
    }

    /// A bare number as a length in `unit`; anything else as it is.
    pub fn measured_in(self, unit: Unit) -> Value {
        if !self.bare {
            return self;
        }
        let one = unit.one().nanometres() as f64;
        Value { kind: Kind::LENGTH, bare: false, ..self.scaled(one) }
    }

    /// A plain number of degrees as an angle.
    pub(super) fn as_degrees(&self) -> Value {
        // `to_radians` and a multiplication may differ in the last bit: the
        // amount follows the standard library, the slope needs only the factor.
        let slope = slopes(&[(self, 1f64.to_radians())]);
        Value { amount: self.amount.to_radians(), kind: Kind::ANGLE, bare: false, slope }
    }

    pub(super) fn scaled(&self, by: f64) -> Value {
        Value { amount: self.amount * by, slope: slopes(&[(self, by)]), ..*self }
    }

    /// The sum, given that both are of one kind.
    pub(super) fn plus(&self, other: &Value) -> Value {
        Value {
            amount: self.amount + other.amount,
            kind: self.kind,
            bare: self.bare && other.bare,
            slope: slopes(&[(self, 1.0), (other, 1.0)]),
        }
    }

    pub(super) fn times(&self, other: &Value) -> Value {
        Value {
            amount: self.amount * other.amount,
            kind: self.kind.times(other.kind),
            bare: self.bare && other.bare,
            slope: slopes(&[(self, other.amount), (other, self.amount)]),
        }
    }

    pub(super) fn over(&self, other: &Value) -> Value {
        let amount = self.amount / other.amount;
        Value {
            amount,
            kind: self.kind.over(other.kind),
            bare: self.bare && other.bare,
            slope: slopes(&[(self, 1.0 / other.amount), (other, -amount / other.amount)]),
        }
    }

    /// A function of this value, of the given kind and derivative.
    pub(super) fn through(&self, amount: f64, kind: Kind, derivative: f64) -> Value {
        Value { amount, kind, bare: false, slope: slopes(&[(self, derivative)]) }
    }
}

/// The chain rule: each value's slopes times how much it counts.
pub(super) fn slopes(parts: &[(&Value, f64)]) -> BTreeMap<String, f64> {
    let mut sum = BTreeMap::new();
    for (value, weight) in parts {
        for (root, slope) in &value.slope {
            // What does not move adds nothing, even where the weight has no bound.
            let share = if *slope == 0.0 { 0.0 } else { slope * weight };
            match sum.get_mut(root) {
                Some(total) => *total += share,
                None => drop(sum.insert(root.clone(), share)),
            }
        }
    }
    sum
}
