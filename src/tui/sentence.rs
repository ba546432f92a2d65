//! Sentences made from what other rooms say in clauses.

use crate::prose::Message;

/// Why an entry was refused, and what to do about it.
pub(super) fn refusal_words(refusal: &Message) -> String {
    match &refusal.help {
        Some(help) => format!("{} {}", sentence(&refusal.what), sentence(help)),
        None => sentence(&refusal.what),
    }
}

/// With a capital and a full stop.
pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.trim_end().chars();
    let mut whole: String = letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect());
    if !whole.ends_with(['.', '?', '!', ':']) {
        whole.push('.');
    }
    whole
}
