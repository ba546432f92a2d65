//! How much of the wood bought becomes parts, so that the next batch buys enough and
//! no more.

use std::collections::BTreeMap;

use super::{
    Evidence, FEWEST, Figure, File, FileChange, Lesson, LessonSubject, ReviewedBatch, Topic,
    counted,
};
use crate::review::{WoodAccount, wood_used};
use crate::shop::Shop;

/// The share of wood that became parts, over several boards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct YieldShare {
    /// The share, 0 to 1.
    pub of: f64,
    /// Its expanded uncertainty (k = 2).
    pub uncertainty: f64,
}

/// The share of the wood used that became parts, from (parts, used) of each board;
/// `None` under three boards. The uncertainty is that of a ratio estimate, in which
/// bigger boards weigh more (Cochran, Sampling Techniques; from memory).
pub fn share(boards: &[(f64, f64)]) -> Option<YieldShare> {
    let (parts, used) =
        boards.iter().fold((0.0, 0.0), |(parts, used), board| (parts + board.0, used + board.1));
    if boards.len() < FEWEST || used <= 0.0 {
        return None;
    }
    let of = parts / used;
    let n = boards.len() as f64;
    let squares: f64 = boards.iter().map(|(parts, used)| (parts - of * used).powi(2)).sum();
    Some(YieldShare { of, uncertainty: 2.0 * (squares * n / (n - 1.0)).sqrt() / used })
}

/// One lesson for each wood, from the batches that are finished.
pub(super) fn lessons(batches: &[ReviewedBatch<'_>], shop: &Shop) -> Vec<Lesson> {
    let mut boards: BTreeMap<String, Vec<(f64, f64)>> = BTreeMap::new();
    for batch in batches {
        let journal = batch.journal;
        for own in wood_used(journal.route, journal.shop, &batch.plan, journal.state) {
            if own.all.yields().is_none() {
                continue;
            }
            let cut_into = own.boards.iter().filter(|(_, account)| account.is_cut_into());
            let amounts = cut_into.map(|(_, account)| amounts(account));
            boards.entry(own.species.clone()).or_default().extend(amounts);
        }
    }
    let lesson = |(species, boards): (String, Vec<(f64, f64)>)| {
        let found = share(&boards)?;
        let known = shop.lumber.yield_of(&species).share();
        let hundredths = (found.of * 100.0).round() as u32;
        let beyond = (found.of - known).abs() > found.uncertainty && hundredths > 0;
        let mut says = format!("{hundredths} % of the {species} used became parts");
        says.push_str(&if beyond {
            format!("; the shop file plans with {:.0} %.", known * 100.0)
        } else {
            format!("; the shop file plans with {:.0} %, which agrees.", known * 100.0)
        });
        let path = ["lumber", "woods", species.as_str(), "yield"];
        let change = beyond.then(|| FileChange::of(File::Shop, &path, Figure::Share(hundredths)));
        Some(Lesson {
            topic: Topic::Yield,
            subject: LessonSubject::Shop,
            says,
            evidence: Evidence {
                unit: shop.unit,
                count: 0,
                of: "board",
                batches: 0,
                range: None,
                uncertainty: None,
                more: Some(format!(
                    "{}; uncertainty {:.0} %",
                    counted(boards.len(), "board"),
                    found.uncertainty * 100.0
                )),
            },
            about: species,
            change,
        })
    };
    boards.into_iter().filter_map(lesson).collect()
}

fn amounts(account: &WoodAccount) -> (f64, f64) {
    (account.parts.square_feet(), account.used().square_feet())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Trade example: 61.35 of 112.5 less 2.95 kept is 0.56.
    #[test]
    fn what_to_buy_with_next_time() {
        let thirds = (61.35 / 3.0, (112.5 - 2.95) / 3.0);
        let found = share(&[thirds; 3]).unwrap();
        assert!((found.of - 0.56).abs() < 0.0005, "{found:?}");
        assert!(found.uncertainty < 1e-9, "boards that are alike leave no uncertainty");
        assert_eq!(share(&[thirds; 2]), None);
    }

    /// By hand: 5, 6 and 7 of 10 each are 0.6; they miss it by 1, 0 and 1, so
    /// the uncertainty is 2 x sqrt(2 x 3/2) / 30 = 0.1155.
    #[test]
    fn boards_that_differ_leave_an_uncertainty() {
        let found = share(&[(5.0, 10.0), (6.0, 10.0), (7.0, 10.0)]).unwrap();
        assert!(
            (found.of - 0.6).abs() < 1e-9 && (found.uncertainty - 0.11547).abs() < 1e-4,
            "{found:?}"
        );
    }
}
