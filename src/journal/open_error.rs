//! Why a batch could not be opened or begun.

use thiserror::Error;

use super::store_error::StoreError;
use crate::operation::MayOverride;

/// Why a batch could not be opened.
#[derive(Debug, Error)]
pub enum OpenError {
    /// The disk, or another terminal, is in the way.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The batch has begun and is whole, but its station could not be opened.
    #[error(
        "The batch has begun. Open it from the list of batches, for something was in the way: {why}"
    )]
    BegunNotOpened {
        /// What was in the way.
        why: Box<OpenError>,
    },
    /// A route, shop or journal that cannot be used, in words.
    #[error("{0}")]
    Bad(String),
    /// The plan has errors, and nobody answered for them.
    #[error("{what}")]
    Faulty {
        /// The errors, in words.
        what: String,
        /// Who may begin all the same.
        may_override: MayOverride,
    },
}
