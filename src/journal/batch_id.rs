//! The identity of a batch, whatever it is called: two batches begun apart under one name
//! are two. Pure: it must not know the disk.

use std::fmt;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use uuid::Uuid;

/// The identity of a batch. The first line of every new batch holds a random one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct BatchId(Uuid);

impl BatchId {
    /// A new one that no other batch has.
    pub fn random() -> BatchId {
        BatchId(Uuid::new_v4())
    }

    /// The identity of a batch whose first line holds none, because an older program began
    /// it: the beginning of the SHA-256 of that line, so that every copy of it has the same.
    pub fn worked_out(first_line: &[u8]) -> BatchId {
        let mut bytes = [0; 16];
        bytes.copy_from_slice(&Sha256::digest(first_line)[..16]);
        BatchId(Uuid::from_bytes(bytes))
    }

    /// The same as databases know it.
    pub fn uuid(self) -> Uuid {
        self.0
    }
}

impl From<Uuid> for BatchId {
    fn from(uuid: Uuid) -> BatchId {
        BatchId(uuid)
    }
}

impl fmt::Display for BatchId {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(formatter)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The SHA-256 of nothing is published (FIPS 180-4 examples): e3b0c442 98fc1c14
    /// 9afbf4c8 996fb924 …
    #[test]
    fn an_older_batch_has_the_beginning_of_a_hash() {
        let id = BatchId::worked_out(b"");
        assert_eq!(id.to_string(), "e3b0c442-98fc-1c14-9afb-f4c8996fb924");
    }

    #[test]
    fn two_batches_are_two() {
        assert_ne!(BatchId::random(), BatchId::random());
    }
}
