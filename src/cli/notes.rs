//! What people wrote in a batch, as rows for programs.

use std::io::{self, Write};

use serde::Serialize;

use super::csv::row;
use crate::journal::{Remark, State};

/// One note, or a number that was typed while none was asked for.
#[derive(Serialize)]
pub(super) struct NoteRow {
    at: String,
    who: Option<String>,
    op: Option<u32>,
    text: String,
    /// Whether nothing had asked for it.
    unasked: bool,
    /// The piece it is about, where it is about one.
    piece: Option<String>,
}

impl NoteRow {
    pub(super) fn of(state: &State, note: &Remark) -> NoteRow {
        NoteRow {
            at: note.at.to_rfc3339(),
            who: note.who.clone(),
            op: note.op,
            text: note.text.clone(),
            unasked: note.is_unasked,
            piece: note.piece.as_ref().map(|piece| state.name(piece)),
        }
    }
}

pub(super) fn as_csv(notes: &[NoteRow], out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "at,who,op,text,unasked,piece")?;
    for note in notes {
        let op = note.op.map_or_else(String::new, |op| op.to_string());
        let who = note.who.clone().unwrap_or_default();
        let piece = note.piece.clone().unwrap_or_default();
        let unasked = note.unasked.to_string();
        let fields = [note.at.clone(), who, op, note.text.clone(), unasked, piece];
        writeln!(out, "{}", row(&fields))?;
    }
    Ok(())
}
