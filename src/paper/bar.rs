//! Bars in the rows of a table: a share of a whole, or an amount either way of zero with its
//! uncertainty.

use maud::{Markup, html};

use super::axis::written;

/// Half the length of a bar.
const HALF: f64 = 100.0;

/// A share of one, from the left.
pub(super) fn share_of_one(share: f64) -> Markup {
    let wide = written(share.clamp(0.0, 1.0) * 2.0 * HALF);
    html! {
        svg viewBox="0 0 200 10" preserveAspectRatio="none" aria-hidden="true" {
            rect x="0" y="1" width=(wide) height="8" fill="#555" {}
        }
    }
}

/// An amount to the left of the middle where it is less than zero, else to the right, as a
/// part of the longest; filled where it is more than its uncertainty, which is a line about
/// its end.
pub(super) fn amount_either_way(amount: f64, uncertainty: f64, longest: f64) -> Markup {
    let part = |length: f64| {
        if longest > 0.0 { (length / longest / 1.25).clamp(-1.0, 1.0) * HALF } else { 0.0 }
    };
    let (end, off) = (part(amount), part(uncertainty));
    let fill = if amount.abs() > uncertainty { "#555" } else { "#fff" };
    html! {
        svg viewBox="-100 0 200 10" preserveAspectRatio="none" aria-hidden="true" {
            rect x=(written(end.min(0.0))) y="1.5" width=(written(end.abs())) height="7"
                fill=(fill) stroke="#000" stroke-width="0.8" vector-effect="non-scaling-stroke" {}
            path stroke="#000" stroke-width="1" vector-effect="non-scaling-stroke"
                d=(format!("M{} 5H{}", written(end - off), written(end + off))) {}
            path stroke="#000" stroke-width="1.6" vector-effect="non-scaling-stroke" d="M0 0V10" {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a quarter of 200 is 50. The longest, 20, takes four fifths of one side, 80, so
    /// that -10 is 40 to the left, and 2 either way of it are 8.
    #[test]
    fn bars_are_as_long_as_they_say() {
        assert!(share_of_one(0.25).into_string().contains("width=\"50\""));
        let left = amount_either_way(-10.0, 2.0, 20.0).into_string();
        assert!(left.contains("x=\"-40\"") && left.contains("width=\"40\""), "{left}");
        assert!(left.contains("M-48 5H-32"), "{left}");
        assert!(amount_either_way(1.0, 2.0, 20.0).into_string().contains("#fff"));
        assert!(amount_either_way(0.0, 0.0, 0.0).into_string().contains("width=\"0\""));
    }
}
