//! The factors that turn the range or the standard deviation of a small group into
//! limits.

/// The factors for groups of one size, with their usual names. Definitions:
/// NIST/SEMATECH e-Handbook 6.3.2.1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Constants {
    /// d2: mean of the range of n standard normal numbers.
    pub d2: f64,
    /// d3: standard deviation of that range.
    pub d3: f64,
    /// c4: mean of their standard deviation.
    pub c4: f64,
    /// A2: limits of means, from the mean range.
    pub a2: f64,
    /// A3: limits of means, from the mean standard deviation.
    pub a3: f64,
    /// D3: low limit of ranges, from their mean.
    pub big_d3: f64,
    /// D4: high limit of ranges, from their mean.
    pub big_d4: f64,
    /// B3: low limit of standard deviations, from their mean.
    pub b3: f64,
    /// B4: high limit of standard deviations, from their mean.
    pub b4: f64,
}

/// The largest group there are factors for.
pub const LARGEST_SUBGROUP: usize = 25;

/// d2 and d3 for n = 2 to 25. They are integrals of the distribution of the range (H. L.
/// Harter, Annals of Mathematical Statistics 31 (1960), 1122-1147); a test
/// integrates them again.
const RANGES: [(f64, f64); LARGEST_SUBGROUP - 1] = [
    (std::f64::consts::FRAC_2_SQRT_PI, 0.852502466),
    (1.692568751, 0.888368004),
    (2.058750746, 0.879808203),
    (2.325928947, 0.864081941),
    (2.534412721, 0.848039686),
    (2.704356751, 0.833205336),
    (2.847200612, 0.81983149),
    (2.970026324, 0.807834275),
    (3.077505462, 0.797050674),
    (3.172872704, 0.787314621),
    (3.25845528, 0.778478341),
    (3.335980354, 0.770416202),
    (3.406763108, 0.763023096),
    (3.47182689, 0.75621143),
    (3.531982786, 0.749908089),
    (3.587883962, 0.744051784),
    (3.640063758, 0.738590853),
    (3.688963023, 0.733481496),
    (3.73495012, 0.728686346),
    (3.77833583, 0.724173341),
    (3.819384643, 0.719914808),
    (3.858323423, 0.715886736),
    (3.895348148, 0.712068175),
    (3.93062922, 0.708440766),
];

/// The factors for groups of `n`, 2 to 25; the range of a larger group says little.
pub fn constants(n: usize) -> Option<Constants> {
    let &(d2, d3) = RANGES.get(n.checked_sub(2)?)?;
    let root = (n as f64).sqrt();
    let c4 = c4(n);
    let of_range = 3.0 * d3 / d2;
    let of_sd = 3.0 * (1.0 - c4 * c4).sqrt() / c4;
    Some(Constants {
        d2,
        d3,
        c4,
        a2: 3.0 / (d2 * root),
        a3: 3.0 / (c4 * root),
        big_d3: (1.0 - of_range).max(0.0),
        big_d4: 1.0 + of_range,
        b3: (1.0 - of_sd).max(0.0),
        b4: 1.0 + of_sd,
    })
}

/// c4 = sqrt(2/(n - 1)) gamma(n/2) / gamma((n - 1)/2). The gammas cancel between one
/// size and the next: c4(n) c4(n + 1) = sqrt((n - 1)/n), from c4(2) = sqrt(2/pi).
fn c4(n: usize) -> f64 {
    let two = (2.0 / std::f64::consts::PI).sqrt();
    (2..n).fold(two, |c4, n| ((n - 1) as f64 / n as f64).sqrt() / c4)
}
