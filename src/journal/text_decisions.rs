//! Decisions that older programs kept in the text of a line, read as the events
//! they are now.
//!
//! Once a note with one certain text skipped a measurement, and the initials in
//! front of a colon said who opened an operation. A change of wording would have
//! changed what old batches mean. Now such decisions are events of their own,
//! and this is the only place where the old texts are compared with anything.
//! Batches with each of them are kept in `tests/journal/v1-decisions`.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::event::Event;
use crate::operation::FeatureName;

/// The note by which people skipped measuring the last piece again.
const REPEAT_SKIPPED: &str = "went on without measuring the last piece again";

/// How the note ended by which people left a difference from first to last.
const DRIFT_LEFT: &str = " differs from first to last; left at that";

/// How a note began that was typed while only Enter was asked for.
const TYPED_UNASKED: &str = "typed with nothing asked: ";

impl Serialize for Event {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        Event::serialize(self, serializer)
    }
}

impl<'de> Deserialize<'de> for Event {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Event, D::Error> {
        Event::deserialize(deserializer).map(typed)
    }
}

/// The event that an old text stood for; every other event as it is.
fn typed(event: Event) -> Event {
    match event {
        Event::Note { op: Some(op), piece: None, text } => {
            if text == REPEAT_SKIPPED {
                Event::RepeatSkipped { op }
            } else if let Some(feature) = text.strip_suffix(DRIFT_LEFT) {
                Event::DriftLeft { op, feature: FeatureName::new(feature) }
            } else if let Some(typed) = text.strip_prefix(TYPED_UNASKED) {
                Event::TypedUnasked { op, typed: typed.to_owned() }
            } else {
                Event::Note { op: Some(op), piece: None, text }
            }
        }
        Event::GateOpened { op, by, why } if by.is_empty() => {
            match why.split_once(": ").filter(|(by, _)| by.chars().all(char::is_alphabetic)) {
                Some((by, why)) => Event::GateOpened { op, by: by.to_owned(), why: why.to_owned() },
                None => Event::GateOpened { op, by, why },
            }
        }
        event => event,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(json: &str) -> Event {
        serde_json::from_str(json).expect("an event")
    }

    /// The texts are copied from the lines in `tests/journal/v1-decisions`.
    #[test]
    fn old_texts_are_read_as_events() {
        assert_eq!(
            read(r#"{"note":{"op":30,"text":"went on without measuring the last piece again"}}"#),
            Event::RepeatSkipped { op: 30 }
        );
        assert_eq!(
            read(r#"{"note":{"op":30,"text":"length differs from first to last; left at that"}}"#),
            Event::DriftLeft { op: 30, feature: FeatureName::LENGTH }
        );
        assert_eq!(
            read(r#"{"note":{"op":30,"text":"typed with nothing asked: 3 1/2"}}"#),
            Event::TypedUnasked { op: 30, typed: "3 1/2".to_owned() }
        );
        assert_eq!(
            read(r#"{"gate-opened":{"op":20,"why":"MB: it rested at the yard: a week"}}"#),
            Event::GateOpened {
                op: 20,
                by: "MB".to_owned(),
                why: "it rested at the yard: a week".to_owned()
            }
        );
    }

    #[test]
    fn other_texts_and_new_events_are_read_as_they_are() {
        for event in [
            Event::Note {
                op: Some(30),
                piece: None,
                text: "the stop was a little loose".to_owned(),
            },
            Event::Note {
                op: None,
                piece: None,
                text: "typed with nothing asked: 3 1/2".to_owned(),
            },
            Event::RepeatSkipped { op: 30 },
            Event::DriftLeft { op: 30, feature: FeatureName::LENGTH },
            Event::TypedUnasked { op: 30, typed: "3 1/2".to_owned() },
            Event::GateOpened { op: 20, by: "MB".to_owned(), why: "TK: said so".to_owned() },
            Event::GateOpened { op: 20, by: String::new(), why: "it is dry: 8 %".to_owned() },
        ] {
            let json = serde_json::to_string(&event).expect("plain data");
            assert_eq!(read(&json), event, "{json}");
        }
    }

    /// Without old texts a line is written with the same bytes as before.
    #[test]
    fn an_event_is_written_by_its_name() {
        let note = Event::Note { op: None, piece: None, text: "good morning".to_owned() };
        let json = serde_json::to_string(&note).expect("plain data");
        assert_eq!(json, r#"{"note":{"op":null,"text":"good morning"}}"#);
    }
}
