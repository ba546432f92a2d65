//! Where to look when a row of pieces shows what went wrong. Each kind may give
//! its own advice; these are the sentences of every other kind.

/// What a row of readings shows, as far as the operation decides where to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowFault {
    /// Every piece is off by the same amount.
    SetWrong,
    /// The size drifts from piece to piece.
    Crept,
    /// The size jumps between two pieces and stays there.
    Moved,
    /// One piece is off by itself.
    Slip,
}

impl RowFault {
    /// Advice for a cut against a stop or fence.
    pub(super) const fn at_a_stop(self) -> &'static str {
        match self {
            RowFault::SetWrong => {
                "Check this tool's scale offset on a setup piece, or whether the scale was read wrong."
            }
            RowFault::Crept => {
                "Look for a lock that gives, or dust at the stop: wipe it each time and measure every fifth piece."
            }
            RowFault::Moved => {
                "Something was bumped or reset between the two: find it, and check every later piece."
            }
            RowFault::Slip => "Look at that piece: was it off the stop, on a chip, or read wrong?",
        }
    }

    /// Advice for a machine that takes pieces down height by height.
    pub(super) const fn in_passes(self) -> &'static str {
        match self {
            RowFault::SetWrong => {
                "Check this tool's scale offset and the last step taken on a setup piece."
            }
            RowFault::Slip => {
                "Look at that piece: was it on a chip, did it miss a pass, or was it read wrong?"
            }
            RowFault::Crept | RowFault::Moved => self.at_a_stop(),
        }
    }

    /// Advice for a machine that takes pieces down with a belt.
    pub(super) const fn with_a_belt(self) -> &'static str {
        match self {
            RowFault::Crept => {
                "Look for a belt that wears or fills, or wood that warms: measure every fifth piece."
            }
            RowFault::Moved => {
                "Was the belt changed or the height reset between the two? Check that, and every later piece."
            }
            RowFault::SetWrong | RowFault::Slip => self.in_passes(),
        }
    }
}
