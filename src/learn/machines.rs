//! What batches teach of each machine of one kind, to compare the machines of several shops.
//! Nothing here proposes a change: whoever compares shops isn't who looks after them.

use statrs::distribution::{Beta, ContinuousCDF};

use super::{
    Evidence, FEWEST, Journal, Lesson, LessonSubject, ReviewedBatch, Topic, counted, of_machines,
};
use crate::shop::{MachineKind, Shop};

/// The tail left out on each side of the 95 % interval of a share.
const TAIL: f64 = 0.025;

/// A machine, how much it was used, and what that teaches.
#[derive(Clone, Debug, PartialEq)]
pub struct MachineLessons {
    /// Its name in the shop file.
    pub machine: String,
    /// How many batches it was used in.
    pub batches: usize,
    /// How many pieces went through its operations, once an operation.
    pub pieces: usize,
    /// How many of them were set aside there.
    pub lost: usize,
    /// How many readings were taken there.
    pub readings: usize,
    /// The lessons, in the order of [`Topic`].
    pub lessons: Vec<Lesson>,
}

/// What these batches of one shop teach of each of its machines of a kind, by name. The shop
/// file is the present one.
pub fn learn_machines(
    journals: &[Journal<'_>],
    shop: &Shop,
    kind: MachineKind,
) -> Vec<MachineLessons> {
    let batches: Vec<ReviewedBatch<'_>> = journals.iter().copied().map(ReviewedBatch::at).collect();
    let lessons = of_machines(&batches, shop);
    let of_kind = shop.machines.iter().filter(|(_, machine)| machine.kind == kind);
    let machine = |name: &String| {
        let mut used = use_of(&batches, name);
        let own =
            lessons.iter().filter(|lesson| lesson.subject == LessonSubject::Machine(name.clone()));
        used.lessons.extend(own.map(|lesson| Lesson { change: None, ..lesson.clone() }));
        used.lessons.extend(loss(&used, shop));
        used.lessons.sort_by_key(|lesson| lesson.topic);
        used
    };
    of_kind.map(|(name, _)| machine(name)).collect()
}

/// How much a machine was used.
fn use_of(batches: &[ReviewedBatch<'_>], machine: &str) -> MachineLessons {
    let mut used = MachineLessons {
        machine: machine.to_owned(),
        batches: 0,
        pieces: 0,
        lost: 0,
        readings: 0,
        lessons: Vec::new(),
    };
    for batch in batches {
        let Journal { route, state, .. } = batch.journal;
        let own = route.steps.iter().filter(|step| step.at.as_deref() == Some(machine));
        let ops: Vec<u32> = own.map(|step| step.op).collect();
        let taken = state.readings.iter().filter(|reading| !reading.voided);
        let readings = taken.filter(|reading| ops.contains(&reading.taken.op)).count();
        let gang = |at: usize| state.pieces.get(at).map_or(1, |piece| piece.gang.max(1)) as usize;
        let mut pieces = 0;
        for op in &ops {
            let Some(setup) = state.setups.get(op) else { continue };
            let through = setup.done.iter();
            pieces += through.map(|id| state.piece(id).map_or(1, |p| gang(p.place))).sum::<usize>();
        }
        let is_lost = |at_op: &(u32, String)| ops.contains(&at_op.0);
        let lost = state.pieces.iter().filter(|piece| piece.aside.as_ref().is_some_and(is_lost));
        // Whoever is set aside before it was through was there all the same.
        let (mut gone, mut not_through) = (0, 0);
        for piece in lost {
            let count = gang(piece.place);
            gone += count;
            let at = piece.aside.as_ref().map(|(op, _)| *op);
            let is_through = at.is_some_and(|op| state.is_done(op, &piece.id));
            not_through += if is_through { 0 } else { count };
        }
        used.batches += usize::from(readings > 0 || pieces + not_through > 0);
        used.pieces += pieces + not_through;
        used.lost += gone;
        used.readings += readings;
    }
    used
}

/// The share of pieces set aside at a machine, with its 95 % interval: a beta distribution,
/// every share being equally likely before.
fn loss(used: &MachineLessons, shop: &Shop) -> Option<Lesson> {
    let (made, lost) = (used.pieces, used.lost);
    if made < FEWEST {
        return None;
    }
    let kept = made.saturating_sub(lost);
    let share = Beta::new(lost as f64 + 1.0, kept as f64 + 1.0).ok()?;
    let percent = |of: f64| format!("{:.1} %", 100.0 * of);
    Some(Lesson {
        topic: Topic::Loss,
        about: used.machine.clone(),
        subject: LessonSubject::Machine(used.machine.clone()),
        says: format!(
            "{lost} of {} set aside at it: {}, with 95 % confidence {} to {}.",
            counted(made, "piece"),
            percent(lost as f64 / made as f64),
            percent(share.inverse_cdf(TAIL)),
            percent(share.inverse_cdf(1.0 - TAIL)),
        ),
        evidence: Evidence {
            unit: shop.unit,
            count: made,
            of: "piece",
            batches: used.batches,
            range: None,
            uncertainty: None,
            more: None,
        },
        change: None,
    })
}
