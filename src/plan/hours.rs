//! How long an operation takes at the feed rate, and whether it finishes before
//! the bell. The caller gives the time left.
//!
//! `pieces x feeds x (length + gap) / feed` (common practice). Setting,
//! measuring and changing belts are extra.

use std::time::Duration;

use crate::measure::Length;
use crate::operation::Pass;

/// The gap people leave between two pieces (common practice, no source).
pub const GAP: Length = Length::from_nanometres(4 * Length::INCH.nanometres());

/// Work must finish this long before the bell, to leave time to clean up.
pub const BEFORE_THE_BELL: Duration = Duration::from_secs(15 * 60);

/// How much of an operation finishes before the bell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Through {
    /// All of it.
    Fits,
    /// The passes up to this one, after which opposite faces of every piece
    /// have been worked alike.
    LastSafeStop(u32),
    /// Not even the first such pass.
    No,
}

/// How long it takes to feed all pieces through once; `None` when the feed rate
/// is zero, or a length is negative.
pub fn feed_through(
    pieces: usize,
    length: Length,
    gap: Length,
    feed_per_minute: Length,
) -> Option<Duration> {
    let way = length + gap;
    if feed_per_minute <= Length::ZERO || way.is_negative() {
        return None;
    }
    let minutes = pieces as f64 * way.ratio(feed_per_minute);
    Duration::try_from_secs_f64(minutes * 60.0).ok()
}

/// How long all passes take, when feeding every piece through once takes `once`.
pub fn through_all(passes: &[Pass], once: Duration) -> Duration {
    once.saturating_mul(passes.iter().map(|pass| pass.feeds).fold(0, u32::saturating_add))
}

/// How many minutes must be left until the bell to begin, rounded up.
pub fn minutes_to_begin(passes: &[Pass], once: Duration) -> u64 {
    let needed = through_all(passes, once).saturating_add(BEFORE_THE_BELL);
    needed.as_millis().div_ceil(60_000).try_into().unwrap_or(u64::MAX)
}

/// Whether the passes ahead finish fifteen minutes before the bell; if not, after
/// which of them the work may stop until another day. The faces worked in the
/// passes already done count too.
pub fn by_the_bell(
    done: &[Pass],
    ahead: &[Pass],
    once: Duration,
    to_the_bell: Duration,
) -> Through {
    let Some(usable) = to_the_bell.checked_sub(BEFORE_THE_BELL) else { return Through::No };
    if through_all(ahead, once) <= usable {
        return Through::Fits;
    }
    (1..ahead.len())
        .rev()
        .map(|count| &ahead[..count])
        .filter(|next| {
            opposite_faces_alike(done, next, &[done, ahead]) && through_all(next, once) <= usable
        })
        .find_map(<[Pass]>::last)
        .map_or(Through::No, |last| Through::LastSafeStop(last.number))
}

/// Whether A has been worked as often as C, and B as often as D: stopping in
/// between leaves one fresh face, and the pieces warp. Where no pass turns both faces
/// of a pair up, as above two jointed faces, the faces that are worked are alike.
fn opposite_faces_alike(done: &[Pass], next: &[Pass], all: &[&[Pass]]) -> bool {
    let is_worked = |face: &str| all.iter().copied().flatten().any(|p| p.faces.contains(&face));
    let times = |face: &str| {
        let worked = done.iter().chain(next).flat_map(|pass| &pass.faces);
        worked.filter(|worked| **worked == face).count()
    };
    let pairs = [("A", "C"), ("B", "D")];
    if pairs.iter().any(|(one, other)| is_worked(one) && is_worked(other)) {
        return pairs.iter().all(|(one, other)| times(one) == times(other));
    }
    let mut worked = ["A", "B", "C", "D"].into_iter().filter(|face| is_worked(face)).map(times);
    let first = worked.next();
    worked.all(|times| Some(times) == first)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::measure::{Dial, Readout, Shows, Target, Unit};

    fn pass(number: u32, faces: &[&'static str]) -> Pass {
        Pass {
            number,
            tool: None,
            readout: Readout {
                unit: Unit::Inch,
                step: Length::thousandths(1),
                shows: Shows::Decimal,
            },
            target: Target(Length::INCH),
            dial: Dial(Length::INCH),
            faces: faces.to_vec(),
            feeds: faces.len() as u32,
            presses: None,
            kiss: false,
            drawing: None,
            beyond: Length::ZERO,
        }
    }

    /// A square section at `heights` heights: A, B and C, D in turn.
    fn turning(heights: u32) -> Vec<Pass> {
        let faces = |n: u32| if n % 2 == 1 { ["A", "B"] } else { ["C", "D"] };
        (1..=heights).map(|number| pass(number, &faces(number))).collect()
    }

    fn feet(feet: i64) -> Length {
        Length::INCH * 12 * feet
    }

    fn minutes(minutes: f64) -> Duration {
        Duration::from_secs_f64(minutes * 60.0)
    }

    /// 26 x (20 + 4) = 624 in, over 16 x 12 = 192 in a minute: 3.25 minutes.
    /// Eight feeds are 26 and eighteen 58.5; with fifteen to clean up, 41 and
    /// 73.5, which is 74 whole ones.
    #[test]
    fn twenty_six_legs_at_sixteen_feet() {
        let once = feed_through(26, Length::INCH * 20, GAP, feet(16)).unwrap();
        assert_eq!(once, minutes(3.25));
        assert_eq!(through_all(&turning(4), once), minutes(26.0));
        assert_eq!(minutes_to_begin(&turning(4), once), 41);
        assert_eq!(through_all(&turning(9), once), minutes(58.5));
        assert_eq!(minutes_to_begin(&turning(9), once), 74);
        assert_eq!(by_the_bell(&[], &turning(4), once, minutes(41.0)), Through::Fits);
        assert_eq!(by_the_bell(&[], &turning(4), once, minutes(40.9)), Through::LastSafeStop(2));
    }

    /// 15 x 12 = 180 in a minute. With 4 in between: 24 x 33 1/4 = 798 in,
    /// 4.433 minutes. The 4.7 minutes sometimes quoted, 37.6 for eight feeds,
    /// leave 6 in: 24 x 35 1/4 = 846 in.
    #[test]
    fn twenty_four_legs_at_fifteen_feet() {
        let leg = Length::INCH * 29 + Length::INCH / 4;
        let close = feed_through(24, leg, GAP, feet(15)).unwrap();
        assert_eq!(close, Duration::from_secs(266));
        let apart = feed_through(24, leg, Length::INCH * 6, feet(15)).unwrap();
        assert_eq!(apart, minutes(4.7));
        assert_eq!(through_all(&turning(4), apart), minutes(37.6));
        // 34 - 15 = 19 minutes hold two heights, 4 x 4.7 = 18.8, and all four
        // faces are alike; 33 - 15 = 18 hold only A and B.
        assert_eq!(by_the_bell(&[], &turning(4), apart, minutes(34.0)), Through::LastSafeStop(2));
        assert_eq!(by_the_bell(&[], &turning(4), apart, minutes(33.0)), Through::No);
    }

    /// Of four heights one is done, so A and B are one cut ahead. At 4.7 minutes a
    /// feed 25 - 15 = 10 minutes hold one more height, 9.4: it cuts C and D, and all
    /// four faces are alike. Two more, 18.8, would put A and B ahead again.
    #[test]
    fn faces_already_worked_count() {
        let passes = turning(4);
        let (done, ahead) = passes.split_at(1);
        let of = |left: f64| by_the_bell(done, ahead, minutes(4.7), minutes(left));
        assert_eq!(of(24.3), Through::No);
        assert_eq!(of(24.4), Through::LastSafeStop(2));
        assert_eq!(of(34.0), Through::LastSafeStop(2));
        // 6 x 4.7 = 28.2, and 15.
        assert_eq!(of(43.1), Through::LastSafeStop(2));
        assert_eq!(of(43.2), Through::Fits);
    }

    /// One face a pass: a stop is safe only once both pairs are alike. After A and
    /// C, or B and D alone, the other pair is.
    #[test]
    fn both_pairs_of_faces_must_be_alike() {
        let stops = |faces: [&'static str; 5]| {
            let passes: Vec<Pass> =
                faces.iter().zip(1..).map(|(face, number)| pass(number, &[face])).collect();
            // Four passes of one minute, but not the fifth.
            by_the_bell(&[], &passes, minutes(1.0), minutes(19.0))
        };
        assert_eq!(stops(["A", "B", "C", "D", "A"]), Through::LastSafeStop(4));
        assert_eq!(stops(["A", "C", "A", "B", "C"]), Through::LastSafeStop(2));
        assert_eq!(stops(["B", "D", "D", "A", "C"]), Through::LastSafeStop(2));
        // A as often as C, never B as often as D, and the other way round.
        assert_eq!(stops(["B", "A", "C", "A", "C"]), Through::No);
        assert_eq!(stops(["A", "B", "D", "B", "D"]), Through::No);
    }

    /// Two faces are jointed, and the other two are planed: no stop was ever safe, for
    /// the jointed ones were worked less. Of three heights at 2 minutes, 4 feeds make
    /// 8 of 24 - 15 = 9: after the second C and D are alike.
    #[test]
    fn two_faces_planed_above_two_jointed_are_alike_by_themselves() {
        let height = |faces: &[&'static str], n| pass(n, faces);
        let both: Vec<Pass> = (1..=3).map(|n| height(&["C", "D"], n)).collect();
        let left = minutes(24.0);
        assert_eq!(by_the_bell(&[], &both, minutes(2.0), left), Through::LastSafeStop(2));
        // One face a height: only after C and D.
        let apart: Vec<Pass> =
            ["C", "D", "C", "D"].iter().zip(1..).map(|(face, n)| height(&[face], n)).collect();
        let stop = |left: f64| by_the_bell(&[], &apart, minutes(3.0), minutes(left));
        assert_eq!(
            [stop(26.0), stop(21.0), stop(20.0)].map(|stop| stop == Through::LastSafeStop(2)),
            [true, true, false]
        );
    }

    #[test]
    fn a_bell_too_near_and_a_feed_that_stands() {
        assert_eq!(by_the_bell(&[], &turning(2), minutes(1.0), minutes(14.0)), Through::No);
        assert_eq!(by_the_bell(&[], &[], minutes(1.0), minutes(15.0)), Through::Fits);
        assert_eq!(feed_through(3, Length::INCH, GAP, Length::ZERO), None);
        assert_eq!(feed_through(3, -Length::INCH * 9, GAP, feet(1)), None);
        assert_eq!(feed_through(0, Length::INCH, GAP, feet(1)), Some(Duration::ZERO));
    }

    proptest! {
        /// Up to the stop all passes finish in time and both faces of every
        /// pair are worked alike; the next possible stop is too late.
        #[test]
        fn the_last_stop_is_in_time_and_even(heights in 1u32..12, once in 1u64..900, left in 0u64..9000) {
            let passes = turning(heights);
            let (once, left) = (Duration::from_secs(once), Duration::from_secs(left));
            let in_time = |count: u32| {
                through_all(&passes[..count as usize], once) + BEFORE_THE_BELL <= left
            };
            match by_the_bell(&[], &passes, once, left) {
                Through::Fits => prop_assert!(in_time(heights)),
                Through::LastSafeStop(stop) => {
                    prop_assert!(stop % 2 == 0 && stop < heights && in_time(stop));
                    prop_assert!(!in_time((stop + 2).min(heights)));
                }
                Through::No => prop_assert!(!in_time(heights.min(2))),
            }
        }
    }
}
