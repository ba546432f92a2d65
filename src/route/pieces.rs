//! Which pieces a route asks for, and what they are called.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::Part;

/// What a piece is made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// One of a set.
    Set,
    /// Good stock run through every operation with the others.
    Spare,
    /// Cheap stock of the same section, to prove settings on.
    Setup,
    /// Several pieces still in one length.
    Blank,
}

/// What a piece is called: a label, moved when a piece is used elsewhere.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct PieceLabel {
    /// The part.
    pub part: String,
    /// Counted from one within its part and role; spares go on from the sets.
    pub number: u32,
    /// What it is made for.
    pub role: Role,
    /// Which article it is for, counted from one.
    pub set: Option<u32>,
    /// Which of the handed pieces of an article it is: `front left`.
    pub hand: Option<String>,
    /// The second, third … made in this place; one for the first.
    #[serde(default = "first", skip_serializing_if = "is_first")]
    pub make: u32,
}

fn first() -> u32 {
    1
}

fn is_first(make: &u32) -> bool {
    *make == 1
}

impl fmt::Display for PieceLabel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.role {
            Role::Set => write!(f, "{} {}", self.part, self.number)?,
            Role::Spare => write!(f, "{} {} spare", self.part, self.number)?,
            Role::Setup => write!(f, "{} setup {}", self.part, self.number)?,
            Role::Blank => write!(f, "{} blank {}", self.part, self.number)?,
        }
        match self.make {
            1 => Ok(()),
            2 => f.write_str(", second"),
            3 => f.write_str(", third"),
            n => write!(f, ", made {n} times"),
        }
    }
}

/// The largest batch in articles. No small shop makes more at once, and a number that
/// was keyed twice, 1212 for 12, is found out.
const MOST_SETS: u32 = 1000;

/// The largest batch in pieces: a thousand stools have 17,000. An entry there takes a
/// tenth of a second at most.
const MOST_PIECES: u32 = 20_000;

/// Counts the spares of the parts that want a share of what is needed, rounded up.
pub(super) fn count_spares(parts: &mut [Part], sets: u32) {
    for part in parts {
        if let Some(percent) = part.spare_percent {
            let needed = u64::from(part.per_set) * u64::from(sets) * u64::from(percent);
            part.spares = u32::try_from(needed.div_ceil(100)).unwrap_or(u32::MAX);
        }
    }
}

/// Whether this many articles can be one batch, or why not.
pub(super) fn counted(parts: &[Part], sets: u32) -> Result<(), String> {
    if !(1..=MOST_SETS).contains(&sets) {
        return Err(format!("a batch is 1 to {MOST_SETS} articles"));
    }
    let pieces = parts.iter().fold(0, |sum: u32, part| {
        let own = part.per_set.saturating_mul(sets);
        let share = part.spare_percent.map(|percent| own.saturating_mul(percent) / 100);
        [own, share.unwrap_or(part.spares), part.setup_pieces]
            .iter()
            .fold(sum, |sum, n| sum.saturating_add(*n))
    });
    if pieces > MOST_PIECES {
        return Err(format!("more than {MOST_PIECES} pieces in one batch"));
    }
    Ok(())
}

/// The pieces of one article that joins a batch of so many late: their numbers go on
/// after the spares, so that no piece changes its name.
pub(super) fn of_late_article(part: &Part, sets: u32, article: u32) -> Vec<PieceLabel> {
    let before = part.per_set * sets + part.spares;
    let first = before + article.saturating_sub(sets + 1) * part.per_set;
    let label = |n: u32| PieceLabel {
        part: part.name.clone(),
        number: first + n + 1,
        role: Role::Set,
        set: Some(article),
        hand: part.hands.get(n as usize).cloned(),
        make: 1,
    };
    (0..part.per_set).map(label).collect()
}

pub(super) fn of_part(part: &Part, sets: u32) -> Vec<PieceLabel> {
    let needed = part.per_set * sets;
    let label = |number: u32, role: Role| PieceLabel {
        part: part.name.clone(),
        number,
        role,
        set: (role == Role::Set).then(|| (number - 1) / part.per_set.max(1) + 1),
        hand: (role == Role::Set && !part.hands.is_empty())
            .then(|| part.hands[(number - 1) as usize % part.hands.len()].clone()),
        make: 1,
    };
    (1..=needed)
        .map(|n| label(n, Role::Set))
        .chain((needed + 1..=needed + part.spares).map(|n| label(n, Role::Spare)))
        .chain((1..=part.setup_pieces).map(|n| label(n, Role::Setup)))
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::document::Document;
    use crate::route::{Route, bundled};

    /// 10 % of 4 legs: of 12 stools 4.8, so 5; of 16 stools 6.4, so 7; of none, none.
    #[test]
    fn spares_may_be_a_share_of_what_is_needed() {
        let text = bundled("reading-stool").expect("bundled").text;
        assert!(text.contains(r#""per_set": 4, "spares": 4,"#));
        let read = |spares: &str| {
            let spares = format!(r#""per_set": 4, "spares": {spares},"#);
            let text = text.replacen(r#""per_set": 4, "spares": 4,"#, &spares, 1);
            let document = Document::read("route.json", text).expect("JSON");
            crate::route::read(&document).map(|(route, _)| route)
        };
        let spares = |route: &Route| route.part("leg").map(|part| part.spares);
        let mut route = read(r#""10%""#).unwrap_or_else(|problems| panic!("{problems:?}"));
        assert_eq!(spares(&route), Some(5));
        route.make_sets(16).expect("a batch");
        assert_eq!(spares(&route), Some(7));
        for bad in [r#""10""#, r#""ten%""#, r#""101%""#, "-1"] {
            assert!(read(bad).is_err(), "{bad}");
        }
    }
}
