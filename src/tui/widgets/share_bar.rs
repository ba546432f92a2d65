//! A share of a deviation as a bar left or right of zero.

use crate::measure::Length;
use crate::tui::theme::Theme;

/// A bar of at most `half` cells on either side of the line at zero: left for
/// less, right for more; `most` fills it. A share no bigger than its uncertainty
/// is drawn faint, because it may be zero.
pub(crate) fn share_bar(
    amount: Length,
    uncertainty: Length,
    most: Length,
    half: u16,
    theme: Theme,
) -> String {
    let glyphs = theme.glyphs();
    let half = usize::from(half);
    let share = if most.is_zero() { 0.0 } else { amount.abs().ratio(most.abs()).min(1.0) };
    let cells = (share * half as f64).round() as usize;
    let sign = if amount.abs() > uncertainty { glyphs.block } else { glyphs.wood };
    let (bar, rest) = (sign.repeat(cells), " ".repeat(half - cells));
    let middle = glyphs.vertical;
    if amount.is_negative() {
        format!("{rest}{bar}{middle}{}", " ".repeat(half))
    } else {
        format!("{}{middle}{bar}{rest}", " ".repeat(half))
    }
}

#[cfg(test)]
mod tests {
    use super::super::prose::width;
    use super::super::trial::{ASCII, BLOCKS};
    use super::*;

    fn th(thousandths: i64) -> Length {
        Length::thousandths(thousandths)
    }

    #[test]
    fn less_goes_left_and_more_goes_right() {
        let bar = |amount, uncertainty| share_bar(th(amount), th(uncertainty), th(32), 8, ASCII);
        assert_eq!(bar(32, 3), "        |########");
        assert_eq!(bar(-16, 3), "    ####|        ");
        assert_eq!(bar(8, 12), "        |..      ");
        assert_eq!(bar(0, 3), "        |        ");
    }

    /// Always: Every widget draws at every size.
    #[test]
    fn draws_anywhere() {
        for theme in [ASCII, BLOCKS] {
            for half in 0..40 {
                for amount in [-99, -1, 0, 1, 99] {
                    for most in [0, 1, 50] {
                        let bar = share_bar(th(amount), th(1), th(most), half, theme);
                        assert_eq!(width(&bar), 2 * half + 1);
                    }
                }
            }
        }
    }
}
