//! What pieces, scales and ways of feeding are called in an order.

use crate::journal::PieceId;
use crate::operation::{faces_up, is_lettered};
use crate::prose::{counted, visible};
use crate::route::Role;
use crate::work::{NextNumber, WorkContext, owners_of};

/// What is fed, and how.
pub(super) struct Feed<'a> {
    pub(super) pass: Option<u32>,
    pub(super) faces: &'a [&'static str],
    pub(super) feeds: u32,
    /// Whether it goes through once more at the same height.
    pub(super) kiss: bool,
    /// Whether it is the first piece, looked at before the others follow.
    pub(super) alone: bool,
    pub(super) pieces: &'a [PieceId],
    /// The number that says all are fed.
    pub(super) then: Option<&'a NextNumber>,
}

impl Feed<'_> {
    fn all(&self) -> String {
        match self.pieces.len() {
            1 => "the piece".to_owned(),
            count => format!("all {count}"),
        }
    }

    /// `all 9`, for large letters.
    pub(super) fn subject(&self) -> String {
        if self.alone { "the first".to_owned() } else { self.all() }
    }

    /// The verb, and what goes through how.
    pub(super) fn words(&self) -> (&'static str, String) {
        let all = if self.alone { "the first piece alone".to_owned() } else { self.all() };
        match (self.kiss, self.faces) {
            (true, faces) => {
                ("FEED", format!("{all} again at the same height, faces {}", faces.join(", ")))
            }
            (_, []) if self.pass.is_none() => ("WORK", format!("{all} by hand")),
            (_, []) => ("FEED", format!("{all} through")),
            (_, [one @ ("face" | "edge")]) => {
                let times = match self.feeds {
                    1 => "1 pass".to_owned(),
                    feeds => format!("{feeds} passes"),
                };
                ("FEED", format!("the {one} of {all}: {times}, or until clean"))
            }
            (_, named) => {
                let turned = faces_up(named).unwrap_or_default();
                let more = match self.feeds {
                    _ if is_lettered(named) && named.len() > 1 => {
                        ", quarter turn between".to_owned()
                    }
                    feeds if feeds > 1 && !is_lettered(named) => format!(", {feeds} cuts each"),
                    _ => String::new(),
                };
                ("FEED", format!("{all} through, {turned}{more}"))
            }
        }
    }
}

/// `leg 2, 3, 4, leg 5 spare`; many in a row by their ends.
pub(super) fn names(context: &WorkContext<'_>, pieces: &[PieceId]) -> String {
    let name = |piece: &PieceId| context.state.name(piece);
    if let [first, .., last] = pieces
        && pieces.len() > 4
    {
        return format!("{} to {}: {} {}", name(first), name(last), pieces.len(), kind(context));
    }
    let mut named: Vec<String> = Vec::new();
    let mut before: Option<(String, Role)> = None;
    for piece in pieces {
        let label = context.state.piece(piece).map(|piece| &piece.label);
        let kind = label.map(|label| (label.part.clone(), label.role));
        let plain = label.filter(|label| label.make == 1 && label.role == Role::Set);
        // A part is named once for several of its pieces.
        named.push(match plain {
            Some(label) if before == kind => label.number.to_string(),
            _ => name(piece),
        });
        before = kind;
    }
    named.join(", ")
}

/// What lies before the machine: strips that lie in boards until they are cut, or pieces.
fn kind(context: &WorkContext<'_>) -> &'static str {
    let is_rough = context.route.step(context.op).is_some_and(|step| step.what.is_rough());
    if is_rough { "strips" } else { "pieces" }
}

/// `leg 2 3` for large letters; nothing where there are many.
pub(super) fn numbers(context: &WorkContext<'_>, pieces: &[PieceId]) -> String {
    let labels = pieces.iter().filter_map(|piece| Some(&context.state.piece(piece)?.label));
    let numbers: Vec<String> = labels.clone().map(|label| label.number.to_string()).collect();
    match labels.map(|label| label.part.as_str()).next() {
        Some(part) if numbers.len() <= 4 => format!("{part} {}", numbers.join(" ")),
        _ => format!("{} {}", pieces.len(), kind(context)),
    }
}

/// `For 16 legs: 4 each of AB, CD and stool 7, 4 spares.`, where only some pieces are
/// set for; nothing where all are.
pub(super) fn for_whom(context: &WorkContext<'_>, pieces: &[PieceId]) -> Option<String> {
    let held: Vec<_> = pieces.iter().filter_map(|piece| context.state.piece(piece)).collect();
    let first = held.first()?;
    let owners = owners_of(context, held.iter().copied());
    if owners.len() < 2 && held.len() <= 4 {
        let names: Vec<String> = held.iter().map(|piece| piece.label.to_string()).collect();
        return Some(format!("For {}.", names.join(", ")));
    }
    let noun = &context.route.article.one;
    let owner = |(set, owner, _): &(u32, Option<&str>, usize)| {
        owner.map_or_else(|| format!("{noun} {set}"), visible)
    };
    let mut by_count: Vec<(usize, Vec<String>)> = Vec::new();
    for article in &owners {
        match by_count.iter_mut().find(|(count, _)| *count == article.2) {
            Some((_, names)) => names.push(owner(article)),
            None => by_count.push((article.2, vec![owner(article)])),
        }
    }
    let mut parts: Vec<String> = by_count
        .into_iter()
        .map(|(count, names)| match names.as_slice() {
            [only] => format!("{count} of {only}"),
            names => format!("{count} each of {}", in_a_row(names)),
        })
        .collect();
    for (role, word) in [(Role::Spare, "spare"), (Role::Setup, "setup piece")] {
        let count = held.iter().filter(|piece| piece.label.role == role).count();
        parts.extend((count > 0).then(|| counted(count, word)));
    }
    let all = counted(held.len(), &first.label.part);
    Some(format!("For {all}: {}.", parts.join(", ")))
}

/// `AB, CD and EF`.
fn in_a_row(names: &[String]) -> String {
    match names {
        [others @ .., last] if !others.is_empty() => format!("{} and {last}", others.join(", ")),
        names => names.join(""),
    }
}

/// `, stool 2, front left` where the operation takes left and right differently;
/// nothing where it doesn't matter. Where an article has an owner, the owner's name.
pub(super) fn whose(context: &WorkContext<'_>, piece: &PieceId) -> String {
    let label = context.state.piece(piece).map(|held| &held.label);
    let owner = label.and_then(|label| context.state.owner(label.set?));
    if let Some(owner) = owner {
        let hand = label.and_then(|label| label.hand.as_ref()).filter(|_| context.is_handed());
        let hand = hand.map_or_else(String::new, |hand| format!(", {hand}"));
        return format!(", {}{hand}", visible(owner));
    }
    let label = label.filter(|_| context.is_handed());
    match label.and_then(|label| label.set.zip(label.hand.as_ref())) {
        Some((set, hand)) => format!(", {} {set}, {hand}", context.route.article),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn feed<'a>(pieces: &'a [PieceId], faces: &'a [&'static str]) -> Feed<'a> {
        Feed { pass: Some(1), faces, feeds: 1, kiss: false, alone: false, pieces, then: None }
    }

    fn pieces(count: usize) -> Vec<PieceId> {
        (1..=count).map(|n| PieceId(format!("a-{n}").into())).collect()
    }

    /// In the words of the order, and in the few for large letters.
    #[test]
    fn what_is_fed_is_said_in_words() {
        let (one, nine) = (pieces(1), pieces(9));
        let said = |feed: Feed<'_>| {
            let (verb, words) = feed.words();
            format!("{verb} {words}")
        };
        assert_eq!(feed(&one, &[]).subject(), "the piece");
        assert_eq!(feed(&nine, &[]).subject(), "all 9");
        assert_eq!(Feed { alone: true, ..feed(&nine, &[]) }.subject(), "the first");
        assert_eq!(said(feed(&nine, &[])), "FEED all 9 through");
        assert_eq!(said(Feed { pass: None, ..feed(&one, &[]) }), "WORK the piece by hand");
        assert_eq!(
            said(Feed { alone: true, ..feed(&nine, &["A"]) }),
            "FEED the first piece alone through, face A up"
        );
        assert_eq!(
            said(Feed { kiss: true, ..feed(&nine, &["A", "B"]) }),
            "FEED all 9 again at the same height, faces A, B"
        );
        assert_eq!(
            said(feed(&nine, &["A", "B"])),
            "FEED all 9 through, faces A, B up, quarter turn between"
        );
        for (feeds, times) in [(1, "1 pass"), (3, "3 passes")] {
            assert_eq!(
                said(Feed { feeds, ..feed(&nine, &["face"]) }),
                format!("FEED the face of all 9: {times}, or until clean")
            );
        }
        for (feeds, each) in [(1, ""), (2, ", 2 cuts each")] {
            assert_eq!(
                said(Feed { feeds, ..feed(&one, &["left end", "right end"]) }),
                format!("FEED the piece through, the left end, then the right end{each}")
            );
        }
    }
}
