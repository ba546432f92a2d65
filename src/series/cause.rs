//! What can be said of a row of misses in cut order: its likely cause, how strong the
//! evidence is, and how far it can be relied on.

/// What makes a row of misses look as it does. Sizes are in the unit of the
/// misses; places count from 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cause {
    /// Nothing beyond the usual error of a setting and a gauge.
    Steady {
        /// The mean miss.
        level: f64,
    },
    /// Every piece is off by the same amount.
    SetWrong {
        /// The mean miss.
        by: f64,
    },
    /// A little more from piece to piece.
    Crept {
        /// The change from the first piece to the last.
        by: f64,
        /// The fitted miss of the first piece.
        start: f64,
    },
    /// One level up to a place, another after it.
    Moved {
        /// The last place on the first level.
        after: usize,
        /// The mean miss up to that place.
        before_level: f64,
        /// The mean miss after it.
        after_level: f64,
    },
    /// One piece apart from all others.
    Slip {
        /// Its place.
        at: usize,
        /// Its miss, less the mean of the others.
        by: f64,
        /// The mean miss of the others.
        level: f64,
    },
    /// A few pieces here and there apart from the others, all one way.
    Apart {
        /// How many they are.
        count: usize,
        /// Their mean, less the mean of the others.
        by: f64,
        /// The mean miss of the others.
        level: f64,
    },
    /// The pieces of one subset apart from the rest.
    Subset {
        /// Its index in the list given to [`diagnose`](crate::series::diagnose).
        subset: usize,
        /// Its mean, less the mean of the rest.
        by: f64,
        /// The mean miss of the rest.
        level: f64,
    },
    /// Fast at first, then hardly.
    WoreIn {
        /// The change from the first piece to the last.
        by: f64,
        /// The fitted miss of the first piece.
        start: f64,
    },
    /// A little more from piece to piece, and back, again and again.
    SawTooth {
        /// The change from one cleaning to the next.
        by: f64,
        /// How many pieces there are from one to the next.
        every: usize,
    },
    /// One level all the way, but more scatter from a place on.
    Loosened {
        /// The last place with the usual scatter.
        after: usize,
        /// How many times as much they scatter from there on.
        times: f64,
    },
    /// Spread wider than the limits allow, without order.
    Scattered {
        /// The standard deviation of the row.
        sd: f64,
    },
}

impl Cause {
    /// Whether two causes are of one kind, whatever their sizes.
    pub fn is_like(&self, other: &Cause) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}

/// What one reading and the limits allow, in the unit of the row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RowLimits {
    /// Expanded uncertainty (k = 2) of one reading.
    pub uncertainty: f64,
    /// The width between the limits; `None` where there is only one limit.
    pub band: Option<f64>,
    /// How close this shop sets its scales, as its other rows show.
    pub settings: f64,
}

impl RowLimits {
    /// No shop sets closer than its gauge reads, or than an eighth of the band.
    pub fn harmless(&self) -> f64 {
        self.band.map_or(self.uncertainty, |band| self.uncertainty.max(band / 8.0))
    }
}

/// The next best cause.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunnerUp {
    /// Which cause it is.
    pub cause: Cause,
    /// How far its evidence is below that of the reported cause, or below the
    /// threshold where no cause is reported.
    pub behind: f64,
}

/// A reading that lies far off, whatever the rest of its row looks like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoneReading {
    /// Its place.
    pub at: usize,
    /// Its miss, less what is expected at its place.
    pub by: f64,
}

/// The likely cause of a row, and the evidence for it.
#[derive(Clone, Debug, PartialEq)]
pub enum Diagnosis {
    /// Too few readings to tell any cause.
    TooFew {
        /// How many there are.
        have: usize,
        /// How many it takes.
        need: usize,
    },
    /// The cause that fits best.
    Found {
        /// Which cause it is.
        cause: Cause,
        /// The readings that lie far off, the farthest first; a slip is the first of them.
        lone: Vec<LoneReading>,
        /// The evidence over "nothing happened", a difference of two values of
        /// the criterion; zero where nothing happened.
        strength: f64,
        /// The evidence from which a cause is reported.
        threshold: f64,
        /// The next best cause, where there is one.
        runner_up: Option<RunnerUp>,
    },
}

/// How far a diagnosis can be relied on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Certainty {
    /// No other cause comes near.
    Clear,
    /// The best cause, but another fits about as well.
    Likely,
    /// Too few readings, or too little evidence for any cause.
    CannotTell,
}

impl Certainty {
    /// The words people see: `clear`, `likely`, `can't tell`.
    pub fn name(self) -> &'static str {
        match self {
            Certainty::Clear => "clear",
            Certainty::Likely => "likely",
            Certainty::CannotTell => "can't tell",
        }
    }
}

impl Diagnosis {
    /// The likely cause; `None` where there are too few readings.
    pub fn cause(&self) -> Option<&Cause> {
        match self {
            Diagnosis::TooFew { .. } => None,
            Diagnosis::Found { cause, .. } => Some(cause),
        }
    }

    /// The readings that lie far off, the farthest first.
    pub fn lone(&self) -> &[LoneReading] {
        match self {
            Diagnosis::TooFew { .. } => &[],
            Diagnosis::Found { lone, .. } => lone,
        }
    }

    /// Whether something happened.
    pub fn happened(&self) -> bool {
        self.cause().is_some_and(|cause| !matches!(cause, Cause::Steady { .. }))
    }

    /// How certain the cause is. Evidence within [`WEAK_EVIDENCE`] of another cause's
    /// makes neither better. "Nothing happened" can't be told from a cause
    /// whose own evidence is more than weak and still below the threshold.
    pub fn certainty(&self) -> Certainty {
        let Diagnosis::Found { cause, threshold, runner_up, .. } = self else {
            return Certainty::CannotTell;
        };
        match (cause, runner_up) {
            (_, None) => Certainty::Clear,
            (Cause::Steady { .. }, Some(other)) if threshold - other.behind > WEAK_EVIDENCE => {
                Certainty::CannotTell
            }
            (Cause::Steady { .. }, Some(_)) => Certainty::Likely,
            (_, Some(other)) if other.behind < WEAK_EVIDENCE => Certainty::Likely,
            _ => Certainty::Clear,
        }
    }
}

/// A row of fewer readings says nothing about order.
pub const FEWEST_READINGS: usize = 4;
/// Evidence by which one cause must lead another to be better: Raftery's weak.
pub const WEAK_EVIDENCE: f64 = 2.0;
