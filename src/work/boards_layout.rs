//! Laying out the boards of a batch: what is drawn stays, and blanks become the
//! pieces of the batch.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::context::WorkContext;
use super::refusal::refusal;
use crate::journal::{BatchBoard, BatchBoards};
use crate::journal::{
    Event, KnotOffer, LaidBlank, LaidBoard, LaidMissing, LaidOut, LaidSection, PieceId, in_blanks,
};
use crate::measure::Length;
use crate::prose::Message;
use crate::route::{PieceLabel, Role};
use crate::stock::{
    self, BlankNeed, Flaw, FlawKind, Offers, PlacedBlank, RackBoard, Ruling, Saw, Stretch,
};

/// The part of a board that is fixed: sections whose marks are drawn, and how far
/// along the board counts as cut.
#[derive(Default)]
struct Drawn {
    sections: Vec<LaidSection>,
    taken: Option<Length>,
}

/// Lays out everything not drawn yet, as it would be after `with`, and tries other
/// rulings on knots.
pub(super) fn lay_out(context: &WorkContext<'_>, with: Option<&Event>) -> Result<Event, Message> {
    let mut boards_after = context.state.boards.clone();
    if let Some(event) = with {
        boards_after.apply_event(event, context.station);
    }
    let usable: Vec<&BatchBoard> =
        boards_after.all.iter().filter(|bought| bought.is_usable()).collect();
    if usable.is_empty() {
        return Err(refusal("No board is left to cut.", "enter another one: type its name"));
    }
    let saw = Saw::of(context.shop);
    let mut needs = stock::needs(context.route, context.shop, context.plan);
    let mut slots = Slots::of(context, &needs);
    let drawn: Vec<Drawn> =
        usable.iter().map(|bought| drawn_part(&boards_after, bought, saw)).collect();
    for blank in drawn.iter().flat_map(|drawn| &drawn.sections).flat_map(|held| &held.blanks) {
        if let Some((need, role)) = slots.take(&blank.pieces) {
            let need = &mut needs[need];
            let count = match role {
                Role::Spare => &mut need.spare,
                Role::Setup => &mut need.setup,
                Role::Set | Role::Blank => &mut need.for_sets,
            };
            *count = count.saturating_sub(1);
        }
    }
    let boards: Vec<RackBoard> = usable.iter().map(|bought| bought.is.clone()).collect();
    if stock::layouts_in_time(&boards, &needs, &saw, 1) == 0 {
        return Err(refusal(
            "Too many parts and boards to lay out at once.",
            "set boards aside: aside 3 MB for another batch",
        ));
    }
    let taken: Vec<(usize, Length)> =
        drawn.iter().enumerate().filter_map(|(n, drawn)| Some((n, drawn.taken?))).collect();
    let on_hand = stock::OnHand { boards: &boards, taken: &taken };
    let found = stock::lay_out_on_hand(&on_hand, &needs, &saw);
    let Offers { offers, untried } = stock::offers_on_hand(&on_hand, &needs, &saw, &found);
    let mut named = slots.name(&found, &needs);
    let mut laid = Vec::new();
    let (mut board_feet, mut opened) = (0.0, 0.0);
    for (n, (bought, drawn)) in usable.iter().zip(drawn).enumerate() {
        let anew = found.boards.iter().position(|laid| laid.board == n);
        if anew.is_none() && drawn.sections.is_empty() {
            continue;
        }
        board_feet += boards[n].board_feet();
        if drawn.taken.is_some() {
            opened += boards[n].board_feet();
        }
        let left = match anew {
            Some(place) => found.boards[place].plan.offcuts.clone(),
            None => offcuts(&boards[n], drawn.taken, saw),
        };
        let sections = anew.and_then(|place| named.remove(&place)).unwrap_or_default();
        let sections = drawn.sections.into_iter().chain(sections).collect();
        laid.push(LaidBoard { board: bought.id.clone(), sections, left });
    }
    let part = |need: usize| needs.get(need).map(|need| need.part.clone()).unwrap_or_default();
    let missing = found.missing.iter().map(|missing| LaidMissing {
        part: part(missing.need),
        role: missing.role,
        blanks: missing.blanks,
        proved: missing.proved,
    });
    let layout = LaidOut {
        boards: laid,
        missing: missing.collect(),
        apart: found.apart.iter().map(|(need, sets)| (part(*need), *sets)).collect(),
        board_feet,
        bound: (opened + found.bound).min(board_feet),
        saw,
    };
    let offers = offers.into_iter().filter_map(|offer| knot_offer(offer, &usable)).collect();
    Ok(Event::LaidOut { layout, offers, untried })
}

/// An offer as the journal keeps it.
fn knot_offer(offer: stock::Offer, usable: &[&BatchBoard]) -> Option<KnotOffer> {
    let board = usable.get(offer.board)?;
    Some(KnotOffer {
        board: board.id.clone(),
        flaw: board.is.flaws.get(offer.flaw)?.clone(),
        ruling: offer.ruling,
        parts: offer.parts,
        more: offer.more,
        saved: offer.saved,
        together: offer.together,
    })
}

/// The offcut of a board that nothing more is cut from.
fn offcuts(board: &RackBoard, taken: Option<Length>, saw: Saw) -> Vec<Stretch> {
    let from = taken.map_or(saw.trim, |taken| taken + saw.crosscut);
    let left = Stretch { from, to: board.length - saw.trim };
    if left.to - left.from >= saw.shortest_offcut { vec![left] } else { Vec::new() }
}

/// The sections of a board that are drawn already, without the blanks in which a
/// flaw was found since.
fn drawn_part(boards_after: &BatchBoards, bought: &BatchBoard, saw: Saw) -> Drawn {
    let Some(last) = bought.drawn.last().copied() else { return Drawn::default() };
    let accepted = boards_after.accepted.iter().flat_map(|accepted| &accepted.layout.boards);
    let laid = accepted.into_iter().find(|laid| laid.board == bought.id);
    let mut sections: Vec<LaidSection> = laid
        .iter()
        .flat_map(|laid| &laid.sections)
        .filter(|section| section.along.to <= last)
        .cloned()
        .collect();
    for section in &mut sections {
        section.blanks.retain(|blank| !is_spoilt(blank, &bought.is.flaws));
    }
    let ends = sections.last().is_some_and(|section| section.along.to == last);
    // At the start of a section the kerf is before the mark.
    let taken = if ends { last } else { (last - saw.crosscut).max(Length::ZERO) };
    Drawn { sections, taken: Some(taken) }
}

/// Whether a blank contains a flaw that no piece may have.
fn is_spoilt(blank: &LaidBlank, flaws: &[Flaw]) -> bool {
    let kept_out = |flaw: &&Flaw| flaw.ruling == Ruling::Around || flaw.kind == FlawKind::Split;
    flaws.iter().filter(kept_out).any(|flaw| blank.place().contains(flaw))
}

/// A blank that has no place on a board yet: the pieces it becomes.
struct Slot {
    pieces: Vec<PieceId>,
    role: Role,
    set: Option<u32>,
}

/// The blanks of each need that have no place on a board yet.
struct Slots(Vec<Vec<Slot>>);

impl Slots {
    fn of(context: &WorkContext<'_>, needs: &[BlankNeed]) -> Slots {
        let begun: BTreeMap<&PieceLabel, &PieceId> = context
            .state
            .pieces
            .iter()
            .filter(|piece| piece.from.is_none())
            .map(|piece| (&piece.label, &piece.id))
            .collect();
        let dealt = stock::pieces_by_blank(context.route, needs);
        let slots = needs.iter().zip(dealt).map(|(need, blanks)| {
            // Several pieces in one length begin as one blank.
            let part = context.route.part(&need.part);
            let held = part.map(|part| in_blanks(context.route, context.state, part));
            let held: BTreeMap<PieceLabel, PieceId> = held.into_iter().flatten().collect();
            let in_one = |label: &PieceLabel| held.get(label);
            let slot = |(n, labels): (u32, Vec<PieceLabel>)| {
                let mut pieces: Vec<PieceId> = labels
                    .iter()
                    .filter_map(|label| begun.get(label).copied().or_else(|| in_one(label)))
                    .cloned()
                    .collect();
                pieces.dedup();
                let (role, set) = if n < need.for_sets {
                    (Role::Set, Some(n / need.a_set.max(1) + 1))
                } else if n < need.for_sets + need.spare {
                    (Role::Spare, None)
                } else {
                    (Role::Setup, None)
                };
                Slot { pieces, role, set }
            };
            (0..).zip(blanks).map(slot).collect()
        });
        Slots(slots.collect())
    }

    /// Removes the blank of these pieces; returns its need and its role.
    fn take(&mut self, pieces: &[PieceId]) -> Option<(usize, Role)> {
        let first = pieces.first()?;
        self.0.iter_mut().enumerate().find_map(|(need, slots)| {
            let place = slots.iter().position(|slot| slot.pieces.contains(first))?;
            Some((need, slots.remove(place).role))
        })
    }

    /// The sections of each board laid out, with the pieces of their blanks.
    fn name(
        mut self,
        found: &stock::BoardLayout,
        needs: &[BlankNeed],
    ) -> BTreeMap<usize, Vec<LaidSection>> {
        let sets: Vec<Vec<u32>> = self.0.iter().map(|slots| fullest_first(slots)).collect();
        let mut blank = |placed: &PlacedBlank| {
            let of = sets.get(placed.need);
            let set = placed.set.and_then(|set| of?.get((set as usize).checked_sub(1)?).copied());
            LaidBlank {
                part: needs.get(placed.need).map(|need| need.part.clone()).unwrap_or_default(),
                pieces: self.next(placed.need, placed.role, set),
                along: placed.along,
                across: placed.across,
            }
        };
        let mut section = |held: &stock::CutSection<PlacedBlank>| LaidSection {
            along: held.along,
            blanks: held.blanks.iter().map(&mut blank).collect(),
        };
        let laid = found.boards.iter().enumerate();
        laid.map(|(place, laid)| (place, laid.plan.sections.iter().map(&mut section).collect()))
            .collect()
    }

    /// The pieces of the next blank: of the same article where one is left, else of
    /// the same role, else any.
    fn next(&mut self, need: usize, role: Role, set: Option<u32>) -> Vec<PieceId> {
        let Some(slots) = self.0.get_mut(need) else { return Vec::new() };
        let best = slots
            .iter()
            .enumerate()
            .min_by_key(|(n, slot)| (slot.role != role, slot.set != set, *n))
            .map(|(n, _)| n);
        best.map(|n| slots.remove(n).pieces).unwrap_or_default()
    }
}

/// The articles that still need blanks, the one that needs most first: a new layout
/// numbers them again.
fn fullest_first(slots: &[Slot]) -> Vec<u32> {
    let mut counts: BTreeMap<u32, usize> = BTreeMap::new();
    for set in slots.iter().filter_map(|slot| slot.set) {
        *counts.entry(set).or_default() += 1;
    }
    let mut sets: Vec<(u32, usize)> = counts.into_iter().collect();
    sets.sort_by_key(|(set, count)| (Reverse(*count), *set));
    sets.into_iter().map(|(set, _)| set).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A board of 96 with 1 in off each end. After 60 and a kerf of 1/8 it has 34 7/8
    /// left, after 85 only 9 7/8; an offcut under 12 isn't kept. Uncut it has 94.
    #[test]
    fn an_offcut_is_kept_from_a_length_on() {
        let inches = |inches: i64| Length::INCH * inches;
        let saw = Saw {
            crosscut: Length::inch_fraction(1, 8),
            rip: Length::inch_fraction(1, 8),
            trim: inches(1),
            edge: Length::ZERO,
            mark: Length::inch_fraction(1, 16),
            shortest_offcut: inches(12),
            clean_up: Length::ZERO,
        };
        let board = RackBoard {
            name: "A".to_owned(),
            species: "ash".to_owned(),
            class: None,
            thickness: [inches(1); 3],
            width: inches(6),
            length: inches(96),
            cup: Length::ZERO,
            bow: Length::ZERO,
            wind: Length::ZERO,
            moisture: None,
            flaws: Vec::new(),
        };
        let left = |taken| offcuts(&board, taken, saw);
        let to = inches(95);
        let after_sixty = inches(60) + Length::inch_fraction(1, 8);
        assert_eq!(left(Some(inches(60))), [Stretch { from: after_sixty, to }]);
        assert_eq!(left(Some(inches(85))), []);
        assert_eq!(left(None), [Stretch { from: inches(1), to }]);
    }
}
