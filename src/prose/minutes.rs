//! Times as people say them.

/// Minutes as people say them: `45 min`, `12 h`, `2 days`.
pub fn long(minutes: u64) -> String {
    match minutes {
        0..120 => format!("{minutes} min"),
        120..2880 => format!("{} h", minutes.div_ceil(60)),
        _ => format!("{} days", minutes.div_ceil(1440)),
    }
}

#[cfg(test)]
mod tests {
    use super::long;

    /// A wait is never said shorter than it is.
    #[test]
    fn a_wait_is_said_in_minutes_hours_or_days() {
        for (minutes, said) in [
            (0, "0 min"),
            (119, "119 min"),
            (120, "2 h"),
            (121, "3 h"),
            (2_879, "48 h"),
            (2_880, "2 days"),
            (2_881, "3 days"),
        ] {
            assert_eq!(long(minutes), said);
        }
    }
}
