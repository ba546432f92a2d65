//! Which pieces of a batch a blank becomes, and how they are named.

use std::collections::BTreeMap;

use super::lay::CutBoard;
use crate::route::{Article, PieceLabel, Role, Route};
use crate::stock::need::{BlankNeed, dealt};

/// The pieces that every blank of a layout becomes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BlankPieces(BTreeMap<(usize, usize, usize), Vec<PieceLabel>>);

impl BlankPieces {
    /// Deals out the pieces of the route. A set goes to the blanks that are laid
    /// out for it; room in the last blank goes to spares, then to setup pieces.
    pub fn of(route: &Route, needs: &[BlankNeed], boards: &[CutBoard]) -> BlankPieces {
        let mut waiting: Vec<Vec<Option<Vec<PieceLabel>>>> = pieces_by_blank(route, needs)
            .into_iter()
            .map(|b| b.into_iter().map(Some).collect())
            .collect();
        let mut pieces = BTreeMap::new();
        for (board, cut) in boards.iter().enumerate() {
            for (at, section) in cut.plan.sections.iter().enumerate() {
                for (index, blank) in section.blanks.iter().enumerate() {
                    let (Some(need), Some(waiting)) =
                        (needs.get(blank.need), waiting.get_mut(blank.need))
                    else {
                        continue;
                    };
                    let good = need.for_sets as usize;
                    let own = match (blank.role, blank.set) {
                        (Role::Set, Some(set)) => {
                            let first = (set.saturating_sub(1) * need.a_set) as usize;
                            first.min(good)..(first + need.a_set as usize).min(good)
                        }
                        (Role::Set, None) => 0..good,
                        (Role::Spare, _) => good..good + need.spare as usize,
                        (Role::Setup | Role::Blank, _) => {
                            good + need.spare as usize..need.blanks() as usize
                        }
                    };
                    let next =
                        waiting.get_mut(own).and_then(|own| own.iter_mut().find(|b| b.is_some()));
                    let next = next.and_then(Option::take).unwrap_or_default();
                    pieces.insert((board, at, index), next);
                }
            }
        }
        BlankPieces(pieces)
    }

    /// The pieces of one blank, by the indices of its board in the layout, its
    /// section there, and itself in the section; empty where there is no such
    /// blank.
    pub fn get(&self, board: usize, section: usize, blank: usize) -> &[PieceLabel] {
        self.0.get(&(board, section, blank)).map_or(&[], Vec::as_slice)
    }
}

/// The pieces of every need, blank by blank: those for sets first, then spares,
/// then setup pieces.
pub fn pieces_by_blank(route: &Route, needs: &[BlankNeed]) -> Vec<Vec<Vec<PieceLabel>>> {
    needs
        .iter()
        .enumerate()
        .map(|(index, need)| {
            if let Some(pieces) = &need.pieces {
                return apart(pieces, need.holds());
            }
            let Some(part) = route.part(&need.part) else { return Vec::new() };
            // In each set, the pieces of one wood follow those of another.
            let woods: Vec<u32> = match part.blank.woods.is_empty() {
                true => vec![part.per_set],
                false => part.blank.woods.values().copied().collect(),
            };
            let own = needs[..index].iter().filter(|other| other.part == need.part).count();
            let before: u32 = woods.iter().take(own).sum();
            let a_set = woods.get(own).copied().unwrap_or(0);
            let all = route.pieces(part);
            let in_set = |label: &PieceLabel| (label.number - 1) % part.per_set.max(1);
            let (mut spares, mut setup) = (0_u32, 0_u32);
            let ours = all.into_iter().filter(|label| match label.role {
                Role::Set => (before..before + a_set).contains(&in_set(label)),
                Role::Blank => false,
                Role::Spare | Role::Setup => {
                    let (met, all) = match label.role {
                        Role::Setup => (&mut setup, part.setup_pieces),
                        _ => (&mut spares, part.spares),
                    };
                    *met += 1;
                    let share = |place| dealt(all, woods.len(), place);
                    let before: u32 = (0..own).map(share).sum();
                    (before + 1..=before + share(own)).contains(met)
                }
            });
            let ours: Vec<PieceLabel> = ours.collect();
            ours.chunks(need.holds().max(1) as usize).map(<[_]>::to_vec).collect()
        })
        .collect()
}

/// The pieces of differing articles, blank by blank: no blank is for two articles.
fn apart(pieces: &[PieceLabel], holds: u32) -> Vec<Vec<PieceLabel>> {
    let mut blanks: Vec<Vec<PieceLabel>> = Vec::new();
    for piece in pieces {
        let has_room = |held: &&mut Vec<PieceLabel>| {
            held.len() < holds.max(1) as usize && held[0].set == piece.set
        };
        match blanks.last_mut().filter(has_room) {
            Some(held) => held.push(piece.clone()),
            None => blanks.push(vec![piece.clone()]),
        }
    }
    blanks
}

/// Pieces as they are spoken of: `leg 1-4 of stool 1`, `leg 21 spare`.
pub fn piece_list(pieces: &[PieceLabel], article: &Article) -> String {
    let mut groups: Vec<(&str, Role, Vec<&PieceLabel>)> = Vec::new();
    for piece in pieces {
        match groups.last_mut() {
            Some((part, role, of)) if *part == piece.part && *role == piece.role => of.push(piece),
            _ => groups.push((&piece.part, piece.role, vec![piece])),
        }
    }
    let words: Vec<String> = groups
        .iter()
        .map(|(part, role, of)| {
            let numbers = numbers(of.iter().map(|piece| piece.number));
            let sets: Vec<u32> = of.iter().filter_map(|piece| piece.set).collect();
            match role {
                Role::Set => match (sets.first(), sets.last()) {
                    (Some(first), Some(last)) if first == last => {
                        format!("{part} {numbers} of {} {first}", article.one)
                    }
                    (Some(_), Some(_)) => {
                        let mut sets = sets.clone();
                        sets.dedup();
                        format!("{part} {numbers} of {} {}", article.many, self::numbers(sets))
                    }
                    _ => format!("{part} {numbers}"),
                },
                Role::Spare => format!("{part} {numbers} spare"),
                Role::Setup => format!("{part} setup {numbers}"),
                Role::Blank => format!("{part} blank {numbers}"),
            }
        })
        .collect();
    words.join(", ")
}

/// Numbers, with ranges where they follow one another: `1-4, 7`.
pub fn numbers(all: impl IntoIterator<Item = u32>) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for number in all {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => runs.push((number, number)),
        }
    }
    let words: Vec<String> = runs
        .into_iter()
        .map(|(first, last)| match last - first {
            0 => first.to_string(),
            1 => format!("{first}, {last}"),
            _ => format!("{first}-{last}"),
        })
        .collect();
    words.join(", ")
}
