//! Cumulative sums: deviations from a target, added up until they are too large
//! for chance.

/// The tabular cumulative sum: E. S. Page, Biometrika 41 (1954), in the form of the
/// NIST/SEMATECH e-Handbook 6.3.2.3. Everything is in the unit of the numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cusum {
    /// What the numbers should be.
    pub target: f64,
    /// k: deviations up to this are ignored. Usually half the shift to be found.
    pub slack: f64,
    /// h: a sum over this is a signal.
    pub decide: f64,
    /// Where both sums start. Half of `decide` finds what is off from the beginning
    /// sooner: J. M. Lucas and R. B. Crosier, Technometrics 24 (1982), 199-205.
    pub head_start: f64,
}

/// A side of a target or of a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// Above it.
    High,
    /// Below it.
    Low,
}

/// Both sums after each number, and for how many numbers each has been above zero.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sums {
    /// The sum for shifts up, after each number.
    pub high: Vec<f64>,
    /// The sum for shifts down, after each number.
    pub low: Vec<f64>,
    /// For how many numbers `high` has been above zero.
    pub high_for: Vec<usize>,
    /// For how many numbers `low` has been above zero.
    pub low_for: Vec<usize>,
    /// Which sum is above `decide`, and at which number, from 1.
    pub signals: Vec<(Side, usize)>,
}

impl Sums {
    /// The numbers with a signal on either side, each once, in order.
    pub fn at(&self) -> Vec<usize> {
        let mut at: Vec<usize> = self.signals.iter().map(|(_, at)| *at).collect();
        at.dedup();
        at
    }
}

impl Cusum {
    /// high_i = max(0, high_{i-1} + x_i - target - k),
    /// low_i = max(0, low_{i-1} + target - k - x_i); a signal is a sum over h.
    pub fn sums(&self, values: &[f64]) -> Sums {
        let mut sums = Sums::default();
        let (mut high, mut low) = (self.head_start, self.head_start);
        let (mut high_for, mut low_for) = (0, 0);
        for (i, value) in values.iter().enumerate() {
            let off = value - self.target;
            high = (high + off - self.slack).max(0.0);
            low = (low - off - self.slack).max(0.0);
            high_for = if high > 0.0 { high_for + 1 } else { 0 };
            low_for = if low > 0.0 { low_for + 1 } else { 0 };
            for (side, sum) in [(Side::High, high), (Side::Low, low)] {
                if sum > self.decide {
                    sums.signals.push((side, i + 1));
                }
            }
            sums.high.push(high);
            sums.low.push(low);
            sums.high_for.push(high_for);
            sums.low_for.push(low_for);
        }
        sums
    }

    /// The estimated new mean at a number, from 1, whose sum has been above zero for N
    /// numbers: target +- (k + sum/N). D. C. Montgomery, Introduction to Statistical Quality
    /// Control, chapter on cumulative sums. A head start that is still in the sum was not
    /// measured and is taken out. `None` when the sum is at zero.
    pub fn moved_to(&self, side: Side, sums: &Sums, at: usize) -> Option<f64> {
        let (all, lasted) = match side {
            Side::High => (&sums.high, &sums.high_for),
            Side::Low => (&sums.low, &sums.low_for),
        };
        let place = at.checked_sub(1)?;
        let (sum, lasted) = (*all.get(place)?, *lasted.get(place)?);
        let ahead = if lasted == at { self.head_start } else { 0.0 };
        let by = (lasted > 0).then(|| self.slack + (sum - ahead) / lasted as f64)?;
        Some(match side {
            Side::High => self.target + by,
            Side::Low => self.target - by,
        })
    }
}
