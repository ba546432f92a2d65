//! What is measured at an operation, on which pieces, and which dimension the
//! reading becomes.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, de};

use crate::measure::{Feature, Tolerance};
use crate::operation::{FeatureName, Keyed};

/// Which reading of several becomes the dimension.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Take {
    /// The smallest reading.
    Smallest,
    /// The largest reading.
    Largest,
    /// The mean of the readings.
    Mean,
}

impl Take {
    /// Its word in a route file.
    pub fn word(self) -> &'static str {
        match self {
            Take::Smallest => "smallest",
            Take::Largest => "largest",
            Take::Mean => "mean",
        }
    }
}

/// Over which pieces one value holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum HoldsFor {
    /// One value for the whole batch.
    Batch,
    /// One value for each article.
    Set,
    /// One value for each piece.
    Piece,
}

/// A check whose reading becomes a named dimension from then on.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Becomes {
    /// The dimension.
    pub dim: String,
    /// Which of several readings counts.
    pub take: Take,
    /// Over which pieces the value holds.
    pub of: HoldsFor,
}

/// Which pieces a check wants: `all`, or any of `first`, `last`, `1 in 5`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PieceChoice {
    /// Every piece.
    All,
    /// Some of them.
    Some {
        /// The first piece.
        first: bool,
        /// The last piece.
        last: bool,
        /// One piece in this many.
        every: Option<u32>,
    },
}

impl PieceChoice {
    /// Reads `all`, `first, last, 1 in 5` and the like.
    pub fn parse(text: &str) -> Result<PieceChoice, String> {
        let (mut first, mut last, mut every, mut all) = (false, false, None, false);
        for word in text.split(',').map(str::trim) {
            match word {
                "all" => all = true,
                "first" => first = true,
                "last" => last = true,
                _ => match word.strip_prefix("1 in ").and_then(|n| n.trim().parse().ok()) {
                    Some(n) if n >= 2 => every = Some(n),
                    _ => {
                        return Err(format!(
                            "`{word}` is not a choice of pieces: write `all`, or any of `first`, `last`, `1 in 5`"
                        ));
                    }
                },
            }
        }
        if all { Ok(PieceChoice::All) } else { Ok(PieceChoice::Some { first, last, every }) }
    }

    /// Whether it wants the piece at `position` of `count`, both from one.
    pub fn wants(self, position: usize, count: usize) -> bool {
        match self {
            PieceChoice::All => true,
            PieceChoice::Some { first, last, every } => {
                (first && position == 1)
                    || (last && position == count)
                    || every.is_some_and(|n| (position - 1).is_multiple_of(n as usize))
            }
        }
    }

    /// One piece in how many it wants, where it wants some all along.
    pub fn every(self) -> Option<usize> {
        match self {
            PieceChoice::All => Some(1),
            PieceChoice::Some { every, .. } => every.map(|n| n as usize),
        }
    }

    /// The words a route file has for it.
    pub fn words(self) -> String {
        match self {
            PieceChoice::All => "all".to_owned(),
            PieceChoice::Some { first, last, every } => {
                let words: Vec<String> = first
                    .then(|| "first".to_owned())
                    .into_iter()
                    .chain(last.then(|| "last".to_owned()))
                    .chain(every.map(|n| format!("1 in {n}")))
                    .collect();
                words.join(", ")
            }
        }
    }
}

impl<'de> Deserialize<'de> for PieceChoice {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<PieceChoice, D::Error> {
        PieceChoice::parse(&String::deserialize(deserializer)?).map_err(de::Error::custom)
    }
}

impl JsonSchema for PieceChoice {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Pieces".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": "Which pieces are measured, in cut order.",
            "pattern": "^(all|first|last|1 in [0-9]+)( *, *(all|first|last|1 in [0-9]+))*$",
            "examples": ["all", "first, last", "first, last, 1 in 5"]
        })
    }
}

/// One check of an operation.
#[derive(Clone, Debug)]
pub struct Check {
    /// The feature that is measured.
    pub of: FeatureName,
    /// Which words it is judged in.
    pub kind: Feature,
    /// How far from the size it may be.
    pub tolerance: Tolerance,
    /// The gauge.
    pub with: String,
    /// Which pieces are measured.
    pub pieces: PieceChoice,
    /// Where on the piece.
    pub place: Option<String>,
    /// The size the limits are around, when it isn't what the operation leaves.
    pub around: Option<Keyed>,
    /// The dimension its readings become, where they do.
    pub becomes: Option<Becomes>,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of 12 pieces `first, last, 1 in 5` wants 1, 6, 11 and 12.
    #[test]
    fn pieces_are_chosen_by_cut_order() {
        let choice = PieceChoice::parse("first, last, 1 in 5").unwrap();
        let wanted: Vec<usize> = (1..=12).filter(|n| choice.wants(*n, 12)).collect();
        assert_eq!(wanted, [1, 6, 11, 12]);
        assert_eq!(PieceChoice::parse(&choice.words()), Ok(choice));
        assert!((1..=9).all(|n| PieceChoice::All.wants(n, 9)));
        for bad in ["", "some", "1 in 1", "1 in x", "first; last"] {
            assert!(PieceChoice::parse(bad).is_err(), "{bad}");
        }
    }
}
