//! Which boards to cut and how, so that as much as possible is made from as
//! little wood as possible. Knows nothing of places on a board: a cutting is
//! only so many blanks of each kind, and what the board costs.

use super::pattern::{Bed, Blank, Cutting};

/// What is wanted of one need.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Want {
    /// Blanks for sets and spares.
    pub good: u32,
    /// Blanks to prove settings on; good ones do as well.
    pub proving: u32,
}

/// A board that may be cut.
#[derive(Clone, Debug)]
pub(super) struct Stock {
    /// Which of the boards.
    pub board: usize,
    pub bed: Bed,
    /// In billionths of a board foot; nothing where it is opened already.
    pub cost: i64,
}

/// What is still to be made while boards are taken one after the other.
#[derive(Clone, Debug)]
pub(super) struct Open {
    wants: Vec<Want>,
}

impl Open {
    fn take(&mut self, blank: &Blank) -> bool {
        let want = &mut self.wants[blank.need];
        let from = match blank.proving {
            false if want.good > 0 => &mut want.good,
            _ => &mut want.proving,
        };
        let some = *from > 0;
        *from = from.saturating_sub(1);
        some
    }

    fn wants(&self, blank: &Blank) -> u32 {
        let want = self.wants[blank.need];
        want.proving + if blank.proving { 0 } else { want.good }
    }
}

/// Boards in the order they were given, each with how it is cut.
pub(super) fn choose(stock: &[Stock], blanks: &[Blank], wants: &[Want]) -> Vec<(usize, Cutting)> {
    greedy(stock, blanks, wants)
}

/// Board after board, always the one most of which becomes blanks.
fn greedy(stock: &[Stock], blanks: &[Blank], wants: &[Want]) -> Vec<(usize, Cutting)> {
    let mut open = Open { wants: wants.to_vec() };
    let mut chosen: Vec<(usize, Cutting)> = Vec::new();
    // Thousandths of a millimetre are fine enough to tell areas apart.
    let area: Vec<i64> = blanks.iter().map(|b| (b.length / 1000) * (b.width / 1000)).collect();
    loop {
        let price: Vec<i64> = blanks
            .iter()
            .zip(&area)
            .map(|(blank, area)| if open.wants(blank) > 0 { *area } else { 0 })
            .collect();
        let mut best: Option<(f64, usize, Cutting)> = None;
        for (index, stock) in stock.iter().enumerate() {
            if chosen.iter().any(|(taken, _)| *taken == index) {
                continue;
            }
            let (_, mut cutting) = stock.bed.dearest(&price);
            let mut left = open.clone();
            cutting.only(|kind| left.take(&blanks[kind]));
            let worth: f64 = cutting
                .counts(blanks.len())
                .iter()
                .zip(&area)
                .map(|(count, area)| f64::from(*count) * *area as f64)
                .sum();
            let worth = worth / (stock.cost.max(1) as f64);
            if worth > 0.0 && best.as_ref().is_none_or(|(known, ..)| *known < worth) {
                best = Some((worth, index, cutting));
            }
        }
        let Some((_, index, cutting)) = best else { break };
        let counts = cutting.counts(blanks.len());
        for (blank, count) in blanks.iter().zip(counts) {
            for _ in 0..count {
                open.take(blank);
            }
        }
        chosen.push((index, cutting));
    }
    chosen.sort_by_key(|(index, _)| *index);
    chosen
}
