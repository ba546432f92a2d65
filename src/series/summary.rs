//! Mean, spread and median of some numbers, to all the digits that the numbers have.

use super::TooFew;

/// The usual figures of two or more numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    /// How many numbers there are.
    pub n: usize,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation, with the divisor n - 1.
    pub sd: f64,
    /// The least.
    pub least: f64,
    /// The median.
    pub median: f64,
    /// The greatest.
    pub greatest: f64,
}

impl Summary {
    /// From two numbers or more: one has no spread.
    pub fn of(values: &[f64]) -> Result<Summary, TooFew> {
        TooFew::check(values.len(), 2)?;
        let sorted = sorted(values);
        Ok(Summary {
            n: values.len(),
            mean: mean(values)?,
            sd: standard_deviation(values)?,
            least: sorted[0],
            median: quantile_of_sorted(&sorted, 0.5),
            greatest: sorted[sorted.len() - 1],
        })
    }
}

/// A sum that also adds up what each addition rounds off: A. Neumaier, "Rundungsfehleranalyse
/// einiger Verfahren zur Summation endlicher Summen", ZAMM 54 (1974).
pub(super) fn sum(values: impl IntoIterator<Item = f64>) -> f64 {
    let (mut total, mut dropped) = (0.0_f64, 0.0);
    for value in values {
        let next = total + value;
        dropped += if total.abs() >= value.abs() {
            (total - next) + value
        } else {
            (value - next) + total
        };
        total = next;
    }
    total + dropped
}

/// The mean, corrected once by the mean of the deviations from it.
pub fn mean(values: &[f64]) -> Result<f64, TooFew> {
    TooFew::check(values.len(), 1)?;
    let n = values.len() as f64;
    let first = sum(values.iter().copied()) / n;
    Ok(first + sum(values.iter().map(|value| value - first)) / n)
}

/// The sum of squares about a level, less what the level is off by: the corrected
/// two-pass form of Chan, Golub and LeVeque, The American Statistician 37 (1983), 242-247.
pub(super) fn squares_about(values: &[f64], level: f64) -> f64 {
    let squares = sum(values.iter().map(|value| (value - level).powi(2)));
    let off = sum(values.iter().map(|value| value - level));
    (squares - off * off / values.len() as f64).max(0.0)
}

/// s = sqrt(sum (x - mean)^2 / (n - 1)): NIST/SEMATECH e-Handbook 1.3.5.6.
pub fn standard_deviation(values: &[f64]) -> Result<f64, TooFew> {
    TooFew::check(values.len(), 2)?;
    let about = squares_about(values, mean(values)?);
    Ok((about / (values.len() - 1) as f64).sqrt())
}

/// r1 = sum (x_i - mean)(x_{i+1} - mean) / sum (x_i - mean)^2: e-Handbook 1.3.5.12.
/// Without dimension, -1 to 1. `None` when all numbers are the same.
pub fn lag_one(values: &[f64]) -> Result<Option<f64>, TooFew> {
    TooFew::check(values.len(), 2)?;
    let mean = mean(values)?;
    let products = sum(values.windows(2).map(|pair| (pair[0] - mean) * (pair[1] - mean)));
    let squares = squares_about(values, mean);
    Ok((squares > 0.0).then(|| products / squares))
}

fn sorted(values: &[f64]) -> Vec<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted
}

/// The value that a share of the numbers is below, interpolated between them:
/// definition 7 of Hyndman and Fan, The American Statistician 50 (1996), 361-365.
/// `share` is held within 0 and 1.
pub fn quantile(values: &[f64], share: f64) -> Result<f64, TooFew> {
    TooFew::check(values.len(), 1)?;
    Ok(quantile_of_sorted(&sorted(values), share))
}

fn quantile_of_sorted(sorted: &[f64], share: f64) -> f64 {
    let place = share.clamp(0.0, 1.0) * (sorted.len() - 1) as f64;
    let below = place.floor() as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (place - below as f64) * (sorted[above] - sorted[below])
}

/// The middle number, or the mean of the two in the middle.
pub fn median(values: &[f64]) -> Result<f64, TooFew> {
    quantile(values, 0.5)
}

/// median |x - median|, as it is: 1.4826 times it estimates sigma where the
/// numbers are normal. e-Handbook 1.3.5.6.
pub fn median_absolute_deviation(values: &[f64]) -> Result<f64, TooFew> {
    let middle = median(values)?;
    median(&values.iter().map(|value| (value - middle).abs()).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of 1, 2, 3 and 4 about 2.5: 1.5 x 0.5 - 0.5 x 0.5 + 0.5 x 1.5 = 1.25, of squares that
    /// sum to 5. Of numbers all alike nothing follows another.
    #[test]
    fn a_number_follows_the_one_before() {
        assert_eq!(lag_one(&[1.0, 2.0, 3.0, 4.0]), Ok(Some(0.25)));
        assert_eq!(lag_one(&[3.0; 4]), Ok(None));
        assert!(lag_one(&[3.0]).is_err());
    }

    /// Of 1, 2 and 3 about 1: 0 + 1 + 4 = 5, and they are 3 off it together, so
    /// 3 x 3 / 3 = 3 of that is the level's. 2 is left, as about their own mean.
    #[test]
    fn squares_about_a_level_leave_out_what_the_level_is_off_by() {
        assert_eq!(squares_about(&[1.0, 2.0, 3.0], 1.0), 2.0);
        assert_eq!(squares_about(&[1.0, 2.0, 3.0], 2.0), 2.0);
    }
}
