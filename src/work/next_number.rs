//! Unmeasured pieces, and the number that is asked for after them: whoever types it
//! has cut them, so nobody says so first.

use super::sequence::{Sequence, ids};
use super::task::{NextNumber, ReadReason, Task};
use crate::journal::{Piece, PieceId};
use crate::measure::{Entry, Length};

impl<'a> Sequence<'a> {
    /// The pieces that are cut before the next one is measured.
    pub(super) fn cut(&self, group: usize, next: &'a Piece) -> Task {
        let mut run = Vec::new();
        let mut then = None;
        let checks = !self.planned.checks.is_empty();
        // Each hand is a stack of its own, where it has more than one piece.
        let has_several = |hand: &String| {
            let own = |piece: &&Piece| piece.label.hand.as_ref() == Some(hand);
            self.order.in_work().filter(own).nth(1).is_some()
        };
        let is_handed = self.context.hands().iter().any(has_several);
        let open = self.open().filter(|piece| self.is_in(group, piece));
        for piece in open.skip_while(|piece| piece.place != next.place) {
            if piece.place != next.place {
                // Before a first piece has proved the setting, one piece at a time.
                let is_alone = checks && !self.proven();
                let is_other_hand = is_handed && piece.label.hand != next.label.hand;
                if is_alone || is_other_hand {
                    break;
                }
                match self.reading_task(piece) {
                    Some(Task::Read { piece, check, why }) => {
                        then = Some((piece, check, why));
                        break;
                    }
                    Some(_) => break,
                    None if self.settled(piece) => continue,
                    None => {}
                }
            }
            run.push(piece);
        }
        let then = then
            .and_then(|(piece, check, why)| self.number_of(piece, check, why, (run.len(), None)));
        Task::Cut { pieces: ids(&run), then }
    }

    /// A reading as the next number, unless it could be taken for a count of pieces:
    /// so many are done, and the piece that is read goes through a pass alone.
    pub(super) fn number_of(
        &self,
        piece: PieceId,
        check: usize,
        why: ReadReason,
        (counted, through): (usize, Option<u32>),
    ) -> Option<NextNumber> {
        let entry = self.context.gauge(self.planned.checks.get(check)?)?.entry()?;
        // What has no target, such as a gap, is small and typed with its decimals.
        let target = self.context.limits(&piece, check)?.target.unwrap_or_default();
        (!could_be_a_count(target, entry, counted)).then_some(NextNumber::Read {
            piece,
            check,
            why,
            through,
        })
    }
}

/// Whether a size, typed without its decimals, reads like a count of so many pieces.
pub(super) fn could_be_a_count(size: Length, entry: Entry, pieces: usize) -> bool {
    let figure = size.in_unit(entry.bare);
    let whole = figure.round();
    (figure - whole).abs() < 0.05 && (1.0..=pieces as f64).contains(&whole)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Unit;

    /// By hand: nobody types 1.290 or 20 in for a count of nine pieces; 3 mm and
    /// 1.000 in are typed as 3 and 1.
    #[test]
    fn a_size_near_a_small_whole_number_could_be_a_count() {
        let inches = Entry { bare: Unit::Inch, mark: None };
        let millimetres = Entry { bare: Unit::Millimetre, mark: None };
        assert!(!could_be_a_count(Length::thousandths(1290), inches, 9));
        assert!(!could_be_a_count(Length::INCH * 20, inches, 9));
        assert!(could_be_a_count(Length::INCH * 20, inches, 20));
        assert!(could_be_a_count(Length::thousandths(1004), inches, 9));
        assert!(could_be_a_count(Length::MILLIMETRE * 3, millimetres, 9));
        assert!(!could_be_a_count(Length::MILLIMETRE * 3, millimetres, 2));
    }
}
