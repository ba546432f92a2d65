//! Laying out the boards of a batch: what is drawn already stays, and blanks
//! become pieces that have a name. Knows nothing of who asks for it.

use std::collections::BTreeMap;

use super::answer::Refusal;
use super::due::Stand;
use super::event::{
    BoardId, Event, LaidBlank, LaidBoard, LaidMissing, LaidOut, LaidSection, PieceId,
};
use super::rack::{Bought, Rack};
use crate::measure::Length;
use crate::route::Role;
use crate::stock::{self, Flaw, FlawKind, Need, RackBoard, Ruling, Saw, Stretch};

/// What becomes of a knot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The cuts go around it.
    Move,
    Hide,
    Fill,
}

impl Way {
    /// As it is typed.
    pub fn word(self) -> &'static str {
        match self {
            Way::Move => "move",
            Way::Hide => "hide",
            Way::Fill => "fill",
        }
    }

    pub(super) fn ruling(self) -> Ruling {
        match self {
            Way::Move => Ruling::Around,
            Way::Hide => Ruling::Hidden,
            Way::Fill => Ruling::Fill,
        }
    }
}

/// A knot the lead may rule on.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    pub board: BoardId,
    pub flaw: Flaw,
    /// What may become of it instead of what does now.
    pub ways: Vec<Way>,
}

/// The knots of boards that may be cut, and what else may become of them. Where
/// nothing could hide or fill one there is nothing to choose.
pub fn offers(stand: &Stand<'_>) -> Vec<Offer> {
    let needs = stock::needs(stand.route, stand.shop, stand.plan);
    let hides = |bought: &Bought| {
        needs.iter().any(|need| !need.hidden.is_empty() && is_of(need, &bought.is))
    };
    let fills = |bought: &Bought, flaw: &Flaw| {
        let long = flaw.along.to - flaw.along.from;
        let mut fit = needs.iter().filter(|need| is_of(need, &bought.is));
        fit.any(|need| need.fill.is_some_and(|most| long <= most))
    };
    let mut offers = Vec::new();
    for bought in stand.state.rack.boards.iter().filter(|bought| bought.is_usable()) {
        let drawn = bought.drawn.last().copied().unwrap_or(Length::ZERO);
        let open = bought
            .is
            .flaws
            .iter()
            .filter(|flaw| flaw.kind == FlawKind::Knot && flaw.along.to > drawn);
        for flaw in open {
            let ways = [
                (Way::Hide, hides(bought)),
                (Way::Fill, fills(bought, flaw)),
                (Way::Move, flaw.ruling != Ruling::Around),
            ];
            let ways: Vec<Way> = ways
                .into_iter()
                .filter(|(way, possible)| *possible && way.ruling() != flaw.ruling)
                .map(|(way, _)| way)
                .collect();
            if !ways.is_empty() {
                offers.push(Offer { board: bought.id.clone(), flaw: flaw.clone(), ways });
            }
        }
    }
    offers
}

/// Whether a need takes this wood.
fn is_of(need: &Need, board: &RackBoard) -> bool {
    let same = |one: &str| one.trim().to_lowercase() == board.species.trim().to_lowercase();
    need.species.as_deref().is_none_or(same)
}

/// What stays of a board: sections whose marks are drawn, and up to where it
/// counts as cut.
#[derive(Default)]
struct Drawn {
    sections: Vec<LaidSection>,
    taken: Option<Length>,
}

/// Lays out all that is not drawn yet, as it would be after `with`.
pub(super) fn lay_out(stand: &Stand<'_>, with: Option<&Event>) -> Result<LaidOut, Refusal> {
    let mut rack = stand.state.rack.clone();
    if let Some(event) = with {
        rack.happened(event, stand.station);
    }
    let usable: Vec<&Bought> = rack.boards.iter().filter(|bought| bought.is_usable()).collect();
    if usable.is_empty() {
        return Err(Refusal::new("No board is left to cut.", "tell another one: its name"));
    }
    let saw = Saw::of(stand.shop);
    let mut needs = stock::needs(stand.route, stand.shop, stand.plan);
    let mut names = Names::of(stand);
    let drawn: Vec<Drawn> = usable.iter().map(|bought| stays(&rack, bought, saw)).collect();
    for (bought, drawn) in usable.iter().zip(&drawn) {
        for blank in drawn.sections.iter().flat_map(|section| &section.blanks) {
            let role = names.take(&blank.pieces);
            let of = |need: &&mut Need| need.part == blank.part && is_of(need, &bought.is);
            if let Some(need) = needs.iter_mut().find(of) {
                let count = match role {
                    Some(Role::Spare) => &mut need.spare,
                    Some(Role::Setup) => &mut need.setup,
                    _ => &mut need.for_sets,
                };
                *count = count.saturating_sub(1);
            }
        }
    }
    let boards: Vec<RackBoard> = usable.iter().map(|bought| bought.is.clone()).collect();
    let taken: Vec<(usize, Length)> =
        drawn.iter().enumerate().filter_map(|(n, drawn)| Some((n, drawn.taken?))).collect();
    let found = stock::lay(&stock::Rack { boards: &boards, taken: &taken }, &needs, &saw);
    let mut named = names.name(&found, &needs);
    let mut laid = Vec::new();
    let (mut board_feet, mut opened) = (0.0, 0.0);
    for (n, (bought, drawn)) in usable.iter().zip(drawn).enumerate() {
        let place = found.laid.iter().position(|laid| laid.board == n);
        let anew = place.map(|place| (&found.laid[place], named.remove(&place)));
        if anew.is_none() && drawn.sections.is_empty() {
            continue;
        }
        board_feet += boards[n].board_feet();
        if drawn.taken.is_some() {
            opened += boards[n].board_feet();
        }
        let left = match &anew {
            Some((on, _)) => on.left.clone(),
            None => rest(&boards[n], drawn.taken, saw),
        };
        let sections = anew.and_then(|(_, sections)| sections).unwrap_or_default();
        let sections = drawn.sections.into_iter().chain(sections).collect();
        laid.push(LaidBoard { board: bought.id.clone(), sections, left });
    }
    let part = |need: usize| needs.get(need).map(|need| need.part.clone()).unwrap_or_default();
    let missing = found.missing.iter().map(|missing| LaidMissing {
        part: part(missing.need),
        role: missing.role,
        blanks: missing.blanks,
    });
    Ok(LaidOut {
        boards: laid,
        missing: missing.collect(),
        apart: found.apart.iter().map(|(need, sets)| (part(*need), *sets)).collect(),
        board_feet,
        bound: (opened + found.bound).min(board_feet),
        saw,
    })
}

/// What is left of a board nothing more is cut from.
fn rest(board: &RackBoard, taken: Option<Length>, saw: Saw) -> Vec<Stretch> {
    let from = taken.map_or(saw.trim, |taken| taken + saw.crosscut);
    let left = Stretch { from, to: board.length - saw.trim };
    if left.to - left.from >= saw.keep { vec![left] } else { Vec::new() }
}

/// The sections of a board that are drawn already, without the blanks a flaw
/// has turned up in.
fn stays(rack: &Rack, bought: &Bought, saw: Saw) -> Drawn {
    let Some(last) = bought.drawn.last().copied() else { return Drawn::default() };
    let accepted = rack.accepted.iter().flat_map(|accepted| &accepted.layout.boards);
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
    // Where a section begins the kerf was taken before the mark.
    let taken = if ends { last } else { (last - saw.crosscut).max(Length::ZERO) };
    Drawn { sections, taken: Some(taken) }
}

/// Whether a flaw that nothing may hold lies in a blank.
fn is_spoilt(blank: &LaidBlank, flaws: &[Flaw]) -> bool {
    let meet = |one: &Stretch, other: &Stretch| one.from < other.to && other.from < one.to;
    let in_it = |flaw: &Flaw| {
        meet(&flaw.along, &blank.along)
            && flaw.across.as_ref().is_none_or(|across| meet(across, &blank.across))
    };
    let kept_out = |flaw: &&Flaw| flaw.ruling == Ruling::Around || flaw.kind == FlawKind::Split;
    flaws.iter().filter(kept_out).any(in_it)
}

/// A piece that no blank has yet.
#[derive(Clone)]
struct Unborn {
    id: PieceId,
    role: Role,
    set: Option<u32>,
    gang: u32,
}

/// The pieces of each part that have no place on a board yet.
struct Names(BTreeMap<String, Vec<Unborn>>);

impl Names {
    fn of(stand: &Stand<'_>) -> Names {
        let mut parts: BTreeMap<String, Vec<Unborn>> = BTreeMap::new();
        for piece in stand.state.pieces.iter().filter(|piece| piece.from.is_none()) {
            let label = &piece.label;
            let (role, set) = if label.role == Role::Blank {
                let first = (label.number.saturating_sub(1) * piece.gang) as usize;
                let part = stand.route.part(&label.part);
                let labels = part.map(|part| stand.route.pieces(part)).unwrap_or_default();
                labels.get(first).map_or((Role::Spare, None), |label| (label.role, label.set))
            } else {
                (label.role, label.set)
            };
            parts.entry(label.part.clone()).or_default().push(Unborn {
                id: piece.id.clone(),
                role,
                set,
                gang: piece.gang.max(1),
            });
        }
        for pieces in parts.values_mut() {
            pieces.sort_by_key(|piece| rank(piece.role));
        }
        Names(parts)
    }

    /// Takes these pieces away; the best role among them.
    fn take(&mut self, ids: &[PieceId]) -> Option<Role> {
        let mut best: Option<Role> = None;
        for pieces in self.0.values_mut() {
            pieces.retain(|piece| {
                let taken = ids.contains(&piece.id);
                if taken && best.is_none_or(|known| rank(piece.role) < rank(known)) {
                    best = Some(piece.role);
                }
                !taken
            });
        }
        best
    }

    /// The sections of each board laid out, with names for their blanks.
    fn name(mut self, found: &stock::Layout, needs: &[Need]) -> BTreeMap<usize, Vec<LaidSection>> {
        let whole = self.sets();
        let placed = found.laid.iter().enumerate().flat_map(|(board, laid)| {
            laid.sections.iter().enumerate().flat_map(move |(section, held)| {
                held.blanks.iter().enumerate().map(move |(n, blank)| ((board, section, n), blank))
            })
        });
        let mut order: Vec<((usize, usize, usize), &stock::Placed)> = placed.collect();
        // Sets first, so that what a blank has over falls to spares.
        order.sort_by_key(|(place, blank)| (rank(blank.role), blank.need, blank.set, *place));
        let mut names: BTreeMap<(usize, usize, usize), Vec<PieceId>> = BTreeMap::new();
        for (place, blank) in order {
            let Some(need) = needs.get(blank.need) else { continue };
            let set = blank.set.and_then(|set| {
                whole.get(&need.part)?.get((set as usize).checked_sub(1)?).copied()
            });
            names.insert(place, self.next(need, blank.role, set));
        }
        let laid = found.laid.iter().enumerate().map(|(board, laid)| {
            let sections = laid.sections.iter().enumerate().map(|(section, held)| LaidSection {
                along: held.along,
                blanks: held
                    .blanks
                    .iter()
                    .enumerate()
                    .map(|(n, blank)| LaidBlank {
                        part: needs.get(blank.need).map(|n| n.part.clone()).unwrap_or_default(),
                        pieces: names.remove(&(board, section, n)).unwrap_or_default(),
                        along: blank.along,
                        across: blank.across,
                    })
                    .collect(),
            });
            (board, sections.collect())
        });
        laid.collect()
    }

    /// The sets of each part that still want pieces, the fullest first: sets are
    /// numbered anew by whoever lays out what is left.
    fn sets(&self) -> BTreeMap<String, Vec<u32>> {
        let counted = self.0.iter().map(|(part, pieces)| {
            let mut sets: BTreeMap<u32, usize> = BTreeMap::new();
            pieces.iter().filter_map(|piece| piece.set).for_each(|set| {
                *sets.entry(set).or_default() += 1;
            });
            let mut sets: Vec<(u32, usize)> = sets.into_iter().collect();
            sets.sort_by_key(|(set, count)| (std::cmp::Reverse(*count), *set));
            (part.clone(), sets.into_iter().map(|(set, _)| set).collect())
        });
        counted.collect()
    }

    /// The pieces the next blank of a need becomes.
    fn next(&mut self, need: &Need, role: Role, set: Option<u32>) -> Vec<PieceId> {
        let Some(pieces) = self.0.get_mut(&need.part) else { return Vec::new() };
        let gang = pieces.first().map_or(1, |piece| piece.gang);
        let holds = (need.holds() / gang).max(1);
        let mut taken = Vec::new();
        for _ in 0..holds {
            let best = pieces.iter().enumerate().min_by_key(|(n, piece)| {
                let other = piece.role != role;
                // A blank's own set before others; a spare never before a set's piece.
                (other, rank(piece.role) < rank(role), piece.set != set, *n)
            });
            let Some((n, _)) = best else { break };
            taken.push(pieces.remove(n).id);
        }
        taken
    }
}

/// Sets are served before spares, and those before setup pieces.
fn rank(role: Role) -> u8 {
    match role {
        Role::Set | Role::Blank => 0,
        Role::Spare => 1,
        Role::Setup => 2,
    }
}
