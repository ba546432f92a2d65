//! What the lead of an invented batch decides about pieces out of limits.

use super::CannotInvent;
use super::operators::Operators;
use crate::journal::PieceId;
use crate::measure::Verdict;
use crate::route::Role;
use crate::work::{Remedy, Task, choices};

/// How often one remedy is tried before the lead accepts the piece.
const TRIES: u32 = 3;

impl Operators<'_> {
    /// Decides about a piece that is out of limits, or too close to call.
    pub(super) fn decide(
        &mut self,
        task: &Task,
        piece: &PieceId,
        check: usize,
        verdict: Verdict,
    ) -> Result<(), CannotInvent> {
        let op = self.station.op;
        let tries = self.tries.get(&(op, piece.clone(), check)).copied().unwrap_or(0);
        let choice = self.choice(task, piece, check, verdict, tries);
        *self.tries.entry((op, piece.clone(), check)).or_default() += 1;
        if choice == Remedy::MoveTheSetting {
            *self.moves.entry(op).or_default() += 1;
        }
        let text = match choice {
            Remedy::Accept => format!("a {} good enough here", self.lead),
            other => other.key().to_string(),
        };
        self.enter(task, &text, 60)?;
        let context = self.station.context();
        let gone = context.state.piece(piece).is_some_and(|piece| piece.aside.is_some());
        match choice {
            Remedy::CutAgain | Remedy::PutRight => {
                let checks = context.planned().map(|planned| &planned.checks);
                if let Some(check) = checks.and_then(|checks| checks.get(check)) {
                    self.wood.cut_to_size(&context, piece, &check.of);
                }
            }
            Remedy::MoveTheSetting if !gone => {
                self.moved.insert(piece.clone());
            }
            _ => {}
        }
        Ok(())
    }

    fn choice(
        &self,
        task: &Task,
        piece: &PieceId,
        check: usize,
        verdict: Verdict,
        tries: u32,
    ) -> Remedy {
        if self.settings.accepts_all {
            return Remedy::Accept;
        }
        let context = self.station.context();
        let expected = choices(&context, task).first().copied().unwrap_or(Remedy::Accept);
        let moves = self.moves.get(&context.op).copied().unwrap_or(0);
        match expected {
            // A reading far out is taken again before anything is cut for it.
            _ if tries == 0 && self.is_far_out(piece, check) => Remedy::MeasureAgain,
            Remedy::MeasureAgain if tries < 2 => expected,
            // A first piece that can't be saved is lost when the setting moves.
            Remedy::MoveTheSetting
                if moves < TRIES && (is_again(verdict) || self.can_spare(piece)) =>
            {
                expected
            }
            Remedy::CutAgain | Remedy::PutRight if tries < TRIES => expected,
            Remedy::SetAside if self.can_spare(piece) && !self.others_too(check, verdict) => {
                expected
            }
            _ => Remedy::Accept,
        }
    }

    /// Whether it is past a limit by more than the whole band.
    fn is_far_out(&self, piece: &PieceId, check: usize) -> bool {
        let context = self.station.context();
        let checks = context.planned().map(|planned| &planned.checks);
        let of = checks.and_then(|checks| checks.get(check)).map(|check| &check.of);
        let taken = of
            .and_then(|of| context.state.reading_in_force(context.op, piece, of))
            .map(|r| &r.taken);
        let Some((taken, size)) = taken.and_then(|taken| Some((taken, taken.size()?))) else {
            return false;
        };
        let Some(band) = taken.limits().band() else { return false };
        taken.high.is_some_and(|high| size - high > band)
            || taken.low.is_some_and(|low| low - size > band)
    }

    /// Whether enough pieces are left for the articles without this one.
    fn can_spare(&self, piece: &PieceId) -> bool {
        let context = self.station.context();
        let Some(piece) = context.state.piece(piece) else { return false };
        let Some(part) = context.route.part(&piece.label.part) else { return false };
        let counts = |role| role != Role::Setup;
        let left: u32 = context
            .pieces()
            .iter()
            .filter(|held| held.aside.is_none() && counts(held.label.role))
            .map(|held| held.gang.max(1))
            .sum();
        !counts(piece.label.role) || left > part.per_set * context.route.sets
    }

    /// Whether two others are out on the same side. Then it is the setting, and the
    /// lead accepts them all.
    fn others_too(&self, check: usize, verdict: Verdict) -> bool {
        let context = self.station.context();
        let checks = context.planned().map(|planned| &planned.checks);
        let Some(check) = checks.and_then(|checks| checks.get(check)) else { return false };
        let way = std::mem::discriminant(&verdict);
        let out = context.state.readings.iter().filter(|reading| {
            let taken = &reading.taken;
            !reading.voided && taken.op == context.op && taken.feature == check.of
        });
        out.filter(|reading| std::mem::discriminant(&reading.taken.verdict()) == way).count() > 2
    }
}

/// Whether a piece that is out can be cut again.
fn is_again(verdict: Verdict) -> bool {
    matches!(verdict, Verdict::TooBig { again: true, .. } | Verdict::TooSmall { again: true, .. })
}
