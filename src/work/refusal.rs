//! Refusing an entry, and the initials that decisions need.

use super::context::WorkContext;
use crate::prose::Message;

/// Why an entry was refused, and what to do. What was typed stays.
pub(super) fn refusal(what: impl Into<String>, help: impl Into<String>) -> Message {
    Message::error(what).help(help)
}

/// Initials: letters only, a few of them.
pub fn initials(text: &str) -> Result<String, Message> {
    let good = (1..=8).contains(&text.chars().count()) && text.chars().all(char::is_alphabetic);
    if good {
        Ok(text.to_uppercase())
    } else {
        Err(refusal("Initials are one to eight letters.", "such as MB, then Enter"))
    }
}

/// Checks that these are a lead's initials, as far as the shop file knows leads.
pub(super) fn lead(context: &WorkContext<'_>, typed: &str) -> Result<String, Message> {
    if typed.is_empty() {
        return Err(refusal("The lead decides this.", "type the lead's initials, then Enter"));
    }
    let who = initials(typed)?;
    if context.may_lead(&who) {
        Ok(who)
    } else {
        Err(refusal(format!("{who} isn't a lead in this shop."), "see the lead"))
    }
}

pub(super) fn initials_and_why(
    context: &WorkContext<'_>,
    text: &str,
) -> Result<(String, String), Message> {
    let (who, why) = text.trim().split_once(char::is_whitespace).unwrap_or((text.trim(), ""));
    let who = lead(context, who)?;
    if why.trim().is_empty() {
        return Err(refusal("A reason is missing.", "type initials, a space, then the reason"));
    }
    Ok((who, why.trim().to_owned()))
}
